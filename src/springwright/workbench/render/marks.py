"""Small things that templates set: drawings in the page's ink, verdicts, formulas, terms."""

from __future__ import annotations

import zlib
from functools import lru_cache

from markupsafe import Markup

from springwright.drawing.svg import PAPER, Drawing
from springwright.formula import Working
from springwright.glossary import TERMS
from springwright.report.equations import equation
from springwright.report.tables import Table


def ink(drawing: Drawing | None) -> Markup:
    """A drawing for the page, in the page's own ink."""
    return Markup(drawing.svg()) if drawing is not None else Markup("")


BEADS = {"met": "met", "close": "close", "not met": "not", "not known": "unk"}


def bead(word: str) -> Markup:
    """A verdict: its mark and its word."""
    mark = BEADS[word.partition(",")[0].removesuffix(" so far")]
    return Markup('<span class="v {}"><svg aria-hidden="true"><use href="#{}"/></svg>{}</span>').format(
        mark, mark, word
    )


def set_equation(work: Working) -> Markup:
    """A worked formula as an equation in the page's ink."""
    return Markup(_set(work))


@lru_cache(maxsize=64)
def _set(work: Working) -> str:
    return equation(work, 15.0, f"e{zlib.crc32(repr(work).encode()):x}").replace('fill="black"', 'fill="currentColor"')


def term(word: str, key: str = "") -> Markup:
    """A word of the trade with its meaning on hover or focus."""
    return Markup('<dfn tabindex="0" data-means="{}" aria-description="{}">{}</dfn>').format(
        TERMS[key or word].means, TERMS[key or word].means, word
    )


LONGEST = 30  # letters of an edit's name on a button; the whole of it is told on hover


def short(text: str) -> str:
    """A text as long as a button may say it."""
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"


def cells(table: Table) -> list[list[tuple[str, str]]]:
    """Each row's cells with the side they are set to."""
    sides = {"l": "l", "r": ""}
    return [[(sides[side], cell) for side, cell in zip(table.align, row, strict=True)] for row in table.rows]


_TOKENS = {
    "#1f262b": "var(--ink)", "#59625f": "var(--soft)", "#6b2a63": "var(--pencil)", "#fff": "var(--paper)", "#e8e8e6": "var(--shut)", "#c9c9c4": "var(--rule)",
    "#0072b2": "var(--front)", "#d55e00": "var(--rear)", "#009e73": "var(--third)", "#cc79a7": "var(--fifth)",
}  # fmt: skip


def ink_css() -> str:
    """The drawings' ink as the page's colours: the same rules as on paper, by token."""
    rules = []
    for name, look in PAPER.items():
        for colour, token in _TOKENS.items():
            look = look.replace(colour, token)
        if name == "text":
            look = "font:12px var(--plain);fill:var(--ink);stroke:none"
        rules.append(f"svg {name}{{{look}}}")
    return "\n".join(rules)
