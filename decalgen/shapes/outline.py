"""A free outline: measured points, rounded corners, bent sides, holes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Annotated, ClassVar

import shapely
from shapely.geometry import Polygon

from decalgen.core import keys
from decalgen.core.geometry import Outline as Ring
from decalgen.core.geometry import Point, Segment, region, segment_radius, signed_area, transform, translation
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.pieces import EDGE, grown, run_out
from decalgen.shapes.registry import shape

if TYPE_CHECKING:
    from decalgen.core.curves.curved import CurvedSides

POINTS = keys.Many(
    "its corners in order, each as x, y",
    of=keys.Two("x, y", of=keys.Length()),
    least=2,
    most=500,
    example=(("4 mm", "4 mm"), ("8 mm", "4 mm"), ("6 mm", "7 mm")),
)
RADII = keys.Many("radius of each corner, or one for all", of=keys.Length(least=0.0), most=500, example="0.5 mm")
RISES = keys.Many(
    "how far each side is bent outward (negative: inward), from its corner to the next, or one for all",
    of=keys.Length(),
    most=500,
    example="0.3 mm",
)
_NUMBER = keys.Count(most=500)

CURVES = keys.Many(
    "numbers of sides that bend smoothly: those that follow each other are one curve through their points",
    of=_NUMBER,
    example=("2", "3"),
)
SmoothJoins = Annotated[
    tuple[int, ...],
    keys.Many(
        "numbers of points at which a smooth side runs on from the side beside it, without a corner",
        of=_NUMBER,
        example=("2",),
        beside=("curves",),
    ),
]
SideDirections = Annotated[
    tuple[tuple[float, float], ...],
    keys.Many(
        "direction of smooth sides at points, each as number of the point, degrees anticlockwise from the right",
        of=keys.Two("point, degrees", of=keys.Number(least=-360, most=500, angle=True)),
        example=(("2", "45"),),
        beside=("curves",),
    ),
]
SidesWithin = Annotated[
    float | None,
    keys.Size(
        "± of the points inside smooth sides: each is moved by no more, so that they bend evenly; if left out, none is",
        most=5.0,
        spread=True,
        beside=("curves",),
    ),
]


@dataclass(frozen=True)
class Hole:
    """A hole in an outline, given in the same way."""

    points: Annotated[tuple[Point, ...], POINTS]
    radii: Annotated[tuple[float, ...], RADII] = ()
    rises: Annotated[tuple[float, ...], RISES] = ()
    curves: Annotated[tuple[int, ...], CURVES] = ()
    smooth_joins: SmoothJoins = ()
    directions: SideDirections = ()
    within: SidesWithin = None


@shape
@dataclass(frozen=True)
class DrawnOutline:
    """A free outline through measured points.

    Corners may be rounded by a radius; a side may be bent by its rise into an arc (two points and a rise make a segment
    of a circle). It is placed by its size, or stays where its points are, measured from the lower left corner
    of the box, with ``in place``. Straight sides that lie along a side of its extent run on.

    Raises `ShapeError` for an outline that crosses itself, a radius that does not fit, and a hole outside.
    """

    name: ClassVar[str] = "outline"
    about: ClassVar[str] = "a free outline of straight sides and arcs, with holes"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {
        "ink": "harbour teal",
        "points": ((0.0, 0.0), (14.0, 0.0), (20.0, 5.0), (14.0, 10.0), (0.0, 10.0)),
        "radii": (0.0, 1.5, 1.0, 1.5, 0.0),
        "rises": (0.0, 0.0, 0.0, 0.0, -1.2),
        "holes": (Hole(((4.0, 5.0), (9.0, 5.0)), rises=(2.5,)),),
    }
    example_box: ClassVar[Box] = Box(24.0, 12.0)

    ink: Annotated[str, keys.InkName("its ink")]
    points: Annotated[tuple[Point, ...], POINTS]
    radii: Annotated[tuple[float, ...], RADII] = ()
    rises: Annotated[tuple[float, ...], RISES] = ()
    curves: Annotated[tuple[int, ...], CURVES] = ()
    smooth_joins: SmoothJoins = ()
    directions: SideDirections = ()
    within: SidesWithin = None
    holes: Annotated[tuple[Hole, ...], keys.Many("holes in it", of=keys.Block(of=Hole), most=50)] = ()
    in_place: Annotated[bool, keys.Flag("its points are measured from the lower left corner of the box")] = False

    def __post_init__(self) -> None:
        self._area()

    def extent(self, box: Box) -> Box:
        """What the outline takes, or the box, in place."""
        x0, y0, x1, y1 = self._area().bounds
        return box if self.in_place else Box(x1 - x0, y1 - y0)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area."""
        area = self._area()
        if not self.in_place:
            area = transform(area, translation(-area.bounds[0], -area.bounds[1]))
            return (Inked(self.ink, run_out(area, size, run_on)),)
        # In place it may reach beyond the box, and then is its own run-on.
        beyond = run_out(area, size, run_on).intersection(grown(size, max(0.0, run_on)))
        return (Inked(self.ink, region(beyond)),)

    def rings(self) -> tuple[Ring, ...]:
        """The outline and its holes with their arcs, in the coordinates of the points."""
        drawn: tuple[DrawnOutline | Hole, ...] = (self, *self.holes)
        return tuple(ring(one.points, one.radii, one.rises, curved_sides(one)) for one in drawn)

    def _area(self) -> Polygon:
        outer, *holes = (one.polygon for one in self.rings())
        for number, area in enumerate((outer, *holes)):
            which = "the outline" if number == 0 else f"hole {number} of the outline"
            if area.convex_hull.area < 1e-6:
                raise ShapeError(f"{which} has no area", "give at least three points not in one line, or a rise")
            if not area.is_valid:
                spot = shapely.is_valid_reason(area).partition("[")[2].rstrip("]").split()
                near = f" near {float(spot[0]):.4g}, {float(spot[1]):.4g}" if len(spot) == 2 else ""
                raise ShapeError(f"{which} crosses or touches itself{near}", "list its points in order, once round")
        whole = Polygon(outer.exterior, [hole.exterior for hole in holes])
        if holes and not (whole.is_valid and all(outer.contains(hole) for hole in holes)):
            raise ShapeError("a hole of the outline does not lie inside it, or meets another", "move or shrink it")
        return whole


def curved_sides(one: DrawnOutline | Hole) -> CurvedSides | None:
    """Its smooth sides, and what is known of them; None where it has none."""
    if not (one.curves or one.smooth_joins or one.directions):
        return None
    from decalgen.core.curves.curved import CurvedSides

    return CurvedSides(one.curves, one.smooth_joins, one.directions, one.within)


def rises_of(one: DrawnOutline | Hole) -> list[float]:
    """The rise of each of its sides, mm, positive outward. Raises `ShapeError`."""
    return _each(one.rises, len(one.points), "rises", "side")


def ring(
    points: Sequence[Point],
    radii: Sequence[float] = (),
    rises: Sequence[float] = (),
    curved: CurvedSides | None = None,
) -> Ring:
    """A closed outline, anticlockwise, with its arcs. Raises `ShapeError`.

    ``radii``: one for each corner or one for all; ``rises``: one for each side (from its corner to the next) or one
    for all, mm, positive outward. Points given clockwise are turned round.
    """
    pts = [(float(x), float(y)) for x, y in points]
    n = len(pts)
    round_off, bent = _each(radii, n, "radii", "corner"), _each(rises, n, "rises", "side")
    if n < 2 or (n == 2 and not any(bent)):
        raise ShapeError("an outline needs at least three points", "give more points, or two and a rise")
    if any(math.dist(a, b) < EDGE for a, b in pairwise([*pts, pts[0]])):
        raise ShapeError("two points of the outline that follow each other are the same", "remove one of them")
    smooth = _smooth(pts, bent, curved) if curved else {}
    if signed_area(pts) < 0:
        pts, round_off = pts[::-1], round_off[::-1]
        bent = [*bent[-2::-1], bent[-1]]
        smooth = {(n - 2 - i) % n: [s.turned_round() for s in reversed(arcs)] for i, arcs in smooth.items()}
    straight = [not rise and i not in smooth for i, rise in enumerate(bent)]
    corners = [
        _corner(pts[i - 1], pts[i], pts[(i + 1) % n], round_off[i], straight[i - 1] and straight[i]) for i in range(n)
    ]
    segments: list[Segment] = []
    for i, (start, end, centre, left) in enumerate(corners):
        if centre is not None:
            segments.append(Segment(start, end, centre, left))
        after = corners[(i + 1) % n][0]
        along = (after[0] - end[0]) * (pts[(i + 1) % n][0] - pts[i][0]) + (after[1] - end[1]) * (
            pts[(i + 1) % n][1] - pts[i][1]
        )
        if along < -EDGE:
            raise ShapeError(
                f"the radii at two corners do not fit the side of {math.dist(pts[i], pts[(i + 1) % n]):g} mm between",
                "make the radii smaller",
            )
        if i in smooth:
            segments += smooth[i]
        elif math.dist(end, after) > 1e-9:
            segments.append(_side(end, after, bent[i]))
    return Ring(tuple(segments))


def _smooth(points: Sequence[Point], bent: Sequence[float], curved: CurvedSides) -> dict[int, Sequence[Segment]]:
    """The arcs of sides that bend smoothly, by the index of the side."""
    from decalgen.core.curves.course import CurveError
    from decalgen.core.curves.sides import smooth_sides

    for number in curved.sides:
        if number <= len(points) and bent[number - 1]:
            raise ShapeError(
                f"side {number} has a rise and is a curve", f"set its rise to 0, or remove {number} from `curves`"
            )
    try:
        found = smooth_sides(points, bent, curved)
    except CurveError as error:
        raise ShapeError(error.message, error.fix) from None
    return {number - 1: arcs for number, arcs in found.items()}


def _each(values: Sequence[float], n: int, name: str, what: str) -> list[float]:
    if len(values) == n:
        return list(values)
    if len(values) <= 1:
        return [*values, 0.0][:1] * n
    raise ShapeError(
        f"the outline has {n} {what}s but {len(values)} {name}", f"give one for each {what}, or one for all"
    )


def _side(start: Point, end: Point, rise: float) -> Segment:
    """A straight side, or the arc over it."""
    if abs(rise) < EDGE:
        return Segment(start, end)
    chord = math.dist(start, end)
    out = ((end[1] - start[1]) / chord, -(end[0] - start[0]) / chord)
    away = rise - segment_radius(chord, rise)
    centre = ((start[0] + end[0]) / 2 + out[0] * away, (start[1] + end[1]) / 2 + out[1] * away)
    return Segment(start, end, centre, rise > 0)


def _corner(
    before: Point, here: Point, after: Point, radius: float, straight: bool
) -> tuple[Point, Point, Point | None, bool]:
    """Where a rounded corner starts and ends, its centre, and whether it turns left."""
    if radius <= EDGE:
        return here, here, None, True
    if not straight:
        raise ShapeError("a corner beside a bent side cannot have a radius", "give that corner the radius 0")
    a, b = math.dist(before, here), math.dist(here, after)
    u = ((before[0] - here[0]) / a, (before[1] - here[1]) / a)
    v = ((after[0] - here[0]) / b, (after[1] - here[1]) / b)
    half = math.acos(max(-1.0, min(1.0, u[0] * v[0] + u[1] * v[1]))) / 2
    if half < 1e-6:
        raise ShapeError("the outline runs back on itself at a rounded corner", "give that corner the radius 0")
    if math.pi / 2 - half < 1e-9:
        return here, here, None, True
    reach, away = radius / math.tan(half), radius / math.sin(half)
    if reach > min(a, b) + EDGE:
        raise ShapeError(
            f"a corner radius of {radius:g} mm does not fit a side of {min(a, b):g} mm", "make the radius smaller"
        )
    middle = (u[0] + v[0], u[1] + v[1])
    size = math.hypot(*middle)
    start = (here[0] + u[0] * reach, here[1] + u[1] * reach)
    end = (here[0] + v[0] * reach, here[1] + v[1] * reach)
    centre = (here[0] + middle[0] / size * away, here[1] + middle[1] / size * away)
    return start, end, centre, u[0] * v[1] - u[1] * v[0] < 0
