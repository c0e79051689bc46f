"""What all campaigns share: tries for a time or a number, every kind of finding told once and kept, a count at the end."""

from __future__ import annotations

import argparse
import random
import signal
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from math import ceil
from pathlib import Path

import numpy as np

Attempt = Callable[[random.Random], str]  # what came of it in a word; raises what is a finding


@contextmanager
def within(seconds: int) -> Iterator[None]:
    """A try that hangs is ended, and is a finding: one that works for so long, or waits ten times as long.

    Nothing is watched where the system has no such alarms.
    """

    def ring(*_: object) -> None:
        raise TimeoutError(f"took more than {seconds} s of work, or ten times as much of waiting")

    if not hasattr(signal, "SIGALRM"):
        yield
        return
    alarms = ((signal.ITIMER_REAL, signal.SIGALRM, 10 * seconds), (signal.ITIMER_PROF, signal.SIGPROF, seconds))
    before = [signal.signal(number, ring) for _, number, _ in alarms]
    for timer, _, after in alarms:
        signal.setitimer(timer, after)
    try:
        yield
    finally:
        for (timer, number, _), was in zip(alarms, before, strict=True):
            signal.setitimer(timer, 0)
            signal.signal(number, was)


def pace() -> float:
    """How many times slower this machine is now than one that decomposes a 400 by 400 matrix in 0.05 s; 1 at least."""
    matrix = np.random.default_rng(0).normal(size=(400, 400))
    begun = time.perf_counter()
    np.linalg.svd(matrix)
    return max(1.0, (time.perf_counter() - begun) / 0.05)


def kind_of(error: BaseException) -> str:
    """The kind of a finding: the error and the line that raised it."""
    last = traceback.extract_tb(error.__traceback__)[-1]
    return f"{type(error).__name__} at {Path(last.filename).name}:{last.lineno}"


def asked(purpose: str) -> argparse.Namespace:
    """What a campaign is asked for on the command line."""
    parser = argparse.ArgumentParser(description=purpose)
    parser.add_argument("--seconds", type=float, default=60.0, help="how long new tries are begun")
    parser.add_argument("--most", type=int, default=10**9, help="how many tries at most")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, default=Path("out/campaigns"), help="where what found something is kept")
    return parser.parse_args()


def run(
    name: str,
    attempt: Attempt,
    given: argparse.Namespace,
    keep: Callable[[Path], object] = lambda _: None,
    *,
    slowest: int,
) -> int:
    """Try until the time or the number is over; the exit status: 1 where anything was found or nothing was tried.

    `keep` is given a folder for what made a finding; `slowest` is the time [s] that a try may take, longer where the machine is slow.
    """
    found: dict[str, int] = {}
    counts: Counter[str] = Counter()
    until = time.monotonic() + given.seconds
    number, limit = 0, ceil(slowest * pace())
    while number < given.most and time.monotonic() < until:
        chance = random.Random(f"{given.seed} {number}")  # every try can be made alone
        number += 1
        try:
            with within(limit):
                counts[attempt(chance)] += 1
        except Exception as error:
            kind = kind_of(error)
            found[kind] = found.get(kind, 0) + 1
            if found[kind] == 1:
                folder = given.keep / f"{name}-{given.seed}-{number - 1}"
                folder.mkdir(parents=True, exist_ok=True)
                keep(folder)
                (folder / "found.txt").write_text("".join(traceback.format_exception(error)))
                print(f"{kind}: {str(error)[:300]}\n    kept in {folder}", flush=True)
    told = ", ".join(f"{count} {word}" for word, count in sorted(counts.items()))
    print(f"{name}: {number} tries, seed {given.seed}: {told or 'none ended well'}; {len(found)} kinds of findings in {sum(found.values())} tries")  # fmt: skip
    return 1 if found or not number else 0
