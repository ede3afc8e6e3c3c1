"""Takes the handbook's pictures of the page anew, from a finished job: `python tests/by_hand/page_pictures.py`.

They are run for by hand, in Debian's chromium-headless-shell; the same page gives the same pictures. Few colours keep
them small: the page has few, and letters stay sharp. Each screen has its large picture, light, and a strip of its other
looks: dark, and on a phone light and dark. `--whole FOLDER` also keeps every look at its own size, to be looked at;
after that, or alone, the names of the screens that are to be taken, if not all.
"""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Literal

from PIL import Image, ImageOps
from playwright.sync_api import Page, ViewportSize, sync_playwright

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from decalgen.bench.applied import PieceTick, PutOn, seconds_of, text_of, write_applied  # noqa: E402
from decalgen.bench.applying import laid_guide  # noqa: E402
from decalgen.bench.laying_steps import laying_steps  # noqa: E402
from decalgen.bench.registry import SCREENS  # noqa: E402
from decalgen.commands.run import Run  # noqa: E402
from tests.bench.browsing import Opened, browser_program  # noqa: E402
from tests.scan.scans import Faults, checks, scan_of  # noqa: E402

FOLDER = ROOT / "decalgen" / "pages" / "handbook" / "screens"
COLOURS = 128
SIZE: ViewportSize = {"width": 1280, "height": 800}
PHONE: ViewportSize = {"width": 390, "height": 844}
LOOKS: tuple[tuple[Literal["light", "dark"], ViewportSize, float], ...] = (
    ("dark", SIZE, 1 / 2),
    ("light", PHONE, 2 / 3),
    ("dark", PHONE, 2 / 3),
)
"""The looks of a strip, from the left: theme, window and scale."""
STRIP_COLOURS = 48
GAP = 16
"""Pixels between the looks of a strip, in white."""
LAID_AT = seconds_of("2026-11-25T10:05:00Z")
"""When the first piece of the picture of Apply was put on."""
EDGE = (150, 150, 150)
"""The grey of the line about each look: a light one has nearly the paper's colour."""


def main() -> None:
    """Writes a picture and a strip a screen, and those of Jobs."""
    FOLDER.mkdir(exist_ok=True)
    whole = Path(sys.argv[2]) if sys.argv[1:2] == ["--whole"] else None
    wanted = sys.argv[3:] if whole else sys.argv[1:]
    with tempfile.TemporaryDirectory() as top, sync_playwright() as play:
        folder = Path(top) / "models"
        folder.mkdir()
        job = folder / "gannet.yaml"
        for name in ("gannet", "h9", "ostmerrow", "common-inks"):
            shutil.copy(ROOT / "demo" / f"{name}.yaml", folder)
        opened = Opened(job, Path(top) / "data")
        try:
            browser = play.chromium.launch(executable_path=browser_program(), args=["--no-sandbox"])
            context = browser.new_context(
                viewport=SIZE,
                color_scheme="light",
                locale="en-GB",
                reduced_motion="reduce",
                timezone_id="Europe/London",
            )
            page = context.new_page()
            page.goto(opened.address)
            page.get_by_text("nothing to correct").wait_for(timeout=120_000)
            for key, step in SCREENS.items():
                if wanted and key not in wanted:
                    continue
                page.evaluate("key => { location.hash = key; }", key)
                page.get_by_role("heading", name=step.NAME, level=1, exact=True).wait_for()
                page.evaluate("() => document.fonts.ready")
                if key == "originals":
                    scan(page)
                if key == "sheet":
                    nest(page)
                if key == "apply":
                    lay(page, job)
                if key == "proof":
                    page.get_by_role("button", name="Make the proof", exact=True).click()
                    page.get_by_role("button", name="Make the proof again").wait_for(timeout=300_000)
                    page.get_by_text("its bars are not measured yet").first.wait_for(timeout=300_000)
                    page.evaluate("() => { document.activeElement?.blur(); scrollTo(0, 0); }")
                take(page, key, whole)
            if wanted and "jobs" not in wanted:
                return
            page.get_by_role("button", name="Jobs").click()
            page.get_by_role("heading", name="Jobs", level=1, exact=True).wait_for()
            for card in page.locator(".model").all():
                card.locator("svg").first.wait_for(timeout=120_000)
            take(page, "jobs", whole)
        finally:
            opened.end()


def take(page: Page, key: str, whole: Path | None) -> None:
    """Writes the large picture of the screen that is shown and the strip of its other looks."""
    page.mouse.move(1, 1)
    keep(key, opened_picture(page.screenshot()), COLOURS)
    looks = []
    for theme, window, scale in LOOKS:
        page.emulate_media(color_scheme=theme)
        page.set_viewport_size(window)
        page.wait_for_timeout(400)
        page.evaluate("() => scrollTo(0, 0)")
        look = opened_picture(page.screenshot())
        if whole:
            whole.mkdir(exist_ok=True)
            look.save(whole / f"{key}-{theme}-{window['width']}.png")
        small = (round(look.width * scale), round(look.height * scale))
        looks.append(ImageOps.expand(look.resize(small, Image.Resampling.LANCZOS), 1, EDGE))
    keep(f"{key}_looks", strip(looks), STRIP_COLOURS)
    page.emulate_media(color_scheme="light")
    page.set_viewport_size(SIZE)
    page.wait_for_timeout(400)


def strip(looks: list[Image.Image]) -> Image.Image:
    """The looks beside each other on white, their heads level."""
    wide = sum(look.width for look in looks) + GAP * (len(looks) - 1)
    made = Image.new("RGB", (wide, max(look.height for look in looks)), "white")
    left = 0
    for look in looks:
        made.paste(look, (left, 0))
        left += look.width + GAP
    return made


def opened_picture(png: bytes) -> Image.Image:
    """A screenshot as a picture in RGB."""
    with Image.open(io.BytesIO(png)) as shot:
        return shot.convert("RGB")


def nest(page: Page) -> None:
    """Lays the pieces on the film, to the end."""
    page.get_by_role("button", name="Nest", exact=True).click()
    page.get_by_role("button", name="Nest again").wait_for(timeout=300_000)
    page.locator(".films .rest").first.wait_for(timeout=120_000)
    page.evaluate("() => { document.activeElement?.blur(); scrollTo(0, 0); }")


def scan(page: Page) -> None:
    """Reads a scan of a torn strip of checks beside a card, until it is all said."""
    worn = Faults(torn=0.15, yellow=0.4, turn=2, scratches=2)
    made = scan_of(checks(2, 12, (2.0, 2.0)), (24.0, 4.0), ["#1f7f86", "#f4efe0"], worn, 300, 3)
    picture = {"name": "door.png", "mimeType": "image/png", "buffer": made.data}
    page.locator("input[type=file]").first.set_input_files(picture)  # type: ignore[arg-type]
    page.get_by_role("heading", name="Checks, 12 columns").wait_for(timeout=120_000)
    page.locator(".told").filter(has_text="Taking in").wait_for(state="hidden", timeout=20_000)
    page.evaluate("() => { document.activeElement?.blur(); scrollTo(0, 0); }")


def lay(page: Page, job: Path) -> None:
    """Shows the third piece, with two that were put on a while ago, by a clock that stands still."""
    steps = laying_steps(laid_guide(Run([job]), "gannet"))
    ticks = [
        PieceTick(*one.piece, 0, text_of(LAID_AT + 420 * n), one.drawn, one.place) for n, one in enumerate(steps[:2])
    ]
    write_applied(job, PutOn("gannet", len(steps), tuple(ticks)))
    page.clock.set_fixed_time(LAID_AT + 1080)
    page.reload()
    page.get_by_role("heading", name=steps[2].called).wait_for(timeout=120_000)
    page.evaluate("() => { document.activeElement?.blur(); scrollTo(0, 0); }")


def keep(name: str, picture: Image.Image, colours: int) -> None:
    """Writes a picture in few colours."""
    # Chosen by coverage, not by count, so that words in a rare colour keep it; then refined by the nearest means.
    few = picture.quantize(colours, Image.Quantize.MAXCOVERAGE, kmeans=4, dither=Image.Dither.NONE)
    few.save(FOLDER / f"{name}.png", optimize=True)
    print(name, (FOLDER / f"{name}.png").stat().st_size)


if __name__ == "__main__":
    main()
