"""Sides of an outline that are one smooth curve through measured points."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from decalgen.artwork.build import build
from decalgen.core.arc_fit import with_arcs
from decalgen.core.curves.course import Course, curve_through
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


@pytest.mark.parametrize(("joins", "sharp"), [((), 4), ((2,), 3)])
def test_without_a_smooth_join_there_is_a_corner(joins: tuple[int, ...], sharp: int) -> None:
    """A line of 10 mm, a curve that would leave it at 22 degrees, and back by two straight sides; of the shape outline
    as of a panel."""
    points = ((0.0, 0.0), (10.0, 0.0), (14.0, 3.0), (16.0, 8.0), (0.0, 8.0))
    panel = wing(outline=points, curves=(2, 3), smooth_joins=joins).build("wing").outline
    drawn = ring(points, curves=(2, 3), joins=joins)
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
            {"arc_rises": (0, 1.0, 0, 0, 0, 0), "smooth_joins": (3,)},
            "at point 3 a curve meets an arc",
            "remove 3 from `smooth joins`",
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
