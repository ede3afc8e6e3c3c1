"""What could not be written into its job file when decalgen ended: kept as a copy in the data folder until it is taken
over, or left, at the next start."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.core.digests import digest_of
from decalgen.core.errors import DecalgenError
from decalgen.core.files import make_folder, write_files
from decalgen.job.files import job_text
from decalgen.workshop.drawer import data_folder

if TYPE_CHECKING:
    from decalgen.bench.desk import Desk


class UnkeptError(DecalgenError):
    """The page ended, and a job file has not got all that was changed."""

    exit_code = 4


def copy_file(job: Path) -> Path:
    """Where the copy of a job file goes: the name tells the file, the sign before it its folder."""
    job = job.resolve()
    return data_folder() / "unkept" / f"{digest_of(str(job))[:16]}-{job.name}"


def keep_copies(desks: Iterable[Desk]) -> list[str]:
    """Writes a copy of every text that is not in its file even now; a line each, with its path. Raises OutputError
    where not even that can be written."""
    said = []
    for desk in desks:
        with suppress(DecalgenError):
            desk.keep()
        if desk.text == desk.on_disk:
            continue
        copy = copy_file(desk.path)
        make_folder(copy.parent)
        write_files({copy: desk.text.encode("utf-8")})
        said.append(f"'{desk.path.name}' could not be written; what you changed is in {copy}")
    return said


def left_text(job: Path) -> str:
    """What a copy has that the job file has not; '' where nothing was left."""
    copy = copy_file(job)
    if not copy.exists():
        return ""
    try:
        text = job_text(copy)
        return "" if text == job_text(job) else text
    except DecalgenError:
        return ""


def set_aside(job: Path) -> Path:
    """Gives the copy another name, so that nothing is told of it any more; it stays there."""
    copy = copy_file(job)
    count = 1
    while (aside := copy.with_name(f"{copy.name}.{count}")).exists():
        count += 1
    with suppress(FileNotFoundError):
        copy.rename(aside)
    return aside
