"""Reads a frozen dataclass from a mapping, by the keys of its fields (`decalgen.core.keys`).

All mistakes are noted in one run, each at its place with a fix; what follows from a mistake is not complained
about again. `Told` goes up from a value that is wrong; whoever can go on without it catches it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Sequence
from typing import Any, TypeVar

from decalgen.core import keys
from decalgen.core.errors import DecalgenError, Finding, Place, did_you_mean
from decalgen.core.lengths import ExpressionError, Quantity, UnknownName, length, mend_comma, number
from decalgen.core.lengths.remarks import borrowed_unit, spread_alone
from decalgen.core.names import spelt_as
from decalgen.job.anchors import read_at
from decalgen.job.elements import MOST_SHAPES, read_elements, read_face
from decalgen.job.examples import OR_NAMED, UNDER, bound, example, shown, taken_fix, under, wanted
from decalgen.job.instrument_words import without_instrument
from decalgen.job.nodes import Listing, Mapping, Node, Scalar, kind_of
from decalgen.job.old_words import respelt
from decalgen.job.originals import original_size
from decalgen.job.problems import Problems
from decalgen.job.scope import ReadsDrawings, ReadsFaces, Scope, Told

T = TypeVar("T")
MOST_STRANGE = 20
MOST_READINGS = 50
_CUT_SHORT = re.compile(r"\s+(#[^\s#]\S*)")
_YES = {"yes": True, "true": True, "on": True, "no": False, "false": False, "off": False}


class Reader:
    """Reads values in one scope. ``inks`` are the names an ink may have."""

    def __init__(
        self,
        problems: Problems,
        scope: Scope,
        inks: Collection[str] = (),
        drawings: ReadsDrawings | None = None,
        faces: ReadsFaces | None = None,
    ) -> None:
        self.problems = problems
        self.scope = scope
        self.inks = inks
        self.drawings, self.faces, self.shapes_left = drawings, faces, MOST_SHAPES
        self.untaken: list[str] = []
        self._read: dict[type[keys.Key], Callable[[Any, Node, str], Any]] = {
            keys.Length: self._length,
            keys.Size: self._size,
            keys.Measure: self._measure,
            keys.Readings: self.readings,
            keys.Taken: lambda kind, node, name: original_size(self, self.readings(kind, node, name), node, name),
            keys.Number: self._number,
            keys.Count: self._count,
            keys.Angle: self._angle,
            keys.Text: self._text,
            keys.Lines: self._lines,
            keys.Flag: self._flag,
            keys.Choice: self._choice,
            keys.InkName: self._ink,
            keys.FaceName: self._face,
            keys.ColourText: self._colour,
            **dict.fromkeys((keys.DrawingFile, keys.InkTable, keys.PictureFile), self._of_drawing),
            keys.Anchored: lambda _, node, name: read_at(self, node, name),
            keys.Many: self._many,
            keys.Two: self._pair,
            keys.Block: lambda kind, node, name: self.read(kind.of, node, "this group", reading=name),
            keys.Elements: lambda _, node, name: read_elements(self, node, name),
        }

    def mapping(self, node: Node, what: str, fix: str = UNDER) -> Mapping:
        """The node as a mapping. Raises `Told`."""
        node = self.scope.substitute(node)
        if isinstance(node, Mapping):
            return node
        raise self._wrong(node, f"{what} is {kind_of(node)}; it needs keys", fix)

    def read(
        self,
        cls: type[T],
        node: Node,
        what: str,
        *,
        reading: str = "",
        also: Collection[str] = (),
        place: Place | None = None,
    ) -> T:
        """An instance of ``cls`` from a mapping. Raises `Told` when anything in it is wrong.

        ``also``: keys that others read; ``reading``: the name in front of each reading; ``place``: where to
        complain of what is missing.
        """
        try:
            return cls(**self.values(cls, node, what, reading=reading, also=also, place=place))
        except DecalgenError as error:
            self.problems.add(error.message, error.place or place or node.place, error.fix)
        except ValueError as error:
            self.problems.add(str(error), place or node.place)
        raise Told

    def values(
        self,
        cls: type[Any],
        node: Node,
        what: str,
        *,
        reading: str = "",
        also: Collection[str] = (),
        place: Place | None = None,
        into: dict[str, Any] | None = None,
    ) -> dict[str, Any]:
        """The same as a dict of what is given, by field name. Raises `Told` at the end when anything is wrong;
        ``into`` then still holds what is right."""
        specs = keys.specs(cls)  # type: ignore[arg-type]
        known = [spec.key for spec in specs] + [key for key in also if key not in {s.key for s in specs}]
        group = respelt(self.mapping(node, what, under(cls)), known)
        meant = self.unknown(group, known)
        found: dict[str, Any] = {} if into is None else into
        wrong = bool(meant)
        for spec in specs:
            value = group.get(spec.key)
            if value is None:
                if spec.required and spec.key not in meant:
                    spot = place or group.place
                    self.problems.add(f"{what} has no '{spec.key}'", spot, f"add {spec.key}: {wanted(spec.kind)}")
                wrong = wrong or spec.required
                continue
            try:
                found[spec.name] = self.value(
                    spec.kind, value, f"{reading}.{spec.key}" if reading else spec.key, spec.key
                )
            except Told:
                wrong = True
        if wrong:
            raise Told
        return found

    def unknown(self, group: Mapping, known: Sequence[str], below: Collection[str] = ()) -> set[str]:
        """Notes keys that are not known; the known keys that were probably meant. ``below``: known under `values`."""
        meant: set[str] = set()
        strange = [(key, value) for key, value in group.entries if key.text not in known]
        for key, value in strange[:MOST_STRANGE]:
            plain = key.text.strip().replace("_", " ").replace("-", " ").casefold()
            same = next((k for k in known if k.replace("-", " ").casefold() == plain), None)
            fix = f"did you mean '{same}'?" if same else did_you_mean(shown(key.text), known)
            meant.add(fix.removeprefix("did you mean '").removesuffix("'?") if fix.startswith("did") else "")
            if key.text in below and not same:
                fix = f"write it under 'values', as in values: {{{key.text}: {shown(getattr(value, 'text', '...'))}}}"
            elif not fix.startswith("did") and isinstance(value, Scalar) and value.empty and "{" in key.place.text:
                fix = "put quotes round a text that has a comma in it"
            self.problems.add(f"'{shown(key.text)}' is not known here", key.place, fix)
        if len(strange) > MOST_STRANGE:
            key = strange[MOST_STRANGE][0]
            self.problems.add(f"and {len(strange) - MOST_STRANGE} more keys that are not known here", key.place)
        return meant

    def value(self, kind: keys.Key, node: Node, reading: str, key: str) -> Any:
        """One value by its mark. Raises `Told`."""
        node = self.scope.substitute(node)
        if isinstance(node, Scalar) and node.empty:
            raise self._wrong(node, f"'{key}:' has no value", f"write {example(kind)}, or remove the key")
        return self._read[type(kind)](kind, node, reading)

    def scalar(self, node: Node, wanted: str) -> Scalar:
        """The node as a text. Raises `Told`."""
        node = self.scope.substitute(node)
        if isinstance(node, Scalar):
            return node
        raise self._wrong(node, f"this is {kind_of(node)}; {wanted} is needed", "write one value")

    def _evaluated(
        self, kind: keys.Key, read: Callable[..., Quantity], node: Node, reading: str, wanted: str, **more: Any
    ) -> Quantity:
        text = self.scalar(node, wanted)
        if text.text.strip() == "?":
            fix = f"write {example(kind)}; ? marks a reading of a panel that is still to be taken"
            raise self._wrong(text, f"'?' is not {wanted}", fix)
        try:
            found = read(text.text, self.scope, reading=reading, **more)
            self.scope.note_names(text)
            self._remarked(text)
            return found
        except UnknownName as error:
            if error.length < len(text.text.strip()) or error.fix.startswith("did"):
                self.problems.add(error.message, text.inside(error.start, error.length), error.fix)
            else:
                fix = f"write {example(kind)}{OR_NAMED}"
                self.problems.add(f"'{shown(text.text)}' is not {wanted}", text.place, fix)
            raise Told from None
        except ExpressionError as error:
            self.problems.add(error.message, text.inside(error.start, error.length), taken_fix(error.fix, kind))
            raise Told from None

    def _remarked(self, text: Scalar) -> None:
        """Notes how a ± without a unit of its own was read."""
        remark = borrowed_unit(text.text)
        if remark:
            place = text.inside(remark.start, remark.length)
            found = Finding("note", "unit-taken", f"'{shown(text.text)}'", remark.message, remark.fix, place)
            if found not in self.problems.notes:
                self.problems.notes.append(found)

    def _bounded(self, node: Node, value: float, least: float, most: float, unit: str) -> float:
        if least <= value <= most:
            return value
        raise self._wrong(node, f"{value:.15g}{unit} is out of range", bound(value, (least, most), unit))

    def _length(self, kind: keys.Length, node: Node, reading: str) -> float:
        found = self._evaluated(kind, length, node, reading, "a length", full_size=kind.most > keys.LARGEST).value
        return self._bounded(node, found, *kind.bounds, " mm")

    def _size(self, kind: keys.Size, node: Node, reading: str) -> float:
        if kind.spread and (spread := spread_alone(self.scalar(node, "a length").text)):
            raise self._wrong(node, "this is a ± itself, and has none", f"{reading.rpartition('.')[2]}: {spread}")
        found = self._evaluated(kind, length, node, reading, "a length").value
        return self._bounded(node, found, *kind.bounds, " mm")

    def _measure(self, kind: keys.Measure, node: Node, reading: str) -> Quantity:
        found = self._evaluated(kind, length, node, reading, "a length")
        self._bounded(node, found.value, *kind.bounds, " mm")
        return found

    def readings(self, kind: keys.Readings, node: Node, reading: str) -> Any:
        """One reading, or a list of them; each perhaps with the instrument it was taken with."""
        if not isinstance(node, Listing):
            return self._one_reading(kind, node, reading)
        if not 1 <= len(node.items) <= MOST_READINGS:
            raise self._wrong(node, f"{len(node.items)} readings are given", f"1 to {MOST_READINGS}")
        found: list[Any] = []
        wrong = False
        for i, item in enumerate(node.items, 1):
            try:
                found.append(self._one_reading(kind, item, f"{reading} {i}"))
            except Told:
                wrong = True
        if wrong:
            raise Told
        # One reading that was taken is enough.
        return tuple([one for one in found if not getattr(one, "open", False)] or found[:1])

    def _one_reading(self, kind: keys.Readings, node: Node, reading: str) -> Any:
        from decalgen.panels.readings import Reading
        from decalgen.panels.unmeasured import OPEN, SIGN

        wanted = "an angle" if kind.angle else "a length"
        text = self.scalar(node, wanted)
        if text.text.strip() == SIGN:
            return OPEN
        part, tool = without_instrument(text, self.problems)
        read, more = (number, {"angle": True}) if kind.angle else (length, {})
        found = self._evaluated(kind, read, part, reading, wanted, **more)
        if kind.angle:
            self._bounded(text, found.value, 0.0 if kind.positive else -360.0, 360.0, "°")
        else:
            self._bounded(text, found.value, *kind.bounds, " mm")
        return Reading(found, tool) if tool else found

    def _number(self, kind: keys.Number, node: Node, reading: str) -> float:
        found = self._evaluated(kind, number, node, reading, "a number", angle=kind.angle).value
        return self._bounded(node, found, kind.least, kind.most, "")

    def _count(self, kind: keys.Count, node: Node, reading: str) -> int:
        found = self._evaluated(kind, number, node, reading, "a whole number").value
        if found != int(found):
            nearest = min(max(math.floor(found + 0.5), kind.least), kind.most)
            raise self._wrong(node, f"{found:g} is not a whole number", f"write {nearest}")
        return int(self._bounded(node, found, kind.least, kind.most, ""))

    def _angle(self, kind: keys.Angle, node: Node, reading: str) -> float:
        found = self._evaluated(kind, number, node, reading, "an angle", angle=True).value
        return self._bounded(node, found, kind.least, kind.most, "°")

    def _text(self, kind: keys.Text, node: Node, reading: str) -> str:
        text = self.scalar(node, "a text")
        self._whole(text)
        if len(text.text) > kind.most:
            raise self._wrong(text, f"this text has {len(text.text)} characters", f"at most {kind.most}")
        if any(ord(c) < 32 for c in text.text):
            raise self._wrong(
                text, "this text has a line break, a tab or a control character in it", "write it on one line"
            )
        return text.text

    def _whole(self, text: Scalar) -> None:
        """Notes a text that a comment cuts short: ``text: STORES #7`` would print without its number."""
        line = text.place.text
        lost = None if text.quoted or text.end[0] != text.line else _CUT_SHORT.match(line, text.end[1])
        if lost:
            place = text.source.place(text.line, lost.start(1), lost.end(1) - lost.start(1))
            whole = shown(line[text.column :].rstrip())
            self.problems.add(
                f"what follows # is a comment, and '{shown(lost.group(1))}' is lost",
                place,
                f'put quotes round all of it: "{whole}"; a comment begins with # and a space',
            )
            raise Told

    def _lines(self, kind: keys.Lines, node: Node, reading: str) -> tuple[str, ...]:
        if isinstance(node, Listing):
            nodes = list(node.items)
            found = [self.value(keys.Text(), item, reading, "-") for item in nodes]
        else:
            text = self.scalar(node, "a text or a list of texts")
            self._whole(text)
            found = text.text.split("\n")
            for line in found:
                if len(line) > 500:
                    raise self._wrong(
                        text, f"this text has {len(line)} characters in a line", "at most 500 characters a line"
                    )
                if any(ord(c) < 32 for c in line):
                    raise self._wrong(text, "this text has a tab or a control character in it", "remove it")
        if not 1 <= len(found) <= kind.most:
            raise self._wrong(node, f"{len(found)} lines are given", f"at least 1, at most {kind.most}")
        return tuple(found)

    def _flag(self, kind: keys.Flag, node: Node, reading: str) -> bool:
        text = self.scalar(node, "yes or no")
        if text.text.lower() in _YES:
            return _YES[text.text.lower()]
        raise self._wrong(text, f"'{shown(text.text)}' is neither yes nor no", "write yes or no")

    def _choice(self, kind: keys.Choice, node: Node, reading: str) -> str:
        text = self.scalar(node, "one word")
        if (same := spelt_as(text.text, kind.options)) is not None:
            return same
        said = f"'{shown(text.text)}' is not one of {', '.join(kind.options)}"
        raise self._wrong(text, said, did_you_mean(shown(text.text), kind.options))

    def _ink(self, kind: keys.InkName, node: Node, reading: str) -> str:
        text = self.scalar(node, "the name of an ink")
        if (same := spelt_as(text.text, self.inks)) is not None:
            self.scope.note_use("ink", "", same, text)
            return same
        fix = did_you_mean(shown(text.text), list(self.inks))
        fix = f"{fix} If not, add it under 'inks:'" if fix.startswith("did") else f"add it under 'inks:', or {fix}"
        raise self._wrong(text, f"there is no ink '{shown(text.text)}'", fix)

    def _face(self, kind: keys.FaceName, node: Node, reading: str) -> str:
        return read_face(self, self.scalar(node, "the name of a face"))

    def _colour(self, kind: keys.ColourText, node: Node, reading: str) -> str:
        from decalgen.job.colours import written

        text = self.scalar(node, "a colour")
        try:
            return written(text.text)
        except DecalgenError as error:
            raise self._wrong(text, error.message, error.fix) from None

    def _of_drawing(self, kind: keys.Key, node: Node, reading: str) -> Any:
        from decalgen.job.drawing_keys import read_of_drawing

        return read_of_drawing(self, kind, node, reading)

    def _items(self, node: Node, of: keys.Key, reading: str, nodes: Sequence[Node]) -> tuple[Any, ...]:
        """Every item, all their mistakes noted. Raises `Told`."""
        found: list[Any] = []
        wrong = False
        for i, item in enumerate(nodes, 1):
            try:
                found.append(self.value(of, item, f"{reading} {i}", "-"))
            except Told:
                wrong = True
        if wrong:
            raise Told
        return tuple(found)

    def _many(self, kind: keys.Many, node: Node, reading: str) -> tuple[Any, ...]:
        alone = not isinstance(node, Listing) or (isinstance(kind.of, keys.Two) and self._is_pair(node))
        nodes: Sequence[Node] = [node] if alone else node.items if isinstance(node, Listing) else [node]
        if not kind.least <= len(nodes) <= kind.most:
            if isinstance(node, Scalar) and (comma := mend_comma(node.text)):
                raise self._wrong(node, comma.message, comma.fix)
            bounds = f"{kind.least}" if kind.least == kind.most else f"{kind.least} to {kind.most}"
            raise self._wrong(node, f"{len(nodes)} given, {bounds} needed", "write a list: [first, second]")
        return self._items(node, kind.of, reading, nodes)

    def _is_pair(self, node: Listing) -> bool:
        return len(node.items) == 2 and all(isinstance(item, Scalar) for item in node.items)

    def _pair(self, kind: keys.Two, node: Node, reading: str) -> tuple[Any, ...]:
        nodes = node.items if isinstance(node, Listing) else (node,)
        if len(nodes) != 2:
            one = example(kind.of)
            fix = f"write two, {kind.about}: [{one}, {one}]" if kind.about else f"write two: [{one}, {one}]"
            raise self._wrong(node, f"{len(nodes)} given, two needed", fix)
        return self._items(node, kind.of, reading, nodes)

    def _wrong(self, node: Node, message: str, fix: str) -> Told:
        self.problems.add(message, node.place, fix)
        return Told()
