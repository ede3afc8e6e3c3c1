"""The measuring card: each panel drawn with the dimensions to take and boxes for three readings each. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core import style
from decalgen.core.document import Document, Page
from decalgen.core.values import dataclass
from decalgen.pages.composer import Sheaf
from decalgen.pages.kind_drawings import DRAWINGS, draw_kind

EDGE = 12.0
BLOCK = 58.0
HINT = (
    "Measure after painting. Take each size three times, lifting the caliper between. Chord: straight across, edge to "
    "edge. Rise: from that straight line up to the highest point. A tape laid over the panel, marked and lifted, "
    "gives the developed length. From 300 mm away, a photo is 1 % out for every 3 mm of depth."
)

OBSTACLE = "handle, vent or gap: size and place from lower left"


@dataclass(frozen=True)
class CardPanel:
    """A panel on the card: its name, its kind, and its readings so far (None: to be measured)."""

    name: str
    kind: str
    sizes: tuple[tuple[str, float | None], ...]
    obstacles: tuple[str, ...] = ()


LETTERING = CardPanel(
    "lettering of the original",
    "lettering",
    (("cap height", None), ("length", None), ("stem (uprights)", None), ("crossbar (level strokes)", None)),
)
"""What is measured of lettering that is to be matched."""


def measuring_card(
    title: str, panels: Sequence[CardPanel], width: float = 210.0, height: float = 297.0, date: str | None = None
) -> Document:
    """A4 unless told otherwise; as many pages as the panels need."""
    pages: list[Page] = []
    sheaf, y = _start(title, width, height)
    for panel in panels:
        block = BLOCK + 8.0 * max(0, len(panel.sizes) + len(panel.obstacles) - 4)
        if y - block < EDGE:
            pages.append(sheaf.page())
            sheaf, y = _start(title, width, height)
        _panel(sheaf, panel, y)
        y -= block
    pages.append(sheaf.page())
    return Document(tuple(pages), title=f"{title}: measuring card", date=date)


def _start(title: str, width: float, height: float) -> tuple[Sheaf, float]:
    sheaf = Sheaf(width, height)
    y = height - EDGE - 4
    sheaf.text(EDGE, y, f"{title}: measuring card", style.TYPE_TITLE, bold=True)
    sheaf.line(((EDGE, y - 2.5), (width - EDGE, y - 2.5)), style.LINE_PANEL, style.ACCENT)
    y = sheaf.paragraph(EDGE, y - 8, width - 2 * EDGE, HINT)
    return sheaf, y - 2


def _panel(sheaf: Sheaf, panel: CardPanel, top: float) -> None:
    sheaf.text(EDGE, top - 3, panel.name, style.TYPE_BODY, bold=True, colour=style.ACCENT)
    x, y = EDGE + 10, top - 42
    drawn = panel.kind in DRAWINGS
    if drawn:
        draw_kind(sheaf, panel.kind, x + 4, y)
        sheaf.text(EDGE, top - 7.5, "not to scale", style.TYPE_SMALL, colour=style.QUIET)
    left = EDGE + 84
    row = top - 6
    sheaf.text(left, row, "size", style.TYPE_SMALL, bold=True)
    for k in range(3):
        sheaf.text(left + 34 + 23 * k, row, f"reading {k + 1}", style.TYPE_SMALL, bold=True)
    for name, value in panel.sizes:
        row -= 8.0
        note = f"{name} ({value:g} so far)" if value is not None else name
        sheaf.text(left, row + 1.8, note, style.TYPE_SMALL)
        for k in range(3):
            sheaf.box(left + 34 + 23 * k, row, 21, 6.4)
    for name in (*panel.obstacles, *([OBSTACLE] if drawn else [])):
        row -= 8.0
        sheaf.paragraph(left, row + 3.4, 32, name, style.TYPE_SMALL, leading=1.1)
        for k in range(3):
            sheaf.box(left + 34 + 23 * k, row, 21, 6.4)
