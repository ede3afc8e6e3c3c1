"""Each kind's outline, sides and sizes, and the choice of a kind by its keys."""

from __future__ import annotations

import math

import pytest

from decalgen.core.lengths import Quantity
from decalgen.panels.base import Panel, PanelError
from decalgen.panels.cone import Cone
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.dome import Dome
from decalgen.panels.edge import EdgeWrap
from decalgen.panels.flat import Flat, Tapered
from decalgen.panels.free import FreeOutline, bounds
from decalgen.panels.full_size import FullSize
from decalgen.panels.hands import mirrored
from decalgen.panels.leaning import Leaning
from decalgen.panels.obstacles import RectangleObstacle
from decalgen.panels.prototype import Prototype
from decalgen.panels.registry import kind_for, kinds

ANGLE = Quantity(math.degrees(4 * math.atan(2 * 2.05 / 20.8)), 0)
"""Of the segment with chord 20.80 and rise 2.05."""


def sizes(panel: Panel) -> dict[str, float]:
    return {name: quantity.value for name, quantity in panel.sizes}


def test_tapered_cargo_side() -> None:
    panel = Tapered(bottom_width=31.0, top_width=28.6, height=6.4).build("side")
    ring = panel.outline.polygon
    assert ring.area == pytest.approx((31.0 + 28.6) / 2 * 6.4)
    corners = [x for point in ring.exterior.coords[:4] for x in point]
    assert corners == pytest.approx([0, 0, 31, 0, 29.8, 6.4, 1.2, 6.4])
    assert panel.width.value == 31.0 and panel.sides == ("bottom", "right", "top", "left")


def test_tapered_that_widens_upward_starts_at_its_box() -> None:
    panel = Tapered(bottom_width=20.0, top_width=24.0, left_inset=-1.0, height=6.0).build("side")
    assert panel.outline.polygon.bounds == pytest.approx((0, 0, 24, 6))
    assert sizes(panel)["right inset"] == pytest.approx(-3.0)
    handle = RectangleObstacle(rectangle=(2.0, 1.0), at=(0.0, 0.0))
    again = Tapered(bottom_width=20.0, top_width=24.0, left_inset=-1.0, height=6.0).build("side", {"handle": handle})
    assert again.obstacles[0].outline.polygon.bounds == pytest.approx((1.0, 0.0, 3.0, 1.0))


def test_outline_with_corner_radii() -> None:
    """A square with four round corners: area a² - (4 - pi)·r²."""
    panel = FreeOutline(outline=((0, 0), (10, 0), (10, 10), (0, 10)), corner_radii=(2.0,)).build("lid")
    assert panel.outline.polygon.area == pytest.approx(100 - (4 - math.pi) * 4, abs=0.02)
    assert panel.width.value == pytest.approx(10.0) and panel.height.value == pytest.approx(10.0)


@pytest.mark.parametrize("turn", [1, -1])
def test_outline_with_a_wheel_arch(turn: int) -> None:
    """A side 61.0 x 12.6 less a half circle of r 7.5, whichever way round it was measured."""
    points = ((0, 0), (14, 0), (29, 0), (61, 0), (61, 12.6), (0, 12.6))
    arcs = (0, -7.5, 0, 0, 0, 0)
    if turn < 0:
        points, arcs = points[::-1], (0, 0, 0, -7.5, 0, 0)
    panel = FreeOutline(outline=points, arcs=arcs).build("side")
    assert panel.outline.polygon.area == pytest.approx(61 * 12.6 - math.pi * 7.5**2 / 2, abs=0.03)
    assert panel.outline.polygon.exterior.is_ccw
    by_rise = FreeOutline(outline=points, arc_rises=arcs).build("side")
    assert by_rise.outline.polygon.area == pytest.approx(panel.outline.polygon.area, abs=1e-6)
    arch = [side for side, segment in zip(panel.sides, panel.outline.segments, strict=True) if segment.centre]
    assert arch == ["side 2" if turn > 0 else "side 4"]


def test_outline_with_a_bulging_side() -> None:
    """A segment of a circle on top: rise r - sqrt(r² - c²/4)."""
    panel = FreeOutline(outline=((0, 0), (20, 0), (20, 9), (0, 9)), arcs=(0, 0, 15.0, 0)).build("roof end")
    assert panel.height.value == pytest.approx(9 + 15 - math.sqrt(225 - 100))
    more_than_half = FreeOutline(outline=((0, 0), (4, 0), (4, 4), (0, 4)), arc_rises=(0, 0, 3.0, 0)).build("knob")
    assert more_than_half.height.value == pytest.approx(7.0)
    assert more_than_half.width.value == pytest.approx(2 * (4 + 9) / 6), "the circle bulges beyond its chord"


def test_outline_measured_from_another_corner() -> None:
    """Points may start anywhere; obstacles are read in the same coordinates."""
    handle = RectangleObstacle(rectangle=(2.0, 1.0), at=(4.0, 3.0))
    panel = FreeOutline(outline=((2, 1), (12, 1), (12, 7), (2, 7))).build("p", {"handle": handle})
    assert panel.outline.polygon.bounds == pytest.approx((0, 0, 10, 6))
    assert panel.obstacles[0].outline.polygon.bounds == pytest.approx((2, 2, 4, 3))


def test_paint_grows_an_outline_all_round() -> None:
    handle = RectangleObstacle(rectangle=(2.0, 1.0), at=(4.0, 3.0))
    panel = FreeOutline(outline=((0, 0), (10, 0), (10, 6), (0, 6)), paint=Quantity(0.1)).build("p", {"handle": handle})
    assert panel.outline.polygon.bounds == pytest.approx((0, 0, 10.2, 6.2))
    assert set(panel.sides) == {"side 1", "side 2", "side 3", "side 4"}
    assert panel.obstacles[0].outline.polygon.bounds == pytest.approx((4.0, 3.0, 6.2, 4.2))


def test_box_of_an_outline_with_arcs() -> None:
    from decalgen.core.geometry import rounded

    assert bounds(rounded(8.0, 5.0, (1, 2, 0, 2.5), 1.0, 2.0)) == pytest.approx((1.0, 2.0, 9.0, 7.0))


@pytest.mark.parametrize(
    "readings",
    [
        {"chord": 20.8, "rise": 2.05},
        {"radius": 27.40548780487805, "chord": 20.8},
        {"radius": 27.40548780487805, "rise": 2.05},
        {"tape": 21.334663482415756, "radius": 27.40548780487805},
        {"tape": 21.334663482415756, "chord": 20.8},
        {"tape": 21.334663482415756, "rise": 2.05},
        {"angle": ANGLE, "rise": 2.05},
        {"angle": ANGLE, "chord": 20.8},
        {"angle": ANGLE, "radius": 27.40548780487805},
        {"angle": ANGLE, "tape": 21.334663482415756},
    ],
)
def test_any_two_readings_make_the_same_bend(readings: dict[str, float]) -> None:
    panel = Cylinder(length=40.0, **readings).build("board")  # type: ignore[arg-type]
    assert panel.width.value == pytest.approx(21.33466, abs=2e-5)
    assert sizes(panel)["rise"] == pytest.approx(2.05, abs=1e-4)


def test_tape_alone_is_enough_for_the_outline() -> None:
    panel = Cylinder(tape=21.3, length=40.0).build("board")
    assert (panel.width.value, panel.height.value) == (21.3, 40.0)


def test_the_straight_size_may_be_called_height_or_width() -> None:
    assert Cylinder(chord=20.8, rise=2.05, height=7.0).build("cab").height.value == 7.0
    assert Cylinder(chord=20.8, rise=2.05, width=7.0, bend="up").build("cab").width.value == 7.0
    with pytest.raises(PanelError, match="follows from its bend"):
        Cylinder(chord=20.8, rise=2.05, width=7.0).build("cab")
    with pytest.raises(PanelError, match="given twice"):
        Cylinder(chord=20.8, rise=2.05, height=7.0, length=7.0).build("cab")


def test_edge_to_the_right() -> None:
    panel = EdgeWrap(first_face=8, second_face=5, edge_radius=1.5, length=20, edge="right").build("corner")
    assert panel.width.value == pytest.approx(13 - 3 + 0.75 * math.pi)
    assert sizes(panel)["edge arc"] == pytest.approx(0.75 * math.pi)


def test_cap_of_chords_and_rises() -> None:
    panel = Dome(width=20, height=14, rise_across=3, rise_up=1.5).build("lid")
    assert sizes(panel)["radius across"] == pytest.approx(400 / 24 + 1.5)
    assert panel.width.value == pytest.approx(2 * (400 / 24 + 1.5) * math.asin(10 / (400 / 24 + 1.5)))
    over_a_chord = Dome(width=20, height=14, chord_across=10, rise_across=0.7, radius_up=18).build("lid")
    assert sizes(over_a_chord)["radius across"] == pytest.approx(100 / 5.6 + 0.35)


def test_leaning_by_run() -> None:
    panel = Leaning(width=26.1, height=7.8, run=3.0).build("rear")
    assert panel.height.value == pytest.approx(math.hypot(7.8, 3.0))
    part = Leaning(width=26.1, height=7.8, run=1.0, rise=2.6).build("rear")
    assert part.height.value == pytest.approx(math.hypot(7.8, 3.0))


def test_mirrored_panels() -> None:
    panel = Tapered(bottom_width=31.0, top_width=28.6, left_inset=0.4, height=6.4).build("side")
    other = mirrored(panel)
    twin = Tapered(bottom_width=31.0, top_width=28.6, left_inset=2.0, height=6.4).build("side")
    assert other.outline.polygon.symmetric_difference(twin.outline.polygon).area < 1e-9
    assert other.outline.polygon.exterior.is_ccw
    by_side = dict(zip(other.sides, other.outline.segments, strict=True))
    assert sorted((by_side["left"].start[0], by_side["left"].end[0])) == pytest.approx([0.0, 2.0])
    again = mirrored(other, "left")
    assert again.outline.polygon.symmetric_difference(panel.outline.polygon).area < 1e-9


@pytest.mark.parametrize(
    ("keys", "kind"),
    [
        ({"width", "height"}, Flat),
        ({"width", "height", "prototype"}, Flat),
        ({"bottom width", "top width", "height"}, Tapered),
        ({"outline", "corner radii"}, FreeOutline),
        ({"chord", "rise", "length"}, Cylinder),
        ({"chord", "rise", "height"}, Cylinder),
        ({"radius", "angle", "length", "bend"}, Cylinder),
        ({"tape", "length"}, Cylinder),
        ({"bottom chord", "bottom rise", "top chord", "top rise", "slant length"}, Cone),
        ({"first face", "second face", "edge radius", "length"}, EdgeWrap),
        ({"width", "height", "lean"}, Leaning),
        ({"width", "height", "run", "rise"}, Leaning),
        ({"width", "height", "radius across", "radius up"}, Dome),
        ({"width", "height", "rise across", "rise up", "chord across"}, Dome),
        ({"prototype"}, Prototype),
        ({"botom width", "top width", "height"}, Tapered),
        ({"width", "height", "instrument", "paint", "obstacles", "note"}, Flat),
    ],
)
def test_keys_choose_the_kind(keys: set[str], kind: type) -> None:
    assert kind_for(keys) is kind


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"chord", "length"}, "cylinder needs"),
        ({"width", "radius"}, "needs"),
        ({"slant length", "bottom chord"}, "cone needs"),
        (set(), "give for example height, width (flat)"),
        ({"colour"}, "give for example"),
    ],
)
def test_keys_that_make_no_panel_say_what_is_missing(keys: set[str], words: str) -> None:
    with pytest.raises(PanelError) as caught:
        kind_for(keys)
    assert words in caught.value.fix


def test_a_radius_with_width_and_height_is_not_guessed() -> None:
    """It could be bent one way or both: the answer must not be silently one of them."""
    with pytest.raises(PanelError) as caught:
        kind_for({"radius", "width", "height"})
    assert "flat takes no radius" in caught.value.message
    assert "give chord, height, radius for one of kind cylinder" in caught.value.fix


def test_prototype_sizes_are_marked() -> None:
    panel = Prototype(prototype=FullSize(width=960.0, height=500.0)).build("door", scale=43.0)
    assert panel.width.value == pytest.approx(22.3256, abs=1e-4)
    assert [f.code for f in panel.findings] == ["prototype-size"]


def test_a_measured_panel_is_compared_with_its_prototype() -> None:
    """22.40 mm at 1:43 are 963 mm; a body 9 % too long says so."""
    good = Flat(width=22.4, height=11.6, prototype=FullSize(width=960.0), instrument="caliper").build("d", scale=43.0)
    assert good.findings == ()
    bad = Flat(width=22.4, height=11.6, prototype=FullSize(width=880.0), instrument="caliper").build("d", scale=43.0)
    assert [f.code for f in bad.findings] == ["not-to-scale"]
    assert "+9%" in bad.findings[0].message


def test_all_kinds_have_names_of_their_own() -> None:
    assert len(kinds()) == 9
    assert all(name == kind.name for name, kind in kinds().items())


def test_a_cone_that_does_not_taper_is_a_cylinder() -> None:
    cone = Cone(
        bottom_chord=Quantity(24.2),
        bottom_rise=Quantity(1.1),
        top_chord=Quantity(24.2),
        top_rise=Quantity(1.1 + 1e-9),
        slant_length=Quantity(19.5),
    ).build("bonnet")
    rolled = Cylinder(chord=Quantity(24.2), rise=Quantity(1.1), length=Quantity(19.5)).build("bonnet")
    assert cone.width.value == pytest.approx(rolled.width.value, abs=1e-6)
    assert cone.height.value == pytest.approx(19.5, abs=1e-6)
    assert cone.outline.polygon.symmetric_difference(rolled.outline.polygon).area < 1e-4


def test_scale_arithmetic_of_prototype_sizes() -> None:
    """A 79 mm plate character is 4.389, 1.837 and 1.234 mm at 1:18, 1:43 and 1:64: plain division."""
    for scale, model in ((18, "4.389"), (43, "1.837"), (64, "1.234")):
        panel = Prototype(prototype=FullSize(width=790.0, height=79.0)).build("plate", scale=scale)
        assert f"{panel.height.value:.3f}" == model
