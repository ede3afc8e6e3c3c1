"""The page of a topic of `decalgen keys` as a document, with the drawings that belong to it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.artwork.painted import painted
from decalgen.colour.palette import PALETTE
from decalgen.core.document import Document, Fill, Painted
from decalgen.core.geometry import Bounds, rectangle
from decalgen.job.loader import job_as_written
from decalgen.job.reference import KeySection, KeyTopic
from decalgen.pages.decal_and_panel import bounds_of
from decalgen.pages.keys_page import KeyDrawing, keys_document
from decalgen.shapes.registry import load

if TYPE_CHECKING:
    from decalgen.artwork.build import Artwork

DRAWN = ("of `lettering`", "of `outline`", "inside `cut` of a decal")
"""Where a group stands whose example, drawn, shows what it does."""
_DOOR = "job: example\nbody: white\nfilm: white\npanels:\n  door:\n    width: 22.40 mm\n    height: 11.60 mm\n"


def picture_of(topic: KeyTopic, output: Path) -> Document:
    """The page: a document of A4 pages for a PDF, else one picture."""
    found = {number: drawing for number, one in enumerate(topic.sections) if (drawing := _drawing(one))}
    return keys_document(topic, found, one_page=output.suffix.lower() != ".pdf")


def _drawing(section: KeySection) -> KeyDrawing | None:
    """A shape by its own example; a group of a lettering, a hole or a cut line by the section's; else nothing."""
    if section.where == "in the list `artwork` of a decal":
        cls = load()[section.name]
        one = cls(**cls.example)
        fills = tuple(painted(one.draw(one.extent(cls.example_box)), PALETTE.__getitem__))
        return KeyDrawing(fills, bounds_of(fills))
    if not section.where.endswith(DRAWN):
        return None
    from decalgen.artwork.drawn import artworks

    job = job_as_written(f"{_DOOR}{section.example}\n", Path("example.yaml"))
    return _of_decal(artworks(job)[0])


def _of_decal(artwork: Artwork) -> KeyDrawing:
    """A decal's inks on its film."""
    x0, y0, x1, y1 = artwork.cut_polygon.bounds
    edge = 0.15
    bounds: Bounds = (x0 - edge, y0 - edge, x1 + edge, y1 + edge)
    film: tuple[Painted, ...] = (Fill(rectangle(*bounds), "#8a9299"), Fill(artwork.cut_polygon, "#ffffff"))
    return KeyDrawing((*film, *painted(artwork.shown, artwork.colour)), bounds)
