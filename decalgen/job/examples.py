"""Values as they might stand in a file, for the fix of a mistake."""

from __future__ import annotations

from typing import Any

from decalgen.core import keys
from decalgen.core.lengths import ExpressionError, length

OR_NAMED = ", or name it under 'values:'"
"""The end of a fix in a file; who types one answer has no such place."""
UNDER = "write key: value lines under it"


def under(cls: type[Any]) -> str:
    """What to write where a group of these keys should stand: with the first key that it must have, or may."""
    specs = keys.specs(cls)  # type: ignore[arg-type]
    if not specs:
        return UNDER
    first = next((spec for spec in specs if spec.required), specs[0])
    value = first.kind.example if isinstance(first.kind.example, str) else example(first.kind)
    return f"{UNDER}, such as {first.key}: {value}"


def shown(text: str) -> str:
    """A text short enough for a message."""
    line = text.replace("\n", " ")
    return line if len(line) <= 60 else line[:57] + "..."


def wanted(kind: keys.Key) -> str:
    """What should stand there, for a key that is missing: an example, or what the key is about."""
    if isinstance(kind, keys.Text | keys.Lines | keys.FaceName | keys.Elements) and kind.about:
        return f"... ({kind.about})"
    return example(kind)


def bound(value: float, bounds: tuple[float, float], unit: str) -> str:
    """The bound that a value lies beyond, in words."""
    least, most = bounds
    return f"at least {least:.15g}{unit}" if value < least else f"at most {most:.15g}{unit}"


def taken_fix(fix: str, kind: keys.Key) -> str:
    """A fix as it is, unless it is to write a length that this key does not take either: then which it takes."""
    if not isinstance(kind, keys.Length | keys.Size | keys.Measure) or not fix.startswith("write "):
        return fix
    try:
        value = length(fix.removeprefix("write ")).value
    except ExpressionError:
        return fix
    if kind.bounds[0] <= value <= kind.bounds[1]:
        return fix
    return f"give it a unit, and {bound(value, kind.bounds, ' mm')}"


def example(kind: keys.Key) -> str:
    """A value as it might stand in a file."""
    if isinstance(kind, keys.Choice):
        return kind.options[0]
    if isinstance(kind, keys.Two):
        return f"[{example(kind.of)}, {example(kind.of)}]"
    if isinstance(kind, keys.Many):
        return f"[{', '.join([example(kind.of)] * max(1, min(kind.least, 4)))}]"
    return _EXAMPLES.get(type(kind), "a value")


_EXAMPLES: dict[type[keys.Key], str] = {
    keys.Length: "2.5 mm",
    keys.Size: "2.5 mm",
    keys.Measure: "12.40 mm ± 0.05",
    keys.Readings: "12.40 mm ± 0.05",
    keys.Taken: "12.40 mm ± 0.05",
    keys.Number: "1.5",
    keys.Count: "2",
    keys.Angle: "45°",
    keys.Text: "a text",
    keys.Lines: "a text",
    keys.Flag: "yes",
    keys.InkName: "white",
    keys.FaceName: "the name of a face",
    keys.ColourText: '"#1d2b4a"',
    keys.DrawingFile: "crest.svg",
    keys.PictureFile: "emblem.png",
    keys.InkTable: '{"#1d2b4a": black}',
    keys.Anchored: "centre",
    keys.Block: "{key: value}",
    keys.Elements: "a list of shapes",
}

LETTERINGS: dict[str, dict[str, Any]] = {
    "match": {"text": "H9", "ink": "black"},
    "arc": {
        "text": "STORES",
        "ink": "black",
        "cap height": "1.6 mm",
        "at": {"anchor": "centre", "offset": ["0 mm", "-5 mm"]},
    },
    "along": {"text": "STORES", "ink": "black", "cap height": "1.6 mm"},
    "outline": {"text": "STORES", "ink": "black", "cap height": "2.4 mm", "tracking": "0.6 mm"},
    "inline": {"text": "H9", "ink": "black", "cap height": "6 mm", "axes": "wght 800"},
    "shadow": {"text": "STORES", "ink": "black", "cap height": "2.4 mm", "tracking": "0.4 mm"},
}
"""The lettering round each of its groups, such that what comes out can be printed."""
