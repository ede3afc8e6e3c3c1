"""What a text reads as: a job, or what is wrong with it. Of the files it includes what lies on the disk counts."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from decalgen.core.errors import InputError, JobError, Problem
from decalgen.core.small_files import Signature, read_small_text, sha256_of, signature
from decalgen.core.values import dataclass
from decalgen.job.drawings import KINDS as DRAWING_KINDS
from decalgen.job.drawings import MOST_BYTES as DRAWING_BYTES
from decalgen.job.files import MOST_BYTES
from decalgen.job.model import Job
from decalgen.job.nodes import Source
from decalgen.job.own_faces import KINDS as FONT_KINDS
from decalgen.job.own_faces import MOST_BYTES as FONT_BYTES
from decalgen.job.pictures import KINDS
from decalgen.job.problems import Problems
from decalgen.job.renaming import uses_of
from decalgen.job.uses import NameUse

_Lines = tuple[str, ...] | None


@dataclass(frozen=True)
class JobRead:
    """What a text reads as: a job with its uses of names, or what is wrong with it. ``included``: the lines of every
    file it includes and every drawing it names, of a picture what changes with it, of a font its SHA-256, None for one
    that cannot be read."""

    job: Job | None
    problems: tuple[Problem, ...]
    uses: tuple[NameUse, ...]
    included: Mapping[Path, _Lines]


def job_read(text: str, path: Path) -> JobRead:
    """What a text reads as, as that file."""
    noted, known = Problems(), list[Source]()
    job, problems, uses = None, tuple[Problem, ...](), tuple[NameUse, ...]()
    try:
        job, uses = uses_of(text, path, None, noted, known)
    except JobError as error:
        problems = tuple(error.problems)
    except InputError as error:
        problems = (Problem(error.message, error.fix, error.place),)
    included: dict[Path, _Lines] = {Path(one.name): one.lines for one in known[1:]}
    included |= {Path(name): lines for name, lines in noted.drawings.items()}
    included |= {Path(name): _told(state) for name, state in noted.pictures.items()}
    included |= {Path(name): (total,) for name, total in noted.fonts.items()}
    return JobRead(job, problems, uses, included | dict.fromkeys(map(Path, noted.absent)))


def as_read(included: Mapping[Path, _Lines]) -> bool:
    """Whether included files are as they were when they were read."""
    return all(_lines(path) == lines for path, lines in included.items())


def _told(state: Signature) -> _Lines:
    return None if state is None else (repr(state),)


def _lines(path: Path) -> _Lines:
    if path.suffix.lower() in KINDS:
        return _told(signature(path))
    most = DRAWING_BYTES if path.suffix.lower() in DRAWING_KINDS else MOST_BYTES
    try:
        if path.suffix.lower() in FONT_KINDS:
            return (sha256_of(path, FONT_BYTES),)
        return tuple(read_small_text(path, most).split("\n"))
    except InputError:
        return None
