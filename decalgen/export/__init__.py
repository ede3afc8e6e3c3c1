"""From a `picture.Document` to the bytes of a file: a registry by file ending.

Each format stands in a module of its own and imports its heavy library when it is first used. All of them
refuse, with a DecalgenError, points that are no numbers, pages without size, colours not written '#rrggbb'
and lines without width; a fill without area is left out. Nothing here touches a file.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Collection
from dataclasses import replace

from decalgen.core.document import Document
from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.core.values import dataclass
from decalgen.export import dxf, png, svg

__all__ = ["EXPORTERS", "Exporter", "exporter", "only", "render"]


@dataclass(frozen=True, slots=True)
class Exporter:
    """A format: its ending with the dot, a line about it, whether it gives a file a page, what makes it."""

    ending: str
    about: str
    file_a_page: bool
    make: Callable[..., list[bytes]]

    @property
    def options(self) -> tuple[str, ...]:
        """What `render` may be told beside the document."""
        return tuple(inspect.signature(self.make).parameters)[1:]


def _registry(*exporters: Exporter) -> dict[str, Exporter]:
    found: dict[str, Exporter] = {}
    for one in exporters:
        if one.ending in found or one.ending != one.ending.lower() or not one.ending.startswith("."):
            raise ValueError(f"the ending {one.ending!r} is taken or not written as '.abc'")
        found[one.ending] = one
    return found


def _pdf(document: Document, *, turned: bool = False) -> list[bytes]:
    """As `pdf.render`, whose objects are reportlab's."""
    from decalgen.export import pdf

    return pdf.render(document, turned=turned)


EXPORTERS = _registry(
    Exporter(".pdf", "print file: vectors at true scale, one file with all pages", False, _pdf),
    Exporter(".svg", "drawing for screens and cutting programs, in millimetres, one file a page", True, svg.render),
    Exporter(".png", "picture of dots that knows its resolution, one file a page", True, png.render),
    Exporter(".dxf", "cutting file: outlines in millimetres with true arcs, one file a page", True, dxf.render),
)


def exporter(path_or_ending: str) -> Exporter:
    """The exporter for a file name or an ending, in either case. Raises DecalgenError for an unknown one."""
    name = path_or_ending.replace("\\", "/").rsplit("/", 1)[-1]
    ending = "." + name.rsplit(".", 1)[1].lower() if "." in name else ""
    if ending in EXPORTERS:
        return EXPORTERS[ending]
    known = ", ".join(EXPORTERS)
    if not ending:
        raise DecalgenError(
            f"'{path_or_ending}' has no ending that says what to write", fix=f"end it in one of: {known}"
        )
    near = did_you_mean(ending, tuple(EXPORTERS))
    fix = f"end it in one of: {known}" if near.startswith("use one of") else f"{near} (known: {known})"
    raise DecalgenError(f"nothing is written as '{ending}' files", fix=fix)


def render(document: Document, ending: str, **options: object) -> list[bytes]:
    """The document as files: one for all pages (PDF), or one a page (SVG, PNG, DXF).

    Options: ``dpi`` for PNG, ``turned`` for PDF. Raises DecalgenError for an unknown ending or option and what cannot
    be drawn.
    """
    chosen = exporter(ending)
    for option in options:
        if option not in chosen.options:
            fix = did_you_mean(option, chosen.options) if chosen.options else "leave it out"
            raise DecalgenError(f"{chosen.ending} files have no setting '{option}'", fix=fix)
    return chosen.make(document, **options)


def only(document: Document, purposes: Collection[str]) -> Document:
    """The document with only the layers of these purposes, for example the cutting lines alone."""
    pages = tuple(
        replace(page, layers=tuple(layer for layer in page.layers if layer.purpose in purposes))
        for page in document.pages
    )
    return replace(document, pages=pages)
