"""What can be moved on a drawing: a slider to those who hear the page, a handle to those who drag it."""

from __future__ import annotations

import json
from typing import Any

from markupsafe import Markup


def slider(
    ident: str, looks: str, label: str, now: str, ends: tuple[str, str], slide: dict[str, Any], marks: Markup
) -> Markup:
    """A group of marks that moves along a line; `slide` tells the page which place of the design it writes, and on what scale."""
    return Markup(
        '<g class="{}" id="{}" tabindex="0" role="slider" aria-label="{}" aria-valuenow="{}" aria-valuemin="{}" aria-valuemax="{}" data-slide="{}">{}</g>'
    ).format(looks, ident, label, now, *ends, json.dumps(slide), marks)
