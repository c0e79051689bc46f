"""The pages of the documents are those of the program, every command and file on them works, and no link leads nowhere."""

from __future__ import annotations

import re
import shlex
import subprocess
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

import springwright
from builders import site
from springwright.cli.main import app
from springwright.vehicle.described import described_fields

ROOT = Path(__file__).parent.parent
DOCS = ROOT / "docs"
RUN = [DOCS / "start.md", *sorted((DOCS / "howto").glob("*.md"))]
BLOCK = re.compile(r"^```(\w+)(?: file=(\S+))?\n(.*?)^```$", re.M | re.S)
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")


def test_made_pages_are_those_of_the_program(monkeypatch):
    monkeypatch.chdir(ROOT)
    for path, text in site.pages():
        assert path.read_text() == text, f"{path}: python -m builders.site writes it anew"


def test_every_command_every_public_name_and_every_field_has_its_page():
    commands, python, fields = ((DOCS / f"{name}.md").read_text() for name in ("commands", "python", "fields"))
    for name in typer.main.get_command(app).commands:
        assert f"\n## {name}\n" in commands
    for name in springwright.__all__:
        assert f"\n## {name}\n" in python
    for one in described_fields():
        assert f"- `{one.path}`" in fields


@pytest.mark.parametrize("page", RUN, ids=lambda one: one.stem)
def test_everything_on_a_page_can_be_done(page, tmp_path, monkeypatch):
    """Files as they stand there are written, commands run one after the other in one folder; each must end well."""
    monkeypatch.chdir(tmp_path)
    done = 0
    for kind, file, text in BLOCK.findall(page.read_text()):
        if file:
            (tmp_path / file).write_text(text)
        if kind != "sh":
            continue
        for line in text.splitlines():
            words = shlex.split(line)
            if words[0] == "pip":
                continue
            if words[0] == "springwright":
                ran = CliRunner().invoke(app, words[1:])
                assert ran.exit_code == 0, (line, ran.output, ran.exception)
            else:
                subprocess.run(line, shell=True, check=True)
            done += 1
    assert done


@pytest.mark.parametrize(
    "page", [ROOT / "README.md", *sorted(DOCS.rglob("*.md"))], ids=lambda one: str(one.relative_to(ROOT))
)
def test_no_link_leads_nowhere(page):
    if "_build" in page.parts:
        return
    for to in LINK.findall(page.read_text()):
        if "://" not in to:
            assert (page.parent / to).exists(), to


def test_every_page_is_on_the_list():
    listed = set()
    for page in (DOCS / "index.md", DOCS / "lessons" / "index.md", DOCS / "theory" / "index.md"):
        for block in re.findall(r"```\{toctree\}\n(.*?)```", page.read_text(), re.S):
            listed |= {
                (page.parent / line).with_suffix(".md")
                for line in block.splitlines()
                if line and not line.startswith(":")
            }
    assert {one for one in DOCS.rglob("*.md") if one != DOCS / "index.md"} == listed
