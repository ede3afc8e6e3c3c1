"""For scripts: the work of decalgen as functions over values.

Values in, values out; nothing is written until `Made.write` is called::

    from decalgen import api

    run = api.load(["gannet.yaml", "h9.yaml"], films=["white A5", "clear A5"], printer="kitchen.yaml")
    for finding in api.check(run).findings:
        print(finding)
    api.proof(run, "harbour-proof.pdf").write()
    api.pass_proof("harbour-proof.pdf", x=[input("x: ")], y=[input("y: ")], code=input("code: ")).write()
    api.sheet(run, ["harbour-sheet.pdf"]).write()

A `Run` keeps every stage it has made, so a check, a proof and a sheet of the same run read the jobs, draw the decals
and nest once. Everything that can go wrong is a `DecalgenError` with a message, a fix and, where there is one, a
place. Lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.commands.options import Answer, FileGroup, Made, Options, Result, SheetFiles, Watch
from decalgen.commands.run import Run
from decalgen.core.errors import DecalgenError, Finding, GateError

if TYPE_CHECKING:
    from decalgen.commands.page_scans import PageScan
    from decalgen.core.document import Document
    from decalgen.printer.calibration import Calibration
    from decalgen.sheet.arrange import Arrangement

__all__ = [
    "Answer",
    "DecalgenError",
    "FileGroup",
    "Finding",
    "GateError",
    "Made",
    "Options",
    "Result",
    "Run",
    "SheetFiles",
    "calibrate",
    "check",
    "draw",
    "guide",
    "load",
    "nest",
    "overview",
    "page_scan",
    "pass_proof",
    "proof",
    "render",
    "report",
    "sheet",
]

Name = str | PathLike[str]


def load(
    jobs: Sequence[Name],
    *,
    films: Sequence[Name] = (),
    printer: Name | None = None,
    watch: Watch | None = None,
    stage: Callable[[str], None] | None = None,
    **options: Any,
) -> Run:
    """Reads job files. ``films`` are files or words such as 'white A5'; ``printer`` a file or the name of a kept
    profile; ``options`` as in `Options` (variant, hands, gap, effort, seed, leave); ``watch`` sees the progress of a
    nest, ``stage`` hears in words what is done next. Raises JobError with all mistakes of all files, InputError,
    FilmError."""
    words = None if printer is None else str(printer)
    run = Run([Path(job) for job in jobs], Options(tuple(map(str, films)), words, **options), watch, stage)
    run.jobs  # noqa: B018  read now, so that mistakes are told here
    return run


def check(run: Run) -> Made:
    """What can be found before printing: findings, errors first, and in a line how each decal fits."""
    from decalgen.commands.check import check as made

    return made(run)


def report(made: Made) -> bytes:
    """All there is to say of a result, as a text file: of a check every size and clearance."""
    from decalgen.commands.summary import whole_text

    return whole_text(Result((), made.findings, made.lines, made.answer)).encode("utf-8")


def draw(
    run: Run,
    folder: Name = "drawings",
    endings: Sequence[str] = (".svg",),
    dpi: float | None = None,
    findings: bool = False,
) -> Made:
    """Pictures of every decal, alone and on its panel. ``dpi``: of '.png'; ``findings``: also with what a check finds
    on them. Raises DecalgenError for a decal that cannot be drawn."""
    from decalgen.commands.draw import draw as made

    return made(run, Path(folder), endings, dpi, findings)


def nest(run: Run, positions: Name | None = None) -> Arrangement:
    """The sheets of film with every piece on them, nested, or from the file of positions that a proof leaves.

    Raises FilmError, FitError, InputError."""
    return run.arrangement(None if positions is None else Path(positions))


def overview(run: Run, positions: Name | None = None) -> Document:
    """One picture of the sheets and of every panel with its decals, for `render`."""
    from decalgen.pages.overview import overview as drawn

    arrangement = nest(run, positions)
    return drawn(arrangement, run.jobs, {job.name: run.artworks(job) for job in run.jobs})


def proof(run: Run, output: Name) -> Made:
    """The proof for plain paper, and beside it the positions that `sheet` prints. Raises FindingsError for a job with
    errors, and what `nest` raises."""
    from decalgen.commands.proof import make_proof

    return make_proof(run, Path(output))


def guide(run: Run, outputs: Sequence[Name], paper: str = "A4", only: str | None = None) -> Made:
    """The placement guide of each job as '.pdf' or '.html': where every decal goes, in which order, with cards to push
    them against. ``paper``: 'A4', 'A5' or 'Letter'. Name the jobs of the sheet: then the numbers are those on film.
    ``only``: the name of the one job that is to have one.

    Raises InputError, OutputError, and DecalgenError for a decal that lies nowhere on its panel."""
    from decalgen.commands.guide import make_guide

    return make_guide(run, [Path(name) for name in outputs], paper, only)


def pass_proof(
    shown: Name,
    x: Sequence[str],
    y: Sequence[str],
    code: str,
    instrument: str = "caliper",
    sheet: int = 1,
    scan: PageScan | None = None,
) -> Made:
    """Judges what the check bars of a printed proof measure, as typed, mm, and the code on it; the readings are kept in
    a file beside its positions. ``scan``: of that sheet beside a card (`page_scan`), where nothing is typed.

    Raises GateError, CalibrationError for readings that cannot be right, InputError where there is no proof,
    ScaleError and PageError for a scan in which card or bars are not seen."""
    from decalgen.commands.proof_passed import pass_proof as judged

    return judged(Path(shown), x, y, instrument, sheet, code, scan)[0]


def page_scan(picture: Name, beside: str = "card") -> PageScan:
    """A scan of a printed page with a card beside it: of ID-1 size, or of the size that was measured
    ('85.58 mm x 53.97 mm'). Raises InputError, ScanWordsError."""
    from decalgen.commands.page_scans import page_scan as found

    return found(Path(picture), beside)


def sheet(run: Run, outputs: Sequence[Name] | SheetFiles) -> Made:
    """The print files for film, from the proof that lies where they go, and a record of the print. ``outputs``: their
    names, or `SheetFiles` for plates, a print shop's file, cutting files, or film without a proof.

    Raises GateError unless the proof was passed, FindingsError, and what `nest` raises."""
    from decalgen.commands.sheet import make_sheet

    wanted = outputs if isinstance(outputs, SheetFiles) else SheetFiles(tuple(Path(name) for name in outputs))
    return make_sheet(run, wanted)


def calibrate(
    readings: Mapping[str, Sequence[float]], film: Name, printer: Name | None = None, instrument: str = "caliper"
) -> Calibration:
    """How a printer stretches and leans, from the readings of the target that `decalgen calibrate print` writes for the
    same film and printer: mm, by the name of the span. Raises CalibrationError for readings that cannot be right."""
    from decalgen.commands.calibrate_printer import asked_spans
    from decalgen.core.instruments import line_instrument as named
    from decalgen.printer.calibration import calibrate as found

    target = asked_spans(None if printer is None else str(printer), str(film), instrument)
    return found(readings, target, named(instrument))


def render(document: Document, ending: str, dpi: float | None = None) -> list[bytes]:
    """A document as bytes in the form of an ending ('.pdf', '.svg', '.png'), one item a file. Raises DecalgenError."""
    from decalgen.commands.rendering import rendered

    return list(rendered(document, Path(f"page{ending}"), dpi).values())
