"""Readings of the target typed one span after the other: each is checked at once and kept on disk until they are used.

The file is one that `calibrate read` takes as it is: a span a line. A span without readings was left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from decalgen.commands.calibrate_printer import (
    LARGEST,
    CalibrationRequest,
    asked_spans,
    base_of,
    check_request,
    typed_rows,
)
from decalgen.core.errors import DecalgenError, OutputError
from decalgen.core.files import write_files
from decalgen.core.instruments import Instrument, line_instrument
from decalgen.core.names import slug
from decalgen.core.small_files import Wanted, read_small_text
from decalgen.core.values import dataclass
from decalgen.printer.slips import check_span
from decalgen.printer.target import SPANS, Target, span_named
from decalgen.printer.typed_lengths import readings
from decalgen.workshop.profiles import folder

WRITE = "write one span per line, such as across foot: 119.62 119.58"


@dataclass(frozen=True)
class TypedReadings:
    """What is typed for one target: where it is kept, the target, and the instrument."""

    path: Path
    target: Target
    tool: Instrument

    @property
    def head(self) -> str:
        """The first line of the file: which target the readings are of."""
        return (
            f"# Readings of a target of {self.target.width:g} × {self.target.height:g} mm with a {self.tool.name}, "
            "kept while they are typed"
        )

    def taken_up(self) -> dict[str, str]:
        """What was typed before, as it was typed, by span. Raises OutputError where the file is of something else."""
        if not self.path.exists():
            return {}
        text = read_small_text(self.path, LARGEST, Wanted(WRITE))
        if text.partition("\n")[0].strip() != self.head:
            raise OutputError(
                f"'{self.path}' holds readings of another target",
                fix=f'move it away, or use it: decalgen calibrate read "{self.path}"',
            )
        found: dict[str, str] = {}
        for row, _ in typed_rows(self.path, WRITE):
            span, colon, words = row.split("#", 1)[0].partition(":")
            try:
                # What was mended by hand since and is no longer right is asked for again.
                name = span_named(span) if colon else ""
                if name:
                    self.check(name, words, found)
                    found[name] = words.strip()
            except DecalgenError:
                continue
        return found

    def check(self, span: str, words: str, others: Mapping[str, str]) -> list[float]:
        """The readings that the words hold. Raises CalibrationError where they cannot be of this span, or do not go
        with each other or with those of the ``others`` that come before it."""
        values = readings(words)
        before = SPANS[: SPANS.index(span)]
        known = {name: readings(text) for name, text in others.items() if name in before and text}
        check_span(span, values, known, self.target, self.tool)
        return values

    def keep(self, typed: Mapping[str, str]) -> None:
        """Writes what is typed so far. Raises OutputError."""
        rows = [self.head, *(f"{span}: {typed[span]}".rstrip() for span in SPANS if span in typed)]
        write_files({self.path: ("\n".join(rows) + "\n").encode("utf-8")})

    def used(self) -> None:
        """Takes the file away: its readings are in a calibration."""
        self.path.unlink(missing_ok=True)


def typed_readings(wanted: CalibrationRequest) -> TypedReadings:
    """Where the readings for a calibration are typed. Raises, before anything is typed, whatever is wrong with what is
    wanted: CalibrationError, OutputError, FilmError, InputError, InstrumentError."""
    check_request(wanted)
    target = asked_spans(base_of(wanted.printer, wanted.keep), wanted.film, wanted.tool)
    if wanted.output is not None:
        path = wanted.output.with_suffix(".readings.txt")
    else:
        stem = slug(f"{wanted.keep} {wanted.film} {wanted.tray} {wanted.feed}")
        path = folder().parent / "readings" / f"{stem}.txt"
    return TypedReadings(path, target, line_instrument(wanted.tool))
