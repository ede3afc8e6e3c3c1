"""Roundels, stars, crosses, borders, outlines, fields and lettering, each by a figure worked out by hand."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from decalgen.core.geometry import TOLERANCE, circle, rectangle
from decalgen.lettering.text import text_block
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.border import Border
from decalgen.shapes.cross import Cross
from decalgen.shapes.curve import DrawnCurve
from decalgen.shapes.field import Field
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.outline import DrawnOutline, Hole, ring
from decalgen.shapes.roundel import Roundel
from decalgen.shapes.star import Star
from tests.shapes.sampling import ink_at, seen


def test_ratios_count_either_way_round() -> None:
    inks = ("navy", "white", "green")
    assert Roundel(inks, ratios=(1.0, 3.0, 5.0)).rings(10.0) == Roundel(inks, ratios=(5.0, 3.0, 1.0)).rings(10.0)
    assert Roundel(inks, ratios=(1.0, 3.0, 5.0)).rings(10.0) == (10, 6, 2)
    assert Roundel(inks, diameters=(9.0, 4.0, 1.0)).extent(Box(50, 50)) == (9, 9)


def test_a_row_of_roundels_fills_its_box_or_keeps_its_pitch() -> None:
    assert Roundel(("navy",), count=4).extent(Box(40, 20)) == (40, 10)
    row = Roundel(("navy", "white"), diameter=6.0, count=3, pitch=8.0)
    assert row.extent(Box(40, 20)) == (22, 6)
    areas = row.draw(Box(22, 6))
    assert [ink_at(areas, x, 3) for x in (3, 7, 11, 15, 19)] == ["white", None, "white", None, "white"]


def test_an_ink_comes_back_inside_another() -> None:
    # Target: navy, white, navy. A ring in the ink of the one round it shows no edge, one in the outermost ink does.
    areas = Roundel(("navy", "white", "navy"), diameters=(10.0, 6.0, 2.0)).draw(Box(10, 10))
    assert [ink_at(areas, 5 + reach, 5) for reach in (0.5, 2, 4)] == ["navy", "white", "navy"]
    same = Roundel(("navy", "navy", "white"), diameters=(10.0, 6.0, 2.0)).draw(Box(10, 10))
    assert [(area.ink, area.region.bounds) for area in same] == [("navy", (0, 0, 10, 10)), ("white", (4, 4, 6, 6))]


@given(st.floats(0.5, 100))
def test_a_disc_is_as_wide_as_it_says_and_round_to_a_micrometre(diameter: float) -> None:
    (disc,) = Roundel(("navy",), diameter=diameter).draw(Box(diameter, diameter))
    assert disc.region.bounds == pytest.approx((0, 0, diameter, diameter), abs=1e-12)
    centre = Point(diameter / 2, diameter / 2)
    (polygon,) = disc.region.geoms
    assert abs(polygon.exterior.distance(centre) - diameter / 2) <= TOLERANCE * 1.01


def test_a_star_inside_a_roundel_has_its_middle_in_the_middle() -> None:
    star = Star("navy", diameter=8.0, in_circle=True)
    assert star.extent(Box(20, 20)) == (8, 8)
    (area,) = star.draw(Box(8, 8))
    reach = [math.dist(p, (4, 4)) for p in area.region.geoms[0].exterior.coords[:-1]]
    assert sorted(round(r, 9) for r in reach) == [round(4 * (3 - math.sqrt(5)) / 2, 9)] * 5 + [4.0] * 5


@pytest.mark.parametrize("points", [3, 4, 5])
def test_a_star_of_few_points_has_the_pentagrams_ratio(points: int) -> None:
    # No edge of three or four points runs straight through to another. A star is 2n triangles with the angle pi/n.
    (area,) = Star("navy", points=points, diameter=2.0, in_circle=True).draw(Box(2, 2))
    assert area.region.area == pytest.approx(points * (3 - math.sqrt(5)) / 2 * math.sin(math.pi / points))


@given(st.integers(5, 40))
def test_left_out_the_inner_ratio_makes_edges_run_straight_through(points: int) -> None:
    """From a point over two inner corners to the next point but one: all four lie on one line."""
    (area,) = Star("navy", points=points, diameter=20.0, in_circle=True).draw(Box(20, 20))
    ring_ = list(area.region.geoms[0].exterior.coords[:-1])
    tip = next(i for i, p in enumerate(ring_) if math.dist(p, (10, 10)) > 9.99)
    a, b, c, d = (ring_[(tip + i) % len(ring_)] for i in (0, 1, 3, 4))
    for p in (b, c):
        across = (d[0] - a[0]) * (p[1] - a[1]) - (d[1] - a[1]) * (p[0] - a[0])
        assert abs(across) / math.dist(a, d) < 1e-9


def test_a_star_has_its_points_where_the_turn_puts_them() -> None:
    (area,) = Star("navy", points=4, turn=45.0, inner_ratio=0.4).draw(Box(10, 10))
    for corner in ((0, 0), (10, 0), (10, 10), (0, 10)):
        assert area.region.distance(Point(corner)) < 1e-9


def test_an_off_centre_cross_is_painted_fimbriation_first() -> None:
    cross = Cross("green", arm_width=2.0, centre_x=8.0, fimbriation=(1.0, 0.5), fimbriation_inks=("white", "navy"))
    areas = cross.draw(Box(22, 16))
    assert [a.ink for a in areas] == ["navy", "white", "green"]
    assert [ink_at(areas, x, 1) for x in (5, 5.7, 6.5, 8, 9.5, 10.3, 11)] == [
        None, "navy", "white", "green", "white", "navy", None,
    ]  # fmt: skip


def test_a_saltire_runs_from_corner_to_corner() -> None:
    (area,) = Cross("white", saltire=True, arm_width=2.0).draw(Box(20, 10))
    for corner in ((0, 0), (20, 0), (20, 10), (0, 10), (10, 5)):
        assert area.region.distance(Point(corner)) < 1e-9
    assert ink_at((area,), 10, 8) is None and ink_at((area,), 3, 5) is None


@pytest.mark.parametrize("ratio", [0.5, 1.0, 7 / 6])
@pytest.mark.parametrize("saltire", [False, True])
def test_a_couped_cross_fills_its_square_with_its_fimbriation(ratio: float, saltire: bool) -> None:
    cross = Cross(
        "green", couped=True, saltire=saltire, arm_ratio=ratio, fimbriation=(0.4,), fimbriation_inks=("white",)
    )
    outer, inner = cross.draw(cross.extent(Box(14, 9)))
    assert outer.region.bounds == pytest.approx((0, 0, 9, 9))
    assert outer.region.boundary.distance(inner.region) == pytest.approx(0.4)
    # Arms of width w and length r*w beyond the middle square: area w2 (1 + 4 r); perimeter w (4 + 8 r).
    area, perimeter = inner.region.area, inner.region.length
    w = perimeter / (4 + 8 * ratio)
    assert area == pytest.approx(w * w * (1 + 4 * ratio))


@pytest.mark.parametrize("saltire", [False, True])
def test_a_couped_cross_by_arm_width_and_ratio_takes_just_its_room(saltire: bool) -> None:
    """Arms 2 wide and 3 long: 8 across, 9 with its fimbriation of 0.5; slantwise (9 + 3) / sqrt(2)."""
    cross = Cross(
        "green",
        couped=True,
        saltire=saltire,
        arm_width=2.0,
        arm_ratio=1.5,
        fimbriation=(0.5,),
        fimbriation_inks=("white",),
    )
    size = cross.extent(Box(50, 50))
    assert size == pytest.approx((12 / math.sqrt(2),) * 2 if saltire else (9, 9))
    assert cross.draw(size)[1].region.area == pytest.approx(2 * 8 * 2 - 4)


def test_a_border_follows_its_rectangle() -> None:
    (line,) = Border("navy", 0.5, inset=1.0, corner_radius=3.0).draw(Box(20, 10))
    # Between rounded rectangles 18 x 8 with radius 2 and 17 x 7 with radius 1.5.
    expected = (18 * 8 - (4 - math.pi) * 4) - (17 * 7 - (4 - math.pi) * 2.25)
    assert line.region.area == pytest.approx(expected, abs=0.02)
    assert len(line.region.geoms) == 1 and len(line.region.geoms[0].interiors) == 1


@pytest.mark.parametrize("inset", [0.0, 0.6])
def test_a_border_follows_a_cut_line_at_a_constant_distance(inset: float) -> None:
    cut = Polygon([(0, 0), (20, 0), (20, 6), (12, 10), (0, 10)]).difference(circle((6, 0), 2))
    (line,) = Border("navy", 0.4, inset=inset).follow(cut)
    assert cut.covers(line.region.buffer(-1e-9))
    (area,) = line.region.geoms
    assert area.exterior.hausdorff_distance(cut.exterior) >= inset
    for hole in area.interiors:
        for i in range(60):
            point = hole.interpolate(i / 60, normalized=True)
            assert point.distance(cut.exterior) == pytest.approx(inset + 0.4, abs=2 * TOLERANCE)


def test_a_border_on_the_cut_line_runs_on_with_it() -> None:
    cut = rectangle(2, 3, 12, 9)
    (line,) = Border("navy", 1.0).follow(cut, run_on=0.5)
    assert (
        line.region.symmetric_difference(rectangle(1.5, 2.5, 12.5, 9.5).difference(rectangle(3, 4, 11, 8))).area < 1e-9
    )


def test_an_outline_bows_and_rounds_as_told() -> None:
    points = ((0.0, 0.0), (10.0, 0.0), (10.0, 6.0), (0.0, 6.0))
    (round_,) = DrawnOutline("navy", points, radii=(1.0,)).draw(Box(10, 6))
    assert round_.region.area == pytest.approx(60 - (4 - math.pi), abs=0.005)
    half_disc = math.pi * 9 / 2
    (out,) = DrawnOutline("navy", points, rises=(0.0, 3.0, 0.0, 0.0)).draw(Box(13, 6))
    assert out.region.area == pytest.approx(60 + half_disc, abs=0.02)
    (bay,) = DrawnOutline("navy", points, rises=(0.0, -3.0, 0.0, 0.0)).draw(Box(10, 6))
    assert bay.region.area == pytest.approx(60 - half_disc, abs=0.02)


@given(st.booleans(), st.lists(st.sampled_from([0.0, 0.3, -0.3]), min_size=4, max_size=4))
def test_points_may_be_given_either_way_round(place: bool, rises: list[float]) -> None:
    """The same corners listed clockwise, with the rises of the same sides, are the same outline."""
    points = [(0.0, 0.0), (8.0, 1.0), (9.0, 6.0), (1.0, 7.0)]
    one = DrawnOutline("navy", tuple(points), rises=tuple(rises), in_place=place)
    # Listed backward, side i of the reversed list is the old side between the same two corners.
    back = DrawnOutline("navy", tuple(points[::-1]), rises=(*rises[2::-1], rises[3]), in_place=place)
    box = Box(20, 20)
    (a,), (b,) = one.draw(one.extent(box)), back.draw(back.extent(box))
    assert a.region.symmetric_difference(b.region).area < 1e-9


def test_an_outline_keeps_its_arcs_for_a_cutting_file() -> None:
    outline = ring([(0, 0), (10, 0), (10, 6), (0, 6)], radii=[1.0, 0.0, 0.0, 2.0], rises=[])
    arcs = [s for s in outline.segments if s.centre is not None]
    assert sorted(round(math.dist(s.start, s.centre), 9) for s in arcs) == [1.0, 2.0]


def test_an_outline_has_holes() -> None:
    square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    hole = Hole(((3.0, 3.0), (7.0, 3.0), (7.0, 7.0), (3.0, 7.0)), radii=(2.0,))
    (area,) = DrawnOutline("navy", square, holes=(hole,)).draw(Box(10, 10))
    assert area.region.area == pytest.approx(100 - math.pi * 4, abs=0.01)


def test_an_outline_in_place_stays_where_it_was_measured() -> None:
    square = ((1.0, 2.0), (4.0, 2.0), (4.0, 5.0), (1.0, 5.0))
    here = DrawnOutline("navy", square, in_place=True)
    assert here.extent(Box(20, 10)) == (20, 10)
    assert here.draw(Box(20, 10))[0].region.bounds == (1, 2, 4, 5)
    assert DrawnOutline("navy", square).draw(Box(3, 3))[0].region.bounds == (0, 0, 3, 3)


def test_a_field_shrinks_radii_that_do_not_fit() -> None:
    (area,) = Field("navy", corner_radii=(10.0, 2.0, 0.0, 0.0)).draw(Box(6, 9), 0.5)
    # 12 mm of radii on a side of 6: both halved. The bottom has no straight part left, so nothing runs on there.
    assert area.region.bounds == (-0.5, 0.0, 6.5, 9.5)


def test_lettering_takes_the_room_of_its_capitals() -> None:
    shape = Lettering(("HARBOUR", "Gypsy"), "white", 2.0, line_pitch=3.5)
    block = text_block(["HARBOUR", "Gypsy"], face="Archivo", cap_height=2.0, line_pitch=3.5)
    assert shape.extent(Box(1, 1)) == (block.width, 5.5)
    (area,) = shape.draw(shape.extent(Box(1, 1)), 0.5)
    assert area.lettering and area.region.equals(block.region)
    assert area.region.bounds[1] == -block.descent < -0.2, "tails hang below the extent"


@pytest.mark.parametrize("width", [11.0, 12.0, 20.0])
def test_lettering_is_spaced_to_a_width(width: float) -> None:
    shape = Lettering(("HARBOUR", "STORES"), "white", 1.6, width=width)
    assert shape.extent(Box(1, 1)).width == pytest.approx(width, abs=1e-6)
    assert seen(shape.draw(shape.extent(Box(1, 1)))) == pytest.approx(
        seen(Lettering(("HARBOUR", "STORES"), "white", 1.6).draw(Box(1, 1))), rel=1e-3
    ), "the letters themselves stay as they are"


def test_lettering_sets_the_axes_of_its_face() -> None:
    thin, bold = (Lettering(("H",), "white", 5.0, axes=(f"wght {w}",)).draw(Box(1, 1))[0] for w in (200, 800))
    assert bold.region.area > 2 * thin.region.area


def test_a_star_turns_anticlockwise() -> None:
    # The point at the top goes to the left: a quarter of the way from one point to the next.
    (area,) = Star("navy", turn=18.0, diameter=20.0, in_circle=True).draw(Box(20, 20))
    x, y = area.region.centroid.coords[0]
    tip = max(area.region.geoms[0].exterior.coords, key=lambda point: point[1])
    assert math.degrees(math.atan2(tip[1] - y, tip[0] - x)) == pytest.approx(108.0, abs=0.1)


def test_the_arms_of_a_cross_are_a_fifth_of_its_height_if_nothing_is_said() -> None:
    (area,) = Cross("green").draw(Box(30, 20))
    assert area.region.area == pytest.approx(30 * 4 + 20 * 4 - 4 * 4)


@pytest.mark.parametrize("clockwise", [False, True])
def test_sides_of_an_outline_that_bend_smoothly_lie_on_their_curve(clockwise: bool) -> None:
    """Sides 2 to 4 as the shape `curve` draws them, with the others straight."""
    points = ((0.0, 0.0), (12.0, 0.0), (14.0, 4.0), (9.0, 8.0), (0.0, 7.0))
    drawn = DrawnOutline("navy", points, curves=(2, 3, 4), in_place=True)
    if clockwise:
        drawn = DrawnOutline("navy", points[::-1], curves=(1, 2, 3), in_place=True)
    same = DrawnCurve("navy", points, corners=(1, 2, 5), straights=(1, 5), in_place=True)
    (one,), (other,) = drawn.draw(Box(16, 10)), same.draw(Box(16, 10))
    assert one.region.symmetric_difference(other.region).area < 0.03
    assert shapely.hausdorff_distance(one.region, other.region) < 0.003


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ({"curves": (7,)}, "there is no side 7: the outline has 4 sides"),
        ({"curves": (2,), "rises": (0.0, 1.0, 0.0, 0.0)}, "side 2 has a rise and is a curve"),
        ({"curves": (2,), "radii": (0.0, 1.0, 0.0, 0.0)}, "a corner beside a bent side cannot have a radius"),
    ],
)
def test_what_a_smooth_side_cannot_be(keys: dict[str, object], message: str) -> None:
    with pytest.raises(ShapeError, match=message) as error:
        DrawnOutline("navy", ((0.0, 0.0), (9.0, 0.0), (9.0, 5.0), (0.0, 5.0)), **keys)
    assert error.value.fix
