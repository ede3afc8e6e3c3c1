"""What is painted: each content stream is run, with the forms in it, and every painting is judged by where it stands.

A painting has to lie in one layer, in that layer's ink at full tint, at true scale, unmirrored, inside the box that
holds such things; white comes first and what follows overprints it.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import pikepdf
from pikepdf import Dictionary, Name, Stream
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from tests.export.structure.keys import box_of, contains
from tests.export.structure.layers import RULES
from tests.export.structure.operators import (
    IDENTITY,
    OPERANDS,
    PAINTS,
    REFUSED,
    Matrix,
    moved,
    multiplied,
)
from tests.export.structure.outlines import SPECK, Ring, beyond, curve, drawn, filled, loose, pieces, tangled
from tests.export.structure.reading import held, inherited, listed, number, numbers, plain_pages, text
from tests.export.structure.register import MOST_INK, Placement, placing, whole

POINTS = 72 / 25.4
THINNEST = 0.02
"""No line is thinner, mm: at 1200 dots an inch it has one dot (common practice, no source)."""
MOST_DEPTH = 5
SLACK = 0.01
"""Points: what a box may be off by where a form is turned."""


@dataclass(frozen=True)
class State:
    """What of the graphics state the rules need."""

    fill: tuple[str, tuple[float, ...]] = ("nothing", ())
    stroke: tuple[str, tuple[float, ...]] = ("nothing", ())
    op: bool = False
    OP: bool = False
    opm: int = 0
    ca: float = 1.0
    CA: float = 1.0
    width: float = 1.0
    dashed: bool = False
    matrix: Matrix = IDENTITY
    layer: str | None = None


@dataclass(frozen=True)
class Painted:
    """One painting: its layer and ink, how it overprints, and the box round it and its points on the page."""

    layer: str | None
    ink: str
    stroked: bool
    state: State
    box: tuple[float, float, float, float]
    points: tuple[tuple[float, float], ...]
    closed: bool = False
    rings: tuple[Ring, ...] = ()
    even_odd: bool = True
    width: float = 0.0

    @property
    def ink_area(self) -> BaseGeometry:
        """What it covers on the page, square points."""
        return drawn(self.rings, self.width) if self.stroked else filled(self.rings, self.even_odd)


@dataclass
class Run:
    """One page on its way through: its groups by number, and what was painted, drawn and placed."""

    groups: dict[tuple[int, int], str]
    seen: list[Painted] = field(default_factory=list)
    drawn: set[tuple[int, int]] = field(default_factory=set)
    placed: list[Placement] = field(default_factory=list)


def painting(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Every page, and forms that no page draws."""
    properties = held(held(pdf.Root).get("/OCProperties"))
    groups = {
        g.objgen: text(held(g).get("/Name")) for g in listed(properties.get("/OCGs")) if isinstance(g, Dictionary)
    }
    filled: set[str | None] = set()
    drawn: set[tuple[int, int]] = set()
    for page in plain_pages(pdf):
        run = Run(groups)
        yield from _walk(pikepdf.Page(page), inherited(page, "/Resources"), State(), run, 0)
        yield from _judged(page, run.seen)
        yield from placing(run.placed)
        if not run.seen:
            yield "pages: one has nothing on it"
        filled |= {one.layer for one in run.seen}
        drawn |= run.drawn
    for name in groups.values():
        if name not in filled:
            yield f"layers: '{name}' has nothing in it"
    for item in pdf.objects:
        if isinstance(item, Stream) and held(item).get("/Subtype") == Name.Form and item.objgen not in drawn:
            yield "form: no page draws it"


def _walk(source: Any, resources: Any, state: State, run: Run, depth: int) -> Iterator[str]:
    with warnings.catch_warnings(record=True) as told:
        warnings.simplefilter("always")
        try:
            operations = pikepdf.parse_content_stream(source)
        except pikepdf.PdfError as error:
            yield f"content: cannot be read ({error})"
            return
    yield from (f"content: {one.message}" for one in told)
    walker = _Walker(held(resources), state, run, depth)
    for operands, operator in operations:
        # Any bytes at all may stand there, text or not.
        yield from walker.step(operator.unparse().decode("latin-1"), list(operands))
    if walker.stack or walker.marked:
        yield "balance: q without Q or BDC without EMC"


class _Walker:
    """One stream on its way through."""

    def __init__(self, resources: dict[str, Any], state: State, run: Run, depth: int) -> None:
        self.resources, self.state, self.run, self.depth = resources, state, run, depth
        self.stack: list[tuple[State, int]] = []
        self.marked: list[str | None] = []
        self.path: list[tuple[float, float]] = []
        self.rings: list[list[tuple[float, float]]] = []

    def entry(self, kind: str, operand: Any) -> Any:
        return held(self.resources.get(kind)).get(str(operand))

    def step(self, word: str, operands: list[Any]) -> Iterator[str]:
        if word in REFUSED:
            yield f"{REFUSED[word]}: operator {word}"
        elif word not in OPERANDS:
            yield f"operator: '{word}' is none of a press file"
        elif len(operands) != len(OPERANDS[word]) or not all(
            number(one) is not None if kind == "n" else isinstance(one, Name) if kind == "/" else True
            for kind, one in zip(OPERANDS[word], operands, strict=False)
        ):
            yield f"operator: {word} with the wrong operands"
        else:
            yield from self._known(word, operands)

    def _known(self, word: str, operands: list[Any]) -> Iterator[str]:
        if word in {"q", "Q"}:
            yield from self._kept(word)
        elif word in {"BDC", "EMC"}:
            yield from self._layer(word, operands)
        elif word == "cm":
            values = [float(one) for one in operands]
            self.state = replace(self.state, matrix=multiplied(self.state.matrix, tuple(values)))
        elif word == "gs":
            yield from self._graphics(operands[0])
        elif word in {"k", "K", "cs", "CS", "scn", "SCN"}:
            yield from self._colour(word, operands)
        elif word == "w":
            self.state = replace(self.state, width=float(operands[0]))
        elif word == "d":
            self.state = replace(self.state, dashed=bool(listed(operands[0])))
        elif word in {"m", "l", "c", "re"}:
            values = [float(one) for one in operands]
            if word == "re":
                x, y, wide, high = values
                values = [x, y, x + wide, y, x + wide, y + high, x, y + high]
            points = [moved(self.state.matrix, (x, y)) for x, y in zip(values[::2], values[1::2], strict=True)]
            self.path += points
            if word in {"m", "re"}:
                self.rings.append(points)
            elif not self.rings:
                yield f"content: {word} without a point to start from"
            else:
                self.rings[-1] += curve(self.rings[-1][-1], points) if word == "c" else points
        elif word in PAINTS:
            yield from self._paint(word)
        elif word == "Do":
            yield from self._form(operands[0])

    def _kept(self, word: str) -> Iterator[str]:
        if word == "q":
            self.stack.append((self.state, len(self.marked)))
        elif not self.stack:
            yield "balance: Q without q"
        else:
            layer = self.state.layer
            before, marked = self.stack.pop()
            if marked != len(self.marked):
                yield "balance: a layer begins and ends on different sides of Q"
            # A layer is no part of the graphics state.
            self.state = replace(before, layer=layer)

    def _layer(self, word: str, operands: list[Any]) -> Iterator[str]:
        if word == "EMC":
            if not self.marked:
                yield "balance: EMC without BDC"
            else:
                self.state = replace(self.state, layer=self.marked.pop())
            return
        self.marked.append(self.state.layer)
        group = self.entry("/Properties", operands[1]) if isinstance(operands[1], Name) else None
        name = self.run.groups.get(group.objgen) if isinstance(group, Dictionary) else None
        if str(operands[0]) != "/OC" or name is None:
            what = operands[1] if isinstance(operands[1], Name) else "what it names"
            yield f"layers: {operands[0]}: {what} is not in the resources"
        if self.state.layer is not None:
            yield f"layers: '{name}' begins inside '{self.state.layer}'"
        self.state = replace(self.state, layer=name)

    def _graphics(self, operand: Any) -> Iterator[str]:
        entry = self.entry("/ExtGState", operand)
        if not isinstance(entry, Dictionary):
            yield f"resources: the graphics state {operand} is missing"
            return
        entries = held(entry)
        # Without /op, /OP says both (ISO 32000-1, table 58).
        over = bool(entries.get("/OP", self.state.OP))
        op = bool(entries.get("/op", entries.get("/OP", self.state.op)))
        opm = number(entries.get("/OPM", self.state.opm))
        ca, CA = number(entries.get("/ca", self.state.ca)) or 0.0, number(entries.get("/CA", self.state.CA)) or 0.0
        if not (0 < ca <= 1 and 0 < CA <= 1):
            yield "blending: an opacity is not above 0 and up to 1"
        self.state = replace(self.state, OP=over, op=op, opm=int(opm or 0), ca=ca, CA=CA)

    def _colour(self, word: str, operands: list[Any]) -> Iterator[str]:
        side = "fill" if word in {"k", "cs", "scn"} else "stroke"
        values = tuple(v for v in map(number, operands) if v is not None)
        if word in {"k", "K"}:
            found = ("process", values)
        elif word in {"cs", "CS"}:
            space = self.entry("/ColorSpace", operands[0])
            if space is None:
                yield f"colour: {operands[0]} is not in the resources"
                return
            members = list(space) if isinstance(space, pikepdf.Array) else []
            spot = str(members[1])[1:] if len(members) == 4 and isinstance(members[1], Name) else "nothing"
            # The first tint of a separation is full (ISO 32000-1, 8.6.6.4).
            found = (spot, (1.0,))
        else:
            found = (getattr(self.state, side)[0], values)
        if not all(0 <= value <= 1 for value in values):
            yield f"colour: {word} with a part below 0 or above 1"
        if found[0] == "process" and sum(values) > MOST_INK:
            yield f"colour: {sum(values):.0%} of ink on one spot"
        self.state = replace(self.state, fill=found) if side == "fill" else replace(self.state, stroke=found)

    def _paint(self, word: str) -> Iterator[str]:
        points, self.path = self.path, []
        rings, self.rings = self.rings, []
        state = self.state
        if word == "n":
            return
        if not points:
            yield "content: a path without a point is painted"
            return
        stroked = word in {"S", "s"}
        xs, ys = zip(*points, strict=True)
        size = math.sqrt(abs(state.matrix[0] * state.matrix[3] - state.matrix[1] * state.matrix[2])) or 0.0
        half = state.width * size / 2 if stroked else 0.0
        ink, tint = state.stroke if stroked else state.fill
        where = f"in '{state.layer}'"
        if stroked and not state.width * size >= THINNEST * POINTS:
            yield f"line width: {state.width} mm {where}"
        if ink != "process" and tint != (1.0,):
            yield f"tint: '{ink}' is not whole {where}" if ink != "nothing" else f"colour: none is set {where}"
        if ink != "process" and (state.CA if stroked else state.ca) != 1:
            yield f"tint: '{ink}' lets something through {where}"
        yield from _true(state.matrix, where)
        box = (min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half)
        settled = tuple((round(x, 3), round(y, 3)) for x, y in points)
        shape = (tuple(rings), word != "f", 2 * half)
        self.run.seen.append(Painted(state.layer, ink, stroked, state, box, settled, word == "s", *shape))

    def _form(self, operand: Any) -> Iterator[str]:
        form = self.entry("/XObject", operand)
        if not isinstance(form, Stream) or held(form).get("/Subtype") != Name.Form:
            yield f"resources: the form {operand} is missing"
            return
        if self.depth >= MOST_DEPTH:
            yield "form: one in another, and so on for ever"
            return
        self.run.drawn.add(form.objgen)
        settled = tuple(round(value, 3) for value in self.state.matrix)
        self.run.placed.append(Placement(self.state.layer, form.objgen, settled))
        before = len(self.run.seen)
        yield from _walk(form, held(form).get("/Resources"), self.state, self.run, self.depth + 1)
        corners = numbers(held(form).get("/BBox"), 4)
        if corners is None:
            return
        x0, y0, x1, y1 = corners
        room = [moved(self.state.matrix, corner) for corner in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
        xs, ys = zip(*room, strict=True)
        around = [min(xs), min(ys), max(xs), max(ys)]
        if not all(contains(around, list(one.box), SLACK) for one in self.run.seen[before:]):
            yield f"form: the box of {operand} cuts off what it draws"


def _true(matrix: Matrix, where: str) -> Iterator[str]:
    """A millimetre is a millimetre, both ways, and letters read."""
    a, b, c, d = (value / POINTS for value in matrix[:4])
    if abs(math.hypot(a, b) - 1) > 1e-6 or abs(math.hypot(c, d) - 1) > 1e-6 or abs(a * c + b * d) > 1e-6:
        yield f"scale: a millimetre is none {where}"
    elif a * d - b * c < 0:
        yield f"mirrored: {where}"


def _judged(page: Any, seen: list[Painted]) -> Iterator[str]:
    """What was painted on one page, all together."""
    for one in seen:
        rule = RULES.get(one.layer or "")
        if one.layer is None:
            yield f"layers: {one.ink} is painted in none of them"
        elif rule is not None and rule.ink != one.ink:
            yield f"ink: '{one.layer}' is painted in {one.ink}"
    whites = [i for i, one in enumerate(seen) if one.layer == "White"]
    others = [i for i, one in enumerate(seen) if one.layer not in {"White", None}]
    if whites and others and max(whites) > min(others):
        yield "white: painted after artwork"
    for one in seen:
        over = one.state.OP if one.stroked else one.state.op
        if one.layer == "Cutting" and not over:
            yield "overprint: the cut line would cut into the artwork"
        elif one.layer not in {"White", "Cutting"} and whites and not over:
            yield f"overprint: '{one.layer}' would cut holes into the white"
        if one.ink == "process" and over and one.state.opm != 0:
            yield f"overprint: '{one.layer}' would mix with what lies under it (mode 1)"
    if any((one.state.ca, one.state.CA) != (1, 1) for one in seen) and "/Group" not in held(page):
        yield "blending: no space is named"
    if any(not one.stroked and one.ink_area.area < SPECK for one in seen):
        yield "content: a fill has no area"
    yield from _lines(seen)
    yield from _in_their_boxes(page, seen)


def _lines(seen: list[Painted]) -> Iterator[str]:
    """What is followed or only looked at is a line; a cutter follows it once, and does not lift its knife."""
    for one in seen:
        if one.layer in {"Cutting", "Bleed", "Crop marks"} and not one.stroked:
            yield f"line: '{one.layer}' is filled"
        if one.layer == "Cutting" and one.state.dashed:
            yield "line: the cut line is dashed"
    closed = [ring for one in seen if one.layer == "Cutting" and one.closed for ring in one.rings]
    yield from whole(closed, [ring for one in seen if one.layer == "Marks" for ring in one.rings])
    cuts = [one.points for one in seen if one.layer == "Cutting"]
    if len(set(cuts)) != len(cuts):
        yield "line: a cut line is there twice"


def _in_their_boxes(page: Any, seen: list[Painted]) -> Iterator[str]:
    trim, bleed, media = (box_of(page, key) for key in ("/TrimBox", "/BleedBox", "/MediaBox"))
    for one in seen:
        box = list(one.box)
        if media and not contains(media, box, SLACK):
            yield f"boxes: '{one.layer}' is painted beyond the page"
        if bleed and one.layer in {"Artwork", "White", "Bleed"} and not contains(bleed, box, SLACK):
            yield f"boxes: '{one.layer}' is painted beyond the bleed"
        if trim and one.layer in {"Cutting", "Marks"} and not contains(trim, box, SLACK):
            yield f"boxes: '{one.layer}' is painted beyond the trim"
        if bleed and one.layer == "Crop marks" and _meet(bleed, box):
            yield "boxes: a crop mark stands inside the bleed"
    if trim and bleed:
        yield from _cut_out(seen, max(trim[0] - bleed[0], trim[1] - bleed[1]))


def _cut_out(seen: list[Painted], bleed: float) -> Iterator[str]:
    """By outlines: which pieces fall out, and whether all that is printed lies on one, or beyond it by the bleed."""
    cuts = [ring for one in seen if one.layer == "Cutting" and one.closed for ring in one.rings]
    if any(len(ring) < 3 for ring in cuts):
        yield "line: a closed cut line has nothing inside"
        cuts = [ring for ring in cuts if len(ring) > 2]
    if not all(Polygon(ring).is_valid for ring in cuts):
        return  # told by whole()
    yield from (f"line: {what}" for what in tangled(cuts))
    fallen = pieces(cuts)
    inks = [(one.layer, one.ink_area) for one in seen if one.layer in {"Artwork", "White"}]
    for layer in beyond(fallen, inks, bleed):
        yield f"register: '{layer}' is painted beyond its cut line by more than the bleed"
    if loose(fallen, [ring for one in seen if one.layer == "Cutting" and not one.closed for ring in one.rings]):
        yield "line: an open cut line leads out of its piece"


def _meet(one: list[float], other: list[float]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
