"""Connections that have not shown a token yet: few at a time, the oldest dropped first, and none for long.

On one machine all peers share an address, so that a bound for each address would shut out the page; who has shown the token is not
counted, and keeps the place.
"""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

MOST = 64
LONGEST = 10.0  # s to bring a request with a token


class Lines:
    """Those that wait, oldest first, by where they come from."""

    def __init__(self) -> None:
        self._waiting: dict[Any, asyncio.Transport] = {}

    def __len__(self) -> int:
        """How many wait."""
        return len(self._waiting)

    def came(self, client: Any, transport: asyncio.Transport) -> None:
        """Another one; the oldest goes where there are too many."""
        self._waiting[client] = transport
        while len(self._waiting) > MOST:
            self._drop(next(iter(self._waiting)))
        asyncio.get_running_loop().call_later(LONGEST, self._late, client, transport)

    def proven(self, client: Any) -> None:
        """It has shown the token."""
        self._waiting.pop(client, None)

    def went(self, client: Any, transport: asyncio.Transport) -> None:
        """It has gone by itself."""
        if self._waiting.get(client) is transport:
            del self._waiting[client]

    def _late(self, client: Any, transport: asyncio.Transport) -> None:
        if self._waiting.get(client) is transport:
            self._drop(client)

    def _drop(self, client: Any) -> None:
        self._waiting.pop(client).abort()


def counted(lines: Lines) -> type[H11Protocol]:
    """The server's HTTP, its connections counted until they have shown a token."""

    class Counted(H11Protocol):
        def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
            super().connection_made(transport)
            lines.came(self.client, transport)

        def connection_lost(self, exc: Exception | None) -> None:
            lines.went(self.client, self.transport)
            super().connection_lost(exc)

    return Counted
