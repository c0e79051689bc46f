"""The workbench as a process: how it ends, and that it starts where nothing can be kept."""

import asyncio
import http.client
import logging
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from unittest import mock

import pytest

from springwright.vehicle.starter import start
from springwright.workbench.lines import MOST, Lines
from springwright.workbench.serve import _no_fault_of_ours
from tests.served import served


def running(folder, home):
    environment = {**os.environ, "SPRINGWRIGHT_HOME": str(home)}
    start(folder / "truck.toml", None)
    command = [
        sys.executable,
        "-c",
        "from springwright.__main__ import main; main()",
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
    time.sleep(0.3)
    process.send_signal(getattr(signal, name))
    said = process.communicate(timeout=20)[1]
    assert "Traceback" not in said
    assert "semaphore" not in said


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the slow process is no copy")
def test_killed_it_leaves_neither_the_copy_of_itself_nor_the_port(tmp_path):
    """The slow process holds what the server held when it began: it lets go of the port, and sees the server end."""
    home = tmp_path / "home"
    home.mkdir()
    process = running(tmp_path, home)
    begun, end = Path(f"/proc/{process.pid}/task/{process.pid}/children"), time.monotonic() + 20
    while len(copies := [int(one) for one in begun.read_text().split()]) != 1 and time.monotonic() < end:
        time.sleep(0.05)
    assert len(copies) == 1
    while {line.split()[9] for line in _listening()} & _sockets(copies[0]) and time.monotonic() < end:
        time.sleep(0.05)
    ports = {
        int(line.split()[1].split(":")[1], 16) for line in _listening() if line.split()[9] in _sockets(process.pid)
    }
    assert len(ports) == 1
    assert not {line.split()[9] for line in _listening()} & _sockets(copies[0])
    process.kill()
    process.communicate(timeout=20)  # whoever holds its standard error has ended
    end = time.monotonic() + 10
    while os.path.exists(f"/proc/{copies[0]}") and time.monotonic() < end:
        time.sleep(0.05)
    assert not os.path.exists(f"/proc/{copies[0]}")
    with socket.socket() as line:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        line.bind(("127.0.0.1", ports.pop()))


def _listening():
    """Rows of the kernel's table of sockets that listen."""
    with open("/proc/net/tcp") as table:
        return [line for line in table.read().splitlines()[1:] if line.split()[3] == "0A"]


def _sockets(number):
    """Sockets that a process holds, by the kernel's number of them."""
    places = [os.path.join(f"/proc/{number}/fd", one) for one in os.listdir(f"/proc/{number}/fd")]
    return {place[8:-1] for place in map(os.readlink, places) if place.startswith("socket:[")}


def test_it_starts_where_nothing_can_be_kept(tmp_path):
    (tmp_path / "home").write_text("a file where a folder should be")
    process = running(tmp_path, tmp_path / "home")
    process.send_signal(signal.SIGTERM)
    assert "Traceback" not in process.communicate(timeout=20)[1]


def test_being_ended_while_it_starts_is_no_fault_to_be_told():
    """The server cancels what has only begun, and writes that down as an error with its traceback."""
    for said, told in (
        ("Traceback (most recent call last):\n  ...\nasyncio.exceptions.CancelledError\n", False),
        ("Traceback (most recent call last):\n  ...\nValueError: of ours\n", True),
        ("opening handshake failed: closed without completing handshake", False),
    ):
        assert _no_fault_of_ours(logging.LogRecord("uvicorn.error", logging.ERROR, "", 0, said, (), None)) is told


def test_half_open_connections_do_not_shut_the_page_out(tmp_path):
    """Six hundred that begin a request and never end it: the page answers at once, a line that has shown the token stays, the oldest are dropped."""
    with served(tmp_path) as one:
        page = http.client.HTTPConnection("127.0.0.1", one.port, timeout=10)
        head = {"Host": one.host, "Cookie": one.cookie}

        def asked():
            begun = time.monotonic()
            page.request("GET", one.path, headers=head)
            answer = page.getresponse()
            answer.read()
            return answer.status, time.monotonic() - begun

        assert asked()[0] == 200
        mine = page.sock
        flood = []
        for _ in range(600):
            line = socket.create_connection(("127.0.0.1", one.port), timeout=10)
            line.sendall(b"GET / HTTP/1.1\r\nHost: ")
            flood.append(line)
        status, took = asked()
        assert status == 200
        assert took < 3
        assert page.sock is mine
        time.sleep(0.5)
        still = sum(not gone(line) for line in flood)
        assert still <= MOST
        assert not any(gone(line) for line in flood[-10:])
        for line in (*flood, page):
            line.close()
        assert not any("Traceback" in said for said in one.said)


def gone(line):
    line.setblocking(False)
    try:
        return line.recv(1) == b""
    except BlockingIOError:
        return False
    except OSError:
        return True


def test_a_line_without_a_token_is_not_kept_for_long():
    """After ten seconds at most; one that has shown the token meanwhile, or went and came again, is left."""

    async def story():
        lines, dropped = Lines(), []
        with mock.patch("springwright.workbench.lines.LONGEST", 0.05):
            made = {
                name: mock.Mock(abort=lambda name=name: dropped.append(name)) for name in ("slow", "proven", "gone")
            }
            for name, transport in made.items():
                lines.came(name, transport)
            lines.proven("proven")
            lines.went("gone", made["gone"])
            await asyncio.sleep(0.15)
        assert dropped == ["slow"]
        assert len(lines) == 0

    asyncio.run(story())
