"""Text with a unit <-> SI floats, and the two systems a result may be shown in.

This is the only place where a unit is converted. Everything inside Springwright is an SI float.
"""

from __future__ import annotations

import contextlib
import math
import re
from collections.abc import Callable, Iterator
from contextvars import ContextVar
from functools import lru_cache, wraps
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, ParamSpec, TypeVar

from springwright.errors import QuantityError
from springwright.evaluation import remembered
from springwright.spellings import cased, feet_and_inches, fraction, nearest, spelled

if TYPE_CHECKING:
    import pint

System = Literal["metric", "imperial"]
GRAVITY = 9.80665  # m/s2, standard acceleration of free fall (CGPM 1901)


class KindInfo(NamedTuple):
    """A kind of quantity: its SI unit and, for each system, the unit shown and its decimals."""

    words: str
    si: str
    metric: str
    metric_decimals: int
    imperial: str
    imperial_decimals: int
    example: str


KINDS: dict[str, KindInfo] = {
    "length": KindInfo("length", "m", "mm", 0, "in", 2, '"1250 mm" or "33 in"'),
    "mass": KindInfo("mass", "kg", "kg", 0, "lb", 0, '"2450 kg" or "5400 lb"'),
    "force": KindInfo("force", "N", "N", 0, "lbf", 0, '"8.2 kN" or "1840 lbf"'),
    "rate": KindInfo("rate", "N/m", "N/mm", 2, "lbf/in", 1, '"46 N/mm" or "240 lbf/in"'),
    "damping": KindInfo("damping rate", "N*s/m", "N*s/m", 0, "lbf*s/in", 2, '"2600 N*s/m" or "15 lbf*s/in"'),
    "frequency": KindInfo("frequency", "Hz", "Hz", 2, "Hz", 2, '"1.25 Hz"'),
    "angle": KindInfo("angle", "rad", "deg", 2, "deg", 2, '"12 deg"'),
    "stress": KindInfo("stress", "Pa", "MPa", 0, "ksi", 1, '"980 MPa" or "142 ksi"'),
    "pressure": KindInfo("pressure", "Pa", "bar", 2, "psi", 1, '"2.4 bar" or "35 psi"'),
    "speed": KindInfo("speed", "m/s", "km/h", 0, "mph", 0, '"40 km/h" or "25 mph"'),
    "acceleration": KindInfo("acceleration", "m/s**2", "m/s**2", 2, "ft/s**2", 2, '"1.25 m/s**2" or "0.4 g"'),
    "lateral": KindInfo("acceleration", "m/s**2", "g", 2, "g", 2, '"0.4 g"'),
    "ratio": KindInfo("ratio", "", "", 3, "", 3, '0.5 or "50 %"'),
    "inertia": KindInfo("moment of inertia", "kg*m**2", "kg*m**2", 0, "lb*ft**2", 0, '"450 kg*m**2"'),
    "roll rate": KindInfo("roll stiffness", "N*m/rad", "N*m/deg", 0, "lbf*ft/deg", 0, '"820 N*m/deg"'),
    "lean": KindInfo("roll gradient", "rad*s**2/m", "deg/g", 2, "deg/g", 2, '"6 deg/g"'),
    "per length": KindInfo("change per length", "1/m", "1/m", 3, "1/in", 4, '"0.2 1/m"'),
    "density": KindInfo("density", "kg/m**3", "kg/m**3", 0, "lb/ft**3", 1, '"1000 kg/m**3"'),
    "area moment": KindInfo("second moment of area", "m**4", "m**4", 4, "ft**4", 3, '"0.12 m**4"'),
    "area": KindInfo("area", "m**2", "cm**2", 1, "in**2", 2, '"310 cm**2" or "48 in**2"'),
    "volume": KindInfo("volume", "m**3", "L", 2, "in**3", 0, '"6.5 L" or "400 in**3"'),
    "twist rate": KindInfo("twist rate", "N*m/rad", "N*m/deg", 1, "lbf*ft/deg", 1, '"70 N*m/deg"'),
    "power": KindInfo("power", "W", "W", 1, "W", 1, '"6 W"'),
    "energy": KindInfo("energy", "J", "J", 0, "ft*lbf", 0, '"900 J"'),
    "share": KindInfo("share", "", "%", 1, "%", 1, '"50 %" or 0.5'),
    "count": KindInfo("number", "", "", 0, "", 0, "500"),
    "duration": KindInfo("time", "s", "s", 2, "s", 2, '"3 s"'),
    "distance": KindInfo("length", "m", "m", 1, "ft", 1, '"12 m" or "40 ft"'),
    "dose": KindInfo("vibration dose value", "m/s**1.75", "m/s**1.75", 1, "m/s**1.75", 1, '"9.1 m/s**1.75"'),
    "piston speed": KindInfo("speed", "m/s", "m/s", 2, "in/s", 0, '"0.8 m/s"'),
    "time": KindInfo("time", "s", "h", 1, "h", 1, '"400 h"'),
    "roughness": KindInfo("road roughness", "m**3", "m**3", 8, "m**3", 8, '"256e-6 m**3"'),
}

LONGEST_NUMBER = 40  # characters of a figure; a longer one is a slip
BARE = ("ratio", "share", "count")  # kinds whose figures may stand without a unit
THIN = "\N{NARROW NO-BREAK SPACE}"  # between thousands
_NUMBER = re.compile(rf"^([-+]?(?:\d{{1,3}}(?:[ \u00a0{THIN}]\d{{3}})+|\d+)?(?:\.\d*)?(?:[eE][-+]?\d+)?)\s*(.*)$")
_SPACES = str.maketrans("", "", " \N{NO-BREAK SPACE}" + THIN)
_POUNDS = {"lb/in": "lbf/in", "lbs/in": "lbf/in", "lb/inch": "lbf/in", "lbs/inch": "lbf/in"}
_HINTS = {"kg/mm": "kgf/mm", "kg/cm": "kgf/cm"}
# a frequency counts cycles: what turns or is told by the minute is turned into them, and 1/s means cycles
_CYCLES = {
    "1/s": 1.0, "/s": 1.0, "s**-1": 1.0, "cycle/s": 1.0, "cycles/s": 1.0, "cycle/min": 1 / 60, "cycles/min": 1 / 60, "1/min": 1 / 60,
    "cpm": 1 / 60, "rpm": 1 / 60, "rev/s": 1.0, "rev/min": 1 / 60, "rad/s": 1 / math.tau, "deg/s": 1 / 360, "°/s": 1 / 360,
}  # fmt: skip
_SHOWN = {"**1.75": "^1.75", "**2": "²", "**3": "³", "**4": "⁴", "*": "·"}


_LBF, _INCH, _FOOT = 0.45359237 * 9.80665, 0.0254, 0.3048
# What design files are written in, by the SI unit of its kind: exact by definition (NIST SP 811), a test holds it against pint, which
# knows all others and costs a fifth of a second.
_USUAL: dict[str, dict[str, float]] = {
    "m": {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "km": 1e3, "in": _INCH, "ft": _FOOT},
    "kg": {"kg": 1.0, "t": 1e3, "lb": 0.45359237},
    "N": {"N": 1.0, "kN": 1e3, "lbf": _LBF},
    "N/m": {"N/mm": 1e3, "N/m": 1.0, "kN/m": 1e3, "lbf/in": _LBF / _INCH},
    "N*s/m": {"N*s/m": 1.0, "kN*s/m": 1e3, "lbf*s/in": _LBF / _INCH},
    "Hz": {"Hz": 1.0},
    "rad": {"deg": math.pi / 180},
    "Pa": {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "bar": 1e5, "psi": _LBF / _INCH**2, "ksi": 1e3 * _LBF / _INCH**2},
    "m/s": {"m/s": 1.0, "mm/s": 1e-3, "km/h": 1 / 3.6, "mph": 0.44704, "in/s": _INCH},
    "m/s**2": {"m/s**2": 1.0, "standard_gravity": 9.80665, "ft/s**2": _FOOT},
    "kg*m**2": {"kg*m**2": 1.0},
    "N*m/rad": {"N*m/deg": 180 / math.pi},
    "rad*s**2/m": {"deg/standard_gravity": math.pi / 180 / 9.80665},
    "1/m": {"1/m": 1.0},
    "kg/m**3": {"kg/m**3": 1.0},
    "m**2": {"m**2": 1.0, "cm**2": 1e-4},
    "m**3": {"m**3": 1.0, "L": 1e-3},
    "W": {"W": 1.0}, "J": {"J": 1.0}, "s": {"s": 1.0, "min": 60.0, "h": 3600.0, "days": 86400.0},
}  # fmt: skip


@lru_cache(maxsize=1)
def _pint() -> pint.UnitRegistry[float]:
    import pint  # 0.2 s with its definitions: paid only when a text is read

    try:
        units: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=":auto:")
    except OSError:  # no cache folder can be written: a fifth of a second slower
        units = pint.UnitRegistry()
    units.define("@alias degree = °")
    return units


LONGEST_UNIT = 40
_TOKENS = re.compile(r"\*\*|[^\W\d_]+(?:_[^\W\d_]+)*|\d+(?:\.\d+)?|\S")


def _check_grammar(unit: str, kind: str) -> None:
    """Refuse what is no product of names and small powers of names: nothing of a builder's is evaluated.

    A number stands after ** or ^ (up to 6, one of them a name), right after a name (m3), or as the 1 in 1/s.
    """
    fits = len(unit) <= LONGEST_UNIT
    tokens = _TOKENS.findall(unit) if fits else []
    raised = False  # the last name has its power
    for i, token in enumerate(tokens):
        before = tokens[i - 1] if i else ""
        if token[0].isdigit():
            sign = before in "+-" and before != ""
            power = (tokens[i - 2] if sign and i > 1 else before) in ("**", "^")
            named = before[-1:].isalpha() and token in "234"
            leads = i == 0 and token == "1" and tokens[1:2] == ["/"]
            fits = fits and (leads or (not raised and (power or named) and float(token) <= 6))
            raised = True
        elif token in ("**", "^"):
            fits = fits and not raised and (before[-1:].isalpha() or before == "°")
        elif token in "+-":
            fits = fits and before in ("**", "^")
        elif token[0].isalpha() or token in "*/()·%°²³'\"µ":
            raised = token in "²³"
        else:
            fits = False
    if not fits:
        raise _UnknownUnitError(unit, kind)


@lru_cache(maxsize=512)
def unit_scale(unit: str, kind: str) -> float:
    """SI value of one `unit` of `kind`, as people type it; letters in another case are forgiven where that leaves one reading.

    Raises
    ------
    QuantityError
        It is none, or may be more than one; in the builder's words.

    """
    text = spelled(unit)
    if kind == "mass" and text.lower() in ("ton", "tons"):
        raise QuantityError(f'"{unit}" may be the tonne of 1000 kg or the ton of 2000 lb; write t, kg or lb')
    try:
        return _scale(text, kind)
    except QuantityError as error:
        return _in_another_case(unit, text, kind, error)


def _in_another_case(unit: str, text: str, kind: str, fault: QuantityError) -> float:
    """The SI value of the one reading of a text whose letters stand in another case; else what is the matter."""
    found: dict[float, str] = {}
    for other in cased(text) if len(text) <= LONGEST_UNIT else ():
        try:
            found.setdefault(_scale(other, kind), other)
        except _UnknownUnitError:
            continue
        except QuantityError as another:  # a unit, but of another kind
            fault = another if isinstance(fault, _UnknownUnitError) else fault
    if len(found) == 1:
        return next(iter(found))
    if found:
        raise QuantityError(f'"{unit}" may be {" or ".join(found.values())}; write which')
    if isinstance(fault, _UnknownUnitError):
        near = nearest(text) if len(text) <= LONGEST_UNIT else ""
        raise _UnknownUnitError(unit, kind, near if near and _is(near, kind) else "")
    raise fault


class _UnknownUnitError(QuantityError):
    """A text that is no unit; `near` is one that it may have been meant to be."""

    def __init__(self, unit: str, kind: str, near: str = "") -> None:
        shown = unit if len(unit) <= LONGEST_UNIT else f"{unit[:LONGEST_UNIT]}…"
        info = KINDS[kind]
        asked = f'did you mean "{near}"? Write' if near else "write"
        super().__init__(f'"{shown}" is no unit that is known; {asked} {_a(info.words)} such as {info.example}')


def _is(unit: str, kind: str) -> bool:
    try:
        _scale(unit, kind)
    except QuantityError:
        return False
    return True


def _scale(unit: str, kind: str) -> float:
    _check_grammar(unit, kind)
    info = KINDS[kind]
    text = re.sub(r"(?<=[A-Za-z])([234])\b", r"**\1", unit.strip())  # m3, s2 as they are often written
    if kind == "rate":
        text = _POUNDS.get(text, text)  # in a rate field pounds can only be a force
    text = text.replace("^", "**").replace("²", "**2").replace("³", "**3").replace("·", "*")
    if kind in ("acceleration", "lateral", "lean"):
        text = re.sub(r"\bg\b", "standard_gravity", text)
    if kind in ("ratio", "share") and text == "%":
        return 0.01
    if kind == "frequency" and "".join(text.split()) in _CYCLES:
        return _CYCLES["".join(text.split())]
    usual = _USUAL.get(info.si, {}).get(text)
    if usual is not None:
        return usual
    units = _pint()
    try:
        one = units.Quantity(1.0, text)
        wanted = units.Quantity(1.0, info.si)
        alike = one.is_compatible_with(wanted)
    except Exception as cause:  # pint raises many kinds, some its own, for a unit it cannot read
        raise _UnknownUnitError(unit, kind) from cause
    if kind in ("angle", "ratio") and alike:
        alike = text in _PLAIN[kind]
    _check_angles(unit, text, kind, one, info)
    if not alike:
        what = next(
            (k.words for n, k in KINDS.items() if n != kind and one.is_compatible_with(k.si or "")), "something else"
        )
        hint = f' (did you mean "{_HINTS[text]}"?)' if kind == "rate" and text in _HINTS else ""
        raise QuantityError(f'"{unit}" is a unit of {what}; {_a(info.words)} is wanted{hint}, such as {info.example}')
    return float(one.to(info.si).magnitude)


# SI size past which no part of a vehicle can be, whatever is usual; and what is as good as nought where it must be more than that
POSSIBLE = {
    "length": 1e5, "distance": 1e7, "mass": 1e7, "force": 1e10, "rate": 1e14, "damping": 1e11, "frequency": 1e5, "angle": 1e4, "stress": 1e13,
    "pressure": 1e12, "speed": 1e5, "acceleration": 1e6, "lateral": 1e6, "ratio": 1e6, "inertia": 1e11, "roll rate": 1e12, "twist rate": 1e12,
    "lean": 1e3, "per length": 1e6, "density": 1e6, "area moment": 1e6, "area": 1e6, "volume": 1e7, "power": 1e10, "energy": 1e12, "time": 1e11,
    "duration": 1e11, "dose": 1e6, "roughness": 1e3, "share": 1e6, "count": 1e12, "piston speed": 1e5,
}  # fmt: skip
NOUGHT = 1e-12


def check_possible(si: float, kind: str, above: float | None) -> None:
    """Refuse what arithmetic and physics cannot hold, however it was meant.

    Raises
    ------
    QuantityError
        It is larger than anything on a vehicle, or so near to nought that it is none.

    """
    most = POSSIBLE.get(kind)
    if most is not None and abs(si) > most:
        raise QuantityError(f"is more than any {KINDS[kind].words} of a vehicle; check its unit and its figures")
    if above == 0.0 and 0 < si < NOUGHT:
        raise QuantityError("is as good as 0; check its unit and its figures")


_TURNS = re.compile(r"\b(rad|radians?|mrad|deg|degrees?|arcmin|turns?|rev|revolutions?|cycles?|rpm|Hz|hertz)\b|°")


def _check_angles(unit: str, text: str, kind: str, one: Any, info: KindInfo) -> None:
    """Refuse a unit with an angle too many or too few: angles have no dimension, so that nothing else would notice."""
    turns = bool(_TURNS.search(text))
    if kind == "frequency" and turns and not re.fullmatch(r"[a-zA-Zµ]{0,5}(Hz|hertz)", text):
        raise QuantityError(
            f'"{unit}" does not say how many cycles; write {", ".join(("Hz", "1/s", "cycle/min", "rpm", "rad/s"))} or deg/s, such as {info.example}'
        )
    if kind in ("roll rate", "twist rate") and not turns and one.is_compatible_with("N*m"):
        raise QuantityError(f'"{unit}" is a moment; {_a(info.words)} is a moment per angle, such as {info.example}')
    if kind in ("per length", "roughness") and turns:
        said = (
            "the density of class limits is in m**3"
            if kind == "roughness"
            else "it is a change of a ratio, with no angle or cycle in it"
        )
        raise QuantityError(f'"{unit}" counts turns; {said}, such as {info.example}')


def _a(words: str) -> str:
    return f"an {words}" if words[0] in "aeiou" else f"a {words}"


_PLAIN = {
    "angle": ("deg", "degree", "degrees", "°", "rad", "radian", "mrad", "arcmin"),
    "ratio": ("", "dimensionless", "percent"),
}


def split(text: str) -> tuple[float, str]:
    """Number and unit of a text such as "1 250 mm" or "4 1/2 in"; the number is not converted."""
    if (parts := fraction(text)) is not None:
        return parts
    match = _NUMBER.match(text.strip().replace("−", "-"))
    digits = match.group(1).translate(_SPACES) if match else ""
    if not match or digits in ("", "+", "-", "."):
        word = text.strip().lower().split()[0] if text.strip() else ""
        if word.lstrip("+-") in ("nan", "inf", "infinity"):
            raise QuantityError(f'"{text}" is not a finite number')
        raise QuantityError(f'"{text}" has no number in front')
    rest = match.group(2)
    if rest.startswith((",", ".")) or re.match(r"\d(?!/)", rest):
        raise QuantityError(f'"{text}" cannot be read as one number and a unit; use a decimal point and no commas')
    number = float(digits) if len(digits) <= LONGEST_NUMBER else math.inf
    if not math.isfinite(number):
        raise QuantityError(f'"{text[:24]}" is not a finite number')
    return number, rest.strip()


def parse(value: str | float, kind: str) -> float:
    """SI float of a text with its unit, such as "240 lbf/in" for a rate.

    A ratio may be a bare number. Anything else must carry its unit.

    Raises
    ------
    QuantityError
        No number, a unit that is missing, unknown or of another kind, or a value that is not finite.

    """
    info = KINDS[kind]
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise QuantityError(f"{_a(info.words)} is wanted, in quotes with its unit, such as {info.example}")
    if not isinstance(value, str):
        try:
            finite = math.isfinite(value)
        except OverflowError:  # a whole number of hundreds of digits
            finite = False
        if not finite:
            raise QuantityError(
                f"{value} is not a finite number" if isinstance(value, float) else "is not a finite number"
            )
        if kind not in BARE:
            raise QuantityError(f"the unit is missing; write it in quotes, such as {info.example}")
        return float(value)
    return _parsed(value, kind)


@lru_cache(maxsize=4096)
def _parsed(value: str, kind: str) -> float:
    info = KINDS[kind]
    if kind in ("length", "distance") and (both := feet_and_inches(value)) is not None:
        inches, rest = both
        more, left = split(rest)
        if left == "in":
            return math.copysign(abs(inches) + more, inches) * unit_scale("in", kind)
    number, unit = split(value)
    if not unit and kind not in BARE:
        raise QuantityError(f"the unit is missing; write {_a(info.words)} such as {info.example}")
    si = number * (unit_scale(unit, kind) if unit else 1.0)
    if not math.isfinite(si):
        raise QuantityError(f'"{value}" is not a finite number')
    return si


def text_in(si: float, kind: str, unit: str) -> str:
    """An SI value written in `unit`, exact to 12 digits, as a design file holds it."""
    number = f"{si / (unit_scale(unit, kind) if unit else 1.0):.12g}"
    return f"{number} {unit}".strip()


_display: ContextVar[System] = ContextVar("display", default="metric")


@contextlib.contextmanager
def displayed_in(system: System) -> Iterator[None]:
    """Within this block every quantity is shown in one system, in sentences and faults too."""
    token = _display.set(system)
    try:
        yield
    finally:
        _display.reset(token)


def display_system() -> System:
    """The system quantities are shown in here."""
    return _display.get()


Asked = ParamSpec("Asked")
Told = TypeVar("Told")


def remembered_as_shown(most: int) -> Callable[[Callable[Asked, Told]], Callable[Asked, Told]]:
    """Mark a function as `remembered` whose results hold sentences, apart for each system they are told in."""

    def keeping(work: Callable[Asked, Told]) -> Callable[Asked, Told]:
        @remembered(most)
        def known(_: System, *args: Any, **more: Any) -> Told:
            return work(*args, **more)

        @wraps(work)
        def told(*args: Asked.args, **more: Asked.kwargs) -> Told:
            return known(display_system(), *args, **more)

        return told

    return keeping


def unit_of(kind: str) -> str:
    """The unit of a kind in the display system, as a reader expects to see it."""
    return pretty(KINDS[kind].metric if display_system() == "metric" else KINDS[kind].imperial)


@lru_cache(maxsize=256)
def pretty(unit: str) -> str:
    """A unit as a reader expects to see it: kg·m² for kg*m**2."""
    for plain_text, shown in _SHOWN.items():
        unit = unit.replace(plain_text, shown)
    return unit


def number(si: float | None, kind: str, decimals: int | None = None) -> str:
    """The figure alone, in the display system's unit, with a true minus; a dash where there is none.

    `decimals` is for the metric unit; the imperial figure keeps as many more as its unit is coarser.
    """
    if si is None or not math.isfinite(si):
        return "–"
    return plain(si / scale_of(kind), places_of(kind, decimals))


def places_of(kind: str, decimals: int | None = None) -> int:
    """Decimals of a kind's figure in the display system's unit."""
    info = KINDS[kind]
    places = info.metric_decimals if decimals is None else decimals
    if display_system() == "imperial":
        places = max(places + info.imperial_decimals - info.metric_decimals, 0)
    return places


def as_entered(si: float, kind: str, *, up: bool, decimals: int | None = None) -> float:
    """The next value up or down that is shown exactly [SI]: what a builder enters who reads it."""
    step = scale_of(kind) * 10.0 ** -places_of(kind, decimals)
    count = si / step
    return float((math.ceil(count - 1e-9) if up else math.floor(count + 1e-9)) * step)


def scale_of(kind: str) -> float:
    """SI value of one of the display system's units: what figures of a picture are divided by."""
    info = KINDS[kind]
    unit = info.imperial if display_system() == "imperial" else info.metric
    return unit_scale(unit, kind) if unit else 1.0


def as_drawn(si: float, kind: str) -> float:
    """A value in the display system's unit, temperatures too: where it lies on the scale of a picture [SI]."""
    if kind == "temperature":
        return si - 273.15 if display_system() == "metric" else si * 1.8 - 459.67
    return si / scale_of(kind)


def drawn_unit(kind: str) -> str:
    """The unit of such a scale."""
    if kind == "temperature":
        return "°C" if display_system() == "metric" else "°F"
    return unit_of(kind)


def plain(value: float, decimals: int) -> str:
    """A figure with narrow no-break spaces between thousands and a true minus [any unit]."""
    text = f"{value:,.{decimals}f}".replace(",", THIN).replace("-", "−")
    return text.removeprefix("−") if not any(digit in text for digit in "123456789") else text


def show(si: float | None, kind: str, decimals: int | None = None) -> str:
    """The figure and its unit, such as "1 250 mm"."""
    figure = number(si, kind, decimals)
    unit = unit_of(kind)
    return figure if figure == "–" or not unit else f"{figure} {unit}"


def show_some(si: float, kind: str) -> str:
    """A figure that is more than nothing and must not read as nothing: "less than 1 mm" [SI]."""
    step = scale_of(kind) * 10.0 ** -places_of(kind, None)
    return f"less than {show(step, kind)}" if 0 < si < step / 2 else show(si, kind)


def told(value: float | None, kind: str) -> str:
    """A figure of any kind with its unit, temperatures and plain ratios too; a dash where it is not known."""
    if value is None or not math.isfinite(value):
        return "–"
    if kind == "temperature":
        return show_temperature(value)
    return show(value, kind, 2 if kind == "ratio" else None)


def show_temperature(kelvin: float) -> str:
    """A temperature in the display system [K]."""
    if display_system() == "metric":
        return f"{plain(kelvin - 273.15, 0)} °C"
    return f"{plain(kelvin * 1.8 - 459.67, 0)} °F"


def show_warming(kelvin: float) -> str:
    """A difference of temperatures in the display system [K]."""
    return f"{plain(kelvin, 0)} °C" if display_system() == "metric" else f"{plain(kelvin * 1.8, 0)} °F"
