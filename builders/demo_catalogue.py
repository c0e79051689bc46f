"""Makes the invented spring catalogue of the demos: three made-up makers, every figure from the coil formulas.

Run from the project's root: python builders/demo_catalogue.py
"""

from __future__ import annotations

from pathlib import Path

from springwright.parts import coil
from springwright.parts.wire import wire

TARGET = Path("src/springwright/demos/springs.csv")
HEAD = (
    "# Invented for demonstration: makers, parts and prices are made up. Rates follow from the dimensions.\n"
    "part,maker,rate [N/mm],free length [mm],solid length [mm],wire [mm],outside diameter [mm],inside diameter [mm],"
    "active coils,largest load [N],mass [kg],price [EUR],lead time [days],pairing,note\n"
)
# maker, price per kg, days, sold as, families of (wire mm, mean diameter mm, active coils, free lengths mm)
MAKERS = [
    ("Hollin", 14, 21, "single", [
        (18, 150, 7.0, (440, 460, 480, 500)), (17.5, 150, 7.0, (440, 460, 480, 500)), (19, 155, 6.5, (420, 440, 460, 480)),
        (20, 155, 6.0, (400, 420, 440, 460)), (20.5, 155, 6.0, (400, 420, 430, 440)),
    ]),
    ("Tarn", 11, 7, "pair", [
        (10, 90, 9.0, (340, 360, 380)), (10.5, 92, 8.5, (340, 360, 380)), (11, 95, 8.0, (340, 360, 380, 400)),
        (12, 95, 8.0, (340, 360, 380, 400)), (11.5, 95, 8.0, (360, 380, 400)), (14, 105, 6.0, (340, 360, 380)),
    ]),
    ("Oxbow", 9, 42, "single", [
        (17, 150, 7.5, (440, 470)), (20, 160, 6.0, (400, 430, 460)), (22, 165, 5.5, (380, 410, 440)), (24, 170, 5.0, (360, 390, 420)),
        (26, 180, 5.0, (380, 410)), (16, 140, 8.0, (430, 460, 490)), (14, 120, 8.5, (380, 410, 440)),
    ]),
]  # fmt: skip


def main() -> None:
    steel = wire("52CrMoV4")
    rows = []
    for maker, per_kg, days, pairing, families in MAKERS:
        for d, mean, active, frees in families:
            rate = coil.rate(steel.shear_modulus, d / 1e3, mean / 1e3, active)
            total = coil.total_coils(active, "closed and ground", "hot coiled")
            solid = coil.solid_length(d / 1e3, total, "closed and ground", "hot coiled")
            largest = float(steel.solid_shear(d / 1e3)) * 3.14159265 * (d / 1e3) ** 3 / (8 * mean / 1e3)
            mass = coil.coil_mass(d / 1e3, mean / 1e3, total, steel.density)
            for free in frees:
                price = round(per_kg * mass * (2 if pairing == "pair" else 1) + 12)
                rows.append(
                    f"{maker} {mean:g}-{d:g}-{free},{maker},{rate / 1e3:.1f},{free},{solid * 1e3:.0f},{d:g},{mean + d:g},{mean - d:g},"
                    f"{active:g},{round(largest, -1):.0f},{mass:.2f},{price},{days},{pairing},invented"
                )
    TARGET.write_text(HEAD + "\n".join(rows) + "\n")
    print(len(rows), "springs")


if __name__ == "__main__":
    main()
