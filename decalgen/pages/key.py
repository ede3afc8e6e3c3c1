"""The pages of a proof after its sheets: what to read, the key, the panels to cut out, and the cautions. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.artwork.build import Artwork
from decalgen.core import style
from decalgen.core.cautions import CAUTIONS, LAW
from decalgen.core.document import Page
from decalgen.core.geometry import Outline, multiply, rotation, translation
from decalgen.core.lengths.units import POINT_MM
from decalgen.job.model import Job
from decalgen.lettering.paper import wrap
from decalgen.pages.composer import Sheaf
from decalgen.pages.decal_and_panel import obstacle_outlines
from decalgen.panels.base import Panel
from decalgen.printer.history import size_sentence
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.film_area import longest
from decalgen.sheet.furniture import measurable

EDGE = 10.0
"""Margin of paper pages, mm: every printer can print inside it."""

REMINDER = (
    "Print at 100 %, with all fitting and scaling off. Measure both check bars on the sheet page, each three times, "
    "and write the readings here. Enter them with decalgen proof passed, together with the code on the sheet that you "
    "measured; film prints once they pass, from the same positions."
)


def key_pages(arrangement: Arrangement, jobs: Sequence[Job], title: str, share: float | None) -> list[Page]:
    """The pages, at the size of the first film. ``share``: how far a size may be off, as a part of it; None: that is
    not said."""
    first = arrangement.sheets[0]
    return _Paper(first.film.width, first.film.height, arrangement, title, share).pages(jobs)


def register(sheet: Sheet) -> str:
    """How to see whether a print registers on the film's earlier ones."""
    name = sheet.film.name
    lie = "Turn both by half a turn, because this sheet is fed turned, and lay" if sheet.film.turned else "Lay"
    return (
        f"Sheet {sheet.index} has been printed on before. The marks in a box are those of the earlier print on '{name}'"
        f"{' (numbered in order)' if len({m[2] for m in sheet.film.marks}) > 1 else ''}. {lie} the sheet page over the "
        "film, edges flush, and hold both to a window. If the film's own marks lie beside those of the last print, "
        "measure how far to the right (x) and above (y), negative for left and below, and enter it, such as "
        f'decalgen film shift "{name}" --x 0.4mm --y -0.2mm; then make this proof again.'
    )


class _Paper:
    """The pages of paper after the sheets: a cursor running down, a new page where the room ends."""

    def __init__(self, width: float, height: float, arrangement: Arrangement, title: str, share: float | None) -> None:
        self.width, self.height = width, height
        self.arrangement, self.title, self.share = arrangement, title, share
        self.done: list[Sheaf] = []
        self._new()

    def _new(self) -> None:
        self.sheaf = Sheaf(self.width, self.height)
        self.done.append(self.sheaf)
        self.y = self.height - EDGE - 3.0
        self.sheaf.text(EDGE, self.y, self.title, style.TYPE_TITLE, bold=True)
        self.y -= 3.0
        self.sheaf.line(((EDGE, self.y), (self.width - EDGE, self.y)), style.LINE_PANEL, style.ACCENT)
        self.y -= 5.0

    @property
    def inner(self) -> float:
        return self.width - 2 * EDGE

    def room(self, needed: float) -> None:
        if self.y - needed < EDGE + 4.0:
            self._new()

    def head(self, text: str, needed: float) -> None:
        self.room(needed + 8.0)
        self.sheaf.text(EDGE, self.y - 2.0, text, style.TYPE_BODY, bold=True, colour=style.ACCENT)
        self.y -= 6.0

    def pages(self, jobs: Sequence[Job]) -> list[Page]:
        self._readings()
        self._key(jobs)
        self._panels(jobs)
        self._cautions()
        for n, sheaf in enumerate(self.done, start=1):
            sheaf.text(
                EDGE, EDGE - 2.0, f"arrangement {self.arrangement.digest[:8]}", style.TYPE_SMALL, colour=style.QUIET
            )
            sheaf.text(
                self.width - EDGE,
                EDGE - 2.0,
                f"paper {n} of {len(self.done)}",
                style.TYPE_SMALL,
                colour=style.QUIET,
                align="right",
            )
        return [sheaf.page() for sheaf in self.done]

    def _readings(self) -> None:
        self.y = self.sheaf.paragraph(EDGE, self.y, self.inner, REMINDER) - 2.0
        for sheet in self.arrangement.sheets:
            for bar in measurable(sheet.furniture):
                self.room(8.0)
                what = "horizontal bar" if bar.axis == "x" else "vertical bar"
                if bar.crosses:
                    what = f"cross to cross {'along the foot' if bar.axis == 'x' else 'up the left side'}"
                within = "" if self.share is None else f" ± {self.share * bar.length:.2f}"
                asked = f"sheet {sheet.index}, {what}: should be {bar.length:.2f}{within} mm"
                self.sheaf.text(EDGE, self.y - 4.5, asked)
                for k in range(3):
                    self.sheaf.box(self.width - EDGE - 20.0 * (3 - k), self.y - 6.0, 18.0, 6.0)
                self.y -= 8.0
        for sheet in self.arrangement.sheets:
            if sheet.film.marks:
                text = register(sheet)
                self.room(6.0 + 4.3 * len(wrap(text, style.TYPE_BODY, self.inner)))
                self.y = self.sheaf.paragraph(EDGE, self.y - 4.0, self.inner, text) - 2.0
        self.y -= 1.0
        told: dict[str, list[str]] = {}
        for sheet in self.arrangement.sheets:
            sentence = size_sentence(sheet.printer.history, longest(sheet.film, sheet.printer))
            told.setdefault(sentence, []).append(str(sheet.index))
        for sentence, sheets in told.items():
            self.room(8.0)
            said = f"{sentence[0].upper()}{sentence[1:]}."
            if len(told) > 1:
                said = f"Sheet {' and '.join(sheets)}: {sentence}."
            self.y = self.sheaf.paragraph(EDGE, self.y - 3.0, self.inner, said, style.TYPE_SMALL)
        self.y -= 3.0

    def _key(self, jobs: Sequence[Job]) -> None:
        rows: dict[int, list[str]] = {}
        titles = {job.name: job.title for job in jobs}
        count: dict[int, list[int]] = {}
        arts: dict[int, Artwork] = {}
        for sheet in self.arrangement.sheets:
            for placed in sheet.placed:
                piece = placed.piece
                arts[piece.number] = piece.artwork
                tally = count.setdefault(piece.number, [0, 0])
                tally[piece.spare] += 1
        for number in sorted(arts):
            art = arts[number]
            copies, spares = count[number]
            x0, y0, x1, y1 = art.cut_polygon.bounds
            wide, high = art.width, art.height
            if art.section:
                wide, high = min(x1, wide) - max(x0, 0.0), min(y1, high) - max(y0, 0.0)
            rows[number] = [
                str(number),
                art.name,
                titles[art.job],
                "none: blank film" if art.backing else f"{wide:.2f} × {high:.2f}",
                f"{x1 - x0:.2f} × {y1 - y0:.2f}",
                f"{copies}+{spares}" if spares else str(copies),
            ]
        head = ["no.", "decal", "job", "artwork, mm", "cut, mm", "copies"]
        shares = [0.07, 0.24, 0.25, 0.18, 0.17, 0.09]
        widths = [self.inner * share for share in shares]
        self.head("Key", 20.0)
        todo = _without_repeats(list(rows.values()), 2)
        while todo:
            fits = max(1, int((self.y - EDGE - 8.0) / 7.6))
            self.y = self.sheaf.table(EDGE, self.y, widths, [head, *todo[:fits]], right=(3, 4, 5))
            todo = todo[fits:]
            if todo:
                self._new()
        self.y -= 4.0

    def _panels(self, jobs: Sequence[Job]) -> None:
        self.head("Panels at true size: cut out and offer up to the model", 20.0)
        x, row = EDGE, 0.0
        for job in jobs:
            used = {decal.panel for decal in job.decals}
            for panel in job.panels:
                if panel.name not in used:
                    continue
                outline = _upright(panel, self.inner)
                x0, y0, x1, y1 = outline.polygon.bounds
                label = f"{job.title}: {panel.name}"
                wide = max(x1 - x0, 28.0)
                if x + wide > self.width - EDGE + 0.01:
                    x, self.y, row = EDGE, self.y - row, 0.0
                lines = self._label_lines(label, wide)
                deep = y1 - y0 + 3.6 * lines + 4.0
                if self.y - deep < EDGE + 4.0:
                    x, row = EDGE, 0.0
                    self._new()
                self._panel(panel, outline, x - x0, self.y - (y1 - y0) - y0)
                self.sheaf.paragraph(x, self.y - (y1 - y0) - 3.4, wide, label, style.TYPE_SMALL)
                row = max(row, deep)
                x += wide + 4.0
        self.y -= row + 2.0

    def _label_lines(self, label: str, width: float) -> int:
        return len(wrap(label, style.TYPE_SMALL, width))

    def _panel(self, panel: Panel, outline: Outline, dx: float, dy: float) -> None:
        self.sheaf.outline(outline.moved(translation(dx, dy)))
        turned = outline is not panel.outline
        for obstacle in panel.obstacles:
            matrix = translation(dx, dy)
            if turned:
                matrix = multiply(matrix, rotation(90))
            for part in obstacle_outlines(obstacle, panel):
                self.sheaf.outline(part.moved(matrix), style.LINE_DIMENSION)

    def _cautions(self) -> None:
        """All of them on one page: torn apart they are not read."""
        rows = [f"{head}. {text}" for head, text in CAUTIONS]
        step = style.TYPE_BODY * POINT_MM * style.LEADING
        lines = sum(len(wrap(row, style.TYPE_BODY, self.inner)) for row in rows)
        lines += len(wrap(LAW, style.TYPE_BODY, self.inner, True))
        self.head("Cautions", lines * step + 0.6 * len(rows))
        for row in rows:
            self.y = self.sheaf.paragraph(EDGE, self.y, self.inner, row, style.TYPE_BODY) - 0.6
        self.y = self.sheaf.paragraph(EDGE, self.y, self.inner, LAW, bold=True)


def _without_repeats(rows: list[list[str]], column: int) -> list[list[str]]:
    """The rows with a text of that column only where it differs from the row above."""
    before = [""] + [row[column] for row in rows[:-1]]
    return [
        [*row[:column], "" if row[column] == above else row[column], *row[column + 1 :]]
        for row, above in zip(rows, before, strict=True)
    ]


def _upright(panel: Panel, width: float) -> Outline:
    """The panel's outline, turned by a quarter where it is too wide for the page."""
    x0, _, x1, _ = panel.outline.polygon.bounds
    return panel.outline if x1 - x0 <= width else panel.outline.moved(rotation(90))
