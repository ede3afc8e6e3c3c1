"""A shape that comes into a decal: as its example shows it, as large as the decal has room for, in the job's own inks.
Pure: from a job as it reads to the values that its file is to say."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from decalgen.colour.difference import delta_l
from decalgen.colour.value import Colour
from decalgen.core import keys
from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass
from decalgen.job.key_words import as_written, unit
from decalgen.job.model import Decal, InkSpec, Job
from decalgen.job.written import ShortList, YamlValue
from decalgen.shapes.base import At, Box, Element
from decalgen.shapes.registry import find, load

SHARE = 0.5
"""A decal with one shape takes up so much of its panel's width and height, as a beginning."""
STEP = 0.05
"""What sizes are rounded to, mm."""
GROUND = "field"
"""The shape that covers all of a decal: a new one goes under the others, where there is none."""
STRIP = "decal.height / 4"
"""A second field is a strip along the foot."""


@dataclass(frozen=True)
class NewShape:
    """A shape to be added: its name, its keys, and whether it goes under the others."""

    name: str
    body: dict[str, YamlValue]
    under: bool = False


def ready_shapes() -> list[str]:
    """The shapes that can come in as their example shows them: they need no file of the user's."""
    return [name for name, cls in load().items() if not _needs_file(cls)]


def _needs_file(cls: Any) -> bool:
    return any(isinstance(spec.kind, keys.DrawingFile | keys.PictureFile) for spec in keys.specs(cls))


def _check_ready(name: str) -> None:
    """Raises `DecalgenError` for a shape that needs a file first, and for one that there is not."""
    if _needs_file(find(name)):
        what, file = ("picture", "emblem.png") if name == "picture" else ("drawing", "crest.svg")
        fix = f"save your {what} beside the job and write it in the file: - {name}: {{file: {file}, height: 4 mm}}"
        raise DecalgenError(f"the shape '{name}' needs a file of yours", fix=fix)


def new_shape(job: Job, decal: Decal, name: str) -> NewShape:
    """A shape as it comes into a decal. Raises `DecalgenError` for one that there is not, or that needs a file."""
    _check_ready(name)
    box = Box(decal.width.value, decal.height.value)
    whole = [one.shape for one in decal.artwork if covers(one)]
    if name == GROUND:
        ink = ranked_inks(job, decal, under=())[0]
        if whole:
            return NewShape(name, {"ink": _next_ink(job, decal), "height": STRIP, "at": "bottom"})
        return NewShape(name, {"ink": ink}, under=True)
    inks = ranked_inks(job, decal, under=[ink for shape in whole for ink in inks_of(shape)][-1:])
    open_ended = bool(decal.unmeasured or job.panel(decal.panel).unmeasured)
    return NewShape(name, shape_body(name, box, inks, of_decal=open_ended))


def new_decal(job: Job, panel: str, shape: str, share: float = 1.0) -> dict[str, YamlValue]:
    """A decal with one shape for a panel, without its place; ``share``: of its usual size. Raises as `new_shape`."""
    _check_ready(shape)
    there = job.panel(panel)
    example = find(shape).example_box
    wide, high = there.width.value * SHARE * share, there.height.value * SHARE * share
    scale = min(wide / example.width, high / example.height)
    box = Box(example.width * scale, example.height * scale)
    whole = shape in (GROUND, "border")
    if whole:
        box = Box(wide, high)
    if there.unmeasured:
        side = "width" if wide / example.width <= high / example.height else "height"
        sizes = sizes_by_panel(example, side)
        if whole or example.width == example.height:
            sizes = {one: f"panel.{one if whole else side} / 2" for one in ("width", "height")}
    else:
        box = Box(_rounded(box.width), _rounded(box.height))
        sizes = {"width": f"{box.width:.2f} mm", "height": f"{box.height:.2f} mm"}
    inks = ranked_inks(job, None, under=())
    body = {"ink": inks[0]} if shape == GROUND else shape_body(shape, box, inks, of_decal=bool(there.unmeasured))
    rows: dict[str, YamlValue] = {"panel": panel}
    if there.hand:
        rows["hands"] = "both"
    return {**rows, "width": sizes["width"], "height": sizes["height"], "artwork": [{shape: body}]}


def sizes_by_panel(shape: Box, side: str) -> dict[str, YamlValue]:
    """Width and height of a decal of that shape that takes up half of a ``side`` of its panel, which is not measured
    yet."""
    ratio = shape.height / shape.width if side == "width" else shape.width / shape.height
    other = "height" if side == "width" else "width"
    return {side: f"panel.{side} / 2", other: f"{ratio / 2:.3g} * panel.{side}"}


def shape_body(name: str, box: Box, inks: Sequence[str], *, of_decal: bool = False) -> dict[str, YamlValue]:
    """The keys of a shape as in its example, scaled to a box, the example's inks replaced in turn by these.
    ``of_decal``: sizes as shares of the decal's, for one whose own size is not known yet."""
    cls = find(name)
    scale = min(box.width / cls.example_box.width, box.height / cls.example_box.height)
    by_width = box.width / cls.example_box.width <= box.height / cls.example_box.height
    side, size = ("width", box.width) if by_width else ("height", box.height)

    def length(value: float) -> str:
        if of_decal and value:
            return f"{value * scale / size:.3g} * decal.{side}"
        return f"{_rounded(value * scale):.2f} mm" if value else "0 mm"

    return _Body(length, example_inks(name, inks)).of(cls, dict(cls.example))


def example_inks(name: str, inks: Sequence[str]) -> dict[str, str]:
    """By the inks of a shape's example, in order, those that take their places."""
    cls = find(name)
    named = dict.fromkeys(_named(cls, cls.example))
    return {ink: inks[n % len(inks)] for n, ink in enumerate(named)}


def ranked_inks(job: Job, decal: Decal | None, under: Sequence[str]) -> list[str]:
    """The job's inks for something that lies on an ink (``under``, or the bare film), the one that shows best first:
    those that the livery has before those that it only declares. Where there is none of its own: black."""
    own = [ink for ink in job.inks if not ink.stands_for and ink.kind != "white"]
    # An ink that only a layout brings along would go with its decal.
    declared = [ink for ink in own if _declared(ink)] or [ink for ink in own if ink.name != "black"] or own
    film = (decal.film if decal else None) or job.film
    ground = next((_seen(ink) for ink in job.inks if ink.name in under), None)
    if ground is None:
        ground = Colour.from_hex("#ffffff" if film == "white" else job.paint(job.body).colour)
    used = {ink for one in job.decals for ink in inks_of(one.artwork)}
    rest = [ink for ink in declared if ink.name not in under] or declared

    def rank(ink: InkSpec) -> tuple[bool, float]:
        return ink.name not in used, -abs(delta_l(_seen(ink), ground))

    return [ink.name for ink in sorted(rest, key=rank)]


def _declared(ink: InkSpec) -> bool:
    """Whether a file of the job says its name where it is noted to be from."""
    place = ink.place
    return place is not None and place.text[place.column - 1 :].lstrip("\"'").startswith(ink.name)


def _next_ink(job: Job, decal: Decal) -> str:
    last = [ink for one in decal.artwork for ink in inks_of(one.shape)]
    return ranked_inks(job, decal, under=last[-1:])[0]


def covers(one: Element) -> bool:
    """Whether a shape covers all of its decal: a field without a size of its own."""
    shape: Any = one.shape
    return shape.name == GROUND and shape.width is None and shape.height is None


def inks_of(part: Any) -> Iterator[str]:
    """The inks that a shape, or some shapes, name."""
    if isinstance(part, tuple):
        for one in part:
            yield from inks_of(one)
    elif isinstance(part, Element):
        yield from inks_of(part.shape)
    elif is_dataclass(part) and not isinstance(part, type):
        kind: Any = type(part)
        for spec in _marks(kind):
            value = getattr(part, spec.name)
            if _is_ink(spec.kind):
                yield from (value if isinstance(value, tuple) else () if value is None else (value,))
            elif isinstance(spec.kind, keys.Elements | keys.Block | keys.Many):
                yield from inks_of(value)


def _marks(kind: Any) -> tuple[keys.Spec, ...]:
    """The marks of a class; none where it has none."""
    try:
        return keys.specs(kind)
    except TypeError:
        return ()


def _is_ink(kind: keys.Key) -> bool:
    return isinstance(kind, keys.InkName) or (isinstance(kind, keys.Many) and isinstance(kind.of, keys.InkName))


def _named(cls: Any, given: dict[str, Any]) -> Iterator[str]:
    """The inks of an example, in order."""
    for spec in keys.specs(cls):
        value = given.get(spec.name)
        if value is not None and _is_ink(spec.kind):
            yield from (value if isinstance(value, tuple) else (value,))
        elif value is not None:
            yield from inks_of(value)


def _seen(ink: InkSpec) -> Colour:
    return Colour.from_hex(ink.colour)


def _rounded(value: float) -> float:
    """A size to whole steps, one of them at least."""
    return math.copysign(max(STEP, round(abs(value) / STEP) * STEP), value)


class _Body:
    """Writes a shape's keys: its lengths by one rule, its inks by another."""

    def __init__(self, length: Callable[[float], str], inks: dict[str, str]) -> None:
        self.length, self.inks = length, inks

    def of(self, cls: Any, given: dict[str, Any]) -> dict[str, YamlValue]:
        """The keys that are given, but for those that would hold without."""
        return {
            spec.key: self.value(spec.kind, given[spec.name])
            for spec in keys.specs(cls)
            if spec.name in given and (spec.required or given[spec.name] != spec.default)
        }

    def value(self, kind: keys.Key, value: Any) -> YamlValue:
        if isinstance(kind, keys.InkName):
            return self.inks[value]
        if isinstance(kind, keys.Elements):
            return [self._element(one) for one in value]
        if isinstance(kind, keys.Block):
            return self.of(type(value), {one.name: getattr(value, one.name) for one in fields(value)})
        if isinstance(kind, keys.Many | keys.Two) and isinstance(value, tuple):
            found = [self.value(kind.of, one) for one in value]
            return ShortList(found) if all(isinstance(one, str) for one in found) else found
        if isinstance(value, float) and unit(kind) == "mm":
            return self.length(value)
        return as_written(kind, value)

    def _element(self, one: Element) -> YamlValue:
        cls: Any = type(one.shape)
        body = self.of(cls, {spec.name: getattr(one.shape, spec.name) for spec in keys.specs(cls)})
        if one.at != At():
            body["at"] = {
                "anchor": one.at.anchor,
                "offset": ShortList([self.length(one.at.dx), self.length(one.at.dy)]),
            }
        return {one.shape.name: body}
