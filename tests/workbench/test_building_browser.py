"""Two vehicles built from a blank sheet with nothing but the page: a six-wheeler, and a buggy from its pivot points."""

from __future__ import annotations

import json
import re
import tomllib
from importlib.resources import files

import pytest

from springwright.vehicle.file import load, read_text
from springwright.vehicle.starter import start
from tests.workbench.test_building import build
from tests.workbench.test_workbench_browser import (  # noqa: F401 fixtures
    chromium,
    expect,
    house,
    pytestmark,
    says,
    visit,
)

FIND = """([kind, wanted]) => {
  const same = (one) => {
    const { to, ...rest } = wanted;
    return JSON.stringify(JSON.parse(one)) === JSON.stringify(kind === "pick" ? rest : wanted);
  };
  const found = kind === "at"
    ? [...document.querySelectorAll("[data-at]")].filter((one) => JSON.stringify(JSON.parse(one.dataset.at)) === JSON.stringify(wanted))
    : [...document.querySelectorAll(`[data-${kind}]`)].filter((one) => same(one.dataset[kind]));
  const one = found.find((each) => each.checkVisibility()) ?? found[0];
  if (!one) return false;
  for (let up = one; up; up = up.parentElement) if (up.tagName === "DETAILS") up.open = true;
  document.querySelector("[data-hand]")?.removeAttribute("data-hand");
  one.setAttribute("data-hand", "");
  return true;
}"""


FOLDED = """() => {
  document.querySelector("[data-next]")?.removeAttribute("data-next");
  const presses = [...document.querySelectorAll("button")];
  const one = presses.find((each) => /^(Everything|The rest of the|Catalogue and|What varies|More of it|Unfold (?!the file|all))/.test(each.innerText.replace(/\\s+/g, " ")));
  one?.setAttribute("data-next", "");
  return Boolean(one);
}"""


REST = """() => new Promise((done) => {
  const was = window.springwright.owed, until = performance.now() + 5000;
  const look = () => !window.springwright.owed || performance.now() > until ? done(was && !window.springwright.owed) : setTimeout(look, 5);
  look();
})"""


class Hand:
    """Does on the page what a test asks, as a person would: presses, picks and writes, and opens what is folded to get there."""

    def __init__(self, page):
        self.page = page
        self.wrong = {}
        self._text = None  # as it was read since the last thing done

    @property
    def text(self):
        """The file's text as the page has it."""
        if self._text is None:
            self.page.evaluate(REST)
            self._text = self.page.locator("#file-text").input_value()
        return self._text

    def _at_hand(self, kind, wanted):
        while not self.page.evaluate(FIND, [kind, wanted]):
            if self.page.evaluate(REST):  # what is out of sight comes a moment later
                continue
            if not self.page.evaluate(FOLDED):
                return None
            with self.answered():
                self.page.locator("[data-next]").click()
        return self.page.locator("[data-hand]")

    def answered(self):
        """Wait until what is done within was answered to."""
        page = self.page
        self._text = None
        count = page.evaluate("window.springwright.updates.length")

        class Waiting:
            def __enter__(self):
                return self

            def __exit__(self, *_):
                page.evaluate("""(count) => new Promise((done, fail) => {
                  setTimeout(() => fail(new Error("no answer")), 20000);
                  const look = () => window.springwright.updates.length > count && !document.querySelector("[data-pending]") ? done() : setTimeout(look, 5);
                  look();
                })""", count)  # fmt: skip

        return Waiting()

    def act(self, do, **asked):
        if do == "axle":
            with self.answered():
                place = self.page.get_by_label("Where the axle stands, behind the front one")
                if asked["place"]:
                    place.fill(asked["place"])
                self.page.get_by_role("button", name="Put it in").click()
            return
        wanted = {"do": do, **asked}
        found = self._at_hand("do", wanted) if "to" not in asked else None
        if found is not None:
            with self.answered():
                found.click()
            return
        found = self._at_hand("pick", {"do": do, "at": asked["at"], "to": asked.get("to")})
        assert found is not None, f"nothing on the page does {wanted}"
        assert found.input_value() != asked["to"], f"{wanted} is picked already"
        with self.answered():
            found.select_option(asked["to"])

    def write(self, at, value):
        found = self._at_hand("at", list(at))
        assert found is not None, f"no blank for {at}"
        if found.input_value() == value:  # it is so already, and says nothing
            return True
        with self.answered():
            if found.evaluate("one => one.tagName") == "SELECT":
                found.select_option(value)
            else:
                found.fill(value)
                found.press("Enter")
        return not any(
            json.loads(bad.get_attribute("data-at")) == list(at) for bad in self.page.locator("[aria-invalid]").all()
        )


def built(chromium, house, demo, name):  # noqa: F811
    """A demo's design built on the page from a blank sheet; the page, and what it was to be."""
    text = (files("springwright") / "demos" / f"{demo}.toml").read_text(encoding="utf-8")
    if not (house.folder / "springs.csv").exists():
        start(house.folder / f"{demo}-as-it-is.toml", demo)
    one = visit(chromium, house)
    page = one.page
    page.set_default_timeout(20_000)
    expect(page.get_by_role("heading", name="Begin")).to_be_visible()
    page.get_by_label("From").select_option("blank")
    page.get_by_label("as", exact=True).fill(name)
    page.get_by_role("button", name="Begin", exact=True).click()
    expect(page.locator("body")).not_to_have_attribute("inert", "")
    expect(page.locator("body[data-line=up]")).to_be_visible()
    hand = Hand(page)
    with hand.answered():
        page.locator("#text button").click()  # the file's text, to read what came of it
    expect(page.get_by_text("Nothing is worked out until")).to_be_visible()
    build(hand, tomllib.loads(text), lambda hand, do, **asked: hand.act(do, **asked))
    return one, hand, text


@pytest.mark.parametrize(("demo", "name"), [("bog-carrier", "six.toml"), ("survey-buggy", "buggy.toml")])
def test_a_vehicle_is_built_sized_and_proven_with_nothing_but_the_page(chromium, house, demo, name):  # noqa: F811
    one, hand, text = built(chromium, house, demo, name)
    page = one.page
    expect(page.get_by_text("Nothing is worked out until")).to_have_count(0)
    with hand.answered():
        page.get_by_role("button", name="Save", exact=True).click()
    made = load(house.folder / name)
    assert made.design.model_dump(mode="json") == read_text(text, demo, house.folder).model_dump(mode="json")
    assert not re.search(r'= ""|\{\}|\[\]', made.text)
    says(page, house.folder / name)
    one.leave()
