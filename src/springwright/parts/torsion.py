"""Torsion bars and anti-roll bars: round bars twisted by arms.

A torsion bar turns a wheel's arm; an anti-roll bar is a bar across the vehicle with an arm at each end. Straight-bar theory:
torsion G J / L, and for the anti-roll bar bending of arms and bar as well (Castigliano), held against a frame solved in
finite elements in the tests. Permissible stresses are from DIN 2091, from memory.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from pydantic import ConfigDict, model_validator

from springwright.errors import FieldFault, QuantityError
from springwright.formula import formula
from springwright.parts.steel import OfSteel
from springwright.parts.supply import Supply
from springwright.quantities import (
    Kind,
    Lean,
    NonNegativeLength,
    PositiveAngle,
    PositiveLength,
    PositiveRate,
    Ratio,
    Record,
    RollRate,
    Stress,
)
from springwright.units import parse, show

YOUNGS_MODULUS = 206e9  # Pa, hardened and tempered spring steel
SHEAR_MODULUS = YOUNGS_MODULUS / 2.6  # Poisson's ratio 0.3, so that torsion and bending of a bar agree

_BAR = ("d", "bar diameter", "m")
_LONG = ("L", "active length", "m")
_SHEAR = ("G", "shear modulus", "Pa")


@formula(
    "twist rate of a round bar",
    r"k_{t} = \frac{\pi G d^{4}}{32 L}",
    unit="N*m/rad",
    source="torsion of a round shaft",
    modulus=_SHEAR,
    bar=_BAR,
    length=_LONG,
)
def twist_rate(modulus: Any, bar: Any, length: Any) -> Any:
    """Torque per twist of a solid bar [N m/rad]."""
    return np.pi * modulus * bar**4 / (32 * length)


@formula(
    "bar diameter for a twist rate",
    r"d = \left(\frac{32 L k_{t}}{\pi G}\right)^{0.25}",
    unit="m",
    source="torsion of a round shaft, turned round",
    modulus=_SHEAR,
    length=_LONG,
    rate=("k_{t}", "twist rate", "N*m/rad"),
)
def diameter_for(modulus: Any, length: Any, rate: Any) -> Any:
    """Diameter of the solid bar that has a twist rate [m]."""
    return (32 * length * rate / (np.pi * modulus)) ** 0.25


@formula(
    "torsional stress of a round bar",
    r"\tau = \frac{16 T}{\pi d^{3}}",
    unit="Pa",
    source="torsion of a round shaft",
    torque=("T", "torque", "N*m"),
    bar=_BAR,
)
def stress(torque: Any, bar: Any) -> Any:
    """Shear stress at the surface of a solid bar [Pa]."""
    return 16 * torque / (np.pi * bar**3)


class BarShape(OfSteel):
    """An anti-roll bar by its dimensions: straight between two bushings, on to each bend, and an arm from there.

    `between` is the span of the bushings, `overhang` from bushing to bend, `arm` from bend to drop link, `splay` the arm's angle
    outward from square to the bar; `bore` of a tube.
    """

    # what a bar `adds` gives the diameter, so that an editor must not ask for it
    model_config = ConfigDict(json_schema_extra=lambda made: made["required"].remove("diameter"))

    diameter: PositiveLength
    bore: NonNegativeLength = 0.0
    between: PositiveLength
    overhang: NonNegativeLength = 0.0
    arm: PositiveLength
    splay: Lean = 0.0
    permissible: Stress | None = None

    @model_validator(mode="after")
    def _hollow(self) -> BarShape:
        if self.bore >= self.diameter:
            raise FieldFault(("bore",), "must be less than the diameter")
        return self

    @property
    def end_rate(self) -> float:
        """Force at each end per that end's travel, the ends moving against each other [N/m]."""
        polar = np.pi * (self.diameter**4 - self.bore**4) / 32
        second = polar / 2
        a, s, e = self.arm, self.between, self.overhang
        out, square = a * np.sin(self.splay), a * np.cos(self.splay)
        torsion = square**2 * (s + 2 * e) / (2 * SHEAR_MODULUS * polar)
        bending = (a**3 / 3 + ((out + e) ** 3 - out**3) / 3 + (out + e) ** 2 * s / 6) / (YOUNGS_MODULUS * second)
        return float(1 / (torsion + bending))

    def stress(self, force: float) -> tuple[float, float]:
        """Shear in the bar and the largest equivalent stress (von Mises) [Pa] for a force at each end [N]: at the bushings or where the arm begins."""
        section = np.pi * self.diameter**3 * (1 - (self.bore / self.diameter) ** 4)
        shear = 16 * force * self.arm * np.cos(self.splay) / section
        at_bushing = 32 * force * (self.overhang + self.arm * np.sin(self.splay)) / section
        at_arm = 32 * force * self.arm / section
        return float(shear), float(max(np.sqrt(at_bushing**2 + 3 * shear**2), at_arm))


def bar_diameter_for(
    end_rate: float, between: float, overhang: float, arm: float, bore_share: float = 0.0, splay: float = 0.0
) -> float:
    """Outside diameter [m] of an anti-roll bar that has an end rate [N/m]; `bore_share` is bore / diameter of a tube."""
    lengths: dict[str, Any] = {"between": between, "overhang": overhang, "arm": arm, "splay": splay}
    shape = BarShape.model_construct(diameter=1.0, bore=bore_share, **lengths)
    return float((end_rate / shape.end_rate) ** 0.25)


def end_rate_for(roll_stiffness: Any, track: Any, motion_ratio: Any) -> Any:
    """End rate [N/m] of an anti-roll bar that adds a roll stiffness [N m/rad] at the wheels over a track [m]."""
    return 2 * roll_stiffness / (track * motion_ratio) ** 2


class Bar(Record):
    """An anti-roll bar: force at each end per that end's own travel, stated as `rate` or worked out from its `shape`.

    Motion ratio: travel of the bar's end / wheel travel. With `adds` (roll stiffness at the wheels) the shape's diameter is left out
    and worked out, to a tenth of a millimetre. `drop_link` is the length of the link at each end, `drop_link_angle` what its joints allow.
    """

    rate: PositiveRate | None = None
    shape: BarShape | None = None
    motion_ratio: Ratio
    adds: RollRate | None = None
    drop_link: PositiveLength | None = None
    drop_link_angle: PositiveAngle | None = None
    supply: Supply | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Bar:
        if (self.rate is None) == (self.shape is None):
            raise FieldFault((), "give one of rate and shape (diameter, between, overhang, arm)")
        return self

    @property
    def end_rate(self) -> float:
        """Force at each end per that end's own travel [N/m]."""
        return self.shape.end_rate if self.shape is not None else self.rate or 0.0


_IN_A_BAR = Kind("length", least=0.0, most=10.0)


def sized_bar(bar: Any, track: Any) -> Any:
    """The raw data of a bar with the diameter its `adds` asks for put in; anything else as it stands.

    Raises
    ------
    FieldFault
        A diameter is given beside `adds`, or what it needs is missing.

    """
    if not isinstance(bar, dict) or not bar.get("adds"):
        return bar
    shape = bar.get("shape")
    if not isinstance(shape, dict):
        raise FieldFault(("bar", "shape"), "is missing: give between, overhang and arm, and leave the diameter out")
    if track is None:
        raise FieldFault(("track",), "is missing")
    if "bore" in shape and "diameter" not in shape:
        raise FieldFault(
            ("bar", "shape", "bore"),
            "the diameter follows from adds: give bore_share, the bore over the diameter, instead",
        )
    try:
        wanted, wide, ratio = (
            Kind("roll rate", above=0.0).read(bar["adds"]),
            Kind("length", above=0.05).read(track),
            Kind("ratio", above=0.01, most=20.0).read(bar["motion_ratio"]),
        )
        given = parse(shape["diameter"], "length") if "diameter" in shape else None
        share = parse(shape.get("bore_share", 0.0), "ratio")
        if given and "bore" in shape:
            share = parse(shape["bore"], "length") / given
        between, overhang, arm = (_IN_A_BAR.read(shape.get(name, "0 mm")) for name in ("between", "overhang", "arm"))
        splay = Kind("angle", least=-1.3, most=1.3).read(shape.get("splay", "0 deg"))
    except (QuantityError, KeyError) as error:
        raise FieldFault(("bar",), f"cannot be worked out: {error}") from None
    if arm <= 0 or between <= 0 or not 0 <= share < 1:
        raise FieldFault(("bar", "shape"), "needs between and arm longer than nothing, and bore_share under 1")
    asked = float(end_rate_for(wanted, wide, ratio))
    diameter = round(bar_diameter_for(asked, between, overhang, arm, share, splay), 4)
    if not 0.005 <= diameter <= 0.1:
        raise FieldFault(
            ("bar", "adds"), f"asks for a bar {show(diameter, 'length')} thick; check it, the motion ratio and the arm"
        )
    if given is not None and abs(given - diameter) > 1.5e-4:
        raise FieldFault(
            ("bar", "shape", "diameter"),
            f"is {show(diameter, 'length', 1)} for what the bar adds; take one of them out",
        )
    made = {name: value for name, value in shape.items() if name != "bore_share"}
    made |= {"diameter": f"{diameter!r} m", "bore": f"{share * diameter!r} m"}
    return {**bar, "shape": made}
