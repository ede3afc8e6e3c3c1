"""A band along the edge of the panel that its decal lies on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from decalgen.core.errors import did_you_mean
from decalgen.core.geometry import Outline, Segment
from decalgen.core.values import dataclass
from decalgen.shapes.band import OVER_MM, BandLine, DrawnBand, in_box, lanes_of, part_of
from decalgen.shapes.band_keys import squares
from decalgen.shapes.base import Box, Element, Inked, ShapeError

FURTHEST = 4.0
"""No further than so many times its distance, where the next side goes on almost straight."""
ALL = "all"


@dataclass(frozen=True)
class EdgeBand:
    """A band with its lines along the panel's edge, in the decal's coordinates."""

    name: ClassVar[str] = "band"
    about: ClassVar[str] = DrawnBand.about
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {}
    example_box: ClassVar[Box] = DrawnBand.example_box
    on_film: ClassVar[bool] = True
    """It is drawn on the flat film, also on a decal that is drawn as it is seen."""

    band: DrawnBand
    runs: tuple[BandLine, ...]

    def extent(self, box: Box) -> Box:
        """The whole box."""
        return box

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area an ink."""
        return in_box(self.band, self.runs, size, run_on)


def on_edge(element: Element, outline: Outline, sides: Sequence[str], panel: str) -> Element:
    """A band along sides of a panel, whose outline is given in the decal's coordinates. Raises `ShapeError`, with the
    element's place."""
    band = element.shape
    assert isinstance(band, DrawnBand)
    try:
        if element.never_mirror:
            raise ShapeError("a band along the panel's edge is mirrored with its panel", "remove `never mirror`")
        return replace(element, shape=EdgeBand(band, runs_along(band, outline, sides, panel)))
    except ShapeError as error:
        error.place = error.place or element.place
        raise


def runs_along(band: DrawnBand, outline: Outline, sides: Sequence[str], panel: str) -> tuple[BandLine, ...]:
    """The lines along the sides that a band names, anticlockwise. Raises `ShapeError` for a side that is not there."""
    from decalgen.core.arc_fit import chords_to_arcs
    from decalgen.core.curves.stretches import along_segments

    segments = [one for one in outline.segments if math.dist(one.start, one.end) > 0 or one.centre]
    names = [*sides, *["edge"] * len(segments)][: len(segments)]
    wanted = _wanted(band, names, panel)
    found = []
    for first, count in _rows([name in wanted for name in names]):
        chosen = [segments[(first + i) % len(segments)] for i in range(count)]
        closed = count == len(segments)
        # What a developed panel has as chords is followed as the arcs they lie on.
        curve = part_of(band, along_segments(chords_to_arcs(chosen), closed))
        if curve.closed:
            _check_closed(band)
            found.append(BandLine(curve))
            continue
        before, after = segments[first - 1], segments[(first + count) % len(segments)]
        turns = (0.0, 0.0) if band.part or closed else (_turn(before, chosen[0]), _turn(chosen[-1], after))
        far = lanes_of(band, curve.length).furthest
        start, end = (
            _beyond(turn, far) if is_square else 0.0 for turn, is_square in zip(turns, squares(band), strict=True)
        )
        found.append(BandLine(curve, (0.0 if band.lead_in else start, 0.0 if band.lead_out else end)))
    return tuple(found)


def _wanted(band: DrawnBand, names: Sequence[str], panel: str) -> set[str]:
    """The names of the sides that it follows."""
    known = list(dict.fromkeys(names))
    if ALL in band.edge:
        return set(known)
    for name in band.edge:
        if name not in known:
            there = ", ".join(known)
            raise ShapeError(
                f"panel '{panel}' has no side '{name}': its sides are {there}",
                f"{did_you_mean(name, known)}; or write edge: all",
            )
    return set(band.edge)


def _rows(chosen: Sequence[bool]) -> list[tuple[int, int]]:
    """Where each row of chosen segments starts, and how many it has, round and round."""
    n = len(chosen)
    if all(chosen):
        return [(0, n)]
    starts = [i for i in range(n) if chosen[i] and not chosen[i - 1]]
    return [(i, next(k for k in range(1, n) if not chosen[(i + k) % n])) for i in starts]


def _check_closed(band: DrawnBand) -> None:
    if band.ends != "square" or band.start_slant or band.end_slant or len(band.widths) > 1:
        raise ShapeError(
            "a band all round a panel has no ends and one width",
            "name some sides of the panel, or a `part` of its edge",
        )


def _turn(before: Segment, after: Segment) -> float:
    """How far the outline turns to the left between two segments, radians."""
    return math.remainder(_way(after, after.start) - _way(before, before.end), math.tau)


def _way(segment: Segment, at: tuple[float, float]) -> float:
    """The direction of a segment at one of its ends."""
    if segment.centre is None:
        return math.atan2(segment.end[1] - segment.start[1], segment.end[0] - segment.start[0])
    out = math.atan2(at[1] - segment.centre[1], at[0] - segment.centre[0])
    return out + (math.pi / 2 if segment.anticlockwise else -math.pi / 2)


def _beyond(turn: float, far: float) -> float:
    """How far a square end goes on at a corner of the panel, so that it fills the corner and runs on over it."""
    if turn <= 0.05:
        return 0.0
    short = far / math.tan(turn) if turn < math.pi / 2 else 0.0
    return min(short, FURTHEST * far) + OVER_MM
