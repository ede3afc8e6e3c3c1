"""Rules for what is too thin for the printer: lines of ink, gaps between inks, lines left bare in a ground."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import MultiPolygon, Polygon, box

from decalgen.artwork.build import Artwork
from decalgen.core.errors import Finding
from decalgen.core.geometry import region
from decalgen.job.model import Decal, Job, Printer
from decalgen.preflight.features import Thin, thin
from decalgen.preflight.limits import held, limits

BEYOND = 2.0
"""How far film is looked at beyond the cut line, so that no edge is taken for a gap, mm."""


def thin_lines(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Parts of an ink thinner than the printer lays down."""
    limit = limits(printer).line
    found = []
    for inked in artwork.shown:
        seen = thin(inked.region, limit)
        if seen is None:
            continue
        found.append(
            Finding(
                "warning",
                "thin-line",
                artwork.name,
                f"{_share(seen, inked.region)} of '{inked.ink}' is thinner than the {limit:.2f} mm that "
                f"{held(printer, 'line')}, down to {seen.width:.2f} mm",
                "make strokes thicker, or print with a finer printer",
                decal.place,
                seen.width,
                limit,
                areas=seen.areas,
            )
        )
    return found


def thin_gaps(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Bare gaps that would fill in: white reversed out of a ground, or film between inks."""
    if not artwork.shown:
        return []
    limit = limits(printer).gap
    x0, y0, x1, y1 = artwork.cut_polygon.bounds
    film = region(box(x0 - BEYOND, y0 - BEYOND, x1 + BEYOND, y1 + BEYOND).difference(artwork.covered))
    meant = artwork.bare
    seen = thin(film, limit, meant.area or 1e9)
    if seen is None:
        return []
    reversed_parts = [part for part in seen.parts if _lies_in(part, meant)]
    between = [part for part in seen.parts if part not in reversed_parts]
    found = []
    if reversed_parts:
        lines = Thin(tuple(reversed_parts))
        found.append(
            Finding(
                "warning",
                "thin-reversed",
                artwork.name,
                f"{_share(lines, meant)} of the bare white is narrower than the {limit:.2f} mm that "
                f"{held(printer, 'gap')}, down to {lines.width:.2f} mm, and may fill in",
                "make the white strokes wider: reversed lettering needs more than printed lettering",
                decal.place,
                lines.width,
                limit,
                areas=lines.areas,
            )
        )
    if between:
        gaps = Thin(tuple(between))
        found.append(_gap(gaps, artwork, decal, printer, limit))
    return found


def _gap(gaps: Thin, artwork: Artwork, decal: Decal, printer: Printer, limit: float) -> Finding:
    return Finding(
        "warning",
        "thin-gap",
        artwork.name,
        f"a gap between printed areas is narrower than the {limit:.2f} mm that {held(printer, 'gap')}, down to "
        f"{gaps.width:.2f} mm, and may fill in",
        "widen the gap, or close it",
        decal.place,
        gaps.width,
        limit,
        areas=gaps.areas,
    )


def _lies_in(part: Polygon, area: MultiPolygon) -> bool:
    return not area.is_empty and part.intersection(area).area > part.area / 2


def _share(seen: Thin, of: Sequence[Polygon] | MultiPolygon) -> str:
    whole = of.area if isinstance(of, MultiPolygon) else sum(part.area for part in of)
    return f"{seen.area / whole:.0%}" if seen.area >= 0.005 * whole else "a little"
