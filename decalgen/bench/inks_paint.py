"""The inks of a job, and what it says of itself: body paint, scale, title, film and date, as blanks; inks that come,
change and go."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from decalgen.bench.blanks import Blank, as_text, choices_of, typed_value
from decalgen.bench.desk import Edit, value_at
from decalgen.bench.shape_words import help_words
from decalgen.colour.names import NAMED
from decalgen.core import keys
from decalgen.core.errors import DecalgenError, JobError
from decalgen.core.keys import specs
from decalgen.job.edits import EditError, Path
from decalgen.job.entries import InkEntry, JobEntry
from decalgen.job.key_words import unit
from decalgen.job.model import InkSpec
from decalgen.job.new_names import new_name
from decalgen.job.renaming import uses_of
from decalgen.job.restructure import grown
from decalgen.job.splices import WrittenText
from decalgen.job.uses import NameUse
from decalgen.job.written import Bracketed, YamlValue

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

JOB_KEYS = ("body", "scale", "title", "film", "date")
_KEYS = {spec.key: spec for spec in specs(InkEntry)}
USUAL = "process"
"""The kind of an ink that names none."""


def inks_paint(place: Workplace, uses: Iterable[NameUse]) -> dict[str, Any]:
    """The blanks of the job, its inks with their blanks and what of ``uses`` is of each, and the words that a new one
    may be made of; nothing while the file cannot be read."""
    desk = place.desk
    if desk.job is None or desk.problems:
        return {}
    whole = desk.values
    job_rows = [_of_job(spec, whole).told() for spec in specs(JobEntry) if spec.key in JOB_KEYS]
    there = whole.get("inks")
    own = there if isinstance(there, dict) else {}
    inks = [_row(one, own, desk.written, uses, desk.path) for one in desk.job.inks if not one.stands_for]
    kind = _KEYS["kind"].kind
    assert isinstance(kind, keys.Choice)
    return {"rows": job_rows, "inks": inks, "kinds": list(kind.options), "colours": list(NAMED)}


def _of_job(spec: keys.Spec, whole: Mapping[str, Any]) -> Blank:
    value = whole.get(spec.key)
    choices = choices_of(spec.kind)
    default = str(spec.default or "") if choices and spec.key not in whole else ""
    about = help_words(spec)
    there, of = spec.key in whole, unit(spec.kind)
    return Blank(spec.key, (spec.key,), as_text(value), default, about, choices, there, value, unit=of)


def _row(
    ink: InkSpec, own: Mapping[str, Any], written: WrittenText, uses: Iterable[NameUse], path: FilePath
) -> dict[str, Any]:
    """An ink: what the file says of it, as blanks, and in words who uses it or where it comes from."""
    users = users_of(ink.name, written, uses, path)
    said = f"Used by {_listed(users)}." if users else "Not used."
    found = {"name": ink.name, "colour": ink.colour, "said": said, "blanks": []}
    if ink.name not in own:
        always = ink.place is None
        where = "Always there." if always else f"From {FilePath(ink.place.file).name}." if ink.place else ""
        return found | {"said": f"{where} {said}", "kind": ink.kind}
    body = own[ink.name]
    group = body if isinstance(body, dict) else {"colour": body}
    blanks = []
    for spec in _KEYS.values():
        if spec.key == "opacity" and ink.kind != "white" and "opacity" not in group:
            continue
        kind, value = spec.kind, group.get(spec.key)
        choices = choices_of(kind)
        default = "" if spec.key in group else {"kind": USUAL, "compensate": "no"}.get(spec.key, "")
        at: Path = ("inks", ink.name, spec.key)
        blank = Blank(spec.key, at, as_text(value), default, help_words(spec), choices, spec.key in group, value)
        blanks.append(blank.told())
    return found | {"blanks": blanks}


def users_of(name: str, written: WrittenText, uses: Iterable[NameUse], path: FilePath) -> list[str]:
    """Who uses an ink, in the order of the file: decals by name, named values as "the value 'accent'", other files."""
    found: dict[str, None] = {}
    for one in sorted(uses, key=lambda use: (use.node.line, use.node.column)):
        if one.what != "ink" or one.name != name:
            continue
        if one.node.source.name != str(path):
            found[FilePath(one.node.source.name).name] = None
            continue
        at = written.spots.get((one.node.line, one.node.column), ())
        if "decals" in at[:-1]:
            found[str(at[at.index("decals") + 1])] = None
        elif "values" in at[:-1]:
            found[f"the value '{at[at.index('values') + 1]}'"] = None
        elif at:
            found[f"line {one.node.line + 1}"] = None
    return list(found)


def _listed(words: list[str]) -> str:
    if len(words) > 4:
        return f"{', '.join(words[:3])} and {len(words) - 3} more"
    return " and ".join(([", ".join(words[:-1])] if words[1:] else []) + words[-1:])


# ---------------------------------------------------------------------------------------------------- what can be done
def add_ink(place: Workplace, asked: Mapping[str, Any]) -> None:
    """A new ink: ``name``, ``colour`` and ``kind`` as they were typed. Raises EditError, DecalgenError."""
    desk = place.desk
    typed, colour, kind = (_text(asked, key) for key in ("name", "colour", "kind"))
    if desk.job is None or desk.problems:
        raise EditError("the file cannot be read just now", fix="correct its mistake first: it is shown above")
    # White and black are always there, and may be given a look of their own.
    there = [one.name for one in desk.job.inks if not one.stands_for and one.place is not None]
    name = new_name(typed, "ink", there)
    value: YamlValue = colour
    if kind not in ("", USUAL) or not colour:
        value = Bracketed({key: one for key, one in (("kind", kind or USUAL), ("colour", colour)) if one})
    desk.remake(f"new ink {name}", lambda text: grown(text, ("inks", name), value))


def set_ink(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Another value for a key of an ink: ``name``, ``key``, ``to`` as it was typed, '' to leave it out, and ``was``.
    Raises EditError, DecalgenError."""
    name, key, to = (_text(asked, part) for part in ("name", "key", "to"))
    desk = place.desk
    path: Path = ("inks", name)
    body = value_at(desk.values, path)
    if key not in _KEYS or body is None:
        raise EditError(f"there is no ink '{name}' in this file", fix="look at the page again")
    group = body if isinstance(body, dict) else {"colour": body}
    if group.get(key) != asked.get("was"):
        raise EditError(f"'{key}' of '{name}' was changed meanwhile", fix="look at it, then change it again")
    value = _typed(to)
    if not isinstance(body, dict):
        whole: YamlValue = {part: one for part, one in {**group, key: value}.items() if one}
        short = set(group) == {key} and to
        edit = Edit("set", path, value if short else Bracketed(whole), body)  # type: ignore[arg-type]
    else:
        do = "remove" if not to else "set" if key in group else "add"
        edit = Edit(do, (*path, key), value if to else None, group.get(key))  # type: ignore[arg-type]
    desk.edit(desk.version, [edit], f"{key} of {name}")


def delete_ink(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Takes an ink out of the file. Raises EditError, with who uses it, where something does, in a variant too."""
    name, desk = _text(asked, "name"), place.desk
    path: Path = ("inks", name)
    if value_at(desk.values, path) is None:
        raise EditError(f"there is no ink '{name}' in this file", fix="look at the page again")
    variants = desk.job.variants if desk.job else ()
    users = users_of(name, desk.written, desk.uses, desk.path)
    for variant in variants:
        _, uses = uses_of(desk.text, desk.path, variant)
        users += [one for one in users_of(name, desk.written, uses, desk.path) if one not in users]
    if users:
        raise EditError(f"'{name}' is used by {_listed(users)}", fix="give another ink there first")
    desk.edit(desk.version, [Edit("remove", path, None, value_at(desk.values, path))], f"ink {name} deleted")


def _typed(to: str) -> YamlValue:
    try:
        return typed_value(to)
    except JobError as error:
        first = error.problems[0]
        raise DecalgenError(first.message, fix=first.fix) from None


def _text(asked: Mapping[str, Any], key: str) -> str:
    found = asked.get(key)
    if not isinstance(found, str) or len(found) > 200:
        raise EditError("that cannot be read", fix="load the page again")
    return found.strip()


INK_ACTS = {"add_ink": add_ink, "set_ink": set_ink, "delete_ink": delete_ink}
"""What the section offers, by name."""
