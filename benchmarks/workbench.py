"""How fast the workbench answers, in a real browser: `python -m benchmarks.workbench`. Needs the test extra and Chromium.

Values are stepped with the arrow keys, a target, which moves one axle's springs, and a load, which moves all there is, and by a drag of a
plumb line, the whole sheet open; the time is from the key or move to the second painted frame after it, split into server, transport
and drawing. Beside it: a bare interpreter and a fixed numpy kernel.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from functools import partial
from pathlib import Path

import numpy as np
from playwright.sync_api import Page, sync_playwright

from benchmarks.beside import kernel, shortest
from springwright.motion.compiled import compiled
from springwright.vehicle.starter import start
from tests.served import served

CHROMIUM = os.environ.get("CHROMIUM", "/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
STEPS, UNDOS = 60, 100
PAINTED = """async (count) => {
  while (!(springwright.updates.length > count && springwright.updates.at(-1).painted)) await new Promise((done) => setTimeout(done, 10));
}"""


def main() -> None:
    bare = shortest(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True))
    print(f"bare interpreter {bare:.3f} s, svd of 400x400 {shortest(kernel):.3f} s")
    with tempfile.TemporaryDirectory() as folder:
        if not compiled():
            print(f"kernels compiled in {compiling(Path(folder)):.0f} s")
        begun = time.perf_counter()
        with served(Path(folder)) as where, sync_playwright() as play:
            answered = time.perf_counter() - begun
            browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            page = browser.new_page(viewport={"width": 1280, "height": 720})
            begun = time.perf_counter()
            page.goto(where.address)
            until(page, "document.body.dataset.line === 'up' && document.querySelectorAll('main section').length > 8")
            loaded = time.perf_counter() - begun
            print(
                f"start to first answer {answered:.2f} s, then the page ready in {loaded:.2f} s: {answered + loaded:.2f} s in all (target 1.5)"
            )
            until(page, "document.querySelector('.busy').textContent.trim().startsWith('All seven')", 90)
            print(
                f"seven answers, window and what moves them: {time.perf_counter() - begun:.1f} s after the page was asked for"
            )
            told("a target typed with arrows", 60, page, partial(arrows, "front target"))
            told("a load typed with arrows", 80, page, partial(arrows, "crew: mass"))
            told("plumb line dragged", 60, page, drag)
            print(f"{UNDOS} undos {undos(page):.1f} s (target 5)")
            settle = time.perf_counter()
            until(page, "document.querySelector('.busy').textContent.trim().startsWith('All seven')", 90)
            print(
                f"settled {time.perf_counter() - settle:.1f} s after the last edit; memory of the server and its process {memory():.0f} MB (target 350)"
            )
            browser.close()


def compiling(folder: Path) -> float:
    """How long a first proof takes, which compiles the kernels [s]."""
    start(folder / "truck.toml", "fire-watch")
    begun = time.perf_counter()
    command = [sys.executable, "-m", "springwright", "prove", "truck.toml"]
    subprocess.run(command, cwd=folder, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - begun


def arrows(label: str, page: Page) -> None:
    """Step a value up and down, each step answered before the next."""
    blank = page.get_by_label(label, exact=True).first
    blank.click()
    for k in range(STEPS):
        count = page.evaluate("springwright.updates.length")
        blank.press("ArrowUp" if k % 20 < 10 else "ArrowDown")
        page.evaluate(PAINTED, count)  # to ask it again and again would take a core from what is measured


def drag(page: Page) -> None:
    """Drag the rear plumb line to and fro as a hand would, a move every 60 ms."""
    line = page.locator("#t-1")
    line.scroll_into_view_if_needed()
    box = line.locator(".grip").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + 60
    page.mouse.move(x, y)
    page.mouse.down()
    for k in range(STEPS):
        page.mouse.move(x + 25 * float(np.sin(k / 6)), y)
        time.sleep(0.06)
    page.mouse.up()
    time.sleep(1)


def undos(page: Page) -> float:
    """How long a hundred undos by keys take, of a hundred loads typed before, from the first key to the last answer [s]."""
    blank = page.get_by_label("crew: mass", exact=True).first
    before = blank.input_value()
    for k in range(UNDOS):
        count = page.evaluate("springwright.updates.length")
        blank.fill(f"{100 + k}.5 kg")
        blank.press("Enter")
        until(page, f"springwright.updates.length > {count}")
    page.evaluate("document.activeElement.blur()")
    count = page.evaluate("springwright.updates.length")
    begun = time.perf_counter()
    for _ in range(UNDOS):
        page.keyboard.press("Control+z")
    until(page, f"springwright.updates.length >= {count + UNDOS}")
    took = time.perf_counter() - begun
    assert blank.input_value() == before, blank.input_value()
    return took


def told(name: str, most: float, page: Page, act) -> None:
    page.evaluate("springwright.updates.length = 0")
    act(page)
    rows = page.evaluate(
        "springwright.updates.filter(u => u.painted).map(u => [u.server, u.arrived - u.sent - u.server, u.painted - u.arrived, u.painted - u.sent])"
    )
    server, way, draw, whole = np.array(rows).T
    print(
        f"{name}: {len(whole)} updates, median {np.median(whole):.0f} ms, p95 {np.percentile(whole, 95):.0f} ms (target {most})"
    )
    for part, values in (("server", server), ("transport", way), ("parse, morph and paint", draw)):
        print(f"    {part}: median {np.median(values):.0f} ms, p95 {np.percentile(values, 95):.0f} ms")


def until(page: Page, condition: str, limit: float = 60) -> None:
    end = time.monotonic() + limit
    while not page.evaluate(condition):
        if time.monotonic() > end:
            raise TimeoutError(condition)
        time.sleep(0.005)


def memory() -> float:
    """Memory of the server, which this process started, and of what that one started, what is shared counted by its share (PSS) [MB]."""
    listed = subprocess.run(["ps", "-eo", "ppid,pid,args"], capture_output=True, text=True, check=True).stdout
    rows = [line.split(None, 2) for line in listed.splitlines()[1:]]
    servers = {row[1] for row in rows if row[0] == str(os.getpid()) and "--no-browser" in row[2]}
    mine = [row[1] for row in rows if row[1] in servers or row[0] in servers]
    told = [Path(f"/proc/{one}/smaps_rollup").read_text() for one in mine]
    return sum(int(line.split()[1]) for text in told for line in text.splitlines() if line.startswith("Pss:")) / 1024


if __name__ == "__main__":
    main()
