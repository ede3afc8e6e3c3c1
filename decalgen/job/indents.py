"""Lines that stand too far to the left or right, dashes that are missing, and two keys on one line: how a block of a
file may have been meant. Guesses, as in `decalgen.job.slips`, over several lines."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from decalgen.core.values import dataclass

MOST_COLUMNS = 6
MOST_LINES = 60
"""A block of more lines is not moved: nobody looks through so long a fix."""
_AWRY = "this line does not line up with the lines above"
_TIGHTLY = "an item begins with a dash and a space"
_TIGHT = re.compile("^( *)[-\u2010-\u2015\u2212\u2022\u00b7*](?=[^\\s-])")
_DASH = re.compile(r"^( *)- +(?=\S)")
_TWO_KEYS = re.compile(r"^(\s*)((?:- +)*)([^:#\"'\[\]{},]+: +[^:\[\]{}\"']+?),?\s+([^\W\d][^:,\s]*(?: [^:,\s]+)?: .*)$")


@dataclass(frozen=True)
class Change:
    """Lines that stand in place of ``count`` lines from ``first`` on, and what is wrong with those; '' for what the
    reader says."""

    first: int
    count: int
    new: tuple[str, ...]
    said: str = ""


def shifts(lines: Sequence[str], at: int) -> Iterator[Change]:
    """A line, with all that belongs under it or alone, at the columns of its neighbours."""
    here = depth(lines[at])
    deep = _below(lines, at)
    for column in _columns(lines, at):
        if column == here:
            continue
        one = " " * column + lines[at].lstrip()
        yield Change(at, 1, (one,), _AWRY)
        if 1 < deep <= MOST_LINES:
            yield Change(at, deep, _moved(lines[at : at + deep], column - here), _AWRY)


def items(lines: Sequence[str], at: int) -> Iterator[Change]:
    """A dash before a line, as before those of its neighbours; and what belongs under an item moved under it."""
    here, deep = depth(lines[at]), min(_below(lines, at), MOST_LINES)
    said = "an item of a list begins with a dash"
    end = at
    while end < len(lines) and _TIGHT.match(lines[end]):
        end += 1
    if end > at + 1:
        yield Change(at, end - at, tuple(_TIGHT.sub(r"\1- ", line) for line in lines[at:end]), _TIGHTLY)
    if not _DASH.match(lines[at]) and lines[at].strip():
        columns = {len(found[1]) for line in lines[:at] if (found := _DASH.match(line))}
        for column in sorted(columns, key=lambda one: abs(one - here))[:3]:
            moved = _moved(lines[at : at + deep], column + 2 - here)
            yield Change(at, deep, (" " * column + "- " + moved[0].lstrip(), *moved[1:]), said)
        yield from _all_items(lines, at)
    found = _DASH.match(lines[at])
    if found:
        start, end = at + 1, at + 1
        while end < len(lines) and (not lines[end].strip() or depth(lines[end]) >= len(found[1]) + 2):
            end += 1
        end = _without_blanks(lines, start, end)
        if start < end <= start + MOST_LINES:
            yield Change(start, end - start, _moved(lines[start:end], 2), "this belongs under the line above")
            first = re.sub(r"^( *)- +", r"\1- ", lines[at])
            yield Change(at, end - at, (first, *_moved(lines[start:end], 2)), "this belongs under its shape")


def _all_items(lines: Sequence[str], at: int) -> Iterator[Change]:
    """A dash before every line of the group that a line is in."""
    here = depth(lines[at])
    start, end = at, at + 1
    while start and (not lines[start - 1].strip() or depth(lines[start - 1]) >= here):
        start -= 1
    while end < len(lines) and (not lines[end].strip() or depth(lines[end]) >= here):
        end += 1
    start, end = _with_text(lines, start), _without_blanks(lines, start, end)
    if not 1 < end - start <= MOST_LINES:
        return
    new = []
    for line in lines[start:end]:
        plain = bool(line.strip()) and depth(line) == here and not _DASH.match(line)
        whole = bool(line.strip()) and not _DASH.match(line)
        new.append(" " * here + "- " + line.lstrip() if plain else "  " + line if whole else line)
    yield Change(start, end - start, tuple(new), "an item of a list begins with a dash")


def apart(lines: Sequence[str], at: int) -> Iterator[Change]:
    """Two keys of one line on two lines, and keys after a shape's colon in braces."""
    found = _TWO_KEYS.match(lines[at])
    if found:
        lead = found[1] + " " * len(found[2])
        yield Change(at, 1, (found[1] + found[2] + found[3].rstrip(", "), lead + found[4]), "one key to a line")
    words = re.match(r"^(\s*(?:- +)*)([^:#]+:)\s+([^:#\[\]{}]+: .*)$", lines[at])
    if words:
        yield Change(at, 1, (f"{words[1]}{words[2]} {{{words[3].rstrip()}}}",), "keys on the same line need braces")


def depth(line: str) -> int:
    """How many blanks a line begins with."""
    return len(line) - len(line.lstrip())


def _columns(lines: Sequence[str], at: int) -> list[int]:
    """Where a line may begin: with what stands next to it, under it, and with all above it, the nearest first."""
    found: list[int] = []
    after = next((line for line in lines[at + 1 :] if line.strip()), "")
    above = [line for line in reversed(lines[:at]) if line.strip() and not line.lstrip().startswith("#")]
    before = above[0] if above else ""
    dash = _DASH.match(before)
    if after and before and depth(after) == depth(before):
        found.append(depth(before))
    if before.rstrip().endswith(":"):
        found += [depth(after)] if depth(after) > depth(before) else []
        found += [dash.end() + 2] if dash else [depth(before) + 2]
    found += [depth(before), *([dash.end()] if dash else []), depth(after)]
    least = depth(before)
    for line in above:
        if depth(line) < least:
            least = depth(line)
            found.append(least)
    return list(dict.fromkeys(found))[:MOST_COLUMNS]


def _below(lines: Sequence[str], at: int) -> int:
    """How many lines a line takes with all that is deeper than it."""
    end = at + 1
    while end < len(lines) and (not lines[end].strip() or depth(lines[end]) > depth(lines[at])):
        end += 1
    return _without_blanks(lines, at + 1, end) - at


def _without_blanks(lines: Sequence[str], start: int, end: int) -> int:
    while end > start and not lines[end - 1].strip():
        end -= 1
    return end


def _with_text(lines: Sequence[str], start: int) -> int:
    while start < len(lines) and not lines[start].strip():
        start += 1
    return start


def _moved(lines: Sequence[str], by: int) -> tuple[str, ...]:
    return tuple((" " * max(0, depth(line) + by) + line.lstrip()) if line.strip() else line for line in lines)
