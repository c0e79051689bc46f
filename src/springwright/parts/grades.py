"""A builder's own materials: wire grades (a file each) and spring steels (a table of them), in the form of our data files."""

from __future__ import annotations

from springwright.errors import Fault, InputError
from springwright.parts import steel, wire
from springwright.parts.steel import Steel
from springwright.parts.wire import Wire

# What a metal can have, SI, wide of all of them: moduli, density, stresses, diameters.
_OF_WIRE = ("shear_modulus", "elastic_modulus", "density")
_OF_STEEL = ("elastic_modulus", "shear_modulus", "density", "leaf_ride", "leaf_bump", "bar", "bar_preset", "bar_cyclic")
_RANGES = {
    "modulus": (1e9, 1e12),
    "density": (500.0, 25e3),
    "diameter": (1e-5, 0.5),
    "sizes": (1e-5, 0.5),
    "": (1e6, 1e10),
}


def _possible(figures: dict[str, float], file: str, row: str) -> None:
    """Refuse what no metal has."""
    for name, value in figures.items():
        low, high = next(ends for word, ends in _RANGES.items() if word in name)
        if not low <= value <= high:
            said = f"no metal has that; {low:g} to {high:g} in SI is possible"
            raise InputError(file, [Fault(", ".join(filter(None, [row, name.replace("_", " ")])), f"{value:g}", said)])


def grades_in(text: str, file: str) -> dict[str, Wire | Steel]:
    """The grades of a file by their names.

    A file whose columns hold `leaf at ride [MPa]` is a table of steels; any other is one wire grade, with the lines `# name:`, `# made:`
    (cold coiled or hot coiled), `# shear modulus:`, `# elastic modulus:`, `# density:`, `# fatigue:`, `# source:`, `# caveat:`, `# sizes:`
    and the columns diameter [mm], strength least [MPa] and, for hot coiled ones, shear at solid [MPa].

    Raises
    ------
    InputError
        A line or column is missing, a cell is no number, or none that a steel can have.

    """
    head, rows = wire.table_of(text)
    try:
        if rows and "leaf at ride [MPa]" in rows[0]:
            found = steel.steels_of(rows)
            for made in found.values():
                _possible({name: getattr(made, name) for name in _OF_STEEL}, file, made.name)
            return dict(found)
        one = wire.wire_of(head, rows)
        _possible({name: getattr(one, name) for name in _OF_WIRE}, file, "")
        for word, row in (
            ("strength least", one.strengths),
            ("shear at solid", one.solid_shears or ()),
            ("diameter", one.diameters),
            ("sizes", one.sizes),
        ):
            _possible({f"{word}, row {i + 1}": value for i, value in enumerate(row)}, file, "")
        if head["made"] not in wire.MADE:
            raise InputError(file, [Fault("made", head["made"], f"must be one of {', '.join(wire.MADE)}")])
        if len(one.diameters) < 2 or any(b <= a for a, b in zip(one.diameters[:-1], one.diameters[1:], strict=True)):
            raise InputError(file, [Fault("diameter [mm]", "", "needs two rows or more, rising")])
        if one.fatigue not in wire.FATIGUE_SHARES:
            known = ", ".join(wire.FATIGUE_SHARES)
            raise InputError(file, [Fault("fatigue", one.fatigue, f"must be one of {known}")])
        return {one.name: one}
    except KeyError as missing:
        raise InputError(
            file, [Fault(str(missing).strip("'"), "", "is missing; see the data files of the program for the form")]
        ) from None
    except TypeError:  # a row that ends before its last column
        raise InputError(file, [Fault("", "", "holds a row that is too short; every column needs a cell")]) from None
    except ValueError as error:
        raise InputError(file, [Fault("", "", f"holds a cell that is no number: {error}")]) from None
