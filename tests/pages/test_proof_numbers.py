"""The proof shows the number of every piece, whatever room the film had."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import LineString, Point, box

from decalgen.core import style
from decalgen.core.document import Fill, Line, Use
from decalgen.core.geometry import apply
from decalgen.core.lengths.units import POINT_MM
from decalgen.lettering.paper import paper_cap_height
from decalgen.nesting.model import QUICK
from decalgen.pages.composer import Sheaf
from decalgen.pages.proof_numbers import write_numbers
from decalgen.sheet.arrange import Sheet, arrange
from decalgen.sheet.furniture import Furniture
from decalgen.sheet.plan import Plan
from tests.helpers import jobs


def sheet_of(*sizes: tuple[float, float], copies: int = 1) -> Sheet:
    decals = [
        jobs.decal(f"d{n}", wide, high, jobs.element("field", ink="navy"), copies=copies)
        for n, (wide, high) in enumerate(sizes)
    ]
    (sheet,) = arrange([jobs.job(*decals)], Plan([jobs.film()], jobs.PRINTER, effort=QUICK)).sheets
    return sheet


def without_numbers(sheet: Sheet) -> Sheet:
    """As it is where the film has no room for any."""
    return replace(sheet, labels=(), leaders=(), bare=tuple(range(len(sheet.placed))))


def glyphs(sheaf: Sheaf) -> list[Point]:
    """Where each digit was put."""
    found = []
    for item in sheaf.items:
        if isinstance(item, Use):
            part = item.symbol.items[0]
            assert isinstance(part, Fill)
            found.append(Point(apply(item.matrix, part.region.centroid.coords[0])))
    return found


def test_a_number_that_the_film_has_no_room_for_is_beside_its_piece_with_a_line() -> None:
    sheet = without_numbers(sheet_of((20.0, 12.0), (2.5, 2.5), (3.0, 1.5), copies=3))
    sheaf = Sheaf(sheet.film.width, sheet.film.height)
    spots = write_numbers(sheaf, sheet)
    lines = [LineString(item.points) for item in sheaf.items if isinstance(item, Line)]
    digits = glyphs(sheaf)
    assert len(spots) == len(lines) == len(digits) == len(sheet.placed) == 9
    for placed in sheet.placed:
        assert not any(placed.cut.contains(digit) for digit in digits), "no number stands on a piece"
        ends = [line.coords[-1] for line in lines if placed.outer.distance(Point(line.coords[0])) < 0.006]
        assert any(spot.distance(Point(end)) < 0.2 for spot in spots for end in ends), placed.piece.artwork.name
    for spot in spots:
        assert sum(spot.contains(digit) for digit in digits) == 1
        assert not any(spot.intersects(placed.outer) for placed in sheet.placed)
        high = spot.bounds[3] - spot.bounds[1]
        assert high == pytest.approx(style.TYPE_SMALL * POINT_MM * paper_cap_height(True), rel=0.05)


def test_a_piece_with_its_number_on_the_film_needs_no_second_one() -> None:
    sheet = sheet_of((20.0, 12.0), (2.5, 2.5))
    sheaf = Sheaf(sheet.film.width, sheet.film.height)
    assert not sheet.bare and write_numbers(sheaf, sheet) == [] and not sheaf.items


def test_a_number_is_shown_even_where_nothing_is_free() -> None:
    sheet = without_numbers(sheet_of((2.5, 2.5), (3.0, 1.5)))
    x0, y0, x1, y1 = sheet.area.bounds
    closed = box(x0, y0, x1, y1)
    for placed in sheet.placed:
        closed = closed.difference(placed.outer)
    full = replace(sheet, furniture=Furniture((), (closed,), (), ()))
    sheaf = Sheaf(sheet.film.width, sheet.film.height)
    spots = write_numbers(sheaf, full)
    assert len(spots) == 2
    for placed, spot in zip(full.placed, spots, strict=True):
        assert placed.cut.contains(spot.centroid)
