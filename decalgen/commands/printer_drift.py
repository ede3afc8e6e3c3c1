"""What `calibrate history` and `calibrate bars` do: how a printer moved over time, and check bars read off a film."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from statistics import median

from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.core.command_line import quoted, typed
from decalgen.core.errors import Finding, InputError
from decalgen.core.files import write_files
from decalgen.core.instruments import Instrument, line_instrument
from decalgen.core.lengths.units import INCH_MM
from decalgen.core.values import dataclass
from decalgen.job.calibrated import is_day
from decalgen.job.films import load_film
from decalgen.job.printer_text import printer_text
from decalgen.printer.causes import PrintedPage, causes
from decalgen.printer.causes import told as told_causes
from decalgen.printer.history import TOLERANCE, Bars, Dated, History, significant, told
from decalgen.printer.slips import PLAUSIBLE
from decalgen.printer.target import CalibrationError
from decalgen.printer.typed_lengths import readings
from decalgen.sheet.marks import least_span
from decalgen.workshop.profiles import Kept, fits, folder, kept, matching

LENGTH = 100.0
"""Of a check bar where the sheet is large enough, mm."""


def history(words: str | None) -> Result:
    """Every kept profile, or those that words name: each calibration, how far it moved, and the bars read since."""
    found = matching(words) if words else kept()
    if not found:
        none = f"no profile is kept in '{folder()}' yet: `decalgen calibrate read --keep NAME` makes one"
        return Result((), lines=(none,), answer=Answer("listed 0 profiles", "decalgen calibrate print"))
    rows: list[str] = []
    for one in found:
        rows += [one.words, f"  {one.path}", *history_rows(one.printer.history or History())]
    done = f"listed {len(found)} profile{'' if len(found) == 1 else 's'}"
    follow = f"decalgen calibrate bars {quoted(found[0].words)} --x ____ --y ____ --date ____-__-__"
    return Result((), lines=tuple(rows), answer=Answer(done, follow))


def history_rows(known: History) -> list[str]:
    """Each calibration, how far the printer moved since the one before, and the bars read, in the order of time."""
    rows: list[tuple[str, str]] = []
    former: Dated | None = None
    for dated in known.calibrations:
        x, y = dated.x, dated.y
        text = f"x {x.value:.5f} ± {x.expanded:.5f}, y {y.value:.5f} ± {y.expanded:.5f}"
        if dated.lean:
            text += f", lean {dated.lean.value * 100:+.3f} ± {dated.lean.expanded * 100:.3f} mm in 100 mm"
        use = ", the newest" if dated is known.newest else ""
        rows.append((dated.date, f"  {dated.date}  {text} ({dated.readings} readings, {dated.tool}{use})"))
        if former:
            rows.append((dated.date, f"              since {former.date}: {told(former, dated)}"))
        former = dated
    rows += [(bars.date, f"  {bars.date}  check bars: {_words(bars)}") for bars in known.bars]
    return [text for _, text in sorted(rows, key=lambda row: row[0])] or ["  no calibration yet"]


def _words(bars: Bars) -> str:
    parts = []
    for axis, read, asked in (("x", bars.x, bars.asked_x), ("y", bars.y, bars.asked_y)):
        ratio = bars.ratio(axis)
        if ratio:
            parts.append(f"{axis} {read:.2f} mm of {asked:g} mm ({(ratio.value - 1) * 100:+.2f} %)")
    return ", ".join(parts)


@dataclass(frozen=True)
class Read:
    """Lengths on a film as typed: from cross to cross of its marks, or its check bars if an earlier version printed it.
    ``film``: where the printer has profiles for several films. ``asked_x``, ``asked_y``: how long they should be, where
    it is not 100 mm; ``record``: the record of the print, which says that of its ``sheet``."""

    words: str
    x: Sequence[str]
    y: Sequence[str]
    date: str
    film: str | None = None
    tool: str = "caliper"
    asked_x: str | None = None
    asked_y: str | None = None
    record: Path | None = None
    sheet: int = 1


def bars(read: Read) -> Result:
    """Keeps the reading of a film's check bars in the printer's profile, and says whether the print has drifted.

    Raises CalibrationError for readings that cannot be right, InputError where no single profile is meant.
    """
    tool = line_instrument(read.tool)
    if not is_day(read.date):
        raise CalibrationError(
            f"'{read.date[:40]}' is not a date", fix="write year, month and day of the print: --date 2026-11-25"
        )
    one = _profile(read)
    known = one.printer.history
    if known is None or known.newest is None:
        raise InputError(
            f"'{one.words}' has no calibration to drift from", fix="calibrate it first: `decalgen calibrate print`"
        )
    found: list[Finding] = []
    recorded = _recorded(read)
    asked_x, asked_y = _asked(read.asked_x, "x", recorded), _asked(read.asked_y, "y", recorded)
    x, many_x = _mean("x", read.x, asked_x, tool, found)
    y, many_y = _mean("y", read.y, asked_y, tool, found)
    counts = [count for count in (many_x, many_y) if count]
    if not counts:
        raise CalibrationError("no bar was read", fix="add --x ____ and --y ____: the horizontal and the vertical bar")
    new = Bars(read.date, x, y, asked_x, asked_y, min(counts), tool.name)
    after = replace(known, bars=tuple(sorted((*known.bars, new), key=lambda bar: bar.date)))
    rows = [f"check bars: {_words(new)}"]
    if new.date < known.newest.date:
        rows.append(f"they were printed before the calibration of {known.newest.date} and say nothing about it")
    else:
        found += _verdict(new, after, known.newest, one)
        rows.append(_outcome(replace(after, bars=(new,)), known.newest))
        rows += [
            f"{axis}: {asked:g} mm is short: it can show that the print is wrong, not that it is right"
            for axis, value, asked in (("x", x, asked_x), ("y", y, asked_y))
            if value and asked < least_span(TOLERANCE)
        ]
    notes = (f"Printer profile for {one.words}. Kept by `decalgen calibrate`.",)
    text = printer_text(replace(one.printer, history=after), notes)
    files = write_files({one.path: text.encode("utf-8")})
    drifted = any(finding.severity == "warning" and finding.code == "drift" for finding in found)
    follow = typed(["decalgen", "calibrate", "print", "--printer", one.printer.name, "--film", one.setting.film])
    history = typed(["decalgen", "calibrate", "history", one.printer.name])
    answer = Answer("kept the check bars", follow if drifted else history, (FileGroup("the profile", files),))
    return Result(files, tuple(found), tuple(rows), answer)


def _profile(read: Read) -> Kept:
    """The one profile that is meant."""
    found = matching(read.words)
    if read.film is not None:
        sheet = load_film(read.film, found[0].printer.process)
        fitting = tuple(one for one in found if fits(one.setting, sheet))
        if not fitting:
            listed = "; ".join(str(one.setting) for one in found)
            raise InputError(f"'{read.words}' has no profile for the film '{sheet.name}'", fix=f"it has: {listed}")
        found = fitting
    if len(found) > 1:
        listed = "; ".join(str(one.setting) for one in found)
        raise InputError(
            f"'{read.words}' has {len(found)} profiles: {listed}",
            fix=f'say which, by --film or in words: "{found[0].printer.name}, {found[0].setting.film}"',
        )
    return found[0]


def _recorded(read: Read) -> dict[str, float]:
    """The lengths that the record of a print says of one of its sheets, by the axis; none of an older one, whose film
    has check bars."""
    if read.record is None:
        return {}
    from decalgen.commands.again import record_text
    from decalgen.sheet.record import read_record

    crosses = read_record(record_text(read.record), str(read.record)).crosses
    if crosses is None:
        return {}
    found = {one.axis: one.length for one in crosses if one.sheet == read.sheet}
    if not found:
        sheets = sorted({one.sheet for one in crosses})
        named = f"measure sheet {' or '.join(map(str, sheets))}: --sheet" if sheets else "its film carries no crosses"
        raise InputError(f"'{read.record}' has no crosses on sheet {read.sheet}", fix=named)
    return found


def _asked(text: str | None, axis: str, recorded: Mapping[str, float]) -> float:
    if text is None:
        return recorded.get(axis, LENGTH)
    values = readings(text)
    if len(values) != 1 or not 10 <= values[0] <= 500:
        raise CalibrationError(
            f"--asked-{axis}: '{text[:40]}' is not the length of a bar", fix="write it in mm, such as 60"
        )
    return values[0]


def _mean(axis: str, typed: Sequence[str], asked: float, tool: Instrument, found: list[Finding]) -> tuple[float, int]:
    """The mean of what was read, without slips, and of how many; nought for a bar that was not read."""
    values = [value for text in typed for value in readings(text)]
    if not values:
        return 0.0, 0
    middle = median(values)
    good = [value for value in values if abs(value - middle) <= tool.slip]
    if not good:
        listed = ", ".join(f"{value:.2f}" for value in values)
        raise CalibrationError(f"bar {axis}: the readings {listed} do not agree", fix="measure it again, three times")
    for value in values:
        if value not in good:
            what = f"the reading {value:.2f} mm is {abs(value - middle):.2f} mm off the others and is left out"
            found.append(Finding("warning", "slip", f"bar {axis}", what, "measure it again"))
    value = sum(good) / len(good)
    low, high = PLAUSIBLE
    why, fix = "", f"say how long it should be (--asked-{axis}, or --record), and read it again"
    if low <= value * INCH_MM / asked <= high:
        why, fix = ": it looks like inches", "write the unit: 3.931 in"
    elif abs(abs(value - asked) - 10) <= 0.5:
        why, fix = ": it looks 10 mm out", "read the scale again"
    if why or not low <= value / asked <= high:
        raise CalibrationError(f"bar {axis}: {value:.2f} mm was read, but it should be {asked:g} mm{why}", fix=fix)
    return value, len(good)


def _verdict(new: Bars, after: History, newest: Dated, one: Kept) -> list[Finding]:
    """A warning for each way that has drifted too far, a note for each that has drifted at all."""
    found = []
    x, y = (ratio.value if ratio else None for ratio in (new.ratio("x"), new.ratio("y")))
    usual = causes(x, y, PrintedPage(one.setting.width, one.setting.height, one.printer.margins))
    name = one.printer.name
    alone = replace(after, bars=(new,))
    for axis in ("x", "y"):
        drift = alone.drift(axis)
        if drift is None or not significant(drift):
            continue
        what = f"{axis} has moved by {drift.value * 100:+.2f} ± {drift.expanded * 100:.2f} % since {newest.date}"
        if abs(drift.value) <= TOLERANCE:
            found.append(Finding("note", "drift", name, what, "calibrate again when it suits"))
            continue
        what += f", more than the {TOLERANCE * 100:.1f} % allowed"
        fix = "calibrate again before you use more film: `decalgen calibrate print`"
        if usual:
            said, cure = told_causes(usual)
            what, fix = f"{what}; it looks as if {said}", f"{cure}, and read the bars of the next print"
        found.append(Finding("warning", "drift", name, what, fix))
    return found


def _outcome(alone: History, newest: Dated) -> str:
    moves = {axis: drift for axis in ("x", "y") if (drift := alone.drift(axis))}
    parts = [f"{axis} {move.value * 100:+.3f} ± {move.expanded * 100:.3f} %" for axis, move in moves.items()]
    verdict = "the print has moved" if any(significant(move) for move in moves.values()) else "no drift found"
    return f"since the calibration of {newest.date}: {', '.join(parts)} (k = 2): {verdict}"
