"""A file laid out evenly: one key to a line (long), or in brackets what fits on one (short), with its comments.

The values alone say how a file is laid out, not how it was before, so that laying out again changes nothing, and long,
short and long again is the same as long. What is promised is tried before anything is given back: the new text is read
again, and all values and comments have to be those of the old one. The byte order mark stays, and every line ends as
the first one did.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from decalgen.core.errors import JobError
from decalgen.job.comments import Comment, comments, is_block, last_line
from decalgen.job.edits import EditError, same_values, values
from decalgen.job.nodes import Listing, Mapping, Node, Scalar, Source
from decalgen.job.parser import parse
from decalgen.job.problems import Problems
from decalgen.job.written import key_text, scalar

WIDTH = 100
"""The longest line that a short layout makes, without the comment at its end."""
TALL = 4
"""Entries of a group that take more lines have an empty one between them."""
STEP = 2
_MARK = "\ufeff"
_LINE_END = re.compile("\r\n|\r|\n")


def formatted(text: str, name: str, *, short: bool = False) -> str:
    """The text of a file, with its byte order mark and line ends, laid out evenly.

    Raises JobError for a text that cannot be read, and EditError where its values or comments would not stay."""
    end = next((found.group() for found in _LINE_END.finditer(text)), "\n")
    lines = tuple(_LINE_END.split(text.removeprefix(_MARK)))
    root, said = _read(lines, name)
    if not isinstance(root, Mapping) or not root.entries:
        return text
    rows = _Rows(lines, said, short).whole(root)
    new_root, new_said = _read(tuple(rows), name)
    made = (_MARK if text.startswith(_MARK) else "") + end.join((*rows, ""))
    same = new_root is not None and same_values(values(text), values(made))
    if not same or sorted(one.text for one in said) != sorted(one.text for one in new_said):
        raise EditError(f"'{name}' cannot be laid out without changing what it says", fix="leave it as it is")
    return made


def _read(lines: tuple[str, ...], name: str) -> tuple[Node | None, tuple[Comment, ...]]:
    problems = Problems()
    root = parse(Source(name, lines), problems)
    if len(problems):
        raise JobError(problems.sorted())
    return root, comments(root, lines)


class _Rows:
    """Makes the lines of a file from its nodes; each comment goes before what it stood before, or at the end of the
    line of what it stood behind."""

    def __init__(self, lines: tuple[str, ...], said: Sequence[Comment], short: bool) -> None:
        self.lines = lines
        self.short = short
        self.waiting = list(said)
        self.said = tuple(said)
        self.above: list[tuple[int, int]] = []
        """The entries round what was written last, outermost first: their columns in the old text and in the new."""

    def whole(self, root: Mapping) -> list[str]:
        """All lines, without the last line end."""
        rows = self.children(root, 0, "")
        behind, below = self.before(len(self.lines) + 1, 0, 0)
        rows += [*behind, *below]
        while rows and not rows[-1]:
            rows.pop()
        while rows and not rows[0]:
            rows.pop(0)
        return rows

    # ------------------------------------------------------------------------------------------------- comments
    def before(self, line: int, column: int, indent: int) -> tuple[list[str], list[str]]:
        """The comments above a line, where an entry begins at a column, and is written ``indent`` deep: those that
        still belong to what is deeper than that entry, and those that belong to it."""
        behind: list[str] = []
        above: list[str] = []
        while self.waiting and self.waiting[0].line < line:
            one = self.waiting.pop(0)
            depth = indent
            if one.alone and one.column > column and not above:
                # It goes with the last there that is not deeper than itself.
                depth = max(indent, next((new for old, new in reversed(self.above) if old <= one.column), indent))
            deeper = depth > indent
            rows = behind if deeper else above
            rows += ["", " " * depth + one.text] if one.apart else [" " * depth + one.text]
            if one.ends and not (self.waiting and self.waiting[0].line < line and self.waiting[0].apart):
                rows.append("")
        return behind, above

    def tail(self, first: int, last: int) -> str:
        """The comment at the end of a line, or at the first of some lines that has one."""
        for number, one in enumerate(self.waiting):
            if one.line > last:
                break
            if first <= one.line and not one.alone:
                del self.waiting[number]
                return f"  {one.text}"
        return ""

    # --------------------------------------------------------------------------------------------------- values
    def children(self, node: Mapping | Listing, indent: int, first: str) -> list[str]:
        """The entries of a group or list; ``first`` is what the first line begins with, in place of blanks."""
        blocks: list[tuple[list[str], int]] = []
        level = 2 if first else indent // STEP
        for key, value in _parts(node):
            start = key if key is not None else value
            column = node.column if key is None and not node.flow else start.column
            behind, rows = self.before(start.line, column, indent)
            if blocks:
                blocks[-1][0].extend(behind)
            else:
                rows = [*behind, *rows]
            while self.above and self.above[-1][1] >= indent:
                self.above.pop()
            if not node.flow:
                self.above.append((column, indent))
            lead = first or " " * indent
            head = f"{lead}{_key(key)}:" if key is not None else f"{lead}-"
            body = self.entry(head, value, indent, start.line)
            blocks.append(([*rows, *body], len(body)))
            first = ""
        return _apart(blocks, level)

    def entry(self, head: str, value: Node, indent: int, line: int) -> list[str]:
        """An entry's lines from what its first begins with."""
        last = last_line(value, self.lines)
        if isinstance(value, Scalar):
            return self.scalar_rows(head, value, indent, (line, last))
        if not _inside(value):
            return [f"{head} {'[]' if isinstance(value, Listing) else '{}'}{self.tail(line, last)}"]
        item = head.endswith("-")
        if self.short and not (item and isinstance(value, Mapping)) and self.fits(head, value, line, last):
            return [f"{head} {self.bare(value)}{self.tail(line, line)}"]
        if item:
            return self.children(value, indent + STEP, f"{head} ")
        return [head + self.tail(line, line), *self.children(value, indent + STEP, "")]

    def scalar_rows(self, head: str, value: Scalar, indent: int, lines: tuple[int, int]) -> list[str]:
        if is_block(value) and _plain_block(value.text):
            rows = [f"{head} |{self.tail(lines[0], lines[0])}"]
            deeper = " " * (indent + STEP)
            return [*rows, *(deeper + row if row else "" for row in value.text.split("\n"))]
        text = self.text(value, brackets=indent > 0)
        return [f"{head}{' ' if text else ''}{text}{self.tail(*lines)}"]

    def text(self, value: Scalar, *, brackets: bool = True) -> str:
        """A text as it is written in brackets too, so that both layouts write it the same way; what stands at the very
        left is never in any."""
        if not value.quoted and value.text in ("", "~", "null", "Null", "NULL"):
            return value.text
        quote = self.lines[value.line][value.column] if value.quoted and not is_block(value) else ""
        return scalar(value.text, flow=brackets, quote=quote)

    # ------------------------------------------------------------------------------------------------- brackets
    def fits(self, head: str, value: Node, line: int, last: int) -> bool:
        """Whether a value goes in brackets on the line of its key: it is short enough, no comment is in it, and no
        text of several lines."""
        if any(line < one.line <= last for one in self.said) or self.followed(value, last):
            return False
        return _plain(value) and len(head) + 1 + len(self.bare(value)) <= WIDTH

    def followed(self, value: Node, last: int) -> bool:
        """Whether a comment comes next that belongs to what is in a value."""
        if isinstance(value, Scalar) or value.flow:
            return False
        alone = {one.line: one.column for one in self.said if one.alone}
        number = last + 1
        while number < len(self.lines) and (number in alone or not self.lines[number].strip()):
            if number in alone:
                # The next of several comments goes where the first of them goes, or less deep.
                return alone[number] >= value.column
            number += 1
        return False

    def bare(self, value: Node) -> str:
        """A value in brackets."""
        if isinstance(value, Scalar):
            return self.text(value)
        if isinstance(value, Listing):
            return "[" + ", ".join(self.bare(one) for one in value.items) + "]"
        return "{" + ", ".join(f"{_key(key)}: {self.bare(one)}" for key, one in value.entries) + "}"


def _key(key: Scalar) -> str:
    return key_text(key.text, flow=True)


def _plain(value: Node) -> bool:
    """Whether a value can be put in brackets and still be read: nothing in it is missing or on lines of its own, and no
    list in it holds groups."""
    if isinstance(value, Scalar):
        return not is_block(value) and (value.quoted or value.text != "")
    groups = isinstance(value, Listing) and any(isinstance(one, Mapping) for one in value.items)
    return not groups and all(_plain(one) for one in _inside(value))


def _plain_block(text: str) -> bool:
    """Whether a text can stand under a | as it is."""
    rows = text.split("\n")
    shown = all(row.isprintable() and row == row.rstrip() for row in rows)
    return shown and bool(rows[0]) and not rows[0].startswith(" ") and bool(rows[-1])


def _parts(node: Node) -> list[tuple[Scalar | None, Node]]:
    if isinstance(node, Mapping):
        return list(node.entries)
    return [(None, item) for item in node.items] if isinstance(node, Listing) else []


def _inside(node: Node) -> list[Node]:
    return [value for _, value in _parts(node)]


def _apart(blocks: Sequence[tuple[list[str], int]], level: int) -> list[str]:
    """Entries one below the other: groups of the file, and what is tall in them, with an empty line between."""
    rows: list[str] = []
    before = 0
    for lines, height in blocks:
        least = {0: 1, 1: TALL}.get(level)
        gap = bool(rows) and least is not None and max(before, height) > least
        if gap and rows[-1] and lines[0]:
            rows.append("")
        if rows and not rows[-1] and lines and not lines[0]:
            lines = lines[1:]
        rows += lines
        before = height
    return rows
