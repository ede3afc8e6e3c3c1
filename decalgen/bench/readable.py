"""The job of a file that can be read just now, or could be before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from decalgen.job.edits import EditError
from decalgen.job.model import Job

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace


def readable_job(place: Workplace) -> Job:
    """The job on the bench. Raises EditError while its file has a mistake."""
    if place.desk.job is None or place.desk.problems:
        raise EditError("the file cannot be read just now", fix="correct its mistake first: it is shown above")
    return place.desk.job


def last_job(place: Workplace) -> Job:
    """The job on the bench as it was last read, also while its file has a mistake. Raises EditError where it never
    was."""
    if place.desk.job is None:
        raise EditError("the job file cannot be read", fix="correct its mistakes first")
    return place.desk.job
