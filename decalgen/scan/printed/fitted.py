"""A printed page's lines fitted one by one, from about where they lie: each is there or is not. Pure; mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.light import Scan
from decalgen.scan.printed.ink import light_between
from decalgen.scan.printed.marks import FineLine, PageMarks
from decalgen.scan.printed.pose import PagePose
from decalgen.scan.remains import tukey
from decalgen.scan.scale import ScanScale

PIECE = 10.0
"""A line is fitted in pieces so long, mm: a page's turn is known well enough over such a length."""
APART = 0.2
"""From place to place along a line, mm."""
STEP = 0.04
"""From place to place across it, mm."""
PAPER = 0.85
"""Across a line, so much of what is seen is darker than its paper."""
CLEAR = 0.12
"""A line keeps at least so much less light than its paper, at its middle."""
ALL_ALONG = 0.7
"""And so at this share of its places."""
REACHES = (1.6, 0.9, 0.5)
"""How far to each side a line is looked for, first and later, mm."""
NEAR = 0.30
"""Half the width of what a line's middle is reckoned from, mm."""
OFF_MOST = 0.15
"""Once fitted, no line of the page lies further from its place, mm: bent paper, rows that are not even."""
SEEN = 0.85
"""So much of a page's lines has to be there."""


@dataclass(frozen=True)
class LinePiece:
    """A piece of a stroke as it was seen: ``at`` its middle on the page, how far ``off`` it lies, mm, upwards or to the
    right, how ``clear`` it is (the light it keeps back), and at which ``share`` of its places."""

    stroke: FineLine
    at: tuple[float, float]
    off: float
    clear: float
    share: float

    @property
    def there(self) -> bool:
        """Whether there is a line at all."""
        return self.clear >= CLEAR and self.share >= ALL_ALONG


@dataclass(frozen=True)
class PageOnScan:
    """A scan with its scale and the pose of a page on it."""

    scan: Scan
    scale: ScanScale
    pose: PagePose

    def light_at(self, at: FloatArray) -> FloatArray:
        """The light of places of the page, x and y along the last axis; NaN beyond the picture."""
        flat = self.scale.to_pixels(self.pose.on_scan(at.reshape(-1, 2)))
        return light_between(self.scan, flat.reshape(at.shape))

    def across(self, stroke: FineLine, at: FloatArray, reach: float) -> tuple[FloatArray, FloatArray]:
        """How much less light than the paper there is on lines square to a stroke: a row a place, a column a step; and
        the steps, mm."""
        steps = np.arange(-reach, reach + STEP / 2, STEP)
        way = np.array((0.0, 1.0) if stroke.level else (1.0, 0.0))
        light = self.light_at(at[:, None, :] + steps[None, :, None] * way)
        nth = int(PAPER * (len(steps) - 1))
        paper = np.partition(light, nth, axis=1)[:, nth : nth + 1]
        return np.asarray(1.0 - light / np.maximum(paper, 1e-3)), steps


def pieces_of(page: PageOnScan, strokes: Iterable[FineLine], reach: float) -> list[LinePiece]:
    """Every stroke in pieces, those beyond the picture as not there."""
    found = []
    for stroke in strokes:
        for at in _parts(stroke):
            found.append(_piece(page, stroke, at, reach))
    return found


def _parts(stroke: FineLine) -> list[FloatArray]:
    places = stroke.places(APART, inset=0.3)
    count = max(1, round(stroke.length / PIECE))
    return [one for one in np.array_split(places, count) if len(one)]


def _piece(page: PageOnScan, stroke: FineLine, at: FloatArray, reach: float) -> LinePiece:
    dark, steps = page.across(stroke, at, reach)
    middle = at.mean(axis=0)
    place = (float(middle[0]), float(middle[1]))
    whole = np.isfinite(dark).all(axis=1)
    if whole.mean() < 0.9:
        return LinePiece(stroke, place, 0.0, 0.0, 0.0)
    profile = np.median(dark[whole], axis=0)
    ground = float(np.median(profile))
    peak = int(profile.argmax())
    near = np.abs(steps - steps[peak]) <= NEAR
    weight = np.clip(profile - ground, 0.0, None) * near
    if not weight.sum() > 0:
        return LinePiece(stroke, place, 0.0, 0.0, 0.0)
    off = float((weight * steps).sum() / weight.sum())
    clear = float(profile[peak]) - ground
    # Each place of a line has it, where words and boxes only meet its middle.
    at_line = dark[whole][:, np.abs(steps - off) < 0.1].max(axis=1) - ground
    return LinePiece(stroke, place, off, clear, float((at_line > 0.5 * clear).mean()))


def fitted_page(page: PageOnScan, marks: PageMarks) -> tuple[PageOnScan, float]:
    """The page with its pose fitted to all its lines, and the share of these that is there."""
    for reach in REACHES:
        there = [one for one in pieces_of(page, marks.strokes, reach) if one.there]
        if len(there) < 8:
            return page, 0.0
        page = PageOnScan(page.scan, page.scale, _moved(page.pose, there))
    pieces = pieces_of(page, marks.strokes, REACHES[-1])
    good = [one.there and abs(one.off) < OFF_MOST for one in pieces]
    return page, float(np.mean(good))


def _moved(pose: PagePose, pieces: Sequence[LinePiece]) -> PagePose:
    """The pose moved so that pieces lie where they were seen: least squares over offsets square to each line, weighed
    by Tukey's weights."""
    rows, offs = [], []
    for one in pieces:
        x, y = one.at
        rows.append((0.0, 0.0, 0.0, x, y, 1.0) if one.stroke.level else (x, y, 1.0, 0.0, 0.0, 0.0))
        offs.append(one.off)
    matrix, off = np.array(rows), np.array(offs)
    weight = np.ones(len(off))
    found = np.zeros(6)
    for _ in range(8):
        root = np.sqrt(weight)
        found = np.linalg.lstsq(matrix * root[:, None], off * root, rcond=None)[0]
        rest = off - matrix @ found
        weight = tukey(rest, max(0.02, 1.5 * float(np.median(np.abs(rest)))))
    move = found.reshape(2, 3)
    linear, shift = pose.matrix[:, :2], pose.matrix[:, 2]
    return PagePose(np.column_stack((linear + linear @ move[:, :2], shift + linear @ move[:, 2])))
