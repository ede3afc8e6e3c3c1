"""Rules for decals that are there twice: drawn alike, or one laid exactly over another."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from shapely.affinity import translate
from shapely.geometry import Polygon

from decalgen.artwork.build import Artwork
from decalgen.artwork.on_panel import on_panel
from decalgen.core.errors import Finding
from decalgen.job.model import Job, Printer
from decalgen.shapes.base import Box

SAME_PLACE = 0.05
"""Two cut lines that share all but this part of their area lie at one place."""


def doubles(artworks: Sequence[Artwork], job: Job, printer: Printer) -> list[Finding]:
    """Pairs of decals with the same artwork: a warning where both lie at one place, else a note."""
    found: dict[tuple[str, str], Finding] = {}
    for one, other in combinations(artworks, 2):
        if one.decal.name == other.decal.name or one.section or other.section or one.digest != other.digest:
            continue
        first, second = one.decal, other.decal
        pair = (first.name, second.name)
        if _at_one_place(one, other, job):
            found[pair] = Finding(
                "warning",
                "same-place",
                second.name,
                f"is the same artwork at the same place as '{first.name}' on panel '{first.panel}'",
                f"leave one of them out, or move it; for more of them write `copies:` or `spares:` of '{first.name}'",
                second.place,
            )
        elif pair not in found:
            found[pair] = Finding(
                "note",
                "same-artwork",
                second.name,
                f"is the same artwork as '{first.name}': cut both, and either may be used for the other",
                place=second.place,
            )
    return list(found.values())


def _at_one_place(one: Artwork, other: Artwork, job: Job) -> bool:
    if one.decal.panel != other.decal.panel or (one.hand or "left") != (other.hand or "left"):
        return False
    a, b = _laid(one, job), _laid(other, job)
    return bool(a.symmetric_difference(b).area <= SAME_PLACE * a.area)


def _laid(art: Artwork, job: Job) -> Polygon:
    """The cut line on its panel."""
    panel, at = on_panel(job, art.decal, art.hand)
    x, y = at.corner(Box(art.width, art.height), Box(panel.width.value, panel.height.value))
    return translate(art.uncut, x, y)
