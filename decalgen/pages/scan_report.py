"""The report of a scan: the fit drawn over what was scanned, and a table of what was read. Pure; mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from decalgen.core import style
from decalgen.core.document import Document, Picture
from decalgen.core.geometry import rectangle, region
from decalgen.core.pixels.arrays import from_rgb, rgb_of
from decalgen.core.pixels.values import Pixels
from decalgen.core.values import dataclass
from decalgen.lettering.paper import wrap
from decalgen.pages.composer import Sheaf
from decalgen.pages.picture_head import PAD, WIDE, head_height, write_head

TALLEST = 110.0
MOST_PIXELS = 1_600
"""Along the longer side of the picture in the report."""
BAR = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
CHIP = (12.0, 5.0)
ROW = 5.0


@dataclass(frozen=True)
class ReportRow:
    """A value as it is told: its name, the value with its uncertainty, how much of its edges is left, and a remark."""

    name: str
    value: str
    left: str
    remark: str


@dataclass(frozen=True)
class ScanReport:
    """What goes on the report. ``pixels``: the part that was looked at, ``edges``: the fit's, in pixels of it with y
    down, and whether each is still there; ``pixel``: mm."""

    title: str
    words: str
    pixels: Pixels
    pixel: float
    edges: tuple[tuple[tuple[tuple[float, float], ...], bool], ...]
    rows: tuple[ReportRow, ...]
    inks: tuple[tuple[str, str], ...]
    """Name and '#rrggbb' of each."""
    labels: tuple[tuple[tuple[float, float], str], ...] = ()
    """What stands beside places, pixels."""


def scan_report(report: ScanReport) -> Document:
    """One page, as wide as every picture."""
    wide, high = report.pixels.width, report.pixels.height
    factor = min((WIDE - 2 * PAD) / wide, TALLEST / high)
    drawn = (wide * factor, high * factor)
    head = head_height(report.title, report.words)
    columns = (34.0, 44.0, 26.0, WIDE - 2 * PAD - 104.0)
    deep = sum(max(1, len(wrap(row.remark, style.TYPE_SMALL, columns[3] - 1.6))) for row in report.rows)
    below = 9.0 + 4.4 + 4.4 * deep + 6.0 + ROW + PAD + 8.0
    sheaf = Sheaf(WIDE, head + 3.0 + drawn[1] + below)
    write_head(sheaf, report.title, report.words)
    x, y = PAD, sheaf.height - head - 3.0 - drawn[1]
    sheaf.items.append(
        Picture(
            _fewer(report.pixels),
            (drawn[0], 0.0, 0.0, drawn[1], x, y),
            region(rectangle(x, y, x + drawn[0], y + drawn[1])),
        )
    )

    def place(at: tuple[float, float]) -> tuple[float, float]:
        return x + at[0] * factor, y + (high - at[1]) * factor

    _draw_edges(sheaf, report, place)
    for at, text in report.labels:
        _label(sheaf, place(at), text)
    y -= 6.0
    _bar(sheaf, report, factor, y)
    rows = [("", "read", "edges left", "remark")]
    rows += [(row.name, row.value, row.left, row.remark) for row in report.rows]
    y = sheaf.table(x, y - 2.0, columns, rows, right=(2,)) - 6.0
    _chips(sheaf, report.inks, y)
    return Document((sheaf.page(),), title=report.title)


def _draw_edges(sheaf: Sheaf, report: ScanReport, place: Callable[[tuple[float, float]], tuple[float, float]]) -> None:
    """What is there over a white line, so that it shows on any colour; what is gone is dashed."""
    for colour, width in (("#ffffff", 0.36), ("", 0.2)):
        for points, there in report.edges:
            line = [place(at) for at in points]
            if there:
                sheaf.line(line, width, colour or style.ACCENT)
            else:
                sheaf.line(line, width, colour or style.ERROR, (0.8, 0.6))


def _label(sheaf: Sheaf, at: tuple[float, float], text: str) -> None:
    """A number on a small plate, so that it shows on any colour."""
    half = 2.0
    sheaf.fill(rectangle(at[0] - half, at[1] - half, at[0] + half, at[1] + half), "#ffffff")
    sheaf.text(at[0], at[1] - 1.1, text, style.TYPE_REST, align="centre")


def _bar(sheaf: Sheaf, report: ScanReport, factor: float, y: float) -> None:
    """A scale bar and what the lines mean."""
    scale = factor / report.pixel
    length = max((one for one in BAR if one * scale < 50.0), default=BAR[0])
    sheaf.scale_bar(PAD, y, length, scale, f"{length:g} mm")
    words = (("edge that is there", style.ACCENT, ()), ("edge that is gone, by the pattern", style.ERROR, (0.8, 0.6)))
    left = WIDE - PAD - 92.0
    for text, colour, dash in words:
        sheaf.line(((left, y + 1.0), (left + 7.0, y + 1.0)), 0.3, colour, dash)
        sheaf.text(left + 8.5, y, text, style.TYPE_REST)
        left += 38.0


def _chips(sheaf: Sheaf, inks: Sequence[tuple[str, str]], y: float) -> None:
    x = PAD
    for name, colour in inks:
        sheaf.fill(rectangle(x, y - CHIP[1], x + CHIP[0], y), colour)
        sheaf.box(x, y - CHIP[1], *CHIP)
        sheaf.text(x + CHIP[0] + 1.5, y - CHIP[1] + 1.4, f"{name} {colour}", style.TYPE_REST)
        x += CHIP[0] + 28.0


def _fewer(pixels: Pixels) -> Pixels:
    """Every second, third, ... pixel of a large picture, so that few are left."""
    step = -(-max(pixels.width, pixels.height) // MOST_PIXELS)
    return pixels if step <= 1 else from_rgb(rgb_of(pixels)[::step, ::step])
