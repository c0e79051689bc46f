"""A vehicle that another engine built: trailing arms on hinges, coils and dampers as tendons between points, tyres, in MuJoCo (Apache 2.0).

It is weighed, pushed, and let go there, and its readings correct our drawing of it. Nothing of our force model is in it: the arms are real
links, so that wheels swing on arcs and springs stand where their points are. What it was built with must come out again.
"""

from __future__ import annotations

import mujoco
import numpy as np
import pytest
import tomlkit

from springwright.commission.correct import correct
from springwright.units import GRAVITY
from springwright.vehicle.file import load
from tests.build import axle, design_file, vehicle

ARM, FOOT, TALL, HUB = 0.45, 0.30, 0.35, 0.36  # m: arm, spring along it, spring's length at zero travel, hub's height
TRACK, BASE = 1.6, 2.5
SPRUNG, CG, HIGH = 1300.0, 1.2, 0.75
UNSPRUNG, TYRE, RADIUS = 50.0, 220e3, 0.40
DRAWN = {"rate": 46e3, "damping": 3600.0}
TRUE = {"rate": 46e3 * 1.035, "damping": 3600.0 * 0.9}
STEP = 5e-4


def drawn_file(folder):
    """Our drawing: levers of the same length, coils and dampers on them at the ratio of foot to arm."""
    loads = [SPRUNG * GRAVITY * (1 - CG / BASE) / 2, SPRUNG * GRAVITY * CG / BASE / 2]
    axles = []
    for name, x, load_ in (("front", 0.0, loads[0]), ("rear", BASE, loads[1])):
        force = load_ * ARM / FOOT
        acts = {"by": "lever", "arm": f"{ARM} m", "spring_at": f"{FOOT} m"}
        free = TALL + force / DRAWN["rate"]
        axles.append(
            axle(
                name, x, track=f"{TRACK} m", unsprung_mass=f"{2 * UNSPRUNG} kg", unsprung_height=f"{HUB} m", ride_height="0.5 m", frame_width="0.9 m",
                tyre={"rate": f"{TYRE / 1e3} N/mm", "unloaded_radius": f"{RADIUS} m"}, target=None,
                spring={"acts": {**acts, "ratio": None}, "installed_length": f"{TALL} m", "existing": {"rate": f"{DRAWN['rate'] / 1e3} N/mm", "free_length": f"{free} m"}},
                damper={"acts": acts, "length": f"{TALL} m", "points": [["-1 m/s", f"{-DRAWN['damping']} N"], ["0 m/s", "0 N"], ["1 m/s", f"{DRAWN['damping']} N"]]},
            )
        )  # fmt: skip
    whole = SPRUNG + 4 * UNSPRUNG
    x = (SPRUNG * CG + 2 * UNSPRUNG * BASE) / whole
    z = (SPRUNG * HIGH + 4 * UNSPRUNG * HUB) / whole
    data = vehicle(
        vehicle={"name": "Twin"}, axles=axles, items=[], states=[{"name": "empty"}],
        kerb={"mass": f"{whole} kg", "behind_front_axle": f"{x} m", "above_ground": f"{z} m"},
        inertia={"roll": "500 kg*m**2", "pitch": "1700 kg*m**2", "yaw": "1800 kg*m**2"},
        tolerances={"friction_of_load": "0 %", "motion_ratio": "0 %", "damping": "30 %"},
    )  # fmt: skip
    text = design_file(data).text
    (folder / "twin.toml").write_text(text)
    return load(folder / "twin.toml"), loads


class Twin:
    """The vehicle as bodies, hinges and tendons."""

    def __init__(self, loads):
        self.loads = loads
        self.model = mujoco.MjModel.from_xml_string(self.xml())
        self.data = mujoco.MjData(self.model)
        self.settle()

    def xml(self):
        arms, ground, tops, tendons = [], [], [], []
        for i, (x, load_) in enumerate(((0.0, self.loads[0]), (-BASE, self.loads[1]))):
            free = TALL + load_ * ARM / FOOT / DRAWN["rate"]
            squash = (load_ + UNSPRUNG * GRAVITY) / TYRE
            for k, y in enumerate((TRACK / 2, -TRACK / 2)):
                n = f"{i}{k}"
                arms.append(
                    f'<body pos="{x + ARM + CG} {y} {HUB - HIGH}"><joint name="a{n}" type="hinge" axis="0 1 0"/>'
                    f'<inertial pos="{-ARM} 0 0" mass="{UNSPRUNG}" diaginertia="1e-4 1e-4 1e-4"/>'
                    f'<site name="hub{n}" pos="{-ARM} 0 0"/><site name="foot{n}" pos="{-FOOT} 0 0"/></body>'
                )
                tops.append(f'<site name="top{n}" pos="{x + ARM - FOOT + CG} {y} {HUB + TALL - HIGH}"/>')
                ground.append(f'<site name="ground{n}" pos="{x} {y} -20"/>')
                # a tyre pushes as long as its hub stands lower than it would hang: a tendon to a point far below stays upright
                tendons.append(
                    f'<spatial name="tyre{n}" stiffness="{TYRE}" springlength="{20 + HUB + squash}"><site site="hub{n}"/><site site="ground{n}"/></spatial>'
                )
                tendons.append(
                    f'<spatial name="coil{n}" stiffness="{TRUE["rate"]}" damping="{TRUE["damping"]}" springlength="{free}"><site site="foot{n}"/><site site="top{n}"/></spatial>'
                )
        decks = "".join(
            f'<site name="deck{i}{k}" pos="{CG - x} {y} {0.5 - HIGH}"/>'
            for i, x in enumerate((0.0, BASE))
            for k, y in ((0, 0.45), (1, -0.45))
        )
        return f"""<mujoco><option timestep="{STEP}" gravity="0 0 -{GRAVITY}" integrator="implicitfast"/><worldbody>{"".join(ground)}
            <body name="body" pos="{-CG} 0 {HIGH}"><joint name="heave" type="slide" axis="0 0 1"/><joint name="pitch" type="hinge" axis="0 1 0"/>
            <joint name="roll" type="hinge" axis="1 0 0"/><inertial pos="0 0 0" mass="{SPRUNG}" diaginertia="500 1700 1800"/>
            {"".join(tops)}{decks}{"".join(arms)}</body></worldbody><tendon>{"".join(tendons)}</tendon></mujoco>"""

    def settle(self, seconds=8.0):
        for _ in range(int(seconds / STEP)):
            mujoco.mj_step(self.model, self.data)
        mujoco.mj_forward(self.model, self.data)

    def force(self, at, down):
        """A mass's weight on the deck over an axle [N], from now on."""
        body = self.model.body("body").id
        place = self.data.site(f"deck{at}0").xpos * (1, 0, 1)
        lever = place - self.data.xipos[body]
        self.data.xfrc_applied[body, :3] = (0.0, 0.0, -down)
        self.data.xfrc_applied[body, 3:] = np.cross(lever, (0.0, 0.0, -down))

    def height(self, at):
        return float(np.mean([self.data.site(f"deck{at}{k}").xpos[2] for k in (0, 1)]))

    def load(self, i, k):
        """What a tyre pushes with [kg]."""
        length = float(self.data.ten_length[self.model.tendon(f"tyre{i}{k}").id])
        rest = float(self.model.tendon_lengthspring[self.model.tendon(f"tyre{i}{k}").id][0])
        return TYRE * (rest - length) / GRAVITY

    def bounce(self, at, mass, folder):
        """A mass taken off the deck at once; heights over the axle as a log."""
        self.force(at, mass * GRAVITY)
        self.settle()
        self.data.xfrc_applied[:] = 0.0
        rows = []
        for step in range(int(4.0 / STEP)):
            if step % 10 == 0:
                rows.append((step * STEP, self.height(at)))
            mujoco.mj_step(self.model, self.data)
            mujoco.mj_forward(self.model, self.data) if step % 10 == 9 else None
        name = f"twin-{at}.csv"
        (folder / name).write_text("time [s],height [m]\n" + "".join(f"{t:.4f},{z:.6f}\n" for t, z in rows))
        self.settle()
        return name


def test_a_vehicle_of_real_links_is_measured_and_corrected(tmp_path):
    """Rates within 2 %, damping within 5 % of what the engine was given; readings as fine as a careful workshop's."""
    file, loads = drawn_file(tmp_path)
    twin = Twin(loads)
    names = ("front", "rear")
    sets = {
        "weighings": [
            {
                "state": "empty",
                "left": [f"{twin.load(i, 0)} kg" for i in (0, 1)], "right": [f"{twin.load(i, 1)} kg" for i in (0, 1)],
                "heights_left": [f"{twin.height(i)} m" for i in (0, 1)], "heights_right": [f"{twin.height(i)} m" for i in (0, 1)],
                "load_uncertainty": "2 kg", "height_uncertainty": "1 mm",
            }
        ],
        "pushes": [],
        "bounces": [],
        "tyres": [{"axle": name, "rate": f"{TYRE / 1e3} N/mm", "rate_uncertainty": "2 N/mm"} for name in names],
    }  # fmt: skip
    for i, name in enumerate(names):
        still, lowered = twin.height(i), []
        masses = (
            0,
            20,
            40,
            60,
            80,
        )  # as the arms swing further, their fore-and-aft arcs, which no drawing of levers has, move the rate by 1 %
        for mass in masses:
            twin.force(i, mass * GRAVITY)
            twin.settle(4.0)
            lowered.append(still - twin.height(i))
        twin.data.xfrc_applied[:] = 0.0
        twin.settle()
        sets["pushes"].append(
            {"axle": name, "state": "empty", "loads": [f"{one} kg" for one in masses], "lowered": [f"{1e3 * one} mm" for one in lowered], "lowered_uncertainty": "0.1 mm", "mass_uncertainty": "0.1 kg"}
        )  # fmt: skip
        sets["bounces"].append(
            {
                "axle": name,
                "state": "empty",
                "log": twin.bounce(i, 120.0, tmp_path),
                "column": "height",
                "reads": "height",
            }
        )
    path = tmp_path / "twin.readings.toml"
    path.write_text(tomlkit.dumps({"readings": 1, "vehicle": "Twin", **sets}))
    told = correct(file, path)
    by = {one.name: one for one in told.inputs}
    for name in names:
        assert by[f"{name} spring rate"].value == pytest.approx(TRUE["rate"], rel=0.02)
        assert by[f"{name} damping, times drawn"].value == pytest.approx(0.9, rel=0.05)
    assert not told.wrong
    # what is told of the rates is told by the readings and not by the drawing, which is 3.5 % off
    assert all(abs(by[f"{name} spring rate"].value / DRAWN["rate"] - 1.035) < 0.02 for name in names)
