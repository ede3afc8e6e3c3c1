"""The groups of a printer file that say what it was calibrated for and how: `for`, `calibrations`, `check bars`."""

from __future__ import annotations

import json
from datetime import date

from decalgen.core.instruments import InstrumentError, line_instrument
from decalgen.job.nodes import Listing, Mapping, Node
from decalgen.job.printer_entries import HISTORY_GROUPS, BarsEntry, DatedEntry, SettingEntry
from decalgen.job.reader import Reader
from decalgen.job.scope import Told
from decalgen.printer.estimate import Estimate
from decalgen.printer.history import Bars, Dated, History, Setting

MOST = 500


def is_day(text: str) -> bool:
    """Whether a text is a day written as 2026-11-25."""
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def read_history(reader: Reader, group: Mapping) -> History | None:
    """The three groups; None where a file has none of them. Raises `Told` with every mistake noted."""
    if not any(group.get(key) is not None for key in HISTORY_GROUPS):
        return None
    if group.get("calibrations") is not None:
        for key in ("scale x", "scale y", "lean"):
            twice = group.get(key)
            if twice is not None:
                reader.problems.add(
                    f"'{key}' and 'calibrations' both say how to correct", twice.place, f"take '{key}' out"
                )
                raise Told
    setting = None
    node = group.get("for")
    if node is not None:
        entry = reader.read(SettingEntry, node, "'for'")
        size = (entry.width, entry.height)
        setting = Setting(entry.film, entry.kind, *size, entry.adhesive, entry.tray, entry.feed, entry.paper_type)
    dated = []
    for one in _items(reader, group.get("calibrations"), "calibrations"):
        found = reader.read(DatedEntry, one, "a calibration")
        _day(reader, found.date, one)
        lean = None if found.lean is None else Estimate(found.lean, found.u_lean)
        known = (Estimate(found.x, found.u_x), Estimate(found.y, found.u_y))
        dated.append(Dated(found.date, *known, lean, found.readings, _tool(reader, found.by, one)))
    bars = []
    for one in _items(reader, group.get("check bars"), "check bars"):
        read = reader.read(BarsEntry, one, "a reading of check bars")
        _day(reader, read.date, one)
        tool = _tool(reader, read.by, one)
        bars.append(Bars(read.date, read.x, read.y, read.asked_x, read.asked_y, read.readings, tool))
    return History(setting, tuple(dated), tuple(bars))


def _items(reader: Reader, node: Node | None, what: str) -> tuple[Node, ...]:
    if node is None:
        return ()
    items = tuple(node.items) if isinstance(node, Listing) else (node,)
    if len(items) > MOST:
        reader.problems.add(f"{len(items)} {what} are given", node.place, f"keep the last {MOST}")
        raise Told
    return items


def _day(reader: Reader, text: str, node: Node) -> None:
    if not is_day(text):
        reader.problems.add(f"'{text}' is not a date", node.place, 'write year, month and day: "2026-11-25"')
        raise Told


def _tool(reader: Reader, text: str, node: Node) -> str:
    """The instrument by its own name. Raises `Told` where there is none."""
    try:
        return line_instrument(text).name
    except InstrumentError as error:
        reader.problems.add(error.message, node.place, error.fix)
        raise Told from None


def history_rows(known: History) -> list[str]:
    """The groups as lines of a printer file."""
    rows = []
    one = known.setting
    if one:
        told = f"film: {_quoted(one.film)}, kind: {one.kind}, width: {one.width:g} mm, height: {one.height:g} mm"
        told += f", adhesive: {'yes' if one.adhesive else 'no'}"
        told += f", tray: {_quoted(one.tray)}" * bool(one.tray) + f", feed: {one.feed}"
        told += f", paper type: {_quoted(one.paper_type)}" * bool(one.paper_type)
        rows.append(f"for: {{{told}}}")
    if known.calibrations:
        rows.append("calibrations:    # printed over asked, each with its standard uncertainty; the newest corrects")
        rows += [_calibration_row(dated) for dated in known.calibrations]
    if known.bars:
        rows.append("check bars:    # on film, printed with the correction in use on that day")
        rows += [_bars_row(bars) for bars in known.bars]
    return rows


def _calibration_row(one: Dated) -> str:
    lean = f", lean: {one.lean.value:.8f}, u lean: {one.lean.u:.8f}" if one.lean else ""
    return (
        f'  - {{date: "{one.date}", x: {one.x.value:.8f}, u x: {one.x.u:.8f}, y: {one.y.value:.8f}, '
        f"u y: {one.y.u:.8f}{lean}, readings: {one.readings}, by: {one.tool}}}"
    )


def _bars_row(one: Bars) -> str:
    return (
        f'  - {{date: "{one.date}", x: {one.x:.3f} mm, y: {one.y:.3f} mm, asked x: {one.asked_x:g} mm, '
        f"asked y: {one.asked_y:g} mm, readings: {one.readings}, by: {one.tool}}}"
    )


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
