"""A result as rows for the terminal: errors first, then warnings, then the lines, the files by purpose, the summary."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from decalgen.core.visible import visible

if TYPE_CHECKING:
    from decalgen.cli.detail import Detail
    from decalgen.commands.options import Result
    from decalgen.core.errors import Finding, Severity

NAMED = 3
"""So many files of a purpose are named in the short answer."""
TWO_ROWS = 160
"""So many characters fill two rows of a terminal of 80 columns."""
_ASIDE = re.compile(r" \([^()`]*\)")
NARROWEST = 40
"""In a narrower window rows are left to the terminal."""
INDENT = "    "
ELLIPSIS = "..."
TIED = "\N{NO-BREAK SPACE}"


class AnswerRow(NamedTuple):
    """A row, or several; ``severity`` is shown in colour as well, ``whole`` is never broken: it may be pasted."""

    text: str
    severity: Severity | None = None
    whole: bool = False


def rows(result: Result, detail: Detail = "short") -> Iterator[AnswerRow]:
    """What is shown of a result. The summary line is always the last, and never broken."""
    from decalgen.commands.summary import in_order, short_findings, summary, whole_lines

    folded = detail == "short" and _is_folded(result)
    for one in in_order(result.findings) if detail == "whole" else short_findings(result.answer, result.findings):
        if detail == "whole" or one.severity == "error":
            yield AnswerRow(str(one), one.severity)
        elif detail == "short":
            yield AnswerRow(in_one_line(one), one.severity)
    if detail != "errors":
        for line in whole_lines(result) if detail == "whole" else result.lines:
            yield AnswerRow(visible(line))
        yield from _files(result, detail)
    yield AnswerRow(visible(summary(result, "details: -v" if folded else "")), whole=True)


def _is_folded(result: Result) -> bool:
    """Whether the short answer leaves something out that -v shows."""
    from decalgen.commands.summary import short_findings

    answer = result.answer
    long = any(len(paths) > NAMED for _, paths in _groups(result))
    cut = any(one.severity == "warning" and _is_cut(one) for one in short_findings(answer, result.findings))
    return long or cut or bool(answer.whole) or any(one.severity == "note" for one in result.findings)


def in_one_line(one: Finding) -> str:
    """A finding with its place and its fix, without the line of the file; one longer than two rows without asides in
    brackets and with the first of the ways to mend it alone."""
    place = f"{one.place.file}:{one.place.line}: " if one.place else ""
    head = f"{place}{one.severity} {one.code}: {one.subject}: "
    fix = f"; fix: {one.fix}" if one.fix else ""
    line = f"{head}{one.message}{fix}"
    if len(line) > TWO_ROWS:
        line = head + _ASIDE.sub("", one.message) + _ASIDE.sub("", fix).partition(", or ")[0]
    return visible(line)


def _is_cut(one: Finding) -> bool:
    """Whether its line does not say all of it."""
    return not in_one_line(one).endswith(visible(f"{one.message}{f'; fix: {one.fix}' if one.fix else ''}"))


def _groups(result: Result) -> list[tuple[str, Sequence[Path]]]:
    """Every file once, by purpose; what has none comes last."""
    grouped = [(group.purpose, group.paths) for group in result.answer.groups if group.paths]
    known = {path for _, paths in grouped for path in paths}
    rest = tuple(path for path in result.files if path not in known)
    return [*grouped, *([("wrote", rest)] if rest else [])]


def _files(result: Result, detail: Detail) -> Iterator[AnswerRow]:
    for purpose, paths in _groups(result):
        shown = [visible(str(path)) for path in (paths if detail == "whole" else paths[:NAMED])]
        more = len(paths) - len(shown)
        if detail == "whole" and len(shown) > 1:
            yield AnswerRow("\n".join((f"{purpose}:", *(f"  {name}" for name in shown))), whole=True)
        else:
            yield AnswerRow(f"{purpose}: {', '.join(shown)}{f' and {more} more' if more else ''}")


def wrapped(text: str, columns: int | None) -> str:
    """Rows broken between words for a window of so many columns, the rest of each set in; None: as they are.

    A number stays with its uncertainty and unit, and what is in backticks, to be typed, in one piece. A line of a file
    with carets below it is cut to the part round them.
    """
    if columns is None or columns < NARROWEST:
        return text
    broken: list[str] = []
    given = text.split("\n")
    for n, row in enumerate(given):
        below = given[n + 1] if n + 1 < len(given) else ""
        if _points(below):
            broken += _cut(row, below, columns)
        elif not _points(row):
            lead = row[: len(row) - len(row.lstrip())]
            bound = re.sub(r"(?<=\d) (?=±|mm\b|cm²|%)|(?<=±) ", TIED, row)
            bound = re.sub(r"`[^`]*`", lambda found: found[0].replace(" ", TIED), bound)
            parts = textwrap.wrap(
                bound, columns, subsequent_indent=lead + INDENT, break_long_words=False, break_on_hyphens=False
            )
            broken += [part.replace(TIED, " ") for part in parts] or [""]
    return "\n".join(broken)


def _points(row: str) -> bool:
    """Whether a row is one of carets below a line of a file."""
    return bool(row.strip()) and not row.strip(" ^")


def _cut(row: str, carets: str, columns: int) -> tuple[str, str]:
    """A line of a file, set in, and the carets below it, in a window."""
    if len(row) <= columns:
        return row, carets
    body, at, count = row[len(INDENT) :], carets.index("^") - len(INDENT), carets.count("^")
    room = columns - len(INDENT) - 2 * len(ELLIPSIS)
    start = max(0, min(at - room // 3, len(body) - room))
    lead, tail = (ELLIPSIS if start else ""), (ELLIPSIS if start + room < len(body) else "")
    seen = body[start : start + room]
    below = " " * (len(lead) + at - start) + "^" * max(1, min(count, start + room - at))
    return f"{INDENT}{lead}{seen}{tail}", f"{INDENT}{below}"
