"""Rule for lines and bands that leave their decal: what comes back, and ends whose shape is cut off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely

from decalgen.core.arrays import FloatArray
from decalgen.core.errors import Finding
from decalgen.shapes.band import BandLine, DrawnBand, lanes_of
from decalgen.shapes.band_keys import pointed
from decalgen.shapes.base import Box
from decalgen.shapes.coursed import curve_of
from decalgen.shapes.curve import DrawnCurve
from decalgen.shapes.pieces import EDGE

PLACES = 1000
"""At so many places along it a line is looked at."""
BESIDE = 0.01
"""The middle of a band may lie so far beside what is drawn of it, mm."""
FIX = "make the decal larger, or bring it back inside there"


def leaving_curve(drawn: DrawnCurve, box: Box) -> Iterator[Finding]:
    """Where a line in place leaves its box. What is filled is its own run-on over the edge."""
    if drawn.line_width is None or not drawn.in_place:
        return
    curve = curve_of(drawn)
    along = np.linspace(0.0, curve.length, PLACES)
    end = "" if drawn.ends == "square" else drawn.ends
    for said in _leaving("curve", along, curve.places(along), (end, end), curve.closed, box):
        yield Finding("warning", "curve-leaves", "", said, FIX)


def leaving_band(band: DrawnBand, run: BandLine, box: Box) -> Iterator[Finding]:
    """Where the middle of a band leaves its box."""
    from decalgen.core.curves.band import stripes

    curve = run.curve
    lanes = replace(lanes_of(band, curve.length), shares=((0.0, 1.0),), gap=0.0, gap_shares=(), over=0.0)
    (whole,) = stripes(curve, lanes)
    along = np.linspace(0.0, curve.length, PLACES)
    middles = curve.places(along) + lanes.at(along).mean(axis=1)[:, None] * curve.normals(along)
    # Beside corners and tight bends the middle of nothing is drawn.
    there = shapely.contains_xy(whole.buffer(BESIDE), middles)
    ends = tuple(
        "pointed" if is_pointed else "slanted" if slant else ""
        for is_pointed, slant in zip(pointed(band), (band.start_slant, band.end_slant), strict=True)
    )
    for said in _leaving("band", along[there], middles[there], (ends[0], ends[1]), curve.closed, box):
        yield Finding("warning", "band-leaves", "", said, FIX)


def _leaving(
    what: str, along: FloatArray, places: FloatArray, ends: tuple[str, str], closed: bool, box: Box
) -> Iterator[str]:
    """What is to be said of it."""
    x, y = places.T
    off = np.hypot(np.maximum.reduce([-x, x - box.width, 0 * x]), np.maximum.reduce([-y, y - box.height, 0 * y]))
    outside = off > EDGE
    inside = np.flatnonzero(~outside)
    if not len(inside):
        return
    # Round a closed one from a place inside on.
    order = np.roll(np.arange(len(along)), -inside[0]) if closed else np.arange(inside[0], inside[-1] + 1)
    left = outside[order]
    middle = "the middle of the band" if what == "band" else "the curve"
    if left.any():
        first = int(np.flatnonzero(left)[0])
        back = first + int(np.flatnonzero(~np.append(left[first:], False))[0])
        out, home = along[order[first]], along[order[back % len(order)]]
        yield f"{middle} leaves the decal {out:.1f} mm along it and is back at {home:.1f} mm: it is cut off between"
    for end, far, name in zip(ends, (off[0], off[-1]), ("start", "end"), strict=True):
        if end and far > EDGE and not closed:
            yield f"the {end} {name} of the {what} lies {far:.2f} mm outside of the decal: it is cut off"
