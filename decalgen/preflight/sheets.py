"""Rules for sheets before they are printed: pieces where they can be printed and cut, film not spent on little.

Positions come from the nest, which is checked, or from a file, which anyone may have edited.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from shapely import STRtree

from decalgen.core.errors import Finding
from decalgen.core.geometry import TOLERANCE
from decalgen.nesting.remnant import largest_rectangle
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.film_area import CLEARANCE, used_parts
from decalgen.sheet.pieces import Placed
from decalgen.sheet.plan import GAP

ROOM = 2 * TOLERANCE
"""What rounding of a position to a micrometre may cost, mm."""
CLOSE = 1e-4
"""How much nearer to each other than both bleeds cut lines may be, mm: turned arcs are flattened to polygons."""
WASTED = 0.15
"""A sheet whose pieces take less than this part of its printable film is hardly used."""

SheetRule = Callable[[Sheet], list[Finding]]


def outside_margin(sheet: Sheet) -> list[Finding]:
    """Pieces that reach, with their bleed, where the printer prints nothing."""
    found = []
    area = sheet.area.buffer(ROOM, join_style="mitre")
    for placed in sheet.placed:
        if area.contains(placed.outer):
            continue
        x0, y0, x1, y1 = sheet.area.bounds
        a0, b0, a1, b1 = placed.outer.bounds
        over = max(x0 - a0, y0 - b0, a1 - x1, b1 - y1, 0.0)
        found.append(
            Finding(
                "error",
                "outside-margin",
                _called(placed, sheet),
                f"reaches {over:.2f} mm into the margin of '{sheet.printer.name}', where nothing is printed",
                f"move it to within {x0:g} to {x1:g} mm across and {y0:g} to {y1:g} mm up, or nest again "
                "(`--nest-again`)",
                measured=-over,
                limit=0.0,
            )
        )
    return found


def on_used_film(sheet: Sheet) -> list[Finding]:
    """Pieces on a part of the film that is gone."""
    used = used_parts(sheet.film)
    return [
        Finding(
            "error",
            "on-used-film",
            _called(placed, sheet),
            f"lies on a part of the film '{sheet.film.name}' that is used up",
            "move it, or nest again (`--nest-again`)",
        )
        for placed in sheet.placed
        if any(placed.outer.intersection(part).area > ROOM for part in used)
    ]


def on_marks(sheet: Sheet) -> list[Finding]:
    """Pieces over check bars or marks."""
    return [
        Finding(
            "error",
            "on-marks",
            _called(placed, sheet),
            "lies on the sheet's marks or check bars",
            "move it, or nest again (`--nest-again`)",
        )
        for placed in sheet.placed
        if any(placed.outer.intersection(part).area > ROOM for part in sheet.furniture.keep_outs)
    ]


def pieces_apart(sheet: Sheet) -> list[Finding]:
    """Pieces that lie over each other, or a piece in the bleed of another."""
    outers = [placed.outer for placed in sheet.placed]
    if len(outers) < 2:
        return []
    tree = STRtree(outers)
    found = []
    for a, b in sorted((int(i), int(j)) for i, j in tree.query(outers, predicate="intersects").T if i < j):
        shared = outers[a].intersection(outers[b]).area
        if shared > ROOM and not _only_corners_meet(sheet.placed[a], sheet.placed[b]):
            found.append(
                Finding(
                    "error",
                    "pieces-overlap",
                    _called(sheet.placed[a], sheet),
                    f"lies over {_called(sheet.placed[b], sheet)}: they share {shared:.2f} mm²",
                    "move one of them, or nest again (`--nest-again`)",
                    measured=shared,
                    limit=0.0,
                    unit="mm²",
                )
            )
    return found


def _only_corners_meet(a: Placed, b: Placed) -> bool:
    """Whether two pieces share no more than mitred corners of their bleeds, which reach further than the bleed: the
    cut lines are as far apart as both bleeds are wide, and what is shared is cut away from both."""
    apart = a.cut.distance(b.cut) >= a.piece.artwork.bleed + b.piece.artwork.bleed - CLOSE
    over = max(a.outer.intersection(b.cut).area, b.outer.intersection(a.cut).area)
    return bool(apart and over <= ROOM)


def wasted_sheet(sheet: Sheet) -> list[Finding]:
    """A sheet spent on next to nothing, with how many more of its largest piece go on it for certain."""
    share = sum(placed.cut.area for placed in sheet.placed) / sheet.area.area
    if share >= WASTED:
        return []
    # A backing of white film goes with its decal: no one asks for more of it alone.
    decals = [placed for placed in sheet.placed if not placed.piece.artwork.backing]
    largest = max(decals or sheet.placed, key=lambda placed: placed.cut.area)
    more = _more(sheet, largest) if decals else 0
    name = f"'{largest.piece.artwork.name}' of {largest.piece.title}"
    spare = f"write `spares: {more}` of {name}, which fit in the free film, " if more else ""
    return [
        Finding(
            "note",
            "sheet-wasted",
            f"sheet {sheet.index} of {sheet.of}",
            f"its {len(sheet.placed)} pieces take {share:.0%} of the printable film of '{sheet.film.name}'",
            f"{spare}add other jobs to this run, or take a smaller sheet with `--film`",
            measured=round(100 * share, 1),
            limit=100 * WASTED,
            unit="%",
        )
    ]


def _more(sheet: Sheet, placed: Placed) -> int:
    """How many more copies of a piece stand in rows in the largest free rectangle, bleed and gap between them."""
    bleed = placed.piece.artwork.bleed
    gap = max(GAP, 2 * bleed)
    keep_outs = (*used_parts(sheet.film), *sheet.furniture.keep_outs)
    taken = [one.cut.buffer(gap, join_style="mitre") for one in sheet.placed]
    taken += [part.buffer(CLEARANCE + bleed, join_style="mitre") for part in keep_outs]
    room = sheet.area.buffer(-bleed, join_style="mitre").bounds
    free = largest_rectangle(room, np.array(taken, dtype=object))
    if free is None:
        return 0
    wide, high = free[2] - free[0], free[3] - free[1]
    x0, y0, x1, y1 = placed.cut.bounds
    ways = [(x1 - x0, y1 - y0)]
    if placed.piece.turn:
        ways.append((y1 - y0, x1 - x0))
    return int(max(math.floor((wide + gap) / (w + gap)) * math.floor((high + gap) / (h + gap)) for w, h in ways))


def _called(placed: Placed, sheet: Sheet) -> str:
    piece = placed.piece
    return f"{piece.artwork.name} of {piece.title}, copy {piece.copy + 1}, sheet {sheet.index}"


SHEET_RULES: tuple[SheetRule, ...] = (outside_margin, on_used_film, on_marks, pieces_apart, wasted_sheet)


def check_sheets(arrangement: Arrangement) -> tuple[Finding, ...]:
    """All findings over the sheets of an arrangement, errors first."""
    found = [finding for rule in SHEET_RULES for sheet in arrangement.sheets for finding in rule(sheet)]
    return tuple(sorted(found, key=lambda finding: finding.severity != "error"))
