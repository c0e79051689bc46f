"""Two designs at once: neither may see anything of the other."""

import gc
import json
import multiprocessing
import sys
import weakref
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import pytest
import tomlkit

from springwright.errors import InputError
from springwright.evaluation import Evaluation
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import size
from springwright.units import displayed_in
from springwright.vehicle.file import load
from tests.build import DEMOS, axle, design_file, vehicle

GRADE = """# name: mine
# made: cold coiled
# shear modulus: 79.5e9
# elastic modulus: 206e9
# density: 7850
# fatigue: oil-hardened and alloy
# source: invented for this test
# caveat: none
# sizes: 8 10 12 14 16
diameter [mm],strength least [MPa]
8,{0}
16,{0}
"""
COIL = {
    "wire": "14 mm", "mean_diameter": "116 mm", "active_coils": 8, "free_length": "480 mm", "grade": "mine",
}  # fmt: skip


def with_grade(folder, strength, *, own=True):
    """A design in its folder whose front coil is of a grade it may bring itself [MPa]."""
    folder.mkdir()
    (folder / "mine.csv").write_text(GRADE.format(strength))
    data = vehicle(
        axles=[axle("front", 0.0, spring={"coil": COIL}), axle("rear", 2.5)],
        **({"grades": ["mine.csv"]} if own else {}),
    )
    path = folder / "v.toml"
    path.write_text(tomlkit.dumps(data))
    return load(path)


def strength(file):
    return size(file).springs[0].checked.strength / 1e6


def test_grades_of_one_name_are_each_design_its_own(tmp_path):
    one, other = with_grade(tmp_path / "a", 1200), with_grade(tmp_path / "b", 1600)
    first = load(one.path)
    load(other.path)
    assert strength(first) == pytest.approx(1200)


def test_a_design_does_not_know_the_grades_of_another(tmp_path):
    with_grade(tmp_path / "a", 1200)
    with pytest.raises(InputError, match='no wire grade "mine"'):
        size(with_grade(tmp_path / "b", 1600, own=False))


def made(k):
    return design_file(
        vehicle(
            axles=[
                axle("front", 0.0, target={"frequency": f"{1.1 + 0.01 * k} Hz"}),
                axle("rear", 2.5, tyre={"rate": f"{200 + 10 * (k % 2)} N/mm"}),
            ],
            limits={"height_change": "60 mm"},
        )
    )


def windows_of(k):
    return [(one.softest, one.stiffest) for one in size(made(k)).windows]


def test_windows_worked_out_on_threads_are_those_worked_out_alone():
    alone = [windows_of(k) for k in range(24)]
    for _ in range(2):
        with ThreadPoolExecutor(8) as pool:
            assert list(pool.map(windows_of, range(24))) == alone


def test_demos_on_threads_are_those_alone():
    names = ["fire-watch", "survey-buggy"] * 3

    def told(name):
        return [(one.softest, one.stiffest) for one in size(load(DEMOS / f"{name}.toml")).windows]

    alone = [told(name) for name in names]
    with ThreadPoolExecutor(6) as pool:
        assert list(pool.map(told, names)) == alone


def told(k):
    """All that is said of one of a hundred designs, as text."""
    return json.dumps(size(made(k)).to_json())


def test_a_hundred_designs_on_threads_and_in_processes_are_those_one_after_another():
    designs = range(100)
    alone = [told(k) for k in designs]
    assert len(set(alone)) == len(designs)
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(told, designs)) == alone
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        assert list(pool.map(told, designs, chunksize=10)) == alone
    shared = Evaluation()

    def in_it(k):
        with shared:
            return told(k)

    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(in_it, designs)) == alone


def test_what_was_worked_out_goes_with_whoever_asked():
    file = made(1)
    with Evaluation() as one:
        assert sized(file) is sized(file)
        with displayed_in("imperial"):
            assert sized(file) is not sized(file.saying(file.text))
        first = sized(file)
        with Evaluation():
            assert sized(file) is not first
        assert sized(file) is first
    with one:
        assert sized(file) is first
    gone = weakref.ref(first)
    del first, one
    gc.collect()
    assert gone() is None


def containers():
    """Everything at module level that could be changed, as it stands."""
    return {
        (name, key): repr(value)
        for name, module in sorted(sys.modules.items())
        if name.startswith("springwright")
        for key, value in vars(module).items()
        if isinstance(value, dict | list | set) and not key.startswith("__")
    }


def test_no_module_keeps_anything():
    from springwright.questions.prove import prove  # first, so that every module is there

    prove(load(DEMOS / "survey-buggy.toml"))
    before = containers()
    assert len(before) > 20
    prove(load(DEMOS / "fire-watch.toml"))
    assert containers() == before
