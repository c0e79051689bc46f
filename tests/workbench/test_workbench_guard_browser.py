"""Attacks on the workbench in a real browser: pages elsewhere, names that point here, frames, and hostile text in everything a user can type."""

from __future__ import annotations

import csv
import io
import re
import threading
import tomllib
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any, ClassVar
from urllib.parse import urlsplit

import pytest
import tomlkit

from springwright.vehicle.starter import start
from tests.bench import compiled
from tests.served import TOKEN, Served, served

CHROMIUM = Path("/usr/bin/chromium")
if not CHROMIUM.exists():
    pytest.skip("these attacks are made in Chromium, and there is no /usr/bin/chromium here", allow_module_level=True)
sync_api = pytest.importorskip(
    "playwright.sync_api", reason="these attacks are made through playwright, which is not installed"
)

ATTACKS = (
    "<script>window.__pwned=1</script>", '"><img src=x onerror=window.__pwned=1>', "'><svg onload=window.__pwned=1>", "</title></textarea><script>__pwned=1</script>", "{{7*7}}{%raw%}${7*7}&amp;`<!--",
    "javascript:window.__pwned=1", "\u202eevil\u2066", '" autofocus onfocus=window.__pwned=1 x="', "' onfocus=window.__pwned=1 autofocus '", "</svg><iframe srcdoc='<script>top.__pwned=1</script>'>",
)  # fmt: skip
HOSTILE = "".join(ATTACKS)
MARK = "window.__pwned=1"
WAIT = 30_000  # ms
GLANCES = ".glance .side"  # side views of designs, drawn by the program in a few kinds of strokes
NOT_OURS = (
    f"img, iframe, svg:not(#first-told svg):not({GLANCES} svg), "
    f"{GLANCES} svg *:not(title, desc, defs, style, g, path, line, circle, ellipse, rect, polygon, polyline)"
)


NAMED = (
    "front",
    "rear",
    "driver",
    "surveyor",
    "instruments",
    "fuel",
    "Empty",
    "Driver only",
    "Two up, kit",
    "survey line",
    "Survey buggy",
)
NAMES = {
    name: f"{i} {ATTACKS[i % len(ATTACKS)]}"[:60] for i, name in enumerate(NAMED)
}  # each a name of the demo -> one that attacks
FILE = "".join(ATTACKS[:5]).replace("/", "")[:90] + ".toml"


def _renamed(value: Any) -> Any:
    if isinstance(value, dict):
        return {NAMES.get(key, key): _renamed(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_renamed(one) for one in value]
    return NAMES.get(value, value) if isinstance(value, str) else value


def hostile_design(folder: Path) -> str:
    """Write a design, and a catalogue beside it, with hostile text wherever text is free; gives the name of its file."""
    start(folder / "plain.toml", "survey-buggy")
    design = _renamed(tomllib.loads((folder / "plain.toml").read_text()))
    design["vehicle"] |= {"note": f"note {HOSTILE}", "builder": f"builder {HOSTILE}"}
    catalogue = folder / "springs.csv"
    first, *lines = catalogue.read_text().splitlines()
    rows = list(csv.DictReader(lines))
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0], lineterminator="\n")
    writer.writeheader()
    writer.writerows(
        {**row, "part": f"{row['part']} {HOSTILE}", "maker": f"maker {HOSTILE}", "note": HOSTILE} for row in rows
    )
    catalogue.write_text(f"{first}\n{out.getvalue()}")
    (folder / FILE).write_text(tomlkit.dumps(design))
    return FILE


class _Elsewhere(BaseHTTPRequestHandler):
    """A page of somebody else's, who keeps every cookie that is sent to it."""

    told: ClassVar[list[str | None]] = []

    def do_GET(self) -> None:
        self.told.append(self.headers["cookie"])
        self.send_response(200)
        self.send_header("content-type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>elsewhere</title><p>elsewhere")

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture(scope="module")
def elsewhere() -> Iterator[int]:
    """The port of a server that is not ours."""
    with ThreadingHTTPServer(("127.0.0.1", 0), _Elsewhere) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server.server_address[1]
        server.shutdown()


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("guard-browser")
    with served(folder, demo=None, name=hostile_design(folder)) as one:
        yield compiled(one)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_api.sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=str(CHROMIUM),
            args=[
                "--no-sandbox",
                "--disable-gpu",
                "--disable-background-networking",
                "--host-resolver-rules=MAP evil.test 127.0.0.1",
            ],
        )
        yield chromium
        chromium.close()


@pytest.fixture(scope="module")
def user(browser: Any, bench: Served) -> Iterator[Any]:
    """A browser that has opened the address springwright printed."""
    context = browser.new_context()
    context.set_default_timeout(WAIT)
    page = context.new_page()
    page.goto(bench.address)
    page.close()
    yield context
    context.close()


def test_the_token_goes_from_the_address_into_a_cookie(browser: Any, bench: Served) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(bench.address, wait_until="domcontentloaded")
    assert page.url == f"http://{bench.host}{bench.path}"
    assert TOKEN not in page.content()
    assert page.evaluate("document.cookie") == ""
    assert TOKEN not in page.evaluate("document.referrer + location.href + JSON.stringify(performance.getEntries())")
    (cookie,) = context.cookies()
    assert (cookie["value"], cookie["httpOnly"], cookie["sameSite"], cookie["domain"]) == (
        TOKEN,
        True,
        "Strict",
        "127.0.0.1",
    )
    page.go_back()
    assert TOKEN not in page.url
    context.close()


READ = """async (address) => {
  const tried = {};
  const text = async (name, options) => { try { tried[name] = await (await fetch(address, options)).text(); } catch { tried[name] = null; } };
  await text("plain", {});
  await text("with cookies", { credentials: "include" });
  await text("opaque", { mode: "no-cors", credentials: "include" });
  await text("asked first", { method: "PUT", headers: { "x-a": "b" }, credentials: "include" });
  return tried;
}"""
LISTEN = """(address) => new Promise((done) => {
  const socket = new WebSocket(address);
  socket.onopen = () => done("open");
  socket.onerror = () => done("refused");
})"""
POST = """async ([address, name]) => {
  const tried = [];
  for (const type of ["text/plain", "application/x-www-form-urlencoded"])
    await fetch(`${address}/begin`, { method: "POST", mode: "no-cors", credentials: "include", headers: { "content-type": type }, body: `name=${name}&demo=survey-buggy` }).catch(() => tried.push("failed"));
  navigator.sendBeacon(`${address}/begin`, new Blob([`name=${name}&demo=survey-buggy`], { type: "application/x-www-form-urlencoded" }));
  return tried;
}"""
FORM = """([address, name]) => {
  const form = document.createElement("form");
  form.method = "post"; form.action = `${address}/begin`;
  for (const [key, value] of [["name", name], ["demo", "survey-buggy"]]) { const field = document.createElement("input"); field.name = key; field.value = value; form.append(field); }
  document.body.append(form); form.submit();
}"""
EMBED = """(address) => Promise.all([["script", "src"], ["img", "src"], ["link", "href"]].map(([tag, key]) => new Promise((done) => {
  const one = document.createElement(tag);
  if (tag === "link") one.rel = "stylesheet"; if (tag === "script") one.type = "module";
  one.onload = () => done(`${tag} loaded`); one.onerror = () => done("refused");
  one[key] = address + (tag === "script" ? "/static/live.js" : tag === "link" ? "/static/sheet.css" : "/");
  document.head.append(one);
})))"""
FRAME = """(address) => new Promise((done) => {
  const frame = document.createElement("iframe");
  frame.onload = () => done(true);
  frame.src = address;
  document.body.append(frame);
})"""


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost", "evil.test"])
def test_a_page_elsewhere_can_do_nothing_here(user: Any, bench: Served, elsewhere: int, name: str) -> None:
    own = f"http://{bench.host}{bench.place}"  # even to who knows where it is
    was = len(user.pages)
    page = user.new_page()
    answers: list[tuple[str, int]] = []
    page.on("response", lambda one: answers.append((one.url, one.status)))
    page.goto(f"http://{name}:{elsewhere}/")
    assert _Elsewhere.told
    assert not any(_Elsewhere.told)  # a browser keeps no port apart: what is sent to us must not be sent there
    answers.clear()

    read = page.evaluate(READ, f"http://{bench.host}{bench.path}")
    assert not any(read.values())
    assert page.evaluate(LISTEN, f"ws://{bench.host}{bench.path}/live") == "refused"
    assert set(page.evaluate(EMBED, own)) == {"refused"}
    page.evaluate(POST, [own, "forged.toml"])
    page.evaluate(FRAME, f"http://{bench.host}{bench.path}")
    for frame in page.frames[1:]:
        assert "Weigh" not in frame.content()
    window = page.evaluate_handle("(address) => window.open(address)", f"http://{bench.host}{bench.path}")
    assert not page.evaluate(
        "(other) => { try { return other.document.body.textContent; } catch { return ''; } }", window
    )
    page.evaluate(FORM, [own, "forged.toml"])
    page.wait_for_url(f"{own}/begin")
    assert "Weigh" not in page.content()
    assert answers
    assert {status for url, status in answers if url.startswith(own)} == {
        403
    }  # refused by us, not only kept from the page by the browser
    assert not (bench.folder / "forged.toml").exists()
    for one in user.pages[was:]:
        one.close()


def test_a_name_that_points_here_is_refused(browser: Any, bench: Served) -> None:
    context = browser.new_context()
    page = context.new_page()
    for path in (bench.path, f"/?token={TOKEN}", f"{bench.place}/static/live.js"):
        answer = page.goto(f"http://evil.test:{bench.port}{path}")
        assert answer.status == 421
        assert "Weigh" not in page.content()
    assert page.evaluate(LISTEN, f"ws://evil.test:{bench.port}{bench.path}/live") == "refused"
    assert context.cookies() == []
    context.close()


def test_not_even_a_page_of_our_own_address_may_frame_it(user: Any, bench: Served) -> None:
    page = user.new_page()
    page.route("**/framing", lambda route: route.fulfill(content_type="text/html", body="<!doctype html><body>"))
    page.goto(
        f"http://{bench.host}{bench.place}/framing"
    )  # no policy of ours on this one: what refuses is the answer in the frame
    page.evaluate(FRAME, f"http://{bench.host}{bench.path}")
    assert all("Weigh" not in frame.content() for frame in page.frames[1:])
    assert page.evaluate("document.querySelector('iframe').contentDocument === null")
    page.close()


def test_no_script_but_ours_can_run(user: Any, bench: Served) -> None:
    page = user.new_page()
    page.goto(f"http://{bench.host}{bench.place}/", wait_until="domcontentloaded")
    ran = page.evaluate("""async () => {
      const one = document.createElement("script"); one.textContent = "window.__inline = 1"; document.head.append(one);
      const two = document.createElement("div"); two.innerHTML = "<img src=x onerror='window.__inline = 2'><a href='javascript:window.__inline=3'>x</a>"; document.body.append(two);
      two.querySelector("a").click();
      const three = document.createElement("script"); three.src = "data:text/javascript,window.__inline=4"; document.head.append(three);
      const four = document.createElement("base"); four.href = "http://evil.test/"; document.head.append(four);
      let sent = "refused"; try { await fetch("http://evil.test:1/"); sent = "sent"; } catch {}
      let reached = "refused"; const socket = new WebSocket("ws://evil.test:1/"); await new Promise((done) => { socket.onopen = () => { reached = "open"; done(); }; socket.onerror = done; });
      await new Promise((done) => setTimeout(done, 300));
      let compiled = "refused"; try { new Function("return 1")(); compiled = "ran"; } catch {} // only now: what playwright calls at first may compile
      return [window.__inline ?? "nothing", compiled, sent, reached, new URL("x", document.baseURI).host];
    }""")
    assert ran == ["nothing", "refused", "refused", "refused", bench.host]
    page.close()


class Watched:
    """A page with all it complains of and all it asks for."""

    def __init__(self, context: Any, bench: Served) -> None:
        self.faults: list[str] = []
        self.hosts: set[str] = set()
        self.page = context.new_page()
        self.page.add_init_script(
            "window.__violations = []; document.addEventListener('securitypolicyviolation', (e) => window.__violations.push(`${e.violatedDirective} ${e.blockedURI} ${e.sourceFile}`));"
        )
        self.page.on("dialog", lambda one: (self.faults.append(f"dialog {one.message}"), one.dismiss()))
        self.page.on(
            "console",
            lambda one: self.faults.append(f"console {one.text}") if one.type in ("error", "warning") else None,
        )
        self.page.on("pageerror", lambda one: self.faults.append(f"error {one}"))
        self.page.on("websocket", lambda one: self.hosts.add(urlsplit(one.url).netloc))
        self.page.route("**/*", self._asks)
        self.page.goto(f"http://{bench.host}{bench.path}", wait_until="domcontentloaded")
        sync_api.expect(self.page.locator("body[data-line=up]")).to_be_attached(timeout=WAIT)

    def _asks(self, route: Any) -> None:
        address = urlsplit(route.request.url)
        if address.scheme != "data":
            self.hosts.add(address.netloc)
        route.continue_()

    def sound(self, bench: Served) -> None:
        """Nothing typed has become anything but text."""
        page = self.page
        assert page.evaluate("window.__pwned ?? 'nothing'") == "nothing"
        assert page.evaluate("window.__violations") == []
        assert self.faults == []
        assert self.hosts == {bench.host}
        found = page.evaluate("""() => {
          const all = [...document.querySelectorAll("*")];
          return {
            handlers: all.flatMap((one) => [...one.attributes].filter((a) => /^on/i.test(a.name)).map((a) => a.name)),
            strange: all.filter((one) => ["IMG", "IFRAME", "OBJECT", "EMBED", "BASE", "STYLE", "FORM"].includes(one.tagName) && !one.matches("form[data-keep-as], form[data-axle]")).map((one) => one.outerHTML.slice(0, 80)),
            scripts: [...document.scripts].map((one) => one.getAttribute("src")),
            links: all.filter((one) => /^\\s*(javascript|data|vbscript):/i.test(one.getAttribute("href") ?? "") && one.rel !== "icon").length,
          };
        }""")
        assert found == {"handlers": [], "strange": [], "scripts": ["../static/live.js"], "links": 0}
        assert not re.search(r"\b49\b\{%|\}\}49|49\{%", page.content())


@pytest.fixture(scope="module")
def watched(user: Any, bench: Served) -> Iterator[Watched]:
    """A page on which all is unfolded."""
    one = Watched(user, bench)
    one.page.get_by_role("button", name="Compare").click()
    one.page.get_by_role("button", name="Unfold the file").click()
    sync_api.expect(one.page.get_by_label("The design file")).to_be_visible(timeout=WAIT)
    sync_api.expect(one.page.get_by_label("Name of the revision")).to_be_visible(timeout=WAIT)
    one.page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    yield one
    one.page.close()


def put(page: Any, label: str, text: str) -> None:
    """Type into a blank and take it."""
    blank = page.get_by_label(label, exact=True).first
    blank.fill(text)
    blank.press("Enter")


def test_hostile_text_in_a_file_is_shown_as_text(watched: Watched, bench: Served) -> None:
    page = watched.page
    assert page.get_by_role("heading", level=1).text_content() == NAMES["Survey buggy"]
    assert page.title().startswith(NAMES["Survey buggy"])
    page.get_by_role(
        "button", name=re.compile("^Choose .* for the")
    ).first.click()  # a part of the catalogue with a hostile name
    sync_api.expect(page.get_by_role("button", name="Undo").first).to_be_enabled(timeout=WAIT)
    text = page.locator("body").text_content()
    values = page.evaluate("[...document.querySelectorAll('input, textarea')].map((one) => one.value).join('\\n')")
    for name in NAMES.values():
        assert name.lower() in text.lower(), name
    assert f"note {HOSTILE}".replace('"', '\\"').replace("\u202e", "") in values.replace("\u202e", "")
    assert HOSTILE in text  # a part of the catalogue
    assert FILE in text
    watched.sound(bench)


def test_hostile_text_that_is_typed_is_shown_as_text(watched: Watched, bench: Served) -> None:
    page = watched.page
    wrong = f"1 {HOSTILE}"
    put(page, "kerb mass", wrong)
    note = page.get_by_role("alert").filter(has_text=MARK).first
    sync_api.expect(note).to_be_visible(timeout=WAIT)
    assert page.get_by_label("kerb mass", exact=True).input_value() == wrong
    put(page, "name of item 1", f"renamed {HOSTILE}")  # longer than a name may be
    sync_api.expect(page.get_by_label("name of item 1", exact=True)).to_have_attribute(
        "aria-invalid", "true", timeout=WAIT
    )
    put(page, "name of item 1", f"renamed {ATTACKS[0]}"[:60])
    sync_api.expect(page.get_by_role("button", name="Undo name of item 1")).to_be_enabled(timeout=WAIT)
    put(page, "Speed", wrong)
    page.get_by_label("Speed", exact=True).blur()
    sync_api.expect(
        page.get_by_role("alert").filter(has_text="speed").or_(page.get_by_role("alert").filter(has_text=MARK)).first
    ).to_be_visible(timeout=WAIT)
    page.get_by_label("The design file").fill(f'{HOSTILE} = "x"\n')
    page.get_by_role("button", name="Take this text").click()
    sync_api.expect(page.locator("#text").get_by_role("alert")).to_be_visible(timeout=WAIT)
    page.get_by_label("The design file").fill(tomlkit.dumps({"format": 2, HOSTILE: HOSTILE}))
    page.get_by_role("button", name="Take this text").click()
    sync_api.expect(page.locator("#text").get_by_role("alert").filter(has_text=MARK)).to_be_visible(timeout=WAIT)
    page.get_by_label("Name of the revision").fill(HOSTILE)
    page.get_by_role("button", name="Keep", exact=True).click()
    sync_api.expect(page.get_by_role("alert").filter(has_text="Kept as")).to_be_visible(timeout=WAIT)
    watched.sound(bench)


def test_hostile_text_on_the_start_page_is_shown_as_text(user: Any, bench: Served) -> None:
    page = user.new_page()
    faults: list[str] = []
    page.on("console", lambda one: faults.append(one.text) if one.type in ("error", "warning") else None)
    page.on("pageerror", lambda one: faults.append(str(one)))
    page.on("dialog", lambda one: (faults.append(one.message), one.dismiss()))
    page.goto(f"http://{bench.host}{bench.place}/")
    assert NAMES["Survey buggy"] in page.locator("body").text_content()
    assert FILE in page.locator("body").text_content()
    page.get_by_label("as", exact=True).fill(f"a/{HOSTILE}")
    page.get_by_role("button", name="Begin").click()
    sync_api.expect(page.get_by_role("alert")).to_be_visible(timeout=WAIT)
    assert page.locator(NOT_OURS).count() == 0
    assert page.evaluate("window.__pwned ?? 'nothing'") == "nothing"
    page.get_by_label("A design file").set_input_files(
        {"name": f"{HOSTILE.replace('/', '')}.toml", "mimeType": "text/plain", "buffer": f"{HOSTILE} = 1".encode()}
    )
    page.get_by_role("button", name="Bring it").click()
    sync_api.expect(page.get_by_role("status")).not_to_have_text(re.compile("^(|Reading it.)$"), timeout=WAIT)
    sync_api.expect(page.locator(f"{GLANCES} svg")).not_to_have_count(0, timeout=WAIT)  # the hostile design's own too
    assert page.locator(NOT_OURS).count() == 0
    assert page.evaluate("window.__pwned ?? 'nothing'") == "nothing"
    assert [one for one in faults if "status of 422" not in one] == []  # which is what was asked wrongly
    page.close()
