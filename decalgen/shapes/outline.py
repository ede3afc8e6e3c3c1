"""A free outline: measured points, rounded corners, bent sides, holes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, ClassVar

import shapely
from shapely.geometry import Polygon

from decalgen.core import keys
from decalgen.core.geometry import Outline as Ring
from decalgen.core.geometry import Point, region, transform, translation
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.pieces import grown, run_out
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
    from decalgen.core.rings import RingError, each_of

    try:
        return each_of(one.rises, len(one.points), "rises", "side")
    except RingError as error:
        raise ShapeError(error.message, error.fix) from None


def ring(
    points: Sequence[Point],
    radii: Sequence[float] = (),
    rises: Sequence[float] = (),
    curved: CurvedSides | None = None,
) -> Ring:
    """A closed outline, anticlockwise, with its arcs (see `closed_ring`). Raises `ShapeError`."""
    from decalgen.core.rings import RingError, closed_ring

    try:
        return closed_ring(points, radii, rises, curved)
    except RingError as error:
        raise ShapeError(error.message, error.fix) from None
