"""Units and figures as people type them: trade spellings, letters in another case, fractions of an inch, feet and inches.

Only text is turned into text here; what a unit is worth, and whether it is one at all, `units` finds.
"""

from __future__ import annotations

import difflib
import itertools
import re
from collections.abc import Iterator

MOST_READINGS = 64  # of one unit in another case, that are looked at
# Spellings of the trade, of every kind of quantity; `#` is a pound.
_TRADE = (
    (re.compile(r"[″”“]|''"), '"'),
    (re.compile(r"[′’‘]"), "'"),
    (re.compile(r'"'), "in"),
    (re.compile(r"'"), "ft"),
    (re.compile(r"#"), "lb"),
    (re.compile(r"\bkgs\b", re.I), "kg"),
    (re.compile(r"\bkm/?hr?\b|\bkph\b", re.I), "km/h"),
    (re.compile(r"\b(k|M|da)?N\s?([ms])\b"), r"\1N*\2"),
    (re.compile(r"\b(k|M|da)?N[-.]([ms])\b"), r"\1N*\2"),
    (re.compile(r"\b(?:ft|foot)[-. ]?(?:lbs?|lbf)\b|\b(?:lbs?|lbf)[-. ]?(?:ft|foot)\b", re.I), "lbf*ft"),
    (re.compile(r"\b(?:in|inch)[-. ]?(?:lbs?|lbf)\b|\b(?:lbs?|lbf)[-. ]?(?:in|inch)\b", re.I), "lbf*in"),
    (re.compile(r"°|\bdegs\b"), "deg"),
)
_NAMES = (
    "mm", "cm", "m", "km", "in", "inch", "inches", "ft", "foot", "feet", "yd", "mil", "g", "kg", "t", "tonne", "tonnes", "lb", "lbs", "oz", "N", "kN", "MN", "mN", "daN",
    "kgf", "lbf", "kip", "Pa", "kPa", "MPa", "mPa", "GPa", "bar", "mbar", "psi", "ksi", "s", "ms", "min", "h", "Hz", "kHz", "MHz", "mHz", "cpm", "rpm", "mph", "kph",
    "deg", "degree", "degrees", "rad", "mrad", "rev", "turn", "W", "kW", "MW", "mW", "hp", "J", "kJ", "MJ", "mJ", "L", "l", "mL", "percent",
)  # fmt: skip
_LONG = (
    "millimeter", "millimetre", "centimeter", "centimetre", "meter", "metre", "kilogram", "gram", "newton", "kilonewton", "pascal", "hertz", "second", "minute", "hour",
    "degree", "radian", "pound", "ounce", "inch", "foot", "joule", "watt", "liter", "litre", "horsepower",
)  # fmt: skip
_WORD = re.compile(r"[^\W\d_]+")
_FRACTION = re.compile(r"^([-+]?)(?:(\d+)(?:\s+|-))?(\d+)/(2|4|8|16|32|64)(?=\s|[a-zA-Z\"'″”])\s*(.*)$")
_FEET = re.compile(
    r"^([-+]?\d+(?:\.\d+)?)\s*(?:ft\.?|feet|foot|['′’])[\s-]*(\d.*?)\s*(?:in\.?|inch(?:es)?|[\"″”]|'')$", re.I
)


def spelled(unit: str) -> str:
    """A unit with the trade's spellings put as the registry of units has them."""
    text = unit.strip().rstrip(".")
    for pattern, plain in _TRADE:
        text = pattern.sub(plain, text)
    return text


def cased(unit: str) -> Iterator[str]:
    """Every reading of a unit whose letters stand in another case; its own is not among them."""
    words = _WORD.findall(unit)
    each = [[name for name in _NAMES if name.lower() == word.lower()] or [word] for word in words]
    gaps = _WORD.split(unit)
    for names in itertools.islice(itertools.product(*each), MOST_READINGS):
        text = "".join(part for pair in itertools.zip_longest(gaps, names, fillvalue="") for part in pair)
        if text != unit:
            yield text


def nearest(unit: str) -> str:
    """A unit that is spelled nearly so; nothing where none is."""
    for word in _WORD.findall(unit):
        near = difflib.get_close_matches(word, (*_NAMES, *_LONG), 1, 0.75)
        if near and near[0] != word:
            return unit.replace(word, near[0], 1)
    return ""


def fraction(text: str) -> tuple[float, str] | None:
    """The number and unit of a text such as "4 1/2 in"; None where it is no fraction."""
    found = _FRACTION.match(text.strip().replace("−", "-"))
    if found is None:
        return None
    sign, whole, part, of, unit = found.groups()
    size = int(whole or 0) + int(part) / int(of)
    return (-size if sign == "-" else size), unit.strip()


def feet_and_inches(text: str) -> tuple[float, str] | None:
    """Of a text such as "5 ft 2 1/2 in" its feet in inches, and what is left as a text in inches; None where it is none."""
    found = _FEET.match(text.strip().replace("−", "-"))
    return None if found is None else (12.0 * float(found.group(1)), f"{found.group(2)} in")
