"""What was put on a model and when, as it is ticked on the page: kept beside the job, whose file stays as it is.

Each tick says what was put on and where the job wanted it then, so that a job that was changed since is told. Times are
UTC to the second. Pure but for reading and writing the one file.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from functools import cached_property
from itertools import count
from pathlib import Path
from typing import Literal

from decalgen.core.errors import InputError, OutputError
from decalgen.core.files import write_files
from decalgen.core.kept import Form, MisfitError, plain, read_kept, value_of, write_kept
from decalgen.core.small_files import read_small_text
from decalgen.core.values import dataclass

ENDING = ".applied.json"
FORM = Form("decalgen applied", 1, 1, "a file of what was put on", "set it aside on Apply, and tick again")
LARGEST = 4_000_000
MOST_ROWS = 10_000
PieceOfJob = tuple[str, Literal["left", "right", ""], int, int]
"""Which piece of a job: its decal, hand, section and backing."""


@dataclass(frozen=True)
class PieceTick:
    """A copy of a piece that is on the model: which, since when, how it was drawn (the start of its digest), and where
    it was to go, in words."""

    decal: str
    hand: Literal["left", "right", ""]
    section: int
    backing: int
    copy: int
    begun: str
    drawn: str
    place: str

    @property
    def piece(self) -> PieceOfJob:
        """Which piece it is a copy of."""
        return self.decal, self.hand, self.section, self.backing

    @property
    def key(self) -> list[str | int]:
        """What the page calls it."""
        return [*self.piece, self.copy]


@dataclass(frozen=True)
class ClockStart:
    """Something else that dries, such as a coat, and since when."""

    what: str
    begun: str


@dataclass(frozen=True)
class PutOn:
    """All that is ticked of a job. ``pieces``: how many there were to tick; ``steps``: what is done before and after
    laying, by name."""

    job: str = ""
    pieces: int = 0
    ticks: tuple[PieceTick, ...] = ()
    clock: tuple[ClockStart, ...] = ()
    steps: tuple[str, ...] = ()

    @cached_property
    def _of_copy(self) -> dict[tuple[PieceOfJob, int], PieceTick]:
        return {(one.piece, one.copy): one for one in reversed(self.ticks)}

    def tick(self, piece: PieceOfJob, copy: int) -> PieceTick | None:
        """That of a copy of a piece; None where it is not on."""
        return self._of_copy.get((piece, copy))

    def without(self, piece: PieceOfJob, copy: int) -> PutOn:
        """The same with that copy taken off again."""
        return replace(self, ticks=tuple(one for one in self.ticks if (one.piece, one.copy) != (piece, copy)))

    def started(self, what: str) -> ClockStart | None:
        """Since when something else dries."""
        return next((one for one in self.clock if one.what == what), None)

    def dries(self, what: str, begun: str | None) -> PutOn:
        """The same with something else that dries since then; None: it does not yet."""
        rest = tuple(one for one in self.clock if one.what != what)
        return replace(self, clock=rest if begun is None else (*rest, ClockStart(what, begun)))


def applied_path(job: Path) -> Path:
    """Where what was put on is kept: beside the job."""
    return job.with_name(f"{job.stem}{ENDING}")


def read_applied(job: Path) -> PutOn:
    """What is kept of a job. Raises InputError for a file that cannot be read or was changed by others."""
    path = applied_path(job)
    _, data = read_kept(read_small_text(path, LARGEST), FORM, path.name)
    try:
        found: PutOn = value_of(PutOn, data, "the file")
        if len(found.ticks) + len(found.clock) + len(found.steps) > MOST_ROWS:
            raise MisfitError("it has too many rows")
        for begun in (*(one.begun for one in found.ticks), *(one.begun for one in found.clock)):
            seconds_of(begun)
    except (MisfitError, ValueError) as error:
        raise InputError(f"'{path.name}' is not {FORM.what}: {error}", fix=FORM.fix) from None
    return found


def write_applied(job: Path, found: PutOn) -> None:
    """Keeps it. Raises OutputError."""
    write_files({applied_path(job): write_kept(FORM, plain(found))})


def set_aside(job: Path) -> str:
    """Gives the kept file another name, which no file has, so that one can begin again; gives that name. Raises
    OutputError."""
    path = applied_path(job)
    names = (f"{job.stem}.applied-before{f'-{n}' if n > 1 else ''}.json" for n in count(1))
    new = next(one for one in map(path.with_name, names) if not one.exists())
    try:
        path.rename(new)
    except OSError as error:
        raise OutputError(
            f"'{path.name}' cannot be set aside: {error.strerror}", fix="rename it, or move it to another folder"
        ) from None
    return new.name


def text_of(seconds: float) -> str:
    """A time as it is kept: '2026-11-28T14:05:00Z'."""
    return datetime.fromtimestamp(int(seconds), UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def seconds_of(text: str) -> int:
    """The same in seconds since 1970. Raises ValueError for what is no such time."""
    return int(datetime.strptime(text, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC).timestamp())


def latest(ticks: Iterable[PieceTick]) -> int | None:
    """When the last of some was put on; None where there are none."""
    return max((seconds_of(one.begun) for one in ticks), default=None)
