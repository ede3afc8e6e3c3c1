"""The other jobs on the sheet: what each of them still waits for before the sheet is printed."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from pathlib import Path

from decalgen.artwork.drawn import one_by_one
from decalgen.bench.file_marks import Marks, marks
from decalgen.bench.job_read import job_read
from decalgen.bench.standing import counted, open_readings
from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass
from decalgen.job.files import job_text
from decalgen.job.model import Job


@dataclass(frozen=True)
class _Mate:
    """A file as it was read, ``of``: with those it includes; its job, None where it cannot be read; ``errors``: None
    until its decals are checked."""

    of: Marks
    job: Job | None
    errors: int | None = None


class SheetMates:
    """What is known of the jobs that share a sheet with the one on the page; a file is read again once it changed."""

    def __init__(self) -> None:
        self._known: dict[Path, _Mate] = {}
        self.busy = False
        """Whether some are being checked just now."""

    def waits(self, paths: Sequence[Path]) -> list[str]:
        """What the jobs in these files wait for, each with the name of its file."""
        found = []
        for path in paths:
            mate = self._mate(path)
            if mate.job is None:
                found.append(f"'{path.name}', which {'cannot be read' if mate.of[path] else 'is gone'}")
                continue
            left = open_readings(mate.job)
            if left:
                found.append(f"{counted(left, 'reading')} in '{path.name}'")
            if mate.errors:
                found.append(f"{counted(mate.errors, 'error')} in '{path.name}'")
        return found

    def unchecked(self, paths: Sequence[Path]) -> list[Path]:
        """Those of the files whose decals are not checked as the file is now."""
        return [path for path in paths if (mate := self._mate(path)).job is not None and mate.errors is None]

    async def examine(self, paths: Sequence[Path]) -> None:
        """Checks the decals of the jobs that are not checked yet, beside the typing."""
        self.busy = True
        try:
            for path in self.unchecked(paths):
                mate = self._mate(path)
                if mate.job is not None:
                    self._known[path] = _Mate(mate.of, mate.job, await asyncio.to_thread(_errors, mate.job))
        finally:
            self.busy = False

    def _mate(self, path: Path) -> _Mate:
        known = self._known.get(path)
        if known is None or known.of != marks(known.of):
            known = self._known[path] = _read(path)
        return known

    def marks(self, paths: Sequence[Path]) -> Marks:
        """What changes with each change of the files of some jobs."""
        return {file: mark for path in paths for file, mark in self._mate(path).of.items()}


def _errors(job: Job) -> int:
    from decalgen.commands.inputs import printer_of
    from decalgen.commands.options import Options
    from decalgen.preflight import examine

    try:
        printer = printer_of(Options())
        examined = examine((job,), printer, {job.name: one_by_one(job, printer.white)})
    except DecalgenError:
        return 1
    return sum(one.severity == "error" for one in (*job.notes, *examined.findings))


def _read(path: Path) -> _Mate:
    of = marks([path])
    try:
        read = job_read(job_text(path), path)
    except DecalgenError:
        return _Mate(of, None)
    return _Mate(of | marks(read.included), read.job)
