"""Who may speak to the workbench: this machine's own browser with the start-up token, and nobody through it.

A page elsewhere could send requests here (foreign Origin), be served under a name that points here
(foreign Host), or show us in a frame; another user of the machine could connect. Each is refused before
anything is read. What is answered carries a policy under which no script but ours can run.
"""

from __future__ import annotations

import hmac
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qs

from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BODY = 2 * 1024 * 1024  # bytes
MOST_LOG = 512 * 1024 * 1024  # bytes of a log brought to a sheet: it is written to the disk as it comes
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-frame-options", b"DENY"),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
    (b"cache-control", b"no-store"),
)


USED = "The address the browser was started with came a second time. If your browser is not in, somebody else may be: end this with Ctrl-C."


@dataclass
class Once:
    """A code that lets in the browser that is started with it, and nobody after: other users see it in the list of processes.

    `say` is told when somebody without a cookie brings it again.
    """

    code: str
    say: Callable[[str], object]
    used: bool = False

    def fits(self, brought: str) -> bool:
        """Whether this is the code, used or not."""
        return hmac.compare_digest(brought.encode(), self.code.encode())


@dataclass(frozen=True)
class Guard:
    """An ASGI wrapper: `hosts` are the names with port that this server answers to, `token` what a visitor must have.

    `place` is where all of it lives, a path that nobody can guess: a browser sends its cookies to every port of a host, but
    those of a path to that path alone, so that another user's server on this machine is never told ours. Who brings the token
    is led to `start` there. `once` lets one visitor in besides. `proven` is told where each request that may pass comes from.
    """

    app: ASGIApp
    hosts: frozenset[str]
    token: str
    cookie: str
    place: str
    start: str = "/"
    once: Once | None = None
    proven: Callable[[Any], object] = lambda _: None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what may pass."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        head = _first(scope["headers"])
        fault = self._refused(scope, head)
        if fault is not None:
            await _refuse(scope, send, *fault)
            return
        self.proven(scope.get("client") and tuple(scope["client"]))
        if scope["type"] == "http" and self._brings_token(scope):
            await self._let_in(scope, send)
            return
        capped = _Capped(receive, self._most(scope)) if scope["type"] == "http" else receive
        await self.app({**scope, "path": scope["path"].removeprefix(self.place)}, capped, _with_headers(send))

    def _refused(self, scope: Scope, head: dict[bytes, bytes]) -> tuple[int, str] | None:
        names = [value for name, value in scope["headers"] if name == b"host"]
        if len(names) != 1 or names[0].decode("latin-1").lower() not in self.hosts:
            return 421, "This address is not served here."
        origins = [value.decode("latin-1").lower() for name, value in scope["headers"] if name == b"origin"]
        own = {f"http://{host}" for host in self.hosts}
        if not own.issuperset(origins) or (scope["type"] == "websocket" and not origins):
            return 403, "Requests from other pages are refused."
        if head.get(b"sec-fetch-site", b"none") not in (b"none", b"same-origin"):
            return 403, "Requests from other pages are refused."
        if not (self._brings_token(scope) or (self._has_cookie(head) and scope["path"].startswith(f"{self.place}/"))):
            if self.once is not None and self.once.fits(_brought(scope)):
                self.once.say(USED)
            return 403, "Open the address that springwright printed when it started: it carries the token."
        length = head.get(b"content-length", b"0")
        most = self._most(scope)
        if not length.isdigit() or int(length) > most:
            return 413, f"Too large: at most {most // 2**20} MB."
        return None

    def _most(self, scope: Scope) -> int:
        """The longest body that is taken there."""
        return MOST_LOG if scope["path"].startswith(f"{self.place}/sheet/") and "/log/" in scope["path"] else MOST_BODY

    def _has_cookie(self, head: dict[bytes, bytes]) -> bool:
        """Whether one of the cookies is ours; others of 127.0.0.1 may be written as their servers like, and may bear our name."""
        for one in head.get(b"cookie", b"").split(b";"):
            name, _, value = one.strip().partition(b"=")
            if name == self.cookie.encode() and hmac.compare_digest(value, self.token.encode()):
                return True
        return False

    def _brings_token(self, scope: Scope) -> bool:
        if scope["type"] != "http" or scope["method"] != "GET" or scope["path"] != "/":
            return False
        brought = _brought(scope)
        first = self.once is not None and not self.once.used and self.once.fits(brought)
        return first or hmac.compare_digest(brought.encode(), self.token.encode())

    async def _let_in(self, scope: Scope, send: Send) -> None:
        """Change the token of the address into a cookie, so that it stands in no address from then on, and lead on."""
        if self.once is not None and self.once.fits(_brought(scope)):
            self.once.used = True
        keep = f"{self.cookie}={self.token}; HttpOnly; SameSite=Strict; Path={self.place}"
        headers = [
            (b"location", f"{self.place}{self.start}".encode()),
            (b"set-cookie", keep.encode()),
            (b"content-length", b"0"),
            *HEADERS,
        ]
        await send({"type": "http.response.start", "status": 303, "headers": headers})
        await send({"type": "http.response.body", "body": b""})


class _Capped:
    """Stops reading a body of unknown length when it has grown too large."""

    def __init__(self, receive: Receive, most: int) -> None:
        self._receive, self._most, self._had = receive, most, 0

    async def __call__(self) -> Message:
        message = await self._receive()
        self._had += len(message.get("body", b""))
        if self._had > self._most:
            raise TooLarge
        return message


class TooLarge(Exception):
    """A body larger than is taken."""


def _brought(scope: Scope) -> str:
    """The token in the address; nothing where there is none."""
    asked: bytes = scope["query_string"]
    return parse_qs(asked.decode("latin-1")).get("token", [""])[0]


def _first(headers: list[tuple[bytes, bytes]]) -> dict[bytes, bytes]:
    return dict(reversed(headers))


def _with_headers(send: Send) -> Send:
    async def guarded(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = {name for name, _ in HEADERS}
            kept = [(name, value) for name, value in message.get("headers", []) if name.lower() not in own]
            message = {**message, "headers": [*kept, *HEADERS]}
        await send(message)

    return guarded


async def _refuse(scope: Scope, send: Send, status: int, word: str) -> None:
    body = f"{word}\n".encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"connection", b"close"),
        *HEADERS,
    ]
    if scope["type"] == "websocket":
        if "websocket.http.response" not in scope.get("extensions", {}):
            await send({"type": "websocket.close", "code": 1008})
            return
        await send({"type": "websocket.http.response.start", "status": status, "headers": headers})
        await send({"type": "websocket.http.response.body", "body": body})
        return
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
