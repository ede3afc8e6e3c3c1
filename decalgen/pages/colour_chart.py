"""A chart of the colours that have a name, as each looks on white and, with a job, over its body. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.core.geometry import rectangle
from decalgen.core.values import dataclass
from decalgen.pages.composer import BAND_LINE, BAND_PAD
from decalgen.pages.flow import Flow

PAPER = (210.0, 297.0)
TALLEST = 5000.0
"""How high one page may become, mm, before it is cut to what is on it."""
COLUMNS = 4
CELL = 14.6
"""From row to row, mm."""
PATCH = 8.0
INSET = 1.3
"""How far the colour lies inside what is round it, mm."""
BETWEEN = 3.0


@dataclass(frozen=True)
class ChartColour:
    """A named colour: ``code`` as '#rrggbb', how it looks ``on_white``, and ``over`` the body on clear film."""

    name: str
    code: str
    on_white: str
    over: str | None = None


@dataclass(frozen=True)
class ChartBody:
    """The paint that the right half of each patch shows."""

    name: str
    colour: str


def colour_chart(
    groups: Sequence[tuple[str, Sequence[ChartColour]]], body: ChartBody | None, title: str, one_page: bool
) -> Document:
    """The chart: A4 pages, or one page as tall as it takes, for a picture."""
    flow = _filled(groups, body, title, TALLEST if one_page else PAPER[1])
    if one_page:
        # What was left of the tallest page is cut off.
        flow = _filled(groups, body, title, TALLEST - flow.left + 0.1)
    pages = flow.pages()
    return Document(tuple(replace(page, ground=style.PAPER) if one_page else page for page in pages), title=title)


def _filled(
    groups: Sequence[tuple[str, Sequence[ChartColour]]], body: ChartBody | None, title: str, height: float
) -> Flow:
    flow = Flow(PAPER[0], height, title, "Write the name, or the code in quotes, wherever a file takes a colour.")
    flow.paragraph(_legend(body))
    flow.y -= 2.0
    wide = (flow.inner - (COLUMNS - 1) * BETWEEN) / COLUMNS
    for name, colours in groups:
        flow.room(BAND_LINE + BAND_PAD + 3.0 + CELL)
        flow.y = (
            flow.sheaf.band(flow.edge, flow.y, flow.inner, name, f"{len(colours)} name{'s' * (len(colours) != 1)}")
            - 3.0
        )
        for first in range(0, len(colours), COLUMNS):
            flow.room(CELL)
            for n, one in enumerate(colours[first : first + COLUMNS]):
                _cell(flow, flow.edge + n * (wide + BETWEEN), wide, one, body)
            flow.y -= CELL
        flow.y -= 2.0
    return flow


def _legend(body: ChartBody | None) -> str:
    whole = "A screen and a printer show these as well as they can; measure the real paint where it matters."
    if body is None:
        return f"Each colour on white. {whole}"
    return (
        f"Left: each colour on white, as ink on white film looks. Right: the same ink on clear film over {body.name}, "
        f"where the body shows through. {whole}"
    )


def _cell(flow: Flow, x: float, wide: float, one: ChartColour, body: ChartBody | None) -> None:
    """The patch with its name and code under it."""
    top = flow.y
    halves = [(style.PAPER, one.on_white)]
    if body is not None and one.over is not None:
        halves.append((body.colour, one.over))
    half = wide / len(halves)
    for n, (ground, colour) in enumerate(halves):
        left = x + n * half
        flow.sheaf.fill(rectangle(left, top - PATCH, left + half, top), ground)
        flow.sheaf.fill(rectangle(left + INSET, top - PATCH + INSET, left + half - INSET, top - INSET), colour)
    corners = ((x, top), (x + wide, top), (x + wide, top - PATCH), (x, top - PATCH))
    flow.sheaf.line(corners, style.LINE_RULE, style.QUIET, closed=True)
    flow.sheaf.text(x, top - PATCH - 3.2, one.name, style.TYPE_SMALL, bold=True)
    flow.sheaf.text(x + wide, top - PATCH - 3.2, one.code, style.TYPE_SMALL, colour=style.QUIET, align="right")
