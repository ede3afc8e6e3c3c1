"""The work card of a sheet of film: what is done before water, a drying clock, what is done at the water and after it,
which piece is whose and in which order, and the cautions that fit this film. Pure; mm.

All times are ranges of common practice, no source, and said to be that: the label of a product goes before them.
"""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core import style
from decalgen.core.cautions import cautions_for
from decalgen.core.document import Document
from decalgen.core.lengths.units import POINT_MM
from decalgen.job.model import Job
from decalgen.lettering.paper import paper_width, wrap
from decalgen.pages.cautions_band import CautionsBand
from decalgen.pages.composer import Sheaf, band_height
from decalgen.pages.concerns import film_concerns, job_concerns
from decalgen.pages.flow import Flow
from decalgen.pages.whose_piece import ModelLine, model_lines
from decalgen.pages.work_steps import Wait, WorkStep, after_steps, before_steps, waits, water_steps
from decalgen.sheet.arrange import Arrangement, Sheet

TIMES = (
    "Times are common practice, no source: where the label of your film, coat or softener says otherwise, the label "
    "counts."
)
FOOT = "keep with the record"
LINE = style.TYPE_REST * POINT_MM * style.LEADING
HEAD = 4.2
"""From the name of a step to what is said of it, mm."""
CLOCK = 10.0
"""Height of a row of the clock, mm."""
DAY, HOUR = 14.0, 16.0
"""Width of the boxes for a day and an hour, mm."""
TWO_COLUMNS = 170.0
"""Width between the margins, mm, from which steps stand in two columns."""
NOTES = 3
"""Lines for one's own notes."""
STEP_NAME = 18.0


def work_cards(
    arrangement: Arrangement, jobs: Sequence[Job], width: float = 210.0, height: float = 297.0, date: str | None = None
) -> Document:
    """The cards of all sheets, each beginning a page; A4 unless told otherwise."""
    pages = [page for sheet in arrangement.sheets for page in _card(sheet, arrangement, jobs, width, height).pages()]
    return Document(tuple(pages), title="work card", date=date)


def _card(sheet: Sheet, arrangement: Arrangement, jobs: Sequence[Job], width: float, height: float) -> Flow:
    count = len(arrangement.sheets)
    number = f"sheet {sheet.index} of {count}, " if count > 1 else ""
    flow = Flow(width, height, f"Work card: {number}{sheet.film.name}", FOOT)
    spares = sum(one.piece.spare for one in sheet.placed)
    pieces = len(sheet.placed)
    said = f"{pieces} piece{'' if pieces == 1 else 's'}, {spares or 'none'} of them spare{'' if spares == 1 else 's'}"
    kind = "self-adhesive film" if sheet.film.adhesive else "waterslide film"
    flow.paragraph(f"{sheet.film.process.capitalize()}, {kind}; {sheet.printer.name}. {said}. {TIMES}")
    film, wet = sheet.film, not sheet.film.adhesive
    _ticks(flow, "Before water" if wet else "Before you lay them", before_steps(film))
    _clock(flow, waits(sheet, jobs))
    _steps(flow, "At the water" if wet else "Laying", "one decal at a time", water_steps(film))
    _steps(flow, "Afterwards", "when all are on", after_steps(film))
    _whose(flow, model_lines(sheet, arrangement, jobs))
    _care(flow, sheet, jobs)
    _notes(flow)
    return flow


def _band(flow: Flow, what: str, how: str, needed: float) -> None:
    """A band, on this page with so much below it or on the next one."""
    flow.room(band_height(flow.inner, what, how) + 2.0 + needed)
    flow.y = flow.sheaf.band(flow.edge, flow.y, flow.inner, what, how) - 2.0


def _ticks(flow: Flow, what: str, steps: Sequence[WorkStep]) -> None:
    """Steps to tick, down the first column and then the second."""
    columns = 2 if flow.inner >= TWO_COLUMNS else 1
    wide = (flow.inner - 6.0 * (columns - 1)) / columns
    heights = [_tick_height(step, wide) for step in steps]
    rows = -(-len(steps) // columns)
    deep = [max(heights[n::rows]) for n in range(rows)]
    _band(flow, what, "tick as you go", deep[0])
    for row in range(rows):
        flow.room(deep[row])
        for column in range(columns):
            n = column * rows + row
            if n < len(steps):
                _tick(flow.sheaf, steps[n], flow.edge + column * (wide + 6.0), flow.y, wide)
        flow.y -= deep[row]
    flow.y -= 1.0


def _tick_height(step: WorkStep, wide: float) -> float:
    return HEAD + LINE * len(wrap(step.text, style.TYPE_REST, wide - 6.0)) + 1.0


def _tick(sheaf: Sheaf, step: WorkStep, x: float, top: float, wide: float) -> None:
    sheaf.tick_box(x, top - 3.6)
    sheaf.text(x + 6.0, top - 3.2, step.name, style.TYPE_BODY, bold=True)
    for n, text in enumerate(wrap(step.text, style.TYPE_REST, wide - 6.0)):
        sheaf.text(x + 6.0, top - 3.2 - HEAD - n * LINE + 0.4, text, style.TYPE_REST)


# ------------------------------------------------------------------------------------------------------------ the clock
def _clock(flow: Flow, rows: Sequence[Wait]) -> None:
    """A row for each wait: when it begins, how long it is, not before when it ends, done."""
    boxes = DAY + HOUR
    names = flow.inner - 2 * boxes - 26.0 - 10.0
    lines = (flow.edge, flow.edge + names, flow.edge + names + boxes + 2.0, flow.edge + names + boxes + 26.0)
    over = names < 30.0
    if over:
        # On small paper the words stand over the boxes.
        names = flow.inner
        lines = (flow.edge, flow.edge, flow.edge + boxes + 2.0, flow.edge + boxes + 26.0)
    heights = [_clock_height(row, names, over) for row in rows]
    _band(flow, "Drying clock", "write when it begins, add the wait; do not go on before", 5.0 + heights[0])
    _clock_heads(flow, lines, boxes)
    for row, high in zip(rows, heights, strict=True):
        if flow.left < high:
            flow.new_page()
            _band(flow, "Drying clock, continued", "", 5.0 + high)
            _clock_heads(flow, lines, boxes)
        _clock_row(flow, row, lines, names, over)
        flow.y -= high
        flow.sheaf.line(((flow.edge, flow.y), (flow.edge + flow.inner, flow.y)), style.LINE_RULE, style.HATCH)
    flow.y -= 3.0


def _clock_heads(flow: Flow, lines: tuple[float, float, float, float], boxes: float) -> None:
    y = flow.y - 3.0
    heads = ("begun: day, hour", "wait", "not before: day, hour")
    if lines[0] != lines[1]:
        flow.sheaf.text(lines[0], y, "what dries", style.TYPE_SMALL)
    for x, text in zip(lines[1:], heads, strict=True):
        flow.sheaf.text(x, y, text, style.TYPE_SMALL)
    flow.sheaf.text(flow.edge + flow.inner, y, "done", style.TYPE_SMALL, align="right")
    flow.y -= 4.6


def _clock_height(row: Wait, names: float, over: bool) -> float:
    words = 3.8 + LINE * len(wrap(row.until, style.TYPE_REST, names - 2.0))
    return words + CLOCK if over else max(CLOCK, words + 2.0)


def _clock_row(flow: Flow, row: Wait, lines: tuple[float, float, float, float], names: float, over: bool) -> None:
    sheaf, y = flow.sheaf, flow.y - 4.0
    sheaf.text(lines[0], y, row.what, style.TYPE_BODY, bold=True)
    told = wrap(row.until, style.TYPE_REST, names - 2.0)
    for n, text in enumerate(told):
        sheaf.text(lines[0], y - 3.8 - n * LINE, text, style.TYPE_REST)
    foot = flow.y - (4.0 + LINE * len(told) if over else 0.0) - 9.0
    for x in (lines[1], lines[3]):
        sheaf.box(x, foot, DAY, 8.0)
        sheaf.box(x + DAY, foot, HOUR, 8.0)
        sheaf.text(x + DAY + HOUR / 2, foot + 2.9, ":", style.TYPE_BODY, align="centre")
    for n, text in enumerate(wrap(row.time.words, style.TYPE_BODY, 23.0, True)):
        sheaf.text(lines[2], foot + 3.0 - n * 3.6, text, style.TYPE_BODY, bold=True)
    sheaf.tick_box(flow.edge + flow.inner - 5.0, foot + 2.4)


# ------------------------------------------------------------------------------------------------------------ the steps
def _steps(flow: Flow, what: str, how: str, steps: Sequence[WorkStep]) -> None:
    """Steps in a row: the word for it, and what is done."""
    room = flow.inner - STEP_NAME
    texts = [wrap(step.text, style.TYPE_REST, room) for step in steps]
    _band(flow, what, how, LINE * len(texts[0]) + 1.0)
    for step, rows in zip(steps, texts, strict=True):
        flow.room(LINE * len(rows) + 0.6)
        flow.sheaf.text(flow.edge, flow.y - 3.0, step.name, style.TYPE_BODY, bold=True)
        for n, text in enumerate(rows):
            flow.sheaf.text(flow.edge + STEP_NAME, flow.y - 3.0 - n * LINE, text, style.TYPE_REST)
        flow.y -= LINE * len(rows) + 0.6
    flow.y -= 2.0


def _whose(flow: Flow, models: Sequence[ModelLine]) -> None:
    """A row for each model: its letter and name, its pieces in the order of application."""
    texts = [
        [line for text in model.texts for line in wrap(text, style.TYPE_BODY, flow.inner - 12.0)] for model in models
    ]
    heights = [4.6 + 4.2 * len(lines) + 1.0 for lines in texts]
    _band(flow, "Which piece is whose", "in the order of application; + are spares", heights[0])
    for model, rows, high in zip(models, texts, heights, strict=True):
        if flow.left < high:
            flow.new_page()
            _band(flow, "Which piece is whose, continued", "", high)
        sheaf, y = flow.sheaf, flow.y - 3.4
        sheaf.tick_box(flow.edge, y - 0.4)
        sheaf.text(flow.edge + 6.0, y, model.letter, style.TYPE_FIND, bold=True)
        name = wrap(model.name, style.TYPE_BODY, flow.inner - 12.0, True)[0]
        sheaf.text(flow.edge + 12.0, y, name, style.TYPE_BODY, bold=True)
        after = flow.edge + 12.0 + paper_width(name, style.TYPE_BODY, True) + 4.0
        if after + paper_width(model.body, style.TYPE_REST) <= flow.edge + flow.inner:
            sheaf.text(after, y, model.body, style.TYPE_REST)
        for n, text in enumerate(rows):
            sheaf.text(flow.edge + 12.0, y - 4.2 * (n + 1), text, style.TYPE_BODY)
        flow.y -= high
    flow.y -= 1.0


def _care(flow: Flow, sheet: Sheet, jobs: Sequence[Job]) -> None:
    """The cautions that fit this film and what is on it, on one page."""
    arts = list({id(one.piece.artwork): one.piece.artwork for one in sheet.placed}.values())
    fitting = film_concerns([sheet.film]) | job_concerns(arts, jobs, sheet.printer)
    CautionsBand(cautions_for(fitting, bench=True)).write(flow)


def _notes(flow: Flow) -> None:
    """Lines for one's own notes, as far as the page has room: none on a page of their own."""
    count = min(NOTES, int((flow.left - 4.0) / 8.0))
    if count < 1:
        return
    flow.sheaf.text(flow.edge, flow.y - 6.4, "Notes", style.TYPE_BODY, bold=True)
    for n in range(count):
        y = flow.y - 7.0 - 8.0 * n
        flow.sheaf.line(((flow.edge + 14.0, y), (flow.edge + flow.inner, y)), style.LINE_RULE, style.HATCH)
