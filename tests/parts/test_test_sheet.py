"""A damper's test sheet beside the design."""

import numpy as np
import pytest
import tomlkit

from springwright.errors import InputError
from springwright.parts.damper import read_test_sheet
from springwright.sizing.fitted import assemble
from springwright.vehicle.file import load
from tests.build import axle, vehicle

SHEET = "# invented\nspeed [mm/s],force [N]\n300,700\n-300,-1100\n0,0\n100,300\n100,320\n-100,-500\n"


def written(folder, sheet=SHEET, **damper):
    (folder / "dyno.csv").write_text(sheet)
    made = axle("front", 0.0, damper={"acts": {"by": "ratio", "ratio": 0.5}, "test_sheet": "dyno.csv", **damper})
    path = folder / "car.toml"
    path.write_text(tomlkit.dumps(vehicle(axles=[made, axle("rear", 2.5)])))
    return path


def test_sheet_becomes_the_damper_at_the_wheel(tmp_path):
    """Sorted, readings at one speed averaged; at the wheel speed / ratio and force x ratio."""
    rig = assemble(load(written(tmp_path)))
    assert rig.damper_speed[0] == pytest.approx(np.array([-0.3, -0.1, 0.0, 0.1, 0.3]) / 0.5)
    assert rig.damper_force[0] == pytest.approx(np.array([-1100, -500, 0, 310, 700]) * 0.5)


def test_saving_does_not_write_the_points(tmp_path):
    file = load(written(tmp_path))
    assert "points" not in file.save(tmp_path / "copy.toml").path.read_text()


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        ("speed [mm/s],force [N]\n-100,-500\n0,0\n100,300\n200,250\n", "force falls as speed rises"),
        ("speed [mm/s],force [N]\n0,0\n100,300\n200,350\n", "must reach from rebound"),
        ("speed,force [N]\n-1,-2\n0,0\n1,2\n", "unit is missing"),
        ("force [N],speed [mm/s]\n-1,-2\n0,0\n1,2\n", "speed is missing"),
        ("speed [mm/s],force [N]\n-1,-2\n0,none\n1,2\n", "must be 2 numbers"),
        ("speed [mm/s],force [N]\n-1,-2\n0,nan\n1,2\n", "must be finite"),
        ("speed [mm/s],force [N]\n", "needs at least 3 rows"),
    ],
)
def test_bad_sheets(sheet, says):
    with pytest.raises(InputError, match=says):
        read_test_sheet(sheet, "dyno.csv")


def test_a_sheet_that_is_not_there_or_not_alone(tmp_path):
    path = written(tmp_path, points=[["-1 m/s", "-1 N"], ["1 m/s", "1 N"]])
    with pytest.raises(InputError, match="points already"):
        load(path)
    path = written(tmp_path)
    (tmp_path / "dyno.csv").unlink()
    with pytest.raises(InputError, match="no such file beside the design"):
        load(path)
