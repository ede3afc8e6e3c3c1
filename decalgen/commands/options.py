"""What commands are asked and what they answer: options, the files a sheet is to give, results."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.core.errors import Finding, Severity
from decalgen.core.files import make_folder, write_files
from decalgen.core.values import dataclass

if TYPE_CHECKING:
    from decalgen.core.document import Document
    from decalgen.nesting import Progress, Remnant

DRAWER = "drawer"
"""The word that asks for film out of the drawer; a sheet's name or number after it asks for that sheet."""
Watch = Callable[["Progress"], "bool | None"]


@dataclass(frozen=True)
class Options:
    """What the commands share. ``films``: files or words such as 'white A5', 'drawer' or a sheet of it such as
    'drawer white A5 1'; none: A5 of each kind.
    ``leave``: what to keep of the film, 'rectangle' or 'strip'. ``press``: for a print shop."""

    films: tuple[str, ...] = ()
    printer: str | None = None
    variant: str | None = None
    hands: str = "both"
    gap: float | None = None
    effort: str = "normal"
    seed: int | None = None
    leave: Remnant = "rectangle"
    press: bool = False


def of_drawer(words: str) -> bool:
    """Whether words for film mean the drawer, or a sheet of it."""
    return words.split()[:1] == [DRAWER]


def from_drawer(films: Sequence[str]) -> bool:
    """Whether any of the films asked for is of the drawer."""
    return any(map(of_drawer, films))


def sheets_named(films: Sequence[str]) -> tuple[str, ...]:
    """The sheets of the drawer that are asked for, by name or number; none where any of it will do."""
    return tuple(" ".join(one.split()[1:]) for one in films if of_drawer(one) and one.split()[1:])


@dataclass(frozen=True)
class SheetFiles:
    """What a sheet is to give. ``nest_again``: do not take the proof's positions. ``plates``: also each ink alone,
    white and artwork apart where the printer has white. ``press``: for a print shop. ``cut``: cutting files,
    ``cut_alone``: the same without bleed and marks, both corrected by the file ``cutter``. ``dpi``: of pictures of
    dots."""

    outputs: tuple[Path, ...]
    nest_again: bool = False
    plates: bool = False
    press: bool = False
    cut: tuple[Path, ...] = ()
    cut_alone: tuple[Path, ...] = ()
    cutter: Path | None = None
    dpi: float = 300.0
    to_print: bool = False
    """Whether a printer gets it: then each sheet is a PDF file of its own."""
    without_proof: str | None = None
    """Why film is spent on a size that is not proven; None: it is not."""
    work_card: Path | None = None
    """Where the work card of each sheet goes, one PDF for all; None: none is made."""


@dataclass(frozen=True)
class FileGroup:
    """Files that serve one purpose, as a person reads it: 'print on plain paper'."""

    purpose: str
    paths: tuple[Path, ...]


@dataclass(frozen=True)
class PrintFile:
    """A PDF file of pages of one size, mm, as a printer gets it. ``sheet``: which one of the print, 0: a proof;
    ``tray``, ``paper_type``: those of the printer's kept profile; ``margins``: the edges that it counts as bare, left,
    right, bottom, top, mm; ``document``: what the file is made from, for a printer that takes it only turned."""

    path: Path
    width: float
    height: float
    sheet: int = 0
    tray: str = ""
    paper_type: str = ""
    margins: tuple[float, float, float, float] | None = None
    document: Document | None = None
    film: str = ""
    """What to load for it; empty: plain paper."""


@dataclass(frozen=True)
class Answer:
    """How a result is answered: the summary line's words, and what the short answer leaves out.

    ``done``: what was done, such as 'checked 4 jobs'; ``next``: what to type or do next, the command last. ``groups``:
    the files by purpose, the one to open first before all. ``whole``: the lines of the whole answer, where they differ
    from those of the short one; ``brief``: the findings as the short answer shows them, None: all as they are.
    ``also``: the severity of each thing that is counted and is no finding here, such as a warning that the check
    shows."""

    done: str = ""
    next: str = ""
    groups: tuple[FileGroup, ...] = ()
    whole: tuple[str, ...] = ()
    brief: tuple[Finding, ...] | None = None
    also: tuple[Severity, ...] = ()


@dataclass(frozen=True)
class Result:
    """The files written, what was found on the way, and what to say."""

    files: tuple[Path, ...]
    findings: tuple[Finding, ...] = ()
    lines: tuple[str, ...] = field(default=())
    answer: Answer = Answer()


@dataclass(frozen=True)
class Made:
    """The bytes of each file, what was found on the way, and what to say; nothing is on the disk until `write`."""

    files: Mapping[Path, bytes] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    lines: tuple[str, ...] = ()
    answer: Answer = Answer()
    prints: tuple[PrintFile, ...] = ()
    """What a printer gets, where that was asked for."""
    record: Path | None = None
    """The record that keeps what a printer got."""

    def write(self) -> Result:
        """Writes all files, or none of them. Raises OutputError."""
        for folder in dict.fromkeys(path.parent for path in self.files):
            make_folder(folder)
        return Result(write_files(self.files), self.findings, self.lines, self.answer)
