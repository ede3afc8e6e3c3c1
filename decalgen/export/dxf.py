"""Cutting files as DXF: outlines in millimetres on named layers, arcs kept as arcs.

The release is that of the year 2000 (AC1015): the earliest that states its unit ($INSUNITS) and has light
polylines, and so the one most cutting programs read. Only what is cut or lined up with is written: layers of
the purposes cutting, bleed and marks. `ezdxf` is optional, since most people cut by hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from io import StringIO
from threading import Lock
from typing import Any

from decalgen.core.document import Contour, Document, Fill, Item, Line, Page, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import Matrix, Outline, Segment, apply, multiply
from decalgen.export.arcs import bulge, half_turns
from decalgen.export.coordinates import Symbols, check_near, check_pages, checked_points, correction, rings

LAYERS = {"cutting": "CUTTING", "bleed": "BLEED", "marks": "REGISTRATION"}
"""Layer in the file by purpose."""

COLOURS = {"CUTTING": 1, "BLEED": 3, "REGISTRATION": 5}
"""Red, green and blue in the index of colours every such file shares."""

MILLIMETRES = 4
"""The value of $INSUNITS (DXF reference, header section)."""

Vertex = tuple[float, float, float]
"""x, y, and how far the side to the next vertex bends."""

_settings = Lock()


def render(document: Document) -> list[bytes]:
    """One DXF file a page. Raises DecalgenError if `ezdxf` is missing, if a page has nothing to cut, and for
    what cannot be drawn (see `export`)."""
    check_pages(document)
    return [_file(document, page) for page in document.pages]


def _file(document: Document, page: Page) -> bytes:
    matrix = correction(document, page)
    symbols = Symbols()
    found = [
        (LAYERS[layer.purpose], closed, vertices)
        for layer in page.layers
        if layer.purpose in LAYERS
        for item in layer.items
        for closed, vertices in polylines(item, matrix, symbols)
    ]
    if not found:
        raise DecalgenError(
            "there is nothing to cut on this page", fix="write a cutting file from a sheet that has cut lines"
        )
    ezdxf = _library()
    with _settings:
        before = ezdxf.options.write_fixed_meta_data_for_testing
        # Without this, clock and random identifiers get into the file.
        ezdxf.options.write_fixed_meta_data_for_testing = True
        try:
            return _write(ezdxf, page, found)
        finally:
            ezdxf.options.write_fixed_meta_data_for_testing = before


def _library() -> Any:
    try:
        import ezdxf
    except ImportError:
        raise DecalgenError(
            "DXF files need the package ezdxf, which is not installed",
            fix="install it (pip install ezdxf), or write an SVG file, which most cutting programs read too",
        ) from None
    return ezdxf


def _write(ezdxf: Any, page: Page, found: list[tuple[str, bool, list[Vertex]]]) -> bytes:
    drawing = ezdxf.new("R2000", setup=False, units=MILLIMETRES)
    drawing.header["$MEASUREMENT"] = 1
    for name in sorted({name for name, _, _ in found}):
        drawing.layers.add(name, color=COLOURS[name])
    space = drawing.modelspace()
    corners = ((0.0, 0.0, 0.0), (page.width, page.height, 0.0))
    space.reset_extents(*corners)
    # The library leaves the header alone where a corner is the origin.
    drawing.header["$EXTMIN"], drawing.header["$EXTMAX"] = corners
    for name, closed, vertices in found:
        space.add_lwpolyline(vertices, format="xyb", close=closed, dxfattribs={"layer": name})
    text = StringIO()
    drawing.write(text)
    # The file reads the same on every system: DXF lines may end either way.
    data: bytes = drawing.encode(text.getvalue().replace("\r\n", "\n"))
    return data


def polylines(item: Item, matrix: Matrix, symbols: Any) -> Iterator[tuple[bool, list[Vertex]]]:
    """What an item is to a cutter: outlines under a matrix, each closed or not. Widths and dashes are for the
    eye.
    """
    if isinstance(item, Use):
        symbols.add(item)
        check_near(item.matrix)
        for inner in item.symbol.items:
            yield from polylines(inner, multiply(matrix, item.matrix), symbols)
    elif isinstance(item, Contour):
        points = checked_points(item)
        yield True, _bent(item.outline, matrix) if keeps_circles(matrix) else _plain(points.tolist(), matrix)
    elif isinstance(item, Line):
        points = checked_points(item)
        if len(points) > 1:
            yield item.closed, _plain(points.tolist(), matrix)
    elif isinstance(item, Fill):
        found = rings([item.region])
        start = 0
        for size in found.sizes:
            yield True, _plain(found.points[start : start + size].tolist(), matrix)
            start += size


def keeps_circles(matrix: Matrix) -> bool:
    """Whether circles stay circles under it; only then can an arc stay an arc."""
    a, b, c, d, _, _ = matrix
    size = math.hypot(a, b)
    return abs(a * c + b * d) <= 1e-9 * size * size and abs(math.hypot(c, d) - size) <= 1e-9 * size


def _plain(points: list[list[float]], matrix: Matrix) -> list[Vertex]:
    return [(*apply(matrix, (x, y)), 0.0) for x, y in points]


def _bent(outline: Outline, matrix: Matrix) -> list[Vertex]:
    flips = -1.0 if matrix[0] * matrix[3] - matrix[1] * matrix[2] < 0 else 1.0
    parts: list[Segment] = []
    for segment in outline.segments:
        parts.extend((segment,) if segment.centre is None else half_turns(segment))
    return [(*apply(matrix, part.start), flips * bulge(part)) for part in parts]
