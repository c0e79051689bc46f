"""Files of an older format, lifted to the one that is written now: keys that were given the trade's names."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from springwright.errors import Fault, InputError

FORMAT = 2

_SPRING = {"seat_distance": "installed_length", "owned": "existing", "endless_least": "infinite_life_least"}
_DAMPER = {"open_length": "extended_length", "closed_length": "compressed_length"}
_ACTS = {"change": "progression"}
# Format 1 to 2: by the way to a table (* is any entry of a list), the keys in it that have another name.
RENAMED: dict[tuple[str, ...], Mapping[str, str]] = {
    (): {"mission": "duty_cycle"},
    ("limits",): {
        "load_factor": "bump_load_factor",
        "coil_loaded_at_droop": "preload_at_droop",
        "diagonal_height": "cross_axle_height",
    },
    ("axles", "*", "spring"): _SPRING,
    ("axles", "*", "spring", "acts"): _ACTS,
    ("axles", "*", "helpers", "*"): _SPRING,
    ("axles", "*", "helpers", "*", "acts"): _ACTS,
    ("axles", "*", "damper"): _DAMPER,
    ("axles", "*", "damper", "acts"): _ACTS,
}
NEW_NAMES = {old: new for names in RENAMED.values() for old, new in names.items()}
# What a name in `sure` says of a spring.
_SURE = re.compile(r"^(axles\..+\.spring)\.(seat_distance|owned)(?=$|\.)")
_TEXT = re.compile(r"""(\"{3}(?:\\.|[^\\])*?\"{3}|'{3}.*?'{3}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*)""", re.S)
_KEY = re.compile(rf"(?<![\w-])({'|'.join(NEW_NAMES)})(?=\s*[=.\]])")
_QUOTED = re.compile(rf"""^(["'])({"|".join(NEW_NAMES)})\1$""")


def renamed(data: Any, at: tuple[str, ...] = ()) -> Any:
    """Data of a format 1 file with the keys of format 2; `at` is the way to it. A key that has its new name beside it is left."""
    if isinstance(data, dict):
        names = {old: new for old, new in RENAMED.get(at, {}).items() if new not in data}
        return {names.get(key, key): renamed(value, (*at, key)) for key, value in data.items()}
    if isinstance(data, list):
        return [renamed(one, (*at, "*")) for one in data]
    return _sure(data) if at == ("sure", "*") else data


def _sure(name: Any) -> Any:
    return _SURE.sub(lambda found: f"{found[1]}.{_SPRING[found[2]]}", name) if isinstance(name, str) else name


def lifted(text: str, name: str) -> tuple[str, tuple[str, ...]]:
    """A text of format 1 in format 2, all else of it to the letter as it was, and the keys that were renamed.

    A name may also stand where the builder chose it, as an item's in `fill`: which places are keys of the format is found by the data
    that a renaming gives, so that nothing else can move.

    Raises
    ------
    InputError
        Its keys cannot be renamed in place.

    """
    before = tomllib.loads(text)
    wanted = {**renamed(before), "format": FORMAT}
    parts = _TEXT.split(text)
    for i in range(1, len(parts), 2):
        said = parts[i][1:-1]
        if said in before.get("sure", ()) and _sure(said) != said:
            parts[i] = parts[i][0] + _sure(said) + parts[i][-1]
    places = _places(parts)
    for kept in _tries(places, parts):
        made = _in_format(parts, kept)
        if _same(made, wanted):
            met = dict.fromkeys(place[2] for place in kept)
            return made, tuple(f"{old} is now {NEW_NAMES[old]}" for old in met)
    olds = ", ".join(f"{old} is now {NEW_NAMES[old]}" for old in dict.fromkeys(place[2] for place in places))
    said = f"cannot be lifted where it stands; write format = {FORMAT} and rename its keys by hand" + (
        f": {olds}" if olds else ""
    )
    raise InputError(name, [Fault("format", "1", said)])


Spot = tuple[int, int, str]  # which part of the text, where in it, and the old name there


def _places(parts: list[str]) -> list[Spot]:
    """Where a key of an old name may stand, bare or in quotes, in the order of the text."""
    found: list[Spot] = []
    for i, part in enumerate(parts):
        if i % 2 == 0:
            found += [(i, one.start(), one[1]) for one in _KEY.finditer(part)]
        elif (quoted := _QUOTED.match(part)) and re.match(r"\s*[=.\]]", parts[i + 1]):
            found.append((i, 1, quoted[2]))
    return found


def _tries(places: list[Spot], parts: list[str]) -> Iterator[list[Spot]]:
    """Which of them to rename: all; else all but those in braces, those of one name, or one alone."""
    yield places
    braces = [_in_braces(parts, place) for place in places]
    yield [place for place, inside in zip(places, braces, strict=True) if not inside]
    for name in dict.fromkeys(place[2] for place in places):
        yield [place for place, inside in zip(places, braces, strict=True) if place[2] != name or not inside]
        yield [place for place in places if place[2] != name]
    for place in places:
        yield [one for one in places if one != place]


def _in_braces(parts: list[str], place: Spot) -> bool:
    before = "".join(part for i, part in enumerate(parts[: place[0]]) if i % 2 == 0) + parts[place[0]][: place[1]]
    return before.count("{") > before.count("}")


def _in_format(parts: list[str], places: list[Spot]) -> str:
    made = list(parts)
    for i, at, old in reversed(places):
        made[i] = made[i][:at] + NEW_NAMES[old] + made[i][at + len(old) :]
    made[0] = f"\n{made[0]}"
    for i in range(0, len(made), 2):
        made[i], changed = re.subn(r"(\n[^\S\n]*format\s*=\s*)[+]?(?:0x)?1\b", rf"\g<1>{FORMAT}", made[i], count=1)
        if changed:
            break
    return "".join(made)[1:]


def _same(text: str, wanted: Any) -> bool:
    try:
        return repr(tomllib.loads(text)) == repr(wanted)  # what is no number is alike so
    except ValueError:
        return False
