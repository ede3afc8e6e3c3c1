"""The label of a piece: its number as small outlines, with a line under it where it could be read upside down, and a
triangle that points to the model's nose. Always upright as the sheet is fed. Pure; mm."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from shapely.geometry import MultiPolygon, Polygon, box

from decalgen.core.geometry import multiply, region, rotation, transform, translation
from decalgen.core.values import dataclass
from decalgen.lettering.paper import paper
from decalgen.sheet.pieces import Placed

CAPS = (1.6, 1.3, 1.1)
"""Cap heights, mm, the largest first (common practice, no source)."""
UNDERLINE = 0.12
UNDERLINE_BELOW = 0.22
"""How thick the line under a number is, and how far below the foot of its digits, mm."""
TRIANGLE = 0.8
"""From the back of the triangle to its tip, as a part of the cap height; its back is a cap height long."""
APART = 0.3
"""Between number and triangle, and between two rows, as a part of the cap height."""

_TURNED = str.maketrans("01689", "01986")
_NOSE = {"left": 180.0, "right": 0.0}


@dataclass(frozen=True)
class Label:
    """One way to draw a label. ``region``: its ink, the lower left corner of the box round it at the origin; ``small``:
    which of `CAPS`; ``form``: 0 in line, 1 one part over another."""

    region: MultiPolygon
    width: float
    height: float
    small: int
    form: int


def nose_of(placed: Placed) -> float | None:
    """Where the nose of the model is, seen from a piece on its sheet, in degrees from the right; None: no hand."""
    hand = placed.piece.artwork.hand
    return None if hand is None else (_NOSE[hand] + placed.turn) % 360


def reads_turned(text: str) -> bool:
    """Whether a number read upside down is another number: 6, 19, 86, but not 8, 69 or 10 (that would begin with 0).

    Letters before the digits do not count: the line belongs to the digits.
    """
    digits = _parts(text)[1]
    if not digits or set(digits) - set("01689"):
        return False
    turned = digits.translate(_TURNED)[::-1]
    return turned != digits and not turned.startswith("0")


@lru_cache(maxsize=4096)
def labels_of(text: str, nose: float | None) -> tuple[Label, ...]:
    """Every way to draw a label of a text (letters, then digits), the largest and plainest first.

    In line; the number over its triangle; the letters over the digits.
    """
    letters, digits = _parts(text)
    found = []
    for small, cap in enumerate(CAPS):
        number = _number(text, cap)
        arrow = None if nose is None else _arrow(cap, nose)
        found.append(_label(_beside(number, arrow, nose, cap), small, 0))
        if arrow is not None:
            found.append(_label(_stacked([number, arrow], cap), small, 1))
        if letters and digits:
            first = _beside(_number(letters, cap), arrow, nose, cap)
            found.append(_label(_stacked([first, _number(digits, cap)], cap), small, 1))
    return tuple(found)


def _parts(text: str) -> tuple[str, str]:
    found = re.fullmatch(r"(.*?)([0-9]*)", text, re.DOTALL)
    assert found is not None
    return found[1], found[2]


@lru_cache(maxsize=4096)
def _number(text: str, cap: float) -> MultiPolygon:
    """The text on the baseline, with its line where it needs one."""
    size = cap / paper("0", 10.0).cap_height * 10.0
    drawn = paper(text, size).region
    if not reads_turned(text):
        return drawn
    letters = paper(_parts(text)[0], size).width
    x0 = min(x for x, *_ in (part.bounds for part in drawn.geoms) if x >= letters)
    low = -UNDERLINE_BELOW - UNDERLINE
    return _joined(drawn, region(box(x0, low, drawn.bounds[2], -UNDERLINE_BELOW)))


def _arrow(cap: float, nose: float) -> MultiPolygon:
    """The triangle, its middle half a cap height above the baseline."""
    reach = TRIANGLE * cap
    tip = Polygon([(reach / 2, 0.0), (-reach / 2, cap / 2), (-reach / 2, -cap / 2)])
    return region(transform(tip, multiply(translation(0.0, cap / 2), rotation(nose))))


def _beside(number: MultiPolygon, arrow: MultiPolygon | None, nose: float | None, cap: float) -> MultiPolygon:
    """A number with its triangle in line: before it where the nose is to the left, else after it."""
    if arrow is None or nose is None:
        return number
    x0, _, x1, _ = number.bounds
    gap = APART * cap
    left = 90.0 < nose < 270.0
    move = x0 - gap - arrow.bounds[2] if left else x1 + gap - arrow.bounds[0]
    return _joined(number, region(transform(arrow, translation(move, 0.0))))


def _stacked(rows: Sequence[MultiPolygon], cap: float) -> MultiPolygon:
    """Rows one under the other, their middles in line."""
    placed: list[MultiPolygon] = []
    foot = 0.0
    for row in rows:
        x0, y0, x1, y1 = row.bounds
        placed.append(region(transform(row, translation(-(x0 + x1) / 2, foot - y1))))
        foot -= y1 - y0 + APART * cap
    return _joined(*placed)


def _joined(*parts: MultiPolygon) -> MultiPolygon:
    """Parts that lie apart, as one."""
    return MultiPolygon([polygon for part in parts for polygon in part.geoms])


def _label(ink: MultiPolygon, small: int, form: int) -> Label:
    x0, y0, x1, y1 = ink.bounds
    return Label(region(transform(ink, translation(-x0, -y0))), x1 - x0, y1 - y0, small, form)
