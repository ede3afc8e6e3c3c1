"""What is done on the Draw screen beside filling in blanks: moves, ways out of a bad fit, measures and faces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from decalgen.artwork.build import hands
from decalgen.artwork.on_panel import corner_on, on_panel
from decalgen.bench.desk import Edit, StaleError, value_at
from decalgen.bench.included_edits import change_included
from decalgen.bench.letterings import OwnLettering, in_every_face, own_letterings
from decalgen.bench.moving import HandMove, as_seen, moved, overtaken
from decalgen.bench.remedies import remedies
from decalgen.bench.shown_job import edits_in, shown_job
from decalgen.commands.readings_typed import typed_reading
from decalgen.job.edits import EditError, Path
from decalgen.job.model import Decal, Hand, Job
from decalgen.shapes.base import Box
from decalgen.shapes.lettering import Lettering

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace
    from decalgen.lettering.typeface import OwnFaceName

FARTHEST_MM = 10_000.0
MOST_MOVED = 200
MEASURE_DEPTH = 7
"""So many steps lead from the top of a file to a measure of lettering."""


def move(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Lays decals elsewhere, as one step: ``decals`` by name, the one that is held first, ``hand``, ``dx`` and ``dy``
    in mm; ``x`` and ``y`` where it was caught: where its lower left corner is to be, instead; and the words of the
    anchor that it was laid on across and up; ``was``: by name what stood under `at` when they were taken hold of.
    Raises StaleError where that is another by now, EditError, DecalgenError."""
    desk, shown = place.desk, shown_job(place, asked.get("view"))
    hand, across, up = (str(asked.get(key, "")) for key in ("hand", "across", "up"))
    try:
        names = [str(name) for name in asked["decals"]][:MOST_MOVED]
        seen = as_seen(desk, shown, names, dict(asked.get("was", {})))
        dx, dy = float(asked["dx"]), float(asked["dy"])
        if names and (asked.get("x") is not None or asked.get("y") is not None):
            x, y = _corner(place, seen.job, names[0], hand)
            dx = dx if asked.get("x") is None else float(asked["x"]) - x
            dy = dy if asked.get("y") is None else float(asked["y"]) - y
    except (KeyError, TypeError, ValueError):
        raise EditError("that move cannot be read", fix="load the page again") from None
    far = dx, dy
    if not all(abs(one) <= FARTHEST_MM for one in far):
        raise EditError("that is too far", fix="move it on its panel")
    if len(names) > 1:
        # What one of them was laid on is no place of the others.
        across = up = ""
    edits = moved(seen, names, HandMove(hand, *far, across, up))
    label = f"place of {names[0]}" if len(names) == 1 else f"place of {len(names)} decals"
    if seen is shown:
        desk.edit(desk.version, edits_in(shown, edits), label, str(asked.get("key", ""))[:200])
    elif (stale := overtaken(desk, seen, edits, label)) is not None:
        raise stale


def included(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Changes a value of a file that the job includes, as `change_included`."""
    change_included(place.desk, asked)


def remedy(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Does what makes a decal fit: ``decal``, ``hand``, the ``label`` of what was offered; ``was``: what stood under
    `at`, `width` and `height` where it was offered. Raises EditError where that is no way out any more, StaleError
    where another changed what it changes, DecalgenError."""
    name, hand = str(asked.get("decal")), str(asked.get("hand", ""))
    shown = shown_job(place, asked.get("view"))
    job, decal = _decal(shown.job, name)
    found = remedies(job, decal, _hand(decal, hand), place.drawings.parts)
    chosen = next((one for one in found if one.label == asked.get("label")), None)
    if chosen is None:
        raise EditError("that would not make it fit any more", fix="look at the page again")
    was, label = dict(asked.get("was") or {}), f"fit of {name}"
    if chosen.size is None:
        seen = as_seen(place.desk, shown, [name], {name: was["at"]} if "at" in was else {})
        edits = moved(seen, [name], HandMove(hand, *chosen.move))
        if seen is not shown and (stale := overtaken(place.desk, seen, edits, label)) is not None:
            raise stale
    else:
        key, size = chosen.size
        at: Path = ("decals", name, key)
        there = value_at(shown.values, at)
        edits = [Edit("add" if there is None else "set", at, f"{size:.2f} mm", there)]
        if was.get(key, there) != there:
            raise StaleError(Edit("set", at, edits[0].to, was[key]), there, edits_in(shown, edits), label)
    place.desk.edit(place.desk.version, edits_in(shown, edits), label)


def measure(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Fills in a measure of lettering: ``at``, ``to`` as it was typed, ``was``. A bare number is mm. Raises EditError,
    DecalgenError."""
    try:
        at = tuple(asked["at"])
        to = typed_reading(str(asked["to"]))
    except (KeyError, TypeError):
        raise EditError("that reading cannot be read", fix="load the page again") from None
    if len(at) != MEASURE_DEPTH or at[0] != "decals" or at[-2] != "match":
        raise EditError("that is not a measure of lettering", fix="load the page again")
    there = value_at(place.desk.values, at)
    edit = Edit("add" if there is None else "set", at, to, asked.get("was"))
    place.desk.edit(place.desk.version, [edit], f"{at[-1]} of {at[1]}")


def faces(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Draws the words of a lettering in every face, beside the typing: ``decal``, ``number``. Raises EditError."""
    one = _lettering(place, str(asked.get("decal")), asked.get("number"))
    if one is None:
        raise EditError("that lettering is not there any more", fix="look at the page again")
    own = [name for _, name in place.desk.job.faces] if place.desk.job else []
    key, lettering = faces_key(one.lettering, own), one.lettering
    place.start("faces", "drawing the faces", lambda: {"of": key, "faces": in_every_face(lettering, own)})


def choose(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Takes another face for a lettering: ``decal``, ``number``, ``face``; ``was``: the one it had. Settings of the old
    face go with it. Raises EditError, StaleError where it has another by now, DecalgenError."""
    name, face = str(asked.get("decal")), str(asked.get("face"))
    one = _lettering(place, name, asked.get("number"))
    if one is None:
        raise EditError("that lettering is not there any more", fix="look at the page again")
    at: Path = ("decals", name, "artwork", one.number, "lettering")
    was, now = one.body.get("face"), str(one.lettering.face)
    edits = [Edit("add" if was is None else "set", (*at, "face"), face, was)]
    if "axes" in one.body and face != now:
        edits.insert(0, Edit("remove", (*at, "axes"), None, one.body["axes"]))
    seen, label = asked.get("was", now), f"face of {name}"
    if seen != now and face != now:
        raise StaleError(Edit("set", (*at, "face"), face, seen), was, edits, label)
    place.desk.edit(place.desk.version, edits, label)


def _corner(place: Workplace, of: Job | None, name: str, hand: str) -> tuple[float, float]:
    """Where the lower left corner of a decal of a job lies on one hand of its panel, mm. Raises EditError where it is
    gone."""
    job, decal = _decal(of, name)
    art = place.drawings.parts(job, decal, _hand(decal, hand))[0]
    panel, at = on_panel(job, decal, art.hand)
    return corner_on(panel, at, Box(art.width, art.height))


def _decal(job: Job | None, name: str) -> tuple[Job, Decal]:
    """The job and a decal of it. Raises EditError where it is gone."""
    decal = next((one for one in job.decals if one.name == name), None) if job else None
    if job is None or decal is None:
        raise EditError(f"there is no decal '{name}'", fix="look at the page again")
    return job, decal


def _hand(decal: Decal, word: str) -> Hand | None:
    """The hand of that word, or the first that the decal has."""
    found = hands(decal)
    return next((one for one in found if one == word), found[0])


def _lettering(place: Workplace, name: str, number: Any) -> OwnLettering | None:
    """A lettering of a decal by its number among the shapes."""
    job = place.desk.job
    decal = next((one for one in job.decals if one.name == name), None) if job else None
    group = value_at(place.desk.values, ("decals", name))
    if decal is None or not isinstance(group, dict):
        return None
    return next((one for one in own_letterings(decal, group) if one.number == number), None)


def faces_key(lettering: Lettering, own: Sequence[OwnFaceName]) -> str:
    """What the drawings of some words in every face, and in a job's ``own``, depend on."""
    return repr((replace(lettering, face="Archivo", axes=()), [(str(name), name.font.sha256) for name in own]))
