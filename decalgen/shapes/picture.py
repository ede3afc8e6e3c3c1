"""An own picture: a scanned emblem or a photograph, as pixels at a stated size."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Annotated, ClassVar, NamedTuple

import shapely
from shapely.geometry import MultiPolygon

from decalgen.core import keys
from decalgen.core.geometry import TOLERANCE, arc_steps, rectangle, region, transform
from decalgen.core.lengths.units import INCH_MM
from decalgen.core.pixels.example import example_png
from decalgen.core.pixels.values import PictureData, Pixels, PixelsError
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, InkedPicture, Shape, ShapeError
from decalgen.shapes.picture_outline import PictureCurve, PictureOutline, seen_by
from decalgen.shapes.pieces import check_points, run_out
from decalgen.shapes.registry import shape

SAME_SHAPE = 0.002
"""A width and a height that differ from the picture's shape by more stretch it."""
MOST_PPI = 1200.0
"""A picture finer than this is thinned for the files to `FILE_PPI`: no printer shows more."""
FILE_PPI = 600.0
SPECK = 0.1
"""What its alpha leaves standing apart and smaller, mm², is a speck, and is not printed."""


class PictureUse(NamedTuple):
    """A picture at its size: pixels to the inch both ways, in the file and in what is printed, how far it is stretched
    (1: not at all), how many specks are left out, the share of its edge that is paper and is seen, and what was noticed
    in the file."""

    ppi: tuple[float, float]
    printed_ppi: tuple[float, float]
    stretched: float
    specks: int
    paper: float
    notes: tuple[str, ...]


@shape
@dataclass(frozen=True)
class OwnPicture:
    """A picture of your own that is no flat artwork: a scanned emblem, a faded photograph.

    It is printed as pixels, not as outlines, at the width or the height that is given here. `outline`, or a line of
    your own on it, says what of it is seen, and so where a cut line along the artwork runs. A picture reads like
    lettering: it is not mirrored in the other hand, unless `handed` says so.

    Raises `ShapeError` for a file that is no picture, is damaged or too large, for one that shows nothing, and for a
    line that leaves the picture.
    """

    name: ClassVar[str] = "picture"
    about: ClassVar[str] = "a picture of your own, from a PNG, JPEG or TIFF file"
    reads: ClassVar[bool] = True
    example: ClassVar[dict[str, object]] = {"file": PictureData("emblem.png", example_png()), "height": 11.0}
    example_box: ClassVar[Box] = Box(14.0, 12.0)
    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"width"}), frozenset({"height"}))

    file: Annotated[PictureData, keys.PictureFile("its file, a picture in the job's folder", example="emblem.png")]
    width: Annotated[float | None, keys.Size("how wide it is; if left out, it follows from the height")] = None
    height: Annotated[float | None, keys.Size("how high it is; if left out, it follows from the width")] = None
    outline: Annotated[
        str | None,
        keys.Choice(
            "what of it is seen: what its alpha covers, a box or an ellipse; if left out, alpha where it has any",
            options=("alpha", "box", "ellipse"),
        ),
    ] = None
    cut_outline: Annotated[
        PictureOutline | None,
        keys.Block("what of it is seen, by corners and sides on it; if left out, as `outline` says", of=PictureOutline),
    ] = None
    cut_curve: Annotated[
        PictureCurve | None,
        keys.Block("what of it is seen, by a smooth curve on it; if left out, as `outline` says", of=PictureCurve),
    ] = None
    mirror: Annotated[bool, keys.Flag("swaps left and right in it")] = False
    handed: Annotated[bool, keys.Flag("it is mirrored in the other hand")] = False

    def __post_init__(self) -> None:
        given = [one for one in (self.outline, self.cut_outline, self.cut_curve) if one is not None]
        if len(given) > 1:
            raise ShapeError(
                f"what is seen of '{self.file.name}' is given twice",
                "keep one of `outline`, `cut outline` and `cut curve`",
            )
        _outline(self)

    @property
    def own_line(self) -> PictureOutline | PictureCurve | None:
        """The line on it that ends what is seen."""
        return self.cut_outline or self.cut_curve

    @property
    def by_alpha(self) -> bool:
        """Whether its alpha ends what is seen, where it has any."""
        return self.own_line is None and self.outline in (None, "alpha")

    def extent(self, box: Box) -> Box:
        """Its size, whatever the box."""
        return _size(self)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area with the picture in it; what meets a side runs straight out over it."""
        area, picture = _shown(self)
        return (Inked("picture", run_out(area, size, run_on), picture=picture),)

    def other_hand(self, box: Box) -> Shape:
        """As it is, or mirrored where it is to be."""
        return replace(self, mirror=not self.mirror) if self.handed else self


def use_of(picture: OwnPicture) -> PictureUse:
    """What a picture comes to at its size."""
    size, (wide, high) = _size(picture), _pixels(picture)
    from decalgen.core.pixels.paper import paper_share

    printed = _fitted(picture)
    _, specks = _outline(picture)
    return PictureUse(
        (_ppi(wide, size.width), _ppi(high, size.height)),
        (_ppi(printed.width, size.width), _ppi(printed.height, size.height)),
        (size.width / wide) / (size.height / high),
        specks,
        0.0 if picture.own_line or picture.outline == "ellipse" else paper_share(printed),
        _decoded(picture)[1],
    )


def _ppi(pixels: int, mm: float) -> float:
    return pixels * INCH_MM / mm


def _size(picture: OwnPicture) -> Box:
    """Its width and height, mm. Raises `ShapeError`."""
    wide, high = _pixels(picture)
    width, height = picture.width, picture.height
    if width is None and height is None:
        raise ShapeError(
            f"the picture '{picture.file.name}' has no size", "write its width or its height, such as width: 12 mm"
        )
    if width is None:
        assert height is not None
        width = height * wide / high
    return Box(width, height if height is not None else width * high / wide)


@lru_cache(maxsize=64)
def _header(file: PictureData) -> tuple[int, int]:
    from decalgen.core.pixels.decode import size_of

    return size_of(file)


def _pixels(picture: OwnPicture) -> tuple[int, int]:
    try:
        return _header(picture.file)
    except PixelsError as error:
        raise ShapeError(error.message, error.fix) from None


def _decoded(picture: OwnPicture) -> tuple[Pixels, tuple[str, ...]]:
    from decalgen.core.pixels.decode import decode

    try:
        found = decode(picture.file)
    except PixelsError as error:
        raise ShapeError(error.message, error.fix) from None
    return found.pixels, found.notes


@lru_cache(maxsize=16)
def _fitted(picture: OwnPicture) -> Pixels:
    """Its pixels, thinned where they are finer than any printer needs."""
    size, pixels = _size(picture), _decoded(picture)[0]
    sides = ((pixels.width, size.width), (pixels.height, size.height))
    fewer = [round(mm * FILE_PPI / INCH_MM) if _ppi(n, mm) > MOST_PPI else n for n, mm in sides]
    if fewer != [pixels.width, pixels.height] or picture.mirror:
        from PIL import Image

        from decalgen.core.pixels.decode import image_of, pixels_of

        image = image_of(pixels)
        if picture.mirror:
            image = image.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
        pixels = pixels_of(image.resize((max(1, fewer[0]), max(1, fewer[1])), Image.Resampling.LANCZOS))
    return pixels


@lru_cache(maxsize=64)
def _outline(picture: OwnPicture) -> tuple[MultiPolygon, int]:
    """The area that is seen, mm, and how many specks were left out of it. Raises `ShapeError`."""
    size, pixels = _size(picture), _fitted(picture)
    if picture.own_line:
        seen = seen_by(picture.own_line, picture.file.name, size)
        return (transform(seen, (-1.0, 0.0, 0.0, 1.0, size.width, 0.0)) if picture.mirror else seen), 0
    kind = picture.outline or ("box" if pixels.alpha is None else "alpha")
    if kind == "ellipse":
        steps = 4 * arc_steps(max(size) / 2, math.pi / 2, TOLERANCE / 4)
        turns = [2 * math.pi * n / steps for n in range(steps)]
        points = [(size.width / 2 * (1 + math.cos(t)), size.height / 2 * (1 + math.sin(t))) for t in turns]
        return region(shapely.Polygon(points)), 0
    if kind == "box":
        return region(rectangle(0.0, 0.0, size.width, size.height)), 0
    return _by_alpha(picture, size, pixels)


def _by_alpha(picture: OwnPicture, size: Box, pixels: Pixels) -> tuple[MultiPolygon, int]:
    from decalgen.core.pixels.arrays import alpha_of
    from decalgen.core.pixels.contour import half_contour

    name = picture.file.name
    if pixels.alpha is None:
        raise ShapeError(f"nothing shows through '{name}': it has no alpha", "write outline: box, or outline: ellipse")
    try:
        found = half_contour(alpha_of(pixels))
    except ValueError:
        fix = "write outline: box, or clean its alpha in your picture program"
        raise ShapeError(f"the alpha of '{name}' is too ragged to cut along", fix) from None
    scale = (size.width / pixels.width, 0.0, 0.0, size.height / pixels.height, 0.0, 0.0)
    parts = list(region(transform(found, scale)).geoms)
    kept = [part for part in parts if part.area >= SPECK]
    if not kept:
        raise ShapeError(f"nothing of the picture '{name}' is seen: its alpha covers nothing", "write outline: box")
    check_points(sum(shapely.get_num_coordinates(part) for part in kept))
    return MultiPolygon(kept), len(parts) - len(kept)


@lru_cache(maxsize=16)
def _shown(picture: OwnPicture) -> tuple[MultiPolygon, InkedPicture]:
    """The area that is seen and the picture in it. Raises `ShapeError`."""
    size, pixels = _size(picture), _fitted(picture)
    area, _ = _outline(picture)
    cut_out = pixels.alpha is not None and picture.by_alpha
    if cut_out:
        from decalgen.core.pixels.edges import run_on

        pixels = run_on(pixels, 0, True)
    return area, InkedPicture(picture.file.name, pixels, (size.width, 0.0, 0.0, size.height, 0.0, 0.0), cut_out)
