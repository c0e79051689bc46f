"""Attacks on the workbench over raw sockets: from other pages, other names, other users, and through hostile files."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import re
import socket
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.parse import quote

import pytest
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection

from springwright.workbench.guard import MOST_BODY, MOST_LOG
from tests.bench import (
    LIVE,
    OF_THE_DESIGN,
    POSTS,
    SECRET,
    UPGRADE,
    Bench,
    compiled,
    folded,
    lives,
    say,
    until,
)
from tests.served import TOKEN, Served, served


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    around = tmp_path_factory.mktemp("guard")
    folder = around / "desk"
    folder.mkdir()
    (around / "secret.csv").write_text(f"{SECRET},{SECRET}\n{SECRET},1\n")
    (around / "secret.toml").write_text(f'[vehicle]\nname = "{SECRET}"\n')
    (folder / "link.csv").symlink_to(around / "secret.csv")
    (folder / "link.toml").symlink_to(around / "secret.toml")
    (folder / "ring.csv").symlink_to(folder / "ring.csv")
    (folder / "nowhere.toml").symlink_to(around / "made-through-a-link.toml")
    with served(folder, demo="survey-buggy") as one:
        made = Bench(compiled(one))
        with made.live() as line:
            line.send('{"do":"stop"}')
            lives(line)
        yield made


@pytest.fixture(scope="module")
def design(bench: Bench) -> str:
    return (bench.served.folder / "truck.toml").read_text()


# --- who may connect


def test_it_listens_on_this_machine_only(bench: Bench) -> None:
    with pytest.raises(
        OSError, match=r"refused|unreachable|timed out|assign"
    ):  # would be there were it bound to 0.0.0.0
        socket.create_connection(("127.0.0.2", bench.served.port), 2).close()


@pytest.mark.parametrize(
    "asked",
    [["--host", "0.0.0.0"], ["--host", "::"], ["--host", ""], ["--host", "127.0.0.2"], ["--host", "0.0.0.0", "--token", "short"],
     ["--token", "short"], ["--token", "x" * 15], ["--token", "a token with spaces in it"], ["--token", "a-token;Domain=evil.test"]],
)  # fmt: skip
def test_another_address_needs_a_token_of_length(
    asked: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    from springwright.__main__ import main

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "argv", ["springwright", "open", "--no-browser", *asked])
    with pytest.raises(SystemExit) as left:
        main()
    assert left.value.code == 2
    assert "--token" in capsys.readouterr().err


# --- the token


@pytest.mark.parametrize(
    "cookie",
    [None, "{name}=", "{name}=a-token-for-tests-onlY", "{name}=a-token-for-tests-only-", "{name}=a-token-for-tests-onl", "{name}={token}x; other={token}",
     "springwright-1={token}", "springwright={token}", "{token}", "{name}\t={token}", "x{name}={token}", "{name}=\u00ff\u00fe", "Token={token}"],
)  # fmt: skip
def test_without_the_token_nothing_is_shown(bench: Bench, cookie: str | None) -> None:
    name = f"springwright-{bench.served.port}"
    sent = None if cookie is None else cookie.format(name=name, token=TOKEN)
    for what, heard in bench.every_way(cookie=sent):
        assert heard.status == 403, what
        assert heard.tells_nothing(), what
    assert not (bench.served.folder / "intruder.toml").exists()


@pytest.mark.parametrize("target", ["/?token=wrong", "/?token=", f"/?token={TOKEN}x", "/?token=%00", f"/?Token={TOKEN}", f"/{TOKEN}", f"/?token=x&token={TOKEN}"])  # fmt: skip
def test_a_wrong_token_in_the_address_lets_nobody_in(bench: Bench, target: str) -> None:
    heard = bench.ask(target, cookie=None)
    assert heard.status == 403
    assert "set-cookie" not in dict(heard.headers)


def test_the_token_counts_only_where_it_belongs(bench: Bench) -> None:
    for more in (
        f"Authorization: Bearer {TOKEN}\r\n",
        f"Referer: {bench.own}/?token={TOKEN}\r\n",
        f"X-Token: {TOKEN}\r\n",
    ):
        assert bench.ask("/", cookie=None, more=more).status == 403
    assert bench.post(f"/begin?token={TOKEN}", b"name=intruder", cookie=None).status == 403
    assert bench.ask(f"{LIVE}?token={TOKEN}", cookie=None, origin=bench.own, more=UPGRADE).status == 403


def test_the_token_becomes_a_cookie_that_no_script_and_no_other_site_can_use(bench: Bench) -> None:
    heard = bench.ask(f"/?token={TOKEN}", cookie=None)
    assert heard.status == 303
    assert heard.header("location").startswith(f"{bench.served.place}/")
    value, *marks = heard.header("set-cookie").split("; ")
    assert value == bench.served.cookie
    assert {"HttpOnly", "SameSite=Strict", f"Path={bench.served.place}"} == set(marks)
    assert not any(mark.startswith("Domain") for mark in marks)


def test_the_browser_is_started_with_a_code_that_lets_in_once(tmp_path: Path) -> None:
    """Whoever looks at the list of processes sees the address the browser was started with, but comes too late."""
    seen = tmp_path / "seen"
    browser = tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\nprintf %s "$1" > {seen}.part && mv {seen}.part {seen}\n')
    browser.chmod(0o700)
    with served(tmp_path, home=tmp_path / "home", browser=browser) as house:
        end = time.monotonic() + 60
        while not seen.exists() and time.monotonic() < end:
            time.sleep(0.05)
        path, code = seen.read_text().removeprefix(f"http://{house.host}").split("?token=")
        assert path == "/"
        assert TOKEN not in code
        first, again = (_asked(house, f"/?token={code}") for _ in range(2))
        assert (first.status, first.getheader("location")) == (303, house.path)
        assert first.getheader("set-cookie").startswith(house.cookie)
        assert again.status == 403
        assert again.getheader("set-cookie") is None
        assert _asked(house, house.path, Cookie=f"springwright-{house.port}={code}").status == 403  # it is no cookie
        assert _asked(house, house.path, Cookie=house.cookie).status == 200
        assert _asked(house, f"/?token={TOKEN}").status == 303  # the printed address goes on to let in
    assert sum("second time" in line for line in house.said) == 1


def _asked(house: Served, target: str, **headers: str) -> http.client.HTTPResponse:
    line = http.client.HTTPConnection("127.0.0.1", house.port, timeout=60)
    line.request("GET", target, headers=headers)
    answer = line.getresponse()
    answer.read()
    line.close()
    return answer


@pytest.mark.parametrize(
    "path",
    ["//evil.test/", "/\\evil.test/", "/%2f%2fevil.test", "/%5cevil.test", "/%0d%0aSet-Cookie:%20a=b", "/%e2%82%ac"],
)
def test_the_way_in_leads_nowhere_else(bench: Bench, path: str) -> None:
    heard = bench.ask(f"{path}?token={TOKEN}", cookie=None)
    assert heard.status == 403
    assert not {"location", "set-cookie"} & dict(heard.headers).keys()
    assert heard.tells_nothing()


@pytest.mark.parametrize("path", ["/", "/sheet/1", "/ready", "/static/live.js", "/{place}", "/{place}x/sheet/1", "/x/../{place}/sheet/1", "//{place}/sheet/1"])  # fmt: skip
def test_nothing_is_shown_outside_the_place_that_nobody_can_guess(bench: Bench, path: str) -> None:
    """The cookie is sent to that place alone: whoever listens on another port of this machine never has it."""
    place = bench.served.place.strip("/")
    assert len(place) >= 16
    line = http.client.HTTPConnection("127.0.0.1", bench.served.port, timeout=60)
    line.request("GET", path.format(place=place), headers={"Cookie": bench.served.cookie})
    answer = line.getresponse()
    assert answer.status == 403
    assert b"token" in answer.read()
    line.close()


def test_every_start_has_a_place_of_its_own(bench: Bench, tmp_path: Path) -> None:
    with served(tmp_path, demo=None) as other:
        assert other.place != bench.served.place


@pytest.mark.parametrize(
    "other", ["a[]=b; {own}", 'a={{"x": 1}}; {own}', "{name}=stale; {own}", "{own}; {name}=stale", "a=é;{own}"]
)
def test_cookies_of_other_servers_on_this_machine_do_not_lock_the_user_out(bench: Bench, other: str) -> None:
    cookie = other.format(own=bench.served.cookie, name=f"springwright-{bench.served.port}")
    assert bench.ask("/", cookie=cookie).status == 200


# --- foreign names and pages


@pytest.mark.parametrize(
    "host",
    ["evil.test", "evil.test:{port}", "127.0.0.1", "localhost", "127.0.0.1:1", "localhost.:{port}", "127.0.0.1.:{port}", "0.0.0.0:{port}", "[::1]:{port}",
     "127.1:{port}", "2130706433:{port}", "127.0.0.1:{port}.evil.test", "127.0.0.1:{port}@evil.test", "127.0.0.1:0{port}", None],
)  # fmt: skip
def test_a_name_that_only_points_here_is_refused(bench: Bench, host: str | None) -> None:
    sent = None if host is None else host.format(port=bench.served.port)
    for what, heard in bench.every_way(host=sent):
        assert heard.status == 421 or (host is None and heard.status == 400), what
        assert heard.tells_nothing(), what
    assert not (bench.served.folder / "intruder.toml").exists()


def test_the_names_of_this_machine_are_answered_however_they_are_written(bench: Bench) -> None:
    for name in ("127.0.0.1", "localhost", "LOCALHOST", "LocalHost"):
        assert bench.ask("/", host=f"{name}:{bench.served.port}").status == 200


def test_two_hosts_or_a_host_in_the_target_do_not_get_past(bench: Bench) -> None:
    own, token = bench.served.host, bench.served.cookie
    for first, second in ((own, "evil.test"), ("evil.test", own), (own, own)):
        heard = bench.raw(
            f"GET {bench.at('/')} HTTP/1.1\r\nHost: {first}\r\nHost: {second}\r\nCookie: {token}\r\nConnection: close\r\n\r\n".encode()
        )
        assert heard.status in (400, 421)
        assert heard.tells_nothing()
    assert bench.ask(f"http://{own}{bench.at('/')}", host="evil.test").status == 421
    assert bench.ask(f"http://evil.test{bench.at('/')}", cookie=None).status == 403
    heard = bench.raw(f"GET {bench.at('/')} HTTP/1.0\r\nCookie: {token}\r\n\r\n".encode())
    assert heard.status == 421


@pytest.mark.parametrize(
    "origin",
    ["http://evil.test", "null", "http://127.0.0.1", "http://127.0.0.1:1", "https://{host}", "http://{host}.evil.test", "http://evil.test:{port}", "http://{host}/", "file://", "", "*",
     "http://localhost.:{port}", "http://{host} http://evil.test"],
)  # fmt: skip
def test_other_pages_are_refused(bench: Bench, origin: str) -> None:
    sent = origin.format(host=bench.served.host, port=bench.served.port)
    for what, heard in bench.every_way(origin=sent):
        assert heard.status == 403, what
        assert heard.tells_nothing(), what
    assert not (bench.served.folder / "intruder.toml").exists()


def test_a_second_origin_does_not_hide_behind_ours(bench: Bench) -> None:
    assert bench.ask("/", origin=bench.own, more="Origin: http://evil.test\r\n").status == 403


def test_the_live_line_wants_an_origin_and_it_must_be_ours(bench: Bench) -> None:
    assert bench.ask(LIVE, more=UPGRADE).status == 403
    assert bench.ask(LIVE, origin=bench.own, more=UPGRADE).status == 101


@pytest.mark.parametrize("site", ["cross-site", "same-site", "CROSS-SITE", "", "nonsense"])
def test_what_a_browser_says_of_where_it_comes_from_is_believed(bench: Bench, site: str) -> None:
    for what, heard in bench.every_way(more=f"Sec-Fetch-Site: {site}\r\n"):
        assert heard.status == 403, what
        assert heard.tells_nothing(), what
    for good in ("none", "same-origin"):
        assert bench.ask("/", more=f"Sec-Fetch-Site: {good}\r\n").status == 200


# --- too much, and nonsense


@pytest.mark.parametrize(
    "length", [str(MOST_BODY + 1), "9" * 19, "9" * 5000, "-1", "1e3", "0x10", "+5", "", "5, 5000000", "\u00b2"]
)
def test_a_body_of_wrong_length_is_refused_unread(bench: Bench, length: str) -> None:
    for path in POSTS:
        heard = bench.post(path, b"", length=length)
        assert heard.status in (400, 413)
        assert heard.tells_nothing()
    assert not (bench.served.folder / "brought.toml").exists()


@pytest.mark.parametrize("path", POSTS)
def test_a_body_that_does_not_say_how_long_it_is_is_cut_off(bench: Bench, path: str) -> None:
    piece = b"%x\r\n" % 65536 + b"x" * 65536 + b"\r\n"
    head = f"POST {bench.at(path)} HTTP/1.1\r\nHost: {bench.served.host}\r\nCookie: {bench.served.cookie}\r\nOrigin: {bench.own}\r\nTransfer-Encoding: chunked\r\n\r\n"
    with socket.create_connection(("127.0.0.1", bench.served.port), 30) as line:
        with contextlib.suppress(BrokenPipeError, ConnectionResetError):
            line.sendall(head.encode() + piece * (MOST_BODY // 65536) + b"1\r\nx\r\n")  # and no end
        assert line.recv(1000).startswith(b"HTTP/1.1 413")
    assert bench.ask("/").status == 200


def test_a_message_over_the_limit_ends_the_line_and_not_the_server(bench: Bench) -> None:
    for size in (3 * 2**20, 20 * 2**20):  # the second is small on the line: it is sent compressed
        with bench.live() as line:
            line.recv(timeout=30)
            with contextlib.suppress(ConnectionClosed):
                line.send(json.dumps({"do": "text", "text": " " * size}))
            with pytest.raises(ConnectionClosed) as ended:
                until(line, 0)
            assert ended.value.rcvd is None or ended.value.rcvd.code == 1009
    with bench.live() as line:
        assert lives(line)


BROKEN = ['', "nonsense", "[]", "null", "5", '"x"', "{}", '{"do":[]}', '{"do":null}', '{"do":{}}', '{"do":"nothing"}', '{"do":"put"', "NaN", '{"do":"__class__"}']  # fmt: skip
TYPES = ("null", "-1", '"\\u0000"', "[[]]", '{"a":null}')
FIELDS = {
    "put": ("at", "value", "label", "gesture"), "mend": ("at",), "undo": ("gesture",), "redo": ("gesture",), "read": (), "keep": ("name",), "text": ("text",),
    "fold": ("part",), "folds": ("all",), "unfold": ("part", "open"), "open": ("what",), "view": ("name", "value"), "aboard": ("state", "item"), "add": ("list",),
    "remove": ("list", "index"), "spring": ("axle", "part", "coil"), "damper": ("axle", "points"), "beside": ("sheet", "path", "drop"), "round": ("kind",), "step": ("id",), "take": ("number", "values", "fields"), "candidate": ("number", "values", "fields"), "pick": ("values",), "vary": (), "study": ("what",), "give": ("at", "to"), "turn": ("at", "to"), "out": ("at",), "axle": ("place", "like"), "move": ("at", "values", "label", "gesture"),
    "readings": (), "unread": (), "reading_add": ("kind",), "reading_out": ("at",), "as_built": (), "zoom": ("figure", "part"), "tray": ("axle", "open"),
}  # fmt: skip
GOOD = {
    "figure": '"ride-1"', "drop": '"x"',
    "all": "true", "to": '"scales"', "place": '"3 m"', "like": "0",
    "at": '["vehicle","name"]', "value": '"x"', "label": '"x"', "gesture": '""', "name": '"system"', "text": '"x = 1"', "part": '"weigh"', "open": "[]", "what": '"w"', "state": "0",
    "item": '"driver"', "list": '"items"', "index": "0", "axle": "0", "coil": '{"wire":"x"}', "points": "false", "sheet": '"1"', "path": '""', "kind": "{}", "id": '"nothing"', "number": "1", "values": "[0.3]", "fields": '["axles.*.target.damping_ratio"]',
}  # fmt: skip
PLACES = ('["axles",-1,"name"]', '["axles",99999999999999999999,"name"]', '["axles",0,"name","x","y"]', '["vehicle"]', '[""]', '["nowhere"]', "[true]", '["format"]', '["states",0,"fill","nobody"]', '["__class__"]', "[1.5]", '["a","a","a","a","a","a","a","a","a","a","a","a","a"]')  # fmt: skip
NUMBERS = (
    "1e400 kg",
    "nan kg",
    "inf",
    "9**9**9**9 kg",
    "(" * 5000,
    "-" * 5000,
    "__import__('os')",
    "1;2",
    "10 %n",
    "\u0663 kg",
    "1" * 5000,
)


def _wrong(do: str) -> Iterator[str]:
    """Messages with each field left out, and of each wrong type."""
    for wrong in FIELDS[do]:
        rest = [f'"{name}":{GOOD[name]}' for name in FIELDS[do] if name != wrong]
        yield "{" + ",".join([f'"do":"{do}"', *rest]) + "}"
        for value in TYPES:
            yield "{" + ",".join([f'"do":"{do}"', *rest, f'"{wrong}":{value}']) + "}"


def test_broken_messages_are_passed_over(bench: Bench) -> None:
    with bench.live() as line:
        for message in BROKEN:
            line.send(message)
        assert lives(line)


def test_wrong_types_in_every_action_leave_the_line_open(bench: Bench, design: str) -> None:
    from springwright.workbench.actions import ACTIONS

    assert set(ACTIONS) <= set(FIELDS) | {"save"}, "an action is not tried here"
    path = bench.served.folder / "types.toml"
    path.write_text(design)
    with bench.live(opened(bench, path)) as line:
        folded(line)
        for do in FIELDS:
            for message in _wrong(do):
                line.send(message)
            line.send('{"do":"stop"}')
            assert lives(line), do
        for place in PLACES:
            line.send(f'{{"do":"put","at":{place},"value":"x"}}')
            line.send(f'{{"do":"mend","at":{place}}}')
        for number in NUMBERS:
            line.send(json.dumps({"do": "put", "at": ["kerb", "mass"], "value": number}))
            line.send(json.dumps({"do": "view", "name": "speed", "value": number}))
        line.send('{"do":"add","list":"axles"}')
        line.send('{"do":"keep","name":"../../../x"}')
        line.send('{"do":"beside","path":"../secret.toml"}')
        assert lives(line)
    assert bench.ask("/").status == 200
    made = {one.name for one in bench.served.folder.parent.iterdir()}
    assert made == {"desk", "secret.csv", "secret.toml"}


@pytest.mark.parametrize(
    "message",
    [b"\x00\xff", "[" * 100_000, '{"do":"aboard","state":1e999,"item":"x"}', '{"do":"remove","list":"nonsense","index":0}', '{"do":"spring","axle":0,"coil":[["wire","x"]]}'],
    ids=["bytes", "nested", "infinite", "no such list", "coil of pairs"],
)  # fmt: skip
def test_what_no_page_of_ours_sends_leaves_the_line_open(bench: Bench, message: str | bytes) -> None:
    with bench.live() as line:
        line.send(message)
        assert lives(line)


def test_half_a_letter_does_not_spoil_the_sheet(bench: Bench, design: str) -> None:
    path = bench.served.folder / "half.toml"
    path.write_text(design)
    with bench.live(opened(bench, path)) as line:
        line.send('{"do":"put","at":["vehicle","name"],"value":"\\ud83d"}')
        line.send('{"do":"view","name":"ground","value":"\\ud83d"}')
        assert lives(line)


@pytest.mark.parametrize(
    "sent",
    [b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", b"GET\r\n\r\n", b"\r\n" * 50, b"GET / HTTP/1.1\r\n" + b"A: " + b"x" * 100_000 + b"\r\n\r\n", b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n"],
)  # fmt: skip
def test_what_is_no_request_does_not_stop_the_server(bench: Bench, sent: bytes) -> None:
    with socket.create_connection(("127.0.0.1", bench.served.port), 10) as line, contextlib.suppress(ConnectionError):
        line.sendall(sent)
        line.shutdown(socket.SHUT_WR)
        while piece := line.recv(65536):
            assert not any(word.encode() in piece for word in OF_THE_DESIGN)
    assert bench.ask("/").status == 200


# --- files


@pytest.mark.parametrize(
    "target",
    ["/static/../app.py", "/static/%2e%2e/app.py", "/static/..%2fapp.py", "/static/..%5capp.py", "/static//etc/passwd", "/static/%2fetc%2fpasswd", "/static/....//app.py", "/static/%00", "/static/" + "x" * 400,
     "/sheet/..", "/sheet/../truck.toml", "/sheet/%2e%2e%2ftruck.toml", "/sheet/1/take/..%2ftruck.toml", "/sheet/1/take/../../../../etc/passwd", "/sheet/1/take/%2fetc%2fpasswd", "/sheet/1/scene/..%2fx",
     "/sheet/1/figure/..%2fx.csv", "/truck.toml", "/..", "/.home/recent.json", "/static/", "/sheet/1/take/", "/bring/x.toml", "/open", "/begin"],
)  # fmt: skip
def test_no_path_leads_to_another_file(bench: Bench, target: str) -> None:
    heard = bench.ask(target)
    assert heard.status in (303, 307, 404, 405)
    assert heard.tells_nothing()
    assert "import" not in heard.text


@pytest.mark.parametrize(
    "target",
    ["/sheet/1/figure/damper-%C2%B2.csv", "/sheet/1/figure/damper-" + "9" * 5000 + ".csv", "/sheet/1/figure/-.csv"],
)
def test_a_figure_that_cannot_be_is_not_there(bench: Bench, target: str) -> None:
    assert bench.ask(target).status == 404


def _outside(folder: Path) -> list[str]:
    return ["/etc/passwd", "../secret.toml", str(folder.parent / "secret.toml"), str(folder / ".." / "secret.toml"), "link.toml", str(folder / "link.toml"), "/proc/self/environ", "/dev/zero", "", ".", "..", "/",
            ".home/recent.json", "truck.toml\0", "\0", "x" * 5000, "x/" * 2000, "~/.bashrc", "file:///etc/passwd", "ring.csv/x"]  # fmt: skip


def test_only_what_lies_in_the_folder_or_was_open_is_opened(bench: Bench) -> None:
    for path in _outside(bench.served.folder):
        heard = bench.post("/open", f"path={quote(path, safe='')}")
        assert heard.status in (403, 422), path
        assert SECRET not in heard.text
        assert "root:" not in heard.text


def test_a_form_of_many_fields_is_refused(bench: Bench) -> None:
    assert bench.post("/begin", "a=b&" * 100).status in (400, 413, 422)


def opened(bench: Bench, path: Path) -> str:
    """The name of the sheet a design was opened as."""
    heard = bench.post("/open", f"path={quote(str(path))}")
    assert heard.status == 303, heard.text
    name = heard.header("location").removeprefix("sheet/")
    with bench.live(name) as line:
        line.send('{"do":"stop"}')  # its questions are not asked: they would hold the machine up
        lives(line)
    return name


NAMES_FILE = ("catalogue", "grades", "profile", "obstacle", "damper sheet", "tyre sheet", "points")
OUT = ("../secret.csv", "/etc/passwd", "link.csv", "sub/../../secret.csv", "ring.csv", "\\u0000.csv")


def naming(design: str, key: str, file: str) -> str:
    """The design naming a file in one of the places where it may."""
    if key == "catalogue":
        return design.replace('catalogue = "springs.csv"', f'catalogue = "{file}"')
    if key == "grades":
        return design.replace("format = 2", f'format = 2\ngrades = ["{file}"]')
    if key in ("profile", "obstacle"):
        return design + f'\n[[grounds]]\nname = "hostile"\n{key} = "{file}"\n'
    if key == "points":
        return re.sub(r"\[axles\.wishbones\].*\n", lambda _: f'[axles.wishbones]\npoints = "{file}"\n', design, count=1)
    part = key.split()[0]
    cleared = re.sub(rf"(?ms)^\[axles\.{part}\].*?(?=^\[)", "", design, count=1)
    return re.sub(r"(?m)^\[axles\.", lambda _: f'[axles.{part}]\ntest_sheet = "{file}"\n\n[axles.', cleared, count=1)


@pytest.mark.parametrize("key", NAMES_FILE)
def test_a_design_that_names_a_file_elsewhere_is_not_opened(bench: Bench, design: str, key: str) -> None:
    for i, file in enumerate(OUT):
        text = naming(design, key, file)
        assert text != design
        path = bench.served.folder / f"names-{key.replace(' ', '-')}-{i}.toml"
        path.write_text(text)
        heard = bench.post("/open", f"path={path.name}")
        path.unlink()
        assert heard.status == 422, file
        assert "outside the design&#39;s folder" in heard.text, file
        assert SECRET not in heard.text
        assert "root:" not in heard.text


def test_a_design_that_names_a_file_elsewhere_is_not_brought(bench: Bench, design: str) -> None:
    cases = [("damper sheet", "/etc/passwd"), ("obstacle", "../secret.csv")]
    with ThreadPoolExecutor(2) as both:
        answers = both.map(lambda case: bench.post("/bring/brought.toml", naming(design, *case)), cases)
    for heard in answers:
        assert heard.status == 422
        assert "outside the design's folder" in heard.text
        assert SECRET not in heard.text
        assert "root:" not in heard.text
    assert not (bench.served.folder / "brought.toml").exists()


@pytest.fixture(scope="module")
def victim(bench: Bench, design: str) -> str:
    """A sheet that may be edited."""
    path = bench.served.folder / "victim.toml"
    path.write_text(design)
    return opened(bench, path)


@pytest.mark.parametrize(("key", "file"), list(zip(NAMES_FILE, OUT[:4] * 2, strict=False)))
def test_the_whole_text_cannot_name_a_file_elsewhere(
    bench: Bench, design: str, victim: str, key: str, file: str
) -> None:
    with bench.live(victim) as line:
        first = say(line, do="view", name="system", value="metric")
        if 'id="file-text"' not in first["text"]:
            say(line, do="open", what="text")
        parts = say(line, do="text", text=naming(design, key, file))
        assert "outside the design&#39;s folder" in parts["text"]
        assert not any(SECRET in part or "root:" in part for part in parts.values())
        assert " disabled>Undo" in {**first, **parts}["head"]


@pytest.mark.parametrize(
    ("at", "file"),
    [(["axles", 0, "damper", "test_sheet"], "/etc/passwd"), (["axles", 0, "damper", "test_sheet"], "../secret.csv"), (["axles", 0, "damper", "test_sheet"], "link.csv"), (["axles", 0, "tyre", "test_sheet"], "/etc/passwd"),
     (["axles", 0, "wishbones", "points"], "../secret.csv"), (["catalogue"], "link.csv"), (["grades", 0], "/etc/passwd"), (["grounds", 0, "profile"], "../secret.csv")],
    ids=lambda one: one if isinstance(one, str) else ".".join(map(str, one)),
)  # fmt: skip
def test_an_edit_cannot_name_a_file_elsewhere(bench: Bench, victim: str, at: list[str | int], file: str) -> None:
    with bench.live(victim) as line:
        first = say(line, do="view", name="system", value="metric")
        line.send(json.dumps({"do": "put", "at": at, "value": file}))
        parts = say(line, do="view", name="system", value="metric")
        assert not any(SECRET in part or "root:" in part for part in parts.values())
        assert " disabled>Undo" in {**first, **parts}["head"]
        line.send(json.dumps({"do": "mend", "at": at}))


def test_a_ground_that_is_chosen_is_one_of_the_design(bench: Bench, victim: str) -> None:
    for file in ("../secret.csv", "/etc/passwd.csv", "link.csv"):  # a view in the round would read it
        with bench.live(victim) as line:
            head = say(line, do="view", name="ground", value=file)["head"]
            assert "<option selected>survey line</option>" in head


def test_a_revision_that_is_a_link_elsewhere_tells_nothing(bench: Bench, victim: str) -> None:
    link = bench.served.folder / "victim.linked.toml"
    link.symlink_to("/etc/passwd")
    with bench.live(victim) as line:
        line.send(json.dumps({"do": "beside", "path": link.name}))
        parts = say(line, do="view", name="system", value="metric")
        assert not any("root:" in part for part in parts.values())
    link.unlink()


HOSTILE_NAMES = ("..", ".", "../up.toml", "sub/x.toml", "sub\\x.toml", ".hidden.toml", "/etc/x.toml", "a\0b.toml", "a\nb.toml", "a\u202elmot.exe", "\u2028.toml", "x" * 400, "", " ", "\x7f.toml", "C:\\x.toml", "./x.toml")  # fmt: skip


def test_hostile_file_names_make_no_file(bench: Bench, design: str) -> None:
    before = sorted(bench.served.folder.parent.rglob("*"))
    for name in HOSTILE_NAMES:
        heard = bench.post("/begin", f"name={quote(name, safe='')}&demo=survey-buggy")
        assert heard.status == 422, repr(name)
    brought = ["%2e%2e", "..%2fup.toml", "..", "a%E2%80%AElmot.toml"]
    with ThreadPoolExecutor(2) as both:
        for name, heard in zip(
            brought, both.map(lambda name: bench.post(f"/bring/{name}", design), brought), strict=True
        ):
            assert heard.status in (404, 422), name
    assert [one for one in sorted(bench.served.folder.parent.rglob("*")) if ".home" not in one.parts] == [
        one for one in before if ".home" not in one.parts
    ]


def test_what_is_there_is_never_written_over(bench: Bench, design: str) -> None:
    folder = bench.served.folder
    held = {name: (folder / name).read_bytes() for name in ("truck.toml", "springs.csv", "link.toml")}
    for name in ("truck.toml", "nowhere.toml"):
        assert bench.post(f"/bring/{name}", design).status == 422, name
    for name in ("truck.toml", "truck", "link.toml", "nowhere.toml"):
        assert bench.post("/begin", f"name={name}&demo=survey-buggy").status == 422, name
    assert {name: (folder / name).read_bytes() for name in held} == held
    assert not (folder.parent / "made-through-a-link.toml").exists()


def test_the_same_file_brought_twice_at_once_is_taken_once(bench: Bench, design: str) -> None:
    with ThreadPoolExecutor(2) as both:
        answers = list(both.map(lambda _: bench.post("/bring/at-once.toml", design), range(2)))
    assert sorted(one.status for one in answers) == [200, 422]
    assert (bench.served.folder / "at-once.toml").read_text() == design


@pytest.mark.parametrize(
    ("body", "word"),
    [(b"\xff\xfe\x00", "UTF-8"), (b"this is = no = toml", "no design file"), (b"a = " + b"[" * 50_000, "no design file|read")],
    ids=["not UTF-8", "not TOML", "nested"],
)  # fmt: skip
def test_what_is_no_design_is_not_brought(bench: Bench, body: bytes, word: str) -> None:
    heard = bench.post("/bring/brought.toml", body)
    assert heard.status == 422
    assert re.search(word, heard.text)
    assert "Traceback" not in heard.text
    assert not (bench.served.folder / "brought.toml").exists()
    assert bench.ask("/").status == 200


def test_a_file_of_too_many_lines_is_not_brought(bench: Bench, design: str) -> None:
    heard = bench.post("/bring/brought.toml", design + "\n" * 20_001)
    assert heard.status == 422
    assert "lines" in heard.text
    assert not (bench.served.folder / "brought.toml").exists()


def test_a_log_is_laid_beside_the_design_and_over_nothing(bench: Bench) -> None:
    folder = bench.served.folder
    held = {name: (folder / name).read_bytes() for name in ("springs.csv", "link.csv")}
    log = b"time [s],acc z [m/s2]\n0,0\n0.01,1\n"
    assert "bounce.csv lies" in bench.post("/sheet/1/log/bounce.csv", log).text
    assert "bounce.csv lies" in bench.post("/sheet/1/log/bounce.csv?at=bounces.0", log).text
    assert "bounce-2.csv lies" in bench.post("/sheet/1/log/bounce.csv?at=bounces.0", log + b"0.02,2\n").text
    assert (folder / "bounce.csv").read_bytes() == log
    for name in held:
        stem, ending = name.split(".")
        assert f"{stem}-2.{ending} lies" in bench.post(f"/sheet/1/log/{name}", log).text
    assert {name: (folder / name).read_bytes() for name in held} == held
    for name in ("..%2fup.csv", "truck.toml", "x", ".hidden.csv", "a%E2%80%AEvsc.csv"):
        assert bench.post(f"/sheet/1/log/{name}", log).status in (404, 422), name
    assert bench.post("/sheet/99/log/bounce.csv", log).status == 404
    for at in ("nothing.0", "weighings.0", "bounces.99", "bounces.-1", "__class__.0", "bounces"):
        assert bench.post(f"/sheet/1/log/bounce.csv?at={at}", log).status == 200, at
    readings = (folder / "truck.readings.toml").read_text()
    assert readings.count("\n[[bounces]]") == 3 + 6  # those brought to no set of bounces have one of their own
    assert not [one for one in folder.iterdir() if one.name.endswith(".draft")]
    assert bench.post("/sheet/1/log/long.csv", length=str(MOST_LOG + 1)).status == 413
    assert bench.ask("/sheet/1").status == 200


# --- headers, and sheets side by side


def test_every_answer_carries_the_headers(bench: Bench) -> None:
    answers = {
        "page": bench.ask("/"), "sheet": bench.ask("/sheet/1"), "script": bench.ask("/static/live.js"), "style": bench.ask("/static/ink.css"), "file": bench.ask("/sheet/1/take/design.toml"),
        "csv": bench.ask("/sheet/1/figure/damper-0.csv"), "let in": bench.ask(f"/?token={TOKEN}", cookie=None), "led on": bench.ask("/sheet/99"), "ready": bench.ask("/ready"), "no token": bench.ask("/", cookie=None),
        "other page": bench.ask("/", origin="null"), "other name": bench.ask("/", host="evil.test"), "nothing there": bench.ask("/x"), "no such thing": bench.ask("/sheet/1/take/x"), "method": bench.ask("/", method="PUT"),
        "too large": bench.post("/begin", length=str(MOST_BODY + 1)), "fault": bench.post("/begin", "demo=x&name=y"), "may not": bench.post("/open", "path=/etc/passwd"),
        "live, refused": bench.ask(LIVE, more=UPGRADE), "live, other name": bench.ask(LIVE, host="evil.test", origin=bench.own, more=UPGRADE), "head": bench.ask("/", method="HEAD"),
    }  # fmt: skip
    assert [
        answers[one].status
        for one in (
            "let in",
            "led on",
            "no token",
            "other name",
            "nothing there",
            "method",
            "too large",
            "fault",
            "may not",
        )
    ] == [303, 303, 403, 421, 404, 405, 413, 422, 403]
    for what, heard in answers.items():
        policy = heard.header("content-security-policy")
        assert "unsafe" not in policy, what
        assert "*" not in policy, what
        rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
        assert rules["default-src"] == "'none'", what
        assert rules["script-src"] == "'self'", what
        assert rules["frame-ancestors"] == "'none'", what
        assert rules["base-uri"] == "'none'", what
        assert rules["form-action"] == "'self'", what
        assert heard.header("x-frame-options") == "DENY", what
        assert heard.header("x-content-type-options") == "nosniff", what
        assert heard.header("cache-control") == "no-store", what
        assert heard.header("referrer-policy") in ("same-origin", "no-referrer"), what
        assert heard.header("cross-origin-opener-policy") == "same-origin", what
        assert heard.header("cross-origin-resource-policy") == "same-origin", what
        assert "access-control-allow-origin" not in dict(heard.headers), what
        assert "server" not in dict(heard.headers), what


def test_two_sheets_do_not_mix(bench: Bench, design: str) -> None:
    names = []
    for file in ("left.toml", "right.toml"):
        path = bench.served.folder / file
        path.write_text(design.replace("Survey buggy", file.removesuffix(".toml")))
        names.append(opened(bench, path))
    with bench.live(names[0]) as left, bench.live(names[1]) as right:
        say(left, do="view", name="system", value="metric")
        say(right, do="view", name="system", value="metric")
        parts = say(left, do="put", at=["vehicle", "name"], value="only the left one")
        assert "only the left one" in parts["head"]
        assert "only the left one" not in str(say(right, do="view", name="system", value="imperial"))
        assert "ft/s" not in str(say(left, do="view", name="system", value="metric"))
    assert "only the left one" in bench.ask(f"/sheet/{names[0]}").text
    assert "only the left one" not in bench.ask(f"/sheet/{names[1]}").text
    assert "only the left one" not in (bench.served.folder / "left.toml").read_text()


def test_designs_opened_at_once_get_sheets_of_their_own(bench: Bench, design: str) -> None:
    files = [bench.served.folder / f"once-{i}.toml" for i in range(4)]
    for file in files:
        file.write_text(design)
    with ThreadPoolExecutor(4) as four:
        names = list(four.map(lambda file: opened(bench, file), files))
    assert len(set(names)) == 4
    for name, file in zip(names, files, strict=True):
        assert file.name in bench.ask(f"/sheet/{name}").text


def test_copies_that_outlive_a_crash_are_for_the_user_alone(bench: Bench) -> None:
    if os.name != "posix":
        pytest.skip("file modes are of POSIX")
    assert (bench.served.folder / ".home").stat().st_mode & 0o077 == 0


# --- a sheet that is not whole


def test_of_an_unfinished_sheet_nothing_is_told_or_changed_of_its_state_before(bench: Bench, design: str) -> None:
    from springwright.workbench.actions import ACTIONS, BUILDING

    assert set(ACTIONS) > BUILDING
    path = bench.served.folder / "unfinished.toml"
    path.write_text(design)
    name = opened(bench, path)
    with bench.live(name) as line:
        folded(line)
        say(line, do="turn", at=["axles", 1, "held"], to="wishbones")
        wanted = bench.ask(f"/sheet/{name}/take/design.toml").text
        assert 'wheel_centre = ["", "", ""]' in wanted
        for what in ("report.pdf", "orders.pdf", "sizing.csv", "answers.csv"):
            assert bench.ask(f"/sheet/{name}/take/{what}").status == 422
        assert bench.ask(f"/sheet/{name}/figure/damper-0.csv").status == 404
        head = ""
        for do in sorted({*ACTIONS, "beside", "round", "alone", "study"} - BUILDING):
            message = {"do": do, **{field: json.loads(GOOD[field]) for field in FIELDS.get(do, ()) if field in GOOD}}
            if do not in ACTIONS:  # these are answered to beside the line
                line.send(json.dumps(message))
                continue
            head = say(line, **message).get("head", head)
            assert "is not whole yet" in head, do
        assert lives(line)
        assert bench.ask(f"/sheet/{name}/take/design.toml").text == wanted


# --- what is in sight


def test_what_is_in_sight_is_answered_first_and_the_rest_follows(bench: Bench, victim: str) -> None:
    with bench.live(victim) as line:
        say(line, do="view", name="system", value="metric")
        say(line, do="folds", all=False)
        first = say(line, do="put", at=["axles", 0, "target", "frequency"], value="1.37 Hz", sight=["aim"])
        assert "aim" in first
        assert not {name for name in first if not name.startswith(("aim", "head", "watch"))}
        heard = json.loads(line.recv(timeout=30))
        assert heard["n"] is None
        assert {"spring-0", "order"} & set(heard["parts"])


@pytest.mark.parametrize("told", ["aim", 7, None, {}, [1, {}, None], ["../secret"], ["aim"] * 5000, [["aim"]], []])
def test_whatever_is_said_to_be_in_sight_everything_comes(bench: Bench, victim: str, told: object) -> None:
    with bench.live(victim) as line:
        say(line, do="view", name="system", value="imperial")
        parts = say(line, do="view", name="system", value="metric", sight=told)
        end = time.monotonic() + 20
        while "weigh" not in parts and time.monotonic() < end:
            parts |= json.loads(line.recv(timeout=20))["parts"]
        assert "weigh" in parts
        assert lives(line)


def test_a_section_folded_and_unfolded_at_once_comes_back_whole(bench: Bench, victim: str) -> None:
    """Its inner parts are sent with it, though they are as they were sent before."""
    with bench.live(victim) as line:
        say(line, do="view", name="system", value="metric")
        say(line, do="folds", all=False)
        time.sleep(0.5)
        for number, do in ((9_000_001, "fold"), (9_000_002, "unfold")):
            line.send(json.dumps({"do": do, "part": "prove", "sight": ["prove"], "n": number}))
        parts = until(line, 9_000_002)
        assert 'id="prove-ride" data-part' in parts["prove"]
        assert "prove-ride" in parts
        assert parts["prove-ride"]


# --- what is sent faster than it can be shown


def test_a_burst_is_done_to_the_last_and_answered_by_fewer_pages(bench: Bench, victim: str) -> None:
    """A page goes out for the latest of those that wait, and its answer counts for all before it; each change is a step of its own."""
    with bench.live(victim) as line:
        say(line, do="view", name="system", value="metric")
        before = bench.ask(f"/sheet/{victim}/take/design.toml").text
        for k in range(40):
            value = f"1.{20 + k} Hz"
            line.send(
                json.dumps({"do": "put", "at": ["axles", 0, "target", "frequency"], "value": value, "n": 9_100_000 + k})
            )
        numbers = _answered(line, 9_100_039)
        assert len(numbers) < 30
        assert bench.ask(f"/sheet/{victim}/take/design.toml").text.count('frequency = "1.59 Hz"') == 1
        for k in range(40):
            line.send(json.dumps({"do": "undo", "n": 9_200_000 + k}))
        assert len(_answered(line, 9_200_039)) < 30
        assert bench.ask(f"/sheet/{victim}/take/design.toml").text == before


def test_what_a_change_of_a_burst_says_is_shown_though_others_wait(bench: Bench, victim: str) -> None:
    with bench.live(victim) as line:
        say(line, do="view", name="system", value="metric")
        line.send(json.dumps({"do": "view", "name": "system", "value": "imperial", "n": 9_300_000}))
        line.send(json.dumps({"do": "spring", "axle": 0, "part": "nobody makes it", "n": 9_300_001}))
        for k in range(2, 6):
            line.send(
                json.dumps({"do": "view", "name": "system", "value": ("metric", "imperial")[k % 2], "n": 9_300_000 + k})
            )
        said, numbers = "", []
        while not numbers or numbers[-1] < 9_300_005:
            heard = json.loads(line.recv(timeout=30))
            said += heard["parts"].get("head", "")
            numbers += [heard["n"]] if heard["n"] else []
        assert "nobody makes it" in said
        assert 9_300_001 in numbers
        say(line, do="view", name="system", value="metric")


def test_an_answer_is_for_the_window_that_asked(bench: Bench, victim: str) -> None:
    """Two windows count their messages each by itself: neither takes the other's answers for its own."""
    with bench.live(victim) as one, bench.live(victim) as other:
        say(one, do="view", name="system", value="metric")
        one.send(json.dumps({"do": "view", "name": "system", "value": "imperial", "n": 9_400_000}))
        until(one, 9_400_000)
        other.send(json.dumps({"do": "view", "name": "system", "value": "metric", "n": 9_500_000}))
        assert _answered(other, 9_500_000) == [9_500_000]


def _answered(line: ClientConnection, last: int) -> list[int]:
    """The numbers that answers came with, up to the last."""
    numbers: list[int] = []
    while not numbers or numbers[-1] != last:
        number = json.loads(line.recv(timeout=60))["n"]
        numbers += [number] if number is not None else []
    return numbers
