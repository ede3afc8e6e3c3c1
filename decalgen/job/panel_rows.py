"""Panels and obstacles that nobody has measured yet, as a job file writes them: every reading is ?. Pure."""

from __future__ import annotations

from typing import Any

from decalgen.core.errors import DecalgenError
from decalgen.core.keys import Many, specs
from decalgen.job.written import YamlValue
from decalgen.panels.base import PanelError
from decalgen.panels.registry import find, kind_for, obstacle_kinds
from decalgen.panels.unmeasured import SIGN

CLEARANCE = "0.3 mm"
"""How far decals keep away from what stands out, until the file says otherwise (common practice, no source)."""
CORNERS = {"outline": 4, "line": 2}
"""How many points a thing is begun with that is known by its points."""
LEAST_CORNERS = {"outline": 3, "line": 2}
MOST_CORNERS = 40


def measured_by(kind: str) -> tuple[str, ...]:
    """The combinations of readings that make a kind of panel, as in 'width, height', each in the order of its keys; of
    keys that mean the same, one. Raises PanelError for a kind that there is not."""
    order = [spec.key for spec in specs(_plain(find(kind)))]
    found: dict[str, None] = {}
    for need in find(kind).needs:
        if kind == "cylinder" and "length" not in need:
            continue
        found[", ".join(sorted(need, key=order.index))] = None
    return tuple(found)


def panel_rows(kind: str, way: str, corners: int = CORNERS["outline"]) -> dict[str, YamlValue]:
    """A panel of a kind with nothing measured yet, by one of the ways of `measured_by`."""
    rows: dict[str, YamlValue] = {"kind": kind}
    for key in way.split(", "):
        spec = next(one for one in specs(_plain(find(kind))) if one.key == key)
        rows[key] = open_points(corners) if isinstance(spec.kind, Many) else SIGN
    return rows


def needs_kind(rows: dict[str, YamlValue]) -> bool:
    """Whether the readings of a panel leave its kind open, so that the file has to name it."""
    try:
        return kind_for(key for key in rows if key != "kind").name != rows.get("kind")
    except PanelError:
        return True


def obstacle_rows(kind: str, corners: int = 0) -> dict[str, YamlValue]:
    """An obstacle of a kind with nothing measured yet. Raises DecalgenError for a kind that there is not."""
    if kind not in obstacle_kinds():
        raise DecalgenError(f"there is no kind of obstacle '{kind[:40]}'", fix=f"one of {', '.join(obstacle_kinds())}")
    if kind in CORNERS:
        rows: dict[str, YamlValue] = {kind: open_points(corners)}
        return {**rows, "width": SIGN} if kind == "line" else {**rows, "clearance": CLEARANCE}
    return {kind: SIGN if kind == "circle" else [SIGN, SIGN], "at": [SIGN, SIGN], "clearance": CLEARANCE}


def open_points(count: int) -> YamlValue:
    """So many points that are still to be measured."""
    return [[SIGN, SIGN] for _ in range(count)]


def _plain(cls: Any) -> Any:
    return cls
