"""What the colour commands of `calibrate` do: the swatch sheet of some jobs' inks, its readings into a printer file."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from decalgen.colour.printer import PrinterColour
from decalgen.colour.readings import apply_readings, reading_named
from decalgen.colour.value import ColourError
from decalgen.commands.calibrate_printer import typed_rows
from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.swatch_sheets import job_inks, swatch_printer
from decalgen.core.command_line import typed as command
from decalgen.core.errors import OutputError, Place
from decalgen.core.files import write_files
from decalgen.core.values import dataclass
from decalgen.job.colours import printer_colour
from decalgen.job.model import Printer
from decalgen.job.printer_text import printer_text
from decalgen.workshop.profiles import profile_file


@dataclass(frozen=True)
class SwatchScans:
    """Scans of the sheets of swatches, and the film that they were printed on."""

    paths: tuple[Path, ...]
    film: str


def read_swatches(
    readings: Path | None,
    jobs: Sequence[Path],
    printer_file: str | None,
    date: str,
    output: Path,
    scans: SwatchScans | None = None,
) -> Result:
    """The printer file with what was read off its swatches, typed in a file or in ``scans``. Never overwrites: raises
    OutputError; ColourError for a reading that cannot be right, with its line."""
    _check_output(printer_file, output)
    typed, places = _typed(readings, {ink.name for ink in job_inks(jobs)}) if readings else ({}, {})
    try:
        if scans is None:
            return keep_swatches(typed, jobs, printer_file, date, output)
        return _keep_scanned(typed, jobs, printer_file, date, output, scans)
    except ColourError as error:
        # A reading is named at the head of its message.
        named = (place for name, place in places.items() if error.message.startswith((f"{name}:", f"'{name}'")))
        raise ColourError(error.message, fix=error.fix, place=error.place or next(named, None)) from None


def _keep_scanned(
    typed: Mapping[str, str | float],
    jobs: Sequence[Path],
    printer_file: str | None,
    date: str,
    output: Path,
    scans: SwatchScans,
) -> Result:
    """The same with what the scans show beside what is typed; the file says which is which."""
    from decalgen.commands.page_scans import page_picture
    from decalgen.commands.scanned_swatches import scanned_swatches

    pictures = [page_picture(path) for path in scans.paths]
    found = scanned_swatches(pictures, jobs, printer_file, scans.film, typed)
    source = (
        f"Read from a scan: {', '.join(found.readings)}; colours ± {found.off:.0f} (CIEDE2000), "
        "for a scanner is not a colorimeter."
    )
    result = keep_swatches({**found.readings, **typed}, jobs, printer_file, date, output, (source,))
    return replace(result, lines=(*found.lines, *result.lines))


def _check_output(printer_file: str | None, output: Path) -> Printer:
    """The printer, if its new file may be written. Raises OutputError."""
    if output.exists():
        raise OutputError(f"'{output}' already exists", fix="keep old printer files: choose a name with today's date")
    printer = swatch_printer(printer_file)
    beside = profile_file(printer_file, printer).resolve().parent if printer.profile else output.resolve().parent
    if output.resolve().parent != beside:
        raise OutputError(
            f"the profile '{printer.profile}' would not be beside '{output}'",
            fix=f"write the new file into the folder '{beside}'",
        )
    return printer


def keep_swatches(
    typed: Mapping[str, str | float],
    jobs: Sequence[Path],
    printer_file: str | None,
    date: str,
    output: Path,
    more: Sequence[str] = (),
) -> Result:
    """The same from readings by their names: a colour as typed, a size in mm; ``more``: what the file is to say of
    them. Raises OutputError, and ColourError that begins with the name of the reading."""
    printer = _check_output(printer_file, output)
    if not typed:
        raise ColourError("there is no reading", fix="read a patch, such as darkest: lab(9 0 0)")
    before = printer_colour(printer)
    after = apply_readings(before, typed, job_inks(jobs))
    new = replace(printer, swatches=after, misregister=after.misregister if "choke" in typed else printer.misregister)
    head = f"{printer.name}, with its swatch readings of {date or 'on an unknown date'}: {len(typed)} readings."
    text = printer_text(new, (head, *more))
    files = write_files({output: text.encode("utf-8")})
    follow = command(["decalgen", "check", *jobs, "--printer", output])
    answer = Answer(f"kept {len(typed)} readings", follow, (FileGroup("the printer with its colours", files),))
    return Result(files, lines=tuple(_changes(before, after)), answer=answer)


def _changes(before: PrinterColour, after: PrinterColour) -> list[str]:
    rows = []
    for key, words, unit in (
        ("floor", "darkest patch, Y", ""),
        ("opacity", "opacity of white", ""),
        ("misregister", "misregister", " mm"),
        ("smallest_line", "smallest line", " mm"),
        ("smallest_gap", "smallest gap", " mm"),
        ("smallest_caps", "smallest capitals", " mm"),
        ("smallest_caps_reversed", "smallest capitals, reversed", " mm"),
    ):
        old, new = getattr(before, key), getattr(after, key)
        if old != new:
            rows.append(f"{words}: {new:.3g}{unit}" + (f", was {old:.3g}{unit}" if old is not None else ""))
    known = dict(before.patches)
    rows += [f"{name}: prints as {colour.hex}" for name, colour in after.patches if known.get(name) != colour]
    return rows


def _typed(path: Path, inks: Collection[str]) -> tuple[dict[str, str | float], dict[str, Place]]:
    """Readings from a text file: `name: value` a line; # starts a note where no colour does."""
    typed: dict[str, str | float] = {}
    places: dict[str, Place] = {}
    for row, place in typed_rows(path, "write one reading per line"):
        if not row.strip() or row.lstrip().startswith("#"):
            continue
        name, colon, value = row.partition(":")
        name, value = reading_named(name, inks), value.strip().split(" # ", 1)[0].strip()
        if not colon or not value:
            raise ColourError(f"'{row.strip()[:60]}' is not a reading", fix="write 'darkest: lab(9 0 0)'", place=place)
        if name in typed:
            raise ColourError(f"'{name}' is read twice", fix="keep one of them, or their mean", place=place)
        typed[name], places[name] = value.strip("\"'"), place
    if not typed:
        raise ColourError(f"there is no reading in '{path}'", fix="write 'darkest: lab(9 0 0)', one reading per line")
    return typed, places
