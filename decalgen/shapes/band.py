"""Bands: one or several stripes along a curve or the panel's edge, of a width that may change."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Annotated, ClassVar, NamedTuple

from shapely.geometry import MultiPolygon

from decalgen.core import keys
from decalgen.core.geometry import Point, region, transform, translation, union
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.coursed import (
    POINTS,
    CurveArcs,
    CurveCorners,
    CurveDirections,
    CurveStraights,
    CurveWithin,
    curve_of,
    outward_ends,
)
from decalgen.shapes.pieces import EDGE, by_ink, chosen_inks, grown, run_out
from decalgen.shapes.registry import shape

if TYPE_CHECKING:
    from decalgen.core.curves.band import Lanes
    from decalgen.core.curves.curve import Curve

OVER_MM = 3.0
"""How far a band along the panel's edge goes on over the edge, and over the next side at a corner: for any bleed."""
SLANT = keys.Angle("how far the starting end leans from square, degrees; positive as italics", -70.0, 70.0)
_LINES = ({"points"}, {"edge"})
_INKS = ({"ink"}, {"inks"})
_WIDTHS = ({"stripe width"}, {"widths"})


@shape
@dataclass(frozen=True)
class DrawnBand:
    """Stripes along a curve through measured points, or along the edge of the panel.

    A curve is given as for the shape ``curve``, and is the middle of the band unless a distance is given. Along an edge
    the band keeps its distance from it; sides that meet are followed round their corner, anticlockwise round the panel.
    Widths are measured square across; ``widths`` are those of the whole band at places along it, and stripes and gaps
    keep their shares of it. Square ends that lie on the edge of the decal run on over it.

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
        "points": ((0.0, 2.0), (9.0, 2.6), (18.0, 6.4), (27.0, 8.0)),
        "stripe_width": (3.0, 1.0),
        "gap": (0.6,),
        "widths": ((0.0, 7.0), (27.0, 1.5)),
        "smooth": True,
        "end_slant": 40.0,
    }
    example_box: ClassVar[Box] = Box(30.0, 14.0)

    ink: Annotated[str | None, keys.InkName("its ink; or give `inks`")] = None
    inks: Annotated[
        tuple[str, ...] | None,
        keys.Many(
            "inks of several stripes: from the left as it runs; where a distance is given, from the line on",
            of=keys.InkName(),
            most=24,
            example=("black", "white"),
        ),
    ] = None
    stripe_width: Annotated[
        tuple[float, ...],
        keys.Many("width of the stripe, square across; of several, one for each, or one for all", of=keys.Size()),
    ] = ()
    gap: Annotated[
        tuple[float, ...],
        keys.Many(
            "between one stripe and the next; one for each, or one for all; if left out, none",
            of=keys.Length(least=0.0),
            example="0.4 mm",
            beside=("inks",),
        ),
    ] = ()
    points: Annotated[tuple[Point, ...], POINTS] = ()
    edge: Annotated[
        tuple[str, ...],
        keys.Many(
            "sides of the panel that it follows, such as bottom or side 2, or all, instead of points",
            of=keys.Text(most=60),
            most=80,
            example="bottom",
        ),
    ] = ()
    distance: Annotated[
        float | None,
        keys.Length(
            "from the line to the band: inward from an edge, to the left of a curve as it runs (negative: to the "
            "right); if left out, a band lies on its edge and about its curve",
            example="0.5 mm",
        ),
    ] = None
    part: Annotated[
        tuple[float, float] | None,
        keys.Two(
            "from where to where along the line it runs, mm from its start; if left out, all along",
            of=keys.Length(least=0.0),
            example=("4 mm", "18 mm"),
        ),
    ] = None
    closed: Annotated[bool, keys.Flag("its curve returns to its first point")] = False
    corners: CurveCorners = ()
    directions: CurveDirections = ()
    straights: CurveStraights = ()
    arcs: CurveArcs = ()
    within: CurveWithin = None
    lead_in: Annotated[
        float | None,
        keys.Size("length added before its start, which comes from straight into its bend", example="4 mm"),
    ] = None
    lead_out: Annotated[float | None, keys.Size("the same after its end", example="4 mm")] = None
    widths: Annotated[
        tuple[tuple[float, float], ...],
        keys.Many(
            "widths of the whole band, each as how far along it, width",
            of=keys.Two("along, width", of=keys.Length(least=0.0)),
            most=100,
            example=(("0 mm", "3 mm"), ("12 mm", "0.5 mm")),
        ),
    ] = ()
    smooth: Annotated[
        bool, keys.Flag("whether widths change smoothly; no: evenly from each to the next", beside=("widths",))
    ] = False
    ends: Annotated[
        str, keys.Choice("how it ends", ("square", "pointed", "pointed start", "pointed end"), example="pointed end")
    ] = "square"
    point_length: Annotated[
        float | None,
        keys.Size("over what length a pointed end narrows; if left out, twice the width", beside=("ends",)),
    ] = None
    start_slant: Annotated[float, SLANT] = 0.0
    end_slant: Annotated[float, keys.Angle("the same for the other end", -70.0, 70.0)] = 0.0
    in_place: Annotated[bool, keys.Flag("its points are measured from the lower left corner of the box")] = False

    def __post_init__(self) -> None:
        check_keys(self)
        if self.points:
            areas_of(self)

    @property
    def is_closed(self) -> bool:
        """Whether its curve returns to its first point."""
        return self.closed

    def extent(self, box: Box) -> Box:
        """What the band takes; the box, in place and along an edge."""
        if self.in_place or self.edge:
            return box
        x0, y0, x1, y1 = union(areas_of(self)).bounds
        return Box(x1 - x0, y1 - y0)

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
            x, y, _, _ = union(areas).bounds
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


def pointed(band: DrawnBand) -> tuple[bool, bool]:
    """Whether its start and its end are pointed."""
    return band.ends in ("pointed", "pointed start"), band.ends in ("pointed", "pointed end")


def squares(band: DrawnBand) -> tuple[bool, bool]:
    """Whether its start and its end are square across."""
    first, last = pointed(band)
    return not (first or band.start_slant), not (last or band.end_slant)


def check_keys(band: DrawnBand) -> None:
    """Raises `ShapeError` for keys that do not go together."""
    inks = chosen_inks(band.ink, band.inks, band.name)
    if bool(band.points) == bool(band.edge):
        raise ShapeError("the band needs either `points` or `edge`", "give measured points, or sides of the panel")
    if not (band.stripe_width or band.widths):
        raise ShapeError("the band has no width", "add `stripe width`")
    if len(band.stripe_width) not in (0, 1, len(inks)):
        raise ShapeError(
            f"the band has {len(inks)} stripes but {len(band.stripe_width)} widths", "give one for each, or one for all"
        )
    if len(band.gap) not in ((0, 1, len(inks) - 1) if len(inks) > 1 else (0,)):
        raise ShapeError(
            "one stripe has no gap" if len(inks) == 1 else f"{len(inks)} stripes do not have {len(band.gap)} gaps",
            "remove `gap`, or give several `inks`" if len(inks) == 1 else f"give {len(inks) - 1}, or one for all",
        )
    if band.widths and len(inks) == 1 and band.stripe_width:
        raise ShapeError("the stripe has two widths", "keep `widths`, or `stripe width`")
    if band.widths and any(band.gap) and not band.stripe_width:
        raise ShapeError("`widths` with a `gap` need to know how stripes and gaps share them", "add `stripe width`")
    if band.edge and (band.closed or band.corners or band.directions or band.straights or band.arcs or band.within):
        raise ShapeError(
            "an edge of the panel has no points of its own",
            "remove `closed`, `corners`, `directions`, `straights`, `arcs` and `within`",
        )
    if band.point_length is not None and band.ends == "square":
        raise ShapeError("`point length` is for pointed ends", "add ends: pointed, or remove `point length`")
    _check_open(band)
    _check_widths(band)


def _check_open(band: DrawnBand) -> None:
    slants = ((band.start_slant, "start slant"), (band.end_slant, "end slant"))
    for (slant, key), is_pointed in zip(slants, pointed(band), strict=True):
        if slant and is_pointed:
            raise ShapeError("a pointed end has no slant", f"remove `{key}`, or make that end square")
    if band.part is not None and band.part[1] <= band.part[0] and not (band.closed or band.edge):
        raise ShapeError(
            f"a part from {band.part[0]:g} to {band.part[1]:g} mm has no length", "write where it starts, then its end"
        )
    if not band.closed or band.part is not None:
        return
    if band.ends != "square" or band.start_slant or band.end_slant or band.lead_in or band.lead_out:
        raise ShapeError("a closed band has no ends", "remove `closed`, or what is said of its ends")
    if len(band.widths) > 1:
        raise ShapeError("a closed band has one width", "remove `closed`, or give `stripe width` alone")


def _check_widths(band: DrawnBand) -> None:
    for (before, _), (after, _) in pairwise(band.widths):
        if after <= before:
            raise ShapeError(
                f"the widths are out of order: {after:g} mm along it comes after {before:g} mm",
                "list `widths` in order along the band, each place once",
            )
    if band.widths and not any(width for _, width in band.widths):
        raise ShapeError("all widths of the band are 0", "give at least one `widths` more than 0 mm")


def shares_of(band: DrawnBand) -> tuple[tuple[float, float], ...]:
    """From where to where each stripe reaches, as shares of the whole band from its right side."""
    count = len(chosen_inks(band.ink, band.inks, band.name))
    wide = band.stripe_width or (1.0,)
    wide = wide * count if len(wide) == 1 else wide
    gaps = band.gap or (0.0,)
    gaps = gaps * (count - 1) if len(gaps) == 1 else gaps
    at, pairs = 0.0, []
    for width, gap in zip(wide, (*gaps, 0.0), strict=True):
        pairs.append((at, at + width))
        at = at + width + gap
    whole = pairs[-1][1]
    if band.edge or (band.distance is not None and band.distance >= 0):
        return tuple((low / whole, high / whole) for low, high in pairs)
    return tuple((1 - high / whole, 1 - low / whole) for low, high in pairs)


def lanes_of(band: DrawnBand, length: float) -> Lanes:
    """Its stripes along a line of some length. Raises `ShapeError` where widths or ends do not fit."""
    from decalgen.core.curves.band import Lanes
    from decalgen.core.curves.widths import Widths

    if band.widths:
        if band.widths[-1][0] > length + 0.005:
            raise ShapeError(
                f"`widths` tell of {band.widths[-1][0]:g} mm along the band, which is {length:.2f} mm long",
                f"write {math.floor(length * 100) / 100:g} mm or less",
            )
        along, values = zip(*band.widths, strict=True)
        widths = Widths(along, values, band.smooth)
    else:
        count, gaps = len(chosen_inks(band.ink, band.inks, band.name)), band.gap or (0.0,)
        whole = sum(band.stripe_width) if len(band.stripe_width) == count else band.stripe_width[0] * count
        widths = Widths((0.0,), (whole + (sum(gaps) if len(gaps) == count - 1 else gaps[0] * (count - 1)),))
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
    over = OVER_MM if band.edge and near == 0 and not (first or last) else 0.0
    return Lanes(length, widths, shares_of(band), None if near is None else near + 0.0, (first, last), over)


def part_of(band: DrawnBand, curve: Curve) -> Curve:
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


def runs_of(band: DrawnBand) -> tuple[BandLine, ...]:
    """The line of a band through points, in their coordinates."""
    return (BandLine(part_of(band, curve_of(band))),)


@lru_cache(maxsize=64)
def areas_of(band: DrawnBand) -> tuple[MultiPolygon, ...]:
    """The area of each stripe of a band through points, in their coordinates. Raises `ShapeError`."""
    return drawn(band, runs_of(band))


def drawn(band: DrawnBand, runs: tuple[BandLine, ...] | list[BandLine]) -> tuple[MultiPolygon, ...]:
    """The area of each stripe along some lines. Raises `ShapeError` where nothing is left."""
    from decalgen.core.curves.band import stripes

    each = [
        stripes(run.curve, lanes_of(band, run.curve.length), (band.start_slant, band.end_slant), run.beyond)
        for run in runs
    ]
    found = tuple(parts[0] if len(parts) == 1 else union(parts) for parts in zip(*each, strict=True))
    for number, area in enumerate(found, 1):
        if area.area < EDGE:
            which = f"stripe {number} of the band" if len(found) > 1 else "the band"
            raise ShapeError(
                f"nothing is left of {which}: its line is too small for that distance", "make `distance` smaller"
            )
    return found


def in_box(band: DrawnBand, runs: list[BandLine], size: Box, run_on: float) -> tuple[Inked, ...]:
    """The band where it lies, as far as its box and what runs on over it."""
    areas = drawn(band, runs)
    if region(union(areas).intersection(grown(size, 0.0))).is_empty:
        x0, y0, x1, y1 = union(areas).bounds
        raise ShapeError(
            f"the band lies outside of its box: from ({x0:.4g}, {y0:.4g}) to ({x1:.4g}, {y1:.4g}) mm",
            f"bring it to between 0 and {size.width:g}, 0 and {size.height:g} mm"
            + (": change `distance` or where the decal lies" if band.edge else ", or remove `in place`"),
        )
    view = grown(size, max(0.0, run_on))
    inks = chosen_inks(band.ink, band.inks, band.name)
    return by_ink(
        (ink, region(run_out(area, size, run_on).intersection(view))) for ink, area in zip(inks, areas, strict=True)
    )
