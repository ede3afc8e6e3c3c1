"""Glyph areas from outside the project: fontTools reads the outline, skia-pathops settles what is ink."""

from __future__ import annotations

import functools
import io
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import pathops
import shapely
from fontTools.ttLib import TTFont

from decalgen.lettering.faces import face_bytes


@functools.lru_cache(maxsize=32)
def font(file: str) -> TTFont:
    return TTFont(io.BytesIO(face_bytes(file)))


def ink(file: str, axes: Mapping[str, float], glyph: str, fineness: float = 0.05) -> shapely.Geometry:
    """One glyph's area in font units; curves within ``fineness`` units."""
    ttfont = font(file)
    glyphs = ttfont.getGlyphSet(location=dict(axes) or None)
    path = pathops.Path()
    glyphs[glyph].draw(path.getPen(glyphSet=glyphs))
    return area(path, fineness)


def area(path: Any, fineness: float) -> shapely.Geometry:
    """A path's area by skia's own simplification with the non-zero rule."""
    path.fillType = pathops.FillType.WINDING
    path.simplify(fix_winding=True, keep_starting_points=False)
    total: shapely.Geometry = shapely.Polygon()
    for ring in rings(path, fineness):
        if len(ring) >= 3:
            total = total.symmetric_difference(shapely.make_valid(shapely.Polygon(ring)))
    return total


def rings(path: Any, fineness: float) -> Iterator[list[tuple[float, float]]]:
    ring: list[tuple[float, float]] = []
    for verb, points in path:
        if verb == pathops.PathVerb.MOVE:
            ring = [points[0]]
        elif verb == pathops.PathVerb.LINE:
            ring.append(points[0])
        elif verb == pathops.PathVerb.CLOSE:
            yield ring
        else:
            control = np.array([ring[-1], *points])
            span = np.abs(np.diff(control, 2, axis=0)).max() if len(control) > 2 else 0.0
            steps = max(2, int(np.ceil(np.sqrt(span / fineness))))
            for t in np.arange(1, steps + 1) / steps:
                pts = control
                while len(pts) > 1:
                    pts = pts[:-1] * (1 - t) + pts[1:] * t
                ring.append((float(pts[0][0]), float(pts[0][1])))
