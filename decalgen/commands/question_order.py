"""Which questions of `decalgen new` come before which, told from the file alone: so `back` knows what was asked before,
whenever the program was ended. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from decalgen.commands.first_decals import sides_of
from decalgen.commands.lettering_questions import MEASURES, is_asked_for
from decalgen.commands.panel_questions import POINTS, at_of_path
from decalgen.commands.questions import QuestionName, depth_slots, obstacle_slots, outside_slots
from decalgen.panels.registry import obstacle_kinds

HEAD = (("title",), ("scale",), ("body",), ("film",), ("printer",), ("panels",))
"""The first questions, and what follows them."""


def asked_before(whole: Any, at: QuestionName, printers: bool) -> list[QuestionName]:
    """The questions before one, in their order; what was named is asked for again by that name."""
    found: list[QuestionName] = []
    if at[0] == "panels" and at[2:] in (("other",), ("way",)):
        # They explain the kind, and are asked for with it.
        at = (*at[:2], "hand")
    for one in _all(whole, at, printers):
        if one == at:
            break
        found.append(one)
    return found


def _all(whole: Any, at: QuestionName, printers: bool) -> Iterator[QuestionName]:
    yield from (one for one in HEAD[:-1] if printers or one != ("printer",))
    for panel in whole.get("panels") or {}:
        yield from _of_panel(whole, panel, at)
    yield ("panels",)
    decals: Any = whole.get("decals") or {}
    for name, group in decals.items():
        if "layout" in group:
            yield ("decals", name, "layout")
            if len(whole["panels"]) > 1:
                yield ("decals", name, "panel")
            if (sides := sides_of(name, group["layout"])) != ("decals",):
                yield sides
    yield ("decals",)
    for name, group in decals.items():
        if is_asked_for(group):
            yield ("lettering", name, "words")
            if len(whole["panels"]) > 1:
                yield ("lettering", name, "panel")
            yield from (("lettering", name, "read", key) for key in MEASURES)
    yield ("lettering",)


def _of_panel(whole: Any, panel: str, at: QuestionName) -> Iterator[QuestionName]:
    base = ("panels", panel)
    group = whole["panels"][panel]
    yield from ((*base, step) for step in ("name", "kind", "hand"))
    if "outline" in group:
        yield (*base, "points")
    if "prototype" in group or at[:3] == (*base, "full"):
        yield from ((*base, "full", key) for key in ("width", "height"))
    yield from ((*base, "read", *at_of_path(slot.path[2:])) for slot in outside_slots(whole, panel))
    for label, item in (group.get("obstacles") or {}).items():
        here = (*base, "obstacles", label)
        yield from ((*here, step) for step in ("name", "kind"))
        kind = next(name for name in obstacle_kinds() if name in item)
        if kind in POINTS:
            yield (*here, "points", kind)
        yield from ((*here, "read", *at_of_path(slot.path[4:])) for slot in obstacle_slots(whole, panel, label))
        yield (*here, "clearance")
    yield (*base, "obstacles")
    yield from ((*base, "read", *at_of_path(slot.path[2:])) for slot in depth_slots(whole, panel))
