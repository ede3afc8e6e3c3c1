"""The names an expression or a ``<name>`` may use: named values, panels and their sizes, the decal's own size."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from decalgen.core import keys
from decalgen.core.errors import Place, did_you_mean
from decalgen.core.lengths import ExpressionError, NameProblem, Quantity, evaluate, names_in
from decalgen.job.new_names import NamedKind
from decalgen.job.nodes import Mapping as Group
from decalgen.job.nodes import Node, Scalar
from decalgen.job.problems import Problems
from decalgen.job.uses import NameUse

if TYPE_CHECKING:
    from decalgen.core.pixels.values import PictureData
    from decalgen.core.svg.text import DrawingText
    from decalgen.lettering.typeface import OwnFaceName

Sizes = Mapping[str, Quantity]
T = TypeVar("T")
PanelSizes = Callable[[str], Sizes]
Of = tuple[str, str] | None


YEAR = "year"
"""The value that a job has from its date."""
MOST_NESTED = 6
"""How many names may wait for each other: a job needs two or three, and the stack is not endless."""


class _State:
    """What all scopes of a job share: the names that wait for each other, and whether mistakes are kept quiet."""

    def __init__(self) -> None:
        self.chain: list[str] = []
        self.quiet = False


class Told(Exception):
    """What is wanted is wrong at its own place, and that is noted already: nothing more is to be said."""


class Scope:
    """Names, looked up in this scope first and then in the one around it. Values are worked out when asked for."""

    def __init__(
        self,
        problems: Problems,
        values: Mapping[str, Node] | None = None,
        sizes: Sizes | None = None,
        around: Scope | None = None,
        where: str = "",
    ) -> None:
        self.problems = problems
        self.values = dict(values or {})
        self.sizes = dict(sizes or {})
        self.around = around
        self.where = where
        self.silent: tuple[str, ...] = ()
        """Beginnings of names that would be known if a mistake elsewhere were mended."""
        self._found: dict[str, Quantity] = {}
        self._busy: set[str] = set()
        self._bad: set[str] = set()
        self._warmed = False
        self._state: _State = around._state if around is not None else _State()

    def __contains__(self, name: object, /) -> bool:
        if name in self.values or name in self.sizes or str(name).startswith(self.silent or ("\0",)):
            return True
        return self.around is not None and name in self.around

    def __iter__(self) -> Iterator[str]:
        yield from self.sizes
        yield from self.values
        if self.around is not None:
            yield from self.around

    def __getitem__(self, name: str, /) -> Quantity:
        """The quantity of a name. Raises `NameProblem` for a text, `Told` where its own definition is wrong."""
        if name in self.sizes:
            return self.sizes[name]
        if name not in self.values:
            if name.startswith(self.silent or ("\0",)):
                raise Told
            if self.around is None:
                raise KeyError(name)
            return self.around[name]
        if name in self._bad:
            raise Told
        self._warm()
        if name not in self._found:
            if len(self._state.chain) > MOST_NESTED:
                raise NameProblem(f"'{name}' leads to more than {MOST_NESTED} other names", "write one of them out")
            if name in self._busy:
                # ``gap: gap`` under a decal's values hands on the job's value of that name.
                if self.around is not None and name in self.around:
                    return self.around[name]
                raise NameProblem(f"'{name}' depends on itself", "give it a value of its own")
            self._busy.add(name)
            self._state.chain.append(name)
            try:
                self._found[name] = self._work_out(name)
            finally:
                self._busy.discard(name)
                self._state.chain.pop()
        return self._found[name]

    def _warm(self) -> None:
        """Works out once, in the order of the file, whatever can be, so that a value finds earlier ones ready and
        long rows of values do not nest."""
        if self._warmed:
            return
        self._warmed = True
        loud = not self._state.quiet
        self._state.quiet = True
        try:
            for name, node in self.values.items():
                if isinstance(node, Scalar) and "panels." not in node.text and reference(node) is None:
                    with suppress(NameProblem, Told):
                        _ = self[name]
        finally:
            self._state.quiet = not loud

    def _work_out(self, name: str) -> Quantity:
        node = self.values[name]
        if isinstance(node, Scalar):
            node_or_other = self.substitute(node)
            if isinstance(node_or_other, Scalar):
                return self._evaluate(name, node_or_other)
        raise NameProblem(f"'{name}' is a list, not a length or number", "name one value")

    def _evaluate(self, name: str, node: Scalar) -> Quantity:
        try:
            found = evaluate(node.text, self, reading=f"{self.where}{name}")
            self.note_names(node, of=(self.where.removesuffix("."), name))
            return found
        except ExpressionError as error:
            if self._state.quiet:
                raise Told from None
            if not any(c.isdigit() for c in node.text) and not any(w in self for w in node.text.split()):
                raise NameProblem(f"'{name}' is a text, not a length or number", "name another value") from None
            self._bad.add(name)
            self.problems.add(error.message, node.inside(error.start, error.length), error.fix)
            raise Told from None
        except Told:
            if not self._state.quiet:
                self._bad.add(name)
            raise

    def node(self, name: str) -> Node | None:
        """The node of a named value."""
        if name in self.values:
            return self.values[name]
        return self.around.node(name) if self.around is not None else None

    def value_names(self) -> list[str]:
        """The named values, nearest first."""
        return [*self.values, *(self.around.value_names() if self.around is not None else [])]

    def substitute(self, node: Node) -> Node:
        """What ``<name>`` stands for; any other node as it is. Raises `Told` for an unknown name."""
        seen: set[str] = set()
        scope: Scope | None = self
        while isinstance(node, Scalar) and (name := reference(node)) is not None:
            if name in seen:
                # ``ink: <ink>`` under a decal's values hands on the value of the scope around it.
                scope = scope.around if scope is not None else None
                seen.clear()
                if name == YEAR and (scope is None or scope.node(name) is None):
                    raise self._unknown(node, name)
                if scope is None or scope.node(name) is None:
                    self.problems.add(f"'{name}' refers to itself", node.place, "give it a value of its own")
                    raise Told
            found = scope.node(name) if scope is not None else None
            if found is None:
                raise self._unknown(node, name)
            if scope is not None:
                scope.note_value(name, node, node.text.index(name))
            seen.add(name)
            node = found
        if isinstance(node, Scalar) and node.told:
            raise Told
        return node

    def note_use(self, what: NamedKind, owner: str, name: str, node: Scalar, start: int = 0, of: Of = None) -> None:
        """Notes that a text names something, where that is asked for; ``of``: the value that is worked out from it."""
        if self.problems.uses is not None:
            self.problems.uses.append(NameUse(what, owner, name, node, start, not self._state.quiet, of))

    def note_names(self, node: Scalar, start: int = 0, of: Of = None) -> None:
        """Notes what an expression names; it begins at ``start`` in its text."""
        if self.problems.uses is None:
            return
        with suppress(ExpressionError, NameProblem, Told):
            for name, at in names_in(node.text[start:], self):
                panel, _ = _panel_size(name)
                if panel and not self._holds(name):
                    self.note_use("panel", "", panel, node, start + at + len("panels."), of)
                else:
                    self.note_value(name, node, start + at, of)

    def note_value(self, name: str, node: Scalar, start: int, of: Of = None) -> None:
        """Notes that a text names a value, if it is one: that of the nearest scope, but for one of its own name."""
        scope: Scope | None = self
        while scope is not None and (name not in scope.values or scope.values[name] is node):
            if name in scope.sizes:
                return
            scope = scope.around
        if scope is not None:
            self.note_use("value", scope.where.removesuffix("."), name, node, start, of)

    def note_paint(self, name: str, body: Node | None) -> None:
        """Notes where the body names its paint."""
        found = None if body is None else self.substitute(body)
        if isinstance(found, Scalar):
            self.note_use("paint", "", name, found)

    def _holds(self, name: str) -> bool:
        """Whether a name is a value or a size of a scope, this or one around it."""
        if name in self.values or name in self.sizes:
            return True
        return self.around is not None and self.around._holds(name)

    def _unknown(self, node: Scalar, name: str) -> Told:
        if name == YEAR:
            fix = 'give the job its date, as in date: "2026-03-14", or a value, as in year: 2026'
            self.problems.add("there is no year: the job has no date", node.place, fix)
            return Told()
        known = list(dict.fromkeys(self.value_names()))
        fix = did_you_mean(name, known) if known else f"add it under 'values:', as in {name}: 2 mm"
        self.problems.add(f"there is no value '{name}'", node.place, fix)
        return Told()


def reference(node: Scalar) -> str | None:
    """The name in a scalar that is exactly ``<name>``."""
    text = node.text.strip()
    if len(text) > 2 and text[0] == "<" and text[-1] == ">" and "<" not in text[1:] and ">" not in text[:-1]:
        return text[1:-1].strip()
    return None


class PanelScope(Scope):
    """The outermost scope of a job: named values, and ``panels.<name>.<size>``, each panel built when asked for."""

    def __init__(self, problems: Problems, values: Mapping[str, Node], panels: list[str], sizes_of: PanelSizes) -> None:
        super().__init__(problems, values)
        self.panels = panels
        self.sizes_of = sizes_of

    def __contains__(self, name: object, /) -> bool:
        if super().__contains__(name):
            return True
        return _panel_size(str(name))[0] in self.panels

    def __iter__(self) -> Iterator[str]:
        yield from super().__iter__()
        for panel in self.panels:
            try:
                sizes = list(self.sizes_of(panel))
            except (Told, NameProblem):
                continue
            yield from (f"panels.{panel}.{size}" for size in sizes)

    def __getitem__(self, name: str, /) -> Quantity:
        if super().__contains__(name):
            return super().__getitem__(name)
        panel, size = _panel_size(name)
        if panel not in self.panels:
            raise KeyError(name)
        if len(self._state.chain) > MOST_NESTED:
            raise NameProblem(f"'{name}' leads to more than {MOST_NESTED} other names", "write one of them out")
        self._state.chain.append(name)
        try:
            return self.sizes_of(panel)[size]
        finally:
            self._state.chain.pop()


def _panel_size(name: str) -> tuple[str, str]:
    if not name.startswith("panels."):
        return "", ""
    panel, _, size = name.removeprefix("panels.").partition(".")
    return panel, size


class ReadsDrawings(Protocol):
    """What readers of keys ask of the drawings of a job (`decalgen.job.drawings.DrawingFiles`)."""

    def read(self, node: Scalar) -> DrawingText: ...
    def picture(self, node: Scalar) -> PictureData: ...


class ReadsFaces(Protocol):
    """What readers of keys ask of the faces of a job's own (`decalgen.job.own_faces.FaceFiles`)."""

    names: dict[str, OwnFaceName]

    def find(self, name: str) -> OwnFaceName | None: ...


class Reads(Protocol):
    """What `anchors`, `elements` and `drawing_keys` ask of the reader (`decalgen.job.reader.Reader`)."""

    problems: Problems
    scope: Scope
    shapes_left: int
    untaken: list[str]
    drawings: ReadsDrawings | None
    faces: ReadsFaces | None

    def mapping(self, node: Node, what: str, fix: str = ...) -> Group: ...
    def value(self, kind: keys.Key, node: Node, reading: str, key: str) -> Any: ...
    def read(
        self,
        cls: type[T],
        node: Node,
        what: str,
        *,
        reading: str = "",
        also: Collection[str] = (),
        place: Place | None = None,
    ) -> T: ...
