"""Options that several commands share, and whether progress is told."""

from __future__ import annotations

from contextvars import ContextVar
from typing import Annotated, Literal

import typer

QUIET: ContextVar[bool] = ContextVar("quiet", default=False)  # nothing is said of progress
DemoName = Literal["fire-watch", "fire-watch-leaves", "fire-watch-links", "survey-buggy", "bog-carrier"]

StateOption = Annotated[str | None, typer.Option("--state", help="Load state; the design state if left out.")]
UnitsOption = Annotated[Literal["metric", "imperial"], typer.Option(help="Units to show results in.")]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print the complete result as JSON, SI, unit beside each value.")
]
