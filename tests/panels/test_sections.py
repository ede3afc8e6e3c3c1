"""Splitting at gaps and cutting round obstacles: nothing gained, nothing lost, everything in register."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from decalgen.core.errors import FitError
from decalgen.core.geometry import rectangle
from decalgen.panels.flat import Flat
from decalgen.panels.obstacles import (
    CircleObstacle,
    LineObstacle,
    ObstacleKind,
    OutlineObstacle,
    RectangleObstacle,
    SlotObstacle,
)
from decalgen.panels.sections import keep_off, section_findings, sections, strips

WIDE, HIGH = 68.0, 12.0


def side(obstacles: dict[str, ObstacleKind]):  # type: ignore[no-untyped-def]
    return Flat(width=WIDE, height=HIGH, instrument="caliper").build("side", obstacles)


def gap(x: float, lean: float = 0.0, width: float = 0.5, clearance: float = 0.0) -> LineObstacle:
    return LineObstacle(line=((x, 0.0), (x + lean, HIGH)), width=width, clearance=clearance)


def test_two_door_gaps_make_three_sections() -> None:
    panel = side({"front gap": gap(20.0, clearance=0.1), "rear gap": gap(45.0)})
    cut = rectangle(2.0, 4.0, 66.0, 6.2)
    found = sections(cut, panel)
    assert [section.number for section in found] == [1, 2, 3] and found[0].count == 3
    assert [s.outline.bounds for s in found] == [
        pytest.approx((2.0, 4.0, 19.65, 6.2)),
        pytest.approx((20.35, 4.0, 44.75, 6.2)),
        pytest.approx((45.25, 4.0, 66.0, 6.2)),
    ]
    assert [section.beside for section in found] == [("front gap",), ("front gap", "rear gap"), ("rear gap",)]


def test_a_section_near_a_gap_is_not_beside_it() -> None:
    # The first ends 2.5 mm before the second gap.
    panel = side({"a": gap(20.0), "b": gap(23.0)})
    found = sections(rectangle(2.0, 4.0, 40.0, 6.2), panel)
    assert [section.beside for section in found] == [("a",), ("a", "b"), ("b",)]


def test_only_the_named_obstacles_count() -> None:
    panel = side({"front gap": gap(20.0), "rear gap": gap(45.0)})
    assert len(sections(rectangle(2.0, 4.0, 66.0, 6.2), panel, ["rear gap"])) == 2
    assert len(sections(rectangle(2.0, 4.0, 18.0, 6.2), panel)) == 1


def test_a_handle_inside_leaves_a_hole() -> None:
    handle = RectangleObstacle(rectangle=(3.0, 0.8), at=(16.5, 8.2), clearance=0.3)
    found = sections(rectangle(10.0, 6.0, 30.0, 11.0), side({"handle": handle}))
    assert len(found) == 1 and len(found[0].outline.interiors) == 1
    hole = shapely.Polygon(found[0].outline.interiors[0])
    assert hole.bounds == pytest.approx((16.2, 7.9, 19.8, 9.3))


def test_an_obstacle_that_covers_the_decal_is_refused() -> None:
    window = RectangleObstacle(rectangle=(30.0, 8.0), at=(5.0, 2.0))
    with pytest.raises(FitError, match="'window' on panel 'side' leaves nothing") as caught:
        sections(rectangle(10.0, 4.0, 20.0, 8.0), side({"window": window}))
    assert caught.value.fix


def test_narrow_sections_are_found() -> None:
    panel = side({"a": gap(20.0), "b": gap(21.0)})
    found = section_findings(sections(rectangle(2.0, 4.0, 66.0, 6.2), panel), "stripe")
    assert [(f.code, f.subject) for f in found] == [("section-narrow", "stripe")]
    assert "section 2 of 3" in found[0].message


coordinate = st.floats(1.0, 60.0)
size = st.floats(0.3, 8.0)
up = st.floats(0.0, 10.0)
clear = st.floats(0.0, 0.6)
kinds = st.one_of(
    st.builds(gap, st.floats(3.0, 60.0), st.floats(-3.0, 3.0), st.floats(0.1, 1.0), clear),
    st.builds(
        lambda x, y, w, h, c: RectangleObstacle(rectangle=(w, h), at=(x, y), clearance=c),
        coordinate,
        up,
        size,
        size,
        clear,
    ),
    st.builds(lambda x, y, d, c: CircleObstacle(circle=d, at=(x, y), clearance=c), coordinate, up, size, clear),
    st.builds(
        lambda x, y, w, h, c: SlotObstacle(slot=(w, h), at=(x, y), clearance=c), coordinate, up, size, size, clear
    ),
    st.builds(
        lambda x, y, w, h, c: OutlineObstacle(outline=((x, y), (x + w, y), (x, y + h)), clearance=c),
        coordinate,
        up,
        size,
        size,
        clear,
    ),
)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(kinds, min_size=1, max_size=4),
    st.floats(0.5, 20.0),
    st.floats(0.5, 5.0),
    st.floats(5.0, 45.0),
    st.floats(1.0, 6.0),
)
def test_sections_and_strips_are_the_unsplit_artwork(
    obstacles: list[ObstacleKind], x: float, y: float, width: float, height: float
) -> None:
    """An artwork of two inks split by the sections, plus the strips taken out, is the artwork, in its place."""
    panel = side({f"o{i}": kind for i, kind in enumerate(obstacles)})
    cut = rectangle(x, y, x + width, y + height)
    artwork = {
        "white": shapely.union_all([rectangle(x + i, y, x + i + 0.5, y + height) for i in range(int(width))]),
        "orange": rectangle(x, y, x + width, y + height / 2),
    }
    taken = strips(cut, panel)
    try:
        found = sections(cut, panel)
    except FitError:
        found = ()
    parts = [section.outline for section in found] + [strip.region for strip in taken]
    assert shapely.union_all(parts).symmetric_difference(cut).area < 1e-5
    assert sum(part.area for part in parts) == pytest.approx(cut.area, abs=1e-5), "no two overlap"
    for region in artwork.values():
        pieces = [region.intersection(part) for part in parts]
        assert shapely.union_all(pieces).symmetric_difference(region).area < 1e-5
        assert sum(piece.area for piece in pieces) == pytest.approx(region.area, abs=1e-5)
    for section in found:
        assert section.outline.is_valid
        for obstacle in panel.obstacles:
            assert section.outline.intersection(keep_off(obstacle)).area < 1e-6
