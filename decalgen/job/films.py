"""Film, printer, cutter and sheet files."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

from decalgen.colour.inks import FilmKind, FilmLook
from decalgen.colour.value import ColourError
from decalgen.core.errors import InputError, JobError, Problem
from decalgen.core.prices import typed_price
from decalgen.core.resources import resource_folder, resource_names
from decalgen.job.calibrated import read_history
from decalgen.job.files import read_source, source_of
from decalgen.job.film_entries import CutterEntry, FilmEntry, SheetEntry
from decalgen.job.merge import document
from decalgen.job.model import Cutter, Film, Printer, Process, SheetSize, UsedArea
from decalgen.job.nodes import Mapping, Source
from decalgen.job.printer_entries import PRINTER_GROUPS, PrinterEntry
from decalgen.job.problems import Problems
from decalgen.job.reader import Reader
from decalgen.job.scope import Scope, Told
from decalgen.job.sheet_words import WAYS_UP, SizeProblem, read_sheet, what_to_say
from decalgen.job.swatches import read_swatches

T = TypeVar("T")
ADHESIVE = re.compile(r"(?<![^\s,;])(?:self[\s\u2010\u2011-]*)?adhesive(?![^\s,;])", re.IGNORECASE)
"""As one word or two, with any hyphen; 'adhesive' alone is the word of a film file."""


def load_film(path_or_words: str | Path, process: Process = "inkjet") -> Film:
    """A film from its file, or from words: kind, sheet, process, such as 'white A5 laser' or 'clear 210 × 100 mm'.

    Words mean waterslide film unless they say self-adhesive, as in 'white self-adhesive A5'; the word film says
    nothing. ``process`` is what words mean that do not name it. Raises `JobError` for mistakes in the file,
    `InputError` for a file that cannot be read or words that name no film.
    """
    text = str(path_or_words)
    # The stroke of a fraction of an inch leads to no folder.
    folders = re.sub(r"(?<=\d)/(?=\d)", "", text)
    if isinstance(path_or_words, Path) or text.lower().endswith((".yaml", ".yml")) or {"/", "\\"} & {*folders}:
        return _from_file(Path(text), text, _film)
    words = [word for word in ADHESIVE.sub("self-adhesive", text).split() if word.casefold() != "film"]
    kind = _one_of(words, ("clear", "white"), text)
    adhesive = _one_of(words, ("self-adhesive", "waterslide"), text) == "self-adhesive"
    process = "laser" if _one_of(words, ("inkjet", "laser"), text, process) == "laser" else "inkjet"
    size = " ".join(words)
    try:
        sheet = read_sheet(size, _named_first(size))
    except SizeProblem as problem:
        raise InputError(f"'{text[:60]}' is not a film: {problem.message}", fix=problem.fix) from None
    if kind is None or sheet is None:
        fix = what_to_say(size, sheet_sizes()) if kind else "say clear or white, and the size, as in 'white A5'"
        raise InputError(f"'{text[:60]}' is not a film", fix=f"{fix}; or name a film file ending in .yaml")
    name = f"{kind} self-adhesive {sheet.name}" if adhesive else f"{kind} {sheet.name}"
    return Film(name, _kind(kind), process, sheet.width, sheet.height, adhesive=adhesive)


def _one_of(words: list[str], known: tuple[str, str], text: str, usual: str | None = None) -> str | None:
    """Takes whichever of two words stands among the words out of them. Raises InputError where both do."""
    said = {word.lower() for word in words} & set(known)
    if len(said) > 1:
        one, other = known
        raise InputError(f"'{text[:60]}' says both {one} and {other}", fix=f"leave out {one} or {other}")
    words[:] = [word for word in words if word.lower() not in known]
    return said.pop() if said else usual


def load_printer(path: str | Path) -> Printer:
    """A printer profile. Raises `JobError` for mistakes in it, `InputError` for a file that cannot be read."""
    return _from_file(Path(path), str(path), _printer)


def load_cutter(path: str | Path) -> Cutter:
    """A cutting machine's correction. Raises `JobError` for mistakes in the file, `InputError` if it cannot be read."""
    return _from_file(Path(path), str(path), _cutter)


@lru_cache(maxsize=1)
def sheet_sizes() -> tuple[SheetSize, ...]:
    """The formats of layouts/sheets/, by file name. Raises `InputError` when the installation lacks them."""
    return tuple(_sheet_size(name) for name in _size_files())


@lru_cache(maxsize=1)
def _size_files() -> tuple[str, ...]:
    return tuple(name for name in resource_names("layouts", ".yaml") if name.startswith("sheets/"))


@lru_cache(maxsize=64)
def _sheet_size(name: str) -> SheetSize:
    return _from_file(resource_folder("layouts") / name, f"layouts/{name}", _size)


def _named_first(text: str) -> Iterator[SheetSize]:
    """The formats, that first whose file is called as the words say: mostly no other is read then."""
    words = [word for word in text.casefold().split() if word not in WAYS_UP]
    called = f"sheets/{'-'.join(words)}.yaml"
    if called in _size_files():
        yield _sheet_size(called)
    yield from sheet_sizes()


def _from_file(path: Path, shown: str, read: Callable[[Reader, Mapping], T]) -> T:
    """What a file holds. Raises `JobError` with every mistake in it, and its lines as they should read."""
    source = read_source(path, shown)
    try:
        return _from_source(source, read)
    except JobError as error:
        from decalgen.job.mending import mended_files

        def judge(texts: dict[str, str]) -> tuple[Problem, ...]:
            try:
                _from_source(source_of(texts[shown], shown) if shown in texts else source, read)
            except JobError as found:
                return found.problems
            return ()

        raise JobError(mended_files(error.problems, judge, {shown: source})) from None


def _from_source(source: Source, read: Callable[[Reader, Mapping], T]) -> T:
    problems = Problems()
    group = document(source, problems)
    if group is not None:
        try:
            found = read(Reader(problems, Scope(problems)), group)
            if not len(problems):
                return found
        except Told:
            pass
    raise JobError(problems.sorted())


def _film(reader: Reader, group: Mapping) -> Film:
    entry = reader.read(FilmEntry, group, "the film")
    width, height = entry.width, entry.height
    if entry.sheet is not None:
        node = group.get("sheet")
        place = node.place if node else group.place
        try:
            size = read_sheet(entry.sheet, _named_first(entry.sheet))
        except SizeProblem as problem:
            reader.problems.add(problem.message, place, problem.fix)
            raise Told from None
        if size is None:
            fix = what_to_say(entry.sheet, sheet_sizes())
            reader.problems.add(f"there is no format '{entry.sheet}'", place, fix)
            raise Told
        if width is not None or height is not None:
            reader.problems.add("the size is given twice", place, "keep either sheet, or width and height")
            raise Told
        width, height = size.width, size.height
    if width is None or height is None:
        reader.problems.add("the film has no size", group.place, "add sheet: A5, or width and height")
        raise Told
    used = tuple(UsedArea(*area.at, *area.size) for area in entry.used)
    if entry.opacity is not None:
        try:
            FilmLook(_kind(entry.kind), opacity=entry.opacity)
        except ColourError as error:
            node = group.get("opacity")
            reader.problems.add(error.message, node.place if node else group.place, error.fix)
            raise Told from None
    if entry.price:
        try:
            typed_price(entry.price)
        except ValueError as error:
            node = group.get("price")
            what, _, fix = str(error).partition("; ")
            reader.problems.add(what, node.place if node else group.place, fix)
            raise Told from None
    return Film(
        entry.film,
        _kind(entry.kind),
        _process(entry.process),
        width,
        height,
        used,
        entry.sheets,
        entry.adhesive,
        price=entry.price,
        colour=entry.colour or "",
        opacity=entry.opacity,
    )


def _printer(reader: Reader, group: Mapping) -> Printer:
    node = group.get("colour")
    swatches, profile, history = None, "", None
    wrong = False
    if node is not None:
        try:
            swatches, profile = read_swatches(reader, node)
        except Told:
            wrong = True
    try:
        history = read_history(reader, group)
    except Told:
        wrong = True
    entry = reader.read(PrinterEntry, group, "the printer", also=PRINTER_GROUPS)
    if wrong:
        raise Told
    left, right, bottom, top = entry.margins
    newest = history.newest if history else None
    scale_x, scale_y, lean = newest.correction if newest else (entry.scale_x, entry.scale_y, entry.lean)
    return Printer(
        name=entry.printer,
        process=_process(entry.process),
        margins=(left, right, bottom, top),
        scale_x=scale_x,
        scale_y=scale_y,
        lean=lean,
        history=history,
        dpi=entry.dpi,
        white=entry.white,
        misregister=entry.misregister,
        shortest_sheet=entry.shortest_sheet,
        swatches=swatches,
        profile=profile,
        notes=tuple(reader.problems.notes),
    )


def _cutter(reader: Reader, group: Mapping) -> Cutter:
    entry = reader.read(CutterEntry, group, "the cutter")
    return Cutter(entry.cutter, entry.scale_x, entry.scale_y, entry.waste_frame or 0.0)


def _size(reader: Reader, group: Mapping) -> SheetSize:
    entry = reader.read(SheetEntry, group, "the sheet")
    return SheetSize(entry.sheet, entry.width, entry.height, entry.source)


def _kind(word: str) -> FilmKind:
    return "white" if word == "white" else "clear"


def _process(word: str) -> Process:
    return "laser" if word == "laser" else "inkjet"
