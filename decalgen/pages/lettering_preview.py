"""Lettering as its face has it beside the same opened for the printer, much enlarged, with what each would need. Pure.

One picture a decal, a row a lettering: those that ask for compensation, and those to which a check offers it.
"""

from __future__ import annotations

from dataclasses import replace

from decalgen.core import style
from decalgen.core.document import Document, Fill
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import multiply, rectangle, region, transform, translation
from decalgen.core.values import dataclass
from decalgen.job.model import Decal, Job, Printer
from decalgen.lettering.paper import wrap
from decalgen.lettering.printable import joined_script, least_of
from decalgen.pages.composer import Sheaf
from decalgen.pages.picture_head import PAD, WIDE, head_height, write_head
from decalgen.preflight.lettering import letterings, opened, shown
from decalgen.preflight.limits import Smallest, limits
from decalgen.shapes.lettering import Lettering

TALLEST = 50.0
BETWEEN = 6.0
CELL = (WIDE - 2 * PAD - BETWEEN) / 2
HEAD, FOOT = 12.0, 21.0
LARGEST = 40.0
"""Letters are enlarged no further than so many times."""


@dataclass(frozen=True)
class BothWays:
    """One lettering both ways, with the least stroke and gap wanted of it, mm."""

    plain: Lettering
    opened: Lettering
    stroke: float
    gap: float
    asked: bool


def pairs(decal: Decal, printer: Printer) -> tuple[BothWays, ...]:
    """The letterings of a decal that compensation concerns."""
    limit = limits(printer)
    found = [pair for _, lettering in letterings(decal.artwork) if (pair := _pair(lettering, limit))]
    return tuple(dict.fromkeys(found))


def _pair(lettering: Lettering, limit: Smallest) -> BothWays | None:
    other = lettering if lettering.compensate else opened(lettering, limit)
    if other is None:
        return None
    plain = replace(lettering, compensate=False)
    try:
        # What is too wide for its place as it is may go there once it is opened, or the other way round.
        if not (plain.block.letters and other.block.letters):
            return None
    except DecalgenError:
        return None
    return BothWays(plain, other, other.least_stroke, other.least_gap, lettering.compensate)


def letters_picture(decal: Decal, job: Job, printer: Printer, date: str | None) -> Document | None:
    """Both ways side by side; None for a decal without such lettering."""
    rows = pairs(decal, printer)
    if not rows:
        return None
    sizes = [_size(row) for row in rows]
    name = f"{decal.name}: small lettering"
    about = f"{job.title} \u00b7 strokes and gaps in mm on the model; between letters and in them"
    words = [wrap(shown(row.plain), style.TYPE_BODY, WIDE - 2 * PAD, True) for row in rows]
    high = head_height(name, about) + PAD + 2.0
    high += sum(HEAD + 4.4 * (len(text) - 1) + h + FOOT for text, (_, h) in zip(words, sizes, strict=True))
    sheaf = Sheaf(WIDE, high)
    write_head(sheaf, name, about)
    y = high - head_height(name, about)
    for row, said, (scale, tall) in zip(rows, words, sizes, strict=True):
        for text in said:
            sheaf.text(PAD, y - 3.4, text, style.TYPE_BODY, bold=True)
            y -= 4.4
        wanted = f"drawn {scale:.3g} : 1; wanted: strokes of {row.stroke:.2f} mm, gaps of {row.gap:.2f} mm"
        sheaf.text(PAD, y - 3.2, wanted, style.TYPE_REST)
        y -= HEAD - 4.4
        heads = ("as the face has it", "opened for the printer" if row.asked else "with compensate: yes")
        for n, (title, lettering) in enumerate(zip(heads, (row.plain, row.opened), strict=True)):
            _cell(sheaf, PAD + n * (CELL + BETWEEN), y - tall, tall, scale, title, lettering, row)
        y -= tall + FOOT
    page = replace(sheaf.page(), ground=style.GROUND)
    return Document((page,), title=f"{job.title}: {decal.name}, small lettering", date=date)


def _bounds(lettering: Lettering) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = lettering.block.region.bounds
    return (x0, y0, x1, y1)


def _size(row: BothWays) -> tuple[float, float]:
    """How far both are enlarged alike, and how high the room for them then is, mm."""
    boxes = [_bounds(lettering) for lettering in (row.plain, row.opened)]
    wide, high = max(b[2] - b[0] for b in boxes), max(b[3] - b[1] for b in boxes)
    scale = min((CELL - 8) / wide, (TALLEST - 6) / high, LARGEST)
    return scale, high * scale + 6


def _cell(
    sheaf: Sheaf, x: float, y: float, tall: float, scale: float, title: str, lettering: Lettering, row: BothWays
) -> None:
    ink, ground = ("#ffffff", style.TEXT) if lettering.reversed else (style.TEXT, "#ffffff")
    sheaf.fill(rectangle(x, y, x + CELL, y + tall), ground)
    x0, y0, x1, y1 = _bounds(lettering)
    place = multiply(
        translation(x + (CELL - (x1 - x0) * scale) / 2, y + (tall - (y1 - y0) * scale) / 2),
        multiply((scale, 0.0, 0.0, scale, 0.0, 0.0), translation(-x0, -y0)),
    )
    sheaf.items.append(Fill(region(transform(lettering.block.region, place)), ink))
    sheaf.text(x, y - 4.5, title, style.TYPE_REST, bold=True)
    stroke, gap = least(lettering)
    sheaf.text(x, y - 9, f"least stroke {_figure(stroke, row.stroke)}", style.TYPE_REST)
    sheaf.text(x, y - 13, f"least gap {_figure(gap, row.gap)}", style.TYPE_REST)


def _figure(has: float, wanted: float) -> str:
    return f"{has:.2f} mm" if has >= 0.97 * wanted else f"{has:.2f} mm (too little)"


def least(lettering: Lettering) -> tuple[float, float]:
    """Its thinnest stroke and narrowest gap as printed, mm: of reversed letters, the ink is what lies between them."""
    block = lettering.block
    if block.printable:
        stroke = min(one.least_stroke for one in block.printable)
        gap = min(one.least_gap for one in block.printable)
    else:
        joined = joined_script(lettering.face)
        stroke, gap = least_of(block.letters, joined)
    return (gap, stroke) if lettering.reversed else (stroke, gap)
