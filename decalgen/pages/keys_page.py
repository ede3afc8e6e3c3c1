"""A page of `decalgen keys` on paper: each group of keys with a drawing, its rows and its example. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from decalgen.core import style
from decalgen.core.document import Document, Painted, Symbol, Use
from decalgen.core.geometry import Bounds, multiply, translation
from decalgen.core.lengths.units import POINT_MM
from decalgen.core.values import dataclass
from decalgen.job.reference import KeyRow, KeySection, KeyTopic, takes_words
from decalgen.lettering.paper import paper_width, wrap
from decalgen.pages.composer import band_height
from decalgen.pages.flow import Flow
from decalgen.pages.kind_drawings import DRAWINGS, HIGH, WIDE, draw_kind

PAPER = (210.0, 297.0)
TALLEST = 5000.0
"""How high one page may become, mm, before it is cut to what is on it."""
COLUMNS = (("Key", 29.0), ("Meaning", 58.0), ("Takes", 34.0), ("Default", 25.0), ("In a file", 40.0))
SIZE = style.TYPE_SMALL
STEP = SIZE * POINT_MM * 1.25
INDENT = 1.0
"""How far one space of an example moves its line, mm."""
ROOM = (64.0, 30.0)
"""The room of a drawing, mm."""
KIND_AT = 105.0
"""From the margin to the drawing of a kind of panel, mm; its words reach out at its right."""
KIND_ROOM = (WIDE + 26.0, HIGH + 20.0)
"""The room that the drawing of a kind of panel takes with its arrows, mm."""


@dataclass(frozen=True)
class KeyDrawing:
    """What belongs to a section: filled areas with the bounds of the picture, mm."""

    fills: tuple[Painted, ...]
    bounds: Bounds


def keys_document(topic: KeyTopic, drawings: Mapping[int, KeyDrawing], one_page: bool) -> Document:
    """The page of a topic. ``drawings``: by the number of the section, from 0; panels bring their own. ``one_page``:
    one page as tall as it takes, for a picture; else A4."""
    title = f"Keys: {topic.name}"
    flow = _filled(topic, drawings, TALLEST if one_page else PAPER[1])
    if one_page:
        # What was left of the tallest page is cut off.
        flow = _filled(topic, drawings, TALLEST - flow.left + 0.1)
    pages = flow.pages()
    if one_page:
        pages = [replace(page, ground=style.PAPER) for page in pages]
    return Document(tuple(pages), title=title)


def _filled(topic: KeyTopic, drawings: Mapping[int, KeyDrawing], height: float) -> Flow:
    flow = Flow(PAPER[0], height, f"Keys: {topic.name}", f"decalgen keys {topic.name}")
    if topic.name not in {one.name for one in topic.sections}:
        flow.paragraph(f"{topic.about[0].upper()}{topic.about[1:]}.")
        flow.y -= 2.0
    for number, section in enumerate(topic.sections):
        _section(flow, section, drawings.get(number), kind=topic.sections[0].name == "every panel" or _is_kind(section))
    return flow


def _is_kind(section: KeySection) -> bool:
    return section.name in DRAWINGS and section.where == "under its name in `panels`"


def _section(flow: Flow, section: KeySection, drawing: KeyDrawing | None, kind: bool) -> None:
    """The band, the drawing beside the example, the rows."""
    kind = kind and section.name in DRAWINGS
    name, how = f"{section.name}: {section.about}", f"stands {section.where}"
    example = section.example.split("\n")
    room = KIND_ROOM if kind else ROOM
    deep = max(len(example) * STEP + 5.0, room[1] + 2.0 if kind or drawing else 0.0)
    needs = _needs(section, flow.inner)
    first = _row_height(section.rows[0]) + 6.0
    flow.room(band_height(flow.inner, name, how) + deep + len(needs) * STEP + first + 6.0)
    flow.y = flow.sheaf.band(flow.edge, flow.y, flow.inner, name, how) - 2.0
    top = flow.y
    flow.sheaf.text(flow.edge, top - 3.0, "In a file", SIZE, bold=True)
    _example(flow, flow.edge, top - 3.0 - STEP, example)
    if kind:
        draw_kind(flow.sheaf, section.name, flow.edge + KIND_AT, top - room[1] + 7.0)
    elif drawing:
        _draw(flow, drawing, flow.width - flow.edge - room[0], top - room[1])
    flow.y = top - deep - 1.0
    for line in needs:
        flow.sheaf.text(flow.edge, flow.y - 2.6, line, SIZE)
        flow.y -= STEP
    _head(flow)
    for row in section.rows:
        if flow.room(_row_height(row)):
            _head(flow)
        _row(flow, row)
    flow.y -= 5.0


def _needs(section: KeySection, width: float) -> list[str]:
    return wrap(f"Give {section.needs}.", SIZE, width) if section.needs else []


def _example(flow: Flow, x: float, y: float, lines: Sequence[str]) -> None:
    """An example line by line, its indents kept."""
    for line in lines:
        text = line.lstrip()
        flow.sheaf.text(x + INDENT * (len(line) - len(text)), y, text, SIZE, colour=style.ACCENT)
        y -= STEP


def _draw(flow: Flow, drawing: KeyDrawing, x: float, y: float) -> None:
    """A picture in its room, as large as it goes."""
    x0, y0, x1, y1 = drawing.bounds
    scale = min(ROOM[0] / max(x1 - x0, 1e-6), ROOM[1] / max(y1 - y0, 1e-6))
    dx = x + ROOM[0] - (x1 - x0) * scale
    dy = y + (ROOM[1] - (y1 - y0) * scale) / 2
    place = multiply(translation(dx, dy), multiply((scale, 0.0, 0.0, scale, 0.0, 0.0), translation(-x0, -y0)))
    symbol = Symbol(f"drawing-{len(flow.sheafs)}-{len(flow.sheaf.items)}", drawing.fills)
    flow.sheaf.items.append(Use(symbol, place))


def _head(flow: Flow) -> None:
    x = flow.edge
    for name, width in COLUMNS:
        flow.sheaf.text(x, flow.y - 3.4, name, SIZE, bold=True)
        x += width
    flow.y -= 5.0
    flow.sheaf.line(((flow.edge, flow.y), (flow.edge + flow.inner, flow.y)), style.LINE_PANEL)


def _cells(row: KeyRow) -> list[list[str]]:
    """The lines of each cell but the last, which is the example."""
    meaning = f"{row.meaning} (see {row.topic})" if row.topic else row.meaning
    texts = (row.key, meaning, takes_words(row), row.default)
    return [wrap(text, SIZE, COLUMNS[n][1] - 2.0, bold=n == 0) for n, text in enumerate(texts)]


def _example_lines(row: KeyRow) -> list[str]:
    """The example in lines that fit their column; what is broken goes on with a deeper indent."""
    found: list[str] = []
    width = COLUMNS[-1][1]
    for line in row.example.split("\n"):
        indent = len(line) - len(line.lstrip())
        if INDENT * indent + paper_width(line.lstrip(), SIZE) <= width:
            found.append(line)
            continue
        first, *rest = wrap(line.lstrip(), SIZE, width - INDENT * (indent + 4))
        found += [" " * indent + first, *(" " * (indent + 4) + one for one in rest)]
    return found


def _row_height(row: KeyRow) -> float:
    return max(len(lines) for lines in (*_cells(row), _example_lines(row))) * STEP + 2.0


def _row(flow: Flow, row: KeyRow) -> None:
    high = _row_height(row)
    x = flow.edge
    for n, lines in enumerate(_cells(row)):
        for k, text in enumerate(lines):
            flow.sheaf.text(x, flow.y - 3.4 - k * STEP, text, SIZE, bold=n == 0)
        x += COLUMNS[n][1]
    _example(flow, x, flow.y - 3.4, _example_lines(row))
    flow.y -= high
    flow.sheaf.line(((flow.edge, flow.y), (flow.edge + flow.inner, flow.y)), style.LINE_RULE, style.RULE)
