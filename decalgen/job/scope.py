"""The names an expression or a ``<name>`` may use: named values, panels and their sizes, the decal's own size."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from decalgen.errors import DecalgenError
from decalgen.job.nodes import Node, Scalar
from decalgen.job.problems import Problems
from decalgen.lengths import ExpressionError, NameProblem, Quantity, evaluate

Sizes = Mapping[str, Quantity]
PanelSizes = Callable[[str], Sizes]


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
        if name not in self._found:
            if name in self._busy:
                # ``gap: gap`` under a decal's values hands on the job's value of that name.
                if self.around is not None and name in self.around:
                    return self.around[name]
                raise NameProblem(f"'{name}' is worked out from itself", "give it a value of its own")
            self._busy.add(name)
            try:
                self._found[name] = self._work_out(name)
            finally:
                self._busy.discard(name)
        return self._found[name]

    def _work_out(self, name: str) -> Quantity:
        node = self.values[name]
        if isinstance(node, Scalar):
            node_or_other = self.substitute(node)
            if isinstance(node_or_other, Scalar):
                return self._evaluate(name, node_or_other)
        raise NameProblem(f"'{name}' is a list, not a length or number", "name one value")

    def _evaluate(self, name: str, node: Scalar) -> Quantity:
        try:
            return evaluate(node.text, self, reading=f"{self.where}{name}")
        except ExpressionError as error:
            if not any(c.isdigit() for c in node.text) and not any(w in self for w in node.text.split()):
                raise NameProblem(f"'{name}' is a text, not a length or number", "name another value") from None
            self._bad.add(name)
            self.problems.add(error.message, node.inside(error.start, error.length), error.fix)
            raise Told from None
        except Told:
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
            found = scope.node(name) if scope is not None else None
            if found is None:
                self._unknown(node, name)
            seen.add(name)
            assert found is not None
            node = found
        return node

    def _unknown(self, node: Scalar, name: str) -> None:
        from decalgen.errors import did_you_mean

        known = list(dict.fromkeys(self.value_names()))
        fix = did_you_mean(name, known) if known else f"add it under 'values:', as in {name}: 2 mm"
        self.problems.add(f"there is no value '{name}'", node.place, fix)
        raise Told


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
        panel, size = _panel_size(str(name))
        if panel not in self.panels:
            return False
        try:
            return size in self.sizes_of(panel)
        except (Told, DecalgenError):
            return True

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
        return self.sizes_of(panel)[size]


def _panel_size(name: str) -> tuple[str, str]:
    if not name.startswith("panels."):
        return "", ""
    panel, _, size = name.removeprefix("panels.").partition(".")
    return panel, size
