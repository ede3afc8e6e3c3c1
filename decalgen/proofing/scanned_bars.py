"""The check bars of a proof read from a scan of it: what a caliper would measure, with its U. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core.errors import GateError
from decalgen.core.instruments import Instrument
from decalgen.core.pixels.values import PictureData
from decalgen.core.values import dataclass
from decalgen.proofing.standard import Asked, Standard
from decalgen.scan.printed.beside import CardSize
from decalgen.scan.printed.marks import AskedSpan, CrossPoint, FineLine, PageMarks, PagePoint
from decalgen.scan.printed.spans import ScannedPage, read_page
from decalgen.sheet.check_bars import BESIDE, CheckBar, bar_lines

SHORT_TICK = 1.6
LONG_TICK = 3.0
"""How far the ticks of a bar reach, mm, at each ten and at its ends."""
CLEAR_MM = 0.5
"""So far off a line nothing of it is seen."""


@dataclass(frozen=True)
class ScannedBars:
    """The bars of a sheet as they were read: ``x`` and ``y`` in mm, none where there is no such bar; the ``tool``,
    which holds the U; what the scale is by, in words; and the page in the scan, to be drawn."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    tool: Instrument
    told: str
    page: ScannedPage


def read_bars(needed: Standard, sheet: int, picture: PictureData, card: CardSize) -> ScannedBars:
    """Reads the bars of a sheet of a proof. Raises GateError where the proof does not say where they are, PixelsError,
    ScaleError and PageError for a scan in which they are not seen."""
    asked = [bar for bar in needed.bars if bar.sheet == sheet]
    if not asked:
        raise GateError(f"sheet {sheet} of this proof has no check bars", fix="name another with --sheet")
    if any(bar.at is None or bar.crosses for bar in asked):
        raise GateError(
            "this proof was made by an earlier version, which did not note where its bars are",
            fix="make it again with `decalgen proof`: the paper you have stays good where the code is the same; or "
            "measure it with the caliper",
        )
    found = read_page(picture, bar_marks(asked), card)
    by = {one.span.way: one.read for one in found.spans}
    x, y = (tuple(round(by[way], 3) for _ in range(1) if way in by) for way in ("x", "y"))
    return ScannedBars(x, y, found.tool, found.told, found)


def bar_marks(bars: Sequence[Asked]) -> PageMarks:
    """What is known of the page that some bars are on."""
    strokes: list[FineLine] = []
    bare: list[FineLine] = []
    spans: list[AskedSpan] = []
    for bar in bars:
        lines, free, span = _marks_of(bar)
        strokes += lines
        bare += free
        spans.append(span)
    words = f"the {bars[0].words}" if len(bars) == 1 else "the pair of check bars"
    return PageMarks(tuple(strokes), tuple(spans), words, tuple(bare))


def _marks_of(bar: Asked) -> tuple[list[FineLine], list[FineLine], AskedSpan]:
    """The lines of a bar, where it must be bare (beyond its ends, over the ticks of its tens), and its length."""
    x, y = bar.at or (0.0, 0.0)
    drawn = [line.points for line in bar_lines(CheckBar(bar.axis, x, y, bar.length))]
    names = [f"the {bar.words}", *(f"the tick at {10 * n} mm of the {bar.words}" for n in range(len(drawn) - 1))]
    base, *ticks = (FineLine(one[0], one[1], name) for one, name in zip(drawn, names, strict=True))

    def on(along: float, up: float) -> PagePoint:
        return (x + along, y + up) if bar.axis == "x" else (x + up, y + along)

    off = CLEAR_MM
    bare = [
        FineLine(on(-BESIDE + off, 1.0), on(-off, 1.0), f"the {bar.words} is longer"),
        FineLine(on(bar.length + off, 1.0), on(bar.length + BESIDE - off, 1.0), f"the {bar.words} is longer"),
    ]
    for n in range(1, len(ticks) - 1):
        over = (on(10.0 * n, SHORT_TICK + off / 2), on(10.0 * n, LONG_TICK - 0.1))
        bare.append(FineLine(*over, f"a long tick at {10 * n} mm of the {bar.words}"))
    ends = []
    for at, tick in ((0.0, ticks[0]), (bar.length, ticks[-1])):
        upright, level = (tick, base) if bar.axis == "x" else (base, tick)
        ends.append(CrossPoint(on(at, 1.0), upright, level, f"the tick at {at:g} mm of the {bar.words}"))
    return [base, *ticks], bare, AskedSpan(bar.words, (ends[0], ends[1]), bar.axis)
