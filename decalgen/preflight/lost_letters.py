"""Letters that a printer does not hold: an opening that fills, a stroke that breaks, two that run together."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import shapely
from shapely.geometry import MultiPolygon

from decalgen.core.geometry import polygons
from decalgen.lettering.narrow_places import breaks, lost_openings, thinnest_stroke
from decalgen.lettering.outlines import Letter
from decalgen.lettering.printable import joined_script, kinds_of
from decalgen.preflight.features import inscribed
from decalgen.shapes.lettering import Lettering

BETWEEN = 0.5
"""Letters run together where the gap between them fills over this share of the cap height."""
NAMED = 4
"""So many letters are named in a message."""


class Lost(NamedTuple):
    """Letters that a printer does not hold, each once, and the narrowest place among them, mm."""

    letters: tuple[str, ...]
    narrowest: float

    @property
    def named(self) -> str:
        """The letters in words, the first few of many."""
        some = [f"'{one}'" for one in self.letters[:NAMED]]
        if len(self.letters) > NAMED:
            some.append(f"{len(self.letters) - NAMED} more")
        return ", ".join(some[:-1]) + " and " + some[-1] if len(some) > 1 else some[0]

    def figure(self, limit: float) -> str:
        """The narrowest place so exactly that it is seen to be under the limit."""
        return next(f"{self.narrowest:.{n}f}" for n in (2, 3, 6) if round(self.narrowest, n) < limit or n == 6)


@lru_cache(maxsize=256)
def closed(lettering: Lettering, gap: float) -> Lost | None:
    """The letters of which an opening fills where gaps under ``gap`` mm fill; None: all stay open."""
    lost: dict[str, float] = {}
    for text, area in kinds_of(lettering.block.letters):
        openings = lost_openings(area, gap)
        if openings:
            lost[text] = min(lost.get(text, gap), *(inscribed(one) for one in openings))
    for one, other in neighbours(lettering):
        if close_up(one, other, gap, lettering.block.cap_height):
            lost.setdefault(one.text + other.text, one.region.distance(other.region))
    return Lost(tuple(lost), min(lost.values())) if lost else None


@lru_cache(maxsize=256)
def broken(lettering: Lettering, stroke: float) -> Lost | None:
    """The letters of which a stroke is lost where lines under ``stroke`` mm are; None: all hold."""
    lost = [(text, area) for text, area in kinds_of(lettering.block.letters) if breaks(area, stroke)]
    names = tuple(dict.fromkeys(text for text, _ in lost))
    return Lost(names, min(thinnest_stroke(area) for _, area in lost)) if lost else None


def neighbours(lettering: Lettering) -> list[tuple[Letter, Letter]]:
    """Letters side by side that are not meant to run into each other."""
    return [] if joined_script(lettering.face) else list(pairwise(lettering.block.letters))


def close_up(one: Letter, other: Letter, gap: float, cap: float) -> bool:
    """Whether what lies between two neighbours is narrower than ``gap`` mm and fills."""
    apart = one.region.distance(other.region)
    return 0 < apart < gap and _run_together(one.region, other.region, gap, cap)


def _run_together(one: MultiPolygon, other: MultiPolygon, gap: float, cap: float) -> bool:
    """Whether the gap between two letters fills over a length: round letters that near each other at a point do not
    look like one."""
    both = shapely.union(one, other)
    filled = both.buffer(gap / 2, quad_segs=4).buffer(-gap / 2 * 1.01, quad_segs=4).difference(both)
    return any(
        max(part.bounds[2] - part.bounds[0], part.bounds[3] - part.bounds[1]) > BETWEEN * cap
        for part in polygons(filled)
        if part.distance(one) < gap / 4 and part.distance(other) < gap / 4
    )
