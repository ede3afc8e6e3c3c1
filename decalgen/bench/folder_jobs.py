"""The job files beside the one on the page: each with its sentence, or why it cannot be read."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from pathlib import Path

from decalgen.bench.standing import counted, open_readings
from decalgen.core.errors import DecalgenError, JobError
from decalgen.core.small_files import read_small_text
from decalgen.core.values import dataclass
from decalgen.job.loader import load_job
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
    """The job files of a folder, each read again only where it changed."""

    def __init__(self) -> None:
        self.found: tuple[FolderJob, ...] = ()
        self._known: dict[str, tuple[tuple[int, int], FolderJob | None]] = {}

    def look(self, folder: Path) -> None:
        """Reads what is new or changed in the folder."""
        names: list[str] = []
        with suppress(OSError), os.scandir(folder) as entries:
            names = sorted(one.name for one in entries if one.name.endswith((".yaml", ".yml")))
        found = []
        for name in names[:MOST_FILES]:
            path = folder / name
            try:
                state = path.stat()
            except OSError:
                continue
            stamp = state.st_mtime_ns, state.st_size
            if self._known.get(name, (None,))[0] != stamp:
                self._known[name] = stamp, _read(path)
            one = self._known[name][1]
            if one is not None:
                found.append(one)
        self.found = tuple(found)


def _read(path: Path) -> FolderJob | None:
    """A file's job; None where it is none, such as a film or a printer."""
    try:
        if not _IS_JOB.search(read_small_text(path, LARGEST)):
            return None
        job = load_job(path)
    except JobError as error:
        first = error.problems[0]
        line = f"line {first.place.line}: " if first.place else ""
        return FolderJob(path.name, path.stem, "cannot be read", wrong=f"{line}{first.message}")
    except DecalgenError as error:
        return FolderJob(path.name, path.stem, "cannot be read", wrong=error.message)
    return FolderJob(path.name, job.title, job_words(job), job.decals)


def job_words(job: Job) -> str:
    """A job in a line: how many decals, pieces, and open readings."""
    count = sum((one.copies + one.spares) * (2 if one.hands == "both" else 1) for one in job.decals)
    said = f"{counted(len(job.decals), 'decal')}, {counted(count, 'piece')}"
    left = open_readings(job)
    return f"{said}; {counted(left, 'reading')} open" if left else said
