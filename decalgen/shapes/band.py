"""Bands: one or several stripes along a curve or the panel's edge, of a width that may change."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, ClassVar, NamedTuple

import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.geometry import Point, region, transform, translation, union
from decalgen.core.values import dataclass
from decalgen.shapes.band_keys import BandKeys, check_keys, pointed, squares
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.coursed import curve_of, outward_ends
from decalgen.shapes.pieces import EDGE, by_ink, check_cells, chosen_inks, grown, run_out
from decalgen.shapes.registry import shape

if TYPE_CHECKING:
    from decalgen.core.curves.band import Lanes
    from decalgen.core.curves.curve import Curve

OVER_MM = 3.0
"""How far a band along the panel's edge goes on over the edge, and over the next side at a corner: for any bleed."""
FROM_END_MM = 0.01
"""A width told further from an end of the band than this is not that of its end."""
ROOM_MM = 0.01
"""How finely the room beside a line is told."""
HAIR_MM = 1e-3
"""A stripe so wide stands for a line."""
_LINES = ({"points"}, {"edge"})
_INKS = ({"ink"}, {"inks"})
_WIDTHS = ({"stripe width"}, {"widths"})


@shape
@dataclass(frozen=True)
class DrawnBand(BandKeys):
    """Stripes along a curve through measured points, or along the edge of the panel.

    A curve is given as for the shape ``curve``, and is the middle of the band unless a distance is given. Along an edge
    the band keeps its distance from it; sides that meet are followed round their corner, anticlockwise round the panel.
    Widths are measured square across; ``widths`` are those of the whole band at places along it, and stripes and gaps
    keep their shares of it, or with ``even gaps`` the gaps their width. Square ends that lie on the edge of the decal
    run on over it.

    Raises `ShapeError` for what ``curve`` does, for ends that do not fit, and for widths that are out of order.
    """

    name: ClassVar[str] = "band"
    about: ClassVar[str] = "stripes along a curve or the panel's edge, of a width that may change"
    needs: ClassVar[tuple[frozenset[str], ...]] = tuple(
        frozenset(line | ink | width) for line in _LINES for ink in _INKS for width in _WIDTHS
    )
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {
        "inks": ("harbour teal", "rope cream"),
        "points": ((1.0, 1.0), (6.0, 9.5), (21.0, 9.5), (26.0, 1.0)),
        "stripe_width": (3.0, 1.0),
        "gap": (0.6,),
        "widths": ((0.0, 4.6), (34.0, 1.5)),
        "smooth": True,
        "end_slant": 40.0,
    }
    example_box: ClassVar[Box] = Box(30.0, 14.0)

    def __post_init__(self) -> None:
        check_keys(self)
        if self.points:
            areas_of(self)

    def extent(self, box: Box) -> Box:
        """What the band takes; the box, in place and along an edge."""
        if self.in_place or self.edge:
            return box
        x0, y0, x1, y1 = _bounds(areas_of(self))
        return Box(x1 - x0, y1 - y0)

    @property
    def zero(self) -> Point:
        """Where its points are measured from, mm from the lower left corner of its extent."""
        x0, y0, _, _ = (0.0, 0.0, 0.0, 0.0) if self.in_place or self.edge else _bounds(areas_of(self))
        return -x0, -y0

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area an ink. Raises `ShapeError` along an edge, which only a decal on its panel has."""
        if self.edge:
            raise ShapeError(
                "a band along the panel's edge cannot lie in a group",
                "put it into the decal's own `artwork`, or give `points` instead of `edge`",
            )
        inks = chosen_inks(self.ink, self.inks, self.name)
        if not self.in_place:
            areas = areas_of(self)
            x, y, _, _ = _bounds(areas)
            moved = [transform(area, translation(-x, -y)) for area in areas]
            return by_ink((ink, run_out(area, size, run_on)) for ink, area in zip(inks, moved, strict=True))
        (run,) = runs_of(self)
        reach = size.width + size.height
        out = (False, False) if run.curve.closed else outward_ends(run.curve, *size)
        first, last = (reach if way and is_square else 0.0 for way, is_square in zip(out, squares(self), strict=True))
        return in_box(self, [run._replace(beyond=(first, last))], size, run_on)


class BandLine(NamedTuple):
    """A line that a band runs along, and how far the band goes on straight before and after it, mm."""

    curve: Curve
    beyond: tuple[float, float] = (0.0, 0.0)


def _stripes_of(band: BandKeys) -> list[tuple[float, float]]:
    """From where to where each stripe reaches, in the order of the inks, mm; in proportion where only `widths` are
    given. Checks and chevrons fill one."""
    count = 1 if band.checks or band.chevrons else len(chosen_inks(band.ink, band.inks, "band"))
    wide = band.stripe_width or (1.0,)
    wide = wide * count if len(wide) == 1 else wide
    gaps = band.gap or (0.0,)
    gaps = gaps * (count - 1) if len(gaps) == 1 else gaps
    at, pairs = 0.0, []
    for width, gap in zip(wide, (*gaps, 0.0), strict=True):
        pairs.append((at, at + width))
        at = at + width + gap
    return pairs


def _kept_gaps(stripes: Sequence[tuple[float, float]]) -> list[float]:
    """How much of gaps lies before each stripe, mm."""
    before = [0.0]
    for (_, high), (low, _) in pairwise(stripes):
        before.append(before[-1] + low - high)
    return before


def _leftward(band: BandKeys) -> bool:
    """Whether its inks are counted from its right side: from the line on, where it begins to the left of it."""
    return bool(band.edge) or (band.distance is not None and band.distance >= 0)


def lanes_of(band: BandKeys, length: float) -> Lanes:
    """Its stripes along a line of some length. Raises `ShapeError` where widths or ends do not fit."""
    from decalgen.core.curves.band import Lanes
    from decalgen.core.curves.widths import Widths

    stripes = _stripes_of(band)
    whole = stripes[-1][1]
    kept = _kept_gaps(stripes) if band.even_gaps else [0.0] * len(stripes)
    gap = kept[-1]
    solid = whole - gap
    shares = [
        ((low - before) / solid, (high - before) / solid) for (low, high), before in zip(stripes, kept, strict=True)
    ]
    gaps = [(before / gap, before / gap) for before in kept] if gap else []
    if not _leftward(band):
        shares, gaps = ([(1 - high, 1 - low) for low, high in pairs] for pairs in (shares, gaps))
    if band.widths:
        if band.widths[-1][0] > length + 0.005:
            raise ShapeError(
                f"`widths` tell of {band.widths[-1][0]:g} mm along the band, which is {length:.2f} mm long",
                f"write {math.floor(length * 100) / 100:g} mm or less",
            )
        along, values = zip(*band.widths, strict=True)
        widths = Widths(along, values, band.smooth, (along[0] > FROM_END_MM, along[-1] < length - FROM_END_MM))
    else:
        widths = Widths((0.0,), (whole,))
    point = band.point_length or 2 * max(widths.values)
    first, last = (point if is_pointed else 0.0 for is_pointed in pointed(band))
    if first + last > length:
        which = "two pointed ends" if first and last else "a pointed end"
        most = math.floor(length / (2 if first and last else 1) * 100) / 100
        raise ShapeError(
            f"{which} of {point:g} mm do not fit a band of {length:.2f} mm",
            f"write point length: {most:g} mm, or less",
        )
    near = band.distance if band.distance is not None else 0.0 if band.edge else None
    # What lies on the panel's edge runs on over it.
    over = OVER_MM if band.edge and near == 0 else 0.0
    # Adding 0 makes a distance of -0 mm plain 0, which is to the left.
    near = None if near is None else near + 0.0
    return Lanes(length, widths, tuple(shares), near, (first, last), over, gap, tuple(gaps))


def part_of(band: BandKeys, curve: Curve) -> Curve:
    """What of a line the band runs along, lead-in and lead-out added. Raises `ShapeError`."""
    from decalgen.core.curves.stretches import led_in, stretch

    if band.part is not None:
        start, end = band.part
        far = max(start, end)
        if far > curve.length + 0.005:
            raise ShapeError(
                f"`part` reaches {far:g} mm along a line of {curve.length:.2f} mm",
                f"write {math.floor(curve.length * 100) / 100:g} mm or less",
            )
        if end <= start and not curve.closed:
            raise ShapeError(f"a part from {start:g} to {end:g} mm has no length", "write its start, then its end")
        curve = stretch(curve, min(start, curve.length), min(end, curve.length))
    if band.lead_in or band.lead_out:
        return led_in(curve, band.lead_in or 0.0, band.lead_out or 0.0)
    return curve


def runs_of(band: BandKeys) -> tuple[BandLine, ...]:
    """The line of a band through points, in their coordinates."""
    return (BandLine(part_of(band, curve_of(band))),)


@lru_cache(maxsize=64)
def areas_of(band: BandKeys) -> tuple[MultiPolygon, ...]:
    """The area of each stripe of a band through points, in their coordinates. Raises `ShapeError`."""
    return drawn(band, runs_of(band))


def _bounds(areas: Sequence[MultiPolygon]) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = shapely.total_bounds(areas).tolist()
    return x0, y0, x1, y1


def drawn(band: BandKeys, runs: Sequence[BandLine]) -> tuple[MultiPolygon, ...]:
    """The area of each ink along some lines. Raises `ShapeError` where nothing is left."""
    from decalgen.core.curves.band import stripes

    if band.checks or band.chevrons:
        return _in_cells(band, runs)
    each = [
        stripes(run.curve, lanes_of(band, run.curve.length), (band.start_slant, band.end_slant), run.beyond)
        for run in runs
    ]
    if len(runs) > 1:
        each = _apart(band, runs, each)
    found = tuple(parts[0] if len(parts) == 1 else union(parts) for parts in zip(*each, strict=True))
    for number, area in enumerate(found, 1):
        if area.area < EDGE:
            which = f"stripe {number} of the band" if len(found) > 1 else "the band"
            raise ShapeError(
                f"nothing is left of {which}: its line is too small for that distance", _room_told(band, runs)
            )
    return found


def _room_told(band: BandKeys, runs: Sequence[BandLine]) -> str:
    """The largest distance at which a band is as wide as it should be, or the width that there is room for, in
    words."""
    side = math.copysign(1.0, band.distance or 0.0)
    width = max(max(lanes_of(band, run.curve.length).widths.values) for run in runs)
    low, high = 0.0, abs(band.distance or 0.0) + width
    while high - low > ROOM_MM / 10:
        middle = (low + high) / 2
        low, high = (middle, high) if _has_parallel(runs, side * middle) else (low, middle)
    # Its edge is found to a tenth of a step, and may lie on a whole one.
    room = math.floor(low / ROOM_MM + 0.2) * ROOM_MM
    most = math.floor((room - width) / ROOM_MM + 0.01) * ROOM_MM
    if most <= 0:
        return f"make the band narrower: beside that line there is room for {room:.2f} mm in all"
    return f"write distance: {side * most:.2f} mm, or nearer to 0 than that"


def _has_parallel(runs: Sequence[BandLine], distance: float) -> bool:
    """Whether anything lies at a distance from any of some lines."""
    from decalgen.core.curves.band import Lanes, stripes
    from decalgen.core.curves.widths import Widths

    return any(
        stripes(run.curve, Lanes(run.curve.length, Widths((0.0,), (HAIR_MM,)), near=distance))[0].area > EDGE
        for run in runs
    )


def _apart(
    band: BandKeys, runs: Sequence[BandLine], each: Sequence[tuple[MultiPolygon, ...]]
) -> list[tuple[MultiPolygon, ...]]:
    """The stripes along several lines without what lies in a stripe or gap that is nearer to another of them."""
    from decalgen.core.curves.band import stripes

    answer = [list(areas) for areas in each]
    for at, run in enumerate(runs):
        lanes = lanes_of(band, run.curve.length)
        for number, (low, _) in enumerate(lanes.shares[1:], 1):
            gaps = ((0.0, lanes.gap_shares[number][0]),) if lanes.gap_shares else ()
            below = replace(lanes, shares=((0.0, low),), gap_shares=gaps)
            (nearer,) = stripes(run.curve, below, (band.start_slant, band.end_slant), run.beyond)
            for other, areas in enumerate(answer):
                if other != at:
                    areas[number] = region(areas[number].difference(nearer))
    return [tuple(areas) for areas in answer]


def _in_cells(band: BandKeys, runs: Sequence[BandLine]) -> tuple[MultiPolygon, ...]:
    """The area of each ink of checks or chevrons along some lines; one ink leaves every other cell bare."""
    from decalgen.core.curves.cells import cell_count, checks_along, chevrons_along, net_along
    from decalgen.core.curves.course import CurveError

    inks = chosen_inks(band.ink, band.inks, "band")
    turn = max(2, len(inks))
    gathered: list[list[Polygon]] = [[] for _ in range(turn)]
    for curve, beyond in runs:
        lanes = lanes_of(band, curve.length)
        wished = band.checks.cell if band.checks else band.chevrons.pitch / turn if band.chevrons else 1.0
        try:
            net = net_along(curve, lanes, beyond)
        except CurveError as error:
            raise ShapeError(error.message, error.fix) from None
        count = cell_count(net.length, wished, turn if curve.closed else 1)
        check_cells(count * (band.checks.rows if band.checks else 1), "cells")
        if band.checks:
            cells = checks_along(net, band.checks.rows, count, beyond)
        else:
            lean = 1 / math.tan(math.radians(band.chevrons.angle if band.chevrons else 45.0))
            cells = chevrons_along(net, count, lean, beyond)
        for column, row, area in cells:
            place = row if _leftward(band) or not band.checks else band.checks.rows - 1 - row
            gathered[(column + place) % turn].append(area)
    return tuple(union(areas) for areas in gathered[: len(inks)])


def in_box(band: BandKeys, runs: Sequence[BandLine], size: Box, run_on: float) -> tuple[Inked, ...]:
    """The band where it lies, as far as its box and what runs on over it."""
    areas = drawn(band, runs)
    box = grown(size, 0.0)
    if all(region(area.intersection(box)).is_empty for area in areas):
        x0, y0, x1, y1 = _bounds(areas)
        raise ShapeError(
            f"the band lies outside of its box: from ({x0:.4g}, {y0:.4g}) to ({x1:.4g}, {y1:.4g}) mm",
            f"bring it to between 0 and {size.width:g}, 0 and {size.height:g} mm"
            + (": change `distance` or where the decal lies" if band.edge else ", or remove `in place`"),
        )
    # Beyond a leaning side of the panel the bleed reaches further than square to the box.
    view = grown(size, OVER_MM if band.edge and run_on > 0 else max(0.0, run_on))
    inks = chosen_inks(band.ink, band.inks, "band")
    seen = [region(run_out(area, size, run_on).intersection(view)) for area in areas]
    if run_on > 0 and not band.edge:
        # What only passes by the box prints nothing beside it.
        seen = [union(part for part in area.geoms if part.intersection(box).area > EDGE**2) for area in seen]
    return by_ink(zip(inks, seen, strict=True))
