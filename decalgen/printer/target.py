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
LETTERS = dict(zip(SPANS, "abcdefgh", strict=True))
"""The letter of each span, as it stands on the target and at every question for it."""
DIAGONALS = {"rising": "A to C", "falling": "B to D"}
"""The diagonals, by the corners that targets of before named them by."""
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
    """A span as it is asked for: the letter that stands on the target, then what it is."""
    return f"{LETTERS[span]}, {span}"


def span_named(text: str) -> str:
    """The span that is meant: by its letter ('a'), by what it is ('across foot'), or both ('a, across foot').

    A diagonal of a target of before is also named by its corners ('A-C', 'c to a', 'diagonal AC').
    Raises CalibrationError with the nearest one, or where letter and words do not go together.
    """
    plain = " ".join(text.lower().replace("\N{EN DASH}", "-").split())
    if plain in SPANS:
        return plain
    lettered = re.fullmatch(r"(?:span )?([a-h])(?:[, ]+(.*))?", plain)
    if lettered and (not lettered[2] or lettered[2] in SPANS):
        span = next(name for name, letter in LETTERS.items() if letter == lettered[1])
        if lettered[2] and lettered[2] != span:
            raise CalibrationError(
                f"'{text.strip()[:40]}': {lettered[1]} is {span}, and {lettered[2]} is {LETTERS[lettered[2]]}",
                fix="keep the one that you measured",
            )
        return span
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
