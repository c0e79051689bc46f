"""Spring wire and bar: strength against diameter, moduli, and what stress it may see, from data files.

Each file in `parts/data` is one grade from one source, which its head names with its caveat.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from itertools import zip_longest
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwright.cells import cells_of
from springwright.errors import UnsolvedError
from springwright.parts.material import Brought

Made = Literal["cold coiled", "hot coiled"]
MADE: tuple[str, ...] = get_args(Made)
COLD_SOLID_SHARE = 0.56  # EN 13906-1 10.1.1: permissible shear at solid length / tensile strength, cold coiled

# Torsional (pulsating endurance, yield) as shares of tensile strength: Sadhu Singh, Machine Design-I, ex. 8.2;
# Bhandari, Design of Machine Elements, ex. 10.13
FATIGUE_SHARES = {"patented cold drawn": (0.21, 0.42), "oil-hardened and alloy": (0.22, 0.45)}


@dataclass(frozen=True)
class Wire:
    """A grade of spring wire or bar; SI, diameters ascending."""

    name: str
    made: Made
    shear_modulus: float
    elastic_modulus: float
    density: float
    fatigue: str
    source: str
    caveat: str
    sizes: tuple[float, ...]
    diameters: tuple[float, ...]
    strengths: tuple[float, ...]
    solid_shears: tuple[float, ...] | None

    def covers(self, diameter: ArrayLike) -> NDArray[np.bool_]:
        """Whether the data reaches this diameter [m]."""
        d = np.asarray(diameter, dtype=float)
        return (d >= self.diameters[0] * (1 - 1e-9)) & (d <= self.diameters[-1] * (1 + 1e-9))

    def strength(self, diameter: ArrayLike) -> NDArray[np.float64]:
        """Least tensile strength [Pa] at a diameter [m], between rows on logarithmic scales.

        Raises
        ------
        UnsolvedError
            The diameter lies outside the data.

        """
        d = np.asarray(diameter, dtype=float)
        if not np.all(self.covers(d)):
            low, high, asked = (round(1e3 * x, 2) for x in (self.diameters[0], self.diameters[-1], float(np.max(d))))
            raise UnsolvedError(
                f"{self.name} has strength data from {low:g} to {high:g} mm, not at {asked:g} mm; "
                f"choose a wire within it or another grade ({', '.join(wire_names())})"
            )
        return np.asarray(np.exp(np.interp(np.log(d), np.log(self.diameters), np.log(self.strengths))))

    def solid_shear(self, diameter: ArrayLike) -> NDArray[np.float64]:
        """Permissible uncorrected shear stress at solid length [Pa]."""
        strength = self.strength(diameter)
        if self.solid_shears is None:
            return np.asarray(COLD_SOLID_SHARE * strength)
        return np.asarray(np.interp(np.asarray(diameter, dtype=float), self.diameters, self.solid_shears))

    def solid_source(self) -> str:
        """Where the permissible stress at solid length comes from."""
        if self.solid_shears is None:
            return f"EN 13906-1 10.1.1: {COLD_SOLID_SHARE} of the tensile strength, cold coiled"
        return "hot coiled: 900 MPa at 10 mm to 700 MPa at 60 mm, from memory, low confidence"


@lru_cache
def read_table(name: str) -> tuple[dict[str, str], list[dict[str, str]]]:
    """Head (`# key: value` lines) and rows of one of our data files."""
    return table_of((files("springwright.parts") / "data" / name).read_text(encoding="utf-8"))


def table_of(text: str) -> tuple[dict[str, str], list[dict[str, str]]]:
    """Head (`# key: value` lines) and rows of a data file's text."""
    lines = text.splitlines()
    head = dict(line[2:].split(": ", 1) for line in lines if line.startswith("# ") and ": " in line)
    rows = cells_of(text)
    return head, [dict(zip_longest(rows[0], row[: len(rows[0])])) for row in rows[1:]] if rows else []


@lru_cache(maxsize=1)
def _wires() -> dict[str, Wire]:
    found = {}
    for path in sorted(p.name for p in (files("springwright.parts") / "data").iterdir()):
        if not path.startswith(("en", "astm")):
            continue
        made = wire_of(*read_table(path))
        found[made.name] = made
    return found


def wire_of(head: dict[str, str], rows: list[dict[str, str]]) -> Wire:
    """A grade from a data file's head and rows; the head names what is missing by its key.

    Raises
    ------
    KeyError, ValueError
        A line of the head or a column is missing, or a cell is no number.

    """
    solid = tuple(float(row["shear at solid [MPa]"]) * 1e6 for row in rows if row.get("shear at solid [MPa]"))
    return Wire(
        name=head["name"],
        made="hot coiled" if head["made"] == "hot coiled" else "cold coiled",
        shear_modulus=float(head["shear modulus"]),
        elastic_modulus=float(head["elastic modulus"]),
        density=float(head["density"]),
        fatigue=head["fatigue"],
        source=head["source"],
        caveat=head["caveat"],
        sizes=tuple(float(size) / 1e3 for size in head["sizes"].split()),
        diameters=tuple(float(row["diameter [mm]"]) / 1e3 for row in rows),
        strengths=tuple(float(row["strength least [MPa]"]) * 1e6 for row in rows),
        solid_shears=solid or None,
    )


def wire_names() -> list[str]:
    """Every grade of the program's own data."""
    return sorted(_wires())


def wire(name: str) -> Wire:
    """The grade of that name.

    Raises
    ------
    UnsolvedError
        No such grade; the message lists those there are.

    """
    if isinstance(name, Brought) and isinstance(name.of, Wire):
        return name.of
    if name not in _wires():
        raise UnsolvedError(f'no wire grade "{name}"; there are {", ".join(wire_names())}')
    return _wires()[name]
