"""Springwright: from weights and a target to springs you can order, for off-road vehicles.

>>> import springwright
>>> sheet = springwright.size(springwright.load("fire-watch.toml"))  # doctest: +SKIP
>>> sheet.rates[0].spring_rate  # N/m  # doctest: +SKIP

`load` reads a design file, `size` works it out, `write` puts it on a sheet. Everything is SI.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from springwright.errors import InputError, SpringwrightError, UnsolvedError
    from springwright.report.write import write
    from springwright.studies.sheet import Sheet, size
    from springwright.vehicle.file import DesignFile, load

__all__ = ["DesignFile", "InputError", "Sheet", "SpringwrightError", "UnsolvedError", "load", "size", "write"]

# Imported when first asked for, so that `import springwright` costs next to nothing.
_WHERE = {
    "DesignFile": "vehicle.file",
    "InputError": "errors",
    "Sheet": "studies.sheet",
    "SpringwrightError": "errors",
    "UnsolvedError": "errors",
    "load": "vehicle.file",
    "size": "studies.sheet",
    "write": "report.write",
}


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"springwright has no {name!r}; it has {', '.join(__all__)}")
    return getattr(import_module(f"springwright.{_WHERE[name]}"), name)
