"""Marks of the sheet as obstacles of the panel. Pure; mm of the panel."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.scan.template.marks import LEAN, SheetMark
from decalgen.scan.template.values import TemplateMark

Mapped = Callable[[FloatArray], FloatArray]
"""Places of the sheet, one a row, on the panel or in the scan."""
HAND_MM = 0.08
"""How far a hand strays that follows an edge with a pen, standard (common practice, no source)."""


def placed_marks(marks: Sequence[SheetMark], panel: Mapped, pixels: Mapped, u: float) -> tuple[TemplateMark, ...]:
    """``u``: standard uncertainty of places on this panel, without the pen."""
    return tuple(_placed(mark, panel, pixels, math.hypot(u, HAND_MM, mark.wide / 6)) for mark in marks)


def _placed(mark: SheetMark, panel: Mapped, pixels: Mapped, u: float) -> TemplateMark:
    at = panel(mark.at)
    drawn = tuple((float(x), float(y)) for x, y in pixels(_line(mark)))
    points = tuple((float(x), float(y)) for x, y in at)
    if mark.kind == "circle":
        return TemplateMark("circle", points, (mark.size,), u, drawn)
    if mark.kind == "rectangle":
        sides = np.roll(at, -1, axis=0) - at
        lean = min(abs(math.atan2(float(y), float(x))) % (math.pi / 2) for x, y in sides)
        if min(lean, math.pi / 2 - lean) < LEAN:
            lengths = np.linalg.norm(sides, axis=1)
            level = np.abs(sides[:, 0]) > np.abs(sides[:, 1])
            size = (float(lengths[level].mean()), float(lengths[~level].mean()))
            middle = at.mean(axis=0)
            corner = (float(middle[0]) - size[0] / 2, float(middle[1]) - size[1] / 2)
            return TemplateMark("rectangle", (corner,), size, u, drawn)
        return TemplateMark("outline", points, (), u, drawn)
    return TemplateMark(mark.kind, points, (mark.wide,) if mark.kind == "line" else (), u, drawn)


def _line(mark: SheetMark) -> FloatArray:
    """What is drawn over the scan, mm of the sheet."""
    if mark.kind == "circle":
        angle = np.linspace(0, 2 * math.pi, 49)
        return mark.at + mark.size / 2 * np.column_stack((np.cos(angle), np.sin(angle)))
    return mark.at if mark.kind == "line" else np.vstack((mark.at, mark.at[:1]))
