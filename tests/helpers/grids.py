"""A decal as a grid of letters that a person can read: what the goldens of layouts hold.

Each letter stands for the ink seen there; a dot is bare film inside the cut line, a space is outside it. Two rows of
letters are about as high as one is wide, so the picture keeps its proportions, unless the decal is a mere strip.
"""

from __future__ import annotations

from shapely import STRtree, prepare
from shapely.geometry import Point

from decalgen.artwork.build import Artwork

COLUMNS = 100
LEAST_ROWS = 24
OFF = 0.513
"""Where in its cell a point is asked, so that none falls on the middle line of a symmetrical decal."""


def grid(artwork: Artwork) -> str:
    """Size, inks with their areas, cut line, and the picture."""
    letters = {inked.ink: chr(ord("A") + n) for n, inked in enumerate(artwork.shown)}
    x0, y0, x1, y1 = artwork.cut_polygon.bounds
    lines = [
        f"{artwork.width:.3f} x {artwork.height:.3f} mm, {artwork.film} film, hand {artwork.hand or 'one'}",
        f"cut {x1 - x0:.3f} x {y1 - y0:.3f} mm, {artwork.cut_polygon.area:.3f} mm2",
        *(f"{letters[i.ink]} {i.ink} {i.region.area:.3f} mm2" for i in artwork.shown),
        f". bare {artwork.cut_polygon.area - sum(i.region.area for i in artwork.shown):.3f} mm2",
        "",
    ]
    parts = [(part, letters[i.ink]) for i in artwork.shown for part in i.region.geoms]
    tree = STRtree([part for part, _ in parts])
    prepare(artwork.cut_polygon)
    step = (x1 - x0) / COLUMNS
    rows = max(LEAST_ROWS, round((y1 - y0) / (2 * step)))
    for row in range(rows):
        y = y1 - (row + OFF) * (y1 - y0) / rows
        line = ""
        for column in range(COLUMNS):
            point = Point(x0 + (column + OFF) * step, y)
            hit = tree.query(point, predicate="within")
            line += parts[int(hit[0])][1] if len(hit) else "." if artwork.cut_polygon.contains(point) else " "
        lines.append(line.rstrip())
    return "\n".join(lines) + "\n"
