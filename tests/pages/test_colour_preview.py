"""The colour picture of a decal: three looks side by side, each ink in a row with its difference."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from decalgen.artwork.build import build_all
from decalgen.colour.difference import delta_e
from decalgen.colour.icc import shipped
from decalgen.colour.model import SOURCE_NOTE
from decalgen.colour.printer import PrinterColour
from decalgen.colour.typed import parse
from decalgen.core.document import Contour, Document, Fill
from decalgen.job.model import InkSpec, Job, Paint, Printer
from decalgen.lettering.paper import paper
from decalgen.pages.colour_preview import colour_picture
from decalgen.pages.composer import Sheaf
from decalgen.pages.picture_head import WIDE
from tests.helpers import jobs

WHITE = replace(jobs.PRINTER, white=True, swatches=PrinterColour(opacity=0.9))


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[tuple[float, float, str, float]]]:
    """Every text put on the page: x, y, words, width; they are outlines afterwards."""
    found: list[tuple[float, float, str, float]] = []
    original = Sheaf.text

    def text(self: Sheaf, x: float, y: float, words: str, size: float = 9.0, **more: Any) -> Any:
        found.append((x, y, words, paper(words, size, more.get("bold", False)).width))
        return original(self, x, y, words, size, **more)

    monkeypatch.setattr(Sheaf, "text", text)
    yield found


def picture(job: Job, printer: Printer = jobs.PRINTER) -> Document:
    return colour_picture(build_all(job, job.decals[0], None, white_printer=True), job, printer, job.date)


def band(film: str = "white", *more: Any) -> Job:
    field = jobs.element("field", ink="orange")
    word = jobs.element("lettering", text=("STORES",), cap_height=2.0, ink="white")
    return jobs.job(jobs.decal("band", 20.0, 6.0, field, word, *more), film=film)


def looks(document: Document, ink: str) -> list[str]:
    """The colours of an ink from picture to picture, as one reads."""
    fills = [i for i in document.pages[0].layers[0].items if isinstance(i, Fill) and i.ink == ink]
    rows = sorted({round(fill.region.bounds[3]) for fill in fills}, reverse=True)
    return [
        fill.colour
        for fill in sorted(fills, key=lambda fill: (rows.index(round(fill.region.bounds[3])), fill.region.bounds[0]))
    ]


def test_the_looks_stand_two_in_a_row(said: list[tuple[float, float, str, float]]) -> None:
    document = picture(band())
    paper_, clear, best, _ = looks(document, "orange")
    assert paper_ == "#e8641b"
    # Over navy orange is nearly black; on white film it is orange again.
    assert parse(clear).lab[0] < 20
    assert delta_e(parse(best), parse("#e8641b")) < 3
    # White prints nothing at home: on clear film the body shows, on white film the film.
    assert looks(document, "white")[1] == "#1d2b4a"
    assert parse(looks(document, "white")[2]).lab[0] > 95
    words = [text for _, _, text, _ in said]
    for title in ("On white paper", "On navy, clear film", "On navy, as advised"):
        assert title in words
    distance = delta_e(parse(clear), parse("#e8641b"))
    after = [words[n + 1].split() for n, text in enumerate(words) if text == clear]
    assert after and all(one[0] == "dE" and abs(float(one[1]) - distance) < 0.3 and one[2] == "±" for one in after)
    assert any(SOURCE_NOTE in text for text in words)
    assert any(text.startswith("white film; all within dE ") for text in words)


def test_a_soft_proof_stands_beside_them(said: list[tuple[float, float, str, float]]) -> None:
    job = jobs.job(jobs.decal("band", 20.0, 6.0, jobs.element("field", ink="lime")))
    job = replace(job, inks=(*job.inks, InkSpec("lime", "process", "#00ff00")))
    shown = looks(picture(job), "lime")[3]
    # Its own way through the profile: ink percentages and back. 8-bit steps make up to about 1.
    profile = shipped()
    there = profile.colour_of(profile.cmyk(parse("#00ff00")))
    assert delta_e(parse(shown), there) < 1.5 and delta_e(parse(shown), parse("#00ff00")) > 10
    words = [text for _, _, text, _ in said]
    assert words.count("Soft proof") == 2  # The picture and its column.
    assert any(text.split()[:2] == [shown, "dE"] for text in words)
    assert any("names no ICC profile" in text for text in words)


def test_a_soft_proof_goes_by_the_printers_own_profile(said: list[tuple[float, float, str, float]]) -> None:
    own = replace(shipped(), name="workshop inkjet on film")
    picture(band(), replace(jobs.PRINTER, swatches=PrinterColour(profile=own)))
    assert any("'workshop inkjet on film' shows it, the printer file's" in text for _, _, text, _ in said)


def test_a_white_printer_is_advised_white_under_ink(said: list[tuple[float, float, str, float]]) -> None:
    picture(band("clear"), WHITE)
    words = [text for _, _, text, _ in said]
    assert any(text.startswith("clear film, white under ink; ") for text in words)
    assert sum("× white" in text for text in words) == 2


def test_a_light_body_keeps_clear_film(said: list[tuple[float, float, str, float]]) -> None:
    job = jobs.job(jobs.decal("band", 20.0, 6.0, jobs.element("field", ink="navy")), film="clear")
    picture(replace(job, paints=(Paint("navy", "#ffffff"),)))
    assert [text for _, _, text, _ in said if text.startswith("clear film; all within dE")]


def test_metallic_ink_is_not_predicted(said: list[tuple[float, float, str, float]]) -> None:
    job = band("white", jobs.element("field", ink="gold", height=1.0))
    picture(replace(job, inks=(*job.inks, InkSpec("gold", "metallic", "#c8a040"))))
    # In a narrow column it is broken in two.
    assert " ".join(text for _, _, text, _ in said).count("metallic: no prediction") == 2


def test_nothing_runs_into_anything_else(said: list[tuple[float, float, str, float]]) -> None:
    long = "a very long name of an ink that nobody would give it"
    job = band("white", jobs.element("field", ink=long, height=1.0))
    document = picture(replace(job, inks=(*job.inks, InkSpec(long, "process", "#008ec4"))))
    page = document.pages[0]
    for x, y, text, width in said:
        assert x >= 0 and x + width <= page.width and 0 < y < page.height, text
    rows: dict[float, list[tuple[float, float, str]]] = {}
    for x, y, text, width in said:
        rows.setdefault(round(y, 3), []).append((x, x + width, text))
    for row in rows.values():
        row.sort()
        for (_, end, _), (start, _, text) in pairwise(row):
            assert end < start, text


def test_the_picture_is_the_same_every_time() -> None:
    assert picture(band()) == picture(band())


def test_good_is_said_up_to_a_difference_of_three_and_no_further(said: list[tuple[float, float, str, float]]) -> None:
    """CIEDE2000 of 3: at arm's length (common practice, no source). The largest of a picture's inks is told."""
    light = jobs.job(jobs.decal("band", 20.0, 6.0, jobs.element("field", ink="navy")), film="clear")
    for job in (band(), band("clear"), light, replace(light, paints=(Paint("navy", "#ffffff"),))):
        picture(job)
    told = [(text, found) for _, _, text, _ in said if (found := re.search(r"(all within|up to) dE ([\d.]+)", text))]
    for text, found in told:
        assert (found[1] == "all within") == (float(found[2]) <= 3.0), text
    for on_paper in (True, False):
        assert any(text.startswith("on white paper") == on_paper for text, _ in told)
    assert {found[1] for _, found in told} == {"all within", "up to"}


def test_no_more_than_two_pictures_stand_in_a_row_and_colours_are_large_enough_to_see() -> None:
    document = picture(band())
    (page,) = document.pages
    assert page.width == WIDE, "shown at one width, its type is as large as that of the other pictures"
    frames = [item.outline.polygon.bounds for item in page.layers[0].items if isinstance(item, Contour)]
    cells = [b for b in frames if b[2] - b[0] == pytest.approx((WIDE - 26) / 2)]
    assert len(cells) == 4 and len({round(b[1], 3) for b in cells}) == 2 and len({round(b[0], 3) for b in cells}) == 2
    chips = [item.region.bounds for item in page.layers[1].items if isinstance(item, Fill) and item.region.area > 50]
    assert len(chips) == 8 and all(b[2] - b[0] >= 15 and b[3] - b[1] >= 5 for b in chips)
