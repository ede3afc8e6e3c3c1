"""Takes the handbook's pictures of the page anew, from a finished job: `python tests/by_hand/page_pictures.py`.

They are run for by hand, in Debian's chromium; the same page gives the same pictures. 128 colours keep them small: the
page has few, and letters stay sharp.
"""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from decalgen.bench.registry import SCREENS  # noqa: E402
from tests.bench.browsing import Opened  # noqa: E402

FOLDER = ROOT / "decalgen" / "pages" / "handbook" / "screens"
COLOURS = 128
SIZE = {"width": 1280, "height": 800}
PHONE = {"width": 390, "height": 844}


def main() -> None:
    """Writes a picture a screen, one of Jobs, and one of a phone's."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as top, sync_playwright() as play:
        folder = Path(top) / "models"
        folder.mkdir()
        job = folder / "gannet.yaml"
        for name in ("gannet", "h9", "ostmerrow", "common-inks"):
            shutil.copy(ROOT / "demo" / f"{name}.yaml", folder)
        opened = Opened(job, Path(top) / "data")
        try:
            browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
            context = browser.new_context(viewport=SIZE, color_scheme="light", reduced_motion="reduce")
            page = context.new_page()
            page.goto(opened.address)
            page.get_by_text("nothing to correct").wait_for(timeout=120_000)
            for key, step in SCREENS.items():
                page.evaluate("key => { location.hash = key; }", key)
                page.get_by_role("heading", name=step.NAME, level=1, exact=True).wait_for()
                page.evaluate("() => document.fonts.ready")
                if key == "sheet":
                    nest(page)
                page.mouse.move(1, 1)
                keep(key, page.screenshot())
            page.get_by_role("button", name="Jobs").click()
            page.get_by_role("heading", name="Jobs", level=1, exact=True).wait_for()
            for card in page.locator(".model").all():
                card.locator("svg").first.wait_for(timeout=120_000)
            page.mouse.move(1, 1)
            keep("jobs", page.screenshot())
            page.set_viewport_size(PHONE)
            page.evaluate("() => { location.hash = 'draw'; }")
            page.get_by_role("heading", name="Draw", level=1).wait_for()
            keep("phone", page.screenshot())
        finally:
            opened.end()


def nest(page: Page) -> None:
    """Lays the pieces on the film, to the end."""
    page.get_by_role("button", name="Nest", exact=True).click()
    page.get_by_role("button", name="Nest again").wait_for(timeout=300_000)
    page.locator(".films .rest").first.wait_for(timeout=120_000)
    page.evaluate("() => { document.activeElement?.blur(); scrollTo(0, 0); }")


def keep(name: str, png: bytes) -> None:
    """Writes a picture in few colours."""
    with Image.open(io.BytesIO(png)) as shot:
        few = shot.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
        few.save(FOLDER / f"{name}.png", optimize=True)
    print(name, (FOLDER / f"{name}.png").stat().st_size)


if __name__ == "__main__":
    main()
