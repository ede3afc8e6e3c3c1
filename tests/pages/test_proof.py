"""The proof of a small job: what its pages say and draw, and how little it takes."""

from __future__ import annotations

import io
from typing import Any

import pdfplumber
import pytest
import shapely
from shapely.geometry import Point, Polygon, box

from decalgen.core import style
from decalgen.core.document import Document, Use
from decalgen.export import render
from decalgen.nesting.model import EFFORTS
from decalgen.pages.composer import Sheaf
from decalgen.pages.pale_artwork import tint
from decalgen.pages.proof import proof
from decalgen.pages.proof_numbers import roomiest
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import GAP, Plan
from tests.helpers.jobs import PRINTER, decal, element, film, handle, job, panel

JOB = job(
    decal("band", 30.0, 8.0, element("field", ink="orange"), copies=2, spares=1),
    decal("patch", 12.0, 6.0, element("field", ink="navy")),
    panels=(panel(obstacles=(handle(),)),),
)


def layout() -> Arrangement:
    return arrange([JOB], Plan([film()], PRINTER, gap=GAP, seed=1, effort=EFFORTS["quick"], hands="both"))


def document() -> Document:
    return proof(layout(), [JOB], "Trial", JOB.date)


def test_the_sheet_comes_first_at_the_size_of_the_film() -> None:
    pages = document().pages
    assert len(pages) >= 2
    assert all((page.width, page.height) == (148.0, 210.0) for page in pages)


def test_every_piece_shows_its_cut_line_dashed() -> None:
    lines = next(layer for layer in document().pages[0].layers if layer.name == "Lines")
    dashed = [item for item in lines.items if getattr(item, "dash", ()) == style.DASH_TRIM]
    assert len(dashed) == len(layout().sheets[0].placed) >= 4


def test_the_panel_is_there_to_cut_out_at_its_own_size() -> None:
    """Read back from the PDF by another program: a closed line of 60 x 40 mm, the panel as measured."""
    point = 25.4 / 72
    data = render(document(), ".pdf")[0]
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        sizes = [
            (item["width"] * point, item["height"] * point)
            for page in pdf.pages[1:]
            for item in (*page.rects, *page.curves)
        ]
    assert any(size == pytest.approx((60.0, 40.0), abs=1e-4) for size in sizes)


def test_a_letter_is_drawn_once_and_placed_many_times() -> None:
    uses = [item for page in document().pages for layer in page.layers for item in layer.items if isinstance(item, Use)]
    keys = {use.symbol.key for use in uses}
    assert len(uses) > 5 * len(keys) > 0
    drawn = {use.symbol.key for use in uses if not use.symbol.items[0].region.is_empty}  # type: ignore[union-attr]
    assert render(document(), ".pdf")[0].count(b"/Subtype /Form") == len(drawn)


def test_a_line_of_letters_covers_what_its_text_does() -> None:
    sheaf = Sheaf(100.0, 50.0)
    line = sheaf.text(10.0, 20.0, "Harbour 147", 9.0)
    area = sum(item.symbol.items[0].region.area for item in sheaf.items if isinstance(item, Use))  # type: ignore[union-attr]
    assert area == pytest.approx(line.region.area, rel=1e-6)
    first = next(item for item in sheaf.items if isinstance(item, Use))
    assert first.matrix[4:] == pytest.approx((10.0, 20.0))


def test_white_stays_white_and_inks_get_lighter() -> None:
    assert tint("#ffffff") == "#ffffff"
    assert tint("#000000") == "#737373"  # 255 * 0.45 = 114.75


def test_the_boxes_for_readings_say_how_far_off_is_passed(monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []
    real = Sheaf.text

    def text(self: Sheaf, x: float, y: float, words: str, *rest: Any, **more: Any) -> Any:
        said.append(words)
        return real(self, x, y, words, *rest, **more)

    monkeypatch.setattr(Sheaf, "text", text)
    proof(layout(), [JOB], "Trial", JOB.date, 0.0015)
    # 0.15 % of 100 mm.
    assert said.count("mean 99.85 to 100.15 passes") == 2
    for way in ("horizontal", "vertical"):
        assert f"{way} bar" in said and f"{way} bar 100.00 mm" in said


@pytest.mark.parametrize(
    "area",
    [
        box(0, 0, 30, 8),
        Polygon([(0, 0), (40, 0), (40, 3), (12, 3), (12, 14), (0, 14)]),
        Polygon([(0, 0), (30, 0), (0, 20)]),
        Point(0, 0).buffer(12).difference(Point(6, 0).buffer(7)),
        Polygon(box(0, 0, 40, 20).exterior, [box(15, 2, 25, 18).exterior]),
    ],
    ids=["band", "corner", "wedge", "crescent", "window"],
)
def test_a_number_stands_where_its_piece_is_widest(area: Polygon) -> None:
    # GEOS's own search for the largest circle inside, by another program.
    largest = shapely.maximum_inscribed_circle(area, tolerance=0.01).length
    spot, room = roomiest(area)
    assert area.contains(spot)
    assert 0.9 * (largest - 0.21) <= room <= largest + 0.01
    assert room == pytest.approx(area.boundary.distance(spot))


def test_a_number_stands_in_the_middle_of_a_band() -> None:
    spot, room = roomiest(box(0, 0, 30, 8))
    assert (spot.x, spot.y, room) == pytest.approx((15, 4, 4))
