"""What is printed in the waste of a sheet whatever lies on it: registration marks, check bars, the line of text.

Everything has a keep-out for the nest. Nothing here is printed on a decal. Pure; mm, sheet coordinates (origin at the
sheet's lower left corner). "Furniture" is the printer's word for what fills the waste round the work.
"""

from __future__ import annotations

import math

from shapely.geometry import Polygon, box

from decalgen.core import style
from decalgen.core.document import Fill, Item, Line
from decalgen.core.geometry import circle, multiply, region, rotation, transform, translation
from decalgen.core.values import dataclass
from decalgen.lettering.paper import paper, paper_width

STEP = style.GRID
"""The grid of gaps between furniture, mm."""
CHECK_BAR = style.CHECK_BAR
"""Length of a check bar, mm, where the sheet is large enough."""
BAR_DEPTH = 4.0
INFO_PT = 7.0


@dataclass(frozen=True)
class CheckBar:
    """A bar of known length between two fine ticks, for the caliper. ``axis`` 'x' runs across, 'y' up the sheet."""

    axis: str
    x: float
    y: float
    length: float
    crosses: bool = False
    """Whether there is no bar: two registration marks are that far apart, from the middle of a cross to the next."""


@dataclass(frozen=True)
class Furniture:
    """The furniture of one sheet: what to draw, what the nest keeps out of, and where to measure and align."""

    items: tuple[Item, ...]
    keep_outs: tuple[Polygon, ...]
    registration: tuple[tuple[float, float], ...]
    bars: tuple[CheckBar, ...]


def furniture(area: Polygon, info: str, widest: str = "") -> Furniture:
    """Three registration marks, a check bar each way and a line of text, inside the printable ``area`` (a rectangle).

    What does not fit a small remnant is left out: first the text, then the bars get shorter, down to 20 mm.
    ``widest``: a text of as many parts that is kept room for, so that another number in ``info`` moves nothing.
    """
    x0, y0, x1, y1 = area.bounds
    half = style.REGISTRATION_CROSS / 2
    spots: list[tuple[float, float]] = []
    items: list[Item] = []
    keep_outs: list[Polygon] = []
    if min(x1 - x0, y1 - y0) >= 4 * style.REGISTRATION_CROSS:
        spots = [(x0 + half, y0 + half), (x1 - half, y0 + half), (x0 + half, y1 - half)]
    for spot in spots:
        items += registration_mark(spot)
        keep_outs.append(box(spot[0] - half, spot[1] - half, spot[0] + half, spot[1] + half))
    inset = 2 * half + STEP if spots else 0.0
    bars: list[CheckBar] = []
    for axis, room in (("x", x1 - x0), ("y", y1 - y0)):
        length = min(CHECK_BAR, math.floor((room - 2 * inset) / 10) * 10)
        if length < 20:
            continue
        bar = CheckBar(axis, x0 + inset, y0, length) if axis == "x" else CheckBar(axis, x0, y0 + inset, length)
        bars.append(bar)
        items += check_bar(bar)
        keep_outs.append(
            box(bar.x - 0.5, y0, bar.x + length + 0.5, y0 + BAR_DEPTH)
            if axis == "x"
            else box(x0, bar.y - 0.5, x0 + BAR_DEPTH, bar.y + length + 0.5)
        )
    parts = _fitted(widest or info, x1 - x0 - inset)
    if parts:
        line = paper(" · ".join(info.split(" · ")[:parts]), INFO_PT)
        width = max(line.width, paper_width(" · ".join((widest or info).split(" · ")[:parts]), INFO_PT))
        moved = transform(line.region, translation(x0 + inset, y1 - line.cap_height - 0.5))
        items.append(Fill(region(moved), style.TEXT))
        keep_outs.append(box(x0 + inset, y1 - line.cap_height - 1.5, x0 + inset + width, y1))
    return Furniture(tuple(items), tuple(keep_outs), tuple(spots), tuple(bars))


def measurable(things: Furniture) -> tuple[CheckBar, ...]:
    """What of a sheet's furniture tells its size: a check bar each way, and where there is no room for one the distance
    of the registration marks that way. Where there are no marks either, nothing."""
    found = list(things.bars)
    for axis in ("x", "y"):
        if things.registration and axis not in {bar.axis for bar in things.bars}:
            (x0, y0), (x1, _), (_, y1) = things.registration
            found.append(CheckBar(axis, x0, y0, x1 - x0 if axis == "x" else y1 - y0, crosses=True))
    return tuple(found)


def registration_mark(centre: tuple[float, float], colour: str = style.TEXT) -> list[Item]:
    """A circle with a cross through it."""
    cx, cy = centre
    half = style.REGISTRATION_CROSS / 2
    ring = tuple((float(x), float(y)) for x, y in circle(centre, style.REGISTRATION_CIRCLE / 2).exterior.coords[:-1])
    width = style.LINE_MARK
    return [
        Line(ring, width, colour, closed=True),
        Line(((cx - half, cy), (cx + half, cy)), width, colour),
        Line(((cx, cy - half), (cx, cy + half)), width, colour),
    ]


def earlier_mark(x: float, y: float, number: int) -> list[Item]:
    """A registration mark of an earlier print on the same film, as a proof repeats it: in a box, with which print."""
    # The box leaves room for a figure in its corner, and stays within the distance that pieces keep from used film.
    half = style.REGISTRATION_CROSS / 2 + 0.9
    corners = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
    line = paper(str(number), style.TYPE_SMALL)
    moved = transform(line.region, translation(x + half - line.width - 0.3, y + half - line.cap_height - 0.3))
    return [
        *registration_mark((x, y), style.ACCENT),
        Line(corners, style.LINE_DIMENSION, style.ACCENT, closed=True),
        Fill(region(moved), style.ACCENT),
    ]


def check_bar(bar: CheckBar, colour: str = style.TEXT) -> list[Item]:
    """The bar with its ticks and its length in figures. The distance is from tick middle to tick middle."""
    label = paper(f"{bar.length:g} mm", INFO_PT)
    horizontal: list[tuple[tuple[float, float], tuple[float, float]]] = [
        ((0.0, 1.0), (bar.length, 1.0)),
        *(((at, 0.0), (at, 3.0 if at in (0.0, bar.length) else 1.6)) for at in _tens(bar.length)),
    ]
    quarter = multiply(translation(bar.x, bar.y), (1.0, 0.0, 0.0, 1.0, 0.0, 0.0))
    if bar.axis == "y":
        quarter = multiply(translation(bar.x, bar.y), (0.0, 1.0, 1.0, 0.0, 0.0, 0.0))
    from decalgen.core.geometry import apply

    lines: list[Item] = [
        Line((apply(quarter, a), apply(quarter, b)), style.LINE_DIMENSION, colour) for a, b in horizontal
    ]
    if bar.axis == "x":
        place = translation(bar.x + bar.length / 2 - label.width / 2, bar.y + 1.9)
    else:
        turned = rotation(90)
        place = multiply(translation(bar.x + 1.9 + label.cap_height, bar.y + bar.length / 2 - label.width / 2), turned)
    lines.append(Fill(region(transform(label.region, place)), colour))
    return lines


def _tens(length: float) -> list[float]:
    return [10.0 * i for i in range(round(length / 10) + 1)]


def _fitted(text: str, width: float) -> int:
    """How many of the text's ' · ' parts fit."""
    parts = text.split(" · ")
    while parts and paper_width(" · ".join(parts), INFO_PT) > width:
        parts.pop()
    return len(parts)
