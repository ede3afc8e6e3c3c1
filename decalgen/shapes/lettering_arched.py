"""A line of lettering on the arc it is arched to: turned, fanned or upright, and as far round as it has to go."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

import shapely

from decalgen.core.geometry import Bounds
from decalgen.core.values import dataclass
from decalgen.lettering.typeface import LetteringError
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.lettering_groups import Arc
from decalgen.shapes.lettering_modes import SetLettering, Setter

if TYPE_CHECKING:
    from decalgen.lettering.along import Opened
    from decalgen.lettering.outlines import Letter, TextLine
    from decalgen.lettering.printable import Printable

ROUNDS = 20
MET_MM = 1e-6
"""A rise, or the height of a box, is met so closely."""
HALF_ROUND = math.pi / 2
"""An arched word goes no further than half round: half of that, radians."""
UPRIGHT_MOST = math.radians(74.9)
CLEAR_OF_CENTRE = 1.05
"""On the inside of an arc its radius is at least so many cap heights."""
LEAST_OUTSIDE = 0.5
"""On the outside it is at least so many."""
STEP_MM = 0.01
"""Sizes that are advised end on this."""


class LaidLine(NamedTuple):
    """A line laid on its baseline, and the height of the arc that its ink covers, mm."""

    line: TextLine
    letters: tuple[Letter, ...]
    rise: float
    radius: float = math.inf
    opened: tuple[Opened, ...] = ()
    tightest: float = math.inf
    changes: Printable | None = None

    @property
    def bounds(self) -> Bounds:
        """Its ink's left, low, right and high end, accents and tails included, mm."""
        x0, y0, x1, y1 = shapely.total_bounds([letter.region for letter in self.letters]).tolist()
        return x0, y0, x1, y1

    @property
    def ink(self) -> Box:
        """What its ink takes."""
        x0, y0, x1, y1 = self.bounds
        return Box(x1 - x0, y1 - y0)


@dataclass(frozen=True)
class ArchedLine:
    """A line of lettering and the arc that it is laid on: turned, fanned or upright."""

    text: str
    arc: Arc
    setter: Setter
    bend: str

    def line(self, cap: float) -> tuple[TextLine, Printable | None]:
        """The line as it is on a straight baseline, at a cap height."""
        return replace(self.setter, cap=cap).line(self.text)

    def round(self, cap: float, radius: float) -> LaidLine:
        """Turned or fanned on a circle about the origin."""
        from decalgen.lettering.along import circle_curve, stood_on_arc
        from decalgen.lettering.bending import fanned

        line, changes = self.line(cap)
        side: Any = self.arc.side
        if self.bend == "fan":
            self._check_centre(cap, radius)
            head = self.arc.head_rise
            bent = fanned(line, circle_curve(radius, side), head_rise=None if head is None else self.arc.way * head)
            return LaidLine(line, bent.letters, _rise(radius, bent.end - bent.start), radius, changes=changes)
        least, held = self.setter.gap
        stood = stood_on_arc(line, radius, side=side, least=least, held=held)
        rise = _rise(radius, stood.end - stood.start)
        return LaidLine(line, stood.letters, rise, radius, stood.opened, stood.tightest, changes)

    def _check_centre(self, cap: float, radius: float) -> None:
        if self.arc.side == "inside" and cap >= radius:
            raise ShapeError(
                f"letters {cap:g} mm high reach over the centre of a circle of {radius:g} mm radius",
                "use a smaller cap height or a larger radius",
            )

    def upright(self, cap: float, rise: float) -> LaidLine:
        """Between a foot and a head, from (0, 0)."""
        from decalgen.lettering.bending import rising, upright

        line, changes = self.line(cap)
        way = self.arc.way
        head = None if self.arc.head_rise is None else rising(line.width, way * self.arc.head_rise)
        return LaidLine(line, upright(line, rising(line.width, way * rise), head).letters, rise, changes=changes)

    def straight(self, cap: float) -> Box:
        """What its ink takes on a straight baseline."""
        x0, y0, x1, y1 = self.line(cap)[0].region.bounds
        return Box(x1 - x0, y1 - y0)

    def half_round(self, cap: float, half: float) -> LaidLine:
        """On the arc that the line goes round by about so much to either side of its middle, radians."""
        width = self.line(cap)[0].width
        if self.bend == "upright":
            return self.upright(cap, width / 2 * math.tan(half / 2))
        return self.round(cap, width / 2 / half + self._off(cap))

    def most(self, cap: float) -> float:
        """How far it can go round to either side, radians."""
        if self.bend == "upright":
            return UPRIGHT_MOST
        least = (CLEAR_OF_CENTRE if self.arc.side == "inside" else LEAST_OUTSIDE) * cap
        return min(HALF_ROUND, self.line(cap)[0].width / 2 / (least - self._off(cap)))

    def steepest(self, cap: float) -> tuple[float, LaidLine]:
        """The furthest that it goes round, and the line there. Letters opened for the printer need more room."""
        most = self.most(cap)
        for share in (1.0, 0.75, 0.5, 0.25):
            try:
                return share * most, self.half_round(cap, share * most)
            except LetteringError:
                continue
        return 0.1 * most, self.half_round(cap, 0.1 * most)

    def _off(self, cap: float) -> float:
        """How much larger the arc's radius is than that on which distances are those of a straight line, mm."""
        from decalgen.lettering.along import HOLLOW, ROUND
        from decalgen.lettering.bending import MIDDLE

        if self.arc.side == "inside":
            return (MIDDLE if self.bend == "fan" else HOLLOW) * cap
        return -(MIDDLE if self.bend == "fan" else ROUND) * cap


def _rise(radius: float, length: float) -> float:
    """How high an arc of that length stands over its chord, mm (over the circle's foot once it goes round)."""
    return radius * (1 - math.cos(min(length / 2 / radius, math.pi)))


def solved(over: Callable[[float], tuple[float, LaidLine]], first: float, low: float, high: float) -> LaidLine:
    """What is laid where an excess vanishes that is below nothing at ``low`` and above it at ``high`` (half of how far
    round it goes, radians, or how far its heads rise, mm): by secants from the ``first`` guess on, kept between the
    two."""
    at = first if low < first < high else (low + high) / 2
    before: tuple[float, float] | None = None
    for _ in range(ROUNDS):
        excess, laid = over(at)
        if abs(excess) < MET_MM:
            break
        low, high = (low, at) if excess > 0 else (at, high)
        step = at * (0.99 if excess > 0 else 1.01)
        if before is not None and excess != before[1]:
            step = at - excess * (at - before[0]) / (excess - before[1])
        before = (at, excess)
        at = step if low < step < high else (low + high) / 2
    return laid


def rounded_up(value: float) -> float:
    """The next size, mm, that one would write."""
    return math.ceil(value / STEP_MM + 1e-6) * STEP_MM


def rounded_down(value: float) -> float:
    """The last size, mm, that one would write."""
    return math.floor(value / STEP_MM - 1e-6) * STEP_MM


def set_in(setter: Setter, laid: LaidLine, box: Box, dx: float, dy: float) -> SetLettering:
    """A line that is laid, in its extent, moved so far."""
    from decalgen.lettering.outlines import join, moved

    letters = tuple(moved(letter, dx, dy) for letter in laid.letters)
    return SetLettering(
        join([letter.region for letter in letters]),
        letters,
        box.width,
        box.height,
        laid.line.cap_height,
        laid.line.missing,
        laid.line.borrowed,
        printable=setter.found(laid.changes, replace(laid.line, letters=letters)),
        opened=laid.opened,
        tightest=laid.tightest,
    )
