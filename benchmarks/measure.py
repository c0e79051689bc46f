"""What readings cost: a log reduced, a vehicle corrected, an hour of log. Run: python -m benchmarks.measure

Targets: 60 s of 6 channels at 500 Hz reduced under 1 s; 40 readings and 15 uncertain inputs corrected under 5 s on two cores; an hour at
500 Hz under 1 GB and 30 s.
"""

from __future__ import annotations

import resource
import tempfile
import time
from pathlib import Path

import numpy as np
import tomlkit

from benchmarks.trade import yardsticks
from builders.readings import Workshop
from springwright.commission.correct import correct
from springwright.commission.inputs import inputs_of, stands
from springwright.commission.logs import Wanted, read_log
from springwright.commission.modelled import modelled
from springwright.commission.readings import load_readings, reduced_sets
from springwright.commission.taken import Workplace
from springwright.vehicle.file import load

TRUCK = Path("src/springwright/demos/fire-watch.toml")


def log(path: Path, seconds: float, channels: int, rate: float = 500.0) -> None:
    """A log of noise."""
    rng = np.random.default_rng(1)
    with path.open("w") as file:
        file.write(",".join(["time [s]", *(f"c{k} [m/s2]" for k in range(channels))]) + "\n")
        for begin in np.arange(0.0, seconds, 60.0):
            times = begin + np.arange(int(min(60.0, seconds - begin) * rate)) / rate
            np.savetxt(
                file, np.column_stack([times, rng.standard_normal((len(times), channels))]), fmt="%.4f", delimiter=","
            )


def main() -> None:
    yardsticks()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        file = load(TRUCK)
        drawn = modelled(file)
        log(folder / "drive.csv", 60.0, 6)
        channels = [{"column": f"c{k}", "behind_front_axle": "1.5 m"} for k in range(6)]
        drive = {"log": "drive.csv", "ground": "D", "speed": "30 km/h", "channels": channels}
        path = folder / "x.readings.toml"
        path.write_text(tomlkit.dumps({"readings": 1, "vehicle": file.design.vehicle.name, "drives": [drive]}))
        begin = time.perf_counter()
        reduced_sets(load_readings(path), Workplace(folder, drawn, lambda _: None))
        print(f"60 s, 6 channels, 500 Hz reduced: {time.perf_counter() - begin:.2f} s")
        inputs = inputs_of(drawn)
        truth = stands(drawn, inputs, [one.drawn + one.deviation * 0.7 * (-1) ** k for k, one in enumerate(inputs)])
        shop = Workshop(truth, np.random.default_rng(3), folder, "x")
        sets = {
            "weighings": [shop.weighing(state.name) for state in file.design.states],
            "pushes": [shop.push(axle.name, "Kerb") for axle in file.design.axles],
            "benches": [shop.bench(axle.name, [0.36, 0.33, 0.30]) for axle in file.design.axles],
            "tyres": [shop.tyre(axle.name, [4000, 7000, 9000]) for axle in file.design.axles],
            "bounces": [shop.bounce(axle.name, "Full", 0.035) for axle in file.design.axles],
            "circles": [shop.circle("Full", [0.8, 1.1, 1.5])],
        }
        path.write_text(tomlkit.dumps({"readings": 1, "vehicle": file.design.vehicle.name, **sets}))
        begin = time.perf_counter()
        told = correct(file, path)
        print(f"{len(told.figures)} readings, {len(told.inputs)} inputs corrected: {time.perf_counter() - begin:.2f} s")
        log(folder / "hour.csv", 3600.0, 6)
        begin = time.perf_counter()
        read_log(folder / "hour.csv", [Wanted(f"c{k}", "acceleration") for k in range(6)])
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        print(
            f"an hour, 6 channels, 500 Hz read: {time.perf_counter() - begin:.1f} s, {most:.2f} GB at the most ({(folder / 'hour.csv').stat().st_size / 1e6:.0f} MB of text)"
        )


if __name__ == "__main__":
    main()
