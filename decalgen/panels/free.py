"""Flat panels of any outline: points in order, round corners, and sides that are arcs (a wheel arch).

Side n runs from point n to point n + 1. A positive arc radius bulges outward, a negative one is hollow, as a
wheel arch is; it is never more than half a circle. A rise says the same more surely, and may be more than that.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from shapely.geometry import LineString, Polygon

from decalgen.core import keys
from decalgen.core.errors import Finding, Place
from decalgen.core.geometry import Outline, Point, Segment, fault_of_ring, polygons, signed_area, translation
from decalgen.core.lengths import Quantity, propagate
from decalgen.core.values import dataclass
from decalgen.panels.base import PanelError
from decalgen.panels.developed import Developed, Settled
from decalgen.panels.half_circles import LEFT_OPEN, opening
from decalgen.panels.kinds import PanelKind
from decalgen.panels.readings import MeasuredValue
from decalgen.panels.uncertainty import Values

if TYPE_CHECKING:
    from decalgen.core.curves.curved import CurvedSides

RISE = "measure how far the middle of that side rises from the straight line between its ends: `arc rises`"
_POINT = keys.Two("x and y, mm", of=keys.Readings("x or y", positive=False))
_NUMBER = keys.Count(most=80)
WITHIN = keys.Size(
    "± of the points inside smooth sides: each is moved by no more, so that they bend evenly; if left out, none is",
    most=5.0,
    spread=True,
    beside=("curves",),
)
SLACK = 0.05
"""An arc's radius may fall short of half its side by this share: a half circle never closes to the last digit."""


@dataclass(frozen=True, kw_only=True)
class FreeOutline(PanelKind):
    """A flat panel of any outline."""

    name: ClassVar[str] = "outline"
    about: ClassVar[str] = "flat, of any outline, by points, corner radii and arcs"
    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"outline"}),)

    outline: Annotated[
        tuple[tuple[MeasuredValue, MeasuredValue], ...],
        keys.Many(
            "points in order, once round",
            of=_POINT,
            least=3,
            most=80,
            example=(("0 mm", "0 mm"), ("30 mm", "0 mm"), ("30 mm", "12 mm"), ("0 mm", "12 mm")),
        ),
    ]
    corner_radii: Annotated[
        tuple[float, ...],
        keys.Many(
            "radius of the corner at each point, or one for all",
            of=keys.Length("radius", least=0.0),
            least=1,
            most=80,
            example="1 mm",
        ),
    ] = ()
    arcs: Annotated[
        tuple[MeasuredValue, ...],
        keys.Many(
            "for each side 0 if straight, or the radius of its arc: hollow ones negative",
            of=keys.Readings("radius", positive=False, depth=True),
            least=1,
            most=80,
            example=("0 mm", "0 mm", "20 mm", "0 mm"),
        ),
    ] = ()
    arc_rises: Annotated[
        tuple[MeasuredValue, ...],
        keys.Many(
            "instead of arcs, how far the middle of each side bulges: hollow ones negative",
            of=keys.Readings("rise", positive=False, depth=True),
            least=1,
            most=80,
            example=("0 mm", "0 mm", "1.5 mm", "0 mm"),
        ),
    ] = ()

    curves: Annotated[
        tuple[int, ...],
        keys.Many(
            "numbers of sides that bend smoothly: those that follow each other are one curve through their points",
            of=_NUMBER,
            most=80,
            example=("2", "3"),
        ),
    ] = ()
    smooth_joins: Annotated[
        tuple[int, ...],
        keys.Many(
            "numbers of points at which a smooth side runs on from the side beside it, without a corner",
            of=_NUMBER,
            most=80,
            example=("4",),
            beside=("curves",),
        ),
    ] = ()
    directions: Annotated[
        tuple[tuple[float, float], ...],
        keys.Many(
            "direction of smooth sides at points, each as number of the point, degrees anticlockwise from the right",
            of=keys.Two("point, degrees", of=keys.Number(least=-360, most=360, angle=True)),
            example=(("3", "90"),),
            beside=("curves",),
        ),
    ] = ()
    within: Annotated[float | None, WITHIN] = None

    def measured(self) -> dict[str, Any]:
        """Each point's x and y and each arc's radius."""
        n = len(self.outline)
        if n < 3:
            raise PanelError(f"an outline of {n} points has no area", fix="give at least three points")
        lists = {"corner radii": self.corner_radii, "arcs": self.arcs, "arc rises": self.arc_rises}
        for what, several in lists.items():
            if len(several) not in ((0, 1, n) if what == "corner radii" else (0, n)):
                raise PanelError(
                    f"there are {len(several)} {what} for {n} points",
                    fix=f"give one for each of the {n} {'points' if what == 'corner radii' else 'sides'}, 0 for none",
                )
        if self.arcs and self.arc_rises:
            raise PanelError("arcs and arc rises are both given", fix="keep one of them; a rise is easier to measure")
        found: dict[str, Any] = {}
        for number, (x, y) in enumerate(self.outline, 1):
            found[f"point {number} x"], found[f"point {number} y"] = x, y
        for key, arcs in (("arc", self.arcs), ("rise", self.arc_rises)):
            for number, arc in enumerate(arcs, 1):
                found[f"{key} {number}"] = arc
        return found

    def settle(self, readings: Mapping[str, Quantity], name: str, place: Place | None) -> Settled:
        """Points, and arcs by radius or rise; a radius that falls short of half its side is taken as that half."""
        n = len(self.outline)
        values = dict(readings)
        findings: list[Finding] = []
        for number in range(1, n + 1):
            arc = readings.get(f"arc {number}")
            if arc is None or not arc.value:
                continue
            ends = (number, number % n + 1)
            values[f"arc {number}"], told = _round_enough(
                number, arc, half_side(*((readings[f"point {i} x"], readings[f"point {i} y"]) for i in ends))
            )
            findings += [replace(one, subject=name, place=place) for one in told]
        if self.curves:
            from decalgen.core.curves.side_findings import side_findings

            plain = {key: quantity.value for key, quantity in values.items()}
            points = [(plain[f"point {i} x"], plain[f"point {i} y"]) for i in range(1, n + 1)]
            rises = [_rise(points, i, plain) for i in range(n)]
            findings += [
                replace(one, subject=name, place=place) for one in side_findings(points, rises, self._curved_sides)
            ]
        return Settled(values, tuple(findings))

    def develop(self, values: Values) -> Developed:
        """Straight sides, arcs and round corners, anticlockwise; its origin is the lower left corner of the box
        round it. Paint moves every side outward."""
        n = len(self.outline)
        points = [(values[f"point {i} x"], values[f"point {i} y"]) for i in range(1, n + 1)]
        rises = [_rise(points, i, values) for i in range(n)]
        radii = list(self.corner_radii) if len(self.corner_radii) == n else [*(self.corner_radii or (0.0,))] * n
        numbers = list(range(1, n + 1))
        for number in self.curves:
            if number <= n and rises[number - 1]:
                fix = f"set its arc to 0, or remove {number} from `curves`"
                raise PanelError(f"side {number} is both an arc and a curve", fix=fix)
        curved: Mapping[int, Sequence[Segment]] = {}
        if self.curves or self.smooth_joins or self.directions:
            from decalgen.panels.curved_sides import arcs_of_curves

            curved = arcs_of_curves(points, rises, self._curved_sides)
        if signed_area(points) < 0:
            curved = {number: [s.turned_round() for s in reversed(arcs)] for number, arcs in curved.items()}
            points, radii = points[::-1], radii[::-1]
            rises, numbers = [*rises[-2::-1], rises[-1]], [*numbers[-2::-1], numbers[-1]]
        _check_order(points)
        segments, sides = _sides(points, radii, rises, numbers, curved)
        outline = Outline(tuple(segments))
        ring = outline.polygon
        if not ring.is_valid:
            raise PanelError(
                f"the outline, with its arcs, {fault_of_ring(list(ring.exterior.coords)[:-1])}",
                fix="give the points in order, once round, and arcs smaller than the room there is",
            )
        coat = values.get("coat", 0.0)
        if coat:
            outline, sides = _painted(ring, segments, sides, coat)
        x0, y0, x1, y1 = bounds(outline)
        return Developed(
            outline.moved(translation(-x0, -y0)), tuple(sides), x1 - x0, y1 - y0, corner=(x0 + coat, y0 + coat)
        )

    @property
    def _curved_sides(self) -> CurvedSides:
        from decalgen.core.curves.curved import CurvedSides

        return CurvedSides(self.curves, self.smooth_joins, self.directions, self.within)


Ends = tuple[Quantity, Quantity]


def half_side(start: Ends, end: Ends) -> Quantity:
    """Half the distance of two points, with what their readings leave open in it; nothing where they coincide."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = math.hypot(dx.value, dy.value)
    if not length:
        return Quantity(0.0)
    return propagate(length / 2, 1, ((dx.value / length / 2, dx), (dy.value / length / 2, dy)))


def _round_enough(number: int, arc: Quantity, half: Quantity) -> tuple[Quantity, list[Finding]]:
    """The radius of an arc over a side whose half is ``half``, never shorter than that, and what is to be told.

    Near a half circle the height of an arc hardly follows from its radius: it is then left as uncertain as it is, and
    told. Raises `PanelError` for a radius that is too short beyond all doubt.
    """
    sign = math.copysign(1.0, arc.value)
    excess = propagate(sign * arc.value - half.value, 1, ((sign, arc), (-1.0, half)))
    over = excess.value
    if over < -max(half.value * SLACK, 3 * excess.u):
        raise PanelError(
            f"side {number} is {2 * half.value:.2f} mm from end to end, too far for an arc of radius "
            f"{abs(arc.value):g} mm",
            fix=f"an arc's radius is at least {half.value:.2f} mm there; move its ends closer or measure it again",
        )
    findings = []
    if over < -max(2 * excess.u, 1e-3):
        what = (
            f"the readings do not agree: the radius of side {number} reads {abs(arc.value):.2f} mm, less than half of "
            f"its {2 * half.value:.2f} mm; it is taken as half a circle"
        )
        findings.append(Finding("warning", "readings-disagree", "", what, RISE))
    if over < 0:
        arc, over = Quantity(sign * half.value, 1, arc.parts), 0.0
    open_ = opening(half.value, replace(excess, value=over))
    if open_.told:
        what = f"side {number} is so round that its radius leaves its height open by {open_.by:.2f} mm"
        findings.append(Finding("note", "height-open", "", what, RISE, None, open_.by, LEFT_OPEN))
        arc = Quantity(arc.value, 1, ((arc.parts[0][0] if arc.parts else f"arc {number}", open_.most),))
    return arc, findings


def bounds(outline: Outline) -> tuple[float, float, float, float]:
    """The box round an outline, its arcs taken exactly (a flattened arc jumps by its tolerance), mm."""
    xs, ys = [], []
    for segment in outline.segments:
        xs += [segment.start[0], segment.end[0]]
        ys += [segment.start[1], segment.end[1]]
        if segment.centre is None:
            continue
        cx, cy = segment.centre
        radius = math.dist(segment.start, segment.centre)
        begin = math.atan2(segment.start[1] - cy, segment.start[0] - cx)
        finish = math.atan2(segment.end[1] - cy, segment.end[0] - cx)
        if not segment.anticlockwise:
            begin, finish = finish, begin
        sweep = (finish - begin) % (2 * math.pi)
        for quarter in range(4):
            if (quarter * math.pi / 2 - begin) % (2 * math.pi) < sweep:
                xs.append(cx + radius * round(math.cos(quarter * math.pi / 2)))
                ys.append(cy + radius * round(math.sin(quarter * math.pi / 2)))
    return min(xs), min(ys), max(xs), max(ys)


def _check_order(points: Sequence[Point]) -> None:
    """Raises `PanelError` for points that coincide or sides that cross."""
    for number, (a, b) in enumerate(pairwise([*points, points[0]]), 1):
        if math.dist(a, b) < 1e-6:
            raise PanelError(
                f"two neighbouring points of the outline are the same: ({a[0]:g}, {a[1]:g})",
                fix=f"leave one of them out (near point {number}); the outline closes by itself",
            )
    if fault := fault_of_ring(points):
        raise PanelError(f"the outline {fault}", fix="give the points in order, once round")


def _sides(
    points: Sequence[Point],
    radii: Sequence[float],
    rises: Sequence[float],
    numbers: Sequence[int],
    curved: Mapping[int, Sequence[Segment]],
) -> tuple[list[Segment], list[str]]:
    n = len(points)
    bent = [bool(rise) or number in curved for rise, number in zip(rises, numbers, strict=True)]
    cuts = [_corner(points[i - 1], points[i], points[(i + 1) % n], radii[i], bent[i - 1] or bent[i]) for i in range(n)]
    segments: list[Segment] = []
    sides: list[str] = []
    for i in range(n):
        label = f"side {numbers[i]}"
        start, corner = cuts[i][1], cuts[(i + 1) % n]
        end = corner[0]
        whole = math.dist(points[i], points[(i + 1) % n])
        if math.dist(points[i], start) + math.dist(points[(i + 1) % n], end) > whole + 1e-9:
            raise PanelError(
                f"the corner radii at both ends of {label} take more than its {whole:g} mm", fix="make them smaller"
            )
        if numbers[i] in curved:
            segments += curved[numbers[i]]
            sides += [label] * len(curved[numbers[i]])
        elif rises[i]:
            segments.append(_arc(start, end, rises[i]))
            sides.append(label)
        elif math.dist(start, end) > 1e-9:
            segments.append(Segment(start, end))
            sides.append(label)
        if corner[2] is not None:
            segments.append(Segment(corner[0], corner[1], corner[2], corner[3]))
            sides.append(label)
    return segments, sides


def _corner(
    before: Point, point: Point, after: Point, radius: float, bent: bool
) -> tuple[Point, Point, Point | None, bool]:
    """Where a round corner leaves both sides, its centre, and whether it turns left."""
    if radius <= 0:
        return point, point, None, True
    if bent:
        raise PanelError(
            f"the corner at ({point[0]:g}, {point[1]:g}) is round and has an arc or a curve beside it",
            fix="set its corner radius to 0, or put one more point where the arc begins",
        )
    ux, uy = _unit(point, before)
    vx, vy = _unit(point, after)
    turn = ux * vy - uy * vx
    half = math.acos(max(-1.0, min(1.0, ux * vx + uy * vy))) / 2
    if abs(turn) < 1e-9 or half >= math.pi / 2 - 1e-9:
        return point, point, None, True
    cut = radius / math.tan(half)
    start, end = (point[0] + ux * cut, point[1] + uy * cut), (point[0] + vx * cut, point[1] + vy * cut)
    bx, by = (ux + vx) / math.hypot(ux + vx, uy + vy), (uy + vy) / math.hypot(ux + vx, uy + vy)
    reach = radius / math.sin(half)
    return start, end, (point[0] + bx * reach, point[1] + by * reach), turn < 0


def _unit(a: Point, b: Point) -> Point:
    length = math.dist(a, b)
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length


def _rise(points: Sequence[Point], i: int, values: Values) -> float:
    """How far the middle of side i + 1 stands out of its chord; hollow: negative; straight: 0."""
    if f"rise {i + 1}" in values:
        return values[f"rise {i + 1}"]
    radius = values.get(f"arc {i + 1}", 0.0)
    half = math.dist(points[i], points[(i + 1) % len(points)]) / 2
    size = max(abs(radius), half)
    return math.copysign(half * half / (size + math.sqrt(size * size - half * half)), radius) if radius else 0.0


def _arc(start: Point, end: Point, rise: float) -> Segment:
    """An arc over a side by its rise; outside is to the right of an anticlockwise outline."""
    half = math.dist(start, end) / 2
    height = half * half / (2 * rise) - rise / 2  # from the chord to the centre, to its left
    ux, uy = _unit(start, end)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    return Segment(start, end, (middle[0] - uy * height, middle[1] + ux * height), rise > 0)


def _painted(
    ring: Polygon, segments: Sequence[Segment], sides: Sequence[str], coat: float
) -> tuple[Outline, list[str]]:
    """The outline grown by a coat of paint; its arcs become points, each side keeps its name."""
    grown = polygons(ring.buffer(coat, join_style="mitre", quad_segs=64))
    if not grown:
        raise PanelError("the paint is negative", fix="give the paint as a small positive size")
    outline = Outline.from_polygon(max(grown, key=lambda polygon: polygon.area))
    lines = [LineString(segment.points()) for segment in segments]
    names = []
    for segment in outline.segments:
        middle = LineString([segment.start, segment.end]).centroid
        nearest = min(range(len(lines)), key=lambda i: lines[i].distance(middle))
        names.append(sides[nearest])
    return outline, names
