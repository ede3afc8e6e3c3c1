"""Checks, blocks, stripes, chevrons: sizes, cells, seams."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from decalgen.core.geometry import polygons, rectangle, union
from decalgen.shapes.base import Box
from decalgen.shapes.blocks import Blocks
from decalgen.shapes.checks import Checks
from decalgen.shapes.chevrons import Chevrons
from decalgen.shapes.stripe import Stripe
from tests.shapes.sampling import ink_at, seen


def test_the_door_band_of_the_harbour_pick_up() -> None:
    """2 x 12 checks, 20.40 x 2.40 mm: 12 white cells of 1.70 x 1.20 mm, and as many orange ones."""
    shape = Checks(("white", "lifebuoy orange"), rows=2, columns=12, height=2.4)
    assert shape.extent(Box(20.4, 5.0)) == (20.4, 2.4)
    white, orange = shape.draw(Box(20.4, 2.4))
    assert len(polygons(white.region)) == len(polygons(orange.region)) == 12
    assert {round(p.area, 9) for p in polygons(white.region)} == {2.04}
    assert ink_at((white, orange), 0.1, 2.3) == "white", "the first ink has the cell at the top left"


@pytest.mark.parametrize(
    ("given_size", "box", "extent", "grid"),
    [
        ({"rows": 2, "columns": 10}, Box(30, 20), (30.0, 20.0), (2, 10)),
        ({"rows": 2, "columns": 10, "cell": 1.5}, Box(30, 20), (15.0, 3.0), (2, 10)),
        ({"rows": 2, "cell": 1.5}, Box(31, 20), (31.0, 3.0), (2, 21)),  # 20.67 columns, adjusted to 21
        ({"cell": 2.0}, Box(9.4, 4.1), (9.4, 4.1), (2, 5)),
        ({"rows": 3}, Box(10, 6), (10.0, 6.0), (3, 5)),
        ({"columns": 5, "height": 4.0}, Box(10, 6), (10.0, 4.0), (2, 5)),
    ],
)
def test_checks_by_rows_columns_or_cell(
    given_size: dict[str, float], box: Box, extent: tuple[float, float], grid: tuple[int, int]
) -> None:
    shape = Checks(("white", "navy"), **given_size)
    size = shape.extent(box)
    assert size == pytest.approx(extent)
    assert shape.grid(size) == grid


@given(st.integers(1, 7), st.integers(1, 15), st.integers(2, 4), st.booleans(), st.integers(100, 4000))
def test_cells_are_exactly_adjacent(rows: int, columns: int, inks: int, half: bool, width: int) -> None:
    """Cells of different inks share the very same numbers on their common edges, so no hairline can show there."""
    names = ("white", "navy", "green", "orange")[:inks]
    size = Box(width / 97, width / 89)
    areas = Checks(names, rows=rows, columns=columns, half_cells=half, height=1.0).draw(size)
    xs = {x for a in areas for x in shapely.get_coordinates(a.region)[:, 0].tolist()}
    ys = {y for a in areas for y in shapely.get_coordinates(a.region)[:, 1].tolist()}
    assert len(xs) == columns + 1 + half and len(ys) <= rows + 1
    assert float(union(a.region for a in areas).area) == pytest.approx(size.width * size.height, rel=1e-12)
    assert sum(a.region.area for a in areas) == pytest.approx(size.width * size.height, rel=1e-12)


def test_half_cells_end_a_row_alike_on_both_sides() -> None:
    """Mirrored about its middle, a band with an even number of pitches and half cells at its ends is the same."""
    size = Box(12, 2)
    areas = Checks(("white", "navy"), rows=2, columns=6, half_cells=True, height=2.0).draw(size)
    for area in areas:
        flipped = shapely.transform(area.region, lambda xy: (xy * [-1, 1]) + [12, 0])
        assert area.region.symmetric_difference(flipped).area < 1e-12
    widths = sorted({round(p.bounds[2] - p.bounds[0], 9) for a in areas for p in polygons(a.region)})
    assert widths == [1.0, 2.0]


def test_slanted_checks_are_sheared_checks() -> None:
    """The same cells sheared by tan(slant) about the middle line, wherever the row of cells covers the extent."""
    size, slant = Box(20, 4), 25.0
    upright = Checks(("white", "navy"), rows=4, columns=200 // 10, height=4.0).draw(Box(20, 4))
    leaning = Checks(("white", "navy"), rows=4, columns=20, height=4.0, slant=slant).draw(size)
    lean = math.tan(math.radians(slant))
    for x in (5.25, 9.7, 14.3):
        for y in (0.4, 1.3, 2.6, 3.7):
            assert ink_at(leaning, x + lean * (y - 2), y) == ink_at(upright, x, y)


def test_one_ink_leaves_every_other_cell_bare() -> None:
    (navy,) = Checks(("navy",), rows=2, columns=4, height=2.0).draw(Box(4, 2))
    assert navy.region.area == pytest.approx(4)
    assert ink_at((navy,), 1.5, 1.5) is None


def test_a_block_pattern_is_drawn_as_written() -> None:
    shape = Blocks(("a b c", "c.A"), ("white", "navy", "green"), column_shares=(1.0, 2.0, 1.0), row_shares=(3.0, 1.0))
    areas = shape.draw(Box(8, 4))
    rows = [[ink_at(areas, x, y) for x in (1, 4, 7)] for y in (3.9, 1.1, 0.9, 0.1)]
    assert rows == [["white", "navy", "green"]] * 2 + [["green", None, "white"]] * 2
    assert {a.ink: a.region.area for a in areas} == pytest.approx({"white": 8, "navy": 12, "green": 8})


def test_the_flood_tender_s_blocks() -> None:
    """2 x 5 blocks at 12.00 x 6.00 mm are 2.40 x 3.00 mm each; like inks touch at corners only, five of each."""
    shape = Blocks(("ababa", "babab"), ("lifebuoy orange", "white"), width=12.0, height=6.0)
    assert shape.extent(Box(61, 12.6)) == (12, 6)
    for area in shape.draw(Box(12, 6)):
        assert [round(p.area, 9) for p in polygons(area.region)] == [7.2] * 5


def test_blocks_of_one_ink_merge() -> None:
    (area,) = Blocks(("aa", "aa"), ("white",)).draw(Box(3, 3))
    assert len(polygons(area.region)) == 1 and area.region.equals(rectangle(0, 0, 3, 3))


def test_stripes_along_an_edge_take_their_own_room() -> None:
    shape = Stripe(0.8, ink="navy", count=3, pitch=1.1)
    assert shape.extent(Box(22.4, 11.6)) == pytest.approx((22.4, 3.0))
    (area,) = shape.draw(Box(22.4, 3.0))
    assert [tuple(round(v, 9) for v in p.bounds) for p in polygons(area.region)] == [
        (0.0, 0.0, 22.4, 0.8),
        (0.0, 1.1, 22.4, 1.9),
        (0.0, 2.2, 22.4, 3.0),
    ]


@pytest.mark.parametrize(
    ("angle", "size", "order"),
    [
        (0.0, Box(9, 3), [(1, 2.5), (1, 1.5), (1, 0.5)]),
        (90.0, Box(3, 9), [(0.5, 1), (1.5, 1), (2.5, 1)]),
    ],
)
def test_several_inks_abut_from_the_top_or_the_left(angle: float, size: Box, order: list[tuple[float, float]]) -> None:
    shape = Stripe(1.0, inks=("white", "navy", "green"), count=3, angle=angle)
    assert shape.extent(Box(9, 9)) == size
    areas = shape.draw(size)
    assert [ink_at(areas, *p) for p in order] == ["white", "navy", "green"]
    assert sum(a.region.area for a in areas) == pytest.approx(27)


@given(st.floats(0.2, 4), st.floats(1, 179), st.integers(1, 5))
def test_a_free_stripe_has_its_own_length_and_width(width: float, angle: float, count: int) -> None:
    shape = Stripe(width, ink="navy", angle=angle, length=11.0, count=count)
    (area,) = shape.draw(shape.extent(Box(5, 5)))
    assert area.region.area == pytest.approx(count * width * 11, rel=1e-9)
    c, s = abs(math.cos(math.radians(angle))), abs(math.sin(math.radians(angle)))
    across = width * (2 * count - 1)
    assert shape.extent(Box(1, 1)) == pytest.approx((11 * c + across * s, 11 * s + across * c))


@pytest.mark.parametrize(("start", "end", "area"), [(30.0, 30.0, 0.5), (-30.0, -30.0, 0.5), (30.0, -30.0, 0.5)])
def test_slanted_ends_cut_their_wedge_off(start: float, end: float, area: float) -> None:
    """Each slanted end takes a wedge of width²·tan(slant)/2 from the rectangle."""
    (drawn,) = Stripe(2.0, ink="navy", start_slant=start, end_slant=end).draw(Box(10, 2))
    assert drawn.region.area == pytest.approx(20 - 2 * (2 * 2 * math.tan(math.radians(30)) * area))
    assert drawn.region.bounds == pytest.approx((0, 0, 10, 2))


def test_italic_ends_lean_to_the_right() -> None:
    (drawn,) = Stripe(2.0, ink="navy", start_slant=20.0, end_slant=20.0).draw(Box(10, 2))
    assert ink_at((drawn,), 0.2, 0.1) == "navy" and ink_at((drawn,), 0.2, 1.9) is None
    assert ink_at((drawn,), 9.8, 0.1) is None and ink_at((drawn,), 9.8, 1.9) == "navy"


@given(st.floats(0.3, 3), st.floats(5, 85))
def test_a_slanted_stripe_is_as_wide_as_it_says(width: float, angle: float) -> None:
    """Along the level line through the middle it covers width / sin(angle)."""
    (area,) = Stripe(width, ink="navy", angle=angle).draw(Box(200, 60))
    line = shapely.LineString([(-1, 30), (201, 30)])
    assert area.region.intersection(line).length == pytest.approx(min(200, width / math.sin(math.radians(angle))))


@pytest.mark.parametrize("direction", ["up", "down", "left", "right"])
def test_chevrons_point_where_they_say(direction: str) -> None:
    """The counted chevrons take just their room; on the side they point to, only the tip touches it."""
    shape = Chevrons(1.0, ink="navy", direction=direction, count=2)
    box = Box(20, 6) if direction in ("left", "right") else Box(6, 20)
    size = shape.extent(box)
    # Arms at 45 degrees fall back by half the width across; then band, gap and band, each 1/sin(45) long.
    assert sorted(size) == pytest.approx(sorted((6, 3 + 3 * math.sqrt(2))))
    (area,) = shape.draw(size)
    side = {
        "up": ((0, size.height), (size.width, size.height)),
        "down": ((0, 0), (size.width, 0)),
        "left": ((0, 0), (0, size.height)),
        "right": ((size.width, 0), (size.width, size.height)),
    }[direction]
    touching = shapely.LineString(side).buffer(1e-6).intersection(area.region.boundary)
    middle = shapely.LineString(side).centroid
    assert touching.centroid.distance(middle) < 1e-4 and touching.length < 1e-4
    assert len(polygons(area.region)) == 2


@given(st.floats(0.5, 3), st.floats(15, 75))
def test_a_chevron_s_arms_are_as_wide_as_it_says(width: float, angle: float) -> None:
    """Square across an arm; so along the direction it covers width / sin(angle), anywhere."""
    (area,) = Chevrons(width, ink="navy", direction="right", angle=angle, count=1).draw(Box(100, 8))
    for y in (0.5, 3.9, 6.0):
        line = shapely.LineString([(-1, y), (101, y)])
        assert area.region.intersection(line).length == pytest.approx(width / math.sin(math.radians(angle)))


def test_chevrons_in_two_inks_cover_the_area() -> None:
    areas = Chevrons(3.0, inks=("lifebuoy orange", "white"), direction="up").draw(Box(38.2, 21.0))
    shown = seen(areas)
    assert sum(shown.values()) == pytest.approx(38.2 * 21.0)
    assert shown["lifebuoy orange"] / (38.2 * 21.0) == pytest.approx(0.5, abs=0.06)
    left = shapely.transform(areas[0].region, lambda xy: (xy * [-1, 1]) + [38.2, 0])
    assert areas[0].region.symmetric_difference(left).area < 1e-9, "mirrored about the middle line"


def test_the_ground_of_a_stripe_lies_under_it() -> None:
    for angle in (0.0, 30.0):
        areas = Stripe(ink="navy", stripe_width=2.0, angle=angle, ground="white").draw(Box(20, 6))
        assert [area.ink for area in areas] == ["white", "navy"]
        assert ink_at(areas, 10, 3) == "navy" and ink_at(areas, 10, 0.5) == "white"


def test_stripes_that_fill_an_area_reach_over_both_its_sides() -> None:
    # Stripes of 2 mm every 4 mm, the middle one moved up by 1.5: from 3.5 to 5.5 mm, the one below from -0.5 to 1.5.
    areas = Stripe(ink="navy", stripe_width=2.0, pitch=4.0, fill=True, shift=1.5).draw(Box(20, 6))
    assert all(ink_at(areas, 10, y) == "navy" for y in (0.1, 1.4, 3.6, 5.4))
    assert all(ink_at(areas, 10, y) is None for y in (1.6, 3.4, 5.6))
