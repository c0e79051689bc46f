"""Worked formulas as equations: one SVG each, with plain text beside it for those who cannot see it."""

from __future__ import annotations

from springwright.formula import Working, figure
from springwright.units import THIN


def equation(work: Working, size: float = 13.0, prefix: str = "") -> str:
    """Symbols = numbers = value unit, set as SVG; `prefix` makes its glyphs' names its own, so that equations on one page do not share them."""
    import ziamath  # 0.2 s: only for typeset output

    value = figure(work.value).replace(THIN, r"\,").replace("·", r"\cdot ")
    unit = rf"\ \mathrm{{{_unit(work.unit)}}}" if work.unit else ""
    return _named_apart(
        str(ziamath.Latex(f"{work.latex} = {work.substituted} = {value}{unit}", size=size).svg()), prefix
    )


def formula_svg(latex: str, prefix: str, size: float = 15.0) -> str:
    """A formula by its symbols alone, set as SVG in the colour of the text around it."""
    import ziamath  # see above

    return _named_apart(str(ziamath.Latex(latex, size=size).svg()), prefix).replace(
        'fill="black"', 'fill="currentColor"'
    )


def _named_apart(svg: str, prefix: str) -> str:
    return svg.replace('id="', f'id="{prefix}-').replace('href="#', f'href="#{prefix}-') if prefix else svg


def _unit(unit: str) -> str:
    text = unit.replace("**2", "^{2}").replace("**3", "^{3}").replace("**4", "^{4}")
    return text.replace("*", r"\,")
