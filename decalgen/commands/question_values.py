"""What the questions of `decalgen new` share: names, choices, and values put into the text of a job. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path as FilePath
from typing import Any

from decalgen.commands.questions import Question
from decalgen.core.errors import DecalgenError, Finding, JobError, did_you_mean
from decalgen.job import restructure
from decalgen.job.edits import Path, remove_value, set_value, values
from decalgen.job.examples import OR_NAMED
from decalgen.job.model import Job
from decalgen.job.written import YamlValue


def chosen(question: Question, typed: str) -> str:
    """One of the choices, by its number or its name. Raises DecalgenError."""
    names = [name for name, _ in question.choices]
    if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(names):
        return names[int(typed) - 1]
    close = [name for name in names if name.casefold() == " ".join(typed.split()).casefold()]
    if close:
        return close[0]
    fix = did_you_mean(typed, names)
    raise DecalgenError(
        f"'{typed}' is not one of them", fix=f"{fix}{' Or type' if fix.endswith('?') else ', or'} its number"
    )


def grown(text: str, path: Path, value: YamlValue) -> str:
    """The text with a value at a path; groups that lead there are made, where a file has them in order."""
    whole: Any = values(text)
    for part in path:
        if not isinstance(whole, dict) or part not in whole:
            return restructure.grown(text, path, value)
        whole = whole[part]
    return set_value(text, path, value)


def taken_away(text: str, path: Path) -> str:
    """The text without what is at a path; as it is where nothing is there."""
    whole: Any = values(text)
    for part in path:
        if not isinstance(whole, dict) or part not in whole:
            return text
        whole = whole[part]
    return remove_value(text, path)


def checked(text: str, path: FilePath, changed: Sequence[str | int], before: str, job: Job | None = None) -> None:
    """Raises DecalgenError, with the fix, for a text that the readers of job files refuse, for an error of the panel
    that was not there ``before``, and for measures of lettering that cannot be drawn. ``changed``: where the answer
    went; ``job``: what the text reads as, where that is known."""
    from decalgen.job.loader import job_as_written
    from decalgen.preflight.lettering import letterings

    try:
        job = job or job_as_written(text, path)
    except JobError as error:
        first = error.problems[0]
        raise DecalgenError(first.message, fix=answer_fix(first.fix)) from None
    for panel in job.panels:
        wrong = [one for one in panel.findings if one.severity == "error"]
        if wrong and ("panels", panel.name) == tuple(changed[:2]) and not _wrong_before(before, path, panel.name):
            raise DecalgenError(f"panel '{panel.name}': {wrong[0].message}", fix=wrong[0].fix)
    for decal in job.decals:
        if ("decals", decal.name) == tuple(changed[:2]):
            for _, lettering in letterings(decal.artwork):
                _ = lettering.block


def answer_fix(fix: str) -> str:
    """The fix of a value that is typed as an answer: what can only be named in a file is left out."""
    return fix.removesuffix(OR_NAMED)


def doubts(text: str, path: FilePath, changed: Sequence[str | int], before: str) -> tuple[str, ...]:
    """What looks wrong about the panel that an answer went into, and did not ``before``: such as inches for
    millimetres, or a misread one of several. The answer is kept all the same."""
    found = new_doubts(text, path, changed, before)
    return tuple(f"look again: {one.subject}: {one.message}\nfix: {one.fix}; 'back' asks for it again" for one in found)


def new_doubts(text: str, path: FilePath, changed: Sequence[str | int], before: str) -> list[Finding]:
    """The warnings of that panel that were not there ``before``."""
    known = {_doubted(one) for one in _warnings(before, path, changed)}
    return [one for one in _warnings(text, path, changed) if _doubted(one) not in known]


def _doubted(one: Finding) -> str:
    """What makes a doubt another one: not the second size of a panel that is too large by its first."""
    return one.code if one.code == "size-unlikely" else one.message


def _warnings(text: str, path: FilePath, changed: Sequence[str | int]) -> list[Finding]:
    from decalgen.job.loader import job_as_written

    try:
        panels = job_as_written(text, path).panels
    except JobError:
        return []
    there = [panel for panel in panels if ("panels", panel.name) == tuple(changed[:2])]
    return [one for panel in there for one in panel.findings if one.severity == "warning"]


def _wrong_before(text: str, path: FilePath, panel: str) -> bool:
    from decalgen.job.loader import job_as_written

    try:
        found = job_as_written(text, path).panels
    except JobError:
        return False
    return any(one.severity == "error" for there in found if there.name == panel for one in there.findings)


def free(name: str, there: Iterable[str]) -> str:
    """The name, with the first number after it that makes it one of its own; capitals alone do not."""
    taken = {one.casefold() for one in there}
    number, tried = 1, name
    while tried.casefold() in taken:
        number += 1
        tried = f"{name} {number}"
    return tried
