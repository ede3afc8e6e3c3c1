"""What `calibrate swatches --scan` does: the patches and wedges of a swatch sheet read from scans, as typed ones would
be. What is typed as well goes over it, and 'paper' and 'darkest' as typed correct the rest."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import pairwise
from pathlib import Path

from decalgen.colour.difference import delta_e
from decalgen.colour.model import Channels, channels, from_channels
from decalgen.colour.typed import parse
from decalgen.colour.value import Colour, ColourError
from decalgen.commands.swatch_sheets import job_inks, swatch_documents, swatch_setting
from decalgen.core.document import Line, Page
from decalgen.core.geometry import Bounds
from decalgen.core.pixels.values import PictureData
from decalgen.core.values import dataclass
from decalgen.job.colours import printer_colour
from decalgen.pages.swatches import PrintedSwatch, printed_swatches
from decalgen.scan.light import Scan, read_scan
from decalgen.scan.printed.beside import scale_by_dpi
from decalgen.scan.printed.fitted import PageOnScan
from decalgen.scan.printed.marks import FineLine, PageError, PageMarks
from decalgen.scan.printed.patches import OFF, ThinMark, finest_that_holds, patch_light
from decalgen.scan.printed.spans import find_page
from decalgen.sheet.film_area import printable

LEAST_LINE = 1.5
"""Shorter lines of a page do not help to find it, mm."""
CROSS_AT = 1.5
"""From the left side of a mark of a wedge to its level line, or to its upright gap, mm (`colour.swatches`)."""
APART = 20.0
"""Paper and the darkest patch differ by at least so much in L*."""


@dataclass(frozen=True)
class ScannedSwatches:
    """Readings by their names as `calibrate swatches` takes them typed, what is said of them, a line each, and how far
    off their colours may be (CIEDE2000)."""

    readings: Mapping[str, str | float]
    lines: tuple[str, ...]
    off: float


def scanned_swatches(
    pictures: Sequence[PictureData],
    jobs: Sequence[Path],
    printer_file: str | None,
    film: str,
    typed: Mapping[str, str | float],
) -> ScannedSwatches:
    """The readings of the swatch sheet that `calibrate colour` writes for the same jobs, printer and film; what is
    ``typed`` stays. Raises PixelsError, ScaleError, PageError, ColourError, FilmError."""
    printer, sheet = swatch_setting(printer_file, film)
    places = printed_swatches(job_inks(jobs), printer_colour(printer), printer, sheet, printable(sheet, printer))
    pages = swatch_documents(jobs, printer_file, film)[0][1].pages
    found = _pages_in(pictures, pages)
    seen = {
        _name(one): Colour.from_linear(patch_light(found[one.page], one.box, _name(one)))
        for one in places
        if one.page in found and (one.mark is None or one.mark.kind == "patch")
    }
    colours = _corrected(seen, typed)
    off, checked = _checked(colours, typed)
    readings: dict[str, str | float] = {
        name: "lab({:.1f} {:.1f} {:.1f})".format(*one.lab)
        for name, one in colours.items()
        if name not in typed and name != "paper"
    }
    lines = []
    if readings:
        lines.append(
            f"read from the scan: {len(readings)} colours, \N{PLUS-MINUS SIGN} {off:.0f} (CIEDE2000): a scanner does "
            "not see as the eye does; where you type what an instrument reads, that counts"
        )
    lines += checked
    sizes, said = _sizes(found, places)
    readings |= {name: size for name, size in sizes.items() if name not in typed}
    white = ", e, and the patches of white" if printer.white else ""
    lines += [*said, f"left to your eye, to be typed: the capitals, c and d{white}"]
    return ScannedSwatches(readings, tuple(lines), off)


def _name(one: PrintedSwatch) -> str:
    return one.mark.name if one.mark else "paper"


def _pages_in(pictures: Sequence[PictureData], pages: Sequence[Page]) -> dict[int, PageOnScan]:
    """Each page that one of the pictures shows, by its number from 0."""
    found: dict[int, PageOnScan] = {}
    for picture in pictures:
        scan = read_scan(picture)
        number, page = _page_in(scan, pages, found)
        found[number] = page
    return found


def _page_in(scan: Scan, pages: Sequence[Page], before: Mapping[int, PageOnScan]) -> tuple[int, PageOnScan]:
    by_dpi = scale_by_dpi(scan)
    error: PageError | None = None
    for number, page in enumerate(pages):
        if number in before:
            continue
        try:
            return number, find_page(scan, by_dpi, marks_of(page, "the swatch sheet"))
        except PageError as one:
            error = error or one
    if error is None:
        raise PageError(f"'{scan.name}' is a scan more than there are sheets", fix="scan each sheet once")
    raise PageError(
        error.message, fix="see that the job, film and printer are those that the swatches were printed for"
    )


def marks_of(page: Page, called: str) -> PageMarks:
    """A page by its level and upright lines."""
    lines = (item for layer in page.layers for item in layer.items if isinstance(item, Line) and not item.dash)
    return PageMarks(tuple(_fine_lines(lines, called)), (), called)


def _fine_lines(lines: Iterable[Line], called: str) -> Iterable[FineLine]:
    for line in lines:
        points = (*line.points, line.points[0]) if line.closed else line.points
        for (ax, ay), (bx, by) in pairwise(points):
            if max(abs(ax - bx), abs(ay - by)) >= LEAST_LINE and min(abs(ax - bx), abs(ay - by)) < 1e-6:
                yield FineLine((ax, ay), (bx, by), f"a line of {called}")


def _corrected(seen: Mapping[str, Colour], typed: Mapping[str, str | float]) -> dict[str, Colour]:
    """The colours with the paper as white, or as typed, and the darkest patch as typed: each band is stretched."""
    if "paper" not in seen:
        raise ColourError("the sheet with the bare patch, paper, was not scanned", fix="scan it too: --scan once more")
    paper = channels(seen["paper"].xyz)
    white = channels(parse(str(typed["paper"])).xyz) if "paper" in typed else (1.0, 1.0, 1.0)
    dark: Channels = (0.0, 0.0, 0.0)
    black: Channels = (0.0, 0.0, 0.0)
    if "darkest" in seen:
        if seen["paper"].lab[0] - seen["darkest"].lab[0] < APART:
            raise ColourError(
                "the darkest patch is hardly darker than the paper in the scan",
                fix="see that the film lies on white card, face down, and scan it without automatic correction",
            )
        if "darkest" in typed:
            dark, black = channels(seen["darkest"].xyz), channels(parse(str(typed["darkest"])).xyz)

    def by(colour: Colour) -> Colour:
        rows = zip(channels(colour.xyz), dark, paper, black, white, strict=True)
        a, b, c = (min(max(to + (one - low) * (top - to) / (high - low), 0.0), top) for one, low, high, to, top in rows)
        return Colour(from_channels((a, b, c)))

    return {name: by(colour) for name, colour in seen.items()}


def _checked(colours: Mapping[str, Colour], typed: Mapping[str, str | float]) -> tuple[float, list[str]]:
    """How far off the colours may be: as far as those are that were typed too, if that is more than usual."""
    apart = {
        name: delta_e(colour, parse(str(typed[name])))
        for name, colour in colours.items()
        if name in typed and name not in ("paper", "darkest")
    }
    if not apart:
        return OFF, []
    worst = max(apart, key=lambda name: apart[name])
    told = f"of {len(apart)} typed patches the scan is off by {apart[worst]:.1f} at most: '{worst}'"
    return max(OFF, apart[worst]), [told]


def _sizes(found: Mapping[int, PageOnScan], places: Sequence[PrintedSwatch]) -> tuple[dict[str, float], list[str]]:
    """The finest line and the finest gap that hold, and what is said of them."""
    made: dict[str, Callable[[Bounds, float], ThinMark]] = {"line": _line, "gap": _gap}
    sizes: dict[str, float] = {}
    said = []
    for name, mark_of in made.items():
        mine = [one for one in places if one.mark is not None and one.mark.kind == name and one.page in found]
        if not mine:
            continue
        marks = [mark_of(one.box, one.mark.size) for one in mine if one.mark is not None]
        finest, coarse = finest_that_holds(found[mine[0].page], marks)
        if finest is None:
            said.append(f"no {name} holds all along in the scan: read it by eye")
            continue
        sizes[name] = finest
        finer = "; finer ones are thinner than a pixel: scan at 600 dpi or more, or read it by eye" if coarse else ""
        said.append(f"{name}: {finest:.2f} mm is the finest that holds both ways{finer}")
    return sizes, said


def _line(box: Bounds, size: float) -> ThinMark:
    x0, y0, x1, y1 = box
    middle = (y0 + y1) / 2
    upright = FineLine((x0 + size / 2, y0), (x0 + size / 2, y1))
    return ThinMark(size, (upright, FineLine((x0 + CROSS_AT, middle), (x1, middle))))


def _gap(box: Bounds, size: float) -> ThinMark:
    x0, y0, x1, y1 = box
    middle = (y0 + y1) / 2
    upright = FineLine((x0 + CROSS_AT, y0), (x0 + CROSS_AT, y1))
    return ThinMark(size, (upright, FineLine((x0 + CROSS_AT + 1.0, middle), (x1, middle))), True)
