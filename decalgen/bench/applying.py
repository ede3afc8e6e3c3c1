"""Laying the decals of one job, while the page is open: the guide as values, made beside the typing, and what is ticked
of it, kept on the disk with each tick."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Coroutine
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from decalgen.bench.applied import PutOn, applied_path, read_applied, set_aside, write_applied
from decalgen.bench.faults import as_told
from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.small_files import signature
from decalgen.core.values import dataclass

if TYPE_CHECKING:
    from decalgen.bench.desk import Desk
    from decalgen.bench.sheet_table import SheetTable
    from decalgen.commands.options import Options
    from decalgen.commands.run import Run
    from decalgen.job.model import Film
    from decalgen.pages.guide import GuideMade

MOST_STEPS = 200


class OtherJobError(InputError):
    """Ticks of another job. ``job``: which."""

    def __init__(self, name: str, job: str, own: str) -> None:
        super().__init__(
            f"'{name}' holds the ticks of job '{job}', and this is job '{own}'",
            fix="if it is the same model under another name, take them over; else set the file aside and begin again",
        )
        self.job = job


@dataclass(frozen=True)
class LaidGuide:
    """The guide of a job as values, and the film that its pieces are laid from."""

    made: GuideMade
    films: tuple[Film, ...]


class LayingPlace(Protocol):
    """What the making of the guide needs of a workplace."""

    desk: Desk
    table: SheetTable

    def sheet_of(self) -> tuple[object, ...]:
        """All that a sheet depends on, last the places of its pieces."""
        ...

    def sheet_jobs(self) -> list[Path]:
        """The jobs on the sheet."""
        ...

    def options(self) -> Options:
        """What is chosen for it."""
        ...

    def begin(self, work: Coroutine[Any, Any, None]) -> None:
        """Starts something beside the typing."""
        ...

    def tell(self, **what: Any) -> None:
        """Says something to every page."""
        ...


class ApplyShelf:
    """What is laid of one job. Everything here runs in the server's one thread, but for the making of the guide."""

    def __init__(self, job: Path) -> None:
        self.job = job
        self.guide: LaidGuide | None = None
        self.of: object = None
        """What `guide`, or `trouble`, was told of."""
        self.trouble: DecalgenError | None = None
        """Why there is no guide of now."""
        self.making = False
        self.seen = False
        """Whether anyone looked at it."""
        self.clock: Callable[[], float] = time.time  # noqa: TID251  when something was put on is told by the clock alone
        self.unkept = ""
        """Why the last tick could not be written."""
        self._now = PutOn()
        self._stamp: object = ()
        self._wrong: InputError | None = None
        self._steps: list[tuple[str, PutOn]] = []

    # ------------------------------------------------------------------------------------------------------ the guide
    def look(self, place: LayingPlace) -> None:
        """Makes the guide anew, beside the typing, where anything it depends on has changed; ``place``: the job's."""
        of, desk = place.sheet_of()[:-1], place.desk
        if of == self.of or self.making or desk.job is None or desk.kept != desk.version:
            return
        self.making = True
        paths, options, name = place.sheet_jobs(), place.options(), desk.job.name
        known = place.table.known(of)

        def work() -> LaidGuide:
            from decalgen.commands.run import Run

            return laid_guide(known.run if known else Run(paths, options), name)

        async def run() -> None:
            try:
                self.guide, self.trouble = await asyncio.to_thread(work), None
            except Exception as error:
                self.trouble = as_told(error)
            finally:
                self.of, self.making = of, False
                place.tell(made="guide laid", version=desk.version)
            self.look(place)

        place.begin(run())

    # -------------------------------------------------------------------------------------------------- what is ticked
    def now(self, job: str) -> PutOn:
        """What is ticked of the job of that name. Raises InputError for a kept file that cannot be read, OtherJobError
        for one of another job."""
        stamp = signature(applied_path(self.job))
        if stamp != self._stamp and not self.unkept:
            # What others did to the file cannot be taken back here.
            self._steps.clear()
            self._read(stamp)
        if self._wrong is not None:
            raise self._wrong
        if self._now.job not in ("", job) and job:
            raise OtherJobError(applied_path(self.job).name, self._now.job, job)
        return self._now

    def _read(self, stamp: object) -> None:
        self._stamp, self._wrong = stamp, None
        try:
            self._now = PutOn() if stamp is None else read_applied(self.job)
        except InputError as error:
            self._now, self._wrong = PutOn(), error

    def put(self, job: str, label: str, found: PutOn) -> None:
        """Another state of the ticks, kept at once; ``label``: what was done, to take it back. Where it cannot be
        written it holds while the page is open, and `unkept` says why. Raises as `now` does."""
        before = self.now(job)
        if found == before:
            return
        self._steps.append((label, before))
        del self._steps[:-MOST_STEPS]
        self._keep(replace(found, job=job))

    def _keep(self, found: PutOn) -> None:
        self._now, self.unkept = found, ""
        try:
            write_applied(self.job, found)
        except DecalgenError as error:
            self.unkept = error.message
        self._stamp = signature(applied_path(self.job))

    @property
    def last(self) -> str:
        """What was done last; '' where nothing can be taken back."""
        return self._steps[-1][0] if self._steps else ""

    def back(self, job: str) -> None:
        """Takes back what was done last. Raises as `now` does."""
        self.now(job)
        if self._steps:
            self._keep(self._steps.pop()[1])

    def take_over(self, job: str) -> None:
        """Takes the ticks of another job for this one's."""
        self.now("")
        self._keep(replace(self._now, job=job))

    def begin_again(self) -> str:
        """Sets the kept file aside; gives its new name. Raises OutputError."""
        name = set_aside(self.job)
        self._read(None)
        self._steps.clear()
        return name


def laid_guide(run: Run, name: str) -> LaidGuide:
    """The guide of the job of that name, with the numbers that it has among all of a run. Raises what `guides` does."""
    from decalgen.commands.guide import films_laid, guides

    (made,) = guides(run, name)
    return LaidGuide(made, films_laid(run))
