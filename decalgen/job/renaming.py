"""Another name for a panel, obstacle, decal, named value, ink, paint or variant, everywhere a job says it. Pure but for
the files that the job includes, which are read.

The readers note every place that names something (`decalgen.job.uses`); these are changed, and the keys of the thing
itself, those of variants too. Then it is tried: all values but these are the same, and the job and each of its variants
mean the same with the new name.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path as FilePath
from typing import Any

from decalgen.core.errors import DecalgenError
from decalgen.core.names import spelt_as
from decalgen.core.values import dataclass
from decalgen.job.loader import read_job
from decalgen.job.model import Job
from decalgen.job.new_names import NamedKind, new_name
from decalgen.job.nodes import Source
from decalgen.job.problems import Problems
from decalgen.job.same_meaning import means_the_same
from decalgen.job.splices import (
    BY_HAND,
    EditError,
    Path,
    Splice,
    WrittenText,
    guarded,
    inside,
    plain,
    spliced,
)
from decalgen.job.uses import NameUse, settled
from decalgen.job.written import key_text, scalar

_GROUPS: Mapping[str, str] = {
    "panel": "panels", "decal": "decals", "value": "values", "ink": "inks", "paint": "paints", "variant": "variants",
}  # fmt: skip


@dataclass(frozen=True)
class Subject:
    """What has a name: its kind, the name, and whose it is: an obstacle's panel, the decal of a value of its own."""

    what: NamedKind
    name: str
    owner: str = ""

    @property
    def path(self) -> Path:
        """Where it stands in a job file."""
        if self.what == "obstacle":
            return ("panels", self.owner, "obstacles", self.name)
        if self.what == "value" and self.owner:
            return ("decals", self.owner, "values", self.name)
        return (_GROUPS[self.what], self.name)


def uses_of(
    text: str,
    path: FilePath,
    variant: str | None = None,
    problems: Problems | None = None,
    known: list[Source] | None = None,
) -> tuple[Job, tuple[NameUse, ...]]:
    """The job that a file would be with this text, and where it names its panels, obstacles, decals, inks, paints and
    values, its included files too. What is noticed is noted in ``problems``; ``known`` is given the files that are
    read. Raises JobError, InputError."""
    problems = Problems() if problems is None else problems
    problems.uses = []
    job = read_job(path, variant, {str(path): text}, problems, known)
    return job, settled(problems.uses)


def renamed(text: str, path: FilePath, subject: Subject, new: str) -> str:
    """The text of a job file with another name for something, wherever it is named. Raises DecalgenError for a name
    that cannot be, EditError where something else would change, or another file, JobError for a text that is no job."""
    written = WrittenText(text, path.name)
    whole = plain(written.root)
    if not written.has(subject.path):
        raise EditError(f"'{subject.name}' is not written in this file", fix=_elsewhere(subject))
    before, uses = every_use(text, path)
    new = new_name(new, subject.what, _there(subject, whole, before[0], path))
    if new == subject.name:
        return text
    mine = [one for one in uses if (one.what, one.owner, one.name) == (subject.what, subject.owner, subject.name)]
    _check_layout(subject, whole)
    _check_files(mine, path, subject)
    likely = [one for one in mine if one.likely]
    for some in (mine, likely, [one for one in mine if one.sure]):
        try:
            made = _with_name(written, whole, subject, new, some)
            after, _ = every_use(made, path)
        except DecalgenError:
            continue
        if means_the_same(before, after, subject.name, new):
            return made
    raise EditError(
        f"with '{new}' in place of '{subject.name}' the job would mean something else",
        fix=f"choose another name, or {BY_HAND}",
    )


def every_use(text: str, path: FilePath) -> tuple[list[Job], list[NameUse]]:
    """The job and each of its variants, and every use of a name in them. Raises JobError, InputError."""
    job, uses = uses_of(text, path)
    jobs, found = [job], {one.key: one for one in uses}
    for variant in job.variants:
        other, more = uses_of(text, path, variant)
        jobs.append(other)
        found |= {one.key: one for one in more if one.sure or one.key not in found}
    return jobs, list(found.values())


def _there(subject: Subject, whole: Any, job: Job, path: FilePath) -> Iterable[str]:
    """The names that are given already, but for its own, which may get other capitals."""
    around = inside(whole, subject.path[:-1])
    known = {
        "panel": [one.name for one in job.panels],
        "decal": [one.name for one in job.decals],
        # A layout's own ink gives way to one that the job declares, if it is not used.
        "ink": [one.name for one in job.inks if one.place is None or one.place.file != str(path)],
        "paint": [one.name for one in job.paints],
        "variant": list(job.variants),
    }.get(subject.what, [])
    return [name for name in (*around, *known) if name != subject.name]


def _elsewhere(subject: Subject) -> str:
    if subject.what == "ink" and subject.name in ("white", "black"):
        return "white and black are always there; give an ink of your own another name"
    return "change it in the file that this one includes, or in the layout"


def _check_files(uses: Sequence[NameUse], path: FilePath, subject: Subject) -> None:
    for one in uses:
        name = one.node.source.name
        if name != str(path):
            place = f"{FilePath(name).name}, line {one.node.line + 1},"
            raise EditError(f"{place} names '{subject.name}' too", fix="change both files in an editor")


def _check_layout(subject: Subject, whole: Any) -> None:
    """Raises EditError for a value that has its name from a ready layout."""
    if subject.what == "value" and subject.owner and "layout" in whole["decals"][subject.owner]:
        layout = whole["decals"][subject.owner]["layout"]
        raise EditError(f"the layout '{layout}' calls it '{subject.name}'", fix="keep the name")


# ------------------------------------------------------------------------------------------------------ what is changed
def _with_name(written: WrittenText, whole: Any, subject: Subject, new: str, uses: Sequence[NameUse]) -> str:
    """The text with the new name in the keys and texts that say the old one. Raises EditError."""
    wanted = copy.deepcopy(whole)
    splices: list[Splice] = []
    texts, keys = written.texts, _key_paths(whole, subject)
    for path, node in texts.items():
        spots = sorted(one.start for one in uses if (one.node.line, one.node.column) == (node.line, node.column))
        if not spots:
            continue
        said = _replaced(node.text, spots, subject.name if subject.what != "ink" else node.text, new)
        quote = written.text[written.begin(node)] if node.quoted else ""
        if quote in ("|", ">") or node.end[0] != node.line:
            raise EditError("it is named in a text of several lines", fix=BY_HAND)
        splices.append(
            Splice(written.begin(node), written.finish(node), scalar(said, flow=written.flow(path), quote=quote))
        )
        inside(wanted, path[:-1])[path[-1]] = said
    for path in keys:
        key = written.key(path)
        assert key is not None
        end = written.offset(key.end)
        splices.append(Splice(written.begin(key), end, key_text(new, flow=written.flow(path))))
    for path in sorted(keys, key=len, reverse=True):
        _rename_key(wanted, path, new)
    return guarded(spliced(written.text, splices), wanted)


def _key_paths(whole: Any, subject: Subject) -> list[Path]:
    """The keys of the thing itself: in the file, and where variants change it, perhaps in another spelling."""
    found = [subject.path]
    every = whole.get("variants")
    for variant, group in every.items() if isinstance(every, dict) and subject.what != "variant" else ():
        path: Path = ("variants", variant)
        there: Any = group
        for part in subject.path:
            same = next((key for key in there if spelt_as(key, [str(part)])), None) if isinstance(there, dict) else None
            if same is None:
                break
            path, there = (*path, same), there[same]
        else:
            found.append(path)
    return found


def _replaced(text: str, spots: Sequence[int], old: str, new: str) -> str:
    for start in sorted(set(spots), reverse=True):
        if text[start : start + len(old)] != old:
            raise EditError("the name is written in another way there", fix=BY_HAND)
        text = text[:start] + new + text[start + len(old) :]
    return text


def _rename_key(whole: Any, path: Path, new: str) -> None:
    around = inside(whole, path[:-1])
    entries = [(new if key == path[-1] else key, value) for key, value in around.items()]
    around.clear()
    around.update(entries)
