"""A value of a file that the job includes, changed on the page: for every job that includes it.

It is changed as the job's own file is: from the value that was seen, refused where that is another by now or a job
would no longer be read, flushed to the disk and renamed, and a step that can be taken back.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from decalgen.bench.blanks import asked_path, typed_value, with_groups
from decalgen.bench.desk import Desk, Edit, StaleError, edited, path_words, value_at, value_words
from decalgen.bench.folder_stamps import folder_stamps
from decalgen.bench.history import Patch, patch_between
from decalgen.bench.job_read import job_read
from decalgen.bench.writing import may_write
from decalgen.commands.question_values import answer_fix
from decalgen.core.digests import digest_of
from decalgen.core.errors import DecalgenError, InputError, JobError, Problem
from decalgen.core.files import write_files
from decalgen.core.names import first_few
from decalgen.job.edits import EditError, Path
from decalgen.job.files import job_text
from decalgen.job.loader import read_job
from decalgen.job.problems import Problems
from decalgen.job.splices import WrittenText, plain

if TYPE_CHECKING:
    from decalgen.bench.pictures import Drawings

MOST_JOBS = 40
"""So many job files of a folder are looked at for those that include a file too."""
MOST_NAMED = 3


class StaleIncludedError(StaleError):
    """A value of an included file was changed meanwhile."""

    def __init__(self, edit: Edit, theirs: Any, name: str) -> None:
        """``name``: of the file."""
        super().__init__(edit, theirs)
        now = f"is `{value_words(theirs)}` by now" if theirs is not None else "is no longer there"
        self.message = f"{path_words(edit.at)} in {name} {now}"
        self.fix = "look at it, then enter yours again"


def writable(desk: Desk, name: str) -> FilePath | None:
    """The included file of that name, as seen from the job's folder; None where the page may not change it: it is
    read-only, no text of the job, or a link leads out of the folder."""
    folder = desk.path.parent
    path = next((one for one in desk.included if one == folder / name and one.suffix in (".yaml", ".yml")), None)
    if path is None or not (may_write(path) and may_write(path.parent)):
        return None
    return path if path.resolve().is_relative_to(folder.resolve()) else None


def also_included(drawings: Drawings, desk: Desk, path: FilePath) -> str:
    """'Also included by h9.yaml.', or nothing where no other job of the folder includes a file."""
    key = ("includers", path, folder_stamps(desk.path.parent))
    names: list[str] = drawings.kept(key, lambda: [one.name for one in _including(desk, path)])
    return f" Also included by {first_few(names, MOST_NAMED)}." if names else ""


def change_included(desk: Desk, asked: Mapping[str, Any]) -> None:
    """Changes a value of an included file: ``file`` by its name, ``at``, ``to`` and ``was``, ``base`` and ``label``.
    Raises StaleIncludedError, EditError, DecalgenError for what can no longer be read then, OutputError."""
    try:
        name, at, was = str(asked["file"]), asked_path(asked["at"]), asked.get("was")
        to, label = typed_value(str(asked["to"])), str(asked["label"])[:120]
        base = int(asked["base"])
    except (KeyError, TypeError, ValueError):
        raise EditError("that change cannot be read", fix="load the page again") from None
    change_in(desk, name, Edit("set", at, to, was), base, label)


def change_in(desk: Desk, name: str, edit: Edit, base: int, label: str) -> None:
    """Changes or adds a value in an included file, by its name; it raises as `change_included` does."""
    at, to, was = edit.at, edit.to, edit.was
    if to is None or base > desk.version:
        raise EditError("this file never had that version", fix="load the page again")
    path = writable(desk, name)
    if path is None:
        raise EditError(f"'{name}' cannot be changed from here", fix="change it in an editor")
    before = job_text(path)
    written = WrittenText(before, name)
    there = value_at(plain(written.root), at)
    if there != was:
        raise StaleIncludedError(Edit("set", at, to, was), there, name)
    if there is None:
        at, to = with_groups(written, at, to)
    after = edited(before, Edit("add" if there is None else "set", at, to, was))
    _check(desk, path, after)
    if after == before:
        return
    desk.history.rest()
    _write(path, before, after)
    patch = patch_between(before, after, f"{label}, in {name}")
    desk.history.note(patch.of(str(path), digest_of(before), digest_of(after)))
    desk.look_beside()


def undo(desk: Desk) -> str:
    """Takes back the last step, of the job's file or of one that it includes; gives its label, '' where there is none.
    Raises EditError where that file was changed since: then the step is no longer one."""
    return _turn(desk, desk.history.done, "back", desk.undo)


def redo(desk: Desk) -> str:
    """Does again what was taken back last, as `undo`."""
    return _turn(desk, desk.history.undone, "forth", desk.redo)


def _turn(desk: Desk, steps: list[Patch], way: str, own: Any) -> str:
    last = steps[-1] if steps else None
    if last is None or not last.file:
        return str(own())
    path = FilePath(last.file)
    seen, result = (last.after, last.back) if way == "back" else (last.before, last.forth)
    try:
        text = job_text(path)
    except InputError:
        text = ""
    if digest_of(text) != seen or writable(desk, path.relative_to(desk.path.parent).as_posix()) is None:
        steps.pop()
        done = "taken back" if way == "back" else "done again"
        raise EditError(
            f"{path.name} was changed since, so '{last.label}' can no longer be {done}",
            fix="change the value itself; the step before it can be asked for next",
        )
    after = result(text)
    _check(desk, path, after)
    _write(path, text, after)
    label = str(own())
    desk.look_beside()
    return label


def _write(path: FilePath, before: str, after: str) -> None:
    """Writes a text in place of another. Raises EditError where an editor was quicker, OutputError."""

    def still() -> None:
        if job_text(path) != before:
            raise EditError(f"{path.name} was changed meanwhile", fix="look at it, then try again")

    write_files({path: after.encode("utf-8")}, still)


def _including(desk: Desk, path: FilePath) -> list[FilePath]:
    """The other jobs of the folder that include a file, by name."""
    found = []
    folder = desk.path.parent
    for one in sorted([*folder.glob("*.yaml"), *folder.glob("*.yml")])[:MOST_JOBS]:
        try:
            text = "" if one in (desk.path, path) else job_text(one)
        except InputError:
            continue
        if path.name in text and any(read == path for read in job_read(text, one).included):
            found.append(one)
    return found


def _check(desk: Desk, path: FilePath, text: str) -> None:
    """Raises DecalgenError where this job, or another that includes a file, could not be read any more with this text
    of it."""
    for job, own in ((desk.path, desk.text), *((one, job_text(one)) for one in _including(desk, path))):
        known = {one.message for one in _problems(job, {str(job): own})}
        for one in _problems(job, {str(job): own, str(path): text}):
            if one.message not in known:
                said = one.message if job == desk.path else f"{job.name} could not be read any more: {one.message}"
                raise DecalgenError(said, fix=answer_fix(one.fix), place=one.place)


def _problems(job: FilePath, texts: dict[str, str]) -> tuple[Problem, ...]:
    try:
        read_job(job, None, texts, Problems())
    except JobError as error:
        return tuple(error.problems)
    except InputError as error:
        return (Problem(error.message, error.fix, error.place),)
    return ()


def way_into(desk: Desk, name: str, at: Path, raw: Any, label: str = "") -> dict[str, Any] | None:
    """The way to change a value in an included file, as the page asks about it; None where it cannot be changed."""
    if writable(desk, name) is None:
        return None
    words = f"In {name}, for every job that includes it"
    return {"words": words, "at": list(at), "raw": raw, "label": label, "file": name}
