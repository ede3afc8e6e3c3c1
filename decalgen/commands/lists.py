"""What there is to choose from: shapes and layouts; as text and as one picture each."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.rendering import save

if TYPE_CHECKING:
    from decalgen.core.document import Document
    from decalgen.core.keys import Key, Spec

KINDS = {
    "Length": "length",
    "Size": "length",
    "Measure": "measured length",
    "Readings": "measured length",
    "Taken": "measured length",
    "Number": "number",
    "Count": "whole number",
    "Angle": "degrees",
    "Text": "text",
    "Lines": "text",
    "Flag": "yes or no",
    "InkName": "ink",
    "FaceName": "face",
    "ColourText": "colour",
    "Anchored": "place",
    "Block": "group of keys",
    "Elements": "list of shapes",
}
"""What a kind of key takes."""
UNITS = {"Length": " mm", "Size": " mm", "Angle": " degrees"}


def shapes(name: str | None, output: Path | None) -> Result:
    """Every shape with its first line, or one with all that can be said of it. Raises DecalgenError."""
    from decalgen.core.keys import specs
    from decalgen.shapes.registry import find, load

    known = load()
    lines: list[str] = []
    if name is None:
        wide = max(len(key) for key in known)
        done = f"listed {len(known)} shapes"
        lines = [f"{key:<{wide}}  {cls.about}" for key, cls in known.items()]
    else:
        cls = find(name)
        done = f"explained the shape '{cls.name}'"
        lines = [f"{cls.name}: {cls.about}", ""]
        lines += [_spec_line(spec) for spec in specs(cls)]
        lines += ["at  where it goes: an anchor (centre, top left …), `bottom + 0.5 mm`, or {anchor, offset}"]
    files = save(shape_picture(), output) if output else ()
    example = "decalgen new my-model.yaml" if files or name else "decalgen shapes -o shapes.png"
    return Result(files, lines=tuple(lines), answer=Answer(done, example, (FileGroup("picture of them all", files),)))


def _spec_line(spec: Spec) -> str:
    given = "" if spec.default in (None, ()) else _value(spec.default, UNITS.get(type(spec.kind).__name__, ""))
    state = "required" if spec.required else f"default {given}" if given else "optional"
    return f"{spec.key}  {spec.kind.about} ({_kind(spec.kind)}; {state})"


def _kind(kind: Key) -> str:
    """What may be written for a key, in a user's words."""
    from decalgen.core import keys

    if isinstance(kind, keys.Choice):
        return " or ".join(kind.options)
    if isinstance(kind, keys.Many):
        return f"one or more: {_kind(kind.of)}"
    if isinstance(kind, keys.Two):
        return f"two: {_kind(kind.of)}"
    return KINDS[type(kind).__name__]


def _value(value: object, unit: str = "") -> str:
    """A default as one would write it in a job file."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}{unit}"
    if isinstance(value, tuple):
        return f"[{', '.join(_value(one, unit) for one in value)}]"
    return str(value)


def shape_picture() -> Document:
    """Every shape by its own example."""
    from decalgen.colour.palette import PALETTE
    from decalgen.core.document import Fill
    from decalgen.pages.decal_and_panel import bounds_of, contact_sheet
    from decalgen.shapes.registry import load

    cells = []
    for name, cls in load().items():
        one = cls(**cls.example)
        inked = one.draw(one.extent(cls.example_box))
        fills = [Fill(i.region, PALETTE[i.ink], i.ink) for i in inked]
        cells.append((name, cls.about, fills, bounds_of(fills)))
    return contact_sheet(cells, "Shapes", columns=4)


def layouts(output: Path | None) -> Result:
    """Every ready layout with its line and its values."""
    from decalgen.job.layouts import layouts as known

    lines = []
    for layout in known():
        values = ", ".join(layout.values)
        lines.append(f"{layout.name}  {layout.about}" + (f" (values: {values})" if values else ""))
    files = save(layout_picture(), output) if output else ()
    example = "decalgen new my-model.yaml" if files else "decalgen layouts -o layouts.png"
    answer = Answer(f"listed {len(lines)} layouts", example, (FileGroup("picture of them all", files),))
    return Result(files, lines=tuple(lines), answer=answer)


def layout_picture() -> Document:
    """Every ready layout by its sample."""
    from decalgen.artwork.drawn import artworks
    from decalgen.job.layouts import layouts as known
    from decalgen.job.samples import sample
    from decalgen.pages.decal_and_panel import artwork_cell, contact_sheet

    cells = []
    for layout in known():
        job = sample(layout)
        artwork = artworks(job)[0]
        size = f"{layout.about}. Here {artwork.width:.1f} × {artwork.height:.1f} mm"
        cells.append(artwork_cell(artwork, layout.name, size, job.paint(job.body).colour))
    return contact_sheet(cells, "Layouts", columns=3, cell=(64.0, 54.0))
