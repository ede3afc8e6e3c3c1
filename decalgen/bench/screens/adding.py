"""What Draw offers beside values: decals and shapes that come, go, are copied, renamed or change places."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.artwork.on_panel import corner_on
from decalgen.bench.come_to import at_words, in_short
from decalgen.bench.desk import value_at
from decalgen.bench.drawing_inks import match_ink
from decalgen.bench.drawing_offers import drawing_offers, drawing_text
from decalgen.bench.dropped import drop_file
from decalgen.bench.first_places import drawing_place, layout_place, picture_place, shape_place
from decalgen.bench.offers import layout_offers, shape_offers
from decalgen.bench.picture_offers import is_picture, picture_data, picture_offers
from decalgen.bench.readable import readable_job
from decalgen.commands.question_values import free
from decalgen.core.errors import DecalgenError, JobError
from decalgen.core.pixels.values import PictureData
from decalgen.core.svg.text import DrawingText
from decalgen.job.edits import EditError, set_value, values
from decalgen.job.first_drawings import drawing_of, drawing_shape, with_inks
from decalgen.job.first_pictures import picture_shape
from decalgen.job.first_shapes import new_shape
from decalgen.job.key_order import added
from decalgen.job.model import Decal, Job
from decalgen.job.over import application_order
from decalgen.job.renaming import Subject, renamed
from decalgen.job.restructure import (
    add_decal,
    add_shape,
    copy_decal,
    delete_decal,
    delete_shape,
    move_decal,
    move_shape,
)
from decalgen.shapes.base import At, Box
from decalgen.shapes.registry import find

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

BESIDE = 1.0
"""A copy comes in so far beside the first, mm, towards the middle of the panel."""
Wanting = Mapping[str, Any]
Look = dict[str, str]


# ---------------------------------------------------------------------------------------------------- what is offered
def offers(place: Workplace, view: Mapping[str, str], panel: str, decal: Decal | None) -> dict[str, Any]:
    """The pictures of what can be added, once they are asked for."""
    job, wanted = place.desk.job, view.get("offers", "")
    if job is None or wanted not in ("decal", "shape"):
        return {}
    found: dict[str, Any] = {"offers": wanted, "shape_offers": shape_offers(place.drawings, job, decal)}
    found |= {
        "folder": str(place.desk.path.parent),
        "drawing_offers": drawing_offers(place.drawings, job, place.desk.path.parent),
        "picture_offers": picture_offers(place.drawings, place.desk.path.parent),
    }
    if decal is not None:
        own = value_at(place.desk.values, ("decals", decal.name, "artwork")) if not place.desk.problems else None
        found["own"] = own is not None
    if wanted == "decal":
        found["layouts"] = layout_offers(place.drawings, place.desk, job, panel)
    return found


# -------------------------------------------------------------------------------------------------------------- decals
def _add_decal(place: Workplace, asked: Wanting) -> Look:
    """A decal from a layout, or with one shape."""
    job, panel = readable_job(place), _text(asked, "panel")
    layout, shape = asked.get("layout"), asked.get("shape")
    file = _file(place, job, asked)
    called = Path(file.name).stem if file else str(layout or shape)
    name = free(called.replace("-", " "), {one.name for one in job.decals})
    if panel not in {one.name for one in job.panels}:
        raise EditError(f"there is no panel '{panel}'", fix="load the page again")
    if isinstance(file, PictureData):
        rows = picture_place(place.drawings, place.desk, job, name, file, panel)
    elif file:
        rows = drawing_place(place.drawings, place.desk, job, name, file, panel)
    elif layout:
        rows = layout_place(place.drawings, place.desk, name, str(layout), panel)
    else:
        rows = shape_place(place.drawings, place.desk, job, name, find(str(shape)).name, panel)
    place.desk.remake(f"new decal {name}", lambda text: _inked(add_decal(text, name, rows), job, file))
    return {"decal": name, "panel": panel, "offers": ""}


def _copy_decal(place: Workplace, asked: Wanting) -> Look:
    decal = _decal(place, asked)
    job = readable_job(place)
    name = free(decal.name, {one.name for one in job.decals})
    panel = job.panel(decal.panel)
    size = Box(decal.width.value, decal.height.value)
    x, y = corner_on(panel, decal.at, size)
    right = x + decal.width.value / 2 <= panel.width.value / 2
    up = y + decal.height.value / 2 <= panel.height.value / 2
    at = At(decal.at.anchor, decal.at.dx + (BESIDE if right else -BESIDE), decal.at.dy + (BESIDE if up else -BESIDE))
    place.desk.remake(f"copy of {decal.name}", lambda text: _laid(copy_decal(text, decal.name, name), name, at))
    return {"decal": name, "panel": decal.panel}


def _laid(text: str, name: str, at: At) -> str:
    """The text with a decal elsewhere, written as its place was."""
    path = ("decals", name, "at")
    was = values(text)["decals"][name].get("at")
    offset = [f"{at.dx:.2f} mm", f"{at.dy:.2f} mm"]
    if isinstance(was, list):
        return set_value(text, path, offset)
    if isinstance(was, dict) and "offset" in was:
        return set_value(text, (*path, "offset"), offset)
    to: Any = at_words(at) if in_short(at) else {"anchor": at.anchor, "offset": offset}
    return added(text, path, to) if was is None else set_value(text, path, to)


def _delete_decal(place: Workplace, asked: Wanting) -> Look:
    decal = _decal(place, asked)
    place.desk.remake(f"{decal.name} deleted", lambda text: delete_decal(text, decal.name))
    return {"decal": "", "panel": decal.panel}


def _order_decal(place: Workplace, asked: Wanting) -> Look:
    """Lays a decal before or after the next one on its panel."""
    decal, step = _decal(place, asked), 1 if asked.get("step") == 1 else -1
    job = readable_job(place)
    shown = [one.name for one in application_order(job.decals) if one.panel == decal.panel]
    there = shown.index(decal.name) + step
    if not 0 <= there < len(shown):
        raise EditError(f"'{decal.name}' is the {'last' if step > 0 else 'first'} already", fix="choose another decal")
    other = shown[there]
    names = [one.name for one in job.decals]
    count = (names.index(other) - names.index(decal.name)) * step
    rest = [one for one in job.decals if one.name != decal.name]
    rest.insert(names.index(other), decal)
    after = [one.name for one in application_order(rest)]
    if count <= 0 or (after.index(decal.name) - after.index(other)) * step < 0:
        upper, lower = (decal.name, other) if step < 0 else (other, decal.name)
        raise EditError(
            f"'{upper}' is laid over '{lower}'", fix="empty its blank 'over' first, under 'Say more of the decal'"
        )

    def make(text: str) -> str:
        for _ in range(count):
            text = move_decal(text, decal.name, step)
        return text

    place.desk.remake(f"{decal.name} {'later' if step > 0 else 'earlier'}", make)
    return {"decal": decal.name, "panel": decal.panel}


# -------------------------------------------------------------------------------------------------------------- shapes
def _add_shape(place: Workplace, asked: Wanting) -> Look:
    decal, job = _decal(place, asked), readable_job(place)
    file = _file(place, job, asked)
    if isinstance(file, PictureData):
        new = picture_shape(decal, file)
    elif file:
        new = drawing_shape(decal, file)
    else:
        new = new_shape(job, decal, find(_text(asked, "shape")).name)

    def make(text: str) -> str:
        text = add_shape(text, decal.name, new.name, new.body)
        count = len(values(text)["decals"][decal.name]["artwork"])
        for number in range(count - 1, 0, -1) if new.under else ():
            text = move_shape(text, decal.name, number, -1)
        return _inked(text, job, file)

    place.desk.remake(f"{new.name} in {decal.name}", make)
    return {"decal": decal.name, "offers": ""}


def _file(place: Workplace, job: Job, asked: Wanting) -> DrawingText | PictureData | None:
    """The drawing or picture that is asked for by its file's name; None where none is. Raises DecalgenError."""
    if not asked.get("file"):
        return None
    folder, name = place.desk.path.parent, _text(asked, "file")
    return picture_data(folder, name) if is_picture(name) else drawing_of(job, name, drawing_text(folder, name))


def _inked(text: str, job: Job, file: DrawingText | PictureData | None) -> str:
    return with_inks(text, job, file) if isinstance(file, DrawingText) else text


def _delete_shape(place: Workplace, asked: Wanting) -> Look:
    decal, number = _decal(place, asked), _number(asked)
    place.desk.remake(
        f"{_shape_name(decal, number)} of {decal.name} deleted", lambda text: delete_shape(text, decal.name, number)
    )
    return {"decal": decal.name}


def _order_shape(place: Workplace, asked: Wanting) -> Look:
    decal, number, step = _decal(place, asked), _number(asked), 1 if asked.get("step") == 1 else -1
    label = f"{_shape_name(decal, number)} of {decal.name} {'later' if step > 0 else 'earlier'}"
    place.desk.remake(label, lambda text: move_shape(text, decal.name, number, step))
    return {"decal": decal.name}


def _shape_name(decal: Decal, number: int) -> str:
    return decal.artwork[number].shape.name if 0 <= number < len(decal.artwork) else "shape"


# --------------------------------------------------------------------------------------------------------------- names
def _rename(place: Workplace, asked: Wanting) -> Look:
    """Another name for a panel, obstacle, decal or whatever else has one."""
    what, name, new = _text(asked, "what"), _text(asked, "name"), _text(asked, "to")
    if what not in ("panel", "obstacle", "decal", "value", "ink", "paint", "variant"):
        raise EditError("that has no name to change", fix="load the page again")
    subject = Subject(what, name, str(asked.get("owner", "")))  # type: ignore[arg-type]
    desk = place.desk
    desk.remake(f"{name} renamed", lambda text: renamed(text, desk.path, subject, new))
    view = asked.get("view")
    looked_at = what == "variant" and isinstance(view, dict) and view.get("variant") == name
    return {what: " ".join(new.split())} if what in ("panel", "decal") or looked_at else {}


# --------------------------------------------------------------------------------------------------------------- shared
def _decal(place: Workplace, asked: Wanting) -> Decal:
    name = _text(asked, "decal")
    found = next((one for one in readable_job(place).decals if one.name == name), None)
    if found is None:
        variants = value_at(place.desk.values, ("variants",)) or {}
        only = next((one for one in variants if value_at(variants, (one, "decals", name)) is not None), "")
        if only:
            raise EditError(f"'{name}' is only in the variant {only}", fix="change it there, in an editor")
        raise EditError(f"there is no decal '{name}'", fix="look at the page again")
    return found


def _text(asked: Wanting, key: str) -> str:
    found = asked.get(key)
    if not isinstance(found, str) or len(found) > 500:
        raise EditError("that cannot be read", fix="load the page again")
    return found


def _number(asked: Wanting) -> int:
    found = asked.get("number")
    if not isinstance(found, int) or isinstance(found, bool):
        raise EditError("that cannot be read", fix="load the page again")
    return found


def _refusing(act: Callable[[Workplace, Wanting], Look]) -> Callable[[Workplace, Wanting], Look]:
    """An act whose refusals are answers, whatever kind they are."""

    def done(place: Workplace, asked: Wanting) -> Look:
        try:
            return act(place, asked)
        except JobError as error:
            first = error.problems[0]
            raise DecalgenError(first.message, fix=first.fix) from None

    return done


_DRAW = {
    "add_decal": _add_decal,
    "copy_decal": _copy_decal,
    "delete_decal": _delete_decal,
    "order_decal": _order_decal,
    "add_shape": _add_shape,
    "delete_shape": _delete_shape,
    "order_shape": _order_shape,
    "rename": _rename,
    "drop_file": drop_file,
    "match_ink": match_ink,
}
DRAW_ACTS = {name: _refusing(act) for name, act in _DRAW.items()}
"""What Draw offers, by name."""
