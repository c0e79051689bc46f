"""A builder's own materials: wire grades (a file each) and spring steels (a table of them), in the form of our data files."""

from __future__ import annotations

from springwright.errors import Fault, InputError
from springwright.parts import steel, wire


def bring(text: str, file: str) -> list[str]:
    """Make the grades of a file known by their names, for every design that uses them; gives the names.

    A file whose columns hold `leaf at ride [MPa]` is a table of steels; any other is one wire grade, with the lines `# name:`, `# made:`
    (cold coiled or hot coiled), `# shear modulus:`, `# elastic modulus:`, `# density:`, `# fatigue:`, `# source:`, `# caveat:`, `# sizes:`
    and the columns diameter [mm], strength least [MPa] and, for hot coiled ones, shear at solid [MPa].

    Raises
    ------
    InputError
        A line or column is missing, or a cell is no number.

    """
    head, rows = wire.table_of(text)
    try:
        if rows and "leaf at ride [MPa]" in rows[0]:
            found = steel.steels_of(rows)
            steel.OWN.update(found)
            return list(found)
        one = wire.wire_of(head, rows)
        if len(one.diameters) < 2 or any(b <= a for a, b in zip(one.diameters[:-1], one.diameters[1:], strict=True)):
            raise InputError(file, [Fault("diameter [mm]", "", "needs two rows or more, rising")])
        if one.fatigue not in wire.FATIGUE_SHARES:
            known = ", ".join(wire.FATIGUE_SHARES)
            raise InputError(file, [Fault("fatigue", one.fatigue, f"must be one of {known}")])
        wire.OWN[one.name] = one
        return [one.name]
    except KeyError as missing:
        raise InputError(
            file, [Fault(str(missing).strip("'"), "", "is missing; see the data files of the program for the form")]
        ) from None
    except TypeError:  # a row that ends before its last column
        raise InputError(file, [Fault("", "", "holds a row that is too short; every column needs a cell")]) from None
    except ValueError as error:
        raise InputError(file, [Fault("", "", f"holds a cell that is no number: {error}")]) from None
