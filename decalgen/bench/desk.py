"""One job file on the bench: its text, which is the truth, and what follows from it.

The file may be changed here and in an editor at the same time. A change made here names the version it was made from
and the value that stood there: it is refused only where that value has become another. Before the file is written it is
looked at once more; where the editor was quicker, the changes made here are put into what the editor wrote. Where both
changed the same, nothing is written until one of the two is chosen; the other can still be had by undo.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path as FilePath
from typing import Any, Literal

from decalgen.bench.history import Steps
from decalgen.bench.job_read import JobRead, as_read, job_read
from decalgen.bench.merge import ChosenSide, Clash, Merged, merge
from decalgen.bench.writing import may_write
from decalgen.commands.question_values import answer_fix
from decalgen.core.digests import digest_of
from decalgen.core.errors import DecalgenError, OutputError, Problem
from decalgen.core.files import write_files
from decalgen.core.values import dataclass
from decalgen.job.edits import EditError, Path, remove_value, set_value, values
from decalgen.job.files import job_text
from decalgen.job.key_order import added
from decalgen.job.model import Job
from decalgen.job.splices import WrittenText, as_written, plain
from decalgen.job.uses import NameUse
from decalgen.job.written import YamlValue

EditKind = Literal["set", "add", "remove"]
TextJudge = Callable[[str, JobRead], None]


@dataclass(frozen=True)
class Edit:
    """One change of a value: ``was`` is what its maker saw there, None for nothing; ``to`` what is to stand there."""

    do: EditKind
    at: Path
    to: YamlValue | None = None
    was: Any = None


@dataclass(frozen=True)
class Remake:
    """A change of more than one value, from text to text; it is made again on what an editor writes meanwhile."""

    label: str
    make: Callable[[str], str]


class StaleError(DecalgenError):
    """A value was changed elsewhere meanwhile. ``theirs`` is what stands there now."""

    exit_code = 2

    def __init__(self, edit: Edit, theirs: Any, instead: Sequence[Edit] = (), label: str = "") -> None:
        """``instead``: the changes that make it so all the same, for what was not asked as changes of values;
        ``label``: what they are."""
        super().__init__(f"{path_words(edit.at)} was changed meanwhile", fix="choose which of the two is kept")
        self.edit, self.theirs, self.instead, self.label = edit, theirs, tuple(instead), label


class ClashError(DecalgenError):
    """Here and in an editor the same was changed. ``clashes``: where, with both; ``of``: the sign of the editor's text,
    so that a choice is only of what was shown."""

    exit_code = 2

    def __init__(self, clashes: Sequence[Clash], of: str) -> None:
        where = ", ".join(one.of for one in clashes)
        super().__init__(f"you and your editor both changed {where}", fix="choose which of the two is kept")
        self.clashes, self.of = tuple(clashes), of


class _ChangedError(Exception):
    """An editor was quicker."""


class Desk:
    """A job file while it is worked on. ``version`` counts the texts, and what the files it includes have been; ``job``
    is the last that could be read."""

    def __init__(self, path: FilePath) -> None:
        """Raises InputError for a file that cannot be read; a text that is no job has `problems` instead."""
        self.path = path
        self.version = 1
        self.kept = 1
        """The latest version that is known to be on the disk."""
        self.history = Steps()
        self._now: tuple[int, WrittenText, Any] | None = None
        self.text = self.on_disk = job_text(path)
        self.job: Job | None = None
        self.job_version = 0
        self.problems: tuple[Problem, ...] = ()
        self.uses: tuple[NameUse, ...] = ()
        """Where the last job that could be read names something."""
        self.included: Mapping[FilePath, tuple[str, ...] | None] = {}
        """The lines of the files that the text includes, as they were read; None for one that cannot be."""
        self.unkept: list[Edit | Remake] | None = []
        """The changes since the file was written; None where they cannot be made again (a step taken back)."""
        self._take(job_read(self.text, self.path))

    @property
    def written(self) -> WrittenText:
        """The text with its nodes, read once a text. Raises JobError where it cannot be read."""
        return self._read_now()[1]

    @property
    def values(self) -> Any:
        """All values of the text as groups, lists and texts, which are not to be changed. Raises as `written` does."""
        return self._read_now()[2]

    def _read_now(self) -> tuple[int, WrittenText, Any]:
        if self._now is None or self._now[0] != self.version:
            written = as_written(self.text, self.path.name)
            self._now = self.version, written, plain(written.root)
        return self._now

    def edit(self, base: int, edits: Sequence[Edit], label: str, key: str = "", judge: TextJudge | None = None) -> None:
        """Makes some changes, all of them or none. ``base``: the version they were made from; ``key``: one after
        another with the same are one step of undo; ``judge``: raises for a text, and what it reads as, that is not to
        be. Raises StaleError, EditError, and DecalgenError, with the fix, for what the readers of job files refuse."""
        self._check_stale(base, edits)
        text = self.text
        for one in edits:
            text = edited(text, one)
        self._step(text, edits, label, key, judge)

    def remake(self, label: str, make: Callable[[str], str], key: str = "") -> None:
        """Makes a change of more than one value, a step of its own. Raises what ``make`` does, and DecalgenError for
        what the readers of job files refuse."""
        self._step(make(self.text), (Remake(label, make),), label, key, None)

    def _step(self, text: str, changes: Sequence[Edit | Remake], label: str, key: str, judge: TextJudge | None) -> None:
        read = self._not_worse(text)
        if judge is not None:
            judge(text, read)
        if self.unkept is not None:
            self.unkept += changes
        self.history.add(self.text, text, label, key)
        self._put(text, read)

    def undo(self) -> str:
        """Takes back the last step; gives its label, '' where there is none."""
        label = self.history.done[-1].label if self.history.done else ""
        self._put_whole(self.history.undo(self.text))
        return label

    def redo(self) -> str:
        """Does again what was taken back last; gives its label."""
        label = self.history.undone[-1].label if self.history.undone else ""
        self._put_whole(self.history.redo(self.text))
        return label

    def mend(self, line: int, was: str, to: str) -> None:
        """Puts another text in place of a line, from 1: for a file that cannot be read. Raises EditError where the line
        is another by now."""
        lines = self.text.splitlines(keepends=True)
        if not 1 <= line <= len(lines) or lines[line - 1].rstrip("\r\n") != was:
            raise EditError("that line was changed meanwhile", fix="look at it again")
        if "\n" in to or "\r" in to:
            raise EditError("one line is asked for", fix="put the rest on lines of its own in an editor")
        end = lines[line - 1][len(lines[line - 1].rstrip("\r\n")) :]
        lines[line - 1] = to + end
        text = "".join(lines)
        self.history.add(self.text, text, f"line {line}")
        self._put_whole(text)

    def rewrite(self, text: str, label: str) -> None:
        """Another text as one step: what a question of `decalgen new`, or a panel that is added, makes of the file.
        Raises DecalgenError for a text with a mistake that the present one lacks."""
        if text == self.text:
            return
        read = self._not_worse(text)
        self.history.add(self.text, text, label)
        self.unkept = None
        self._put(text, read)

    def put_back(self) -> None:
        """Writes the text into the file again, whatever became of that. Raises OutputError."""
        write_files({self.path: self.text.encode("utf-8")})
        self.on_disk = self.text
        self._all_kept()

    @property
    def gone(self) -> bool:
        """Whether the file was deleted or renamed."""
        return not self.path.exists()

    @property
    def locked(self) -> bool:
        """Whether the file, or its folder, cannot be written."""
        return not self.gone and not (may_write(self.path) and may_write(self.path.parent))

    def look(self) -> bool:
        """Whether the file was changed in an editor; if so that is taken over as a step. Raises InputError for a file
        that is gone, ClashError where both changed the same: then the text here stays."""
        theirs = job_text(self.path)
        if theirs == self.on_disk:
            return False
        merged = self._merged(theirs, "")
        if merged.clashes:
            raise ClashError(merged.clashes, digest_of(theirs))
        self._take_over(theirs, merged.text)
        return True

    def look_beside(self) -> bool:
        """Whether a file that the job includes was changed in an editor; if so the job is read anew."""
        if as_read(self.included):
            return False
        kept = self.kept == self.version
        self.version += 1
        self.kept = self.version if kept else self.kept
        self._take(job_read(self.text, self.path))
        return True

    def choose(self, choice: ChosenSide, of: str) -> None:
        """Keeps what was changed here, 'mine', or by the editor, 'theirs', where both changed the same; all other
        changes of both are kept. ``of``: the sign that came with the clash. Undo brings the other back. Raises
        InputError for a file that is gone, ClashError where the editor's text is another by now."""
        theirs = job_text(self.path)
        if theirs == self.on_disk:
            return
        clashes = self._merged(theirs, "").clashes
        if digest_of(theirs) != of and clashes:
            raise ClashError(clashes, digest_of(theirs))
        mine = self._merged(theirs, "mine").text
        self._take_over(theirs, self._merged(theirs, "theirs").text)
        if choice == "mine":
            self.history.add(self.text, mine, "keeping yours")
            self._put_whole(mine)

    def keep(self) -> None:
        """Writes the text into the file, if it is not there yet. Raises InputError, OutputError; what the editor
        changed meanwhile is taken over first, or ClashError raised."""
        while self.text != self.on_disk:
            self.look()
            if self.text == self.on_disk:
                break
            if self.locked:
                # A new file in its place would be no longer the one that someone locked.
                raise OutputError(f"'{self.path.name}' is read-only", fix="keep a copy under another name")
            try:
                write_files({self.path: self.text.encode("utf-8")}, self._still)
            except _ChangedError:
                continue
            self.on_disk = self.text
        self._all_kept()

    def as_left(self) -> bool:
        """Whether the file is as it was read or written last. Raises InputError for one that is gone."""
        return job_text(self.path) == self.on_disk

    def _still(self) -> None:
        """Raises _ChangedError where an editor wrote since the file was looked at."""
        if not self.as_left():
            raise _ChangedError

    def _take_over(self, theirs: str, merged: str) -> None:
        """A text with what an editor wrote."""
        self.on_disk = theirs
        self.history.rest()
        self.history.add(self.text, merged, "what your editor changed", outside=True)
        self._put(merged, job_read(merged, self.path))
        if merged == theirs:
            self._all_kept()
        elif self._replayed(theirs, "") != Merged(merged, ()):
            # What was set aside is no change any more.
            self.unkept = None

    def _all_kept(self) -> None:
        self.kept = self.version
        self.unkept = []

    def _merged(self, theirs: str, choice: ChosenSide) -> Merged:
        """What the editor wrote, with the changes made here since the file was written: value by value if it can be,
        else line by line."""
        found = self._replayed(theirs, choice)
        if found is not None:
            return found
        found = merge(self.on_disk, self.text, theirs, choice)
        # Lines that fit together may still say the same thing twice.
        if self._reads_worse(found.text, theirs):
            clash = Clash("the whole file", self.text, theirs)
            return Merged({"mine": self.text, "theirs": theirs}.get(choice, self.on_disk), (clash,))
        return found

    def _replayed(self, theirs: str, choice: ChosenSide) -> Merged | None:
        """The same by values; None where the changes here cannot be made there one by one."""
        if self.unkept is None:
            return None
        text = theirs
        set_aside: list[Path] = []
        clashes: dict[Path, Clash] = {}
        try:
            mine, before = values(self.text), values(self.on_disk)
            for one in self.unkept:
                if isinstance(one, Remake):
                    text = one.make(text)
                    continue
                if any(one.at[: len(at)] == at for at in set_aside):
                    continue
                there = value_at(values(text), one.at)
                if there == (None if one.do == "remove" else one.to):
                    continue
                if there != one.was:
                    if there is None:
                        return None
                    kept = value_at(mine, one.at)
                    if kept != value_at(before, one.at):
                        clashes[one.at] = Clash(path_words(one.at), value_words(kept), value_words(there))
                    if choice != "mine" or one.at not in clashes:
                        set_aside.append(one.at)
                        continue
                text = edited(text, one)
        except DecalgenError:
            return None
        return Merged(text, tuple(clashes.values()))

    def _reads_worse(self, text: str, theirs: str) -> bool:
        """Whether a text has mistakes although neither side's has."""
        sides = (self.text, theirs)
        return not any(job_read(one, self.path).problems for one in sides) and bool(job_read(text, self.path).problems)

    def _check_stale(self, base: int, edits: Sequence[Edit]) -> None:
        """Raises StaleError where what was seen is no longer there."""
        if base > self.version:
            raise EditError("this file never had that version", fix="load the page again")
        found = self.values
        for one in edits:
            there = value_at(found, one.at)
            if there != one.was:
                raise StaleError(one, there)

    def _not_worse(self, text: str) -> JobRead:
        """What a new text reads as. Raises the first problem that it has and the present one lacks."""
        read = job_read(text, self.path)
        known = {one.message for one in self.problems}
        for one in read.problems:
            if one.message not in known:
                raise DecalgenError(one.message, fix=answer_fix(one.fix), place=one.place)
        return read

    def _put_whole(self, text: str) -> None:
        """A text that did not come of changes of values."""
        if text != self.text:
            self.unkept = None
            self._put(text, job_read(text, self.path))

    def _put(self, text: str, read: JobRead) -> None:
        if text == self.text:
            return
        self.text = text
        self.version += 1
        self._take(read)

    def _take(self, read: JobRead) -> None:
        self.problems, self.included = read.problems, read.included
        if read.job is not None:
            self.job, self.job_version, self.uses = read.job, self.version, read.uses


def edited(text: str, edit: Edit) -> str:
    """A text with one change. Raises EditError, and JobError for a text that cannot be read."""
    if edit.do == "remove":
        return remove_value(text, edit.at)
    if edit.to is None:
        raise EditError("nothing is given to be put there", fix="remove the key instead")
    return set_value(text, edit.at, edit.to) if edit.do == "set" else added(text, edit.at, edit.to)


def value_at(whole: Any, path: Path) -> Any:
    """The value at a path; None where nothing is."""
    for part in path:
        if isinstance(whole, dict):
            whole = whole.get(part)
        elif isinstance(whole, list) and isinstance(part, int) and part < len(whole):
            whole = whole[part]
        else:
            return None
    return whole


def path_words(path: Path) -> str:
    """The name of a value, the nearest first: 'width of door'."""
    names = [f"{part + 1}" if isinstance(part, int) else part for part in path]
    return f"'{names[-1]}' of '{names[-2]}'" if len(names) > 1 else f"'{names[-1]}'"


def value_words(value: Any) -> str:
    """A value in a line; '' for nothing."""
    if isinstance(value, dict):
        return ", ".join(f"{key}: {value_words(one)}" for key, one in value.items())
    if isinstance(value, list):
        return ", ".join(map(value_words, value))
    return "" if value is None else str(value)
