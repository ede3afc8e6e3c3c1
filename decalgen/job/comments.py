"""The comments of a file, which its reader passes over: what they say, and where they stand."""

from __future__ import annotations

import re
from collections.abc import Iterator

from decalgen.core.values import dataclass
from decalgen.job.nodes import Listing, Mapping, Node, Scalar

_SIGN = re.compile(r"(?:^|(?<=\s))#")


@dataclass(frozen=True)
class Comment:
    """A comment with its sign, by its line and column from 0. ``alone``: nothing else is on its line; ``apart``: an
    empty line is before it; ``ends``: one is after it."""

    text: str
    line: int
    column: int
    alone: bool
    apart: bool = False
    ends: bool = False


def comments(root: Node | None, lines: tuple[str, ...]) -> tuple[Comment, ...]:
    """All comments of a text by its nodes, in order: a # that no value holds."""
    held = _held(root, lines) if root is not None else {}
    found = []
    for number, line in enumerate(lines):
        taken = held.get(number, ())
        if "#" not in line or None in taken:
            continue
        for sign in _SIGN.finditer(line):
            if any(span is not None and span[0] <= sign.start() < span[1] for span in taken):
                continue
            alone = not line[: sign.start()].strip()
            apart = alone and number > 0 and not lines[number - 1].strip()
            ends = alone and number + 1 < len(lines) and not lines[number + 1].strip()
            found.append(Comment(line[sign.start() :].rstrip(), number, sign.start(), alone, apart, ends))
            break
    return tuple(found)


def _held(root: Node, lines: tuple[str, ...]) -> dict[int, list[tuple[int, int] | None]]:
    """For each line the columns that texts take on it; None: the whole line."""
    found: dict[int, list[tuple[int, int] | None]] = {}
    for text in _scalars(root):
        last, column = text.end
        if is_block(text):
            for number in range(text.line + 1, last_line(text, lines) + 1):
                found.setdefault(number, []).append(None)
            continue
        for number in range(text.line, min(last, len(lines) - 1) + 1):
            start = text.column if number == text.line else 0
            found.setdefault(number, []).append((start, column if number == last else len(lines[number])))
    return found


def is_block(text: Scalar) -> bool:
    """Whether a text stands under a | or >."""
    lines = text.source.lines
    return text.quoted and text.line < len(lines) and lines[text.line][text.column : text.column + 1] in ("|", ">")


def last_line(node: Node, lines: tuple[str, ...]) -> int:
    """The last line that a value takes."""
    if isinstance(node, Scalar):
        if not is_block(node):
            return node.end[0]
        last = node.line
        stop = min(node.end[0] if node.end[1] == 0 else node.end[0] + 1, len(lines))
        for number in range(node.line + 1, stop):
            last = number if lines[number].strip() else last
        return last
    inside = _inside(node)
    if node.flow or not inside:
        return max(node.line, node.end[0])
    return max(last_line(one, lines) for one in inside)


def _scalars(node: Node) -> Iterator[Scalar]:
    if isinstance(node, Scalar):
        yield node
    if isinstance(node, Mapping):
        yield from (key for key, _ in node.entries)
    for one in _inside(node):
        yield from _scalars(one)


def _inside(node: Node) -> tuple[Node, ...]:
    if isinstance(node, Mapping):
        return tuple(value for _, value in node.entries)
    return node.items if isinstance(node, Listing) else ()
