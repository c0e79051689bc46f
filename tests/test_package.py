"""What is given away: the source archive is the repository, and the wheel what the program needs."""

import os
import subprocess
import sys
import tarfile
from pathlib import Path

import pytest

from builders import pins

ROOT = Path(__file__).parent.parent


def test_the_source_archive_holds_every_file_of_the_repository(tmp_path):
    """Whoever has the archive alone can run the tests and make the pictures."""
    pytest.importorskip("setuptools", minversion="77")
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("no repository: the archive itself")
    asked = f"from setuptools.build_meta import build_sdist; print(build_sdist({str(tmp_path)!r}))"
    made = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", asked],
        cwd=_copy(listed.stdout.split("\0")[:-1], tmp_path / "copy"),
        capture_output=True,
        text=True,
        check=True,
    )
    with tarfile.open(tmp_path / made.stdout.splitlines()[-1]) as archive:
        held = {name.partition("/")[2] for name in archive.getnames()}
    assert set(listed.stdout.split("\0")[:-1]) - held == set()


def _copy(names, folder):
    """The files of the repository, in a folder that building may litter."""
    for name in names:
        if (ROOT / name).exists():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            os.link(ROOT / name, folder / name)
    return folder


def test_every_library_that_is_named_is_pinned_with_hashes():
    """By both files, to a version that pyproject.toml allows."""
    for file in ("requirements.txt", "requirements-test.txt"):
        entries = [
            one for one in (ROOT / file).read_text().replace("\\\n", "").splitlines() if one and not one.startswith("#")
        ]
        assert all("--hash=sha256:" in one for one in entries)
        pinned = {one.split("==")[0]: tuple(map(int, one.split("==")[1].split()[0].split(".")[:2])) for one in entries}
        lowest = [one.split("==") for one in pins.lowest(test=file == "requirements-test.txt").splitlines()]
        assert lowest
        for name, version in lowest:
            assert pinned[name] >= tuple(map(int, version.split(".")[:2])), name
