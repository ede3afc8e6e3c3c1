"""A decal split at gaps and cut around obstacles. Sections keep the panel's coordinates, so the pattern runs on
across a gap as if nothing had been taken out."""

from __future__ import annotations

from collections.abc import Collection

import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.errors import Finding, FitError, Place
from decalgen.core.geometry import SLIVER, arc_steps, polygons, region
from decalgen.core.values import dataclass
from decalgen.panels.arches import beyond
from decalgen.panels.base import Obstacle, Panel

NARROW = 1.0
"""A section narrower than this cannot be handled with tweezers, mm (common practice, no source)."""


@dataclass(frozen=True)
class Section:
    """One part of a decal: ``outline`` in the panel's flat coordinates, ``number`` of ``count`` from the left, and
    the obstacles it lies beside."""

    number: int
    count: int
    outline: Polygon
    beside: tuple[str, ...]


@dataclass(frozen=True)
class Strip:
    """What is taken out of a decal for one obstacle and its clearance, or beyond one side of an outline."""

    obstacle: str
    region: MultiPolygon


def keep_off(obstacle: Obstacle) -> Polygon:
    """The obstacle with its clearance round it; corners round, so that film does not tear from them."""
    shape = obstacle.outline.polygon
    if obstacle.clearance <= 0:
        return shape
    return shape.buffer(obstacle.clearance, quad_segs=arc_steps(obstacle.clearance, 1.5707963267948966))


def strips(cut: Polygon, panel: Panel, names: Collection[str] | None = None) -> tuple[Strip, ...]:
    """What the obstacles (all, or those named) and the named sides of an outline take out of a cut line; no two
    strips overlap."""
    found: list[Strip] = []
    left: shapely.Geometry = cut
    for name, off in _off(cut, panel, names).items():
        taken = region(left.intersection(off))
        if not taken.is_empty:
            found.append(Strip(name, taken))
            left = left.difference(off)
    return tuple(found)


def sections(cut: Polygon, panel: Panel, names: Collection[str] | None = None) -> tuple[Section, ...]:
    """What is left of a cut line when it is split at gaps, cut around obstacles (all, or those named) and cut along
    the named sides of an outline, from left to right, then upward. A decal that meets none is one section. Raises
    `FitError` where nothing is left."""
    met = {strip.obstacle for strip in strips(cut, panel, names)}
    offs = {name: off for name, off in _off(cut, panel, names).items() if name in met}
    rest = cut.difference(shapely.union_all(list(offs.values()))) if offs else cut
    pieces = [piece for piece in polygons(rest) if piece.area > SLIVER]
    if not pieces:
        listed = " and ".join(f"'{name}'" for name in offs)
        places = [item.place for item in panel.obstacles if item.name in offs]
        raise FitError(
            f"{listed} on panel '{panel.name}' {'leaves' if len(offs) == 1 else 'leave'} nothing of the decal",
            fix="move the decal, or check the size, position and clearance of the obstacle",
            place=places[0] if places else panel.place,
        )
    pieces.sort(key=lambda piece: (round(piece.bounds[0], 6), round(piece.bounds[1], 6)))
    return tuple(
        Section(
            number,
            len(pieces),
            piece,
            tuple(name for name, off in offs.items() if piece.distance(off) < 1e-6),
        )
        for number, piece in enumerate(pieces, 1)
    )


def _off(cut: Polygon, panel: Panel, names: Collection[str] | None) -> dict[str, Polygon | MultiPolygon]:
    """Where no film may be, by the obstacle or side that asks for it."""
    found: dict[str, Polygon | MultiPolygon] = {
        item.name: keep_off(item) for item in panel.obstacles if names is None or item.name in names
    }
    return found | {name: area for name, area in beyond(cut, panel, names or ()).items() if name not in found}


def section_findings(found: tuple[Section, ...], subject: str, place: Place | None = None) -> tuple[Finding, ...]:
    """A warning for each section too narrow to handle."""
    return tuple(
        Finding(
            "warning",
            "section-narrow",
            subject,
            f"section {section.number} of {section.count} is nowhere wider than {NARROW:g} mm",
            "end the decal before the gap, or leave that section off",
            place,
        )
        for section in found
        if section.outline.buffer(-NARROW / 2).is_empty
    )
