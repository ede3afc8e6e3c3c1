"""Rules for every letter as it is drawn: openings that fill, strokes that break, letters that run together in print.

A whole decal's thin lines and gaps are judged by `preflight.strokes`, by their length and their share of all ink; a
letter is lost by much less.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import lru_cache, partial

from shapely.geometry import MultiPolygon

from decalgen.artwork.build import Artwork
from decalgen.artwork.findings import written_at
from decalgen.core.errors import DecalgenError, Finding
from decalgen.job.model import Decal, Job, Printer
from decalgen.lettering.narrow_places import breaks, stays_open
from decalgen.lettering.outlines import Letter
from decalgen.lettering.printable import kinds_of
from decalgen.preflight.features import broken, close_up, closed, neighbours, thin
from decalgen.preflight.lettering import compensation, keeps_in, left_bare, letterings, shown, where
from decalgen.preflight.limits import held, limits
from decalgen.shapes.lettering import Lettering

LARGEST = 3.0
"""Lettering is not advised to be made larger than this many times."""


def closing_letters(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Counters and notches of letters, and gaps between letters, that fill in print as good as whole."""
    found = []
    for element, lettering in letterings(decal.artwork):
        _, gap, feature = _least(lettering, artwork, job, printer)
        lost = closed(lettering, gap)
        if lost is None or _told_as_small(lettering, artwork, job, printer):
            continue
        found.append(
            Finding(
                "warning",
                "letters-close",
                decal.name,
                f"{lost.named} of '{shown(lettering)}' {'close' if len(lost.letters) > 1 else 'closes'} up: openings "
                f"down to {lost.figure(gap)} mm, under the {gap:.2f} mm that {held(printer, feature)}",
                _fix(lettering, artwork, job, printer),
                written_at(element.place, decal),
                lost.narrowest,
                gap,
                areas=where(lettering, artwork, decal, job),
            )
        )
    return found


def breaking_letters(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Letters of which a stroke, or a whole dot, is thinner than the printer lays down."""
    found = []
    for element, lettering in letterings(decal.artwork):
        stroke, _, feature = _least(lettering, artwork, job, printer)
        lost = broken(lettering, stroke)
        if lost is None or _told_as_small(lettering, artwork, job, printer):
            continue
        if feature == "gap" and _told_as_thin(lettering, artwork, printer):
            continue
        limit = held(printer, "line" if feature == "gap" else "gap")
        found.append(
            Finding(
                "warning",
                "letters-break",
                decal.name,
                f"{lost.named} of '{shown(lettering)}' {'have' if len(lost.letters) > 1 else 'has'} strokes down to "
                f"{lost.figure(stroke)} mm, under the {stroke:.2f} mm that {limit}",
                _fix(lettering, artwork, job, printer),
                written_at(element.place, decal),
                lost.narrowest,
                stroke,
                areas=where(lettering, artwork, decal, job),
            )
        )
    return found


def _least(lettering: Lettering, artwork: Artwork, job: Job, printer: Printer) -> tuple[float, float, str]:
    """The thinnest stroke and the narrowest opening that hold, mm, and which limit that of openings is. In letters
    left bare a stroke is a gap in ink, and what lies between strokes is ink."""
    limit = limits(printer)
    if lettering.reversed or lettering.ink in left_bare(artwork, job, printer):
        return limit.gap, limit.line, "line"
    return limit.line, limit.gap, "gap"


def _told_as_thin(lettering: Lettering, artwork: Artwork, printer: Printer) -> bool:
    """Whether all ink of a lettering's colour together is told as too thin already."""
    return any(thin(i.region, limits(printer).line) for i in artwork.shown if i.ink == lettering.ink)


def _told_as_small(lettering: Lettering, artwork: Artwork, job: Job, printer: Printer) -> bool:
    """Whether lettering is under the least cap height, or was opened and not far enough: that is a finding already."""
    limit = limits(printer)
    bare = lettering.ink in left_bare(artwork, job, printer)
    if lettering.compensate:
        return not all(one.fits for one in lettering.block.printable)
    return lettering.block.cap_height < (limit.caps_reversed if bare else limit.caps) - 1e-9


def _fix(lettering: Lettering, artwork: Artwork, job: Job, printer: Printer) -> str:
    """What helps, each tried first: letters drawn for the printer, larger ones."""
    ways = []
    stroke, gap, _ = _least(lettering, artwork, job, printer)
    tried = _compensated(lettering, stroke, gap)
    if tried is not None and keeps_in(lettering, tried, artwork, job, printer):
        ways.append(f"add {compensation(tried)}")
    cap = _large_enough(lettering, stroke, gap)
    if cap and _goes_on(lettering, cap):
        ways.append(f"make capitals {cap:.1f} mm high")
    return ", or ".join([*ways, "choose a wider or plainer face, or a finer printer"])


def _goes_on(lettering: Lettering, cap: float) -> bool:
    """Whether lettering on a curve, or in a box that it is arched in, still goes there with larger capitals."""
    if not (lettering.arc or lettering.along):
        return True
    if lettering.fit:
        return False
    try:
        return bool(replace(lettering, cap_height=cap).block.letters)
    except DecalgenError:
        return False


@lru_cache(maxsize=256)
def _compensated(lettering: Lettering, stroke: float, gap: float) -> Lettering | None:
    if lettering.compensate:
        return None
    try:
        tried = replace(lettering, compensate=True, least_stroke=stroke, least_gap=gap)
        if lettering.reversed:
            tried = replace(tried, least_stroke=gap, least_gap=stroke)
        fits = all(one.fits for one in tried.block.printable)
    except DecalgenError:
        return None
    return tried if fits and closed(tried, gap) is None and broken(tried, stroke) is None else None


@lru_cache(maxsize=256)
def _large_enough(lettering: Lettering, stroke: float, gap: float) -> float | None:
    """The least cap height in tenths of a millimetre at which nothing is lost; None where that is far away.

    What holds at one size holds at every larger one: what is not lost now is not looked at, and the size that a letter
    needs is looked for only where it is lost at the size that all before it need.
    """
    cap = lettering.block.cap_height
    least, most = int(cap * 10) + 1, int(cap * 10 * LARGEST)
    for holds in _lost_now(lettering, stroke, gap):
        if least <= most and holds(least / 10 / cap):
            continue
        if least > most or not holds(most / 10 / cap):
            return None
        low = least
        least = most
        while least - low > 1:
            middle = (low + least) // 2
            if holds(middle / 10 / cap):
                least = middle
            else:
                low = middle
    return least / 10


def _lost_now(lettering: Lettering, stroke: float, gap: float) -> Iterator[Callable[[float], bool]]:
    """For each letter and each pair of neighbours that is lost whether it holds when it is made so many times as
    large."""
    now = {text for lost in (closed(lettering, gap), broken(lettering, stroke)) if lost for text in lost.letters}
    for text, area in kinds_of(lettering.block.letters):
        if text in now:
            yield partial(_letter_holds, area, stroke, gap)
    for one, other in neighbours(lettering):
        if one.text + other.text in now:
            yield partial(_pair_holds, one, other, gap, lettering.block.cap_height)


def _letter_holds(area: MultiPolygon, stroke: float, gap: float, by: float) -> bool:
    return stays_open(area, gap / by) and not breaks(area, stroke / by)


def _pair_holds(one: Letter, other: Letter, gap: float, cap: float, by: float) -> bool:
    return not close_up(one, other, gap / by, cap)
