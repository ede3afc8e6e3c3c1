"""The record of a sheet that was printed on film: from what, onto what, where, and what was said. Pure: to text and
back. JSON, readable, with a checksum over all of it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import field
from typing import Any

from decalgen.colour.inks import FilmKind
from decalgen.core.digests import digest_of
from decalgen.core.errors import InputError
from decalgen.core.kept import Form, plain, read_kept, value_of, write_kept
from decalgen.core.values import dataclass
from decalgen.job.model import Cutter, Film
from decalgen.sheet.positions import Position

AGAIN = "print from the jobs with `decalgen sheet`, or take the record from a copy"
RECORD_ENDING = ".record.json"
"""Ends the name of every file of a record."""
FORM = Form("decalgen record", 2, 2, "a complete record", AGAIN)
"""The first form had a checksum instead of a seal, and did not say which of its files was what."""
CANCELLED = "cancelled"
"""What came of a sheet that was sent, where nothing was printed."""


@dataclass(frozen=True)
class JobText:
    """A job as it was: its name, the digest it had, and its files by name, the job file first. Of its pictures and
    fonts only the SHA-256 is kept, by name: they are large, or not ours to hand on, and lie beside the job."""

    name: str
    digest: str
    files: tuple[tuple[str, str], ...]
    pictures: tuple[tuple[str, str], ...] = ()
    faces: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class PrinterText:
    """A printer as it prints on one film: the text of its file; the correction as exact numbers, because text rounds
    them; its ICC profile."""

    film: str
    text: str
    exact: tuple[tuple[str, float], ...]
    profile: str = ""
    """The ICC profile's bytes in base 64; empty: none."""


@dataclass(frozen=True)
class SheetCrosses:
    """The distance of two registration marks on a sheet of the print, cross to cross, mm. ``axis``: 'x' across the
    sheet, 'y' up it; ``which``: the two that are meant."""

    sheet: int
    axis: str
    which: str
    length: float


@dataclass(frozen=True)
class SentSheet:
    """A sheet of the print as it was sent to a printer: the file and the SHA-256 of its bytes; the printer, what tells
    it from others, its address; the job's number and name there; the settings asked for and those it kept; what came
    of it. ``of``: the SHA-256 of the sheet's own file where it was sent turned, else empty."""

    sheet: int
    file: str
    sha256: str
    printer: str
    uuid: str
    address: str
    job: str
    name: str
    asked: tuple[tuple[str, str], ...]
    kept: tuple[tuple[str, str], ...]
    outcome: str
    of: str = ""

    @property
    def words(self) -> str:
        """Where it went, and what came of it."""
        number = f"job {self.job}, " if self.job else ""
        return f"to '{self.printer}', {number}{self.outcome}"

    @property
    def perhaps_printed(self) -> bool:
        """Whether anything can have come out."""
        return self.outcome != CANCELLED


@dataclass(frozen=True)
class Record:
    """All that is needed to print the same sheets again without nesting, and what was known of them."""

    versions: tuple[tuple[str, str], ...]
    jobs: tuple[JobText, ...]
    films: tuple[Film, ...]
    printers: tuple[PrinterText, ...]
    """One for each of the films."""
    variant: str | None
    hands: str
    gap: float
    seed: int
    effort: str
    layout: str
    positions: tuple[Position, ...]
    complete: bool
    plates: bool
    press: bool
    dpi: float
    files: tuple[tuple[str, str], ...]
    """What was written: the name, and the SHA-256 of its bytes."""
    findings: tuple[str, ...]
    proof: str
    """The verdict of the proof; empty: there was none."""
    measured: tuple[str, ...]
    """What was measured of it, and what was said of that."""
    without_proof: str
    """Why it was printed all the same; empty: it was proven, or for a print shop."""
    outputs: tuple[str, ...] = ()
    """The names of the print as asked for, one a form; none in older records."""
    cut: tuple[str, ...] = ()
    """The names of its cutting files as asked for."""
    cut_alone: tuple[str, ...] = ()
    """The names of those with the cut lines alone."""
    cutter: Cutter | None = None
    """The cutting machine they were corrected for; None: none."""
    film_colours: tuple[tuple[FilmKind, str], ...] = ()
    """The measured colours of the films that its inks were reckoned for, by kind; older records: those of its films."""
    film_opacity: float | None = None
    """The opacity of the white film that they were reckoned for; None: opaque, as in older records."""
    printed: Mapping[str, str] = field(default_factory=dict)
    """The fingerprint of all that is printed, by its parts, as the proof gate reckons it; none in older records."""
    crosses: tuple[SheetCrosses, ...] | None = None
    """What to measure on its film; None: older records, whose film carries check bars instead."""
    letters: Mapping[str, str] = field(default_factory=dict)
    """The letter of each job on its film, by the job's name, where it holds several."""
    sent: tuple[SentSheet, ...] = ()
    """What printers got of it, in the order it was sent."""


def write_record(record: Record) -> bytes:
    """The record's text."""
    return write_kept(FORM, {**plain(record), "versions": dict(record.versions)})


def mark_of(record: Record) -> str:
    """Eight figures that tell this record from others, whatever was sent of it."""
    return digest_of(record, ("sent",))[:8]


def read_record(text: str, shown: str) -> Record:
    """A record from its text; ``shown`` names it in messages. Raises InputError for what is damaged or edited."""
    version, data = read_kept(text, FORM, shown)
    if version == 1 and data.pop("checksum", None) != _first_checksum(data):
        raise InputError(f"'{shown}' was changed since decalgen wrote it", fix=AGAIN)
    try:
        if version == 1:
            data["printers"] = [{**one, "exact": [_of_now(*row) for row in one["exact"]]} for one in data["printers"]]
        data["versions"] = [list(item) for item in data["versions"].items()]
        found: Record = value_of(Record, data, "the record")
    except (KeyError, TypeError, ValueError, AttributeError):
        raise InputError(f"'{shown}' is not a complete record", fix=AGAIN) from None
    return found


def _of_now(name: str, value: float) -> list[object]:
    """A number of a printer by its name now: the first form called its lean shear."""
    return ["lean" if name == "shear" else name, value]


def _first_checksum(data: Mapping[str, Any]) -> str:
    """What the first form was checked by."""
    text = json.dumps(data, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
