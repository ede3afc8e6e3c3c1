"""Sheets and drawers to test with."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from decalgen.workshop.drawer import DrawerEntry, OwnedSheet, corner, edge, part, rectangle

A5 = DrawerEntry("white A5 1", "white", "inkjet", 148.0, 210.0, bought="spring, at the fair")
NOTCH = corner(A5, "upper left", 40, 30)
HOLE = rectangle(50, 80, 20, 20)
BOTTOM, TOP, LEFT = edge(A5, "bottom", 60), edge(A5, "top", 60), edge(A5, "left", 20)


def owned(*rings: Sequence[tuple[float, float]], why: str = "cut off", **more: object) -> OwnedSheet:
    entry = replace(A5, **more)  # type: ignore[arg-type]
    parts = tuple(part(entry, ring, why, n) for n, ring in enumerate(rings, start=1))  # type: ignore[arg-type]
    return OwnedSheet(1, entry, parts)


def spoil(path: Path, statement: str) -> None:
    base = sqlite3.connect(path)
    base.execute(statement)
    base.commit()
    base.close()
