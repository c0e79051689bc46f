"""What the vehicle weighs and where, in every load state: the part that statics alone gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.errors import FieldFault
from springwright.formula import Working, formula
from springwright.results import Result, si
from springwright.units import GRAVITY, show
from springwright.vehicle.built import BuiltBody
from springwright.vehicle.design import Design
from springwright.vehicle.interconnections import beam_shares
from springwright.vehicle.load import Load, placed

Floats = NDArray[np.float64]

# Estimates of the sprung body's inertias where none are stated. Common practice, no source:
# pitch as if the dynamic index were 0.9, yaw a little more, roll radius 0.42 of the mean track.
DYNAMIC_INDEX, YAW_TO_PITCH, ROLL_RADIUS = 0.9, 1.05, 0.42
POINT_SHARE = 0.05  # of the mass: an item beyond it is told where it was taken as a point


@formula(
    "height of the centre of gravity by a raised end",
    r"h = h_{c} + \frac{W_{g} L}{W \tan\left(\theta\right)}",
    unit="m",
    source="ISO 10392 (axle lift)",
    centre=("h_{c}", "height of the axle centres", "m"),
    gain=("W_{g}", "what the axle on the ground gained", "kg"),
    wheelbase=("L", "wheelbase", "m"),
    mass=("W", "mass of the vehicle", "kg"),
    angle=(r"\theta", "slope of the body", "rad"),
)
def raised_height(centre: Any, gain: Any, wheelbase: Any, mass: Any, angle: Any) -> Any:
    """Height of the centre of gravity [m] from a weighing with one end raised, suspension locked."""
    return centre + gain * wheelbase / (mass * np.tan(angle))


def raised_height_any(places: Floats, level: Floats, raised: Floats, angle: float, end: str, centre: float) -> float:
    """The same for any number of axles: moments of the tilted vehicle about the front axle centre.

    Parameters
    ----------
    places : array of shape (axles,)
        Distance of each axle behind the front one [m].
    level, raised : arrays of shape (axles,)
        Readings level and raised [kg].
    angle : float
        Slope of the body [rad], positive; `end` says which end is up.
    centre : float
        Height of the axle centres [m].

    """
    total = level.sum()
    shift = (raised @ places - level @ places) / total
    return float(centre + (shift if end == "front" else -shift) / np.tan(angle))


@dataclass(frozen=True)
class KerbWeight(Result):
    """The vehicle as it stands, before anything goes aboard."""

    mass: float = si("kg")
    cg: tuple[float, ...] = si("m")
    axle_loads: tuple[float, ...] | None = si("kg", None)
    wheel_loads: tuple[float, ...] | None = si("kg", None)
    cross_weight: float | None = si("", None)
    cg_height_scatter: float | None = si("m", None)
    workings: tuple[Working, ...] = ()


@dataclass(frozen=True)
class StateWeight(Result):
    """Mass, centre of gravity and sprung body of one load state. Positions are ISO 8855, from the front axle on the ground.

    `products` are the sprung body's sums of m x y, m x z and m y z about its CG; `points` names items of over 5 % of the mass
    that were taken as points, since nothing says how far they extend.
    """

    name: str
    mass: float = si("kg")
    cg: tuple[float, ...] = si("m")
    sprung_mass: float = si("kg")
    sprung_cg: tuple[float, ...] = si("m")
    roll_inertia: float = si("kg*m**2")
    pitch_inertia: float = si("kg*m**2")
    yaw_inertia: float = si("kg*m**2")
    products: tuple[float, ...] = si("kg*m**2", (0.0, 0.0, 0.0))
    points: tuple[str, ...] = ()
    inertia_is_estimate: bool = True
    free_surface_roll: float = si("kg*m", 0.0)
    free_surface_pitch: float = si("kg*m", 0.0)

    @property
    def virtual_rise(self) -> float:
        """How much higher the centre of gravity acts in roll because tanks are part full [m]."""
        return self.free_surface_roll / self.mass


def kerb_weight(design: Design) -> KerbWeight:
    """Mass and centre of gravity at kerb, from scales or as stated; as built where that was measured.

    Raises
    ------
    FieldFault
        The readings cannot be true: the centre of gravity comes out below ground or far too high.

    """
    drawn, built = _kerb_as_drawn(design), design.built
    if built is None or all(
        one is None for one in (built.mass, built.behind_front_axle, built.left_of_centre, built.above_ground)
    ):
        return drawn
    given = (
        None if built.behind_front_axle is None else -built.behind_front_axle,
        built.left_of_centre,
        built.above_ground,
    )
    x, y, z = (one if two is None else two for one, two in zip(drawn.cg, given, strict=True))
    return KerbWeight(drawn.mass if built.mass is None else built.mass, (x, y, z))


def _kerb_as_drawn(design: Design) -> KerbWeight:
    kerb = design.kerb
    if kerb.scales is None:
        assert kerb.mass is not None
        assert kerb.behind_front_axle is not None
        assert kerb.above_ground is not None
        return KerbWeight(kerb.mass, (-kerb.behind_front_axle, kerb.left_of_centre or 0.0, kerb.above_ground))
    left = np.array(kerb.scales.left)
    right = np.zeros(len(left))
    right[[i for i, axle in enumerate(design.axles) if axle.wheels == 2]] = kerb.scales.right
    axles = left + right
    total = axles.sum()
    if total <= 0:
        raise FieldFault(("kerb", "scales"), "the readings add up to nothing")
    places = np.array([axle.behind_front_axle for axle in design.axles])
    tracks = np.array([axle.track or 0.0 for axle in design.axles])
    heights, workings = _raised_heights(design, axles)
    height = kerb.above_ground if kerb.above_ground is not None else float(np.mean(heights))
    if not 0 < height < 10:
        raise FieldFault(
            ("kerb", "raised"),
            f"the centre of gravity comes out {show(height, 'length')} above ground; check the readings and which end was raised",
        )
    if len(heights) > 1 and np.ptp(heights) > 0.25 * height:
        odd = int(np.argmax(np.abs(np.array(heights) - np.median(heights))))
        raise FieldFault(
            ("kerb", "raised", odd),
            f"the raised weighings give heights {', '.join(show(h, 'length') for h in heights)}: too far apart to be one vehicle; weigh this one again",
        )
    cross = float((left[0] + right[-1]) / total) if len(axles) == 2 and all(tracks) else None
    return KerbWeight(
        mass=float(total),
        cg=(-float(axles @ places / total), float((left - right) @ tracks / 2 / total), height),
        axle_loads=tuple(axles.tolist()),
        wheel_loads=tuple(np.column_stack([left, right]).ravel().tolist()),
        cross_weight=cross,
        cg_height_scatter=float(np.ptp(heights)) if len(heights) > 1 else None,
        workings=tuple(workings),
    )


def _raised_heights(design: Design, level: Floats) -> tuple[list[float], list[Working]]:
    places = np.array([axle.behind_front_axle for axle in design.axles])
    loads = level * GRAVITY / np.array([axle.wheels for axle in design.axles])
    radii = [axle.tyre.unloaded_radius - load / axle.tyre.rate for axle, load in zip(design.axles, loads, strict=True)]
    heights, workings = [], []
    for i, raised in enumerate(design.kerb.raised):
        lifted = 0 if raised.end == "front" else len(places) - 1
        wheelbase = places[-1] - places[0]
        if raised.height is not None and raised.height >= wheelbase:
            raise FieldFault(
                ("kerb", "raised", i, "height"), f"must be less than the wheelbase, {show(wheelbase, 'length')}"
            )
        angle = raised.angle if raised.angle is not None else float(np.arcsin(raised.height / wheelbase))
        up = np.array([raised.on_scales.get(axle.name, 0.0) for axle in design.axles])
        up[lifted] = level.sum() - up.sum()
        stay = [j for j in range(len(places)) if j != lifted]
        if up[stay].sum() <= level[stay].sum():
            raise FieldFault(
                ("kerb", "raised", i, "on_scales"),
                "the axles still on the ground must read more than level, since weight moves to them; check which end was raised",
            )
        if up[lifted] < 0:
            raise FieldFault(
                ("kerb", "raised", i, "on_scales"), "the readings are more than the whole vehicle weighs level"
            )
        heights.append(raised_height_any(places, level, up, angle, raised.end, float(np.mean(radii))))
        if len(places) == 2:
            other = 1 - lifted
            workings.append(
                raised_height.work(
                    "kerb",
                    {"gain": f"{design.axles[other].name} scale", "centre": "mean loaded tyre radius"},
                    centre=float(np.mean(radii)), gain=float(up[other] - level[other]),
                    wheelbase=wheelbase, mass=float(level.sum()), angle=angle,
                )
            )  # fmt: skip
    return heights, workings


def weigh(design: Design, state_name: str, kerb: KerbWeight | None = None) -> StateWeight:
    """Mass, centre of gravity, sprung body and inertias of one load state."""
    kerb = kerb or kerb_weight(design)
    state = next(state for state in design.states if state.name == state_name)
    items = {item.name: item for item in design.items}
    aboard = [placed(items[name], state.fill.get(name, 1.0)) for name in state.aboard]
    mass, cg = _sum(kerb.mass, np.array(kerb.cg), aboard)
    unsprung = [
        Load(axle.name, axle.unsprung_mass, (-axle.behind_front_axle, 0.0, unsprung_height(axle)))
        for axle in design.axles
    ]
    kerb_sprung_mass, kerb_sprung_cg = _sum(kerb.mass, np.array(kerb.cg), [u._replace(mass=-u.mass) for u in unsprung])
    if kerb_sprung_mass <= 0:
        raise FieldFault(
            ("kerb",), f"the axles' unsprung masses are more than the kerb mass of {show(kerb.mass, 'mass')}"
        )
    roll, pitch, yaw, estimated = _kerb_inertias(design, kerb_sprung_mass, kerb_sprung_cg)
    sprung_mass, sprung_cg = _sum(kerb_sprung_mass, kerb_sprung_cg, aboard)
    parts = [(kerb_sprung_mass, kerb_sprung_cg, (roll, pitch, yaw))]
    parts += [(load.mass, np.array(load.place), load.inertias) for load in aboard]
    inertias, products = np.zeros(3), np.zeros(3)
    for one_mass, place, own in parts:
        x, y, z = place - sprung_cg
        inertias += np.array(own) + one_mass * np.array([y**2 + z**2, x**2 + z**2, x**2 + y**2])
        products += one_mass * np.array([x * y, x * z, y * z])
    roll, pitch, yaw = inertias.tolist()
    return StateWeight(
        name=state_name,
        mass=mass,
        cg=tuple(cg.tolist()),
        sprung_mass=sprung_mass,
        sprung_cg=tuple(sprung_cg.tolist()),
        roll_inertia=roll,
        pitch_inertia=pitch,
        yaw_inertia=yaw,
        products=tuple(products.tolist()),
        points=tuple(load.name for load in aboard if not any(load.inertias) and load.mass > POINT_SHARE * mass),
        inertia_is_estimate=estimated,
        free_surface_roll=sum(load.free_roll for load in aboard),
        free_surface_pitch=sum(load.free_pitch for load in aboard),
    )


def unsprung_height(axle: Any) -> float:
    """Height of an axle's own mass above ground [m]: as stated, or the tyre's unloaded radius."""
    return float(axle.unsprung_height or axle.tyre.unloaded_radius)


def _sum(mass: float, place: Floats, loads: list[Load]) -> tuple[float, Floats]:
    total = mass + sum(load.mass for load in loads)
    moment = mass * place + sum((load.mass * np.array(load.place) for load in loads), np.zeros(3))
    return total, moment / total


def _kerb_inertias(design: Design, mass: float, cg: Floats) -> tuple[float, float, float, bool]:
    """Roll, pitch and yaw inertia of the sprung body at kerb about its own CG, and whether any is an estimate."""
    stated = design.inertia
    first = 0.0
    last = max(axle.behind_front_axle for axle in design.axles)
    if design.hitch is not None:
        first, last = min(first, design.hitch.behind_front_axle), max(last, design.hitch.behind_front_axle)
    behind = -float(cg[0])
    least = (
        0.3 if design.hitch is not None else 0.2
    )  # a body close over one support: its radius is a share of its length
    reach = max((behind - first) * (last - behind), (least * (last - first)) ** 2)
    tracks = [axle.track for axle in design.axles if axle.track]
    width = float(np.mean(tracks)) if tracks else 1.0
    pitch = stated.pitch or DYNAMIC_INDEX * mass * reach
    yaw = stated.yaw or YAW_TO_PITCH * pitch
    roll = stated.roll or mass * (ROLL_RADIUS * width) ** 2
    built = design.built or BuiltBody()
    roll, pitch = built.roll_inertia * roll, built.pitch_inertia * pitch
    return roll, pitch, yaw, None in (stated.roll, stated.pitch, stated.yaw)


def support_places(design: Design) -> Floats:
    """X of every support [m], ISO 8855: the axles front to rear, then the hitch."""
    places = [-axle.behind_front_axle for axle in design.axles]
    return np.array(places + ([-design.hitch.behind_front_axle] if design.hitch else []))


def check_stands(design: Design, weight: StateWeight) -> None:
    """Refuse a load state whose centre of gravity lies outside its supports."""
    places = support_places(design)
    x = weight.cg[0]
    if not places.min() < x < places.max():
        raise FieldFault(
            ("states",),
            f'in state "{weight.name}" the centre of gravity lies {show(-x, "length")} behind the front axle, outside the supports '
            f"({show(-places.max(), 'length')} to {show(-places.min(), 'length')}); it would tip: check readings and item positions",
        )


def check_sideways(design: Design, weight: StateWeight) -> None:
    """Refuse a load state whose centre of gravity lies outside its wheels sideways."""
    half = max((axle.track or 0.0) / 2 for axle in design.axles)
    if half and abs(weight.cg[1]) >= half:
        side = "left" if weight.cg[1] > 0 else "right"
        raise FieldFault(
            ("states",),
            f'in state "{weight.name}" the centre of gravity lies {show(abs(weight.cg[1]), "length")} to the {side}, outside the track: it would tip; check readings, tracks and item positions',
        )


def support_loads(design: Design, weight: StateWeight) -> Floats:
    """Load on every support [kg] in the design state as drawn, before springs are known.

    Two supports (two axles on a walking beam are one) follow from statics. With more, statics leaves a choice: the loads stated by `design_load`
    where they balance, else those closest to the ratings (or to equal loads) that do, as if each
    support gave way in proportion to its rating; other states come from equilibrium on the real springs.

    Raises
    ------
    FieldFault
        Stated loads do not balance.

    """
    if design.built is not None:  # the springs are those that carry what was drawn
        weight = weigh(design.as_drawn, weight.name)
    places = support_places(design)
    x = weight.cg[0]
    stated = [axle.design_load for axle in design.axles]
    if len(places) > 2 and all(stated) and design.hitch is None and not design.walking_beams:
        loads = np.array(stated, dtype=float)
        if abs(loads.sum() - weight.mass) > 0.005 * weight.mass or abs(
            loads @ (places - x)
        ) > 0.005 * weight.mass * np.ptp(places):
            raise FieldFault(
                ("axles", 0, "design_load"),
                f"the design loads must add up to {show(weight.mass, 'mass')} and balance about a point {show(-x, 'length')} behind the front axle; "
                f"they give {show(loads.sum(), 'mass')} at {show(-float(loads @ places / loads.sum()), 'length')}",
            )
        return loads
    return shared_loads(design, weight)


def shared_loads(design: Design, weight: StateWeight) -> Floats:
    """Loads [kg] that balance, shared in proportion to ratings where statics leaves a choice, stated loads left aside."""
    places = support_places(design)
    ratings = [axle.rating or 0.0 for axle in design.axles]
    if not all(ratings):
        ratings = [1.0] * len(design.axles)
    shares = np.array(ratings + ([0.2 * max(ratings)] if design.hitch else []))
    # what a walking beam's wheels weigh stands on their own tyres; the rest of their load comes through its pivot
    own, through = np.zeros(len(places)), np.eye(len(places))
    for beam in design.walking_beams:
        a, b, front, rear = beam_shares(beam, design.axles)
        own[[a, b]] = [design.axles[a].unsprung_mass, design.axles[b].unsprung_mass]
        through[a] = front * (through[a] + through[b])
        through[b] = through[a] * rear / front
        shares[a] += shares[b]
        shares[b] = 0.0
    through[:, shares == 0] = 0.0
    arm = through.T @ places * (shares > 0) - weight.cg[0]
    matrix = np.array([[shares.sum(), shares @ arm], [shares @ arm, shares @ arm**2]])
    left = weight.mass - own.sum(), -own @ (places - weight.cg[0])
    level, slope = np.linalg.solve(matrix, left)
    return np.asarray(own + through @ (shares * (level + slope * arm)))


def brake_shares(design: Design, loads: Floats) -> Floats:
    """Share of braking at each axle: as given, else in proportion to the loads on the supports [-]."""
    return _split(design, design.driveline.brake_split, loads, [True] * len(design.axles))


def drive_shares(design: Design, loads: Floats) -> Floats:
    """Share of drive at each axle: as given, else in proportion to the loads on the driven axles [-]."""
    return _split(design, design.driveline.torque_split, loads, [axle.driven for axle in design.axles])


def _split(design: Design, given: dict[str, float], loads: Floats, takes_part: list[bool]) -> Floats:
    if given:
        return np.array([given.get(axle.name, 0.0) for axle in design.axles])
    mine = loads[: len(design.axles)] * np.array(takes_part)
    return np.asarray(mine / mine.sum()) if mine.sum() else mine
