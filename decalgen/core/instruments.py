"""What each measuring instrument can do: one table for panels, the printer's target and the check bars of a proof.

A reading has two kinds of error. The scale's own (``limit``: a half-width of a rectangular distribution, u = a/√3,
JCGM 100:2008, 4.3.7) is the same in every reading and does not shrink with their number; placing the instrument on two
edges does. A solid edge stops a caliper's jaw; a printed line has to be judged by eye.

Sources: digital caliper: the limits of error of DIN 862, 0.02 mm up to 100 mm and 0.03 mm beyond. Steel rule: class I
of Directive 2014/32/EU, annex X, 0.1 mm + 0.1 mm a metre begun (both from memory). All others: common practice, no
source.

Outside these figures: temperature (a steel scale 5 K from 20 °C is out by 0.006 mm in 100 mm: 11.5e-6 a kelvin, common
handbook value, from memory) and the damp that paper and film take up (about 0.1 % across the grain for 10 % of relative
humidity: common practice, no source). Both are of the place and the day, not of the instrument.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.core.lengths.units import INCH_MM
from decalgen.core.values import dataclass

ASSUMED = "caliper"
"""The instrument of a reading that names none and has no ±."""

SLIP = 0.25
"""A reading this far from the middle one of its span, mm, was misread or misplaced (six times what the eye misses)."""
BY_EYE = 0.041
"""Standard uncertainty of the distance of two printed lines, each judged to ±0.05 mm by eye, mm: 0.05/√3·√2 (common
practice, no source)."""


class InstrumentError(DecalgenError):
    """An instrument that is not known, or cannot measure what is asked."""

    exit_code = 2


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument and its errors.

    ``limit(x)`` is the largest error of the scale at x mm (an instrument for angles: at x degrees). ``edges`` and
    ``lines`` are the standard uncertainty of one placing on two solid edges and on two printed lines, mm; ``lines`` is
    None where it cannot measure what is printed. ``reach``: the longest it measures, mm. ``limit_up``: where it errs
    otherwise up a page than across it, the limit that way; ``by_scan``: it sees all of a page at once, so that reading
    again tells nothing new.
    """

    name: str
    about: str
    limit: Callable[[float], float]
    edges: float = 0.0
    lines: float | None = None
    reach: float = math.inf
    angle: bool = False
    limit_up: Callable[[float], float] | None = None
    by_scan: bool = False

    def systematic(self, length: float, way: str = "x") -> float:
        """The standard uncertainty at ``length`` mm that all readings share; ``way``: 'y' is up a page."""
        limit = self.limit_up if way == "y" and self.limit_up is not None else self.limit
        return limit(abs(length)) / math.sqrt(3)

    def u(self, value: float, readings: int = 1) -> float:
        """The standard uncertainty of the mean of some readings of a solid size."""
        return math.hypot(self.systematic(value), self.edges / math.sqrt(readings))

    def u_lines(self, length: float, readings: int = 1) -> float:
        """The standard uncertainty of the mean of some readings of the distance of two printed lines, mm."""
        return math.hypot(self.systematic(length), self.placing / math.sqrt(readings))

    @property
    def placing(self) -> float:
        """The standard uncertainty of one placing on two printed lines, mm. Raises InstrumentError."""
        if self.lines is None:
            raise InstrumentError(
                f"a {self.name} cannot measure the distance of printed lines", fix=f"use {_listed(LINE_TOOLS)}"
            )
        return self.lines

    @property
    def slip(self) -> float:
        """A reading of printed lines this far from the middle one of its span is a slip, mm."""
        return max(SLIP, 6 * self.placing)


def _even(limit: float) -> Callable[[float], float]:
    return lambda value: limit


CALIPER = Instrument(
    "caliper",
    "digital caliper of 150 mm, DIN 862",
    lambda value: 0.02 if value <= 100 else 0.03,
    lines=BY_EYE,
    reach=150.0,
)
VERNIER = Instrument("vernier", "vernier caliper reading 0.05 mm", _even(0.05), lines=BY_EYE, reach=150.0)
RULE = Instrument("steel rule", "steel rule of 300 mm read to half a division", _even(0.2), 0.2, 0.2, 300.0)
"""Each end read to ±0.25 mm, half a division of 0.5 mm: 0.25/√3·√2 = 0.2 mm (common practice, no source)."""

_FIXED: tuple[Instrument, ...] = (
    CALIPER,
    VERNIER,
    Instrument("micrometer", "outside micrometer", _even(0.01)),
    Instrument("depth gauge", "depth rod of a caliper across a straight edge", _even(0.05)),
    RULE,
    Instrument("tape", "masking tape laid on, marked, lifted and measured flat", _even(0.2)),
    Instrument("feeler gauge", "feeler gauge in a gap", _even(0.02)),
    Instrument("radius gauge", "radius gauges in half-millimetre steps", _even(0.25)),
    Instrument("photo", "square-on photo with a ruler in the plane of the panel", lambda value: max(0.1, 0.01 * value)),
    Instrument("protractor", "protractor or bevel", _even(1.0), angle=True),
)
LINE_TOOLS = ("caliper", "vernier", "steel rule", "scan 600 dpi")
"""What printed lines can be measured with."""
GLASS = 290.0
"""The longest a flatbed of A4 scans, mm."""
BY_CARD = (0.25, 0.25)
"""U (k = 2) of a length across and up a page that was scanned beside a card of nominal size, percent of it, where the
scan itself does not tell it: the card's own limits (ISO/IEC 7810, from memory) make 0.18, a scanner's row that is not
even the rest (common practice, no source)."""
CARD_LINES = 0.02
"""The standard uncertainty of the distance of two printed lines as a scan of 300 dpi shows them, mm: a printer's ragged
lines more than the scan (common practice, no source)."""

_OTHER_WORDS = {
    "calliper": "caliper",
    "calipers": "caliper",
    "callipers": "caliper",
    "digital caliper": "caliper",
    "digital calliper": "caliper",
    "digital calipers": "caliper",
    "digital callipers": "caliper",
    "vernier caliper": "vernier",
    "vernier calliper": "vernier",
    "vernier calipers": "vernier",
    "vernier callipers": "vernier",
    "ruler": "steel rule",
    "rule": "steel rule",
    "steel ruler": "steel rule",
    "masking tape": "tape",
    "depth rod": "depth gauge",
    "feeler gauges": "feeler gauge",
    "radius gauges": "radius gauge",
    "photograph": "photo",
    "bevel": "protractor",
}
_SCAN = re.compile(r"scan (?:at )?(\d{2,5}) ?dpi")
_BESIDE = re.compile(r"scan beside (?:a )?card(?: (\d\.\d{1,3}) x (\d\.\d{1,3}) ?%)?")


def instruments() -> tuple[Instrument, ...]:
    """All of them; a scan is named with its resolution, as in ``scan 600 dpi``, or with the card that tells its
    scale."""
    return (*_FIXED, instrument("scan 600 dpi"), scan_beside_card())


def scan_beside_card(across: float | None = None, up: float | None = None) -> Instrument:
    """A flatbed scan whose scale a card tells. ``across``, ``up``: U (k = 2) of a length that way, percent of it, as
    the scan tells; None: as scans usually do (`BY_CARD`). Its name holds both, so that what is kept under it can be
    reckoned again."""
    told = across is not None and up is not None
    wide, high = BY_CARD if across is None or up is None else (across, up)
    # ± as the largest error: U = 2u, and u is that over √3.
    wide_share, high_share = (math.sqrt(3) / 2 * one / 100 for one in (wide, high))
    return Instrument(
        f"scan beside card {wide:.2f} x {high:.2f} %" if told else "scan beside card",
        "flatbed scan, its scale by a card beside the page",
        lambda value: wide_share * value,
        lines=CARD_LINES,
        reach=GLASS,
        limit_up=lambda value: high_share * value,
        by_scan=True,
    )


def instrument(name: str) -> Instrument:
    """The instrument of that name, however it is spelled. Raises InstrumentError with the nearest one.

    A scan finds each edge to half a dot, so a length to one dot, and its slow axis may be 0.3 % off where it has
    not been calibrated (common practice, no source).
    """
    plain = " ".join(name.lower().replace("-", " ").replace("_", " ").split())
    plain = _OTHER_WORDS.get(plain, plain)
    for known in _FIXED:
        if known.name == plain:
            return known
    card = _BESIDE.fullmatch(plain)
    if card:
        return scan_beside_card(*(float(one) for one in card.groups() if one))
    found = _SCAN.fullmatch(plain)
    if found and 50 <= int(found.group(1)) <= 9600:
        dot = INCH_MM / int(found.group(1))
        return Instrument(
            f"scan {found.group(1)} dpi",
            "flatbed scan, not calibrated",
            lambda value: math.hypot(dot, 0.003 * value),
            lines=dot / math.sqrt(6),
            reach=GLASS,
        )
    if plain.startswith("scan"):
        raise InstrumentError(f"'{name[:40]}' does not say how fine the scan is", fix="write for example: scan 600 dpi")
    raise InstrumentError(f"there is no instrument '{name[:40]}'", fix=_nearest(plain))


def _nearest(plain: str) -> str:
    """What to write for a name that is not known: a scan with its dots, one like the last word, or the nearest."""
    if "scan" in plain:
        dots = re.search(r"\d{2,5}(?= ?dpi)", plain)
        return f"did you mean 'scan {dots.group()} dpi'?" if dots else "write for example: scan 600 dpi"
    names = [*(known.name for known in _FIXED), "scan 600 dpi"]
    last = plain.split()[-1] if plain.split() else plain
    last = _OTHER_WORDS.get(last, last)
    return f"did you mean '{last}'?" if last in names else did_you_mean(plain, names)


def line_instrument(name: str) -> Instrument:
    """The instrument of that name, for measuring what is printed. Raises InstrumentError, also for one that cannot."""
    found = instrument(name)
    _ = found.placing
    return found


def scatter_limit(freedom: int, quantile: float = 1.6449) -> float:
    """By what factor readings may scatter more than their u before it is noticed.

    The 95 % point of chi-square over its degrees of freedom, square root (Wilson and Hilferty, PNAS 17:684, 1931);
    ``quantile``: of the normal distribution, for another point.
    """
    part = 2 / (9 * freedom)
    return math.sqrt((1 - part + quantile * math.sqrt(part)) ** 3)


def _listed(names: tuple[str, ...]) -> str:
    return f"{', '.join(names[:-1])} or {names[-1]}"
