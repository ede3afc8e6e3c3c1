"""What is too thin for a printer: sizes and places worked out by hand; limits are common practice, or as read."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from decalgen.colour.printer import PrinterColour
from decalgen.core.errors import Finding
from decalgen.core.geometry import region
from decalgen.preflight.features import mean_width, thin
from tests.helpers import jobs
from tests.helpers.checks import check_jobs

STROKES = ("thin-line", "thin-gap", "thin-reversed", "small-lettering")


def found(*elements: Any, printer: Any = jobs.PRINTER, **more: Any) -> list[Finding]:
    """What is said of strokes on a decal of 20 x 8 mm on white film."""
    job = jobs.job(jobs.decal("band", 20.0, 8.0, *elements, **more))
    return [finding for finding in check_jobs([job], printer) if finding.code in STROKES]


def bar(width: float, ink: str = "navy", **more: Any) -> Any:
    """A level bar 12 mm long in the middle of the decal."""
    return jobs.element("stripe", stripe_width=width, ink=ink, length=12.0, **more)


FIELD = jobs.element("field", ink="navy")


@pytest.mark.parametrize(("width", "told"), [(0.10, True), (0.149, True), (0.15, False), (0.3, False)])
def test_a_line_on_both_sides_of_the_limit(width: float, told: bool) -> None:
    assert [f.code for f in found(bar(width))] == (["thin-line"] if told else [])


def test_a_thin_line_says_how_thin_where_and_against_what() -> None:
    (line,) = found(bar(0.10))
    assert line.measured == pytest.approx(0.10, abs=1e-3)
    assert (line.limit, line.unit) == (0.15, "mm")
    # The bar lies across the middle of 20 x 8 mm, its rectangle 0.1 mm larger on every side.
    assert line.areas == (pytest.approx((3.9, 3.85, 16.1, 4.15), abs=1e-3),)
    assert "600 dpi holds" in line.message and "down to 0.10 mm" in line.message


def test_a_hairline_beside_a_large_area_of_its_ink_is_not_lost_in_it() -> None:
    """0.05 mm² of 48: a thousandth."""
    ground = jobs.element("stripe", stripe_width=4.0, ink="navy", at=jobs.At("bottom"))
    hair = jobs.element("stripe", stripe_width=0.05, ink="navy", length=1.5, at=jobs.At("top", 0.0, -0.6))
    (line,) = found(ground, hair)
    assert (line.code, line.measured) == ("thin-line", pytest.approx(0.05, abs=2e-3))


@pytest.mark.parametrize(("gap", "told"), [(0.10, True), (0.199, True), (0.20, False), (0.5, False)])
def test_a_gap_between_two_inks(gap: float, told: bool) -> None:
    """Two stripes of 2 mm, the bare film between them ``gap`` wide."""
    said = found(jobs.element("stripe", stripe_width=2.0, ink="navy", count=2, pitch=2.0 + gap))
    assert [f.code for f in said] == (["thin-gap"] if told else [])
    if told:
        assert said[0].measured == pytest.approx(gap, abs=2e-3)
        assert said[0].limit == 0.20
        (area,) = said[0].areas
        assert area[1] == pytest.approx(4 - gap / 2 - 0.1, abs=5e-3)


def test_no_gap_between_inks_that_abut_or_to_the_edge() -> None:
    abutting = jobs.element("stripe", stripe_width=2.0, inks=("navy", "orange"), count=2)
    assert found(abutting) == []
    # 0.1 mm from the cut line: film ends there, and nothing can fill in.
    near = jobs.element("field", ink="navy", width=19.8, height=7.8)
    assert found(near) == []


@pytest.mark.parametrize(("width", "told"), [(0.15, True), (0.25, False)])
def test_a_white_line_left_bare_in_a_ground(width: float, told: bool) -> None:
    said = found(FIELD, bar(width, "white"))
    assert [f.code for f in said] == (["thin-reversed"] if told else [])
    if told:
        assert said[0].measured == pytest.approx(width, abs=2e-3)


def test_the_printers_own_wedges_replace_what_is_usual() -> None:
    """The narrowest line, gap and letters that held on a swatch sheet decide, in both directions."""
    fine = replace(jobs.PRINTER, swatches=PrinterColour(smallest_line=0.08, smallest_gap=0.12))
    coarse = replace(jobs.PRINTER, swatches=PrinterColour(smallest_line=0.4, smallest_gap=0.5))
    gap = jobs.element("stripe", stripe_width=2.0, ink="navy", count=2, pitch=2.15)
    assert [f.code for f in found(bar(0.10))] == ["thin-line"]
    assert found(bar(0.10), printer=fine) == []
    assert [f.code for f in found(gap)] == ["thin-gap"]
    assert found(gap, printer=fine) == []
    (line,) = found(bar(0.3), printer=coarse)
    assert line.limit == 0.4
    assert "held on the swatch sheet of 'test printer'" in line.message
    assert [f.limit for f in found(FIELD, bar(0.3, "white"), printer=coarse)] == [0.5]


def test_reversed_letters_have_a_limit_of_their_own() -> None:
    read = replace(jobs.PRINTER, swatches=PrinterColour(smallest_caps=0.8, smallest_caps_reversed=1.4))

    def capitals(ink: str, cap: float) -> list[Finding]:
        words = jobs.element("lettering", text=("STORES",), cap_height=cap, ink=ink)
        said = found(FIELD if ink == "white" else bar(7.0, "orange"), words, printer=read)
        return [f for f in said if f.code == "small-lettering"]

    assert capitals("navy", 1.0) == []
    (small,) = capitals("white", 1.0)
    assert (small.measured, small.limit) == (pytest.approx(1.0), 1.4)
    assert capitals("white", 1.5) == []
    # Its rectangle lies about the middle of the decal and is as high as the capitals, 0.1 mm added.
    (area,) = small.areas
    assert area[3] - area[1] == pytest.approx(1.0 + 0.2, abs=0.06)
    assert (area[0] + area[2]) / 2 == pytest.approx(10.0, abs=0.2)


def test_the_width_of_strips_and_rings_by_hand() -> None:
    assert mean_width(box(0, 0, 7, 0.3)) == pytest.approx(0.3)
    assert mean_width(box(0, 0, 0.3, 0.3)) == pytest.approx(0.3)
    ring = Point(0, 0).buffer(5.0, 256).difference(Point(0, 0).buffer(4.9, 256))
    assert mean_width(ring) == pytest.approx(0.1, rel=1e-3)


def test_corners_and_round_edges_are_not_thin() -> None:
    for shape in (box(0, 0, 5, 5), Point(0, 0).buffer(3, 64), Polygon([(0, 0), (6, 0), (3, 5)])):
        assert thin(region(shape), 0.3) is None
    tail = Polygon([(0, 0), (5, 0), (5, 1), (9, 1), (9, 1.1), (5, 1.1), (5, 2), (0, 2)])
    seen = thin(region(tail), 0.3)
    assert seen is not None
    assert seen.width == pytest.approx(0.1, abs=0.01)


@given(st.floats(0.05, 0.4), st.floats(0.05, 3.0), st.floats(0.0, 90.0), st.floats(-30.0, 30.0))
def test_an_area_of_four_corners_is_judged_alike_at_a_glance_and_by_drawing_it_in(
    high: float, wide: float, turn: float, skew: float
) -> None:
    """A needless corner in the middle of a side changes no shape, and keeps the glance from seeing it."""
    one = affinity.rotate(affinity.skew(box(0, 0, wide, high), skew), turn)
    ring = list(one.exterior.coords)[:-1]
    middle = ((ring[0][0] + ring[1][0]) / 2, (ring[0][1] + ring[1][1]) / 2)
    other = Polygon([ring[0], middle, *ring[1:]])
    plain, cornered = (thin(region(area), 0.15) for area in (one, other))
    assert (plain is None) == (cornered is None)
