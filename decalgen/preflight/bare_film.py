"""Rules for film that is seen: white film beside the artwork, over a body of another colour."""

from __future__ import annotations

from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.artwork.build import Artwork
from decalgen.artwork.over_body import body
from decalgen.colour.advice import ground
from decalgen.colour.difference import GOOD, delta_e
from decalgen.core.errors import Finding
from decalgen.core.geometry import EMPTY, polygons, region, union
from decalgen.job.colours import film_look
from decalgen.job.model import Decal, Job, Printer
from decalgen.preflight.features import areas_of

RIM = 0.05
"""A rim of bare film narrower than this is not seen, mm (common practice, no source)."""
LEAST = 0.05
"""Less bare film than this in one place is not seen, mm²."""


def bare_film(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Film beside the artwork that will be seen on the body, with its area: what the job calls white is meant."""
    seen = bare(artwork, job)
    if seen.is_empty:
        return []
    whole = artwork.cut_polygon.area
    along = ", cut along it (`cut: artwork`)" if _cut_along(artwork, seen) else ""
    look = ground(film_look("white", job), body(job).colour)
    return [
        Finding(
            "warning",
            "bare-film",
            artwork.name,
            f"{seen.area:.1f} mm\N{SUPERSCRIPT TWO} of bare white film, {seen.area / whole:.0%} of the decal, shows "
            f"beside the artwork: {look.hex} on {job.body}",
            f"let the artwork fill the decal{along}, or draw in white what is meant to be white",
            decal.place,
            seen.area,
            0.0,
            "mm\N{SUPERSCRIPT TWO}",
            areas=areas_of(polygons(seen)),
        )
    ]


def _cut_along(artwork: Artwork, seen: MultiPolygon) -> bool:
    """Whether a cut line along the artwork leaves less bare film, and the film in one piece."""
    if artwork.decal.cut.kind == "artwork" or artwork.decal.taken_out:
        return False
    parts = polygons(union([artwork.covered, artwork.bare]))
    return len(parts) == 1 and bool(seen.intersection(Polygon(parts[0].exterior)).area < seen.area / 2)


def bare(artwork: Artwork, job: Job) -> MultiPolygon:
    """The bare film of a decal that is seen on its body; none on clear film, or where film and body look alike."""
    return _seen(artwork, artwork.cut_polygon, job) if artwork.film == "white" else EMPTY


def bare_if_white(artwork: Artwork, job: Job) -> MultiPolygon:
    """The bare film that would be seen if the decal were on white film, without a bare margin unless the job asks for
    one."""
    edge: BaseGeometry = artwork.cut_polygon
    if artwork.film == "clear" and artwork.decal.margin is None:
        edge = edge.buffer(-artwork.margin, join_style="mitre")
    return _seen(artwork, edge, job)


def film_shows(job: Job) -> bool:
    """Whether white film is told from the body."""
    on = body(job).colour
    return delta_e(ground(film_look("white", job), on), on) > GOOD


def _seen(artwork: Artwork, edge: BaseGeometry, job: Job) -> MultiPolygon:
    if not film_shows(job):
        return EMPTY
    drawn = artwork.covered if artwork.bare.is_empty else union([artwork.covered, artwork.bare])
    rest = region(edge.difference(drawn))
    if rest.area < LEAST:
        return EMPTY
    # A seam or a rim too narrow to be seen goes; corners of what stays are given back.
    core = rest.buffer(-RIM / 2, join_style="mitre").buffer(RIM / 2 * 1.02, join_style="mitre")
    kept: list[Polygon] = [part for part in polygons(rest.intersection(core)) if part.area >= LEAST]
    return MultiPolygon(kept)
