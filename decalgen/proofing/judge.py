"""The verdict on a proof, reckoned from its readings: within the tolerance, off it, or not to be told. Pure; mm.

The rule is guarded acceptance (JCGM 106:2012, 8.3): with the tolerance T, the standard uncertainty u of what was read
and its deviation d, a size is passed where ``|d| <= min(T, 1.3 T - 1.645 u)``. So an error of 1.3 T is passed at most
once in twenty, whatever the instrument; a size is refused where it is out by more than T at the same risk,
``|d| > T + 1.645 u``. Between the two more readings, or a finer instrument, have to tell.
"""

from __future__ import annotations

import math
import shlex
from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from decalgen.core.errors import GateError
from decalgen.core.instruments import CALIPER, Instrument
from decalgen.core.lengths.units import INCH_MM
from decalgen.core.values import dataclass
from decalgen.printer.acceptance import OVER, QUANTILE, RISK, room_of
from decalgen.printer.causes import PrintedPage, causes, told
from decalgen.proofing.standard import Asked, Standard
from decalgen.sheet.check_bars import BAR_WORDS, BarAxis

MOST_READINGS = 12
"""Nobody is asked to measure a bar more often than this."""
SLIP = 0.2
"""A reading off by more than this share, with no usual cause, is a slip of the pen, not a size."""

VerdictWord = Literal["passed", "refused", "cannot tell", "in part"]
"""'in part': passed as far as it was measured, but sheets of another size were not."""
WORST_FIRST: tuple[VerdictWord, ...] = ("refused", "cannot tell", "in part", "passed")


@dataclass(frozen=True)
class BarReading:
    """A check bar as measured: asked and read, and the standard uncertainty of what was read, mm; ``words``: what it
    is called."""

    axis: BarAxis
    asked: float
    read: float
    u: float
    words: str = ""

    @property
    def off(self) -> float:
        """Printed over asked, less one."""
        return self.read / self.asked - 1

    def word(self, share: float) -> VerdictWord:
        """Its verdict alone, for a tolerance of ``share`` of its length."""
        out, allowed = abs(self.read - self.asked), share * self.asked
        if out > allowed + QUANTILE * self.u:
            return "refused"
        # A micrometre's millionth is the rounding of a product, not a size.
        return "passed" if out <= room_of(allowed, self.u) + 1e-9 else "cannot tell"


@dataclass(frozen=True)
class SheetReading:
    """What was read on one sheet: its size in words, its number, the instrument's name, the readings of the bars across
    and up, mm."""

    page: str
    sheet: int
    tool: str
    x: tuple[float, ...]
    y: tuple[float, ...]

    def of(self, axis: BarAxis) -> tuple[float, ...]:
        """The readings of one bar."""
        return self.x if axis == "x" else self.y


@dataclass(frozen=True)
class Verdict:
    """What the readings of a proof say, and the reasons, a line each."""

    word: VerdictWord
    lines: tuple[str, ...]


def judge(needed: Standard, found: SheetReading, tool: Instrument) -> Verdict:
    """Whether the readings of one sheet allow film to be printed. Raises GateError for bars that are not there or were
    not measured, for slips, and for readings that do not agree."""
    bars = {bar.axis: bar for bar in needed.bars if bar.sheet == found.sheet}
    rows = _readings(needed, bars, found, tool)
    word = worst(one.word(needed.share) for one in rows)
    lines = [
        f"{one.words}: {one.read:.2f} mm of {one.asked:g} mm, {one.off:+.2%} "
        f"± {2 * one.u / one.asked:.2%} (k = 2): {one.word(needed.share)}"
        for one in rows
    ]
    if tool.by_scan:
        # Kept with the record of the print: whoever reads that later sees that no caliper was there.
        lines.append(f"read from a {tool.name} (k = 2), not with a caliper")
    lines.append(
        f"allowed: {needed.share:.2%} ({needed.why}); of prints {OVER:g} times as far out, at most {RISK:.0%} pass"
    )
    if word == "cannot tell":
        lines.append(_how_to_tell([one for one in rows if one.word(needed.share) == word], needed.share, tool))
    if word == "refused":
        lines.append(_why(rows, needed, next(iter(bars.values()))))
    return Verdict(word, tuple(lines))


def worst(words: Iterable[VerdictWord]) -> VerdictWord:
    """What several verdicts come to."""
    return min(words, key=WORST_FIRST.index)


def _readings(
    needed: Standard, bars: Mapping[BarAxis, Asked], found: SheetReading, tool: Instrument
) -> list[BarReading]:
    for axis in BAR_WORDS:
        if axis in bars and not found.of(axis):
            raise GateError(
                f"the {bars[axis].words} was not measured", fix=f"add what it measures, in mm: --{axis} ____"
            )
        if axis not in bars and found.of(axis):
            raise _no_bar(needed, axis, found.sheet)
    if not bars:
        raise GateError(
            f"sheet {found.sheet} of this proof has no check bars to measure",
            fix="name another with --sheet, or proof it together with others, on a larger film",
        )
    given = [bars[axis] for axis in BAR_WORDS if axis in bars]
    _no_slips(needed, given, found)
    return [reading(bar, found.of(bar.axis), tool) for bar in given]


def reading(bar: Asked, values: Sequence[float], tool: Instrument) -> BarReading:
    """The mean of some readings of one bar. Where they scatter more than the instrument explains, the scatter counts.
    Raises GateError for readings that do not agree."""
    if bar.length > tool.reach:
        raise GateError(f"a {tool.name} does not reach over {bar.length:g} mm", fix="use --with 'steel rule'")
    if max(values) - min(values) > tool.slip:
        raise GateError(
            f"the readings {', '.join(f'{value:g}' for value in values)} mm of the {bar.words} do not agree",
            fix="one of them is a slip: measure it again, three times",
        )
    mean = sum(values) / len(values)
    scatter = math.sqrt(sum((value - mean) ** 2 for value in values) / max(1, len(values) - 1))
    placing = max(tool.placing, scatter) / math.sqrt(len(values))
    return BarReading(bar.axis, bar.length, mean, math.hypot(tool.systematic(bar.length, bar.axis), placing), bar.words)


def _no_bar(needed: Standard, axis: BarAxis, sheet: int) -> GateError:
    others = sorted({bar.sheet for bar in needed.bars if bar.axis == axis})
    fix = f"leave out --{axis}: the sheet is too small for it"
    if others:
        fix = f"measure it on sheet {others[0]}: --sheet {others[0]}"
    return GateError(f"sheet {sheet} has no {BAR_WORDS[axis]}", fix=fix)


def _no_slips(needed: Standard, bars: Sequence[Asked], found: SheetReading) -> None:
    """Raises GateError for a reading that cannot be of its bar, and says what it looks like. What is far out both ways
    by a usual cause is a size."""
    odd = [(bar, value) for bar in bars for value in found.of(bar.axis) if _is_odd(value, bar.length)]
    if not odd or (
        all(math.isfinite(value) and value > 0 for bar in bars for value in found.of(bar.axis))
        and causes(*_ratios(bars, found), _page(needed, bars[0]))
    ):
        return
    bar, value = odd[0]
    why, fix = "", "measure from tick to tick, in mm, and type it again"
    if abs(value * INCH_MM / bar.length - 1) <= SLIP:
        why = ": it looks like inches"
    elif abs(abs(value - bar.length) - 10) <= 0.5:
        why, fix = ": it looks 10 mm out", "read the scale again; if it is so, print at 100 %"
    raise GateError(f"{value:g} mm cannot be the {bar.words}, which should be {bar.length:g} mm{why}", fix=fix)


def _is_odd(value: float, asked: float) -> bool:
    if not math.isfinite(value) or value <= 0:
        return True
    return abs(value / asked - 1) > SLIP or abs(abs(value - asked) - 10) <= 0.5


def _ratios(bars: Sequence[Asked], found: SheetReading) -> tuple[float | None, float | None]:
    by = {bar.axis: sum(found.of(bar.axis)) / len(found.of(bar.axis)) / bar.length for bar in bars}
    return by.get("x"), by.get("y")


def _page(needed: Standard, bar: Asked) -> PrintedPage:
    return PrintedPage(bar.width, bar.height, needed.margins)


def _why(rows: Sequence[BarReading], needed: Standard, bar: Asked) -> str:
    """What a refused print looks like, and what to do."""
    by = {one.axis: 1 + one.off for one in rows}
    within = max(2 * one.u / one.asked for one in rows)
    found = causes(by.get("x"), by.get("y"), _page(needed, bar), within)
    if found:
        what, cure = told(found)
        return f"it looks as if {what}: {cure}; then print the proof again"
    if any(abs(one.off) > 0.01 for one in rows):
        return (
            "no usual cause gives this: see that the proof is printed at 100 %, with all fitting and scaling off, as a "
            f"page of {bar.page}; if it was, calibrate the printer with this film (`decalgen calibrate print`); then "
            "print the proof again"
        )
    return "calibrate the printer with this film (`decalgen calibrate print`), then print the proof again"


def _how_to_tell(rows: Sequence[BarReading], share: float, tool: Instrument) -> str:
    """What would settle it, if the bars are as they were read: how many readings, with what; or that nothing would."""
    asked = min(one.asked for one in rows)
    if tool.by_scan:
        return "a scan is not fine enough to tell: measure each bar three times with the caliper"
    for best in (False, True):
        for one in (tool, CALIPER):
            times = max(_times(0.0 if best else abs(row.off), row.asked, share, one) for row in rows)
            if 0 < times <= MOST_READINGS and not best:
                often = "once" if times == 1 else f"{times} times"
                return f"a {one.name} is fine enough: measure each bar {often} (--with {shlex.quote(one.name)})"
            if 0 < times <= MOST_READINGS:
                return (
                    "it is at the edge of what is allowed, where readings tell nothing: calibrate the printer with "
                    "this film (`decalgen calibrate print`), then print the proof again"
                )
    return (
        f"not even a caliper can measure that finely ({share * asked:.3f} mm in {asked:g} mm): leave the "
        "tightest decal more room, or print it on a larger sheet"
    )


def _times(off: float, asked: float, share: float, tool: Instrument) -> int:
    """How many readings of a bar pass it, where their mean is off by so much; more than the most where none do."""
    for times in range(1, MOST_READINGS + 1):
        if asked > tool.reach:
            break
        if BarReading("x", asked, asked * (1 + off), tool.u_lines(asked, times)).word(share) == "passed":
            return times
    return MOST_READINGS + 1
