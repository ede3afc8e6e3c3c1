"""The printer profiles in the user's data folder: one readable file for each printer, film, tray and way of feeding.

A profile is a printer file that also says what it holds for and how it was calibrated. It is named by words, such as
"kitchen inkjet", or "kitchen inkjet, rear" where a tray or a way of feeding has to be told apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.core.errors import FilmError, InputError, did_you_mean
from decalgen.core.names import slug
from decalgen.core.small_files import signature
from decalgen.core.values import dataclass
from decalgen.job.films import load_printer
from decalgen.job.model import Film, Printer
from decalgen.printer.history import Setting

if TYPE_CHECKING:
    from decalgen.sheet.arrange import Arrangement

MOST = 500
"""No folder of profiles holds more."""


@dataclass(frozen=True)
class Kept:
    """A profile and its file."""

    path: Path
    printer: Printer
    setting: Setting

    @property
    def words(self) -> str:
        """What tells it from every other profile."""
        return f"{self.printer.name}: {self.setting}"


def folder() -> Path:
    """Where profiles are kept."""
    from decalgen.workshop.drawer import data_folder

    return data_folder() / "printers"


def kept() -> tuple[Kept, ...]:
    """All profiles, by file name. Raises JobError for a mistake in one, InputError for two of one name."""
    try:
        paths = sorted(path for path in folder().glob("*.yaml") if path.is_file())
    except OSError as error:
        raise InputError(
            f"the folder '{folder()}' cannot be read: {(error.strerror or str(error)).lower()}",
            fix="name a folder of your own in the variable DECALGEN_DATA",
        ) from None
    if len(paths) > MOST:
        raise InputError(f"'{folder()}' holds {len(paths)} profiles", fix=f"keep to {MOST}: move old ones away")
    return _read(tuple((path, signature(path)) for path in paths))


@lru_cache(maxsize=2)
def _read(files: tuple[tuple[Path, object], ...]) -> tuple[Kept, ...]:
    """The profiles of some files, which are read again once one of them changed."""
    found: dict[tuple[str, ...], Kept] = {}
    for path, _ in files:
        printer = load_printer(path)
        if printer.history is None or printer.history.setting is None:
            raise InputError(
                f"the profile '{path}' does not say for which film it holds",
                fix="add a line such as: for: {film: white A5, kind: white, width: 148 mm, height: 210 mm}",
            )
        one = Kept(path, printer, printer.history.setting)
        twin = found.setdefault(_key(printer.name, one.setting), one)
        if twin is not one:
            raise InputError(
                f"two profiles are of one name, '{one.words}': '{twin.path}' and '{path}'",
                fix="move one of them out of the folder, or give it another tray, feed or printer name",
            )
    return tuple(found.values())


def _key(name: str, setting: Setting) -> tuple[str, ...]:
    parts = (name, setting.film, setting.kind, setting.tray, setting.feed)
    sizes = (f"{setting.width:.1f}", f"{setting.height:.1f}")
    return (*(" ".join(part.split()).casefold() for part in parts), *sizes)


def is_file(named: str) -> bool:
    """Whether `--printer` names a file, not a profile by words."""
    return named.lower().endswith((".yaml", ".yml")) or "/" in named or "\\" in named or Path(named).is_file()


def matching(words: str) -> tuple[Kept, ...]:
    """The profiles that words name: a printer, after commas a tray, a way of feeding or a film.

    Raises InputError where there is none.
    """
    everything = kept()
    name, *more = (" ".join(part.split()).casefold() for part in words.split(","))
    rest = ", ".join(part for part in more if part)
    of_name = [one for one in everything if one.printer.name.casefold() == name]
    if not of_name:
        names = sorted({one.printer.name for one in everything})
        fix = did_you_mean(name, names) if names else "name a printer file ending in .yaml, or keep a profile first"
        raise InputError(
            f"no profile is kept of a printer '{words.split(',')[0].strip()[:60]}'",
            fix=f"{fix} (`decalgen calibrate history` lists them)",
        )
    found = [one for one in of_name if _says(one.setting, rest)]
    if not found:
        raise InputError(f"no profile is kept of '{words[:100]}'", fix=f"choose from: {_list(of_name)}")
    return tuple(found)


def _says(setting: Setting, words: str) -> bool:
    """Whether words with commas between them say nothing but this setting's film, tray and feed (in small letters)."""
    film, tray = (" ".join(part.split()).casefold() for part in (setting.film, setting.tray))
    known = [film, setting.feed, *((tray, f"tray {tray}", f"{tray} tray") if tray else ())]
    rest = f", {words},"
    # The longest first, and whole: a film's name may hold a comma itself.
    for one in sorted(known, key=len, reverse=True):
        rest = rest.replace(f", {one},", ",")
    return not rest.strip(", ")


def fits(setting: Setting, film: Film) -> bool:
    """Whether a profile holds for a film."""
    return setting.takes(film.kind, film.width, film.height, film.adhesive)


def printer_named(named: str) -> Printer:
    """The printer of a file, or of words, whichever film it is for: what it is and can, not how it is corrected."""
    return load_printer(named) if is_file(named) else matching(named)[0].printer


def printer_for(named: str, film: Film) -> Printer:
    """The printer with its correction for a film.

    Raises FilmError where its profile is for another film or several hold, InputError where there is no such profile.
    """
    if is_file(named):
        printer = load_printer(named)
        setting = printer.history.setting if printer.history else None
        if setting is not None and film.process == printer.process and not fits(setting, film):
            raise FilmError(
                f"the profile '{named}' is for another film: for {setting}, not for '{film.name}' "
                f"({film.kind}, {film.width:g} × {film.height:g} mm)",
                fix="calibrate the printer with this film (`decalgen calibrate print`), or name its plain file",
            )
        return printer
    everything = matching(named)
    # Inkjet film on a laser printer is refused elsewhere, whatever profiles there are.
    if everything[0].printer.process != film.process:
        return everything[0].printer
    found = [one for one in everything if fits(one.setting, film)]
    if len(found) > 1:
        found = [one for one in found if one.setting.film.casefold() == film.name.casefold()] or found
    if not found:
        raise FilmError(
            f"'{named}' has no profile for the film '{film.name}' ({film.kind}, {film.width:g} × {film.height:g} mm); "
            f"it has: {_list(everything)}",
            fix="print its target on this film and read it: `decalgen calibrate print`, then `calibrate read --keep`",
        )
    if len(found) > 1:
        raise FilmError(
            f"'{named}' has {len(found)} profiles for the film '{film.name}': {_list(found)}",
            fix=f'say which: --printer "{found[0].printer.name}, {_apart(found)}"',
        )
    return found[0].printer


def _list(found: Sequence[Kept]) -> str:
    return "; ".join(str(one.setting) for one in found)


def _apart(found: Sequence[Kept]) -> str:
    """Words that tell the first profile from the others."""
    first, *others = (one.setting for one in found)
    for words in (first.tray, first.feed, first.film):
        if words and not any(_says(other, words.casefold()) for other in others):
            return words
    return ", ".join(part for part in (first.tray, first.feed, first.film) if part)


def bars_to_read(named: str | None, arrangement: Arrangement) -> list[str]:
    """For each profile an arrangement is printed by, the command that takes what is measured on its film: from cross to
    cross, where two are far enough apart to tell anything."""
    # Only a print with a record asks for it, and it brings all that nests.
    from decalgen.sheet.marks import cross_lengths

    if named is None or is_file(named):
        return []
    rows = []
    for sheet in arrangement.sheets:
        setting = sheet.printer.history.setting if sheet.printer.history else None
        lengths = [one for one in cross_lengths(sheet.furniture.registration) if one.measured]
        if setting is None or not lengths:
            continue
        words = ", ".join(part for part in (sheet.printer.name, setting.film, setting.tray, setting.feed) if part)
        typed = " ".join(f"--{one.axis} … --asked-{one.axis} {one.length:g}" for one in lengths)
        pairs = " and ".join(f"the {one.which}" for one in lengths)
        rows.append(
            f"when sheet {sheet.index} is dry, measure from cross to cross, {pairs}: "
            f'decalgen calibrate bars "{words}" {typed} --date …'
        )
        rows += [
            f"  {one.length:g} mm is short: it can show that the print is wrong, not that it is right"
            for one in lengths
            if not one.proves
        ]
    return list(dict.fromkeys(rows))


def file_for(printer: str, setting: Setting) -> Path:
    """Where the profile of a printer with a setting lies, or will lie."""
    for one in kept():
        if _key(one.printer.name, one.setting) == _key(printer, setting):
            return one.path
    stem = slug(f"{printer} {setting.film} {setting.tray} {setting.feed}", "printer")
    path, n = folder() / f"{stem}.yaml", 1
    while path.exists():
        n += 1
        path = folder() / f"{stem}-{n}.yaml"
    return path


def profile_file(named: str | None, printer: Printer) -> Path:
    """The file of a printer's ICC profile, which lies beside the file or the kept profile that names it."""
    here = Path(named) if named and is_file(named) else matching(printer.name)[0].path
    return here.parent / printer.profile
