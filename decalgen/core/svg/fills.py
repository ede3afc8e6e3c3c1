"""Closed lines to areas by either fill rule (SVG 1.1, 11.3), exact in whole nanometres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import EMPTY, region

STEPS = 1e6
"""Steps to the unit: the nanometre, where that is the millimetre."""


def filled(lines: Sequence[FloatArray], even_odd: bool) -> MultiPolygon:
    """What lines enclose, each closed from its last point to its first."""
    import pyclipper

    whole = [np.rint(line * STEPS).astype(np.int64) for line in lines if len(line) > 2]
    clipper = pyclipper.Pyclipper()
    put = 0
    for ring in whole:
        try:
            clipper.AddPath(ring.tolist(), pyclipper.PT_SUBJECT, True)
            put += 1
        except pyclipper.ClipperException:
            continue  # It encloses nothing: all its points lie on one line.
    if not put:
        return EMPTY
    rule = pyclipper.PFT_EVENODD if even_odd else pyclipper.PFT_NONZERO
    return region(_areas(clipper.Execute2(pyclipper.CT_UNION, rule, rule)))


def _areas(tree: Any) -> Any:
    parts = []
    todo = list(tree.Childs)
    while todo:
        outer = todo.pop()
        holes = []
        for hole in outer.Childs:
            holes.append(np.array(hole.Contour) / STEPS)
            todo.extend(hole.Childs)
        parts.append(shapely.Polygon(np.array(outer.Contour) / STEPS, holes))
    found = shapely.multipolygons(parts)
    return found if found.is_valid else shapely.union_all(shapely.make_valid(np.array(parts, dtype=object)))
