"""A design on the desk with its results and those who look at it: edits in, changed parts of the page out."""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable, Coroutine
from dataclasses import dataclass, field, replace
from typing import Any

import anyio.to_thread

from springwright.errors import SpringwrightError
from springwright.files import read_file
from springwright.questions.answer import Answer
from springwright.questions.dynamic_requirements import FullWindow
from springwright.units import displayed_in
from springwright.vehicle.file import DesignFile, leniently
from springwright.workbench.model.document import Document, stays_beside
from springwright.workbench.model.jobs import SCENES
from springwright.workbench.model.shown import Shown
from springwright.workbench.model.work import Job, Worker
from springwright.workbench.render.page import SheetPart
from springwright.workbench.render.sheet import frame, render
from springwright.workbench.sections import PARTS
from springwright.workbench.sections.beside import ComparedDesign

KEEP = 0.3  # s after a step of a drag that a copy is put away: it is not held up by writing each of them
IDLE = 0.5  # s without an edit before slow work is begun
FRAMES = 4  # pages remembered until their live lines are there


@dataclass(eq=False)
class Visitor:
    """One browser page: what it was last sent, and how to send it more."""

    send: Callable[[dict[str, Any]], Any]
    sent: dict[str, str] = field(default_factory=dict)


@dataclass(eq=False)
class OpenSheet:
    """Everything about one open design. `version` counts its states; results say which one they are for."""

    name: str
    document: Document
    worker: Worker
    slot: int
    keep: Callable[[Document], None]  # puts a recovery copy away
    shown: Shown = field(default_factory=Shown)
    parts: tuple[SheetPart, ...] = PARTS
    scenes: dict[str, str] = field(default_factory=dict)  # views in the round, as JSON, by kind
    visitors: list[Visitor] = field(default_factory=list)
    version: int = 0
    _scenes_made: int = 0
    _framed: int = 0
    _frames: dict[int, dict[str, str]] = field(default_factory=dict)
    _to_keep: bool = False
    _keeping: asyncio.Future[None] | None = None
    _running: set[asyncio.Future[Any]] = field(default_factory=set)
    _later: asyncio.TimerHandle | None = None
    _lock: asyncio.Lock = field(default_factory=asyncio.Lock)

    async def page(self) -> str:
        """The whole page as it stands; its live line then sends what has changed since."""
        parts = await self._made()
        self._framed += 1
        self._frames[self._framed] = parts
        self._frames.pop(self._framed - FRAMES, None)
        title = self.document.file.design.vehicle.name
        return await anyio.to_thread.run_sync(frame, self.name, title, parts, self.parts, self._framed)

    def begin_page(self) -> None:
        """Make the parts of the page while the browser is still on its way: what is made is kept."""
        self._run(self._made())

    async def _made(self) -> dict[str, str]:
        async with self._lock:
            return await self._rendered()

    async def _rendered(self) -> dict[str, str]:
        return await anyio.to_thread.run_sync(render, self.name, self.document, self.shown, self.parts)

    def shown_as(self, number: str) -> dict[str, str]:
        """The parts of a page that was given out, by its number; none where it is not remembered."""
        return dict(self._frames.get(int(number), {})) if number.isdecimal() and len(number) < 9 else {}

    async def act(self, change: Callable[[Document], Any], *, gesture: str = "", reply: Any = None) -> None:
        """Do something to the document, show what came of it, and begin the slow work anew if its text has changed.

        `reply` is sent back with what is shown, so that the page knows which of its messages was answered.
        """
        async with self._lock:
            begun = time.perf_counter()
            text, system = self.document.file.text, self.document.view.system
            await anyio.to_thread.run_sync(self._do, change)
            if self.document.file.text != text:
                self._moved(gesture)
            elif self.document.view.system != system:
                self._begin_anew()  # what was worked out is told in the other system
            if gesture:
                await self._show(begun, reply)
                self._keep_soon()
            else:  # what is answered to is kept
                keeping = asyncio.ensure_future(self._keep())
                await self._show(begun, reply, keeping)

    def _keep_soon(self) -> None:
        """Put a recovery copy away without holding anybody up; of many edits while one is being written, the last counts."""
        self._to_keep = True
        if self._keeping is None or self._keeping.done():
            self._keeping = asyncio.ensure_future(self._keep_copies())

    async def _keep_copies(self) -> None:
        while self._to_keep:
            await asyncio.sleep(KEEP)
            self._to_keep = False
            await self._keep()

    async def _keep(self) -> None:
        before = self.document.unkept
        await anyio.to_thread.run_sync(self.keep, self.document)
        if self.document.unkept != before:
            self._show_soon()

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
        self._begin_anew()

    def _begin_anew(self) -> None:
        """What was worked out is not for what is shown now."""
        self.version += 1
        shown = self.shown
        shown.stale = shown.names | {"window", "moves"}
        shown.fault, shown.alone = "", {}
        self.worker.drop(self.slot)
        self.begin_later()
        for kind, ready in list(shown.beside.items()):
            if kind.startswith("round ") and ready is not None:
                shown.beside[kind] = {**ready, "late": True}

    def begin_later(self, after: float = IDLE) -> None:
        """Begin the slow work when no edit has come for a while."""
        if self._later is not None:
            self._later.cancel()
        self.shown.busy = "working out"
        self._later = asyncio.get_running_loop().call_later(after, self._begin)

    def _begin(self) -> None:
        self._ask("answers", {"questions": self.shown.questions}, self._answered)

    def stop(self) -> None:
        """Leave the slow work."""
        self.worker.drop(self.slot)
        self.worker.drop(self.slot + 1)
        if self._later is not None:
            self._later.cancel()
        self.shown.busy = ""

    def _job(self, what: str, asked: dict[str, Any], slot: int, file: DesignFile | None = None) -> Job:
        file = file or self.document.file
        held = tuple((file.held or {}).items())
        return Job(what, str(file.path), file.text, asked, slot, self.document.view.system, held)

    def _ask(self, what: str, asked: dict[str, Any], told: Callable[[str, Any], None]) -> None:
        loop, version = asyncio.get_running_loop(), self.version
        job = self._job(what, asked, self.slot)

        def tell(kind: str, value: Any) -> None:
            if version == self.version and kind != "dropped":
                loop.call_soon_threadsafe(hear, kind, value)

        def hear(kind: str, value: Any) -> None:
            if version != self.version:
                return
            if kind == "progress":
                self.shown.busy = f"working out {value}".strip()
            elif kind == "fault":
                self.shown.busy, self.shown.fault = "", value
            else:
                told(kind, value)
            self._show_soon()

        self.worker.ask(job, tell)

    def _answered(self, kind: str, value: Any) -> None:
        shown = self.shown
        if kind == "part":
            name, answer = value
            shown.stale -= {name}
            if isinstance(answer, Answer):
                shown.answers[name] = answer
                shown.lost.pop(name, None)
            else:
                shown.answers.pop(name, None)
                shown.lost[name] = answer
            return
        shown.notes = value
        shown.settled = dict(shown.answers)
        self._ask("window", {}, self._windowed)

    def _windowed(self, kind: str, value: Any) -> None:
        if kind == "done":
            assert isinstance(value, FullWindow)
            self.shown.window = value
            self.shown.stale -= {"window"}
            self._ask("moving", {"questions": self.shown.questions}, self._moves)

    def _moves(self, kind: str, value: Any) -> None:
        if kind == "done":
            self.shown.moves, self.shown.busy = value, ""
            self.shown.stale -= {"moves"}

    async def show(self) -> None:
        """Send every visitor what has changed."""
        async with self._lock:
            await self._show(time.perf_counter())

    async def _show(self, begun: float, reply: Any = None, first: asyncio.Future[None] | None = None) -> None:
        """Make the parts and send what has changed; `first` is waited for before anything is sent."""
        parts = await self._rendered()
        if first is not None:
            await first
        for visitor in list(self.visitors):
            changed = {name: html for name, html in parts.items() if visitor.sent.get(name) != html}
            visitor.sent = dict(parts)  # a part that is gone is forgotten: it is sent whole when it comes back
            message = {
                "parts": changed,
                "server": round(1e3 * (time.perf_counter() - begun), 2),
                "version": self.version,
                "n": reply,
            }
            try:
                await visitor.send(message)
            except Exception as error:  # the page has gone; the sheet goes on
                logging.getLogger("springwright").debug("a page has gone: %r", error)
                self.visitors.remove(visitor)

    async def asked(self, what: str, asked: dict[str, Any] | None = None) -> Any:
        """Have the slow process make something for this state, and wait for it.

        Raises
        ------
        SpringwrightError
            It could not be made.

        """
        loop = asyncio.get_running_loop()
        found: asyncio.Future[Any] = loop.create_future()

        def tell(kind: str, value: Any) -> None:
            if kind == "progress":
                loop.call_soon_threadsafe(self._say, f"{what}, {value}" if value else what)
            elif kind != "part":
                loop.call_soon_threadsafe(_settle, found, kind, value)

        self.worker.ask(self._job(what, asked or {}, self.slot + 1), tell)
        try:
            return await found
        finally:
            self._say("")

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

    async def cannot(self) -> None:
        """Say that something could not be done."""
        self.document.said = "That could not be done: the sheet has changed meanwhile. Try it again."
        await self.show()

    def _say(self, word: str) -> None:
        """A word on what is being worked out, for all who look."""
        self.shown.busy = f"working out {word}" if word else ""
        self._show_soon()

    async def each_alone(self) -> None:
        """Have the questions asked in every load state on its own and on every ground on its own."""
        self.shown.alone = {}
        version, loop = self.version, asyncio.get_running_loop()
        done = asyncio.Event()

        def tell(kind: str, value: Any) -> None:
            loop.call_soon_threadsafe(hear, kind, value)

        def hear(kind: str, value: Any) -> None:
            if kind == "progress":
                self._say(f"each alone, {value}" if value else "each alone")
            elif kind == "part" and version == self.version:
                name, answers = value
                self.shown.alone = {**self.shown.alone, name: answers}
                self._show_soon()
            elif kind != "part":
                done.set()

        self.worker.ask(self._job("alone", {"questions": self.shown.questions}, self.slot + 1), tell)
        await done.wait()
        self._say("")

    async def round(self, asked: dict[str, Any]) -> None:
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
        version = self.version
        wanted = {"kind": kind, "state": view.state, "ground": view.ground, "speed": view.speed}
        try:
            self.scenes[kind] = await self.asked("scene", wanted)
            self._scenes_made += 1
            ready = {
                "url": f"{self.name}/scene/{kind}?of={self._scenes_made}",
                "fault": "",
                "late": version != self.version,
            }
        except SpringwrightError as fault:
            ready = {"url": "", "fault": str(fault), "late": False}
        self.shown.beside[name] = ready
        await self.show()

    async def hold_against(self, desk: Any, asked: dict[str, Any]) -> None:
        """Hold this design against another state or design: read it, and have its questions asked."""
        other = await anyio.to_thread.run_sync(self._other, desk, asked)
        self.shown.beside["other"] = other
        self.document.view = replace(self.document.view, open=self.document.view.open | {"compare"})
        await self.show()
        if other is None or other.answers:
            return
        loop = asyncio.get_running_loop()

        def tell(kind: str, value: Any) -> None:
            if kind == "part" and isinstance(value[1], Answer):
                loop.call_soon_threadsafe(hear, *value)

        def hear(name: str, answer: Answer) -> None:
            other.answers[name] = answer
            self._show_soon()

        self.worker.ask(self._job("answers", {"questions": self.shown.questions}, self.slot + 1, other.file), tell)

    def _other(self, desk: Any, asked: dict[str, Any]) -> ComparedDesign | None:
        document = self.document
        if "sheet" in asked:
            one = desk.sheets[asked["sheet"]]
            told = not one.shown.stale and one.document.view.system == document.view.system
            return ComparedDesign(one.document.path.name, one.document.file, dict(one.shown.answers) if told else {})
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


def _settle(found: asyncio.Future[Any], kind: str, value: Any) -> None:
    if found.done():
        return
    if kind == "done":
        found.set_result(value)
    else:
        found.set_exception(SpringwrightError(value or "stopped"))
