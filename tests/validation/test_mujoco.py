"""The same vehicle in a general multibody engine (MuJoCo, Apache 2.0): true rotations in space.

The twin has the constraints of our frame (heave, pitch about the CG, roll about the roll axis, wheels up and down; a beam axle up, down
and turning). What it does not share with us is the force model, small-angle kinematics and the solver, so that wheel loads,
attitude, natural frequencies and a drop are checked by an engine that knows nothing of vehicles. One thing the frame leaves out
is sized here: with spring seats well below the CG, gravity lowers the pitch frequency (5 % with seats at the ground).
"""

from dataclasses import replace

import mujoco
import numpy as np
import pytest

from springwright.motion.drive import drive
from springwright.motion.equilibrium import equilibrium
from springwright.motion.forces import GRAVITY
from springwright.motion.modes import modes
from springwright.terrain import obstacles
from springwright.vehicle.assemble import without_stops
from springwright.vehicle.design import Design
from tests.build import axle, vehicle
from tests.test_motion import rig_of

BEAM = {"kind": "beam", "spring": {"acts": {"by": "beam", "base": "1.0 m", "ratio": None}}}
KINDS = {
    "independent": [axle("front", 0.0), axle("rear", 2.5)],
    "beam": [axle("front", 0.0, **BEAM), axle("rear", 2.5, **BEAM)],
    "three axles": [axle("a", 0.0, **BEAM), axle("b", 2.0, **BEAM), axle("c", 3.1)],
}
STEP = 2e-4


class Twin:
    """The vehicle in MuJoCo; tyres, which push only, come in through the passive-force hook."""

    def __init__(self, design, rig):
        self.rig, self.design = rig, design
        self.ground = np.zeros(len(rig.wheel_places))
        self.model = mujoco.MjModel.from_xml_string(self.xml())
        self.data = mujoco.MjData(self.model)
        self.names = [f"w{i}" for i in range(len(rig.wheel_places))]

    def xml(self):
        rig = self.rig
        x0, y0, z0 = rig.sprung_cg
        wheels, marks = [], []
        for i, one in enumerate(self.design.axles):
            mine = np.flatnonzero(rig.wheel_axle == i)
            x, half = rig.wheel_places[mine[0], 0], one.track / 2
            base = (one.spring_base or one.track) / 2
            height = 0.4
            if one.kind == "beam":
                spin = one.roll_inertia or one.unsprung_mass * one.track**2 / 6
                sites = "".join(
                    f'<site name="w{m}" pos="0 {s * half} 0"/><site name="s{m}" pos="0 {s * base} 0"/>'
                    for m, s in zip(mine, (1, -1), strict=True)
                )
                wheels.append(
                    f'<body pos="{x} 0 {height}"><joint name="z{i}" type="slide" axis="0 0 1"/><joint name="r{i}" type="hinge" axis="1 0 0"/>'
                    f'<inertial pos="0 0 0" mass="{one.unsprung_mass}" diaginertia="{spin} {spin} {spin}"/>{sites}</body>'
                )
            else:
                for m, s in zip(mine, (1, -1), strict=True):
                    wheels.append(
                        f'<body pos="{x} {s * half} {height}"><joint name="z{m}w" type="slide" axis="0 0 1"/>'
                        f'<inertial pos="0 0 0" mass="{one.unsprung_mass / 2}" diaginertia="1 1 1"/><site name="w{m}"/><site name="s{m}"/></body>'
                    )
            for m, s in zip(mine, (1, -1), strict=True):
                marks.append(f'<site name="c{m}" pos="{x - x0} {s * base - y0} {-rig.roll_arm}"/>')
        roll, pitch, mass = rig.roll_inertia, rig.pitch_inertia, rig.sprung_mass
        return f"""<mujoco><option timestep="{STEP}" gravity="0 0 -{GRAVITY}" integrator="implicitfast"/><worldbody>{"".join(wheels)}
            <body pos="{x0} {y0} {z0}"><joint name="heave" type="slide" axis="0 0 1"/><joint name="pitch" type="hinge" axis="0 1 0"/>
            <joint name="roll" type="hinge" axis="1 0 0" pos="0 0 {-rig.roll_arm}"/>
            <inertial pos="0 0 0" mass="{mass}" diaginertia="{roll} {pitch} {pitch}"/>{"".join(marks)}</body></worldbody></mujoco>"""

    def loads(self):
        rise = np.array([self.data.site(name).xpos[2] for name in self.names]) - 0.4
        return np.maximum(self.rig.tyre_force - self.rig.tyre_rate * (rise - self.ground), 0.0)

    def springs(self):
        """Force of each spring: up and down between its seat on the wheel's side and one on the body at roll-axis height."""
        seat = self.rig.sprung_cg[2] - self.rig.roll_arm
        closed = [
            self.data.site(f"s{i}").xpos[2] - 0.4 - (self.data.site(f"c{i}").xpos[2] - seat)
            for i in range(len(self.names))
        ]
        rate = self.rig.element_rate[: len(closed), 48]
        preload = [
            np.interp(0.0, start + step * np.arange(97), force)
            for start, step, force in zip(
                self.rig.element_start, self.rig.element_step, self.rig.element_force, strict=True
            )
        ]
        return preload[: len(closed)] + rate * np.array(closed)

    def hook(self, model, data):
        pushes = [(name, load) for name, load in zip(self.names, self.loads(), strict=True)]
        for i, force in enumerate(self.springs()):
            pushes += [(f"s{i}", -force), (f"c{i}", force)]
        for name, force in pushes:
            jacobian = np.zeros((3, model.nv))
            mujoco.mj_jacSite(model, data, jacobian, None, model.site(name).id)
            data.qfrc_passive[:] += jacobian[2] * force
        data.qfrc_passive[:] -= self.damping * data.qvel

    def __enter__(self):
        self.damping = 0.0
        mujoco.set_mjcb_passive(self.hook)
        return self

    def __exit__(self, *_):
        mujoco.set_mjcb_passive(None)

    def settle(self, ground):
        self.ground = np.asarray(ground, dtype=float)
        self.damping = 4000.0
        while self.data.time < 25.0:
            mujoco.mj_step(self.model, self.data)
            if self.data.time > 2.0 and np.abs(self.data.qvel).max() < 3e-7:
                break
        mujoco.mj_forward(self.model, self.data)
        return self.loads()

    def frequencies(self):
        """Undamped natural frequencies [Hz] about where it stands, from the engine's own stiffness by differences."""
        self.damping = 0.0
        n = self.model.nv
        self.data.qvel[:] = 0.0
        stiffness = np.zeros((n, n))
        at = self.data.qpos.copy()
        for j in range(n):
            for sign in (1, -1):
                self.data.qpos[:] = at
                self.data.qpos[j] += sign * 1e-5
                mujoco.mj_forward(self.model, self.data)
                stiffness[:, j] -= sign * (self.data.qfrc_passive - self.data.qfrc_bias) / 2e-5
        self.data.qpos[:] = at
        mujoco.mj_forward(self.model, self.data)
        mass = np.zeros((n, n))
        mujoco.mj_fullM(self.model, self.data, mass)
        return np.sort(np.sqrt(np.linalg.eigvals(np.linalg.solve(mass, stiffness)).real)) / (2 * np.pi)


def made(kind):
    data = vehicle(
        axles=KINDS[kind],
        states=[{"name": "full", "aboard": ["load"]}],
        items=[
            {
                "name": "load",
                "mass": "300 kg",
                "behind_front_axle": "2.0 m",
                "left_of_centre": "0.2 m",
                "above_ground": "1.0 m",
            }
        ],
    )
    design = Design.model_validate(data)
    return design, without_stops(rig_of(design)[0])


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("height", [0.0, 0.05])
def test_wheel_loads_and_attitude(kind, height):
    """Level, and 50 mm under two opposite wheels: loads within 1e-3 of the heaviest, attitude within 1 %.

    On uneven ground with the roll axis through the CG: our frame leaves out what gravity does in pitch.
    """
    design, rig = made(kind)
    if height:
        rig = replace(rig, roll_arm=0.0)
    ground = np.zeros(len(rig.wheel_places))
    ground[0] = ground[3] = height
    ours = equilibrium(rig, ground)
    with Twin(design, rig) as twin:
        theirs = twin.settle(ground)
        assert ours.wheel_loads == pytest.approx(theirs, abs=1e-3 * theirs.max())
        assert ours.roll == pytest.approx(float(twin.data.joint("roll").qpos[0]), rel=0.01, abs=2e-5)
        assert ours.pitch == pytest.approx(float(twin.data.joint("pitch").qpos[0]), rel=0.01, abs=2e-5)


@pytest.mark.parametrize("kind", KINDS)
def test_natural_frequencies(kind):
    """Within 0.5 %, every mode, the roll axis through the CG so that roll and pitch are held alike in both."""
    design, rig = made(kind)
    rig = replace(rig, roll_arm=0.0)
    ours = [mode.frequency for mode in modes(rig, equilibrium(rig))]
    with Twin(design, rig) as twin:
        twin.settle(np.zeros(len(rig.wheel_places)))
        assert ours == pytest.approx(list(twin.frequencies()), rel=5e-3)


@pytest.mark.parametrize("kind", KINDS)
def test_roll_with_gravity_above_the_roll_axis(kind):
    """Within 1 %: near tipping the frequency is a small difference of large stiffnesses."""
    design, rig = made(kind)
    ours = next(mode.frequency for mode in modes(rig, equilibrium(rig)) if mode.name == "roll")
    with Twin(design, rig) as twin:
        twin.settle(np.zeros(len(rig.wheel_places)))
        assert ours == pytest.approx(twin.frequencies()[0], rel=0.01)


def test_drop():
    """Let go 60 mm above rest, undamped: the greatest tyre load within 2 %."""
    design, rig = made("independent")
    rig = replace(rig, damper_force=np.zeros_like(rig.damper_force), friction=np.zeros_like(rig.friction))
    ours = max(wheel.load_most for wheel in drive(rig, obstacles.flat(), 5.0, duration=0.6, above=0.06).wheels)
    with Twin(design, rig) as twin:
        twin.settle(np.zeros(4))
        twin.damping = 0.0
        twin.data.qvel[:] = 0.0
        for name in ("heave", "z0w", "z1w", "z2w", "z3w"):
            twin.data.joint(name).qpos[0] += 0.06
        start, most = twin.data.time, 0.0
        while twin.data.time < start + 0.6:
            mujoco.mj_step(twin.model, twin.data)
            most = max(most, float(twin.loads().max()))
    assert ours == pytest.approx(most, rel=0.02)
