"""Nodes of a job file: every scalar stays text and keeps its place; nothing is guessed, nothing is built."""

from __future__ import annotations

from decalgen.core.errors import Place
from decalgen.core.values import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """A file's text by lines, and its name as the user typed it."""

    name: str
    lines: tuple[str, ...]

    def place(self, line: int, column: int, length: int = 1) -> Place:
        """A place from line and column counted from 0."""
        text = self.lines[line] if line < len(self.lines) else ""
        return Place(self.name, line + 1, column + 1, text, max(1, length))


@dataclass(frozen=True, slots=True)
class Scalar:
    """A text with its place. ``quoted`` is false for what stands there bare, where an empty text means nothing."""

    text: str
    source: Source
    line: int
    column: int
    end: tuple[int, int]
    quoted: bool = False
    told: bool = False
    """Whether it is wrong and that is noted already."""

    @property
    def place(self) -> Place:
        """Where it stands, over its whole length on the first line."""
        return self.source.place(self.line, self.column, self._length())

    def _length(self) -> int:
        last, column = self.end
        text = self.source.lines[self.line] if self.line < len(self.source.lines) else ""
        return column - self.column if last == self.line else len(text.rstrip()) - self.column

    def inside(self, start: int, length: int) -> Place:
        """The place of some characters of the text; the whole where the text is written in another way."""
        shift = 1 if self.quoted else 0
        line = self.source.lines[self.line] if self.line < len(self.source.lines) else ""
        as_written = line[self.column + shift : self.column + shift + len(self.text)] == self.text
        if not as_written or "\n" in self.text:
            return self.place
        return self.source.place(self.line, self.column + shift + start, length)

    @property
    def empty(self) -> bool:
        """Whether a value is missing: a key without value, ``~`` or ``null``."""
        return not self.quoted and self.text in ("", "~", "null", "Null", "NULL")


@dataclass(frozen=True, slots=True)
class Listing:
    """A list of nodes. ``flow``: written in brackets; ``end``: line and column after it, from 0, and without
    brackets those after its last value."""

    items: tuple[Node, ...]
    source: Source
    line: int
    column: int
    flow: bool = False
    end: tuple[int, int] = (0, 0)

    @property
    def place(self) -> Place:
        """Where it begins."""
        return self.source.place(self.line, self.column)


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys with their nodes, in order; no key stands twice. ``flow`` (in braces) and ``end`` as in a `Listing`."""

    entries: tuple[tuple[Scalar, Node], ...]
    source: Source
    line: int
    column: int
    flow: bool = False
    end: tuple[int, int] = (0, 0)

    @property
    def place(self) -> Place:
        """Where it begins."""
        return self.source.place(self.line, self.column)

    def get(self, key: str) -> Node | None:
        """The node of a key."""
        return next((value for name, value in self.entries if name.text == key), None)

    def key(self, key: str) -> Scalar | None:
        """The key itself, for its place."""
        return next((name for name, _ in self.entries if name.text == key), None)

    def keys(self) -> list[str]:
        """The keys as texts."""
        return [name.text for name, _ in self.entries]


Node = Scalar | Listing | Mapping


def kind_of(node: Node) -> str:
    """How a node is called in a message."""
    if isinstance(node, Mapping):
        return "a group of keys"
    if isinstance(node, Listing):
        return "a list"
    return "nothing" if node.empty else "a text"
