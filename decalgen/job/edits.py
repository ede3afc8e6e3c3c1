"""Changes in the text of a job file that leave every other byte as it is: comments, quotes, blanks, line ends.

Each edit finds the place of a value by the nodes of the reader and puts a new text there. That is the method. The
promise is the guard: the new text is read again, and unless all values but the one that was meant are the same, the
edit is refused. A path says where a value is: keys, and numbers of list items from 0. Texts are the whole of a file as
it lies on the disk, so with its byte order mark and line ends.
"""

from __future__ import annotations

import re
from collections.abc import Mapping as MappingOf
from collections.abc import Sequence
from typing import Any

from decalgen.core.errors import DecalgenError, JobError
from decalgen.core.values import dataclass
from decalgen.job.nodes import Listing, Mapping, Node, Scalar, Source
from decalgen.job.parser import parse
from decalgen.job.problems import Problems
from decalgen.job.written import YamlValue, after_colon, in_brackets, key_text, rows, scalar

Path = tuple[str | int, ...]
LineColumn = tuple[int, int]
BY_HAND = "change it in an editor"
_LINE_END = re.compile("\r\n|\r|\n")
_COMMENT = re.compile(r"(?:^|\s)#", re.MULTILINE)
_TO_COMMA = re.compile(r"(?:[ \t\r\n]+|#[^\r\n]*)*,")
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


def values(text: str, name: str = "the file") -> Any:
    """All values of a text as dicts, lists and texts; None where a value is missing. Raises JobError."""
    return _plain(_Written(text, name).root)


def set_value(text: str, path: Path, value: YamlValue) -> str:
    """The text with another value at a path that is there. Raises EditError, and JobError for a text that cannot be
    read."""
    return _edited(text, path, value, _set)


def add_value(text: str, path: Path, value: YamlValue) -> str:
    """The text with one more value: a new key of the group at ``path[:-1]``, or, where the last part is the number of
    the items that are there, one more item of a list. Raises as `set_value` does."""
    return _edited(text, path, value, _add)


def remove_value(text: str, path: Path) -> str:
    """The text without a value, its key, the comment at the end of its line and the comment lines right above it. The
    last of a group or list takes that along. Raises as `set_value` does."""
    written = _Written(text, "the file")
    while len(path) > 1 and len(_children(written.at(path[:-1]))) == 1 and written.has(path):
        path = path[:-1]
    if len(path) == 1 and len(_children(written.root)) == 1:
        raise EditError("nothing would be left of the file", fix="delete the file")
    found = _spliced(text, _remove(written, path))
    wanted = _plain(written.root)
    _taken(wanted, path[:-1]).__delitem__(path[-1])
    return _guarded(found, wanted)


def _edited(text: str, path: Path, value: YamlValue, how: Any) -> str:
    written = _Written(text, "the file")
    found = _spliced(text, how(written, path, value))
    wanted = _plain(written.root)
    around = _taken(wanted, path[:-1]) if how is _set else _made(wanted, path)
    if isinstance(around, list) and path[-1] == len(around):
        around.append(_as_read(value))
    else:
        around[path[-1]] = _as_read(value)
    return _guarded(found, wanted)


def _guarded(text: str, wanted: object) -> str:
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


class _Written:
    """A text with its nodes, and where the lines of these begin in it."""

    def __init__(self, text: str, name: str) -> None:
        self.text = text
        start = len(_MARK) if text.startswith(_MARK) else 0
        self.starts = [start, *(found.end() for found in _LINE_END.finditer(text))]
        ends = [found.start() for found in _LINE_END.finditer(text)] + [len(text)]
        self.end = next((found.group() for found in _LINE_END.finditer(text)), "\n")
        lines = tuple(text[a:b] for a, b in zip(self.starts, ends, strict=True))
        problems = Problems()
        root = parse(Source(name, lines), problems)
        if len(problems) or root is None:
            raise JobError(problems.sorted())
        self.root: Node = root

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
        if node.flow or not _children(node):
            return self.offset(node.end)
        return self.finish(_children(node)[-1][1])

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
            found = next((one for key, one in _children(node) if key == part), None)
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
        found = _LINE_END.search(self.text, offset)
        return found.start() if found else len(self.text)

    def value_end(self, path: Path) -> int:
        """The offset after the value at a path, or after its key where it has none."""
        node, key = self.at(path), self.key(path)
        if key is not None and isinstance(node, Scalar) and not node.quoted and node.text == "":
            return self.after_key(key)
        if isinstance(node, Mapping | Listing) and not node.flow and _children(node):
            return self.value_end((*path, _children(node)[-1][0]))
        return self.finish(node)


def _set(written: _Written, path: Path, value: YamlValue) -> list[Splice]:
    node = written.at(path)
    flow = written.flow(path)
    key = written.key(path)
    if isinstance(node, Scalar) and isinstance(value, str):
        if not node.quoted and node.text == "":
            if key is None:
                raise EditError("an empty item of a list cannot be set", fix=BY_HAND)
            start = written.after_key(key)
            colon = "" if written.text[start - 1] == ":" else ":"
            return [Splice(start, start, f"{colon} {scalar(value, flow=flow)}")]
        start, end = written.begin(node), written.finish(node)
        quote = written.text[start] if node.quoted and written.text[start] in "'\"" else ""
        if node.text == "?" and quote == '"':
            # They are those in which ? is written, and not needed round a reading.
            quote = ""
        return [Splice(start, end, scalar(value, flow=flow, quote=quote))]
    start, end = written.begin(node), written.value_end(path)
    block = isinstance(node, Mapping | Listing) and not node.flow
    missing = isinstance(node, Scalar) and not node.quoted and node.text == ""
    below = key is not None and not flow and not isinstance(value, str)
    if key is not None and (block or missing or below):
        start = written.after_key(key)
    if _COMMENT.search(written.text[start:end]) and not isinstance(node, Scalar):
        raise EditError("there are comments in what would be replaced", fix=BY_HAND)
    if key is not None and below:
        return [Splice(start, end, after_colon(value, key.column + 2, written.end))]
    lead = " " if key is not None and start == written.after_key(key) else ""
    return [Splice(start, end, lead + (scalar(value, flow=flow) if isinstance(value, str) else in_brackets(value)))]


def _add(written: _Written, path: Path, value: YamlValue) -> list[Splice]:
    around, part = written.at(path[:-1]), path[-1]
    count = len(_children(around))
    if written.has(path):
        raise EditError(f"'{part}' is there already", fix="set it instead")
    if isinstance(around, Listing) != isinstance(part, int) or (isinstance(part, int) and part != count):
        raise EditError(f"'{part}' cannot be added there", fix=BY_HAND)
    flow = written.flow(path[:-1])
    if isinstance(around, Scalar):
        if not around.empty or len(path) < 2:
            raise EditError(f"'{part}' cannot be added to a text", fix=BY_HAND)
        return _fill(written, path, value, flow)
    if around.flow:
        text = in_brackets(value) if isinstance(part, int) else f"{key_text(part, flow=True)}: {in_brackets(value)}"
        if not count:
            spot = written.begin(around) + 1
            return [Splice(spot, spot, text)]
        spot = written.value_end((*path[:-1], _children(around)[-1][0]))
        return [Splice(spot, spot, f", {text}")]
    indent = around.column
    new: YamlValue = [value] if isinstance(part, int) else {part: value}
    spot = written.end_of_line(written.value_end(path[:-1]) if len(path) > 1 else _root_end(written))
    return [Splice(spot, spot, written.end + written.end.join(rows(new, indent, written.end)))]


def _root_end(written: _Written) -> int:
    return written.value_end((_children(written.root)[-1][0],))


def _fill(written: _Written, path: Path, value: YamlValue, flow: bool) -> list[Splice]:
    """The first value of a group whose key stands there with nothing after it."""
    key, around, part = written.key(path[:-1]), written.at(path[:-1]), path[-1]
    if key is None or not isinstance(around, Scalar) or around.text:
        raise EditError(f"'{part}' cannot be added there", fix=BY_HAND)
    spot = written.after_key(key)
    if flow:
        colon = "" if written.text[spot - 1] == ":" else ":"
        return [Splice(spot, spot, f"{colon} {in_brackets({str(part): value})}")]
    spot = written.end_of_line(spot)
    return [Splice(spot, spot, after_colon({str(part): value}, key.column + 2, written.end))]


def _remove(written: _Written, path: Path) -> list[Splice]:
    around, node, key = written.at(path[:-1]), written.at(path), written.key(path)
    assert isinstance(around, Mapping | Listing)
    siblings = [part for part, _ in _children(around)]
    number = siblings.index(path[-1])
    start, end = written.begin(key if key is not None else node), written.value_end(path)
    if around.flow:
        if len(siblings) == 1:
            return [Splice(start, end, "")]
        last = number == len(siblings) - 1
        before = written.value_end((*path[:-1], siblings[number - 1])) if last else None
        return _out_of_brackets(written, (start, end), before)
    if key is None:
        start = _dash(written, node)
    line = _line_of(written, start)
    lead = written.text[written.starts[line] : start]
    if lead.strip():
        # The first key of an item, or the first item of a list in a list, is on the line of the outer dash: the next
        # one comes up to it.
        after = (*path[:-1], siblings[number + 1])
        following = written.key(after)
        upto = _dash(written, written.at(after)) if following is None else written.begin(following)
        return [Splice(start, upto, "")]
    while line and re.fullmatch(rf" {{{len(lead)}}}#.*", around.source.lines[line - 1]):
        line -= 1
    stop = written.end_of_line(end)
    found = _LINE_END.match(written.text, stop)
    if found:
        return [Splice(written.starts[line], found.end(), "")]
    # The last line of a file without an end of its own: the one before it loses its own instead of gaining one.
    head = written.text[: written.starts[line]]
    cut = next((f.start() for f in _LINE_END.finditer(head) if f.end() == len(head)), len(head))
    return [Splice(cut, stop, "")]


def _dash(written: _Written, node: Node) -> int:
    """The offset of the dash of an item. One without a value begins at its dash, a list in a list at the inner one."""
    start = written.begin(node)
    empty = isinstance(node, Scalar) and not node.quoted and node.text == "" and written.text[start : start + 1] == "-"
    return written.text.rfind("-", 0, start + 1 if empty else start)


def _out_of_brackets(written: _Written, span: tuple[int, int], before: int | None) -> list[Splice]:
    """One entry and one comma: that after it, or for the last entry that after the one ``before`` it, which ends there.
    Comments between them stay."""
    start, end = span
    found = _TO_COMMA.match(written.text, end if before is None else before)
    if found is None:
        raise EditError("this cannot be removed here", fix=BY_HAND)
    comma = found.end() - 1
    first, last = (end, comma) if before is None else (comma, start)
    if _COMMENT.search(written.text[first:last]):
        return [Splice(start, end, ""), Splice(comma, comma + 1, "")]
    if before is not None:
        return [Splice(comma, end, "")]
    after = comma + 1
    return [Splice(start, after + (written.text[after : after + 1] == " "), "")]


def _line_of(written: _Written, offset: int) -> int:
    from bisect import bisect_right

    return max(0, bisect_right(written.starts, offset) - 1)


def _children(node: Node) -> list[tuple[str | int, Node]]:
    if isinstance(node, Mapping):
        return [(key.text, value) for key, value in node.entries]
    return list(enumerate(node.items)) if isinstance(node, Listing) else []


def _plain(node: Node) -> Any:
    if isinstance(node, Scalar):
        return None if node.empty else node.text
    if isinstance(node, Listing):
        return [_plain(one) for one in node.items]
    return {key.text: _plain(value) for key, value in node.entries}


def _as_read(value: YamlValue) -> Any:
    """A value as it will be read."""
    if isinstance(value, str):
        return value
    if isinstance(value, MappingOf):
        return {key: _as_read(one) for key, one in value.items()}
    return [_as_read(one) for one in value]


def _taken(whole: Any, path: Path) -> Any:
    for part in path:
        whole = whole[part]
    return whole


def _made(whole: Any, path: Path) -> Any:
    """The group or list that a new value goes into; one that had no value yet becomes a group."""
    for part in path[:-1]:
        if whole[part] is None:
            whole[part] = {}
        whole = whole[part]
    return whole


def _spliced(text: str, splices: Sequence[Splice]) -> str:
    for one in sorted(splices, key=lambda splice: splice.start, reverse=True):
        text = text[: one.start] + one.text + text[one.end :]
    return text
