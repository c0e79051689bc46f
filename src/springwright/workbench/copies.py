"""Copies of a document against a crash, put away without holding anybody up."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

import anyio.to_thread

from springwright.workbench.model.document import Document

KEEP = 0.3  # s after a step of a drag that a copy is put away: it is not held up by writing each of them


class Copies:
    """Puts copies of a document away; `told` is called where what it says of them has changed."""

    def __init__(self, document: Document, keep: Callable[[Document], None], told: Callable[[], None]) -> None:
        self._document, self._keep, self._told = document, keep, told
        self._wanted = False
        self._later: asyncio.Future[None] | None = None

    async def now(self) -> None:
        """Put a copy away."""
        before = self._document.unkept
        await anyio.to_thread.run_sync(self._keep, self._document)
        if self._document.unkept != before:
            self._told()

    def soon(self) -> None:
        """Put a copy away a little later; of many edits while one is being written, the last counts."""
        self._wanted = True
        if self._later is None or self._later.done():
            self._later = asyncio.ensure_future(self._while_wanted())

    async def _while_wanted(self) -> None:
        while self._wanted:
            await asyncio.sleep(KEEP)
            self._wanted = False
            await self.now()
