"""A torsion bar as the builder writes it: what twists, its adjuster, and the bar for a rate.

Its law is told at the end of the arm that turns it, along the arc: rate k_t / a2. The change of angle along the travel is the mount's.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from pydantic import model_validator

from springwright.errors import FieldFault
from springwright.parts import torsion
from springwright.parts.law import Law, LinearLaw, SpringNeed
from springwright.parts.record import AGREE, Dimension, SpringPart, Tolerance, length, words
from springwright.parts.steel import OfSteel, steel
from springwright.quantities import Lean, NonNegativeLength, PositiveLength, Share, Stress
from springwright.results import Judged
from springwright.units import show

STEP = 0.1e-3  # m, bars are ground to a tenth of a millimetre


class TorsionBar(SpringPart, OfSteel):
    """A round bar twisted by the wheel's arm. Left out, `diameter` is worked out from the target.

    `adjuster` is how far the arm hangs below its place at zero travel with the bar free; left out, it is set to carry the design
    load there. `bore_share` is bore / diameter of a tube.
    """

    length: PositiveLength
    diameter: PositiveLength | None = None
    bore: NonNegativeLength | None = None
    bore_share: Share = 0.0
    adjuster: Lean | None = None
    preset: bool = False
    permissible: Stress | None = None

    @model_validator(mode="after")
    def _whole(self) -> TorsionBar:
        if self.bore is not None and self.diameter is not None and self.bore >= self.diameter:
            raise FieldFault(("bore",), "must be less than the diameter")
        if self.bore is not None and self.diameter is None:
            raise FieldFault(
                ("bore",), "needs the diameter beside it; give bore_share where the diameter is to be found"
            )
        if self.bore_share > 0.95:
            raise FieldFault(("bore_share",), "must be 0.95 or less")
        return self

    @property
    def kind(self) -> str:
        """See `SpringPart`."""
        return "torsion bar"

    @property
    def pulls(self) -> bool:
        """See `SpringPart`."""
        return True

    @property
    def complete(self) -> bool:
        """See `SpringPart`."""
        return self.diameter is not None

    @property
    def _hollow(self) -> float:
        """What a bore leaves of stiffness and strength."""
        share = self.bore / self.diameter if self.bore and self.diameter else self.bore_share
        return 1 - share**4

    @property
    def twist_rate(self) -> float:
        """Torque per twist [N m/rad]."""
        made = steel(self.steel)
        return float(torsion.twist_rate(made.shear_modulus, self.diameter, self.length)) * self._hollow

    def ideal(self, rate: float, force: float) -> Law:
        """See `SpringPart` [N/m, N]."""
        return LinearLaw(rate, force, pulls=True)

    def sized(self, need: SpringNeed) -> TorsionBar:
        """See `SpringPart`."""
        if self.complete:
            return self
        wanted = need.rate * _arm(need) ** 2
        solid = float(torsion.diameter_for(steel(self.steel).shear_modulus, self.length, wanted / self._hollow))
        return self.model_copy(update={"diameter": round(solid / STEP) * STEP})

    def law(self, need: SpringNeed) -> Law:
        """See `SpringPart`."""
        arm = _arm(need)
        rate = self.twist_rate / arm**2
        force = need.ride_force if self.adjuster is None else self.twist_rate * self.adjuster / arm
        return LinearLaw(rate, force, pulls=True)

    def stress(self, need: SpringNeed, law: Law, pressed: float) -> float:
        """See `SpringPart`: shear at the surface [Pa]."""
        torque = float(law.at(pressed).force) * _arm(need)
        return float(torsion.stress(torque, self.diameter)) / self._hollow

    def told(self, need: SpringNeed, law: Law) -> dict[str, Any]:
        """See `SpringPart`."""
        made = steel(self.steel)
        limit = self.permissible or (made.bar_preset if self.preset else made.bar)
        source = self.stress_origin or made.bar_source
        arm, d = _arm(need), self.diameter or 0.0
        bore = self.bore if self.bore is not None else self.bore_share * d
        free = law.force * arm / self.twist_rate
        dimensions = [
            length("diameter", d), length("active length", self.length), length("head diameter, at least (1.3 of the bar's)", 1.3 * d, found=True),
            length("arm", arm), Dimension("twist rate", self.twist_rate, "N*m/rad", "twist rate", found=True),
            Dimension("arm below its place at zero travel with the bar free", free, "rad", "angle", found=self.adjuster is None),
            Dimension("twist at full bump", free + need.bump / arm, "rad", "angle", found=True),
            Dimension("mass of the active length", made.density * np.pi * (d**2 - bore**2) / 4 * self.length, "kg", "mass", found=True),
        ]  # fmt: skip
        if bore:
            dimensions.insert(1, length("bore", bore))
        judged = tuple(
            Judged.of(f"shear stress at {where}", self.stress(need, law, at), "at most", limit, unit="Pa", kind="stress", source=source, id="shear_stress")
            for where, at in (("zero travel", 0.0), ("full bump", need.bump))
        )  # fmt: skip
        marks = (
            "preset: mark left and right and the direction of load; a preset bar never goes to the other side"
            if self.preset
            else "not preset"
        )
        return {
            "dimensions": (*dimensions, words("presetting", marks)), "judged": judged,
            "material": f"{self.steel}, hardened and tempered, ground and peened",
            "tolerances": (Tolerance("diameter", 0.1e-3, "m", "length", AGREE), Tolerance("twist rate", 0.04 * self.twist_rate, "N*m/rad", "twist rate", AGREE)),
            "arrival": (
                "measure the diameter at three places and the length between the heads' fillets",
                "look over the whole surface: a nick, a weld spatter or rust is where it will break",
                f"hang {show(0.5 * law.force, 'force')} on an arm of {show(arm, 'length')} and read the twist: {show(0.5 * free, 'angle')}",
            ),
            "workings": (
                torsion.diameter_for.work("torsion bar", modulus=made.shear_modulus, length=self.length, rate=self.twist_rate / self._hollow),
                torsion.twist_rate.work("torsion bar", modulus=made.shear_modulus, bar=d, length=self.length),
                torsion.stress.work("torsion bar, full bump", torque=float(law.at(need.bump).force) * arm, bar=d),
            ),
            "remarks": (f"permissible stress: {source}; moduli EN 10089, from memory", "the active length counts part of each fillet: agree it with the maker"),
            "cautions": ("A loaded torsion bar throws its arm when its adjuster lets go: take the load off with the wheel at full droop first.",),
        }  # fmt: skip


def _arm(need: SpringNeed) -> float:
    if need.arm is None:
        raise FieldFault(
            ("spring", "acts"),
            'a torsion bar turns with an arm: write acts = { by = "twist", arm = ... } or, with pivot points, on = ...',
        )
    return need.arm
