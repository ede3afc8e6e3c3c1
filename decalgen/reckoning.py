"""What a layout is said to use of its film: how much, what is left, and how much less could do at the very best."""

from __future__ import annotations

import math

from decalgen.film_area import longest
from decalgen.history import size_sentence
from decalgen.nesting import Nest, Remnant, SheetUse
from decalgen.sheet import Layout, Sheet


def reckoned(layout: Layout, remnant: Remnant = "rectangle") -> list[str]:
    """A line a sheet on what it holds, uses and keeps free, and one on its size error; a line a kind of film on what
    could still be saved; what went wrong on the way. ``remnant``: what the nest was asked to keep free."""
    uses = {(use.region, use.number): use for nest in layout.nests for use in nest.used}
    numbers: dict[str, int] = {}
    rows = []
    for sheet in layout.sheets:
        number = numbers.get(sheet.film.name, 0)
        numbers[sheet.film.name] = number + 1
        rows.append(_sheet(sheet, uses.get((sheet.film.name, number)), remnant))
        rows.append(f"  {size_sentence(sheet.printer.history, longest(sheet.film, sheet.printer))}")
    several = len(layout.nests) > 1
    for nest in layout.nests:
        rows.append(_bound(nest, f"{_kind(nest, layout)} film: " if several else ""))
    for note in dict.fromkeys(note for nest in layout.nests for note in nest.notes):
        rows.append(f"nesting: {note}")
    if not layout.complete:
        rows.append("nested only in part: these positions are kept, but nesting again may give others")
    return rows


def _sheet(sheet: Sheet, use: SheetUse | None, remnant: Remnant) -> str:
    area = sum(p.cut.area for p in sheet.placed)
    count = len(sheet.placed)
    row = (
        f"sheet {sheet.index} of {sheet.of}: {sheet.film.name}, {count} piece{'' if count == 1 else 's'}, "
        f"{area / sheet.area.area:.0%} of the printable film"
    )
    if use is None:
        return row
    row += (
        f"; used: {use.used_length:.1f} of {use.length:.1f} mm, {_across(sheet, use) * use.used_length / 100:.0f} cm²"
    )
    if use.remnant is None:
        return row + "; nothing useful is left"
    x0, y0, x1, y1 = use.remnant
    what = "a strip of" if remnant == "strip" else "in one piece"
    size = f"{x1 - x0:.0f} × {y1 - y0:.0f} mm"
    return f"{row}; left: {f'{what} {size}' if remnant == 'strip' else f'{size} {what}'}"


def _across(sheet: Sheet, use: SheetUse) -> float:
    """The printable film across the way in which its used length is measured."""
    x0, y0, x1, y1 = sheet.area.bounds
    wide, high = float(x1 - x0), float(y1 - y0)
    return high if abs(wide - use.length) < abs(high - use.length) else wide


def _bound(nest: Nest, lead: str) -> str:
    bound, count = nest.bound, len(nest.used)
    said = []
    if bound.used_length > 0:
        said.append(
            f"{nest.used_length:.1f} mm used, and no layout does with less than {bound.used_length:.1f} mm, "
            "the gap counted in"
        )
    # Rounded up: a bound must not promise more than it holds.
    percent = math.ceil(round(bound.saving, 6))
    said.append(f"at most {percent} % of the film used could still be saved" if percent else "no film can be saved")
    sheets = f"{count} sheet{'' if count == 1 else 's'}"
    if bound.fewest_sheets:
        said.append(f"{sheets}, proven fewest")
    else:
        said.append(f"{sheets}, not proven fewest: by area {bound.sheets} might do")
    return lead + "; ".join(said)


def _kind(nest: Nest, layout: Layout) -> str:
    names = {use.region for use in nest.used}
    return next((sheet.film.kind for sheet in layout.sheets if sheet.film.name in names), "other")
