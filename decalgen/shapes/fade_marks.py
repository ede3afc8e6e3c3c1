"""The marks of a fade: lines that taper, or dots that grow and then leave holes. Pure; mm, tones as shares of the area.

No mark is thinner than the smallest line, no gap between two narrower than the smallest gap: where the tone asks for
less, there is no mark, and where it asks for more, the area is solid.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import (
    EMPTY,
    TOLERANCE,
    Bounds,
    arc_steps,
    multiply,
    polygons,
    rectangle,
    region,
    rotation,
    transform,
    translation,
    union,
)
from decalgen.core.values import dataclass
from decalgen.shapes.pieces import EDGE, check_cells, check_points

Floats = NDArray[np.float64]
ROUND = math.pi / 4
"""What a disc covers of the square round it."""

NET = 1e-9
"""mm."""
OVERLAP = 0.005
"""How far what is added at an edge reaches into the marks beside it, mm."""


@dataclass(frozen=True)
class MarkNet:
    """How the marks of a fade lie: what they are, how far apart, and the smallest line and gap, mm."""

    dots: bool
    pitch: float
    line: float
    gap: float

    @property
    def least_pitch(self) -> float:
        """The closest pitch at which a line and a gap go beside each other; of dots, at which they can turn into
        holes: discs a gap apart then cover as much as holes a line apart leave."""
        if not self.dots:
            return self.line + self.gap
        both, squares = self.line + self.gap, self.line**2 + self.gap**2
        return squares / (both - math.sqrt(both**2 - squares * (2 - 1 / ROUND)))

    @property
    def held(self) -> tuple[float, float]:
        """The least and the greatest tone between bare and solid."""
        if self.dots:
            return ROUND * (self.line / self.pitch) ** 2, 1 - ROUND * (self.gap / self.pitch) ** 2
        return self.line / self.pitch, 1 - self.gap / self.pitch

    @property
    def turning(self) -> float:
        """The tone at which dots turn into holes: a half, or as near to it as discs a gap apart, and holes a line
        apart, allow."""
        least, most = 1 - ROUND * (1 - self.line / self.pitch) ** 2, ROUND * (1 - self.gap / self.pitch) ** 2
        return min(max(0.5, least), most)


@dataclass(frozen=True)
class ToneCourse:
    """Tones at even distances over ``length`` mm from ``start`` on, both along a ``direction`` in degrees, straight
    between them; before and beyond, the first and the last."""

    tones: tuple[float, ...]
    direction: float
    start: float
    length: float

    @property
    def slope(self) -> tuple[float, float]:
        """How much of the course lies in each mm to the right, and up."""
        cosine, sine, *_ = rotation(self.direction)
        return cosine / self.length, sine / self.length

    def along(self, x: Floats, y: Floats) -> Floats:
        """How far along the course points lie: 0 at its start, 1 at its end."""
        right, up = self.slope
        return np.asarray(x * right + y * up - self.start / self.length)

    def at(self, x: Floats, y: Floats) -> Floats:
        """The tones at points."""
        return np.interp(self.along(x, y), self.stations, self.tones)

    @property
    def stations(self) -> Floats:
        """Where along it the tones lie."""
        return np.linspace(0, 1, len(self.tones))


def marks(screen: MarkNet, course: ToneCourse, angle: float, area: BaseGeometry, core: BaseGeometry) -> MultiPolygon:
    """The marks over an ``area``, lines or rows of dots at an ``angle`` in degrees, laid out from the middle of its
    ``core``, which the course is measured from, too. Raises `ShapeError` for too many."""
    x0, y0, x1, y1 = core.bounds
    middle = translation((x0 + x1) / 2, (y0 + y1) / 2)
    back = multiply(rotation(-angle), translation(-middle[4], -middle[5]))
    seen, inner = transform(area, back).bounds, transform(core, back).bounds
    local = ToneCourse(course.tones, course.direction - angle, course.start, course.length)
    phases = _phase(inner[2], screen.pitch), _phase(inner[3], screen.pitch)
    drawn = _dots(screen, local, seen, phases) if screen.dots else _lines(screen, local, seen, phases[1])
    check_points(sum(shapely.get_num_coordinates(part) for part in drawn))
    # Dots are apart already, and there are many.
    apart = MultiPolygon(drawn) if screen.dots else union(drawn)
    return _inside(shapely.get_parts(transform(apart, multiply(middle, rotation(angle)))), area)


def _inside(parts: NDArray[np.object_], area: BaseGeometry) -> MultiPolygon:
    """What of parts that are apart lies in an area; only those that meet its edge are cut."""
    shapely.prepare(area)
    whole = shapely.contains_properly(area, parts)
    cut = [part for one in shapely.intersection(parts[~whole], area) for part in polygons(one)]
    return region(MultiPolygon([*parts[whole], *cut]))


def changed(drawn: MultiPolygon, away: BaseGeometry, more: BaseGeometry) -> MultiPolygon:
    """Marks without what is to be taken ``away``, and with ``more``; those that meet neither stay as they are."""
    parts = shapely.get_parts(drawn)
    met = shapely.intersects(parts, away) | shapely.intersects(parts, more)
    if not met.any() and more.is_empty:
        return drawn
    new = MultiPolygon(parts[met].tolist()).difference(away).union(more)
    # Corners that lie on a side to the last bit would cross it once the fade is moved; on a net they are its corners.
    new = region(shapely.set_precision(new, NET))
    return region(MultiPolygon([*parts[~met], *new.geoms]))


def _phase(half: float, pitch: float) -> float:
    """0 where a mark in the middle leaves the sides, ``half`` the width away, nearer to the middle of a gap; else a
    half: a gap in the middle."""
    return 0.0 if abs(half / pitch % 1 - 0.5) <= 0.25 else 0.5


def _rows(low: float, high: float, pitch: float, phase: float) -> range:
    """The numbers n of rows whose pitch, about (n + phase) times it, meets a span."""
    return range(math.floor(low / pitch - phase - 0.5), math.ceil(high / pitch - phase + 0.5) + 1)


def _lines(screen: MarkNet, course: ToneCourse, seen: Bounds, phase: float) -> list[BaseGeometry]:
    """Lines along x, as wide as the tone in their middle asks for, and the gaps between two that are solid."""
    numbers = _rows(seen[1], seen[3], screen.pitch, phase)
    bends = _bends(screen, course)
    check_cells(len(numbers) * (len(bends) + 1), "lines")
    least, most = screen.held
    drawn: list[BaseGeometry] = []
    for number in numbers:
        # What becomes solid must have the same sides, to the last bit, from either side.
        centre, side, after = ((2 * number + more + 2 * phase) * screen.pitch / 2 for more in (0, 1, 2))
        for a, b, tones in _pieces(course, bends, (seen[0], seen[2]), centre):
            if tones[1] >= least:
                left, right = (float(tone) * screen.pitch / 2 for tone in tones[::2].clip(least, most))
                ends = [(a, centre - left), (b, centre - right), (b, centre + right), (a, centre + left)]
                drawn.append(Polygon(ends))
        for a, b, tones in _pieces(course, bends, (seen[0], seen[2]), side):
            if tones[1] > most:
                drawn.append(rectangle(a, centre, b, after))
    return drawn


def _pieces(
    course: ToneCourse, bends: list[float], ends: tuple[float, float], level: float
) -> Iterator[tuple[float, float, Floats]]:
    """A line at a level from bend to bend of the course: where each piece begins and ends, and the tones at its
    beginning, middle and end."""
    slope, up = course.slope
    at = level * up - course.start / course.length
    cuts = {*ends}
    if abs(slope) * (ends[1] - ends[0]) > EDGE:
        cuts |= {min(max((bend - at) / slope, ends[0]), ends[1]) for bend in bends}
    for a, b in pairwise(sorted(cuts)):
        if b - a > EDGE:
            yield a, b, course.at(np.array([a, (a + b) / 2, b]), np.full(3, level))


def _bends(screen: MarkNet, course: ToneCourse) -> list[float]:
    """Where along the course the width of a line bends, begins or becomes solid."""
    found = set(course.stations.tolist())
    for (a, tone), (b, after) in pairwise(zip(course.stations.tolist(), course.tones, strict=True)):
        found |= {
            a + (b - a) * (limit - tone) / (after - tone)
            for limit in screen.held
            if min(tone, after) < limit < max(tone, after)
        }
    return sorted(found)


def _dots(screen: MarkNet, course: ToneCourse, seen: Bounds, phases: tuple[float, float]) -> list[BaseGeometry]:
    """Discs at the corners of a net of squares where the tone is below that at which they turn; beyond it, squares
    with a hole each. Where the two meet, a strip along the side of the square joins the discs at its ends. All are
    apart, or meet in points."""
    pitch, turning = screen.pitch, screen.turning
    across, upward = (_rows(seen[i], seen[i + 2], pitch, phases[i]) for i in (0, 1))
    check_cells(len(across) * len(upward), "dots")
    xs, ys = ((np.array(found) + phase) * pitch for found, phase in zip((across, upward), phases, strict=True))
    x, y = np.meshgrid(xs, ys, indexing="ij")
    # Squares of one row more on every side: what is at the edge of the net is drawn as it would be inside of it.
    mid_x, mid_y = np.meshgrid(*(np.append(line - pitch / 2, line[-1] + pitch / 2) for line in (xs, ys)), indexing="ij")
    beside = course.at(mid_x, mid_y) > turning
    mid_x, mid_y, turned = mid_x[1:-1, 1:-1], mid_y[1:-1, 1:-1], beside[1:-1, 1:-1]
    square_tones = course.at(mid_x, mid_y)
    corners = np.stack([beside[:-1, :-1], beside[1:, :-1], beside[:-1, 1:], beside[1:, 1:]])
    tones = course.at(x, y)
    inked = (tones >= screen.held[0]) & ~corners.all(axis=0)
    radii = pitch * np.sqrt(np.minimum(tones, turning) / math.pi)
    # As finely flattened whatever of the net is looked at: what runs on has the same dots inside.
    count = 4 * arc_steps(pitch * math.sqrt(max(turning, 1 - turning) / math.pi), math.pi / 2)
    discs = _discs(x[inked], y[inked], radii[inked], count)
    # A disc keeps to the four squares round it, and meets another part only beside a turned one, or where no gap is.
    meets = (corners.any(axis=0) | (radii > pitch / 2 - 2 * TOLERANCE))[inked]
    holed = turned & (square_tones <= screen.held[1])
    squares = shapely.box(x[:-1, :-1], y[:-1, :-1], x[1:, 1:], y[1:, 1:])[turned]
    half = screen.line / 2
    level = beside[1:-1, :-1] != beside[1:-1, 1:]
    upright = beside[:-1, 1:-1] != beside[1:, 1:-1]
    strips = [
        *shapely.box(x[:-1, :], y[:-1, :] - half, x[1:, :], y[:-1, :] + half)[level],
        *shapely.box(x[:, :-1] - half, y[:, :-1], x[:, :-1] + half, y[:, 1:])[upright],
    ]
    # What strips add beyond squares and discs is taken from the squares again: a wider hole, as far as a line is left.
    beyond = _beyond_discs(np.where(inked, radii, 0.0), half, pitch)
    more = (
        beyond[0][:, :-1] * ~beside[1:-1, :-2] + beyond[0][:, 1:] * ~beside[1:-1, 2:]
        + beyond[1][:-1, :] * ~beside[:-2, 1:-1] + beyond[1][1:, :] * ~beside[2:, 1:-1]
    )  # fmt: skip
    bare = (1 - np.maximum(square_tones, turning)) * pitch**2 + more
    holes = np.minimum(np.sqrt(bare[holed] / math.pi), pitch / 2 - half)
    whole = shapely.union_all([*squares, *discs[meets], *strips])
    return [
        *discs[~meets],
        *polygons(whole.difference(shapely.multipolygons(_discs(mid_x[holed], mid_y[holed], holes, count)))),
    ]


def _beyond_discs(radii: Floats, half: float, pitch: float) -> tuple[Floats, Floats]:
    """Of strips that reach ``half`` to one side, mm, from each place of a net to the next along x, and along y: their
    areas outside of the discs of these ``radii`` round the places, mm²."""
    low = np.minimum(radii, half)
    # The area of a disc's quarter up to this height.
    covered = (low * np.sqrt(radii**2 - low**2) + radii**2 * np.arcsin(low / np.maximum(radii, NET))) / 2
    return half * pitch - covered[:-1, :] - covered[1:, :], half * pitch - covered[:, :-1] - covered[:, 1:]


def _discs(x: Floats, y: Floats, radii: Floats, count: int) -> NDArray[np.object_]:
    """Discs of ``count`` corners each, which have their areas to the last bit."""
    if not len(radii):
        return np.array([], dtype=object)
    check_points(len(radii) * count)
    turn = np.arange(count) * 2 * math.pi / count
    out = radii * math.sqrt(2 * math.pi / (count * math.sin(2 * math.pi / count)))
    rings = np.stack((x[:, None] + out[:, None] * np.cos(turn), y[:, None] + out[:, None] * np.sin(turn)), axis=-1)
    return np.asarray(shapely.polygons(rings))


def tidied(
    drawn: MultiPolygon, core: BaseGeometry, thinnest: float, *, ground: bool
) -> tuple[BaseGeometry, BaseGeometry]:
    """What to take from marks at the edge of their ``core``, and, on a ``ground`` of ink, what to add: strips that the
    edge cuts off thinner than the thinnest line."""
    parts = polygons(drawn)
    if not parts:
        return EMPTY, EMPTY
    edge = core.boundary
    shapely.prepare(edge)
    cut = [part for part in parts if edge.intersects(part)]
    away = _slivers(union(part.intersection(core) for part in cut), edge, thinnest)
    if not ground:
        return away, EMPTY
    rim = edge.buffer(3 * thinnest).intersection(core)
    gaps = _slivers(region(rim.difference(union(cut))), edge, thinnest)
    # A little more, so that it joins the marks beside it.
    return away, region(gaps.buffer(OVERLAP, join_style="mitre").intersection(core))


def _slivers(area: BaseGeometry, edge: BaseGeometry, thinnest: float) -> MultiPolygon:
    """What at an edge is thinner than a limit. Sharp corners are given back."""
    half = thinnest / 2
    opened = area.buffer(-half + EDGE, quad_segs=4).buffer(half * 1.02, join_style="mitre", mitre_limit=5.0)
    lost = polygons(area.difference(opened))
    return union(part for part in lost if part.distance(edge) < EDGE)
