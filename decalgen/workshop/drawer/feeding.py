"""How a part-used sheet goes through a printer once more, if it may. Pure; mm.

The rules are common practice, no source: rollers take a sheet by a straight original edge; a sheet shorter than the way
between two pairs of rollers stays in the printer; in a laser printer an opening or bare backing paper touches the hot
fuser, where its edge lifts and sticks.
"""

from __future__ import annotations

from typing import Literal

from shapely import union_all
from shapely.geometry import LineString, Polygon

from decalgen.core.geometry import Side, region
from decalgen.core.values import dataclass
from decalgen.workshop.drawer.model import OPPOSITE, SIDES, OwnedSheet

FeedWay = Literal["straight", "turned", "carrier", "never"]

ON_EDGE = 0.5
"""A part nearer to an edge than this, mm, has spoilt it for feeding."""
NOTHING = 1.0
"""Less left than this, mm², is nothing."""


@dataclass(frozen=True)
class Feeding:
    """How a sheet is fed: as it lies, turned by 180°, on a carrier sheet, or never; ``leads`` goes in first; why."""

    way: FeedWay
    leads: Side
    reason: str = ""

    @property
    def turned(self) -> bool:
        """Whether it is turned by 180°."""
        return self.way == "turned"


def whole_edges(sheet: OwnedSheet) -> tuple[Side, ...]:
    """The original edges that are still there from end to end."""
    if not sheet.parts:
        return SIDES
    return tuple(side for side in SIDES if sheet.gone.distance(_line(sheet, side)) > ON_EDGE)


def left_over(sheet: OwnedSheet) -> Polygon:
    """The sheet without the straight strips that were cut off from edge to edge; openings are not regarded."""
    x0, y0, x1, y1 = sheet.whole.bounds
    cut = region(union_all([one.polygon for one in sheet.parts if one.why == "cut off"]))
    left = region(sheet.whole.difference(cut))
    if not left.is_empty:
        x0, y0, x1, y1 = left.bounds
    return Polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def openings(sheet: OwnedSheet) -> bool:
    """Whether what is left has openings, notches or bare backing: anything gone that was not cut off as a strip."""
    return bool(sheet.gone.intersection(left_over(sheet)).area > NOTHING)


def feeding(sheet: OwnedSheet, shortest: float = 0.0) -> Feeding:
    """How a sheet may be fed by a printer whose shortest sheet is ``shortest`` mm long (0: not known)."""
    wanted = sheet.entry.leads
    if sheet.free.area < NOTHING:
        return Feeding("never", wanted, "nothing is left of it")
    laser = sheet.entry.process == "laser"
    if laser and openings(sheet):
        return Feeding("never", wanted, "it has openings or bare backing; in a hot fuser their edges lift")
    reason = ""
    x0, y0, x1, y1 = left_over(sheet).bounds
    along, across = (y1 - y0, x1 - x0) if wanted in ("top", "bottom") else (x1 - x0, y1 - y0)
    full = sheet.entry.width if wanted in ("top", "bottom") else sheet.entry.height
    edges = whole_edges(sheet)
    if along < shortest:
        reason = f"it is {along:.0f} mm long, the printer feeds no sheet shorter than {shortest:.0f} mm"
    elif across < full - ON_EDGE:
        reason = "a strip is cut off along its side, so the printer's guides no longer hold it where it was"
    elif wanted in edges:
        return Feeding("straight", wanted)
    elif OPPOSITE[wanted] in edges:
        other = OPPOSITE[wanted]
        return Feeding("turned", other, f"its {wanted} edge is cut")
    else:
        reason = "no straight original edge is left to feed it by"
    return Feeding("never" if laser else "carrier", wanted, reason)


def _line(sheet: OwnedSheet, side: Side) -> LineString:
    w, h = sheet.entry.width, sheet.entry.height
    ends = {
        "top": ((0, h), (w, h)),
        "bottom": ((0, 0), (w, 0)),
        "left": ((0, 0), (0, h)),
        "right": ((w, 0), (w, h)),
    }[side]
    return LineString(ends)
