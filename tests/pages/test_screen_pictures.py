"""The handbook's pictures of the page: there, small, and shown in both forms of the book."""

from __future__ import annotations

import base64
import re
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from decalgen.core.errors import InputError
from decalgen.pages.handbook import Chapter
from decalgen.pages.handbook.book import book
from decalgen.pages.handbook.html import html
from decalgen.pages.handbook.pdf import pdf
from decalgen.pages.handbook.screen_pictures import FOLDER, KEY, screen_picture

MOST_TOGETHER = 600_000
"""Bytes of all of them: they travel with every installation."""
TEXT = "# Page\n\nHere it is.\n\n<!-- picture: screen draw | A panel with its decals -->\n\nThat was it.\n"


def chapter(text: str) -> Chapter:
    return Chapter("page", "Page", Path("10-page.md"), text)


def test_each_is_a_picture_of_the_size_it_says_in_few_colours() -> None:
    files = sorted(FOLDER.glob("*.png"))
    assert len(files) >= 8 and sum(one.stat().st_size for one in files) < MOST_TOGETHER
    for one in files:
        found = screen_picture(f"{KEY}{one.stem}")
        with Image.open(one) as shot:
            assert shot.size == (found.width, found.height) and shot.mode == "P"


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
