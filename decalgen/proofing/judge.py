"""The proof gate: whether a proof that was measured allows film to be spent on this very sheet. Pure; mm.

A proof proves one thing: that these decals, at these places, with this film and this printer's correction, come out
at their size. So its verdict is tied to a fingerprint of all four.
"""

from __future__ import annotations

import hashlib
import math
import shlex
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Literal

from decalgen.core.errors import GateError
from decalgen.core.instruments import CALIPER, Instrument
from decalgen.core.lengths.units import INCH_MM
from decalgen.core.values import dataclass
from decalgen.job.model import Printer
from decalgen.preflight import Fitting
from decalgen.printer.calibration import diagnose
from decalgen.sheet.arrange import Arrangement

MOST = 0.003
"""A size off by more than this share is never passed: 0.12 mm on a decal of 40 mm."""
PIXEL = INCH_MM / 96
"""Millimetres in a pixel (CSS Values and Units Level 3, 5.2: 96 px to the inch): a length that lost its unit prints so
much smaller."""
MOST_READINGS = 12
"""Nobody is asked to measure a bar more often than this."""
SLIP = 0.2
"""A reading off by more than this share is a slip of the pen, not a size."""

OVERRIDE = 'or print unproven with `--without-proof "why"`'

VerdictWord = Literal["passed", "refused", "cannot tell", "in part"]
"""'in part': passed as far as it was measured, but sheets of another size were not."""
WORST_FIRST: tuple[VerdictWord, ...] = ("refused", "cannot tell", "in part", "passed")


@dataclass(frozen=True)
class Fingerprint:
    """SHA-256 of each of the things that a proof stands for."""

    decals: str
    positions: str
    film: str
    printer: str

    def changed(self, other: Fingerprint) -> list[str]:
        """What differs, in words."""
        said = {"decals": "the decals", "positions": "their positions", "film": "the film", "printer": "the printer"}
        mine, its = asdict(self), asdict(other)
        return [words for key, words in said.items() if mine[key] != its[key]]


@dataclass(frozen=True)
class Asked:
    """A check bar as it is asked for: on which sheet (from 1), which way ('x' or 'y'), how long. ``page``: the size of
    that sheet in words. A print dialog that fits pages scales each size of sheet by itself."""

    sheet: int
    axis: str
    length: float
    page: str = ""


@dataclass(frozen=True)
class Standard:
    """What a proof has to reach. ``share``: how far a size may be off, as a part of it; ``why``: what decides that."""

    fingerprint: Fingerprint
    bars: tuple[Asked, ...]
    share: float
    why: str

    def page_of(self, sheet: int) -> str:
        """The size of a sheet, in words; empty where it has no bar."""
        return next((bar.page for bar in self.bars if bar.sheet == sheet), "")

    def unmeasured(self, pages: Iterable[str]) -> dict[str, int]:
        """The sizes of sheet beside ``pages`` that have bars, each with the first sheet of it."""
        done = set(pages)
        return {bar.page: bar.sheet for bar in reversed(self.bars) if bar.page not in done}


@dataclass(frozen=True)
class BarReading:
    """A check bar as measured: printed over asked, with its U (k = 2) as the same kind of ratio."""

    axis: str
    asked: float
    read: float
    expanded: float

    @property
    def off(self) -> float:
        """Printed over asked, less one."""
        return self.read / self.asked - 1

    def word(self, share: float) -> VerdictWord:
        """Its verdict alone. The tolerance is widened by U; where U is the larger of both, only a refusal is sure."""
        if abs(self.off) > share + self.expanded:
            return "refused"
        return "cannot tell" if self.expanded > share else "passed"


@dataclass(frozen=True)
class Verdict:
    """What the readings of a proof say, and the reasons, a line each."""

    word: VerdictWord
    readings: tuple[BarReading, ...]
    lines: tuple[str, ...]


def fingerprint(arrangement: Arrangement) -> Fingerprint:
    """Of an arrangement as it would be printed now."""
    pieces = sorted(
        f"{placed.piece.key} {placed.piece.copy} {placed.piece.artwork.digest}"
        for sheet in arrangement.sheets
        for placed in sheet.placed
    )
    places = [f"{p.key} {p.copy} {p.film} {p.sheet} {p.x:.6f} {p.y:.6f} {p.turn}" for p in arrangement.positions]
    films = [f"{sheet.film!r} {sheet.film.used_polygons!r}" for sheet in arrangement.sheets]
    printers = [_lengths(sheet.printer) for sheet in arrangement.sheets]
    return Fingerprint(_sha(pieces), _sha(sorted(places)), _sha(films), _sha(printers))


def _lengths(printer: Printer) -> str:
    """What of a printer decides sizes. Its colours do not, nor does what is noted of its past: the correction does."""
    no_matter = ("swatches", "profile", "white", "misregister", "history", "shop")
    return repr(sorted((key, value) for key, value in vars(printer).items() if key not in no_matter))


def standard(arrangement: Arrangement, fits: Mapping[str, Sequence[Fitting]]) -> Standard:
    """What a proof of this arrangement has to reach, by how tightly its decals fit their panels."""
    bars = tuple(
        Asked(sheet.index, bar.axis, bar.length, f"{sheet.film.width:g} × {sheet.film.height:g} mm")
        for sheet in arrangement.sheets
        for bar in sheet.furniture.bars
    )
    share, why = MOST, f"{MOST:.1%} at most"
    for one in (fitting for some in fits.values() for fitting in some):
        length = max(one.fit.width.value, one.fit.height.value)
        # A decal that is cut to its panel has no clearance on purpose.
        clear = [item for item in one.fit.clearances if item.amount.value > 1e-3 and item.towards != "room"]
        if not clear or length <= 0:
            continue
        tight = min(clear, key=lambda item: item.amount.value)
        if tight.amount.value / length < share:
            share = tight.amount.value / length
            why = f"{tight.amount.value:.2f} mm clear at the {tight.label} of '{one.title}', {length:.1f} mm long"
    return Standard(fingerprint(arrangement), bars, share, why)


def reading(bars: Sequence[Asked], axis: str, values: Sequence[float], sheet: int, tool: Instrument) -> BarReading:
    """The mean of some readings of one bar. Raises GateError for a bar that is not there and for slips."""
    word = "horizontal" if axis == "x" else "vertical"
    lengths = [bar.length for bar in bars if bar.axis == axis and bar.sheet == sheet]
    if not lengths:
        others = sorted({bar.sheet for bar in bars if bar.axis == axis})
        fix = f"leave out --{axis}: the sheet is too small for it"
        if others:
            fix = f"measure it on sheet {others[0]}: --sheet {others[0]}"
        raise GateError(f"sheet {sheet} has no {word} check bar", fix=fix)
    asked = lengths[0]
    for value in values:
        _no_slip(value, asked, word)
    if asked > tool.reach:
        raise GateError(f"a {tool.name} does not reach over {asked:g} mm", fix="use --with 'steel rule'")
    return BarReading(axis, asked, sum(values) / len(values), 2 * tool.u_lines(asked, len(values)) / asked)


def _no_slip(value: float, asked: float, word: str) -> None:
    """Raises GateError for a reading that cannot be of this bar, and says what it looks like."""
    ten_out = abs(abs(value - asked) - 10) <= 0.5
    if math.isfinite(value) and value > 0 and abs(value / asked - 1) <= SLIP and not ten_out:
        return
    why, fix = "", "measure from tick to tick, in mm, and type it again"
    if abs(value * INCH_MM / asked - 1) <= SLIP:
        why = ": it looks like inches"
    elif ten_out:
        why, fix = ": it looks 10 mm out", "read the scale again; if it is so, print at 100 %"
    elif abs(value / asked - PIXEL) <= 0.01:
        why, fix = ": it looks as if a program took millimetres for pixels", "print the PDF at 100 %, and measure again"
    raise GateError(f"{value:g} mm cannot be the {word} check bar, which should be {asked:g} mm{why}", fix=fix)


def example(bars: Sequence[Asked]) -> str:
    """The options that tell readings of the first sheet that has bars, as if they had come out nearly right."""
    first = min((bar.sheet for bar in bars), default=0)
    share = {"x": 0.998, "y": 1.001}
    return " ".join(f"--{bar.axis} {bar.length * share[bar.axis]:.1f}" for bar in bars if bar.sheet == first)


def judge(needed: Standard, found: Sequence[BarReading], tool: Instrument) -> Verdict:
    """Whether the readings allow the film to be printed."""
    word = worst(one.word(needed.share) for one in found)
    rows = [
        f"{'horizontal' if one.axis == 'x' else 'vertical'} bar: {one.read:.2f} mm of {one.asked:g} mm, {one.off:+.2%} "
        f"± {one.expanded:.2%} (k = 2): {one.word(needed.share)}"
        for one in found
    ]
    rows.append(f"allowed: {needed.share:.2%} ({needed.why}), plus the uncertainty")
    if word == "cannot tell":
        rows.append(_how_to_tell(min(one.asked for one in found), needed.share, tool))
    if word == "refused":
        ratios = {one.axis: one.read / one.asked for one in found}
        cause = diagnose(ratios.get("x", 1.0), ratios.get("y", 1.0))
        if cause:
            rows.append(f"it looks as if {cause[0]}: {cause[1]}, then print the proof again")
        else:
            rows.append("calibrate the printer with this film (`decalgen calibrate print`), then print the proof again")
    return Verdict(word, tuple(found), tuple(rows))


def worst(words: Iterable[VerdictWord]) -> VerdictWord:
    """What several verdicts come to."""
    return min(words, key=WORST_FIRST.index)


def _how_to_tell(asked: float, share: float, tool: Instrument) -> str:
    """What would settle it: how many readings of a bar of ``asked`` mm, with what; or that nothing would."""
    for one in (tool, CALIPER):
        left = (share * asked / 2) ** 2 - one.systematic(asked) ** 2
        times = math.ceil(one.placing**2 / left) if left > 0 and asked <= one.reach else 0
        if 0 < times <= MOST_READINGS:
            often = "once" if times == 1 else f"{times} times"
            return f"a {one.name} is fine enough: measure each bar {often} (--with {shlex.quote(one.name)})"
    return (
        "not even a caliper can measure that finely: leave the tightest decal more room, or print it on a larger sheet"
    )


def unproven(again: str, nested_again: bool = False, proof: str = "") -> GateError:
    """What is said of a sheet without a proof. ``again``: the command that says one was passed; ``nested_again``: there
    are a proof's positions, but others are asked for; ``proof``: what the proof of that sheet is called."""
    if nested_again:
        return GateError(
            "a sheet that is nested again has no passed proof",
            fix=f"leave out --nest-again, or make a new proof with `decalgen proof`, measure it, then `{again}`; "
            + OVERRIDE,
        )
    named = f" (it is named like the sheet: `decalgen proof` with `-o {proof}`)" if proof else ""
    return GateError(
        "this sheet has no passed proof yet",
        fix=f"print the proof on paper{named}, measure its check bars, then `{again}`; {OVERRIDE}",
    )


def check_proven(now: Fingerprint, proven: Fingerprint | None, word: VerdictWord | None, again: str) -> None:
    """Raises GateError unless a proof of just this was passed. ``again``: the command that says it was."""
    if proven is None or word is None:
        raise unproven(again)
    changed = proven.changed(now)
    if changed:
        raise GateError(
            f"the measured proof no longer holds: {' and '.join(changed)} changed since",
            fix=f"make the proof again with `decalgen proof`, measure it, then `{again}`; {OVERRIDE}",
        )
    if word == "in part":
        raise GateError(
            "sheets of another size of this proof were not measured",
            fix=f"a print dialog may fit one size and not the other: `{again}` with --sheet for each; {OVERRIDE}",
        )
    if word != "passed":
        said = "was off size" if word == "refused" else "could not be judged"
        raise GateError(
            f"the proof of this sheet {said}",
            fix=f"put that right, print the proof again, then `{again}` with the new readings; {OVERRIDE}",
        )


def _sha(rows: Iterable[str]) -> str:
    return hashlib.sha256("\n".join(rows).encode("utf-8")).hexdigest()
