"""Sweeps: every design once, in order, whoever works at it; killed, poisoned, stopped and resumed; tables, clusters, bad input."""

from __future__ import annotations

import contextlib
import errno
import json
import os
import signal
import subprocess
import sys
import time

import numpy as np
import pytest

from springwright.errors import InputError
from springwright.sizing.fitted import sized
from springwright.sizing.sheet import catalogue_of
from springwright.studies import crews, sweep_store
from springwright.studies import sweep as sweeping
from springwright.studies.chunks import axis_of, chunk, spec_of, values_at
from springwright.studies.decisions import decisions_of
from springwright.studies.evaluator import evaluator
from springwright.studies.sweep import sweep
from springwright.studies.sweep_plan import planned
from springwright.studies.sweep_store import SweepStore
from springwright.vehicle.file import load
from tests.build import DEMOS
from tests.studies.test_evaluator import trucks

VARY = ("axles.*.target.damping_ratio = 0.2..0.4 by 0.02", "axles.front.bar.rate = 10..30 N/mm by 5")
ASKED = ("roll_gradient", "height_change")


def read(path):
    import csv

    with open(path, newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    path = tmp_path_factory.mktemp("sweep") / "whole.csv"
    told = sweep(trucks(), vary=VARY, figures=ASKED, output=path, workers=2, size=16)
    return told, path


def test_every_combination_is_there_once_with_the_evaluators_figures(whole):
    told, path = whole
    rows = read(path)
    assert told.designs == told.done == len(rows) == 55
    assert [int(row["design"]) for row in rows] == list(range(55))
    file = trucks()
    decisions = decisions_of(VARY, file.design, sized(file), catalogue_of(file), ())
    values = values_at(decisions, 0, 55)
    assert values[:6, 1].tolist() == [10e3, 15e3, 20e3, 25e3, 30e3, 10e3]
    found = evaluator(file, decisions, ASKED)(values).figures
    np.testing.assert_allclose([float(row["roll_gradient [rad*s**2/m]"]) for row in rows], found[:, 0], rtol=1e-12)
    np.testing.assert_allclose([float(row["height_change [m]"]) for row in rows], found[:, 1], rtol=1e-12)
    assert rows[7]["axles.*.target.damping_ratio"] == "0.22"
    assert not any(row["why"] for row in rows)


def test_parquet_by_chunk_holds_the_same_and_one_worker_gives_it_too(whole, tmp_path):
    told = sweep(trucks(), vary=VARY, figures=ASKED, output=tmp_path / "w.parquet", workers=1, size=16)
    table = told.to_dataframe().sort_values("design")
    assert len(list((tmp_path / "w.parquet").glob("part-*.parquet"))) == 4
    rows = read(whole[1])
    assert table["roll_gradient"].tolist() == [float(row["roll_gradient [rad*s**2/m]"]) for row in rows]


def test_a_sweep_that_is_stopped_and_resumed_is_whole(whole, tmp_path):
    path, words = tmp_path / "w.csv", []

    def stop(word):
        words.append(word)
        if "designs" in word:
            raise KeyboardInterrupt

    part = sweep(trucks(), vary=VARY, figures=ASKED, output=path, workers=1, size=16, progress=stop)
    assert part.stopped
    assert 0 < part.done < 55
    assert not path.exists()
    told = sweep(trucks(), vary=VARY, figures=ASKED, output=path, workers=1, size=16, resume=True)
    assert told.before >= 16
    assert path.read_text() == whole[1].read_text()
    assert not path.with_suffix(".csv.parts").exists()


def test_a_worker_that_is_killed_costs_its_chunk_alone(whole, tmp_path, monkeypatch):
    """Kill -9 of a worker in the middle: its pool breaks, and is begun anew."""
    path, killed = tmp_path / "w.csv", []
    ask = crews.Local.ask

    def kill(self, *asked):
        promise = ask(self, *asked)
        if len(killed) < 1 and self._pool._processes and any(self.__dict__.get("_seen", ())):
            victim = next(iter(self._pool._processes))
            os.kill(victim, signal.SIGKILL)
            killed.append(victim)
        self.__dict__.setdefault("_seen", []).append(1)
        return promise

    monkeypatch.setattr(crews.Local, "ask", kill)
    told = sweep(trucks(), vary=VARY, figures=ASKED, output=path, workers=2, size=8)
    assert killed
    assert told.done == 55
    assert path.read_text() == whole[1].read_text()


def test_a_client_that_is_killed_loses_nothing_that_was_done(whole, tmp_path):
    design, path = tmp_path / "test.toml", tmp_path / "w.csv"
    design.write_text(trucks().text)
    asked = [sys.executable, "-m", "springwright", "sweep", str(design), "-o", str(path), "--workers", "1", "--figures", ",".join(ASKED)]  # fmt: skip
    for text in ("axles.*.target.damping_ratio = 0.2..0.4 by 0.0002", "axles.front.bar.rate = 10..30 N/mm by 5"):
        asked += ["--vary", text]
    parts = path.with_suffix(".csv.parts")
    with subprocess.Popen(asked, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as run:
        for _ in range(600):
            if parts.exists() and len(list(parts.glob("part-*"))) > 1:
                break
            time.sleep(0.1)
        run.send_signal(signal.SIGKILL)
    done = {one.name: one.read_text() for one in parts.glob("part-*")}
    assert len(done) > 1
    finished = subprocess.run([*asked, "--resume", "--json"], capture_output=True, text=True, check=False)
    assert finished.returncode == 0, finished.stderr
    told = json.loads(finished.stdout)
    assert told["before"] >= 256 * len(done) or told["before"] == told["designs"]
    rows = read(path)
    assert [int(row["design"]) for row in rows] == list(range(1001 * 5))
    assert all(text in path.read_text() for text in done.values())


def children(pid):
    """Processes that a process has begun, by /proc."""
    found = []
    for one in os.listdir("/proc"):
        if one.isdigit():
            with contextlib.suppress(OSError), open(f"/proc/{one}/stat") as file:
                if file.read().rpartition(")")[2].split()[1] == str(pid):
                    found.append(one)
    return found


@pytest.mark.skipif(not os.path.isdir("/proc/self"), reason="processes are looked for in /proc")
def test_a_client_that_is_ended_leaves_no_worker_behind(tmp_path):
    design, path = tmp_path / "test.toml", tmp_path / "w.csv"
    design.write_text(trucks().text)
    asked = [sys.executable, "-m", "springwright", "sweep", str(design), "-o", str(path), "--workers", "2", "--figures", "roll_gradient", "--vary", "axles.*.target.damping_ratio = 0.2..0.4 by 0.00001"]  # fmt: skip
    parts = path.with_suffix(".csv.parts")
    with subprocess.Popen(asked, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as run:
        for _ in range(600):
            if parts.exists() and list(parts.glob("part-*")):
                break
            time.sleep(0.1)
        workers = children(run.pid)
        run.send_signal(signal.SIGTERM)
    assert len(workers) >= 2
    for _ in range(100):
        if not any(os.path.exists(f"/proc/{one}") for one in workers):
            break
        time.sleep(0.1)
    assert not [one for one in workers if os.path.exists(f"/proc/{one}")]


def test_what_was_refused_before_is_counted_too(tmp_path):
    path = tmp_path / "w.csv"

    def stop(word):
        if "designs" in word:
            raise KeyboardInterrupt

    asked = {"vary": ["axles.front.spring.existing.free_length = 0.28..0.58 m by 0.01"], "figures": ASKED, "output": path, "workers": 1, "size": 4}  # fmt: skip
    first = sweep(trucks(), **asked, progress=stop)
    assert first.refused >= 4
    whole = sweep(trucks(), **asked, resume=True)
    assert whole.refused == sum(bool(row["why"]) for row in read(path)) > first.refused - 1


def test_a_poisoned_design_is_a_row_with_its_reason(tmp_path):
    told = sweep(trucks(), vary=["axles.front.spring.existing.free_length = 0.28..0.58 m by 0.05"], figures=ASKED, output=tmp_path / "w.csv", workers=1)  # fmt: skip
    rows = read(tmp_path / "w.csv")
    assert told.refused == 2
    assert "slack" in rows[0]["why"]
    assert rows[0]["roll_gradient [rad*s**2/m]"] == "nan"
    assert not rows[-1]["why"]


def test_a_design_that_kills_its_worker_is_a_row_too(tmp_path):
    """A crew that dies at one design, whoever is asked: the chunk is asked again, then one by one."""

    class Dying:
        width, said = 1, "dying"

        def ask(self, spec, begin, rows):
            return (spec, begin, tuple(map(tuple, rows)) if isinstance(rows, list) else rows)

        def ready(self, promises):
            for promise in list(promises):
                spec, begin, rows = promise
                count = rows if isinstance(rows, int) else len(rows)
                if begin <= 9 < begin + count:
                    yield promise, RuntimeError("")
                else:
                    yield promise, chunk(spec, begin, rows if isinstance(rows, int) else [list(row) for row in rows])

        def close(self, *, at_once=False):
            pass

    file = trucks()
    plan = planned(file, VARY, None, ASKED, 1, 6.0, 16)
    store = SweepStore(tmp_path / "w.csv", plan, resume=False)
    sweeping._run(plan, store, Dying(), lambda _: None, time.monotonic())
    store.finish()
    rows = read(tmp_path / "w.csv")
    assert [int(row["design"]) for row in rows] == list(range(55))
    assert [int(row["design"]) for row in rows if row["why"]] == [9]
    assert "the worker was lost" in rows[9]["why"]


def test_a_full_disk_is_said_and_resumed(whole, tmp_path, monkeypatch):
    path, calls = tmp_path / "w.csv", []
    write = sweep_store.write_whole

    def full(target, content):
        calls.append(1)
        if len(calls) == 4:
            raise InputError(str(target), []) from OSError(errno.ENOSPC, "No space left on device")
        write(target, content)

    monkeypatch.setattr(sweep_store, "write_whole", full)
    with pytest.raises(InputError):
        sweep(trucks(), vary=VARY, figures=ASKED, output=path, workers=1, size=16)
    monkeypatch.setattr(sweep_store, "write_whole", write)
    sweep(trucks(), vary=VARY, figures=ASKED, output=path, workers=1, size=16, resume=True)
    assert path.read_text() == whole[1].read_text()


def test_a_table_of_designs(tmp_path):
    table = tmp_path / "designs.csv"
    table.write_text("axles.*.target.damping_ratio,axles.front.bar.rate [N/mm]\n0.25,12\n0.31,25\n0.4,18.5\n")
    sweep(trucks(), designs=table, figures=ASKED, output=tmp_path / "w.csv", workers=1)
    rows = read(tmp_path / "w.csv")
    file = trucks()
    decisions = decisions_of(("axles.*.target.damping_ratio = 0.1..0.5", "axles.front.bar.rate = 1..50 N/mm"), file.design, sized(file), catalogue_of(file), ())  # fmt: skip
    found = evaluator(file, decisions, ASKED)(np.array([[0.25, 12e3], [0.31, 25e3], [0.4, 18.5e3]])).figures
    np.testing.assert_allclose([float(row["roll_gradient [rad*s**2/m]"]) for row in rows], found[:, 0], rtol=1e-12)


def test_bought_springs_are_swept_by_name_and_side_files_go_with_the_asking(tmp_path):
    file = load(DEMOS / "fire-watch.toml")
    spec = spec_of(file, ("axles.front.spring.part = any",), ("roll_gradient",), 1, 6.0)
    assert [name for name, _ in spec.beside] == ["springs.csv"]
    told = chunk(spec, 2, 3)
    assert told["design"] == [2, 3, 4]
    decision = decisions_of(spec.vary, file.design, sized(file), catalogue_of(file), ())[0]
    assert told["axles.front.spring.part"] == [one.part for one in decision.choices[2:5]]
    assert len(axis_of(decision)) == len(decision.choices)


def test_a_cluster_gives_what_local_workers_give(whole, tmp_path):
    from distributed import LocalCluster

    with LocalCluster(n_workers=1, threads_per_worker=1, dashboard_address=None, processes=True) as cluster:
        told = sweep(
            trucks(), vary=VARY, figures=ASKED, output=tmp_path / "w.csv", cluster=cluster.scheduler_address, size=16
        )
    assert told.workers == "cluster of 1"
    assert (tmp_path / "w.csv").read_text() == whole[1].read_text()


def test_a_cluster_that_does_not_answer_is_said(tmp_path, monkeypatch):
    monkeypatch.setattr(crews, "PATIENCE", 1)
    with pytest.raises(InputError, match="does not answer within 1 s"):
        sweep(trucks(), vary=VARY, figures=ASKED, output=tmp_path / "w.csv", cluster="tcp://127.0.0.1:9")
    with pytest.raises(InputError, match="does not answer"):
        sweep(trucks(), vary=VARY, figures=ASKED, output=tmp_path / "v.csv", cluster="nonsense")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"vary": ()}, "give what varies"),
        ({"vary": ["axles.front.bar.rate = 10..30 N/mm"]}, "a sweep goes in steps"),
        ({"vary": ["axles.front.bar.rate = 30..10 N/mm by 5"]}, "upside down"),
        ({"vary": ["axles.front.bar.rates = 10..30 N/mm by 5"]}, 'no "rates"'),
        ({"figures": ["softness"]}, "no such figure; there are"),
        ({"figures": ["belly_clearance"]}, "give belly"),
        ({"output": "w.xlsx"}, "use .parquet or .csv"),
    ],
)
def test_what_cannot_be_swept_is_refused_before_any_work(tmp_path, more, said):
    asked = {"vary": VARY, "figures": ASKED, "output": "w.csv", **more}
    with pytest.raises(InputError, match=said):
        sweep(trucks(), **{**asked, "output": tmp_path / asked["output"]})
    assert not list(tmp_path.iterdir())


def test_the_output_of_another_sweep_is_refused(whole, tmp_path):
    path = tmp_path / "w.parquet"
    sweep(trucks(), vary=VARY, figures=ASKED, output=path, workers=1, size=32)
    with pytest.raises(InputError, match="is there already"):
        sweep(trucks(), vary=VARY, figures=ASKED, output=path, workers=1, size=32)
    with pytest.raises(InputError, match="is of another sweep"):
        sweep(trucks(), vary=VARY, figures=ASKED, output=path, workers=1, size=32, seed=2, resume=True)
    with pytest.raises(InputError, match="is a finished sweep"):
        sweep(trucks(), vary=VARY, figures=ASKED, output=whole[1], workers=1, size=16, resume=True)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("axles.front.bar.rate [N/mm]\n", "holds no designs"),
        ("axles.front.bar.rate [N/mm]\nmuch\n", "row 2, axles.front.bar.rate"),
        ("axles.front.bar.rate\n12\n", "unit"),
        ("axles.front.bars.rate [N/mm]\n12\n", 'no "bars"'),
    ],
)
def test_a_table_that_cannot_be_read_says_where(tmp_path, text, said):
    table = tmp_path / "designs.csv"
    table.write_text(text)
    with pytest.raises(InputError, match=said):
        sweep(trucks(), designs=table, output=tmp_path / "w.csv")


def test_without_the_extra_a_clear_word_says_how_to_get_it(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(InputError, match=r"springwright\[cluster\]"):
        sweep(trucks(), vary=VARY, figures=ASKED, output=tmp_path / "w.parquet")
    monkeypatch.setitem(sys.modules, "springwright.studies.cluster", None)
    with pytest.raises(InputError, match=r"springwright\[cluster\]"):
        sweep(trucks(), vary=VARY, figures=ASKED, output=tmp_path / "w.csv", cluster="tcp://127.0.0.1:9")
