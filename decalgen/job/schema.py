"""The JSON Schemas of the files a user writes (draft 2020-12), from the same marks that the readers go by.

For editors that help while typing: which keys there are, what each takes, what holds without it, an example, and the
names of the faces. Sums, names and limits in millimetres are checked by the readers alone.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from decalgen.core import keys
from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.job.key_groups import KeyGroup, pages
from decalgen.job.key_words import as_written
from decalgen.job.reference import value_of
from decalgen.lettering.faces import faces
from decalgen.panels.kinds import PanelKind
from decalgen.panels.registry import kinds
from decalgen.shapes.base import ANCHORS
from decalgen.shapes.registry import load

Schema = dict[str, Any]

_DRAFT = "https://json-schema.org/draft/2020-12/schema"
_REFERENCE = r"^\s*<[^<>]+>\s*$"
_WORDS = {"type": "string"}
_NAME_OF_VALUE = {"type": "string", "pattern": _REFERENCE}
_VALUE: Schema = {"type": ["string", "number"]}


def schema_names() -> tuple[str, ...]:
    """The files there is a schema of."""
    return ("job", "film", "printer", "cutter", "inks", "layout")


def schema_of(file: str) -> Schema:
    """The schema of a job, film, printer, cutter or layout file, or of a file of inks that jobs include. Raises
    `DecalgenError`, with the nearest name, for another."""
    if file not in schema_names():
        fix = did_you_mean(file[:60], schema_names())
        raise DecalgenError(f"there is no schema of '{file[:60]}'", fix=fix)
    if file == "job":
        return job_schema()
    if file == "inks":
        # What a job includes may hold any of its keys, and needs none.
        whole = job_schema()
        del whole["required"]
        return {**whole, "title": "decalgen inks"}
    group = pages()[file].groups[0]
    found = {"$schema": _DRAFT, "title": f"decalgen {file}", **_group_of(group)}
    return {**found, "$defs": _shared()} if file == "layout" else found


def job_schema() -> Schema:
    """The schema of a job file; everything that repeats stands under ``$defs``."""
    head = _group_of(pages()["job"].groups[0])
    changeable = {key: value for key, value in head["properties"].items() if key not in ("include", "variants")}
    properties = {**head["properties"], "variants": {**head["properties"]["variants"], **_named([_loose(changeable)])}}
    return {"$schema": _DRAFT, "title": "decalgen job", **head, "properties": properties, "$defs": _shared()}


def _shared() -> Schema:
    """What a job and a layout refer to."""
    shapes = load()
    return {
        "at": _at(),
        "paint": _group_of(pages()["paint"].groups[0]),
        "ink": _group_of(pages()["ink"].groups[0]),
        "panel": _panel(),
        "obstacle": {"anyOf": [{"title": one.name, **_group_of(one)} for one in pages()["obstacle"].groups]},
        "decal": _decal(),
        "layout decal": _decal(needs=()),
        "cut": _group_of(pages()["cut"].groups[0]),
        "shapes": _one_or_many({"$ref": "#/$defs/shape"}, 200),
        "shape": {"anyOf": [_WORDS, *({"$ref": f"#/$defs/shape {name}"} for name in shapes)]},
        **{f"shape {name}": _shape(name) for name in shapes},
    }


# ----------------------------------------------------------------------------------------------- groups and their keys
def _group(cls: type[Any]) -> Schema:
    """A mapping of a dataclass' fields, and of the groups that are read beside them."""
    groups = (one for page in pages().values() for one in page.groups)
    return _group_of(next((one for one in groups if one.classes[0] is cls), KeyGroup("", "", "", (cls,))))


def _group_of(one: KeyGroup) -> Schema:
    """A mapping of a group's keys, each with its line of description, its default and an example."""
    specs = one.specs()
    found: Schema = {
        "type": "object",
        "properties": {spec.key: _key(one, spec) for spec in specs},
        "additionalProperties": False,
    }
    if one.about:
        found["description"] = one.about
    if needed := [spec.key for spec in specs if spec.required]:
        found["required"] = needed
    if one.ways:
        found["anyOf"] = [{"required": sorted(way)} for way in one.ways]
    return found


def _key(one: KeyGroup, spec: keys.Spec) -> Schema:
    found = _value(spec.kind)
    if not spec.required and spec.default not in (None, (), ""):
        found["default"] = _as_json(spec.kind, as_written(spec.kind, spec.default))
    found["examples"] = [_as_json(spec.kind, value_of(one, spec))]
    return found


def _as_json(kind: keys.Key, value: Any) -> Any:
    """A value as an editor's reader of YAML takes it: plain numbers are numbers."""
    if isinstance(value, list):
        of = kind.of if isinstance(kind, keys.Many | keys.Two) else keys.Text()
        return [_as_json(of, one) for one in value]
    if isinstance(kind, keys.Count) or (isinstance(kind, keys.Number) and isinstance(value, str)):
        return float(value) if "." in value or "e" in value else int(value)
    return value


def _value(kind: keys.Key) -> Schema:
    """What one mark allows, with its line of description."""
    found = _KINDS[type(kind)](kind)
    return {**found, "description": kind.about} if kind.about else dict(found)


# ------------------------------------------------------------------------------------------------------ kinds of value
def _choice(kind: Any) -> Schema:
    return {"anyOf": [{"enum": list(kind.options)}, _NAME_OF_VALUE]}


def _flag(_: Any) -> Schema:
    return {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no"]}, _NAME_OF_VALUE]}


def _text(kind: Any) -> Schema:
    return {"type": ["string", "number"], "maxLength": kind.most}


def _face(_: Any) -> Schema:
    """The faces by name for the editor to offer; case, spaces and hyphens do not matter."""
    names = [one.name for one in faces()]
    return {"anyOf": [{"enum": names}, _NAME_OF_VALUE, {"pattern": "|".join(_spelt(name) for name in names)}]}


def _spelt(name: str) -> str:
    """The pattern of a name in any spelling that is read as it."""
    letters = (c for c in name if c.isalnum())
    inside = "[^A-Za-z0-9]*".join(f"[{c.lower()}{c.upper()}]" if c.isalpha() else c for c in letters)
    return f"^[^A-Za-z0-9]*{inside}[^A-Za-z0-9]*$"


def _pair(kind: Any) -> Schema:
    two = {"type": "array", "items": _value(kind.of), "minItems": 2, "maxItems": 2}
    return {"anyOf": [two, _NAME_OF_VALUE]}


def _many(kind: Any) -> Schema:
    return _one_or_many(_value(kind.of), kind.most, kind.least)


def _one_or_many(one: Schema, most: int, least: int = 1) -> Schema:
    several = {"type": "array", "items": one, "minItems": least, "maxItems": most}
    return {"anyOf": [one, several]} if least <= 1 else {"anyOf": [several, _NAME_OF_VALUE]}


def _of_names(kind: Any) -> Schema:
    """What each name of a group may have: the kinds of the mark, or the keys of its page."""
    ways = [_value(one) for one in kind.of if not isinstance(one, keys.Block)]
    if kind.topic and kind.topic != "job":
        ways.append({"$ref": f"#/$defs/{kind.topic}"})
    return _named(ways)


def _named(ways: list[Schema]) -> Schema:
    """A mapping from names to one of several things; a group that is left empty is allowed."""
    return {"type": ["object", "null"], "additionalProperties": {"anyOf": ways} if ways else {}}


def _part(kind: Any) -> Schema:
    ways = [_value(one) for one in kind.of]
    if kind.topic:
        ways.append({"$ref": f"#/$defs/{'layout decal' if kind.topic == 'decal' else kind.topic}"})
    one = {"anyOf": ways}
    return _one_or_many(one, 500, 0) if kind.many else one


_KINDS: dict[type[keys.Key], Callable[[Any], Schema]] = {
    **dict.fromkeys(
        (keys.Length, keys.Size, keys.Measure, keys.Number, keys.Count, keys.Angle), lambda _: dict(_VALUE)
    ),
    **dict.fromkeys((keys.Readings, keys.Taken), lambda _: _one_or_many(_VALUE, 50)),
    keys.Text: _text,
    keys.Lines: lambda kind: _one_or_many(_VALUE, kind.most),
    keys.Flag: _flag,
    keys.Choice: _choice,
    keys.InkName: lambda _: dict(_WORDS),
    keys.FaceName: _face,
    keys.ColourText: lambda _: dict(_WORDS),
    keys.DrawingFile: lambda _: dict(_WORDS),
    keys.PictureFile: lambda _: dict(_WORDS),
    keys.InkTable: lambda _: {"type": "object", "additionalProperties": dict(_WORDS)},
    keys.Anchored: lambda _: {"$ref": "#/$defs/at"},
    keys.Many: _many,
    keys.Two: _pair,
    keys.Block: lambda kind: _group(kind.of),
    keys.Elements: lambda _: {"$ref": "#/$defs/shapes"},
    keys.Named: _of_names,
    keys.Part: _part,
}


# ------------------------------------------------------------------------------------------------- what needs more
def _at() -> Schema:
    anchors = "|".join(ANCHORS)
    return {
        "anyOf": [
            {"type": "string", "pattern": rf"^\s*({anchors})\s*([-+\u2212].*)?$"},
            _pair(keys.Two(of=keys.Length())),
            _group_of(pages()["at"].groups[0]),
        ]
    }


def _panel() -> Schema:
    """The kinds of panel, each with the keys that all have."""
    every = pages()["panel"].groups[0]
    common = _group_of(every)["properties"]
    found = []
    for name, kind in kinds().items():
        group = _group_of(KeyGroup(name, kind.about, "", (kind,), without=_shared_fields()))
        found.append({**group, "title": name, "properties": {**group["properties"], **common}})
    return {"anyOf": found}


def _shared_fields() -> frozenset[str]:
    cls: Any = PanelKind
    return frozenset(spec.name for spec in keys.specs(cls))


def _decal(needs: tuple[list[str], ...] = (["panel", "artwork"], ["layout"])) -> Schema:
    """A decal; without a layout it needs its panel and its artwork."""
    found = _group_of(pages()["decal"].groups[0])
    del found["required"]
    return {**found, "anyOf": [{"required": need} for need in needs]} if needs else found


def _shape(name: str) -> Schema:
    """``name: {its keys}``; the keys may be left out where none is needed."""
    own = _group_of(pages()[name].groups[0])
    body = own if "required" in own else {"anyOf": [own, {"type": "null"}]}
    return {
        "type": "object",
        "properties": {name: body},
        "required": [name],
        "additionalProperties": False,
        "description": load()[name].about,
    }


def _loose(keys: Schema) -> Schema:
    """A variant changes parts of groups and takes entries away, so below its own keys anything may stand."""
    described = {key: {"description": value.get("description", "")} for key, value in keys.items()}
    return {"type": "object", "properties": described, "additionalProperties": False}
