"""Time to write 100 000 hexagons as PDF, against joining and packing the same numbers; run by hand.

python tests/benchmarks/export.py
"""

from __future__ import annotations

import time
import zlib
from collections.abc import Callable, Sequence

import numpy as np
import shapely

from decalgen import export
from decalgen.core.document import Document, Fill, Layer, Page, Symbol, Use
from decalgen.core.geometry import translation

COUNT = 100_000


def hexagons(count: int, seed: int = 7) -> list[shapely.Polygon]:
    """Hexagons of 0.4 mm at seeded places on an A4 page."""
    centres = np.random.default_rng(seed).random((count, 2)) * (200, 287) + 5
    angles = np.arange(6) * np.pi / 3
    corners = 0.4 * np.column_stack((np.cos(angles), np.sin(angles)))
    return list(shapely.polygons(centres[:, None, :] + corners[None, :, :]))


def page(*items: Fill | Use) -> Document:
    return Document((Page(210, 297, (Layer("artwork", items, "artwork"),)),), "bench")


def joined(polygons: list[shapely.Polygon], colours: Sequence[str] = ("",)) -> bytes:
    """The floor: the same text, its numbers formatted in one go, joined and packed, nothing else. ``colours``: what
    is said before the hexagons in turn."""
    rows = np.delete(shapely.get_coordinates(polygons), slice(6, None, 7), axis=0)
    one = "%.8g %.8g m\n" + "%.8g %.8g l\n" * 5 + "h\nf*\n"
    text = "".join(colours[i % len(colours)] + one for i in range(len(polygons))) % tuple(rows.ravel().tolist())
    return zlib.compress(text.encode(), 1)


def best(*works: Callable[[], bytes]) -> list[float]:
    """Seconds of processor each takes at best, tried in turn, so that whatever else runs slows all alike."""
    found = [1e9] * len(works)
    for _ in range(5):
        for i, work in enumerate(works):
            start = time.process_time()
            work()
            found[i] = min(found[i], time.process_time() - start)
    return found


def main() -> None:
    """Prints a line a case; those of 100 000 hexagons beside the floor of the same text."""
    polygons = hexagons(COUNT)
    export.render(page(), ".pdf")
    each = page(*(Fill(polygon, "#1d2b4a") for polygon in polygons))
    colours = ("#1d2b4a", "#e8641b", "#22262b")
    said = ("0.11373 0.16863 0.2902 rg\n", "0.9098 0.39216 0.10588 rg\n", "0.13333 0.14902 0.16863 rg\n")
    mixed = page(*(Fill(polygon, colours[i % 3]) for i, polygon in enumerate(polygons)))
    whole = page(Fill(shapely.MultiPolygon(polygons), "#1d2b4a"))
    cases = (("one fill a hexagon", each, ("",)), ("colour changes", mixed, said), ("one fill of all", whole, ("",)))
    for what, document, before in cases:
        floor, seconds = best(
            lambda before=before: joined(polygons, before), lambda d=document: export.render(d, ".pdf")[0]
        )
        print(f"PDF, {what:<42}{seconds:6.2f} s, floor {floor:.2f} s: {seconds / floor:.2f} times the floor")
    drawing = Symbol("decal", tuple(Fill(polygon, "#1d2b4a") for polygon in polygons[:1000]))
    placed = page(*(Use(drawing, translation(i % 10, i // 10)) for i in range(100)))
    rest = (("PDF, 1000 hexagons as a symbol, 100 times", placed, ".pdf"), ("SVG, one fill a hexagon", each, ".svg"),
            ("PNG, 300 dpi", each, ".png"))  # fmt: skip
    for what, document, ending in rest:
        (seconds,) = best(lambda d=document, e=ending: export.render(d, e)[0])
        print(f"{what:<47}{seconds:6.2f} s")


if __name__ == "__main__":
    main()
