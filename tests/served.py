"""A workbench served by a process of its own, as a user starts it, for tests that look at it from outside."""

from __future__ import annotations

import contextlib
import os
import re
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from springwright.vehicle.starter import start

TOKEN = "a-token-for-tests-only"


@dataclass(frozen=True)
class Served:
    """Where it is served, and the folder with its designs; `address` carries the token, `cookie` what the token becomes."""

    port: int
    folder: Path
    path: str
    said: list[str] = field(default_factory=list)  # lines it has printed since

    @property
    def host(self) -> str:
        """Name and port."""
        return f"127.0.0.1:{self.port}"

    @property
    def address(self) -> str:
        """What springwright prints."""
        return f"http://{self.host}{self.path}?token={TOKEN}"

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
) -> Iterator[Served]:
    """Serve a demo from a folder until the end of the block; without a demo, the file of that name that is there, or an empty desk where there is none.

    `browser` is started with the address; without it, none is.
    """
    if demo is not None and not (folder / name).exists():
        start(folder / name, demo)
    argument = [name] if (folder / name).exists() else []
    environment = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST")}
    if browser is not None:
        environment["BROWSER"] = f"{browser} %s"
    environment["SPRINGWRIGHT_HOME"] = str(home or folder / ".home")
    command = [
        sys.executable,
        "-c",
        "from springwright.cli.main import main; main()",
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
        found = re.search(r"http://127\.0\.0\.1:(\d+)(/\S*)\?token=", said)
        if found is None:
            rest = process.stdout.read() if process.poll() is not None else ""
            raise AssertionError(f"the workbench did not start: {said}{rest}")
        port = int(found[1])
        house = Served(port, folder, found[2])
        reader = threading.Thread(
            target=house.said.extend, args=(process.stdout,), daemon=True
        )  # it never waits to be read
        reader.start()
        _answers(port)
        yield house
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


def _answers(port: int) -> None:
    """Wait until a request is answered, not only taken."""
    end = time.monotonic() + 60
    while time.monotonic() < end:
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 5) as line:
            line.sendall(b"GET / HTTP/1.1\r\nHost: nobody\r\n\r\n")
            line.settimeout(60)
            if line.recv(100).startswith(b"HTTP/1.1 421"):
                return
        time.sleep(0.1)
    raise AssertionError("the workbench does not answer")
