"""How much of its film an arrangement uses, how much is left, and the least that is possible."""

from __future__ import annotations

import math

from decalgen.core.geometry import Bounds
from decalgen.nesting import Nest, Remnant, SheetUse
from decalgen.printer.history import size_sentence
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.film_area import longest


def reckoned(arrangement: Arrangement, remnant: Remnant = "rectangle") -> list[str]:
    """A line a sheet on what it holds, uses and keeps free, and one on its size error unless a print shop answers for
    it; a line a kind of film on what could still be saved; what went wrong on the way. ``remnant``: what the nest was
    asked to keep free."""
    rows = []
    for sheet, use in zip(arrangement.sheets, uses(arrangement), strict=True):
        rows.append(_sheet(sheet, use, remnant))
        if not sheet.printer.shop:
            rows.append(f"  {size_sentence(sheet.printer.history, longest(sheet.film, sheet.printer))}")
    several = len(arrangement.nests) > 1
    for nest in arrangement.nests:
        rows.append(_bound(nest, remnant, f"{_kind(nest, arrangement)} film: " if several else ""))
    return [*rows, *_on_the_way(arrangement)]


def in_short(arrangement: Arrangement, remnant: Remnant = "rectangle") -> list[str]:
    """What matters of `reckoned`: a line a sheet with what is left of it, the size error to expect, once where it is
    that of all sheets, and what went wrong on the way."""
    found = uses(arrangement)
    rows: list[str] = []
    for sheet, use in zip(arrangement.sheets, found, strict=True):
        left = "" if use is None else f"; {_left(sheet, use, remnant)}"
        rows.append(f"{_head(sheet)}{left}")
        if not sheet.printer.shop:
            rows.append(f"  {size_sentence(sheet.printer.history, longest(sheet.film, sheet.printer))}")
    if len(sizes := {row for row in rows if row.startswith("  ")}) == 1:
        rows = [*(row for row in rows if row not in sizes), sizes.pop().strip()]
    return [*rows, *_on_the_way(arrangement)]


def uses(arrangement: Arrangement) -> list[SheetUse | None]:
    """How much of each sheet is used, in the order of the sheets; None where no nest says."""
    known = {(use.region, use.number): use for nest in arrangement.nests for use in nest.used}
    numbers: dict[str, int] = {}
    found = []
    for sheet in arrangement.sheets:
        number = numbers.get(sheet.film.name, 0)
        numbers[sheet.film.name] = number + 1
        found.append(known.get((sheet.film.name, number)))
    return found


def _on_the_way(arrangement: Arrangement) -> list[str]:
    notes = dict.fromkeys(note for nest in arrangement.nests for note in nest.notes)
    rows = [f"nesting: {note}" for note in notes]
    if not arrangement.complete:
        kept = "these positions are kept; nesting again may give others"
        rows.append(f"nesting was cut short, or pieces were moved by hand: {kept}")
    return rows


def _head(sheet: Sheet) -> str:
    count = len(sheet.placed)
    return f"sheet {sheet.index} of {sheet.of}: {sheet.film.name}, {count} piece{'' if count == 1 else 's'}"


def kept(sheet: Sheet, use: SheetUse, remnant: Remnant) -> Bounds | None:
    """The piece that is left: what the proof says stays blank; of a strip what the nest kept."""
    return use.remnant if remnant == "strip" else sheet.rest


def _left(sheet: Sheet, use: SheetUse, remnant: Remnant) -> str:
    """What is left in one piece."""
    rest = kept(sheet, use, remnant)
    if rest is None:
        return "nothing useful is left"
    x0, y0, x1, y1 = rest
    size = f"{x1 - x0:.0f} × {y1 - y0:.0f} mm"
    if remnant == "strip":
        return f"left: a strip of {size}"
    return f"left: {size} in one piece, {(x1 - x0) * (y1 - y0) / 100:.1f} cm²"


def _sheet(sheet: Sheet, use: SheetUse | None, remnant: Remnant) -> str:
    area = sum(p.cut.area for p in sheet.placed)
    row = f"{_head(sheet)}, {area / sheet.area.area:.0%} of the printable film"
    if use is None:
        return row
    x0, y0, x1, y1 = kept(sheet, use, remnant) or (0.0, 0.0, 0.0, 0.0)
    left = (x1 - x0) * (y1 - y0) / 100
    row += f"; used: {use.used_length:.1f} of {use.length:.1f} mm, "
    if remnant == "strip":
        row += f"{_across(sheet, use) * use.used_length / 100:.1f} cm²"
    else:
        row += f"{use.free_area / 100 - left:.1f} of {use.free_area / 100:.1f} cm²"
    return f"{row}; {_left(sheet, use, remnant)}"


def _across(sheet: Sheet, use: SheetUse) -> float:
    """The printable film across the way in which its used length is measured."""
    x0, y0, x1, y1 = sheet.area.bounds
    wide, high = float(x1 - x0), float(y1 - y0)
    return high if abs(wide - use.length) < abs(high - use.length) else wide


def _bound(nest: Nest, remnant: Remnant, lead: str) -> str:
    bound, count = nest.bound, len(nest.used)
    said = []
    if remnant == "strip" and bound.used_length > 0:
        said.append(f"uses {nest.used_length:.1f} mm; the least possible is {bound.used_length:.1f} mm")
    # Rounded down, and what could be saved up: a bound must not promise more than it holds.
    least = math.floor(round(bound.least / 10, 6)) / 10
    if remnant == "rectangle" and bound.used > 0:
        said.append(f"uses {bound.used / 100:.1f} cm² with its gaps; the least possible is {least:.1f} cm²")
    more = bound.used - bound.least
    if more > 1e-3:
        saved = max(round(round(bound.used / 100, 1) - least, 1), math.ceil(round(more / 10, 6)) / 10)
        film = sum(use.free_area for use in nest.used) / 100
        said.append(
            f"at most {saved:.1f} cm² could still be saved, {math.ceil(100 * saved / film)} % of the printable film "
            f"({math.ceil(round(bound.saving, 6))} % of the film used)"
        )
    else:
        said.append("no film can be saved")
    sheets = f"{count} sheet{'' if count == 1 else 's'}"
    if bound.fewest_sheets:
        said.append(f"{sheets}, proven fewest")
    else:
        said.append(f"{sheets}, not proven fewest: by area {bound.sheets} might do")
    return lead + "; ".join(said)


def _kind(nest: Nest, arrangement: Arrangement) -> str:
    names = {use.region for use in nest.used}
    return next((sheet.film.kind for sheet in arrangement.sheets if sheet.film.name in names), "other")
