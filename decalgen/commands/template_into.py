"""A panel that was read from its template, in a job file: added with its readings as notes, or put in place of a panel
of that name where that is asked; nothing else in the file changes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from decalgen.commands.question_values import free
from decalgen.core.keys import specs
from decalgen.core.values import dataclass
from decalgen.job.edits import EditError, add_value, remove_value, set_value, values
from decalgen.job.files import job_text
from decalgen.job.loader import job_as_written
from decalgen.job.new_names import new_name
from decalgen.job.notes_above import noted
from decalgen.job.panels import PanelEntry
from decalgen.job.restructure import grown
from decalgen.job.written import ShortList, YamlValue
from decalgen.scan.template.values import MeasuredTemplate, TemplateMark

OBSTACLES = "obstacles"


@dataclass(frozen=True)
class PanelHome:
    """Where a panel that was read goes: the job file, the panel's name, and whether it replaces one of that name."""

    path: Path
    panel: str
    instead: bool = False


def with_panel(home: PanelHome, found: MeasuredTemplate, notes: Sequence[str], text: str | None = None) -> str:
    """The job's new text; ``text``: the job's present one, None: as its file has it. Raises DecalgenError for a name
    that will not do, and JobError for a file that is no job."""
    text = job_text(home.path) if text is None else text
    job_as_written(text, home.path)
    there = (values(text).get("panels") or {}).get(home.panel)
    rows = panel_rows_of(found)
    if there is None:
        name = new_name(home.panel, "panel", values(text).get("panels") or {})
        text = grown(text, ("panels", name), rows)
    else:
        name = home.panel
        if not home.instead:
            raise EditError(
                f"the job has a panel '{name[:60]}' already, with readings of its own",
                fix="add --instead to put this one in its place, or give another name with --panel",
            )
        text = _replaced(text, name, there, rows)
    text = noted(text, ("panels", name), notes)
    job_as_written(text, home.path)
    return text


def panel_rows_of(found: MeasuredTemplate) -> dict[str, YamlValue]:
    """A panel as a job file has it; ± is U, a little more than the largest error that a job file means by it."""
    rows: dict[str, YamlValue] = {
        "outline": [
            ShortList([_mm(value, u) for value, u in zip(corner.at, corner.u, strict=True)]) for corner in found.corners
        ]
    }
    if any(side.rise for side in found.sides):
        rows["arc rises"] = ShortList([_mm(side.rise, side.rise_u) if side.rise else "0 mm" for side in found.sides])
    if any(corner.radius for corner in found.corners):
        rows["corner radii"] = ShortList([f"{corner.radius:.2f} mm" for corner in found.corners])
    if found.marks:
        rows[OBSTACLES] = {f"obstacle {n}": obstacle_rows_of(mark) for n, mark in enumerate(found.marks, 1)}
    return rows


def obstacle_rows_of(mark: TemplateMark) -> dict[str, YamlValue]:
    """An obstacle as a job file has it."""
    points = [ShortList([_mm(value, mark.u) for value in at]) for at in mark.points]
    if mark.kind == "circle":
        return {"circle": _mm(mark.size[0], mark.u), "at": points[0]}
    if mark.kind == "rectangle":
        return {"rectangle": ShortList([_mm(one, mark.u) for one in mark.size]), "at": points[0]}
    if mark.kind == "line":
        return {"line": list(points), "width": _mm(mark.size[0], mark.u)}
    return {"outline": list(points)}


def _mm(value: float, u: float) -> str:
    return f"{value + 0.0:.2f} mm \N{PLUS-MINUS SIGN} {max(2 * u, 0.01):.2f}"


def _replaced(text: str, name: str, there: Any, rows: dict[str, YamlValue]) -> str:
    """The text with a panel's readings replaced; its hand, note, free edges and obstacles stay, new obstacles come to
    them under free names, but for those that are there already."""
    if not isinstance(there, dict):
        raise EditError(f"'{name[:60]}' has no readings", fix="correct it in an editor first")
    kept = {spec.key for spec in specs(PanelEntry)} - {"kind"} | {OBSTACLES}
    at = ("panels", name)
    for key, value in rows.items():
        if key == OBSTACLES:
            text = _with_obstacles(text, name, value)
        elif key in there:
            text = set_value(text, (*at, key), value)
        else:
            text = add_value(text, (*at, key), value)
    for key in there:
        if key not in kept and key not in rows:
            text = remove_value(text, (*at, key))
    return text


def _with_obstacles(text: str, name: str, marks: Any) -> str:
    for label, value in marks.items():
        there = values(text)["panels"][name].get(OBSTACLES) or {}
        # Read from the same scan once more.
        if value in there.values():
            continue
        text = grown(text, ("panels", name, OBSTACLES, free(label, list(there))), value)
    return text
