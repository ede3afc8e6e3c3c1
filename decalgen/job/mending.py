"""What is wrong with a file, with the lines as they should read.

Only for files that cannot be read, and only then: lines are changed as they may have been meant (`decalgen.job.slips`,
`decalgen.job.indents`), one slip at a time, and the whole file is read again with each. A line is shown as the fix of a
mistake if with it that mistake is gone and none has come that is not told anyway. So nothing here has to be certain,
except that trying ends: by a count of lines read, never by a clock.

A text that is no YAML is told of one mistake at a time by its parser. With its line mended reading goes on behind it,
so that all the mistakes of a file are told in one run here too.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import chain, islice

from decalgen.core.errors import Place, Problem
from decalgen.core.values import dataclass
from decalgen.job.guesses import guesses, line_of
from decalgen.job.indents import Change, depth
from decalgen.job.nodes import Source
from decalgen.job.parser import parse
from decalgen.job.problems import Problems

_Key = tuple[str, int, str]
Judge = Callable[[str], Sequence[Problem]]
"""All that is wrong with the whole where a file has this text."""
MOST_READ = 200_000
"""So many characters may be read again, all trials together."""
MOST_SIZE = 60_000
"""A text of more characters is told in words alone."""
MOST_TRIALS = 150
"""So many guesses for one mistake."""
MOST_JUDGED = 12
MOST_AT_FIRST = 5
MOST_STOPS = 20
MOST_VALUES = 40
MOST_FURTHER = 4
_CHARACTERS = re.compile("there is a tab here|there is an invisible character")
_REFUSED = re.compile("an alias|an anchor|a tag|a second document")
"""What is refused whatever was meant, and told as that."""
_TABS = re.compile(r"^ *\t[ \t]*")


@dataclass(frozen=True)
class _Read:
    """A file read: its problems, and whether it could not even be read as YAML."""

    problems: tuple[Problem, ...]
    stopped: bool


@dataclass(frozen=True)
class _Text:
    """Lines, and which line of the file each stands for."""

    lines: tuple[str, ...]
    origin: tuple[int, ...]

    def __len__(self) -> int:
        """How many characters there are, about."""
        return sum(map(len, self.lines)) + len(self.lines)

    def changed(self, change: Change) -> _Text:
        """With some lines in place of others."""
        start, end = change.first, change.first + change.count
        old = self.origin[start:end]
        new = tuple(old[min(n, len(old) - 1)] for n in range(len(change.new)))
        return _Text(
            (*self.lines[:start], *change.new, *self.lines[end:]), (*self.origin[:start], *new, *self.origin[end:])
        )


def mended_files(
    problems: Sequence[Problem], judge: Callable[[dict[str, str]], Sequence[Problem]], known: dict[str, Source]
) -> tuple[Problem, ...]:
    """The problems of files that are read together, with the lines of each. ``judge``: all that is wrong where files,
    by their names as places show them, have other texts; ``known``: those that were read, by the same names."""
    done: dict[str, list[Problem]] = {}
    texts: dict[str, str] = {}
    rest = list(problems)
    while True:
        sources = [
            source for name in _files_of(rest) if name not in done and (source := _small(known.get(name))) is not None
        ]
        if not sources:
            break
        # What stops the reader hides or makes mistakes in others: first.
        source = next((one for one in sources if parse(one, Problems()) is None), sources[0])
        mender = _Mender(source, lambda text, file=source.name: judge({**texts, file: text}))  # type: ignore[misc]
        found = mender.run()
        texts[source.name] = mender.text
        done[source.name] = [one for one in found if one.place is not None and one.place.file == source.name]
        rest = [one for one in found if one.place is None or one.place.file not in done]
    order = _files_of(problems)
    order += [name for name in done if name not in order]
    whole = [*chain.from_iterable(done.values()), *rest]
    # What stops the reader comes first in its file, and so it stays: mend it, and more may be seen of the rest.
    return tuple(sorted(whole, key=lambda one: _rank(one, order)))


def _files_of(problems: Sequence[Problem]) -> list[str]:
    return list(dict.fromkeys(one.place.file for one in problems if one.place is not None))


def _small(source: Source | None) -> Source | None:
    """A file, unless it is too large to be read again and again."""
    return source if source is not None and sum(map(len, source.lines)) <= MOST_SIZE else None


def _rank(problem: Problem, order: Sequence[str]) -> int:
    """By file; what has no place last."""
    place = problem.place
    return order.index(place.file) if place is not None and place.file in order else len(order)


class _Mender:
    def __init__(self, source: Source, judge: Judge) -> None:
        self.name = source.name
        self.lines = source.lines
        self.judge = judge
        self.left = MOST_READ
        self.text = "\n".join(source.lines)
        """The text with all in it mended that stops the reader, once it has run."""

    def run(self) -> tuple[Problem, ...]:
        now = _Text(self.lines, tuple(range(len(self.lines))))
        read = self.read(now)
        found: list[Problem] = []
        while read is not None and read.stopped and len(found) < MOST_STOPS:
            problem = read.problems[0]
            best = self.tabbed(now, problem) or self.past(now, problem)
            if best is None:
                return (*found, *(self.told(one, now) for one in read.problems))
            changes, now, read = best
            found += [self.withline_of(problem, change, before, True) for change, before in changes]
        rest = read.problems if read is not None else ()
        self.text = "\n".join(now.lines)
        return (*found, *self.each(now, rest))

    # ----------------------------------------------------------------------------------------------- reading again
    def read(self, text: _Text) -> _Read | None:
        """What is wrong with a text; None where enough has been read."""
        stop = self.stop(text)
        if stop is None:
            self.left -= len(text)
            return _Read(tuple(self.judge("\n".join(text.lines))), False) if self.left > 0 else None
        return _Read(stop, True) if stop else None

    def stop(self, text: _Text) -> tuple[Problem, ...] | None:
        """Why a text is no YAML, what stops the reader first; None: it is YAML; nothing: enough has been read."""
        self.left -= len(text) // 2
        if self.left <= 0:
            return ()
        problems = Problems()
        node = parse(Source(self.name, text.lines), problems)
        if node is not None or not len(problems):
            return None
        noted = problems.noted()
        # The parser's complaint comes last; a look at the characters stops before the parser begins.
        return noted if _CHARACTERS.match(noted[0].message) else (noted[-1], *noted[:-1])

    # ------------------------------------------------------------------------------------------ texts that are no YAML
    def past(self, now: _Text, problem: Problem) -> tuple[list[tuple[Change, _Text]], _Text, _Read] | None:
        """The best change that brings the reader past a mistake."""
        line = line_of(problem)
        best: tuple[tuple[int, int, int], Change, _Text, _Read] | None = None
        judged = 0
        # Such are looked for before anything is read: what stops the reader next may be above them.
        seen_first = bool(_CHARACTERS.match(problem.message))
        for change in self.guesses(now, problem, True):
            new = now.changed(change)
            stop = self.stop(new)
            if stop == ():
                break
            if stop is None:
                read = self.read(new)
                if read is None:
                    break
                changed = range(change.first, change.first + len(change.new))
                # What is still wrong in the very lines that were changed speaks against the change.
                score = (0, sum(line_of(one) in changed for one in read.problems), len(read.problems))
                judged += 1
            else:
                first = line_of(stop[0])
                if self.key(problem, now) in {self.key(one, new) for one in stop}:
                    continue
                if first <= max(line, change.first + len(change.new) - 1) and not seen_first:
                    continue
                read, score = _Read(stop, True), (1, -first, 0)
            if best is None or score < best[0]:
                best = (score, change, new, read)
            if score == (0, 0, 0) or judged >= MOST_JUDGED:
                break
        return None if best is None else ([(best[1], now)], best[2], best[3])

    def tabbed(self, now: _Text, problem: Problem) -> tuple[list[tuple[Change, _Text]], _Text, _Read] | None:
        """Every tab before a line as the blanks it may stand for, the same number for all."""
        if not _TABS.match(now.lines[line_of(problem)]):
            return None
        best: tuple[tuple[bool, int], list[tuple[Change, _Text]], _Text, _Read] | None = None
        for width in (2, 4, 8, 3, 1, 0):
            changes: list[tuple[Change, _Text]] = []
            new = now
            for number, line in enumerate(now.lines):
                lead = _TABS.match(line)
                if lead and line.strip():
                    blanks = lead.group().replace("\t", " " * width)
                    change = Change(number, 1, (blanks + re.sub(r"[ \t]*\t[ \t]*", " ", line[lead.end() :]).rstrip(),))
                    changes.append((change, now))
                    new = new.changed(change)
            read = self.read(new)
            if read is None:
                break
            # Where something else stops the reader, lines that line up with their neighbours have to do.
            alone = sum(not _lines_up(new.lines, change.first) for change, _ in changes)
            score = (read.stopped, alone if read.stopped else len(read.problems))
            if best is None or score < best[0]:
                best = (score, changes, new, read)
            if score == (False, 0):
                break
        return best[1:] if best else None

    # ----------------------------------------------------------------------------------------------- mistakes in values
    def each(self, now: _Text, problems: Sequence[Problem]) -> list[Problem]:
        """Each problem of a text that can be read, with its line; those that go with another's are left out."""
        before = Counter(self.key(one, now) for one in problems)
        gone: Counter[_Key] = Counter()
        changes: dict[int, Change] = {}
        # The likeliest guesses for all first, so that hard cases do not use up what may be read.
        for start, stop in ((0, MOST_AT_FIRST), (MOST_AT_FIRST, MOST_TRIALS)):
            for number, problem in enumerate(problems[:MOST_VALUES]):
                key = self.key(problem, now)
                if number in changes or not self.ours(problem) or gone[key]:
                    continue
                change, vanished = self.for_value(now, problem, before, (start, stop))
                if change is not None:
                    changes[number] = change
                    gone += vanished - Counter([key])
        found = []
        for number, problem in enumerate(problems):
            key = self.key(problem, now)
            if number in changes:
                found.append(self.withline_of(problem, changes[number], now))
            elif gone[key]:
                gone[key] -= 1
            else:
                found.append(self.told(problem, now))
        return found

    def for_value(
        self, now: _Text, problem: Problem, before: Counter[_Key], which: tuple[int, int]
    ) -> tuple[Change | None, Counter[_Key]]:
        """The first of some guesses with which a mistake is gone and no other has come, and all that is gone with it;
        one soon after it that mends more in the same way, as quotes round more words, is better."""
        key = self.key(problem, now)
        best: tuple[Change | None, Counter[_Key]] = (None, Counter())
        further = MOST_FURTHER
        for change in islice(self.guesses(now, problem, False), *which):
            if best[0] is not None:
                further -= 1
                if further < 0 or change.said != best[0].said or change.first != best[0].first:
                    break
            new = now.changed(change)
            if self.stop(new) is not None:
                continue
            read = self.read(new)
            if read is None:
                break
            after = Counter(self.key(one, new) for one in read.problems)
            if after[key] < before[key] and not after - before and (before - after).total() > best[1].total():
                best = (change, before - after)
        return best

    def guesses(self, now: _Text, problem: Problem, stopped: bool) -> Iterator[Change]:
        """How the lines round a mistake may have been meant, each once, the likeliest first."""
        seen: set[tuple[int, int, tuple[str, ...]]] = set()
        count = 0
        for change in guesses(now.lines, problem, stopped):
            mark = (change.first, change.count, change.new)
            if mark in seen or change.new == now.lines[change.first : change.first + change.count]:
                continue
            seen.add(mark)
            count += 1
            if count > MOST_TRIALS:
                return
            yield change

    # ----------------------------------------------------------------------------------------------------- telling
    def ours(self, problem: Problem) -> bool:
        return problem.place is not None and problem.place.file == self.name

    def key(self, problem: Problem, text: _Text) -> _Key:
        place = problem.place
        if place is None:
            return ("", 0, problem.message)
        line = place.line - 1
        if place.file == self.name and line < len(text.origin):
            line = text.origin[line]
        return (place.file, line, problem.message)

    def told(self, problem: Problem, text: _Text) -> Problem:
        """A problem at its place in the file as it is."""
        place = problem.place
        if place is None or place.file != self.name or not place.line <= len(text.lines):
            return problem
        line = text.origin[place.line - 1]
        old, new = self.lines[line], text.lines[place.line - 1]
        column = place.column
        if old != new:
            same = next((n for n, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), min(len(old), len(new)))
            column = column if column - 1 <= same else max(same + 1, column + len(old) - len(new))
            column = min(column, len(old) + 1)
        return replace(problem, place=Place(place.file, line + 1, column, old, place.length))

    def withline_of(self, problem: Problem, change: Change, text: _Text, stopped: bool = False) -> Problem:
        """A problem with the lines that mend it, at the first of those."""
        place = self.told(problem, text).place
        first = text.origin[change.first]
        old = self.lines[first]
        if place is None or place.line != first + 1 or (stopped and change.said not in ("", problem.message)):
            new = change.new[0]
            column = next(
                (n for n, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), min(len(old), len(new))
            )
            place = Place(self.name, first + 1, column + 1, old)
        said = problem.message if _REFUSED.search(problem.message) else change.said or problem.message
        count = text.origin[change.first + change.count - 1] - first + 1
        line = "\n".join(change.new)
        fix = problem.fix if line.strip() else "delete this line"
        return replace(problem, message=said, fix=fix, place=place, line=line.rstrip(), lines=count)


def _lines_up(lines: Sequence[str], at: int) -> bool:
    """Whether a line begins where the one before or after it does."""
    near = [line for line in (*lines[max(0, at - 1) : at], *lines[at + 1 : at + 2]) if line.strip()]
    return any(depth(line) == depth(lines[at]) for line in near)
