"""What would make a decal fit, found by trying: it is only offered what the very check then has nothing against. Pure.

A decal is tried smaller, held where it is held now, or moved; both hands have to fit.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

from shapely.affinity import scale, translate

from decalgen.artwork.build import Artwork, hands
from decalgen.artwork.on_panel import on_panel
from decalgen.core.geometry import TOLERANCE
from decalgen.job.model import Decal, Hand, Job
from decalgen.panels.clearance import overlap_line
from decalgen.panels.fit import WAYS, Clearance, Fit, fit
from decalgen.preflight.fitting import Fitting, fitting
from decalgen.shapes.base import ANCHORS

STEP_MM = 0.01
LEAST_MM = 0.5
"""A decal is not offered to be made smaller than this."""
SIZES = (("width", "spare width", ("left", "right")), ("height", "spare height", ("bottom", "top")))
Parts = Callable[[Job, Decal, Hand | None], tuple[Artwork, ...]]


class Remedy(NamedTuple):
    """One way out. ``size``: 'width' or 'height' and what it has to be, mm; or how far to move it, mm as seen on the
    hand that was asked about. ``words`` say what is wrong and what would do, ``label`` what is done."""

    words: str
    label: str
    size: tuple[str, float] | None = None
    move: tuple[float, float] = (0.0, 0.0)


def remedies(job: Job, decal: Decal, hand: Hand | None, parts: Parts) -> tuple[Remedy, ...]:
    """The ways out for a decal that does not fit for sure; none where it fits, where a reading is open, and where
    nothing simple helps. Raises DecalgenError for a decal that cannot be drawn."""
    found = fitting(parts(job, decal, hand), decal, job)
    if found.fit.verdict == "fits" or found.fit.waits or decal.cut.kind == "panel" or decal.taken_out:
        return ()
    tried = _Tried(job, decal, hand, found, parts)
    return (*tried.smaller(), *tried.elsewhere())


class _Tried:
    """The trials with one decal."""

    def __init__(self, job: Job, decal: Decal, hand: Hand | None, found: Fitting, parts: Parts) -> None:
        self.job, self.decal, self.hand, self.found, self.parts = job, decal, hand, found, parts
        self.panel, self.at = on_panel(job, decal, hand)
        self.wrong = [one for one in found.fit.clearances if one.verdict != "fits"]

    def smaller(self) -> Iterator[Remedy]:
        """One size less, where edges alone are in the way of it."""
        for way, (key, spare, ends) in enumerate(SIZES):
            edges = [one for one in self.wrong if one.to in ends]
            room = [one for one in self.wrong if one.to == spare]
            if not edges and not room:
                continue
            size = self.decal.height.value if way else self.decal.width.value
            held = ANCHORS[self.at.anchor][way]
            shares = {ends[0]: held, ends[1]: 1 - held}
            # The side it is held by stays where it is: making it smaller is no way out there.
            if any(shares[one.to] < 1e-9 for one in edges):
                continue
            less = max([-one.surplus / shares[one.to] for one in edges] + [-one.surplus for one in room])
            new = self._smallest_change(way, _down(size - less))
            if new is not None:
                said = _said(min(edges or room, key=lambda one: one.surplus))
                yield Remedy(
                    f"{said}: {new:.2f} would fit", f"Make it {new:.2f} mm {('wide', 'high')[way]}", (key, new)
                )

    def _smallest_change(self, way: int, new: float) -> float | None:
        """The size by which it fits on every hand; None where it does not, a little less tried too."""
        whole = self.decal.height.value if way else self.decal.width.value
        for size in (new, new - STEP_MM) if new - STEP_MM >= LEAST_MM else ():
            less = (0.0, whole - size) if way else (whole - size, 0.0)
            if all(one.verdict == "fits" for one in self._all_hands(less, (0.0, 0.0))):
                return round(size, 2)
        return None

    def elsewhere(self) -> Iterator[Remedy]:
        """The shortest way to where it fits: clear of what it lies on, or back from the edge it reaches over."""
        ways = [way for way in self._ways() if math.hypot(*way) > STEP_MM / 2]
        for way in sorted(ways, key=lambda way: math.hypot(*way)):
            if all(one.verdict == "fits" for one in self._all_hands((0.0, 0.0), way)):
                things = [one for one in self.wrong if one.towards in ("obstacle", "gap")]
                said = _said(min(things or self.wrong, key=lambda one: one.surplus))
                words = f"{said}: {_way_words(way)} it fits"
                yield Remedy(words, "Move it clear" if things else "Move it in", None, way)
                return

    def _ways(self) -> Iterator[tuple[float, float]]:
        x0, y0, x1, y1 = self.found.cut.bounds
        shift = [0.0, 0.0]
        for one in self.wrong:
            for way, (_, _, ends) in enumerate(SIZES):
                if one.to in ends:
                    shift[way] += _out(-one.surplus) * (1 if one.to == ends[0] else -1)
        yield shift[0], shift[1]
        obstacles = {thing.name: thing for thing in self.panel.obstacles}
        for one in self.wrong:
            thing = obstacles.get(one.to)
            if thing is None:
                continue
            left, low, right, high = thing.outline.polygon.bounds
            away = one.asked + one.expanded
            for dx, dy in ((right + away - x0, 0), (left - away - x1, 0), (0, high + away - y0), (0, low - away - y1)):
                # Together with what the edges ask for.
                yield _out(dx) + shift[0] * (dx == 0), _out(dy) + shift[1] * (dy == 0)
            (ax, ay), (bx, by) = overlap_line(self.found.cut, thing.outline.polygon)
            deep = math.hypot(bx - ax, by - ay)
            if deep > TOLERANCE:
                far = (deep + away + STEP_MM) / deep
                yield _out((bx - ax) * far), _out((by - ay) * far)

    def _all_hands(self, less: tuple[float, float], way: tuple[float, float]) -> Iterator[Fit]:
        """The verdicts on every hand, with its cut line so much narrower and lower, and so far from here."""
        for hand in hands(self.decal):
            panel, at = on_panel(self.job, self.decal, hand)
            found = self.found if hand == self.hand else self._fitting(hand)
            mirrored = hand != self.hand and panel is not self.panel and panel.hand != self.panel.hand
            x0, y0, x1, y1 = found.cut.bounds
            fx, fy = ANCHORS[at.anchor]
            origin = (x0 + fx * (x1 - x0), y0 + fy * (y1 - y0))
            cut = scale(found.cut, 1 - less[0] / (x1 - x0), 1 - less[1] / (y1 - y0), origin=origin)
            cut = translate(cut, -way[0] if mirrored else way[0], way[1])
            size = (self.decal.width, self.decal.height)
            yield fit(cut, size, panel, anchor=ANCHORS[at.anchor], cut_around=found.across)

    def _fitting(self, hand: Hand | None) -> Fitting:
        return fitting(self.parts(self.job, self.decal, hand), self.decal, self.job)


def _said(one: Clearance) -> str:
    """What is wrong, by its figure: '0.40 mm over the top edge', '0.25 mm on the handle'."""
    over = -one.amount.value
    if one.verdict == "not known":
        return f"{-one.surplus:.2f} mm too near {_the(one)} to be sure"
    if one.towards in ("obstacle", "gap"):
        return f"{over:.2f} mm over the clearance of {_the(one)}" if one.asked else f"{over:.2f} mm on {_the(one)}"
    return f"{over:.2f} mm more than the panel has" if one.to in WAYS else f"{over:.2f} mm over {_the(one)}"


def _the(one: Clearance) -> str:
    return f"the {one.label}"


def _way_words(way: tuple[float, float]) -> str:
    """'0.80 mm to the right and 0.20 mm down'."""
    across = f"{abs(way[0]):.2f} mm to the {'right' if way[0] > 0 else 'left'}" if way[0] else ""
    up = f"{abs(way[1]):.2f} mm {'up' if way[1] > 0 else 'down'}" if way[1] else ""
    return " and ".join(one for one in (across, up) if one)


def _down(size: float) -> float:
    """Rounded to less."""
    return round(math.floor(size / STEP_MM + 1e-6) * STEP_MM, 2)


def _out(value: float) -> float:
    """Rounded away from nothing."""
    steps = value / STEP_MM
    return round(math.copysign(math.ceil(abs(steps) - 1e-6), steps) * STEP_MM, 2)
