"""Whole entries of a file, with the comments that belong to them: put in, taken out, copied, moved. Pure.

An entry is a key of a group with all below it, or an item of a list. To it belong the comment lines right above it, the
comment at the end of its lines, and those right below it that are deeper than it. Where entries have empty lines
between them a new one gets its own, and one that goes takes its own along. Everything is guarded as in `edits`.
"""

from __future__ import annotations

import re
from typing import Any

from decalgen.core.values import dataclass
from decalgen.job.edits import add_value, remove_value
from decalgen.job.nodes import Listing, Mapping, Node
from decalgen.job.splices import (
    BY_HAND,
    LINE_END,
    EditError,
    Path,
    Splice,
    WrittenText,
    as_read,
    as_written,
    children,
    guarded,
    inside,
    plain,
    spliced,
)
from decalgen.job.written import YamlValue, in_brackets, key_text, rows

SHORT = 100
"""An entry whose neighbours are in brackets is too, up to this width."""
LEAST = {0: 1, 1: 4}
"""By how deep entries are, from how many lines on they have an empty line between them, where a file does not show it:
groups of the file, and what is tall in them."""
_COMMENT_LINE = re.compile(r"( *)#")


@dataclass(frozen=True)
class EntryBlock:
    """Where an entry is: from its first comment to its last line without the line's end; ``own``: where it begins
    itself. ``inline``: something else is before it on its line."""

    start: int
    own: int
    end: int
    inline: bool = False


def inserted(text: str, path: Path, value: YamlValue, after: str | int | None = None) -> str:
    """The text with one more entry, after a neighbour or after all of them: a key of the group at ``path[:-1]``, or for
    a number an item of the list there. Raises EditError, and JobError for a text that cannot be read."""
    written = as_written(text)
    around, part = written.at(path[:-1]), path[-1]
    names = [name for name, _ in children(around)]
    if (
        not names
        or isinstance(part, int) != isinstance(around, Listing)
        or (not isinstance(part, int) and part in names)
    ):
        return add_value(text, path, value)
    last = names[-1] if after is None else after
    if last not in names:
        raise EditError(f"there is no '{last}' in the file", fix="look at it again")
    base = (*path[:-1], last)
    if written.flow(path[:-1]) or _flow(around):
        new = in_brackets(value) if isinstance(part, int) else f"{key_text(part, flow=True)}: {in_brackets(value)}"
        splice = Splice(written.value_end(base), written.value_end(base), f", {new}")
    else:
        lines = _as_neighbours(written, base, part, value)
        spot = block_of(written, base).end
        gap = written.end * (2 if _apart(written, path[:-1], last, len(lines)) else 1)
        splice = Splice(spot, spot, gap + written.end.join(lines))
    wanted = plain(written.root)
    _put(inside(wanted, path[:-1]), part, as_read(value), last)
    return guarded(spliced(text, [splice]), wanted)


def removed(text: str, path: Path) -> str:
    """The text without an entry, and without the empty line that stood between it and the next; the last of a group
    takes that along. Raises as `inserted` does."""
    written = as_written(text)
    while len(path) > 1 and len(children(written.at(path[:-1]))) == 1 and written.has(path):
        path = path[:-1]
    written.at(path)
    block = None if _in_brackets(written, path) else block_of(written, path)
    if block is None or block.inline or len(children(written.root)) == 1:
        return remove_value(text, path)
    wanted = plain(written.root)
    del inside(wanted, path[:-1])[path[-1]]
    return guarded(spliced(text, [_lines_out(written, block, path)]), wanted)


def copied(text: str, path: Path, name: str) -> str:
    """The text with an entry of a group written once more, right after it, under another name; the comments above it
    stay with the first. Raises as `inserted` does."""
    written = as_written(text)
    key, around = written.key(path), written.at(path[:-1])
    if key is None or written.has((*path[:-1], name)):
        raise EditError(f"'{name}' is there already", fix="choose another name")
    wanted = plain(written.root)
    _put(inside(wanted, path[:-1]), name, inside(wanted, path), path[-1])
    flow = _in_brackets(written, path)
    after_key = written.offset(key.end)
    if flow:
        end = written.value_end(path)
        new = f", {key_text(name, flow=True)}{text[after_key:end]}"
    else:
        block = block_of(written, path)
        end = block.end
        body = text[after_key:end]
        own = text[block.own : written.begin(key)]
        lead = " " * around.column if block.inline else own
        apart = _apart(written, path[:-1], path[-1], 1 + len(LINE_END.findall(body)))
        new = written.end * (2 if apart else 1) + lead + key_text(name) + body
    return guarded(spliced(text, [Splice(end, end, new)]), wanted)


def moved(text: str, path: Path, step: int) -> str:
    """The text with an entry in its neighbour's place and that in its own: the one after it for a ``step`` of 1, before
    it for -1. Comments go along. Raises as `inserted` does."""
    written = as_written(text)
    written.at(path)
    names = [name for name, _ in children(written.at(path[:-1]))]
    there = names.index(path[-1])
    if not 0 <= there + step < len(names):
        raise EditError("there is nothing to change places with", fix="it is the first or last already")
    first, second = sorted((there, there + step))
    upper, lower = (*path[:-1], names[first]), (*path[:-1], names[second])
    wanted = plain(written.root)
    _swap(inside(wanted, path[:-1]), first, second)
    if _in_brackets(written, path):
        spans = [(_start(written, one), written.value_end(one)) for one in (upper, lower)]
        whole = text[written.starts[written.line_of(spans[0][0])] : written.end_of_line(spans[1][1])]
        if len(LINE_END.findall(whole)) and "#" in whole:
            raise EditError("there are comments in the brackets round it", fix=f"{BY_HAND}, or lay the file out first")
    else:
        blocks = [block_of(written, one) for one in (upper, lower)]
        if blocks[0].inline and blocks[1].start != blocks[1].own:
            raise EditError("there are comments in what would be moved", fix=BY_HAND)
        inline = blocks[0].inline
        spans = [
            (_start(written, one) if inline else block.start, block.end)
            for one, block in zip((upper, lower), blocks, strict=True)
        ]
    (a, b), (c, d) = spans
    return guarded(spliced(text, [Splice(a, d, text[c:d] + text[b:c] + text[a:b])]), wanted)


# ---------------------------------------------------------------------------------------------------- where it is
def block_of(written: WrittenText, path: Path) -> EntryBlock:
    """The lines of an entry that is in no brackets."""
    text, start = written.text, _start(written, path)
    lines = written.root.source.lines
    number = written.line_of(start)
    own = written.starts[number]
    lead = text[own:start]
    end = written.end_of_line(written.value_end(path))
    below = written.line_of(end) + 1
    depth = start - own
    while below < len(lines) and (found := _COMMENT_LINE.match(lines[below])) and len(found[1]) > depth:
        end = written.starts[below] + len(lines[below])
        below += 1
    if lead.strip():
        return EntryBlock(start, start, end, inline=True)
    while number and (found := _COMMENT_LINE.match(lines[number - 1])) and len(found[1]) == len(lead):
        number -= 1
    return EntryBlock(written.starts[number], own, end)


def _start(written: WrittenText, path: Path) -> int:
    """Where an entry begins: at its key, or its dash."""
    key, node = written.key(path), written.at(path)
    if key is not None:
        return written.begin(key)
    return written.begin(node) if _in_brackets(written, path) else written.dash(node)


def _in_brackets(written: WrittenText, path: Path) -> bool:
    return written.flow(path)


def _flow(node: Node) -> bool:
    return isinstance(node, Mapping | Listing) and node.flow


def _blank(line: str) -> bool:
    return not line.strip()


def _lines_out(written: WrittenText, block: EntryBlock, path: Path) -> Splice:
    """The lines of an entry, and where empty lines stand above and below it the fewer of the two; above it also where
    it ends the file, and below it where it begins a group."""
    lines = written.root.source.lines
    first, after = written.line_of(block.start), written.line_of(block.end) + 1
    above = next((n for n in range(first) if not _blank(lines[first - 1 - n])), first)
    # A file that ends in a line end has one empty text more than lines.
    ended = lines[-1] == ""
    count = len(lines) - ended
    below = next((n for n in range(count - after) if not _blank(lines[after + n])), count - after)
    begins = not above and children(written.at(path[:-1]))[0][0] == path[-1]
    if after + below == count:
        first -= above if not below else min(above, below)
        if not ended and after == count and first:
            # The line before it loses its end, as the last one had none.
            return Splice(written.starts[first - 1] + len(lines[first - 1]), len(written.text), "")
    else:
        after += below if begins else min(above, below)
    return Splice(written.starts[first], written.starts[after] if after < len(lines) else len(written.text), "")


# ------------------------------------------------------------------------------------------------- as its neighbours
def _as_neighbours(written: WrittenText, base: Path, part: str | int, value: YamlValue) -> list[str]:
    """The lines of a new entry, in brackets where the neighbour at ``base`` is, as deep as that."""
    around = written.at(base[:-1])
    node = written.at(base)
    indent = around.column
    inner: YamlValue = value
    head = "- " if isinstance(part, int) else f"{key_text(part)}: "
    if isinstance(part, int) and isinstance(value, dict) and len(value) == 1 and isinstance(node, Mapping):
        ((name, inner),) = value.items()
        head += f"{key_text(name)}: "
        node = node.entries[0][1]
    short = " " * indent + head + in_brackets(inner)
    if not isinstance(inner, str) and _flow(node) and len(short) <= SHORT:
        return [short]
    new: YamlValue = [value] if isinstance(part, int) else {part: value}
    joined = written.end.join(rows(new, indent, written.end, _step(written, base)))
    return joined.split(written.end)


def _step(written: WrittenText, base: Path) -> int:
    """How many spaces deeper what is in a group is written: as the neighbour at ``base`` has it, or else the file."""
    beside, around = written.at(base), written.at(base[:-1])
    if isinstance(beside, Mapping) and not beside.flow and isinstance(around, Mapping):
        return max(1, beside.column - around.column)
    inside = (node for _, node in children(written.root) if isinstance(node, Mapping) and not node.flow)
    return next((node.column for node in inside if node.column > 0), 2)


def _apart(written: WrittenText, path: Path, last: str | int, height: int) -> bool:
    """Whether a new entry of so many lines after the one called ``last`` has an empty line before it: as its neighbours
    have, and where these do not show it, as `decalgen format` lays a file out."""
    names = [name for name, _ in children(written.at(path))]
    blocks = [block_of(written, (*path, name)) for name in names]
    heights = [
        1 + len(LINE_END.findall(written.text[_start(written, (*path, name)) : one.end]))
        for name, one in zip(names, blocks, strict=True)
    ]
    least = LEAST.get(len(path))
    if any(isinstance(part, int) for part in (*path, last)):
        least = None
    pairs = list(zip(zip(blocks, heights, strict=True), zip(blocks[1:], heights[1:], strict=True), strict=False))
    habits = [
        (least is not None and max(tall, low) > least, len(LINE_END.findall(written.text[one.end : other.start])) > 1)
        for (one, tall), (other, low) in pairs
    ]
    expected = least is not None and max(heights[names.index(last)], height) > least
    if expected:
        return not any(tall and not gap for tall, gap in habits)
    return any(gap and not tall for tall, gap in habits) and all(gap for _, gap in habits)


# ------------------------------------------------------------------------------------------------------------ values
def _put(around: Any, part: str | int, value: Any, after: str | int) -> None:
    """One more entry of a group or list, after another."""
    if isinstance(around, list):
        around.insert(int(after) + 1, value)
        return
    later = list(around)[list(around).index(after) + 1 :]
    around[part] = value
    for name in later:
        around[name] = around.pop(name)


def _swap(around: Any, first: int, second: int) -> None:
    if isinstance(around, list):
        around[first], around[second] = around[second], around[first]
        return
    entries = list(around.items())
    entries[first], entries[second] = entries[second], entries[first]
    around.clear()
    around.update(entries)
