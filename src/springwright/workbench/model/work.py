"""Slow work away from the page: one process of its own that answers questions, draws windows, drives and typesets.

Every job is for one state of one design. A newer state makes the older jobs moot: they are dropped from the queue,
and the one being worked on stops at its next word of progress. An answer is told with the state it is for, so that
two edits in flight can never show a stale one.
"""

from __future__ import annotations

import contextlib
import ctypes
import gc
import itertools
import multiprocessing
import os
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import anyio.to_thread

from springwright.errors import Fault, InputError, SpringwrightError
from springwright.units import System

_CONTEXT = multiprocessing.get_context("spawn")  # a copy made later would have the server's threads and sockets
SLOTS = 2048  # two for each sheet
STUDIES = (
    "exchange",
    "front",
    "spread",
    "measure",
    "tried",
)  # jobs that take so long that answers must not wait behind them
LONGEST_READ = 20.0  # s, with the start of the process that reads


@dataclass(frozen=True)
class Job:
    """Something to work out: `what` names it in `JOBS`, `text` and `path` are the design, `asked` its arguments.

    `held` are files beside it as they were last read. Sentences are told in `system`. Jobs of one `slot` are dropped together.
    """

    what: str
    path: str
    text: str
    asked: dict[str, Any] = field(default_factory=dict)
    slot: int = 0
    system: System = "metric"
    held: tuple[tuple[str, str], ...] = ()


class Dropped(BaseException):
    """The job is not wanted any more; no fault, so that nothing on the way takes it for one."""


# Told of a job: "progress" with a word, "part" with a piece, then "done" with the whole, "fault" with a message or "dropped".
Told = Callable[[str, Any], None]


class Worker:
    """The process and its queue. `tell` is called from a thread of the worker's own; long studies have a process beside it."""

    def __init__(self, *, studies: bool = True) -> None:
        self._studies = Worker(studies=False) if studies else None
        self._least = _CONTEXT.RawArray("q", SLOTS)  # for each slot: jobs numbered below it are not wanted
        self._tells: dict[int, Told] = {}
        self._numbers = itertools.count(1)
        self._lock = threading.Lock()
        self._process: Any = None  # begun with the first job, so that the page comes first
        self._shut = False

    def begin_as_copy(self, leave: Callable[[], None]) -> None:
        """Begin the process as a copy of this one: what is loaded has not to be loaded again and takes no place twice.

        `leave` has the copy let go of what is this one's alone. Only where a copy is safe, on Linux, while there is no thread but this one;
        elsewhere it begins with the first job.
        """
        if sys.platform == "linux" and threading.active_count() == 1:
            self._start(multiprocessing.get_context("fork"), leave)

    def _start(self, context: Any = _CONTEXT, leave: Callable[[], None] | None = None) -> None:
        self._pipe, other = context.Pipe()
        copied = () if leave is None else (self._pipe.close, leave)  # or it would not see this one end
        self._process = context.Process(target=_work, args=(other, self._least, copied), daemon=True)
        self._process.start()
        other.close()
        threading.Thread(target=self._listen, args=(self._pipe,), daemon=True).start()

    def ask(self, job: Job, tell: Told) -> None:
        """Queue a job."""
        if self._studies is not None and job.what in STUDIES:
            self._studies.ask(job, tell)
            return
        with self._lock:
            if self._process is None or not self._process.is_alive():
                self._start()
            number = next(self._numbers)
            self._tells[number] = tell
            self._pipe.send((number, job))

    def drop(self, slot: int) -> None:
        """Have every job asked so far in a slot stop."""
        if self._studies is not None:
            self._studies.drop(slot)
        with self._lock:
            self._least[slot % SLOTS] = next(self._numbers)

    async def check(self, text: str, folder: Path) -> None:
        """Read and size a text that came from outside as a design, in a process that is ended if it takes too long.

        Raises
        ------
        SpringwrightError
            It is no design, or reading and sizing it takes longer than a design can.

        """
        await anyio.to_thread.run_sync(_check_apart, text, folder)

    def close(self) -> None:
        """End the process; nobody is told any more."""
        if self._studies is not None:
            self._studies.close()
        self._shut = True
        if self._process is not None:
            self._process.kill()
            self._process.join(1.0)

    def _listen(self, pipe: Any) -> None:
        while True:
            try:
                number, what, value = pipe.recv()
            except (EOFError, OSError):
                break
            tell = self._tells.get(number) if what in ("progress", "part") else self._tells.pop(number, None)
            if tell is not None and not self._shut:
                with contextlib.suppress(RuntimeError):  # the page has gone meanwhile
                    tell(what, value)
        left, self._tells = self._tells, {}  # the process has ended: nobody waits for ever
        for tell in left.values() if not self._shut else ():
            tell("fault", "the process that works this out has ended; ask again")


def _check_apart(text: str, folder: Path) -> None:
    mine, other = _CONTEXT.Pipe()
    process = _CONTEXT.Process(target=_check, args=(other, text, folder), daemon=True)
    process.start()
    other.close()
    try:
        if not mine.poll(LONGEST_READ):
            raise InputError(
                "this file",
                [Fault("", "", f"takes more than {LONGEST_READ:.0f} s to read and size; that is no design file")],
            )
        fault = mine.recv()
    except EOFError:
        fault = "this file cannot be read"
    finally:
        process.kill()
    if fault:
        raise SpringwrightError(fault)


def _check(pipe: Any, text: str, folder: Path) -> None:
    import tomlkit

    from springwright.motion.compiled import compiled
    from springwright.sizing.fitted import sized
    from springwright.vehicle.file import leniently
    from springwright.workbench.model.reading import stays_beside

    path = folder / "this file"
    try:
        tomlkit.parse(text)
        stays_beside(text, path)
        file = leniently(path, text)
        if compiled():  # else the slow process sizes it first
            sized(file)
    except SpringwrightError as fault:
        pipe.send(str(fault))
    except (ValueError, RecursionError) as fault:
        pipe.send(f"this file: is no design file: {fault}")
    else:
        pipe.send("")


def give_back() -> None:
    """Give memory that is not needed any more back to the system, where it takes it: drives and edits leave a third of all that is held.

    Takes a tenth of a second; for when nobody waits.
    """
    gc.collect()
    if sys.platform == "linux":
        with contextlib.suppress(AttributeError):  # another C library
            ctypes.CDLL(None).malloc_trim(0)


def _work(pipe: Any, least: Any, leave: tuple[Callable[[], None], ...] = ()) -> None:
    import signal
    from collections import defaultdict
    from functools import partial

    from springwright.evaluation import Evaluation
    from springwright.units import displayed_in
    from springwright.vehicle.file import leniently
    from springwright.workbench.model.jobs import JOBS

    for let_go in leave:
        let_go()
    if hasattr(os, "nice"):
        os.nice(10)  # the page and its server come first
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends this process

    evaluations: dict[int, Evaluation] = defaultdict(Evaluation)  # one for each open design and what is asked beside it

    while True:
        try:
            if not pipe.poll():
                give_back()
            number, job = pipe.recv()
        except (EOFError, OSError):
            return

        def say(what: str, value: Any, number: int = number, slot: int = job.slot % SLOTS) -> None:
            if number < least[slot]:
                raise Dropped
            pipe.send((number, what, value))

        try:
            say("progress", "")
            with displayed_in(job.system), evaluations[job.slot] as evaluation:
                written = job.path, job.text, job.held
                file = evaluation.last("file", written, partial(leniently, Path(job.path), job.text, dict(job.held)))
                say("done", JOBS[job.what](file, say, **job.asked))
        except Dropped:
            pipe.send((number, "dropped", None))
        except SpringwrightError as fault:
            pipe.send((number, "fault", str(fault)))
        except Exception as error:  # a fault of ours: told, and the worker lives on
            pipe.send(
                (
                    number,
                    "fault",
                    f"this could not be worked out, by a fault of the program: {type(error).__name__}: {error}",
                )
            )
