"""What is known of a printer over time: for which film it was calibrated, each dated calibration, check bars. Pure; mm.

The newest calibration corrects; what check bars on a film say since then is its drift. Dates are the user's, as
"2026-11-25"; there is no clock here. All uncertainties are standard ones, verdicts use k = 2 (JCGM 100:2008, 6.2).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from decalgen.core.instruments import CALIPER, line_instrument
from decalgen.core.values import dataclass
from decalgen.printer.estimate import Estimate, inverse

if TYPE_CHECKING:
    from decalgen.printer.calibration import Calibration

TOLERANCE = 0.003
"""Drift beyond this part of a length, mm a mm, calls for a new
calibration: 0.3 %, 0.07 mm on a door of 22 mm (common practice, no source)."""
SAME_SIZE = 1.0
"""Sheets whose sides differ by less are of one format, mm: ISO 216 allows paper as much."""
FEEDS = ("short edge first", "long edge first")
"""Which way round a sheet goes into the printer."""


@dataclass(frozen=True)
class Setting:
    """What a profile holds for: one film, from one tray, one way round. Sizes in mm."""

    film: str
    kind: str
    width: float
    height: float
    adhesive: bool = False
    tray: str = ""
    feed: str = FEEDS[0]
    paper_type: str = ""
    """The type of paper that the printer is set to for it, by its own word; empty: not known."""

    def takes(self, kind: str, width: float, height: float, adhesive: bool) -> bool:
        """Whether it holds for a film of this kind and size."""
        alike = self.kind == kind and self.adhesive == adhesive
        return alike and abs(self.width - width) < SAME_SIZE and abs(self.height - height) < SAME_SIZE

    def __str__(self) -> str:
        return ", ".join(part for part in (self.film, self.tray and f"tray {self.tray}", self.feed) if part)


@dataclass(frozen=True)
class Dated:
    """One calibration: printed over asked along x and y, lean, how many readings, with what."""

    date: str
    x: Estimate
    y: Estimate
    lean: Estimate | None = None
    readings: int = 0
    tool: str = CALIPER.name

    @staticmethod
    def of(found: Calibration, date: str, tool: str) -> Dated:
        """A calibration with its date."""
        return Dated(date, found.x, found.y, found.lean, found.readings, tool)

    @property
    def correction(self) -> tuple[float, float, float]:
        """What undoes it: scale in x, scale in y, and how far x moves a mm of height."""
        return inverse(self.x.value, self.y.value, self.lean.value if self.lean else 0.0)


@dataclass(frozen=True)
class Bars:
    """The check bars of one print on film as they were read, mm: the mean of ``readings`` readings each; nought: not
    read. They were printed with the correction then in use, so each should be as long as asked."""

    date: str
    x: float = 0.0
    y: float = 0.0
    asked_x: float = 100.0
    asked_y: float = 100.0
    readings: int = 1
    tool: str = CALIPER.name

    def ratio(self, axis: str) -> Estimate | None:
        """Read over asked along 'x' or 'y'; None where it was not read."""
        read, asked = (self.x, self.asked_x) if axis == "x" else (self.y, self.asked_y)
        if not read:
            return None
        return Estimate(read / asked, line_instrument(self.tool).u_lines(asked, self.readings) / asked)


@dataclass(frozen=True)
class History:
    """All that is kept of a printer with one film: what it holds for, calibrations and bars in the order of time."""

    setting: Setting | None = None
    calibrations: tuple[Dated, ...] = ()
    bars: tuple[Bars, ...] = ()

    @property
    def newest(self) -> Dated | None:
        """The calibration in use: of the latest date, of one date the one entered last."""
        ordered = in_order(self.calibrations)
        return ordered[-1] if ordered else None

    @property
    def since(self) -> tuple[Bars, ...]:
        """The bars read since the newest calibration, in the order of time."""
        newest = self.newest
        found = sorted(self.bars, key=lambda one: one.date)
        return tuple(one for one in found if newest is None or one.date >= newest.date)

    def drift(self, axis: str) -> Estimate | None:
        """How far the print has moved along 'x' or 'y' since the newest calibration, by the last bar read."""
        newest = self.newest
        for bars in reversed(self.since):
            ratio = bars.ratio(axis)
            if ratio is not None and newest is not None:
                own = (newest.x if axis == "x" else newest.y).u
                return Estimate(ratio.value - 1, math.hypot(ratio.u, own))
        return None

    def size_error(self, length: float) -> float | None:
        """The largest error to expect of a length, mm: U (k = 2) of the calibration, and what the bars since then say
        beyond doubt that it has drifted. None where there is no calibration.
        """
        newest = self.newest
        if newest is None:
            return None
        parts = []
        for axis, known in (("x", newest.x), ("y", newest.y)):
            moved = self.drift(axis)
            parts.append(known.expanded + (abs(moved.value) if moved and significant(moved) else 0.0))
        return length * max(parts)


def significant(moved: Estimate) -> bool:
    """Whether a difference is more than the readings leave in doubt (k = 2)."""
    return abs(moved.value) > moved.expanded


def moved(former: Dated, latter: Dated) -> tuple[Estimate, Estimate, Estimate | None]:
    """How far x, y and lean moved from one calibration to a later one.

    Their uncertainties are taken as independent, though one caliper's own error is in both: that errs on the safe side.
    """
    lean = None
    if former.lean and latter.lean:
        lean = _between(former.lean, latter.lean)
    return _between(former.x, latter.x), _between(former.y, latter.y), lean


def told(former: Dated, latter: Dated) -> str:
    """How far the printer moved between two calibrations, in words."""
    x, y, lean = moved(former, latter)
    changes = {"x": x, "y": y} | ({"lean": lean} if lean else {})
    figures = [f"{name} {_micrometres(one.value)} ± {one.expanded * 1e5:.0f}" for name, one in changes.items()]
    sure = [name for name, one in changes.items() if significant(one)]
    verdict = f"{' and '.join(sure)} moved" if sure else "no certain change"
    return f"{', '.join(figures)} µm in 100 mm (k = 2): {verdict}"


def _micrometres(part: float) -> str:
    """A part of a length as micrometres in 100 mm, with its sign; nought has none."""
    value = round(part * 1e5)
    return f"{value:+d}" if value else "0"


def _between(former: Estimate, latter: Estimate) -> Estimate:
    return Estimate(latter.value - former.value, math.hypot(former.u, latter.u))


def in_order(calibrations: tuple[Dated, ...]) -> tuple[Dated, ...]:
    """By date; of one date in the order they were entered."""
    return tuple(sorted(calibrations, key=lambda one: one.date))


def size_words(known: History | None, length: float) -> str:
    """The size error to expect, for the line of text on film: as short as it can be said."""
    error = known.size_error(length) if known else None
    newest = known.newest if known else None
    if error is None or newest is None:
        return "size not calibrated"
    return f"size ±{error:.2f} mm in {length:.0f} mm ({newest.date})"


WIDEST = "size ±0.00 mm in 000 mm (0000-00-00)"
"""As wide as `size_words` ever gets on film, for the room it needs: calibrating moves no decal."""


def size_sentence(known: History | None, length: float) -> str:
    """The size error to expect, for the terminal and the proof; what to do where it is not known."""
    error = known.size_error(length) if known else None
    newest = known.newest if known else None
    if known is None or error is None or newest is None:
        return (
            "expected size error: not known, since this printer was not calibrated with this film "
            "(`decalgen calibrate print` writes the target)"
        )
    drifted = [axis for axis in ("x", "y") if (moved := known.drift(axis)) and significant(moved)]
    more = f", the drift in {' and '.join(drifted)} that the check bars have shown since, included" if drifted else ""
    return (
        f"expected size error: ±{error:.2f} mm over {length:.0f} mm (k = 2), calibrated {newest.date}"
        + (f" for {known.setting}" if known.setting else "")
        + more
    )
