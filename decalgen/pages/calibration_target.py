"""The calibration target: a rectangle of known sides to print on the film itself and measure. Pure; mm."""

from __future__ import annotations

import math

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.pages.composer import Sheaf
from decalgen.printer.calibration import SPANS, Target

TICK = 5.0
ROOMY = 100.0
"""A smaller target has no room for words beside its spans, mm."""
HOW = (
    "Printed without any correction. Print at 100 %, never “fit to page”. Measure from the middle of one cross to the "
    "middle of the other, each span three times. Never measure from the paper's edges. Then: decalgen calibrate read."
)
SLANTED = (
    "The diagonals run between the slanted crosses: rising from the lower left to the upper right, falling from the "
    "upper left to the lower right."
)


def target_page(
    asked: Target, width: float, height: float, area: tuple[float, float, float, float], name: str
) -> Document:
    """The target in the middle of the printable ``area`` (x0, y0, x1, y1) of a sheet of ``width`` × ``height`` mm."""
    sheaf = Sheaf(width, height)
    x0 = (area[0] + area[2] - asked.width) / 2
    y0 = (area[1] + area[3] - asked.height) / 2
    x1, y1 = x0 + asked.width, y0 + asked.height
    xm, ym = (x0 + x1) / 2, (y0 + y1) / 2
    for a, b in (((x0, y0), (x1, y0)), ((x0, ym), (x1, ym)), ((x0, y1), (x1, y1))):
        sheaf.line((a, b), style.LINE_MARK)
    for a, b in (((x0, y0), (x0, y1)), ((xm, y0), (xm, y1)), ((x1, y0), (x1, y1))):
        sheaf.line((a, b), style.LINE_MARK)
    for x in (x0, xm, x1):
        for y in (y0, ym, y1):
            sheaf.line(((x - TICK / 2, y), (x + TICK / 2, y)), style.LINE_MARK)
            sheaf.line(((x, y - TICK / 2), (x, y + TICK / 2)), style.LINE_MARK)
    wide, high = asked.diagonal
    size = math.hypot(wide, high)
    for across, up in ((-1, -1), (1, -1), (-1, 1), (1, 1)):
        # Only the ends of the diagonals: whole ones would run through the text. Slanted crosses, to be told apart.
        x, y = xm + across * wide / 2, ym + up * high / 2
        dx, dy = across * wide / size, up * high / size
        sheaf.line(((x + dx * TICK, y + dy * TICK), (x - dx * TICK, y - dy * TICK)), style.LINE_MARK)
        sheaf.line(((x - dy * TICK, y + dx * TICK), (x + dy * TICK, y - dx * TICK)), style.LINE_MARK)
    figures = {
        "across foot": (x0 + 3, y0 + 1.2, 0.0),
        "across middle": (x0 + 3, ym + 1.2, 0.0),
        "across head": (x0 + 3, y1 + 1.2, 0.0),
        "up left": (x0 - 1.2, y0 + 3, 90.0),
        "up middle": (xm - 1.2, y0 + 12, 90.0),
        "up right": (x1 - 1.2, y0 + 12, 90.0),
    }
    for span in SPANS[:6]:
        x, y, turn = figures[span]
        sheaf.text(x, y, f"{span} {asked.asked(span):g} mm", style.TYPE_SMALL, turn=turn)
    sheaf.text(xm + 3, ym - 4, f"diagonals {asked.asked('rising'):.2f} mm", style.TYPE_SMALL)
    if min(asked.width, asked.height) < ROOMY:
        return _page(sheaf, name)
    # Below the slanted crosses, which stand a little inside where the diagonals are those of an inner rectangle.
    below = y1 - (asked.height - high) / 2 - (14 if asked.inner is None else 10)
    sheaf.text(x0 + 9, below, name, style.TYPE_BODY, bold=True)
    sheaf.paragraph(x0 + 9, below - 5, asked.width / 2 - 12, HOW, style.TYPE_SMALL)
    sheaf.paragraph(xm + 3, below - 5, asked.width / 2 - 12, SLANTED, style.TYPE_SMALL)
    return _page(sheaf, name)


def _page(sheaf: Sheaf, name: str) -> Document:
    return Document((sheaf.page(),), title=f"Calibration target: {name}", subject="print at 100 %, without fitting")
