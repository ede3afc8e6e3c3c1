"""What a text reads as: a job, or what is wrong with it. Of the files it includes what lies on the disk counts."""

from __future__ import annotations

from pathlib import Path

from decalgen.core.errors import InputError, JobError, Problem
from decalgen.core.values import dataclass
from decalgen.job.model import Job
from decalgen.job.renaming import uses_of
from decalgen.job.uses import NameUse


@dataclass(frozen=True)
class JobRead:
    """What a text reads as: a job with its uses of names, or what is wrong with it."""

    job: Job | None
    problems: tuple[Problem, ...] = ()
    uses: tuple[NameUse, ...] = ()


def job_read(text: str, path: Path) -> JobRead:
    """What a text reads as, as that file."""
    try:
        job, uses = uses_of(text, path)
        return JobRead(job, (), uses)
    except JobError as error:
        return JobRead(None, tuple(error.problems))
    except InputError as error:
        # A file it includes is gone.
        return JobRead(None, (Problem(error.message, error.fix, error.place),))
