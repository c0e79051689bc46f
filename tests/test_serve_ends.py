"""The workbench as a process: how it ends, and that it starts where nothing can be kept."""

import os
import signal
import subprocess
import sys
import time

import pytest

from springwright.vehicle.starter import start


def running(folder, home):
    environment = {**os.environ, "SPRINGWRIGHT_HOME": str(home)}
    start(folder / "truck.toml", "fire-watch")
    command = [
        sys.executable,
        "-c",
        "from springwright.cli.main import main; main()",
        "open",
        "truck.toml",
        "--no-browser",
        "--port",
        "0",
    ]
    process = subprocess.Popen(
        command, cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    for line in process.stdout:
        if "Ctrl-C ends it" in line:
            return process
    raise AssertionError(process.communicate()[1])


@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="no such signals here")
@pytest.mark.parametrize("name", ["SIGHUP", "SIGTERM", "SIGINT"])
def test_it_ends_in_good_order(tmp_path, name):
    """Whatever asks it to: within seconds, with nothing of ours on standard error and no process left."""
    home = tmp_path / "home"
    home.mkdir()
    process = running(tmp_path, home)
    time.sleep(1.0)
    process.send_signal(getattr(signal, name))
    said = process.communicate(timeout=20)[1]
    assert "Traceback" not in said
    assert "semaphore" not in said


def test_it_starts_where_nothing_can_be_kept(tmp_path):
    (tmp_path / "home").write_text("a file where a folder should be")
    process = running(tmp_path, tmp_path / "home")
    process.send_signal(signal.SIGTERM)
    assert "Traceback" not in process.communicate(timeout=20)[1]
