"""Invented pages the export tests share."""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Sequence

from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.document import Contour, Document, Fill, Item, Layer, Line, Page, Symbol, Use
from decalgen.core.geometry import circle, multiply, rectangle, rotation, rounded, translation

A4 = (210.0, 297.0)
A3 = (297.0, 420.0)
NAVY = "#1d2b4a"
ORANGE = "#e8641b"


def document(
    *items: Item,
    size: tuple[float, float] = A4,
    scale: tuple[float, float] = (1.0, 1.0),
    lean: float = 0.0,
    title: str = "Harbour pick-up, stores livery",
) -> Document:
    """One page with one layer of artwork."""
    page = Page(*size, (Layer("Door band", items, "artwork"),))
    return Document((page,), title, date="2026-05-14", scale=scale, lean=lean)


def blob(rng: random.Random, size: tuple[float, float], *, hole: bool) -> Polygon:
    """A slanted star-shaped polygon somewhere on the page, with or without a hole; none of its sides is
    level.
    """
    reach = rng.uniform(1, 12)
    cx, cy = rng.uniform(15, size[0] - 15), rng.uniform(15, size[1] - 15)
    count = rng.randint(5, 11)
    angles = [2 * math.pi * (i + rng.uniform(0.1, 0.9)) / count for i in range(count)]
    ring = [
        (cx + rng.uniform(0.6, 1) * reach * math.cos(a), cy + rng.uniform(0.6, 1) * reach * math.sin(a)) for a in angles
    ]
    inner = [(cx + 0.2 * reach * math.cos(a), cy + 0.2 * reach * math.sin(a)) for a in reversed(angles)]
    return Polygon(ring, [inner] if hole else [])


def blobs(count: int, size: tuple[float, float] = A4, seed: int = 43) -> list[Polygon]:
    """Seeded polygons, every third with a hole."""
    rng = random.Random(seed)
    return [blob(rng, size, hole=i % 3 == 0) for i in range(count)]


def rings(polygons: Iterable[Polygon]) -> list[list[tuple[float, float]]]:
    """Every ring without its closing point, in the order they are drawn."""
    return [list(ring.coords)[:-1] for p in polygons for ring in (p.exterior, *p.interiors)]


def corrected(
    points: Sequence[tuple[float, float]], size: tuple[float, float], scale: tuple[float, float], lean: float = 0.0
) -> list[tuple[float, float]]:
    """Points under a printer's correction about the page's centre, mm."""
    (w, h), (sx, sy) = size, scale
    return [(w / 2 + (x - w / 2) * sx + (y - h / 2) * lean, h / 2 + (y - h / 2) * sy) for x, y in points]


def roundel() -> Symbol:
    """A ring with a bar across, its outline and a dashed line."""
    disc = Polygon(circle((0, 0), 4).exterior.coords, [circle((0, 0), 3).exterior.coords])
    return Symbol(
        "roundel",
        (
            Fill(disc, ORANGE, "lifebuoy orange"),
            Fill(rectangle(-2, -0.4, 2, 0.4), NAVY, "navy"),
            Contour(rounded(9, 9, (1, 1, 1, 1), -4.5, -4.5), 0.13, "#0f6b73"),
            Line(((-4, -4), (4, -4)), 0.13, "#22262b", dash=(1.2, 0.8)),
        ),
    )


def everything() -> Document:
    """Two pages with all kinds of items, boxes, a ground, see-through fills and a correction."""
    symbol = roundel()
    uses = [Use(symbol, multiply(translation(20 + 12 * i, 40), rotation(17 * i))) for i in range(8)]
    two = MultiPolygon([rectangle(20, 60, 40, 65), rectangle(45, 60, 60, 65)])
    artwork = Layer(
        "Door band & <roundels>",
        (Fill(two, NAVY, 'navy "matt"'), Fill(rectangle(30, 58, 50, 63), ORANGE, opacity=0.5), *uses),
        "artwork",
    )
    marks = Layer("Marks", (Line(((10, 10), (30, 10), (30, 20)), 0.1, "#000000", closed=True),), "marks")
    cutting = Layer("Cut lines", (Contour(rounded(60, 20, (2, 3, 4, 5), 20, 80), 0.25, "#a3342a"),), "cutting")
    first = Page(*A4, (artwork, marks), trim=(15, 15, 190, 270), bleed=(14, 14, 191, 271), ground="#faf8f4")
    return Document(
        (first, Page(148, 210, (cutting,))),
        "Poste d'été, \u2116 14",
        subject="Side stripes",
        keywords=("decal", "1:64"),
        date="2026-05-14T09:30:00+02:00",
        scale=(1.0031, 0.9984),
        extra=(("job hash", "3f2a"),),
    )
