"""What a printer gets of a proof or a sheet: PDF files of pages of one size, each one print job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.options import Made, PrintFile
from decalgen.commands.rendering import date_of, rendered, title_of
from decalgen.core.errors import FilmError

if TYPE_CHECKING:
    from decalgen.core.document import Document, Page
    from decalgen.job.model import Job, Printer
    from decalgen.sheet.arrange import Arrangement


def film_prints(made: Made, arrangement: Arrangement, jobs: Sequence[Job], output: Path) -> Made:
    """A print with a file for each sheet of film, as each is fed by hand; the file of one sheet is ``output`` itself.

    Raises FilmError for a printer with white: its white is a pass of its own that only its driver knows."""
    from decalgen.pages.film import final

    if any(sheet.printer.white for sheet in arrangement.sheets):
        raise FilmError(
            "a printer with white prints it in a pass of its own, which --to cannot ask for",
            fix="leave out --to, add --plates, and print both files through the printer's own driver",
        )
    document = final(arrangement, title_of(jobs), date_of(jobs))
    parted = _parted(made, document, [[page] for page in document.pages], output)
    prints = zip(parted.prints, arrangement.sheets, strict=True)
    return replace(
        parted,
        prints=tuple(
            _fed(replace(one, sheet=number, film=sheet.film.name), sheet.printer)
            for number, (one, sheet) in enumerate(prints, 1)
        ),
    )


def proof_prints(made: Made, document: Document, arrangement: Arrangement, output: Path) -> Made:
    """A proof with what a printer gets of it: the file itself, or where its pages are of several sizes one of each run
    of pages of one size; fed from the tray of the first film, whose size it proves, as plain paper."""
    runs = [list(pages) for _, pages in groupby(document.pages, key=lambda page: (page.width, page.height))]
    parted = _parted(made, document, runs, output)
    fed = (_fed(one, arrangement.sheets[0].printer) for one in parted.prints)
    return replace(parted, prints=tuple(replace(one, paper_type="") for one in fed))


def turned(one: PrintFile) -> tuple[PrintFile, bytes]:
    """The same page turned by a quarter, anticlockwise, with the bytes of its file: nothing of it is scaled."""
    from decalgen.export import render

    assert one.document is not None
    (data,) = render(one.document, ".pdf", turned=True)
    left, right, bottom, top = one.margins or (0.0, 0.0, 0.0, 0.0)
    path = one.path.with_name(f"{one.path.stem}-turned.pdf")
    margins = (top, bottom, left, right) if one.margins else None
    return replace(one, path=path, width=one.height, height=one.width, margins=margins), data


def _fed(one: PrintFile, printer: Printer) -> PrintFile:
    """With what the printer's kept profile says of tray, paper and margins."""
    setting = printer.history.setting if printer.history else None
    if setting is None:
        return replace(one, margins=printer.margins)
    return replace(one, tray=setting.tray, paper_type=setting.paper_type, margins=printer.margins)


def _parted(made: Made, document: Document, parts: Sequence[Sequence[Page]], output: Path) -> Made:
    prints, files = [], dict(made.files)
    for number, pages in enumerate(parts, 1):
        name = output.with_suffix(".pdf")
        if len(parts) > 1:
            name = name.with_name(f"{name.stem}-{number}.pdf")
        part = replace(document, pages=tuple(pages))
        if len(parts) > 1 or name not in files:
            files.update(rendered(part, name))
        prints.append(PrintFile(name, pages[0].width, pages[0].height, document=part))
    return replace(made, files=files, prints=tuple(prints))
