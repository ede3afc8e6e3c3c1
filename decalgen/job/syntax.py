"""What is wrong with a text before any key of it is looked at, in words for someone who never heard of YAML."""

from __future__ import annotations

import re
import unicodedata
from typing import Any

from decalgen.core.errors import Problem
from decalgen.job.nodes import Source
from decalgen.job.problems import Problems

HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u200b\u200e\u200f\u2028\u2029\u202a-\u202e\u2060-\u2069\ufeff\ufff9-\uffff]"
)
_TAB = re.compile(r"^ *(\t[ \t]*)[^#\s]")
_BARE = re.compile(r"[ \t]*(#.*)?")
_COLOUR = re.compile(r"[\[{,:\s](#[0-9a-fA-F]{3,8})(?![^\s,\]}])")
_QUOTED = re.compile("\"[^\"]*\"|'[^']*'")
_OPEN = re.compile(r"(^\s*|[:\-,]\s+|[\[,]\s*)\?(?=\s*(?:$|[,\]}])|\s+#)")
_WIDE_SPACE = re.compile("\"[^\"]*\"|'[^']*'|[\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]")
"""Spaces of other kinds, which YAML takes for letters; and texts in quotes, in which they may be meant."""
STAND_IN = "\ufff9"
"""What the parser gets for a plain ?, which means something else to it; no file may hold this character."""
_MOST = 20
_LONGEST_KEY = 1000
_LOST = "what follows # is a comment, and so the bracket is never closed"


def hidden(source: Source, problems: Problems) -> None:
    """Notes tabs before a line and characters that cannot be seen; at most twenty."""
    found = 0
    for number, line in enumerate(source.lines):
        tab = _TAB.match(line)
        if tab:
            problems.add("there is a tab here", source.place(number, tab.start(1)), "use spaces to indent")
            found += 1
        strange = HIDDEN.search(line)
        if strange:
            code = ord(strange.group())
            name = unicodedata.name(strange.group(), "control character").lower()
            problems.add(
                f"there is an invisible character here (U+{code:04X}, {name})",
                source.place(number, strange.start()),
                "delete it",
            )
            found += 1
        if found >= _MOST:
            return


def spaced(source: Source) -> str:
    """The text as the parser gets it, every character in its place: tabs in blank lines and before comments, which do
    no harm, are spaces; so are no-break spaces and the like outside quotes; a value that is ? alone stands in another
    sign."""
    lines = (line.replace("\t", " ") if _BARE.fullmatch(line) else line for line in source.lines)
    if any(not line.isascii() and _WIDE_SPACE.search(line) for line in source.lines):
        lines = (_WIDE_SPACE.sub(_plain_space, line) for line in lines)
    return "\n".join(_OPEN.sub(rf"\1{STAND_IN}", line) if "?" in line else line for line in lines)


def _plain_space(found: re.Match[str]) -> str:
    """A plain space for any other; a text in quotes as it is."""
    return found.group() if found.group()[0] in "\"'" else " "


def reason(source: Source, error: Any) -> Problem:
    """A parser's complaint in our own words, where it began."""
    mark = error.problem_mark or error.context_mark
    line = mark.line if mark else 0
    column = mark.column if mark else 0
    said = str(error.problem or "")
    context = str(error.context or "")
    opened = error.context_mark
    text = source.lines[line] if line < len(source.lines) else ""
    if "escape" in said or ("double-quoted scalar" in context and "expected" in said):
        fix = "use single quotes, in which a backslash is a backslash"
        return Problem("a backslash means something else inside double quotes", fix, source.place(line, column))
    if "quoted scalar" in context and opened is not None:
        place = source.place(opened.line, opened.column)
        return Problem("a quote is opened here and not closed properly", "put the same quote at the end", place)
    if "\\t" in said:
        return Problem("there is a tab here", "use spaces", source.place(line, column))
    if "flow" in context or "flow" in said:
        return _bracket(source, opened, line, column)
    if "mapping values" in said and column > _LONGEST_KEY:
        return Problem("this key is too long", "write a short key, then a colon", source.place(line, 0))
    if "mapping values" in said and not re.search(r":(\s|$)", text[:column]):
        return Problem(
            "this line does not line up with the lines above",
            "give every key of one group the same number of spaces before it",
            source.place(line, len(text) - len(text.lstrip())),
        )
    if "mapping values" in said:
        return Problem(
            "there is a second colon on this line",
            'one key to a line; put quotes round a text that holds a colon, as in "1:43"',
            source.place(line, column),
        )
    if "cannot start any token" in said:
        sign = text[column : column + 1]
        return Problem(f"a value cannot begin with {sign}", "put quotes round it", source.place(line, column))
    if "could not find expected ':'" in said or "simple key" in context:
        at = opened if opened is not None else mark
        return Problem("a key without its colon", "write key: value", source.place(at.line, at.column))
    if ("block" in said or "block" in context) and text[:column].strip(" -"):
        return Problem(
            "there is text after the end of a value",
            "put the whole text in one pair of quotes, or remove this",
            source.place(line, column),
        )
    if "block" in said or "block" in context or "indent" in said:
        return Problem(
            "this line does not line up with the lines above",
            "give every key of one group the same number of spaces before it",
            source.place(line, column),
        )
    return Problem(
        "this cannot be read as YAML", "put quotes round texts with signs in them", source.place(line, column)
    )


def _bracket(source: Source, opened: Any, line: int, column: int) -> Problem:
    """A bracket or brace that does not end, often because # cut the line short."""
    begin = opened.line if opened is not None else line
    ended = line >= len(source.lines) or not "".join((source.lines[line][column:], *source.lines[line + 1 :])).strip()
    for number in range(0 if ended else begin, min(line + 1, len(source.lines))):
        lost = _COLOUR.search(source.lines[number])
        if lost and _inside(source, number, lost.start(1)):
            place = source.place(number, lost.start(1), len(lost.group(1)))
            return Problem(_LOST, f'put quotes round it: "{lost.group(1)}"', place)
    if ended:
        spot = (begin, opened.column) if opened is not None and begin < line else _last_opened(source)
        return Problem("this bracket is never closed", "put ] or } where it ends", source.place(*spot))
    return Problem(
        "a comma or a closing bracket is missing before this",
        "separate by commas, and put quotes round texts with signs in them",
        source.place(line, column),
    )


def _inside(source: Source, line: int, column: int) -> bool:
    """Whether more brackets are opened than closed before a place, quotes and comments left aside."""
    before = [*source.lines[:line], source.lines[line][:column]]
    plain = "\n".join(re.sub(r"\s#.*", "", _QUOTED.sub("", text)) for text in before)
    return sum(map(plain.count, "[{")) > sum(map(plain.count, "]}"))


def _last_opened(source: Source) -> tuple[int, int]:
    """Where the last bracket or brace of the text stands."""
    spots = ((number, max(text.rfind("["), text.rfind("{"))) for number, text in enumerate(source.lines))
    return max((spot for spot in spots if spot[1] >= 0), default=(0, 0))
