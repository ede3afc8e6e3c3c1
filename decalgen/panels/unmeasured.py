"""Readings that are still to be taken: which they are, and a size to draw with until then.

A reading that is ? has no value. What is drawn meanwhile takes one from the table below and is marked as assumed; no
decal is said to fit there, and nothing is printed. The sizes are those of a small door or roof at about 1:50 (common
practice, no source); what matters is that each kind can be drawn with them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from decalgen.core import keys
from decalgen.core.lengths import Quantity
from decalgen.panels.base import Panel
from decalgen.panels.readings import Reading

SIGN = "?"
"""What stands in a job file for a reading that is still to be taken."""
OPEN = Reading(Quantity(0.0), open=True)
"""A reading that is still to be taken."""
FACTORS = (1.0, 0.5, 2.0, 0.25, 4.0, 0.1, 8.0)
"""An assumed size must go with what is measured beside it: so many times the table's are tried, in this order."""
OFF = 0.1
"""The standard uncertainty of an assumed size, as a share of it: enough that nothing small is taken for known."""
T = TypeVar("T")

_SIZES: Mapping[str, float] = {
    "width": 20.0, "height": 10.0, "bottom width": 20.0, "top width": 18.0, "left inset": 1.0, "right inset": 1.0,
    "chord": 20.0, "rise": 2.0, "radius": 26.0, "angle": 45.0, "tape": 20.5, "length": 20.0,
    "bottom chord": 20.0, "bottom rise": 2.0, "top chord": 16.0, "top rise": 1.6, "slant length": 20.0,
    "first face": 10.0, "second face": 6.0, "edge radius": 1.0, "turn": 90.0, "lean": 15.0, "run": 2.7,
    "radius across": 60.0, "radius up": 40.0, "rise across": 0.8, "rise up": 0.35, "chord across": 20.0,
    "chord up": 10.0, "paint": 0.05, "arcs": 0.0, "arc rises": 0.0,
    "rectangle 1": 3.0, "rectangle 2": 1.0, "circle": 2.0, "slot 1": 4.0, "slot 2": 0.6, "at 1": 1.0, "at 2": 1.0,
}  # fmt: skip
_GAP = 0.3
"""The width of a shut line."""


def untaken(panel: Any, obstacles: Mapping[str, Any]) -> tuple[str, ...]:
    """What the readings of a panel kind and its obstacles are called that are still to be taken."""
    found = [name for name, is_open in _named(panel) if is_open]
    for label, item in obstacles.items():
        found += [f"{label} {name}" for name, is_open in _named(item) if is_open]
    return tuple(found)


def assume(part: T, factor: float) -> T:
    """A panel kind or obstacle with a size in place of each reading that is still to be taken, ``factor`` times the
    usual one."""
    new = {}
    for spec in keys.specs(_plain(part)):
        value = getattr(part, spec.name)
        if value is not None and any(is_open for _, is_open in _each(spec.kind, value, spec.key)):
            new[spec.name] = _assumed(spec.kind, value, part, spec.key, (), factor)
    return replace(part, **new) if new else part  # type: ignore[type-var]


def is_assumed(size: Quantity, panel: Panel) -> bool:
    """Whether a size of a panel rests on a reading that is still to be taken."""
    for part, _ in size.parts:
        owner, _, reading = part.partition(".")
        reading = reading.replace("point ", "outline ") if owner == panel.name else f"{reading} of {owner}"
        if reading in panel.unmeasured:
            return True
    return False


def ways(key: str) -> tuple[str, str]:
    """What the two numbers of a pair are called."""
    return ("width", "height") if key in ("rectangle", "slot") else ("x", "y")


def _plain(part: Any) -> Any:
    return type(part)


def _named(part: Any) -> Iterator[tuple[str, bool]]:
    """The name of each reading of a panel kind or obstacle, and whether it is still to be taken."""
    for spec in keys.specs(_plain(part)):
        value = getattr(part, spec.name)
        if value is not None:
            yield from _each(spec.kind, value, spec.key)


def _each(kind: keys.Key, value: Any, name: str) -> Iterator[tuple[str, bool]]:
    if isinstance(kind, keys.Readings):
        # Several readings of one size are one, and one that was taken is enough.
        several = value if isinstance(value, tuple) else (value,)
        yield name, all(isinstance(one, Reading) and one.open for one in several)
    elif isinstance(kind, keys.Two) and isinstance(kind.of, keys.Readings):
        for way, item in zip(ways(name.split()[0]), value, strict=True):
            yield from _each(kind.of, item, f"{name} {way}")
    elif isinstance(kind, keys.Many) and isinstance(kind.of, keys.Readings | keys.Two):
        for n, item in enumerate(value, 1):
            yield from _each(kind.of, item, f"{name} {n}")


def _assumed(kind: Any, value: Any, part: Any, key: str, where: tuple[tuple[int, int], ...], factor: float) -> Any:
    """The value with what is open in it replaced; ``where``: of each list round it, which item of how many."""
    if isinstance(kind, keys.Many | keys.Two):
        count = len(value)
        return tuple(_assumed(kind.of, one, part, key, (*where, (n, count)), factor) for n, one in enumerate(value))
    several = value if isinstance(value, tuple) else (value,)
    if not all(isinstance(one, Reading) and one.open for one in several):
        return value
    size = _size(part, key, where)
    size *= 1.0 if kind.angle else factor
    name = " ".join(("assumed", key, *(str(n + 1) for n, _ in where)))
    parts = ((name, OFF * abs(size)),) if size else ()
    return Reading(Quantity(size, 0 if kind.angle else 1, parts))


def _size(part: Any, key: str, where: tuple[tuple[int, int], ...]) -> float:
    if key == "width" and part.name == "line":
        return _GAP
    if key in ("line", "outline"):
        (n, count), (axis, _) = where
        if key == "line":
            return 2.0 if axis == 0 else 1.0 + 6.0 * n / max(1, count - 1)
        turn = 2 * math.pi * n / count + 1.25 * math.pi
        wide, high = (3.0, 2.0) if hasattr(part, "clearance") else (14.0, 7.0)
        return 10.0 + wide * math.cos(turn) if axis == 0 else 5.0 + high * math.sin(turn)
    if key == "at" and part.name == "circle":
        return 2.0
    number = f" {where[-1][0] + 1}" if where else ""
    return _SIZES.get(f"{key}{number}", _SIZES.get(key, 5.0))
