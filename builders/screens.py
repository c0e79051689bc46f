"""Takes the pictures of the workbench for README and docs from the real page. Run from the project's root: python -m builders.screens

Needs the test extra and Chromium. The demo is invented.
"""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.served import served

DOCS = Path("docs/workbench")
CHROMIUM = os.environ.get("CHROMIUM", "/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
SECTIONS = ("weigh", "aim", "place", "spring", "damp", "prove", "trade", "order")


def main() -> None:
    DOCS.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as where, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for scheme in ("light", "dark"):
            page = browser.new_page(viewport={"width": 1280, "height": 720}, color_scheme=scheme)
            page.goto(where.address)
            settled(page)
            page.screenshot(path=DOCS / f"first-{scheme}.png")
            if scheme == "light":
                sections(page)
            page.close()
        browser.close()


def sections(page: Page) -> None:
    traded(page)
    page.get_by_role("link", name="Rides?").click()
    page.get_by_role("button", name="Diagonal ditch, deeper").click()
    until(page, "document.querySelector('#view-diagonal')?.round?.state().ready")
    page.evaluate("document.querySelector('#view-diagonal').round.seek(1e9)")
    time.sleep(0.5)
    page.set_viewport_size({"width": 1280, "height": page.evaluate("document.documentElement.scrollHeight")})
    page.evaluate("scrollTo(0, 0)")
    for name in SECTIONS:
        page.locator(f"#{name}").screenshot(path=DOCS / f"{name}.png")


def traded(page: Page) -> None:
    """One step of every decision, the front with its knee looked at, and the build spread."""
    trade = page.locator("#trade")
    for ask, again in (("Make one step of every decision", "Make the steps again"), ("Search the front", "Search again"), ("Build it a thousand times", "Build again")):  # fmt: skip
        trade.get_by_role("button", name=ask).click()
        trade.get_by_role("button", name=again).wait_for(timeout=180_000)
    trade.locator("details#trade-designs").evaluate("one => one.open = true")
    trade.get_by_role("row").filter(has_text="knee").get_by_role("button").click()
    trade.locator(".panel").wait_for()
    trade.locator("details#trade-designs").evaluate("one => one.open = false")


def settled(page: Page) -> None:
    until(page, "document.querySelector('.busy')?.textContent.trim().startsWith('All seven')", 120)


def until(page: Page, condition: str, limit: float = 60) -> None:
    end = time.monotonic() + limit
    while not page.evaluate(condition):
        if time.monotonic() > end:
            raise TimeoutError(condition)
        time.sleep(0.05)


if __name__ == "__main__":
    main()
