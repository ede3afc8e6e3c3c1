"""The asked lengths of a printed page measured in its scan, the scanner's scale told by a card beside it. Pure; mm.

Every end is where a line is seen, and nowhere else: a page whose lines are not where they ought to be, of whatever
size, is refused, so that a length asked wrongly never gives a ratio that looks right.
"""

from __future__ import annotations

import math

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.instruments import Instrument, scan_beside_card
from decalgen.core.pixels.values import PictureData
from decalgen.core.values import dataclass
from decalgen.scan.light import Scan, read_scan
from decalgen.scan.printed.beside import CardScale, CardSize, scale_beside
from decalgen.scan.printed.fitted import CLEAR, NEAR, SEEN, PageOnScan, fitted_page, pieces_of
from decalgen.scan.printed.ink import ink_places
from decalgen.scan.printed.marks import AskedSpan, CrossPoint, FineLine, PageError, PageMarks, PagePoint, corners_of
from decalgen.scan.printed.pose import likely_poses
from decalgen.scan.remains import tukey

APART = 0.05
"""From place to place along a line that is measured, mm."""
REACH = 0.8
"""How far to each side its paper is looked at, mm."""
ARM = 3.0
"""So much of a line, next to the point that is measured, tells where it runs there, mm."""
CROSSING = 0.45
"""So near to the crossing another line covers it, mm."""
SEEN_AT_END = 0.8
"""At an end, so much of a line has to be clear."""
ENOUGH = 0.9
"""Where so much of its lines is there, a page is looked for no further."""
ARM_OFF = 0.04
"""Arms are as long as they should be within this share: they tell a page of another size that was printed larger."""
STRAY = 0.25
"""No point lies further from where the page's own lines say it is, mm."""


@dataclass(frozen=True)
class ScannedSpan:
    """A length as it was read, mm. ``share``: its standard uncertainty but for ``placing``, as a share of it;
    ``placing``: that of where its ends are seen, mm."""

    span: AskedSpan
    read: float
    share: float
    placing: float


@dataclass(frozen=True)
class ScannedPage:
    """What was read of a page: its spans, the page on the scan, and ``told``, what the scale is by, in words."""

    spans: tuple[ScannedSpan, ...]
    page: PageOnScan
    told: str

    def share(self, way: str) -> float:
        """The largest standard uncertainty of the lengths of a way, as a share; of all where there is none."""
        own = [one.share for one in self.spans if one.span.way == way]
        return max(own or [one.share for one in self.spans])

    @property
    def tool(self) -> Instrument:
        """The scanner beside its card as an instrument, with the U of these lengths."""
        # Rounded up, so that what is kept never says less.
        return scan_beside_card(*(math.ceil(200 * self.share(way) * 100 - 1e-6) / 100 for way in ("x", "y")))


def read_page(picture: PictureData, marks: PageMarks, card: CardSize) -> ScannedPage:
    """The lengths of a page in the bytes of a scan. Raises PixelsError for a picture that cannot be read, ScaleError
    for one without the card, PageError for one in which the page, or one of its lines, is not seen."""
    scan = read_scan(picture)
    by_card = scale_beside(scan, card)
    return measure_page(find_page(scan, by_card, marks), by_card, marks)


def measure_page(page: PageOnScan, by_card: CardScale, marks: PageMarks) -> ScannedPage:
    """The lengths of a page that was found. Raises PageError where one of their ends is not seen, where there is a line
    that the page does not have, and where its arms are those of another size."""
    corners = {at: _seen_corner(page, corner, marks) for at, corner in corners_of(marks.spans).items()}
    _check_bare(page, marks)
    _check_arms(page, marks)
    spans = tuple(_span(page, by_card, corners, span) for span in marks.spans)
    return ScannedPage(spans, page, f"{by_card.scale.told}")


def find_page(scan: Scan, by_card: CardScale, marks: PageMarks) -> PageOnScan:
    """The page in a scan, however it is turned. Raises PageError where its lines are not seen together."""
    dots = by_card.scale.to_mm(ink_places(scan, by_card.scale.pixel_mm(by_card.middle)))
    best, most = None, 0.0
    if len(dots) > 50:
        for pose in likely_poses(dots, marks):
            page, share = fitted_page(PageOnScan(scan, by_card.scale, pose), marks)
            if share > most:
                best, most = page, share
            if most > ENOUGH:
                break
    if best is None or most < SEEN:
        raise _not_seen(best, most, marks, scan.name)
    return best


def _not_seen(best: PageOnScan | None, share: float, marks: PageMarks, name: str) -> PageError:
    if best is not None and share > 0.3:
        gone = [one.stroke.name for one in pieces_of(best, marks.strokes, 0.5) if not one.there]
        most = max(set(gone), key=gone.count)
        return PageError(
            f"{marks.called} is not seen as a whole in '{name}': no line where {most} should be",
            fix="scan all of it, with nothing on it; or see whether it is this page, printed at 100 %",
        )
    return PageError(
        f"{marks.called} is not seen in '{name}'",
        fix="see whether it is a scan of this page: one that was fitted or enlarged by more than 10 % is not found, so "
        "print it at 100 %; or measure with the caliper",
    )


@dataclass(frozen=True)
class _SeenCorner:
    """A corner in the scan's mm and pixels, and how well it is known, mm."""

    mm: FloatArray
    pixels: FloatArray
    u: float


def _seen_corner(page: PageOnScan, corner: CrossPoint, marks: PageMarks) -> _SeenCorner:
    """Where two lines cross. Raises PageError where one of them is not seen."""
    found = []
    for stroke in (corner.upright, corner.level):
        fit = _line_beside(page, stroke, corner.at)
        if fit is None:
            raise PageError(
                f"there is no line at {corner.name} in '{page.scan.name}'",
                fix=f"see that {marks.called} is whole in the scan and nothing lies on it; or measure with the caliper",
            )
        found.append(fit)
    (ax, bx, ux), (ay, by, uy) = found
    # x = ax + bx·y and y = ay + by·x, both from the corner.
    x = (ax + bx * ay) / (1 - bx * by)
    y = ay + by * x
    if max(abs(x), abs(y)) > STRAY:
        raise PageError(
            f"{corner.name} lies {math.hypot(x, y):.2f} mm from where the other lines of {marks.called} are",
            fix="see that the page lies flat and is not creased, and scan it again; or measure with the caliper",
        )
    mm = page.pose.on_scan(np.array([(corner.at[0] + x, corner.at[1] + y)]))
    return _SeenCorner(mm[0], page.scale.to_pixels(mm)[0], max(ux, uy))


def _line_beside(page: PageOnScan, stroke: FineLine, at: PagePoint) -> tuple[float, float, float] | None:
    """A line near a point of it: how far off it is there, mm, how much it leans, and how well the first is known; None
    where it is not clear."""
    axis = 0 if stroke.level else 1
    places = stroke.places(APART, inset=0.2)
    along = places[:, axis] - at[axis]
    places = places[(np.abs(along) <= ARM) & (np.abs(along) >= CROSSING)]
    if len(places) < 12:
        return None
    along = places[:, axis] - at[axis]
    dark, steps = page.across(stroke, places, REACH)
    if not np.isfinite(dark).all():
        return None
    dark = dark - np.median(dark, axis=1, keepdims=True)
    inside = np.abs(steps) <= STRAY + NEAR
    peak = steps[inside][dark[:, inside].argmax(axis=1)]
    middle = float(np.median(peak))
    near = np.abs(steps - middle) <= NEAR
    clear = dark[:, near].max(axis=1)
    seen = clear >= CLEAR
    if seen.mean() < SEEN_AT_END:
        return None
    weight = np.clip(dark[:, near] - 0.15 * clear[:, None], 0.0, None)
    off = (weight * steps[near]).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-9)
    along, off = along[seen], off[seen]
    rows = np.column_stack((np.ones_like(along), along))
    fit = np.array([float(np.median(off)), 0.0])
    keep = np.ones(len(off))
    for _ in range(6):
        root = np.sqrt(keep)
        fit = np.linalg.lstsq(rows * root[:, None], off * root, rcond=None)[0]
        rest = off - rows @ fit
        keep = tukey(rest, max(0.01, 1.5 * float(np.median(np.abs(rest)))))
    # Places nearer to each other than a pixel see the same.
    apart = max(page.scale.pixel_mm(page.scale.to_pixels(np.zeros((1, 2)))[0]) / APART, 1.0)
    count = max(3.0, float(keep.sum()) / apart)
    return float(fit[0]), float(fit[1]), 2 * float(np.std(rest[keep > 0])) / math.sqrt(count)


def _check_bare(page: PageOnScan, marks: PageMarks) -> None:
    """Raises PageError where a line is seen that the page does not have: it is another page, of other lengths."""
    for one in pieces_of(page, marks.bare, 0.3):
        if one.clear >= 2 * CLEAR and one.share >= SEEN_AT_END:
            raise PageError(
                f"there is a line in '{page.scan.name}' that {marks.called} does not have: {one.stroke.name}",
                fix="see whether it is a scan of this page; or measure with the caliper",
            )


def _check_arms(page: PageOnScan, marks: PageMarks) -> None:
    """Raises PageError where arms are longer or shorter than the rest of the page makes them: its lengths are others
    than those that are asked."""
    seen = [long for arm in marks.arms if (long := _length_of(page, arm)) is not None]
    if len(seen) < 3:
        return
    share = float(np.median(seen)) / marks.arms[0].length
    if abs(share - 1) > ARM_OFF:
        raise PageError(
            f"the page in '{page.scan.name}' is not {marks.called} of this size: by its small crosses it is about "
            f"{1 / share:.0%} of it",
            fix="see that film, printer and instrument are those that it was printed for; or measure with the caliper",
        )


def _length_of(page: PageOnScan, arm: FineLine) -> float | None:
    """How long an arm is from its start to where its darkness is half; None where it does not end clearly."""
    out = np.subtract(arm.end, arm.start) / arm.length
    side = np.array((-out[1], out[0]))
    along = np.arange(0.5 * arm.length, 1.5 * arm.length, 0.02)
    at = np.array(arm.start) + along[:, None, None] * out + np.linspace(-0.3, 0.3, 13)[:, None] * side
    light = page.light_at(at)
    if not np.isfinite(light).all():
        return None
    dark = light.max(axis=1) - light.min(axis=1)
    full = float(np.median(dark[: len(dark) // 4]))
    under = np.flatnonzero(dark < full / 2)
    return float(along[under[0]]) if len(under) and full > CLEAR * float(light.max()) else None


def _span(page: PageOnScan, by_card: CardScale, corners: dict[PagePoint, _SeenCorner], span: AskedSpan) -> ScannedSpan:
    start, end = (corners[corner.at] for corner in span.ends)
    share = by_card.share(start.pixels, end.pixels)
    return ScannedSpan(span, math.dist(start.mm, end.mm), share, math.hypot(start.u, end.u))
