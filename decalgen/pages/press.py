"""A sheet → a print shop's file: white, artwork, cut lines and marks, each in a layer of its own; its bytes."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import LineString

from decalgen.artwork.cutting_lines import cutting_lines
from decalgen.colour.icc import CmykProfile, shipped
from decalgen.colour.value import Colour
from decalgen.core import style
from decalgen.core.document import Document, Fill, Item, Layer, Line, Page, Symbol, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import IDENTITY, TOLERANCE, Bounds, union
from decalgen.core.lengths.units import POINT_MM
from decalgen.export.press import render
from decalgen.job.model import Film, Job
from decalgen.pages.plates import PlateRun
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.film_area import used_parts

CUT_WIDTH = 0.1
CUT_COLOUR = "#ff00ff"
"""For viewers; in the file it is the spot 'Cutting'."""
BLEED_COLOUR = "#00a000"
CROP_WIDTH = 0.25 * POINT_MM
CROP_GAP = 0.5
"""Between the bleed and a crop mark, mm."""
LEAST_CROP_MARK = 2.0
"""No shorter one is drawn, mm."""


def press_document(arrangement: Arrangement, jobs: Sequence[Job], title: str, date: str | None) -> Document:
    """One page a sheet in true millimetres. White is there where the printer has it, under what needs it."""
    run = PlateRun(arrangement, jobs, alike=False)
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
    marks: tuple[Item, ...] = sheet.in_waste
    trim, bleed = press_boxes(sheet, marks)
    crop = crop_marks(sheet.film, trim, bleed)
    layers = (
        *((Layer("White", white, "white"),) if white else ()),
        Layer("Artwork", run.artwork(sheet), "artwork"),
        *((Layer("Bleed", bleeds, "bleed"),) if bleeds else ()),
        Layer("Marks", marks, "marks"),
        Layer("Crop marks", crop, "marks"),
        Layer("Cutting", tuple(lines), "cutting"),
    )
    return Page(sheet.film.width, sheet.film.height, layers, trim=trim, bleed=bleed)


def press_boxes(sheet: Sheet, marks: Sequence[Item]) -> tuple[Bounds, Bounds]:
    """What becomes TrimBox and BleedBox, mm: round all that belongs to the sheet, and as far beyond as its bleed.

    The sheet's own marks are part of it: a cutter aligns by the crosses, so that nobody may trim them off. Both end
    with the film.
    """
    # Cut lines are lines: half their width lies beyond, and a round one reaches a little beyond its flattened outline.
    over = CUT_WIDTH / 2 + TOLERANCE
    boxes = [*(_beyond(placed.cut.bounds, over) for placed in sheet.placed), *map(_bounds, marks)]
    x0, y0, x1, y1 = _round(boxes)
    reach = max((placed.piece.artwork.bleed for placed in sheet.placed), default=0.0)
    outers = [placed.outer.bounds for placed in sheet.placed]
    bleed = _round([_beyond((x0, y0, x1, y1), reach), *(_beyond(one, over) for one in outers)])
    return _on(sheet.film, (x0, y0, x1, y1)), _on(sheet.film, bleed)


def _beyond(box: Bounds, reach: float) -> Bounds:
    x0, y0, x1, y1 = box
    return x0 - reach, y0 - reach, x1 + reach, y1 + reach


def crop_marks(film: Film, trim: Bounds, bleed: Bounds) -> tuple[Line, ...]:
    """A print shop's marks: in line with the sides of the trim, beyond the bleed, so that none is left on the sheet.

    As long as `style.CROP_MARK` where the film is large enough, none where it leaves less than `LEAST_CROP_MARK`, none
    on what is gone of the film.
    """
    lines: list[Line] = []
    for x, outward in ((bleed[0] - CROP_GAP, -1.0), (bleed[2] + CROP_GAP, 1.0)):
        length = min(style.CROP_MARK, (x if outward < 0 else film.width - x) - CROP_WIDTH)
        if length >= LEAST_CROP_MARK:
            lines += [Line(((x, y), (x + outward * length, y)), CROP_WIDTH, style.TEXT) for y in (trim[1], trim[3])]
    for y, outward in ((bleed[1] - CROP_GAP, -1.0), (bleed[3] + CROP_GAP, 1.0)):
        length = min(style.CROP_MARK, (y if outward < 0 else film.height - y) - CROP_WIDTH)
        if length >= LEAST_CROP_MARK:
            lines += [Line(((x, y), (x, y + outward * length)), CROP_WIDTH, style.TEXT) for x in (trim[0], trim[2])]
    gone = union(used_parts(film))
    return tuple(line for line in lines if not LineString(line.points).intersects(gone))


def _bounds(item: Item) -> Bounds:
    """The box round what an item paints, its line's width in it."""
    if isinstance(item, Fill):
        x0, y0, x1, y1 = item.region.bounds
        return x0, y0, x1, y1
    assert isinstance(item, Line)  # The furniture of a sheet has no other kind.
    xs, ys, half = [x for x, _ in item.points], [y for _, y in item.points], item.width / 2
    return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half


def _round(boxes: Sequence[Bounds]) -> Bounds:
    x0s, y0s, x1s, y1s = zip(*boxes, strict=True)
    return min(x0s), min(y0s), max(x1s), max(y1s)


def _on(film: Film, box: Bounds) -> Bounds:
    return max(box[0], 0.0), max(box[1], 0.0), min(box[2], film.width), min(box[3], film.height)


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
    return (
        render(
            document,
            convert=convert,
            profile=chosen.data,
            condition=chosen.name,
            convert_pixels=lambda pixels: chosen.cmyk_pixels(pixels.rgb, (pixels.width, pixels.height)),
        ),
        chosen.name,
    )
