"""Printing from the page: which printer gets the proof or the sheet, what it can, and what came of it. It is sent by
what the commands send it by.

Each press is for one print: the page sends along which print it is for, and a press for one that was asked for already,
by a second click, another tab, or a page that was drawn before, is refused. Film that went to a printer is known by the
record as well, and goes again only where that is ticked.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from decalgen.bench.busy import BusyError
from decalgen.bench.page_words import on_page
from decalgen.bench.print_choice import PrinterChoice, Purpose, chosen_printer, keep_choice, profile_key
from decalgen.bench.print_files import proof_path, sheet_path
from decalgen.bench.typed_film import typed_text
from decalgen.commands.inputs import films_of, printer_in, printers_of
from decalgen.commands.options import from_drawer
from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.visible import visible
from decalgen.job.edits import EditError
from decalgen.job.model import Printer
from decalgen.workshop.printers.by_hand import dialog_settings
from decalgen.workshop.printers.places import BY_HAND
from decalgen.workshop.printers.settings import knows, only_turned

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace
    from decalgen.commands.options import Made
    from decalgen.commands.print_to import PrintTo
    from decalgen.commands.printers import SurveyedPrinter
    from decalgen.job.model import Film

DIALOG = "the print dialog, by hand"
NONE = (
    "No printer was found: none is set up on this computer, and none answers on this network. Name one by its address, "
    "or print through the dialog."
)
AGAIN = "Print it once more, on another sheet of film"


# ------------------------------------------------------------------------------------------------------ what it shows
def printing_state(place: Workplace, purpose: Purpose) -> dict[str, Any]:
    """The printers found, the one chosen with what it can, and what was printed last."""
    desk, choice = place.printing, _choice(place)
    if choice.printer not in ("", BY_HAND) and not desk.search.looked and not place.results.get("printers"):
        # What was chosen before is asked what it can, so that its trays can be chosen from.
        desk.search.look(place, choice.printer)
    row = desk.search.row(choice.printer)
    sent = place.proof_on_disk().sent if purpose == "film" else {}
    return {
        "looking": desk.search.busy,
        "looked": desk.search.looked,
        "none": NONE if desk.search.looked and not desk.search.rows else "",
        "wrong": place.results.get("printers", {}),
        "printers": _offered(desk.search.rows, choice),
        "chosen": choice.printer,
        "can": _can(place, choice, row),
        "tray": choice.tray,
        "trays": _words(place, row, "media-source-supported", choice.tray),
        "paper": choice.paper(purpose),
        "papers": _words(place, row, "media-type-supported", choice.paper(purpose)),
        "profile": place.choice.printer,
        "busy": place.busy if desk.busy else "",
        "turn": _turn(place),
        "sent": [visible(f"Sheet {number} went {words}.") for number, words in sent.items()],
        "again": AGAIN if sent and len(sent) == _sheets(place) else "",
        "said": place.results.get(f"print {purpose}", {}),
        "settings": _settings(place, purpose) if choice.printer == BY_HAND else [],
    }


def _turn(place: Workplace) -> str:
    """Which print the next press is for, in this run of the server."""
    return f"{place.run}.{place.printing.turn}"


def _choice(place: Workplace) -> PrinterChoice:
    return chosen_printer(profile_key(place.choice.printer, place.desk.path.parent))


def _offered(rows: Sequence[SurveyedPrinter], choice: PrinterChoice) -> list[tuple[str, str]]:
    """What can be chosen, each with its words."""
    found = [("", "none yet")]
    for one in rows:
        apart = f" ({one.found.note or one.found.address})" if one.twin else ""
        found.append((one.found.telling, visible(f"{one.found.name}{apart}")))
    if choice.printer not in ("", BY_HAND) and choice.printer not in [key for key, _ in found]:
        found.append((choice.printer, visible(choice.name or choice.printer)))
    return [*found, (BY_HAND, DIALOG)]


def _can(place: Workplace, choice: PrinterChoice, row: SurveyedPrinter | None) -> list[str]:
    """What the chosen printer can, a sentence each."""
    if choice.printer in ("", BY_HAND):
        return []
    if row is None:
        return ["It was not found; it is looked for again when you print."] if place.printing.search.looked else []
    told = [visible(f"{row.where}: {row.verdict}" if row.where else row.verdict)]
    if row.trouble is not None:
        return [*told, on_page(row.trouble.fix)]
    if row.able is None:
        return told
    for wide, high in _sizes(_films(place)):
        size = f"{wide:g} × {high:g} mm"
        if only_turned(row.able, wide, high):
            told.append(f"It knows a sheet of {size} only the other way round: the page is turned in the file it gets.")
        elif not knows(row.able, wide, high):
            told.append(f"It knows no sheet of {size}. It takes, in mm: {', '.join(row.able.sheets()[:8]) or 'none'}.")
        else:
            told.append(f"It takes a sheet of {size} as it is.")
    return told


def _sizes(films: Sequence[tuple[Film, Printer]]) -> list[tuple[float, float]]:
    """The sizes of sheets, mm, each once."""
    return list(dict.fromkeys((film.width, film.height) for film, _ in films))


def _films(place: Workplace) -> list[tuple[Film, Printer]]:
    """The film of each sheet that the pieces lie on, as far as it is known now, with the printer as its profile has it
    for that film."""
    laid, saved, options, job = place.table.laid, place.saved_proof(), place.options(), place.desk.job
    if laid is not None and laid.arrangement is not None:
        return [(sheet.film, sheet.printer) for sheet in laid.arrangement.sheets]
    if saved is None or job is None or from_drawer(options.films):
        return []
    names = {one.film for one in saved.positions}
    with suppress(DecalgenError):
        films = [film for film in films_of(options, [job], Printer(), saved) if film.name in names]
        printers = dict.fromkeys(names, Printer())
        with suppress(DecalgenError):
            printers = printers_of(replace(options, printer=options.printer or printer_in([job])), films)
        return [(film, printers[film.name]) for film in films]
    return []


def _sheets(place: Workplace) -> int:
    """How many sheets the print has."""
    saved = place.saved_proof()
    return len({(one.film, one.sheet) for one in saved.positions}) if saved else 0


def _words(place: Workplace, row: SurveyedPrinter | None, offer: str, chosen: str) -> list[tuple[str, str]]:
    """The printer's own words of one kind, to choose from; none where it has none."""
    words = [str(one) for one in row.able.all(offer)] if row is not None and row.able is not None else []
    if chosen and chosen not in words:
        words.append(chosen)
    first = "as the profile says" if place.choice.printer else "as it is set"
    return [("", first), *((one, one) for one in words)] if words else []


def _settings(place: Workplace, purpose: Purpose) -> list[str]:
    """What is set in the dialog, with tray and paper type as the kept profile has them; a proof takes the tray alone,
    that of its first film, as it does where it is sent."""
    films = _films(place)
    sizes = [f"{wide:g} × {high:g} mm" for wide, high in _sizes(films)] or ["as large as the sheet"]
    kept = [printer.history.setting for _, printer in films if printer.history and printer.history.setting]
    if purpose == "proof":
        kept = [replace(one, paper_type="") for one in kept[:1]]
    tray, paper = (
        " or ".join(dict.fromkeys(filter(None, words)))
        for words in ([one.tray for one in kept], [one.paper_type for one in kept])
    )
    return dialog_settings(" or ".join(sizes), purpose == "film", visible(tray), visible(paper))


# ------------------------------------------------------------------------------------------------------- what it does
def look(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Looks for printers, beside everything else."""
    place.printing.search.look(place, _choice(place).printer)


def by_address(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Asks the printer at the ``address`` that was typed, and chooses it. Raises PrintingError for what is no
    address."""

    def then(one: SurveyedPrinter) -> None:
        _keep(place, PrinterChoice(one.found.telling, one.found.name))

    place.printing.search.ask(place, typed_text(asked, "address"), then)


def choosing(purpose: Purpose) -> Callable[[Workplace, Mapping[str, Any]], None]:
    """The act that chooses a ``printer``, or a ``tray`` or ``paper`` of the one that is chosen; it is kept for the next
    time. Raises InputError for none of those that are offered."""

    def choose(place: Workplace, asked: Mapping[str, Any]) -> None:
        choice, rows = _choice(place), place.printing.search.rows
        if "printer" in asked:
            key = typed_text(asked, "printer")
            if key != choice.printer:
                name = dict(_offered(rows, choice)).get(key)
                if name is None:
                    raise InputError("that printer is not there any more", fix="look for printers again")
                choice = PrinterChoice(key, name if key else "")
        row = place.printing.search.row(choice.printer)
        for what, offer, before in (
            ("tray", "media-source-supported", choice.tray),
            ("paper", "media-type-supported", choice.paper(purpose)),
        ):
            if what in asked:
                word = typed_text(asked, what)
                if word and word not in [one for one, _ in _words(place, row, offer, before)]:
                    raise InputError(f"the printer has no such {what}", fix="choose one from the list")
                choice = replace(choice, tray=word) if what == "tray" else choice.with_paper(purpose, word)
        _keep(place, choice)

    return choose


def _keep(place: Workplace, choice: PrinterChoice) -> None:
    keep_choice(profile_key(place.choice.printer, place.desk.path.parent), choice)
    place.tell(made="printers", version=place.desk.version)


def printing(purpose: Purpose) -> Callable[[Workplace, Mapping[str, Any]], None]:
    """The act that prints: ``turn``: which print the press is for; ``again``: film that went to a printer before.
    Raises EditError where that was asked for already, BusyError while something else is made."""

    def act(place: Workplace, asked: Mapping[str, Any]) -> None:
        choice = _choice(place)
        if place.printing.busy or asked.get("turn") != _turn(place):
            raise EditError(
                "that print was asked for already, so nothing more was sent",
                fix="see below what came of it; to print once more, press again",
            )
        if place.busy:
            raise BusyError(place.busy)
        if not choice.printer:
            raise InputError("no printer is chosen", fix="choose one, or the print dialog")
        work = _film_work(place, bool(asked.get("again"))) if purpose == "film" else _proof_work(place)
        place.desk.keep()
        _start(place, purpose, choice, work)

    return act


PrintWork = Callable[["PrintTo"], tuple["Made", tuple[str, ...]]]
"""Makes what is printed, and prints it: what was made, and what was said."""


def _start(place: Workplace, purpose: Purpose, choice: PrinterChoice, work: PrintWork) -> None:
    loop = asyncio.get_running_loop()
    place.printing.turn += 1
    place.printing.busy = True

    def now(words: str) -> None:
        if place.busy:
            place.busy = visible(words)
            place.tell(made="printing", version=place.desk.version)

    def hears(words: str) -> None:
        loop.call_soon_threadsafe(now, words)

    def run() -> dict[str, Any]:
        from decalgen.commands.print_to import PrintTo
        from decalgen.workshop.printers.places import place_of

        try:
            to = PrintTo(place_of(choice.printer), choice.printer, choice.tray, choice.paper(purpose), hears)
            made, lines = work(to)
        finally:
            place.printing.busy = False
        return {
            "files": [path.name for path in made.files],
            "groups": [],
            "lines": [visible(on_page(one)) for one in lines],
        }

    name = choice.name if choice.printer != BY_HAND else DIALOG
    place.start(f"print {purpose}", f"reaching {name or choice.printer}", run)


def _proof_work(place: Workplace) -> PrintWork:
    """The proof that lies beside the job, as it is. Raises InputError where it no longer holds."""
    saved, output = place.saved_proof(), proof_path(place.desk.path)
    if saved is None or place.changed_since_proof():
        raise InputError("there is no proof of the sheet as it is now", fix="make the proof first")
    paths, options = place.sheet_jobs(), place.options()

    def work(to: PrintTo) -> tuple[Made, tuple[str, ...]]:
        from decalgen.commands.print_to import print_proof
        from decalgen.commands.proof import make_proof
        from decalgen.commands.run import Run

        made = make_proof(Run(paths, options), output, saved, to_print=True)
        if sha256(made.files[output]).hexdigest() != dict((saved.proof or {}).get("files") or {}).get(output.name):
            raise InputError("the proof would come out differently by now", fix="make the proof again, and print that")
        return made, print_proof(made, to, there=True).lines[len(made.lines) :]

    return work


def _film_work(place: Workplace, again: bool) -> PrintWork:
    """The sheet for film, through the same gate as ever, with the cutting file that it was made with."""
    path, there = place.desk.path, place.proof_on_disk().sheet
    names = {name for group in there for name in group.names}
    cut = tuple(one for one in (path.with_name(f"{path.stem}-cut.svg"),) if one.name in names)
    paths, options = place.sheet_jobs(), place.options()

    def work(to: PrintTo) -> tuple[Made, tuple[str, ...]]:
        from decalgen.commands.options import SheetFiles
        from decalgen.commands.print_to import print_film
        from decalgen.commands.run import Run
        from decalgen.commands.sheet import make_sheet

        made = make_sheet(Run(paths, options), SheetFiles((sheet_path(path),), cut=cut, to_print=True))
        return made, print_film(made, to, again).lines[len(made.lines) :]

    return work


def print_acts(purpose: Purpose) -> dict[str, Callable[[Workplace, Mapping[str, Any]], None]]:
    """What can be done on a screen that prints."""
    return {"look": look, "address": by_address, "choose": choosing(purpose), "print": printing(purpose)}
