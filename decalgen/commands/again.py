"""Records of printed sheets: leaving one beside the print, and printing from one again without nesting."""

from __future__ import annotations

import base64
import hashlib
import os
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from itertools import chain
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from decalgen import __version__
from decalgen.commands.from_outside import check_drawings, font_digests, fonts_of, pictures_of
from decalgen.commands.inputs import load_jobs, seed_of, shops
from decalgen.commands.options import Answer, FileGroup, Made, SheetFiles
from decalgen.commands.print_pages import film_prints
from decalgen.commands.sheet_files import cutter_of, results
from decalgen.commands.still_proven import check_still_proven
from decalgen.core.errors import DecalgenError, InputError, OutputError
from decalgen.core.kept import plain
from decalgen.core.small_files import Wanted, read_small_text, sha256_of
from decalgen.core.unfinished import settle
from decalgen.proofing.fingerprint import fingerprint
from decalgen.sheet.marks import cross_lengths
from decalgen.sheet.pieces import job_letters
from decalgen.sheet.plan import Plan
from decalgen.sheet.positions import Saved
from decalgen.sheet.record import (
    AGAIN,
    RECORD_ENDING,
    JobText,
    PrinterText,
    Record,
    SheetCrosses,
    mark_of,
    read_record,
    write_record,
)

if TYPE_CHECKING:
    from decalgen.commands.run import Run
    from decalgen.job.model import Cutter, Job, Printer
    from decalgen.proofing.gate import Proof
    from decalgen.sheet.arrange import Arrangement

LARGEST = 20_000_000
"""No record is larger, bytes."""
LARGEST_FILE = 500_000_000
"""A larger file is not compared with a record, bytes."""
LIBRARIES = ("shapely", "reportlab", "svgwrite", "uharfbuzz", "pypdfium2")
"""What has a hand in the bytes of a file."""
CUT_ENDINGS = (".dxf", ".svg")
"""Of the files that a cutting machine takes."""
PRINT = "print on film at 100 %"
EXACT = ("scale_x", "scale_y", "lean", "misregister", "shortest_sheet")


def leave_record(
    run: Run,
    arrangement: Arrangement,
    wanted: SheetFiles,
    files: Mapping[Path, bytes],
    findings: Sequence[str],
    proof: Proof,
    cutter: Cutter | None = None,
) -> dict[Path, bytes]:
    """The record of a sheet, beside it; its name tells it from records of other prints of the same jobs. ``proof``:
    what is known of its proof; ``cutter``: the machine that its cutting files are corrected for."""
    printing = {sheet.film.name: sheet.printer for sheet in arrangement.sheets}
    record = Record(
        versions=_versions(),
        jobs=tuple(
            JobText(job.name, job.digest, (*job.texts, *job.drawings), job.pictures, font_digests(job))
            for job in run.jobs
        ),
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
        proof=proof.word or "",
        measured=proof.lines,
        without_proof=wanted.without_proof or "",
        outputs=tuple(path.name for path in wanted.outputs),
        cut=tuple(path.name for path in wanted.cut),
        cut_alone=tuple(path.name for path in wanted.cut_alone),
        cutter=cutter,
        film_colours=run.jobs[0].film_colours,
        film_opacity=run.jobs[0].film_opacity,
        printed=plain(fingerprint(arrangement)),
        crosses=tuple(
            SheetCrosses(sheet.index, one.axis, one.which, one.length)
            for sheet in arrangement.sheets
            for one in cross_lengths(sheet.furniture.registration)
        ),
        letters=job_letters(run.jobs),
    )
    first = wanted.outputs[0]
    stem = first.stem.removesuffix("-sheet").removesuffix("-press")
    here = first.with_name(f"{stem}-{mark_of(record)}{RECORD_ENDING}")
    with suppress(InputError):
        # What printers got of it stays known when its files are made again.
        record = replace(record, sent=read_record(record_text(here), str(here)).sent)
    return {here: write_record(record)}


def print_again(path: Path, wanted: SheetFiles | None, cutting: SheetFiles) -> Made:
    """The sheets of a record once more, from its positions: all files of that print that do not lie in this folder as
    they were made, or those that ``wanted`` and, of cutting files, ``cutting`` name. What is not made again is told.

    A file that was changed since is never written over unless it is named. Raises InputError for a record that is
    damaged, OutputError where nothing is left to write, DecalgenError where this version draws otherwise or an own
    drawing or font was changed, GateError where its proof no longer holds and ``cutting`` gives no reason to print
    without one."""
    record = read_record(record_text(path), str(path))
    with TemporaryDirectory() as kept:
        printers = _printers(record, Path(kept), str(path))
    if cutting.without_proof is None:
        check_still_proven(record, printers, path.parent)
    else:
        record = replace(record, without_proof=cutting.without_proof)
    kept_files = _kept_files(record, path.parent)
    cut = (*cutting.cut, *cutting.cut_alone)
    asked = wanted is not None or bool(cut)
    if not asked and not cutting.to_print and len(kept_files) == len(record.files):
        head = f"from the record '{path}': its files are still here unchanged, so nothing is written; print"
        done = f"read the record of {len(record.positions)} pieces"
        return Made({}, (), (head, *(f"  {file}" for file in kept_files), *_told(record)), Answer(done, PRINT))
    named = _named(record)
    if asked:
        named = wanted or SheetFiles(named.outputs[:1])
        named = replace(named, cut=cutting.cut, cut_alone=cutting.cut_alone, cutter=cutting.cutter)
    wanted = replace(named, plates=record.plates, press=record.press, without_proof=record.without_proof or None)
    machine = cutter_of(wanted) or (
        record.cutter if not asked or (record.cutter and cut and not cutting.cutter) else None
    )
    check_drawings(record, path.parent)
    with TemporaryDirectory() as kept:
        jobs = _jobs(record, Path(kept), path)
    arrangement = _arranged(record, jobs, printers, str(path), kept_files)
    made = results(arrangement, jobs, wanted, machine)
    if asked:
        files, left = dict(made.files), _unasked(record, made.files, kept_files)
    else:
        files, left = ({}, []) if cutting.to_print else _to_write(record, made.files)
    lines = [f"from the record '{path}': {len(record.positions)} pieces, not nested again", *made.lines]
    totals = dict(record.files)
    alike = {name.name: data for name, data in made.files.items()}
    kinds = {Path(name).suffix for name in totals}
    same = all(_sha(data) in totals.values() for name, data in alike.items() if Path(name).suffix in kinds)
    known = any(Path(name).suffix in kinds for name in alike)
    lines.append(_bytes_told(same, record) if known else "the same geometry")
    groups = tuple(
        FileGroup(one.purpose, tuple(file for file in one.paths if file in files)) for one in made.answer.groups
    )
    answer = Answer(f"made the record's {len(record.positions)} pieces again", PRINT, groups)
    said = (*lines, *left, *_told(record))
    again = Made(files, made.findings, said, answer, record=path)
    stem = path.name.removesuffix(RECORD_ENDING)
    return film_prints(again, arrangement, jobs, path.with_name(f"{stem}-sheet.pdf")) if cutting.to_print else again


def recorded_sheets(path: Path) -> tuple[Arrangement, tuple[Job, ...]]:
    """The sheets of a record as they were printed, and the jobs on them. Raises InputError for a record that is
    damaged, DecalgenError where this version draws otherwise or an own drawing or font was changed."""
    record = read_record(record_text(path), str(path))
    check_drawings(record, path.parent)
    with TemporaryDirectory() as kept:
        printers, jobs = _printers(record, Path(kept), str(path)), _jobs(record, Path(kept), path)
    return _arranged(record, jobs, printers, str(path), ()), jobs


def _arranged(
    record: Record, jobs: tuple[Job, ...], printers: Mapping[str, Printer], shown: str, kept_files: Sequence[Path]
) -> Arrangement:
    """The sheets of a record. Raises DecalgenError where this version draws otherwise."""
    from decalgen.sheet.arrange import arrange

    printer = next(iter(printers.values()))
    plan = Plan(record.films, printer, printers, record.gap, record.seed, hands=record.hands)
    saved = Saved(record.layout, record.positions, shown, record.complete, bars=record.crosses is None)
    still = [f"or print the files that are still there: {', '.join(map(str, kept_files))}"] if kept_files else []
    try:
        return arrange(jobs, plan, saved=saved)
    except DecalgenError as error:
        raise DecalgenError(
            f"this version of decalgen draws these decals differently from the one that wrote '{shown}': "
            f"{error.message}",
            fix="; ".join(
                [f"print with decalgen {dict(record.versions)['decalgen']}, or make a new proof from the jobs", *still]
            ),
        ) from None


def _named(record: Record) -> SheetFiles:
    """What a print was asked for by name. An older record holds only what was written: the print by its stem, in
    each of its forms; what is called otherwise was for a cutter."""
    outputs, cut = [Path(name) for name in record.outputs], [Path(name) for name in record.cut]
    if not outputs:
        names = [name for name, _ in record.files]
        whole = dict.fromkeys(_unnumbered(name, names) for name in names)
        first = next(iter(whole), "again-sheet.pdf")
        outputs = [Path(name) for name in whole if Path(name).stem == Path(first).stem] or [Path(first)]
        plates = f"{Path(first).stem}-" if record.plates else "/"
        others = [name for name in whole if Path(name).stem != Path(first).stem and not name.startswith(plates)]
        cut = [Path(name) for name in others if Path(name).suffix in CUT_ENDINGS]
    alone = tuple(Path(name) for name in record.cut_alone)
    return SheetFiles(tuple(outputs), cut=tuple(cut), cut_alone=alone, dpi=record.dpi)


def _unnumbered(name: str, names: Sequence[str]) -> str:
    """The name a numbered file was asked for by, where there is more than one of it."""
    path = Path(name)
    stem, _, number = path.stem.rpartition("-")
    if stem and number.isascii() and number.isdigit() and f"{stem}-1{path.suffix}" in names:
        other = f"{stem}-2{path.suffix}"
        return f"{stem}{path.suffix}" if other in names else name
    return name


def _to_write(record: Record, made: Mapping[Path, bytes]) -> tuple[dict[Path, bytes], list[str]]:
    """Of the files made again those that have to be written, and what is said of the others. Raises OutputError where
    every one of them was changed."""
    totals = dict(record.files)
    files: dict[Path, bytes] = {}
    lines = []
    changed = []
    for path, data in made.items():
        if not os.path.lexists(path):
            files[path] = data
            continue
        try:
            there = sha256_of(path, LARGEST_FILE)
        except InputError:
            there = ""
        if there in (_sha(data), totals.get(path.name)):
            lines.append(f"not written: '{path}' is still here unchanged")
        else:
            changed.append(path)
            lines.append(f"not written: '{path}' was changed since: move it away, or name it with -o")
    if changed and len(changed) == len(made):
        raise OutputError(
            f"'{changed[0]}' was changed since, so it is not written over",
            fix="move it away, or name other files with -o",
        )
    names = {path.name for path in made}
    return files, [
        *lines,
        *(f"not written: '{name}', which cannot be made again" for name in totals if name not in names),
    ]


def _unasked(record: Record, made: Mapping[Path, bytes], kept_files: Sequence[Path]) -> list[str]:
    """What of a print was not asked for now."""
    totals = {_sha(data) for data in made.values()}
    names = {path.name for path in made}
    lie = {path.name for path in kept_files}
    rows = []
    for name, total in record.files:
        if total not in totals and name not in names:
            how = "it is still there unchanged" if name in lie else "name it with -o, --cut or --cut-alone"
            rows.append(f"not written: '{name}'; {how}")
    return rows


def _told(record: Record) -> list[str]:
    """What is said of every sheet that is printed once more."""
    lines = []
    if record.proof:
        lines.append(f"its proof: {record.proof}; if the printer has been adjusted since, proof it again")
    if record.without_proof:
        lines.append(f"printed without a proof: {record.without_proof}")
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


def _jobs(record: Record, folder: Path, file: Path) -> tuple[Job, ...]:
    """The jobs of a record, read from copies of its texts, and of the pictures and fonts that lie beside it."""
    roots = []
    shown = str(file)
    for number, kept in enumerate(record.jobs, start=1):
        here = folder / str(number)
        for name, data in chain(_encoded(kept.files), fonts_of(kept, file.parent), pictures_of(kept, file)):
            place = (here / name).resolve()
            if not place.is_relative_to(here.resolve()):
                raise InputError(f"'{shown}' names a file outside its jobs' folders", fix=AGAIN)
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(data)
        roots.append(here / kept.files[0][0])
    colours = record.film_colours or tuple((film.kind, film.colour) for film in record.films if film.colour)
    colours = tuple(dict(colours).items())
    jobs = tuple(
        replace(job, film_colours=colours, film_opacity=record.film_opacity) for job in load_jobs(roots, record.variant)
    )
    for job, kept in zip(jobs, record.jobs, strict=True):
        if job.digest != kept.digest:
            raise DecalgenError(
                f"the ready layouts of '{job.name}' have changed since '{shown}'",
                fix=f"print with decalgen {dict(record.versions)['decalgen']}, or make a new proof from the jobs",
            )
    return jobs


def _encoded(files: Sequence[tuple[str, str]]) -> list[tuple[str, bytes]]:
    return [(name, text.encode("utf-8")) for name, text in files]


def _printers(record: Record, folder: Path, shown: str) -> dict[str, Printer]:
    """The printer of a record for each film, read from copies of its texts."""
    from decalgen.job.films import load_printer

    printers = {}
    for number, one in enumerate(record.printers, start=1):
        here = folder / f"printer {number}"
        here.mkdir()
        (here / "printer.yaml").write_text(one.text, encoding="utf-8", newline="\n")
        if one.profile:
            (here / "printer.icc").write_bytes(base64.b64decode(one.profile))
        printer = load_printer(here / "printer.yaml")
        if not {name for name, _ in one.exact} <= set(EXACT):
            raise InputError(f"'{shown}' is not a complete record", fix=AGAIN)
        printers[one.film] = replace(printer, **dict(one.exact))  # type: ignore[arg-type]
    if record.press:
        printers = {film: shops(printer) for film, printer in printers.items()}
    return printers


def _printer_text(film: str, printer: Printer) -> PrinterText:
    from decalgen.job.printer_text import printer_text

    exact = tuple((name, float(getattr(printer, name))) for name in EXACT)
    profile = printer.swatches.profile if printer.swatches else None
    if profile is None:
        return PrinterText(film, printer_text(printer, ()), exact)
    text = printer_text(replace(printer, profile="printer.icc"), ())
    data: bytes = getattr(profile, "data", b"")
    return PrinterText(film, text, exact, base64.b64encode(data).decode("ascii"))


def record_text(path: Path) -> str:
    """The text of a record. Raises InputError for a file that is none."""
    fix = "name the .record.json beside the printed sheet"
    settle(path.parent)
    return read_small_text(path, LARGEST, Wanted(fix, (RECORD_ENDING,)))


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
