"""The boxes for readings on the swatch sheet as it is printed: one for each reading that is asked for, and empty."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest
from shapely.geometry import Polygon

from decalgen.commands.swatch_sheets import job_inks
from decalgen.core.document import Document, Fill, Line, Page
from decalgen.job.colours import printer_colour
from decalgen.pages.swatches import swatch_pages
from decalgen.sheet.film_area import printable
from tests.helpers import jobs
from tests.helpers.page_words import words_of

SIZES = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "Letter": (215.9, 279.4)}
DEMO = Path(__file__).resolve().parents[2] / "demo"
NAMES = ("gannet", "h9", "ostmerrow", "dravenhoe")


@lru_cache
def sheet(size: str, white: bool) -> tuple[int, dict[str, Document]]:
    """How many colours the demo's jobs print with, and their swatches."""
    inks = [one for one in job_inks([DEMO / f"{name}.yaml" for name in NAMES]) if one.kind != "white"]
    printer, film = replace(jobs.PRINTER, white=white), jobs.film("clear", *SIZES[size])
    area = printable(film, printer)
    return len(inks), dict(swatch_pages(inks, printer_colour(printer), printer, film, area))


def boxes(page: Page) -> list[Polygon]:
    """Those for readings: the dashed one is bare film."""
    lines = [item for layer in page.layers for item in layer.items if isinstance(item, Line)]
    return [Polygon(line.points) for line in lines if line.closed and len(line.points) == 4 and not line.dash]


@pytest.mark.parametrize("white", [False, True])
@pytest.mark.parametrize("size", SIZES)
def test_every_reading_has_a_box_on_the_sheet_large_enough_and_empty(size: str, white: bool) -> None:
    count, documents = sheet(size, white)
    found = [boxes(page) for page in documents[""].pages]
    # A colour each, the darkest, the paper; lines, gaps, capitals both ways; white on black and on white, the choke.
    assert sum(map(len, found)) == count + 2 + 4 + (3 if white else 0)
    words = words_of(documents[""])
    for n, (page, here) in enumerate(zip(documents[""].pages, found, strict=True)):
        printed = [item.region for layer in page.layers for item in layer.items if isinstance(item, Fill)]
        for one in here:
            x0, y0, x1, y1 = one.bounds
            # 18 x 8 mm can be written in (common practice, no source).
            assert x1 - x0 > 17.999 and y1 - y0 > 7.999
            assert x0 > 5 and y0 > 5 and x1 < page.width - 5 and y1 < page.height - 5
            assert all(one.distance(region) > 0.3 for region in printed)
            assert all(one.distance(word.box) > 0.3 for word in words if word.page == n), "words in a box"
    # They are printed once, with the colours.
    assert not any(boxes(page) for name, one in documents.items() if name for page in one.pages)


@pytest.mark.parametrize("size", SIZES)
def test_the_colours_of_four_models_take_one_sheet_of_film_and_every_name_is_whole(size: str) -> None:
    _, documents = sheet(size, False)
    assert len(documents[""].pages) == 1
    assert not [words.text for words in words_of(documents[""]) if "…" in words.text]
