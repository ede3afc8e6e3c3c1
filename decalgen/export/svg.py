"""Drawings as SVG in millimetres: true scale, y turned over in the coordinates, arcs kept as arcs.

Colours are sRGB; which ink a colour stands for is in `data-ink`, because what SVG itself offers for inks is
painted black by most programs. Width and height carry their unit: without it, programs assume 96 dots an
inch.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from io import StringIO
from typing import Any

from decalgen.core.document import Contour, Document, Fill, Item, Line, Page, Picture, Use
from decalgen.core.geometry import Matrix, Segment, apply, multiply
from decalgen.core.pixels.png import png_address
from decalgen.export.arcs import half_turns
from decalgen.export.coordinates import (
    PLACE,
    RingTable,
    Symbols,
    check_colour,
    check_near,
    check_opacity,
    check_pages,
    checked_points,
    correction,
    number,
    numbers,
    ring_template,
    rings,
    settle,
)
from decalgen.export.information import plain

TURNED: Matrix = (1.0, 0.0, 0.0, -1.0, 0.0, 0.0)
"""SVG's y runs downward; a symbol is turned over about its own origin."""


def render(document: Document) -> list[bytes]:
    """One SVG file a page, UTF-8. Raises DecalgenError for what cannot be drawn (see `export`)."""
    check_pages(document)
    return [_Drawing(document, number, page).data() for number, page in enumerate(document.pages, 1)]


def identifier(text: str) -> str:
    """Text as it may stand in an id."""
    words = "".join(c if c.isascii() and c.isalnum() else "-" for c in text.lower())
    return "-".join(word for word in words.split("-") if word)


class _Drawing:
    """One page on its way to an SVG file."""

    def __init__(self, document: Document, count: int, page: Page) -> None:
        import svgwrite

        self._matrix = multiply((1.0, 0.0, 0.0, -1.0, 0.0, page.height), correction(document, page))
        self._symbols = Symbols()
        self._clips = 0
        self._pixels: set[str] = set()
        width, height = number(page.width), number(page.height)
        self._root = svgwrite.Drawing(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False)
        title = document.title if len(document.pages) == 1 else f"{document.title} ({count}/{len(document.pages)})"
        about = ". ".join(part for part in (document.subject, ", ".join(document.keywords)) if part)
        self._root.set_desc(title=plain(title), desc=plain(about) or None)
        notes = {"role": "img", "xml:lang": document.language, "data-date": document.date or ""}
        notes.update({f"data-{identifier(key)}": text for key, text in document.extra if identifier(key)})
        for key, text in notes.items():
            self._root[key] = plain(text)
        if page.ground:
            check_colour(page.ground)
            self._root.add(self._path(f"M0 0H{width}V{height}H0Z", fill=page.ground, id="ground"))
        for index, layer in enumerate(page.layers, 1):
            group = svgwrite.container.Group(debug=False, id=f"layer-{index}-{identifier(layer.name)}".rstrip("-"))
            group["data-purpose"] = layer.purpose
            group["data-name"] = plain(layer.name)
            self._items(group, layer.items, self._matrix)
            self._root.add(group)

    def data(self) -> bytes:
        """The file's bytes."""
        text = StringIO()
        self._root.write(text)
        return text.getvalue().encode("utf-8") + b"\n"

    @staticmethod
    def _path(d: str, **attributes: str) -> Any:
        import svgwrite

        return svgwrite.path.Path(d, debug=False, **attributes)

    def _items(self, group: Any, items: Sequence[Item], matrix: Matrix) -> None:
        """Adds items under a matrix that turns y over."""
        found = rings([item.region for item in items if isinstance(item, Fill)]).moved(matrix)
        fill_at = 0
        for item in items:
            if isinstance(item, Fill):
                d = _outlines(found, fill_at)
                fill_at += 1
                if d:
                    group.add(self._fill(item, d))
            elif isinstance(item, Use):
                self._use(group, item, matrix)
            elif isinstance(item, Picture):
                self._picture(group, item, matrix)
            else:
                self._line(group, item, matrix)

    def _fill(self, item: Fill, d: str) -> Any:
        check_colour(item.colour)
        made = self._path(d, fill=item.colour)
        made["fill-rule"] = "evenodd"
        if item.ink is not None:
            made["data-ink"] = plain(item.ink)
        if item.opacity != 1:
            made["fill-opacity"] = number(check_opacity(item.opacity), 4)
        return made

    def _picture(self, group: Any, item: Picture, matrix: Matrix) -> None:
        """Pixels under a clip path, as a PNG in the file; the same pixels stand in it once."""
        import svgwrite

        d = _outlines(rings([item.region]).moved(matrix), 0)
        if not d:
            return
        clips = svgwrite.masking.ClipPath(debug=False, id=f"clip-{self._clips}")
        self._clips += 1
        outline = self._path(d)
        outline["clip-rule"] = "evenodd"
        clips.add(outline)
        self._root.defs.add(clips)
        key = f"pixels-{item.pixels.digest[:16]}"
        if key not in self._pixels:
            self._pixels.add(key)
            image = svgwrite.image.Image(png_address(item.pixels), (0, 0), (1, 1), debug=False, id=key)
            image["preserveAspectRatio"] = "none"
            self._root.defs.add(image)
        clipped = svgwrite.container.Group(debug=False)
        clipped["clip-path"] = f"url(#clip-{self._clips - 1})"
        if item.ink is not None:
            clipped["data-ink"] = plain(item.ink)
        check_near(item.matrix)
        shown = svgwrite.container.Use(f"#{key}", debug=False)
        # Rows run down: the unit square is turned over.
        turned = multiply(matrix, multiply(item.matrix, (1.0, 0.0, 0.0, -1.0, 0.0, 1.0)))
        shown["transform"] = f"matrix({numbers(turned, 10)})"
        clipped.add(shown)
        group.add(clipped)

    def _line(self, group: Any, item: Line | Contour, matrix: Matrix) -> None:
        points = checked_points(item)
        if len(points) < 2:
            return
        check_colour(item.colour)
        if isinstance(item, Contour):
            d = _arcs(item.outline.segments, matrix)
        else:
            moved = settle([apply(matrix, (x, y)) for x, y in points.tolist()])
            template = f"M{PLACE} {PLACE}" + f"L{PLACE} {PLACE}" * (len(moved) - 1) + ("Z" if item.closed else "")
            d = template % tuple(moved.ravel().tolist())
        made = self._path(d, fill="none", stroke=item.colour)
        made["stroke-width"] = number(item.width)
        if item.dash:
            made["stroke-dasharray"] = numbers(item.dash)
        group.add(made)

    def _use(self, group: Any, item: Use, matrix: Matrix) -> None:
        import svgwrite

        key = item.symbol.key
        if self._symbols.add(item):
            # Without `overflow` a symbol is cut off left of and above its own origin.
            symbol = svgwrite.container.Symbol(debug=False, id=f"symbol-{key}", overflow="visible")
            self._items(symbol, item.symbol.items, TURNED)
            self._root.defs.add(symbol)
        check_near(item.matrix)
        placed = svgwrite.container.Use(f"#symbol-{key}", debug=False)
        placed["transform"] = f"matrix({numbers(multiply(matrix, multiply(item.matrix, TURNED)), 10)})"
        group.add(placed)


def _outlines(found: RingTable, fill: int) -> str:
    """The rings of one fill as path data."""
    sizes = found.sizes[found.first[fill] : found.first[fill + 1]]
    template = "".join(ring_template(size, f"M{PLACE} {PLACE}", f"L{PLACE} {PLACE}", "Z") for size in sizes)
    points = found.points[found.start[fill] : found.start[fill + 1]]
    return template % tuple(points.ravel().tolist())


def _arcs(segments: Sequence[Segment], matrix: Matrix) -> str:
    """Straight and arc segments as path data; half turns at most, so that no arc is ambiguous."""

    def at(point: tuple[float, float]) -> str:
        return numbers(apply(matrix, point))

    long, short, turn = ellipse(matrix)
    parts = ["M" + at(segments[0].start)]
    for segment in segments:
        if segment.centre is None:
            parts.append("L" + at(segment.end))
            continue
        radius = math.dist(segment.start, segment.centre)
        radii = f"{number(radius * long)} {number(radius * short)} {number(turn)}"
        # Seen with y downward an anticlockwise arc has the negative angle direction.
        sweep = "0" if segment.anticlockwise else "1"
        parts += [f"A{radii} 0 {sweep} {at(part.end)}" for part in half_turns(segment)]
    return "".join(parts) + "Z"


def ellipse(matrix: Matrix) -> tuple[float, float, float]:
    """What a circle of radius 1 becomes under a matrix: both half axes, and how far the first is turned from the x
    axis, degrees. A printer that leans makes an ellipse of it that does not stand upright.
    """
    a, b, c, d, _, _ = matrix
    if b == c == 0:
        return abs(a), abs(d), 0.0
    # The axes are the eigenvectors of the matrix times its transpose.
    xx, xy, yy = a * a + c * c, a * b + c * d, b * b + d * d
    mean, reach = (xx + yy) / 2, math.hypot((xx - yy) / 2, xy)
    turn = math.degrees(math.atan2(2 * xy, xx - yy)) / 2
    return math.sqrt(mean + reach), math.sqrt(max(mean - reach, 0.0)), turn
