"""Nesting: every decal of several jobs onto the film there is, part-used or new, and the rest of it still
useful.

`nest` takes a `Request` and gives back a `Nest` that has passed the `gate`.
"""

from __future__ import annotations

from decalgen.nesting.gate import Fault, gate
from decalgen.nesting.model import (
    EFFORTS,
    NORMAL,
    QUICK,
    THOROUGH,
    Bound,
    Effort,
    Item,
    LeftOut,
    Nest,
    NestingError,
    Pin,
    Position,
    Progress,
    Region,
    Remnant,
    Request,
    SheetUse,
    Side,
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
    "Item",
    "LeftOut",
    "Nest",
    "NestingError",
    "Pin",
    "Position",
    "Progress",
    "Region",
    "Remnant",
    "Request",
    "SheetUse",
    "Side",
    "Watcher",
    "gate",
    "nest",
    "placed",
]
