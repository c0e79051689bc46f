"""Files of an older format, lifted to the one that is written now: keys that were given the trade's names."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
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
_NEW = {old: new for names in RENAMED.values() for old, new in names.items()}
# What stands in quotes or after a # is left alone.
_APART = re.compile(r"""(\"{3}(?:\\.|[^\\])*?\"{3}|'{3}.*?'{3}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*)""", re.S)
_KEY = re.compile(rf"(?<![\w-])({'|'.join(_NEW)})(?=\s*[=.\]])")


def renamed(data: Any, at: tuple[str, ...] = ()) -> Any:
    """Data of a format 1 file with the keys of format 2; `at` is the way to it."""
    if isinstance(data, dict):
        names = RENAMED.get(at, {})
        return {names.get(key, key): renamed(value, (*at, key)) for key, value in data.items()}
    if isinstance(data, list):
        return [renamed(one, (*at, "*")) for one in data]
    return data


def lifted(text: str, name: str) -> tuple[str, tuple[str, ...]]:
    """A text of format 1 in format 2, all else of it to the letter as it was, and the keys that were renamed.

    Raises
    ------
    InputError
        A key is written in a way that cannot be renamed in place, as in quotes.

    """
    before = tomllib.loads(text)
    wanted = {**renamed(before), "format": FORMAT}
    parts = _APART.split(text)
    met: dict[str, str] = {}

    def new(found: re.Match[str]) -> str:
        met[found[1]] = _NEW[found[1]]
        return _NEW[found[1]]

    parts[::2] = [_KEY.sub(new, part) for part in parts[::2]]
    made = re.sub(r"^(\s*format\s*=\s*)1\b", rf"\g<1>{FORMAT}", "".join(parts), count=1, flags=re.M)
    if _loaded(made) != wanted:
        olds = ", ".join(f"{old} is now {new}" for old, new in sorted(_NEW.items()))
        raise InputError(
            name,
            [Fault("format", "1", f"cannot be lifted to {FORMAT} where it stands; rename its keys by hand: {olds}")],
        )
    return made, tuple(f"{old} is now {new}" for old, new in met.items())


def _loaded(text: str) -> Any:
    try:
        return tomllib.loads(text)
    except ValueError:
        return None
