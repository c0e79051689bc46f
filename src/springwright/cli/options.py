"""Options that several commands share."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

StateOption = Annotated[str | None, typer.Option("--state", help="Load state; the design state if left out.")]
UnitsOption = Annotated[Literal["metric", "imperial"], typer.Option(help="Units to show results in.")]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print the complete result as JSON, SI, unit beside each value.")
]
