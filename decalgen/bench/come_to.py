"""What a value of the file comes to, where it is an expression: shown beside it on the page. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from decalgen.core import keys
from decalgen.job.key_words import unit
from decalgen.shapes.base import ANCHORS, At

_FIGURE = r"[-+]?[0-9.]+ ?{unit}"
_STEP = re.compile(rf"(?:{'|'.join(ANCHORS)})(?: [-+] [0-9.]+ ?mm)?")


def come_to(kind: keys.Key, raw: Any, value: Any) -> str:
    """What a value written as ``raw`` and read as ``value`` comes to: '2.40 mm'; '' where it reads so already, or is
    not a length, an angle or a place."""
    if raw is None or value is None:
        return ""
    if isinstance(kind, keys.Anchored):
        return at_come_to(raw, value) if isinstance(value, At) else ""
    found = _each(unit(kind), raw, value)
    return ", ".join(found) if found and raw not in found else ""


def at_come_to(raw: Any, at: At) -> str:
    """The same of where something lies: 'bottom + 0.80 mm'."""
    return at_words(at) if isinstance(raw, str) and not _STEP.fullmatch(raw.strip()) else ""


def is_plain(text: str, unit: str = "mm") -> bool:
    """Whether a length or an angle is a figure and no expression."""
    return re.fullmatch(_FIGURE.format(unit=unit), text) is not None


def at_words(at: At) -> str:
    """Where a decal lies, in a few words: 'bottom + 0.80 mm', 'top left, 1.00 right, 0.50 down'."""
    if not at.dx and not at.dy:
        return at.anchor
    if in_short(at):
        step = at.dx + at.dy
        return f"{at.anchor} {'+' if step > 0 else '-'} {abs(step):.2f} mm"
    ways = [(at.dx, "right", "left"), (at.dy, "up", "down")]
    steps = [f"{abs(step):.2f} mm {plus if step > 0 else minus}" for step, plus, minus in ways if step]
    return f"{at.anchor}, {', '.join(steps)}"


def in_short(at: At) -> bool:
    """Whether a place is an anchor and one step, as a job may write it: 'bottom + 0.80 mm'."""
    return (at.anchor in ("top", "bottom") and not at.dx) or (at.anchor in ("left", "right") and not at.dy)


def _each(unit: str, raw: Any, value: Any) -> list[str]:
    """What each of one or several lengths comes to; none where all are figures, or where they cannot be told apart."""
    several = raw if isinstance(raw, list) else [raw]
    numbers: Sequence[Any] = value if isinstance(value, list | tuple) else [value]
    read = [getattr(one, "value", one) for one in numbers]
    fine = all(isinstance(one, str) for one in several) and all(isinstance(one, int | float) for one in read)
    if not unit or not fine or len(several) != len(read) or all(is_plain(one.strip(), unit) for one in several):
        return []
    return [f"{one:.2f} mm" if unit == "mm" else f"{one:g}{unit}" for one in read]
