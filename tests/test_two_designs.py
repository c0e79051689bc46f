"""Two designs at once: neither may see anything of the other."""

from concurrent.futures import ThreadPoolExecutor

import pytest
import tomlkit

from springwright.errors import InputError
from springwright.sizing.sheet import size
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
