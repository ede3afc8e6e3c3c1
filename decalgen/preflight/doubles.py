"""Rules for decals that lie on each other: there twice, drawn alike, or one over a part of another."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from shapely.affinity import translate
from shapely.geometry import Polygon

from decalgen.artwork.build import Artwork
from decalgen.artwork.on_panel import corner_on, on_panel
from decalgen.core.errors import Finding
from decalgen.core.geometry import SLIVER, TOLERANCE, polygons, union
from decalgen.job.model import Job, Printer
from decalgen.job.over import below
from decalgen.preflight.features import areas_of, inscribed
from decalgen.shapes.base import Box

TOUCHING = 4 * TOLERANCE
"""Two cut lines flattened to within the tolerance may share a strip as wide as this and still only touch, mm."""
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


def overlaps(artworks: Sequence[Artwork], job: Job, printer: Printer) -> list[Finding]:
    """Decals of one panel and hand that lie over each other without the job saying so, each pair once; what `over`
    names and does not lie there. Outlines that touch within their tolerance do not overlap; nor does a decal overlap
    its own sections, or the backing of white film under it."""
    under = below(job.decals)
    found: dict[tuple[str, str], Finding] = {}
    met: set[tuple[str, str]] = set()
    for one, other in combinations(artworks, 2):
        lower, upper = one.decal, other.decal
        if lower.name == upper.name or not _on_one_panel(one, other):
            continue
        shared = [part for part in polygons(_film(one, job).intersection(_film(other, job))) if _notable(part)]
        if not shared:
            continue
        pair = (lower.name, upper.name)
        met |= {pair, pair[::-1]}
        meant = lower.name in under[upper.name] or upper.name in under[lower.name]
        twice = one.digest == other.digest and _at_one_place(one, other, job)
        if not meant and not twice:
            now = _overlap(one, other, shared, job)
            before = found.get(pair)
            # Left and right are told once, the larger of the two.
            if before is None or (now.measured or 0.0) > (before.measured or 0.0) + TOLERANCE:
                found[pair] = now
    drawn = {art.decal.name for art in artworks}
    idle = [
        Finding(
            "note",
            "over-nothing",
            decal.name,
            f"is said to lie over '{name}', and they do not meet on panel '{decal.panel}'",
            "leave it out of `over`, or move one of them",
            decal.place,
        )
        for decal in job.decals
        for name in decal.over
        if (decal.name, name) not in met and {decal.name, name} <= drawn
    ]
    return [*found.values(), *idle]


def _overlap(one: Artwork, other: Artwork, shared: Sequence[Polygon], job: Job) -> Finding:
    area = sum(part.area for part in shared)
    wide = max(inscribed(part) for part in shared)
    art = [translate(union([*(i.region for i in a.shown), a.bare]), *_at(a, job)) for a in (one, other)]
    # Each for itself: areas that were moved all but touch themselves, and GEOS may refuse to unite two of them.
    inked = sum(max(part.intersection(area).area for area in art) for part in shared)
    what = "" if inked > SLIVER else ", bare film on bare film only"
    upper, lower = other.decal, one.decal
    names = f"[{', '.join((*upper.over, lower.name))}]" if upper.over else lower.name
    x, y = _at(other, job)
    return Finding(
        "warning" if inked > SLIVER else "note",
        "decals-overlap",
        upper.name,
        f"lies over '{lower.name}' on panel '{upper.panel}' by up to {wide:.2f} mm ({area:.2f} mm\N{SUPERSCRIPT TWO})"
        f"{what}",
        f"move one of them; or, if it is meant, write `over: {names}`: then '{lower.name}' is applied first",
        upper.place,
        wide,
        0.0,
        areas=areas_of([translate(part, -x, -y) for part in shared]),
    )


def _notable(part: Polygon) -> bool:
    """Whether two decals really lie over each other there, and do not only touch."""
    return part.area > SLIVER and inscribed(part) > TOUCHING


def _on_one_panel(one: Artwork, other: Artwork) -> bool:
    return one.decal.panel == other.decal.panel and (one.hand or "left") == (other.hand or "left")


def _film(art: Artwork, job: Job) -> Polygon:
    """The film of a decal, or of one section of it, on its panel."""
    return translate(art.cut_polygon, *_at(art, job))


def _at(art: Artwork, job: Job) -> tuple[float, float]:
    panel, at = on_panel(job, art.decal, art.hand)
    return corner_on(panel, at, Box(art.width, art.height))


def _at_one_place(one: Artwork, other: Artwork, job: Job) -> bool:
    if not _on_one_panel(one, other):
        return False
    a, b = _laid(one, job), _laid(other, job)
    return bool(a.symmetric_difference(b).area <= SAME_PLACE * a.area)


def _laid(art: Artwork, job: Job) -> Polygon:
    """The cut line on its panel."""
    return translate(art.uncut, *_at(art, job))
