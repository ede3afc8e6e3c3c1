"""The JSON Schema of a job file (draft 2020-12), from the same marks that the reader goes by.

For editors that help while typing. It says which keys there are and what kind of value each takes; sums, names
and limits in millimetres are checked by the reader alone.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from decalgen.core import keys
from decalgen.job.anchors import AtEntry
from decalgen.job.elements import Placing
from decalgen.job.entries import CutEntry, DecalEntry, InkEntry, JobEntry, PaintEntry, SizeEntry
from decalgen.job.panels import PanelEntry
from decalgen.panels.registry import kinds, obstacle_kinds
from decalgen.shapes.base import ANCHORS
from decalgen.shapes.registry import load

Schema = dict[str, Any]

_REFERENCE = r"^\s*<[^<>]+>\s*$"
_WORDS = {"type": "string"}
_VALUE: Schema = {"type": ["string", "number"]}


def job_schema() -> Schema:
    """The whole schema; everything that repeats stands under ``$defs``."""
    head = _group(JobEntry)
    head["properties"] |= {
        "paints": _named({"anyOf": [_value(keys.ColourText()), _group(PaintEntry)]}, "paints of the body by name"),
        "inks": _named(
            {"anyOf": [_value(keys.ColourText()), _group(InkEntry)]}, "inks by name; white and black are there"
        ),
        "values": {"$ref": "#/$defs/values"},
        "panels": _named({"$ref": "#/$defs/panel"}, "panels by name, as measured"),
        "decals": _named({"$ref": "#/$defs/decal"}, "decals by name"),
        "include": _one_or_many(_WORDS, 20) | {"description": "files beside the job, laid under it"},
    }
    changeable = {key: value for key, value in head["properties"].items() if key != "include"}
    shapes = load()
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "decalgen job",
        **head,
        "properties": {**head["properties"], "variants": _named(_loose(changeable), "changes to the job by name")},
        "$defs": {
            "values": {
                "type": "object",
                "additionalProperties": {"anyOf": [_VALUE, {"type": "array", "items": _VALUE}]},
                "description": "lengths, numbers or texts by name",
            },
            "at": _at(),
            "panel": _panel(),
            "obstacle": {"anyOf": [_group(kind) for kind in obstacle_kinds().values()]},
            "decal": _decal(),
            "cut": {"anyOf": [_value(keys.specs(CutEntry)[0].kind), _group(CutEntry)]},
            "shapes": _one_or_many({"$ref": "#/$defs/shape"}, 200),
            "shape": {"anyOf": [_WORDS, *({"$ref": f"#/$defs/shape {name}"} for name in shapes)]},
            **{f"shape {name}": _shape(name, cls) for name, cls in shapes.items()},
        },
    }


def _group(cls: type[Any]) -> Schema:
    """A mapping of a dataclass' fields."""
    specs = keys.specs(cls)  # type: ignore[arg-type]
    found: Schema = {
        "type": "object",
        "properties": {spec.key: _value(spec.kind) for spec in specs},
        "additionalProperties": False,
    }
    needed = [spec.key for spec in specs if spec.required]
    if needed:
        found["required"] = needed
    return found


def _value(kind: keys.Key) -> Schema:
    """What one mark allows, with its line of description."""
    found = _KINDS[type(kind)](kind)
    return {**found, "description": kind.about} if kind.about else found


def _choice(kind: Any) -> Schema:
    return {"anyOf": [{"enum": list(kind.options)}, {"type": "string", "pattern": _REFERENCE}]}


def _flag(_: Any) -> Schema:
    return {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no"]}, {"type": "string", "pattern": _REFERENCE}]}


def _text(kind: Any) -> Schema:
    return {"type": ["string", "number"], "maxLength": kind.most}


def _pair(kind: Any) -> Schema:
    return {"type": "array", "items": _value(kind.of), "minItems": 2, "maxItems": 2}


def _many(kind: Any) -> Schema:
    return _one_or_many(_value(kind.of), kind.most, kind.least)


def _one_or_many(one: Schema, most: int, least: int = 1) -> Schema:
    several = {"type": "array", "items": one, "minItems": least, "maxItems": most}
    return {"anyOf": [one, several]} if least <= 1 else {"anyOf": [several, {"type": "string", "pattern": _REFERENCE}]}


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
    keys.FaceName: lambda _: dict(_WORDS),
    keys.ColourText: lambda _: dict(_WORDS),
    keys.Anchored: lambda _: {"$ref": "#/$defs/at"},
    keys.Many: _many,
    keys.Two: _pair,
    keys.Block: lambda kind: _group(kind.of),
    keys.Elements: lambda _: {"$ref": "#/$defs/shapes"},
    keys.Named: lambda kind: _named({"anyOf": [_value(one) for one in kind.of]}, kind.about),
    keys.Part: lambda kind: {"anyOf": [_value(one) for one in kind.of]},
}


def _named(of: Schema, about: str) -> Schema:
    """A mapping from names to one kind of thing; a group that is left empty is allowed."""
    return {"type": ["object", "null"], "additionalProperties": of, "description": about}


def _at() -> Schema:
    anchors = "|".join(ANCHORS)
    return {
        "anyOf": [
            {"type": "string", "pattern": rf"^\s*({anchors})\s*([-+\u2212].*)?$"},
            {"type": "string", "pattern": _REFERENCE},
            _pair(keys.Two(of=keys.Length())),
            _group(AtEntry),
        ]
    }


def _panel() -> Schema:
    """The kinds of panel, each with the keys that all have."""
    common = _group(PanelEntry)["properties"]
    common["obstacles"] = _named({"$ref": "#/$defs/obstacle"}, "handles, gaps, rivets and vents by name")
    found = []
    for name, kind in kinds().items():
        group = _group(kind)
        group["properties"] = {**group["properties"], **common}
        ways = [{"required": sorted(need)} for need in kind.needs]
        found.append({**group, "title": name, "description": kind.about, "anyOf": ways})
    return {"anyOf": found}


def _decal() -> Schema:
    """A decal; without a layout it needs its panel and its artwork."""
    size, rest = _group(SizeEntry), _group(DecalEntry)
    return {
        "type": "object",
        "properties": {
            **size["properties"],
            **rest["properties"],
            "cut": {"$ref": "#/$defs/cut"},
            "layout": {"type": "string", "description": "a ready decal; its keys go under the decal's own"},
            "values": {"$ref": "#/$defs/values"},
        },
        "additionalProperties": False,
        "anyOf": [{"required": ["panel", "artwork"]}, {"required": ["layout"]}],
    }


def _shape(name: str, cls: Any) -> Schema:
    """``name: {its keys}``; the keys may be left out where none is needed."""
    own = _group(cls)
    own["properties"] = {**own["properties"], **_group(Placing)["properties"]}
    body = own if "required" in own else {"anyOf": [own, {"type": "null"}]}
    return {
        "type": "object",
        "properties": {name: body},
        "required": [name],
        "additionalProperties": False,
        "description": cls.about,
    }


def _loose(keys: Schema) -> Schema:
    """A variant changes parts of groups and takes entries away, so below its own keys anything may stand."""
    described = {key: {"description": value.get("description", "")} for key, value in keys.items()}
    return {"type": "object", "properties": described, "additionalProperties": False}
