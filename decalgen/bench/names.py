"""The paints, named values and variants of a job by name, each with what uses it, beside its inks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from decalgen.bench.desk import value_at
from decalgen.bench.included import included_files
from decalgen.bench.inks_paint import inks_paint
from decalgen.core.errors import DecalgenError
from decalgen.core.names import first_few
from decalgen.job.model import Job
from decalgen.job.new_names import NamedKind
from decalgen.job.renaming import every_use
from decalgen.job.splices import Path
from decalgen.job.uses import NameUse

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

GROUPS: Mapping[NamedKind, tuple[str, str]] = {
    "paint": ("paints", "Paints"),
    "value": ("values", "Values"),
    "variant": ("variants", "Variants"),
}
MOST_SAID = 4
"""So many of what uses a name are told one by one."""


def names(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """What the job says of itself, its inks, and every name of these kinds, once that is asked for; nothing where the
    file cannot be read."""
    desk, job = place.desk, place.desk.job
    if view.get("names") != "open" or job is None or desk.problems:
        return {}
    try:
        # Every variant is read for it.
        _, uses = place.drawings.kept(("uses", desk.path, desk.version), lambda: every_use(desk.text, desk.path))
        written = desk.written
    except DecalgenError:
        return {}
    found = []
    for what, (key, title) in GROUPS.items():
        rows = [
            _row(job, what, name, owner, desk.values, uses, written.spots)
            for name, owner in _own(desk.values, what, key)
        ]
        said = [line for file in included_files(place.drawings, job) if (line := _there(file.name, file.values, key))]
        if rows or said:
            found.append({"what": what, "title": title, "rows": rows, "said": said})
    return {"names": found, "paint_job": inks_paint(place, [one for one in uses if one.likely])}


def _own(whole: Any, what: NamedKind, key: str) -> Iterator[tuple[str, str]]:
    """The names that the file gives, each with the decal that it is of, '' for one of the job."""
    for name in value_at(whole, (key,)) or {}:
        yield name, ""
    for decal, group in (value_at(whole, ("decals",)) or {}).items() if what == "value" else ():
        # What a layout calls its values is not for the job to say.
        if isinstance(group, dict) and "layout" not in group:
            for name in group.get("values") or {}:
                yield name, decal


def _row(
    job: Job, what: NamedKind, name: str, owner: str, whole: Any, uses: list[NameUse], spots: dict[Any, Path]
) -> dict[str, Any]:
    row = {"name": name, "owner": owner, "colour": _colour(job, name) if what == "paint" else ""}
    if what == "variant":
        return row | {"said": _changes(value_at(whole, ("variants", name)))}
    mine = [one for one in uses if (one.what, one.owner, one.name) == (what, owner, name)]
    likely = [one for one in mine if one.likely]
    here = [(one.node.line, one.node.column) for one in likely if one.node.source.name == job.file]
    users = [_user(spots[spot]) for spot in sorted(set(here)) if spot in spots]
    users += [FilePath(name).name for one in likely if (name := one.node.source.name) != job.file]
    return row | {"said": _used(users)}


def _used(users: list[str]) -> str:
    if not users:
        return "Nothing uses it."
    apart = list(dict.fromkeys(users))
    count = f"Used in {len(users)} place{'' if len(users) == 1 else 's'}"
    return f"{count}: {first_few(apart, MOST_SAID)}."


def _user(path: Path) -> str:
    """What a use is in, by its name: a decal, a panel, another value; in a variant, with that."""
    if path[:1] == ("variants",) and len(path) > 2:
        return f"{_user(path[2:])} in {path[1]}"
    return f"{path[0]}" if len(path) == 1 else f"{path[1]}"


def _changes(group: Any) -> str:
    """What a variant changes, by the last key."""
    keys = list(dict.fromkeys(_leaves(group)))
    if not keys:
        return "It changes nothing."
    return f"It changes {first_few(keys, MOST_SAID)}."


def _leaves(group: Any) -> Iterator[str]:
    for key, value in group.items() if isinstance(group, dict) else ():
        if isinstance(value, dict):
            yield from _leaves(value)
        else:
            yield key


def _there(file: str, whole: Any, key: str) -> str:
    """The names that an included file gives."""
    there = list(value_at(whole, (key,)) or {})
    return f"From {file}, to be renamed there in an editor: {', '.join(there)}." if there else ""


def _colour(job: Job, name: str) -> str:
    """The colour of a paint as it is drawn."""
    return next((one.colour for one in job.paints if one.name == name), "")
