"""The checks of the page: of the job as it is to be printed, by the sheet's choice, the decal that was just changed
first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from typing import TYPE_CHECKING

from decalgen.artwork.drawn import DrawnDecal, one_by_one
from decalgen.artwork.findings import written_at
from decalgen.bench.desk import Desk
from decalgen.bench.file_lines import decal_lines as lines_in_file
from decalgen.core.errors import Finding
from decalgen.core.values import dataclass
from decalgen.job.loader import job_as_written

if TYPE_CHECKING:
    from decalgen.commands.options import Options
    from decalgen.job.model import Job

RANK = {"error": 0, "warning": 1, "note": 2}


class OvertakenError(Exception):
    """What was checked is not the text any more."""


@dataclass(frozen=True)
class FitLine:
    """How a decal fits, as the command says it. ``waits``: readings that decide it are still to be taken."""

    text: str
    decal: str
    waits: bool


class Examination:
    """One look at a text: ``desk`` with its text of now, and the choice as the commands take it. ``still`` lets through
    what is drawn while it is worth going on.

    Raises what `job_as_written`, `on_films`, `printer_in` and `printer_of` raise."""

    def __init__(
        self, desk: Desk, job: Job, options: Options, still: Callable[[Iterable[DrawnDecal]], Iterator[DrawnDecal]]
    ) -> None:
        from decalgen.commands.inputs import on_films, printer_in, printer_of

        if options.variant:
            job = job_as_written(desk.text, desk.path, options.variant)
        (self.job,) = on_films((job,), options)
        self.printer = printer_of(replace(options, printer=options.printer or printer_in((self.job,))))
        self.still = still
        self.touched = touched(desk, self.job)
        self._drawn: dict[str, list[DrawnDecal]] = {}

    def first(self) -> tuple[Finding, ...]:
        """What is found on the decal that was just changed; its drawings are kept for the rest."""
        from decalgen.commands.decal_lines import once_for_both
        from decalgen.preflight import on_decal

        own = tuple(decal for decal in self.job.decals if decal.name == self.touched)
        found: list[Finding] = []
        for one in self.still(one_by_one(replace(self.job, decals=own), self.printer.white)):
            self._drawn.setdefault(one.decal.name, []).append(one)
            if one.error is None:
                found += on_decal(one.parts, one.decal, self.job, self.printer)
            else:
                place = written_at(one.error.place, one.decal)
                found.append(Finding("error", "cannot-draw", one.decal.name, one.error.message, one.error.fix, place))
        return once_for_both(tuple(dict.fromkeys(found)), self.job)

    def all(self) -> tuple[tuple[Finding, ...], tuple[FitLine, ...]]:
        """Everything that is found, in the order of the command, and a line a decal that nothing is found on."""
        from decalgen.commands.decal_lines import decal_lines, once_for_both
        from decalgen.preflight import examine

        examined = examine((self.job,), self.printer, {self.job.name: self._every()})
        said = decal_lines((self.job,), examined, examined.findings)[0]
        open_ones = {one.decal.name for one in examined.fits[self.job.name] if one.fit.waits}
        open_ones |= {decal.name for decal in self.job.decals if decal.unmeasured}
        lines = []
        for text in said:
            fitting = (decal.name for decal in self.job.decals if text.startswith(f"{decal.name},"))
            name = max(fitting, key=len, default="")
            if not _wrong(text, name, examined.findings):
                lines.append(FitLine(text, name, name in open_ones))
        return (*self.job.notes, *once_for_both(examined.findings, self.job)), tuple(lines)

    def _every(self) -> Iterator[DrawnDecal]:
        """Each hand of each decal in the order of the job; what is drawn already is not drawn again."""
        for known, some in groupby(self.job.decals, key=lambda decal: decal.name in self._drawn):
            if known:
                for decal in some:
                    yield from self._drawn[decal.name]
            else:
                yield from self.still(one_by_one(replace(self.job, decals=tuple(some)), self.printer.white))


def touched(desk: Desk, job: Job) -> str:
    """The decal that the last step wrote into; '' where it wrote into none."""
    return next((one.name for one in job.decals if any(row["new"] for row in lines_in_file(desk, one))), "")


def is_about(finding: Finding, decal: str) -> bool:
    """Whether a finding is about a decal, or a hand of it."""
    return bool(decal) and (finding.subject == decal or finding.subject.startswith(f"{decal}, "))


def with_first(before: Sequence[Finding], first: Sequence[Finding], decal: str) -> tuple[Finding, ...]:
    """Findings of before with those of one decal as they are now; errors first, among the same those of that decal."""
    found = [*first, *(one for one in before if not is_about(one, decal))]
    return tuple(sorted(found, key=lambda one: RANK[one.severity]))


def _wrong(line: str, decal: str, findings: Sequence[Finding]) -> bool:
    """Whether an error is about what a line is of: the decal, the hand, or one of both hands."""
    both = line.startswith(f"{decal}, both hands,")
    return any(
        one.severity == "error" and (line.startswith(f"{one.subject},") or (both and is_about(one, decal)))
        for one in findings
    )
