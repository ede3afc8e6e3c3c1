"""The questions about panels and their obstacles: what is asked, and what is put where. Pure.

A panel is asked for by its name, kind and hand, its outside sizes, its obstacles, and last what is read by depth: the
order in which a hand with a caliper goes.
"""

from __future__ import annotations

from typing import Any

from decalgen.commands.question_values import chosen, grown, taken_away
from decalgen.commands.questions import (
    Question,
    QuestionName,
    Slot,
    depth_slots,
    obstacle_slots,
    outside_slots,
    reading_question,
)
from decalgen.commands.readings_typed import typed_reading
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import set_value, values
from decalgen.job.new_names import new_name
from decalgen.job.panel_rows import (
    CLEARANCE,
    CORNERS,
    measured_by,
    needs_kind,
    obstacle_rows,
    open_points,
    panel_rows,
)
from decalgen.job.written import YamlValue
from decalgen.panels.registry import kinds, obstacle_kinds
from decalgen.panels.unmeasured import SIGN

HANDS = ("left", "right")
NEITHER = "neither"
OTHER_WAY = "other readings"
"""What is chosen to be asked which readings a kind is measured by."""
FULL_SIZE = "prototype"
"""The kind that is known by the full-size vehicle alone."""
POINTS = {kind: str(count) for kind, count in CORNERS.items()}
AWAY = "-"
"""Typed at a name that is asked again: the thing is removed."""
_HANDS = (
    (NEITHER, "nose, tail, roof or bonnet"),
    ("left", "the right one is its mirror image"),
    ("right", "the left one is its mirror image"),
)


# ------------------------------------------------------------------------------------------------------- what is asked
def panel_question(whole: Any, at: QuestionName) -> Question:
    """The question at ``at``. Raises KeyError, IndexError, StopIteration or TypeError where the file has no such place
    any more."""
    if len(at) == 1:
        about = "door; or with its kind and hand: door, flat, left; Enter: no more"
        return Question(at, "Name of a panel", (), about)
    panel, step = at[1], at[2]
    group = whole["panels"][panel]
    if step == "name":
        return Question(at, "Name of the panel", (), f"{AWAY} removes it", default=panel)
    if step == "kind":
        known = tuple((name, kind.about) for name, kind in kinds().items())
        other = (OTHER_WAY, "one of these, by other sizes than in the picture: by tape, by radius")
        default = group.get("kind", "flat")
        return Question(at, f"{panel}: what kind is it", at, default=default, choices=(*known, other))
    if step == "other":
        known = tuple((name, kind.about) for name, kind in kinds().items() if len(ways_of(name)) > 1)
        return Question(at, f"{panel}: which of these kinds", at, choices=known)
    if step == "way":
        return Question(at, f"{panel}: which sizes can you measure", (), default="1", choices=ways_of(group["kind"]))
    if step == "hand":
        default = group.get("hand") or NEITHER
        return Question(at, f"{panel}: on which side is it measured", at, default=default, choices=_HANDS)
    if step == "points":
        return Question(at, f"{panel}: how many corners has it", (), default=_count(group, "outline"))
    if step == "full":
        about = "the full-size vehicle's, in mm, m or in; Enter if you will measure the panel itself"
        default = str((group.get("prototype") or {}).get(at[3]) or "")
        return Question(at, f"{panel}: full-size {at[3]}", (), about, default)
    if step == "obstacles" and len(at) == 3:
        about = "a handle, vent, rivet or shut line that no decal may cover; Enter when there are no more"
        return Question(at, f"{panel}: name of an obstacle", (), about)
    if step == "obstacles":
        return _of_obstacle(whole, at)
    own = [*outside_slots(whole, panel), *depth_slots(whole, panel)]
    return reading_question(next(one for one in own if at_of_path(one.path[2:]) == at[3:]), at)


def _of_obstacle(whole: Any, at: QuestionName) -> Question:
    panel, label, step = at[1], at[3], at[4]
    item = whole["panels"][panel]["obstacles"][label]
    if step == "name":
        return Question(at, f"{panel}: name of the obstacle", (), f"{AWAY} removes it", default=label)
    if step == "kind":
        known = tuple((name, kind.about) for name, kind in obstacle_kinds().items())
        default = next(name for name in obstacle_kinds() if name in item)
        return Question(at, f"{panel}, {label}: what shape has it", at, default=default, choices=known)
    if step == "points":
        return Question(at, f"{panel}, {label}: how many points has it", (), default=_count(item, at[5]))
    if step == "clearance":
        default = str(item.get("clearance") or ("0 mm" if "line" in item else CLEARANCE))
        return Question(at, f"{panel}, {label}: how far decals keep away from it, mm", (), default=default)
    slot = next(one for one in obstacle_slots(whole, panel, label) if at_of_path(one.path[4:]) == at[5:])
    return reading_question(slot, at)


def _count(group: Any, key: str) -> str:
    return str(len(group[key])) if isinstance(group.get(key), list) else POINTS[key]


def ways_of(kind: str) -> tuple[tuple[str, str], ...]:
    """The combinations of readings that make a kind, as choices."""
    return tuple((way, "") for way in measured_by(kind))


def at_of_path(path: tuple[str | int, ...]) -> QuestionName:
    """A path as part of a question's name."""
    return tuple(str(part) for part in path)


# --------------------------------------------------------------------------------------------------- what is put where
def put_panel(text: str, whole: Any, at: QuestionName, typed: str) -> tuple[str, QuestionName]:
    """The text with an answer about a panel, and which question follows."""
    if len(at) == 1:
        if not typed and not whole.get("panels"):
            raise DecalgenError("a job needs a panel", fix="type its name, such as door; or stop with Ctrl-C")
        if not typed:
            return text, ("decals",)
        return _put_name(text, whole, typed)
    panel, step, base = at[1], at[2], at[:2]
    if step == "name":
        return _renamed(text, whole, base, typed), ("panels",)
    if step == "full":
        return _put_full_size(text, whole, at, typed)
    if step in ("kind", "other", "way"):
        return _put_kind(text, whole, at, typed)
    if step == "hand":
        text = taken_away(text, (*base, "hand")) if typed == NEITHER else grown(text, (*base, "hand"), typed)
        return text, _after_kind(values(text), base)
    if step == "points":
        if typed != _count(whole["panels"][panel], "outline"):
            text = set_value(text, (*base, "outline"), _points(typed, 3))
        return text, first_reading(values(text), base)
    if len(at) == 3:
        if not typed:
            return text, _after_obstacles(whole, base)
        label = new_name(typed, "obstacle", whole["panels"][panel].get("obstacles") or {})
        return grown(text, (*at, label), obstacle_rows("rectangle")), (*at, label, "kind")
    return _put_obstacle(text, whole, at, typed)


def _put_name(text: str, whole: Any, typed: str) -> tuple[str, QuestionName]:
    """A panel by its name, perhaps with its kind and the hand it is measured on: ``door, flat, left``."""
    first, *words = (part.strip() for part in typed.split(","))
    name = new_name(first, "panel", whole.get("panels") or {})
    hands = [word for word in words if word in HANDS]
    others = [word for word in words if word and word not in HANDS]
    if len(hands) > 1 or len(others) > 1:
        raise DecalgenError(f"'{typed}' is more than a name, a kind and a hand", fix="write it like: door, flat, left")
    base = ("panels", name)
    text = grown(text, base, {"width": SIGN, "height": SIGN, **({"hand": hands[0]} if hands else {})})
    if not others:
        return text, (*base, "kind")
    # Who says so much at once is not asked for the hand.
    kind = chosen(panel_question({"panels": {name: {}}}, (*base, "kind")), others[0])
    text, after = _put_kind(text, values(text), (*base, "kind"), kind)
    return text, _after_kind(values(text), base) if after[2:] == ("hand",) else after


def _put_kind(text: str, whole: Any, at: QuestionName, typed: str) -> tuple[str, QuestionName]:
    base, step = at[:2], at[2]
    group = whole["panels"][base[1]]
    kept: dict[str, YamlValue] = {key: group[key] for key in ("hand", "obstacles") if group.get(key)}
    if step == "kind" and typed == OTHER_WAY:
        return text, (*base, "other")
    if step == "kind" and typed == group.get("kind"):
        # It is asked again, and stays.
        return text, _after_kind(whole, base)
    if step == "kind" and typed == FULL_SIZE:
        # Until both sizes are known it is a flat panel that nobody has measured.
        return set_value(text, base, {**panel_rows("flat", "width, height"), **kept}), (*base, "full", "width")
    if step == "way":
        text = set_value(text, base, {**panel_rows(group["kind"], typed), **kept})
    else:
        text = set_value(text, base, {**panel_rows(typed, ways_of(typed)[0][0]), **kept})
    if step == "other":
        return text, (*base, "way")
    return text, _after_kind(values(text), base) if kept.get("hand") else (*base, "hand")


def _after_kind(whole: Any, base: QuestionName) -> QuestionName:
    group = whole["panels"][base[1]]
    if "outline" in group:
        return (*base, "points")
    return (*base, "full", "width") if group.get("kind") == FULL_SIZE else first_reading(whole, base)


def _after_obstacles(whole: Any, base: QuestionName) -> QuestionName:
    depths = depth_slots(whole, base[1])
    return (*base, "read", *at_of_path(depths[0].path[2:])) if depths else ("panels",)


def _put_full_size(text: str, whole: Any, at: QuestionName, typed: str) -> tuple[str, QuestionName]:
    """One of the two sizes of the full-size vehicle; without them the panel is to be measured like any other."""
    base, key = at[:2], at[3]
    size = typed_reading(typed)
    if size == SIGN:
        return text, first_reading(whole, base)
    if whole["panels"][base[1]].get("kind") == FULL_SIZE:
        text = set_value(text, (*base, "prototype", key), size)
        return text, (*base, "full", "height") if key == "width" else (*base, "obstacles")
    if key == "width":
        return grown(text, (*base, "prototype", "width"), size), (*base, "full", "height")
    group = whole["panels"][base[1]]
    rows: dict[str, YamlValue] = {
        "kind": FULL_SIZE,
        "prototype": {"width": group["prototype"]["width"], "height": size},
    }
    kept: dict[str, YamlValue] = {name: group[name] for name in ("hand", "obstacles") if group.get(name)}
    return set_value(text, base, {**rows, **kept}), (*base, "obstacles")


def _put_obstacle(text: str, whole: Any, at: QuestionName, typed: str) -> tuple[str, QuestionName]:
    base, step = at[:4], at[4]
    item = whole["panels"][at[1]]["obstacles"][at[3]]
    if step == "name":
        return _renamed(text, whole, base, typed), base[:3]
    if step == "kind":
        if typed not in item:
            text = set_value(text, base, obstacle_rows(typed, int(POINTS.get(typed, "0"))))
        return text, (*base, "points", typed) if typed in POINTS else first_reading(values(text), base)
    if step == "clearance":
        if typed == panel_question(whole, at).default and "clearance" not in item:
            return text, base[:3]
        return grown(text, (*base, "clearance"), typed_reading(typed)), base[:3]
    if typed != _count(item, at[5]):
        text = set_value(text, (*base, at[5]), _points(typed, 2 if at[5] == "line" else 3))
    return text, first_reading(values(text), base)


def without_kind(text: str, panel: str) -> str:
    """The text without the kind of a panel that its readings tell anyway; as it is where a comment stands at it."""
    group = values(text)["panels"][panel]
    if "kind" not in group or needs_kind({key: one for key, one in group.items() if key not in ("hand", "obstacles")}):
        return text
    new = taken_away(text, ("panels", panel, "kind"))
    return new if new.count("#") == text.count("#") else text


def _renamed(text: str, whole: Any, base: QuestionName, typed: str) -> str:
    """The text with another name for a panel or an obstacle, everywhere; without it for `AWAY`."""
    if typed == AWAY:
        users = [name for name, one in (whole.get("decals") or {}).items() if one.get("panel") == base[-1]]
        if users and len(base) == 2:
            raise DecalgenError(f"'{users[0]}' lies on '{base[-1]}'", fix="go back to that decal first, and remove it")
        return taken_away(text, base)
    around: Any = whole
    for part in base[:-1]:
        around = around[part]
    if typed == base[-1]:
        return text
    name = new_name(typed, "panel" if len(base) == 2 else "obstacle", around)
    text = set_value(text, base[:-1], {name if key == base[-1] else key: one for key, one in around.items()})
    for decal, one in (whole.get("decals") or {}).items():
        if len(base) == 2 and one.get("panel") == base[-1]:
            text = set_value(text, ("decals", decal, "panel"), name)
    return text


def _points(typed: str, least: int) -> YamlValue:
    if not typed.isascii() or not typed.isdigit() or not least <= int(typed) <= 40:
        raise DecalgenError(f"'{typed}' is not a number of points", fix=f"a whole number from {least} to 40")
    return open_points(int(typed))


# -------------------------------------------------------------------------------------------------------- what follows
def first_reading(whole: Any, base: QuestionName) -> QuestionName:
    """The first reading of a panel or obstacle, or what follows its readings."""
    slots = _first_slots(whole, base)
    return (*base, "read", *at_of_path(slots[0].path[len(base) :])) if slots else _after_all(base)


def after_reading(whole: Any, at: QuestionName) -> QuestionName:
    """What follows a reading of a panel or obstacle."""
    base = at[:4] if at[2] == "obstacles" else at[:2]
    depths = depth_slots(whole, base[1]) if len(base) == 2 else []
    slots = _first_slots(whole, base)
    for some, then in ((slots, _after_all(base)), (depths, ("panels",))):
        names = [at_of_path(slot.path[len(base) :]) for slot in some]
        if at[len(base) + 1 :] in names:
            number = names.index(at[len(base) + 1 :]) + 1
            return (*base, "read", *names[number]) if number < len(names) else then
    raise KeyError(at)


def _first_slots(whole: Any, base: QuestionName) -> list[Slot]:
    return outside_slots(whole, base[1]) if len(base) == 2 else obstacle_slots(whole, base[1], base[3])


def _after_all(base: QuestionName) -> QuestionName:
    return (*base, "obstacles") if len(base) == 2 else (*base, "clearance")
