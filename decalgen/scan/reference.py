"""The card beside the object: found as a thing of its shape, its four sides fitted as lines, its corners where they
cross. Round corners do not matter. Pure; pixels.

The size of a card is that of ISO/IEC 7810 ID-1, 85.60 × 53.98 mm; the limits of a new one, 85.47 to 85.72 and 53.92 to
54.03 mm, are recalled, not read again. One that was measured is typed.
"""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry import Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.edges import SIGMA, changed, sampled, smoothed
from decalgen.scan.lens import lens_of
from decalgen.scan.light import Scan
from decalgen.scan.remains import spread_of, tukey
from decalgen.scan.scale import CardCorners, ScaleError
from decalgen.scan.things import Things

CARD_MM = (85.60, 53.98)
CARD_OFF = (0.13, 0.06)
"""The largest error of the nominal size; see above."""
TYPED_OFF = (0.03, 0.03)
"""That of one that was measured with a caliper."""
ALIKE = 0.10
"""A thing is the card if its sides are as the card's within this share; a photo seen askew may change them so much."""
FULL = 0.90
"""It fills at least this share of the rectangle round it."""
ENDS = 0.14
"""So much of a side is left out at each end: round corners."""
SEARCH = 6
"""How far to each side of the rough outline the edge is looked for, reduced pixels."""
LEAST_SEARCH = 12
AGAIN = 6
"""The same in pixels, at least, and when it is looked for again."""
CORNER_OFF = 0.05
"""A corner is known no better than this, pixels: lens, edge of the card."""


@dataclass(frozen=True)
class FoundCard:
    """The corners of a card and its outline."""

    corners: CardCorners
    outline: Polygon


def find_card(scan: Scan, things: Things, size: tuple[float, float], size_off: tuple[float, float]) -> FoundCard:
    """Raises ScaleError where no thing looks like the card, or it is cut off by the picture's edge."""
    alike = ((one, box) for one in things.outlines if (box := _card_box(one, size)) is not None)
    outline, box = next(alike, (None, None))
    shown = f"{size[0]:g} \N{MULTIPLICATION SIGN} {size[1]:g} mm"
    if outline is None or box is None:
        raise ScaleError(
            f"no card of {shown} is seen in '{scan.name}'",
            fix="lay a plain card beside the object, all of it in the picture and of another colour than the ground, "
            "or give its corners with --corners",
        )
    width, height = scan.size
    left, top, right, bottom = outline.bounds
    rim = 1.5 * things.reduced_by
    if left < rim or top < rim or right > width - rim or bottom > height - rim:
        raise ScaleError(
            f"the card in '{scan.name}' is cut off by the edge of the picture", fix="scan again with all of it inside"
        )
    sides, off = _sides(scan, _ordered(box, size), things.reduced_by)
    lens = lens_of(sides, scan.size)
    straight = [lens.straightened(side) for side in sides] if lens else sides
    lines = [_line_through(side) for side in straight]
    places = np.array([_crossing(lines[n - 1], lines[n]) for n in range(4)])
    places = lens.bent(places) if lens else places
    if not np.isfinite(places).all():
        raise ScaleError(f"the sides of the card in '{scan.name}' are not clear", fix="give its corners with --corners")
    corners = CardCorners(places, math.hypot(off, CORNER_OFF), size, size_off, f"a card of {shown}", lens)
    return FoundCard(corners, outline)


def _card_box(thing: Polygon, size: tuple[float, float]) -> FloatArray | None:
    """The corners of the rectangle round a thing that looks like the card; None of any other."""
    box = np.asarray(thing.minimum_rotated_rectangle.exterior.coords)[:4]
    sides = np.linalg.norm(np.roll(box, -1, axis=0) - box, axis=1)
    long, short = max(sides[:2]), min(sides[:2])
    fills = thing.area / max(long * short, 1e-9)
    off = abs(long / max(short, 1e-9) / (max(size) / min(size)) - 1)
    return box if off < ALIKE and fills > FULL else None


def _ordered(box: FloatArray, size: tuple[float, float]) -> FloatArray:
    """The corners from the lower left as it is seen, anticlockwise to the eye, the long side along the card's."""
    middle = box.mean(axis=0)
    angle = np.arctan2(-(box[:, 1] - middle[1]), box[:, 0] - middle[0])
    turned = box[np.argsort(angle)]
    best, least = turned, math.inf
    for start in range(4):
        tried = np.roll(turned, -start, axis=0)
        along, up = tried[1] - tried[0], tried[2] - tried[1]
        if (np.linalg.norm(along) > np.linalg.norm(up)) != (size[0] > size[1]):
            continue
        lean = abs(math.atan2(-along[1], along[0]))
        if lean < least:
            best, least = tried, lean
    return best


def _sides(scan: Scan, box: FloatArray, by: int) -> tuple[list[FloatArray], float]:
    """Points on each side, pixels, and how well their lines are known."""
    sides, offs = [], []
    for n in range(4):
        start, end = box[n], box[(n + 1) % 4]
        length = math.dist(start, end)
        along = (end - start) / length
        out = np.array([-along[1], along[0]])
        middle = box.mean(axis=0)
        out = out if (start - middle) @ out > 0 else -out
        count = int(min(400, max(24, length / 2)))
        on = np.linspace(ENDS, 1 - ENDS, count) * length
        places = start + on[:, None] * along
        # The rough outline is off by several pixels, and a lens bends it; half of the light is half of what is well
        # beside the edge, so it is looked for again where it was found.
        for reach in (max(SEARCH * by, LEAST_SEARCH), AGAIN):
            found = _crossings_of(scan, places, out, reach)
            if len(found) < 12:
                return [np.zeros((0, 2))] * 4, math.inf
            s, t = (found - start) @ along, (found - start) @ out
            fit, spread = _robust_curve(s, t, 2)
            places = start + on[:, None] * along + _powers(on, 2) @ fit[:, None] * out
        rest = np.abs(t - _powers(s, 2) @ fit)
        sides.append(found[rest < 4 * spread])
        offs.append(3 * spread / math.sqrt(len(found)))
    return sides, max(offs)


def _line_through(side: FloatArray) -> FloatArray:
    """The line a·x + b·y = c along points of a side; not a number without any."""
    if not len(side):
        return np.full(3, np.nan)
    start, end = side[0], side[-1]
    along = (end - start) / math.dist(start, end)
    out = np.array([-along[1], along[0]])
    fit, _ = _robust_curve((side - start) @ along, (side - start) @ out, 1)
    # From t = fit0 + fit1·s.
    normal = out - fit[1] * along
    return np.array([*normal, normal @ start + fit[0]])


def _crossings_of(scan: Scan, places: FloatArray, out: FloatArray, reach: float) -> FloatArray:
    """Where the light changes from the card's to the ground's, half way, on lines square to a side."""
    left, top = np.floor(places.min(axis=0) - reach - 4).astype(int).tolist()
    right, bottom = np.ceil(places.max(axis=0) + reach + 4).astype(int).tolist()
    window = scan.inside((left, top, right, bottom))
    light = smoothed(scan.light(window), SIGMA)
    steps = np.arange(-reach, reach + 0.25, 0.5)
    profile = np.stack([sampled(light, places + step * out - window[:2]) for step in steps])
    ends = max(2, len(steps) // 5)
    before, after = np.median(profile[:ends], axis=0), np.median(profile[-ends:], axis=0)
    share, crosses = changed(profile, before, after)
    good = (crosses.sum(axis=0) == 1) & (np.linalg.norm(after - before, axis=1) > 0.02)
    first = crosses.argmax(axis=0)
    pick = np.arange(len(places))
    low, high = share[first, pick], share[first + 1, pick]
    off = steps[first] + 0.5 * (0.5 - low) / np.where(good, high - low, 1.0)
    return np.asarray((places + off[:, None] * out)[good], float)


def _powers(s: FloatArray, degree: int) -> FloatArray:
    return np.column_stack([s**n for n in range(degree + 1)])


def _robust_curve(s: FloatArray, t: FloatArray, degree: int) -> tuple[FloatArray, float]:
    """t = a + b·s (and so on, to a degree) by Tukey's weights, and the spread of what is kept."""
    weight = np.ones_like(s)
    rows = _powers(s, degree)
    # Of like size, so that squares do not drown the rest.
    sizes = np.maximum(np.abs(rows).max(axis=0), 1e-9)
    fit: FloatArray = np.zeros(degree + 1)
    spread = 1.0
    for _ in range(12):
        fit = np.linalg.lstsq(rows / sizes * weight[:, None], t * weight, rcond=None)[0] / sizes
        rest = t - rows @ fit
        spread = spread_of(rest - np.median(rest), 0.01)
        weight = np.sqrt(tukey(rest, spread))
    return np.asarray(fit, float), spread


def _crossing(one: FloatArray, other: FloatArray) -> FloatArray:
    matrix = np.array([one[:2], other[:2]])
    if abs(np.linalg.det(matrix)) < 1e-6 or not np.isfinite(matrix).all():
        return np.full(2, np.nan)
    return np.asarray(np.linalg.solve(matrix, np.array([one[2], other[2]])), float)
