"""What a decal moved by hand catches on. The places are worked out by hand beside each case."""

from __future__ import annotations

from shapely.geometry import Point

from decalgen.bench.snapping import Movable, Snap, snaps
from decalgen.core.geometry import Outline, Segment, rectangle
from decalgen.core.lengths import Quantity
from decalgen.panels.base import Obstacle, Panel
from decalgen.shapes.base import At


def door(obstacles: tuple[Obstacle, ...] = (), outline: Outline | None = None, sides: tuple[str, ...] = ()) -> Panel:
    """A panel 20 mm wide and 10 mm high."""
    flat = outline or Outline.from_polygon(rectangle(0, 0, 20, 10))
    return Panel("door", "flat", flat, Quantity(20.0), Quantity(10.0), obstacles=obstacles, sides=sides)


def decal(name: str, x: float, y: float, wide: float, high: float, at: At | None = None, margin: float = 0) -> Movable:
    box = (x, y, x + wide, y + high)
    cut = (x - margin, y - margin, x + wide + margin, y + high + margin)
    return Movable(name, at or At(), box, cut)


def places(found: list[Snap], words: str) -> list[float]:
    return [round(one.to, 6) for one in found if one.words == words]


def test_the_edges_and_middle_of_a_panel_are_anchors() -> None:
    across, up = snaps(door(), decal("band", 3, 3, 4, 2), [])
    assert [(one.to, one.line, one.words, one.anchor) for one in across] == [
        (0, 0, "left edge of the door", "left"),
        (8, 10, "centre of the door", "centre"),
        (16, 20, "right edge of the door", "right"),
    ]
    assert [(one.to, one.line, one.anchor) for one in up] == [(0, 0, "bottom"), (4, 5, "centre"), (8, 10, "top")]


def test_bare_film_round_a_decal_catches_on_the_edges_too() -> None:
    across, _ = snaps(door(), decal("band", 3, 3, 4, 2, margin=0.5), [])
    assert places(across, "film at the left edge of the door") == [0.5]
    assert places(across, "film at the right edge of the door") == [15.5]


def test_beside_an_obstacle_the_cut_line_keeps_the_clearance_rounded_away_from_it() -> None:
    # From 12.003 to 15.003 with 0.3 beside it: 11.703 and 15.303. A decal 4 wide held by its middle has places that are
    # whole hundredths from 8: to the left of it 7.70 (its end at 11.70), to the right 15.31.
    handle = Obstacle("handle", Outline.from_polygon(rectangle(12.003, 4, 15.003, 5)), 0.3)
    across, up = snaps(door((handle,)), decal("band", 3, 3, 4, 2), [])
    assert places(across, "clear of the handle") == [7.7, 15.31]
    # The middle 13.503 less half the decal, to the nearest hundredth.
    assert places(across, "centre of the handle") == [11.5]
    # Up: below it its top at 3.7, above it 5.3.
    assert places(up, "clear of the handle") == [1.7, 5.3]


def test_with_a_margin_the_cut_line_and_not_the_artwork_keeps_clear() -> None:
    handle = Obstacle("handle", Outline.from_polygon(rectangle(12, 4, 15, 5)), 0.3)
    across, _ = snaps(door((handle,)), decal("band", 3, 3, 4, 2, margin=0.5), [])
    assert places(across, "clear of the handle") == [7.2, 15.8]


def test_another_decal_is_met_edge_to_edge_in_line_and_in_the_middle() -> None:
    across, up = snaps(door(), decal("band", 3, 3, 4, 2), [decal("star", 1, 6, 3, 3)])
    # Its left side at 1: in line with it, or ending there (-3); its right side at 4: beginning there, or in line (0,
    # which the edge of the panel is first).
    assert places(across, "left edge of star") == [-3, 1]
    assert places(across, "right edge of star") == [4]
    assert places(across, "centre of star") == [0.5]
    assert places(up, "bottom edge of star") == [6] and places(up, "top edge of star") == [7, 9]
    # 4 is the middle of the panel first, and ends at the foot of the star too.
    assert [one.words for one in up if one.to == 4] == ["centre of the door"]
    assert all(one.of == "star" for one in across if "star" in one.words)


def test_measured_corners_within_the_panel_are_caught_on() -> None:
    points = [(0, 0), (20, 0), (17, 10), (2, 10)]
    segments = tuple(Segment(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True))
    panel = door(outline=Outline(segments), sides=("bottom", "right", "top", "left"))
    across, up = snaps(panel, decal("band", 3, 3, 4, 2), [])
    assert places(across, "corner of the door") == [-2, 2, 13, 17]
    assert not places(up, "corner of the door")


def test_a_curved_outline_has_no_corners_along_its_curve() -> None:
    points = [(0, 0), (20, 0), (19, 5), (18, 8), (10, 10), (0, 8)]
    segments = tuple(Segment(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True))
    panel = door(outline=Outline(segments), sides=("bottom", "edge", "edge", "edge", "edge", "left"))
    across, up = snaps(panel, decal("band", 3, 3, 4, 2), [])
    # Where the curve meets the straight side, at 8: its upper edge there (its lower edge at 8 is at the top already).
    assert not places(across, "corner of the door") and places(up, "corner of the door") == [6]


def test_places_are_whole_hundredths_from_where_the_decal_is_held() -> None:
    # Held by the right edge: 16 less a whole number of hundredths; a neighbour at 5.1234 is met at 5.12.
    held = decal("band", 3, 3, 4, 2, At("right", -13.0, 0.0))
    across, _ = snaps(door(), held, [decal("star", 5.1234, 6, 3, 3)])
    assert 5.12 in places(across, "left edge of star")


def test_the_corners_of_an_outlined_obstacle_are_caught_on() -> None:
    # A vent measured by five points: its corners at 6, 9, 11 and 12 across (two of them at 12), at 4, 5, 6 and 8 up.
    points = [(6, 4), (12, 5), (12, 6), (11, 8), (9, 8)]
    segments = tuple(Segment(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True))
    vent = Obstacle("vent", Outline(segments), 0.3)
    across, up = snaps(door((vent,)), decal("band", 3, 3, 4, 2), [])
    # A decal 4 wide begins or ends at each: 9 less 4 is 5. 8 is the middle of the door already.
    assert {6.0, 9.0, 11.0, 12.0, 2.0, 5.0} <= set(places(across, "corner of the vent"))
    assert [one.line for one in across if one.words == "corner of the vent" and abs(one.to - 5) < 1e-9] == [9]
    # 5 up is the middle of the vent already, and 4 that of the door.
    assert {6.0, 2.0, 3.0} <= set(places(up, "corner of the vent"))


def test_what_is_square_or_round_has_no_corners_of_its_own() -> None:
    lamp = Point(5, 5).buffer(2)
    slot = Segment((14, 8), (16, 8)), Segment((16, 8), (16, 9), (16, 8.5)), Segment((16, 9), (14, 9))
    shapes = {
        "handle": Outline.from_polygon(rectangle(12, 4, 15, 5)),
        "lamp": Outline.from_polygon(lamp),
        "slot": Outline((*slot, Segment((14, 9), (14, 8), (14, 8.5)))),
    }
    things = tuple(Obstacle(name, outline, 0.3) for name, outline in shapes.items())
    across, up = snaps(door(things), decal("band", 3, 3, 4, 2), [])
    assert not [one.words for one in (*across, *up) if one.words.startswith("corner")]
    assert {one.words for one in across} >= {f"centre of the {name}" for name in shapes}
