"""From geometry to the text of coordinates, many at a time; shared by the PDF and SVG exporters.

Coordinates are written in millimetres on a grid of 10 nm, so nothing moves by more than 5 nm (50 nm within
0.1 µm of an axis), far below what any printer can set. `shapely` and `numpy` gather and round all points of a
page in a few calls; one formatting operation writes them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
import shapely

from decalgen.core.arrays import FloatArray
from decalgen.core.document import Contour, Document, Fill, Line, Page, Picture, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import SLIVER, Matrix, Outline, Region
from decalgen.core.values import dataclass

DECIMALS = 5
FARTHEST = 20_000.0
"""No point may lie farther from the page's corner, mm: a picture with such a point is a mistake."""

MOST_LEAN = 0.1
"""No printer leans by more, mm a mm."""

NUDGE = 0.0005
"""Half a micrometre: see `RingTable.five_sided`."""

PLACE = "%.8g"
"""Format of a settled number: no exponent, no trailing zeros, 10 nm up to 999 mm and 100 nm beyond."""


@dataclass(frozen=True)
class RingTable:
    """The rings of many fills, without their closing points; fill f has rings ``first[f]:first[f + 1]``."""

    points: FloatArray
    sizes: tuple[int, ...]
    first: tuple[int, ...]
    start: tuple[int, ...]
    """Fill f has the points ``start[f]:start[f + 1]``."""

    def moved(self, matrix: Matrix) -> RingTable:
        """The rings under a matrix."""
        a, b, c, d, e, f = matrix
        x, y = self.points[:, 0], self.points[:, 1]
        return replace(self, points=settle(np.column_stack((a * x + c * y + e, b * x + d * y + f))))

    def five_sided(self) -> RingTable:
        """The same areas, but a lone ring of four points gets a fifth by the middle of its last side, `NUDGE`
        off.

        pdfium widens an upright rectangle to whole dots and leaves every other outline true (it sees one
        where the points agree within 0.0001 units); so a picture of dots shows a check bar at its length.
        """
        sizes, first, start = (np.asarray(values, dtype=np.int64) for values in (self.sizes, self.first, self.start))
        lone = np.flatnonzero(np.diff(first) == 1)
        lone = lone[sizes[first[lone]] == 4]
        middle = settle((self.points[start[lone]] + self.points[start[lone] + 3]) / 2 + NUDGE)
        sizes[first[lone]] += 1
        more = np.zeros(len(start), dtype=np.int64)
        more[lone + 1] = 1
        return RingTable(
            np.insert(self.points, start[lone] + 4, middle, axis=0),
            tuple(sizes.tolist()),
            self.first,
            tuple((start + np.cumsum(more)).tolist()),
        )


def settle(values: Any) -> FloatArray:
    """Rounded so that `PLACE` writes no exponent and no minus nought; any shape.

    Raises DecalgenError for a number that is not finite or farther away than `FARTHEST`.
    """
    array = np.asarray(values, dtype=np.float64)
    if array.size and not bool(np.all(np.abs(array) <= FARTHEST)):
        raise _too_far()
    rounded = np.round(array, DECIMALS)
    # "%.8g" would write 0.00002 as 2e-05, which neither PDF nor every SVG reader knows.
    tiny = np.abs(rounded) < 1e-4
    rounded[tiny] = np.round(rounded[tiny], 4)
    return np.asarray(rounded + 0.0)


def check_near(values: Iterable[float]) -> None:
    """Raises DecalgenError as `settle` does; for a few numbers, as of a matrix, in a tenth of its time."""
    if not all(abs(value) <= FARTHEST for value in values):
        raise _too_far()


def _too_far() -> DecalgenError:
    return DecalgenError(
        "the picture has a point that is not a number or lies more than 20 m away",
        fix="look for a size or an offset that is far too large, or a division by almost nothing",
    )


def number(value: float, decimals: int = DECIMALS) -> str:
    """One number with its trailing zeros trimmed. Raises DecalgenError if it is not finite."""
    if not math.isfinite(value):
        raise DecalgenError("the picture has a size that is not a number", fix="look for a division by nothing")
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def numbers(values: Iterable[float], decimals: int = DECIMALS) -> str:
    """Numbers with a space between them."""
    return " ".join(number(value, decimals) for value in values)


def rings(regions: Sequence[Region]) -> RingTable:
    """All rings of all regions. Parts without area are dropped: filled, they would print as a hairline."""
    if not regions:
        return RingTable(np.empty((0, 2)), (), (0,), (0,))
    settle(shapely.get_coordinates(regions))
    parts = np.array(regions, dtype=object)
    owner = np.arange(len(parts))
    if not (shapely.get_type_id(parts) == 3).all():
        parts, owner = shapely.get_parts(parts, return_index=True)
    keep = (shapely.get_type_id(parts) == 3) & (shapely.area(parts) > SLIVER)
    parts, owner = parts[keep], owner[keep]
    if not len(parts):
        nothing = (0,) * (len(regions) + 1)
        return RingTable(np.empty((0, 2)), (), nothing, nothing)
    _, points, (ring_offsets, part_offsets) = shapely.to_ragged_array(parts, include_z=False)
    points = np.delete(settle(points), ring_offsets[1:] - 1, axis=0)
    sizes = np.diff(ring_offsets) - 1
    # Parts stand in the order of their fills, so the first part of each fill is found by counting.
    ends = np.concatenate(([0], np.cumsum(np.bincount(owner, minlength=len(regions)))))
    first = part_offsets[ends]
    start = np.concatenate(([0], np.cumsum(sizes)))[first]
    return RingTable(points, tuple(sizes.tolist()), tuple(first.tolist()), tuple(start.tolist()))


@lru_cache(maxsize=4096)
def ring_template(size: int, move: str, line: str, close: str) -> str:
    """The text of a ring of ``size`` points with `PLACE` for every number."""
    return move + line * (size - 1) + close


def checked_points(item: Line | Contour) -> FloatArray:
    """The settled points of a thin line, and its width and dashes checked."""
    check_width(item)
    if isinstance(item, Contour):
        return settle(flattened(item.outline))
    return settle(item.points).reshape(-1, 2)


def check_width(item: Line | Contour) -> None:
    """Raises DecalgenError for a width or dash that nothing can be drawn with."""
    lengths = (item.width, *item.dash)
    if not all(math.isfinite(length) and 0 < length <= FARTHEST for length in lengths):
        raise DecalgenError(
            f"a line has the width or dash {', '.join(str(length) for length in lengths)} mm",
            fix="give every line a width, and every dash and gap a length, greater than nothing",
        )


def flattened(outline: Outline) -> list[tuple[float, float]]:
    """The points of an outline, arcs flattened, without the closing point."""
    points: list[tuple[float, float]] = []
    for segment in outline.segments:
        points.extend(segment.points()[:-1])
    return points


def correction(document: Document, page: Page) -> Matrix:
    """What the printer's profile does to a page, last of all: the page's own correction, or the document's."""
    x, y, lean = page.correction or (*document.scale, document.lean)
    return about_centre(page.width, page.height, (x, y), lean)


def about_centre(width: float, height: float, scale: tuple[float, float], lean: float = 0.0) -> Matrix:
    """A printer's correction: scaled and leaned about the centre of a page of ``width`` × ``height`` mm. ``lean``:
    how far x moves a millimetre of height.

    Raises DecalgenError for a page without size and for a correction no printer needs.
    """
    # 5080 mm are 14 400 points, the largest page a PDF may have (ISO 32000-1, annex C).
    if not (math.isfinite(width) and math.isfinite(height) and 0 < width <= 5080 and 0 < height <= 5080):
        raise DecalgenError(
            f"a page cannot be {width} × {height} mm",
            fix="give it a width and height greater than nothing, at most 5080 mm",
        )
    x, y = scale
    if not (0.5 <= x <= 2.0 and 0.5 <= y <= 2.0):
        raise DecalgenError(
            f"a printer cannot need a correction of {x} × {y}",
            fix="measure the target again and calibrate again",
        )
    if not -MOST_LEAN <= lean <= MOST_LEAN:
        raise DecalgenError(
            f"a printer cannot need a correction of its lean by {lean}",
            fix="measure the diagonals of the target again and calibrate again",
        )
    return (x, 0.0, lean, y, width / 2 * (1 - x) - lean * height / 2, height / 2 * (1 - y))


def check_pages(document: Document) -> None:
    """Raises DecalgenError for a document without pages."""
    if not document.pages:
        raise DecalgenError("there is no page to write", fix="put at least one decal on the sheet")


def check_colour(colour: str) -> tuple[int, int, int]:
    """Red, green and blue from 0 to 255. Raises DecalgenError for anything but '#rrggbb'."""
    try:
        if len(colour) != 7 or colour[0] != "#" or not colour[1:].isalnum():
            raise ValueError
        value = int(colour[1:], 16)
    except ValueError:
        raise DecalgenError(f"'{colour}' is not a colour", fix="write it as #rrggbb, for example #e8641b") from None
    return (value >> 16, value >> 8 & 255, value & 255)


def check_opacity(opacity: float) -> float:
    """The opacity. Raises DecalgenError if it is not from 0 to 1."""
    if not 0 <= opacity <= 1:
        raise DecalgenError(f"an opacity cannot be {opacity}", fix="give a number from 0 to 1")
    return opacity


def bounds(items: Sequence[Fill | Line | Contour | Picture]) -> tuple[float, float, float, float] | None:
    """The box around the items with room for line ends and corners, mm; None if they are empty."""
    boxes: list[tuple[float, float, float, float]] = []
    for item in items:
        if isinstance(item, Fill | Picture):
            points, room = shapely.get_coordinates(item.region), 0.0
        else:
            # A mitred corner reaches out up to ten half widths (the mitre limit both formats start with or
            # stay below).
            points, room = checked_points(item), 5 * item.width
        if len(points):
            (x0, y0), (x1, y1) = settle(points.min(axis=0)), settle(points.max(axis=0))
            boxes.append((float(x0) - room, float(y0) - room, float(x1) + room, float(y1) + room))
    if not boxes:
        return None
    x0s, y0s, x1s, y1s = zip(*boxes, strict=True)
    return (min(x0s), min(y0s), max(x1s), max(y1s))


class Symbols:
    """The symbols of a document in the order of their first use; a key stands for one drawing only."""

    def __init__(self) -> None:
        self.items: dict[str, tuple[Fill | Line | Contour | Picture, ...]] = {}

    def add(self, use: Use) -> bool:
        """Whether the symbol is new. Raises DecalgenError if its key already stands for another drawing."""
        key, items = use.symbol.key, use.symbol.items
        known = self.items.get(key)
        if known is None:
            if not key or not all(c.isascii() and (c.isalnum() or c == "-") for c in key):
                raise DecalgenError(f"a symbol cannot have the key '{key}'", fix="use ASCII letters, digits and '-'")
            self.items[key] = items
            return True
        if known is not items and known != items:
            raise DecalgenError(f"two different drawings have the symbol key '{key}'", fix="give each its own key")
        return False
