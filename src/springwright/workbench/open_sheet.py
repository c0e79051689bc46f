"""A design on the desk with its results and those who look at it: edits in, changed parts of the page out."""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable, Coroutine, Mapping
from dataclasses import replace
from typing import Any

import anyio.to_thread

from springwright.errors import Fault, InputError, SpringwrightError
from springwright.files import read_file
from springwright.report.compared import ComparedDesign
from springwright.units import displayed_in
from springwright.vehicle.file import leniently
from springwright.workbench.audience import Audience, Reply
from springwright.workbench.copies import Copies
from springwright.workbench.model.document import Document
from springwright.workbench.model.jobs import SCENES
from springwright.workbench.model.reading import stays_beside
from springwright.workbench.model.shown import Shown
from springwright.workbench.model.work import Worker
from springwright.workbench.render.environment import template
from springwright.workbench.render.page import SheetPart
from springwright.workbench.render.sheet import frame, render
from springwright.workbench.sections import PARTS
from springwright.workbench.sections.beside import MOST_BESIDE
from springwright.workbench.sections.unfinished import unfinished
from springwright.workbench.slow_answers import SlowAnswers

# s without a further step of a gesture, or after a press, before the rest of the page is made, and how long it lets others go before it
BREATH, AT_ONCE, PATIENCE = 0.12, 0.02, 10.0
UNSEEN = 0.15  # s at most without showing anything while changes come faster than a page is made


class _LeftOffError(Exception):
    """The rest of the page was left off: something else is to be done first."""


class OpenSheet:
    """One open design: its document, what is shown of it, who looks at it, what is worked out for it, and its copies."""

    def __init__(
        self,
        name: str,
        document: Document,
        worker: Worker,
        slot: int,
        keep: Callable[[Document], None],
        parts: tuple[SheetPart, ...] = PARTS,
    ) -> None:
        """`slot` is this sheet's place in the slow process; `keep` puts a recovery copy away."""
        self.name, self.document, self.parts = name, document, parts
        self.shown, self.audience = Shown(), Audience()
        self.scenes: dict[str, str] = {}  # views in the round, as JSON, by kind
        self._scenes_made = 0
        self._running: set[asyncio.Future[Any]] = set()
        self._lock = asyncio.Lock()
        self._waiting = 0  # messages that wait for their turn
        self._seen_at = 0.0  # when something was last shown
        self._to_keep = False  # a change that was not shown by itself has to be kept
        self._quiet_at = 0.0  # when it is quiet enough for the rest of the page
        self._owed = False  # parts out of sight are still to be shown
        self._copies = Copies(document, keep, self._show_soon)
        self.slow = SlowAnswers(document, self.shown, worker, slot, self._show_soon)

    async def page(self) -> str:
        """The whole page as it stands; its live line then sends what has changed since."""
        parts = await self._made()
        title = self.document.name
        return await anyio.to_thread.run_sync(frame, self.name, title, parts, self.parts, self.audience.give_out(parts))

    def begin_page(self) -> None:
        """Make the parts of the page while the browser is still on its way: what is made is kept."""
        self._run(self._made())

    async def _made(self) -> dict[str, str]:
        async with self._lock:
            return await self._rendered()

    async def _rendered(
        self, only: frozenset[str] | None = None, before_each: Callable[[], None] = lambda: None
    ) -> dict[str, str]:
        return await anyio.to_thread.run_sync(
            render, self.name, self.document, self.shown, self.parts, template, unfinished, only, before_each
        )

    async def act(
        self,
        change: Callable[[Document], Any],
        *,
        gesture: str = "",
        reply: Reply | None = None,
        sight: frozenset[str] | None = None,
        acts_next: Callable[[], bool] = lambda: False,
    ) -> None:
        """Do something to the document, show what came of it, and begin the slow work anew if its text has changed.

        `reply` is sent back with what is shown, so that the page knows which of its messages was answered. Of a page that says which
        parts are in `sight` those are made and sent first, the others after it unless something else is to be done by then. Where another
        change waits behind this one, `acts_next`, that one's page shows this one as well and answers for both.
        """
        self._waiting += 1
        self._quiet_at = time.perf_counter() + (BREATH if gesture else AT_ONCE)
        try:
            await self._lock.acquire()
        finally:
            self._waiting -= 1
        try:
            begun = time.perf_counter()
            text, system = self.document.text, self.document.view.system
            await anyio.to_thread.run_sync(self._do, change)
            if self.document.text != text:
                self._moved(gesture)
            elif self.document.view.system != system:
                self.slow.begin_anew()  # what was worked out is told in the other system
            if not self.document.said and time.perf_counter() - self._seen_at < UNSEEN and acts_next():
                self._to_keep |= not gesture  # before it is answered to with the next
                return
            if gesture:
                await self._show(begun, reply, only=sight)
                self._copies.soon()
            else:  # what is answered to is kept
                keeping = asyncio.ensure_future(self._copies.now())
                await self._show(begun, reply, keeping, only=sight)
        finally:
            self._lock.release()
        if sight is not None and not self._owed:
            self._owed = True
            self.beside_the_line(self._rest())

    async def _rest(self) -> None:
        """Show what was out of sight; whatever is to be done meanwhile goes before it, unless it has waited too long."""
        begun = time.perf_counter()
        try:
            while not await self._rest_shown(begun):
                pass
        finally:
            self._owed = False

    async def _rest_shown(self, begun: float) -> bool:
        """Whether it came to its end; part by part it looks whether something waits, and leaves off."""

        def give_way() -> None:
            if self._waiting and time.perf_counter() - begun < PATIENCE:
                raise _LeftOffError

        while (left := self._quiet_at - time.perf_counter()) > 0 and time.perf_counter() - begun < PATIENCE:
            await asyncio.sleep(left)
        async with self._lock:
            try:
                give_way()
                await self._show(time.perf_counter(), before_each=give_way)
            except _LeftOffError:
                return False
            return True

    def _do(self, change: Callable[[Document], Any]) -> None:
        self.document.said = ""
        try:
            with displayed_in(self.document.view.system), self.document.evaluation:
                change(self.document)
        except SpringwrightError as fault:
            self.document.said = str(fault)

    def _moved(self, gesture: str) -> None:
        """The text has changed: what was worked out is for another state now."""
        shown = self.shown
        if not gesture or gesture != shown.gesture:
            shown.before = dict(shown.settled)
            shown.gesture = gesture
        self.slow.begin_anew()

    async def show(self, reply: Reply | None = None) -> None:
        """Send every visitor what has changed."""
        async with self._lock:
            await self._show(time.perf_counter(), reply)

    async def _show(
        self,
        begun: float,
        reply: Reply | None = None,
        first: asyncio.Future[None] | None = None,
        only: frozenset[str] | None = None,
        before_each: Callable[[], None] = lambda: None,
    ) -> None:
        """Make the parts, or `only` some, and send what has changed; `first` is waited for before anything is sent."""
        if reply is not None and first is None and self._to_keep:
            first = asyncio.ensure_future(self._copies.now())
        parts = await self._rendered(only, before_each)
        if first is not None:
            await first
            self._to_keep = False

        def more() -> dict[str, Any]:
            took = round(1e3 * (time.perf_counter() - begun), 2)
            return {"server": took, "version": self.slow.version}

        await self.audience.tell(parts, more, reply, whole=only is None)
        self._seen_at = time.perf_counter()

    def beside_the_line(self, work: Coroutine[Any, Any, None]) -> None:
        """Do something that takes its time while edits go on."""

        async def done() -> None:
            try:
                await work
            except SpringwrightError as fault:
                self.document.said = str(fault)
                await self.show()
            except Exception as error:
                logging.getLogger("springwright").debug("could not be done: %r", error)
                await self.cannot()

        self._run(done())

    def _show_soon(self) -> None:
        self._run(self.show())

    def _run(self, work: Coroutine[Any, Any, Any]) -> None:
        task = asyncio.ensure_future(work)
        self._running.add(task)  # the loop itself holds a task only weakly
        task.add_done_callback(self._running.discard)

    async def cannot(self, reply: Reply | None = None) -> None:
        """Say that something could not be done."""
        self.document.said = "That could not be done: the sheet has changed meanwhile. Try it again."
        await self.show(reply)

    async def round(self, asked: Mapping[str, Any]) -> None:
        """Unfold a view in the round and have it worked out, or fold it."""
        kind, view = str(asked["kind"]), self.document.view
        if kind not in SCENES:
            raise LookupError(kind)
        key, name = f"round-{kind}", f"round {kind}"
        if key in view.open and not asked.get("again"):
            self.document.view = replace(view, open=view.open - {key})
            await self.show()
            return
        self.document.view = replace(view, open=view.open | {key})
        self.shown.beside[name] = None
        await self.show()
        version = self.slow.version
        wanted = {"kind": kind, "state": view.state, "ground": view.ground, "speed": view.speed}
        try:
            self.scenes[kind] = await self.slow.asked("scene", wanted)
            self._scenes_made += 1
            ready = {
                "url": f"{self.name}/scene/{kind}?of={self._scenes_made}",
                "fault": "",
                "late": version != self.slow.version,
            }
        except SpringwrightError as fault:
            ready = {"url": "", "fault": str(fault), "late": False}
        self.shown.beside[name] = ready
        await self.show()

    async def hold_against(self, desk: Any, asked: Mapping[str, Any]) -> None:
        """Hold this design against another state or design: read it, and have its questions asked."""
        if "drop" in asked:
            self.shown.beside["others"] = [one for one in self._held if one.name != asked["drop"]]
            await self.show()
            return
        other = await anyio.to_thread.run_sync(self._other, desk, asked)
        there = self._held  # another may have come meanwhile
        kept = [one for one in there if other is not None and one.name != other.name][: MOST_BESIDE - 1]
        self.shown.beside["others"] = [*kept, *filter(None, (other,))]
        self.document.view = replace(self.document.view, open=self.document.view.open | {"compare"})
        await self.show()
        if other is not None and not other.answers:
            self.slow.answers_of(other.file, other.answers)

    @property
    def _held(self) -> list[ComparedDesign]:
        """The designs that this one is held against."""
        found: list[ComparedDesign] = self.shown.beside.get("others", [])
        return found

    def _other(self, desk: Any, asked: Mapping[str, Any]) -> ComparedDesign | None:
        document = self.document
        if "sheet" in asked:
            one = desk.sheets[asked["sheet"]]
            if one.document.unfinished is not None:
                raise InputError(
                    one.document.path.name, [Fault("", "", "is not whole yet; nothing can be held against it")]
                )
            told = one.shown.complete and one.document.view.system == document.view.system
            place, here = one.document.path, document.path.parent
            name = place.name if place.parent == here else f"{place.parent.name}/{place.name}"
            return ComparedDesign(name, one.document.file, dict(one.shown.answers) if told else {})
        path = asked.get("path", "")
        if path == "disk":
            name, text = f"{document.path.name} as it is saved", read_file(document.path)
        elif path == "before" and document.past:
            name, text = "the state before the last edit", document.past[-1].text
        else:
            found = next((one for one in document.revisions() if one.name == path), None)
            if found is None:
                return None
            name, text = found.name, read_file(found)
        stays_beside(text, document.path)  # before what the text names is read
        return ComparedDesign(name, leniently(document.path, text, document.file.held, name), {})
