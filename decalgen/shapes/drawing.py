"""An own drawing: an SVG or DXF file as flat areas in the inks of the job."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, ClassVar, NamedTuple

import shapely
from shapely.geometry import MultiPolygon

from decalgen.core import keys
from decalgen.core.geometry import transform, translation
from decalgen.core.svg.text import DrawingText, SvgError, is_dxf
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.pieces import check_points, run_out
from decalgen.shapes.registry import shape

if TYPE_CHECKING:
    from decalgen.core.svg.draw import NotFlat, SvgDrawn
    from decalgen.core.svg.page import SvgPage
    from decalgen.core.svg.tree import SvgTree

SAME_SHAPE = 0.002
"""A width and a height that differ from the drawing's shape by more are a slip."""
TRIAL_MM = 100.0
"""How wide a drawing is drawn to see what of its page is taken."""
EXAMPLE = """<svg xmlns="http://www.w3.org/2000/svg" width="12mm" height="14mm" viewBox="0 0 12 14">
  <path fill="#127077" d="M0 0H12V7A6 6.5 0 0 1 6 14A6 6.5 0 0 1 0 7Z"/>
  <path fill="#eadfbd" d="M3 9A3 3 0 0 0 9 9H7.6A1.6 1.6 0 0 1 4.4 9Z"/>
  <path fill="none" stroke="#eadfbd" stroke-width="1.2" d="M6 3.4V11M3.6 5H8.4"/>
  <circle cx="6" cy="2.6" r="1.1" fill="none" stroke="#eadfbd" stroke-width=".7"/>
</svg>
"""


class InkMatch(NamedTuple):
    """A colour of a drawing, the ink it is printed in, and how far apart they look (CIEDE2000); ``told``: whether the
    job says so."""

    colour: str
    ink: str
    off: float
    told: bool = False


class _FlatDrawing(NamedTuple):
    size: Box
    areas: tuple[Inked, ...]
    left_out: tuple[NotFlat, ...]
    matches: tuple[InkMatch, ...]


@shape
@dataclass(frozen=True)
class OwnDrawing:
    """A drawing of your own, an SVG or DXF file beside the job, as flat areas.

    Each of its colours is printed in the ink that `inks` names for it, or else in the job's nearest ink. What lies on
    top takes out what is under it. It has its true size where its file says that in mm, cm, in, pt or pc, or the
    width or the height that is given here.

    Raises `ShapeError` for a file that is no drawing, one without a size, and one that is hostile or too large.
    """

    name: ClassVar[str] = "drawing"
    about: ClassVar[str] = "a drawing of your own, from an SVG or DXF file"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {
        "file": DrawingText("crest.svg", EXAMPLE, (("harbour teal", "#127077"), ("oat cream", "#eadfbd"))),
        "height": 11.0,
    }
    example_box: ClassVar[Box] = Box(14.0, 12.0)

    file: Annotated[
        DrawingText, keys.DrawingFile("its file, an SVG or DXF drawing in the job's folder", example="crest.svg")
    ]
    width: Annotated[float | None, keys.Size("how wide it is; if left out, it follows from the height or the file")] = (
        None
    )
    height: Annotated[float | None, keys.Size("how high it is; if left out, it follows from the width or the file")] = (
        None
    )
    cropped: Annotated[bool, keys.Flag("its size is that of what is drawn in it, not of its page")] = False
    inks: Annotated[
        tuple[tuple[str, str], ...],
        keys.InkTable(
            "the ink for each of its colours; if left out, the nearest ink of the job", example={"#127077": "black"}
        ),
    ] = ()

    def __post_init__(self) -> None:
        _flat(self)

    def extent(self, box: Box) -> Box:
        """Its size, whatever the box."""
        return _flat(self).size

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area an ink; what meets a side runs straight out over it."""
        return tuple(Inked(one.ink, run_out(one.region, size, run_on)) for one in _flat(self).areas)


def left_out_of(drawing: OwnDrawing) -> tuple[NotFlat, ...]:
    """What of a drawing is no flat ink, and is not printed."""
    return _flat(drawing).left_out


def matches_of(drawing: OwnDrawing) -> tuple[InkMatch, ...]:
    """Each colour of a drawing that is printed, with its ink."""
    return _flat(drawing).matches


@lru_cache(maxsize=64)
def _flat(drawing: OwnDrawing) -> _FlatDrawing:
    """The whole drawing in its inks. Raises `ShapeError`."""
    from decalgen.core.svg.page import page_of
    from decalgen.core.svg.tree import read_tree

    try:
        if is_dxf(drawing.file.name):
            return _inked(drawing, *_outlined(drawing))
        tree = read_tree(drawing.file.text)
        page = page_of(tree.root)
        _check_size(drawing, page)
        size, drawn, corner = _to_size(drawing, tree, page)
        return _inked(drawing, size, drawn, corner)
    except SvgError as error:
        where = f", line {error.line}" if error.line else ""
        raise ShapeError(f"'{drawing.file.name}'{where}: {error.message}", error.fix) from None


def _outlined(drawing: OwnDrawing) -> tuple[Box, SvgDrawn, tuple[float, float]]:
    """A DXF drawing at its size, which is that of what is drawn, with its lower left corner."""
    from decalgen.core.dxf.draw import draw_dxf
    from decalgen.core.dxf.entities import read_dxf

    read, inks = read_dxf(drawing.file.text), dict(drawing.file.inks)
    given = drawing.width is not None or drawing.height is not None
    if not given and read.unit_mm is None:
        x0, y0, x1, y1 = _bounds(draw_dxf(read, 1.0, inks), drawing)
        raise ShapeError(
            f"the drawing '{drawing.file.name}' does not say in which unit it is drawn",
            f"write its width or its height, such as width: 12 mm; in millimetres it would be {x1 - x0:.2f} "
            f"\N{MULTIPLICATION SIGN} {y1 - y0:.2f} mm",
        )
    scale = read.unit_mm or 1.0
    if given:
        x0, y0, x1, y1 = _bounds(draw_dxf(read, scale, inks), drawing)
        scale = _scale(drawing, (x1 - x0) / scale, (y1 - y0) / scale, scale)
    drawn = draw_dxf(read, scale, inks)
    x0, y0, x1, y1 = _bounds(drawn, drawing)
    return Box(x1 - x0, y1 - y0), drawn, (x0, y0)


def _check_size(drawing: OwnDrawing, page: SvgPage) -> None:
    name = drawing.file.name
    if drawing.width is None and drawing.height is None and not page.real:
        if not page.width:
            message = f"the drawing '{name}' says neither how large it is nor has a viewBox"
            raise ShapeError(message, "write its width or its height, such as width: 12 mm")
        width, height = page.size_mm
        raise ShapeError(
            f"the drawing '{name}' does not say how large it is on paper: it has {page.width:g} "
            f"\N{MULTIPLICATION SIGN} {page.height:g} px",
            f"write its width or its height, such as width: 12 mm; by 96 px to the inch it would be {width:.2f} "
            f"\N{MULTIPLICATION SIGN} {height:.2f} mm",
        )


def _to_size(drawing: OwnDrawing, tree: SvgTree, page: SvgPage) -> tuple[Box, SvgDrawn, tuple[float, float]]:
    """The drawing at its size, with the lower left corner of what counts of it."""
    from decalgen.core.svg.draw import draw_tree
    from decalgen.core.svg.numbers import PX_MM

    if page.width and not drawing.cropped:
        scale = _scale(drawing, page.width, page.height, PX_MM)
        return Box(page.width * scale, page.height * scale), draw_tree(tree, scale), (0.0, 0.0)
    trial = TRIAL_MM / page.width if page.width else PX_MM
    x0, y0, x1, y1 = _bounds(draw_tree(tree, trial), drawing)
    scale = _scale(drawing, (x1 - x0) / trial, (y1 - y0) / trial, PX_MM)
    drawn = draw_tree(tree, scale)
    x0, y0, x1, y1 = _bounds(drawn, drawing)
    return Box(x1 - x0, y1 - y0), drawn, (x0, y0)


def _bounds(drawn: SvgDrawn, drawing: OwnDrawing) -> tuple[float, float, float, float]:
    if not drawn.areas:
        raise _nothing(drawing, drawn)
    x0, y0, x1, y1 = (float(one) for one in shapely.total_bounds([one.area for one in drawn.areas]))
    return x0, y0, x1, y1


def _scale(drawing: OwnDrawing, width: float, height: float, true: float) -> float:
    """Millimetres to the pixel for a width and height in pixels."""
    by_width = drawing.width / width if drawing.width is not None else None
    by_height = drawing.height / height if drawing.height is not None else None
    if by_width is None or by_height is None:
        return by_width or by_height or true
    if abs(by_width / by_height - 1) > SAME_SHAPE:
        raise ShapeError(
            f"the drawing '{drawing.file.name}' would have to be stretched: at that width it is "
            f"{by_width * height:.2f} mm high",
            "write its width or its height; the other follows",
        )
    return by_width


def _nothing(drawing: OwnDrawing, drawn: SvgDrawn) -> ShapeError:
    left = "; ".join(f"{one.what}, {one.where[0]}" for one in drawn.left_out[:3])
    why = f": {left}" if left else ""
    return ShapeError(
        f"nothing of the drawing '{drawing.file.name}' can be printed as flat ink{why}",
        "draw it as paths and shapes in plain colours",
    )


def _inked(drawing: OwnDrawing, size: Box, drawn: SvgDrawn, corner: tuple[float, float]) -> _FlatDrawing:
    """The areas by ink, knocked out of each other, from the corner of what counts."""
    from decalgen.core.svg.layers import seen

    if not drawn.areas:
        raise _nothing(drawing, drawn)
    colours = dict.fromkeys(one.colour for one in drawn.areas)
    matches = {colour: _match(colour, drawing) for colour in colours}
    shift = translation(-corner[0], -corner[1])
    regions = seen([(matches[one.colour].ink, one.area) for one in drawn.areas])
    areas = []
    for ink, area in regions.items():
        moved = transform(area, shift)
        assert isinstance(moved, MultiPolygon)
        areas.append(Inked(ink, moved))
    check_points(sum(shapely.get_num_coordinates(one.region) for one in areas))
    return _FlatDrawing(size, tuple(areas), drawn.left_out, tuple(matches.values()))


def _match(colour: str, drawing: OwnDrawing) -> InkMatch:
    """The ink of a colour: the one the job names for it, or the nearest."""
    from decalgen.colour.difference import delta_e
    from decalgen.colour.value import Colour

    mine = Colour.from_hex(colour)
    inks = dict(drawing.file.inks)
    told = dict(drawing.inks).get(colour)
    if told is not None:
        return InkMatch(colour, told, delta_e(mine, Colour.from_hex(inks[told])) if told in inks else 0.0, True)
    if not inks:
        raise ShapeError(f"the job has no ink for '{drawing.file.name}'", "add inks under 'inks:'")
    off, name = min((delta_e(mine, Colour.from_hex(shade)), name) for name, shade in inks.items())
    return InkMatch(colour, name, off)
