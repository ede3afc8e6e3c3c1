"""All flat colours of a part of a scan traced as outlines: half coverage, then lines, arcs and smooth curves. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.colours import PAPER_ALIKE, WHITE
from decalgen.scan.light import PixelWindow, Scan, lab_of, window_middle
from decalgen.scan.recognise import PatternError
from decalgen.scan.remains import SCANNER_OFF, FitEdge, FoundValue, PatternFit, plain_inks, turned
from decalgen.scan.scale import ScanScale
from decalgen.scan.tracing.coverage import Coverages, half_lines
from decalgen.scan.tracing.flat_colours import flat_colours
from decalgen.scan.tracing.sides import TracedLoop, traced_ring

OUTLINE = "outline"
TOLERANCE_MM = 0.02
"""An outline follows what is seen this closely, or to a quarter of a pixel if that is more."""
TOLERANCE_PIXELS = 0.25
LEAST_TOLERANCE_MM, MOST_TOLERANCE_MM = 0.005, 1.0
MOST_PIXELS = 6_000_000
MOST_SHAPES = 60
MOST_HOLES = 50
SPECK_PIXELS = 16.0
"""A smaller area is a speck, and is not traced."""
LEAST_WIDE = 1.6
"""A strip that is narrower on the whole, pixels, is the blur between two colours, not a third."""
FILLED = 0.95
"""Where other inks fill this share of a hole, they lie on top and the hole is filled."""
LEANS = math.radians(15)
"""Outlines whose straight sides lean by less were laid down askew, and are set straight."""


@dataclass(frozen=True)
class TracedArea:
    """An area of one ink, by its number: its outline and its holes, mm; ``area``: mm²."""

    ink: int
    outer: TracedLoop
    holes: tuple[TracedLoop, ...]
    area: float


@dataclass(frozen=True)
class TracedFit(PatternFit):
    """Areas of flat colour, the largest first: what comes later lies on top. The lower left corner of all is the
    origin. ``tolerance``: how closely they follow what is seen, as asked, and ``off`` how far it is off at most, mm;
    ``specks``: how many areas were too small; ``papery``: the number of an ink that may be torn paper, or None."""

    shapes: tuple[TracedArea, ...] = ()
    tolerance: float = 0.0
    off: float = 0.0
    specks: int = 0
    papery: int | None = None

    @property
    def heading(self) -> str:
        """What it is, in words."""
        return f"outlines of {len(self.shapes)} areas" if len(self.shapes) > 1 else "outline of one area"

    @property
    def remarks(self) -> tuple[str, ...]:
        """How closely it was traced, in words."""
        rings = [ring for one in self.shapes for ring in (one.outer, *one.holes)]
        points = sum(len(ring.points) for ring in rings)
        return (
            f"traced within {self.off:.3f} mm of what is seen, by {points} points (asked: {self.tolerance:.3f} mm)",
        )

    @property
    def doubts(self) -> list[str]:
        """What is in doubt, in words."""
        found = []
        if self.off > 2 * self.tolerance:
            found.append(f"the outline is off by up to {self.off:.3f} mm: look at the picture of the fit")
        if self.specks:
            found.append("one speck was left out" if self.specks == 1 else f"{self.specks} specks were left out")
        if self.papery is not None:
            found.append(f"ink {self.papery + 1} is as white as torn paper: remove it from the job if it is a tear")
        return found


@dataclass(frozen=True)
class _Area:
    """An area as it is seen, pixels of the scan, of the flat colour with this number."""

    colour: int
    shape: Polygon


def traced_outlines(
    scan: Scan, window: PixelWindow, scale: ScanScale, ground: FloatArray, tolerance: float | None = None
) -> TracedFit:
    """The outlines of all flat colours in a window but the ground's. Raises PatternError where there is none, or they
    are too many."""
    pixel = scale.pixel_mm(window_middle(window))
    near = tolerance if tolerance is not None else max(TOLERANCE_MM, TOLERANCE_PIXELS * pixel)
    areas, colours, specks = _areas(scan, window, ground)
    filled = _filled(areas)
    rings = [[_ring_mm(line, scale) for line in (one.exterior, *one.interiors)] for one in filled]
    lean = _lean([ring for shape in rings for ring in shape], pixel)
    made = [[traced_ring(turned(ring, lean), pixel, near) for ring in shape] for shape in rings]
    used = sorted({area.colour for area in areas})
    corner = np.min([np.min(shape[0].line(), axis=0) for shape in made], axis=0)
    shapes = tuple(
        TracedArea(used.index(area.colour), moved(parts[0], -corner), tuple(moved(one, -corner) for one in parts[1:]),
                    Polygon(parts[0].line()).area)
        for area, parts in zip(areas, made, strict=True)
    )  # fmt: skip
    everything = [ring for parts in made for ring in parts]
    size = np.max([np.max(one.outer.line(), axis=0) for one in shapes], axis=0)
    rms = max(one.rms for one in everything)
    inks = [colours[n] for n in used]
    far = [float(np.linalg.norm(lab_of(ink) - lab_of(WHITE))) for ink in inks]
    papery = int(np.argmin(far)) if min(far) < PAPER_ALIKE and len(inks) > 1 else None
    return TracedFit(
        OUTLINE,
        _values((float(size[0]), float(size[1])), scale, rms, lean),
        plain_inks(inks),
        tuple(one.ink for one in shapes),
        sum(one.off <= near for one in everything) / len(everything),
        edges=tuple(_edge(turned(one.line(), -lean)) for one in everything),
        shapes=shapes,
        tolerance=near,
        off=max(one.off for one in everything),
        specks=specks,
        papery=papery,
    )


def _areas(scan: Scan, window: PixelWindow, ground: FloatArray) -> tuple[list[_Area], tuple[FloatArray, ...], int]:
    """The areas of all colours but the ground's, the largest first; the colours; and how many specks are left out."""
    left, top, right, bottom = window
    if (right - left) * (bottom - top) > MOST_PIXELS:
        raise PatternError(
            f"{(right - left) * (bottom - top) / 1e6:.0f} million pixels are too many to trace at once",
            fix=f"give the part that holds one decal, at most {MOST_PIXELS / 1e6:.0f} million pixels, with --part",
        )
    light = scan.light(window)
    flat = flat_colours(light, ground)
    covers = Coverages(light, flat)
    found: list[_Area] = []
    specks = 0
    for number in range(1, len(flat.colours)):
        shift, share = covers.of(number)
        try:
            region = half_lines(share)
        except ValueError:
            raise PatternError(
                f"'{scan.name}' is too ragged to trace",
                fix="scan at 300 dpi or more without sharpening, or give the part that holds it with --part",
            ) from None
        for one in shapely.affinity.translate(region, left + shift[0], top + shift[1]).geoms:
            if _is_speck(one):
                specks += one.area > 2
                continue
            holes = [hole for hole in one.interiors if not _is_speck(Polygon(hole))]
            found.append(_Area(number, Polygon(one.exterior, holes)))
    if not found:
        raise PatternError(
            f"nothing but the ground is seen in '{scan.name}'", fix="give the part that holds the artwork with --part"
        )
    found.sort(key=lambda one: -Polygon(one.shape.exterior).area)
    if len(found) > MOST_SHAPES or max(len(one.shape.interiors) for one in found) > MOST_HOLES:
        raise PatternError(
            f"{len(found)} separate areas are too many to trace",
            fix=f"give a part that holds no more than {MOST_SHAPES} with --part",
        )
    return found, flat.colours, specks


def _is_speck(one: Polygon) -> bool:
    return bool(one.area < SPECK_PIXELS or 2 * one.area / one.length < LEAST_WIDE)


def _filled(areas: Sequence[_Area]) -> list[Polygon]:
    """Areas without the holes that other inks fill."""
    found = []
    for n, area in enumerate(areas):
        others = MultiPolygon([one.shape for one in areas[n + 1 :]])
        kept = []
        for hole in area.shape.interiors:
            inside = Polygon(hole)
            beyond = inside.buffer(1.0)
            parts = [one for one in others.geoms if beyond.contains(one)]
            if shapely.union_all(parts).area < FILLED * inside.area:
                kept.append(hole)
        found.append(Polygon(area.shape.exterior, kept))
    return found


def _ring_mm(line: shapely.LinearRing, scale: ScanScale) -> FloatArray:
    return scale.to_mm(np.asarray(line.coords, float)[:-1])


def _lean(rings: Sequence[FloatArray], pixel: float) -> float:
    """By how much straight sides lean that run level or upright, radians; 0 where there are hardly any."""
    angles, weights, whole = [], [], 0.0
    for ring in rings:
        line = np.asarray(shapely.simplify(Polygon(ring), 0.4 * pixel).exterior.coords)
        steps = np.diff(line, axis=0)
        long = np.hypot(*steps.T)
        whole += float(long.sum())
        kept = long > 12 * pixel
        angles += [math.remainder(math.atan2(y, x), math.pi / 2) for x, y in steps[kept].tolist()]
        weights += long[kept].tolist()
    if not angles:
        return 0.0
    at, weight = np.array(angles), np.array(weights)
    # Where most of the length gathers within a degree.
    best = max(at, key=lambda one: float(weight[np.abs(at - one) < math.radians(1)].sum()))
    near = np.abs(at - best) < math.radians(1)
    if abs(best) > LEANS or weight[near].sum() < 0.25 * whole:
        return 0.0
    return float((at[near] * weight[near] ** 3).sum() / (weight[near] ** 3).sum())


def moved(ring: TracedLoop, by: FloatArray) -> TracedLoop:
    """A ring moved by so much, mm."""
    return replace(ring, points=tuple((x + float(by[0]), y + float(by[1])) for x, y in ring.points))


def _values(size: tuple[float, float], scale: ScanScale, rms: float, lean: float) -> tuple[FoundValue, ...]:
    # Two edges, each as uncertain as a scanner's, and as much of what is left over as neighbours share.
    edge = math.hypot(SCANNER_OFF, rms / 2)
    (wide, high), (across, up) = size, (scale.across, scale.up)
    return (
        FoundValue("width", wide, math.hypot(math.sqrt(2) * edge, across * wide), 1.0),
        FoundValue("height", high, math.hypot(math.sqrt(2) * edge, up * high), 1.0),
        FoundValue("angle", math.degrees(lean), math.degrees(edge / max(size)), 1.0, "°"),
    )


def _edge(line: FloatArray) -> FitEdge:
    return FitEdge(tuple((float(x), float(y)) for x, y in line), True)
