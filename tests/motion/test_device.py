"""The drive on a graphics processor: compiled without one, run where there is one. Needs the extra `gpu`; without it, it is said so."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from springwright import assemble
from springwright.errors import UnsolvedError
from springwright.motion.drive import drive_many
from springwright.motion.figures import Point
from springwright.terrain.roughness import rough_ground
from springwright.vehicle.file import load
from tests.build import DEMOS

SEAT = [Point("seat", (-1.3, 0.4, 1.1))]
EXTRA = importlib.util.find_spec("numba_cuda") is not None


def _handed_over(monkeypatch, name):
    """What the kernel is called with for two vehicles of a demo."""
    from springwright.motion.kernel import drive as kernel

    seen = []
    real = kernel.run
    monkeypatch.setattr(kernel, "run", lambda *given: (seen.append(given), real(*given)))
    rig = assemble(load(DEMOS / f"{name}.toml"))
    drive_many([rig, rig], rough_ground("D", 40.0, 1.5), 8.0, points=SEAT, duration=0.05)
    return seen[0]


@pytest.mark.skipif(EXTRA, reason="the extra is there")
def test_without_the_extra_one_sentence_says_what_to_do():
    rig = assemble(load(DEMOS / "fire-watch.toml"))
    with pytest.raises(
        UnsolvedError,
        match=r'device: "gpu" needs the extra of that name: pip install "springwright\[gpu\]"; or take "cpu"',
    ):
        drive_many([rig], rough_ground("D", 40.0, 1.5), 8.0, device="gpu")


def test_a_device_that_is_none_is_named():
    rig = assemble(load(DEMOS / "fire-watch.toml"))
    with pytest.raises(UnsolvedError, match="device: 'moon' is none that drives; it is one of cpu, gpu"):
        drive_many([rig], rough_ground("D", 40.0, 1.5), 8.0, device="moon")


@pytest.mark.skipif(not EXTRA, reason="needs numba-cuda")
@pytest.mark.parametrize("name", ["fire-watch", "bog-carrier"])
def test_the_drive_compiles_for_a_device(monkeypatch, name):
    """To PTX, the assembly of such devices, without one: nothing of it is called by name, all is put in line."""
    from numba import cuda, typeof

    from springwright.motion.kernel import device, forces
    from springwright.motion.kernel.arrays import Sizes

    if not cuda.is_available():  # which it asks for its kind, though one is named
        import numba.cuda.dispatcher as dispatcher

        monkeypatch.setattr(dispatcher, "get_current_device", lambda: SimpleNamespace(compute_capability=(9, 0)))
    lanes, ends, law, way, reading, kept = _handed_over(monkeypatch, name)
    size = Sizes(*(int(one) for one in forces.sizes_of.py_func(lanes, law)))
    made = device.kernel(size, len(ends), len(reading.filter), len(reading.leaning), 1024)
    ptx, _ = cuda.compile_ptx(made.py_func, tuple(typeof(one) for one in (law, way, reading, kept)), cc=(9, 0))
    assert ".visible .entry" in ptx
    assert "fma.rn.f64" in ptx
    assert "call" not in ptx


RUBBING, ZONED = "friction", "zones"
CASES = {
    "over rough ground": {},
    "with dry friction and dampers that depend on travel": {"make": (RUBBING, ZONED)},
    "let fall": {"make": (RUBBING,), "above": 0.3, "sinking": 0.5},
    "braked and pushed": {"accelerations": np.array([[0.0, -3.0, -3.0], [0.0, 1.0, 2.0]])},
    "at a step that diverges": {"step": 0.02},
}


@pytest.mark.skipif(not EXTRA, reason="needs numba-cuda")
@pytest.mark.parametrize("name", ["fire-watch", "bog-carrier"])
@pytest.mark.parametrize("case", CASES)
def test_a_device_drives_as_the_processor(name, case):
    from springwright.motion.kernel import device

    rig = assemble(load(DEMOS / f"{name}.toml"))
    ground = rough_ground("D", 60.0, 1.5)
    given = {"points": SEAT, "duration": 2.0, "settle": 0.5, **CASES[case]}
    make, dampers = given.pop("make", ()), len(rig.damper_rows)
    if RUBBING in make:
        rig = replace(rig, friction=np.full(dampers, 150.0))
    if ZONED in make:
        place, factor = np.tile([-0.06, 0.01, 0.07], (dampers, 1)), np.tile([1.6, 0.7, 2.5], (dampers, 1))
        rig = replace(rig, damper_place=place, damper_factor=factor)
    if why := device.missing():
        with pytest.raises(UnsolvedError, match=f'device: "gpu" cannot be used, {why}; take "cpu"'):
            drive_many([rig], ground, 8.0, device="gpu", **given)
        return
    speeds = np.linspace(4.0, 10.0, 50).tolist()
    ours, theirs = (drive_many([rig] * 50, ground, speeds, device=one, **given) for one in ("cpu", "gpu"))
    assert ours.reasons == theirs.reasons
    assert any(ours.reasons) == (
        "diverges" in case and name == "fire-watch"
    )  # the carrier's slower wheels bear that step
    for a, b in zip(ours._arrays, theirs._arrays, strict=True):
        np.testing.assert_allclose(b, a, rtol=1e-6, atol=1e-9 * np.nanmax(np.abs(a), initial=1.0))
