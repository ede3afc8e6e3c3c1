"""What can go wrong, and how it is said.

The tree, with the exit code each one gives the command line::

    DecalgenError                1  something could not be done
    ├── GateError                1  film would be spent on a size that is not proven
    ├── JobError                 2  mistakes in a job, layout, film or printer file (all of them at once)
    ├── InputError               3  a file or folder that cannot be read: missing, a folder, too large, not text
    ├── OutputError              4  a result that cannot be written: read-only, full, a folder in the way
    ├── FitError                 5  a decal that goes on no film, an obstacle that leaves no room
    ├── FilmError                6  film, printer and decal do not go together (this could ruin a fuser or a sheet)
    └── PrintingError            8  a printer that cannot be reached, or would not print a file as it is

    Interrupted                130  stopped by the user; nothing half-written is left

Interrupted stands outside the tree, beside Python's own KeyboardInterrupt: a part that takes an error of the tree and
tells it as a mistake in a file must not take it.

``check`` ends with 7 when it found errors, ``format --check`` when a file is not laid out evenly. A wrong word on the
command line gives 64.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field
from typing import Literal

from decalgen.core.values import dataclass
from decalgen.core.visible import visible

EXIT_FINDINGS = 7
EXIT_USAGE = 64
LONGEST_LINE = 160

Severity = Literal["error", "warning", "note"]
Area = tuple[float, float, float, float]
"""A rectangle by its left, lower, right and upper side, mm, in the coordinates of the decal's artwork."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where in a file something stands: line and column count from 1, ``text`` is that whole line."""

    file: str
    line: int
    column: int
    text: str = ""
    length: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake in a file: what is wrong, where, and what to do about it in words.

    ``line`` is the whole line as it should read, ready to put in place of the one that stands there, where that can be
    told; it may be several, in place of ``lines`` of the file."""

    message: str
    fix: str = ""
    place: Place | None = None
    line: str = ""
    lines: int = 1

    def __str__(self) -> str:
        return render(self.message, self.line or self.fix, self.place)


@dataclass(frozen=True, slots=True)
class Finding:
    """What a check found. ``code`` is short and stable; ``subject`` names the decal, panel, ink or sheet.

    ``measured`` and ``limit`` are in ``unit``, where the rule measures something. ``areas`` are where on the decal it
    lies; findings that differ in nothing else are one, so that both hands of a pair are told once.

    In ``fix`` what can be written into the job file as it stands is in backticks, a key with its value, or several that
    belong together: `cut: panel`, `compensate: yes, least gap: 0.2 mm`; a list holds what the job names there already.
    'in place of `backing`' says which key then goes. Each such line, written alone, mends the finding and gives none
    that is as grave.
    """

    severity: Severity
    code: str
    subject: str
    message: str
    fix: str = ""
    place: Place | None = None
    measured: float | None = None
    limit: float | None = None
    unit: str = "mm"
    areas: tuple[Area, ...] = field(default=(), compare=False)

    def __str__(self) -> str:
        head = f"{self.severity} {self.code}: {self.subject}: {self.message}"
        return render(head, self.fix, self.place)


def in_a_sentence(found: DecalgenError | Problem | Finding) -> str:
    """What is wrong and what to do about it, in one line, without the place."""
    return f"{found.message}: {found.fix}" if found.fix else found.message


def render(message: str, fix: str = "", place: Place | None = None) -> str:
    """``file:line:column: what``, then the line, a caret below it, and ``fix: …``."""
    rows = [visible(f"{place}: {message}" if place else message)]
    if place and place.text.strip():
        text, column = _excerpt(place.text.replace("\t", " "), place.column)
        end = column - 1 + max(1, place.length)
        # What is escaped is wider than it was, and the caret with it.
        lead, spot, rest = (visible(part) for part in (text[: column - 1], text[column - 1 : end], text[end:]))
        rows += [f"    {(lead + spot + rest).rstrip()}", f"    {' ' * len(lead)}{'^' * max(1, len(spot))}"]
    if fix:
        lead = "    fix: " if place else "fix: "
        rows += [visible(f"{lead if not n else ' ' * len(lead)}{row}") for n, row in enumerate(fix.split("\n"))]
    return "\n".join(rows)


def _excerpt(text: str, column: int) -> tuple[str, int]:
    """The part of a very long line round a column, and the column in it."""
    if len(text) <= LONGEST_LINE:
        return text, column
    start = max(0, min(column - 1 - LONGEST_LINE // 2, len(text) - LONGEST_LINE))
    cut = text[start : start + LONGEST_LINE]
    return (f"...{cut}", column - start + 3) if start else (cut, column)


class DecalgenError(Exception):
    """The base of every error a user can meet: a message, a fix, and, where there is one, a place."""

    exit_code = 1
    next_step = ""
    """What to type next, ready to paste, where more is known than the fix says."""

    def __init__(self, message: str, *, fix: str = "", place: Place | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.fix = fix
        self.place = place

    def __str__(self) -> str:
        return render(self.message, self.fix, self.place)


class JobError(DecalgenError):
    """All the mistakes found in one run over a job file and what it includes."""

    exit_code = 2

    def __init__(self, problems: Sequence[Problem]) -> None:
        first = problems[0]
        super().__init__(first.message, fix=first.fix, place=first.place)
        self.problems = tuple(problems)

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


class InputError(DecalgenError):
    """A file or folder that cannot be read."""

    exit_code = 3


class OutputError(DecalgenError):
    """A result that cannot be written; what stood there before is untouched."""

    exit_code = 4


class FitError(DecalgenError):
    """Something is too large for where it has to go."""

    exit_code = 5


class FilmError(DecalgenError):
    """Film, printer and decal do not go together."""

    exit_code = 6


class PrintingError(DecalgenError):
    """A printer that cannot be reached, or that would not print a file as it is."""

    exit_code = 8


class GateError(DecalgenError):
    """Film would be spent on a size that is not proven."""


class Interrupted(BaseException):
    """Stopped by the user. No error: nothing but the very top takes it."""

    exit_code = 130


def did_you_mean(word: str, known: Sequence[str], otherwise: str | None = None) -> str:
    """The nearest known word, as ``did you mean 'width'?``, or ``otherwise``: without it, the list of what is known."""
    from difflib import get_close_matches

    near = get_close_matches(word.lower(), [name.lower() for name in known], n=1, cutoff=0.6)
    if near:
        match = next(name for name in known if name.lower() == near[0])
        return f"did you mean '{match}'?"
    if otherwise is not None:
        return otherwise
    if not known:
        return "there is nothing to choose from"
    return "use one of: " + ", ".join(sorted(known))
