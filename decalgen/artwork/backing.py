"""The piece of white film under a clear decal, for a printer without white. Pure; mm.

Nothing is printed on it. So that it can be cut by hand, a thin grey line runs round it in the waste: it is cut along
the line's inner edge, and no ink stays on the piece. Cutting files need no line: they have the cut itself.
"""

from __future__ import annotations

from dataclasses import replace

from shapely.geometry import MultiPolygon, Polygon

from decalgen.artwork.build import Artwork, film_of
from decalgen.artwork.findings import NARROWEST, backable
from decalgen.colour.inks import FilmKind
from decalgen.colour.separations import backing_decal
from decalgen.core.errors import Finding
from decalgen.core.geometry import EMPTY, Outline, polygons, region, union
from decalgen.core.values import dataclass
from decalgen.job.model import Decal, InkSpec, Job
from decalgen.shapes.base import Inked

GUIDE = InkSpec("cutting guide", "process", "#8a9096")
GUIDE_WIDTH = 0.15
"""Of the line that is printed round it, mm: the thinnest that every home printer holds (common practice)."""
MOST_PIECES = 3
"""More of them are a labour to lay."""


@dataclass(frozen=True)
class _Split:
    kept: MultiPolygon
    lost: MultiPolygon
    """Art that gets no white under it."""


def films_for(decal: Decal, job: Job) -> tuple[FilmKind, ...]:
    """Every kind of film a decal takes: its own, and white for the piece under it."""
    film = film_of(decal, job)
    return (film, "white") if film == "clear" and decal.backing == "white" else (film,)


def backings(artwork: Artwork) -> tuple[Artwork, ...]:
    """The pieces of white film under a decal, in its coordinates, the largest first; none where it asks for none.

    Each lies under all that shows, white left open among it, drawn in by the decal's `backing choke`.
    """
    if not artwork.backed:
        return ()
    parts = sorted(_split(artwork).kept.geoms, key=lambda part: (-part.area, part.bounds))
    return tuple(_piece(artwork, region(part), n, len(parts)) for n, part in enumerate(parts, start=1))


def _split(artwork: Artwork) -> _Split:
    choke = artwork.decal.backing_choke
    art = union([*(inked.region for inked in artwork.shown), artwork.bare])
    drawn_in = backing_decal(art, choke)
    half = NARROWEST / 2
    kept = []
    for part in polygons(drawn_in):
        core = part.buffer(-half, join_style="mitre")
        kept += [p for p in polygons(core.buffer(half, join_style="mitre").intersection(part)) if p.area > half * half]
    white = union([region(part) for part in kept]) if kept else EMPTY
    reach = white.buffer(choke * 1.5 + 0.01, join_style="mitre")
    lost = [part for part in polygons(art.difference(reach)) if part.area > 0.05]
    return _Split(white, MultiPolygon(lost))


def _piece(artwork: Artwork, area: MultiPolygon, number: int, of: int) -> Artwork:
    part = polygons(area)[0]
    blank = replace(
        artwork,
        film="white",
        margin=0.0,
        bleed=GUIDE_WIDTH,
        cut=Outline.from_polygon(part),
        holes=tuple(Outline.from_polygon(Polygon(ring)) for ring in part.interiors),
        whole=None,
        printed=(),
        shown=(),
        bare=area,
        inks=(GUIDE,),
        findings=(),
        slits=(),
        letters=(),
        backed=False,
        backing=number,
        backings=of,
    )
    return replace(blank, printed=(Inked(GUIDE.name, region(blank.outer.difference(blank.cut_polygon))),))


def backing_findings(artwork: Artwork, fills: bool = True) -> list[Finding]:
    """What is wrong with the backing that a decal asks for. ``fills``: white film in place of it would be bare nowhere
    that is seen."""
    decal = artwork.decal
    if not artwork.backed:
        message = "asks for a backing of white film, but is printed on white film itself"
        art = union([*(inked.region for inked in artwork.shown), artwork.bare])
        fix = "leave `backing` out"
        if backable(art, decal.backing_choke):
            fix = f"write `film: clear`, or {fix}"
        return [Finding("error", "backing-film", decal.name, message, fix, decal.place)]
    made = _split(artwork)
    if made.kept.is_empty:
        message = (
            f"nothing is left to cut from white film once the art is drawn in by {decal.backing_choke:.2f} mm: strips "
            f"under {NARROWEST:g} mm cannot be cut and laid"
        )
        fix = "write a smaller `backing choke`, or `film: white` in place of `backing`"
        return [Finding("error", "backing-lost", artwork.name, message, fix, decal.place)]
    found = []
    if not made.lost.is_empty:
        parts = len(made.lost.geoms)
        where = "in one place" if parts == 1 else f"in {parts} places"
        message = (
            f"the white backing does not reach under {made.lost.area:.1f} mm\N{SUPERSCRIPT TWO} of the art, {where}: "
            f"too thin to cut at {NARROWEST:g} mm after a choke of {decal.backing_choke:.2f} mm"
        )
        other = ", or `film: white` in place of `backing`" if fills else ""
        fix = f"give that art a broader ground or a smaller `backing choke`{other}"
        areas = tuple(part.bounds for part in made.lost.geoms)
        found.append(Finding("warning", "backing-dropped", artwork.name, message, fix, decal.place, areas=areas))
    pieces = len(made.kept.geoms)
    if pieces > MOST_PIECES:
        message = f"the white backing falls into {pieces} pieces, each to be cut and laid by itself"
        fix = "join the art by a ground" + (", or write `film: white` in place of `backing`" if fills else "")
        figures = (pieces, MOST_PIECES, "pieces")
        found.append(Finding("warning", "backing-in-pieces", artwork.name, message, fix, decal.place, *figures))
    return found
