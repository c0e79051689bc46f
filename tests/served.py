"""A workbench served by a process of its own, as a user starts it, for tests that look at it from outside."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import re
import subprocess
import sys
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import IO

from springwright.vehicle.starter import start

TOKEN = "a-token-for-tests-only"


@dataclass(frozen=True)
class Served:
    """Where it is served, and the folder with its designs; `path` is where its address leads to, `cookie` what the token becomes."""

    port: int
    folder: Path
    path: str
    said: list[str] = field(default_factory=list)  # lines it has printed since
    process: subprocess.Popen[str] | None = None

    @property
    def host(self) -> str:
        """Name and port."""
        return f"127.0.0.1:{self.port}"

    @property
    def address(self) -> str:
        """What springwright prints."""
        return f"http://{self.host}/?token={TOKEN}"

    @property
    def place(self) -> str:
        """The path under which all of it lives."""
        return "/" + self.path.split("/")[1]

    @property
    def cookie(self) -> str:
        """The cookie a browser has after opening the address."""
        return f"springwright-{self.port}={TOKEN}"


@contextlib.contextmanager
def served(
    folder: Path,
    demo: str | None = "fire-watch",
    name: str = "truck.toml",
    home: Path | None = None,
    browser: Path | None = None,
    visited: bool = True,
) -> Iterator[Served]:
    """Serve a demo from a folder until the end of the block; without a demo, the file of that name that is there, or an empty desk where there is none.

    `browser` is started with the address; without it, none is. `visited`: the design was opened before, so that its sections are unfolded.
    """
    if demo is not None and not (folder / name).exists():
        start(folder / name, demo)
    argument = [name] if (folder / name).exists() else []
    environment = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST")}
    if browser is not None:
        environment["BROWSER"] = f"{browser} %s"
    home = home or folder / ".home"
    environment["SPRINGWRIGHT_HOME"] = str(home)
    if visited and argument and not (home / "recent.json").exists():
        home.mkdir(mode=0o700, parents=True, exist_ok=True)
        (home / "recent.json").write_text(json.dumps([str((folder / name).resolve())]))
    command = [
        sys.executable,
        "-c",
        "from springwright.__main__ import main; main()",
        "open",
        *argument,
        *([] if browser else ["--no-browser"]),
        "--token",
        TOKEN,
    ]
    process = subprocess.Popen(
        command, cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    assert process.stdout is not None
    reader = None
    try:
        said = process.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:(\d+)/\?token=", said)
        if found is None:
            rest = process.stdout.read() if process.poll() is not None else ""
            raise AssertionError(f"the workbench did not start: {said}{rest}")
        port = int(found[1])
        house = Served(port, folder, "", process=process)
        reader = threading.Thread(
            target=_hear, args=(process.stdout, house.said), daemon=True
        )  # it never waits to be read
        reader.start()
        yield replace(house, path=_leads_to(house))
    finally:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        if reader is not None:
            reader.join(10)
        process.stdout.close()


def _hear(out: IO[str], said: list[str]) -> None:
    with contextlib.suppress(ValueError):  # shut while a process that outlives a killed server still holds it
        said.extend(out)


def _leads_to(house: Served) -> str:
    """Where the printed address leads to; a request is answered when the server has begun, however long that takes."""
    line = http.client.HTTPConnection("127.0.0.1", house.port, timeout=60)
    line.request("GET", f"/?token={TOKEN}")
    where = line.getresponse().headers["location"]
    line.close()
    return where
