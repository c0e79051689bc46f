"""Springwright: from weights and a target to springs you can order, for off-road vehicles.

>>> import springwright
>>> sheet = springwright.size("fire-watch.toml")  # doctest: +SKIP
>>> sheet.rates[0].spring_rate  # N/m  # doctest: +SKIP

`load` reads a design file; what takes one takes its path as well. `size` works it out, `write` puts it on a sheet. `assemble` gives the arrays of one load state;
`equilibrium`, `modes`, `response` and `drive` ask them where they rest, how they want to move, what random ground does, and
what happens in time; `grounds` makes what is driven over. `prove` answers seven questions of a design, `full_window` tells how soft and
how stiff each axle may be. Once it is built, `reduce` reads what was measured, `compare` holds it beside what was due and `correct` the
model by it. Everything is SI.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from springwright.commission.compare import compare, reduce
    from springwright.commission.correct import correct
    from springwright.errors import InputError, SpringwrightError, UnsolvedError
    from springwright.evaluation import Evaluation
    from springwright.motion.drive import drive, drive_many
    from springwright.motion.equilibrium import equilibria, equilibrium
    from springwright.motion.forces import Case
    from springwright.motion.modes import modes
    from springwright.motion.response import response
    from springwright.questions.dynamic_requirements import full_window
    from springwright.questions.prove import prove
    from springwright.report.write import write
    from springwright.sizing.first_number import rate
    from springwright.sizing.fitted import assemble
    from springwright.sizing.order_list import order_list
    from springwright.sizing.sheet import Sheet, size
    from springwright.studies.exchange import exchange
    from springwright.studies.front import front
    from springwright.studies.spread import spread
    from springwright.studies.sweep import sweep
    from springwright.terrain import grounds
    from springwright.vehicle.file import DesignFile, load

# Imported when first asked for, so that `import springwright` costs next to nothing.
_WHERE = {
    "Case": "motion.forces",
    "DesignFile": "vehicle.file",
    "Evaluation": "evaluation",
    "InputError": "errors",
    "Sheet": "sizing.sheet",
    "SpringwrightError": "errors",
    "UnsolvedError": "errors",
    "assemble": "sizing.fitted",
    "compare": "commission.compare",
    "correct": "commission.correct",
    "drive": "motion.drive",
    "drive_many": "motion.drive",
    "equilibria": "motion.equilibrium",
    "equilibrium": "motion.equilibrium",
    "exchange": "studies.exchange",
    "front": "studies.front",
    "full_window": "questions.dynamic_requirements",
    "grounds": "terrain",
    "load": "vehicle.file",
    "modes": "motion.modes",
    "order_list": "sizing.order_list",
    "prove": "questions.prove",
    "rate": "sizing.first_number",
    "reduce": "commission.compare",
    "response": "motion.response",
    "size": "sizing.sheet",
    "spread": "studies.spread",
    "sweep": "studies.sweep",
    "write": "report.write",
}
__all__ = [
    "Case",
    "DesignFile",
    "Evaluation",
    "InputError",
    "Sheet",
    "SpringwrightError",
    "UnsolvedError",
    "assemble",
    "compare",
    "correct",
    "drive",
    "drive_many",
    "equilibria",
    "equilibrium",
    "exchange",
    "front",
    "full_window",
    "grounds",
    "load",
    "modes",
    "order_list",
    "prove",
    "rate",
    "reduce",
    "response",
    "size",
    "spread",
    "sweep",
    "write",
]


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"springwright has no {name!r}; it has {', '.join(__all__)}")
    module = import_module(f"springwright.{_WHERE[name]}{'.grounds' if name == 'grounds' else ''}")
    return module if name == "grounds" else getattr(module, name)
