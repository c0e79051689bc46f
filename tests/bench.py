"""Ways to speak to a served workbench: raw requests, with every header as the speaker likes, and the live line."""

from __future__ import annotations

import contextlib
import json
import re
import socket
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace

from websockets.sync.client import ClientConnection, connect

from tests.served import Served

SECRET = "hunter2"  # stands in files that were never opened
OF_THE_DESIGN = ("Survey buggy", "surveyor", "Hollin", "truck.toml")
PAGES = ("/", "/sheet/1", "/static/live.js", "/static/ink.css", "/sheet/1/take/design.toml", "/sheet/1/figure/damper-0.csv", "/sheet/1/scene/drive")  # fmt: skip
POSTS = ("/begin", "/open", "/bring/brought.toml")
LIVE = "/sheet/1/live"
UPGRADE = "Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n"


@dataclass(frozen=True)
class Heard:
    """What came back."""

    status: int
    headers: tuple[tuple[str, str], ...]
    text: str

    def header(self, name: str) -> str:
        (value,) = [value for key, value in self.headers if key == name]
        return value

    def tells_nothing(self) -> bool:
        return not any(word in self.text for word in (*OF_THE_DESIGN, SECRET, "root:"))


@dataclass(frozen=True)
class Bench:
    """A served workbench and ways to speak to it. None leaves a header out."""

    served: Served

    @property
    def own(self) -> str:
        return f"http://{self.served.host}"

    def at(self, target: str) -> str:
        """A path of ours as it is asked for; what brings a token, or begins otherwise, stays as it is."""
        return target if "?token=" in target or not re.match(r"/(?!/)", target) else f"{self.served.place}{target}"

    def raw(self, sent: bytes) -> Heard:
        with socket.create_connection(("127.0.0.1", self.served.port), 30) as line:
            with contextlib.suppress(BrokenPipeError, ConnectionResetError):  # refused before all of it was sent
                line.sendall(sent)
            got = b""
            with contextlib.suppress(ConnectionResetError):
                while not _whole(got) and (piece := line.recv(65536)):
                    got += piece
        head, _, body = got.partition(b"\r\n\r\n")
        first, *lines = head.decode("latin-1").split("\r\n")
        pairs = (one.partition(":") for one in lines)
        return Heard(
            int(first.split()[1]),
            tuple((name.lower(), value.strip()) for name, _, value in pairs),
            body.decode("utf-8", "replace"),
        )

    def ask(
        self, target: str, *, method: str = "GET", host: str | None = "", cookie: str | None = "", origin: str | None = None,
        more: str = "", body: bytes | None = None, length: str | None = None,
    ) -> Heard:  # fmt: skip
        """One request; the empty `host` and `cookie` are the right ones, `length` is what it says of its body."""
        lines = [f"{method} {self.at(target)} HTTP/1.1"]
        if host is not None:
            lines.append(f"Host: {host or self.served.host}")
        if cookie is not None:
            lines.append(f"Cookie: {cookie or self.served.cookie}")
        if origin is not None:
            lines.append(f"Origin: {origin}")
        if method == "POST":
            lines.append(f"Content-Length: {len(body or b'') if length is None else length}")
        if "Upgrade" not in more:
            lines.append("Connection: close")
        head = "\r\n".join(lines) + "\r\n" + more + "\r\n"
        return self.raw(head.encode("latin-1") + (body or b""))

    def post(self, target: str, body: bytes | str = b"", **other: str | None) -> Heard:
        other.setdefault("origin", self.own)
        return self.ask(target, method="POST", body=body.encode() if isinstance(body, str) else body, **other)  # type: ignore[arg-type]

    def every_way(self, **other: str | None) -> Iterator[tuple[str, Heard]]:
        """The same wrong request for every kind of thing: pages, files, posts and the live line."""
        for page in PAGES:
            yield page, self.ask(page, **other)  # type: ignore[arg-type]
        for path in POSTS:
            yield path, self.post(path, b"name=intruder&path=truck.toml", **other)
        upgraded = {"origin": self.own, **other, "more": (other.get("more") or "") + UPGRADE}
        yield LIVE, self.ask(LIVE, **upgraded)  # type: ignore[arg-type]

    def live(self, sheet: str = "1") -> ClientConnection:
        return connect(
            f"ws://{self.served.host}{self.served.place}/sheet/{sheet}/live", origin=self.own, additional_headers={"Cookie": self.served.cookie}, max_size=None, open_timeout=60, close_timeout=5,
        )  # type: ignore[arg-type]  # fmt: skip


def _whole(got: bytes) -> bool:
    """Whether an answer that keeps the line open is there: the live line was opened."""
    return got.startswith(b"HTTP/1.1 101") and b"\r\n\r\n" in got


_numbers = iter(range(1, 10**9))


def say(line: ClientConnection, **message: object) -> dict[str, str]:
    """Send a message and give all parts of the page that came until it was answered."""
    number = next(_numbers)
    line.send(json.dumps({**message, "n": number}))
    return until(line, number)


def until(line: ClientConnection, number: int) -> dict[str, str]:
    parts: dict[str, str] = {}
    end = time.monotonic() + 30
    while time.monotonic() < end:
        heard = json.loads(line.recv(timeout=30))
        parts |= heard["parts"]
        if heard["n"] == number:
            return parts
    raise AssertionError("the message was not answered")


def folded(line: ClientConnection) -> None:
    """Fold every section, so that little is drawn."""
    for part in ("weigh", "aim", "place", "spring", "damp", "prove", "order"):
        line.send(json.dumps({"do": "fold", "part": part}))


def lives(line: ClientConnection) -> bool:
    """Whether the next good message is answered on the same line."""
    say(line, do="view", name="system", value="metric")
    return True


def compiled(one: Served) -> Served:
    """Wait until the design is open: the first start on a machine compiles."""
    end = time.monotonic() + 300
    while Bench(one).ask("/sheet/1").status != 200:
        assert time.monotonic() < end
        time.sleep(0.2)
    return replace(one, path=f"{one.place}/sheet/1")
