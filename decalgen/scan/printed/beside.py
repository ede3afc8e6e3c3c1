"""The card beside a printed page: it tells the scanner's own scale. Pure; pixels and mm.

The uncertainty of a length on the page has three parts (JCGM 100:2008, 5.1.2): the card's size and where its corners
are seen (`scan.scale`); a scanner's row that is not even, so that the scale at the page is not that at the card: up to
`UNEVEN` over half the glass, more the further apart they lie; and where the two lines are seen, `CARD_LINES` of
`core.instruments`. The first two are common practice, no source; the last was measured on made scans, with some room
for the ragged lines of a printer.
"""

from __future__ import annotations

import math
from contextlib import suppress

import numpy as np
from shapely.geometry import Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.lengths.units import INCH_MM
from decalgen.core.pixels.contour import half_contour
from decalgen.core.values import dataclass
from decalgen.scan.edges import pick_around
from decalgen.scan.light import Scan, lab_of, linear_levels
from decalgen.scan.printed.ink import STRIP
from decalgen.scan.printed.marks import PageError
from decalgen.scan.reference import CARD_MM, CARD_OFF, TYPED_OFF, FoundCard, find_card
from decalgen.scan.scale import ScaleError, ScanScale, by_corners, by_dpi
from decalgen.scan.things import APART, LONG_SIDE, Things

UNEVEN = 0.0015
"""How far a scanner's scale at the edge of the glass may be off that in its middle (common practice, no source)."""
HALF_GLASS = 105.0
"""From the one to the other, mm."""
LEAST_AWAY = 30.0
"""Nearer to each other they are not taken to be, for a row may be uneven otherwise than evenly."""
COARSEST_MM = 0.14
"""With larger pixels, under about 180 an inch, thin lines are lost."""
USUAL_DPI = 300.0
AS_LARGE = 0.1
"""The card is as large as the resolution makes it, within this share."""
THICK_MM = 4.0
"""What is thinner than this is words and lines, no card."""


@dataclass(frozen=True)
class CardSize:
    """A card's width and height, mm, and the largest error of each; as the standard says unless it was measured."""

    size: tuple[float, float] = CARD_MM
    off: tuple[float, float] = CARD_OFF

    @staticmethod
    def measured(size: tuple[float, float], off: tuple[float, float] | None = None) -> CardSize:
        """One that was measured, with a caliper if nothing else is said."""
        return CardSize(size, off or TYPED_OFF)


@dataclass(frozen=True)
class CardScale:
    """The scale by a card; ``middle``: where that lies, pixels."""

    scale: ScanScale
    middle: FloatArray

    def share(self, start: FloatArray, end: FloatArray) -> float:
        """The standard uncertainty of the length from one place to another, pixels, as a share of it, but for where
        its ends are seen."""
        ends = np.vstack((start, end))
        along = np.diff(self.scale.to_mm(ends), axis=0)[0]
        part = along / np.linalg.norm(along)
        away = np.maximum(np.abs(ends.mean(axis=0) - self.middle) * self.scale.pixel_mm(self.middle), LEAST_AWAY)
        seen = np.abs(np.diff(ends, axis=0)[0])
        seen /= np.linalg.norm(seen)
        card = (part[0] ** 2 * self.scale.across, part[1] ** 2 * self.scale.up)
        # Which way the row lies is not known of a picture that may have been turned, so either way may be uneven.
        uneven = UNEVEN / math.sqrt(3) / HALF_GLASS * seen**2 * away
        return math.hypot(*card, *uneven)


def scale_beside(scan: Scan, card: CardSize) -> CardScale:
    """The scale by the card in a scan. Raises ScaleError where none is seen, PageError for a picture that is a photo or
    too coarse."""
    found = _card_in(scan, card)
    middle = found.corners.places.mean(axis=0)
    scale = by_corners(found.corners, middle)
    if scale.told.endswith("askew"):
        raise PageError(
            f"'{scan.name}' shows the card askew, as a photo does, and a photo is not even enough for this",
            fix="scan the page on a flatbed, the card beside it; or measure with the caliper",
        )
    _check_fine(scan, scale.pixel_mm(middle))
    return CardScale(scale, middle)


def scale_by_dpi(scan: Scan) -> CardScale:
    """The scale by the resolution, to within half a per cent: enough to find a page. Raises ScaleError where the file
    does not tell it, PageError for one that is too coarse."""
    if scan.dpi is None:
        raise ScaleError(
            f"'{scan.name}' does not say its resolution", fix="save it as the scanner gives it, as PNG, TIFF or JPEG"
        )
    _check_fine(scan, INCH_MM / min(scan.dpi))
    return CardScale(by_dpi(scan.dpi, False), np.array(scan.size) / 2)


def _check_fine(scan: Scan, pixel: float) -> None:
    if pixel > COARSEST_MM:
        raise PageError(
            f"'{scan.name}' has {INCH_MM / pixel:.0f} dots per inch, too few for thin lines",
            fix="scan it again at 300 dpi or more",
        )


def _card_in(scan: Scan, card: CardSize) -> FoundCard:
    """The card, on the lid beside the page or on the page itself. Raises ScaleError."""
    light, by = _reduced(scan)
    rim = np.median(np.concatenate((light[0], light[-1], light[:, 0], light[:, -1])), axis=0)
    pixel = INCH_MM / (scan.dpi[0] if scan.dpi else USUAL_DPI)
    seen = [(ground, _thick(light, ground, by, pixel)) for ground in (_paper(light), rim)]
    # The resolution may be that of the picture before it was made smaller, so it only decides between things.
    for as_large in (True, False):
        for ground, outlines in seen:
            alike = tuple(one for one in outlines if not as_large or _is_as_large(one, card, pixel))
            with suppress(ScaleError):
                return find_card(scan, Things(alike, ground, by), card.size, card.off)
    shown = f"{card.size[0]:g} \N{MULTIPLICATION SIGN} {card.size[1]:g} mm"
    raise ScaleError(
        f"no card of {shown} is seen in '{scan.name}'",
        fix="lay it flat on the glass beside the page, or on a blank part of it, all of it in the picture and of "
        "another colour than paper and lid",
    )


def _reduced(scan: Scan) -> tuple[FloatArray, int]:
    """Means of squares of pixels, every other one of each row and column, linear; and the side of a square, pixels."""
    by = 2 * max(1, math.ceil(max(scan.size) / LONG_SIDE / 2))
    wide, high = (side // by for side in scan.size)
    made = np.empty((high, wide, 3))
    for first in range(0, high, STRIP):
        last = min(first + STRIP, high)
        light = linear_levels()[scan.coded[first * by : last * by : 2, : wide * by : 2]]
        made[first:last] = light.reshape(last - first, by // 2, wide, by // 2, 3).mean(axis=(1, 3))
    return made, by


def _paper(light: FloatArray) -> FloatArray:
    """The bright colour that is seen most."""
    flat = light.reshape(-1, 3)
    lab = lab_of(flat)
    bright = lab[:, 0] > 0.7 * float(np.quantile(lab[:, 0], 0.99))
    bins = np.floor(lab[bright] / 4).astype(np.int64)
    bins -= bins.min(axis=0)
    key = (bins[:, 0] * 100 + bins[:, 1]) * 100 + bins[:, 2]
    most = np.bincount(key).argmax()
    return np.asarray(np.median(flat[bright][key == most], axis=0), float)


def _thick(light: FloatArray, ground: FloatArray, by: int, pixel: float) -> tuple[Polygon, ...]:
    """Outlines, pixels, the largest first, of what is of another colour than the ground and no thin line or word."""
    far = (np.linalg.norm(lab_of(light) - lab_of(ground), axis=2) > APART).astype(np.uint8)
    reach = max(1, round(THICK_MM / 2 / (by * pixel)))
    mask = pick_around(pick_around(far, reach, np.minimum), reach, np.maximum) * np.uint8(255)
    found = []
    for area in half_contour(mask).geoms:
        line = np.asarray(area.exterior.coords)
        found.append(Polygon(np.column_stack((by * line[:, 0], by * (len(mask) - line[:, 1])))))
    return tuple(sorted(found, key=lambda one: -one.area))


def _is_as_large(thing: Polygon, card: CardSize, pixel: float) -> bool:
    box = np.asarray(thing.minimum_rotated_rectangle.exterior.coords)[:3]
    sides = sorted(float(one) * pixel for one in np.linalg.norm(np.diff(box, axis=0), axis=1))
    return all(abs(seen / true - 1) < AS_LARGE for seen, true in zip(sides, sorted(card.size), strict=True))
