"""The rules. Each takes what it judges and gives findings; none changes anything."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from decalgen.artwork.build import Artwork
from decalgen.core.errors import Finding
from decalgen.job.model import Decal, Job, Printer
from decalgen.preflight.bare_film import bare_film
from decalgen.preflight.colour import (
    backing_under,
    bodies,
    film_advice,
    inks,
    legible,
    like_the_body,
    merging,
    plates_agree,
    profile_fits,
    spot_inks,
    white_under,
)
from decalgen.preflight.doubles import doubles, overlaps
from decalgen.preflight.edges import short_bleed
from decalgen.preflight.emblems import emblems
from decalgen.preflight.letterforms import breaking_letters, closing_letters
from decalgen.preflight.lettering import glyphs, letterings, matches, small_letters, touching
from decalgen.preflight.strokes import thin_gaps, thin_lines
from decalgen.shapes.group import inside_groups

DecalRule = Callable[[Artwork, Decal, Job, Printer], list[Finding]]
JobRule = Callable[[Job, Printer], list[Finding]]
PairRule = Callable[[Sequence[Artwork], Job, Printer], list[Finding]]
RunRule = Callable[[Sequence[Job], Printer], list[Finding]]


def nothing_printed(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """A decal with no ink on it."""
    if artwork.printed or not artwork.bare.is_empty:
        return []
    if any(f.code == "white-on-clear" for f in artwork.findings):
        return []
    return [
        Finding("error", "nothing-printed", artwork.name, "prints nothing", "add a shape to its artwork", decal.place)
    ]


def curves(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """What is to be known of curves through measured points."""
    return curves_of(decal, job)


def curves_of(decal: Decal, job: Job) -> list[Finding]:
    """The same, also of a decal that cannot be cut; the rules are loaded where there are curves."""
    shapes = [one.shape for one in inside_groups(decal.artwork)]
    rings = [ring for one in shapes for ring in (one, *getattr(one, "holes", ()))]
    if not any(one.name in ("curve", "band") for one in shapes) and not any(
        getattr(one, "curves", ()) for one in rings
    ):
        return []
    from decalgen.preflight.curves import curve_findings

    return curve_findings(decal, job)


def _has(decal: Decal, name: str) -> bool:
    """Whether a shape of that name is among its artwork, or inside a group there."""
    return any(one.shape.name == name for one in inside_groups(decal.artwork))


def drawings(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """What is to be known of own drawings; their rules are loaded where there are some."""
    if not _has(decal, "drawing"):
        return []
    from decalgen.preflight.drawings import drawing_findings

    return drawing_findings(decal)


def fades(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """What is to be known of fades; their rules are loaded where there are some."""
    if not _has(decal, "fade"):
        return []
    from decalgen.preflight.fades import fade_findings

    return fade_findings(decal, printer)


def pictures(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """What is to be known of own pictures; their rules are loaded where there are some."""
    if not _has(decal, "picture"):
        return []
    from decalgen.preflight.pictures import picture_findings

    return picture_findings(decal, artwork.film)


def lettering_on_curves(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """What is to be known of lettering on arcs and curves; its rules are loaded where there is some."""
    if not any(one.arc or one.along for _, one in letterings(decal.artwork)):
        return []
    from decalgen.preflight.lettering_on_curves import on_curves

    return on_curves(decal)


def unused_panels(job: Job, printer: Printer) -> list[Finding]:
    """Panels measured but without a decal; what is still to be measured is told with the rest of that."""
    used = {decal.panel for decal in job.decals}
    return [
        Finding("note", "unused-panel", panel.name, "is measured, but no decal lies on it", place=panel.place)
        for panel in job.panels
        if panel.name not in used and not panel.unmeasured
    ]


def panel_findings(job: Job, printer: Printer) -> list[Finding]:
    """What building the panels from their readings has noticed."""
    return [finding for panel in job.panels for finding in panel.findings]


def unmeasured(job: Job, printer: Printer) -> list[Finding]:
    """Readings that are still to be taken, of panels and of lettering to be matched, and the decals that wait."""
    found = []
    for panel in job.panels:
        if not panel.unmeasured:
            continue
        waiting = [decal.name for decal in job.decals if decal.panel == panel.name]
        count = len(panel.unmeasured)
        message = (
            f"{_still(panel.unmeasured)}; sizes are assumed until then. Waiting for {'them' if count > 1 else 'it'}: "
            f"{', '.join(waiting) or 'no decal'}"
        )
        found.append(Finding("error", "unmeasured", panel.name, message, _measure(job), panel.place))
    for decal in job.decals:
        if decal.unmeasured:
            message = f"{_still(decal.unmeasured)}; the lettering is drawn by assumed sizes until then"
            found.append(Finding("error", "unmeasured", decal.name, message, _measure(job), decal.place))
    return found


def _still(names: Sequence[str]) -> str:
    return f"{len(names)} reading{'s are' if len(names) > 1 else ' is'} still to be taken: {', '.join(names)}"


def _measure(job: Job) -> str:
    return f"measure, and type the readings in: decalgen measure {job.file}"


def old_words(job: Job, printer: Printer) -> list[Finding]:
    """Words in the job's files that have changed since; they are read all the same."""
    return list(job.notes)


def old_words_of_printer(jobs: Sequence[Job], printer: Printer) -> list[Finding]:
    """The same in the printer's file."""
    return list(printer.notes)


DECAL_RULES: tuple[DecalRule, ...] = (
    nothing_printed,
    glyphs,
    matches,
    touching,
    small_letters,
    closing_letters,
    breaking_letters,
    thin_lines,
    thin_gaps,
    curves,
    drawings,
    fades,
    pictures,
    lettering_on_curves,
    short_bleed,
    bare_film,
    inks,
    spot_inks,
    film_advice,
    white_under,
    backing_under,
    legible,
    like_the_body,
    merging,
    emblems,
)
JOB_RULES: tuple[JobRule, ...] = (old_words, unmeasured, panel_findings, unused_panels, bodies)
PAIR_RULES: tuple[PairRule, ...] = (doubles, overlaps)
"""What is wrong between the decals of a job."""
RUN_RULES: tuple[RunRule, ...] = (old_words_of_printer, profile_fits, plates_agree)
"""What is wrong between jobs that are printed together."""
