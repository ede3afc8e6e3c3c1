"""Rules for lettering: no blank boxes, no letters below what the printer holds."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache, partial
from itertools import pairwise

import shapely

from decalgen.artwork.build import Artwork, build_all, noticed
from decalgen.artwork.findings import shortened, written_at
from decalgen.core.errors import Area, DecalgenError, Finding, Place
from decalgen.job.model import Decal, Job, Printer
from decalgen.lettering.faces import face
from decalgen.lettering.measured import Matched, Reached
from decalgen.lettering.printable import joined_script, least_of
from decalgen.preflight.features import areas_of, broken, closed
from decalgen.preflight.limits import Smallest, held, limits
from decalgen.shapes.base import Box, Element
from decalgen.shapes.group import Group, inside_groups
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.placing import place as placed

PLAIN_FACES = ("Archivo", "Saira", "Overpass", "Alumni Sans")
"""Plain faces with open letters, tried in this order where another cannot be opened."""


def letterings(elements: Sequence[Element]) -> Iterator[tuple[Element, Lettering]]:
    """Every lettering among some elements and inside their groups, with the element it stands in."""
    for element in inside_groups(elements):
        if isinstance(element.shape, Lettering):
            yield element, element.shape


def glyphs(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Characters that no face has, or that another face had to lend."""
    found = []
    for element, lettering in letterings(decal.artwork):
        place = written_at(element.place, decal)
        words = shown(lettering)
        if lettering.block.missing:
            lacking = ", ".join(f"'{c}'" for c in dict.fromkeys(lettering.block.missing))
            found.append(
                Finding(
                    "error",
                    "no-glyph",
                    decal.name,
                    f"no face has a glyph for {lacking} of '{words}', so nothing would be printed there",
                    "spell it with other characters, or draw the sign as an `outline`",
                    place,
                    areas=where(lettering, artwork, decal, job),
                )
            )
        for name in dict.fromkeys(lender for _, lender in lettering.block.borrowed):
            found.append(
                Finding(
                    "note",
                    "borrowed-glyph",
                    decal.name,
                    f"'{lettering.face}' lacks some letters of '{words}'; they are taken from '{name}'",
                    "choose a face that has them all (`decalgen fonts`)",
                    place,
                )
            )
    return found


def small_letters(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Capitals lower than the printer holds, printed or left bare in a ground, with what would help."""
    limit = limits(printer)
    bare = left_bare(artwork, job, printer)
    found = []
    for element, lettering in letterings(decal.artwork):
        cap = lettering.block.cap_height
        feature = "caps_reversed" if lettering.ink in bare else "caps"
        caps = limit.caps_reversed if lettering.ink in bare else limit.caps
        place = written_at(element.place, decal)
        words = shown(lettering)
        keeps = partial(keeps_in, lettering, artwork=artwork, job=job, printer=printer)
        if lettering.compensate:
            at = where(lettering, artwork, decal, job)
            found += _compensated(lettering, decal.name, place, at, keeps)
        elif cap < caps - 1e-9:
            fix = "make the lettering larger, or print with a finer printer"
            better = _drawn_for(lettering, limit, lettering.ink in bare, keeps)
            if better:
                fix = f"{better}; or {fix}"
            found.append(
                Finding(
                    "warning",
                    "small-lettering",
                    decal.name,
                    f"capitals of {cap:.2f} mm in '{words}' are under the {caps:.1f} mm that {held(printer, feature)}",
                    fix,
                    place,
                    cap,
                    caps,
                    areas=where(lettering, artwork, decal, job),
                )
            )
    return found


def _drawn_for(lettering: Lettering, limit: Smallest, bare: bool, keeps: Callable[[Lettering], bool]) -> str:
    """What draws small lettering for the printer, in its own face or in one that holds; nothing where neither does."""
    if lettering.match or lettering.fit:
        # Their sizes are given or looked for: nothing opens them.
        return ""
    other = opened(lettering, limit, bare)
    if other and keeps(other):
        enough = all(one.fits for one in other.block.printable)
        far = "which opens what would fill in" if enough else "which opens it as far as its size allows"
        return f"add {compensation(other)}, {far} (`decalgen draw` shows both side by side)"
    plainer = face_that_holds(_to_hold(lettering, limit, bare), keeps)
    if plainer:
        return f"write `face: {plainer.face}, {_keys(plainer)}`, which holds at this size"
    return ""


def left_bare(artwork: Artwork, job: Job, printer: Printer) -> set[str]:
    """The white inks of a job that print nothing on this decal: they are film, or the backing, left bare."""
    whites = {ink.name for ink in job.inks if ink.kind == "white"}
    return whites if artwork.backed or (artwork.film == "white" and not printer.white) else set()


def opened(lettering: Lettering, limit: Smallest, bare: bool = False) -> Lettering | None:
    """Lettering under the printer's least cap height as compensation would draw it; None where that is not offered,
    or would not help. ``bare``: white left out of a ground."""
    caps = limit.caps_reversed if bare else limit.caps
    if lettering.compensate or lettering.match or lettering.fit or lettering.block.cap_height >= caps - 1e-9:
        return None
    tried = _to_hold(lettering, limit, bare)
    try:
        done = tried.block.printable
    except DecalgenError:
        # So small that no stroke has room, or pressed into a width that the opened letters do not go into.
        return None
    if not done:
        return None
    stroke, gap = least_of(lettering.block.letters, joined_script(lettering.face))
    better = all(one.fits or (one.least_stroke > stroke and one.least_gap > gap) for one in done)
    return tried if better else None


def _to_hold(lettering: Lettering, limit: Smallest, bare: bool) -> Lettering:
    """Lettering drawn for what the printer holds; where it is left bare in a ground, a stroke is a gap in ink."""
    line, space = (limit.gap, limit.line) if bare else (limit.line, limit.gap)
    return replace(lettering, compensate=True, least_stroke=line, least_gap=space)


def face_that_holds(lettering: Lettering, keeps: Callable[[Lettering], bool]) -> Lettering | None:
    """Compensated lettering in the first plain face that holds what it asks for, drawn bolder, and that ``keeps`` the
    decal sound; None where no face does, or its settings are those of the face it has."""
    if lettering.axes:
        return None
    for name in PLAIN_FACES:
        tried = replace(lettering, face=name)
        if name != lettering.face and _fits(tried) and keeps(tried):
            return tried
    return None


@lru_cache(maxsize=256)
def _fits(tried: Lettering) -> bool:
    """Whether compensated lettering holds; not where it has no room to be drawn."""
    try:
        done = tried.block.printable
    except DecalgenError:
        return False
    if not done or not all(one.fits for one in done):
        return False
    # What is short of it by a little fits, and is told of all the same where a letter is lost by it. Reversed letters
    # are held to the limits the other way round.
    line, space = tried.least_stroke, tried.least_gap
    if tried.reversed:
        line, space = space, line
    return broken(tried, line) is None and closed(tried, space) is None


def compensation(tried: Lettering) -> str:
    """The lines that draw lettering for the printer, to be added to it together."""
    return f"`{_keys(tried)}`"


def _keys(tried: Lettering) -> str:
    return f"compensate: yes, least stroke: {tried.least_stroke:g} mm, least gap: {tried.least_gap:g} mm"


def keeps_in(lettering: Lettering, tried: Lettering, artwork: Artwork, job: Job, printer: Printer) -> bool:
    """Whether a decal with ``tried`` in place of a lettering has no error that it has not got now: letters that are
    opened take more room."""
    changed = replace(artwork.decal, artwork=_exchanged(artwork.decal.artwork, lettering, tried))
    try:
        if changed.cut.kind == "artwork" or changed.is_slit:
            made = build_all(job, changed, artwork.hand, printer.white)
            found = [finding for part in made for finding in part.findings]
        else:
            # No letter moves the cut line: the same sections come of it as now.
            found = list(noticed(job, changed, artwork.hand, printer.white))
    except DecalgenError:
        return False
    now = {finding.code for finding in artwork.findings if finding.severity == "error"}
    return all(one.code in now for one in found if one.severity == "error")


def _exchanged(elements: Sequence[Element], lettering: Lettering, tried: Lettering) -> tuple[Element, ...]:
    """Elements with a lettering exchanged, in groups too."""
    found = []
    for element in elements:
        if element.shape is lettering:
            element = replace(element, shape=tried)
        elif isinstance(element.shape, Group):
            inner = _exchanged(element.shape.elements, lettering, tried)
            element = replace(element, shape=replace(element.shape, elements=inner))
        found.append(element)
    return tuple(found)


def where(lettering: Lettering, artwork: Artwork, decal: Decal, job: Job) -> tuple[Area, ...]:
    """The rectangle round a lettering on its decal; none for one that is drawn as seen, which the film bends."""
    if decal.as_seen:
        return ()
    mirrored = artwork.hand == "right" and job.panel(decal.panel).hand != "right"
    box = Box(artwork.width, artwork.height)
    for element in decal.artwork:
        if not any(one is lettering for _, one in letterings((element,))):
            continue
        own = [one for _, one in letterings((element,))]
        regions = [inked.region for inked in placed((element,), box, 0.0, mirrored) if inked.lettering]
        # The letterings of a group are drawn one after the other; where they do not pair up, all of them are shown.
        if len(own) == len(regions):
            regions = [regions[next(n for n, one in enumerate(own) if one is lettering)]]
        return areas_of([shapely.box(*shapely.total_bounds(regions))]) if regions else ()
    return ()


def _compensated(
    lettering: Lettering,
    name: str,
    place: Place | None,
    at: tuple[Area, ...],
    keeps: Callable[[Lettering], bool],
) -> list[Finding]:
    """What compensation did to the letters, and where it did not go far enough or would do harm. ``keeps``: whether
    the decal is as sound with other lettering in its place."""
    found = []
    words = shown(lettering)
    for line in lettering.block.printable:
        if line.harmed:
            found.append(_left_alone(lettering, name, place, at, keeps))
            continue
        if line.changes:
            told = f"'{words}' is drawn for the printer: {'; '.join(line.changes)}"
            found.append(Finding("note", "compensated-lettering", name, told, place=place, areas=at))
        if not line.fits:
            fix = "make the lettering larger, or choose a plainer face"
            if lettering.justify or lettering.start or lettering.width:
                fix = "give it more length, or choose a narrower or a plainer face"
            elif line.cap_height_needed:
                fix = f"make capitals about {line.cap_height_needed:.1f} mm high, or choose a plainer face"
            found.append(
                Finding(
                    "warning",
                    "small-lettering",
                    name,
                    f"'{words}' cannot be opened far enough: its thinnest stroke is {line.least_stroke:.2f} mm and its "
                    f"narrowest gap {line.least_gap:.2f} mm",
                    fix,
                    place,
                    line.least_stroke,
                    lettering.least_stroke,
                    areas=at,
                )
            )
    return found


def _left_alone(
    lettering: Lettering,
    name: str,
    place: Place | None,
    at: tuple[Area, ...],
    keeps: Callable[[Lettering], bool],
) -> Finding:
    """Lettering that compensation would harm, with a face that holds at its size, where there is one."""
    told = f"'{shown(lettering)}' cannot be opened: bolder letters of '{lettering.face}' would fill up or come apart"
    other = face_that_holds(lettering, keeps)
    fix = f"write `face: {other.face}`, which holds at this size" if other else "choose a plainer face"
    return Finding(
        "warning", "small-lettering", name, f"{told}, so they are not changed", f"{fix}; or make the lettering larger",
        place, areas=at,
    )  # fmt: skip


def matches(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """What lettering drawn to measures has reached, with the measurements' own uncertainty, and what was forced."""
    found = []
    for element, lettering in letterings(decal.artwork):
        done = lettering.block.matched
        if done is None or lettering.match is None or lettering.match.cap_height is None:
            # By an assumed cap height nothing is reached.
            continue
        place = written_at(element.place, decal)
        words = shown(lettering)
        found.append(Finding("note", "matched-lettering", decal.name, matched_words(words, done), place=place))
        found += [
            Finding(
                "warning",
                "forced-lettering",
                decal.name,
                f"'{words}': {forced}",
                "measure it again, or choose another face: `decalgen fonts --like` ranks them",
                place,
            )
            for forced in done.out_of_range
        ]
    return found


def matched_words(words: str, done: Matched) -> str:
    """What lettering drawn to measures has reached: each measure, and how far off its reading the worst is."""
    reached = ", ".join(f"{one.name} {one.shown}" for one in done.reached)
    where = f"with {done.sources}," if done.faces else f"in {done.face}"
    return f"'{words}' {where} has {reached}{_residual(done.reached)}"


def _residual(reached: Sequence[Reached]) -> str:
    """The length that is farthest from its reading, by how much; beside U it says whether the drawing adds doubt."""
    lengths = [one for one in reached if one.name != "slant"]
    if not lengths:
        return ""
    worst = max(lengths, key=lambda one: abs(one.residual))
    off = 1000 * abs(worst.residual)
    if off < 0.1:
        return "; off the readings by less than 0.1 \N{MICRO SIGN}m"
    return f"; off the readings by {off:.1f} \N{MICRO SIGN}m at most ({worst.name})"


def touching(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Letters that run into each other; joined letters of a script are meant to."""
    found = []
    for element, lettering in letterings(decal.artwork):
        if face(lettering.face).category == "script":
            continue
        letters = lettering.block.letters
        pairs = [
            f"'{a.text}' and '{b.text}'" for a, b in pairwise(letters) if a.region.intersection(b.region).area > 1e-6
        ]
        if pairs:
            found.append(
                Finding(
                    "warning",
                    "touching-letters",
                    decal.name,
                    f"letters run into each other in '{shown(lettering)}': {', '.join(dict.fromkeys(pairs))}",
                    "give more tracking, width or radius, or a lighter face",
                    written_at(element.place, decal),
                    areas=where(lettering, artwork, decal, job),
                )
            )
    return found


def shown(lettering: Lettering) -> str:
    """Its words, cut short for a message."""
    return shortened(" ".join(lettering.text))
