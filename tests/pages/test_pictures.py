"""Pictures among plates, on the proof and in a print shop's file."""

from __future__ import annotations

from dataclasses import replace

import pytest

from decalgen.core.document import Document, Fill, Picture, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData
from decalgen.job.model import Job, Printer
from decalgen.pages.film import final
from decalgen.pages.plates import separated
from decalgen.pages.press import press_file
from decalgen.sheet.arrange import Arrangement, Plan, arrange
from tests.helpers import jobs
from tests.helpers.pictures import photograph, saved

PHOTO = PictureData("photo.png", saved(photograph(240, 180)))
WHITE = replace(jobs.PRINTER, white=True)


def both(film: str) -> Job:
    """A field of orange with a picture on it."""
    field = jobs.element("field", ink="orange", width=22.0, height=17.0)
    return jobs.job(jobs.decal("emblem", 24.0, 19.0, field, jobs.element("picture", file=PHOTO, width=20.0)), film=film)


def arranged(job: Job, printer: Printer) -> Arrangement:
    return arrange((job,), Plan((jobs.film(job.film),), printer, {}, effort=jobs.ONE_ORDER))


def pictures(document: Document) -> list[Picture]:
    items = [item for page in document.pages for layer in page.layers for item in layer.items]
    inside = [one for item in items if isinstance(item, Use) for one in item.symbol.items]
    return [one for one in (*items, *inside) if isinstance(one, Picture)]


def test_no_plate_of_one_ink_shows_a_picture() -> None:
    with pytest.raises(DecalgenError, match=r"the picture photo\.png cannot be a plate"):
        separated(arranged(both("white"), jobs.PRINTER), (both("white"),), "plates", None)
    made = separated(arranged(both("clear"), WHITE), (both("clear"),), "plates", None)
    assert [one.name for one in made.files] == ["plate-1-White", "plate-2-orange", "artwork"]
    assert [len(pictures(one.document)) for one in made.files] == [0, 0, 1]
    assert "pictures are in this file alone" in made.files[-1].words


def test_what_lies_under_a_picture_is_knocked_out() -> None:
    job = both("white")
    (symbol,) = {
        item.symbol.key: item.symbol
        for page in final(arranged(job, jobs.PRINTER), "film", None).pages
        for layer in page.layers
        for item in layer.items
        if isinstance(item, Use)
    }.values()
    (picture,) = [one for one in symbol.items if isinstance(one, Picture)]
    (field,) = [one for one in symbol.items if isinstance(one, Fill)]
    # The lighter of two neighbours runs under the other by 0.15 mm: 20 × 15 mm with that much round it.
    assert picture.region.area == pytest.approx(20.3 * 15.3, rel=1e-6)
    # But for the seam that hides hairlines on a screen, the two share nothing.
    assert field.region.intersection(picture.region).area < 0.15 * 70 * 1.01


def test_a_print_shop_s_file_holds_no_rgb() -> None:
    job = replace(both("white"), date="2026-11-01")
    data, _ = press_file(arranged(job, jobs.PRINTER), (job,), "press", "2026-11-01")
    assert b"DeviceRGB" not in data and b"/Image" in data
