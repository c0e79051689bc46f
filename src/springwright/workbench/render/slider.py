"""What can be moved on a drawing: a slider to those who hear the page, a handle to those who drag it."""

from __future__ import annotations

import json
from typing import Any

from markupsafe import Markup


def ring(ident: str, looks: str, label: str, now: str, data: tuple[str, dict[str, Any]], at: tuple[float, float], said: str = "") -> Markup:  # fmt: skip
    """A ring at a place of a drawing [px] that is drawn where it shall be; `data` is its name on the page and what the page's script wants, `said` its value in words."""
    x, y = (f"{one:.2f}" for one in at)
    told = Markup(' aria-valuetext="{}"').format(said) if said else ""
    return Markup(
        '<g class="{}" id="{}" tabindex="0" role="slider" aria-label="{}" aria-valuenow="{}"{} data-{}="{}"><circle class="hit" cx="{}" cy="{}" r="12"/><circle class="ring" cx="{}" cy="{}" r="5"/></g>'
    ).format(looks, ident, label, now, told, data[0], json.dumps(data[1]), x, y, x, y)


def beside_ring(at: tuple[float, float], text: str) -> Markup:
    """The true value beside the hand that holds a ring."""
    return Markup('<text class="mine halo told" x="{}" y="{}">{}</text>').format(
        f"{at[0] + 9:.1f}", f"{at[1] - 8:.1f}", text
    )


def slider(
    ident: str, looks: str, label: str, now: str, ends: tuple[str, str], slide: dict[str, Any], marks: Markup
) -> Markup:
    """A group of marks that moves along a line; `slide` tells the page which place of the design it writes, and on what scale."""
    return Markup(
        '<g class="{}" id="{}" tabindex="0" role="slider" aria-label="{}" aria-valuenow="{}" aria-valuemin="{}" aria-valuemax="{}" data-slide="{}">{}</g>'
    ).format(looks, ident, label, now, *ends, json.dumps(slide), marks)
