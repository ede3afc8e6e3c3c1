"""A rule for the emblems that international law protects: red cross, red crescent and red crystal on white.

Judged by geometry and colour alone: it is a notice to the restorer, who knows what the original carried.

Sources: Geneva Convention I of 12 August 1949, articles 38 (the emblems), 44 (who may use them), 53 (imitations) and 54
(what states do about misuse); Additional Protocol III of 8 December 2005, article 2 (the red frame in the shape of a
square on edge on a white ground). Neither lays down measures, so the shapes are met within `ALIKE`.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
import shapely
from shapely.affinity import rotate
from shapely.geometry import MultiPolygon, Point, Polygon, box

from decalgen.artwork.build import Artwork
from decalgen.colour.value import Colour
from decalgen.core.errors import Finding
from decalgen.core.geometry import polygons
from decalgen.job.colours import ink_of
from decalgen.job.model import Decal, Job, Printer
from decalgen.preflight.features import areas_of

ALIKE = 0.93
"""An area that shares this part of its union with the pattern has its shape."""
LAW = (
    "Geneva Convention I of 1949, arts. 38, 44, 53 and 54, Additional Protocol III of 2005, and the national law made "
    "to carry them out"
)
ARMS: Final = (0.2, 0.45)
"""Width of the arms of a cross to its height."""
HAIR = 1e-3
"""What flattening and turning may change of that."""
WHITE = "#ffffff"
RING = 0.12
"""How far round an emblem its ground is looked at, as a part of its size."""
LIGHT = 0.7
"""So much of that ring is light where the emblem stands on white."""
ON_EDGE = 30.0
"""A square frame is the crystal when it stands on a corner, turned by no more than so many degrees: one that lies level
is a border."""


def protected_emblem(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """A red cross, crescent or crystal on a white or light ground."""
    found = []
    colours = {spec.name: ink_of(spec).colour for spec in artwork.inks}
    for inked in artwork.shown:
        if not _red(colours[inked.ink]):
            continue
        for part in polygons(inked.region):
            name = emblem(part)
            if name is None or not _on_light(part, artwork, job, colours):
                continue
            found.append(
                Finding(
                    "note",
                    "protected-emblem",
                    decal.name,
                    f"has the shape and colour of {name} on white, an emblem protected by law ({LAW})",
                    "find out what holds where the model is shown or sold, or use another sign",
                    decal.place,
                    areas=areas_of([part]),
                )
            )
    return found


def emblem(part: Polygon) -> str | None:
    """'the red cross', 'the red crescent' or 'the red crystal' for an area of that shape, whatever its size.

    A cross and a crescent are met however they are turned, a crystal within `ON_EDGE` of standing on its corner.
    """
    lean = _lean(part)
    if _cross(rotate(part, -lean, (0, 0))):
        return "the red cross"
    # A square that stands on its corner has sides that lean by 45 degrees.
    if abs(lean - 45) <= ON_EDGE and _crystal(rotate(part, 45 - lean, (0, 0))):
        return "the red crystal"
    if _crescent(part):
        return "the red crescent"
    return None


def _alike(part: Polygon, pattern: Polygon | MultiPolygon) -> bool:
    both = part.intersection(pattern).area
    return bool(both >= ALIKE * (part.area + pattern.area - both))


def _lean(part: Polygon) -> float:
    """How far the longest straight side leans from level or upright, degrees from 0 to 90. All sides of a cross and of
    a square lean alike, and turning the area back by it sets it upright; of a round shape it means nothing."""
    corners = np.diff(shapely.get_coordinates(part.exterior), axis=0)
    across, up = corners[np.argmax(np.hypot(corners[:, 0], corners[:, 1]))]
    return math.degrees(math.atan2(up, across)) % 90


def _square(part: Polygon) -> tuple[float, float, float] | None:
    """The middle and size of an area that is as high as it is wide; None for another."""
    x0, y0, x1, y1 = part.bounds
    wide, high = x1 - x0, y1 - y0
    if min(wide, high) < 0.9 * max(wide, high):
        return None
    return (x0 + x1) / 2, (y0 + y1) / 2, (wide + high) / 2


def _cross(part: Polygon) -> bool:
    """Two bars of one width across each other's middle."""
    found = _square(part)
    if found is None or part.interiors:
        return False
    x, y, size = found
    bare = size * size - part.area
    if bare <= 0:
        return False
    arm = size - math.sqrt(bare)
    if not (ARMS[0] - HAIR) * size <= arm <= (ARMS[1] + HAIR) * size:
        return False
    a, b = arm / 2, size / 2
    return _alike(part, box(x - b, y - a, x + b, y + a).union(box(x - a, y - b, x + a, y + b)))


def _diamond(x: float, y: float, half: float) -> Polygon:
    return Polygon([(x - half, y), (x, y - half), (x + half, y), (x, y + half)])


def _crystal(part: Polygon) -> bool:
    """A frame in the shape of a square standing on a corner."""
    found = _square(part)
    if found is None or len(part.interiors) != 1:
        return False
    x, y, size = found
    hole = Polygon(part.interiors[0])
    half = math.sqrt(hole.area / 2)
    if not 0.3 * size <= 2 * half <= 0.95 * size:
        return False
    outer = Polygon(part.exterior)
    return _alike(outer, _diamond(x, y, size / 2)) and _alike(hole, _diamond(x, y, half))


def _crescent(part: Polygon) -> bool:
    """A disc with a smaller disc taken out towards one side, so that two horns are left."""
    if part.interiors:
        return False
    radius = float(shapely.minimum_bounding_radius(part))
    middle = shapely.centroid(shapely.minimum_bounding_circle(part))
    points = shapely.get_coordinates(shapely.segmentize(part.exterior, radius / 20))
    inside = points[np.hypot(points[:, 0] - middle.x, points[:, 1] - middle.y) < 0.98 * radius]
    if len(inside) < 8:
        return False
    # The circle through the hollow side: x² + y² = 2ax + 2by + c by least squares.
    away = inside - (middle.x, middle.y)
    known = np.column_stack((2 * away, np.ones(len(away))))
    (a, b, c), *_ = np.linalg.lstsq(known, (away**2).sum(axis=1), rcond=None)
    inner = math.sqrt(max(0.0, c + a * a + b * b))
    # The smaller disc comes near the rim or over it: the hollow of a letter C lies in the middle.
    if not 0.5 * radius <= inner <= 0.95 * radius or not 0.9 * radius <= math.hypot(a, b) + inner <= 1.5 * radius:
        return False
    bite = Point(middle.x + a, middle.y + b).buffer(inner, 64)
    return _alike(part, middle.buffer(radius, 64).difference(bite))


def _red(colour: Colour) -> bool:
    lightness, a, b = colour.lab
    return 20 <= lightness <= 65 and math.hypot(a, b) >= 40 and -10 <= math.degrees(math.atan2(b, a)) <= 44


def _light(colour: Colour) -> bool:
    lightness, a, b = colour.lab
    return lightness >= 80 and math.hypot(a, b) <= 15


def _on_light(part: Polygon, artwork: Artwork, job: Job, colours: dict[str, Colour]) -> bool:
    """Whether most of what lies round an area, and in its hole, is white or light."""
    x0, y0, x1, y1 = part.bounds
    ring = part.buffer(RING * max(x1 - x0, y1 - y0), join_style="mitre").difference(part)
    body = _light(Colour.from_hex(job.paint(job.body).colour))
    film = artwork.film == "white" or body
    rest = ring
    light = 0.0
    for inked in artwork.shown:
        here = ring.intersection(inked.region)
        light += here.area if _light(colours[inked.ink]) else 0.0
        rest = rest.difference(inked.region)
    on_film = rest.intersection(artwork.cut_polygon)
    light += on_film.area if film else 0.0
    light += rest.difference(artwork.cut_polygon).area if body else 0.0
    return bool(light >= LIGHT * ring.area)
