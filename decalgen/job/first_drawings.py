"""A drawing of one's own that comes into a job: its name, a size that its decal or panel has room for, and inks for
those of its colours that the job has none for. Pure: from a job and the drawing's text to what its file is to say."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import PurePath
from typing import Any

from decalgen.colour.difference import GOOD
from decalgen.core.names import untaken
from decalgen.core.svg.text import DrawingText
from decalgen.job.first_shapes import SHARE, STEP, NewShape, sizes_by_panel
from decalgen.job.model import Decal, Job
from decalgen.job.restructure import grown
from decalgen.job.splices import values
from decalgen.job.written import YamlValue
from decalgen.shapes.base import Box
from decalgen.shapes.drawing import OwnDrawing, matches_of

DRAWING = OwnDrawing.name


def drawing_of(job: Job, name: str, text: str) -> DrawingText:
    """A drawing in the inks of a job."""
    return DrawingText(name, text, tuple((ink.name, ink.colour) for ink in job.inks))


def drawing_decal(job: Job, panel: str, drawing: DrawingText, share: float = 1.0) -> dict[str, YamlValue]:
    """A decal with a drawing alone for a panel, without its place; ``share``: of its usual size. Raises `ShapeError`
    for a drawing that cannot be printed."""
    return own_file_decal(job, panel, NewShape(DRAWING, {"file": drawing.name}), _size(drawing), share)


def drawing_shape(decal: Decal, drawing: DrawingText) -> NewShape:
    """A drawing as it comes into a decal, as large as that. Raises as `drawing_decal`."""
    return own_file_shape(decal, NewShape(DRAWING, {"file": drawing.name}), _size(drawing))


def own_file_decal(job: Job, panel: str, shape: NewShape, whole: Box, share: float = 1.0) -> dict[str, YamlValue]:
    """A decal for a panel, without its place, with a shape alone that is drawn from a file and looks like ``whole``."""
    there = job.panel(panel)
    room = Box(there.width.value * SHARE * share, there.height.value * SHARE * share)
    rows: dict[str, YamlValue] = {"panel": panel}
    if there.hand:
        rows["hands"] = "both"
    side = _tight(whole, room)
    if there.unmeasured:
        sizes, own = sizes_by_panel(whole, side), f"decal.{side}"
    else:
        length = _length(whole, room)
        found = _at(whole, side, length)
        sizes = {"width": f"{_up(found.width):.2f} mm", "height": f"{_up(found.height):.2f} mm"}
        own = f"{length:.2f} mm"
    return {**rows, **sizes, "artwork": [{shape.name: {**shape.body, side: own}}]}


def own_file_shape(decal: Decal, shape: NewShape, whole: Box) -> NewShape:
    """Such a shape as large as a decal."""
    room = Box(decal.width.value, decal.height.value)
    side = _tight(whole, room)
    own = f"decal.{side}" if decal.unmeasured else f"{_length(whole, room):.2f} mm"
    return NewShape(shape.name, {**shape.body, side: own})


def with_inks(text: str, job: Job, drawing: DrawingText) -> str:
    """The text of a job with an ink for each colour of a drawing that none of its inks comes near to, called after
    it."""
    for colour in own_colours(_drawn(drawing)):
        text, _ = with_ink(text, job, drawing.name, colour)
    return text


def with_ink(text: str, job: Job, drawing: str, colour: str) -> tuple[str, str]:
    """The text of a job with an ink of a colour of a drawing, called after the name of its file; and that ink."""
    stem = " ".join(PurePath(drawing).stem.replace("_", " ").replace("-", " ").split()) or "drawing"
    name = untaken(stem, {ink.name for ink in job.inks} | set(_mapping(values(text).get("inks"))), "{} {}")
    return grown(text, ("inks", name), {"colour": colour}), name


def own_colours(drawing: OwnDrawing) -> list[str]:
    """The colours of a drawing that no ink of its job comes near to."""
    return [one.colour for one in matches_of(drawing) if one.off > GOOD]


def _mapping(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}


def _drawn(drawing: DrawingText) -> OwnDrawing:
    return OwnDrawing(file=drawing, height=1.0)


def _size(drawing: DrawingText) -> Box:
    """How wide and high it is, for its shape alone."""
    return _drawn(drawing).extent(Box(1.0, 1.0))


def _at(whole: Box, side: str, length: float) -> Box:
    scale = length / (whole.width if side == "width" else whole.height)
    return Box(whole.width * scale, whole.height * scale)


def _tight(whole: Box, room: Box) -> str:
    """The side that it fills the room by."""
    return "width" if room.width / whole.width <= room.height / whole.height else "height"


def _length(whole: Box, room: Box) -> float:
    length = room.width if _tight(whole, room) == "width" else room.height
    return max(STEP, math.floor(length / STEP + 1e-6) * STEP)


def _up(length: float) -> float:
    """To whole hundredths, none of it cut off."""
    return math.ceil(length * 100 - 1e-6) / 100
