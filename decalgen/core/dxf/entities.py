"""The entities of a DXF drawing as lines of points, block by block, within limits; what is no outline is named. Pure.

Drawing units, y up. `ezdxf` reads the file; it is optional, and loaded here alone.
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Any

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import Point, arc_steps
from decalgen.core.lengths.units import INCH_MM
from decalgen.core.svg.flatten import PointCount
from decalgen.core.svg.text import SvgError
from decalgen.core.values import dataclass

UNITS_MM = {
    1: INCH_MM,
    2: 12 * INCH_MM,
    4: 1.0,
    5: 10.0,
    6: 1000.0,
    9: INCH_MM / 1000,
    10: 36 * INCH_MM,
    13: 0.001,
    14: 100.0,
}
"""Millimetres to the unit by $INSUNITS (the numbers of the DXF reference, from memory); others are no units of length
that a drawing of a toy has."""
MOST_ENTITIES = 20_000
"""Entities that are looked at while drawing, those of each copy of a block again."""
DEEPEST = 16
"""Blocks deeper in each other than this are a hostile file."""
FARTHEST = 1e6
LEAST_SAGITTA = 1e-9
MOST_STEPS = 100_000
BLACK = "#000000"
BY_BLOCK, BY_LAYER, PEN = 0, 256, 7
"""Numbers of colours: of the block, of the layer, and black on white or white on black."""
QUIET = {"ATTDEF", "VIEWPORT", "SEQEND"}


@dataclass(frozen=True, eq=False)
class DxfLine:
    """A line of points with its layer and colour, '#rrggbb'; ``where``: its entity in words."""

    points: FloatArray
    closed: bool
    layer: str
    colour: str
    where: str


class DxfDrawing:
    """A drawing that was read. ``unit_mm``: millimetres to its unit, None where it does not say."""

    def __init__(self, document: Any) -> None:
        self.document = document
        self.unit_mm: float | None = UNITS_MM.get(document.header.get("$INSUNITS", 0))

    def lines(self, sagitta: float) -> tuple[list[DxfLine], dict[str, list[str]]]:
        """All lines, flattened to within ``sagitta`` units, and what is left out: reasons with entities.
        Raises `SvgError` for a drawing without end."""
        work = _DxfWork(self.document, max(sagitta, LEAST_SAGITTA))
        try:
            return list(work.of(self.document.modelspace(), ("0", BLACK), 0)), work.left
        except (SvgError, MemoryError):
            raise
        except Exception as error:
            raise SvgError(f"it cannot be drawn ({type(error).__name__})", "save it again as DXF R2010") from None


@lru_cache(maxsize=4)
def read_dxf(text: str) -> DxfDrawing:
    """A drawing from its text. Raises `SvgError` for one that is none, and where `ezdxf` is missing."""
    try:
        import ezdxf
    except ImportError:
        raise SvgError(
            "DXF drawings need the package ezdxf, which is not installed",
            'install it (pip install "decalgen[dxf]"), or save the drawing as plain SVG',
        ) from None
    try:
        return DxfDrawing(ezdxf.read(io.StringIO(text)))  # type: ignore[attr-defined]
    except (KeyboardInterrupt, MemoryError):
        raise
    except Exception as error:
        # What spoiled files raise is of many kinds; none of them is more than that it cannot be read.
        said = str(error).partition("\n")[0][:120]
        raise SvgError(
            f"it cannot be read as DXF ({said or type(error).__name__})", "save it again as DXF R2010"
        ) from None


class _DxfWork:
    """One drawing while its entities are looked at."""

    def __init__(self, document: Any, sagitta: float) -> None:
        self.document = document
        self.sagitta = sagitta
        self.count = PointCount()
        self.left: dict[str, list[str]] = {}
        self.seen = 0

    def of(self, entities: Iterable[Any], block: tuple[str, str], depth: int) -> Iterator[DxfLine]:
        """The lines of entities; ``block``: layer and colour of the copy of a block that they are in."""
        if depth > DEEPEST:
            raise SvgError(f"its blocks are more than {DEEPEST} deep in each other", "explode some of them")
        for entity in entities:
            self.seen += 1
            if self.seen > MOST_ENTITIES:
                raise SvgError(f"it draws more than {MOST_ENTITIES // 1000} 000 entities", "draw less of it")
            kind = entity.dxftype()
            layer = entity.dxf.get("layer", "0")
            layer = block[0] if layer == "0" and depth else layer
            if kind in QUIET or entity.dxf.get("invisible", 0) or self._hidden(layer):
                continue
            colour = self._colour(entity, layer, block[1])
            if kind == "INSERT":
                copies = max(1, entity.dxf.get("row_count", 1)) * max(1, entity.dxf.get("column_count", 1))
                if copies > MOST_ENTITIES:
                    raise SvgError(f"it draws more than {MOST_ENTITIES // 1000} 000 entities", "draw less of it")
                for one in entity.multi_insert() if copies > 1 else (entity,):
                    yield from self.of(one.virtual_entities(), (layer, colour), depth + 1)
            elif kind in _FLATTENED:
                yield from self._line(entity, kind, layer, colour)
            else:
                self.leave_out(_named(kind), _where(entity, layer))

    def _line(self, entity: Any, kind: str, layer: str, colour: str) -> Iterator[DxfLine]:
        where = _where(entity, layer)
        if kind == "POLYLINE" and not (entity.is_2d_polyline or entity.is_3d_polyline):
            self.leave_out("a mesh", where)
            return
        most = self.count.left + 1
        points = np.array(
            [(point[0], point[1]) for point in itertools.islice(_FLATTENED[kind](entity, self.sagitta), most)],
            dtype=np.float64,
        ).reshape(-1, 2)
        self.count.take(len(points))
        if not np.isfinite(points).all() or (len(points) and np.abs(points).max() > FARTHEST):
            self.leave_out("a line with numbers beyond all bounds", where)
        elif len(points) > 1:
            yield DxfLine(points, _is_closed(entity, kind), layer, colour, where)

    def _hidden(self, name: str) -> bool:
        layers = self.document.layers
        if name not in layers:
            return False
        layer = layers.get(name)
        return bool(layer.is_off() or layer.is_frozen())

    def _colour(self, entity: Any, layer: str, block: str) -> str:
        own = entity.rgb
        if own is not None:
            return _hex(own)
        number = entity.dxf.get("color", BY_LAYER)
        if number == BY_BLOCK:
            return block
        if number == BY_LAYER:
            if layer not in self.document.layers:
                return BLACK
            found = self.document.layers.get(layer)
            if found.rgb is not None:
                return _hex(found.rgb)
            number = abs(found.dxf.get("color", PEN))
        return _numbered(number)

    def leave_out(self, what: str, where: str) -> None:
        """Notes what is left out."""
        self.left.setdefault(what, []).append(where)


def _numbered(number: int) -> str:
    from ezdxf.colors import aci2rgb

    return BLACK if number == PEN or not 0 < number < 256 else _hex(aci2rgb(number))


def _hex(rgb: Iterable[int]) -> str:
    return "#" + "".join(f"{int(part):02x}" for part in rgb)


def _where(entity: Any, layer: str) -> str:
    handle = entity.dxf.get("handle")
    return f"{entity.dxftype()}{f' {handle}' if handle else ''} on layer '{layer[:40]}'"


def _named(kind: str) -> str:
    """What an entity is called that is no outline."""
    return {"TEXT": "text", "MTEXT": "text", "ATTRIB": "text", "IMAGE": "a picture", "HATCH": "a hatch"}.get(
        kind, f"a '{kind[:40].lower()}'"
    )


def _is_closed(entity: Any, kind: str) -> bool:
    if kind == "CIRCLE":
        return True
    if kind == "ELLIPSE":
        turn = abs(entity.dxf.end_param - entity.dxf.start_param)
        return bool(math.isclose(turn, math.tau, abs_tol=1e-9))
    if kind == "POLYLINE":
        return bool(entity.is_closed)
    return bool(kind in ("LWPOLYLINE", "SPLINE") and entity.closed)


def _of_polyline(entity: Any, sagitta: float) -> Iterator[Any]:
    """The points of a polyline, with those of the arcs that its bulges make."""
    if entity.dxftype() == "LWPOLYLINE":
        vertices = [tuple(map(float, one)) for one in entity.get_points("xyb")]
    else:
        vertices = [(one.dxf.location.x, one.dxf.location.y, one.dxf.get("bulge", 0.0)) for one in entity.vertices]
    flat = getattr(entity, "is_3d_polyline", False)
    turned = None if flat or not entity.ocs().transform else entity.ocs()
    after = [*vertices[1:], vertices[0]] if _is_closed(entity, entity.dxftype()) else vertices[1:]
    yield from (_placed(turned, x, y) for x, y, _ in vertices[:1])
    for (x0, y0, bulge), (x1, y1, _) in zip(vertices, after, strict=False):
        for x, y in _bulged((x0, y0), (x1, y1), bulge, sagitta) if bulge and not flat else ():
            yield _placed(turned, x, y)
        yield _placed(turned, x1, y1)


def _placed(system: Any, x: float, y: float) -> Any:
    """A point of an entity's own plane in the drawing's."""
    return (x, y) if system is None else system.to_wcs((x, y, 0.0))


def _bulged(start: Point, end: Point, bulge: float, sagitta: float) -> Iterator[Point]:
    """The points between the ends of an arc whose bulge is the tangent of a quarter of its angle, left of the chord
    negative (DXF reference, from memory)."""
    chord = math.dist(start, end)
    sweep = 4 * math.atan(bulge)
    if chord == 0 or not math.isfinite(sweep):
        return
    radius = chord / 2 / abs(math.sin(sweep / 2))
    # From the middle of the chord to the centre, to the left as the arc runs.
    away = (1 - bulge * bulge) / (4 * bulge)
    cx = (start[0] + end[0]) / 2 - away * (end[1] - start[1])
    cy = (start[1] + end[1]) / 2 + away * (end[0] - start[0])
    first = math.atan2(start[1] - cy, start[0] - cx)
    steps = arc_steps(radius, sweep, min(sagitta, radius / 2))
    for number in range(1, min(steps, MOST_STEPS)):
        turn = first + sweep * number / steps
        yield cx + radius * math.cos(turn), cy + radius * math.sin(turn)


def _arc(entity: Any, sagitta: float) -> Iterator[Any]:
    """An arc or a circle; one smaller than the sagitta is three points."""
    yield from entity.flattening(min(sagitta, abs(entity.dxf.radius) / 2 or sagitta))


_FLATTENED: dict[str, Any] = {
    "LINE": lambda entity, sagitta: iter((entity.dxf.start, entity.dxf.end)),
    "ARC": _arc,
    "CIRCLE": _arc,
    "ELLIPSE": lambda entity, sagitta: entity.flattening(sagitta),
    "SPLINE": lambda entity, sagitta: entity.flattening(sagitta),
    "LWPOLYLINE": _of_polyline,
    "POLYLINE": _of_polyline,
}
