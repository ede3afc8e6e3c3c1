"""Values as they might stand in a file, for the fix of a mistake."""

from __future__ import annotations

from decalgen.core import keys as mark


def shown(text: str) -> str:
    """A text short enough for a message."""
    line = text.replace("\n", " ")
    return line if len(line) <= 60 else line[:57] + "..."


def wanted(kind: mark.Mark) -> str:
    """What should stand there, for a key that is missing: an example, or what the key is about."""
    if isinstance(kind, mark.Text | mark.Lines | mark.Face | mark.Elements) and kind.about:
        return f"... ({kind.about})"
    return example(kind)


def example(kind: mark.Mark) -> str:
    """A value as it might stand in a file."""
    if isinstance(kind, mark.Choice):
        return kind.options[0]
    if isinstance(kind, mark.Pair):
        return f"[{example(kind.of)}, {example(kind.of)}]"
    if isinstance(kind, mark.Many):
        return f"[{', '.join([example(kind.of)] * max(1, min(kind.least, 4)))}]"
    return _EXAMPLES.get(type(kind), "a value")


_EXAMPLES: dict[type[mark.Mark], str] = {
    mark.Length: "2.5 mm",
    mark.Size: "2.5 mm",
    mark.Measure: "12.40 mm ± 0.05",
    mark.Readings: "12.40 mm ± 0.05",
    mark.Number: "1.5",
    mark.Count: "2",
    mark.Angle: "45°",
    mark.Text: "a text",
    mark.Lines: "a text",
    mark.Flag: "yes",
    mark.Ink: "white",
    mark.Face: "the name of a face",
    mark.Colour: '"#1d2b4a"',
    mark.At: "centre",
    mark.Group: "{key: value}",
    mark.Elements: "a list of shapes",
}
