"""Which printer a proof or a sheet is sent to from the page, with its tray and types of paper: kept in the user's data
folder, by the printer profile that it is printed with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace
from pathlib import Path
from typing import Literal

from decalgen.core.errors import DecalgenError
from decalgen.core.files import make_folder, write_files
from decalgen.core.kept import Form, MisfitError, plain, read_kept, value_of, write_kept
from decalgen.core.small_files import is_ordinary, read_small_text
from decalgen.core.values import dataclass
from decalgen.workshop.drawer import data_folder

Purpose = Literal["proof", "film"]
"""What is printed: the proof on plain paper, or the sheet on film."""
FORM = Form("decalgen printer choice", 1, 1, "a file of the printers chosen", "delete it, and choose again")
LARGEST = 200_000
MOST = 200
"""So many choices are kept, the newest."""


@dataclass(frozen=True)
class PrinterChoice:
    """``printer``: what tells it from every other, '' for none; ``name``: what it is called; ``tray``, ``plain`` and
    ``film``: its own words for the tray, and for the paper of a proof and of film; '' for those of the profile, or what
    the printer has set."""

    printer: str = ""
    name: str = ""
    tray: str = ""
    plain: str = ""
    film: str = ""

    def paper(self, purpose: Purpose) -> str:
        """The type of paper for that."""
        return self.film if purpose == "film" else self.plain

    def with_paper(self, purpose: Purpose, word: str) -> PrinterChoice:
        """The same with another type of paper for that."""
        return replace(self, film=word) if purpose == "film" else replace(self, plain=word)


@dataclass(frozen=True)
class KeptChoices:
    """The choices by profile, the newest last."""

    of: Mapping[str, PrinterChoice] = field(default_factory=dict)


def choices_file() -> Path:
    """Where the choices are kept."""
    return data_folder() / "printers-chosen.json"


def profile_key(printer: str, folder: Path) -> str:
    """What a choice is kept by: the profile by its words, or the printer file in the job's folder; '' for none."""
    if printer.lower().endswith((".yaml", ".yml")):
        return str((folder / printer).resolve())
    return " ".join(printer.split()).casefold()


def chosen_printer(profile: str) -> PrinterChoice:
    """What was chosen for a profile. What cannot be read was never chosen."""
    return _read().of.get(profile, PrinterChoice())


def keep_choice(profile: str, choice: PrinterChoice) -> None:
    """Keeps a choice. Raises OutputError where the data folder cannot be written."""
    rest = {key: one for key, one in _read().of.items() if key != profile}
    rows = dict([*rest.items(), (profile, choice)][-MOST:])
    path = choices_file()
    make_folder(path.parent)
    write_files({path: write_kept(FORM, plain(KeptChoices(rows)))})


def _read() -> KeptChoices:
    path = choices_file()
    if not is_ordinary(path):
        return KeptChoices()
    try:
        _, data = read_kept(read_small_text(path, LARGEST), FORM, str(path))
        found: KeptChoices = value_of(KeptChoices, data, "the choices")
        return found
    except (DecalgenError, MisfitError):
        return KeptChoices()
