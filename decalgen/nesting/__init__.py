"""Nesting: every decal of several jobs onto the film there is, part-used or new, and the rest of it still
useful.

`nest` takes a `Request` and gives back a `Nest` that has passed the `gate`.
"""

from __future__ import annotations

from decalgen.core.geometry import Side
from decalgen.nesting.gate import Fault
from decalgen.nesting.model import (
    EFFORTS,
    NORMAL,
    QUICK,
    THOROUGH,
    Bound,
    Effort,
    LeftOut,
    Nest,
    NestingError,
    NestItem,
    NestPosition,
    NestRegion,
    Pin,
    Progress,
    Remnant,
    Request,
    SheetUse,
    Watcher,
)
from decalgen.nesting.portfolio import nest
from decalgen.nesting.turning import placed

__all__ = [
    "EFFORTS",
    "NORMAL",
    "QUICK",
    "THOROUGH",
    "Bound",
    "Effort",
    "Fault",
    "LeftOut",
    "Nest",
    "NestItem",
    "NestPosition",
    "NestRegion",
    "NestingError",
    "Pin",
    "Progress",
    "Remnant",
    "Request",
    "SheetUse",
    "Side",
    "Watcher",
    "nest",
    "placed",
]
