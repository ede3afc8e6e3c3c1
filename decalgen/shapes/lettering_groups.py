"""The groups of keys of a lettering: what was measured, its arc or curve, and its outline, inline and shadow."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.geometry import Point
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.shapes.base import ShapeError
from decalgen.shapes.coursed import CurveArcs, CurveCorners, CurveDirections, CurveStraights, CurveWithin


@dataclass(frozen=True)
class Match:
    """What was read off an original; what is left out, or still to be taken, stays as the face has it."""

    cap_height: Annotated[Quantity | None, keys.Taken("height of a capital H", example="5.00 mm ± 0.05")]
    length: Annotated[Quantity | None, keys.Taken("from the first ink to the last", example="7.6 mm ± 0.1")] = None
    stem: Annotated[Quantity | None, keys.Taken("thickness of an upright stroke", example="0.95 mm ± 0.05")] = None
    crossbar: Annotated[Quantity | None, keys.Taken("thickness of a horizontal stroke", example="0.80 mm ± 0.05")] = (
        None
    )
    slant: Annotated[float | None, keys.Angle("lean to the right of the upright", -45.0, 45.0, example="12°")] = None
    letters: Annotated[
        tuple[tuple[float, float], ...] | None,
        keys.Many(
            "left edge and width of each letter, spaces left out",
            of=keys.Two(of=keys.Length()),
            example=(("0 mm", "3.6 mm"), ("4.2 mm", "3.4 mm")),
        ),
    ] = None
    faces: Annotated[
        tuple[str, ...] | None,
        keys.Many(
            "face of each letter, spaces left out, where they are not all of one; `decalgen fonts --traced` finds them",
            of=keys.FaceName(),
            example=("Archivo", "Saira"),
            beside=("letters",),
        ),
    ] = None

    def __post_init__(self) -> None:
        if self.faces and self.letters is None:
            raise ShapeError(
                "`faces` needs `letters`: letters of several faces have no spacing of their own",
                "add `letters`, or name one `face` for all of them",
            )


@dataclass(frozen=True)
class Arc:
    """The arc of a circle that the baseline runs along.

    By its radius, the extent is round its centre; by its rise, or in a box of `width` and `height`, it is that of the
    word.
    """

    radius: Annotated[float | None, keys.Size("radius of the baseline; `at` places its centre", example="8 mm")] = None
    side: Annotated[
        str, keys.Choice("side of the baseline the letters are on", ("outside", "inside"), beside=("radius",))
    ] = "outside"
    rise: Annotated[
        float | None,
        keys.Length(
            "how far the baseline rises from its ends to its middle, instead of a radius; `at` places the word",
            -200.0,
            200.0,
            example="1.5 mm",
        ),
    ] = None
    head_rise: Annotated[
        float | None,
        keys.Length(
            "how far the heads rise from their ends to their middle, 0 mm for level ones, with letters bent upright or "
            "as a fan; if left out, as the baseline, in a box of `width` and `height` as far as that is high",
            -200.0,
            200.0,
            example="2.5 mm",
            beside=("rise",),
        ),
    ] = None

    def __post_init__(self) -> None:
        if self.radius is not None and self.rise is not None:
            raise ShapeError("the arc has both a radius and a rise", "give only one of them")
        if self.head_rise is not None and self.rise is None:
            raise ShapeError("`head rise` goes with a `rise`", "add a rise, 0 mm for level feet")
        if self.rise is not None and self.rise < 0:
            side = "inside" if self.side == "outside" else "outside"
            raise ShapeError(
                f"a rise of {self.rise:g} mm is negative: `side` says which way the word is arched",
                f"write rise: {-self.rise:g} mm and side: {side}",
            )
        if self.rise == 0 and self.head_rise == 0:
            raise ShapeError("the arc does not rise", "give a rise over 0 mm, or remove `arc`")

    @property
    def way(self) -> float:
        """1 where its middle is the highest of it, -1 where it is the lowest."""
        return 1.0 if self.side == "outside" else -1.0


@dataclass(frozen=True)
class Along:
    """A smooth curve through measured points that the baseline runs along, written as the shape `curve` is.

    The text reads from the first point to the last. Points are measured from the lower left corner of the box.
    """

    points: Annotated[
        tuple[Point, ...],
        keys.Many(
            "the points it runs through in order of reading, each as x, y from the lower left corner of the decal",
            of=keys.Two("x, y", of=keys.Length()),
            least=2,
            most=500,
            example=(("0 mm", "0 mm"), ("9 mm", "1.5 mm"), ("18 mm", "0 mm")),
        ),
    ]
    corners: CurveCorners = ()
    directions: CurveDirections = ()
    straights: CurveStraights = ()
    arcs: CurveArcs = ()
    within: CurveWithin = None

    is_closed: ClassVar[bool] = False

    def mirrored(self, width: float) -> Along:
        """The same in the other hand, in a box of ``width`` mm: mirrored, and read from the other end."""
        n = len(self.points)
        return replace(
            self,
            points=tuple((width - x, y) for x, y in reversed(self.points)),
            directions=tuple((n + 1 - number, -degrees) for number, degrees in self.directions),
            corners=tuple(n + 1 - number for number in self.corners),
            straights=tuple(n - number for number in self.straights),
            arcs=tuple(n - 1 - number for number in self.arcs),
        )


@dataclass(frozen=True)
class Rim:
    """A band round the letters."""

    width: Annotated[float, keys.Size("width of the band", most=50.0, example="0.3 mm")]
    ink: Annotated[str, keys.InkName("its ink", example="white")]
    gap: Annotated[float, keys.Length("bare space between the letters and the band", 0.0, 50.0, example="0.3 mm")] = 0.0


@dataclass(frozen=True)
class Inline:
    """A band inside the letters."""

    width: Annotated[float, keys.Size("width of the band", most=50.0, example="0.4 mm")]
    inset: Annotated[float, keys.Size("from the edge of the letters to the band", most=50.0, example="0.3 mm")]
    ink: Annotated[str, keys.InkName("its ink", example="white")]


@dataclass(frozen=True)
class Shadow:
    """A shadow beside the letters."""

    dx: Annotated[float, keys.Length("how far to the right", -50.0, 50.0, example="0.3 mm")]
    dy: Annotated[float, keys.Length("how far up", -50.0, 50.0, example="-0.3 mm")]
    ink: Annotated[str, keys.InkName("its ink", example="white")]
    kind: Annotated[str, keys.Choice("solid: as of thick letters; cast: thrown on the ground", ("solid", "cast"))] = (
        "solid"
    )
