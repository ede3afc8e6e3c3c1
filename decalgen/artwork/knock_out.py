"""Inked areas laid over each other: top ink wins, and what is of one ink is one region. Pure; mm."""

from __future__ import annotations

from dataclasses import replace

from decalgen.core.geometry import boxes_meet, region, union
from decalgen.shapes.base import Inked


def knock_out(painted: list[Inked]) -> list[Inked]:
    """Each area without what lies above it, in painting order."""
    seen: list[Inked] = []
    for position, item in enumerate(painted):
        # Only what lies near is joined: with many words on a decal the union of all of them is slow.
        above = [other.region for other in painted[position + 1 :] if boxes_meet(item.region, other.region)]
        visible = region(item.region.difference(union(above)) if above else item.region)
        if not visible.is_empty:
            seen.append(replace(item, region=visible))
    return seen


def merge(stacked: list[Inked]) -> list[Inked]:
    """One region an ink, in the order the inks first appear: abutting cells of one ink become one outline."""
    regions: dict[str, list[Inked]] = {}
    for item in stacked:
        regions.setdefault(item.ink, []).append(item)
    found = []
    for ink, items in regions.items():
        words = all(item.lettering for item in items)
        # The letters of one lettering lie apart: there is nothing to join.
        alone = words and len(items) == 1
        # A picture has a name of its own, whatever lies beside it.
        shown = items[0].picture
        found.append(
            Inked(ink, region(items[0].region) if alone else union(i.region for i in items), words, picture=shown)
        )
    return found
