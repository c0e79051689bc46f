"""A leaf spring as the builder writes it: multi-leaf or parabolic, with shackle, helper leaves and interleaf friction."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import Field, model_validator

from springwright.errors import FieldFault, NoneFitsError
from springwright.formula import Working
from springwright.parts import leaf
from springwright.parts.law import Law, LinearLaw, ParallelLaws, PiecewiseLinearLaw, SpringNeed
from springwright.parts.leaf_arcs import Arcs, free_height
from springwright.parts.record import AGREE, Dimension, SpringPart, Tolerance, count, length, words
from springwright.parts.shackle import solved
from springwright.parts.steel import OfSteel, Steel, steel
from springwright.quantities import Lean, Length, NonNegativeLength, PositiveLength, Record, Share, Stress
from springwright.results import Judged
from springwright.units import show

THICKNESSES = tuple(1e-3 * t for t in (5, 5.5, 6, 6.5, 7, 7.5, 8, 9, 10, 11, 12, 13, 14, 15, 16, 18, 20, 22, 25))
WIDTHS = tuple(1e-3 * b for b in (45, 50, 60, 70, 75, 80, 90, 100))  # flat bar as mills roll it, common practice
MOST_LEAVES = 16
FOLLOWED = 3  # springs of a length whose shackle is followed before a longer one is tried
FAR_SHORT = 0.7  # share of the travel wanted
BOW = 0.5  # share of a half that its eye may stand above the seat: an arc of 2.2 rad
FAR_OVER = 1.4  # times the permissible stress, by a straight line
LONGER = (1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.8, 2.0)  # times its length, tried where no spring of it does
WITHIN = 0.05  # share that a sized spring's rate may be off, since leaves come whole
INACTIVE = 1.0  # share of the clamped length that does not bend: the whole band, as Khurmi and Gupta ch. 23 counts it


class Shackle(Record):
    """The link at the rear eye: its length, its lean from upright at zero travel (eye outward positive), and which side of the eye its pin is."""

    length: PositiveLength
    lean: Lean = 0.0
    pin: Literal["above", "below"] = "above"


class Helper(Record):
    """Leaves that come to bear only after `gap` of travel from zero: each half `reach` long from the centre."""

    gap: NonNegativeLength
    leaves: Annotated[int, Field(ge=1, le=10)] = 1
    thickness: PositiveLength
    reach: PositiveLength


class LeafSpring(SpringPart, OfSteel):
    """A leaf spring clamped to the axle, `front` and `rear` from its centre bolt to the eyes.

    Left out, `leaves`, `thickness` and `width` are worked out from the target, and `camber` (height of the eyes above the seat,
    unladen, both halves alike) so that the spring carries the design load at zero travel with the eyes `eyes_above` its seat there.
    """

    form: Literal["multi-leaf", "parabolic"] = "multi-leaf"
    front: PositiveLength
    rear: PositiveLength
    width: PositiveLength | None = None
    thickness: PositiveLength | None = None
    leaves: Annotated[int, Field(ge=1, le=30)] | None = None
    full_leaves: Annotated[int, Field(ge=1, le=10)] = 1
    tip_share: Share = 0.5
    clamp: NonNegativeLength = 0.0
    camber: Length | None = None
    eyes_above: Length = 0.0
    interleaf_friction: Share = 0.0
    shackle: Shackle | None = None
    helper: Helper | None = None
    stress_at_ride: Stress | None = None
    stress_at_bump: Stress | None = None

    @model_validator(mode="after")
    def _whole(self) -> LeafSpring:
        if self.leaves is not None and self.full_leaves > self.leaves:
            raise FieldFault(("full_leaves",), f"must be no more than the {self.leaves} leaves there are")
        if min(self.front, self.rear) <= self.clamp:
            raise FieldFault(("clamp",), "leaves no leaf to bend between clamp and eye; check front, rear and clamp")
        for name in ("eyes_above", "camber"):
            if abs(getattr(self, name) or 0.0) > BOW * min(self.halves):
                raise FieldFault((name,), "is more than half of a half of the spring; check its unit")
        if self.helper is not None and self.helper.reach > max(self.front, self.rear):
            raise FieldFault(("helper", "reach"), "is longer than the main leaf's half; it counts from the centre bolt")
        return self

    @property
    def kind(self) -> str:
        """See `SpringPart`."""
        return f"{self.form} spring" if self.form == "parabolic" else "leaf spring"

    @property
    def pulls(self) -> bool:
        """See `SpringPart`."""
        return True

    @property
    def complete(self) -> bool:
        """See `SpringPart`."""
        return None not in (self.width, self.thickness, self.leaves)

    @cached_property
    def halves(self) -> tuple[float, float]:
        """Active half lengths, front and rear [m]: to the eyes, less half of what the clamp keeps from bending."""
        held = INACTIVE * self.clamp / 2
        return self.front - held, self.rear - held

    def tip_rates(self, leaves: Any = None, thickness: Any = None, width: Any = None) -> tuple[Any, Any]:
        """Rate of each half at its eye, clamped at the seat [N/m]."""
        n, t, b = leaves or self.leaves, thickness or self.thickness, width or self.width
        made = steel(self.steel)
        if self.form == "parabolic":
            one, two = (
                n * leaf.parabolic_rate(made.elastic_modulus, b, t, half, self.tip_share) for half in self.halves
            )
            return one, two
        factor = leaf.stiffening(min(self.full_leaves, int(n or 1)), int(n or 1))
        one, two = (leaf.rate(made.elastic_modulus, n, b, t, 2 * half, factor) / 2 for half in self.halves)
        return one, two

    def seat_rate(self, **shape: Any) -> float:
        """Rate at the seat without shackle and helper [N/m]: both ends in line with the load between them."""
        front, rear = self.tip_rates(**shape)
        a, b = self.front, self.rear
        # ends deflect by F b/(a+b)/k1 and F a/(a+b)/k2; the seat by their mean at the seat's place
        return float((a + b) ** 2 / (b**2 / front + a**2 / rear))

    def ideal(self, rate: float, force: float) -> Law:
        """See `SpringPart` [N/m, N]."""
        return LinearLaw(rate, force, pulls=True)

    def sized(self, need: SpringNeed) -> LeafSpring:
        """See `SpringPart`: the lightest bar and number of leaves that give the rate within 5 % and stay under both stresses.

        Raises
        ------
        NoneFitsError
            No leaf spring of this length does it.

        """
        if self.complete:
            return self
        found = self.lightest(need)
        if found is not None:
            return found
        most_force = need.ride_force + need.rate * need.bump
        raise NoneFitsError(
            ("spring", "leaf"),
            f"no leaf spring of {show(self.front + self.rear, 'length')} gives {show(need.rate, 'rate')} under {show(most_force, 'force')} at full bump within its permissible stress; {self._would_do(need)}",
        )

    def lightest(self, need: SpringNeed, most: int | None = None) -> LeafSpring | None:
        """The lightest bar and number of leaves that do it, of the dimensions left open; None where none do, or none of the first `most` followed."""
        ride, bump = self.limits(steel(self.steel))
        found = []
        by_shackle = self._by_shackle(need)
        for width in (self.width,) if self.width else WIDTHS:
            for thickness in (self.thickness,) if self.thickness else THICKNESSES:
                for n in (self.leaves,) if self.leaves else range(self.full_leaves, MOST_LEAVES + 1):
                    plain = self.seat_rate(leaves=n, thickness=thickness, width=width)
                    if abs(by_shackle * plain / need.rate - 1) <= WITHIN:
                        tried = self.model_copy(update={"leaves": n, "thickness": thickness, "width": width})
                        if tried.bending(need.ride_force, need.ride_force) <= ride:
                            found.append((tried.mass, tried))
        at_bump = need.ride_force + need.rate * need.bump
        near = [
            tried
            for _, tried in sorted(found, key=lambda one: one[0])
            if tried.bending(at_bump, need.ride_force)
            <= FAR_OVER * bump  # whatever its shackle does, which is slow to follow
        ]
        for tried in near[:most]:
            law = tried.law(need)
            if law.most < FAR_SHORT * need.bump:
                return None  # how far a shackle lets it go hangs on lengths and hardly on leaves
            fits = abs(law.rate / need.rate - 1) <= WITHIN and law.most >= need.bump
            if fits and tried.stress(need, law, need.bump) <= bump:
                return tried
        return None

    def _would_do(self, need: SpringNeed) -> str:
        """What would do where no spring of this length does: dimensions left open, else the shortest length that has a spring, else less."""
        given, about = [name for name in ("leaves", "thickness", "width") if getattr(self, name) is not None], ""
        for share in (1.0, *LONGER) if given else LONGER:
            # built anew: a copy would keep what was worked out for this length
            other = {**dict(self), **dict.fromkeys(given), "front": share * self.front, "rear": share * self.rear}
            plain = LeafSpring.model_construct(**{**other, "shackle": None}).lightest(need)
            if plain is None:
                continue
            about = about or f"one of {show(plain.front + plain.rear, 'length')} would, its shackle not counted"
            found = plain if self.shackle is None else LeafSpring.model_construct(**other).lightest(need, FOLLOWED)
            if found is not None:
                shape = f"{found.leaves} leaves of {show(found.thickness, 'length', 1)} x {show(found.width, 'length')}"
                if share == 1.0:
                    return f"leave {' and '.join(given)} open: {shape} would do"
                return f"one of {show(found.front + found.rear, 'length')} would do ({shape})"
        return (
            about
            or f"nor does one up to {LONGER[-1]:g} times as long: aim for a higher frequency, or take more springs at the wheel"
        )

    def _by_shackle(self, need: SpringNeed) -> float:
        """How much stiffer or softer the shackle makes the spring at zero travel than its plain rate, near the rate needed."""
        if self.shackle is None:
            return 1.0
        plain = self.seat_rate(leaves=8, thickness=THICKNESSES[6], width=WIDTHS[2])
        thick = THICKNESSES[6] * (need.rate / plain) ** (1 / 3)
        tried = self.model_copy(update={"leaves": 8, "thickness": thick, "width": WIDTHS[2]})
        return tried.law(need).rate / tried.seat_rate()

    def limits(self, made: Steel) -> tuple[float, float]:
        """Permissible bending stress at ride and at full bump [Pa]."""
        return self.stress_at_ride or made.leaf_ride, self.stress_at_bump or made.leaf_bump

    def bending(self, force: float, evened: float) -> float:
        """Bending stress of the leaf that is stressed most under a seat load [Pa].

        The leaves are made with the gap between them that stresses all alike under the load `evened`; what comes on top goes to the
        full-length leaves first.
        """
        if self.form == "parabolic":
            return self._even(force)
        n = self.leaves or 1
        more = 1.5 / leaf.stiffening(min(self.full_leaves, n), n)  # of a full-length leaf against an even share
        return self._even(evened) + more * (self._even(force) - self._even(evened))

    def _even(self, force: float) -> float:
        """Bending stress with every leaf taking its share [Pa]."""
        a, b = self.halves
        moment = force * a * b / (a + b)  # at the clamp, both halves alike in balance
        n, t, width = self.leaves or 1, self.thickness or 1.0, self.width or 1.0
        return 6 * moment / (n * width * t**2)

    def law(self, need: SpringNeed) -> Law:
        """See `SpringPart`."""
        rate = self.seat_rate()
        force = need.ride_force if self.camber is None else self._force_of(self.camber)
        rubs = self.friction(force)
        main: Law = LinearLaw(rate, force, pulls=True, friction=rubs)
        if self.shackle is not None:
            main = replace(solved(self._arcs(force)).law, friction=rubs)
        if self.helper is None:
            return main
        late = self.helper_rate()
        gap = self.helper.gap
        late_law = PiecewiseLinearLaw(((gap - 1.0, 0.0), (gap, 0.0), (gap + 1.0, late)), pulls=True)
        return ParallelLaws((main, late_law), pulls=True, friction=rubs, leads=main.leads)

    def _force_of(self, camber: float) -> float:
        """Seat load at zero travel [N] of leaves made to a camber."""
        plain = self.seat_rate() * (camber - self.eyes_above)
        if self.shackle is None:
            return plain
        from scipy.optimize import brentq  # only here: it costs start-up time

        wide = abs(plain) + self.seat_rate() * 0.05
        return float(brentq(lambda force: free_height(self._arcs(force)) - camber, plain - wide, plain + wide))

    def helper_rate(self) -> float:
        """Rate the helper leaves add once they bear [N/m]."""
        assert self.helper is not None
        made, one = steel(self.steel), self.helper
        return float(
            leaf.rate(
                made.elastic_modulus,
                one.leaves,
                self.width,
                one.thickness,
                2 * one.reach,
                leaf.stiffening(1, one.leaves),
            )
        )

    def helper_stress(self, pressed: float) -> float:
        """Bending stress of the helper's main leaf at a place [Pa]."""
        assert self.helper is not None
        one = self.helper
        moment = self.helper_rate() * max(pressed - one.gap, 0.0) * one.reach / 2
        even = 6 * moment / (one.leaves * (self.width or 1.0) * one.thickness**2)
        return even * 1.5 / leaf.stiffening(1, one.leaves)

    def _arcs(self, force: float) -> Arcs:
        assert self.shackle is not None
        lean = self.shackle.lean if self.shackle.pin == "above" else np.pi - self.shackle.lean
        front, rear = self.tip_rates()
        dead = INACTIVE * self.clamp / 2
        return Arcs(*self.halves, dead, front, rear, self.eyes_above, force, self.shackle.length, float(lean))

    def seat(self, need: SpringNeed, rise: Any) -> tuple[Any, Any] | None:
        """How far ahead the seat goes [m] and how it turns, nose up [rad], as it rises [m]; None without a shackle to hold it by."""
        if self.shackle is None:
            return None
        found = solved(self._arcs(self.law(need).force))
        return found.ahead(rise), found.turn(rise)

    def stress(self, need: SpringNeed, law: Law, pressed: float) -> float:  # noqa: ARG002 see SpringPart
        """See `SpringPart`: bending; a helper takes its own share off the main leaves."""
        force = float(law.at(pressed).force)
        if self.helper is not None:
            force -= self.helper_rate() * max(pressed - self.helper.gap, 0.0)
        return self.bending(force, law.force)

    def friction(self, force: float) -> float:
        """See `SpringPart` [N]."""
        if self.form == "parabolic" or not self.interleaf_friction:
            return 0.0
        half = sum(self.halves) / 2
        return float(force * leaf.friction_share(self.interleaf_friction, self.leaves, self.thickness, half))

    @property
    def mass(self) -> float:
        """Mass of the leaves [kg], eyes and clips not counted."""
        width, thickness = self.width or 0.0, self.thickness or 0.0
        if self.form == "parabolic":
            # thickness goes as the root of the distance from the eye down to the tip's share of it
            beta = self.tip_share
            mean = thickness * (2 / 3 + beta**3 / 3)
            return steel(self.steel).density * (self.leaves or 0) * width * mean * (self.front + self.rear)
        return steel(self.steel).density * width * thickness * sum(self.leaf_lengths())

    def leaf_lengths(self) -> tuple[float, ...]:
        """Length of each leaf, shortest first [m]: even steps from the clamp to the full ones, as Khurmi and Gupta ch. 23 gives them."""
        n, full = self.leaves or 1, min(self.full_leaves, self.leaves or 1)
        whole = self.front + self.rear
        if self.form == "parabolic" or n == full:
            return (whole,) * n
        active, held = whole - INACTIVE * self.clamp, INACTIVE * self.clamp
        steps = n - full + 1
        return (*(active * i / steps + held for i in range(1, steps)), *(whole,) * full)

    def free_camber(self, law: Law) -> float:
        """Height of the eyes above the seat, unladen [m]: as given, or the one that carries the law's load at zero travel."""
        if self.camber is not None:
            return self.camber
        if self.shackle is not None:
            return free_height(self._arcs(law.force))
        return self.eyes_above + law.force / self.seat_rate()

    def _workings(self, force: float) -> tuple[Working, ...]:
        """Rate and stress at zero travel by the plain formulas, which hold for an axle in the middle."""
        if self.form == "parabolic":
            return ()
        n, shape = (
            self.leaves or 1,
            {"width": self.width or 0.0, "thickness": self.thickness or 0.0, "length": sum(self.halves)},
        )
        factor = leaf.stiffening(min(self.full_leaves, n), n)
        modulus = steel(self.steel).elastic_modulus
        return (
            leaf.rate.work("leaf spring", modulus=modulus, leaves=n, factor=factor, **shape),
            leaf.stress.work("leaf spring", force=force, leaves=n, **shape),
        )

    def told(self, need: SpringNeed, law: Law) -> dict[str, Any]:
        """See `SpringPart`."""
        made = steel(self.steel)
        ride, bump = self.limits(made)
        source = self.stress_origin or made.leaf_source
        free = self.free_camber(law)
        n, t, b = self.leaves or 1, self.thickness or 0.0, self.width or 0.0
        tall = self.model_copy(update={"leaves": n})
        dimensions = [
            words("form", self.form), length("centre bolt to front eye", self.front), length("centre bolt to rear eye", self.rear),
            count("leaves", n), count("full-length leaves, the main leaf counted", min(self.full_leaves, n)),
            length("width", b), length("thickness" if self.form == "multi-leaf" else "thickness at the seat", t), length("clamped length", self.clamp),
            length("eyes above the seat, unladen", free, found=self.camber is None), length("eyes above the seat at zero travel", self.eyes_above),
            Dimension("rate at the seat, straight", self.seat_rate(), "N/m", "rate", found=True), Dimension("mass", tall.mass, "kg", "mass", found=True),
        ]  # fmt: skip
        if self.form == "parabolic":
            dimensions.append(length("thickness at the tip", self.tip_share * t))
        else:
            dimensions.append(
                words("length of each leaf", ", ".join(show(one, "length") for one in self.leaf_lengths()))
            )
            if abs(free) > 1e-6:
                dimensions.append(
                    length("radius the leaves are curved to", abs(float(leaf.radius_of(free, self.front + self.rear))))
                )
            full = min(self.full_leaves, n)
            if 0 < full < n:
                gap, bolt = leaf.nip(law.force / 2, sum(self.halves) / 2, made.elastic_modulus, b, t, full, n - full)
                dimensions.append(
                    length("gap between full and graduated leaves that stresses all alike at zero travel", float(gap))
                )
                dimensions.append(
                    Dimension("pull of the centre bolt to close it", float(bolt), "N", "force", found=True)
                )
        if self.friction(law.force):
            dimensions.append(
                Dimension(
                    "interleaf friction at zero travel, either way", self.friction(law.force), "N", "force", found=True
                )
            )
        if self.helper is not None:
            dimensions.append(
                Dimension("rate added by the helper leaves", self.helper_rate(), "N/m", "rate", found=True)
            )
        judged: tuple[Judged, ...] = (
            Judged.of("bending stress at zero travel", self.stress(need, law, 0.0), "at most", ride, unit="Pa", kind="stress", source=source, id="bending_stress_at_zero_travel"),
            Judged.of("bending stress at full bump", self.stress(need, law, need.bump), "at most", bump, unit="Pa", kind="stress", source=source, id="bending_stress_at_full_bump"),
        )  # fmt: skip
        if self.helper is not None:
            judged = (
                *judged,
                Judged.of(
                    "bending stress of the helper at full bump", self.helper_stress(need.bump), "at most", bump,
                    unit="Pa", kind="stress", source=source,
                 id="bending_stress_of_the_helper_at_full_bump"),
            )  # fmt: skip
        remarks = [
            "braking and the shackle's sideways pull bend the leaves on top of the stresses told",
            f"permissible stresses: {source}; moduli EN 10089, from memory",
            "stresses hold for leaves made with the gap named: alike at zero travel, what comes on top first in the full-length leaves",
        ]
        if self.shackle is None:
            remarks.append("no shackle given: its swing is left out of the rate")
        return {
            "dimensions": tuple(dimensions), "judged": judged, "material": f"{self.steel}, hardened and tempered, peened on the tension side",
            "tolerances": (
                Tolerance("rate", 0.07 * self.seat_rate(), "N/m", "rate", AGREE),
                Tolerance("height under the ride load", 0.006, "m", "length", AGREE),
            ),
            "arrival": (
                "measure width, thickness and number of leaves, and the distance from centre bolt to each eye",
                "press to the ride load on a flat bed and measure the eyes' height; both sides of an axle alike within 6 mm",
                "look for rust pits, rolled laps and loose clips; bushes must not turn in their eyes",
                "tighten the U-bolts with the spring loaded, again after the first run and after 2 000 km",
            ),
            "workings": self._workings(law.force),
            "leaves": self.leaf_lengths(), "leaf_front": self.front, "leaf_thickness": t, "leaf_camber": free,
            "remarks": tuple(remarks),
            "cautions": ("A leaf pack is held closed by its centre bolt: hold it in a press or clamps before the bolt is loosened.",),
        }  # fmt: skip
