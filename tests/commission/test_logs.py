"""Logs as phones and recorders write them: what is understood, what is noticed, and one clear word for each thing that cannot be."""

from __future__ import annotations

import numpy as np
import pytest

from springwright.commission.logs import LARGEST, Wanted, even, read_log
from springwright.errors import InputError

ACC = Wanted("acc z", "acceleration")


def log(folder, text, name="log.csv"):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def rows(times, values, between=",", form="{:.4f}"):
    return "\n".join(between.join([form.format(t), form.format(z)]) for t, z in zip(times, values, strict=True)) + "\n"


TIMES = np.arange(0.0, 2.0, 0.01)
VALUES = 9.81 + np.sin(2 * np.pi * TIMES)


def test_plain(tmp_path):
    told = read_log(log(tmp_path, "time [s],acc z [m/s2]\n" + rows(TIMES, VALUES)), [ACC])
    assert told.channels["acc z"] == pytest.approx(VALUES, abs=1e-4)
    assert told.rate == pytest.approx(100.0)
    assert "200 rows by commas" in told.read
    assert told.notes == ()


def test_g_and_milliseconds_in_any_order_of_columns(tmp_path):
    text = "acc z (g);marker;time (ms)\n" + "".join(
        f"{v / 9.80665:.6f};x1;{1e3 * t:.1f}\n" for t, v in zip(TIMES, VALUES, strict=True)
    ).replace("x1", "0")
    told = read_log(log(tmp_path, text), [ACC])
    assert told.channels["acc z"] == pytest.approx(VALUES, abs=1e-4)
    assert told.time[-1] == pytest.approx(1.99)
    assert "semicolons" in told.read


def test_semicolons_and_decimal_commas(tmp_path):
    text = "time [s];acc z [m/s2]\n" + rows(TIMES, VALUES, ";").replace(".", ",")
    told = read_log(log(tmp_path, text), [ACC])
    assert told.channels["acc z"] == pytest.approx(VALUES, abs=1e-4)
    assert "by semicolons with decimal commas" in told.read


def test_what_stands_before_the_header_is_left(tmp_path):
    text = "Exported by a phone\nsensor: accelerometer\n\ntime [s],acc z [m/s2]\n" + rows(TIMES, VALUES)
    assert len(read_log(log(tmp_path, text), [ACC]).time) == 200


def test_irregular_times_are_brought_to_even_ones(tmp_path):
    rng = np.random.default_rng(1)
    times = np.cumsum(0.01 + 0.003 * rng.random(400))
    told = read_log(log(tmp_path, "time [s],acc z [m/s2]\n" + rows(times, np.sin(3 * times))), [ACC])
    step, values = even(told, "acc z")
    assert values == pytest.approx(np.sin(3 * (times[0] + step * np.arange(len(values)))), abs=2e-3)


def test_gaps_empty_cells_and_a_sensor_at_its_end_are_said(tmp_path):
    times = np.concatenate([TIMES[:100], TIMES[100:] + 1.0])
    values = np.clip(VALUES, None, 10.4)
    text = "time [s],acc z [m/s2]\n" + rows(times, values)
    lines = text.splitlines()
    lines[50] = lines[50].split(",")[0] + ","
    told = read_log(log(tmp_path, "\n".join(lines)), [ACC])
    said = " ".join(told.notes)
    assert "1 gap, the longest" in said
    assert "1 cell is empty" in said
    assert "lies flat at its most" in said
    assert np.isfinite(told.channels["acc z"]).all()


def test_the_file_is_never_changed(tmp_path):
    path = log(tmp_path, "time [s],acc z [m/s2]\n" + rows(TIMES, VALUES))
    before = path.read_bytes()
    read_log(path, [ACC])
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("time [s],acc z [m/s2]\n" + rows(TIMES[::-1], VALUES), "time runs backwards"),
        (
            "time [s],acc y [m/s2]\n" + rows(TIMES, VALUES),
            'column "acc z": is not in the header; there are "time", "acc y"',
        ),
        ("time [s],acc z\n" + rows(TIMES, VALUES), "has no unit"),
        ("time [s],acc z [kg]\n" + rows(TIMES, VALUES), "kg"),
        ("time [h],acc z [m/s2]\n" + rows(TIMES, VALUES), "no unit of time"),
        ("when [s],acc z [m/s2]\n" + rows(TIMES, VALUES), "no column of time"),
        (rows(TIMES, VALUES), "none found"),
        ("time [s],acc z [m/s2]\n0,1\n0.1,2\n", "too few"),
        (
            "time [s],acc z [m/s2]\n" + rows(TIMES[:50], VALUES[:50]) + "0.5,spike\n" + rows(TIMES[51:], VALUES[51:]),
            "line 52.*no number",
        ),
        (
            "time [s],acc z [m/s2]\n" + "".join(f"{t},\n" if i % 2 else f"{t},1\n" for i, t in enumerate(TIMES)),
            "empty or no number",
        ),
    ],
)
def test_one_clear_word(tmp_path, text, says):
    with pytest.raises(InputError, match=says):
        read_log(log(tmp_path, text), [ACC])


def test_no_file_a_folder_and_one_of_two_gigabytes(tmp_path):
    with pytest.raises(InputError, match="cannot be read"):
        read_log(tmp_path / "gone.csv", [ACC])
    with pytest.raises(InputError, match="is no file"):
        read_log(tmp_path, [ACC])
    huge = tmp_path / "huge.csv"
    with huge.open("wb") as file:
        file.write(b"time [s],acc z [m/s2]\n0,0\n")
        file.truncate(2 * LARGEST)
    with pytest.raises(InputError, match="cut it into parts"):
        read_log(huge, [ACC])
    binary = tmp_path / "picture.csv"
    binary.write_bytes(bytes(range(256)) * 10)
    with pytest.raises(InputError, match="no text in UTF-8"):
        read_log(binary, [ACC])
