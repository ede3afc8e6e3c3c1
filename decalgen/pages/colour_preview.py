"""A decal four times side by side: on white paper, over the body on clear film, over the body as advised, and on white
paper as an ICC profile shows it. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from shapely.geometry import Polygon, box

from decalgen.artwork.build import Artwork
from decalgen.artwork.cutting_lines import cutting_lines
from decalgen.artwork.over_body import Coloured, advised, body, on_clear, used_inks
from decalgen.colour.advice import Option, wanted_look
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
from decalgen.lettering.paper import paper_width
from decalgen.pages.composer import Sheaf

CELL = 62.0
"""Width of one of the four pictures, mm."""
TALLEST = 60.0
BETWEEN = 6.0
PAD = style.MARGIN
ROW = 5.0
COLUMNS = (44.0, 26.0, 34.0)
"""Widths of the table's first three columns, mm; the others share what is left."""


@dataclass(frozen=True)
class _View:
    """One of the four: what stands over it, what lies round the decal, the film, each ink's look."""

    title: str
    text: str
    around: str
    film: str | None
    colour: Callable[[str], str]


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
        _View("On white paper", "the colours to aim at", "#ffffff", None, wanted.__getitem__),
        _View(f"On {on.name}, clear film", _worst(clear), on.colour.hex, None, lambda name: clear.look(name).hex),
        _View(
            f"On {on.name}, over its backing" if backed else f"On {on.name}, as advised",
            f"white backing under clear film; {_worst(best)}" if backed else f"{_film(best)}; {_worst(best)}",
            on.colour.hex,
            best.film.colour.hex if best.film.kind == "white" and not backed else None,
            lambda name: best.look(name).hex,
        ),
        _View("Soft proof", proof.words(), "#ffffff", None, lambda name: proof.looks[name].hex),
    )
    x0, y0, x1, y1 = _bounds(parts)
    scale = min((CELL - 8.0) / (x1 - x0), TALLEST / (y1 - y0))
    high = (y1 - y0) * scale + 8.0
    width = 4 * CELL + 3 * BETWEEN + 2 * PAD
    notes = [*_notes(best, job, {name: ink.kind for name, ink in inks.items()}), proof.note]
    table = (len(inks) + 1) * ROW
    sheaf = Sheaf(width, PAD + 10 + 11 + high + 8 + table + 4.0 * len(notes) + 6 + PAD)
    sheaf.text(PAD, sheaf.height - PAD - 2, art.decal.name, style.TYPE_TITLE, bold=True)
    under = f"{job.title} · over {on.name}"
    sheaf.text(PAD, sheaf.height - PAD - 7, under, style.TYPE_SMALL, colour=style.QUIET)
    top = sheaf.height - PAD - 21
    items: list[Item] = []
    for n, view in enumerate(views):
        left = PAD + n * (CELL + BETWEEN)
        sheaf.text(left, top + 6.2, view.title, style.TYPE_BODY, bold=True)
        sheaf.text(left, top + 2.2, _short(view.text, CELL), style.TYPE_SMALL, colour=style.QUIET)
        place = _place(left, top - high, (x1 - x0, y1 - y0), scale, high, (x0, y0))
        items += _drawn(parts, view, place, box(left, top - high, left + CELL, top))
    y = _table(sheaf, top - high - 8, inks, wanted, proof, clear, best, "Over its backing" if backed else "As advised")
    for text in notes:
        sheaf.text(PAD, y - 4.0, text, style.TYPE_SMALL, colour=style.QUIET)
        y -= 4.0
    bar = next(b for b in (50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5) if b * scale <= CELL or b == 0.5)
    sheaf.scale_bar(PAD, 4.0, bar, scale, f"{bar:g} mm on the model, drawn {scale:.3g} : 1")
    page = replace(sheaf.page(Layer("Decal", tuple(items), "artwork")), ground=style.GROUND)
    return Document((page,), title=f"{job.title}: {art.decal.name}, colours", date=date)


@dataclass(frozen=True)
class _Proof:
    """Each ink as an ICC profile shows it on white paper, how far that is from the wanted colour (None: no ink is
    printed, or a metallic one), and what is told of the profile."""

    looks: Mapping[str, Colour]
    far: Mapping[str, float | None]
    note: str

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
    return _Proof(looks, far, note)


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
        items += [Fill(region(transform(i.region, place)), view.colour(i.ink), i.ink) for i in part.shown]
        items += cutting_lines(part, place, 0.1, style.QUIET, style.DASH_TRIM)
    return items


def _table(
    sheaf: Sheaf,
    y: float,
    inks: Mapping[str, Ink],
    wanted: Mapping[str, str],
    proof: _Proof,
    clear: Coloured,
    best: Coloured,
    last: str,
) -> float:
    """Each ink in a row: as wanted, on paper by its profile, on clear film, as advised. Gives the y below."""
    third = (sheaf.width - 2 * PAD - sum(COLUMNS)) / 2
    lefts = [PAD, PAD + COLUMNS[0], PAD + sum(COLUMNS[:2]), PAD + sum(COLUMNS), PAD + sum(COLUMNS) + third]
    for x, head in zip(lefts, ("Ink", "Wanted", "Soft proof", "On clear film", last), strict=True):
        sheaf.text(x, y - 3.2, head, style.TYPE_SMALL, bold=True)
    y -= ROW
    right = sheaf.width - PAD
    sheaf.line(((PAD, y), (right, y)), style.LINE_PANEL)
    for name, colour in wanted.items():
        sheaf.text(lefts[0], y - 3.4, _short(name, COLUMNS[0] - 2), style.TYPE_SMALL)
        _chip(sheaf, lefts[1], y, colour, colour)
        _chip(sheaf, lefts[2], y, proof.looks[name].hex, proof.said(name))
        for x, coloured in ((lefts[3], clear), (lefts[4], best)):
            option = dict(coloured.options)[name]
            _chip(sheaf, x, y, option.look.hex, _short(_words(option, inks[name].kind), third - 10))
        y -= ROW
        sheaf.line(((PAD, y), (right, y)), style.LINE_RULE, style.RULE)
    return y


def _chip(sheaf: Sheaf, x: float, y: float, colour: str, text: str) -> None:
    sheaf.fill(rectangle(x, y - 4.2, x + 6.0, y - 0.8), colour)
    sheaf.line(((x, y - 4.2), (x + 6.0, y - 4.2), (x + 6.0, y - 0.8), (x, y - 0.8)), 0.1, style.QUIET, closed=True)
    sheaf.text(x + 7.6, y - 3.4, text, style.TYPE_SMALL)


def _words(option: Option, kind: InkKind) -> str:
    """A look and its difference; what else must be done for it."""
    if kind == "metallic":
        return "metallic: no prediction"
    said = f"{option.look.hex}  dE {option.delta_e:.1f}"
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
    notes = [f"dE: distance from the wanted colour (CIEDE2000), {SOURCE_NOTE}."]
    if any(option.swatch and kinds[name] != "metallic" for name, option in best.options):
        notes.append("Unsure: two estimates differ by more than 2, or only one could be made. Print a swatch first.")
    if job.paint(job.body).finish == "bare metal":
        notes.append("Bare metal changes from dark to light as it is turned: the worse of the two is shown.")
    reasons = dict.fromkeys(o.reason for _, o in best.options if o.reason and o.usable)
    return [*notes, *(f"{reason[0].upper()}{reason[1:]}." for reason in reasons)]


def _short(text: str, room: float) -> str:
    while paper_width(text, style.TYPE_SMALL) > room and len(text) > 4:
        text = text[:-4] + "..." if not text.endswith("...") else text[:-4].rstrip(".") + "..."
    return text
