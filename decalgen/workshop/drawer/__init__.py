"""The film drawer: the sheets of film the user owns, what is used of each, how each can be fed, where it is kept.

`model` holds the values, `feeding` the rules of part-used sheets, `choosing` which of them serve, `store` the
database, `plain` the readable file of an export.
"""

from __future__ import annotations

from decalgen.core.geometry import Side
from decalgen.workshop.drawer.choosing import choose
from decalgen.workshop.drawer.feeding import Feeding
from decalgen.workshop.drawer.model import DrawerEntry, DrawerError, OwnedSheet, UsedPart, corner, edge, part, rectangle
from decalgen.workshop.drawer.store import Drawer, data_folder, drawer_file

__all__ = [
    "Drawer",
    "DrawerEntry",
    "DrawerError",
    "Feeding",
    "OwnedSheet",
    "Side",
    "UsedPart",
    "choose",
    "corner",
    "data_folder",
    "drawer_file",
    "edge",
    "part",
    "rectangle",
]
