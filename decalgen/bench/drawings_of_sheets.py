"""Sheets of the film drawer on the page: what is left of each, what is gone hatched, as on the paper of `film show`."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from decalgen.bench.pictures import UNIT, path_data, ring_data
from decalgen.core.geometry import region
from decalgen.pages.composer import hatch
from decalgen.pages.drawer_sheet import HATCHES, PITCH, largest_free, largest_size, leading_arrow, used_areas
from decalgen.workshop.drawer import OwnedSheet

ROWS = 60
"""So many rows of the closest hatch run across the longer side of a sheet: closer ones would be grey on a screen."""

MOST_KEPT = 500


@lru_cache(maxsize=MOST_KEPT)
def sheet_drawing(sheet: OwnedSheet, rows: int = ROWS) -> dict[str, Any]:
    """One sheet for the page, µm, y up: ``free``; ``gone`` with its outline and hatch; the ``largest`` free rectangle;
    the ``arrow`` at the edge that is fed first; the ``marks`` of earlier prints; ``labels`` of what was done."""
    entry = sheet.entry
    scale = max(entry.width, entry.height) / rows / PITCH
    gone = []
    for why, area in used_areas(sheet).items():
        if area.is_empty:
            continue
        pitch, angle, _ = HATCHES[why]
        lines = [line for one in area.geoms for line in hatch(one, pitch * scale, angle)]
        hatched = "".join(ring_data(line, closed=False) for line in lines)
        gone.append({"why": why, "d": path_data(area), "hatch": hatched})
    free = largest_free(sheet) if not sheet.free.is_empty else None
    return {
        "box": [0, 0, round(entry.width * UNIT), round(entry.height * UNIT)],
        "kind": entry.kind,
        "free": path_data(sheet.free),
        "gone": gone,
        "largest": [round(v * UNIT) for v in free] if free and sheet.parts else [],
        "size": largest_size(sheet) if sheet.parts else "",
        "arrow": path_data(leading_arrow(sheet)),
        "marks": [[round(x * UNIT), round(y * UNIT), number] for x, y, number in sheet.marks_left],
        "labels": _labels(sheet),
    }


def _labels(sheet: OwnedSheet) -> list[dict[str, Any]]:
    """What was done in each step, in the largest of its parts that still shows."""
    shown = used_areas(sheet)
    found = []
    for step in sorted({one.step for one in sheet.parts}):
        parts = [one for one in sheet.parts if one.step == step]
        left = [area for one in parts for area in region(one.polygon.intersection(shown[one.why])).geoms]
        if not left:
            continue
        largest = max(left, key=lambda area: area.area)
        x0, y0, x1, y1 = largest.bounds
        spot = largest.representative_point()
        words = step_words(sheet, step)
        at = [round(spot.x * UNIT), round(spot.y * UNIT)]
        found.append({"at": at, "words": words, "room": [round((x1 - x0) * UNIT), round((y1 - y0) * UNIT)]})
    return found


def step_words(sheet: OwnedSheet, step: int) -> str:
    """'printed: gannet.positions.json', 'cut off: 148 × 60 mm'."""
    first, *more = (one for one in sheet.parts if one.step == step)
    x0, y0, x1, y1 = first.polygon.bounds
    about = first.about or ("" if more else f"{x1 - x0:.0f} × {y1 - y0:.0f} mm")
    return f"{first.why}: {about}" if about else first.why
