"""What goes on a sheet of the page and how it is nested: chosen on the page, kept in the user's data folder, not in the
job file, which says what a decal is and not what is printed today."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.commands.options import of_drawer
from decalgen.core.digests import digest_of
from decalgen.core.errors import DecalgenError, InputError, OutputError
from decalgen.core.files import make_folder, write_files
from decalgen.core.kept import Form, MisfitError, plain, read_kept, value_of, write_kept
from decalgen.core.small_files import is_ordinary, read_small_text
from decalgen.core.values import dataclass
from decalgen.nesting.model import Remnant
from decalgen.workshop.drawer import data_folder

if TYPE_CHECKING:
    from decalgen.commands.options import Options

FORM = Form("decalgen sheet choice", 1, 1, "a file of what goes on a sheet", "delete it, and choose again")
LARGEST = 100_000
MOST_WORDS = 200
MOST_JOBS = 40
MOST_FILMS = 20


@dataclass(frozen=True)
class SheetChoice:
    """``jobs``: names of further job files of the folder that go on this sheet; ``films``: as the commands take them,
    in order, 'drawer' for the film drawer or 'drawer' with the name of a sheet of it, none for A5 of each kind;
    ``printer``: a kept profile or a file of the folder, '' for what the jobs name; ``variant``: of all jobs, '' for
    none; the rest as in `Options`."""

    jobs: tuple[str, ...] = ()
    films: tuple[str, ...] = ()
    printer: str = ""
    variant: str = ""
    hands: str = "both"
    gap: float | None = None
    effort: str = "normal"
    seed: int | None = None
    leave: Remnant = "rectangle"

    def options(self, folder: Path) -> Options:
        """The same as the commands take it; names of files are looked up in the job's folder."""
        from decalgen.commands.options import Options

        return Options(
            films=tuple(_in_folder(folder, one) for one in self.films),
            printer=_in_folder(folder, self.printer) if self.printer else None,
            variant=self.variant or None,
            hands=self.hands,
            gap=self.gap,
            effort=self.effort,
            seed=self.seed,
            leave=self.leave,
        )


def changed(before: SheetChoice, now: SheetChoice) -> list[str]:
    """What of a choice is another by now, in words with what it was."""
    found = []
    for what, old, new in (
        ("jobs on the sheet", _listed(before.jobs, "this job alone"), _listed(now.jobs, "this job alone")),
        ("film", _listed(before.films, "A5 of each kind"), _listed(now.films, "A5 of each kind")),
        ("printer", before.printer or "none", now.printer or "none"),
        ("variant", before.variant or "none", now.variant or "none"),
        ("hands", before.hands, now.hands),
        ("gap", _gap(before.gap), _gap(now.gap)),
    ):
        if old != new:
            found.append(f"{what}: now {new}, on the proof {old}")
    return found


def _listed(words: tuple[str, ...], none: str) -> str:
    return ", ".join(words) if words else none


def _gap(gap: float | None) -> str:
    return "as usual" if gap is None else f"{gap:g} mm"


def _in_folder(folder: Path, words: str) -> str:
    """The path of a file that lies beside the job; other words as they are."""
    named = words.lower().endswith((".yaml", ".yml")) and not of_drawer(words)
    return str(folder / words) if named else words


def checked(choice: SheetChoice, asked: Mapping[str, Any]) -> SheetChoice:
    """A choice with what is asked for in place of what it had. Raises InputError for what cannot be chosen: no name
    that is asked for leads out of the job's folder."""
    known = plain(choice)
    for key, value in asked.items():
        if key in known:
            known[key] = value
    try:
        found: SheetChoice = value_of(SheetChoice, known, "the choice")
    except MisfitError as error:
        raise InputError(f"that cannot be chosen: {error}", fix="load the page again") from None
    words = [*found.jobs, *found.films, found.printer, found.variant]
    if len(found.jobs) > MOST_JOBS or len(found.films) > MOST_FILMS or any(len(one) > MOST_WORDS for one in words):
        raise InputError(
            "that is too much for one sheet", fix=f"choose {MOST_JOBS} jobs and {MOST_FILMS} films at most"
        )
    for name in words[:-1]:
        if of_drawer(name):
            continue
        if any(sign in _without_fractions(name) for sign in "/\\") or name.startswith("."):
            raise InputError(f"'{name}' is not in the folder of this job", fix="put the file beside the job file")
    return found


def _without_fractions(words: str) -> str:
    """Words without the stroke of a fraction of an inch, which leads to no folder."""
    return "".join(
        sign
        for n, sign in enumerate(words)
        if not (sign == "/" and words[n - 1 : n].isdigit() and words[n + 1 : n + 2].isdigit())
    )


@dataclass(frozen=True)
class KeptChoice:
    """The choice for a sheet, and what its proof was made with, None where that was not on the page."""

    now: SheetChoice = SheetChoice()
    proofed: SheetChoice | None = None


def choice_file(job: Path) -> Path:
    """Where the choice for the sheet of a job is kept."""
    return data_folder() / f"sheet-{digest_of(str(job.resolve()))[:16]}.json"


def read_choice(job: Path) -> KeptChoice:
    """What was chosen for the sheet of a job. What cannot be read was never chosen."""
    path = choice_file(job)
    if not is_ordinary(path):
        return KeptChoice()
    try:
        _, data = read_kept(read_small_text(path, LARGEST), FORM, str(path))
        found: KeptChoice = value_of(KeptChoice, data, "the choice")
        return replace(found, now=checked(found.now, {}))
    except (DecalgenError, MisfitError):
        return KeptChoice()


def write_choice(job: Path, choice: KeptChoice) -> None:
    """Keeps what was chosen; where the data folder cannot be written it holds while the page is open."""
    path = choice_file(job)
    try:
        make_folder(path.parent)
        write_files({path: write_kept(FORM, plain(choice))})
    except OutputError:
        return
