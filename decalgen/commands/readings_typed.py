"""One answer at the bench as it goes into a job file: bare numbers are mm, several readings in one line are one answer.

What is wrong with a number is not told here: the job file's own readers do that.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from decalgen.job.written import YamlValue
from decalgen.panels.unmeasured import SIGN

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_UNIT = r"(?:\s*(?:mm|cm|in(?:ch(?:es)?)?|thou|°|deg|\"|\N{DOUBLE PRIME}|\N{RIGHT DOUBLE QUOTATION MARK}))"
_SIGNED = rf"[-\N{{MINUS SIGN}}]?{_NUMBER}"
_SEVERAL = re.compile(rf"({_SIGNED})({_UNIT})?(?:\s*[;,]\s*|\s+|$)")
_TOLERANCE = re.compile(rf"\s*(?:±|\+\s?/\s?-|\+-)\s*({_NUMBER}{_UNIT}?)\s*$")
_EXPONENT = re.compile(rf"(?<![\w.])({_NUMBER}[eE][+-]?\d{{1,2}})(?![\w.])")
"""As a calculator or a spreadsheet shows it."""
_COMMA = re.compile(r"(?<=\d),(?=\d)")
_BY = re.compile(r"\s+by\s+(\S.*)$")
_WORKED_OUT = re.compile(r"[<*(]|[^\W\d_]\s*\.|\s[-+]\s+\S")
"""Another value of the file, or arithmetic."""


def typed_reading(text: str, *, angle: bool = False) -> YamlValue:
    """``22,4`` → ``22.4 mm``; ``22.40 22.42 22.38 ± 0.05`` → three of them; ``7/8 in`` and ``22.4 mm by steel rule`` as
    they are; nothing at all, or ?, → ?."""
    rest = text.strip()
    if rest in ("", SIGN):
        return SIGN
    tool = off = ""
    if found := _BY.search(rest):
        tool, rest = f" by {found[1]}", rest[: found.start()]
    rest = _EXPONENT.sub(lambda found: format(Decimal(found[1]), "f"), _COMMA.sub(".", rest))
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


def typed_boxes(boxes: Sequence[str], by: str = "", *, angle: bool = False) -> YamlValue:
    """Readings from a box each, as one answer; ``by``: the instrument of those that name none ('' for none). What is
    worked out from other readings was taken with none."""
    texts = [text.strip() for text in boxes if text.strip()]
    named = [bool(_BY.search(text)) for text in texts]
    if not any(named):
        # Written once, ± and a unit are of all of them.
        joined = "  ".join(texts)
        return typed_reading(_by(joined, by), angle=angle)
    found: list[str] = []
    for text, its in zip(texts, named, strict=True):
        one = typed_reading(text if its else _by(text, by), angle=angle)
        found += [one] if isinstance(one, str) else [str(part) for part in one]
    return found[0] if len(found) == 1 else found


def _by(text: str, tool: str) -> str:
    bare = text.strip() in ("", SIGN) or _WORKED_OUT.search(text)
    return text if bare or not tool else f"{text} by {tool}"


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
