"""Design files broken at random: each ends in an answer with finite figures or in a fault a builder can read; anything else is told.

python -m builders.fuzz --seconds 60 --seed 1

The seed decides every mutant, the time how many of them are tried. Demos are the stock; values are put out of range, of another
kind, of another unit, into the wrong place; tables, rows and files beside the design are cut, doubled and filled with rubbish.
"""

from __future__ import annotations

import argparse
import copy
import random
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import tomlkit

from springwright.errors import SpringwrightError
from springwright.studies.geometry import geometry
from springwright.studies.rigs import rest
from springwright.studies.sheet import size
from springwright.units import KINDS
from springwright.vehicle.file import load

DEMOS = Path(__file__).parent.parent / "src" / "springwright" / "demos"
SLOWEST = 30  # s that one mutant may take
FIGURES = ("0", "-1", "1e300", "-1e300", "1e-300", "nan", "inf", "-inf", "9" * 400, "", "1", "2.5e9", "0.001", "1e6")
UNITS = sorted({info.metric for info in KINDS.values()} | {"", "furlong", "N*m/s**9", "PSI", "in", "lbf/in", "degC"})
THINGS = (
    0,
    -1,
    1e300,
    float("nan"),
    True,
    "",
    "x",
    [],
    ["1 mm"],
    {},
    {"x": 1},
    [[]],
    [{}],
    "\x00",
    "springs.csv",
    "é" * 3000,
)


def places(data: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to everything in a design's data."""
    steps = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for step, value in steps:
        yield (*at, step)
        yield from places(value, (*at, step))


def holder(data: Any, at: tuple[Any, ...]) -> Any:
    """What holds the thing at a place."""
    for step in at[:-1]:
        data = data[step]
    return data


def broken(data: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """The data with one to three things wrong."""
    made = copy.deepcopy(data)
    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        at = chance.choice([*places(made)])
        here, step = holder(made, at), at[-1]
        way = chance.randrange(9)
        if way == 0:
            del here[step]
        elif way == 1:
            here[step] = chance.choice(THINGS)
        elif way in (2, 3, 4):
            here[step] = _figure(here[step], chance)
        elif way == 5 and isinstance(here, dict):
            here[chance.choice(["", "x", str(step).upper(), f"{step}s", "name"])] = here[step]
        elif way == 6 and isinstance(here, list):
            here.insert(chance.randrange(len(here) + 1), copy.deepcopy(here[step]))
        elif way == 7:
            other = chance.choice([*places(made)])
            here[step] = copy.deepcopy(holder(made, other)[other[-1]])
        else:
            here[step] = _scaled(here[step], chance)
    return made


def _figure(value: Any, chance: random.Random) -> Any:
    """A figure of another size or unit in place of a value."""
    if isinstance(value, str) and " " in value:
        number, unit = value.split(" ", 1)
        return f"{chance.choice(FIGURES)} {unit}" if chance.random() < 0.6 else f"{number} {chance.choice(UNITS)}"
    return (
        chance.choice(FIGURES)
        if isinstance(value, str)
        else chance.choice((0, -1, 1e300, 1e-300, 5, 1e9, float("inf")))
    )


def _scaled(value: Any, chance: random.Random) -> Any:
    """A figure ten or a thousand times too large or small."""
    factor = 10.0 ** chance.choice((-6, -3, -1, 1, 3, 6)) * chance.choice((1, 1, -1))
    if isinstance(value, int | float) and not isinstance(value, bool):
        return value * factor
    if isinstance(value, str):
        number, _, unit = value.partition(" ")
        try:
            return f"{float(number) * factor!r} {unit}".strip()
        except ValueError:
            return value + value
    return value


def garbled(raw: bytes, chance: random.Random) -> bytes:
    """A file with bytes cut, doubled, swapped or replaced."""
    made = bytearray(raw)
    for _ in range(chance.choice((1, 2, 5))):
        at = chance.randrange(len(made) + 1)
        end = min(len(made), at + chance.choice((1, 3, 40)))
        way = chance.randrange(5)
        made[at:end] = (
            b"" if way == 0
            else made[at:end] * 2 if way == 1
            else bytes(chance.randrange(256) for _ in range(end - at)) if way == 2
            else chance.choice((b",", b"\n", b"\n\n", b"[", b"\xff", b"nan", b"1e300", b"#", b"\"", b";")) if way == 3
            else made[at : at + 1]
        )  # fmt: skip
    return bytes(made)


def ask(path: Path) -> str:
    """Read a design, size it, stand it and look at its links; what came of it in a word.

    Raises
    ------
    Exception
        Anything that is no fault in a builder's words, and figures that are not finite.

    """
    try:
        file = load(path)
        sheet = size(file)
        rest(file)
        for axle in file.design.axles:
            geometry(file, axle.name)
    except SpringwrightError as error:
        if not str(error).strip():
            raise AssertionError("a fault without a word") from error
        return "refused"
    assert all(0 < one.wheel_rate < float("inf") for one in sheet.rates), "a wheel rate that is none"
    return "answered"


def dressed(text: str) -> str:
    """A demo with what no demo has: helpers, unlike sides, a sag, tyres at another pressure, something it is sure of."""
    data = tomlkit.parse(text).unwrap()
    front, rear = data["axles"][0], data["axles"][-1]
    bags = {
        "area": "80 cm**2",
        "volume": "2.6 L",
        "pressure": "0.8 bar",
        "bump_stroke": "140 mm",
        "droop_stroke": "150 mm",
    }
    coil = {"rate": "8 N/mm", "free_length": "260 mm", "solid_length": "80 mm"}
    acts = {"by": "beam", "base": "1000 mm"}
    rear["helpers"] = [
        {"name": "bags", "acts": acts, "seat_distance": "250 mm", "air": bags},
        {"name": "late", "acts": acts, "seat_distance": "250 mm", "clear": "30 mm", "owned": coil},
    ]
    rear["spring"]["right"] = {"spacer": "6 mm"}
    rear["tyre"]["size"] = "265/75R16"
    data["states"][-1]["tyre_pressure"] = {rear["name"]: "4 bar"}
    front["target"] = {**{key: one for key, one in front["target"].items() if key != "frequency"}, "sag": "145 mm"}
    data["sure"] = [f"axles.{rear['name']}.travel.bump"]
    return tomlkit.dumps(data)


def mutants(seed: int, folder: Path) -> Iterator[Callable[[], Path]]:
    """Broken designs without end, each written when it is asked for."""
    chance = random.Random(seed)
    stock = {path.name: path.read_text() for path in sorted(DEMOS.glob("*.toml"))}
    stock["dressed.toml"] = dressed(stock["fire-watch.toml"])
    catalogue = (DEMOS / "springs.csv").read_bytes()

    def write() -> Path:
        text = stock[chance.choice(sorted(stock))]
        way = chance.random()
        raw, beside = text.encode(), catalogue
        if way < 0.75:
            raw = _dumped(broken(tomlkit.parse(text).unwrap(), chance)) or raw
        elif way < 0.88:
            raw = garbled(raw, chance)
        else:
            beside = garbled(catalogue, chance)
        (folder / "springs.csv").write_bytes(beside)
        path = folder / "mutant.toml"
        path.write_bytes(raw)
        return path

    while True:
        yield write


def _dumped(data: dict[str, Any]) -> bytes | None:
    """Data as TOML; None where TOML has no words for it."""
    try:
        return tomlkit.dumps(data).encode()
    except (ValueError, TypeError, AttributeError):
        return None


def _too_slow(*_: Any) -> None:
    raise TimeoutError(f"took more than {SLOWEST} s")


def main() -> int:
    """Try mutants for a time; print every kind of finding once, with the file that made it."""
    asked = argparse.ArgumentParser(description="Break design files at random.")
    asked.add_argument("--seconds", type=float, default=60.0)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--keep", type=Path, default=Path("out/fuzz"), help="where files that found something are kept")
    given = asked.parse_args()
    signal.signal(signal.SIGALRM, _too_slow)
    warnings.simplefilter("error")
    found: dict[str, str] = {}
    counts = {"answered": 0, "refused": 0}
    until = time.monotonic() + given.seconds
    with tempfile.TemporaryDirectory() as name:
        for write in mutants(given.seed, Path(name)):
            if time.monotonic() > until:
                break
            path = write()
            signal.alarm(SLOWEST)
            try:
                counts[ask(path)] += 1
            except Exception as error:
                last = traceback.extract_tb(error.__traceback__)[-1]
                key = f"{type(error).__name__} at {Path(last.filename).name}:{last.lineno}: {str(error)[:200]}"
                kind = key.split(": ")[0]
                if kind not in found:
                    found[kind] = key
                    given.keep.mkdir(parents=True, exist_ok=True)
                    kept = given.keep / f"{len(found)}.toml"
                    kept.write_bytes(path.read_bytes())
                    (given.keep / f"{len(found)}.csv").write_bytes((path.parent / "springs.csv").read_bytes())
                    print(f"{key}\n    kept as {kept}", flush=True)
            finally:
                signal.alarm(0)
    total = sum(counts.values())
    print(
        f"{total} mutants in {given.seconds:g} s, seed {given.seed}: {counts['answered']} answered, {counts['refused']} refused, {len(found)} kinds of findings"
    )
    return 1 if found or not total else 0


if __name__ == "__main__":
    sys.exit(main())
