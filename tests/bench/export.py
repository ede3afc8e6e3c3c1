"""Time to write 100 000 hexagons as PDF, against joining and packing the same numbers; run by hand.

python tests/bench/export.py
"""

from __future__ import annotations

import time
import zlib
from collections.abc import Callable

import numpy as np
import shapely

from decalgen import export
from decalgen.geometry import translation
from decalgen.picture import Document, Fill, Layer, Page, Symbol, Use

COUNT = 100_000


def hexagons(count: int, seed: int = 7) -> list[shapely.Polygon]:
    """Hexagons of 0.4 mm at seeded places on an A4 page."""
    centres = np.random.default_rng(seed).random((count, 2)) * (200, 287) + 5
    angles = np.arange(6) * np.pi / 3
    corners = 0.4 * np.column_stack((np.cos(angles), np.sin(angles)))
    return list(shapely.polygons(centres[:, None, :] + corners[None, :, :]))


def page(*items: Fill | Use) -> Document:
    return Document((Page(210, 297, (Layer("artwork", items, "artwork"),)),), "bench")


def joined(polygons: list[shapely.Polygon]) -> bytes:
    """The floor: the numbers formatted in one go, joined and packed, nothing else."""
    rows = np.delete(shapely.get_coordinates(polygons), slice(6, None, 7), axis=0)
    text = ("%.8g %.8g m\n" + "%.8g %.8g l\n" * 5 + "h f*\n") * len(polygons) % tuple(rows.ravel().tolist())
    return zlib.compress(text.encode(), 1)


def timed(what: str, work: Callable[[], bytes]) -> float:
    best = 1e9
    for _ in range(3):
        start = time.perf_counter()
        size = len(work())
        best = min(best, time.perf_counter() - start)
    print(f"{what:<46}{best:7.2f} s {size / 1e6:8.2f} MB")
    return best


def main() -> None:
    """Prints a line a case and the ratio to the floor."""
    polygons = hexagons(COUNT)
    export.render(page(), ".pdf")
    floor = timed("join and pack the numbers", lambda: joined(polygons))
    each = page(*(Fill(polygon, "#1d2b4a") for polygon in polygons))
    colours = ("#1d2b4a", "#e8641b", "#22262b")
    mixed = page(*(Fill(polygon, colours[i % 3]) for i, polygon in enumerate(polygons)))
    whole = page(Fill(shapely.MultiPolygon(polygons), "#1d2b4a"))
    cases = (("one fill a hexagon", each), ("colour changes", mixed), ("one fill of all", whole))
    for what, document in cases:
        seconds = timed(f"PDF, {what}", lambda d=document: export.render(d, ".pdf")[0])
        print(f"{'':<46}{seconds / floor:7.2f} times the floor")
    drawing = Symbol("decal", tuple(Fill(polygon, "#1d2b4a") for polygon in polygons[:1000]))
    placed = page(*(Use(drawing, translation(i % 10, i // 10)) for i in range(100)))
    timed("PDF, 1000 hexagons as a symbol, 100 times", lambda: export.render(placed, ".pdf")[0])
    timed("SVG, one fill a hexagon", lambda: export.render(each, ".svg")[0])
    timed("PNG, 300 dpi", lambda: export.render(each, ".png")[0])


if __name__ == "__main__":
    main()
