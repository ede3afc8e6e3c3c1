"""What the calibration commands do: the target for a film, readings from a file, the corrected printer file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from decalgen.build import Result, save
from decalgen.calibration import (
    INSTRUMENTS,
    SPANS,
    Calibration,
    CalibrationError,
    Instrument,
    Target,
    calibrate,
    diagnose,
    target,
)
from decalgen.errors import InputError, OutputError, Place, did_you_mean
from decalgen.film_area import check_film, printable
from decalgen.job.loader import load_film, load_printer
from decalgen.job.model import Film, Printer
from decalgen.job.printer_text import printer_text
from decalgen.writing import write_files

LARGEST = 100_000
"""No file of readings is larger, bytes."""


def instrument(name: str) -> Instrument:
    """The instrument of that name. Raises CalibrationError."""
    if name not in INSTRUMENTS:
        raise CalibrationError(f"there is no instrument '{name}'", fix=did_you_mean(name, list(INSTRUMENTS)))
    return INSTRUMENTS[name]


def print_target(printer_file: str | None, film: str, tool: str, output: Path) -> Result:
    """Writes the target for a film and a printer, uncorrected. Raises FilmError, CalibrationError, OutputError."""
    from decalgen.targets import target_page

    printer, sheet, asked = _setting(printer_file, film, tool)
    area = printable(sheet, printer).bounds
    document = target_page(asked, sheet.width, sheet.height, area, f"{printer.name}, {sheet.name}")
    rows = [f"{span}: asked {asked.asked(span):.2f} mm" for span in SPANS]
    return Result(save(document, output), lines=tuple(rows))


def asked_spans(printer_file: str | None, film: str, tool: str) -> Target:
    """The target that `print_target` draws for the same words."""
    return _setting(printer_file, film, tool)[2]


def read_target(
    readings: Mapping[str, Sequence[float]], printer_file: str | None, film: str, tool: str, date: str, output: Path
) -> Result:
    """The printer file with the correction that the readings give. Never overwrites: raises OutputError."""
    printer, sheet, asked = _setting(printer_file, film, tool)
    if output.exists():
        raise OutputError(f"'{output}' is there already", fix="keep old calibrations: choose a name with today's date")
    found = calibrate(readings, asked, instrument(tool))
    text = _printer_text(printer, sheet, found, tool, date)
    return Result(write_files({output: text.encode("utf-8")}), found.findings, tuple(_said(found)))


def typed_rows(path: Path, write: str) -> list[tuple[str, Place]]:
    """The lines of a file that a person types readings into, each with its place; ``write`` says what stands in one.

    Raises InputError for what is no such file.
    """
    try:
        if not path.is_file():
            raise InputError(f"there is no file '{path}'", fix="check the name and the folder")
        if path.stat().st_size > LARGEST:
            raise InputError(f"'{path}' is too large for a file of readings", fix=write)
        rows = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"'{path}' cannot be read as text: {error}", fix="save it as plain text, UTF-8") from None
    return [(row, Place(str(path), number, 1, row)) for number, row in enumerate(rows, start=1)]


def read_readings(path: Path) -> dict[str, list[float]]:
    """Readings from a text file: a span a line, `across foot: 119.62 119.58 119.60`; # starts a note.

    Raises InputError, CalibrationError with the line.
    """
    found: dict[str, list[float]] = {}
    for row, place in typed_rows(path, "write a span a line"):
        kept = row.split("#", 1)[0].strip()
        if not kept:
            continue
        span, colon, values = kept.partition(":")
        if not colon or span.strip() not in SPANS:
            raise CalibrationError(
                f"'{span.strip()}' is no span", fix=did_you_mean(span.strip(), list(SPANS)), place=place
            )
        found.setdefault(span.strip(), []).extend(numbers(values, place))
    return found


def numbers(text: str, place: Place | None = None) -> list[float]:
    """Readings in mm from words such as '99.85 99.90 mm'. Raises CalibrationError for a comma or another unit."""
    if "," in text:
        raise CalibrationError("a comma stands inside a reading", fix="write a full stop: 99.85", place=place)
    found = []
    for word in text.replace("mm", " ").split():
        try:
            found.append(float(word))
        except ValueError:
            raise CalibrationError(
                f"'{word}' is no reading in mm", fix="write numbers in mm, such as 99.85", place=place
            ) from None
    return found


def _setting(printer_file: str | None, film: str, tool: str) -> tuple[Printer, Film, Target]:
    printer = load_printer(printer_file) if printer_file else Printer()
    sheet = load_film(film, printer.process)
    check_film(sheet, printer)
    x0, y0, x1, y1 = printable(sheet, printer).bounds
    return printer, sheet, target(x1 - x0, y1 - y0, instrument(tool))


def _said(found: Calibration) -> list[str]:
    rows = [
        f"across: {found.x.value:.5f} of what was asked ± {found.x.expanded:.5f} (k = 2)",
        f"up: {found.y.value:.5f} of what was asked ± {found.y.expanded:.5f} (k = 2)",
        f"bow: {found.bow_x:+.2f} mm across, {found.bow_y:+.2f} mm up (told, not corrected)",
        f"a decal of 40 mm then comes out right within ± {found.size_error(40):.3f} mm",
    ]
    if found.shear is not None:
        lean, doubt = found.shear.value * 100, found.shear.expanded * 100
        rows.insert(2, f"shear: {lean:+.3f} ± {doubt:.3f} mm in 100 mm, corrected")
    cause = diagnose(found.x.value, found.y.value)
    if cause:
        rows.append(f"this looks as if {cause[0]}: {cause[1]}, then print and measure the target again")
    return rows


def _printer_text(printer: Printer, sheet: Film, found: Calibration, tool: str, date: str) -> str:
    notes = (
        f"Printer profile for {printer.name} with {sheet.name}: this film, this tray, this way round only.",
        f"Calibrated {date or 'on a date not told'} from {found.readings} readings with a {tool}.",
        f"Printed over asked: {found.x.value:.5f} ± {found.x.expanded:.5f} across, "
        f"{found.y.value:.5f} ± {found.y.expanded:.5f} up (k = 2).",
    )
    x, y, shear = found.correction
    return printer_text(replace(printer, scale_x=x, scale_y=y, shear=shear), notes)
