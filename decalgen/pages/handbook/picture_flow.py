"""A page of a `Document` drawn into the handbook's PDF, at a size of its own: areas, lines, symbols, nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from decalgen.core import style
from decalgen.core.document import Contour, Fill, Item, Line, Page, Picture, Symbol, Use
from decalgen.core.geometry import Region, polygons
from decalgen.core.lengths.units import POINT_MM
from decalgen.core.names import slug

PT = 1.0 / POINT_MM
"""Points in a millimetre."""

FAR = 3000.0
"""No symbol reaches farther from its origin, mm."""


def fitting_scale(page: Page, width_mm: float, height_mm: float) -> float:
    """How large a page is shown in a place: in its own size where it fits, never larger."""
    return min(1.0, width_mm / page.width, height_mm / page.height)


def draw_page(canvas: Any, page: Page, scale: float, key: str) -> None:
    """Draws a page with its lower left corner at the canvas's origin. ``key``: for the names of its symbols."""
    canvas.saveState()
    canvas.scale(scale * PT, scale * PT)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    if page.ground:
        canvas.setFillColor(page.ground)
        canvas.rect(0, 0, page.width, page.height, stroke=0, fill=1)
    for layer in page.layers:
        _draw(canvas, layer.items, key)
    canvas.restoreState()
    canvas.saveState()
    canvas.setStrokeColor(style.RULE)
    canvas.setLineWidth(style.LINE_RULE * PT)
    canvas.rect(0, 0, page.width * scale * PT, page.height * scale * PT, stroke=1, fill=0)
    canvas.restoreState()


def define_forms(canvas: Any, page: Page, key: str) -> None:
    """Puts each symbol of a page into the file once, before it is drawn. A form of the same name is kept."""
    for symbol in symbols([page]).values():
        if not canvas.hasForm(name := form_name(key, symbol)):
            canvas.beginForm(name, -FAR, -FAR, FAR, FAR)
            canvas.setLineCap(1)
            canvas.setLineJoin(1)
            for item in symbol.items:
                draw_item(canvas, item)
            canvas.endForm()


def symbols(pages: Sequence[Page]) -> dict[str, Symbol]:
    """Every symbol of some pages by its key."""
    found: dict[str, Symbol] = {}
    for page in pages:
        for layer in page.layers:
            found |= {item.symbol.key: item.symbol for item in layer.items if isinstance(item, Use)}
    return found


def _draw(canvas: Any, items: Sequence[Item], key: str) -> None:
    for item in items:
        if isinstance(item, Use):
            canvas.saveState()
            canvas.transform(*item.matrix)
            canvas.doForm(form_name(key, item.symbol))
            canvas.restoreState()
        else:
            draw_item(canvas, item)


def form_name(key: str, symbol: Symbol) -> str:
    """The name of a symbol's form: small print is the same in every picture, a decal is one picture's own."""
    return f"{slug(key)}-{symbol.key}"


def draw_item(canvas: Any, item: Fill | Line | Contour | Picture) -> None:
    """Draws an area, a picture or a line; its colour as it is on paper."""
    if isinstance(item, Picture):
        _draw_picture(canvas, item)
        return
    if isinstance(item, Fill):
        canvas.setFillColor(item.colour)
        canvas.setFillAlpha(item.opacity)
        canvas.drawPath(_path(canvas, item.region), stroke=0, fill=1, fillMode=0)
        if item.opacity < 1.0:
            canvas.setFillAlpha(1.0)
        return
    canvas.setStrokeColor(item.colour)
    canvas.setLineWidth(item.width)
    canvas.setDash(list(item.dash) or [])
    path = canvas.beginPath()
    if isinstance(item, Line):
        _trace(path, item.points, item.closed)
    else:
        _trace(path, item.outline.polygon.exterior.coords[:-1], closed=True)
    canvas.drawPath(path, stroke=1, fill=0)


def _path(canvas: Any, area: Region) -> Any:
    path = canvas.beginPath()
    for polygon in polygons(area):
        for ring in (polygon.exterior, *polygon.interiors):
            _trace(path, ring.coords[:-1], closed=True)
    return path


def _draw_picture(canvas: Any, item: Picture) -> None:
    from reportlab.lib.utils import ImageReader

    from decalgen.core.pixels.decode import image_of

    canvas.saveState()
    canvas.clipPath(_path(canvas, item.region), stroke=0, fill=0, fillMode=0)
    canvas.transform(*item.matrix)
    canvas.drawImage(ImageReader(image_of(item.pixels)), 0, 0, 1, 1, mask="auto")
    canvas.restoreState()


def _trace(path: Any, points: Sequence[Sequence[float]], closed: bool) -> None:
    path.moveTo(*_rounded(points[0]))
    for point in points[1:]:
        path.lineTo(*_rounded(point))
    if closed:
        path.close()


def _rounded(point: Sequence[float]) -> tuple[float, float]:
    """To a micrometre: finer is not seen, and only makes files larger."""
    return round(point[0], 3), round(point[1], 3)
