"""A pattern that was read, as a decal of a job: its block added with notes, nothing else in the file changed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from decalgen.colour.difference import delta_e
from decalgen.colour.value import Colour
from decalgen.commands.question_values import free
from decalgen.core.errors import did_you_mean
from decalgen.job.edits import EditError, values
from decalgen.job.files import job_text
from decalgen.job.loader import job_as_written
from decalgen.job.notes_above import noted
from decalgen.job.restructure import add_decal, grown
from decalgen.job.written import ShortList
from decalgen.scan.decal import shapes_of, size_of

if TYPE_CHECKING:
    from decalgen.commands.scan_words import ScanJob
    from decalgen.job.model import InkSpec, Job
    from decalgen.scan.measuring import MeasuredScan

SAME_INK = 10.0
"""A scanned colour this near (CIEDE2000) is taken for an ink of the job: scans are out by 3 to 5, age by more (common
practice, no source)."""


def with_decal(into: ScanJob, found: MeasuredScan, notes: Sequence[str], text: str | None = None) -> tuple[str, str]:
    """The new decal's name and the job's new text; ``text``: the job's present one, None: as its file has it. An ink
    that the job has not is added as it was scanned. Raises DecalgenError for a panel or a name that will not do, and
    JobError for a file that is no job."""
    text = job_text(into.path) if text is None else text
    job = job_as_written(text, into.path)
    panels = [panel.name for panel in job.panels]
    if into.panel not in panels:
        raise EditError(
            f"the job has no panel '{into.panel[:60]}'", fix=did_you_mean(into.panel, panels) if panels else "add it"
        )
    fit = found.fits[0]
    names: list[str] = []
    for number, (colour, known) in enumerate(zip(fit.colours, known_inks(job, fit.colours), strict=True), 1):
        names.append(known or free(f"scanned {number}", [ink.name for ink in job.inks] + names))
        if known is None:
            text = grown(text, ("inks", names[-1]), colour)
    width, height = size_of(fit)
    decal = into.name or free(f"{fit.kind} of {into.panel}", values(text).get("decals") or {})
    rows: dict[str, Any] = {
        "panel": into.panel,
        **({"hands": into.hands} if into.hands else {}),
        "width": f"{width:.2f} mm",
        "height": f"{height:.2f} mm",
        "artwork": _short(shapes_of(fit, names)),
    }
    text = noted(add_decal(text, decal, rows), ("decals", " ".join(decal.split())), notes)
    job_as_written(text, into.path)
    return decal, text


def _short(value: Any) -> Any:
    """A value of a job file with lists of plain values on one line each."""
    if isinstance(value, dict):
        return {key: _short(one) for key, one in value.items()}
    if not isinstance(value, list):
        return value
    return ShortList(value) if all(isinstance(one, str) for one in value) else [_short(one) for one in value]


def known_inks(job: Job, colours: Sequence[str]) -> list[str | None]:
    """Of each colour the ink of the job that looks most like it, None where none does. An ink is taken for one colour
    alone, the nearest, for what a scan tells apart is not to be printed alike."""
    near = [
        (off, number, ink.name)
        for number, colour in enumerate(colours)
        for ink in job.inks
        if (off := _apart(colour, ink)) < SAME_INK
    ]
    found: dict[int, str] = {}
    for _, number, name in sorted(near):
        if number not in found and name not in found.values():
            found[number] = name
    return [found.get(number) for number in range(len(colours))]


def _apart(colour: str, ink: InkSpec) -> float:
    """CIEDE2000."""
    return delta_e(Colour.from_hex(colour), Colour.from_hex("#ffffff" if ink.kind == "white" else ink.colour))
