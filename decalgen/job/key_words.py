"""Values, defaults and kinds of key in the words of a file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from decalgen.core import keys
from decalgen.job.written import YamlValue, in_brackets, key_text, scalar
from decalgen.shapes.base import At, Element

REQUIRED = "required"
OPTIONAL = "optional"
WITHOUT = "; if left out, "
"""What stands in a mark's line between the meaning of a key and what holds without it."""
INKS = ("black", "white")
"""The two inks that are there without being declared."""
_KINDS: dict[type[keys.Key], tuple[str, str]] = {
    keys.Length: ("a length", "lengths"),
    keys.Size: ("a length", "lengths"),
    keys.Measure: ("a length", "lengths"),
    keys.Taken: ("a reading, or a list of them", "readings"),
    keys.Readings: ("a reading, or a list of them", "readings"),
    keys.Number: ("a number", "numbers"),
    keys.Count: ("a whole number", "whole numbers"),
    keys.Angle: ("an angle", "angles"),
    keys.Text: ("a text", "texts"),
    keys.Lines: ("a text, or a list of texts", "texts"),
    keys.Flag: ("yes or no", "yes or no"),
    keys.InkName: ("an ink", "inks"),
    keys.FaceName: ("a face", "faces"),
    keys.ColourText: ("a colour", "colours"),
    keys.DrawingFile: ("the name of a file", "names of files"),
    keys.PictureFile: ("the name of a file", "names of files"),
    keys.InkTable: ("colours, each with an ink", "tables of inks"),
    keys.Anchored: ("an anchor, an anchor and a step, or two lengths", "places"),
    keys.Block: ("keys of its own", "groups of keys"),
    keys.Elements: ("a list of shapes", "lists of shapes"),
}
"""What may be written for one, and what several are called."""


def takes(kind: keys.Key) -> str:
    """What may be written after a key."""
    if isinstance(kind, keys.Choice):
        return _either(kind.options)
    if isinstance(kind, keys.Two):
        return f"two {_several(kind.of)}"
    if isinstance(kind, keys.Many):
        if kind.least == kind.most:
            return f"{kind.most} {_several(kind.of)}"
        if isinstance(kind.of, keys.Choice):
            return f"{_several(kind.of)}; or a list of them"
        return f"a list of {_several(kind.of)}"
    if isinstance(kind, keys.Named):
        ways = _ways(kind.of) or "keys of its own"
        return f"a group of names, each with {ways}"
    if isinstance(kind, keys.Part):
        ways = _ways((*kind.of, *([keys.Block()] if kind.topic or not kind.of else [])))
        return f"a list, each with {ways}" if kind.many else ways
    return _KINDS[type(kind)][0]


def _ways(kinds: tuple[keys.Key, ...]) -> str:
    return _either(tuple(takes(one) for one in kinds))


def _either(words: tuple[str, ...]) -> str:
    return " or ".join((", ".join(words[:-1]), words[-1])) if len(words) > 1 else "".join(words)


def _several(kind: keys.Key) -> str:
    if isinstance(kind, keys.Two):
        return f"pairs of {_several(kind.of)}"
    if isinstance(kind, keys.Choice):
        return _either(kind.options)
    return _KINDS[type(kind)][1]


def unit(kind: keys.Key) -> str:
    """The unit that is meant: 'mm', '°', or '' for a value without."""
    if isinstance(kind, keys.Many | keys.Two):
        return unit(kind.of)
    if isinstance(kind, keys.Angle) or (isinstance(kind, keys.Readings) and kind.angle):
        return "°"
    return "mm" if isinstance(kind, keys.Length | keys.Size | keys.Measure) else ""


def meaning(kind: keys.Key) -> str:
    """What a key means, without what holds when it is left out."""
    return kind.about.split(WITHOUT)[0]


def default(spec: keys.Spec) -> str:
    """What holds where the key is left out, in the words of a file; or 'required', or 'optional'."""
    if spec.required:
        return REQUIRED
    _, without, words = spec.kind.about.partition(WITHOUT)
    if without:
        return words
    if spec.default is None or spec.default == () or spec.default == "":
        return OPTIONAL
    return in_brackets(as_written(spec.kind, spec.default))


def as_written(kind: keys.Key, value: Any) -> YamlValue:
    """A value that a reader gave, as a file writes it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:g}{ {'mm': ' mm', '°': '°'}.get(unit(kind), '') }"
    if isinstance(value, At):
        return _place(value)
    if isinstance(kind, keys.Elements):
        return [_element(one) for one in value]
    if isinstance(kind, keys.DrawingFile | keys.PictureFile):
        return str(value.name)
    if isinstance(kind, keys.InkTable):
        return {colour: as_written(keys.InkName(), ink) for colour, ink in value}
    if isinstance(kind, keys.Lines) and len(value) == 1:
        return str(value[0])
    if isinstance(kind, keys.Many) and all(isinstance(one, str) for one in value):
        strange = isinstance(kind.of, keys.InkName) and not set(value) <= set(INKS)
        return [INKS[i % 2] if strange else one for i, one in enumerate(value)]
    if isinstance(value, tuple):
        of = kind.of if isinstance(kind, keys.Many | keys.Two) else keys.Text()
        return [as_written(of, one) for one in value]
    if isinstance(kind, keys.InkName):
        return value if value in INKS else INKS[0]
    return group(value) if isinstance(kind, keys.Block) else str(value)


def group(value: Any, given: Mapping[str, object] | None = None) -> dict[str, YamlValue]:
    """An instance of a class with marks as a group of keys; what is as it would be without is left out. ``given``
    takes the place of an instance's values."""
    cls: Any = value if isinstance(value, type) else type(value)
    values = {spec.name: getattr(value, spec.name) for spec in keys.specs(cls)} if given is None else dict(given)
    return {
        spec.key: as_written(spec.kind, values[spec.name])
        for spec in keys.specs(cls)
        if spec.name in values and (spec.required or values[spec.name] != spec.default)
    }


def in_lines(group: Mapping[str, YamlValue], indent: int = 0) -> list[str]:
    """A group of keys line by line as a beginner writes it: no brackets but round a short list of texts."""
    lead = " " * indent
    found: list[str] = []
    for key, value in group.items():
        head = f"{lead}{key_text(key)}:"
        if isinstance(value, Mapping):
            found += [head, *in_lines(value, indent + 2)]
        elif isinstance(value, str) or all(isinstance(one, str) for one in value):
            found.append(f"{head} {in_brackets(value) if not isinstance(value, str) else scalar(value)}")
        else:
            found.append(head)
            for one in value:
                rows = in_lines(one, indent + 4) if isinstance(one, Mapping) else [f"{lead}    {in_brackets(one)}"]
                found += [f"{lead}  - {rows[0].lstrip()}", *rows[1:]]
    return found


def _place(at: At) -> YamlValue:
    if not (at.dx or at.dy):
        return at.anchor
    return {"anchor": at.anchor, "offset": [f"{at.dx:g} mm", f"{at.dy:g} mm"]}


def _element(one: Element) -> YamlValue:
    own = group(one.shape)
    if one.at != At():
        own["at"] = _place(one.at)
    if one.never_mirror:
        own["never mirror"] = "yes"
    return {one.shape.name: own}
