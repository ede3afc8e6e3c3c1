"""The rules. Each takes what it judges and gives findings; none changes anything."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely

from decalgen.artwork import Artwork
from decalgen.errors import Finding
from decalgen.geometry import region
from decalgen.job.model import Decal, Job, Printer
from decalgen.preflight.colour import bodies, film_advice, inks, legible, merging, plates_agree, white_under
from decalgen.preflight.lettering import glyphs, matches, small_letters, touching
from decalgen.preflight.limits import limits

DecalRule = Callable[[Artwork, Decal, Job, Printer], list[Finding]]
JobRule = Callable[[Job, Printer], list[Finding]]
RunRule = Callable[[Sequence[Job], Printer], list[Finding]]


def thin_lines(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Parts of an ink thinner than the printer lays down."""
    limit = limits(printer).line
    found = []
    for inked in artwork.shown:
        lost = _thinner_than(inked.region, limit)
        if lost > 0.02 * inked.region.area:
            found.append(
                Finding(
                    "warning",
                    "thin-line",
                    artwork.name,
                    f"{lost / inked.region.area:.0%} of '{inked.ink}' is thinner than {limit:.2f} mm, the least that "
                    f"{printer.dpi} dpi prints safely",
                    "make strokes thicker, or print with a finer printer",
                    decal.place,
                )
            )
    return found


def thin_gaps(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Bare gaps that would fill in: white reversed out of a ground, or film between inks."""
    if artwork.bare.is_empty:
        return []
    limit = limits(printer).gap
    lost = _thinner_than(artwork.bare, limit)
    if lost <= 0.02 * artwork.bare.area:
        return []
    return [
        Finding(
            "warning",
            "thin-gap",
            artwork.name,
            f"{lost / artwork.bare.area:.0%} of the bare white is narrower than {limit:.2f} mm and may fill in at "
            f"{printer.dpi} dpi",
            "make the white strokes wider: reversed lettering needs more than printed lettering",
            decal.place,
        )
    ]


def nothing_printed(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """A decal with no ink on it."""
    if artwork.printed or not artwork.bare.is_empty:
        return []
    if any(f.code == "white-on-clear" for f in artwork.findings):
        return []
    return [
        Finding("error", "nothing-printed", artwork.name, "prints nothing", "add a shape to its artwork", decal.place)
    ]


def unused_panels(job: Job, printer: Printer) -> list[Finding]:
    """Panels measured but without a decal."""
    used = {decal.panel for decal in job.decals}
    return [
        Finding("note", "unused-panel", panel.name, "is measured, but no decal lies on it", place=panel.place)
        for panel in job.panels
        if panel.name not in used
    ]


def panel_findings(job: Job, printer: Printer) -> list[Finding]:
    """What building the panels from their readings has noticed."""
    return [finding for panel in job.panels for finding in panel.findings]


def _thinner_than(area: shapely.MultiPolygon, width: float) -> float:
    """How much of an area an opening with a disc of ``width`` takes away, mm². Sharp corners count for little: only
    what is away from every corner by more than half the width is counted."""
    opened = area.buffer(-width / 2).buffer(width / 2 * 1.02, join_style="mitre", mitre_limit=5.0)
    return float(region(area.difference(opened)).area)


DECAL_RULES: tuple[DecalRule, ...] = (
    nothing_printed,
    glyphs,
    matches,
    touching,
    small_letters,
    thin_lines,
    thin_gaps,
    inks,
    film_advice,
    white_under,
    legible,
    merging,
)
JOB_RULES: tuple[JobRule, ...] = (panel_findings, unused_panels, bodies)
RUN_RULES: tuple[RunRule, ...] = (plates_agree,)
"""What is wrong between jobs that are printed together."""
