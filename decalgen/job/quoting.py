"""Quotes, brackets and commas that may have been meant: guesses, as in `decalgen.job.slips`."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from decalgen.job.slips import (
    KEY,
    UNITS,
    Guess,
    colons,
    curly,
    dashes,
    ends,
    mangled,
    numbers,
    parts,
    tabs,
    unseen,
    wide,
)
from decalgen.job.written import scalar

_ENDS = re.compile(r"\s*[,\]}]|\s*$")
_BEFORE_VALUE = re.compile(r": +|[\[{,] *|^\s*- +")


# --------------------------------------------------------------------------------------------------- quotes
def quoted(line: str, spot: int) -> Iterator[Guess]:
    """Quotes round all of a value, or the missing one of two."""
    head, tail = parts(line)
    found = KEY.match(line)
    value = found["rest"].strip() if found else ""
    begun = line[:1].join(("", "")) if not found else line[: found.start("rest")]
    if found and value and value[0] not in "[{\"'":
        if value[-1] in "\"'":
            yield f"{begun} {_in_quotes(value[:-1])}", "a quote is missing at the beginning"
        yield f"{begun} {_in_quotes(value)}", _why_quotes(value)
    if found and value[:1] in "\"'" and value:
        yield from _unclosed(begun, value)
    item = re.match(r"^(\s*(?:- +)+)([^\"'\s].*)$", head)
    if item and not found:
        yield f"{item[1]}{_in_quotes(item[2])}{tail}", _why_quotes(item[2])
    if item and line.strip() != head.strip():
        yield f"{item[1]}{_in_quotes(line[item.start(2) :].rstrip())}", _why_quotes(line[item.start(2) :])
    yield from _in_brackets(line, spot)
    if found and value[:1] in ("[", "{"):
        yield f"{begun} {_in_quotes(value)}", _why_quotes(value)


def _unclosed(begun: str, value: str) -> Iterator[Guess]:
    quote = value[0]
    plain, comment = parts(value)
    said = "a quote is opened here and not closed"
    if "\\" in plain:
        why = "a backslash means something else inside double quotes"
        yield f"{begun} {_in_quotes(plain.strip(chr(34)))}{comment}", why
    if value.count(quote) % 2 or (len(plain) > 1 and plain[-1] in "\"'" and plain[-1] != quote):
        yield f"{begun} {_in_quotes(plain.strip(chr(34) + chr(39)))}{comment}", said
    inside = plain[1:-1] if plain.endswith(quote) and len(plain) > 1 else ""
    if inside and quote in inside:
        yield f"{begun} {_in_quotes(inside)}{comment}", "there are quotes inside the quotes"
    yield f"{begun} {_in_quotes(plain)}{comment}", "there is text after the quotes"


def _in_brackets(line: str, spot: int) -> Iterator[Guess]:
    """Quotes round a value between brackets, as far as each comma or bracket that may be its end."""
    if not re.search(r"[\[\]{},]", line):
        return
    starts = [found.end() for found in _BEFORE_VALUE.finditer(line)]
    near = [at for at in starts if at <= max(spot, 0) + 1][-4:]
    rest = [at for at in starts if at not in near][:4]
    for start in (*reversed(near), *rest):
        stops = [found.start() for found in _ENDS.finditer(line, start) if found.start() > start][:5]
        for stop in stops:
            value = line[start:stop]
            if value[:1] in "[{" or (value[:1] in "\"'" and value.endswith(value[:1]) and len(value) > 1):
                continue
            said = _why_quotes(value)
            if value[:1] in "\"'":
                value, said = value.strip("\"'"), "a quote is opened here and not closed"
            if value.strip():
                yield f"{line[:start]}{_in_quotes(value)}{line[stop:]}", said


COLON = "a text with a colon in it needs quotes"


def _in_quotes(text: str) -> str:
    """A text in quotes in which every character is itself."""
    return scalar(text, flow=True, quote="'" if '"' in text or "\\" in text else '"')


def _why_quotes(text: str) -> str:
    """Why a text needs quotes."""
    if text in ("~", "null", "Null", "NULL"):
        return f"{text} without quotes means nothing"
    if re.match(r"#", text) or re.search(r"\s#", text):
        return "what follows # is a comment, so this text needs quotes"
    if ": " in text:
        return COLON
    if "," in text:
        return "a text with a comma in it needs quotes"
    if text[:1] in "&*!%@`>|?-[{":
        return f"a text that begins with {text[0]} needs quotes"
    return ""


# ------------------------------------------------------------------------------------------------- brackets
def brackets(line: str, spot: int) -> Iterator[Guess]:
    """A bracket more, less, or another, and commas between items."""
    head, tail = parts(line)
    missing = _missing(head)
    said = "this bracket is never closed"
    if missing:
        bare = head.rstrip(", ")
        yield bare + missing + head[len(bare) :] + tail, said
        yield head + missing + tail, said
    closers = [at for at, c in enumerate(head) if c in "]},"]
    for at in (*reversed(closers[-12:]), len(head)):
        for sign in "]}":
            yield head[:at] + sign + head[at:] + tail, "a closing bracket is missing"
    for at in reversed(closers[-12:]):
        if head[at] != ",":
            other = {"]": "}", "}": "]"}[head[at]]
            yield head[:at] + other + head[at + 1 :] + tail, f"this bracket is closed by {head[at]}, not by {other}"
            yield head[:at] + head[at + 1 :] + tail, "there is a closing bracket too many"
    yield f"{head},{tail}", "a comma is missing at the end of this line"
    yield from _commas(head, tail, spot)


def lists(line: str, spot: int) -> Iterator[Guess]:
    """Brackets of another form, and commas between items."""
    head, tail = parts(line)
    yield from _of_another_form(head, tail)
    if head.rfind("[", 0, spot + 1) > head.rfind("]", 0, spot + 1):
        yield from _commas(head, tail, spot)


def _missing(head: str) -> str:
    """The brackets that would close what a line opens, in order; '' where none is open."""
    stack: list[str] = []
    quote = ""
    for c in head:
        if quote:
            quote = "" if c == quote else quote
        elif c in "\"'":
            quote = c
        elif c in "[{":
            stack.append({"[": "]", "{": "}"}[c])
        elif c in "]}" and stack and stack[-1] == c:
            stack.pop()
    return "".join(reversed(stack))


def _of_another_form(head: str, tail: str) -> Iterator[Guess]:
    """Square brackets for round ones, for braces, for none, for a semicolon between."""
    found = KEY.match(head)
    value = found["rest"].strip() if found else ""
    if found and value:
        begun = head[: found.start("rest")]
        inside = value.strip("()[]{} ")
        said = "a list is written in square brackets"
        if value[0] in "({" and value[-1] in ")}":
            yield f"{begun} [{inside}]{tail}", said
        if value.endswith("]") != value.startswith("["):
            yield f"{begun} [{inside}]{tail}", "a bracket is missing"
        if value[0] not in "[{\"'":
            yield f"{begun} [{inside}]{tail}", said
            items = re.split(r"\s*,\s*|\s+and\s+|\s+&\s+|\s*;\s*|\s+\+\s+|\s*/\s*", inside)
            items = [item.removeprefix("- ").removeprefix("-").strip() for item in items]
            yield f"{begun} [{', '.join(items)}]{tail}", said
            dimensions = re.split(rf"(?<={UNITS[3:5]})\s*[x\u00d7]?\s*(?=\d)", inside)
            if len(dimensions) > 1:
                yield f"{begun} [{', '.join(dimensions)}]{tail}", said
            if ":" in inside:
                yield f"{begun} {{{inside}}}{tail}", "keys that follow on the same line need braces"
    new = head.replace(";", ",")
    if new != head and re.search(r"[\[{]", head):
        yield new + tail, "items are separated by commas"


def _commas(head: str, tail: str, spot: int) -> Iterator[Guess]:
    """A comma more or less between items."""
    new = re.sub(r",(?:\s*,)+", ",", head)
    if new != head:
        yield new + tail, "there is a comma too many"
    said = "a comma is missing between two items"
    blanks = list(re.finditer(r"(?<=[^\s,\[{:]) +(?=[^\s,\]}])", head))
    near = [found for found in blanks if found.start() <= max(spot, 0)][-5:]
    rest = [found for found in blanks if found not in near][:8]
    for found in (*reversed(near), *rest):
        yield f"{head[: found.start()]}, {head[found.end() :]}{tail}", said


Slip = Callable[[str, int], Iterator[Guess]]


def words(line: str, spot: int) -> Iterator[Guess]:
    """Quotes round words, but never round keys or a whole list."""
    for new, said in quoted(line, spot):
        if said != COLON and not re.search(r"[\"'][\[{]", new):
            yield new, said


READING: tuple[Slip, ...] = (wide, curly, mangled, colons, ends, dashes, numbers, lists, words)
"""Slips that a value or a key may have which cannot be what it says."""
STOPPING: tuple[Slip, ...] = (unseen, tabs, *READING[:-2], brackets, lists, quoted)
"""Slips that keep a text from being read at all."""
