"""The text of a file with the nodes in it: where each begins and ends, and new texts put in place of stretches of it.

Texts are the whole of a file as it lies on the disk, so with its byte order mark and line ends. Whoever changes one
sees to it by `guarded` that it reads as it should: splicing is only the method.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping as MappingOf
from collections.abc import Sequence
from functools import cached_property, lru_cache
from typing import Any

from decalgen.core.errors import DecalgenError, JobError
from decalgen.core.values import dataclass
from decalgen.job.nodes import Listing, Mapping, Node, Scalar, Source
from decalgen.job.parser import parse
from decalgen.job.problems import Problems
from decalgen.job.written import YamlValue

Path = tuple[str | int, ...]
"""Where a value is: keys, and numbers of list items from 0."""
LineColumn = tuple[int, int]
BY_HAND = "change it in an editor"
LINE_END = re.compile("\r\n|\r|\n")
_MARK = "\ufeff"


class EditError(DecalgenError):
    """A change that cannot be made without changing more than what was meant."""

    exit_code = 2


@dataclass(frozen=True)
class Splice:
    """New text for what lies between two offsets of a text."""

    start: int
    end: int
    text: str


def as_written(text: str, name: str = "the file") -> WrittenText:
    """A text with its nodes, read once for all that is done with it one after another. Raises JobError, whose places
    are named after the file."""
    try:
        return _as_written(text)
    except JobError:
        return WrittenText(text, name)


@lru_cache(maxsize=4)
def _as_written(text: str) -> WrittenText:
    return WrittenText(text, "the file")


def values(text: str, name: str = "the file") -> Any:
    """All values of a text as dicts, lists and texts; None where a value is missing. Raises JobError."""
    return plain(as_written(text, name).root)


def guarded(text: str, wanted: object) -> str:
    """The text, if it reads as it should. Raises EditError."""
    try:
        same = same_values(values(text), wanted)
    except JobError:
        same = False
    if not same:
        raise EditError("this cannot be changed here without changing more", fix=BY_HAND)
    return text


def same_values(one: object, other: object) -> bool:
    """Whether values are equal, the order of keys too."""
    if isinstance(one, dict) and isinstance(other, dict):
        return list(one) == list(other) and all(same_values(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same_values, one, other))
    return one == other


class WrittenText:
    """A text with its nodes, and where the lines of these begin in it."""

    def __init__(self, text: str, name: str) -> None:
        self.text = text
        start = len(_MARK) if text.startswith(_MARK) else 0
        self.starts = [start, *(found.end() for found in LINE_END.finditer(text))]
        ends = [found.start() for found in LINE_END.finditer(text)] + [len(text)]
        self.end = next((found.group() for found in LINE_END.finditer(text)), "\n")
        lines = tuple(text[a:b] for a, b in zip(self.starts, ends, strict=True))
        problems = Problems()
        root = parse(Source(name, lines), problems)
        if len(problems) or root is None:
            raise JobError(problems.sorted())
        self.root: Node = root

    @cached_property
    def texts(self) -> dict[Path, Scalar]:
        """Every text of the file by its path."""
        found: dict[Path, Scalar] = {}
        todo: list[tuple[Path, Node]] = [((), self.root)]
        while todo:
            path, node = todo.pop()
            if isinstance(node, Scalar):
                found[path] = node
            todo += [((*path, part), one) for part, one in children(node)]
        return found

    @cached_property
    def spots(self) -> dict[LineColumn, Path]:
        """The path of every text by where it begins."""
        return {(node.line, node.column): path for path, node in self.texts.items()}

    def offset(self, spot: LineColumn) -> int:
        """Where a line and column, from 0, are in the text."""
        return self.starts[spot[0]] + spot[1]

    def begin(self, node: Node) -> int:
        """The offset at which a node begins."""
        return self.offset((node.line, node.column))

    def finish(self, node: Node) -> int:
        """The offset after a node's last character."""
        start = self.begin(node)
        if isinstance(node, Scalar):
            if node.quoted and self.text[start : start + 1] in ("|", ">"):
                return self._end_of_lines(node)
            return self.offset(node.end)
        if node.flow or not children(node):
            return self.offset(node.end)
        return self.finish(children(node)[-1][1])

    def _end_of_lines(self, node: Scalar) -> int:
        """After the last line of a text under | or >, before the blank lines that follow it."""
        lines = node.source.lines
        last = node.line
        depth = 0
        for number in range(node.line + 1, len(lines)):
            indent = len(lines[number]) - len(lines[number].lstrip(" "))
            if not lines[number].strip():
                continue
            depth = depth or indent
            if indent < depth or not depth or (number > node.end[0] or (number, 0) == node.end):
                break
            last = number
        return self.starts[last] + len(lines[last])

    def at(self, path: Path) -> Node:
        """The node at a path. Raises EditError."""
        node = self.root
        for part in path:
            found = next((one for key, one in children(node) if key == part), None)
            if found is None:
                raise EditError(f"there is no '{' '.join(map(str, path))}' in the file", fix="check its name")
            node = found
        return node

    def has(self, path: Path) -> bool:
        """Whether something is at a path."""
        try:
            self.at(path)
        except EditError:
            return False
        return True

    def flow(self, path: Path) -> bool:
        """Whether what is at a path lies in brackets."""
        nodes = (self.at(path[:n]) for n in range(len(path)))
        return any(not isinstance(node, Scalar) and node.flow for node in nodes)

    def key(self, path: Path) -> Scalar | None:
        """The key of what is at a path; None for an item of a list."""
        around = self.at(path[:-1])
        return around.key(str(path[-1])) if isinstance(around, Mapping) else None

    def after_key(self, key: Scalar) -> int:
        """The offset after a key's colon; after the key where it has none (in brackets)."""
        end = self.offset(key.end)
        found = re.compile(r"\s*:").match(self.text, end)
        return found.end() if found else end

    def end_of_line(self, offset: int) -> int:
        """The offset of the end of the line that holds an offset."""
        found = LINE_END.search(self.text, offset)
        return found.start() if found else len(self.text)

    def line_of(self, offset: int) -> int:
        """The number of the line that holds an offset, from 0."""
        return max(0, bisect_right(self.starts, offset) - 1)

    def dash(self, node: Node) -> int:
        """The offset of the dash of an item. One without a value begins at its dash, a list in a list at the inner
        one."""
        start = self.begin(node)
        bare = isinstance(node, Scalar) and not node.quoted and node.text == ""
        empty = bare and self.text[start : start + 1] == "-"
        return self.text.rfind("-", 0, start + 1 if empty else start)

    def value_end(self, path: Path) -> int:
        """The offset after the value at a path, or after its key where it has none."""
        node, key = self.at(path), self.key(path)
        if key is not None and isinstance(node, Scalar) and not node.quoted and node.text == "":
            return self.after_key(key)
        if isinstance(node, Mapping | Listing) and not node.flow and children(node):
            return self.value_end((*path, children(node)[-1][0]))
        return self.finish(node)


def children(node: Node) -> list[tuple[str | int, Node]]:
    if isinstance(node, Mapping):
        return [(key.text, value) for key, value in node.entries]
    return list(enumerate(node.items)) if isinstance(node, Listing) else []


def inside(whole: Any, path: Path) -> Any:
    """The value at a path, which is there."""
    for part in path:
        whole = whole[part]
    return whole


def plain(node: Node) -> Any:
    if isinstance(node, Scalar):
        return None if node.empty else node.text
    if isinstance(node, Listing):
        return [plain(one) for one in node.items]
    return {key.text: plain(value) for key, value in node.entries}


def spliced(text: str, splices: Sequence[Splice]) -> str:
    for one in sorted(splices, key=lambda splice: splice.start, reverse=True):
        text = text[: one.start] + one.text + text[one.end :]
    return text


def as_read(value: YamlValue) -> Any:
    """A value as it will be read."""
    if isinstance(value, str):
        return value
    if isinstance(value, MappingOf):
        return {key: as_read(one) for key, one in value.items()}
    return [as_read(one) for one in value]
