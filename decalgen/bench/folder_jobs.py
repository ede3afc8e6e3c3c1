"""The job files beside the one on the page: each with its sentence, or why it cannot be read."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from pathlib import Path

from decalgen.bench.file_marks import Marks, marks
from decalgen.bench.job_read import job_read
from decalgen.bench.standing import counted, open_readings
from decalgen.core.errors import DecalgenError, Problem
from decalgen.core.small_files import read_small_text
from decalgen.core.values import dataclass
from decalgen.job.files import job_text
from decalgen.job.model import Decal, Job

MOST_FILES = 60
LARGEST = 1_000_000
_IS_JOB = re.compile(r"^job\s*:", re.MULTILINE)


@dataclass(frozen=True)
class FolderJob:
    """A job file of the folder. ``wrong``: why it cannot be read."""

    file: str
    title: str
    words: str
    decals: tuple[Decal, ...] = ()
    wrong: str = ""


class FolderJobs:
    """The job files of a folder, each read again only where it, or a file it includes, changed."""

    def __init__(self) -> None:
        self.found: tuple[FolderJob, ...] = ()
        self._known: dict[str, tuple[Marks, FolderJob | None]] = {}

    def look(self, folder: Path) -> None:
        """Reads what is new or changed in the folder."""
        names: list[str] = []
        with suppress(OSError), os.scandir(folder) as entries:
            names = sorted(one.name for one in entries if one.name.endswith((".yaml", ".yml")))
        found = []
        for name in names[:MOST_FILES]:
            known = self._known.get(name)
            if known is None or known[0] != marks(known[0]):
                known = self._known[name] = _read(folder / name)
            one = known[1]
            if one is not None:
                found.append(one)
        self.found = tuple(found)


def _read(path: Path) -> tuple[Marks, FolderJob | None]:
    """A file's job; None where it is none, such as a film or a printer."""
    of = marks([path])
    try:
        if not _IS_JOB.search(read_small_text(path, LARGEST)):
            return of, None
        read = job_read(job_text(path), path)
    except DecalgenError as error:
        return of, FolderJob(path.name, path.stem, "cannot be read", wrong=error.message)
    of |= marks(read.included)
    if read.job is None:
        return of, FolderJob(path.name, path.stem, "cannot be read", wrong=_in_a_line(path, read.problems[0]))
    return of, FolderJob(path.name, read.job.title, job_words(read.job), read.job.decals)


def _in_a_line(path: Path, first: Problem) -> str:
    """What is wrong, with its line, and its file where that is one that is included."""
    if first.place is None:
        return first.message
    file = "" if first.place.file == str(path) else f"{Path(first.place.file).name}, "
    return f"{file}line {first.place.line}: {first.message}"


def job_words(job: Job) -> str:
    """A job in a line: how many decals, pieces, and open readings."""
    count = sum((one.copies + one.spares) * (2 if one.hands == "both" else 1) for one in job.decals)
    said = f"{counted(len(job.decals), 'decal')}, {counted(count, 'piece')}"
    left = open_readings(job)
    return f"{said}; {counted(left, 'reading')} open" if left else said
