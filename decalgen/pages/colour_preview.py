"""A decal four times, two in a row: on white paper, over the body on clear film, over the body as advised, and on white
paper as an ICC profile shows it. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from shapely.geometry import Polygon, box

from decalgen.artwork.build import Artwork
from decalgen.artwork.cutting_lines import cutting_lines
from decalgen.artwork.over_body import Coloured, advised, body, on_clear, used_inks
from decalgen.artwork.painted import PixelsOf, painted
from decalgen.colour.advice import Option, distance_words, wanted_look
from decalgen.colour.difference import GOOD, delta_e
from decalgen.colour.icc import CmykProfile, shipped
from decalgen.colour.inks import Ink, InkKind
from decalgen.colour.model import SOURCE_NOTE
from decalgen.colour.value import Colour
from decalgen.core import style
from decalgen.core.document import Contour, Document, Fill, Item, Layer
from decalgen.core.geometry import Matrix, Outline, multiply, rectangle, region, transform, translation
from decalgen.core.values import dataclass
from decalgen.job.colours import printer_colour
from decalgen.job.model import InkSpec, Job, Printer
from decalgen.lettering.paper import paper_width, wrap
from decalgen.pages.composer import Sheaf
from decalgen.pages.picture_head import PAD, WIDE, head_height, write_head
from decalgen.pages.picture_looks import as_coloured, as_proofed, as_wanted

TALLEST = 60.0
BETWEEN = 6.0
CELL = (WIDE - 2 * PAD - BETWEEN) / 2
"""Width of one of the four pictures, mm: two stand in a row."""
LINE = 3.9
"""From line to line of small text, mm."""
NAME = 26.0
"""Width of the table's first column, mm; the four others share what is left."""
CHIP = (20.0, 6.0)
"""Width and height of a colour in the table, mm."""


@dataclass(frozen=True)
class _View:
    """One of the four: what stands over it, what lies round the decal, the film, each ink's and each picture's look."""

    title: str
    text: str
    around: str
    film: str | None
    colour: Callable[[str], str]
    pixels: PixelsOf


def colour_picture(parts: Sequence[Artwork], job: Job, printer: Printer, date: str | None) -> Document:
    """How the inks of a decal will look. ``parts`` are its sections, or itself alone, drawn with white as an ink."""
    art = parts[0]
    known, on = printer_colour(printer), body(job)
    inks = {ink.name: ink for part in parts for ink in used_inks(part)}
    backed = art.decal.backing == "white" and art.film == "clear"
    shown = tuple(i for part in parts for i in part.shown)
    whole = replace(art, shown=shown, inks=_specs(parts), backed=backed)
    clear, best = on_clear(whole, job, printer), advised(whole, job, printer)
    wanted = {name: wanted_look(ink, known).hex for name, ink in inks.items()}
    proof = _soft_proof(inks, printer)
    views = (
        _View("On white paper", "the colours to aim at", "#ffffff", None, wanted.__getitem__, as_wanted(known)),
        _View(
            f"On {on.name}, clear film",
            _worst(clear),
            on.colour.hex,
            None,
            lambda name: clear.look(name).hex,
            as_coloured(clear, on, known),
        ),
        _View(
            f"On {on.name}, over its backing" if backed else f"On {on.name}, as advised",
            f"white backing under clear film; {_worst(best)}" if backed else f"{_film(best)}; {_worst(best)}",
            on.colour.hex,
            best.film.colour.hex if best.film.kind == "white" and not backed else None,
            lambda name: best.look(name).hex,
            as_coloured(best, on, known),
        ),
        _View("Soft proof", proof.words(), "#ffffff", None, lambda name: proof.looks[name].hex, proof.pixels),
    )
    said = [*_notes(best, job, {name: ink.kind for name, ink in inks.items()}), proof.note]
    notes = [row for text in said for row in wrap(text, style.TYPE_REST, WIDE - 2 * PAD)]
    table = _rows(inks, wanted, proof, clear, best)
    grid = _Grid.of(parts, views)
    under = f"{job.title} · over {on.name}"
    head = head_height(art.decal.name, under) + 3.0
    foot = sum(row.height for row in table) + 9.0 + LINE * len(notes) + 16.0
    sheaf = Sheaf(WIDE, head + grid.deep + foot)
    write_head(sheaf, art.decal.name, under)
    items = grid.draw(sheaf, parts, sheaf.height - head)
    last = "Over its backing" if backed else "As advised"
    y = _table(sheaf, sheaf.height - head - grid.deep - 3.0, table, last)
    for text in notes:
        sheaf.text(PAD, y - LINE, text, style.TYPE_REST)
        y -= LINE
    bar = next(b for b in (50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5) if b * grid.scale <= CELL or b == 0.5)
    sheaf.scale_bar(PAD, 4.0, bar, grid.scale, f"{bar:g} mm on the model, drawn {grid.scale:.3g} : 1")
    page = replace(sheaf.page(Layer("Decal", tuple(items), "artwork")), ground=style.GROUND)
    return Document((page,), title=f"{job.title}: {art.decal.name}, colours", date=date)


@dataclass(frozen=True)
class _Grid:
    """The four pictures, two in a row, each under its words: how far they are enlarged, how high one is, and the room
    for the words over each row, mm."""

    views: Sequence[_View]
    scale: float
    high: float
    over: tuple[float, float]

    @staticmethod
    def of(parts: Sequence[Artwork], views: Sequence[_View]) -> _Grid:
        x0, y0, x1, y1 = _bounds(parts)
        scale = min((CELL - 8.0) / (x1 - x0), TALLEST / (y1 - y0))
        lines = [len(wrap(view.text, style.TYPE_REST, CELL)) for view in views]
        over = (6.5 + LINE * max(lines[:2]), 6.5 + LINE * max(lines[2:]))
        return _Grid(views, scale, (y1 - y0) * scale + 8.0, over)

    @property
    def deep(self) -> float:
        return sum(self.over) + 2 * self.high + BETWEEN

    def draw(self, sheaf: Sheaf, parts: Sequence[Artwork], top: float) -> list[Item]:
        """Writes the words onto the page, and gives what is drawn."""
        x0, y0, x1, y1 = _bounds(parts)
        items: list[Item] = []
        for n, view in enumerate(self.views):
            row, column = divmod(n, 2)
            left = PAD + column * (CELL + BETWEEN)
            y = top - row * (self.over[0] + self.high + BETWEEN)
            sheaf.text(left, y - 4.0, _short(view.title, CELL, style.TYPE_BODY, True), style.TYPE_BODY, bold=True)
            for k, text in enumerate(wrap(view.text, style.TYPE_REST, CELL)):
                sheaf.text(left, y - 8.0 - k * LINE, text, style.TYPE_REST)
            y -= self.over[row]
            place = _place(left, y - self.high, (x1 - x0, y1 - y0), self.scale, self.high, (x0, y0))
            items += _drawn(parts, view, place, box(left, y - self.high, left + CELL, y))
        return items


@dataclass(frozen=True)
class _Proof:
    """Each ink as an ICC profile shows it on white paper, how far that is from the wanted colour (None: no ink is
    printed, or a metallic one), and what is told of the profile."""

    looks: Mapping[str, Colour]
    far: Mapping[str, float | None]
    note: str
    pixels: PixelsOf
    """Each picture as the profile shows it."""

    def said(self, name: str) -> str:
        far = self.far[name]
        return self.looks[name].hex if far is None else f"{self.looks[name].hex}  dE {far:.1f}"

    def words(self) -> str:
        known = {name: far for name, far in self.far.items() if far is not None}
        if not known:
            return "on white paper"
        name = max(known, key=known.__getitem__)
        if known[name] <= GOOD:
            return f"on white paper; all within dE {max(known[name], 0.1):.1f}"
        return f"on white paper; up to dE {known[name]:.1f} ({name})"


def _soft_proof(inks: Mapping[str, Ink], printer: Printer) -> _Proof:
    """By the printer's own profile, else by the one that comes with the program."""
    named = printer.swatches.profile if printer.swatches else None
    profile = named if isinstance(named, CmykProfile) else shipped()
    coloured = {name: ink for name, ink in inks.items() if ink.kind in {"process", "spot"}}
    shown = dict(zip(coloured, profile.soft_proofs([ink.colour for ink in coloured.values()]), strict=True))
    known = printer_colour(printer)
    looks = {name: shown.get(name, ink.colour) for name, ink in inks.items()}
    far = {name: delta_e(shown[name], wanted_look(ink, known)) if name in shown else None for name, ink in inks.items()}
    if profile is named:
        note = (
            f"Soft proof: ink on white paper as '{_short(profile.name, 90)}' shows it, the printer file's ICC profile."
        )
    else:
        note = (
            "Soft proof: ink on white paper as a print shop's offset press shows it. The printer file names no ICC "
            "profile of its own (`profile` under `colour`)."
        )
    return _Proof(looks, far, note, as_proofed(profile))


def _specs(parts: Sequence[Artwork]) -> tuple[InkSpec, ...]:
    return tuple(dict.fromkeys(spec for part in parts for spec in part.inks))


def _bounds(parts: Sequence[Artwork]) -> tuple[float, float, float, float]:
    boxes = [part.cut_polygon.bounds for part in parts]
    return (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))


def _place(
    left: float, foot: float, size: tuple[float, float], scale: float, high: float, origin: tuple[float, float]
) -> Matrix:
    """From the artwork to the middle of its cell."""
    x = left + (CELL - size[0] * scale) / 2
    y = foot + (high - size[1] * scale) / 2
    return multiply(
        translation(x, y), multiply((scale, 0.0, 0.0, scale, 0.0, 0.0), translation(-origin[0], -origin[1]))
    )


def _drawn(parts: Sequence[Artwork], view: _View, place: Matrix, cell: Polygon) -> list[Item]:
    items: list[Item] = [
        Fill(region(cell), view.around),
        Contour(Outline.from_polygon(cell), style.LINE_RULE, style.RULE),
    ]
    for part in parts:
        if view.film:
            items.append(Fill(region(transform(part.cut_polygon, place)), view.film))
        items += painted(part.shown, view.colour, place, view.pixels)
        items += cutting_lines(part, place, 0.1, style.QUIET, style.DASH_TRIM)
    return items


@dataclass(frozen=True)
class _Row:
    """An ink in the table: its name, and each of the four colours with the lines under it."""

    name: tuple[str, ...]
    cells: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def height(self) -> float:
        lines = max(len(lines) for _, lines in self.cells)
        return max(CHIP[1] + 1.6 + LINE * lines, LINE * len(self.name) + 1.0) + 2.0


def _rows(
    inks: Mapping[str, Ink], wanted: Mapping[str, str], proof: _Proof, clear: Coloured, best: Coloured
) -> list[_Row]:
    """Each ink: as wanted, on paper by its profile, on clear film, as advised."""
    room = (WIDE - 2 * PAD - NAME) / 4 - 2.0
    found = []
    for name, colour in wanted.items():
        said = [(colour, colour), (proof.looks[name].hex, proof.said(name))]
        for coloured in (clear, best):
            option = dict(coloured.options)[name]
            said.append((option.look.hex, _words(option, inks[name].kind)))
        cells = tuple((shade, tuple(_lines(text, room))) for shade, text in said)
        found.append(_Row(tuple(wrap(name, style.TYPE_REST, NAME - 2.0)), cells))
    return found


def _lines(text: str, room: float) -> list[str]:
    """A colour and its difference in one line, what must be done for it in the next ones."""
    return [row for part in text.split(", ") for row in wrap(part, style.TYPE_REST, room)]


def _table(sheaf: Sheaf, y: float, rows: Sequence[_Row], last: str) -> float:
    """The inks with their colours large enough to see. Gives the y below."""
    step = (WIDE - 2 * PAD - NAME) / 4
    lefts = [PAD, *(PAD + NAME + n * step for n in range(4))]
    for x, head in zip(lefts, ("Ink", "Wanted", "Soft proof", "On clear film", last), strict=True):
        sheaf.text(x, y - 3.4, head, style.TYPE_REST, bold=True)
    y -= 5.0
    right = WIDE - PAD
    sheaf.line(((PAD, y), (right, y)), style.LINE_PANEL)
    for row in rows:
        for n, text in enumerate(row.name):
            sheaf.text(lefts[0], y - 4.4 - n * LINE, text, style.TYPE_REST)
        for x, (colour, lines) in zip(lefts[1:], row.cells, strict=True):
            _chip(sheaf, x, y - 1.2, colour)
            for n, text in enumerate(lines):
                sheaf.text(x, y - CHIP[1] - 4.4 - n * LINE, text, style.TYPE_REST)
        y -= row.height
        sheaf.line(((PAD, y), (right, y)), style.LINE_RULE, style.RULE)
    return y


def _chip(sheaf: Sheaf, x: float, top: float, colour: str) -> None:
    wide, high = CHIP
    sheaf.fill(rectangle(x, top - high, x + wide, top), colour)
    sheaf.line(((x, top - high), (x + wide, top - high), (x + wide, top), (x, top)), 0.1, style.QUIET, closed=True)


def _words(option: Option, kind: InkKind) -> str:
    """A look and its difference; what else must be done for it."""
    if kind == "metallic":
        return "metallic: no prediction"
    said = f"{option.look.hex}, {distance_words(option)}"
    if option.swatch:  # Also where only one estimate could be made.
        said += " (unsure)"
    if option.way == "compensated":
        said += f", printed as {option.ink.hex}"
    elif option.way == "white underlay":
        said += f", {option.passes} × white" + ("" if kind == "white" else " under it")
    return said


def _worst(coloured: Coloured) -> str:
    """The largest difference of a picture and whose it is."""
    name, option = max(coloured.options, key=lambda pair: pair[1].delta_e)
    if option.delta_e <= GOOD:
        return f"all within dE {max(option.delta_e, 0.1):.1f}"
    return f"up to dE {option.delta_e:.1f} ({name})"


def _film(coloured: Coloured) -> str:
    ways = {option.way for _, option in coloured.options}
    if coloured.film.kind == "white":
        return "white film"
    return "clear film, white under ink" if "white underlay" in ways else "clear film"


def _notes(best: Coloured, job: Job, kinds: Mapping[str, InkKind]) -> list[str]:
    notes = [f"dE: distance from the wanted colour (CIEDE2000), {SOURCE_NOTE}. 95 of 100 prints kept within the ±."]
    if any(option.swatch and kinds[name] != "metallic" for name, option in best.options):
        notes.append("Unsure: two estimates differ by more than 2, or only one could be made. Print a swatch first.")
    if job.paint(job.body).finish == "bare metal":
        notes.append("Bare metal changes from dark to light as it is turned: the worse of the two is shown.")
    reasons = dict.fromkeys(o.reason for _, o in best.options if o.reason and o.usable)
    return [*notes, *(f"{reason[0].upper()}{reason[1:]}." for reason in reasons)]


def _short(text: str, room: float, size: float = style.TYPE_REST, bold: bool = False) -> str:
    while paper_width(text, size, bold) > room and len(text) > 4:
        text = text[:-4] + "..." if not text.endswith("...") else text[:-4].rstrip(".") + "..."
    return text
