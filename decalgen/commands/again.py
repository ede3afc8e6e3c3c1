"""Records of printed sheets: leaving one beside the print, and printing from one again without nesting."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from decalgen import __version__
from decalgen.commands.inputs import load_jobs, seed_of, shops
from decalgen.commands.options import Result, SheetFiles
from decalgen.commands.sheet_files import cutter_of, results
from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.files import write_files
from decalgen.core.small_files import Wanted, read_small_text, sha256_of
from decalgen.core.unfinished import settle
from decalgen.sheet.positions import Saved
from decalgen.sheet.record import AGAIN, JobText, PrinterText, Record, mark_of, read_record, write_record

if TYPE_CHECKING:
    from decalgen.commands.run import Run
    from decalgen.job.model import Job, Printer
    from decalgen.sheet.arrange import Arrangement

LARGEST = 20_000_000
"""No record is larger, bytes."""
LARGEST_FILE = 500_000_000
"""A larger file is not compared with a record, bytes."""
LIBRARIES = ("shapely", "svgwrite", "uharfbuzz", "pypdfium2")
"""What has a hand in the bytes of a file."""
EXACT = ("scale_x", "scale_y", "lean", "misregister", "shortest_sheet")


def leave_record(
    run: Run,
    arrangement: Arrangement,
    wanted: SheetFiles,
    files: Mapping[Path, bytes],
    findings: Sequence[str],
    proof: tuple[str, Sequence[str]],
) -> dict[Path, bytes]:
    """The record of a sheet, beside it; its name tells it from records of other prints of the same jobs. ``proof``: the
    verdict on its proof and what was measured."""

    printing = {sheet.film.name: sheet.printer for sheet in arrangement.sheets}
    record = Record(
        versions=_versions(),
        jobs=tuple(JobText(job.name, job.digest, job.texts) for job in run.jobs),
        films=arrangement.films,
        printers=tuple(_printer_text(name, printer) for name, printer in printing.items()),
        variant=run.options.variant,
        hands=run.options.hands,
        gap=arrangement.gap,
        seed=seed_of(run.options, run.jobs),
        effort=run.options.effort,
        layout=arrangement.digest,
        positions=arrangement.positions,
        complete=arrangement.complete,
        plates=wanted.plates,
        press=wanted.press,
        dpi=wanted.dpi,
        files=tuple((path.name, _sha(data)) for path, data in files.items()),
        findings=tuple(findings),
        proof=proof[0],
        measured=tuple(proof[1]),
        without_proof=wanted.without_proof or "",
    )
    first = wanted.outputs[0]
    stem = first.stem.removesuffix("-sheet").removesuffix("-press")
    return {first.with_name(f"{stem}-{mark_of(record)}.record.json"): write_record(record)}


def print_again(path: Path, wanted: SheetFiles | None, cut: Sequence[Path] = (), cutter: Path | None = None) -> Result:
    """Prints the sheets of a record once more, from its positions. ``wanted`` None: the files of that print, where they
    still lie beside the record as they were made; else they are made again under the names they had, in this folder.

    Raises InputError for a record that is damaged, DecalgenError where this version draws otherwise."""
    from decalgen.sheet.arrange import arrange
    from decalgen.sheet.plan import Plan

    record = read_record(_text(path), str(path))
    names = [name for name, _ in record.files]
    kept_files = _kept_files(record, path.parent)
    if wanted is None and not cut and len(kept_files) == len(names):
        head = f"from the record '{path}': its files are still here unchanged, so nothing is written; print"
        return Result((), (), (head, *(f"  {file}" for file in kept_files), *_told(record)))
    if wanted is None:
        prints = tuple(Path(name) for name in names if Path(name).suffix in (".pdf", ".png", ".svg"))[:1]
        wanted = SheetFiles(prints or (Path("again-sheet.pdf"),))
    reason = record.without_proof or None
    still = [f"or print the files that are still there: {', '.join(map(str, kept_files))}"] if kept_files else []
    wanted = replace(
        wanted, plates=record.plates, press=record.press, cut=tuple(cut), cutter=cutter, without_proof=reason
    )
    machine = cutter_of(wanted)
    with TemporaryDirectory() as kept:
        jobs, printers = _opened(record, Path(kept), str(path))
    saved = Saved(record.layout, record.positions, str(path), record.complete)
    try:
        arrangement = arrange(
            jobs,
            Plan(
                record.films,
                next(iter(printers.values())),
                gap=record.gap,
                seed=record.seed,
                hands=record.hands,
                printers=printers,
            ),
            saved=saved,
        )
    except DecalgenError as error:
        raise DecalgenError(
            f"this version of decalgen draws these decals differently from the one that wrote '{path}': "
            f"{error.message}",
            fix="; ".join(
                [f"print with decalgen {dict(record.versions)['decalgen']}, or make a new proof from the jobs", *still]
            ),
        ) from None
    made = results(arrangement, jobs, wanted, machine)
    totals = {total for _, total in record.files}
    lines = [f"from the record '{path}': {len(record.positions)} pieces, not nested again"]
    lines += made.lines
    kinds = {Path(name).suffix for name, _ in record.files}
    alike = [data for name, data in made.files.items() if name.suffix in kinds]
    lines.append(_bytes_told(all(_sha(data) in totals for data in alike), record) if alike else "the same geometry")
    lines += _told(record)
    return Result(write_files(made.files), made.findings, tuple(lines))


def _told(record: Record) -> list[str]:
    """What is said of every sheet that is printed once more."""
    lines = []
    if record.proof:
        lines.append(f"its proof: {record.proof}; if the printer has been adjusted since, proof it again")
    if record.without_proof:
        lines.append(f"printed without a proof, as before: {record.without_proof}")
    lines += [
        f"'{film.name}' was partly used: take a sheet that is free where these pieces go"
        for film in record.films
        if film.used or film.used_polygons
    ]
    return lines


def _kept_files(record: Record, folder: Path) -> list[Path]:
    """The files of a record that lie in a folder, byte for byte as they were made."""
    found = []
    for name, total in record.files:
        file = folder / Path(name).name
        with suppress(InputError):
            if sha256_of(file, LARGEST_FILE) == total:
                found.append(file)
    return found


def _opened(record: Record, folder: Path, shown: str) -> tuple[tuple[Job, ...], dict[str, Printer]]:
    """The jobs of a record, and its printer for each film, read from copies of its texts."""
    from decalgen.job.films import load_printer

    roots = []
    for number, kept in enumerate(record.jobs, start=1):
        here = folder / str(number)
        for name, text in kept.files:
            place = (here / name).resolve()
            if not place.is_relative_to(here.resolve()):
                raise InputError(f"'{shown}' names a file outside its jobs' folders", fix=AGAIN)
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_text(text, encoding="utf-8", newline="\n")
        roots.append(here / kept.files[0][0])
    jobs = load_jobs(roots, record.variant)
    for job, kept in zip(jobs, record.jobs, strict=True):
        if job.digest != kept.digest:
            raise DecalgenError(
                f"the ready layouts of '{job.name}' have changed since '{shown}'",
                fix=f"print with decalgen {dict(record.versions)['decalgen']}, or make a new proof from the jobs",
            )
    printers = {}
    for number, one in enumerate(record.printers, start=1):
        here = folder / f"printer {number}"
        here.mkdir()
        (here / "printer.yaml").write_text(one.text, encoding="utf-8", newline="\n")
        if one.profile:
            (here / "printer.icc").write_bytes(base64.b64decode(one.profile))
        printer = load_printer(here / "printer.yaml")
        printers[one.film] = replace(printer, **dict(one.exact))  # type: ignore[arg-type]
    if record.press:
        printers = {film: shops(printer) for film, printer in printers.items()}
    return jobs, printers


def _printer_text(film: str, printer: Printer) -> PrinterText:
    from decalgen.job.printer_text import printer_text

    exact = tuple((name, float(getattr(printer, name))) for name in EXACT)
    profile = printer.swatches.profile if printer.swatches else None
    if profile is None:
        return PrinterText(film, printer_text(printer, ()), exact)
    text = printer_text(replace(printer, profile="printer.icc"), ())
    data: bytes = getattr(profile, "data", b"")
    return PrinterText(film, text, exact, base64.b64encode(data).decode("ascii"))


def _text(path: Path) -> str:
    fix = "name the .record.json beside the printed sheet"
    settle(path.parent)
    return read_small_text(path, LARGEST, Wanted(fix, (".record.json",)))


def _versions() -> tuple[tuple[str, str], ...]:
    import platform
    from importlib.metadata import version

    found = [("decalgen", __version__), ("python", platform.python_version())]
    return (*found, *((name, version(name)) for name in LIBRARIES))


def _bytes_told(same: bool, record: Record) -> str:
    if same:
        return "the same files as before, byte for byte"
    now = dict(_versions())
    other = [f"{name} {was} (now {now.get(name, 'none')})" for name, was in record.versions if now.get(name) != was]
    if other:
        return f"the same geometry; the bytes differ, made then with {', '.join(other)}"
    return "the same geometry; the bytes differ (another system, resolution or cutter)"


def _sha(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
