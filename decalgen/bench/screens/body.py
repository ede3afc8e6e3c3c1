"""On the body: all panels of the model with their decals over the paint, as they will look; variants side by side."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from decalgen.artwork.build import hands
from decalgen.bench.pictures import Drawings, decal_data, panel_data
from decalgen.bench.standing import StepStanding, counted, open_readings
from decalgen.core.errors import DecalgenError
from decalgen.core.names import first_few
from decalgen.job.loader import job_as_written
from decalgen.job.model import Hand, Job
from decalgen.job.over import application_order
from decalgen.panels.hands import mirrored as mirrored_panel

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

NAME = "On the body"
ABOUT = "the whole livery over the paint"
MOST_VARIANTS = 6
"""So many are drawn at once; each further one when it is asked for."""


def standing(place: Workplace) -> StepStanding:
    """Whether there is a livery to look at."""
    job = place.desk.job
    if job is None or not job.decals:
        return StepStanding(False, "no decal yet")
    left = open_readings(job)
    if left:
        return StepStanding(False, f"{counted(left, 'reading')} open: sizes are assumed")
    more = f", {len(job.variants)} other variant{'s' if len(job.variants) > 1 else ''}" if job.variants else ""
    return StepStanding(True, f"look at it{more}")


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The livery, and each variant of it, as columns of panels at one scale."""
    job = place.desk.job
    if job is None or not job.panels:
        return {"opening": "No panel is measured yet.", "liveries": []}
    liveries = [_livery(job, place.drawings, "as it is")]
    rest, also = job.variants[MOST_VARIANTS:], view.get("also", "").split("\n")
    for name in (*job.variants[:MOST_VARIANTS], *(one for one in rest if one in also)):
        try:
            read = job_as_written(place.desk.text, place.desk.path, name)
            liveries.append(_livery(read, place.drawings, name) | {"variant": name})
        except DecalgenError as error:
            liveries.append({"name": name, "wrong": error.message, "panels": []})
    waits = [panel.name for panel in job.panels if panel.unmeasured]
    said = f"{job.title}, over {job.paint(job.body).name}."
    opening = f"{said} Sizes of {', '.join(waits)} are assumed until they are measured." if waits else said
    opening += "" if job.decals else " No decal is drawn yet."
    left = [name for name in rest if name not in also]
    if left:
        opening += f" {counted(len(left), 'variant is', 'variants are')} not drawn yet: {first_few(left)}."
    return {"opening": opening, "liveries": liveries, "more": list(rest), "also": [one for one in rest if one in also]}


def _livery(job: Job, drawings: Drawings, name: str) -> dict[str, Any]:
    panels = []
    order = application_order(job.decals)
    for panel in job.panels:
        there = [one for one in order if one.panel == panel.name]
        found: set[Hand | None] = {hand for one in there for hand in hands(one)}
        for hand in sorted(found, key=lambda one: one or "") or [None]:
            seen = mirrored_panel(panel) if hand == "right" and panel.hand != "right" else panel
            decals = [decal_data(drawings, job, one, hand) for one in there if hand in hands(one)]
            panels.append({"hand": hand or "", "panel": panel_data(seen), "decals": decals})
    return {"name": name, "paint": job.paint(job.body).colour, "panels": panels}
