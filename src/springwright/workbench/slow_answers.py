"""What the slow process works out for a sheet: the answers, then the window and the sensitivities, and what is asked for beside them."""

from __future__ import annotations

import asyncio
import itertools
from collections.abc import Callable
from typing import Any

from springwright.errors import SpringwrightError
from springwright.questions.answer import Answer
from springwright.questions.dynamic_requirements import FullWindow
from springwright.vehicle.file import DesignFile
from springwright.workbench.model.document import Document
from springwright.workbench.model.shown import Shown, Study
from springwright.workbench.model.work import Job, Worker, give_back

RESULTS = itertools.count(1)
IDLE = 0.5  # s without an edit before slow work is begun


class SlowAnswers:
    """Asks the slow process and puts what comes into what is shown; `version` counts states of the design, and results say which they are for.

    `show_soon` is called where there is something new to see.
    """

    def __init__(
        self, document: Document, shown: Shown, worker: Worker, slot: int, show_soon: Callable[[], None]
    ) -> None:
        self._document, self._shown, self._worker, self._slot, self._show_soon = (
            document,
            shown,
            worker,
            slot,
            show_soon,
        )
        self.version = 0
        self._later: asyncio.TimerHandle | None = None

    def begin_anew(self) -> None:
        """What was worked out is not for what is shown now."""
        self.version += 1
        shown = self._shown
        shown.stale = shown.names | {"window", "moves"}
        shown.fault, shown.alone = "", {}
        self._worker.drop(self._slot)
        if self._document.unfinished is not None:
            self.stop()
            return
        self.begin_later()
        for study in shown.studies.values():
            study.late = (study.text, study.system) != (self._document.file.text, self._document.view.system)
        for kind, ready in list(shown.beside.items()):
            if kind.startswith("round ") and ready is not None:
                shown.beside[kind] = {**ready, "late": True}

    def begin_later(self, after: float = IDLE) -> None:
        """Begin when no edit has come for a while."""
        if self._document.unfinished is not None:
            return
        if self._later is not None:
            self._later.cancel()
        self._shown.busy = "working out"
        self._later = asyncio.get_running_loop().call_later(after, self.begin)

    def begin(self) -> None:
        """Ask the questions."""
        self._ask("answers", {"questions": self._shown.questions}, self._answered)

    def stop(self) -> None:
        """Leave it."""
        self._worker.drop(self._slot)
        self._worker.drop(self._slot + 1)
        if self._later is not None:
            self._later.cancel()
        self._shown.busy = ""

    def say(self, word: str) -> None:
        """A word on what is being worked out, for all who look."""
        self._shown.busy = f"working out {word}" if word else ""
        self._show_soon()

    async def asked(self, what: str, asked: dict[str, Any] | None = None) -> Any:
        """Have something made for this state, and wait for it.

        Raises
        ------
        SpringwrightError
            It could not be made.

        """
        loop = asyncio.get_running_loop()
        found: asyncio.Future[Any] = loop.create_future()

        def tell(kind: str, value: Any) -> None:
            if kind == "progress":
                loop.call_soon_threadsafe(self.say, f"{what}, {value}" if value else what)
            elif kind != "part":
                loop.call_soon_threadsafe(_settle, found, kind, value)

        self._worker.ask(self._job(what, asked or {}, self._slot + 1), tell)
        try:
            return await found
        finally:
            self.say("")

    async def each_alone(self) -> None:
        """Have the questions asked in every load state on its own and on every ground on its own."""
        self._shown.alone = {}
        version, loop = self.version, asyncio.get_running_loop()
        done = asyncio.Event()

        def tell(kind: str, value: Any) -> None:
            loop.call_soon_threadsafe(hear, kind, value)

        def hear(kind: str, value: Any) -> None:
            if kind == "progress":
                self.say(f"each alone, {value}" if value else "each alone")
            elif kind == "part" and version == self.version:
                name, answers = value
                self._shown.alone = {**self._shown.alone, name: answers}
                self._show_soon()
            elif kind != "part":
                done.set()

        self._worker.ask(self._job("alone", {"questions": self._shown.questions}, self._slot + 1), tell)
        await done.wait()
        self.say("")

    async def study(self, what: str) -> None:
        """Have a study made of this state of the design; what there is of it so far is shown as it comes."""
        if what == "measure":
            self._shown.tried = frozenset()
            self._shown.studies.pop("tried", None)
        built = self._shown.built
        asked: dict[str, dict[str, Any]] = {
            "exchange": {"questions": self._shown.questions},
            "front": {
                "questions": self._shown.questions,
                "most": self._document.view.designs,
                "kept": self._document.searched,
            },
            "spread": {},
            "measure": {"questions": self._shown.questions, "readings": str(self._document.readings.path)},
        }
        if built is not None:
            some = tuple(built.back[k] for k in sorted(self._shown.tried))
            asked["tried"] = {"built": built.text, "some": some, "questions": self._shown.questions}
        job = self._job(what, asked[what], self._slot + 1)
        study = self._shown.studies[what] = Study(
            busy="begun",
            text=self._document.file.text,
            system=self._document.view.system,
            reads=self._document.readings.text if what == "measure" else "",
        )
        loop, done = asyncio.get_running_loop(), asyncio.Event()

        def tell(kind: str, value: Any) -> None:
            loop.call_soon_threadsafe(hear, kind, value)

        def hear(kind: str, value: Any) -> None:
            if kind == "progress":
                study.busy = value or "begun"
            elif kind in ("part", "done"):
                study.result, study.made = value, next(RESULTS)
            elif kind == "fault":
                study.fault = value
            if kind not in ("progress", "part"):
                study.busy, study.stopped = "", kind == "dropped"
                done.set()
            self._show_soon()

        self._show_soon()
        self._worker.ask(job, tell)
        await done.wait()

    async def try_back(self, of: int | None) -> None:
        """Tick or untick one of what brings a vehicle as built back, or all of it, and ask what those ticked do together."""
        built = self._shown.built
        every = frozenset(range(len(built.back) if built is not None else 0))
        before = self._shown.tried
        self._shown.tried = before ^ ({of} & every) if of is not None else frozenset() if before == every else every
        if self._shown.tried:
            await self.study("tried")
        else:
            self._shown.studies.pop("tried", None)
            self._show_soon()

    def leave_studies(self) -> None:
        """Leave those that go on; what they found so far stays."""
        self._worker.drop(self._slot + 1)

    def answers_of(self, file: DesignFile, into: dict[str, Answer]) -> None:
        """Have the questions asked of another design, each answer put `into` as it comes."""
        loop = asyncio.get_running_loop()

        def tell(kind: str, value: Any) -> None:
            if kind == "part" and isinstance(value[1], Answer):
                loop.call_soon_threadsafe(hear, *value)

        def hear(name: str, answer: Answer) -> None:
            into[name] = answer
            self._show_soon()

        self._worker.ask(self._job("answers", {"questions": self._shown.questions}, self._slot + 1, file), tell)

    def _job(self, what: str, asked: dict[str, Any], slot: int, file: DesignFile | None = None) -> Job:
        file = file or self._document.file
        held = tuple((file.held or {}).items())
        return Job(what, str(file.path), file.text, asked, slot, self._document.view.system, held)

    def _ask(self, what: str, asked: dict[str, Any], told: Callable[[str, Any], None]) -> None:
        loop, version = asyncio.get_running_loop(), self.version
        job = self._job(what, asked, self._slot)

        def tell(kind: str, value: Any) -> None:
            if version == self.version and kind != "dropped":
                loop.call_soon_threadsafe(hear, kind, value)

        def hear(kind: str, value: Any) -> None:
            if version != self.version:
                return
            if kind == "progress":
                self._shown.busy = f"working out {value}".strip()
            elif kind == "fault":
                self._shown.busy, self._shown.fault = "", value
            else:
                told(kind, value)
            self._show_soon()

        self._worker.ask(job, tell)

    def _answered(self, kind: str, value: Any) -> None:
        shown = self._shown
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
            self._shown.window = value
            self._shown.stale -= {"window"}
            self._ask("moving", {"questions": self._shown.questions}, self._moves)

    def _moves(self, kind: str, value: Any) -> None:
        if kind == "done":
            self._shown.moves = value
            self._shown.stale -= {"moves"}
            shown = self._shown
            found = tuple(shown.answers[one.name] for one in shown.questions if one.name in shown.answers)
            self._ask("worths", {"questions": shown.questions, "found": found}, self._worth)

    def _worth(self, kind: str, value: Any) -> None:
        if kind == "part":
            self._shown.answers[value[0]] = value[1]
        elif kind == "done":
            self._shown.worths, self._shown.busy = value, ""
            give_back()


def _settle(found: asyncio.Future[Any], kind: str, value: Any) -> None:
    if found.done():
        return
    if kind == "done":
        found.set_result(value)
    else:
        found.set_exception(SpringwrightError(value or "stopped"))
