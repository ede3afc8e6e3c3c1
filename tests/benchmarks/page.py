"""From an edit to its picture on the page, in Chromium, for a job of ten decals; by hand.

python tests/benchmarks/page.py

Wall times are those of the browser, from the key or the release of the mouse to the second frame after the new picture
is in the page. They depend on how busy the machine is, which is printed beside them; the processor time of the server
for the same steps, up to the answer that the picture is made of, is the steadier figure. "Nothing kept" is the same
server with its drawings forgotten before each step.
"""

from __future__ import annotations

import os
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from decalgen.bench.desk import Desk
from decalgen.bench.page_state import do, page_state
from decalgen.bench.pictures import Drawings
from decalgen.bench.workplace import Workplace

ROUNDS = 15
ASKED = {"edit": 100, "release": 60, "reading": 80}
"""Milliseconds, at most."""
HEAD = """\
job: ten
body: "#1d2b4a"
film: white
inks:
  lifebuoy orange: {colour: "#e8641b"}
  rope cream: {colour: "#e4cba0"}
panels:
  door:
    width: 22.40 mm ± 0.05
    height: 11.60 mm ± 0.05
    obstacles:
      handle: {rectangle: [3.0 mm, 0.8 mm], at: [16.5 mm, 8.2 mm], clearance: 0.3 mm}
  bonnet: {chord: 24.20 mm ± 0.05, rise: 1.10 mm ± 0.10, length: 19.50 mm ± 0.05}
  side: {bottom width: 31.0 mm ± 0.25, top width: 28.6 mm ± 0.25, height: 12.4 mm ± 0.25}
decals:
"""
DECAL = """\
  band NUMBER:
    panel: PANEL
    hands: both
    at: {anchor: bottom, offset: [0 mm, UP mm]}
    width: 20.00 mm
    height: 2.60 mm
    artwork:
      - field: {ink: lifebuoy orange}
      - checks: {rows: 2, columns: 24, height: 0.8 mm, at: top, inks: [rope cream, lifebuoy orange]}
      - lettering: {text: HARBOUR STORES NUMBER, cap height: 1.2 mm, at: bottom + 0.3 mm, ink: white}
"""
DECALS = 10
VIEW = {"screen": "draw", "panel": "door", "decal": "band 0", "hand": "", "other": "later"}
"""As the page asks: the other hand is told by itself, once the first is drawn."""
CHECKED = """async () => {
    const state = await (await fetch("/state?screen=check&tab=bench")).json();
    return state.screen.of === state.version;
}"""
CLOCK = """() => {
    const work = document.getElementById("work");
    new MutationObserver(() => {
        const took = () => { if (window.began) window.took ||= performance.now() - window.began; };
        requestAnimationFrame(() => requestAnimationFrame(took));
    }).observe(work, { childList: true });
    for (const kind of ["keydown", "pointerup"]) addEventListener(kind, (event) => {
        if (kind === "pointerup" || event.key === "Enter") window.began = performance.now();
    }, true);
}"""


def job_text() -> str:
    """The job."""
    where = [("door", 0.6), ("bonnet", 1.0), ("side", 1.0)]
    rows = []
    for number in range(DECALS):
        panel, foot = where[number % 3]
        text = DECAL.replace("NUMBER", str(number)).replace("PANEL", panel)
        rows.append(text.replace("UP", f"{foot + 3 * (number // 3):.2f}"))
    return HEAD + "".join(rows)


def spent(folder: Path, forget: bool) -> dict[str, float]:
    """The processor time of the server for one step of each kind, the middle of some, milliseconds."""
    path = folder / "ten.yaml"
    path.write_text(job_text(), encoding="utf-8")
    place = Workplace(Desk(path))
    page_state(place, "draw", VIEW)
    size = iter(range(1, 10_000))

    def edit() -> None:
        at = ["decals", "band 0", "height"]
        was = place.desk.values["decals"]["band 0"]["height"]
        one = {"do": "set", "at": at, "to": f"2.{60 + next(size) % 20} mm", "was": was}
        place.change({"base": place.desk.version, "label": "height", "edits": [one]})

    def release() -> None:
        asked = {"decals": ["band 0"], "hand": "left", "dx": (-1) ** next(size) * 0.2, "dy": 0.0}
        do(place, "draw", "move", asked)

    def reading() -> None:
        at = ["panels", "door", "width"]
        was = place.desk.values["panels"]["door"]["width"]
        one = {"do": "reading", "at": at, "to": f"22.{40 + next(size) % 9} ± 0.05", "was": was}
        place.change({"base": place.desk.version, "label": "width", "edits": [one]})

    def timed(step: Callable[[], None], screen: str) -> float:
        times = []
        for _ in range(ROUNDS):
            if forget:
                place.drawings = Drawings()
            begin = time.process_time()
            step()
            page_state(place, screen, VIEW | {"screen": screen})
            times.append(1000 * (time.process_time() - begin))
        return statistics.median(times)

    return {"edit": timed(edit, "draw"), "release": timed(release, "draw"), "reading": timed(reading, "measure")}


def seen(folder: Path) -> dict[str, float]:
    """The wall time in Chromium of each kind of step, the middle of some, milliseconds, each made once the check of the
    one before is over."""
    from playwright.sync_api import Page, sync_playwright

    from tests.bench.browsing import Opened, browser_program

    path = folder / "ten.yaml"
    path.write_text(job_text(), encoding="utf-8")
    server = Opened(path, folder / "data", anew=True)

    def took(page: Page, step: Callable[[], None]) -> float:
        times = []
        for _ in range(ROUNDS):
            page.get_by_text("all kept").wait_for()
            # The check of what was typed before is over.
            while not page.evaluate(CHECKED):
                page.wait_for_timeout(50)
            page.evaluate("() => { window.began = window.took = 0; }")
            step()
            while not page.evaluate("() => window.took"):
                page.wait_for_timeout(20)
            times.append(float(page.evaluate("() => window.took")))
        return statistics.median(times)

    try:
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=browser_program(), args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.goto(server.address)
            page.get_by_role("heading", name="Measure", level=1).wait_for()
            page.evaluate(CLOCK)
            size = iter(range(1, 10_000))

            def reading() -> None:
                page.locator("[data-key='reading 0']").fill(f"22.{40 + next(size) % 9}")
                page.locator("[data-key='reading 0']").press("Enter")

            def again() -> None:
                page.locator("button.row").first.click()
                page.wait_for_timeout(100)
                reading()

            found = {"reading": took(page, again)}
            page.get_by_role("button", name="Draw").first.click()
            page.get_by_role("heading", name="Draw", level=1).wait_for()

            def edit() -> None:
                page.locator("[data-key='blank decals band 0 height']").click()
                page.keyboard.type(f"2.{60 + next(size) % 20} mm")
                page.keyboard.press("Enter")

            def release() -> None:
                box = page.locator("[data-key='piece band 0'] .grip").first.bounding_box()
                assert box is not None
                x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
                page.mouse.move(x, y)
                page.mouse.down()
                page.mouse.move(x + 12 * (-1) ** next(size), y - 1, steps=4)
                page.mouse.up()

            found |= {"edit": took(page, edit), "release": took(page, release)}
            browser.close()
    finally:
        server.end()
    return found


def main() -> None:
    """Prints the times beside what is asked of them."""
    load = "load {:.1f} {:.1f} {:.1f}".format(*os.getloadavg())
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        kept, forgotten = spent(folder, forget=False), spent(folder, forget=True)
        wall = seen(folder)
    print(f"{DECALS} decals, {load}")
    print(f"{'':10}{'browser':>10}{'asked':>8}{'server cpu':>12}{'nothing kept':>14}{'ratio':>7}")
    for step, most in ASKED.items():
        ratio = forgotten[step] / kept[step]
        row = f"{wall[step]:8.0f}ms{most:6}ms{kept[step]:10.1f}ms{forgotten[step]:12.1f}ms{ratio:7.1f}"
        print(f"{step:10}{row}")


if __name__ == "__main__":
    main()
