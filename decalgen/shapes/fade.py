"""A fade from an ink to another, or to bare film, in lines that taper or dots that grow."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, ClassVar

import shapely
from shapely.geometry.base import BaseGeometry

from decalgen.core import keys
from decalgen.core.geometry import Point, Region, rotation
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.outline import CURVES, POINTS, RADII, RISES, DrawnOutline
from decalgen.shapes.pieces import grown, run_out
from decalgen.shapes.registry import shape

if TYPE_CHECKING:
    from decalgen.shapes.fade_marks import MarkNet, ToneCourse

MARKS = ("lines", "dots")
OUTLINE_RADII, OUTLINE_RISES, OUTLINE_CURVES = (replace(key, beside=("points",)) for key in (RADII, RISES, CURVES))


@shape
@dataclass(frozen=True)
class Fade:
    """A fade from an ink to another, or to bare film, in lines that taper or dots that grow.

    It covers a rectangle, or an outline given by its points. The tones, in per cent of the area that is inked, lie at
    even distances along its direction, and change evenly from one to the next. Lines run along the fade, and so taper,
    unless an angle is given. Dots lie on a square net, and turn into holes at about a half. No mark is thinner than
    the smallest line and no gap narrower than the smallest gap: at lower tones it is bare, at higher ones solid.

    Raises `ShapeError` for a pitch at which no line and gap go beside each other, and for marks that are too many.
    """

    name: ClassVar[str] = "fade"
    about: ClassVar[str] = "a fade from an ink to another or to bare film, in lines or dots"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {"ink": "harbour teal", "tones": (100.0, 0.0)}
    example_box: ClassVar[Box] = Box(24.0, 10.0)

    ink: Annotated[str, keys.InkName("the ink that fades")]
    ground: Annotated[
        str | None, keys.InkName("the ink it fades into, which lies under all of it; if left out, bare film")
    ] = None
    tones: Annotated[
        tuple[float, ...],
        keys.Many(
            "how many per cent of the area are inked, at even distances from its start to its end",
            of=keys.Number(least=0.0, most=100.0),
            least=2,
            most=100,
            example=("100", "40", "0"),
        ),
    ] = (100.0, 0.0)
    direction: Annotated[
        float, keys.Angle("where it goes from its first tone to its last: 0 to the right, 90 up", example="90°")
    ] = 0.0
    marks: Annotated[str, keys.Choice("what it is made of", MARKS, example="dots")] = "lines"
    angle: Annotated[
        float | None,
        keys.Angle("of the lines or rows of dots; if left out, lines run along it, rows of dots at 45° to it"),
    ] = None
    pitch: Annotated[float, keys.Size("from the middle of a line, or a dot, to the next")] = 1.0
    smallest_line: Annotated[
        float, keys.Size("no line or dot is thinner; what a printer of 600 dpi holds", example="0.1 mm")
    ] = 0.15
    smallest_gap: Annotated[
        float, keys.Size("no gap or hole is narrower; what a printer of 600 dpi holds", example="0.15 mm")
    ] = 0.2
    width: Annotated[float | None, keys.Size("width; if left out, the whole width of the box", example="20 mm")] = None
    height: Annotated[float | None, keys.Size("height; if left out, the whole height of the box", example="6 mm")] = (
        None
    )
    points: Annotated[tuple[Point, ...], POINTS] = ()
    radii: Annotated[tuple[float, ...], OUTLINE_RADII] = ()
    rises: Annotated[tuple[float, ...], OUTLINE_RISES] = ()
    curves: Annotated[tuple[int, ...], OUTLINE_CURVES] = ()
    in_place: Annotated[
        bool, keys.Flag("its points are measured from the lower left corner of the box", beside=("points",))
    ] = False

    def __post_init__(self) -> None:
        least = self.screen.least_pitch
        if self.pitch < least - 1e-9:
            raise ShapeError(
                f"{self.marks} at a pitch of {self.pitch:g} mm leave no room for a line of {self.smallest_line:g} mm "
                f"and a gap of {self.smallest_gap:g} mm",
                f"use a pitch of at least {math.ceil(100 * least - 1e-9) / 100:.2f} mm, or the `smallest line` and "
                "`smallest gap` of a finer printer",
            )
        if self.points and (self.width or self.height):
            raise ShapeError("the size of this fade is given twice", "remove `width` and `height`, or the `points`")
        if not self.points and (self.radii or self.rises or self.curves or self.in_place):
            raise ShapeError("this fade has no `points`", "give the `points` of its outline, or `width` and `height`")
        self._outline()

    @property
    def screen(self) -> MarkNet:
        """How its marks lie."""
        from decalgen.shapes.fade_marks import MarkNet

        return MarkNet(self.marks == "dots", self.pitch, self.smallest_line, self.smallest_gap)

    def extent(self, box: Box) -> Box:
        """Its own size, that of its outline, or the box's."""
        outline = self._outline()
        return outline.extent(box) if outline else Box(self.width or box.width, self.height or box.height)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """The ground, then the marks; both run on over the sides, with the tones that the course ends on."""
        from decalgen.shapes.fade_marks import changed, marks, tidied

        run_on = max(0.0, run_on)
        core, area = self._area(size, 0.0), self._area(size, run_on)
        if core.is_empty:
            return ()
        angle = self.angle if self.angle is not None else self.direction + (45.0 if self.marks == "dots" else 0.0)
        drawn = marks(self.screen, self._course(core), angle, area, core)
        away, more = tidied(drawn, core, self.smallest_line, ground=self.ground is not None)
        drawn = changed(drawn, run_out(away, size, run_on), run_out(more, size, run_on))
        ground = () if self.ground is None else (Inked(self.ground, area),)
        return (*ground, *(() if drawn.is_empty else (Inked(self.ink, drawn),)))

    def _course(self, core: BaseGeometry) -> ToneCourse:
        """Its tones over just what its area takes along its direction."""
        from decalgen.shapes.fade_marks import ToneCourse

        x0, y0, x1, y1 = core.bounds
        cosine, sine, *_ = rotation(self.direction)
        points = shapely.get_coordinates(core) - ((x0 + x1) / 2, (y0 + y1) / 2)
        along = points @ (cosine, sine)
        tones = tuple(tone / 100 for tone in self.tones)
        return ToneCourse(tones, self.direction, float(along.min()), float(along.max() - along.min()))

    def _outline(self) -> DrawnOutline | None:
        if not self.points:
            return None
        return DrawnOutline(self.ink, self.points, self.radii, self.rises, self.curves, in_place=self.in_place)

    def _area(self, size: Box, run_on: float) -> Region:
        outline = self._outline()
        return outline.draw(size, run_on)[0].region if outline else grown(size, run_on)
