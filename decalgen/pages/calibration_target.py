"""The calibration target: a rectangle of known sides to print on the film itself and measure. Pure; mm."""

from __future__ import annotations

import math

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.core.geometry import rectangle, region
from decalgen.pages.composer import Sheaf
from decalgen.printer.target import CORNERS, DIAGONALS, FOOT, SPANS, Target

TICK = 5.0
LETTER = 7.0
"""From a slanted cross to its letter, mm."""
ROOMY = 100.0
"""A smaller target has no room for words beside its spans, mm."""
HOW = (
    "Printed without any correction. Print at 100 %, with all fitting and scaling off. Turn the thick edge, FOOT, "
    "towards you. Measure from the middle of one cross to the middle of the other, each span three times, or at "
    "least twice. Never measure from the paper's edges. Then: decalgen calibrate read."
)
SLANTED = (
    "The diagonals run between the slanted crosses: rising from A to C, falling from B to D. Measure the film in the "
    "room that you print in: warmth and damp are not in the uncertainty that is stated."
)
FOOT_EDGE = 0.8
"""How thick the lower edge is marked beside its line, mm: it cannot be taken for another."""


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
    _corners(sheaf, asked, xm, ym)
    _foot(sheaf, x0, x1, y0)
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
    ways = " and ".join(DIAGONALS.values())
    sheaf.text(xm + 3, ym - 4, f"diagonals {ways}: {asked.asked('rising'):.2f} mm", style.TYPE_SMALL)
    if min(asked.width, asked.height) < ROOMY:
        return _page(sheaf, name)
    # Below the slanted crosses, which stand a little inside where the diagonals are those of an inner rectangle.
    below = y1 - (asked.height - asked.diagonal[1]) / 2 - (14 if asked.inner is None else 10)
    sheaf.text(x0 + 9, below, name, style.TYPE_BODY, bold=True)
    sheaf.paragraph(x0 + 9, below - 5, asked.width / 2 - 12, HOW, style.TYPE_SMALL)
    sheaf.paragraph(xm + 3, below - 5, asked.width / 2 - 12, SLANTED, style.TYPE_SMALL)
    return _page(sheaf, name)


def _corners(sheaf: Sheaf, asked: Target, xm: float, ym: float) -> None:
    """The ends of the diagonals, each with its letter. Whole lines would run through the text; slanted crosses are told
    apart from the upright ones."""
    wide, high = asked.diagonal
    size = math.hypot(wide, high)
    for letter, (across, up) in CORNERS.items():
        x, y = xm + across * wide / 2, ym + up * high / 2
        dx, dy = across * wide / size, up * high / size
        sheaf.line(((x + dx * TICK, y + dy * TICK), (x - dx * TICK, y - dy * TICK)), style.LINE_MARK)
        sheaf.line(((x - dy * TICK, y + dx * TICK), (x + dy * TICK, y - dx * TICK)), style.LINE_MARK)
        # Beside the cross, towards the middle: at the target's own corners there is no room outside.
        sheaf.text(x - across * LETTER - 1.0, y - 1.2, letter, style.TYPE_BODY, bold=True)


def _foot(sheaf: Sheaf, x0: float, x1: float, y0: float) -> None:
    """The edge that lies below, marked so that the target cannot be read turned: a bar and its name, under the line."""
    long = (x1 - x0) / 3
    left = (x0 + x1) / 2 - long / 2
    sheaf.fill(region(rectangle(left, y0 - 2.2, left + long, y0 - 2.2 + FOOT_EDGE)), style.TEXT)
    sheaf.text(left, y0 - 5.2, FOOT, style.TYPE_SMALL, bold=True)


def _page(sheaf: Sheaf, name: str) -> Document:
    return Document((sheaf.page(),), title=f"Calibration target: {name}", subject="print at 100 %, without fitting")
