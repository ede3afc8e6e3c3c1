"""One answer at the bench as it goes into a job file: bare numbers are mm, several readings in one line are one answer.

What is wrong with a number is not told here: the job file's own readers do that.
"""

from __future__ import annotations

import re

from decalgen.job.written import YamlValue
from decalgen.panels.unmeasured import SIGN

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_UNIT = r"(?:\s*(?:mm|cm|in(?:ch(?:es)?)?|thou|°|deg|\"|\N{DOUBLE PRIME}|\N{RIGHT DOUBLE QUOTATION MARK}))"
_SIGNED = rf"[-\N{{MINUS SIGN}}]?{_NUMBER}"
_SEVERAL = re.compile(rf"({_SIGNED})({_UNIT})?(?:\s*[;,]\s*|\s+|$)")
_TOLERANCE = re.compile(rf"\s*(?:±|\+\s?/\s?-|\+-)\s*({_NUMBER}{_UNIT}?)\s*$")
_COMMA = re.compile(r"(?<=\d),(?=\d)")
_BY = re.compile(r"\s+by\s+(\S.*)$")


def typed_reading(text: str, *, angle: bool = False) -> YamlValue:
    """``22,4`` → ``22.4 mm``; ``22.40 22.42 22.38 ± 0.05`` → three of them; ``7/8 in`` and ``22.4 mm by steel rule`` as
    they are; nothing at all, or ?, → ?."""
    rest = text.strip()
    if rest in ("", SIGN):
        return SIGN
    tool = off = ""
    if found := _BY.search(rest):
        tool, rest = f" by {found[1]}", rest[: found.start()]
    rest = _COMMA.sub(".", rest)
    if found := _TOLERANCE.search(rest):
        off, rest = f" ± {found[1]}", rest[: found.start()]
    several = _split(rest)
    if several is None:
        return f"{rest}{off}{tool}"
    unit = "°" if angle else " mm"
    given = {written for _, written in several if written}
    usual = next(iter(given)) if len(given) == 1 else unit
    found_all = [f"{number}{_spaced(written or usual)}{off}{tool}" for number, written in several]
    return found_all[0] if len(found_all) == 1 else found_all


def _split(text: str) -> list[tuple[str, str]] | None:
    """Numbers with the units after them; None for anything else, such as an expression or a fraction."""
    at = 0
    parts = []
    while at < len(text):
        found = _SEVERAL.match(text, at)
        if found is None:
            return None
        parts.append((found[1], (found[2] or "").strip()))
        at = found.end()
    return parts


def _spaced(unit: str) -> str:
    return unit if unit.startswith((" ", "°")) else f" {unit}"
