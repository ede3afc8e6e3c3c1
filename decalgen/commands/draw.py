"""What `draw` does: pictures of decals, alone and on their panels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.next_step import after, measured_first, open_readings
from decalgen.commands.options import Answer, FileGroup, Made
from decalgen.commands.rendering import rendered
from decalgen.core.names import of_variant, slugs, untaken

if TYPE_CHECKING:
    from decalgen.artwork.build import Artwork
    from decalgen.commands.run import Run
    from decalgen.core.document import Document
    from decalgen.job.model import Decal, Job, Printer

PURPOSES = (
    "decals on their panels",
    "each decal alone",
    "colours over the body, and small lettering",
    "findings marked on the decal",
)
"""What pictures are for, those to open first before all."""


def draw(run: Run, folder: Path, endings: Sequence[str], dpi: float | None = None, marked: bool = False) -> Made:
    """Each decal alone, its colours over the body, its small lettering before and after it is opened, and each panel
    with its decals over the body colour. ``dpi``: of pictures of dots; ``marked``: also each decal with what a check
    finds on it."""
    files: dict[Path, bytes] = {}
    by_purpose: dict[str, list[Path]] = {purpose: [] for purpose in PURPOSES}
    taken: set[str] = set()
    for job in run.jobs:
        for purpose, name, document in _pictures(job, run.artworks(job), run.printer, marked):
            taken.add(own := untaken(name, taken))
            for ending in endings:
                made = rendered(document, folder / f"{own}{ending}", dpi)
                files.update(made)
                by_purpose[purpose] += made
    findings = (finding for job in run.jobs for art in run.artworks(job) for finding in art.findings)
    groups = tuple(FileGroup(purpose, tuple(paths)) for purpose, paths in by_purpose.items())
    count = len(files)
    done = f"drew {count} picture{'' if count == 1 else 's'}"
    if waiting := open_readings(run):
        done += f" with assumed sizes, as {waiting} reading{' is' if waiting == 1 else 's are'} open"
    answer = Answer(done, measured_first(run, after("proof", run)), groups)
    return Made(files, tuple(dict.fromkeys(findings)), answer=answer)


def pictures(job: Job, everything: Sequence[Artwork], printer: Printer, marked: bool = False) -> dict[str, Document]:
    """Every picture of a job, by its file's name without an ending: the job's, its variant's, what is shown.

    A decal may be called what another one's picture is, as `door colours` beside `door`: the later gets a number.
    """
    return {name: document for _, name, document in _pictures(job, everything, printer, marked)}


def _pictures(
    job: Job, everything: Sequence[Artwork], printer: Printer, marked: bool
) -> list[tuple[str, str, Document]]:
    """The same, each led by what it is for."""
    panels, alone, looks, found = PURPOSES
    groups = [(alone, dict(_alone(job, everything)))]
    groups += [(looks, _looks(decal, job, printer)) for decal in job.decals]
    if marked:
        groups.append((found, _marked(job, printer, everything)))
    groups.append((panels, _on_panels(job, everything)))
    named: dict[str, tuple[str, Document]] = {}
    for purpose, name, document in ((purpose, *pair) for purpose, group in groups for pair in group.items()):
        named[untaken(name, named)] = (purpose, document)
    return [(purpose, name, document) for name, (purpose, document) in named.items()]


def _stem(job: Job) -> str:
    """What the names of all pictures of a job begin with."""
    return of_variant(job.name, slugs(job.variants)[job.variant] if job.variant else None)


def _alone(job: Job, everything: Sequence[Artwork]) -> Iterator[tuple[str, Document]]:
    from decalgen.artwork.backing import backings
    from decalgen.pages.decal_and_panel import decal_picture

    shown = [one for art in everything for one in (art, *backings(art))]
    names = slugs(one.name for one in shown)
    for one in shown:
        yield f"{_stem(job)}-{names[one.name]}", decal_picture(one, job, job.date or None)


def _looks(decal: Decal, job: Job, printer: Printer) -> dict[str, Document]:
    """Its colours over the body, and its small lettering before and after it is opened."""
    from decalgen.artwork.build import build_all, hands
    from decalgen.pages.colour_preview import colour_picture
    from decalgen.pages.lettering_preview import letters_picture

    documents = {}
    bare = build_all(job, replace(decal, backing="none"), hands(decal)[0], white_printer=True)
    parts = [replace(part, decal=decal) for part in bare]
    stem = f"{_stem(job)}-{slugs(one.name for one in job.decals)[decal.name]}"
    if any(part.shown for part in parts):
        documents[f"{stem}-colours"] = colour_picture(parts, job, printer, job.date or None)
    letters = letters_picture(decal, job, printer, job.date or None)
    if letters:
        documents[f"{stem}-letters"] = letters
    return documents


def _on_panels(job: Job, everything: Sequence[Artwork]) -> dict[str, Document]:
    from decalgen.pages.decal_and_panel import panel_picture

    documents = {}
    names = slugs(panel.name for panel in job.panels)
    for panel in job.panels:
        mine = [art for art in everything if art.decal.panel == panel.name]
        for hand in dict.fromkeys(art.hand for art in mine):
            shown = [art for art in mine if art.hand in (hand, None)]
            name = f"{_stem(job)}-on-{names[panel.name]}" + (f"-{hand}" if hand else "")
            documents[name] = panel_picture(shown, job, panel, job.date or None)
    return documents


def _marked(job: Job, printer: Printer, everything: Sequence[Artwork]) -> dict[str, Document]:
    """By its file's name each hand of a decal on which a check finds something, with marks and a key."""
    from decalgen.pages.findings import findings_picture
    from decalgen.preflight import on_decal

    documents = {}
    names = slugs(one.name for one in job.decals)
    for name, hand in dict.fromkeys((art.decal.name, art.hand) for art in everything):
        parts = [art for art in everything if (art.decal.name, art.hand) == (name, hand)]
        decal = parts[0].decal
        found = on_decal(parts, decal, job, printer)
        if found:
            file = f"{_stem(job)}-{names[name]}" + (f"-{hand}" if hand else "") + "-findings"
            documents[file] = findings_picture(parts, found, decal, job, job.date or None)
    return documents
