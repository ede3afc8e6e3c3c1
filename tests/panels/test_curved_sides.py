"""Sides of an outline that are one smooth curve through measured points."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
import shapely

from decalgen.artwork.build import build
from decalgen.core.arc_fit import with_arcs
from decalgen.core.curves.course import Course, curve_through
from decalgen.core.curves.curved import CurvedSides
from decalgen.core.curves.sides import smooth_sides
from decalgen.core.geometry import Outline
from decalgen.job.model import Cut
from decalgen.panels.base import PanelError
from decalgen.panels.free import FreeOutline
from decalgen.panels.hands import mirrored
from decalgen.shapes.outline import ring
from tests.core.curves.sets import dense
from tests.helpers import jobs

WING = ((0.0, 0.0), (30.0, 0.0), (30.0, 8.0), (21.0, 10.5), (10.0, 9.0), (0.0, 4.0))
"""A wing whose upper edge runs in one sweep from point 3 over 4 and 5 to 6."""


def wing(**more: object) -> FreeOutline:
    return FreeOutline(outline=more.pop("outline", WING), curves=more.pop("curves", (3, 4, 5)), **more)  # type: ignore[arg-type]


def test_points_all_round_an_ellipse_make_the_ellipse() -> None:
    """20 × 8 through 12 points: the area is π a b (within what the spline is off: 19 µm), in at most 60 arcs."""
    points = tuple((20 + 20 * math.cos(a), 8 + 8 * math.sin(a)) for a in np.arange(12) * math.pi / 6)
    panel = FreeOutline(outline=points, curves=tuple(range(1, 13))).build("badge")
    assert panel.outline.polygon.area == pytest.approx(math.pi * 20 * 8, abs=0.02 * 92)
    assert (panel.width.value, panel.height.value) == pytest.approx((40, 16), abs=0.005)
    assert len(panel.outline.segments) <= 60 and all(one.centre for one in panel.outline.segments)


def test_curved_sides_lie_on_the_curve_through_their_points() -> None:
    curve = curve_through(Course(WING[2:]))
    panel = wing().build("wing")
    upper = shapely.LineString(
        [
            p
            for s, side in zip(panel.outline.segments, panel.sides, strict=True)
            if side in ("side 3", "side 4", "side 5")
            for p in s.points()
        ]
    )
    places = shapely.points(dense(curve, 3000))
    assert shapely.distance(places, upper).max() < 0.0021
    assert set(panel.sides) == {f"side {i}" for i in range(1, 7)}


def test_the_same_outline_given_clockwise_is_the_same_panel() -> None:
    back = wing(outline=WING[::-1], curves=(1, 2, 3)).build("wing")
    difference = back.outline.polygon.symmetric_difference(wing().build("wing").outline.polygon)
    assert difference.area < 0.001
    assert len(mirrored(back).outline.segments) == len(back.outline.segments)


def test_a_decal_cut_to_such_a_panel_keeps_its_arcs_for_the_cutter() -> None:
    """What goes to the cutting machine: arcs within 2 µm of the clothoids, not a line of short chords."""
    panel = wing().build("door")
    decal = jobs.decal(
        "all", panel.width.value, panel.height.value, jobs.element("field", ink="navy"), cut=Cut("panel")
    )
    art = build(jobs.job(decal, panels=(panel,)), decal)
    cut = with_arcs(art.cut)
    assert len(cut.segments) == len(panel.outline.segments) < 40
    chords = with_arcs(Outline.from_polygon(art.cut.polygon))
    assert len(chords.segments) >= len(cut.segments)
    curve = curve_through(Course(WING[2:]))
    ring = Outline(cut.segments).polygon.exterior
    assert shapely.distance(shapely.points(dense(curve, 3000)), ring).max() < 0.0021


def test_a_curve_runs_on_smoothly_from_a_straight_side() -> None:
    """A sill, then a quarter of a circle told by points, then an upright: with smooth joins at its ends the quarter is
    round to a micrometre and turns nowhere in one place; without them the spline finds its own directions."""
    quarter = tuple((20 + 6 * math.sin(a), 6 - 6 * math.cos(a)) for a in (0.0, 0.5, 0.9, math.pi / 2))
    points = ((0.0, 0.0), *quarter, (26.0, 14.0), (0.0, 14.0))
    for outline, curves, joins in ((points, (2, 3, 4), (2, 5)), (points[::-1], (3, 4, 5), (3, 6))):
        panel = wing(outline=outline, curves=curves, smooth_joins=joins).build("wing")
        round_off = panel.outline.polygon.exterior.intersection(shapely.box(20.01, -1, 27, 5.99))
        away = np.hypot(*(shapely.get_coordinates(round_off) - (20, 6)).T)
        assert np.abs(away - 6).max() < 0.002
        turns = sorted(turns_of(panel.outline))
        assert turns[-3:] == pytest.approx([math.pi / 2] * 3, abs=1e-9) and turns[-4] < 0.04


def turns_of(outline: Outline) -> list[float]:
    """How far it turns between each of its chords and the next, radians."""
    points = np.array(outline.polygon.exterior.coords[:-1])
    steps = np.roll(points, -1, axis=0) - points
    ways = np.arctan2(steps[:, 1], steps[:, 0])
    return [
        abs(math.remainder(after - before, math.tau)) for before, after in zip(ways, np.roll(ways, -1), strict=True)
    ]


@pytest.mark.parametrize("back", [False, True])
def test_a_curve_runs_on_smoothly_from_an_arc(back: bool) -> None:
    """A half circle of radius 10 is one arc to its top, and its other quarter is told by points; joined there the
    whole is round to 2 µm and turns nowhere in one place, in a panel as in the shape outline. The end of the quarter
    at the sill is held by its direction."""
    told = [(20 + 10 * math.cos(math.radians(a)), 10 * math.sin(math.radians(a))) for a in (0, 25, 60, 90, 180)]
    points = (*told, (10.0, -4.0), (30.0, -4.0))
    curves, joins, way, at, arc = (1, 2, 3), (4,), 90.0, 1, 4
    if back:
        points, curves, joins, way, at, arc = points[::-1], (4, 5, 6), (4,), -90.0, 7, 3
    rises = tuple(10 - 5 * math.sqrt(2) if i == arc else 0.0 for i in range(1, 8))
    panel = wing(outline=points, curves=curves, smooth_joins=joins, arc_rises=rises, directions=((at, way),))
    drawn = ring(points, rises=rises, curved=CurvedSides(curves, joins, ((at, way),)))
    for one in (panel.build("wing").outline, drawn):
        x0, y0, _, _ = one.polygon.bounds
        round_off = shapely.get_coordinates(one.polygon.exterior) - (x0 + 10, y0 + 4)
        round_off = round_off[round_off[:, 1] > 0.01]
        assert np.abs(np.hypot(*round_off.T) - 10).max() < 0.003
        assert sum(turn > 0.1 for turn in turns_of(one)) == 2


ROUND = tuple((20 + 10 * math.cos(a), 10 * math.sin(a)) for a in np.arange(9) * math.pi / 8)
"""Points all along half a circle of radius 10."""


def read(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """The same as they are read with a caliper: within 0.04 mm."""
    random = np.random.default_rng(18)
    return tuple((float(x), float(y)) for x, y in np.array(points) + random.uniform(-0.04, 0.04, (len(points), 2)))


def test_points_of_curved_sides_are_moved_within_what_they_were_read_to() -> None:
    """Half a circle, read: moved by no more than the ±, it bends more evenly, and where it ends it stays; the note says
    of each point by how much, and that they lie on a circle of that radius."""
    outline, curves = (*read(ROUND), (10.0, -4.0), (30.0, -4.0)), tuple(range(1, 9))
    found = {one.code: one for one in wing(outline=outline, curves=curves, within=0.06).build("wing").findings}
    told = [float(move) for move in re.findall(r"\d+: (-?[\d.]+)", found["curve-moved"].message)]
    assert len(told) == 11 and 0.01 < max(map(abs, told)) <= 0.06
    assert [told[i] for i in (0, 8, 9, 10)] == [0.0] * 4
    assert re.match(r"points 1 to 9 lie on a circle of radius (9.9|10.0)", found["curve-likeness"].message)
    assert "of these keep points 1 and 9" in found["curve-likeness"].fix
    rise = re.search(r"a rise of ([\d.]+) mm", found["curve-likeness"].fix)
    assert rise and float(rise[1]) == pytest.approx(10, abs=0.06)
    bends = [smooth_sides(outline, (0.0,) * 11, CurvedSides(curves, within=within)) for within in (None, 0.06)]
    spread = [np.ptp([math.dist(s.start, s.centre) for i in range(2, 8) for s in one[i] if s.centre]) for one in bends]
    assert spread[1] < spread[0] / 2
    told_without = {one.code for one in wing(outline=outline, curves=curves).build("wing").findings}
    assert not told_without & {"curve-moved", "curve-likeness"}


def test_a_direction_holds_the_curve_at_its_point() -> None:
    """At a point inside of the curve, and at a corner at which it ends: it leaves there as it is told."""
    sides = smooth_sides(WING, (0.0,) * 6, CurvedSides((3, 4, 5), directions=((3, 150.0), (5, 185.0))))
    for number, at, way in ((3, 0, 150.0), (5, 0, 185.0), (4, -1, 185.0)):
        one = sides[number][at]
        assert one.centre
        x, y = one.start if at == 0 else one.end
        across = math.degrees(math.atan2(y - one.centre[1], x - one.centre[0])) + (90 if one.anticlockwise else -90)
        assert math.remainder(across - way, 360) == pytest.approx(0, abs=1.0)


@pytest.mark.parametrize(("joins", "sharp"), [((), 4), ((2,), 3)])
def test_without_a_smooth_join_there_is_a_corner(joins: tuple[int, ...], sharp: int) -> None:
    """A line of 10 mm, a curve that would leave it at 22 degrees, and back by two straight sides; of the shape outline
    as of a panel."""
    points = ((0.0, 0.0), (10.0, 0.0), (14.0, 3.0), (16.0, 8.0), (0.0, 8.0))
    panel = wing(outline=points, curves=(2, 3), smooth_joins=joins).build("wing").outline
    drawn = ring(points, curved=CurvedSides((2, 3), joins))
    for one in (panel, drawn):
        assert sum(turn > 0.1 for turn in turns_of(one)) == sharp


@pytest.mark.parametrize(
    ("given", "message", "fix"),
    [
        ({"curves": (9,)}, "there is no side 9: the outline has 6 sides", "use 1 to 6"),
        ({"arcs": (0, 0, 9.0, 0, 0, 0)}, "side 3 is both an arc and a curve", "set its arc to 0"),
        ({"smooth_joins": (4,)}, "at point 4 no curved side meets a straight one", "points where one does: 3, 6"),
        ({"curves": (), "smooth_joins": (4,)}, "at point 4 no curved side meets", "where one does: none"),
        (
            {"directions": ((2, 10.0),)},
            "there is a direction for point 2, at which no curved side is",
            "points of curved sides: 3, 4, 5, 6",
        ),
        (
            {"directions": ((3, 100.0),), "smooth_joins": (3,)},
            "the direction of point 3 is 100 degrees, but the piece beside it runs at 90 degrees",
            "remove the direction",
        ),
        ({"corner_radii": (0, 0, 1.0, 0, 0, 0)}, "has an arc or a curve beside it", "corner radius to 0"),
        (
            {"outline": (*WING[:3], (2.0, 8.5), (28.0, 9.0), WING[5])},
            "the curved sides: point",
            "measure another point beside it",
        ),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_a_mistake_is_told_with_a_fix(given: dict[str, object], message: str, fix: str) -> None:
    with pytest.raises(PanelError) as error:
        wing(**given).build("wing")
    assert message in error.value.message and fix in error.value.fix
