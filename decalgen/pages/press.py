"""A sheet → a print shop's file: white, artwork, cut lines and marks, each in a layer of its own; its bytes."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.artwork.cutting_lines import cutting_lines
from decalgen.colour.icc import CmykProfile, shipped
from decalgen.colour.value import Colour
from decalgen.core.document import Document, Item, Layer, Line, Page, Symbol, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import IDENTITY
from decalgen.export.press import render
from decalgen.job.model import Job
from decalgen.pages.plates import PlateRun
from decalgen.sheet.arrange import Arrangement, Sheet

CUT_WIDTH = 0.1
CUT_COLOUR = "#ff00ff"
"""For viewers; in the file it is the spot 'Cutting'."""
BLEED_COLOUR = "#00a000"


def press_document(arrangement: Arrangement, jobs: Sequence[Job], title: str, date: str | None) -> Document:
    """One page a sheet in true millimetres. White is there where the printer has it, under what needs it."""
    run = PlateRun(arrangement, jobs)
    cuts: dict[tuple[str, str], Symbol] = {}
    pages = tuple(_page(run, sheet, cuts) for sheet in arrangement.sheets)
    return Document(
        pages,
        title=title,
        subject="decals at true scale, for a print shop",
        keywords=(f"arrangement {arrangement.digest[:16]}",),
        date=date,
    )


def _page(run: PlateRun, sheet: Sheet, cuts: dict[tuple[str, str], Symbol]) -> Page:
    lines: list[Item] = []
    for placed in sheet.placed:
        art = placed.piece.artwork
        key = (art.job, art.digest)
        if key not in cuts:
            paths = tuple(cutting_lines(art, IDENTITY, CUT_WIDTH, CUT_COLOUR))
            cuts[key] = Symbol(f"cut-{len(cuts) + 1}", paths)
        lines.append(Use(cuts[key], placed.matrix))
    white = run.uses(sheet, None)
    # Where the bleed ends, for who checks the file: in a layer that is off.
    bleeds = tuple(
        Line(tuple(ring.coords)[:-1], CUT_WIDTH, BLEED_COLOUR, closed=True)
        for placed in sheet.placed
        if placed.piece.artwork.bleed > 0
        for ring in (placed.outer.exterior, *placed.outer.interiors)
    )
    area = sheet.area.bounds
    layers = (
        *((Layer("White", white, "white"),) if white else ()),
        Layer("Artwork", run.artwork(sheet), "artwork"),
        *((Layer("Bleed", bleeds, "bleed"),) if bleeds else ()),
        Layer("Marks", (*sheet.furniture.items, *sheet.ticks, *sheet.labels), "marks"),
        Layer("Cutting", tuple(lines), "cutting"),
    )
    return Page(sheet.film.width, sheet.film.height, layers, trim=area, bleed=area)


def press_file(arrangement: Arrangement, jobs: Sequence[Job], title: str, date: str | None) -> tuple[bytes, str]:
    """The PDF, and the name of its printing condition: the printer's own profile, else the one that comes with the
    program. Raises DecalgenError, as without a date in the jobs."""
    printer = arrangement.sheets[0].printer
    profile = printer.swatches.profile if printer.swatches else None
    if profile is None:
        profile = shipped()
    if not isinstance(profile, CmykProfile):
        raise DecalgenError("this profile cannot go into a press file", fix="name the .icc file in the printer file")
    chosen = profile

    def convert(colour: str) -> tuple[float, float, float, float]:
        c, m, y, k = chosen.cmyk(Colour.from_hex(colour))
        return c / 100, m / 100, y / 100, k / 100

    document = press_document(arrangement, jobs, title, date)
    return render(document, convert=convert, profile=chosen.data, condition=chosen.name), chosen.name
