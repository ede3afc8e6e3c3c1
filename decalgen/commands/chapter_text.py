"""A chapter of the handbook as plain text for a terminal, 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap

from decalgen.pages.handbook.parts import (
    BookCode,
    BookHeading,
    BookList,
    BookPart,
    BookPicture,
    BookTable,
    BookText,
    Prose,
)

WIDE = 80
LEAST_COLUMN = 12
"""A table whose columns would be narrower is written row by row."""
BETWEEN = 2


def chapter_lines(parts: Sequence[BookPart], wide: int = WIDE) -> list[str]:
    """The chapter in lines; one empty line between its parts."""
    lines: list[str] = []
    for part in parts:
        new = list(_part(part, wide))
        if new:
            lines += [*([""] if lines else []), *new]
    return lines


def _part(part: BookPart, wide: int) -> Iterator[str]:
    match part:
        case BookHeading():
            yield part.text.upper() if part.level == 1 else part.text
            yield ("=" if part.level == 1 else "-") * len(part.text)
        case BookText():
            yield from _prose(part.prose, wide)
        case BookList():
            yield from _list(part, wide)
        case BookCode():
            yield from (f"    {line}".rstrip() for line in part.text.split("\n"))
        case BookTable():
            yield from _table(part, wide)
        case BookPicture():
            # A terminal shows no pictures; the printed handbook does.
            if part.caption:
                yield from wrap(f"(Picture: {part.caption})", wide)


def _said(prose: Prose) -> str:
    """Prose as text: code between backticks, the rest as it is."""
    return "".join(f"`{words.text}`" if words.code else words.text for words in prose)


def _prose(prose: Prose, wide: int) -> list[str]:
    return [line for text in _said(prose).split("\n") for line in wrap(text, wide, break_on_hyphens=False) or [""]]


def _list(part: BookList, wide: int) -> Iterator[str]:
    for number, item in enumerate(part.items, 1):
        mark = f"{number}. " if part.numbered else "- "
        for n, line in enumerate(chapter_lines(item, wide - len(mark))):
            yield ((mark if n == 0 else " " * len(mark)) + line).rstrip()


def _table(table: BookTable, wide: int) -> Iterator[str]:
    """Columns side by side where they are wide enough to read, else row by row."""
    head = [_said(cell) for cell in table.head]
    rows = [[_said(cell).replace("\n", "; ") for cell in row] for row in table.rows]
    widths = _widths([head, *rows], wide)
    if widths is None:
        yield from _row_by_row(head, rows, wide)
        return
    for n, row in enumerate([head, *rows]):
        cells = [wrap(cell, width, break_on_hyphens=False) or [""] for cell, width in zip(row, widths, strict=True)]
        for k in range(max(len(cell) for cell in cells)):
            texts = [cell[k] if k < len(cell) else "" for cell in cells]
            yield (" " * BETWEEN).join(f"{text:<{width}}" for text, width in zip(texts, widths, strict=True)).rstrip()
        if n == 0:
            yield (" " * BETWEEN).join("-" * width for width in widths)


def _widths(rows: Sequence[Sequence[str]], wide: int) -> list[int] | None:
    """The width of each column: as wide as its longest cell, the widest made narrower until all fit; None where a
    column would be too narrow to read or for its longest word."""
    longest = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    words = [max(len(word) for row in rows for word in (row[n].split() or [""])) for n in range(len(rows[0]))]
    room = wide - BETWEEN * (len(longest) - 1)
    widths = list(longest)
    while sum(widths) > room:
        n = max(range(len(widths)), key=lambda i: (widths[i], -i))
        widths[n] -= 1
    enough = all(
        width >= min(long, max(LEAST_COLUMN, word)) for width, long, word in zip(widths, longest, words, strict=True)
    )
    return widths if enough else None


def _row_by_row(head: Sequence[str], rows: Sequence[Sequence[str]], wide: int) -> Iterator[str]:
    for n, row in enumerate(rows):
        if n:
            yield ""
        yield from wrap(row[0], wide, break_on_hyphens=False)
        for name, cell in zip(head[1:], row[1:], strict=True):
            if cell:
                yield from wrap(f"{name}: {cell}", wide, initial_indent="  ", subsequent_indent="    ")
