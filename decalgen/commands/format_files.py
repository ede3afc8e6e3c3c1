"""What `decalgen format` does: files laid out evenly, or found to be so."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from decalgen.commands.options import Answer, FileGroup, Made
from decalgen.core.command_line import typed
from decalgen.core.errors import InputError, JobError, Problem
from decalgen.core.small_files import Wanted, read_small
from decalgen.job.files import MOST_BYTES, read_source, source_of
from decalgen.job.films import load_cutter, load_film, load_printer
from decalgen.job.formatted import formatted
from decalgen.job.layouts import read_layout
from decalgen.job.loader import load_job
from decalgen.job.mending import mended_files
from decalgen.job.merge import document
from decalgen.job.nodes import Mapping
from decalgen.job.problems import Problems

JOB_KEYS = {"job", "decals", "body"}
"""One of these makes a file a job's."""


def format_files(paths: Sequence[Path], *, short: bool) -> Made:
    """The new text of every file that is laid out otherwise. Raises JobError with all mistakes of all files, InputError
    for one that cannot be read, EditError for one that would not say the same."""
    problems: list[Problem] = []
    for path in paths:
        try:
            _read(path)
        except JobError as error:
            problems += error.problems
    if problems:
        raise JobError(problems)
    files: dict[Path, bytes] = {}
    lines = []
    for path in paths:
        text = _text(path)
        new = formatted(text, str(path), short=short)
        if new == text:
            lines.append(f"{path}: laid out evenly already")
        else:
            files[path] = new.encode("utf-8")
    done = f"laid out {len(files)} of {len(paths)} file{'' if len(paths) == 1 else 's'}"
    jobs = [path for path in paths if JOB_KEYS & set(_group(path).keys())]
    follow = typed(["decalgen", "check", *jobs]) if jobs else "use it as before"
    answer = Answer(done, follow, (FileGroup("laid out evenly", tuple(files)),))
    return Made(files, lines=tuple(lines), answer=answer)


def _text(path: Path) -> str:
    """A file with its byte order mark and line ends. Raises InputError."""
    data = read_small(path, MOST_BYTES, Wanted("name a job file, a text ending in .yaml", (".yaml", ".yml"), str(path)))
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise InputError(f"{path} is not UTF-8 text", fix="save it as UTF-8 in your editor") from None


def _read(path: Path) -> None:
    """Reads a file as what it says it is. Raises JobError with every mistake in it, InputError."""
    group = _group(path)
    keys = set(group.keys())
    if keys & JOB_KEYS:
        load_job(path)
    elif {"film", "kind"} <= keys:
        load_film(path)
    elif "printer" in keys:
        load_printer(path)
    elif "cutter" in keys:
        load_cutter(path)
    elif "layout" in keys:
        problems = Problems()
        read_layout(path.stem, group, problems)
        if len(problems):
            raise JobError(problems.sorted())


def _group(path: Path) -> Mapping:
    """The keys of a file, whatever it is. Raises JobError, InputError."""
    source = read_source(path)
    problems = Problems()
    group = document(source, problems)

    def judge(texts: dict[str, str]) -> tuple[Problem, ...]:
        found = Problems()
        document(source_of(texts.get(source.name, ""), source.name), found)
        return found.sorted()

    if group is None or len(problems):
        raise JobError(mended_files(problems.sorted(), judge, {source.name: source}))
    return group
