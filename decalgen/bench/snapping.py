"""What a decal moved by hand catches on: edges and middles of its panel, of obstacles and of other decals. Pure.

A candidate says where the decal's left or lower side comes to lie, where the guide line runs, and what it is, in words.
Places are settled to what the file can say of them: an anchor, or a step in hundredths of a millimetre; beside an
obstacle they are rounded away from it, so that the clearance it asks for is kept.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from decalgen.core.geometry import Bounds
from decalgen.panels.base import Obstacle, Panel
from decalgen.shapes.base import ANCHORS, At

STEP_MM = 0.01
"""What a place is rounded to: finer than film can be laid."""
SAME_MM = 0.005
"""Candidates nearer to each other than this are one: the first of them."""
MOST_CORNERS = 12
Way = Literal[0, 1]
"""Across, or up."""
SIDES = (("left", "right"), ("bottom", "top"))
Span = tuple[float, float]


class Snap(NamedTuple):
    """``to``: where the decal's left or lower side lies then, mm on the panel; ``line``: where the guide runs;
    ``anchor``: the word of a place that it is, '' where it is none; ``of``: the other decal that it is about."""

    to: float
    line: float
    words: str
    anchor: str = ""
    of: str = ""


class Movable(NamedTuple):
    """A decal as it lies on its panel: its artwork's box and its cut line's, mm on the panel."""

    name: str
    at: At
    box: Bounds
    cut: Bounds


def snaps(panel: Panel, decal: Movable, others: Sequence[Movable]) -> tuple[list[Snap], list[Snap]]:
    """What a decal catches on across and up, from the left and from below."""
    across, up = (_along(way, panel, decal, others) for way in (0, 1))
    return across, up


def _along(way: Way, panel: Panel, decal: Movable, others: Sequence[Movable]) -> list[Snap]:
    found: list[Snap] = []
    for one in sorted(_all(way, panel, decal, others), key=lambda one: (not one.anchor, bool(one.of))):
        if not any(abs(one.to - other.to) < SAME_MM for other in found):
            found.append(one)
    return sorted(found)


def _all(way: Way, panel: Panel, decal: Movable, others: Sequence[Movable]) -> Iterator[Snap]:
    size = panel.height.value if way else panel.width.value
    low, high = _span(decal.box, way)
    wide = high - low
    cut_low, cut_high = _span(decal.cut, way)
    before, after = cut_low - low, cut_high - high
    near, far = SIDES[way]
    yield Snap(0.0, 0.0, f"{near} edge of the {panel.name}", near)
    yield Snap((size - wide) / 2, size / 2, f"centre of the {panel.name}", "centre")
    yield Snap(size - wide, size, f"{far} edge of the {panel.name}", far)
    # From here on a place is a step from where the decal is held.
    base = ANCHORS[decal.at.anchor][way] * (size - wide)
    if before < -SAME_MM:
        yield Snap(_settled(-before, base, 1), 0.0, f"film at the {near} edge of the {panel.name}")
    if after > SAME_MM:
        yield Snap(_settled(size - wide - after, base, -1), size, f"film at the {far} edge of the {panel.name}")
    for thing in panel.obstacles:
        start, end = _span(thing.outline.polygon.bounds, way)
        words = f"clear of the {thing.name}"
        yield Snap(_settled(start - thing.clearance - wide - after, base, -1), start - thing.clearance, words)
        yield Snap(_settled(end + thing.clearance - before, base, 1), end + thing.clearance, words)
        middle = (start + end) / 2
        yield Snap(_settled(middle - wide / 2, base), middle, f"centre of the {thing.name}")
        for spot in _corners_of(thing, way):
            for side in (spot, spot - wide):
                yield Snap(_settled(side, base), spot, f"corner of the {thing.name}")
    for other in others:
        start, end = _span(other.box, way)
        for spot, word in ((start, f"{near} edge"), (end, f"{far} edge")):
            for side in (spot, spot - wide):
                yield Snap(_settled(side, base), spot, f"{word} of {other.name}", "", other.name)
        middle = (start + end) / 2
        yield Snap(_settled(middle - wide / 2, base), middle, f"centre of {other.name}", "", other.name)
    for spot in _corners(panel, size, way):
        for side in (spot, spot - wide):
            yield Snap(_settled(side, base), spot, f"corner of the {panel.name}")


def _span(bounds: Bounds, way: Way) -> Span:
    return bounds[way], bounds[way + 2]


def _settled(to: float, base: float, away: Literal[-1, 0, 1] = 0) -> float:
    """The nearest place, or the nearest one ``away`` from something, that is a whole number of steps from where the
    decal is held."""
    steps = (to - base) / STEP_MM
    whole = round(steps)
    if away and abs(steps - whole) > 1e-6:
        whole = math.ceil(steps) if away > 0 else math.floor(steps)
    return base + whole * STEP_MM


def _corners(panel: Panel, size: float, way: Way) -> list[float]:
    """Where sides of another name meet, short of the outermost edges."""
    sides = panel.sides
    if len(sides) != len(panel.outline.segments):
        return []
    spots = {
        round(segment.start[way], 6)
        for number, segment in enumerate(panel.outline.segments)
        if sides[number] != sides[number - 1]
    }
    return sorted(spot for spot in spots if SAME_MM < spot < size - SAME_MM)[:MOST_CORNERS]


def _corners_of(thing: Obstacle, way: Way) -> list[float]:
    """The corners of an obstacle that is measured by its points; a rectangle is told by its edges and middle, and what
    is round has none."""
    segments = thing.outline.segments
    pairs = zip(segments, (segments[-1], *segments[:-1]), strict=True)
    points = [one.start for one, before in pairs if one.centre is None and before.centre is None]
    left, lower, right, upper = thing.outline.polygon.bounds
    if all(_at_end(x, left, right) and _at_end(y, lower, upper) for x, y in points):
        return []
    # A curve that was drawn in short pieces has no corners either.
    return sorted({round(point[way], 6) for point in points}) if len(points) <= MOST_CORNERS else []


def _at_end(spot: float, low: float, high: float) -> bool:
    return min(abs(spot - low), abs(spot - high)) < SAME_MM
