"""A small drawing that names the sides of a model as they meet. Pure; mm."""

from __future__ import annotations

from collections.abc import Collection

from decalgen.core import style
from decalgen.core.geometry import rectangle, region
from decalgen.lettering.paper import paper_width
from decalgen.pages.composer import Sheaf
from decalgen.pages.cut_out_names import nose_triangle

LENGTHS = (("front", 13.0), ("bonnet", 17.0), ("roof", 19.0), ("boot", 13.0), ("rear", 13.0))
"""From nose to tail, mm."""
NOSE = 13.0
"""Room before the front for the nose."""
STRIP = 6.4
MIDDLE = 11.0
WIDE = NOSE + sum(length for _, length in LENGTHS)
HIGH = 2 * STRIP + MIDDLE


def draw_sides(sheaf: Sheaf, used: Collection[str], x: float, top: float) -> None:
    """The model from above with its sides folded out, its nose to the left; sides with decals are tinted and bold."""
    body = x + NOSE + LENGTHS[0][1]
    long = sum(length for name, length in LENGTHS if name not in ("front", "rear"))
    _box(sheaf, "right side", "right" in used, body, top - STRIP, long, STRIP)
    _box(sheaf, "left side", "left" in used, body, top - HIGH, long, STRIP)
    at = x + NOSE
    for name, length in LENGTHS:
        _box(sheaf, name, name in used, at, top - STRIP - MIDDLE, length, MIDDLE)
        at += length
    y = top - HIGH / 2
    sheaf.text(x + NOSE - 1.6, y - 1.1, "nose", style.TYPE_REST, align="right")
    sheaf.fill(region(nose_triangle(x + NOSE - 3.6 - paper_width("nose", style.TYPE_REST), y, 180.0)), style.TEXT)


def _box(sheaf: Sheaf, name: str, used: bool, x: float, y: float, wide: float, high: float) -> None:
    if used:
        sheaf.fill(rectangle(x, y, x + wide, y + high), style.BAND)
    sheaf.box(x, y, wide, high, style.LINE_PANEL if used else style.LINE_DIMENSION)
    sheaf.text(x + wide / 2, y + high / 2 - 1.0, name, style.TYPE_SMALL, bold=used, align="centre")
