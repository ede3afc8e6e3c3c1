"""The files of an arrangement: the print, plates, a print shop's file, cutting files. Nothing is written here."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.options import Answer, FileGroup, Made, SheetFiles
from decalgen.commands.rendering import date_of, rendered, title_of
from decalgen.core.errors import Finding, OutputError
from decalgen.core.names import slug

if TYPE_CHECKING:
    from decalgen.job.model import Cutter, Job
    from decalgen.sheet.arrange import Arrangement


def results(arrangement: Arrangement, jobs: Sequence[Job], wanted: SheetFiles, cutter: Cutter | None) -> Made:
    """Every file that is wanted of an arrangement. Raises OutputError for names that do not go together."""
    from decalgen.pages.film import final

    outputs = wanted.outputs
    files: dict[Path, bytes] = {}
    lines: list[str] = []
    found: tuple[Finding, ...] = ()
    plates: dict[Path, bytes] = {}
    if wanted.press:
        files, condition = _press_files(arrangement, jobs, outputs)
        lines.append(f"for a print shop, in true millimetres: PDF/X-4, {condition}")
    else:
        document = final(arrangement, title_of(jobs), date_of(jobs))
        for output in outputs:
            files.update(rendered(document, output, wanted.dpi))
    if wanted.plates:
        from decalgen.pages.plates import separated

        made = separated(arrangement, jobs, title_of(jobs), date_of(jobs))
        found += made.findings
        for plate in made.files:
            for output in outputs:
                here = output.with_name(f"{output.stem}-{slug(plate.name)}{output.suffix}")
                if here in files or here in plates:
                    raise OutputError(f"'{here}' is named twice", fix="choose other names after -o")
                plates.update(rendered(plate.document, here, wanted.dpi))
            lines.append(plate.words)
    elif arrangement.sheets[0].printer.white and not wanted.press:
        lines.append("white is not in this file: add --plates for a file of the white and one of what goes over it")
    cut = _cutting_files(arrangement, jobs, wanted, cutter, lines) if wanted.cut or wanted.cut_alone else {}
    groups = (
        FileGroup("for the print shop" if wanted.press else "print on film at 100 %", tuple(files)),
        FileGroup("one file an ink", tuple(plates)),
        FileGroup("for the cutting machine", tuple(cut)),
    )
    return Made({**files, **plates, **cut}, found, tuple(lines), Answer(groups=groups))


def cutter_of(wanted: SheetFiles) -> Cutter | None:
    """The cutting machine asked for. Raises before any film is nested: OutputError for a file that is none for it."""
    from decalgen.job.films import load_cutter
    from decalgen.pages.cutting import check_ending

    for output in (*wanted.cut, *wanted.cut_alone):
        check_ending(output.suffix, str(output))
    return load_cutter(wanted.cutter) if wanted.cutter else None


def _cutting_files(
    arrangement: Arrangement, jobs: Sequence[Job], wanted: SheetFiles, cutter: Cutter | None, lines: list[str]
) -> dict[Path, bytes]:
    """The cutting files of all sheets; where to align the cutter goes into ``lines``."""
    from decalgen.export import only
    from decalgen.pages.cutting import aligning, cutting_document

    document = cutting_document(arrangement, title_of(jobs), date_of(jobs), cutter)
    files: dict[Path, bytes] = {}
    for output in wanted.cut:
        files.update(rendered(document, output))
    for output in wanted.cut_alone:
        files.update(rendered(only(document, {"cutting"}), output))
    lines.append(f"cutting: corrected for '{cutter.name}'" if cutter else "cutting: in true millimetres")
    lines += aligning(arrangement, cutter)
    return files


def _press_files(
    arrangement: Arrangement, jobs: Sequence[Job], outputs: Sequence[Path]
) -> tuple[dict[Path, bytes], str]:
    """A print shop's file under each name, and its printing condition. Raises OutputError for another ending."""
    from decalgen.pages.press import press_file

    for output in outputs:
        if output.suffix.lower() != ".pdf":
            what = f"'{output}' is not a PDF, as a print shop's file must be"
            raise OutputError(what, fix="let its name end in .pdf")
    data, condition = press_file(arrangement, jobs, title_of(jobs), date_of(jobs))
    return dict.fromkeys(outputs, data), condition
