"""How the lines round a mistake may have been meant, the likeliest first."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import chain

from decalgen.core.errors import Problem
from decalgen.job.indents import Change, apart, depth, items, shifts
from decalgen.job.quoting import READING, STOPPING
from decalgen.job.slips import no_dash, numbers
from decalgen.job.written import scalar

LONGEST = 1000
"""In longer lines no slip is looked for."""
MOST_NEAR = 6
_FLAGS = {"y": "yes", "1": "yes", "j": "yes", "ja": "yes", "n": "no", "0": "no", "nein": "no"}
_MEANT = re.compile(r"did you mean '(.+?)'\?")
_WORDS = re.compile(r"(?:write(?: a full stop:)? |put quotes round it: )(\S*\d[^;,]*?|mm|in|cm|\".*\")(?:; or .*)?$")


def guesses(lines: tuple[str, ...], problem: Problem, stopped: bool) -> Iterator[Change]:
    """All guesses: what the fix says in words; then each slip in the line itself, the one before, and those that open
    brackets round it; then where they stand."""
    at, spot = line_of(problem), problem.place.column - 1 if problem.place else 0
    if at >= len(lines):
        return
    above = next((n for n in range(at - 1, -1, -1) if lines[n].strip()), None)
    near = [at, *([above] if above is not None else [])]
    near += [*_open_lines(lines, at), *_last_lines(lines, at)] if stopped else []
    near = [number for number in dict.fromkeys(near) if len(lines[number]) <= LONGEST][:MOST_NEAR]
    if at not in near:
        return
    if "comma inside a number" in problem.message:
        yield from (Change(at, 1, (new,), said) for new, said in numbers(lines[at], spot))
    for new in _by_words(lines[at], problem):
        yield Change(at, 1, (new,))
    for slip in STOPPING if stopped else READING:
        for number in near:
            for new, said in slip(lines[number], spot if number == at else len(lines[number])):
                yield Change(number, 1, (new,), said)
    below = next((n for n in range(at + 1, len(lines)) if lines[n].strip()), None)
    blocks = [number for number in (at, above, below) if number is not None]
    yield from chain.from_iterable(how(lines, number) for number in blocks for how in (apart, shifts, items))
    for number in near[:2]:
        yield from (Change(number, 1, (new,), said) for new, said in no_dash(lines[number], 0))


def line_of(problem: Problem) -> int:
    """The line that a problem is told at, from 0."""
    return problem.place.line - 1 if problem.place else 0


def _by_words(line: str, problem: Problem) -> Iterator[str]:
    """The line with what the fix says in place of what is marked: of names that are only alike, none; a reading that
    is still to be taken where there is no value."""
    if problem.place is None:
        return
    start = problem.place.column - 1
    end = start + problem.place.length
    marked = line[start:end]
    meant = _MEANT.match(problem.fix)
    if meant and _same_name(meant[1], marked):
        yield line[:start] + scalar(meant[1], flow=True) + line[end:]
    if problem.message.endswith("neither yes nor no") and marked.casefold() in _FLAGS:
        yield line[:start] + _FLAGS[marked.casefold()] + line[end:]
    if problem.message.endswith("has no value") and marked == ":":
        yield line[:end] + " ?" + line[end:]
    found = None if "whole number" in problem.message else _WORDS.match(problem.fix)
    for word in (found[1], found[1].strip("\"'"), f'"{found[1]}"') if found else ():
        yield line[:start] + word + line[end:]


def _same_name(one: str, other: str) -> bool:
    """Whether two ways to write a name differ in nothing but case, signs, spaces and the order of words."""
    words = [re.findall(r"[^\W_]+", re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).casefold()) for name in (one, other)]
    return "".join(words[0]) == "".join(words[1]) or sorted(words[0]) == sorted(words[1])


def _open_lines(lines: Sequence[str], at: int) -> list[int]:
    """The lines above that open a bracket which is not closed before a line, the nearest first."""
    found = []
    closed = 0
    for number in range(at - 1, max(-1, at - 40), -1):
        line = lines[number]
        opens = line.count("[") + line.count("{")
        closes = line.count("]") + line.count("}")
        if opens > closes:
            found.append(number)
        closed += closes - opens
        if depth(line) == 0 and opens <= closes and line.strip():
            break
    return found


def _last_lines(lines: Sequence[str], at: int) -> list[int]:
    """The last line of what is deeper than a line, where a bracket that it opens may have to be closed."""
    end = at
    for number in range(at + 1, min(len(lines), at + 40)):
        if lines[number].strip() and depth(lines[number]) <= depth(lines[at]):
            break
        end = number if lines[number].strip() else end
    return [end] if end > at else []
