"""The workbench in a browser, as its users work: the main job with hand and mouse, the same with the keyboard alone, and for every eye."""

from __future__ import annotations

import io
import os
import re
import signal
import time
from dataclasses import dataclass, field, replace
from pathlib import Path

import pypdf
import pytest

from springwright.questions.prove import prove
from springwright.questions.registry import QUESTIONS
from springwright.report.proof import word_of
from springwright.report.tables import capital
from springwright.sizing.sheet import size
from springwright.units import displayed_in, number, parse, show
from springwright.vehicle.file import load
from springwright.workbench.render.changes import in_two
from tests.build import words_of
from tests.served import served

sync_api = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")
CHROMIUM = "/usr/bin/chromium"
pytestmark = pytest.mark.skipif(not os.path.exists(CHROMIUM), reason=f"no browser at {CHROMIUM}")
CHEAP = ("stand", "fit", "level")  # questions that are answered in no time
LONG = 180_000  # ms; two cores may be busy with something else
sync_api.expect.set_options(timeout=30_000)
SIZES = {"100 %": ({"width": 1280, "height": 720}, 1), "200 %": ({"width": 640, "height": 360}, 2)}


# ---- A browser that is watched ---------------------------------------------------------------------------------------

VERBS = {one.name: one.verb for one in QUESTIONS}


@pytest.fixture(scope="module")
def chromium():
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
        )
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    """A workbench with nothing on its desk yet; each story begins a design of its own."""
    with served(tmp_path_factory.mktemp("designs"), demo=None) as found:
        yield found


@dataclass
class Visit:
    """A page, with what went wrong on it and what it asked for."""

    page: object
    host: str
    errors: list = field(default_factory=list)
    left: list = field(default_factory=list)

    def asked(self, url):
        if not url.startswith((f"http://{self.host}/", f"ws://{self.host}/", f"blob:http://{self.host}/", "data:")):
            self.left.append(url)

    def leave(self):
        """Shut the page; nothing went wrong on it, and nothing left the machine."""
        self.page.context.close()
        assert (self.errors, self.left) == ([], [])


def visit(chromium, house, size="100 %", **more):
    viewport, scale = SIZES[size]
    context = chromium.new_context(viewport=viewport, device_scale_factor=scale, reduced_motion="reduce", **more)
    context.set_default_timeout(LONG)
    page = context.new_page()
    found = Visit(page, house.host)
    page.on("console", lambda said: found.errors.append(said.text) if said.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: found.errors.append(str(error)))
    page.on("websocket", lambda line: found.asked(line.url))
    context.on("request", lambda request: found.asked(request.url))
    page.goto(house.address)
    if page.url != f"http://{house.host}{house.path}":  # a sheet that was begun since
        page.goto(f"http://{house.host}{house.path}")
    return found


def at_the_desk(chromium, house):
    """A visit that begins where designs are begun."""
    found = visit(chromium, house)
    if found.page.get_by_role("heading", name="Begin").count() == 0:
        found.page.get_by_role("link", name="Designs").click()
    return found


def expect(what):
    return sync_api.expect(what)


def region(page, name):
    return page.get_by_role("region", name=name, exact=True)


def strip(page):
    return page.get_by_role("list", name="The seven questions").get_by_role("listitem")


def settled(page):
    """Wait until nothing is being worked out and nothing waits for it."""
    expect(page.get_by_role("button", name=re.compile("^(Stop|Work out)$"))).to_have_count(0, timeout=LONG)
    expect(page.get_by_role("list", name="The seven questions")).not_to_contain_text(
        re.compile("work(ing|ed) out"), timeout=LONG
    )
    expect(page.get_by_role("button", name=re.compile("^(Stop|Work out)$"))).to_have_count(0, timeout=LONG)


def undo_of(page):
    """Undo at the head of the sheet, which says what it will undo."""
    return page.get_by_role("navigation", name="Sheet").get_by_role("button", name=re.compile("^Undo"))


def figures(page):
    """What the strip says, question by question."""
    return [" ".join(text.split()) for text in strip(page).all_inner_texts()]


def says(page, file, only=()):
    """Wait until the strip says of a file what the library says; of the questions named, or of all."""
    for one in prove(load(file), only, sensitive=False).answers:
        told = strip(page).nth(list(VERBS).index(one.question))
        for text in (f"{VERBS[one.question]}?", word_of(one), *(in_two(one.deciding) if one.deciding else ())):
            expect(told).to_contain_text(" ".join(text.split()), timeout=LONG)


def at_rest(slider):
    """Where a slider stands when its last message has been answered."""
    was, since = "", time.monotonic()
    while time.monotonic() - since < 0.6:
        now = slider.get_attribute("aria-valuenow")
        if now != was:
            was, since = now, time.monotonic()
        time.sleep(0.05)
    return float(was)


def arrived(page):
    """Wait until a sheet is there and listens."""
    expect(page.get_by_role("heading", name="Fire-watch truck")).to_be_visible(timeout=LONG)
    expect(page.locator("body")).not_to_have_attribute("inert", "")


def begin(page, name):
    """From the start page to a new sheet of the fire-watch demo, and all of it unfolded: a first visit opens Weigh and Aim alone."""
    expect(page.get_by_role("heading", name="Begin")).to_be_visible()
    page.get_by_label("From").select_option("fire-watch")
    page.get_by_label("as", exact=True).fill(name)
    page.get_by_role("button", name="Begin", exact=True).click()
    arrived(page)
    expect(page.locator("section.folded")).to_have_count(8)  # with Measure and the file's text
    page.get_by_role("button", name="Unfold all", exact=True).click()
    expect(page.locator("section.folded")).to_have_count(1)


def server_of(house):
    """The process that serves: the child of this one that listens there."""
    for task in Path("/proc/self/task").iterdir():
        for child in (task / "children").read_text().split():
            words = Path(f"/proc/{child}/cmdline").read_bytes().split(b"\0")
            if b"--no-browser" in words and os.readlink(f"/proc/{child}/cwd") == str(house.folder):
                return int(child)
    raise AssertionError("no such process")


# ---- The main job ----------------------------------------------------------------------------------------------------


def said(figure: str, text: str) -> bool:
    """Whether the strip tells a figure, which it may do with a decimal less: an angle has to fit its narrow cell."""
    whole = " ".join(figure.split())
    return whole in text or f"{float(whole.replace(' ', '').replace('−', '-')):.1f}" in text


def test_the_whole_job_from_a_demo_to_a_report(chromium, house):
    truck = house.folder / "truck.toml"
    one = visit(chromium, house)
    page = one.page
    begin(page, "truck.toml")
    says(page, truck, CHEAP)
    first = figures(page)
    assert "truck.toml, saved" in page.get_by_role("navigation", name="Sheet").inner_text()

    # the crew is heavier than thought
    crew = page.get_by_label("crew: mass", exact=True)
    crew.fill("230 kg")
    crew.press("Enter")
    undo = undo_of(page)
    expect(undo).to_have_text("Undo crew: mass, 230 kg")
    heaviest = max(state.mass for state in size(load(truck)).states)
    expect(region(page, "Weigh")).to_contain_text(number(heaviest + 60, "mass"))

    # a wrong blank is told beside it, and put right by the button that hangs from it
    crew.fill("12 parsnips")
    crew.press("Enter")
    told = region(page, "Weigh").get_by_role("alert")
    expect(told).to_contain_text("no unit that is known")
    expect(crew).to_have_attribute("aria-invalid", "true")
    told.get_by_role("button", name="Put 230 kg back").click()
    expect(told).to_have_count(0)
    expect(crew).to_have_value("230")

    # the window: a plumb line by keys, and by hand
    line = page.get_by_role("slider", name="front target, Hz")
    line.focus()
    for _ in range(3):
        line.press("ArrowRight")
    expect(line).to_have_attribute("aria-valuenow", "1.33")
    line.press("Shift+ArrowRight")
    expect(line).to_have_attribute("aria-valuenow", "1.43")
    expect(undo).to_have_text("Undo front target, 1.43 Hz")
    line.scroll_into_view_if_needed()
    box = line.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 12, y, steps=4)
    page.mouse.move(x - 24, y, steps=4)
    page.mouse.up()
    dragged = at_rest(line)
    assert 1.30 < dragged < 1.43
    expect(page.get_by_label("front target", exact=True)).to_have_value(f"{dragged:.2f} Hz")
    page.keyboard.press("Control+z")  # the drag is one step back, the keys another
    expect(line).to_have_attribute("aria-valuenow", "1.43")
    page.keyboard.press("Control+z")
    expect(line).to_have_attribute("aria-valuenow", "1.30")
    page.keyboard.press("Control+y")
    page.keyboard.press("Control+y")
    expect(line).to_have_attribute("aria-valuenow", f"{dragged:.2f}")

    # another spring from the catalogue
    settled(page)
    before = figures(page)
    assert before != first
    spring = region(page, "Spring")
    offers = spring.get_by_role("button", name=re.compile("^Choose .* for the front axle"))
    chosen = offers.nth(1).inner_text().strip()
    offers.nth(1).click()
    expect(spring.get_by_role("heading", name=f"Front: {chosen}")).to_be_visible()
    settled(page)
    after = figures(page)
    assert after != before
    told = spring.get_by_role("table", name=f"front spring {chosen}")
    expect(told).to_be_visible()
    rows = [row.split("\t") for row in told.inner_text().splitlines() if "?" in row]
    assert rows
    for row in rows:  # question, was, now, change; each as the strip said it before and says it now
        k = next(k for k, verb in enumerate(VERBS.values()) if row[0].startswith(verb))
        assert said(row[1], before[k]) or before[k].split()[3:4] != after[k].split()[3:4]
        assert said(row[2], after[k])

    # the whole case as a document to sign, for the state on the page
    words = [re.search(r"\? (met|close|not met|not known)( so far)?", text)[0][2:] for text in after]
    with page.expect_download(timeout=LONG) as taken:
        region(page, "Order").get_by_role("link", name=re.compile("the whole case.*PDF")).click()
    assert taken.value.suggested_filename == "truck-report.pdf"
    pages = words_of(Path(taken.value.path()).read_bytes())
    assert "Fire-watch truck" in pages[0]
    whole = " ".join(pages)
    for question, word in zip(VERBS, words, strict=True):
        assert f"{capital(question)} {word} " in whole, (question, word)

    # a ditch, played in the round
    page.get_by_role("button", name=re.compile("^Diagonal ditch")).click()
    ditch = page.get_by_role("figure", name=re.compile("^Diagonal ditch"))
    expect(ditch.get_by_role("button", name="Play")).to_be_enabled(timeout=LONG)
    state = lambda: ditch.evaluate("figure => figure.round.state()")  # noqa: E731
    begun = state()
    assert begun["ready"]
    ditch.get_by_role("button", name="Play").click()
    expect(ditch.get_by_role("button", name="Pause")).to_be_visible()
    expect(ditch.get_by_role("button", name="Play")).to_be_visible(timeout=LONG)
    ended = state()
    assert ended["time"] > begun["time"]
    assert "lift" in ditch.inner_text() or "off the ground" in ditch.inner_text()
    ditch.get_by_role("slider").press("Home")
    assert state()["time"] == 0

    # the spring is undone after all, and the file saved
    expect(undo).to_have_text(re.compile(f"^Undo front spring {re.escape(chosen)}"[:30]))
    undo.click()
    expect(spring.get_by_role("heading", name=f"Front: {chosen}")).to_have_count(0)
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("navigation", name="Sheet")).to_contain_text("truck.toml, saved")
    kept = load(truck)
    assert kept.design.items[0].mass == 230
    assert kept.design.axles[0].target.frequency == pytest.approx(dragged)
    assert "# the tank full" in kept.text
    says(page, truck, CHEAP)

    # in the other system, where a bare number means pounds
    page.get_by_label("Units").select_option("imperial")
    with displayed_in("imperial"):
        expect(crew).to_have_value(number(230, "mass"))
        expect(page.get_by_role("region", name="Spring")).to_contain_text(
            show(size(kept).rates[0].wheel_rate, "rate").split()[-1]
        )
    crew.fill("520")
    crew.press("Enter")
    expect(crew).to_have_value("520")
    expect(undo).to_have_text("Undo crew: mass, 520")
    page.get_by_label("Units").select_option("metric")
    expect(crew).to_have_value(number(parse("520 lb", "mass"), "mass"))

    # held against a named revision
    page.get_by_role("button", name="Compare").click()
    beside = region(page, "Compare and keep")
    beside.get_by_label("Name of the revision").fill("Heavy crew")
    beside.get_by_role("button", name="Keep", exact=True).click()
    expect(beside.get_by_role("button", name="truck.heavy-crew.toml")).to_be_visible()
    assert load(house.folder / "truck.heavy-crew.toml").design.items[0].mass == pytest.approx(parse("520 lb", "mass"))
    target = page.get_by_label("rear target", exact=True)
    target.fill("1.38")
    target.press("Enter")
    beside.get_by_role("button", name="truck.heavy-crew.toml").click()
    expect(beside.get_by_role("table", name="Here, and truck.heavy-crew.toml").get_by_role("row")).to_have_count(8)
    differ = beside.get_by_role("table", name="Inputs that differ")
    expect(differ.get_by_role("row")).to_have_count(2)
    expect(differ).to_contain_text(re.compile(r"target\.frequency\s*1\.38 Hz\s*1\.42 Hz"))
    one.leave()


def test_nothing_is_lost_when_the_house_falls_in(chromium, tmp_path):
    truck = tmp_path / "truck.toml"
    with served(tmp_path, demo="fire-watch") as house:
        page = visit(chromium, house).page
        for label, text in (("crew: mass", "230 kg"), ("rear target", "1.38"), ("tools and rations: mass", "a lot")):
            blank = page.get_by_label(label, exact=True)
            blank.fill(text)
            blank.press("Enter")
        expect(blank).to_have_attribute("aria-invalid", "true")
        expect(undo_of(page)).to_have_text("Undo rear target, 1.38")
        time.sleep(2)  # copies are put away some tenths of a second after an edit
        os.kill(server_of(house), signal.SIGKILL)
        page.context.close()

    assert load(truck).design.items[0].mass == 170
    with served(tmp_path, demo=None, name="none.toml") as house:
        one = visit(chromium, house)
        page = one.page
        left = page.get_by_role("heading", name="Left without being saved").locator("..")
        left.get_by_role("button", name="truck.toml").click()
        expect(page.get_by_role("alert").first).to_contain_text("left without being saved")
        expect(page.get_by_label("crew: mass", exact=True)).to_have_value("230")
        expect(page.get_by_label("tools and rations: mass", exact=True)).to_have_value("a lot")
        expect(undo_of(page)).to_have_text("Undo rear target, 1.38")
        undo_of(page).click()
        expect(page.get_by_label("rear target", exact=True)).to_have_value("1.42 Hz")
        page.keyboard.press("Control+s")
        expect(page.get_by_role("navigation", name="Sheet")).to_contain_text("truck.toml, saved")
        assert load(truck).design.items[0].mass == 230
        one.leave()


def test_nothing_is_pressed_before_the_page_listens(chromium, house):
    one = visit(chromium, house)
    page = one.page
    begin(page, "early.toml")
    target = page.get_by_label("rear target", exact=True)
    target.fill("1.38")
    target.press("Enter")
    expect(undo_of(page)).to_have_text("Undo rear target, 1.38")
    held = []
    page.route("**/live.js", lambda route: held.append(route))
    page.reload(wait_until="commit")
    undo = page.locator("button", has_text="Undo rear target, 1.38")
    expect(undo).to_be_visible()
    with pytest.raises(sync_api.TimeoutError):
        undo.click(timeout=500)
    held[0].continue_()
    undo.click()
    expect(target).to_have_value("1.42 Hz")

    # nor a view played before its scene is there
    late = []
    page.route("**/scene/*", lambda route: late.append(route))
    page.get_by_role("button", name=re.compile("^Diagonal ditch")).click()
    ditch = page.get_by_role("figure", name=re.compile("^Diagonal ditch"))
    play = ditch.get_by_role("button", name="Play")
    expect(play).to_be_disabled(timeout=LONG)
    while not late:
        page.wait_for_timeout(20)
    assert play.is_disabled()
    late[0].continue_()
    expect(play).to_be_enabled(timeout=LONG)
    assert ditch.evaluate("figure => figure.round.state()")["ready"]
    one.leave()


# ---- With the keyboard alone -----------------------------------------------------------------------------------------

SETTLES = 3.0  # s
FOCUS = """() => {
  const one = document.activeElement, box = one.getBoundingClientRect(), look = getComputedStyle(one);
  const at = document.elementFromPoint(box.left + Math.min(box.width / 2, 40), box.top + box.height / 2);
  const text = (one.getAttribute("aria-label") || one.labels?.[0]?.textContent || one.textContent || "").trim().replace(/\\s+/g, " ");
  return { tag: one.tagName, text, ring: look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2,
           seen: box.bottom > 0 && box.top < innerHeight && (one.contains(at) || at?.contains(one) || false) };
}"""


class Keys:
    """Someone who has a keyboard and no mouse; what they land on is seen and marked, or it is remembered."""

    def __init__(self, page):
        self.page, self.lost = page, []

    def here(self):
        found, until = self.page.evaluate(FOCUS), time.monotonic() + SETTLES
        while not self._marked(found) and time.monotonic() < until:  # what has just come moves the page for a moment
            self.page.wait_for_timeout(50)
            found = self.page.evaluate(FOCUS)
        if not self._marked(found):
            self.lost.append(found)
        return found

    @staticmethod
    def _marked(found):
        return found["tag"] == "BODY" or (found["ring"] and found["seen"])

    def to(self, name, tag="", most=700):
        """Tab on until something of this name has the focus."""
        for _ in range(most):
            self.page.keyboard.press("Tab")
            found = self.here()
            if re.search(name, found["text"]) and found["tag"].lower() in (tag or found["tag"].lower()):
                return found
        raise AssertionError(f"no way to {name} with Tab")

    def press(self, *keys):
        for key in keys:
            self.page.keyboard.press(key)

    def write(self, text):
        self.press("Control+a")
        self.page.keyboard.type(text)


def test_the_whole_job_with_the_keyboard_alone(chromium, house):
    truck = house.folder / "keys.toml"
    one = visit(chromium, house)
    page, keys = one.page, Keys(one.page)
    keys.to("^From", "select")
    page.keyboard.type("fire-watch, an")
    keys.to("^as", "input")
    keys.write("keys.toml")
    keys.to("^Begin$", "button")
    keys.press("Enter")
    arrived(page)
    keys.to("^Unfold all$", "button")
    keys.press("Enter")
    expect(page.locator("section.folded")).to_have_count(1)
    page.reload()
    arrived(page)

    page.keyboard.press("Tab")
    assert keys.here()["text"] == "To the worksheet"
    keys.press("Enter")
    keys.to("^crew: mass$", "input")
    keys.write("230 kg")
    keys.press("Enter")
    undo = undo_of(page)
    expect(undo).to_have_text("Undo crew: mass, 230 kg")
    keys.press("ArrowUp")  # steps the last digit shown; the focus has stayed
    expect(page.get_by_label("crew: mass", exact=True)).to_have_value("231")
    keys.press("Shift+ArrowDown")
    expect(page.get_by_label("crew: mass", exact=True)).to_have_value("221")
    keys.write("nonsense")
    keys.press("Escape")
    expect(page.get_by_label("crew: mass", exact=True)).to_have_value("221")
    keys.to("^crew aboard in Kerb$", "input")
    keys.press("Space")
    expect(undo).to_have_text("Undo crew into Kerb")

    keys.to("^front target, Hz$")
    keys.press("ArrowRight", "ArrowRight", "ArrowUp")
    expect(page.get_by_role("slider", name="front target, Hz")).to_have_attribute("aria-valuenow", "1.33")
    heading = region(page, "Spring").get_by_role("heading", name=re.compile("^Front: "))
    before = heading.inner_text()
    keys.to("^Choose .* for the front axle$", "button")
    keys.to("^Choose .* for the front axle$", "button")
    keys.press("Enter")
    expect(heading).not_to_have_text(before)
    keys.to(r"^\w+ figures(, open)? of Rides\?$", "button")
    keys.press("Space")
    expect(page.get_by_label("weighted acceleration, all three axes, limit")).to_be_visible(timeout=LONG)

    keys.to("^Diagonal ditch", "button")
    keys.press("Enter")
    ditch = page.get_by_role("figure", name=re.compile("^Diagonal ditch"))
    expect(ditch.get_by_role("button", name="Play")).to_be_enabled(timeout=LONG)
    keys.to("^Play$", "button")
    keys.press("Space")
    expect(ditch.get_by_role("button", name="Pause")).to_be_visible()
    keys.press("Space")
    expect(ditch.get_by_role("button", name="Play")).to_be_visible()
    frame = ditch.evaluate("figure => figure.round.state()")["frame"]
    keys.to("^Cross-axle height$", "input")
    keys.press("ArrowRight")
    assert ditch.evaluate("figure => figure.round.state()")["frame"] == frame + 1

    keys.to("the whole case", "a")
    keys.press("Control+z")
    expect(heading).to_have_text(before)
    keys.press("Control+s")
    expect(page.get_by_role("navigation", name="Sheet")).to_contain_text("keys.toml, saved")
    kept = load(truck).design
    assert (kept.items[0].mass, kept.axles[0].target.frequency) == (221, 1.33)
    assert "crew" in kept.states[0].aboard
    assert keys.lost == []
    one.leave()


# ---- For every eye and hand ------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def sheet(chromium, house):
    """The fire-watch demo with every section, question and detail unfolded, and a blank that cannot be."""
    one = visit(chromium, house)
    page = one.page
    begin(page, "sheet.toml")
    page.get_by_role("button", name="Write its curve as points").first.click()
    expect(page.get_by_role("slider", name=re.compile("^force at"))).not_to_have_count(0)
    settled(page)
    for verb in VERBS.values():
        page.get_by_role("button", name=re.compile(rf"figures(, open)? of {verb}\?$")).click()
    page.get_by_role("button", name="Compare").click()
    page.get_by_role("button", name="Unfold the file").click()
    page.get_by_role("button", name="what is saved").click()
    for key in page.get_by_role("button", name=re.compile("show its working")).all()[:3]:
        key.click()
        expect(key).to_have_attribute("aria-expanded", "true")
    for blank in (
        page.get_by_label("crew: mass", exact=True),
        page.get_by_label("weighted acceleration at the seat, limit"),
    ):
        blank.fill("12 parsnips")
        blank.press("Enter")
        expect(blank).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_role("table", name="Here, and sheet.toml as it is saved")).to_be_visible()
    yield replace(house, path=page.url.removeprefix(f"http://{house.host}"))
    one.leave()


def grave(page, *rules):
    """What axe finds serious or critical, each with where and why; by all its rules, or by some alone."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
    options = {"resultTypes": ["violations"]} | ({"runOnly": list(rules)} if rules else {})
    found = axe.Axe().run(page, options=options).response["violations"]
    return [
        (one["id"], node["target"], [each["message"] for each in (*node["any"], *node["all"], *node["none"])])
        for one in found
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]


def in_both_schemes(page):
    """By every rule in light; in dark, which changes nothing but colours, by the rule for them."""
    page.emulate_media(color_scheme="light")
    assert grave(page) == []
    page.emulate_media(color_scheme="dark")
    assert grave(page, "color-contrast") == []


WIDER = "document.scrollingElement.scrollWidth - innerWidth"


@pytest.mark.parametrize("size", SIZES)
def test_no_serious_fault_of_access_and_nothing_cut_off(chromium, sheet, size):
    one = visit(chromium, sheet, size)
    page = one.page
    expect(page.get_by_role("alert").first).to_be_visible()
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    time.sleep(0.3)
    in_both_schemes(page)
    assert page.evaluate(WIDER) <= 0
    cut = page.evaluate(
        """() => [...document.querySelectorAll("input:not([type=checkbox]):not([type=range]), select")]
            .filter((one) => one.checkVisibility() && one.scrollWidth > one.clientWidth + 1).map((one) => one.getAttribute("aria-label"))"""
    )
    assert cut == []
    page.get_by_role("link", name="Designs").click()
    expect(page.get_by_role("heading", name="Begin")).to_be_visible()
    in_both_schemes(page)
    assert page.evaluate(WIDER) <= 0
    one.leave()


def test_what_is_done_while_the_line_is_down_is_sent_when_it_is_up(chromium, sheet):
    one = visit(chromium, sheet)
    page = one.page
    tries = []

    def line(socket):
        """The first two times nobody answers, then the workbench does."""
        tries.append(socket)
        if len(tries) > 2:
            socket.connect_to_server()
        else:
            socket.close()

    page.route_web_socket(re.compile(r"/live\?"), line)
    page.reload()
    expect(page.get_by_text("The line to the workbench is down").or_(page.locator("[data-line=down]"))).to_be_visible()
    blank = page.get_by_label("tools and rations: mass", exact=True)
    blank.fill("85 kg")
    blank.press("Enter")
    expect(undo_of(page)).to_have_text("Undo tools and rations: mass, 85 kg", timeout=LONG)
    expect(blank).to_have_value("85")
    undo_of(page).click()
    expect(blank).to_have_value("80")
    one.leave()


def test_nothing_is_lost_where_the_line_breaks_in_the_midst_of_it(chromium, sheet):
    """Two values were sent and a drag was on its way when the line broke: each is there when it is up again, in its order."""
    one = visit(chromium, sheet)
    page = one.page
    heard = []

    def line(socket):
        """The first time nothing is answered; then the workbench is."""
        if heard:
            socket.connect_to_server()
        else:
            heard.append(socket)
            socket.on_message(lambda _: None)

    page.route_web_socket(re.compile(r"/live\?"), line)
    page.reload()
    expect(page.locator("[data-line=up]")).to_be_attached()
    for label, text in (("crew: mass", "171 kg"), ("tools and rations: mass", "81 kg")):
        page.get_by_label(label, exact=True).fill(text)
        page.get_by_label(label, exact=True).press("Enter")
    handle = page.get_by_role("slider", name="front target, Hz")
    was = float(handle.get_attribute("aria-valuenow"))
    handle.focus()
    for _ in range(4):  # one is sent, of the others the last waits
        handle.press("ArrowRight")
    heard[0].close()
    expect(page.get_by_label("front target", exact=True).first).to_have_value(f"{was + 0.04:.2f} Hz", timeout=LONG)
    expect(page.get_by_label("crew: mass", exact=True)).to_have_value("171")
    expect(page.get_by_label("tools and rations: mass", exact=True)).to_have_value("81")
    undo_of(page).click()
    expect(handle).to_have_attribute("aria-valuenow", f"{was:.2f}")
    for _ in range(2):
        expect(undo_of(page)).to_contain_text("mass, ")
        undo_of(page).click()
    expect(page.get_by_label("crew: mass", exact=True)).to_have_value("170")
    one.leave()


def test_the_sheet_prints_as_calculation_pages(chromium, sheet):
    one = visit(chromium, sheet)
    page = one.page
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") in (
        "rgb(255, 255, 255)",
        "rgba(0, 0, 0, 0)",
    )
    pdf = page.pdf(prefer_css_page_size=True, print_background=True)
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    for each in pages:
        assert (float(each.mediabox.width), float(each.mediabox.height)) == pytest.approx((841.9, 595.3), abs=1.5)
    texts = words_of(pdf)
    assert "Fire-watch truck" in texts[0]
    whole = " ".join(texts)
    for verb in ("Weigh", "Aim", "Place", "Spring", "Damp", "Prove", "Order"):
        assert verb in whole
    assert not re.search(r"\b(Fold|Unfold|Redo|Keep as SVG)\b", whole)
    assert [text for text in texts[:-1] if len(text) <= 250] == []  # no page is near empty
    page.emulate_media(media="screen")
    page.get_by_role("button", name="Fold all", exact=True).click()
    expect(page.get_by_role("button", name="Unfold all", exact=True)).to_be_visible()
    while page.evaluate("window.springwright.owed"):  # what is out of sight is folded a frame later
        time.sleep(0.05)
    few = pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True, print_background=True))).pages
    page.get_by_role("button", name="Unfold all", exact=True).click()
    assert len(few) <= 10
    one.leave()


# ---- Nothing moves under the hand ------------------------------------------------------------------------------------

WATCH = """(one) => {
  const found = (window.shifts = { most: 0, count: 0 });
  const from = one.getBoundingClientRect(), size = one.size;
  const look = () => {
    const now = one.isConnected ? one : document.getElementById(one.id);
    const box = now?.getBoundingClientRect();
    // a blank that holds a longer text than it did is wider, and its column with it
    const across = box && now.size === size ? Math.abs(box.left - from.left) : 0;
    if (box) found.most = Math.max(found.most, Math.abs(box.top - from.top), across);
    found.count += 1;
    if (window.shifts === found) requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
}"""
# A blank of every section: edits there make all sections above and below it longer or shorter.
UNDER_THE_HAND = (
    "crew: mass", "front target", "front track", "front damping ratio", "height change between load states, rear, limit",
)  # fmt: skip


def test_nothing_moves_under_the_hand(chromium, house):
    """Through steps, a wrong value, its mending, undo and the answers arriving, what the pointer is on stays within a pixel, frame by frame."""
    one = at_the_desk(chromium, house)
    page = one.page
    begin(page, "still.toml")
    settled(page)
    page.get_by_role("button", name=re.compile(r"figures(, open)? of Level\?$")).click()
    for label in UNDER_THE_HAND:
        blank = page.get_by_label(label, exact=True).first
        blank.evaluate("(one) => one.scrollIntoView({ block: 'center' })")
        box = blank.bounding_box()
        page.mouse.move(box["x"] + 4, box["y"] + box["height"] / 2)
        page.mouse.click(box["x"] + 4, box["y"] + box["height"] / 2)
        time.sleep(0.3)
        blank.evaluate(WATCH)
        for key in ("ArrowUp", "ArrowUp", "ArrowDown", "ArrowUp"):
            blank.press(key)
            time.sleep(0.25)
        settled(page)
        blank.fill("12 parsnips")
        blank.press("Enter")
        expect(blank).to_have_attribute("aria-invalid", "true")
        time.sleep(0.3)
        blank.press("Escape")
        time.sleep(0.3)
        page.keyboard.press("Control+z")
        settled(page)
        found = page.evaluate("window.shifts")
        page.evaluate("window.shifts = null")
        assert found["count"] > 60, label
        assert found["most"] <= 1.0, label
    one.leave()


# ---- Trade -----------------------------------------------------------------------------------------------------------


def test_a_design_is_traded_with_pointer_and_keys(chromium, sheet):
    """A step tried by a key hangs a plumb line and undo takes it back; a bead is walked to and picked; a range kept on a scale holds others back."""
    found = visit(chromium, sheet)
    page, trade = found.page, region(found.page, "Trade")
    arrived(page)
    unfold = page.get_by_role("button", name="Unfold Trade")
    if unfold.count():
        unfold.click()
    settled(page)
    trade.get_by_label("designs that a search tries").fill("250")
    trade.get_by_label("designs that a search tries").press("Enter")
    trade.get_by_role("button", name="Search the front").click()
    expect(trade.get_by_role("button", name="Search again")).to_be_visible(timeout=LONG)
    trade.get_by_role("button", name="Make one step of every decision").click()
    expect(trade.get_by_role("button", name="Make the steps again")).to_be_visible(timeout=LONG)

    step = trade.locator("svg g.press").filter(has_text="Centre of gravity")
    step.focus()
    page.keyboard.press("Enter")
    expect(trade).to_contain_text("One step tried")
    expect(trade.locator("figure[data-keep=exchange] circle.f-pencil").first).to_be_attached(timeout=LONG)
    trade.get_by_role("button", name="Undo", exact=True).first.click()
    expect(trade).not_to_contain_text("One step tried")

    bead = trade.locator("g.bead[tabindex='0']")
    bead.focus()
    first = bead.get_attribute("data-design")
    page.keyboard.press("ArrowRight")
    walked = page.evaluate("document.activeElement.dataset.design")
    assert walked != first
    page.keyboard.press("Enter")
    expect(trade.locator(".panel")).to_contain_text(f"Design {walked}")

    scale = trade.locator("[data-scale]").nth(6)
    scale.scroll_into_view_if_needed()
    places = page.evaluate(
        """() => { const svg = document.querySelector("[data-scale]").ownerSVGElement, box = svg.getBoundingClientRect(), by = box.height / svg.viewBox.baseVal.height;
        const data = JSON.parse(document.querySelectorAll("[data-scale]")[6].dataset.scale);
        const lines = [...svg.querySelectorAll("g.design")].filter((one) => one.dataset.design !== "0");
        const ys = lines.map((one) => Number(one.querySelector("path").getAttribute("d").slice(1).split("L")[6].split(" ")[1])).sort((a, b) => a - b);
        return { x: box.left + data.x * by, ys: ys.map((y) => box.top + y * by) }; }"""
    )
    ys = places["ys"]
    between = next(k for k in range(len(ys) - 1) if ys[k + 1] - ys[k] > 1 and ys[k] - ys[0] > 5)
    page.mouse.move(places["x"], ys[0] - 2)
    page.mouse.down()
    page.mouse.move(places["x"], (ys[between] + ys[between + 1]) / 2, steps=4)
    page.mouse.up()
    counted = trade.locator("[data-counted]")
    every = int(counted.get_attribute("data-counted"))
    some = int(counted.inner_text().split()[0])
    assert 0 < some < every
    assert page.evaluate("document.querySelectorAll('g.bead.out').length") == every - some
    page.keyboard.press("Shift+ArrowDown")  # its far end further down: no fewer are left
    assert int(counted.inner_text().split()[0]) >= some
    page.keyboard.press("Escape")
    expect(counted).to_have_text(f"{every} of the {every}")
    in_both_schemes(page)
    assert page.evaluate(WIDER) <= 0
    found.leave()


# ---- Drawn along -----------------------------------------------------------------------------------------------------


def test_the_ends_of_a_lever_are_drawn_along_and_stepped_in_the_units_shown(chromium, house):
    one = at_the_desk(chromium, house)
    page = one.page
    arm, end = page.get_by_role("textbox", name="Wheel to pivot"), page.locator("#end-arm")
    expect(end).to_be_visible()
    box = end.locator(".hit").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 10, y, steps=3)
    page.mouse.move(x + 20, y, steps=3)
    page.mouse.up()
    expect(arm).not_to_have_value("470 mm")
    drawn = parse(arm.input_value(), "length")
    assert 0.50 < drawn < 0.58  # 470 mm are 150 px
    expect(end).to_have_attribute("aria-valuenow", f"{drawn * 1000:.4g}")
    end.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    expect(arm).to_have_value(f"{drawn * 1000 + 10:.0f} mm")
    page.get_by_label("units").select_option("imperial")
    expect(end).to_have_attribute("aria-valuenow", f"{(drawn + 0.01) / 0.0254:.4g}")
    end.focus()
    page.keyboard.press("ArrowRight")
    expect(arm).to_have_value(re.compile(r" in$"))
    assert parse(arm.input_value(), "length") == pytest.approx(drawn + 0.01 + 0.25 * 0.0254, abs=0.002)
    one.leave()


def test_what_is_drawn_across_keeps_its_height_and_a_key_the_other_way_does_nothing(chromium, house):
    """A step of 5 mm along, of an item that stands on no round height; a stop moves up and down alone."""
    one = at_the_desk(chromium, house)
    page = one.page
    begin(page, "drawn.toml")
    settled(page)
    height = page.get_by_label("crew: above ground", exact=True)
    height.fill("917 mm")
    height.press("Enter")
    along = page.get_by_label("crew: behind front axle", exact=True)
    before = parse(along.input_value() + ("" if "mm" in along.input_value() else " mm"), "length")
    item = page.get_by_role("slider", name="crew", exact=True)
    item.focus()
    page.keyboard.press("ArrowRight")
    expect(item).to_have_attribute("aria-valuenow", f"{before * 1000 + 5:.4g}")
    expect(height).to_have_value(re.compile("917"))
    stop = page.get_by_role("slider", name="front, bump travel", exact=True)
    was = stop.get_attribute("aria-valuenow")
    stop.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowUp")
    expect(stop).to_have_attribute("aria-valuenow", f"{float(was) + 5:g}")
    one.leave()


def test_a_figure_is_looked_at_as_large_as_the_window(chromium, sheet):
    """Every figure that can be kept can be; with keys alone, and the sheet behind it stays as it was."""
    one = visit(chromium, sheet)
    page = one.page
    expect(page.locator(".fig[data-keep]:not(:has([data-larger]))")).to_have_count(0)
    figure = page.locator(".fig:has([data-larger])").first
    figure.get_by_role("button", name="Larger").focus()
    page.keyboard.press("Enter")
    dialog, picture = page.get_by_role("dialog"), page.locator("dialog svg")
    expect(dialog).to_be_visible()
    assert grave(page) == []
    fitted = picture.bounding_box()
    room = page.locator("dialog > div:last-child").bounding_box()
    assert max(fitted["width"] / room["width"], fitted["height"] / room["height"]) == pytest.approx(1, abs=0.01)
    page.keyboard.press("+")
    assert picture.bounding_box()["width"] == pytest.approx(1.5 * fitted["width"], rel=0.01)
    page.keyboard.press("ArrowDown")
    page.keyboard.press("-")
    assert picture.bounding_box()["width"] == pytest.approx(fitted["width"], rel=0.01)
    page.keyboard.press("Escape")
    expect(dialog).to_have_count(0)
    assert page.evaluate("document.activeElement.hasAttribute('data-larger')")
    one.leave()


def test_what_is_built_is_told_beside_the_hand_and_stays_under_it(chromium, house):
    """A bar taken out is told in the section where that was pressed; a turned kind leaves the axle where it stood, and leads to what it wants."""
    one = at_the_desk(chromium, house)
    page = one.page
    begin(page, "hand.toml")
    settled(page)
    axle, undo = page.locator("#place-0"), page.locator("#head").get_by_role("button", name=re.compile("^Undo"))

    def stays(act, told):
        before = axle.bounding_box()["y"]
        act()
        expect(undo).to_have_attribute("title", re.compile(told))
        page.wait_for_timeout(500)
        assert axle.bounding_box()["y"] == pytest.approx(before, abs=1)

    def pressed_undo():  # by the pointer: a locator would scroll to what is in sight already
        box = undo.bounding_box()
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    bar = axle.get_by_role("button", name="No bar")
    bar.scroll_into_view_if_needed()
    stays(bar.click, "front bar, taken out")
    settled(page)
    told = page.locator("#place .diffs")
    expect(told).to_contain_text("Front bar, taken out")
    assert -60 < told.bounding_box()["y"] - axle.bounding_box()["y"] < axle.bounding_box()["height"]
    stays(pressed_undo, "Ctrl Z$")
    wheels = page.get_by_label("front axle, its wheels")
    wheels.focus()
    stays(lambda: wheels.select_option("independent"), "front wheels, independent")
    following = page.get_by_role("button", name="To the next empty blank")
    for label in (
        "front spring arm, pivot to wheel",
        "front spring from the pivot",
        "front spring arm, pivot to wheel",
    ):
        following.click()
        expect(page.get_by_label(label).first).to_be_focused()
    pressed_undo()
    expect(following).to_have_count(0)
    expect(undo).to_have_attribute("title", "Ctrl Z")
    one.leave()
