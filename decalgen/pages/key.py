"""The pages of a proof after its sheets: what to enter, the key with the panels to cut out, and the cautions. Pure.

The key has a band a job and a block a panel: the panel at true size, both hands, with its decals pale, and beside it
one line a decal. Blocks flow over the pages; a job that goes on says so.
"""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core import style
from decalgen.core.cautions import cautions_for
from decalgen.core.document import Page
from decalgen.core.lengths.units import POINT_MM
from decalgen.job.model import Job
from decalgen.lettering.paper import wrap
from decalgen.pages.cautions_band import CautionsBand
from decalgen.pages.composer import band_height
from decalgen.pages.concerns import sheet_concerns
from decalgen.pages.flow import LEAST_PAPER, Flow
from decalgen.pages.key_blocks import (
    Laid,
    PanelBlock,
    blocks_of,
    columns_of,
    go_together,
    job_letter,
    lay_out,
    put_drawings,
    put_heads,
    put_row,
    row_height,
)
from decalgen.printer.history import size_sentence
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.film_area import longest

TITLE = "Key: what each number is, and where it goes"
"""Over every page; the bands name the models."""
GAP = 3.0
"""Between two blocks, mm."""
HEADS = 4.4
"""Room for the heads of the columns, mm."""
REMINDER = (
    "Measure each check bar three times. Enter the readings, and the code on the sheet that you measured, with "
    "decalgen proof passed; film prints once they pass, from the same positions."
)
HOW = (
    "Panels are at true size: cut one out along its thick line and hold it to the model; one without a name inside "
    "gets it on its back first. The triangle points to the nose. pcs: pieces + spares."
)


def key_pages(arrangement: Arrangement, jobs: Sequence[Job]) -> list[Page]:
    """The pages, at the size of the first film."""
    film = arrangement.sheets[0].film
    width, height = max(film.width, LEAST_PAPER[0]), max(film.height, LEAST_PAPER[1])
    count = len(arrangement.sheets)
    foot = f"arrangement {arrangement.digest[:8]} · proof of {count} {'sheet' if count == 1 else 'sheets'}"
    cautions = CautionsBand(cautions_for(sheet_concerns(arrangement, jobs)))
    last = _written(Flow(width, height, TITLE, foot), arrangement, jobs, cautions, first=False)
    if len(last.sheafs) == 1:
        return last.pages()
    # Cautions that would have a page to themselves stand before the key where that saves the page.
    first = _written(Flow(width, height, TITLE, foot), arrangement, jobs, cautions, first=True)
    return min(last, first, key=lambda flow: len(flow.sheafs)).pages()


def _written(flow: Flow, arrangement: Arrangement, jobs: Sequence[Job], cautions: CautionsBand, *, first: bool) -> Flow:
    """All of it, the cautions before the key, or after it or where a page of it would end in blank."""
    _measured(flow, arrangement)
    if first:
        cautions.write(flow)
        flow.y -= GAP
    writer = _KeyWriter(flow, arrangement, jobs, None if first else cautions)
    writer.write()
    if writer.cautions is not None:
        cautions.write(flow)
    return flow


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


def _measured(flow: Flow, arrangement: Arrangement) -> None:
    """What to do with the readings, how part-used film is held against its proof, and which size error to expect."""
    flow.y = flow.sheaf.band(flow.edge, flow.y, flow.inner, "Measure, then print on film") - 1.6
    flow.paragraph(REMINDER)
    for sheet in arrangement.sheets:
        if sheet.film.marks:
            flow.paragraph(register(sheet))
    told: dict[str, list[str]] = {}
    for sheet in arrangement.sheets:
        sentence = size_sentence(sheet.printer.history, longest(sheet.film, sheet.printer))
        told.setdefault(sentence, []).append(str(sheet.index))
    for sentence, sheets in told.items():
        said = f"{sentence[0].upper()}{sentence[1:]}."
        flow.paragraph(said if len(told) == 1 else f"Sheet {' and '.join(sheets)}: {sentence}.")
    flow.y -= 1.0


class _KeyWriter:
    """Writes the blocks of all jobs under bands, one a job and page; and the ``cautions``, which are None from then on,
    at the foot of a page that has room for them and none for the next job."""

    def __init__(
        self, flow: Flow, arrangement: Arrangement, jobs: Sequence[Job], cautions: CautionsBand | None = None
    ) -> None:
        self.flow, self.arrangement, self.cautions = flow, arrangement, cautions
        room = (flow.inner, flow.whole - HEADS - 20.0)
        self.found = [(job, blocks_of(job, arrangement, room)) for job in jobs]
        self.columns = columns_of([block for _, blocks in self.found for block in blocks], flow.inner)
        self.headed = -1
        """The page whose columns have their heads already."""

    def write(self) -> None:
        flow = self.flow
        # The words at the head of the key stay with its first block.
        flow.room(len(wrap(HOW, style.TYPE_REST, flow.inner)) * style.TYPE_REST * POINT_MM * style.LEADING + 40.0)
        flow.paragraph(HOW)
        for job, blocks in self.found:
            self._job(job, blocks)

    def _job(self, job: Job, blocks: Sequence[PanelBlock]) -> None:
        todo, begun, banded = list(blocks), False, -1
        while todo:
            count = 2 if len(todo) > 1 and go_together(todo[0], todo[1], self.columns) else 1
            laid = lay_out(todo[:count], self.columns)
            before = 0.0 if banded == len(self.flow.sheafs) else self._before(job, begun)
            if self.flow.left < before + self._first(laid):
                n = self._fitting(todo, self.flow.left - before)
                if n is not None:
                    todo.insert(0, todo.pop(n))
                    count, laid = 1, lay_out(todo[:1], self.columns)
                else:
                    if not begun and self.cautions is not None and self.cautions.height(self.flow) <= self.flow.left:
                        self.cautions.write(self.flow)
                        self.cautions = None
                    self.flow.room(before + self._first(laid))
            if banded == len(self.flow.sheafs):
                self._rule()
            else:
                self._band(job, begun)
            self._block(job, laid)
            begun, banded = True, len(self.flow.sheafs)
            todo = todo[count:]

    def _fitting(self, todo: Sequence[PanelBlock], left: float) -> int | None:
        """The first block, alone, that goes where the next one, or two, do not; a later one only where more than a
        quarter of the page would stay blank."""
        for n, block in enumerate(todo):
            if self._first(lay_out([block], self.columns)) <= left and (n == 0 or left > self.flow.whole / 4):
                return n
        return None

    def _first(self, laid: Laid) -> float:
        """What of a block is not parted: all of it, unless it is higher than a page."""
        if laid.height <= self.flow.whole - HEADS - 20.0:
            return laid.height
        return max(laid.deep, laid.under + row_height(laid.rows[0], self.columns))

    def _words(self, job: Job, goes_on: bool) -> tuple[str, str]:
        body = f"{job.scale} · body {job.body}" if job.scale else f"body {job.body}"
        return job.title, f"continued · {body}" if goes_on else body

    def _before(self, job: Job, goes_on: bool) -> float:
        """Room for a job's band, and for the heads of the columns where a page has none yet."""
        heads = 0.0 if self.headed == len(self.flow.sheafs) else HEADS
        return heads + band_height(self.flow.inner, *self._words(job, goes_on), job_letter(job, self.arrangement)) + 2.0

    def _band(self, job: Job, goes_on: bool) -> None:
        flow = self.flow
        if self.headed != len(flow.sheafs):
            put_heads(flow.sheaf, self.columns, flow.edge, flow.y - 3.0)
            flow.y -= HEADS
            self.headed = len(flow.sheafs)
        flow.y = (
            flow.sheaf.band(
                flow.edge, flow.y, flow.inner, *self._words(job, goes_on), job_letter(job, self.arrangement)
            )
            - 2.0
        )

    def _rule(self) -> None:
        """A line between two blocks."""
        flow, y = self.flow, self.flow.y + GAP / 2
        flow.sheaf.line(((flow.edge, y), (flow.edge + flow.inner, y)), style.LINE_RULE, style.HATCH)

    def _block(self, job: Job, laid: Laid) -> None:
        """Drawings and rows; rows of a block higher than a page go on over the next."""
        flow = self.flow
        top = flow.y
        put_drawings(flow.sheaf, laid, flow.edge, top)
        y, foot = top - laid.under, top - laid.deep
        for row in laid.rows:
            high = row_height(row, self.columns)
            if y - high < flow.floor - 1e-6:
                flow.new_page()
                self._band(job, True)
                y = foot = flow.y
            put_row(flow.sheaf, row, self.columns, flow.edge, y)
            y -= high
        flow.y = min(y, foot) - GAP
