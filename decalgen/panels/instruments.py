"""What each measuring instrument can do: the uncertainty of a reading whose ± was not typed.

Half-widths are limits of a rectangular distribution, u = a/sqrt 3 (JCGM 100:2008, 4.3.7). Digital caliper: the
limits of error of DIN 862, 0.02 mm up to 100 mm and 0.03 mm beyond. All others: common practice, no source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from decalgen.core.errors import did_you_mean
from decalgen.panels.base import PanelError

ASSUMED = "caliper"
"""The instrument of a reading that names none and has no ±."""

INCH = 25.4


@dataclass(frozen=True, slots=True)
class Instrument:
    """``limit(x)`` is the largest error of a reading of x mm (an instrument for angles: of x degrees)."""

    name: str
    about: str
    limit: Callable[[float], float]
    angle: bool = False

    def u(self, value: float) -> float:
        """The standard uncertainty of a reading."""
        return self.limit(abs(value)) / math.sqrt(3)


def _even(limit: float) -> Callable[[float], float]:
    return lambda value: limit


_FIXED: tuple[Instrument, ...] = (
    Instrument("caliper", "digital caliper, DIN 862", lambda value: 0.02 if value <= 100 else 0.03),
    Instrument("vernier", "vernier caliper reading 0.05 mm", _even(0.05)),
    Instrument("micrometer", "outside micrometer", _even(0.01)),
    Instrument("depth gauge", "depth rod of a caliper across a straight edge", _even(0.05)),
    Instrument("steel rule", "steel rule with half millimetres", _even(0.5)),
    Instrument("tape", "masking tape laid on, marked, lifted and measured flat", _even(0.2)),
    Instrument("feeler gauge", "feeler gauge in a gap", _even(0.02)),
    Instrument("radius gauge", "radius gauges in half-millimetre steps", _even(0.25)),
    Instrument("photo", "square-on photo with a ruler in the plane of the panel", lambda value: max(0.1, 0.01 * value)),
    Instrument("protractor", "protractor or bevel", _even(1.0), angle=True),
)

_OTHER_WORDS = {
    "calliper": "caliper",
    "calipers": "caliper",
    "callipers": "caliper",
    "digital caliper": "caliper",
    "vernier caliper": "vernier",
    "ruler": "steel rule",
    "rule": "steel rule",
    "masking tape": "tape",
    "depth rod": "depth gauge",
    "radius gauges": "radius gauge",
    "photograph": "photo",
}
_SCAN = re.compile(r"scan (?:at )?(\d{2,5}) ?dpi")


def instruments() -> tuple[Instrument, ...]:
    """All of them; a scan is named with its resolution, as in ``scan 600 dpi``."""
    return (*_FIXED, instrument("scan 600 dpi"))


def instrument(name: str) -> Instrument:
    """The instrument of that name. Raises `PanelError` with the nearest one.

    A scan finds each edge to half a dot, so a length to one dot, and its slow axis may be 0.3 % off where it has
    not been calibrated (common practice, no source).
    """
    plain = " ".join(name.lower().split())
    plain = _OTHER_WORDS.get(plain, plain)
    for known in _FIXED:
        if known.name == plain:
            return known
    found = _SCAN.fullmatch(plain)
    if found and 50 <= int(found.group(1)) <= 9600:
        dot = INCH / int(found.group(1))
        return Instrument(
            f"scan {found.group(1)} dpi", "flatbed scan, not calibrated", lambda value: math.hypot(dot, 0.003 * value)
        )
    if plain.startswith("scan"):
        raise PanelError(f"'{name}' does not say how fine the scan is", fix="write for example: scan 600 dpi")
    names = [*(known.name for known in _FIXED), "scan 600 dpi"]
    raise PanelError(f"there is no instrument '{name}'", fix=did_you_mean(name, names))
