"""Worked formulas as equations: one SVG each, with plain text beside it for those who cannot see it."""

from __future__ import annotations

from springwright.formula import Working, figure
from springwright.units import THIN


def equation(work: Working, size: float = 13.0, prefix: str = "") -> str:
    """Symbols = numbers = value unit, set as SVG; `prefix` makes its glyphs' names its own, so that equations on one page do not share them."""
    import ziamath  # 0.2 s: only for typeset output

    value = figure(work.value).replace(THIN, r"\,").replace("·", r"\cdot ")
    unit = rf"\ \mathrm{{{_unit(work.unit)}}}" if work.unit else ""
    svg = str(ziamath.Latex(f"{work.latex} = {work.substituted} = {value}{unit}", size=size).svg())
    return svg.replace('id="', f'id="{prefix}-').replace('href="#', f'href="#{prefix}-') if prefix else svg


def _unit(unit: str) -> str:
    text = unit.replace("**2", "^{2}").replace("**3", "^{3}").replace("**4", "^{4}")
    return text.replace("*", r"\,")
