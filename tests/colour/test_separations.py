"""Plates against areas worked out by hand, and against what must hold of any art."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Polygon

from decalgen.colour.separations import WHITE_PLATE, backing_decal, plates, trap, white_underlay
from decalgen.colour.value import ColourError
from decalgen.core.geometry import circle, rectangle, union

CHOKE = 0.15


def test_choke_of_a_rectangle_is_exact() -> None:
    art = {"red": rectangle(0, 0, 10, 5)}
    found = white_underlay(art, {"red"}, choke=0.2)
    assert found.region.equals(MultiPolygon([rectangle(0.2, 0.2, 9.8, 4.8)]))
    assert found.dropped.is_empty
    assert found.findings == ()


def test_choke_of_a_disc() -> None:
    found = white_underlay({"red": circle((0, 0), 3.0)}, {"red"}, choke=0.2)
    assert found.region.area == pytest.approx(math.pi * 2.8**2, rel=2e-3)


def test_white_runs_on_under_inks_that_touch() -> None:
    art = {"red": rectangle(0, 0, 5, 5), "yellow": rectangle(5, 0, 10, 5), "black": rectangle(10, 0, 12, 5)}
    found = white_underlay(art, {"red", "yellow"}, choke=0.2)
    # Where yellow meets black the art goes on: white is not drawn in there, it runs on by the misregister under black.
    assert found.region.bounds == pytest.approx((0.2, 0.2, 10.2, 4.8))
    assert found.region.area == pytest.approx(10.0 * 4.6, abs=1e-6)


def ring(x: float, y: float, outer: float, inner: float) -> Polygon:
    """A letter such as an O."""
    return circle((x, y), outer).difference(circle((x, y), inner))


def test_white_lies_under_letters_of_another_ink() -> None:
    """A ground with letters knocked out of it: white is missing only within the choke of the ground's own edge."""
    letters = union([ring(3, 3, 1.2, 0.6), rectangle(6, 2, 6.4, 4), rectangle(8, 2, 8.2, 4)])
    art = {"orange": rectangle(0, 0, 12, 6).difference(letters), "navy": letters}
    found = white_underlay(art, {"orange"}, choke=0.2)
    assert found.region.area == pytest.approx(11.6 * 5.6, abs=1e-6)
    assert found.region.bounds == pytest.approx((0.2, 0.2, 11.8, 5.8))
    assert found.dropped.is_empty


def test_white_runs_on_below_checks() -> None:
    """Cells that need white beside cells that do not: no white is missing but at the outer contour."""
    cells: dict[str, list[Polygon]] = {"orange": [], "black": []}
    for column in range(6):
        for row in range(2):
            name = "orange" if (column + row) % 2 else "black"
            cells[name].append(rectangle(column, row, column + 1, row + 1))
    art = {name: union(some) for name, some in cells.items()}
    found = white_underlay(art, {"orange"}, choke=0.15)
    inside = rectangle(0.15, 0.15, 5.85, 1.85)
    assert art["orange"].intersection(inside).difference(found.region).area < 1e-6


def test_white_is_drawn_in_at_real_openings_and_round_what_must_have_none() -> None:
    opening, mixed = rectangle(2, 2, 4, 4), rectangle(6, 2, 8, 4)
    ground = rectangle(0, 0, 10, 6).difference(union([opening, mixed]))
    art = {"orange": ground, "mixed": mixed}
    found = white_underlay(art, {"orange"}, without={"mixed"}, choke=0.2)
    assert found.region.area == pytest.approx(9.6 * 5.6 - 2 * 2.4 * 2.4, abs=1e-3)
    assert found.region.distance(mixed) == pytest.approx(0.2, abs=1e-3)


def test_letters_on_white_art_have_white_below_them() -> None:
    """Ink on white ink: a pass that is off by the misregister must not show the body round each letter."""
    letters = rectangle(4, 2, 6, 4)
    art = {"white": rectangle(0, 0, 10, 6).difference(letters), "black": letters}
    assert white_underlay(art, (), {"white"}, choke=0.2).region.area == pytest.approx(60.0, abs=1e-6)


def test_a_seam_between_inks_is_no_opening() -> None:
    """Outlines that rounding leaves a hundred-thousandth of a millimetre apart."""
    art = {"red": rectangle(0, 0, 5, 5), "yellow": rectangle(5.00001, 0, 10, 5)}
    found = white_underlay(art, {"red", "yellow"}, choke=0.2)
    assert found.region.area == pytest.approx(9.6 * 4.6, abs=1e-3)
    assert len(found.region.geoms) == 1


@pytest.mark.parametrize(("width", "printed"), [(0.30, False), (0.44, False), (0.45, True), (0.60, True)])
def test_thin_strokes_drop_out_with_a_finding(width: float, printed: bool) -> None:
    """2 x choke + smallest = 0.45: a stroke as wide as that prints as a line of white of the smallest width."""
    art = {"red": union([rectangle(0, 0, 6, 6), rectangle(10, 0, 10 + width, 6)])}
    found = white_underlay(art, {"red"}, choke=CHOKE, smallest=0.15, subject="door band")
    line = found.region.intersection(rectangle(9, -1, 12, 7))
    assert line.is_empty is not printed
    if printed:
        assert line.area == pytest.approx((width - 0.3) * 5.7, rel=1e-6)
        assert found.findings == ()
    else:
        assert found.dropped.area == pytest.approx(width * 6, rel=1e-6)
        assert [(one.severity, one.code, one.subject) for one in found.findings] == [
            ("warning", "white-dropped", "door band")
        ]
        assert "0.45 mm" in found.findings[0].message
        assert found.findings[0].fix


def test_a_thin_arm_drops_and_its_body_stays() -> None:
    art = {"red": union([rectangle(0, 0, 5, 5), rectangle(4.9, 2.4, 9, 2.6)])}
    found = white_underlay(art, {"red"}, choke=CHOKE)
    assert found.region.area == pytest.approx(4.7**2, abs=0.01)
    assert 0.2 * 3.5 < found.dropped.area < 0.2 * 4.0
    assert len(found.findings) == 1


def test_white_art_is_not_choked_and_joins_the_white_under_ink() -> None:
    art = {"white": rectangle(0, 0, 5, 5), "red": rectangle(5, 0, 10, 5)}
    found = white_underlay(art, {"red"}, {"white"}, choke=0.2)
    assert found.region.area == pytest.approx(5 * 5 + 4.8 * 4.6, abs=1e-9)
    assert len(found.region.geoms) == 1
    alone = white_underlay(art, (), {"white"}, choke=0.2)
    assert alone.region.area == pytest.approx(25)


def test_no_white_wanted() -> None:
    assert white_underlay({"red": rectangle(0, 0, 1, 1)}, (), choke=0.2).region.is_empty


def microns(least: int, most: int) -> st.SearchStrategy[float]:
    """Lengths in mm as art has them: nothing finer than 1 µm."""
    return st.integers(least, most).map(lambda n: n / 1000)


rectangles = st.builds(
    lambda x, y, w, h: rectangle(x, y, x + w, y + h),
    *(microns(0, 12000), microns(0, 12000), microns(50, 6000), microns(50, 6000)),
)
discs = st.builds(lambda x, y, r: circle((x, y), r), microns(0, 12000), microns(0, 12000), microns(200, 6000))
arts = st.lists(rectangles | discs, min_size=1, max_size=6)


@example([circle((2.0, 0.535), 2.0)], 0.0)  # drawn out and in again, a corner was off by 0.05 µm
@given(arts, microns(0, 400))
def test_white_never_shows(shapes: list[Polygon], choke: float) -> None:
    """However the passes shift by up to the choke, white stays under ink: it reaches no farther out than corners are
    off by rounding, a tenth of a micron."""
    art = union(shapes)
    inked = art.buffer(1e-4)
    found = white_underlay({"red": art}, {"red"}, choke=choke)
    for dx, dy in ((choke, 0), (-choke, 0), (0, choke), (0, -choke), (choke * 0.7, choke * 0.7)):
        moved = shapely.affinity.translate(found.region, dx, dy)
        assert moved.difference(inked).area == 0.0 and moved.difference(art).area < 1e-5
    assert found.dropped.difference(art).area < 1e-9
    assert found.dropped.intersection(found.region).area < 1e-6


def test_the_lighter_ink_spreads_under_the_darker() -> None:
    art = {"yellow": rectangle(0, 0, 5, 4), "blue": rectangle(5, 0, 10, 4)}
    out = trap(art, {"yellow": 88, "blue": 30}, 0.15)
    assert out["blue"].equals(MultiPolygon([art["blue"]]))
    assert out["yellow"].bounds == pytest.approx((0, 0, 5.15, 4))
    assert out["yellow"].area == pytest.approx(20 + 0.15 * 4)


def test_trap_does_not_jump_a_gap_nor_grow_outwards() -> None:
    art = {"yellow": rectangle(0, 0, 5, 4), "blue": rectangle(5.1, 0, 10, 4)}
    assert trap(art, {"yellow": 88, "blue": 30}, 0.15)["yellow"].area == pytest.approx(20)
    hole = {"blue": rectangle(0, 0, 10, 10).difference(rectangle(3, 3, 6, 6)), "yellow": rectangle(3, 3, 6, 6)}
    spread = trap(hole, {"yellow": 88, "blue": 30}, 0.2)["yellow"]
    # A square of 3 grown by 0.2 with round corners: 9 + 4 x 3 x 0.2 + pi x 0.2 squared.
    assert spread.area == pytest.approx(9 + 2.4 + math.pi * 0.04, rel=1e-3)


@given(arts, arts, microns(0, 400))
def test_trap_keeps_the_outline(first: list[Polygon], second: list[Polygon], misregister: float) -> None:
    top = union(second)
    art = {"dark": top, "light": union([union(first).difference(top)])}
    out = trap(art, {"dark": 20, "light": 80}, misregister)
    before, after = union(art.values()), union(out.values())
    assert before.symmetric_difference(after).area < 1e-6
    assert out["dark"].symmetric_difference(art["dark"]).area < 1e-6
    assert out["light"].difference(art["light"].buffer(misregister + 2e-3, quad_segs=64)).area < 1e-6


def test_three_inks_spread_by_rank() -> None:
    art = {"a": rectangle(0, 0, 2, 2), "b": rectangle(2, 0, 4, 2), "c": rectangle(4, 0, 6, 2)}
    out = trap(art, {"a": 50, "b": 80, "c": 20}, 0.1)
    assert [round(out[name].area, 9) for name in "abc"] == [4, 4.4, 4]
    fixed = trap(art, {"a": 50, "b": 80, "c": 20}, 0.1, fixed={"b"})
    assert [round(fixed[name].area, 9) for name in "abc"] == [4, 4, 4]


def test_plates_white_first_then_light_to_dark() -> None:
    art = {"blue": rectangle(0, 0, 4, 4), "white": rectangle(4, 0, 6, 4), "yellow": rectangle(6, 0, 9, 4)}
    light = {"blue": 30.0, "white": 96.0, "yellow": 88.0}
    under = white_underlay(art, {"yellow"}, {"white"}, choke=CHOKE)
    found = plates(art, light, under, whites={"white"}, misregister=0.15)
    assert [(one.name, one.ink, one.order) for one in found] == [
        (WHITE_PLATE, None, 1),
        ("yellow", "yellow", 2),
        ("blue", "blue", 3),
    ]
    assert found[0].region.equals(under.region)
    assert [one.name for one in plates({"blue": art["blue"]}, light)] == ["blue"]
    assert plates({"white": art["white"]}, light, whites={"white"})[0].name == WHITE_PLATE


def test_the_artwork_plates_do_not_depend_on_white() -> None:
    art = {"blue": rectangle(0, 0, 4, 4), "yellow": rectangle(4, 0, 9, 4)}
    light = {"blue": 30.0, "yellow": 88.0}
    under = white_underlay(art, {"yellow", "blue"}, choke=CHOKE)
    bare = {one.name: one.region for one in plates(art, light, misregister=0.1)}
    with_white = {one.name: one.region for one in plates(art, light, under, misregister=0.1)}
    assert {name: area.wkb for name, area in with_white.items() if name != WHITE_PLATE} == {
        name: area.wkb for name, area in bare.items()
    }


def test_base_decal_and_reversed_lettering() -> None:
    assert backing_decal(rectangle(0, 0, 10, 5), 0.25).equals(MultiPolygon([rectangle(0.25, 0.25, 9.75, 4.75)]))
    assert backing_decal(rectangle(0, 0, 10, 0.4), 0.25).is_empty


@pytest.mark.parametrize("value", [-0.1, 6.0, float("nan")])
def test_lengths_out_of_range(value: float) -> None:
    art = {"red": rectangle(0, 0, 1, 1)}
    for call in (
        lambda: white_underlay(art, {"red"}, choke=value),
        lambda: trap(art, {"red": 50}, value),
        lambda: backing_decal(art["red"], value),
    ):
        with pytest.raises(ColourError) as caught:
            call()
        assert "from 0 to 5 mm" in caught.value.fix


def test_unknown_inks() -> None:
    art = {"red": rectangle(0, 0, 1, 1)}
    with pytest.raises(ColourError, match="'blue'"):
        white_underlay(art, {"blue"}, choke=0.1)
    with pytest.raises(ColourError, match="'red'"):
        trap(art, {}, 0.1)
