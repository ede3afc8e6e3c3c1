"""Where decals are laid by hand, as the changes of the file that say so. Pure.

The anchor stays, and so does what is written of the way that a decal is not moved in; a place that is an anchor without
a step is written as its word.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple, Protocol

from decalgen.bench.blanks import with_groups
from decalgen.bench.come_to import at_words, in_short
from decalgen.bench.desk import Desk, Edit, EditKind, StaleError, edited, value_at
from decalgen.bench.job_read import job_read
from decalgen.bench.shown_job import ShownJob
from decalgen.bench.snapping import STEP_MM
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import EditError, Path, values
from decalgen.job.model import Decal, Job
from decalgen.job.nodes import Mapping as MappingNode
from decalgen.job.splices import as_written, children
from decalgen.job.written import Bracketed, ShortList
from decalgen.shapes.base import ANCHORS, Anchor, At

_SWAP = {"left": "right", "right": "left"}
_SIGN = re.compile(r"[-+\N{MINUS SIGN}]")


class HandMove(NamedTuple):
    """How far decals go, mm as seen on one hand; ``across`` and ``up``: the words of the anchor that they are laid on
    that way, '' where they are laid on none."""

    hand: str
    dx: float
    dy: float
    across: str = ""
    up: str = ""


class MovableText(Protocol):
    """A job as decals are moved in it: its text, all values of that, and what it reads as."""

    @property
    def text(self) -> str: ...

    @property
    def values(self) -> Any: ...

    @property
    def job(self) -> Job | None: ...


class SeenText(NamedTuple):
    """A `MovableText` that is not on the bench."""

    text: str
    values: Any
    job: Job | None


def as_seen(desk: Desk, shown: ShownJob, names: Sequence[str], seen: Mapping[str, Any]) -> MovableText:
    """The job with decals where whoever moves them saw them, by what stood under `at`: as it is shown, unless another
    has moved one of them meanwhile. Raises EditError where that cannot be told."""
    text = desk.text
    for name in dict.fromkeys(names):
        at: Path = ("decals", name, "at")
        there, was = value_at(shown.values, at), seen.get(name)
        if name not in seen or there == was or not isinstance(value_at(shown.values, at[:-1]), dict):
            continue
        if shown.variant:
            raise _moved_meanwhile(name)
        do: EditKind = "remove" if was is None else "add" if there is None else "set"
        try:
            text = edited(text, Edit(do, at, was))
        except DecalgenError:
            raise _moved_meanwhile(name) from None
    if text == desk.text:
        return shown
    read = job_read(text, desk.path)
    if read.job is None:
        raise _moved_meanwhile(names[0])
    return SeenText(text, values(text), read.job)


def overtaken(desk: Desk, seen: MovableText, edits: Sequence[Edit], label: str) -> StaleError | None:
    """The refusal of a move of decals that another moved meanwhile, with both sides; None where both come to the same.
    ``edits`` move them in ``seen``."""
    text = seen.text
    for one in edits:
        text = edited(text, one)
    mine = values(text)
    instead = []
    for name in dict.fromkeys(str(one.at[1]) for one in edits if len(one.at) > 1):
        at: Path = ("decals", name, "at")
        to, theirs = value_at(mine, at), value_at(desk.values, at)
        if to != theirs:
            instead.append(Edit("add" if theirs is None else "set", at, to, theirs))
    if not instead:
        return None
    first = next((one for one in instead if one.was != value_at(seen.values, one.at)), instead[0])
    return StaleError(first, first.was, instead, label)


def _moved_meanwhile(name: str) -> EditError:
    return EditError(f"'{name}' was moved meanwhile", fix="look at it, then move it again")


def moved(desk: MovableText, names: Sequence[str], move: HandMove) -> list[Edit]:
    """The changes that lay some decals elsewhere; only one of them can be laid on an anchor. Raises EditError for a
    decal that is not there. One that another file holds is laid elsewhere in this job alone."""
    job = desk.job
    decals = {decal.name: decal for decal in job.decals} if job else {}
    if job is None or not names or not set(names) <= set(decals):
        missing = next((name for name in names if name not in decals), "")
        raise EditError(f"there is no decal '{missing}'", fix="look at the page again")
    found: dict[Path, Edit] = {}
    for edit in (one for name in dict.fromkeys(names) for one in _moved(desk, job, decals[name], move)):
        before = found.get(edit.at)
        # The first lines of two decals in the same group, which is new.
        if before is not None and isinstance(before.to, dict) and isinstance(edit.to, dict):
            edit = Edit(edit.do, edit.at, before.to | edit.to, edit.was)
        found[edit.at] = edit
    return list(found.values())


def _moved(desk: MovableText, job: Job, decal: Decal, move: HandMove) -> list[Edit]:
    group = value_at(desk.values, ("decals", decal.name))
    if group is not None and not isinstance(group, dict):
        raise EditError(f"'{decal.name}' cannot be read", fix="look at the page again")
    of_another_file = group is None
    group = group or {}
    dx, across = move.dx, move.across
    if move.hand == "right" and job.panel(decal.panel).hand != "right":
        dx, across = -dx, _SWAP.get(across, across)
    at, was = decal.at, group.get("at")
    old_across, old_up = _two_words(at.anchor)
    anchor = _anchor(across or old_across, move.up or old_up)
    x = 0.0 if across else _rounded(at.dx + dx)
    y = 0.0 if move.up else _rounded(at.dy + move.dy)
    there = At(anchor, x, y)
    texts = _steps(was)
    new = (
        texts[0] if texts and not dx and not across else _mm(x),
        texts[1] if texts and not move.dy and not move.up else _mm(y),
    )
    path: Path = ("decals", decal.name, "at")
    found = _written(desk, path, was, there, new, anchor == at.anchor)
    return [_with_groups(desk, one) for one in found] if of_another_file else found


def _with_groups(desk: MovableText, edit: Edit) -> Edit:
    """Where a decal of a file that the job includes is laid in this job alone: with the groups round that."""
    assert edit.to is not None
    at, to = with_groups(as_written(desk.text), edit.at, edit.to)
    return Edit(edit.do, at, to, edit.was)


def _written(desk: MovableText, path: Path, was: Any, at: At, steps: tuple[str, str], same: bool) -> list[Edit]:
    """The change that says where a decal lies, in the way that the file says it now. ``same``: by the same anchor."""
    do: EditKind = "add" if was is None else "set"
    if isinstance(was, list) and at.anchor == "bottom left":
        return _pair(path, was, steps)
    if not at.dx and not at.dy:
        word = Edit(do, path, at.anchor, was)
        if not isinstance(was, dict) or _possible(desk, word):
            return [word]
    if isinstance(was, dict) and isinstance(was.get("offset"), list):
        found = _pair((*path, "offset"), was["offset"], steps)
        if not same:
            found.append(Edit("set" if "anchor" in was else "add", (*path, "anchor"), at.anchor, was.get("anchor")))
        return found
    if not isinstance(was, list | dict) and in_short(at):
        return [Edit(do, path, _short(at, steps), was)]
    group = {"anchor": at.anchor, "offset": ShortList(steps)}
    return [Edit(do, path, Bracketed(group) if _bracketed(desk.text) else group, was)]


def _bracketed(text: str) -> bool:
    """Whether a file writes short groups in brackets."""
    todo: list[Any] = [as_written(text).root]
    while todo:
        node = todo.pop()
        if isinstance(node, MappingNode) and node.flow and node.entries:
            return True
        todo += [one for _, one in children(node)]
    return False


def _pair(path: Path, was: list[Any], steps: tuple[str, str]) -> list[Edit]:
    """Both steps of a pair, each where it is another than before."""
    pairs = enumerate(zip(was, steps, strict=True))
    return [Edit("set", (*path, number), new, old) for number, (old, new) in pairs if new != old]


def _short(at: At, steps: tuple[str, str]) -> str:
    """'bottom + 0.80 mm', or with what the file says of the step."""
    step = steps[0] if at.anchor in ("left", "right") else steps[1]
    if step in (_mm(at.dx), _mm(at.dy)):
        return at_words(at)
    return f"{at.anchor} {step}" if _SIGN.match(step) else f"{at.anchor} + {step}"


def _possible(desk: MovableText, edit: Edit) -> bool:
    """Whether a group can be replaced: not where it holds a comment."""
    try:
        edited(desk.text, edit)
    except EditError:
        return False
    return True


def _steps(was: Any) -> tuple[str, str] | None:
    """What the file says of both steps; None where it says neither, and they come from elsewhere."""
    if isinstance(was, dict):
        was = was.get("offset", ["0 mm", "0 mm"])
    if isinstance(was, list) and len(was) == 2 and all(isinstance(one, str) for one in was):
        return was[0], was[1]
    if not isinstance(was, str):
        return None
    sign = _SIGN.search(was)
    anchor, step = (was[: sign.start()].strip(), was[sign.start() :].lstrip("+ ")) if sign else (was, "0 mm")
    return (step, "0 mm") if anchor in ("left", "right") else ("0 mm", step)


def _two_words(anchor: str) -> tuple[str, str]:
    """'top left' as 'left' and 'top'; 'centre' for what it does not say."""
    words = anchor.split()
    across = next((word for word in words if word in _SWAP), "centre")
    return across, next((word for word in words if word in ("top", "bottom")), "centre")


def _anchor(across: str, up: str) -> Anchor:
    """Both ways in one anchor. Raises EditError for what is none."""
    words = " ".join(word for word in (up, across) if word != "centre") or "centre"
    found = next((one for one in ANCHORS if one == words), None)
    if found is None:
        raise EditError(f"'{words}' is not an anchor", fix="load the page again")
    return found  # type: ignore[return-value]


def _mm(value: float) -> str:
    return f"{value:.2f} mm" if value else "0 mm"


def _rounded(value: float) -> float:
    return round(round(value / STEP_MM) * STEP_MM, 6) + 0.0
