"""The keys of a band, and which of them go together."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated

from decalgen.core import keys
from decalgen.core.geometry import Point
from decalgen.core.values import dataclass
from decalgen.shapes.base import ShapeError
from decalgen.shapes.coursed import (
    POINTS,
    CurveArcs,
    CurveCorners,
    CurveDirections,
    CurveStraights,
    CurveWithin,
)
from decalgen.shapes.pieces import chosen_inks

SLANT = keys.Angle("how far the starting end leans from square, degrees; positive as italics", -70.0, 70.0)


@dataclass(frozen=True)
class BandChecks:
    """Checks along a band."""

    cell: Annotated[float, keys.Size("length of a cell along the band, made to fit a whole number")]
    rows: Annotated[int, keys.Count("how many rows", most=24)] = 2


@dataclass(frozen=True)
class BandChevrons:
    """Chevrons along a band, that point the way it runs."""

    pitch: Annotated[
        float, keys.Size("from one chevron to the next along the band, made to fit a whole number", example="3 mm")
    ]
    angle: Annotated[
        float, keys.Angle("between an arm and the way the band runs; negative: they point back", -80.0, 80.0)
    ] = 45.0


@dataclass(frozen=True)
class BandKeys:
    """What a band is told."""

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
    even_gaps: Annotated[
        bool,
        keys.Flag("whether gaps keep their width where that of the band changes", beside=("widths", "gap")),
    ] = False
    smooth: Annotated[
        bool, keys.Flag("whether widths change smoothly; no: evenly from each to the next", beside=("widths",))
    ] = False
    checks: Annotated[
        BandChecks | None, keys.Block("checks along it instead of stripes, their inks in turn", of=BandChecks)
    ] = None
    chevrons: Annotated[
        BandChevrons | None, keys.Block("chevrons along it instead of stripes, their inks in turn", of=BandChevrons)
    ] = None
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

    @property
    def is_closed(self) -> bool:
        """Whether its curve returns to its first point."""
        return self.closed


def pointed(band: BandKeys) -> tuple[bool, bool]:
    """Whether its start and its end are pointed."""
    return band.ends in ("pointed", "pointed start"), band.ends in ("pointed", "pointed end")


def squares(band: BandKeys) -> tuple[bool, bool]:
    """Whether its start and its end are square across."""
    first, last = pointed(band)
    return not (first or band.start_slant), not (last or band.end_slant)


def check_keys(band: BandKeys) -> None:
    """Raises `ShapeError` for keys that do not go together."""
    inks = chosen_inks(band.ink, band.inks, "band")
    if bool(band.points) == bool(band.edge):
        raise ShapeError("the band needs either `points` or `edge`", "give measured points, or sides of the panel")
    if not (band.stripe_width or band.widths):
        raise ShapeError("the band has no width", "add `stripe width`")
    if len(band.stripe_width) not in (0, 1, len(inks)):
        stripes = "1 stripe" if len(inks) == 1 else f"{len(inks)} stripes"
        raise ShapeError(
            f"the band has {stripes} but {len(band.stripe_width)} widths", "give one for each, or one for all"
        )
    if len(band.gap) not in ((0, 1, len(inks) - 1) if len(inks) > 1 else (0,)):
        raise ShapeError(
            "one stripe has no gap" if len(inks) == 1 else f"{len(inks)} stripes do not have {len(band.gap)} gaps",
            "remove `gap`, or give several `inks`" if len(inks) == 1 else f"give {len(inks) - 1}, or one for all",
        )
    if band.widths and len(inks) == 1 and band.stripe_width:
        raise ShapeError("the stripe has two widths", "keep `widths`, or `stripe width`")
    if band.widths and any(band.gap) and not band.stripe_width and not band.even_gaps:
        raise ShapeError(
            "`widths` with a `gap` need to know how stripes and gaps share them",
            "add `stripe width`, or even gaps: yes",
        )
    if band.edge and (band.closed or band.corners or band.directions or band.straights or band.arcs or band.within):
        raise ShapeError(
            "an edge of the panel has no points of its own",
            "remove `closed`, `corners`, `directions`, `straights`, `arcs` and `within`",
        )
    if band.edge and band.distance is not None and band.distance < 0:
        raise ShapeError(
            f"a band {-band.distance:g} mm outside of the panel's edge lies off the panel",
            f"inside the edge: distance: {-band.distance:g} mm",
        )
    if band.point_length is not None and band.ends == "square":
        raise ShapeError("`point length` is for pointed ends", "add ends: pointed, or remove `point length`")
    _check_open(band)
    _check_widths(band)
    if band.checks or band.chevrons:
        _check_cells(band)


def _check_open(band: BandKeys) -> None:
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


def _check_widths(band: BandKeys) -> None:
    for (before, _), (after, _) in pairwise(band.widths):
        if after <= before:
            raise ShapeError(
                f"the widths are out of order: {after:g} mm along it comes after {before:g} mm",
                "list `widths` in order along the band, each place once",
            )
    if band.even_gaps:
        _check_gaps(band)
    if band.widths and not any(width for _, width in band.widths):
        raise ShapeError("all widths of the band are 0", "give at least one `widths` more than 0 mm")


def _check_gaps(band: BandKeys) -> None:
    if not band.gap or (not band.widths and band.ends == "square"):
        raise ShapeError("`even gaps` is for a band with gaps whose width changes", "add `widths` and a `gap`")
    gaps = sum(band.gap) if len(band.gap) > 1 else band.gap[0] * (len(band.inks or ()) - 1)
    widest = max((width for _, width in band.widths), default=math.inf)
    if gaps >= widest:
        raise ShapeError(
            f"the gaps of the band, {gaps:g} mm together, leave nothing of its {widest:g} mm",
            f"make `gap` smaller, or one of `widths` more than {gaps:g} mm",
        )


def _check_cells(band: BandKeys) -> None:
    if band.checks and band.chevrons:
        raise ShapeError("the band has both checks and chevrons", "keep one of them")
    if band.gap or len(band.stripe_width) > 1:
        raise ShapeError("checks and chevrons fill the whole band", "give one `stripe width` and no `gap`")
    if band.start_slant or band.end_slant:
        raise ShapeError("the ends of checks and chevrons are square", "remove `start slant` and `end slant`")
    if band.chevrons and abs(band.chevrons.angle) < 10:
        raise ShapeError(f"arms at {band.chevrons.angle:g} degrees are too flat", "write an angle of 10 or more")
