"""Changes in the text of a job file that leave every other byte as it is: comments, quotes, blanks, line ends.

Each edit finds the place of a value by the nodes of the reader and puts a new text there. That is the method. The
promise is the guard: the new text is read again, and unless all values but the one that was meant are the same, the
edit is refused. A path says where a value is: keys, and numbers of list items from 0. Texts are the whole of a file as
it lies on the disk, so with its byte order mark and line ends.
"""

from __future__ import annotations

import re
from typing import Any

from decalgen.job.nodes import Listing, Mapping, Scalar
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
    same_values,
    spliced,
    values,
)
from decalgen.job.written import YamlValue, after_colon, in_brackets, key_text, rows, scalar

__all__ = ["EditError", "Path", "add_value", "remove_value", "same_values", "set_value", "values"]

_COMMENT = re.compile(r"(?:^|\s)#", re.MULTILINE)
_TO_COMMA = re.compile(r"(?:[ \t\r\n]+|#[^\r\n]*)*,")


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
    written = as_written(text)
    while len(path) > 1 and len(children(written.at(path[:-1]))) == 1 and written.has(path):
        path = path[:-1]
    if len(path) == 1 and len(children(written.root)) == 1:
        raise EditError("nothing would be left of the file", fix="delete the file")
    found = spliced(text, _remove(written, path))
    wanted = plain(written.root)
    inside(wanted, path[:-1]).__delitem__(path[-1])
    return guarded(found, wanted)


def _edited(text: str, path: Path, value: YamlValue, how: Any) -> str:
    written = as_written(text)
    found = spliced(text, how(written, path, value))
    wanted = plain(written.root)
    around = inside(wanted, path[:-1]) if how is _set else _made(wanted, path)
    if isinstance(around, list) and path[-1] == len(around):
        around.append(as_read(value))
    else:
        around[path[-1]] = as_read(value)
    return guarded(found, wanted)


def _set(written: WrittenText, path: Path, value: YamlValue) -> list[Splice]:
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


def _add(written: WrittenText, path: Path, value: YamlValue) -> list[Splice]:
    around, part = written.at(path[:-1]), path[-1]
    count = len(children(around))
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
        spot = written.value_end((*path[:-1], children(around)[-1][0]))
        return [Splice(spot, spot, f", {text}")]
    indent = around.column
    new: YamlValue = [value] if isinstance(part, int) else {part: value}
    spot = written.end_of_line(written.value_end(path[:-1]) if len(path) > 1 else _root_end(written))
    return [Splice(spot, spot, written.end + written.end.join(rows(new, indent, written.end)))]


def _root_end(written: WrittenText) -> int:
    return written.value_end((children(written.root)[-1][0],))


def _fill(written: WrittenText, path: Path, value: YamlValue, flow: bool) -> list[Splice]:
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


def _remove(written: WrittenText, path: Path) -> list[Splice]:
    around, node, key = written.at(path[:-1]), written.at(path), written.key(path)
    assert isinstance(around, Mapping | Listing)
    siblings = [part for part, _ in children(around)]
    number = siblings.index(path[-1])
    start, end = written.begin(key if key is not None else node), written.value_end(path)
    if around.flow:
        if len(siblings) == 1:
            return [Splice(start, end, "")]
        last = number == len(siblings) - 1
        before = written.value_end((*path[:-1], siblings[number - 1])) if last else None
        return _out_of_brackets(written, (start, end), before)
    if key is None:
        start = written.dash(node)
    line = written.line_of(start)
    lead = written.text[written.starts[line] : start]
    if lead.strip():
        # The first key of an item, or the first item of a list in a list, is on the line of the outer dash: the next
        # one comes up to it.
        after = (*path[:-1], siblings[number + 1])
        following = written.key(after)
        upto = written.dash(written.at(after)) if following is None else written.begin(following)
        return [Splice(start, upto, "")]
    while line and re.fullmatch(rf" {{{len(lead)}}}#.*", around.source.lines[line - 1]):
        line -= 1
    stop = written.end_of_line(end)
    found = LINE_END.match(written.text, stop)
    if found:
        return [Splice(written.starts[line], found.end(), "")]
    # The last line of a file without an end of its own: the one before it loses its own instead of gaining one.
    head = written.text[: written.starts[line]]
    cut = next((f.start() for f in LINE_END.finditer(head) if f.end() == len(head)), len(head))
    return [Splice(cut, stop, "")]


def _out_of_brackets(written: WrittenText, span: tuple[int, int], before: int | None) -> list[Splice]:
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


def _made(whole: Any, path: Path) -> Any:
    """The group or list that a new value goes into; one that had no value yet becomes a group."""
    for part in path[:-1]:
        if whole[part] is None:
            whole[part] = {}
        whole = whole[part]
    return whole
