"""What there is to choose from: shapes and layouts; as text and as one picture each."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.rendering import save

if TYPE_CHECKING:
    from decalgen.core.document import Document


def shapes(name: str | None, output: Path | None) -> Result:
    """Every shape with its first line and a picture of them all; or the page of one, or of a part of one, such as arc.
    Raises DecalgenError."""
    from decalgen.job.reference import reference, topics
    from decalgen.shapes.registry import find, load

    if name is None:
        known = load()
        wide = max(len(key) for key in known)
        done = f"listed {len(known)} shapes"
        lines = [f"{key:<{wide}}  {cls.about}" for key, cls in known.items()]
        files = save(shape_picture(), output) if output else ()
        example = "decalgen new my-model.yaml" if files else "decalgen shapes -o shapes.png"
        drawn = (FileGroup("picture of them all", files),)
        return Result(files, lines=tuple(lines), answer=Answer(done, example, drawn))
    from decalgen.commands.keys import explain_keys

    words = " ".join(name.replace("_", " ").split()).casefold()
    around = reference(words).sections[0].where if words in dict(topics()) else ""
    part = any(around.endswith(f" of `{shape}`") for shape in load())
    return explain_keys(words if part else find(name).name, output)


def shape_picture() -> Document:
    """Every shape by its own example."""
    from decalgen.artwork.painted import painted
    from decalgen.colour.palette import PALETTE
    from decalgen.pages.decal_and_panel import bounds_of, contact_sheet
    from decalgen.shapes.registry import load

    cells = []
    for name, cls in load().items():
        one = cls(**cls.example)
        fills = painted(one.draw(one.extent(cls.example_box)), PALETTE.__getitem__)
        cells.append((name, cls.about, fills, bounds_of(fills)))
    return contact_sheet(cells, "Shapes")


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


def layout_picture(part: int = 0, parts: int = 1) -> Document:
    """Every ready layout by its sample, or those of one of several parts, the first 0."""
    from decalgen.artwork.drawn import artworks
    from decalgen.job.layouts import layouts as known
    from decalgen.job.samples import sample
    from decalgen.pages.decal_and_panel import artwork_cell, contact_sheet

    cells, every = [], known()
    each = -(-len(every) // parts)
    for layout in every[part * each : (part + 1) * each]:
        job = sample(layout)
        artwork = artworks(job)[0]
        size = f"{layout.about}. Here {artwork.width:.1f} × {artwork.height:.1f} mm"
        cells.append(artwork_cell(artwork, layout.name, size, job.paint(job.body).colour))
    return contact_sheet(cells, "Layouts", high=22.0, columns=3)
