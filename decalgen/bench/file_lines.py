"""The lines of the file that say a decal, with those marked that the last step changed. Pure."""

from __future__ import annotations

from typing import Any

from decalgen.bench.desk import Desk
from decalgen.job.model import Decal

MOST_LINES = 80


def decal_lines(desk: Desk, decal: Decal) -> list[dict[str, Any]]:
    """The lines of the file that say it, from its name on; ``new``: the last step wrote it."""
    if decal.place is None or decal.place.file != str(desk.path):
        return []
    lines = desk.text.splitlines()
    first = decal.place.line - 1
    if first >= len(lines):
        return []
    depth = len(lines[first]) - len(lines[first].lstrip())
    found = [first]
    for number in range(first + 1, min(len(lines), first + MOST_LINES)):
        text = lines[number]
        if text.strip() and len(text) - len(text.lstrip()) <= depth:
            break
        found.append(number)
    while found and not lines[found[-1]].strip():
        found.pop()
    new = changed_lines(desk)
    return [{"line": number + 1, "text": lines[number], "new": number in new} for number in found]


def changed_lines(desk: Desk) -> range:
    """The lines, from 0, that the last step wrote anything into; none before the first step."""
    last = desk.history.done[-1] if desk.history.done else None
    if last is None or last.file:
        return range(0)
    start, inserted = last.start, last.inserted
    # A line that was put between two may begin as the one after it does.
    while not last.removed and "\n" in inserted[:-1] and start and inserted[-1] == desk.text[start - 1] != "\n":
        start, inserted = start - 1, inserted[-1] + inserted[:-1]
    # A line that was added begins with the end of the one before it.
    end = start + len(inserted.rstrip("\r\n "))
    start += len(inserted) - len(inserted.lstrip("\r\n"))
    first = desk.text.count("\n", 0, start)
    return range(first, max(first, desk.text.count("\n", 0, end)) + 1)
