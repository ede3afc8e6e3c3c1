"""Rules for colour: film advice, lettering that can be read on the body, eyes that see fewer colours, white, inks.

What an ink does is `decalgen.colour`'s to say; it is imported with the rules and loads its library at first use.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import shapely
from shapely.geometry import MultiPolygon, box

from decalgen.artwork.backing import backing_findings
from decalgen.artwork.build import Artwork
from decalgen.artwork.findings import backable
from decalgen.artwork.over_body import (
    Coloured,
    advice,
    advised,
    as_planned,
    body,
    compensations,
    lies_on,
    underlay,
    used_inks,
    white_passes,
)
from decalgen.colour.difference import GOOD, delta_e
from decalgen.colour.findings import (
    compensated_finding,
    film_finding,
    gamut_finding,
    not_compensated_finding,
    over_white_finding,
    profile_finding,
    swatch_finding,
    white_finding,
)
from decalgen.colour.inks import check_body, check_inks
from decalgen.colour.legibility import confusions, legibility_finding
from decalgen.colour.value import Colour
from decalgen.core.errors import Finding
from decalgen.core.geometry import boxes_meet, polygons, union
from decalgen.job.colours import film_look, ink_of, printer_colour
from decalgen.job.model import Decal, Job, Printer
from decalgen.preflight.bare_film import LEAST, bare_if_white
from decalgen.preflight.features import Thin, areas_of

RING = 0.3
"""How far round a letter its ground is looked at, mm: about its stroke."""
WHOLE = 0.98
"""So much of the box round lettering is its ground where there is no other."""
COARSE = 0.005
"""How exactly letters are followed where only the share of each ground beside them counts, mm."""
NOTHING = ""
"""The ink of what is not printed."""
PART = 0.2
"""A ground that makes up less than this part of the ring is passed over."""


def film_advice(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Inks that will not look as wanted on the decal's film over the body, and what would do better."""
    known, on = printer_colour(printer), body(job)
    white = white_passes(artwork, job, printer)
    film = lies_on(artwork, job)
    films = (film_look("clear", job), film_look("white", job))
    found: list[Finding | None] = []
    made = compensations(artwork, job, printer)
    asked = {spec.name: spec for spec in artwork.inks}
    below = _white_below(artwork, decal, printer)
    looks = dict(as_planned(artwork, job, printer).options)
    for ink in used_inks(artwork):
        if looks[ink.name].delta_e <= GOOD and not asked[ink.name].compensate:
            continue  # Most inks are right where they are: then nothing else need be weighed.
        said = advice(ink, on, known, decal.cut.kind == "panel", films)
        if ink.name in made:
            found.append(compensated_finding(said, made[ink.name]))
            continue
        if asked[ink.name].compensate:
            found.append(over_white_finding(ink, below) if below else not_compensated_finding(said))
        passes = max(white.values()) if ink.name in white else 0
        best = dict(advised(artwork, job, printer).options)
        found.append(film_finding(said, film, known, passes, best.get(ink.name), len(best) == 1))
    return [finding for finding in found if finding is not None]


def _white_below(artwork: Artwork, decal: Decal, printer: Printer) -> str:
    """What white lies under all inks of a decal, in words; nothing where there is none."""
    if artwork.backed:
        return "a backing of white film"
    if artwork.film == "white":
        return "white film"
    return "white ink" if printer.white and decal.underlay == "all" else ""


def legible(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Lettering that is hard to read on its ground as both look on the body."""
    if any(finding.code == "white-on-clear" for finding in artwork.findings):
        return []
    coloured = as_planned(artwork, job, printer)
    found = []
    for ink in dict.fromkeys(i.ink for i in artwork.letters):
        on = _hardest(artwork, ink, coloured)
        if on is not None:
            subject = f"{artwork.decal.name}, lettering in {ink}"
            told = legibility_finding(subject, coloured.look(ink), on, decal.place)
            if told is not None:
                found.append(
                    replace(told, areas=areas_of([i.region.envelope for i in artwork.letters if i.ink == ink]))
                )
    return found


def _hardest(artwork: Artwork, ink: str, coloured: Coloured) -> Colour | None:
    """The ground nearest in lightness to the lettering in ``ink``, of those that lie beside it."""
    some = [one.region for one in artwork.letters if one.ink == ink]
    only = _all_round(artwork, ink, some)
    if only is not None:
        return coloured.look(only)
    letters = (some[0] if len(some) == 1 else union(some)).simplify(COARSE)
    ring = letters.buffer(RING, quad_segs=4).intersection(artwork.cut_polygon).difference(letters)
    mine = {one.ink: one.region for one in artwork.shown}.get(ink, artwork.bare)
    ring = ring.difference(mine.simplify(COARSE))
    if ring.is_empty:
        return None
    shares = {one.ink: ring.intersection(one.region).area / ring.area for one in artwork.shown if one.ink != ink}
    shares[NOTHING] = 1.0 - sum(shares.values())
    beside = [coloured.look(name) for name, share in shares.items() if share >= PART]
    lightness = coloured.look(ink).lab[0]
    return min(beside, key=lambda ground: abs(ground.lab[0] - lightness), default=None)


def _all_round(artwork: Artwork, ink: str, letters: Sequence[MultiPolygon]) -> str | None:
    """The one ink that fills the box round some lettering but for its letters, or `NOTHING` for bare film; None where
    it is not seen so easily. Most lettering stands on one ground, and that costs little to see."""
    x0, y0, x1, y1 = shapely.total_bounds(list(letters))
    bounds = (x0 - RING, y0 - RING, x1 + RING, y1 + RING)
    around = box(*bounds)
    near = [one for one in artwork.shown if one.ink != ink and boxes_meet(one.region, around)]
    if len(near) > 1 or not artwork.cut_polygon.covers(around):
        return None
    drawn = sum(area.area for area in letters)
    filled = sum(shapely.clip_by_rect(one.region, *bounds).area for one in near)
    if filled + drawn >= WHOLE * around.area:
        return near[0].ink
    return NOTHING if not near and artwork.bare.is_empty else None


def like_the_body(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Areas that come out as wanted, in the body's own colour: nobody will see them. On white film they may stand for
    the body on purpose. Lettering is told by `legible`, an ink that the body hides by `film_advice`."""
    on = body(job)
    if on.finish == "bare metal":
        return []  # It has no one colour.
    kinds = {ink.name: ink.kind for ink in used_inks(artwork)}
    looks = dict(as_planned(artwork, job, printer).options)
    found = []
    for one in artwork.shown:
        option = looks.get(one.ink)
        if option is None or one.picture or kinds.get(one.ink) not in ("process", "spot"):
            continue
        far = delta_e(option.look, on.colour)
        if max(far, option.delta_e) > GOOD:
            continue
        letters = [each.region for each in artwork.letters if each.ink == one.ink]
        area = one.region.difference(union(letters)) if letters else one.region
        if area.area < LEAST:
            continue
        clear = lies_on(artwork, job).kind == "clear"
        near = f"looks like the body, {option.look.hex} on {on.colour.hex}: dE {far:.1f}"
        what = "it will hardly be seen" if clear else "it will be seen only by its edge"
        fix = "use another ink, or white film" if clear else "use another ink, or leave it if it stands for the body"
        found.append(
            Finding(
                "warning" if clear else "note", "colour-as-body", f"{artwork.decal.name}, {one.ink}", f"{near}; {what}",
                fix, decal.place, far, GOOD, "dE", areas_of(polygons(area)),
            )
        )  # fmt: skip
    return found


def merging(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Inks of one decal that some eyes cannot tell apart."""
    coloured = as_planned(artwork, job, printer)
    looks = [(name, option.look) for name, option in coloured.options]
    if not artwork.bare.is_empty and not artwork.backed:
        looks.append(("white", coloured.ground))
    return [replace(finding, place=decal.place) for finding in _confusions(artwork.decal.name, tuple(looks))]


@lru_cache(maxsize=256)
def _confusions(subject: str, looks: tuple[tuple[str, Colour], ...]) -> tuple[Finding, ...]:
    return confusions(subject, dict(looks))


def white_under(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """White asked for and not to be had; strokes too thin to have any under them."""
    if decal.underlay == "all" and not printer.white:
        art = union([*(inked.region for inked in artwork.shown), artwork.bare])
        backed = backable(art, decal.backing_choke)
        finding = white_finding(decal.name, printer_colour(printer), decal.place, backed)
        return [finding] if finding else []
    if not printer.white or artwork.film != "clear":
        return []
    under = underlay(artwork, job, printer)
    return [replace(finding, measured=Thin(tuple(polygons(under.dropped))).width) for finding in under.findings]


def backing_under(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """A backing of white film that is not needed, comes to nothing, or leaves parts of the art without."""
    return backing_findings(artwork, bare_if_white(artwork, job).is_empty) if decal.backing == "white" else []


def inks(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """What must be known of the inks themselves: their names, metallics, the printer's gamut."""
    used = used_inks(artwork)
    known = printer_colour(printer)
    gamut = [of(ink, known) for ink in used for of in (gamut_finding, swatch_finding)]
    return [*check_inks(used), *(finding for finding in gamut if finding is not None)]


def spot_inks(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Inks that a printer of process inks does not hold."""
    return [
        Finding(
            "note",
            "spot-ink",
            ink.name,
            f"is a spot ink, which '{printer.name}' mixes from its own inks as near to {ink.colour.hex} as it can",
            "for the ink itself write plates (`decalgen sheet --plates`) and have it printed or screened",
            ink.place,
        )
        for ink in used_inks(artwork)
        if ink.kind == "spot"
    ]


def bodies(job: Job, printer: Printer) -> list[Finding]:
    """What the body's finish means for decals."""
    return list(check_body(body(job))) if job.decals else []


def profile_fits(jobs: Sequence[Job], printer: Printer) -> list[Finding]:
    """Whether the printer's ICC profile is of a printer of its kind; a print shop answers for its own."""
    found = None if printer.shop else profile_finding(printer_colour(printer), printer.process)
    return [] if found is None else [found]


def plates_agree(jobs: Sequence[Job], printer: Printer) -> list[Finding]:
    """Spot inks that two jobs on one sheet call by one name and see in two colours."""
    every = {ink_of(spec): None for job in jobs for spec in job.inks}
    spots = {" ".join(ink.name.lower().split()) for ink in every if ink.kind in {"spot", "metallic"}}
    named = [ink for ink in every if " ".join(ink.name.lower().split()) in spots]
    return [finding for finding in check_inks(named) if finding.code == "ink-twice"]
