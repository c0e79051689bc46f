"""Demo readings, made: a hidden truth is drawn for a demo vehicle, read by the program's own model, and noise is laid on it.

    python -m builders.readings

They are invented and say so. The truth is that of `TRUTH`, so that whoever learns on them can look what was hidden.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit
from numpy.typing import NDArray

from springwright.commission.inputs import UncertainInput, inputs_of, stands
from springwright.commission.modelled import Modelled, loaded, modelled
from springwright.evaluation import Evaluation
from springwright.motion.drive import let_go
from springwright.motion.equilibrium import equilibrium
from springwright.motion.figures import Point
from springwright.motion.forces import Case
from springwright.motion.modes import pushed
from springwright.motion.rig import BODY
from springwright.units import GRAVITY
from springwright.vehicle.file import load

Floats = NDArray[np.float64]
DEMOS = Path(__file__).parent.parent / "src" / "springwright" / "demos"


@dataclass
class Workshop:
    """Reads a vehicle that stands as some truth has it, with noise."""

    truth: Modelled
    rng: np.random.Generator
    folder: Path
    name: str

    def near(self, value: float, doubt: float) -> float:
        """A reading of a value."""
        return value + doubt * float(self.rng.standard_normal())

    def weighing(self, state: str, load: float = 3.0, height: float = 0.002) -> dict[str, Any]:
        """Scales and heights [kg, m]."""
        at, axles = self.truth.at(state), self.truth.design.axles
        made: dict[str, Any] = {
            "state": state,
            "load_uncertainty": f"{load} kg",
            "height_uncertainty": f"{1000 * height} mm",
        }
        for word, k in (("left", 0), ("right", -1)):
            mine = [np.flatnonzero(at.rig.wheel_axle == i)[k] for i in range(len(axles))]
            made[word] = [f"{self.near(at.rest.wheel_loads[w] / GRAVITY, load):.1f} kg" for w in mine]
        for word, side in (("left", 1), ("right", -1)):
            if all(axle.ride_height for axle in axles):
                rises = [
                    at.rest.rise_at(at.rig, -axle.behind_front_axle, side * (axle.frame_width or axle.spring_base or axle.track or 0.0) / 2) for axle in axles
                ]  # fmt: skip
                made[f"heights_{word}"] = [
                    f"{1000 * self.near((axle.ride_height or 0.0) + rise, height):.1f} mm" for axle, rise in zip(axles, rises, strict=True)
                ]  # fmt: skip
        return made

    def push(self, axle: str, state: str, rule: float = 0.0005) -> dict[str, Any]:
        """Masses on and off, friction against both."""
        i = self.truth.axle(axle)
        at, one = self.truth.at(state), self.truth.design.axles[i]
        x, wheels = -one.behind_front_axle, at.rig.wheel_axle == i
        friction = float(at.rig.friction[at.rig.damper_axle == i].sum())
        loads = [0, 50, 100, 150, 200, 150, 100, 50, 0]
        down, closed = [], []
        for mass in (0.0, 200.0):
            rig = loaded(at.rig, mass, (x, 0.0, at.weight.cg[2]))
            rest = equilibrium(rig)
            down.append(at.rest.rise_at(at.rig, x) - rest.rise_at(rig, x))
            closed.append(float((rest.travel - at.rest.travel)[wheels].mean()))
        soft, springs = down[1] / (200 * GRAVITY), closed[1] / (200 * GRAVITY)  # m/N
        tyres, at_spring, read = soft - springs, 0.0, []
        for mass in loads:  # a spring with friction moves only once its load leaves the band of twice the friction
            force = mass * GRAVITY
            at_spring = min(max(at_spring, springs * (force - friction)), springs * (force + friction))
            read.append(self.near(at_spring + tyres * force, rule))
        return {
            "axle": axle, "state": state, "loads": [f"{one} kg" for one in loads], "lowered": [f"{1000 * one:.2f} mm" for one in read],
            "mass_uncertainty": "0.3 kg", "lowered_uncertainty": f"{1000 * rule} mm",
        }  # fmt: skip

    def bench(self, axle: str, lengths: Sequence[float]) -> dict[str, Any]:
        """A spring pressed to lengths [m]."""
        i = self.truth.axle(axle)
        law, rest = self.truth.laws[i], self.truth.design.axles[i].spring.rest_length
        loads = [float(law.at(rest - one).force) for one in lengths]
        doubt = 0.005 * max(loads)
        return {
            "axle": axle, "lengths": [f"{1000 * one:.1f} mm" for one in lengths], "loads": [f"{self.near(one, doubt):.0f} N" for one in loads],
            "load_uncertainty": f"{doubt:.0f} N", "length_uncertainty": "0.5 mm",
        }  # fmt: skip

    def tyre(self, axle: str, loads: Sequence[float]) -> dict[str, Any]:
        """A tyre pressed by loads [N]."""
        one = self.truth.design.axles[self.truth.axle(axle)]
        rate = one.tyre.rate * one.as_built.tyre_rate
        return {
            "axle": axle, "loads": [f"{load:.0f} N" for load in loads], "pressed": [f"{1000 * self.near(load / rate, 0.0005):.2f} mm" for load in loads],
            "load_uncertainty": "20 N", "pressed_uncertainty": "0.5 mm",
        }  # fmt: skip

    def bounce(self, axle: str, state: str, far: float, noise: float = 0.05) -> dict[str, Any]:
        """A phone on the deck over an axle that was pushed down [m] and let go: a CSV file as such exports are."""
        at = self.truth.at(state)
        x = -self.truth.design.axles[self.truth.axle(axle)].behind_front_axle
        place = (x, 0.0, at.weight.cg[2])
        row = np.zeros(BODY + len(at.rig.wheel_places))
        row[:BODY] = at.rig.rise_row(x, 0.0)
        told = let_go(
            at.rig,
            far * pushed(at.rig, at.rest, row),
            np.zeros(len(row)),
            5.0,
            points=[Point("there", place)],
            every=0.002,
        )
        history = np.asarray(told.history)
        up = history[:, told.columns.index("there up [m/s2]")]
        times = np.cumsum(0.01 + 0.001 * self.rng.standard_normal(520))
        times = times - times[0]
        read = (
            np.where(times < 0.6, 0.0, np.interp(times - 0.6, history[:, 0], up))
            + GRAVITY * np.cos(0.03)
            + noise * self.rng.standard_normal(len(times))
        )
        name = f"{self.name}-bounce-{axle}.csv"
        rows = [
            f"{t:.4f},{0.1 * self.rng.standard_normal():.3f},{0.1 * self.rng.standard_normal():.3f},{z:.3f}"
            for t, z in zip(times, read, strict=True)
        ]
        (self.folder / name).write_text("\n".join(["time [s],acc x [m/s2],acc y [m/s2],acc z [m/s2]", *rows]) + "\n")
        return {"axle": axle, "state": state, "log": name, "column": "acc z"}

    def circle(self, state: str, lateral: Sequence[float]) -> dict[str, Any]:
        """Roll in a steady circle at accelerations [m/s2]."""
        at = self.truth.at(state)
        rolls = [equilibrium(at.rig, case=Case(across=one)).roll - at.rest.roll for one in lateral]
        doubt = np.radians(0.1)
        return {
            "state": state, "lateral": [f"{one / GRAVITY:.2f} g" for one in lateral], "roll": [f"{np.degrees(self.near(one, doubt)):.2f} deg" for one in rolls],
            "roll_uncertainty": "0.1 deg", "lateral_uncertainty": "0.01 g",
        }  # fmt: skip


def drawn_truth(inputs: Sequence[UncertainInput], rng: np.random.Generator) -> list[float]:
    """A truth drawn from the priors."""
    return [
        max(one.drawn + one.deviation * float(rng.standard_normal()), 0.0 if one.what == "friction" else -np.inf)
        for one in inputs
    ]


def truth_with(drawn: Modelled, off: Mapping[str, float]) -> Modelled:
    """The vehicle with some inputs off by so many standard deviations, by name; the others as drawn."""
    inputs = inputs_of(drawn)
    unknown = set(off) - {one.name for one in inputs}
    if unknown:
        raise SystemExit(f"no such inputs: {unknown}; there are {[one.name for one in inputs]}")
    return stands(drawn, inputs, [one.drawn + off.get(one.name, 0.0) * one.deviation for one in inputs])


TRUTH = {
    "fire-watch": {
        "front damping, times drawn": -2.4,
        "rear damping, times drawn": -2.2,
        "rear spring rate": 2.0,
        "front free length of springs": -1.0,
        "rear friction at each wheel": 1.0,
        "front friction at each wheel": 0.6,
        "mass at kerb": 1.0,
        "centre of gravity left of centre, kerb": 0.8,
    },
    "survey-buggy": {
        "rear damping, times drawn": 2.0,
        "front spring rate": -1.6,
        "rear right spring longer by": 1.8,
        "rear tyre rate": -1.5,
        "mass at kerb": 1.3,
    },
}
DAYS = {"fire-watch": ("2026-03-03", "2026-03-04"), "survey-buggy": ("2026-05-11", "2026-05-12")}


def demo_readings(name: str, folder: Path) -> None:
    """Write the readings of a demo, with its logs, into a folder."""
    file = load(DEMOS / f"{name}.toml")
    with Evaluation():
        drawn = modelled(file)
        shop = Workshop(truth_with(drawn, TRUTH[name]), np.random.default_rng(20260303), folder, name)
        states = [one.name for one in file.design.states]
        light, home = states[0], drawn.sheet.design_state
        front, rear = file.design.axles[0], file.design.axles[-1]
        first, second = DAYS[name]
        who = {"by": "workshop", "instrument": "four pads, steel rule", "calibrated": "2026-01"}
        rest = rear.spring.rest_length
        load_front = GRAVITY * drawn.sheet.rates[0].axle_load / front.wheels
        sets = {
            "weighings": [{"date": first, **who, **shop.weighing(state)} for state in (light, home)],
            "pushes": [{"date": first, **shop.push(axle.name, light)} for axle in (front, rear)],
            "benches": [{"date": first, **shop.bench(rear.name, [rest + 0.05, rest, rest - 0.05])}],
            "tyres": [{"date": first, **shop.tyre(front.name, [0.6 * load_front, load_front, 1.4 * load_front])}],
            "bounces": [
                {"date": second, "instrument": "phone on the deck", **shop.bounce(axle.name, home, 0.035)}
                for axle in (front, rear)
            ],
            "circles": [{"date": second, **shop.circle(home, [0.08 * GRAVITY, 0.11 * GRAVITY, 0.15 * GRAVITY])}],
        }
    text = tomlkit.document()
    text.add(
        tomlkit.comment(
            f"Readings of {file.design.vehicle.name}. INVENTED for demonstration: made by builders/readings.py from a hidden truth with noise."
        )
    )
    text.add("readings", 1)
    text.add("vehicle", file.design.vehicle.name)
    text.add("invented", True)
    for field, many in sets.items():
        tables = tomlkit.aot()
        for one in many:
            table = tomlkit.table()
            for key, value in one.items():
                table.add(key, tomlkit.date(value) if key == "date" else value)
            tables.append(table)
        text.add(field, tables)
    (folder / f"{name}.readings.toml").write_text(text.as_string(), encoding="utf-8")


if __name__ == "__main__":
    for demo in TRUTH:
        demo_readings(demo, DEMOS / "readings")
        print(f"written: {demo}.readings.toml")
