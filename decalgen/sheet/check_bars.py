"""Check bars: known lengths that prove the size of a print. They stand on the proof alone, over film that stays blank,
or on a page of their own where a sheet has no such room. Pure; mm."""

from __future__ import annotations

import math
from typing import Literal

from decalgen.core import style
from decalgen.core.document import Fill, Item, Line
from decalgen.core.geometry import Bounds, apply, multiply, region, rotation, transform, translation
from decalgen.core.values import dataclass
from decalgen.lettering.paper import paper

BarAxis = Literal["x", "y"]
BAR_WORDS: dict[BarAxis, str] = {"x": "horizontal bar", "y": "vertical bar"}
LEAST_BAR = 20.0
"""No bar is shorter, mm."""
ROOMS = ((80.0, 86.0), (120.0, 70.0))
"""The least widths and heights, mm, of film that stays blank for bars, boxes for the readings and words over it."""
INSET = 1.5
"""From the edge of that film to the line round what stands on the proof only, mm."""
LABEL_PT = style.TYPE_SMALL
BESIDE = 3.0
"""Round the bars, mm."""
DEEP = 6.0
"""How much of the page a bar with its length takes beside it, mm."""


@dataclass(frozen=True)
class CheckBar:
    """A bar of known length between two fine ticks, for the caliper. ``axis`` 'x' runs across, 'y' up the sheet."""

    axis: BarAxis
    x: float
    y: float
    length: float


@dataclass(frozen=True)
class ProofBars:
    """The bars of a sheet on its proof. ``room``: the rectangle that they and all words stand in; ``own_page``: whether
    that is a page of its own, of the size of the sheet, and not the sheet's."""

    room: Bounds
    bars: tuple[CheckBar, ...]
    own_page: bool


def proof_bars(rest: Bounds | None, page: Bounds) -> ProofBars:
    """The bars, each 100 mm or as long as there is room. ``rest``: the film of the sheet that stays blank; ``page``:
    what can be printed of a whole page."""
    if rest is not None and any(rest[2] - rest[0] >= wide and rest[3] - rest[1] >= high for wide, high in ROOMS):
        x0, y0, x1, y1 = rest
        room = (x0 + INSET, y0 + INSET, x1 - INSET, y1 - INSET)
        return ProofBars(room, _bars(room), False)
    return ProofBars(page, _bars(page), True)


def _bars(room: Bounds) -> tuple[CheckBar, ...]:
    """One along the foot and one up the left side, in whole tens; none that way where 20 mm have no room. The one gives
    way to the other at their corner so that the shorter is as long as may be; where little room is, they share it."""
    x0, y0, x1, y1 = room
    wide, high = x1 - x0, y1 - y0
    tries = []
    for beside, along, above in ((BESIDE, DEEP + 1.0, 0.0), (BESIDE, 0.0, DEEP), (0.5, 0.0, 0.0)):
        across, up = _length(wide - 2 * beside - along), _length(high - 2 * beside - above)
        bars = (
            CheckBar("x", x0 + beside + along, y0 + beside, across),
            CheckBar("y", x0 + beside, y0 + beside + above, up),
        )
        there = tuple(one for one in bars if one.length)
        tries.append(((len(there), beside, min(across, up), across + up), there))
    return max(tries, key=lambda one: one[0])[1]


def _length(room: float) -> float:
    found = min(style.CHECK_BAR, math.floor(room / 10 + 1e-9) * 10.0)
    return found if found >= LEAST_BAR else 0.0


def check_bar(bar: CheckBar, colour: str = style.TEXT, points: float = LABEL_PT) -> list[Item]:
    """A bar with its length in figures."""
    label = paper(f"{bar.length:g} mm", points)
    if bar.axis == "x":
        place = translation(bar.x + bar.length / 2 - label.width / 2, bar.y + 1.9)
    else:
        turned = rotation(90)
        place = multiply(translation(bar.x + 1.9 + label.cap_height, bar.y + bar.length / 2 - label.width / 2), turned)
    return [*bar_lines(bar, colour), Fill(region(transform(label.region, place)), colour)]


def bar_lines(bar: CheckBar, colour: str = style.TEXT) -> list[Line]:
    """A bar with its ticks. The distance is from tick middle to tick middle."""
    horizontal: list[tuple[tuple[float, float], tuple[float, float]]] = [
        ((0.0, 1.0), (bar.length, 1.0)),
        *(((at, 0.0), (at, 3.0 if at in (0.0, bar.length) else 1.6)) for at in _tens(bar.length)),
    ]
    turned = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0) if bar.axis == "x" else (0.0, 1.0, 1.0, 0.0, 0.0, 0.0)
    place = multiply(translation(bar.x, bar.y), turned)
    return [Line((apply(place, a), apply(place, b)), style.LINE_DIMENSION, colour) for a, b in horizontal]


def _tens(length: float) -> list[float]:
    return [10.0 * i for i in range(round(length / 10) + 1)]
