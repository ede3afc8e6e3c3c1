"""What `calibrate print` and `read` do: the target for a film, its readings into a printer file or a kept profile."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.rendering import save
from decalgen.core.command_line import typed as command
from decalgen.core.document import Document
from decalgen.core.errors import Finding, OutputError, Place
from decalgen.core.files import write_files
from decalgen.core.geometry import Bounds
from decalgen.core.instruments import LINE_TOOLS, Instrument, line_instrument
from decalgen.core.small_files import Wanted, read_small, read_small_text
from decalgen.core.values import dataclass
from decalgen.job.calibrated import is_day
from decalgen.job.films import load_film
from decalgen.job.model import Film, Printer
from decalgen.job.printer_text import printer_text
from decalgen.printer.calibration import Calibration, calibrate
from decalgen.printer.causes import PrintedPage, causes
from decalgen.printer.causes import told as told_causes
from decalgen.printer.history import FEEDS, Dated, History, Setting, in_order, told
from decalgen.printer.target import SPANS, CalibrationError, Target, span_label, span_named, target
from decalgen.printer.typed_lengths import readings as typed
from decalgen.sheet.film_area import check_film, printable
from decalgen.workshop.profiles import file_for, fits, is_file, kept, matching, printer_named, profile_file

LARGEST = 100_000
MOST_PROFILE_BYTES = 33_554_432
"""No file of readings is larger, bytes."""


def print_target(printer_file: str | None, film: str, tool: str, output: Path) -> Result:
    """Writes the target for a film and a printer, uncorrected. Raises FilmError, CalibrationError, OutputError."""
    printer, sheet, asked = _setting(printer_file, film, tool)
    document = target_document(printer_file, film, tool)
    rows = [f"{span_label(span)}: asked {asked.asked(span):.2f} mm" for span in SPANS]
    words = ["decalgen", "calibrate", "read", *(["--printer", printer_file] if printer_file else []), "--film", film]
    words += ["--with", tool] if tool != "caliper" else []
    words += ["--feed", FEEDS[1]] if sheet.width > sheet.height else []
    read = f"{command([*words, '--keep', printer.name])} --date ____-__-__"
    files = save(document, output)
    answer = Answer(
        f"made the target, {len(SPANS)} spans",
        f"print it on the film at 100 %, measure it, then run: {read}",
        (FileGroup("print on film at 100 %", files),),
        tuple(rows),
    )
    return Result(files, lines=(), answer=answer)


def target_document(printer_file: str | None, film: str, tool: str) -> Document:
    """The target itself. Raises FilmError, CalibrationError."""
    from decalgen.pages.calibration_target import target_page

    printer, sheet, _ = _setting(printer_file, film, tool)
    return target_page(*target_size(printer_file, film, tool), f"{printer.name}, {sheet.name}")


def target_size(printer_file: str | None, film: str, tool: str) -> tuple[Target, float, float, Bounds]:
    """The target, the width and height of its sheet, and the printable area that it lies in the middle of, mm. Raises
    FilmError, CalibrationError."""
    printer, sheet, asked = _setting(printer_file, film, tool)
    x0, y0, x1, y1 = printable(sheet, printer).bounds
    return asked, sheet.width, sheet.height, (x0, y0, x1, y1)


def asked_spans(printer_file: str | None, film: str, tool: str) -> Target:
    """The target that `print_target` draws for the same words."""
    return _setting(printer_file, film, tool)[2]


@dataclass(frozen=True)
class CalibrationRequest:
    """What a reading of the target is for: the printer (file or words) and film it was printed with, the instrument,
    the day; and where the result goes: a file, or the profile of that name with its tray and way of feeding; ``paper``:
    the type of paper that the printer was set to, by its own word; ``by``: what the readings were made with, where
    that is not the instrument that the target was printed for."""

    printer: str | None
    film: str
    tool: str
    date: str = ""
    output: Path | None = None
    keep: str | None = None
    tray: str = ""
    feed: str = FEEDS[0]
    paper: str = ""
    by: str = ""

    @property
    def instrument(self) -> Instrument:
        """What the readings were made with. Raises InstrumentError."""
        return line_instrument(self.by or self.tool)


def check_request(wanted: CalibrationRequest) -> None:
    """Raises, before a reading is looked at, what is wrong with the rest: CalibrationError for the day, the name, the
    tray or a missing place, InstrumentError, OutputError for a file that is there or would part from its profile, and
    InputError or FilmError for printer and film."""
    if not wanted.date:
        raise CalibrationError(
            "the day of this calibration is missing", fix="add it: --date 2026-11-25 (the day the target was printed)"
        )
    if not is_day(wanted.date):
        raise CalibrationError(
            f"'{wanted.date[:40]}' is not a date", fix="write year, month and day: --date 2026-11-25"
        )
    if wanted.keep is None and wanted.output is None:
        raise CalibrationError("nothing says where the result goes", fix="add --keep with a name, or -o with a file")
    output = wanted.output
    if output is not None and wanted.keep is None and output.exists():
        raise OutputError(f"'{output}' already exists", fix="keep old calibrations: choose a name with today's date")
    printer, sheet, _ = _setting(base_of(wanted.printer, wanted.keep), wanted.film, wanted.tool)
    _for(sheet, wanted)
    if wanted.keep is not None:
        name = " ".join(wanted.keep.split())
        if not name or len(name) > 60 or "," in name or is_file(name) or any(ord(c) < 32 for c in name):
            raise CalibrationError(
                f"'{name[:60]}' cannot name a printer",
                fix='use up to 60 letters, digits and spaces, without a comma or slash, such as --keep "kitchen '
                'inkjet"',
            )
    elif (
        output is not None
        and printer.profile
        and output.resolve().parent != profile_file(wanted.printer, printer).resolve().parent
    ):
        raise OutputError(
            f"the profile '{printer.profile}' would not be beside '{output}'",
            fix=f"write the new file into the folder of '{wanted.printer}'",
        )


def read_target(readings: Mapping[str, Sequence[float]], wanted: CalibrationRequest) -> Result:
    """The calibration that the readings give, into a new printer file or a kept profile.

    A printer file is never overwritten, a profile keeps its earlier calibrations. Raises CalibrationError for readings
    that cannot be right or a day that is none, OutputError, InputError.
    """
    check_request(wanted)
    if wanted.keep is not None or wanted.output is None:
        return _kept(readings, wanted, wanted.keep or "")
    output = wanted.output
    tool = wanted.instrument
    printer, sheet, found, taken = _from_readings(readings, wanted, wanted.printer)
    notes = (
        f"Printer profile for {printer.name} with {sheet.name}: this film, this tray, this way round only.",
        f"Calibrated {wanted.date} from {found.readings} readings with a {tool.name}.",
        f"Printed over asked: {found.x.value:.5f} ± {found.x.expanded:.5f} across, "
        f"{found.y.value:.5f} ± {found.y.expanded:.5f} up (k = 2).",
    )
    history = History(_for(sheet, wanted), (Dated.of(found, wanted.date, tool.name),))
    text = printer_text(replace(printer, history=history), notes)
    files = write_files({output: text.encode("utf-8")})
    return Result(files, _findings(found, sheet, printer), (*taken, *_said(found)), _calibrated(output, wanted, files))


def tried_target(readings: Mapping[str, Sequence[float]], wanted: CalibrationRequest) -> Result:
    """What `read_target` would say of some readings so far; nothing is kept. Raises as it does."""
    named = wanted.printer if wanted.keep is None else base_of(wanted.printer, wanted.keep)
    printer, sheet, found, taken = _from_readings(readings, wanted, named)
    return Result((), _findings(found, sheet, printer), (*taken, *_said(found)))


def _calibrated(printer: object, wanted: CalibrationRequest, files: tuple[Path, ...]) -> Answer:
    """``printer``: what it is named by from now on."""
    follow = f"decalgen proof JOB {command(['--printer', printer, '--film', wanted.film])}"
    return Answer("calibrated", follow, (FileGroup("the corrected printer", files),))


def _from_readings(
    readings: Mapping[str, Sequence[float]], wanted: CalibrationRequest, named: str | None
) -> tuple[Printer, Film, Calibration, list[str]]:
    """Printer, film, calibration, and a line where the readings are of the target for another instrument: a rule
    measures a caliper's target too. Raises CalibrationError; where the instrument does not reach so far it names the
    one that the target is for."""
    printer, sheet, asked = _setting(named, wanted.film, wanted.tool)
    tool = wanted.instrument
    try:
        return printer, sheet, calibrate(readings, asked, tool), []
    except CalibrationError as error:
        for other in LINE_TOOLS:
            made = _setting(named, wanted.film, other)[2]
            found = _tried(readings, made, tool) if made != asked else None
            if found is None:
                continue
            if max(made.asked(span) for span in readings) > tool.reach:
                fix = f'these are lengths of the target for a {other}: add --with "{other}"'
                raise CalibrationError(error.message, fix=fix) from None
            size = f"{made.width:g} \N{MULTIPLICATION SIGN} {made.height:g} mm"
            return printer, sheet, found, [f"read as the target printed for a {other}, of {size}"]
        raise


def _tried(readings: Mapping[str, Sequence[float]], asked: Target, tool: Instrument) -> Calibration | None:
    try:
        return calibrate(readings, asked, tool)
    except CalibrationError:
        return None


def _kept(readings: Mapping[str, Sequence[float]], wanted: CalibrationRequest, name: str) -> Result:
    name = " ".join(name.split())
    tool = wanted.instrument
    known = [one for one in kept() if one.printer.name.casefold() == name.casefold()]
    base = base_of(wanted.printer, name)
    printer, sheet, found, taken = _from_readings(readings, wanted, base)
    setting = _for(sheet, wanted)
    path = file_for(name, setting)
    before = next((one for one in known if one.path == path), None)
    old = before.printer.history if before and before.printer.history else History()
    dated = Dated.of(found, wanted.date, tool.name)
    if any(_same(dated, one) for one in old.calibrations):
        raise CalibrationError(
            f"these readings of {dated.date} are already kept", fix="no action needed; or correct the date"
        )
    held = replace(before.setting, paper_type=setting.paper_type or before.setting.paper_type) if before else setting
    history = History(held, in_order((*old.calibrations, dated)), old.bars)
    files: dict[Path, bytes] = {}
    if printer.profile and before is None:
        # The ICC profile moves in beside the new file, which names it.
        source = profile_file(wanted.printer, printer)
        copy = path.with_suffix(".icc")
        files[copy] = read_small(source, MOST_PROFILE_BYTES, Wanted("name an ICC profile"))
        printer = replace(printer, profile=copy.name)
    elif before is not None:
        printer = replace(printer, profile=before.printer.profile, swatches=before.printer.swatches)
    name = before.printer.name if before else name
    notes = (
        f"Printer profile for {name}: {setting}. Kept by `decalgen calibrate`.",
        "It holds for this film, this tray and this way round only.",
    )
    files[path] = printer_text(replace(printer, name=name, history=history), notes).encode("utf-8")
    rows = [*taken, *_said(found)]
    ordered = history.calibrations
    if dated is not history.newest:
        rows.append(f"the newer calibration of {ordered[-1].date} stays in use")
    here = ordered.index(dated)
    if here:
        rows.append(f"since {ordered[here - 1].date}: {told(ordered[here - 1], dated)}")
    if held.paper_type:
        rows.append(f"paper type, which --to asks for: {held.paper_type}")
    rows.append(f'print with it: --printer "{name}" --film "{wanted.film}"')
    written = write_files(files)
    return Result(written, _findings(found, sheet, printer), tuple(rows), _calibrated(name, wanted, written))


def _same(one: Dated, other: Dated) -> bool:
    """Whether two calibrations are of the same readings; a file holds eight decimals of them."""
    apart = max(abs(one.x.value - other.x.value), abs(one.y.value - other.y.value))
    return (one.date, one.readings, one.tool) == (other.date, other.readings, other.tool) and apart < 1e-7


def base_of(printer: str | None, keep: str | None) -> str | None:
    """The printer that readings start from: the one given, or the one kept under that name; None: any."""
    if printer or keep is None:
        return printer
    name = " ".join(keep.split())
    return next((one.printer.name for one in kept() if one.printer.name.casefold() == name.casefold()), None)


def _for(sheet: Film, wanted: CalibrationRequest) -> Setting:
    tray = " ".join(wanted.tray.split())
    if len(tray) > 60 or "," in tray or any(ord(c) < 32 for c in tray):
        raise CalibrationError(f"'{tray[:60]}' cannot name a tray", fix="use up to 60 letters, digits and spaces")
    paper = paper_word(wanted.paper)
    return Setting(sheet.name, sheet.kind, sheet.width, sheet.height, sheet.adhesive, tray, wanted.feed, paper)


def paper_word(typed: str) -> str:
    """A printer's own word for a type of paper. Raises CalibrationError for what is none."""
    paper = " ".join(typed.split())
    if len(paper) > 60 or any(ord(c) < 32 for c in paper):
        raise CalibrationError(
            f"'{paper[:60]}' cannot name a paper type", fix="use the printer's own word, such as transparency"
        )
    return paper


def kept_paper(wanted: CalibrationRequest) -> str:
    """The type of paper that the profile a calibration goes into has already; '' where it has none."""
    name = " ".join((wanted.keep or "").split())
    _, sheet, _ = _setting(base_of(wanted.printer, name), wanted.film, wanted.tool)
    path = file_for(name, _for(sheet, wanted))
    return next((one.setting.paper_type for one in kept() if one.path == path), "")


def typed_rows(path: Path, write: str) -> list[tuple[str, Place]]:
    """The lines of a file that a person types readings into, each with its place; ``write`` says what stands in one.

    Raises InputError for what is no such file.
    """
    rows = read_small_text(path, LARGEST, Wanted(write, (".txt",))).splitlines()
    return [(row, Place(str(path), number, 1, row)) for number, row in enumerate(rows, start=1)]


def read_readings(path: Path) -> dict[str, list[float]]:
    """Readings from a text file: a span a line, `across foot: 119.62 119.58 119.60`; # starts a note.

    Raises InputError, CalibrationError with the line.
    """
    found: dict[str, list[float]] = {}
    for row, place in typed_rows(path, "write one span per line"):
        kept = row.split("#", 1)[0].strip()
        if not kept:
            continue
        span, colon, values = kept.partition(":")
        if not colon:
            fix = "write a span, a colon and its readings: across foot: 119.62 119.58"
            raise CalibrationError(f"there is no colon after a span in '{kept[:40]}'", fix=fix, place=place)
        try:
            name = span_named(span)
        except CalibrationError as error:
            raise CalibrationError(error.message, fix=error.fix, place=place) from None
        found.setdefault(name, []).extend(typed(values, place))
    return found


def _setting(named: str | None, film: str, tool: str) -> tuple[Printer, Film, Target]:
    """Printer, film and target. A printer by words is the profile for the film, or where there is none yet, another one
    of that printer: its margins are what matters here."""
    printer = printer_named(named) if named else Printer()
    sheet = load_film(film, printer.process)
    if named and not is_file(named):
        printer = next((one.printer for one in matching(named) if fits(one.setting, sheet)), printer)
    check_film(sheet, printer)
    x0, y0, x1, y1 = printable(sheet, printer).bounds
    return printer, sheet, target(x1 - x0, y1 - y0, line_instrument(tool))


def _findings(found: Calibration, sheet: Film, printer: Printer) -> tuple[Finding, ...]:
    """The slips, and a wrong setting of the print dialog that the stretch gives away."""
    page = PrintedPage(sheet.width, sheet.height, printer.margins)
    usual = causes(found.x.value, found.y.value, page, 2 * max(found.x.u, found.y.u))
    if not usual:
        return found.findings
    what, cure = told_causes(usual)
    again = f"{cure}, then print and measure the target again"
    return (*found.findings, Finding("warning", "scaled", "target", f"it looks as if {what}", again))


def _said(found: Calibration) -> list[str]:
    rows = [
        f"across: {found.x.value:.5f} of the asked size ± {found.x.expanded:.5f} (k = 2)",
        f"up: {found.y.value:.5f} of the asked size ± {found.y.expanded:.5f} (k = 2)",
        f"bend: {found.bend_x:+.2f} mm across, {found.bend_y:+.2f} mm up (reported, not corrected)",
        f"a decal of 40 mm then prints true within ± {found.size_error(40):.3f} mm",
    ]
    if found.lean is None:
        rows.insert(2, "lean: not known, since the diagonals were not read")
    else:
        lean, doubt = found.lean.value * 100, found.lean.expanded * 100
        rows.insert(2, f"lean: {lean:+.3f} ± {doubt:.3f} mm in 100 mm (k = 2), corrected")
    return rows
