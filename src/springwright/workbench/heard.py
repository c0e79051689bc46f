"""What a page has sent down its live line and is not done yet, in its order."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from starlette.websockets import WebSocketDisconnect

from springwright.workbench.actions import ACTIONS, Asked

MOST_MESSAGE = 1024 * 1024  # letters of one message
MOST_WAITING = 64  # messages; what comes after them waits in the line itself


class Heard:
    """Messages of one page; `receive` gives what comes down its line next."""

    def __init__(self, receive: Callable[[], Awaitable[MutableMapping[str, Any]]]) -> None:
        self._receive = receive
        self._waiting: asyncio.Queue[Asked | None] = asyncio.Queue(MOST_WAITING)
        self._ahead: list[Asked | None] = []  # the one that was looked at before its turn
        self._gone = False

    async def listen(self) -> None:
        """Take in what comes until the page has gone; what cannot be understood is passed over."""
        try:
            while (message := await self._receive())["type"] != "websocket.disconnect":
                if (asked := _understood(message.get("text"))) is not None:
                    await self._waiting.put(asked)
        except (WebSocketDisconnect, RuntimeError):  # gone in the midst of a receive
            pass
        finally:  # however it ends: what was said before is done, and then no more is waited for
            self._gone = True
            if self._waiting.empty():
                self._waiting.put_nowait(None)

    async def next(self) -> Asked | None:
        """What is to be done next, waited for; None where the page has gone."""
        if self._ahead:
            return self._ahead.pop()
        return None if self._gone and self._waiting.empty() else await self._waiting.get()

    def acts_next(self) -> bool:
        """Whether a change of the design waits behind the one that is being done: its page will show both."""
        if not self._ahead and not self._waiting.empty():
            self._ahead.append(self._waiting.get_nowait())
        return any(asked is not None and asked["do"] in ACTIONS for asked in self._ahead)


def _understood(text: Any) -> Asked | None:
    """A message as the page means it; None for what is none."""
    if not isinstance(text, str) or not text or len(text) > MOST_MESSAGE:
        return None
    try:
        asked: Any = json.loads(text)
        json.dumps(asked, ensure_ascii=False).encode()  # half a letter could not be sent back
        return asked if isinstance(asked, dict) and isinstance(asked["do"], str) else None
    except (ValueError, LookupError, TypeError, RecursionError):
        return None
