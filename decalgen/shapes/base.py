"""What a shape is, and how shapes are put into a box.

A shape is a frozen dataclass whose fields carry marks (`decalgen.core.keys`) and which has

``extent(box)``
    the width and height it takes inside ``box``, mm (a field without a width takes the box's);
``draw(size, run_on)``
    its inked areas inside ``0 … size.width × 0 … size.height``, in painting order.

**run_on** is how far, in mm, whatever meets a side of the extent must run on beyond it: a stripe along itself, an
edge check cell outward (no new row of cells starts), a fill straight out. Inside the extent nothing may change:
``draw(size, run_on)`` clipped to the extent equals ``draw(size, 0)``. What runs on is cut away again
wherever the extent does not lie on the decal's edge, so a shape need not know where it is.

What is wrong with the parameters alone is raised as `ShapeError` when the shape is made, so that the job reader can
say where; what depends on the size, by ``extent`` and ``draw``.

**The other hand.** Areas are mirrored by whoever places them (`decalgen.shapes.placing`); a shape that ``reads`` is
not mirrored, only placed at the mirrored spot, points of its box one by one (see `InPlace`). A shape that holds others
sees to it itself (see `Holds`).
**The cut line.** A shape that follows it has ``follow()`` (see `Follows`).
**The panel.** A shape along the panel's ``edge`` is drawn by whoever knows the panel (see `edged`).
"""

from __future__ import annotations

from dataclasses import field, replace
from typing import TYPE_CHECKING, ClassVar, Literal, NamedTuple, Protocol, TypeGuard, runtime_checkable

from shapely.geometry import Polygon

from decalgen.core.errors import DecalgenError, Place
from decalgen.core.geometry import Matrix, Region, multiply, transform
from decalgen.core.values import dataclass

if TYPE_CHECKING:
    from decalgen.core.pixels.values import Pixels

Anchor = Literal["centre", "left", "right", "top", "bottom", "top left", "top right", "bottom left", "bottom right"]

ANCHORS: dict[str, tuple[float, float]] = {
    "centre": (0.5, 0.5),
    "left": (0.0, 0.5),
    "right": (1.0, 0.5),
    "top": (0.5, 1.0),
    "bottom": (0.5, 0.0),
    "top left": (0.0, 1.0),
    "top right": (1.0, 1.0),
    "bottom left": (0.0, 0.0),
    "bottom right": (1.0, 0.0),
}


class ShapeError(DecalgenError):
    """A shape whose parameters cannot be drawn: what is wrong, and what to do about it."""

    exit_code = 2

    def __init__(self, message: str, fix: str = "", *, place: Place | None = None) -> None:
        super().__init__(message, fix=fix, place=place)


class Box(NamedTuple):
    """Width and height, mm, of the space something is drawn in; its lower left corner is the origin."""

    width: float
    height: float


@dataclass(frozen=True, slots=True)
class At:
    """Where an extent lies in its box: the same anchor point of both coincide, then it is moved by the offset, mm."""

    anchor: Anchor = "centre"
    dx: float = 0.0
    dy: float = 0.0

    def corner(self, extent: Box, box: Box) -> tuple[float, float]:
        """The lower left corner of the extent in the box, mm."""
        fx, fy = ANCHORS[self.anchor]
        return (fx * (box.width - extent.width) + self.dx, fy * (box.height - extent.height) + self.dy)

    def mirrored(self) -> At:
        """The same place in the other hand."""
        swap = {"left": "right", "right": "left"}
        words = [swap.get(word, word) for word in self.anchor.split()]
        return At(" ".join(words), -self.dx, self.dy)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class InkedPicture:
    """A picture of pixels that an area shows; ``matrix`` leads from the unit square to where the area lies, mm."""

    name: str
    """The file that it comes from."""
    pixels: Pixels
    matrix: Matrix
    cut_out: bool = False
    """Whether the area ends where the picture's own alpha does."""


@dataclass(frozen=True, slots=True)
class Inked:
    """An area of one ink. ``lettering`` marks what must stay readable (checked for merging with its ground).
    ``picture``: what it shows instead of an even ink; ``ink`` then names the picture.

    ``words``: what the lettering says that it belongs to, reversed lettering's ground too; ``place``: where that stands
    in the job file."""

    ink: str
    region: Region
    lettering: bool = False
    words: str = field(default="", compare=False)
    place: Place | None = field(default=None, compare=False)
    picture: InkedPicture | None = None


def moved(area: Inked, by: Matrix) -> Inked:
    """An area elsewhere, with what it shows."""
    shown = area.picture
    if shown is not None:
        shown = replace(shown, matrix=multiply(by, shown.matrix))
    return replace(area, region=transform(area.region, by), picture=shown)


@runtime_checkable
class Shape(Protocol):
    """The protocol every shape follows; see the module's text."""

    name: ClassVar[str]
    about: ClassVar[str]
    reads: ClassVar[bool]
    """True for what must never be mirrored in the other hand: lettering and numerals."""
    example: ClassVar[dict[str, object]]
    """Parameters for its picture in the documentation, by field name, in ``example_box``."""
    example_box: ClassVar[Box]
    # A shape of which some keys stand for one another has ``needs`` too: combinations of keys, one of which is given.

    def extent(self, box: Box) -> Box:
        """The size it takes in ``box``, mm."""
        ...

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """Its areas inside ``size`` (its own extent), running on by ``run_on`` mm where it meets a side."""
        ...


Sides = tuple[bool, bool, bool, bool]
"""Which sides of an extent lie on the decal's edge: left, bottom, right, top."""


class Holds(Protocol):
    """A shape that holds others: it knows its own other hand, and passes on which of its sides lie on the edge."""

    def mirrored(self) -> Shape:
        """The shape for the other hand, of the same extent, all lettering in it still readable."""
        ...

    def draw_on(self, size: Box, run_on: float, sides: Sides) -> tuple[Inked, ...]:
        """As ``draw``, running on over these sides only."""
        ...


class InPlace(Protocol):
    """A shape that reads, and runs through points of its box: it is not mirrored, but its points are."""

    def other_hand(self, box: Box) -> Shape:
        """The shape for the other hand, still to be read from left to right."""
        ...


class Follows(Protocol):
    """A shape that follows the decal's cut line instead of a rectangle."""

    def follow(self, cut: Polygon, run_on: float = 0.0) -> tuple[Inked, ...]:
        """Its areas along ``cut`` (mm, in the decal's own coordinates, of the hand that is printed)."""
        ...


def holds(shape: object) -> TypeGuard[Holds]:
    """Whether a shape holds others. (To ask a protocol looks all its members up each time.)"""
    return hasattr(shape, "draw_on")


def in_place(shape: object) -> TypeGuard[InPlace]:
    """Whether a shape that reads has points of its box."""
    return hasattr(shape, "other_hand")


def follows(shape: object) -> TypeGuard[Follows]:
    """Whether a shape follows the cut line."""
    return hasattr(shape, "follow")


def edged(shape: object) -> bool:
    """Whether a shape runs along the edge of its panel."""
    return bool(getattr(shape, "edge", ()))


@dataclass(frozen=True)
class Element:
    """A shape at its place in a box. ``never_mirror`` is not mirrored on the right side."""

    shape: Shape
    at: At = At()
    never_mirror: bool = False
    place: Place | None = field(default=None, compare=False)
    """Where the file says so; a line more above it changes nothing."""
