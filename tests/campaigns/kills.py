"""Processes killed, disks full and clocks wrong: nothing half-written, nothing lost that was answered to.

python -m tests.campaigns.kills --seconds 60 --seed 1

A child does what a command or the workbench does, and dies after a random time or right before one of its steps on the disk, or has
that step refused (full, read-only, failing). What it had said to be done is then looked for. Now and then a whole workbench is
started as a user does, edited over its line and killed.
"""

from __future__ import annotations

import asyncio
import errno
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import tomllib
import traceback
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from springwright.__main__ import main as main_command
from springwright.errors import SpringwrightError
from springwright.questions.at_rest import rest
from springwright.vehicle.file import load
from springwright.vehicle.starter import start
from springwright.workbench import copies, open_sheet
from springwright.workbench.actions import ACTIONS
from springwright.workbench.audience import Reply, Visitor
from springwright.workbench.model.document import Document
from springwright.workbench.workspace import Desk
from tests.bench import Bench, compiled, say
from tests.campaigns.common import asked, run
from tests.served import served

SLOWEST = 20  # s of work that one try may take
OLD = b"what stood there before\n"
COMMANDS = (
    ("size", "-o", "out.csv"), ("size", "-o", "out.html"), ("modes", "-o", "out.csv"), ("modes", "-o", "out.svg"), ("rest", "-o", "out.csv"),
    ("geometry", "front", "-o", "out.csv"), ("geometry", "front", "-o", "out.svg"), ("part", "front spring", "-o", "out.csv"), ("order", "-o", "out.csv"),
    ("window", "-o", "out.csv"), ("window", "-o", "out.svg"), ("prove", "--question", "level", "-o", "out.csv"),
    ("drive", "--ground", "half-round 60 mm", "--speed", "20 km/h", "-o", "out.csv"), ("size", "-o", "out.pdf"), ("new", "out.toml", "--force"),
    ("new", "new.toml", "--demo", "fire-watch"),
)  # fmt: skip
RARE = (("report", "-o", "out.pdf"), ("prove", "-o", "out.csv"))  # they take long
STEPS = ("open", "fsync", "replace", "unlink", "chmod")  # of `os`: each may be the last, or refused
REFUSALS = (errno.ENOSPC, errno.EROFS, errno.EIO, errno.EACCES)


class Idle:
    """The slow process, away: what it is asked is not done."""

    def ask(self, job: Any, told: Any) -> None:
        """Nothing."""

    def drop(self, slot: int) -> None:
        """Nothing."""


@dataclass
class Doom:
    """When a child dies: at a step on the disk, or not by itself; `refusals` says which steps are refused instead."""

    step: int = -1
    refused: dict[int, int] = field(default_factory=dict)
    done: int = 0

    def put_on(self) -> None:
        """Have every step on the disk counted, from now on and in this process."""
        for name in STEPS:
            setattr(os, name, self._wrapped(getattr(os, name)))

    def _wrapped(self, step: Callable[..., Any]) -> Callable[..., Any]:
        def counted(*given: Any, **more: Any) -> Any:
            self.done += 1
            if self.done == self.step:
                os.kill(os.getpid(), signal.SIGKILL)
            if self.done in self.refused:
                code = self.refused[self.done]
                raise OSError(code, os.strerror(code))
            return step(*given, **more)

        return counted


def void(_: object) -> None:
    """Nothing."""


@dataclass
class Child:
    """A process that does something and says what it has done, until it dies."""

    work: Callable[[Callable[[str], None]], None]
    doom: Doom = field(default_factory=Doom)

    def __post_init__(self) -> None:
        self._hear, tell = os.pipe()
        self.number = os.fork()
        if self.number:
            os.close(tell)
            return
        os.close(self._hear)
        self._live(tell)

    def _live(self, tell: int) -> None:
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, 1)
        os.dup2(nothing, 2)
        write = os.write
        try:
            self.doom.put_on()
            self.work(lambda said: void(write(tell, f"{said}\n".encode())))
        except SpringwrightError as fault:
            write(tell, f"refused: {fault}\n".encode())
        except BaseException:
            write(tell, f"finding: {traceback.format_exc()}\n".encode())
        finally:
            os._exit(0)

    def end(self, after: float | None) -> list[str]:
        """What it said, killed after a time [s], or left to its end; a fault that is not for a builder is a finding."""
        if after is not None:
            time.sleep(after)
            os.kill(self.number, signal.SIGKILL)
        with os.fdopen(self._hear, encoding="utf-8", errors="replace") as said:
            lines = said.read().splitlines()
        os.waitpid(self.number, 0)
        at = next((i for i, line in enumerate(lines) if line.startswith("finding: ")), None)
        assert at is None, "\n".join(lines[at:])
        return lines


def is_whole(left: bytes, whole: bytes, out: Path) -> bool:
    """Whether a file is all that its command writes; a PDF bears the time it was made at."""
    if out.suffix == ".pdf":
        return left.startswith(b"%PDF") and left.rstrip().endswith(b"%%EOF") and abs(len(left) / len(whole) - 1) < 0.01
    return left == whole


@dataclass
class Killing:
    """Kills in a folder of its own, which it makes anew for every try."""

    around: Path
    whole: dict[tuple[str, ...], bytes] = field(default_factory=dict)

    def __call__(self, chance: random.Random) -> str:
        """One kill of some kind."""
        for path in self.around.iterdir():
            shutil.rmtree(path)
        self.folder = self.around / "designs"
        self.folder.mkdir()
        start(self.folder / "truck.toml", "survey-buggy")
        way = chance.random()
        if way < 0.45:
            return self._command(chance)
        if way < 0.98:
            return self._desk(chance)
        return self._served(chance)

    def keep(self, folder: Path) -> None:
        """Keep the files as they were left."""
        shutil.copytree(self.around, folder, dirs_exist_ok=True)

    # --- a command

    def _command(self, chance: random.Random) -> str:
        command = chance.choice(RARE if chance.random() < 0.004 else COMMANDS)
        whole = self._whole(command)
        out = self._out(command)
        before = {path.name: path.read_bytes() for path in self.folder.iterdir()}
        if out.name != "new.toml":
            out.write_bytes(OLD)
        after = None
        if chance.random() < 0.3:
            doom, after = Doom(), chance.uniform(0, 0.6)
        elif chance.random() < 0.7:
            doom = Doom(chance.randrange(1, 12))
        else:
            doom = Doom(refused={chance.randrange(1, 8): chance.choice(REFUSALS)})
        Child(lambda _: self._run(command), doom).end(after)
        for name, raw in before.items():
            assert (self.folder / name).read_bytes() == raw, f"{name} was changed by {command}"
        left = out.read_bytes() if out.exists() else OLD
        assert left == OLD or is_whole(left, whole, out), f"{out.name} is half-written by {command}"
        return "commands"

    def _run(self, command: tuple[str, ...]) -> None:
        os.chdir(self.folder)
        asked_of = () if command[0] == "new" else ("truck.toml",)
        sys.argv = ["springwright", command[0], *asked_of, *command[1:]]
        with suppress(SystemExit):
            main_command()

    def _whole(self, command: tuple[str, ...]) -> bytes:
        """What a command writes when it is let."""
        if command not in self.whole:
            Child(lambda _: self._run(command)).end(None)
            out = self._out(command)
            self.whole[command] = out.read_bytes()
            out.unlink()
        return self.whole[command]

    def _out(self, command: tuple[str, ...]) -> Path:
        return self.folder / command[command.index("-o") + 1 if "-o" in command else 1]

    # --- the workbench, without its line

    def _desk(self, chance: random.Random) -> str:
        """Edits and saves in one or two workbenches, killed; what comes back when the design is opened again."""
        home = self.around / "home"
        for _ in range(chance.choice((1, 2, 3))):
            children, seeds = [], []
            for first in (1000, 2000)[: chance.choice((1, 1, 2))]:
                doom = Doom()
                if chance.random() < 0.5:
                    doom = Doom(chance.randrange(1, 60))
                elif chance.random() < 0.5:
                    doom = Doom(refused={chance.randrange(1, 50): chance.choice(REFUSALS) for _ in range(3)})
                seeds.append(chance.random())
                children.append(Child(partial(self._edits, home, first, seeds[-1]), doom))
            said = [child.end(chance.uniform(0.05, 0.6) if chance.random() < 0.5 else None) for child in children]
            for path in home.rglob("*.json"):  # the clock was wrong
                jump = chance.uniform(-1e7, 1e7)
                os.utime(path, (time.time() + jump, time.time() + jump))
            self._comes_back(home, said)
        return "desks" if len(children) == 1 else "two desks"

    def _edits(self, home: Path, first: int, seed: float, tell: Callable[[str], None]) -> None:
        chance = random.Random(seed)
        open_sheet.render = lambda *_: {}  # pages are looked at by others
        copies.KEEP = 0.0
        desk = Desk(self.folder, Idle(), home)
        sheet = desk.open(self.folder / "truck.toml")
        document = sheet.document

        async def answered(message: dict[str, Any]) -> None:
            if message["n"] is not None and not document.unkept:
                tell(f"{'saved' if not document.dirty else 'edited'} {_mass(document.file.text)}")

        async def story() -> None:
            visitor = Visitor(answered)
            sheet.audience.visitors.append(visitor)
            for k in range(12):
                if chance.random() < 0.7:
                    tell(f"edits {first + k}")
                    asked_for = {"at": ["kerb", "mass"], "value": f"{first + k} kg"}
                    await sheet.act(partial(_act, "put", asked_for), reply=Reply(visitor, k))
                else:
                    tell(f"saves {_mass(document.file.text)}")
                    await sheet.act(partial(_act, "save", {"over": chance.random() < 0.3}), reply=Reply(visitor, k))
            sheet.slow.stop()

        asyncio.run(story())

    def _comes_back(self, home: Path, said: list[list[str]]) -> None:
        """Whatever was answered is there again: as it stands, a step back, on the disk or kept beside it."""
        path = self.folder / "truck.toml"
        disk = _mass(load(path).text)
        beside = {_mass(one.read_text()) for one in self.folder.glob("truck.replaced-*.toml")}
        (told,) = Child(partial(self._opened, home)).end(None)
        found = json.loads(told)
        here = {found["now"], disk, *beside, *found["steps"]}
        for lines in said:
            kept = [line.split()[1] for line in lines if line.split()[0] in ("edited", "saved")]
            others = [line for other in said if other is not lines for line in other]
            if kept and f"saved {kept[-1]}" in lines and any(line.startswith("saves") for line in others):
                continue  # the other may have gone on from it, and saved
            assert not kept or kept[-1] in here, f"{kept[-1]} was answered and is lost; there are {sorted(here)}"
        if len(said) == 1 and (kept := [line for line in said[0] if line.split()[0] in ("edited", "saved")]):
            after = said[0][said[0].index(kept[-1]) :]
            may = {line.split()[1] for line in after}
            assert found["now"] in may, f"{found['now']} came back where {sorted(may)} was left"

    def _opened(self, home: Path, tell: Callable[[str], None]) -> None:
        document = Desk(self.folder, Idle(), home).open(self.folder / "truck.toml").document
        steps = [_mass(step.text) for step in (*document.past, *document.future)]
        tell(json.dumps({"now": _mass(document.file.text), "steps": steps}))

    # --- the whole workbench

    def _served(self, chance: random.Random) -> str:
        """Edits over the line, the process killed; what was answered is there again."""
        home = self.around / "home"
        answered = ""
        with served(self.folder, home=home) as one:
            bench = Bench(compiled(one))
            with bench.live() as line:
                for k in range(chance.randrange(1, 5)):
                    answered = str(3000 + k)
                    say(line, do="put", at=["kerb", "mass"], value=f"{answered} kg")
                assert one.process is not None
                one.process.kill()
        (told,) = Child(partial(self._opened, home)).end(None)
        assert json.loads(told)["now"] == answered
        return "whole workbenches"


def _act(what: str, asked_for: dict[str, Any], document: Document) -> None:
    ACTIONS[what](document, asked_for)


def _mass(text: str) -> str:
    """The figure that the edits move."""
    return str(tomllib.loads(text)["kerb"]["mass"]).split()[0]


def main() -> int:
    """Kill for a time."""
    with tempfile.TemporaryDirectory() as name:
        around = Path(name)
        file = around / "warm.toml"
        start(file, "survey-buggy")
        rest(load(file))  # compiled once, for all children
        for path in around.iterdir():
            path.unlink()
        killing = Killing(around)
        return run("kills", killing, asked("Kill what writes."), killing.keep, slowest=SLOWEST)


if __name__ == "__main__":
    sys.exit(main())
