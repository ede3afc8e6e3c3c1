"""Lengths as a person types them off a caliper: full stop or decimal comma, mm, cm or inches. Pure; mm."""

from __future__ import annotations

import re

from decalgen.core.errors import Place
from decalgen.core.lengths.units import INCH_MM
from decalgen.printer.target import CalibrationError

FEWEST = 3
"""Decimals an inch reading needs: 0.001 in are 0.025 mm, about what a caliper can do."""
_READING = re.compile(r"([+\-\u2212]?)(\d*[.,]?\d*)(mm|cm|in|inch|inches|\"|\u2033)?", re.IGNORECASE)


def readings(text: str, place: Place | None = None) -> list[float]:
    """Readings in mm from words such as '99.85 99,90 mm', '9.985 cm' or '3.941 in'. Raises CalibrationError."""
    words = re.sub(r"(?<=\d)\s+(?=(?:mm|cm|in|inch|inches)\b|[\"\u2033])", "", text.strip()).replace(";", " ").split()
    found: list[float] = []
    for word in words:
        # A comma that ends a word stands between readings.
        found.append(_reading(word.rstrip(",") if word.endswith(",") else word, place))
    return found


def _reading(word: str, place: Place | None) -> float:
    match = _READING.fullmatch(word)
    if match is None or not any(c.isdigit() for c in match[2]):
        if word.count(",") > 1 or ("," in word and "." in word):
            raise CalibrationError(
                f"'{word[:40]}' holds more than one point or comma",
                fix="write spaces between readings: 99.85 99.90 99.85",
                place=place,
            )
        raise CalibrationError(
            f"'{word[:40]}' is not a reading", fix="write lengths in mm, such as 99.85 (or 3.931 in)", place=place
        )
    sign, figures, unit = match[1], match[2], (match[3] or "").lower()
    whole, mark, decimals = figures.partition(",") if "," in figures else figures.partition(".")
    if mark == "," and len(decimals) == 3 and unit in ("", "mm"):
        raise CalibrationError(
            f"'{word[:40]}' may be one reading or two",
            fix=f"write {whole}.{decimals}, or {whole} {decimals}",
            place=place,
        )
    value = float(f"{whole or '0'}.{decimals or '0'}")
    if sign and sign != "+":
        raise CalibrationError(f"'{word[:40]}' is negative", fix="write it without the minus", place=place)
    if unit == "cm":
        return float(f"{value * 10:.9g}")
    if unit and unit != "mm":
        if len(decimals) < FEWEST:
            raise CalibrationError(
                f"'{word[:40]}' is too coarse: one step of its last digit is {INCH_MM / 10 ** len(decimals):.2g} mm",
                fix="switch the caliper to mm, or read three decimals of an inch: 3.931 in",
                place=place,
            )
        return value * INCH_MM
    return value
