"""Corners that are found without help: an offer, to be confirmed. What leaves it open is said. Pure."""

from __future__ import annotations

import numpy as np
from shapely.geometry import Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.template.ink import InkMap
from decalgen.scan.template.pieces import FoundCorners, TracedRing, corners_of, cut_up, traced
from decalgen.scan.template.region import closed_outline
from decalgen.scan.template.seen import PencilEdges
from decalgen.scan.template.values import TemplateDoubt, TemplateError

PRICES = (0.65, 1.6)
"""If pieces cost so much less or more, the same corners have to come out."""
SAME_MM = 1.2
GIVE = "compare the numbered corners with the scan, and give them with --points"


@dataclass(frozen=True)
class CornerOffer:
    """``corners``: where they are, mm of the sheet; ``finder``: tuned to this pencil."""

    corners: FoundCorners
    finder: PencilEdges
    doubts: tuple[TemplateDoubt, ...]


def offered_corners(ink: InkMap, tape: Polygon | None) -> CornerOffer:
    """Raises TemplateError where no closed outline with corners is found, or scipy is missing."""
    outline = closed_outline(ink, tape)
    rough = outline.ring
    way = np.roll(rough, -3, axis=0) - np.roll(rough, 3, axis=0)
    way /= np.maximum(np.linalg.norm(way, axis=1), 1e-9)[:, None]
    finder = PencilEdges(ink).tuned(rough, np.column_stack((way[:, 1], -way[:, 0])), 0.8)
    ring = traced(finder, rough)
    found = _corners(ring, 1.0)
    if found is None:
        raise TemplateError("the outline has no corners that can be told", fix="give them with --points")
    doubts = []
    if outline.rival:
        said = "the pencil closes more than one outline"
        doubts.append(TemplateDoubt(f"{said}: a gap may have let the wrong one in", GIVE))
    for price in PRICES:
        other = _corners(ring, price)
        if other is None or not _alike(found.at, other.at):
            count = "none" if other is None else str(len(other.at))
            doubts.append(
                TemplateDoubt(f"{len(found.at)} corners were found, and {count} would do nearly as well", GIVE)
            )
            break
    return CornerOffer(found, finder, tuple(doubts))


def _corners(ring: TracedRing, price: float) -> FoundCorners | None:
    found = corners_of(ring, cut_up(ring, price))
    return found if len(found.at) >= 3 else None


def _alike(one: FloatArray, other: FloatArray) -> bool:
    """Whether two sets of corners are the same."""
    if len(one) != len(other):
        return False
    apart = np.linalg.norm(one[:, None] - other[None], axis=2)
    return bool((apart.min(axis=0) < SAME_MM).all() and (apart.min(axis=1) < SAME_MM).all())
