"""Coil springs as space frames: straight beams along the helix, solved in finite elements written here.

Beam element: Przemieniecki, Theory of Matrix Structural Analysis, space frame without shear deformation (from memory).
"""

import numpy as np
import pytest

from springwright.parts import coil
from springwright.parts.cone import ProgressiveCoil
from springwright.parts.law import SpringNeed
from springwright.parts.wire import wire

YOUNG, SHEAR = 206e9, 78.5e9
STEPS = 40  # beams a turn


def element(begin, end, diameter):
    """12 x 12 stiffness of a round beam in space, in the vehicle's directions."""
    along = end - begin
    long = np.linalg.norm(along)
    x = along / long
    y = np.cross([0.0, 0.0, 1.0], x)
    y = y / np.linalg.norm(y)
    frame = np.kron(np.eye(4), np.array([x, y, np.cross(x, y)]))
    area, second = np.pi * diameter**2 / 4, np.pi * diameter**4 / 64
    k = np.zeros((12, 12))
    for at, stiff in ((0, YOUNG * area / long), (3, SHEAR * 2 * second / long)):
        k[np.ix_([at, at + 6], [at, at + 6])] = stiff * np.array([[1, -1], [-1, 1]])
    bend = YOUNG * second / long**3
    for side, turn, sign in ((1, 5, 1.0), (2, 4, -1.0)):
        rows = [side, turn, side + 6, turn + 6]
        k[np.ix_(rows, rows)] = bend * np.array(
            [
                [12, sign * 6 * long, -12, sign * 6 * long],
                [sign * 6 * long, 4 * long**2, -sign * 6 * long, 2 * long**2],
                [-12, -sign * 6 * long, 12, -sign * 6 * long],
                [sign * 6 * long, 2 * long**2, -sign * 6 * long, 4 * long**2],
            ]
        )
    return frame.T @ k @ frame


def helix_rate(radii, pitch, diameter, turns):
    """Axial rate of a helix whose ends sit on plates that do not tilt: all else held at the ends."""
    count = int(STEPS * turns) + 1
    angle = np.linspace(0, 2 * np.pi * turns, count)
    radius = np.interp(np.linspace(0, 1, count), np.linspace(0, 1, len(radii)), radii)
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), pitch * angle / (2 * np.pi)], axis=1)
    whole = np.zeros((6 * count, 6 * count))
    for i in range(count - 1):
        at = slice(6 * i, 6 * i + 12)
        whole[at, at] += element(points[i], points[i + 1], diameter)
    top = 6 * (count - 1)
    held = [*range(6), top, top + 1, top + 3, top + 4, top + 5]
    free = [i for i in range(6 * count) if i not in held]
    load = np.zeros(6 * count)
    load[top + 2] = 1.0
    moved = np.linalg.solve(whole[np.ix_(free, free)], load[free])
    return 1.0 / moved[free.index(top + 2)]


@pytest.mark.parametrize(("index", "turns"), [(8.0, 6.0), (12.0, 5.0)])
def test_coil_rate(index, turns):
    """G d4 / (8 D3 n) leaves out the pitch angle and the stretch of the wire: 1 % at a pitch of a fifth of the coil's diameter."""
    d = 0.014
    mean = index * d
    frame = helix_rate([mean / 2], 0.2 * mean, d, turns)
    assert frame == pytest.approx(coil.rate(SHEAR, d, mean, turns), rel=0.012)


def test_conical_coil_rate():
    """Before any turn has closed: the softer large turns and the stiffer small ones in line."""
    grade = wire("52CrMoV4")
    assert (grade.shear_modulus, grade.elastic_modulus) == (SHEAR, YOUNG)
    part = ProgressiveCoil(
        form="conical", wire="12 mm", largest="160 mm", smallest="100 mm", active_coils=7, free_length="330 mm", dead_coils=0.01, grade="52CrMoV4"
    )  # fmt: skip
    law = part.law(SpringNeed(1.0, 1.0, 0.330, 0.330, 0.330, 0.330))
    frame = helix_rate(np.linspace(0.08, 0.05, 50), 0.03, 0.012, 7.0)
    assert frame == pytest.approx(law.rate, rel=0.012)
