"""Spring steels for leaves, torsion bars and anti-roll bars: moduli and the stresses they may see, from a data file.

`parts/data/steels.csv` names the source of each row; a builder adds or changes grades in a file of his own.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from pydantic import model_validator

from springwright.errors import FieldFault, UnsolvedError
from springwright.parts.material import Brought, GradeName
from springwright.parts.wire import read_table
from springwright.quantities import Record


@dataclass(frozen=True)
class Steel:
    """A spring steel; SI. Stresses: leaf at ride and at full bump (bending), bar not preset and preset (shear), bar cyclic (equivalent)."""

    name: str
    elastic_modulus: float
    shear_modulus: float
    density: float
    leaf_ride: float
    leaf_bump: float
    bar: float
    bar_preset: float
    bar_cyclic: float
    leaf_source: str
    bar_source: str


class OfSteel(Record):
    """A part made of a spring steel; where permissible stresses of one's own stand in place of the steel's, `stress_origin` says whence."""

    steel: GradeName = "51CrV4"
    stress_origin: str | None = None

    @model_validator(mode="after")
    def _known(self) -> OfSteel:
        stated = any(getattr(self, name, None) for name in ("permissible", "stress_at_ride", "stress_at_bump"))
        if stated and not self.stress_origin:
            raise FieldFault(("stress_origin",), "say where your permissible stress comes from")
        try:
            steel(self.steel)
        except UnsolvedError as error:
            raise FieldFault(("steel",), str(error)) from None
        return self


@lru_cache(maxsize=1)
def _steels() -> dict[str, Steel]:
    _, rows = read_table("steels.csv")
    return steels_of(rows)


def steels_of(rows: list[dict[str, str]]) -> dict[str, Steel]:
    """Steels by name from the rows of a data file.

    Raises
    ------
    KeyError, ValueError
        A column is missing, or a cell is no number.

    """
    return {
        row["name"]: Steel(
            row["name"],
            float(row["elastic modulus [GPa]"]) * 1e9,
            float(row["shear modulus [GPa]"]) * 1e9,
            float(row["density [kg/m3]"]),
            float(row["leaf at ride [MPa]"]) * 1e6,
            float(row["leaf at bump [MPa]"]) * 1e6,
            float(row["bar shear [MPa]"]) * 1e6,
            float(row["bar shear preset [MPa]"]) * 1e6,
            float(row["bar cyclic [MPa]"]) * 1e6,
            row["leaf source"],
            row["bar source"],
        )
        for row in rows
    }


def steel(name: str) -> Steel:
    """The steel of that name.

    Raises
    ------
    UnsolvedError
        No such steel; the message lists those there are.

    """
    if isinstance(name, Brought) and isinstance(name.of, Steel):
        return name.of
    known = _steels()
    if name not in known:
        raise UnsolvedError(f'no spring steel "{name}"; there are {", ".join(sorted(known))}')
    return known[name]
