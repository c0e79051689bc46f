"""The versions that make and CI install, with the hash of every file: written anew from pyproject.toml.

python -m builders.pins             newest versions allowed, as `make pins` asks: requirements.txt, requirements-test.txt
python -m builders.pins --lowest    the lowest versions of what pyproject.toml names, as constraints on standard output
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).parent.parent
HEAD = "# Versions the tests were last seen to pass with, and the hashes of their files; renewed by: make pins\n"
TOOL = ("--quiet", "--upgrade", "--generate-hashes", "--allow-unsafe", "--strip-extras", "--no-header", "--no-annotate", "--all-build-deps")  # fmt: skip


def lowest(*, test: bool = True) -> str:
    """A constraint for each library that pyproject.toml names with a lower bound: that bound; without `test`, of the program alone."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    named = [*project["dependencies"], *(project["optional-dependencies"]["test"] if test else ())]
    bounds = (re.fullmatch(r"([\w.-]+)>=([\w.]+)", one) for one in named)
    return "".join(f"{bound[1]}=={bound[2]}\n" for bound in bounds if bound)


def renew() -> None:
    """Write both files of pins; what the program needs is pinned alike in both."""
    plain, test, docs = (ROOT / f"requirements{ending}.txt" for ending in ("", "-test", "-docs"))
    alike = ("--constraint", str(test))
    for path, more in ((test, ("--extra", "test")), (plain, alike), (docs, ("--extra", "docs", *alike))):
        asked = [
            sys.executable,
            "-m",
            "piptools",
            "compile",
            *TOOL,
            *more,
            str(ROOT / "pyproject.toml"),
            "--output-file",
        ]
        with tempfile.TemporaryDirectory() as folder:
            made = Path(folder) / path.name
            subprocess.run([*asked, str(made)], check=True)
            path.write_text(HEAD + _pins_alone(made.read_text()))


def _pins_alone(text: str) -> str:
    """Without the lines that say where this machine looks: they begin with an option."""
    return "".join(line for line in text.splitlines(keepends=True) if line.strip() and not line.startswith("--"))


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description="Pin versions.")
    asked.add_argument("--lowest", action="store_true")
    if asked.parse_args().lowest:
        print(lowest(), end="")
    else:
        renew()
