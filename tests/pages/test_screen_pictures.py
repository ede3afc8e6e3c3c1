"""The handbook's pictures of the page: there, small, and shown in both forms of the book."""

from __future__ import annotations

import base64
import re
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from decalgen.bench.registry import SCREENS
from decalgen.core.errors import InputError
from decalgen.pages import handbook
from decalgen.pages.handbook import Chapter
from decalgen.pages.handbook.book import book
from decalgen.pages.handbook.html import html
from decalgen.pages.handbook.parts import PICTURE
from decalgen.pages.handbook.pdf import pdf
from decalgen.pages.handbook.screen_pictures import FOLDER, KEY, screen_picture

MOST_TOGETHER = 600_000
"""Bytes of all large pictures, and of all strips: they travel with every installation."""
SHOWN = [*SCREENS, "jobs"]
LOOKS = (("dark", 640, 400), ("light", 260, 563), ("dark", 260, 563))
"""What a strip shows from the left: 1280 x 800 at a half, and 390 x 844 at two thirds, in pixels."""
TEXT = "# Page\n\nHere it is.\n\n<!-- picture: screen draw | A panel with its decals -->\n\nThat was it.\n"


def chapter(text: str) -> Chapter:
    return Chapter("page", "Page", Path("10-page.md"), text)


def test_each_is_a_picture_of_the_size_it_says_in_few_colours() -> None:
    files = sorted(FOLDER.glob("*.png"))
    assert {one.stem for one in files} == {*SHOWN, *(f"{name}_looks" for name in SHOWN)}
    strips = [one for one in files if one.stem.endswith("_looks")]
    assert sum(one.stat().st_size for one in strips) < MOST_TOGETHER
    assert sum(one.stat().st_size for one in files if one not in strips) < MOST_TOGETHER
    for one in files:
        found = screen_picture(f"{KEY}{one.stem}")
        with Image.open(one) as shot:
            assert shot.size == (found.width, found.height) and shot.mode == "P"


@pytest.mark.parametrize("name", SHOWN)
def test_each_screen_is_shown_light_and_dark_large_and_on_a_phone(name: str) -> None:
    found = screen_picture(f"{KEY}{name}")
    assert (found.width, found.height) == (1280, 800) and ground(FOLDER / f"{name}.png", 0, 1280, 800) == "light"
    left = 0
    for theme, wide, high in LOOKS:
        assert ground(FOLDER / f"{name}_looks.png", left + 1, wide, high) == theme
        left += wide + 2 + 16  # a line on either side, and the gap
    text = (Path(handbook.__file__).parent / "15-page.md").read_text(encoding="utf-8")
    captions = {one["key"]: one["caption"] or "" for one in PICTURE.finditer(text)}
    title = "Jobs" if name == "jobs" else SCREENS[name].NAME
    assert captions[f"{KEY}{name}"].startswith(f"{title}: ")
    assert captions[f"{KEY}{name}_looks"].startswith(f"{title} dark, and on a phone light and dark: ")


def ground(path: Path, left: int, wide: int, high: int) -> str:
    """Whether most of a part of a picture, from ``left`` on, is light or dark."""
    with Image.open(path) as shot:
        grey = shot.convert("L").crop((left, 1, left + wide, high))
    counts = grey.histogram()
    return "light" if sum(counts[128:]) > sum(counts[:128]) else "dark"


def test_one_that_is_missing_is_told_with_what_was_meant() -> None:
    with pytest.raises(InputError, match="no picture of a screen 'drew'") as caught:
        screen_picture("screen drew")
    assert caught.value.fix is not None and "draw" in caught.value.fix
    with pytest.raises(InputError, match="'drew'"):
        book([(chapter(TEXT), TEXT.replace("screen draw", "screen drew"))], {}, "1")


def test_it_is_in_the_page_and_on_paper_dot_for_dot() -> None:
    made = book([(chapter(TEXT), TEXT)], {}, "1")
    with Image.open(FOLDER / "draw.png") as shot:
        wanted = shot.convert("RGB")
    found = re.search(
        r'<img src="data:image/png;base64,([^"]+)" alt="A panel with its decals">', html(made).decode("utf-8")
    )
    assert found is not None and base64.b64decode(found[1]) == (FOLDER / "draw.png").read_bytes()
    with pikepdf.open(BytesIO(pdf(made, "A4"))) as file:
        images = [pikepdf.PdfImage(one) for page in file.pages for one in page.images.values()]
        assert len(images) == 1
        assert images[0].as_pil_image().convert("RGB").tobytes() == wanted.tobytes()
