"""Panels and obstacles added, renamed and removed on the page: the questions of `decalgen new`, answered in one go."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from decalgen.bench.drawings_of_readings import kind_drawing
from decalgen.commands import interview
from decalgen.commands.panel_questions import (
    FULL_SIZE,
    HANDS,
    NEITHER,
    POINTS,
    at_of_path,
    panel_question,
    put_panel,
    ways_of,
    without_kind,
)
from decalgen.commands.question_values import checked, chosen
from decalgen.commands.questions import QuestionName
from decalgen.core.errors import DecalgenError
from decalgen.core.keys import specs
from decalgen.job.edits import EditError, values
from decalgen.job.renaming import Subject, renamed
from decalgen.job.restructure import delete_obstacle, delete_panel, grown, move_panel
from decalgen.panels.registry import kinds, obstacle_kinds

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace


@cache
def panel_kinds() -> list[dict[str, Any]]:
    """The kinds of panel to choose from: each with a line on it, its drawing, the sizes that can be measured instead of
    those drawn, and what else is asked of it."""
    found = []
    for name, kind in kinds().items():
        ways = [way for way, _ in ways_of(name)]
        corners = POINTS["outline"] if any("outline" in way.split(", ") for way in ways) else ""
        drawing = kind_drawing(name, obstacle=False)
        marks: Any = kind
        bends = any(spec.key == "bend" for spec in specs(marks))
        more = {"bends": bends, "ways": ways if len(ways) > 1 else [], "points": corners, "full": name == FULL_SIZE}
        found.append({"name": name, "about": kind.about, "drawing": drawing} | more)
    return found


@cache
def kinds_of_obstacle() -> list[dict[str, Any]]:
    """The kinds of obstacle to choose from."""
    return [
        {
            "name": name,
            "about": kind.about,
            "drawing": kind_drawing(name, obstacle=True),
            "points": POINTS.get(name, ""),
            "clearance": "" if name == "line" else "0.3 mm",
        }
        for name, kind in obstacle_kinds().items()
    ]


def add_panel(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Adds a panel with nothing measured yet: ``name``, ``kind``, ``way``, ``bend``, ``hand``, ``points``, ``full
    width`` and ``full height``, those that its kind asks for. Raises DecalgenError, with the fix, as `decalgen new`
    would."""
    said = {key: str(value).strip() for key, value in asked.items() if isinstance(value, str)}
    name = said.get("name", "")
    if not name or "," in name:
        raise DecalgenError("the panel needs a name", fix="a word or two, such as door")
    text, (_, name, _) = put_panel(place.desk.text, place.desk.values, ("panels",), name)
    base = ("panels", name)
    text = _answered(text, (*base, "kind"), said.get("kind", ""))
    if said.get("way"):
        text = _answered(text, (*base, "way"), said["way"])
    if said.get("bend") == "up":
        text = grown(text, (*base, "bend"), "up")
    text = _answered(text, (*base, "hand"), said.get("hand") or NEITHER)
    if "outline" in values(text)["panels"][name]:
        text = _answered(text, (*base, "points"), said.get("points", ""))
    for key in ("width", "height") if said.get("kind") == FULL_SIZE else ():
        text = _answered(text, (*base, "full", key), said.get(f"full {key}", ""))
    _put(place, without_kind(text, name), base, f"panel {name}")


def add_obstacle(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Adds an obstacle to a panel: ``panel``, ``name``, ``kind``, ``points``, ``clearance``. Raises DecalgenError."""
    said = {key: str(value).strip() for key, value in asked.items() if isinstance(value, str)}
    panel = said.get("panel", "")
    if panel not in (place.desk.values.get("panels") or {}):
        raise EditError(f"there is no panel '{panel}'", fix="look at the page again")
    if not said.get("name"):
        raise DecalgenError("the obstacle needs a name", fix="a word or two, such as handle")
    text, at = put_panel(place.desk.text, place.desk.values, ("panels", panel, "obstacles"), said["name"])
    base = at[:4]
    kind = said.get("kind") or "rectangle"
    text = _answered(text, (*base, "kind"), kind)
    if kind in POINTS:
        text = _answered(text, (*base, "points", kind), said.get("points", ""))
    if said.get("clearance"):
        text = _answered(text, (*base, "clearance"), said["clearance"])
    _put(place, text, base, f"{base[3]} on {panel}")


def rename(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Gives a panel, or an obstacle of one, another name, wherever the job says it: ``at`` and ``name``. Raises
    DecalgenError."""
    base = _base(place, asked)
    subject = Subject("panel", base[1]) if len(base) == 2 else Subject("obstacle", base[3], base[1])
    name, desk = str(asked.get("name", "")), place.desk
    desk.remake(f"name of {base[-1]}", lambda text: interview.finished(renamed(text, desk.path, subject, name)))


def remove(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Removes a panel, or an obstacle: ``at``; the decals on a panel go too where that is ``with_decals``, else it is
    refused while there are any. Raises DecalgenError."""
    base, too = _base(place, asked), asked.get("with_decals") is True

    def make(text: str) -> str:
        text = interview.finished(text)
        if len(base) == 2:
            return delete_panel(text, base[1], with_decals=too)
        return delete_obstacle(text, base[1], base[3])

    place.desk.remake(f"{base[-1]} deleted", make)


def move(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Puts a panel before its neighbour or after it, in the file and wherever panels are listed: ``at``, and ``step``
    -1 or 1. Raises EditError."""
    base, step = _base(place, asked), asked.get("step")
    if len(base) != 2 or step not in (-1, 1):
        raise EditError("that is not an order of panels", fix="load the page again")
    label = f"{base[1]} {'later' if step > 0 else 'earlier'}"
    place.desk.remake(label, lambda text: move_panel(interview.finished(text), base[1], step))


def _base(place: Workplace, asked: Mapping[str, Any]) -> QuestionName:
    at = asked.get("at")
    base = at_of_path(tuple(at)) if isinstance(at, list) else ()
    whole: Any = place.desk.values
    for part in base:
        whole = whole.get(part) if isinstance(whole, dict) else None
    right = base[:1] == ("panels",) and (len(base) == 2 or (len(base) == 4 and base[2] == "obstacles"))
    if not right or whole is None:
        raise EditError("that is no longer in the file", fix="look at the page again")
    return base


def _answered(text: str, at: QuestionName, typed: str) -> str:
    """The text with the answer to one question; an empty one is its default."""
    whole = values(text)
    question = panel_question(whole, at)
    typed = typed or question.default
    if question.choices:
        typed = chosen(question, typed)
    return put_panel(text, whole, at, typed)[0]


def _put(place: Workplace, text: str, changed: QuestionName, label: str) -> None:
    """Puts a text on the desk. With a first panel of one's own choosing the questions of `decalgen new` are over."""
    desk = place.desk
    checked(text, desk.path, changed, desk.text)
    desk.rewrite(interview.finished(text), label)


ACTS = {"add_panel": add_panel, "add_obstacle": add_obstacle, "rename": rename, "remove": remove, "move": move}
"""What Measure offers beside readings, by name."""
HAND_WORDS = (NEITHER, *HANDS)
