r"""A formula that computes AND shows its working.

A sizing formula is written once, as a plain function of SI floats. The decorator carries what a
reader needs to follow it: its LaTeX, the meaning and unit of each symbol, and where it comes from.

    @formula("wheel rate", "k_{w} = \left(2 \pi f\right)^{2} m", unit="N/m", source="...",
             frequency=("f", "ride frequency", "Hz"), mass=("m", "mass carried", "kg"))
    def wheel_rate(frequency: float, mass: float) -> float:
        return (2 * pi * frequency) ** 2 * mass

`wheel_rate(1.45, 430)` is the value; `wheel_rate.work(...)` is a `Working` that also shows it. A test
parses the LaTeX, evaluates it on its own and holds it equal to the function.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from springwright.results import Result
from springwright.units import KINDS, THIN, plain, pretty, scale_of, unit_of

FORMULAS: list[Formula] = []


@dataclass(frozen=True)
class Term(Result):
    """One symbol of a worked formula: what it means, its value and where that came from."""

    symbol: str
    meaning: str
    value: float
    unit: str
    origin: str

    @property
    def plain_symbol(self) -> str:
        """The symbol as plain text."""
        return latex_to_text(self.symbol)

    @property
    def plain_value(self) -> str:
        """The value and its unit as plain text, five digits."""
        return f"{latex_to_text(figure(self.value))} {pretty(self.unit)}".strip()


@dataclass(frozen=True)
class Working(Result):
    """A formula with its numbers put in."""

    title: str
    latex: str
    substituted: str
    value: float
    unit: str
    terms: tuple[Term, ...]
    source: str
    subject: str = ""

    def as_text(self) -> str:
        """One line for a terminal: symbols = substitution = value unit."""
        return f"{latex_to_text(self.latex)} = {latex_to_text(self.substituted)} = {latex_to_text(figure(self.value))} {pretty(self.unit)}".strip()


@dataclass(frozen=True)
class Formula:
    """A function of SI floats together with how it is written down."""

    function: Callable[..., Any]
    title: str
    latex: str
    unit: str
    source: str
    symbols: dict[str, tuple[str, str, str]]

    def __call__(self, *args: Any, **values: Any) -> Any:
        """The value alone; floats or arrays."""
        return self.function(*args, **values)

    @property
    def expression(self) -> str:
        """The right-hand side of what is displayed."""
        return self.latex.split("=", 1)[1].strip()

    def work(self, subject: str = "", origins: dict[str, str] | None = None, /, **values: float) -> Working:
        """The value with its working; `subject` says of what, `origins` where an input came from."""
        from_where = origins or {}
        terms = tuple(
            Term(symbol, meaning, float(values[name]), unit, from_where.get(name, ""))
            for name, (symbol, meaning, unit) in self.symbols.items()
        )
        return Working(
            title=self.title,
            latex=self.latex,
            substituted=_substitute(self.expression, {term.symbol: term.value for term in terms}),
            value=float(self.function(**values)),
            unit=self.unit,
            terms=terms,
            source=self.source,
            subject=subject,
        )


def formula(
    title: str, latex: str, *, unit: str, source: str, **symbols: tuple[str, str, str]
) -> Callable[[Callable[..., Any]], Formula]:
    """Decorate a function of SI floats with its displayed form; `symbols` maps argument -> (LaTeX, meaning, unit)."""

    def wrap(function: Callable[..., Any]) -> Formula:
        made = Formula(function, title, latex, unit, source, symbols)
        FORMULAS.append(made)
        return made

    return wrap


def figure(value: float) -> str:
    """Five significant digits, the way a calculation sheet carries them [any unit]."""
    size = abs(value)
    if value == 0:
        return "0"
    if not 1e-3 <= size < 1e7:
        mantissa, exponent = f"{value:.4e}".split("e")
        return f"{mantissa.replace('-', '−')}·10^{{{int(exponent)}}}"
    digits = max(0, 5 - len(str(int(size)))) if size >= 1 else 5
    text = plain(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text else text


def as_told(value: float, unit: str, symbol: str = "") -> str:
    """A figure in an SI unit of a formula as the rest of the page tells it; empty where that is the same, or the unit is of no kind. Of what is told in Pa a `symbol` p is a pressure (ISO 80000-4), any other a stress."""
    kind = next((name for name, one in KINDS.items() if one.si == unit), "") if unit else ""
    if kind == "stress" and symbol.startswith("p"):
        kind = "pressure"
    if not kind or pretty(unit_of(kind)) == pretty(unit):
        return ""
    return f"{latex_to_text(figure(value / scale_of(kind)))} {unit_of(kind)}"


_TOKEN = re.compile(r"\\left\(|\\right\)|\\[A-Za-z]+(?:_\{[^{}]*\})?|[A-Za-z](?:_\{[^{}]*\})?|\d+(?:\.\d+)?|\S")


@lru_cache(maxsize=256)
def _tokens(expression: str) -> tuple[str, ...]:
    return tuple(_TOKEN.findall(expression))


def _substitute(expression: str, values: dict[str, float]) -> str:
    """The expression with each symbol replaced by its value, and a dot where two factors would run together."""
    written: list[str] = []
    last, last_is_value = "", False
    for token in _tokens(expression):
        value = values.get(token)
        starts = value is not None or re.match(r"[\dA-Za-z]|\\(?!right|cdot)", token) is not None
        ends = last_is_value or (
            re.search(r"[\dA-Za-z)}]$", last) is not None and not re.match(r"\\(cos|sin|tan|sqrt|frac)", last)
        )
        if starts and ends and (value is not None or last_is_value):
            written.append(r"\cdot")
        written.append(token if value is None else _as_latex(value))
        last, last_is_value = token, value is not None
    return " ".join(written)


def _as_latex(value: float) -> str:
    text = figure(value).replace(THIN, r"\,").replace("−", "-").replace("·", r" \cdot ")
    return rf"\left({text}\right)" if value < 0 or "cdot" in text else text


_SUPERSCRIPT = str.maketrans("0123456789-+", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺")
_WORDS = {
    r"\pi": "π", r"\cdot": "·", r"\left": "", r"\right": "", r"\,": " ", r"\tau": "τ", r"\rho": "ρ", r"\beta": "β",
    r"\alpha": "α", r"\zeta": "ζ", r"\theta": "θ", r"\lambda": "λ", r"\nu": "ν", r"\delta": "δ", r"\Delta": "Δ",
    r"\cos": "cos", r"\sin": "sin", r"\tan": "tan",
}  # fmt: skip


def latex_to_text(latex: str) -> str:
    """Our LaTeX subset (fractions, roots, powers, Greek) as one line of plain text."""
    text = re.sub(r"\s*([\^_])\s*|(?<=\{)\s+|\s+(?=\})", r"\1", latex)
    for command, mark in ((r"\sqrt", "√"), (r"\frac", "")):
        while (start := text.find(command)) >= 0:
            first, end = _braced(text, start + len(command))
            if command == r"\frac":
                second, end = _braced(text, end)
                inner = f"{_wrap(first)} / {_wrap(second)}"
                whole = bool(re.match(r"\s*(?:$|[-+=)])", text[end:])) and bool(
                    re.search(r"(?:^|[-+=(])\s*$", text[:start])
                )
                middle = inner if whole else f"({inner})"
            else:
                middle = f"{mark}({first})"
            text = text[:start] + middle + text[end:]
    for word, mark in _WORDS.items():
        text = re.sub(re.escape(word) + r"(?![A-Za-z])", mark, text)
    text = re.sub(r"\^\{([-+\d]+)\}", lambda m: m.group(1).translate(_SUPERSCRIPT), text)
    text = re.sub(r"_\{([^{}]*)\}", r"_\1", text).replace("{", "").replace("}", "")
    text = re.sub(r"√\((\w+)\)", r"√\1", text)
    text = re.sub(r"\s+", " ", text).replace("( ", "(").replace(" )", ")")
    text = re.sub(r"(cos|sin|tan) \(", r"\1(", text)
    return re.sub(r"\(\((−?[\w.]+)\)\)", r"(\1)", text.replace("(-", "(−").replace(" - ", " − ")).strip()


def _braced(text: str, start: int) -> tuple[str, int]:
    """The content of the brace group at `start`, and where it ends."""
    begin = text.index("{", start)
    depth = 0
    for at in range(begin, len(text)):
        depth += {"{": 1, "}": -1}.get(text[at], 0)
        if depth == 0:
            return text[begin + 1 : at], at + 1
    raise ValueError(f"unbalanced braces in {text!r}")


def _wrap(part: str) -> str:
    """A numerator or denominator, in brackets unless it is one factor."""
    bare = part.strip().replace(r"\,", "")
    single = re.fullmatch(
        r"(?:[\w.]+|\\[a-z]+)(?:_\{\w+\})?(?:\^\{[-\d]+\})?|\\(?:cos|sin|tan) ?\\left\([^()]*\\right\)", bare
    )
    return part.strip() if single else f"({part.strip()})"
