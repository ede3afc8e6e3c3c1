"""Draw: the decals on their panels, both hands, each with its sentence; moved by hand, sized by numbers."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from decalgen.bench.blanks import decal_blanks, layout_blanks, more_blanks
from decalgen.bench.desk import value_at
from decalgen.bench.draw_acts import choose, faces, faces_key, included, measure, move, remedy
from decalgen.bench.drawing_inks import drawing_rows
from decalgen.bench.edge_sides import side_rows
from decalgen.bench.file_lines import decal_lines
from decalgen.bench.included import IncludedFile, decal_s_file, included_files
from decalgen.bench.inks_paint import INK_ACTS
from decalgen.bench.letterings import lettering_rows, own_letterings
from decalgen.bench.names import names
from decalgen.bench.point_acts import POINT_ACTS
from decalgen.bench.saying import say
from decalgen.bench.screens.adding import DRAW_ACTS, offers
from decalgen.bench.shape_words import shape_rows
from decalgen.bench.shown_job import ShownJob, shown_job, variants_of
from decalgen.bench.sides import first_side, hands_in_turn, other_side, small
from decalgen.bench.standing import StepStanding, counted, held_up
from decalgen.bench.traced import traced_rows
from decalgen.bench.value_homes import with_homes
from decalgen.core.values import dataclass
from decalgen.job.model import Decal, Hand, Job
from decalgen.job.over import application_order

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

NAME = "Draw"
ABOUT = "the decals on their panels"


def standing(place: Workplace) -> StepStanding:
    """How many decals there are, and which wait for a reading."""
    desk = place.desk
    if desk.job is None or not desk.job.decals:
        return StepStanding(False, "no decal yet")
    waits = [decal for decal in desk.job.decals if desk.job.panel(decal.panel).unmeasured or decal.unmeasured]
    count = counted(len(desk.job.decals), "decal")
    return StepStanding(not waits, f"{count}; {len(waits)} {_waits(waits)} for readings" if waits else count)


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The panels as a strip, one of them large with its decals on both hands, and the sentence of the chosen decal."""
    look = _look(place, view)
    if look is None:
        return {"opening": "No panel is measured yet.", "strip": [], "sides": [], "decals": []}
    drawings, as_shown, job = place.drawings, look.shown, look.job
    shown, there, chosen = look.panel, look.there, look.chosen
    first, *others = hands_in_turn(there, view.get("hand", ""))
    worked_on = first_side(job, drawings, shown, there, chosen, first)
    # Asked for by itself, it keeps nobody waiting.
    later = view.get("other") == "later"
    rest = [{"hand": hand or ""} if later else other_side(job, drawings, shown, there, chosen, hand) for hand in others]
    found: dict[str, Any] = {
        "opening": _opening(job),
        # The shown panel is drawn from its first side.
        "strip": [{"name": name} if name == shown else small(job, drawings, name) for name in look.panels],
        "panel": shown,
        "decal": chosen.name if chosen else "",
        "paint": job.paint(job.body).colour,
        "sides": [worked_on, *rest],
        "decals": [one.name for one in job.decals if one.panel == shown],
        "pile": [one.name for one in there],
        "places": {one.name: value_at(as_shown.values, ("decals", one.name, "at")) for one in there},
        **variants_of(place, as_shown),
    }
    if chosen:
        group = value_at(as_shown.values, ("decals", chosen.name)) or {}
        found["seen"] = {key: group.get(key) for key in ("at", "width", "height")}
        asked = view.get("says", "").split("\n")
        found |= with_homes(place, as_shown, chosen.name, _sentence(place, as_shown, chosen, asked, first))
    return found | offers(place, view, shown, chosen) | names(place, view)


def other(place: Workplace, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The hand of the panel that is not worked on, with the version of the text it is of; ``side`` is left out where
    there is none."""
    view = asked.get("view")
    look = _look(place, view) if isinstance(view, dict) else None
    found: dict[str, Any] = {"run": place.run, "version": place.desk.version}
    if look is None or not isinstance(view, dict):
        return found
    rest = hands_in_turn(look.there, str(view.get("hand", "")))[1:]
    sides = [other_side(look.job, place.drawings, look.panel, look.there, look.chosen, hand) for hand in rest]
    return found | ({"side": sides[0]} if sides else {})


@dataclass(frozen=True)
class _Look:
    """What is looked at: the job as it is shown, all its panels by name, one of them, its decals, and one of these."""

    shown: ShownJob
    job: Job
    panels: list[str]
    panel: str
    there: list[Decal]
    chosen: Decal | None


def _look(place: Workplace, view: Mapping[str, str]) -> _Look | None:
    """What a view of the page looks at; None while there is no panel."""
    as_shown = shown_job(place, view)
    panel, decal = view.get("panel", ""), view.get("decal", "")
    job = as_shown.job
    if job is None or not job.panels:
        return None
    known = [one.name for one in job.panels]
    chosen = next((one for one in job.decals if one.name == decal), None)
    shown = panel if panel in known else chosen.panel if chosen else _first(job)
    there = [one for one in application_order(job.decals) if one.panel == shown]
    chosen = chosen if chosen in there else (there[0] if there else None)
    return _Look(as_shown, job, known, shown, there, chosen)


ASKS = {"other": other}

ACTS = {
    "move": move,
    "included": included,
    "remedy": remedy,
    "measure": measure,
    "faces": faces,
    "choose": choose,
    "say": say,
    **INK_ACTS,
    **DRAW_ACTS,
    **POINT_ACTS,
}
"""What else can be done on this screen, by name."""


def _first(job: Job) -> str:
    with_decals = [decal.panel for decal in job.decals]
    return with_decals[0] if with_decals else job.panels[0].name


def _opening(job: Job) -> str:
    if not job.decals:
        return "No decal is drawn yet. Choose a panel, then add a decal to it."
    text = f"{counted(len(job.decals), 'decal')} on {counted(len({one.panel for one in job.decals}), 'panel')}."
    return f"{text} {held_up(job)}".rstrip()


def _waits(those: Sequence[object]) -> str:
    return "waits" if len(those) == 1 else "wait"


def _sentence(
    place: Workplace, shown: ShownJob, decal: Decal, asked: Container[str], hand: Hand | None
) -> dict[str, Any]:
    job = shown.job
    assert job is not None
    group = value_at(shown.values, ("decals", decal.name))
    file = decal_s_file(place.drawings, job, decal.name)
    if group is None and file is not None:
        group = value_at(file.values, ("decals", decal.name))
    if not isinstance(group, dict) or shown.written is None:
        # The file cannot be read just now.
        return {"sentence": [], "values": [], "shapes": [], "letterings": [], "more": [], "lines": []}
    inks = tuple(ink.name for ink in job.inks if not ink.stands_for)
    panels = tuple(panel.name for panel in job.panels)
    said = decal_blanks(group, decal, decal.film or job.film, panels)
    shapes = shape_rows(group, decal, inks, asked)
    apart = bool(shown.variant) or file is not None
    return {
        "sentence": [part if isinstance(part, str) else part.told() for part in said],
        "values": [one.told() for one in layout_blanks(group, job, decal, inks, _named(place, shown, job))],
        # All that a shape may say, and what a lettering is matched with, is asked of the job as it is.
        "shapes": [one | {"more": False, "all": []} for one in shapes] if apart else shapes,
        "letterings": [] if apart else _letterings(place, decal, group),
        "more": [one.told() for one in more_blanks(group, decal)],
        "lines": decal_lines(place.desk, decal),
        **({} if apart else _drawn_by_hand(job, decal, group, hand)),
        "elsewhere": _in_other(file, decal.name) if file is not None else "",
    }


def _in_other(file: IncludedFile, name: str) -> str:
    """Where a decal of an included file is, and what becomes of what is done to it here."""
    return f"{name} is in {file.said(('decals', name))}. Moved by hand, it lies elsewhere in this job alone."


def _drawn_by_hand(job: Job, decal: Decal, group: dict[str, Any], hand: Hand | None) -> dict[str, Any]:
    """What of a decal is drawn by its points, along sides of its panel, or from a drawing; nothing where nothing is."""
    found: dict[str, Any] = {
        "traced": traced_rows(job, decal, group, hand),
        "edged": side_rows(job, decal, group, hand),
        "drawings": drawing_rows(job, decal, group),
    }
    return {key: rows for key, rows in found.items() if rows}


def _named(place: Workplace, shown: ShownJob, job: Job) -> dict[str, Any]:
    """The named values of a job, those of the files it includes too."""
    every = [*reversed([one.values for one in included_files(place.drawings, job)]), shown.values]
    groups = [one.get("values") for one in every if isinstance(one, dict)]
    return {name: text for group in groups if isinstance(group, dict) for name, text in group.items()}


def _letterings(place: Workplace, decal: Decal, group: dict[str, Any]) -> list[dict[str, Any]]:
    """The letterings of a decal, with the drawings of every face for the one that was asked about last."""
    found = lettering_rows(decal, group)
    made = place.results.get("faces", {})
    if made.get("of"):
        own = [name for _, name in place.desk.job.faces] if place.desk.job else []
        for row, one in zip(found, own_letterings(decal, group), strict=True):
            if faces_key(one.lettering, own) == made["of"]:
                row["faces"] = made["faces"]
    return found
