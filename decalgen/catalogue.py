"""What there is to choose from: shapes, layouts, faces; as text and as one picture each."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from decalgen import look
from decalgen.build import Result, save

if TYPE_CHECKING:
    from decalgen.fields import Spec
    from decalgen.picture import Document

COLOURS = {
    "navy": "#1d2b4a",
    "signal orange": "#e8641b",
    "white": "#ffffff",
    "yellow": "#f2c230",
    "red": "#c0272d",
    "green": "#2f6b3c",
    "black": "#1a1a1a",
}
"""The inks that the shapes' own examples name."""


def shapes(name: str | None, output: Path | None) -> Result:
    """Every shape with its first line, or one with all that can be said of it. Raises DecalgenError."""
    from decalgen.fields import specs
    from decalgen.shapes.registry import find, load

    known = load()
    lines: list[str] = []
    if name is None:
        wide = max(len(key) for key in known)
        lines = [f"{key:<{wide}}  {cls.about}" for key, cls in known.items()]
    else:
        cls = find(name)
        lines = [f"{cls.name}: {cls.about}", ""]
        lines += [_spec_line(spec) for spec in specs(cls)]
        lines += ["at  where it lies: an anchor (centre, top left …), `bottom + 0.5 mm`, or {anchor, offset}"]
    files = save(_shape_picture(), output) if output else ()
    return Result(files, lines=tuple(lines))


def _spec_line(spec: Spec) -> str:
    kind = type(spec.mark).__name__.lower()
    state = "needed" if spec.required else f"default {spec.default}" if spec.default is not None else "optional"
    return f"{spec.key}  {spec.mark.about} ({kind}, {state})"


def _shape_picture() -> Document:
    from decalgen.drawings import bounds_of, contact_sheet
    from decalgen.picture import Fill
    from decalgen.shapes.registry import load

    cells = []
    for name, cls in load().items():
        one = cls(**cls.example)
        inked = one.draw(one.extent(cls.example_box))
        fills = [Fill(i.region, COLOURS.get(i.ink, look.TEXT), i.ink) for i in inked]
        cells.append((name, cls.about, fills, bounds_of(fills)))
    return contact_sheet(cells, "Shapes", columns=4)


def layouts(output: Path | None) -> Result:
    """Every ready layout with its line and its values."""
    from decalgen.job.loader import layouts as known

    lines = []
    for layout in known():
        values = ", ".join(layout.values)
        lines.append(f"{layout.name}  {layout.about}" + (f" (values: {values})" if values else ""))
    files = save(_layout_picture(), output) if output else ()
    return Result(files, lines=tuple(lines))


def _layout_picture() -> Document:
    from decalgen.artwork import artworks
    from decalgen.drawings import artwork_cell, contact_sheet
    from decalgen.job.loader import layouts as known

    cells = []
    for layout in known():
        job = layout.sample()
        artwork = artworks(job)[0]
        size = f"{layout.about}. Here {artwork.width:.1f} × {artwork.height:.1f} mm"
        cells.append(artwork_cell(artwork, layout.name, size, job.paint(job.body).colour))
    return contact_sheet(cells, "Layouts", columns=3, cell=(64.0, 54.0))


def fonts(output: Path | None, text: str) -> Result:
    """Every face with what it suits. Raises DecalgenError for words that cannot be set."""
    from decalgen.lettering.faces import faces

    found = faces()
    wide = max(len(face.name) for face in found)
    lines = [f"{face.name:<{wide}}  {face.category}: {face.suits}" for face in found]
    files = save(_specimen(text), output) if output else ()
    return Result(files, lines=tuple(lines))


def _specimen(text: str) -> Document:
    from decalgen.geometry import multiply, region, transform, translation
    from decalgen.lettering.faces import faces
    from decalgen.lettering.outlines import typeset
    from decalgen.paperwork import Sheaf
    from decalgen.picture import Document, Fill

    found = faces()
    sheaf = Sheaf(210.0, 24.0 + 17.0 * len(found))
    y = sheaf.height - 14.0
    sheaf.text(12.0, y, "Faces for lettering", look.TYPE_TITLE, bold=True)
    for face in found:
        y -= 17.0
        line = typeset(text, face=face.name, cap_height=6.0)
        scale = min(1.0, 186.0 / max(line.width, 1e-6))
        place = multiply(translation(12.0, y + 5.0), (scale, 0.0, 0.0, scale, 0.0, 0.0))
        sheaf.items.append(Fill(region(transform(line.region, place)), look.TEXT))
        sheaf.text(12.0, y, f"{face.name}: {face.suits}", look.TYPE_SMALL, colour=look.QUIET)
    return Document((sheaf.page(),), title="Faces for lettering")
