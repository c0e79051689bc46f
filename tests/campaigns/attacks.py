"""Attacks on a served workbench: requests from others, nonsense on its line, floods, hostile texts; each refused or harmless.

python -m tests.campaigns.attacks --seconds 60 --seed 1

What may pass is told apart here by the rules, not by asking the guard: own name, own origin or none, own cookie. Whatever is sent,
no file outside the folder is told, made or changed, nothing ends in a traceback, and the page goes on answering.
"""

from __future__ import annotations

import contextlib
import csv
import io
import json
import random
import re
import socket
import sys
import tempfile
import time
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import quote

import tomlkit
from websockets.exceptions import ConnectionClosed

from springwright.workbench.actions import ACTIONS
from tests.bench import LIVE, PAGES, POSTS, SECRET, UPGRADE, Bench, compiled, say
from tests.campaigns.common import asked, run
from tests.served import TOKEN, served

SLOWEST = 10  # s of work that one try may take
HASTE = 5.0  # s within which the page answers after each
HOSTILE = (
    "<script>window.x=1</script>", "\"><img src=x onerror=alert(1)>", "' onfocus='alert(1)", "</textarea><svg onload=alert(1)>", "{{7*7}}", "#eval(\"1\")",
    "=HYPERLINK(\"http://x\")", "+1+cmd|' /C calc'!A0", "@SUM(1)", "-2+3", "\t=1", "../../up", "a/../../b", "\u202egnp.exe", "]]>", "&lt;b&gt;", "%00", "${x}",
    "javascript:alert(1)", "<!--", "'; DROP TABLE x", "a" * 200, "\\u001b[31m", "`id`", "#include \"/etc/passwd\"", "*bold* _it_ $x$ @ref <label>",
)  # fmt: skip
WORDS = ("", "x", "1 kg", "mass", "name", "truck.toml", "../secret.toml", "link.csv", "0", "-1", "class C", "metric", "\x00", "\x1b[2J", "é" * 400, "9" * 5000)  # fmt: skip


@dataclass
class Attacking:
    """One workbench under attack."""

    bench: Bench
    around: Path
    drawn: int = 0
    sent: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.outside = self._outside()

    def __call__(self, chance: random.Random) -> str:
        """One attack, and a look at whether all is as it was."""
        self.sent = []
        way = chance.random()
        made = (
            self._stranger if way < 0.55
            else self._nonsense if way < 0.75
            else self._raw if way < 0.85
            else self._path if way < 0.93
            else self._hostile if way < 0.985
            else self._flood
        )  # fmt: skip
        what = made(chance)
        begun = time.monotonic()
        assert self.bench.ask("/static/ink.css").status == 200, "the page does not answer"
        assert time.monotonic() - begun < HASTE, "the page answers late"
        assert self._outside() == self.outside, "a file outside the folder was made or changed"
        assert not any("Traceback" in line for line in self.bench.served.said), "a traceback in the terminal"
        return what

    def keep(self, folder: Path) -> None:
        """Keep what was sent and what the workbench said."""
        (folder / "sent.txt").write_text("\n".join(self.sent), errors="backslashreplace")
        (folder / "said.txt").write_text("".join(self.bench.served.said), errors="backslashreplace")

    def _outside(self) -> dict[str, bytes]:
        inside = self.bench.served.folder
        files = (one for one in self.around.rglob("*") if one.is_file() and not one.is_relative_to(inside))
        return {str(one): one.read_bytes() for one in files if "home" not in one.parts}

    # --- who may speak

    def _stranger(self, chance: random.Random) -> str:
        """A request in which anything may be another's: it passes where nothing is."""
        bench, one = self.bench, self.bench.served
        host, own_host = chance.choice((
            ("", True), ("", True), ("", True), (f"localhost:{one.port}", True), ("evil.test", False), (f"evil.test:{one.port}", False), (None, False),
            ("127.0.0.1", False), (f"127.0.0.1:{one.port + 1}", False), (f"{one.host}.evil.test", False), (f"[::1]:{one.port}", False), (f"127.1:{one.port}", False),
        ))  # fmt: skip
        name, token = one.cookie.split("=")
        cookie, own_cookie = chance.choice((
            ("", True), ("", True), ("", True), (f"a=b; {one.cookie}; c=d", True), (None, False), (f"{name}=", False), (f"{name}={token[:-1]}", False),
            (f"{name}={token}x", False), (f"{name.upper()}={token}", False), (f"springwright={token}", False), (f"{name}={token[::-1]}", False),
        ))  # fmt: skip
        origin, own_origin = chance.choice((
            (None, True), (bench.own, True), (bench.own, True), (f"http://localhost:{one.port}", True), ("http://evil.test", False), ("null", False),
            (f"https://{one.host}", False), (f"http://{one.host}.evil.test", False), ("", False), (f"http://127.0.0.1:{one.port + 1}", False),
        ))  # fmt: skip
        site, own_site = chance.choice((("", True), ("", True), ("none", True), ("same-origin", True), ("cross-site", False), ("same-site", False), ("x", False)))  # fmt: skip
        more = f"Sec-Fetch-Site: {site}\r\n" if site else ""
        may = own_host and own_cookie and own_origin and own_site
        if own_host and own_origin and own_site and chance.random() < 0.2:
            word = chance.choice((TOKEN[:-1], TOKEN.upper(), "", "x", TOKEN + "&token=x", quote(TOKEN) + "%00"))
            self.sent.append(word)
            heard = bench.ask(f"/?token={word}", cookie=None)
            assert heard.status in ((303,) if word.startswith(TOKEN + "&") else (400, 403)), heard
            return "strangers"
        target = chance.choice((*PAGES, *POSTS, LIVE))
        self.sent.append(json.dumps([target, host, cookie, origin, site]))
        if target == LIVE:
            heard = bench.ask(target, host=host, cookie=cookie, origin=origin, more=more + UPGRADE)
            may = may and origin is not None
        elif target in POSTS:
            heard = bench.ask(target, method="POST", host=host, cookie=cookie, origin=origin, more=more, body=b"name=truck&path=truck.toml")  # fmt: skip
        else:
            heard = bench.ask(target, host=host, cookie=cookie, origin=origin, more=more)
        if may:
            assert heard.status not in (403, 421), f"refused: {heard.status}"
            return "guests"
        assert heard.status in (400, 403, 421), f"let in: {heard.status}"
        assert heard.tells_nothing(), "told something"
        return "strangers"

    def _path(self, chance: random.Random) -> str:
        """Somewhere else, asked for with the right cookie."""
        steps = ("..", "%2e%2e", ".%2e", "..%2f", "....", "%c0%ae%c0%ae", "..\\", "..%5c", "", ".", "~", "%00", "sheet", "1", "take", "figure", "static", "etc", "passwd", "secret.toml", "2", "-1", "x")  # fmt: skip
        target = chance.choice(
            ("/sheet/1/take/", "/static/", "/sheet/1/figure/", "/sheet/", "/", "/bring/")
        ) + "/".join(chance.choice(steps) for _ in range(chance.randrange(1, 7)))
        self.sent.append(target)
        heard = self.bench.ask(target)
        assert not re.search(f"{SECRET}|root:", heard.text), "another file was told"
        return "paths"

    def _raw(self, chance: random.Random) -> str:
        """What is no request, or half of one."""
        one = self.bench.served
        good = f"GET {self.bench.at('/')} HTTP/1.1\r\nHost: {one.host}\r\nConnection: close\r\n\r\n".encode()
        made = bytearray(good)
        for _ in range(chance.choice((1, 3, 20))):
            at = chance.randrange(len(made) + 1)
            made[at : at + chance.choice((0, 1, 4))] = chance.choice(
                (b"\r\n", b"\x00", b"\xff\xfe", b"A" * 10_000, b"Content-Length: -5\r\n", b"Transfer-Encoding: chunked\r\n", b" ", b"HTTP/9.9", bytes([chance.randrange(256)]))
            )  # fmt: skip
        self.sent.append(made.decode("latin-1"))
        with socket.create_connection(("127.0.0.1", one.port), 10) as line, contextlib.suppress(OSError):
            line.sendall(made)
            line.shutdown(socket.SHUT_WR)
            line.settimeout(12)
            got = b""
            while len(got) < 2**20 and (piece := line.recv(65536)):
                got += piece
            assert not re.search(f"{TOKEN}|{SECRET}".encode(), got), "told something"
        return "no requests"

    # --- on the line

    def _message(self, chance: random.Random) -> str:
        def value(depth: int = 0) -> Any:
            way = chance.randrange(8 if depth < 3 else 6)
            if way < 2:
                return chance.choice(WORDS)
            if way == 2:
                return chance.choice((0, 1, -1, 2**70, 1e308, float("nan"), None, True))
            if way < 5:
                return chance.choice(HOSTILE)
            if way == 5:
                return chance.choice(("items", "states", "axles", "vehicle", "kerb", "name"))
            if way == 6:
                return [value(depth + 1) for _ in range(chance.randrange(5))]
            return {str(value(3)): value(depth + 1) for _ in range(chance.randrange(3))}

        keys = ("at", "value", "label", "gesture", "name", "text", "part", "open", "what", "state", "item", "list", "index", "axle", "coil", "points", "sheet", "path", "kind", "over")  # fmt: skip
        do = chance.choice((*ACTIONS, "beside", "round", "nothing", "__init__", 5))
        message = {"do": do, **{key: value() for key in keys if chance.random() < 0.5}}
        if do in ("put", "mend") and chance.random() < 0.6:
            message["at"] = chance.choice((["vehicle", "name"], ["kerb", "mass"], ["items", 0, "name"], ["axles", 0, "track"], ["catalogue"], ["grades"]))  # fmt: skip
        text = json.dumps(message)
        if chance.random() < 0.1:
            at = chance.randrange(len(text))
            text = text[:at] + chance.choice(("", "}", "\x00", "[", '"')) + text[at + 1 :]
        return text

    def _nonsense(self, chance: random.Random) -> str:
        """Messages no page sends; the line, or the next one, goes on."""
        with contextlib.suppress(ConnectionClosed), self.bench.live() as line:
            for _ in range(chance.randrange(1, 8)):
                self.sent.append(self._message(chance))
                line.send(self.sent[-1])
            said = say(line, do="view", name="system", value="metric")
            told = "".join(said.values())
            assert not re.search(f"{SECRET}|root:x", told), "another file was told"
            self._sound(said)
        with (
            self.bench.live() as line
        ):  # what it built is taken back, or all that is taken next would wait for a whole design
            say(line, do="undo", times=100)
        return "nonsense"

    def _hostile(self, chance: random.Random) -> str:
        """A hostile text typed into a name: text on the page, in tables and in drawings; and taken back."""
        text = chance.choice(HOSTILE)[:60]
        at = chance.choice((["vehicle", "name"], ["items", 0, "name"], ["axles", 0, "name"], ["states", 0, "name"]))
        self.sent.append(json.dumps([at, text]))
        with self.bench.live() as line:
            self._sound(say(line, do="put", at=at, value=text))
            for what in ("take/sizing.csv", "take/answers.csv", "take/design.toml", "figure/damper-0.csv"):
                self._taken(what)
            say(line, do="undo")
        return "hostile texts"

    def _taken(self, what: str) -> None:
        heard = self.bench.ask(f"/sheet/1/{what}")
        assert heard.status == 200, f"{what} cannot be taken: {heard.text}"
        if what.endswith(".toml"):
            tomlkit.parse(heard.text)
            return
        for row in csv.reader(io.StringIO(heard.text)):
            for cell in row:
                assert not re.match(r"[=@\t\r]|[-+][^0-9.]|[-+].*[^-+0-9.eE]", cell), f"a formula in {what}: {cell!r}"

    def _sound(self, parts: dict[str, str]) -> None:
        """No part holds an element or attribute that only a hostile text can have put there."""
        for name, html in parts.items():
            strict = _Strict()
            strict.feed(html)
            assert not strict.found, f"{name} holds {strict.found}"

    # --- floods

    def _flood(self, chance: random.Random) -> str:
        """Many connections that never end what they begin."""
        begun = chance.choice((b"", b"GET / HTTP/1.1\r\nHost: ", b"POST /", b"\x16\x03\x01", b"GET / HTTP/1.1\r\nContent-Length: 99\r\n\r\n"))  # fmt: skip
        lines = []
        self.sent.append(repr(begun))
        with contextlib.suppress(OSError):
            for _ in range(400):
                line = socket.create_connection(("127.0.0.1", self.bench.served.port), 10)
                line.sendall(begun)
                lines.append(line)
        began = time.monotonic()
        status = self.bench.ask("/").status
        took = time.monotonic() - began
        for line in lines:
            line.close()
        assert status == 200, f"the page is shut out: {status}"
        assert took < HASTE, f"the page answers after {took:.1f} s"
        return "floods"


class _Strict(HTMLParser):
    """Elements and attributes that no part of ours has."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at one."""
        if tag in ("script", "img", "iframe", "object", "embed", "base", "style", "link", "meta"):
            self.found.append(tag)
        for name, value in attrs:
            if name.startswith("on") or (
                name in ("href", "src") and re.match(r"\s*(javascript|data|vbscript):", value or "")
            ):
                self.found.append(f"{tag} {name}")


def main() -> int:
    """Attack for a time."""
    with tempfile.TemporaryDirectory() as name:
        around = Path(name)
        folder = around / "desk"
        folder.mkdir()
        (around / "secret.csv").write_text(f"{SECRET},{SECRET}\n{SECRET},1\n")
        (around / "secret.toml").write_text(f'[vehicle]\nname = "{SECRET}"\n')
        (folder / "link.csv").symlink_to(around / "secret.csv")
        with served(folder, demo="survey-buggy", home=around / "home") as one:
            attacking = Attacking(Bench(compiled(one)), around)
            return run("attacks", attacking, asked("Attack the workbench."), attacking.keep, slowest=SLOWEST)


if __name__ == "__main__":
    sys.exit(main())
