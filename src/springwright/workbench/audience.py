"""Those who look at a sheet: pages given out and remembered until their live lines are there, and what each was last sent."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

STANDS = re.compile(r'<div id="([\w-]+)" data-part></div>')  # where a part of its own stands in a section
FRAMES = 4  # pages remembered until their live lines are there


@dataclass(eq=False)
class Visitor:
    """One browser page: what it was last sent, and how to send it more."""

    send: Callable[[dict[str, Any]], Any]
    sent: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Reply:
    """Whose message is answered, and its number there."""

    to: Visitor
    number: Any


@dataclass(eq=False)
class Audience:
    """All who look at one sheet."""

    visitors: list[Visitor] = field(default_factory=list)
    _given: int = 0
    _frames: dict[int, dict[str, str]] = field(default_factory=dict)

    def give_out(self, parts: dict[str, str]) -> int:
        """Remember the parts of a page that is given out; gives its number."""
        self._given += 1
        self._frames[self._given] = parts
        self._frames.pop(self._given - FRAMES, None)
        return self._given

    def shown_as(self, number: str) -> dict[str, str]:
        """The parts of a page that was given out, by its number; none where it is not remembered."""
        return dict(self._frames.get(int(number), {})) if number.isdecimal() and len(number) < 9 else {}

    async def tell(
        self,
        parts: dict[str, str],
        more: Callable[[], dict[str, Any]],
        reply: Reply | None = None,
        *,
        whole: bool = True,
    ) -> None:
        """Send each what has changed since it was last sent something, with `more` as it is at that moment; `whole` where these are all parts.

        Who is replied to learns by the number that this message and all before it are answered.
        """
        for visitor in list(self.visitors):
            changed = {name: html for name, html in parts.items() if visitor.sent.get(name) != html}
            # a section that is sent anew has empty places for what stands in it
            within = [name for html in changed.values() for name in STANDS.findall(html)]
            changed |= {name: parts[name] for name in within if name in parts}
            # a part that is gone is forgotten: it is sent whole when it comes back
            visitor.sent = dict(parts) if whole else visitor.sent | parts
            try:
                number = reply.number if reply is not None and reply.to is visitor else None
                await visitor.send({"parts": changed, **more(), "n": number})
            except Exception as error:  # the page has gone; the sheet goes on
                logging.getLogger("springwright").debug("a page has gone: %r", error)
                self.visitors.remove(visitor)
