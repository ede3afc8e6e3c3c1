"""Draw: the decals on their panels, both hands, each with its sentence; moved by hand, sized by numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from decalgen.artwork.build import hands
from decalgen.bench.blanks import at_words, decal_blanks, in_short, layout_blanks, more_blanks, shape_blanks
from decalgen.bench.desk import Desk, Edit, value_at
from decalgen.bench.pictures import UNIT, Drawings, decal_data, panel_data
from decalgen.bench.standing import StepStanding, counted
from decalgen.core.errors import DecalgenError, JobError
from decalgen.core.geometry import IDENTITY
from decalgen.job.edits import EditError
from decalgen.job.model import Decal, Hand, Job
from decalgen.job.over import application_order
from decalgen.pages.clearance_marks import Shown, shown
from decalgen.panels.base import Panel
from decalgen.panels.hands import mirrored as mirrored_panel
from decalgen.preflight.fitting import fitting
from decalgen.shapes.base import At

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

NAME = "Draw"
ABOUT = "the decals on their panels"
STEP = 0.01
"""What a place is rounded to, mm: finer than film can be laid."""


def standing(place: Workplace) -> StepStanding:
    """How many decals there are, and which wait for a reading."""
    desk = place.desk
    if desk.job is None or not desk.job.decals:
        return StepStanding(False, "no decal yet")
    waits = [decal for decal in desk.job.decals if desk.job.panel(decal.panel).unmeasured or decal.unmeasured]
    count = counted(len(desk.job.decals), "decal")
    return StepStanding(not waits, f"{count}; {len(waits)} wait for readings" if waits else count)


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The panels as a strip, one of them large with its decals on both hands, and the sentence of the chosen decal."""
    desk, drawings = place.desk, place.drawings
    panel, decal = view.get("panel", ""), view.get("decal", "")
    job = desk.job
    if job is None or not job.panels:
        return {"opening": "No panel is measured yet.", "strip": [], "sides": [], "decals": []}
    names = [one.name for one in job.panels]
    chosen = next((one for one in job.decals if one.name == decal), None)
    shown = panel if panel in names else chosen.panel if chosen else _first(job)
    there = [one for one in application_order(job.decals) if one.panel == shown]
    chosen = chosen if chosen in there else (there[0] if there else None)
    found: dict[str, Any] = {
        "opening": _opening(job),
        "strip": [_small(job, drawings, name) for name in names],
        "panel": shown,
        "decal": chosen.name if chosen else "",
        "paint": job.paint(job.body).colour,
        "sides": _sides(job, drawings, shown, there, chosen),
        "decals": [one.name for one in job.decals if one.panel == shown],
    }
    return found | (_sentence(desk, job, chosen) if chosen else {})


def moved(desk: Desk, name: str, hand: str, dx: float, dy: float) -> list[Edit]:
    """The change that lays a decal elsewhere, by so many mm as seen on one hand: its anchor stays. Raises EditError for
    a place that the job takes from elsewhere."""
    job = desk.job
    decal = next((one for one in job.decals if one.name == name), None) if job else None
    if job is None or decal is None:
        raise EditError(f"there is no decal '{name}'", fix="look at the page again")
    if hand == "right" and job.panel(decal.panel).hand != "right":
        dx = -dx
    at = decal.at
    x, y = _rounded(at.dx + dx), _rounded(at.dy + dy)
    path = ("decals", name, "at")
    was = value_at(desk.values, path)
    offset = [f"{x:.2f} mm", f"{y:.2f} mm"]
    if isinstance(was, list):
        return [Edit("set", path, offset, was)]
    if isinstance(was, dict) and "offset" in was:
        return [Edit("set", (*path, "offset"), offset, was["offset"])]
    if not x and not y:
        return [Edit("add" if was is None else "set", path, at.anchor, was)]
    there = At(at.anchor, x, y)
    if isinstance(was, str) and in_short(there):
        return [Edit("set", path, at_words(there), was)]
    return [Edit("add" if was is None else "set", path, {"anchor": at.anchor, "offset": offset}, was)]


def move(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Lays a decal elsewhere: ``decal``, ``hand``, ``dx`` and ``dy`` in mm. Raises EditError, DecalgenError."""
    try:
        name, hand = str(asked["decal"]), str(asked["hand"])
        dx, dy = float(asked["dx"]), float(asked["dy"])
    except (KeyError, TypeError, ValueError):
        raise EditError("that move cannot be read", fix="load the page again") from None
    edits = moved(place.desk, name, hand, dx, dy)
    place.desk.edit(place.desk.version, edits, f"place of {name}", str(asked.get("key", ""))[:200])


ACTS = {"move": move}
"""What else can be done on this screen, by name."""


def _rounded(value: float) -> float:
    return round(value / STEP) * STEP + 0.0


def _first(job: Job) -> str:
    with_decals = [decal.panel for decal in job.decals]
    return with_decals[0] if with_decals else job.panels[0].name


def _opening(job: Job) -> str:
    if not job.decals:
        return "No decal is drawn yet."
    waits = [one.name for one in job.decals if job.panel(one.panel).unmeasured or one.unmeasured]
    text = f"{counted(len(job.decals), 'decal')} on {counted(len({one.panel for one in job.decals}), 'panel')}."
    return f"{text} {', '.join(waits)} wait for readings." if waits else text


def _small(job: Job, drawings: Drawings, name: str) -> dict[str, Any]:
    panel = job.panel(name)
    there = [one for one in application_order(job.decals) if one.panel == name]
    return panel_data(panel) | {"decals": [decal_data(drawings, job, one, hands(one)[0]) for one in there]}


def _sides(job: Job, drawings: Drawings, name: str, there: list[Decal], chosen: Decal | None) -> list[dict[str, Any]]:
    """Each hand of a panel that has decals, the left one first; a panel of no hand once."""
    panel = job.panel(name)
    all_hands: list[Hand | None] = sorted({hand for one in there for hand in hands(one)}, key=lambda hand: hand or "")
    found = []
    for hand in all_hands or [None]:
        seen = mirrored_panel(panel) if hand == "right" and panel.hand != "right" else panel
        decals = [decal_data(drawings, job, one, hand) for one in there if hand in hands(one)]
        side = {"hand": hand or "", "panel": panel_data(seen), "decals": decals}
        if chosen is not None and hand in hands(chosen):
            side["fit"] = _fit(job, drawings, chosen, hand, seen)
        found.append(side)
    return found


def _fit(job: Job, drawings: Drawings, decal: Decal, hand: Hand | None, seen: Panel) -> dict[str, Any]:
    """How a decal fits: the verdict, and every clearance in words; those that place it, and the tightest, as lines."""
    try:
        found = fitting(drawings.parts(job, decal, hand), decal, job)
    except DecalgenError as error:
        return {"verdict": error.message, "good": False, "clearances": []}
    if found.fit.waits or decal.unmeasured:
        waits = ", ".join((*found.fit.waits, *decal.unmeasured))
        return {"verdict": f"waits for: {waits}", "good": False, "clearances": []}
    rows = shown([found], seen, IDENTITY, seen is not job.panel(decal.panel))
    return {
        "verdict": found.verdict,
        "good": found.verdict == "fits",
        "clearances": [_clearance(one) for one in rows],
    }


def _clearance(one: Shown) -> dict[str, Any]:
    """A clearance for the page: its line in µm on the panel, if it is drawn."""
    line = [] if one.line is None else [round(v * UNIT) for point in one.line.coords for v in point[:2]]
    words = {"letter": one.letter, "label": one.to, "figures": one.figures, "good": one.verdict == "fits"}
    return words | {"line": line}


def _sentence(desk: Desk, job: Job, decal: Decal) -> dict[str, Any]:
    try:
        group = value_at(desk.values, ("decals", decal.name))
    except JobError:
        group = None
    if not isinstance(group, dict):
        # It comes from a file that the job includes, or the file cannot be read just now.
        return {"sentence": [], "values": [], "shapes": [], "more": [], "lines": []}
    inks = tuple(ink.name for ink in job.inks if not ink.stands_for)
    panels = tuple(panel.name for panel in job.panels)
    said = decal_blanks(group, decal, decal.film or job.film, panels)
    shapes = shape_blanks(group, decal.name, inks)
    return {
        "sentence": [part if isinstance(part, str) else asdict(part) for part in said],
        "values": [asdict(one) for one in layout_blanks(group, decal.name, inks)],
        "shapes": [one | {"blanks": [asdict(blank) for blank in one["blanks"]]} for one in shapes],
        "more": [asdict(one) for one in more_blanks(group, decal.name)],
        "lines": _lines(desk, decal),
    }


def _lines(desk: Desk, decal: Decal) -> list[dict[str, Any]]:
    """The lines of the file that say it, from its name on."""
    if decal.place is None:
        return []
    lines = desk.text.splitlines()
    first = decal.place.line - 1
    if first >= len(lines):
        return []
    depth = len(lines[first]) - len(lines[first].lstrip())
    found = [first]
    for number in range(first + 1, min(len(lines), first + 80)):
        text = lines[number]
        if text.strip() and len(text) - len(text.lstrip()) <= depth:
            break
        found.append(number)
    while found and not lines[found[-1]].strip():
        found.pop()
    return [{"line": number + 1, "text": lines[number]} for number in found]
