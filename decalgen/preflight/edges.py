"""Rules for the edge of a decal: bleed long enough for the knife."""

from __future__ import annotations

from shapely.geometry import MultiLineString
from shapely.geometry.base import BaseGeometry

from decalgen.artwork.build import Artwork
from decalgen.core.errors import Finding
from decalgen.core.geometry import TOLERANCE, union
from decalgen.job.model import Decal, Job, Printer
from decalgen.preflight.bare_film import film_shows
from decalgen.preflight.features import areas_of

SHORTEST_BLEED = 0.3
"""How far a cut by hand or machine may go astray, mm (common practice, no source)."""
LEAST = 0.2
"""A shorter piece of edge that ink runs up to is passed over, mm: a corner that only touches."""


def short_bleed(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Ink that runs up to the cut line and not far enough over it: a cut a little off would show bare film."""
    limit = max(SHORTEST_BLEED, printer.misregister)
    if artwork.margin > 0 or artwork.bleed >= limit - TOLERANCE:
        return []
    inked = union(one.region for one in artwork.shown)
    along = artwork.cut_polygon.boundary.intersection(inked.buffer(2 * TOLERANCE))
    edge = [part for part in _lines(along) if part.length >= LEAST]
    if not edge:
        return []
    # A margin of white film would be seen beside the ink.
    clear = artwork.film == "clear" or not film_shows(job)
    margin = ", or leave a bare margin (`margin: 0.5 mm` in place of `bleed`)" if clear else ""
    length = sum(part.length for part in edge)
    return [
        Finding(
            "warning",
            "bleed-short",
            artwork.name,
            f"ink meets {length:.1f} mm of the cut line and runs on {artwork.bleed:.2f} mm beyond it: a cut "
            f"{limit:.2f} mm astray shows bare film",
            f"write `bleed: 0.5 mm`{margin}",
            decal.place,
            artwork.bleed,
            limit,
            areas=areas_of([part.buffer(0.05) for part in edge]),
        )
    ]


def _lines(geometry: BaseGeometry) -> list[BaseGeometry]:
    """The joined lines of a geometry."""
    import shapely

    parts = [one for one in getattr(geometry, "geoms", [geometry]) if one.length > 0]
    if not parts:
        return []
    merged = shapely.line_merge(MultiLineString([one.coords for one in parts]))
    return list(getattr(merged, "geoms", [merged]))
