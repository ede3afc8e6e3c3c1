"""The target of a calibration: a rectangle of known sides, its spans and the marks they run between. Pure; mm.

Its spans are measured: three across (foot, middle, head), three up (left, middle, right) and the two diagonals of a
rectangle that the instrument can reach across. Never from paper edges: ISO 216 allows paper ±1.5 mm and more.
"""

from __future__ import annotations

import math
import re

from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.core.instruments import CALIPER, Instrument
from decalgen.core.values import dataclass

SPANS = ("across foot", "across middle", "across head", "up left", "up middle", "up right", "rising", "falling")
"""The spans of a target in the order they are read. Rising: lower left to upper right; falling: the other diagonal."""
CORNERS = {"A": (-1, -1), "B": (1, -1), "C": (1, 1), "D": (-1, 1)}
"""The marked corners of the rectangle of the diagonals, by which way they lie from the middle."""
DIAGONALS = {"rising": "A to C", "falling": "B to D"}
SHORTEST = 40.0
"""A printable area that leaves less, mm, is too small to say anything."""
FOOT = "FOOT"
"""What is printed along the lower edge, so that nobody measures the target turned."""
UNEQUAL = 1.15
"""The long side of a target over its short side, at least: read the wrong way round, spans are then out of all reason
(`slips.PLAUSIBLE`, `slips.UNLIKE`), however the printer stretches."""


class CalibrationError(DecalgenError):
    """Readings that make no calibration."""

    exit_code = 2


def span_label(span: str) -> str:
    """A span as it is called on the target: diagonals by their marked corners."""
    return f"{span}, {DIAGONALS[span]}" if span in DIAGONALS else span


def span_named(text: str) -> str:
    """The span that is meant: 'across foot', 'rising', or a diagonal by its corners ('A-C', 'c to a', 'diagonal AC').

    Raises CalibrationError with the nearest one.
    """
    plain = " ".join(text.lower().replace("\N{EN DASH}", "-").split())
    if plain in SPANS:
        return plain
    head, _, corners = plain.rpartition(",")
    found = re.fullmatch(r"(?:diagonal )?([a-d]) ?(?:to|-)? ?([a-d])", corners.strip())
    if found and (not head or head.strip() in DIAGONALS):
        ends = " to ".join(sorted(letter.upper() for letter in found.groups()))
        span = next((name for name, its in DIAGONALS.items() if its == ends), "")
        if span and head.strip() in ("", span):
            return span
    raise CalibrationError(f"there is no span '{text.strip()[:40]}'", fix=did_you_mean(plain, SPANS))


@dataclass(frozen=True)
class Target:
    """The sides of the target, mm: as long as sheet, margins and instrument allow. ``inner``: the sides of the
    rectangle whose diagonals are measured; None: the target itself."""

    width: float
    height: float
    inner: tuple[float, float] | None = None

    @property
    def diagonal(self) -> tuple[float, float]:
        """The sides of the rectangle whose diagonals are measured, mm."""
        return self.inner or (self.width, self.height)

    def asked(self, span: str) -> float:
        """The true length of a span, mm."""
        if span in ("rising", "falling"):
            return math.hypot(*self.diagonal)
        return self.width if span.startswith("across") else self.height


def target(width: float, height: float, tool: Instrument = CALIPER) -> Target:
    """The target for a printable area of ``width`` × ``height`` mm.

    Sides are whole tens, at least 10 mm short of the instrument, and never alike (`UNEQUAL`). Diagonals too long for it
    give way to those of an inner rectangle of 3 to 4, so that they are whole millimetres.
    Raises CalibrationError for an area too small to say anything.
    """
    room = tool.reach - 10.0
    sides = [math.floor(min(side - 16.0, room) / 10.0) * 10.0 for side in (width, height)]
    if min(sides) < SHORTEST:
        raise CalibrationError(
            f"a printable area of {width:g} × {height:g} mm is too small to calibrate with",
            fix="print the target on a larger sheet of the same film",
        )
    wide, high = sides
    most = math.floor(max(sides) / UNEQUAL / 10.0) * 10.0
    if width > height:
        high = min(high, most)
    else:
        wide = min(wide, most)
    if math.hypot(wide, high) <= room:
        return Target(wide, high)
    long, short = max(wide, high), min(wide, high)
    part = math.floor(min(room / 5, long / 4, short / 3))
    return Target(wide, high, (3.0 * part, 4.0 * part) if high >= wide else (4.0 * part, 3.0 * part))
