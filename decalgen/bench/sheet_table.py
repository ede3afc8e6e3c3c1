"""The sheet on the page while it is worked on: the positions, how far a nest is, and what was moved by hand. What is
kept lies in the user's data folder as a file of positions, of which the commands make the same proof."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from decalgen.bench.folder_jobs import FolderJobs
from decalgen.bench.sheet_layout import LaidSheets, SheetQuestion, lay, nest_all, question_of
from decalgen.commands.inputs import drawer_sheets
from decalgen.commands.options import Options, from_drawer, of_drawer
from decalgen.commands.run import Run
from decalgen.core.digests import digest_of
from decalgen.core.errors import DecalgenError
from decalgen.core.files import make_folder, write_files
from decalgen.core.small_files import is_ordinary
from decalgen.core.values import dataclass
from decalgen.job.films import load_film
from decalgen.nesting import Progress
from decalgen.sheet.positions import Position, Saved, read_positions, write_positions
from decalgen.workshop.drawer import data_folder

MOST_MOVES = 200
TOLD_SECONDS = 0.25
"""A nest tells how far it is so often at most."""


@dataclass(frozen=True)
class NestStanding:
    """How far a nest is: the best positions so far, and the seconds it has taken."""

    question: SheetQuestion
    positions: tuple[Position, ...]
    placed: int
    pieces: int
    sheets: int
    left: float
    part: float
    seconds: float


@dataclass(frozen=True)
class PieceMove:
    """What was moved by hand: the positions before it, and what it is called. Moves with the same ``key``, one after
    another, are one."""

    label: str
    before: tuple[Position, ...]
    complete: bool
    key: str = ""


class SheetTable:
    """Where the pieces of a job's sheet lie. ``laid`` is what they were last judged by; ``trouble`` why that could not
    be done anew, ``lacking`` why some find no room."""

    def __init__(self, job: Path) -> None:
        self.job = job
        self.positions: tuple[Position, ...] = ()
        """All that are kept: also of pieces and on film that are not asked for just now."""
        self.complete = True
        self.digest = ""
        self.laid: LaidSheets | None = None
        self.of: object = None
        """What `laid` is of, as told by the workplace."""
        self.judged_of: object = None
        """The same but for where the pieces lie."""
        self.trouble: DecalgenError | None = None
        self.lacking = ""
        self.moves: list[PieceMove] = []
        self._kept: object = None
        self.pins: dict[tuple[Path, str], list[Any]] = {}
        """What was pinned on the page, by file and decal: all its pins before and after each step."""
        self.best: NestStanding | None = None
        self.folder = FolderJobs()
        self._proof: tuple[object, Saved | None] = None, None
        self.nesting = False
        self.stopped = False
        self.chosen = ""
        """A piece that is called otherwise by what was just done to it: what the page calls it now."""
        self.seen = False
        """Whether anyone looked at the sheet."""
        self._read()

    @property
    def path(self) -> Path:
        """The kept file of positions."""
        return data_folder() / f"sheet-{digest_of(str(self.job.resolve()))[:16]}.positions.json"

    def _read(self) -> None:
        try:
            if is_ordinary(self.path):
                saved = read_positions(self.path)
                self.positions, self.complete, self.digest = saved.positions, saved.complete, saved.digest
        except DecalgenError:
            # What cannot be read is nested again.
            return

    # ---------------------------------------------------------------------------------- in a thread of its own
    def laid_now(
        self, paths: Sequence[Path], options: Options, known: SheetQuestion | None = None
    ) -> LaidSheets | None:
        """The kept positions judged by what the files say now; None where there are none and the drawer would have to
        be searched for sheets first. ``known``: what is asked, where the files are as they were. Raises
        DecalgenError."""
        if known is not None:
            return lay(known, self.positions, self.complete)
        self.folder.look(self.job.parent)
        saved = None
        if from_drawer(options.films):
            names = {one.name for one in drawer_sheets(options)}
            if not any(one.film in names for one in self.positions):
                return None
            names |= {load_film(words).name for words in options.films if not of_drawer(words)}
            inside = tuple(one for one in self.positions if one.film in names)
            saved = Saved(self.digest, inside, str(self.path), self.complete)
        return lay(question_of(Run(paths, options), saved), self.positions, self.complete)

    def nested(self, paths: Sequence[Path], options: Options, told: Callable[[], None]) -> tuple[LaidSheets, str]:
        """All pieces nested anew; ``told`` is called now and then while it goes on. Raises DecalgenError."""
        started = time.monotonic()
        last = 0.0
        question = question_of(Run(paths, options))

        def watch(positions: tuple[Position, ...], progress: Progress) -> bool | None:
            nonlocal last
            now = time.monotonic()
            if now - last >= TOLD_SECONDS:
                last = now
                self.best = _standing(question, positions, progress, now - started)
                told()
            return False if self.stopped else None

        return nest_all(question, watch)

    # ------------------------------------------------------------------------------------- in the server's thread
    def take(self, laid: LaidSheets | None, lacking: str | None = None) -> None:
        """Takes over how the pieces lie; ``lacking``: it is a new nest, and why it lacks some. Where it cannot be kept
        it holds while the page is open."""
        self.trouble = None
        if laid is None:
            # What was judged before lies on film that is not chosen any more.
            self.laid = None
            return
        if lacking is not None:
            self.lacking = lacking
            self.moves.clear()
        self.laid = laid
        self._put(laid.kept, laid.complete)

    def known(self, of: object) -> SheetQuestion | None:
        """What was read and drawn for the sheet, which is not done again; ``of``: what it has to be of, but for where
        the pieces lie."""
        return self.laid.question if self.laid is not None and self.judged_of == of else None

    def adopt(self, saved: Saved) -> None:
        """Lays the pieces as a proof has them; they are judged soon."""
        self.moves.clear()
        self.lacking, self.of = "", None
        self._lie(saved.positions, saved.complete)
        self.positions, self.complete, self.digest = saved.positions, saved.complete, saved.digest

    def proof(self, path: Path) -> Saved | None:
        """The positions that the proof at a path left; None where there are none, or none that can be read."""
        try:
            state = path.stat()
            stamp = state.st_mtime_ns, state.st_size
            if self._proof[0] != stamp:
                self._proof = stamp, read_positions(path)
        except (OSError, DecalgenError):
            self._proof = None, None
        return self._proof[1]

    def refuse(self, of: object, error: DecalgenError) -> None:
        """Notes why the pieces cannot be judged by what the files say now."""
        self.of, self.trouble = of, error

    def move(self, label: str, now: Position, key: str = "") -> None:
        """Lays one piece elsewhere; ``key`` as in `PieceMove`."""
        name = now.key, now.copy
        if not key or not self.moves or self.moves[-1].key != key:
            self.moves.append(PieceMove(label, self.positions, self.complete, key))
        del self.moves[:-MOST_MOVES]
        self._lie(tuple(now if (one.key, one.copy) == name else one for one in self.positions), False)

    def back(self) -> str:
        """Takes back the last move by hand; gives its label, '' where there is none."""
        if not self.moves:
            return ""
        last = self.moves.pop()
        self._lie(last.before, last.complete)
        return last.label

    def renumber(self, key: str, copies: Mapping[int, int]) -> None:
        """Calls some copies of a decal by other numbers, which are alike; none moves."""
        self.moves.clear()
        found = (replace(one, copy=copies.get(one.copy, one.copy)) if one.key == key else one for one in self.positions)
        self.positions = tuple(found)
        if self.laid is not None:
            there = (
                replace(one, copy=copies.get(one.copy, one.copy)) if one.key == key else one
                for one in self.laid.positions
            )
            self.laid = replace(self.laid, positions=tuple(there), arrangement=None)
        self.of = None

    def _lie(self, positions: tuple[Position, ...], complete: bool) -> None:
        """Other positions, which are judged again soon."""
        self.of = None
        if self.laid is not None:
            names = {(one.key, one.copy) for one in self.laid.positions}
            films = {film.name for film in self.laid.question.plan.films}
            there = tuple(one for one in positions if (one.key, one.copy) in names and one.film in films)
            self.laid = replace(self.laid, positions=there, complete=complete, arrangement=None)
        self._put(positions, complete)

    def _put(self, positions: tuple[Position, ...], complete: bool) -> None:
        self.positions, self.complete = positions, complete
        if self.laid is not None:
            self.digest = self.laid.question.digest

    def keep(self) -> None:
        """Writes the positions, where they are not kept yet; where that is impossible they hold while the page is
        open."""
        now = self.positions, self.complete, self.digest
        if self.laid is None or not self.positions or now == self._kept:
            return
        question = self.laid.question
        data = write_positions(self.digest, self.positions, question.jobs, self.complete, parts=question.parts)
        self._kept = now
        try:
            make_folder(self.path.parent)
            write_files({self.path: data})
        except DecalgenError:
            return


def _standing(
    question: SheetQuestion, positions: tuple[Position, ...], progress: Progress, seconds: float
) -> NestStanding:
    sheets = len({(one.film, one.sheet) for one in positions})
    whole = len(question.pieces)
    return NestStanding(question, positions, len(positions), whole, sheets, progress.remnant, progress.part, seconds)
