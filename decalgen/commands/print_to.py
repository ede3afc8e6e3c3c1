"""What `--to` does: gives the files of a proof or a sheet to a printer, once, and keeps what was sent."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from decalgen.commands.again import record_text
from decalgen.commands.options import Made, PrintFile, Result
from decalgen.commands.print_pages import turned
from decalgen.core.command_line import quoted, typed
from decalgen.core.errors import InputError, OutputError, PrintingError
from decalgen.core.files import make_folder, write_files
from decalgen.core.small_files import is_ordinary, signature
from decalgen.core.unfinished import alone
from decalgen.core.values import dataclass
from decalgen.sheet.record import CANCELLED, RECORD_ENDING, Record, SentSheet, mark_of, read_record, write_record
from decalgen.workshop.drawer import data_folder
from decalgen.workshop.printers.by_hand import by_hand
from decalgen.workshop.printers.places import BY_HAND, Destination, DialogPlace, IppPlace, QueuePlace
from decalgen.workshop.printers.queues import queue_file, queue_options, queue_page
from decalgen.workshop.printers.sending import ON_ITS_WAY, PRINTED, Errand, Hears, Sent, send, unheard
from decalgen.workshop.printers.settings import PageSetup, only_turned

Keep = Callable[[Sent], None]
ON_FILM = " on film at 100 %"
"""Ends what is said of a file that is still to be printed."""
MOST_RECORDS = 40
"""So many records beside a print, the newest, are looked through for what was sent of it."""


@dataclass(frozen=True)
class PrintTo:
    """A printer as asked for: where it is, and how it was ``named``; ``tray`` and ``paper``: by its own words, empty:
    those of the kept profile, and what it has set; ``hears``: is told what is done just now."""

    place: Destination
    named: str
    tray: str = ""
    paper: str = ""
    hears: Hears = unheard


def print_proof(made: Made, to: PrintTo, there: bool = False) -> Result:
    """Writes a proof, and prints it; ``there``: of its files only those that do not lie there yet are written. Raises
    PrintingError where the printer would not print it as it is, or a page was not printed; the files are written all
    the same."""
    missing = {path: data for path, data in made.files.items() if not (there and is_ordinary(path))}
    result = replace(made, files=missing).write()
    lines: list[str] = []
    for at, page in enumerate(made.prints):
        one, data = _laid(to, page, made.files[page.path], lines)
        name = f"decalgen proof {_total(data)[:8]} {_token()}"
        with _holding_back(page, made.prints[at + 1 :]):
            # Plain paper may wait at the printer for the page before it.
            lines += _given(to, one, Errand(data, name, _setup(to, one)), _unkept).told(at_work=True)
    return _told(result, lines, to)


def print_film(made: Made, to: PrintTo, again: bool = False) -> Result:
    """Writes the sheets with their record, and prints those that were not sent yet; ``again``: once more all, or those
    that went fewer times than others. Each is noted in the record before it is sent, and only once it is printed the
    next one follows: one on other film, which has to be loaded, by another run. Raises PrintingError as `print_proof`,
    where every sheet was sent before, and while another run prints film."""
    assert made.record is not None
    with printing_alone():
        totals = {one.sheet: _total(made.files[one.path]) for one in made.prints}
        known = sent_before(made.record, totals)
        times = {page.sheet: known[page.sheet].times if page.sheet in known else 0 for page in made.prints}
        most = max(times.values()) if again else 1
        due = [page for page in made.prints if times[page.sheet] < most] or (list(made.prints) if again else [])
        if not due:
            raise _sent_already(known, to.named)
        result = made.write()
        passed = times.keys() - {page.sheet for page in due}
        lines = [f"sheet {sheet} was sent before ({known[sheet]}): it is not sent again" for sheet in sorted(passed)]
        # A dialog is opened by hand: there nothing is on its way before its film is loaded.
        first = due if isinstance(to.place, DialogPlace) else [page for page in due if page.film == due[0].film]
        rest = [page for page in due if page not in first]
        for at, page in enumerate(first):
            if len(made.prints) > 1:
                lines.append(_load(page))
                to.hears(lines[-1])
            one, data = _laid(to, page, made.files[page.path], lines)
            record = _read(made.record)
            name = f"decalgen {mark_of(record)} sheet {one.sheet} of {len(made.prints)} {_token()}"
            errand = Errand(data, name, _setup(to, one))
            keep = _keeper(made.record, record, one, errand, to.place, "" if one is page else totals[one.sheet])
            with _holding_back(page, [*first[at + 1 :], *rest]):
                given = _given(to, one, errand, keep)
                lines += given.told(at_work=page is first[-1] and not rest)
    if rest:
        lines.append(f"not sent yet: {', '.join(map(_named, rest))}; {_sends_the_rest(rest[0])}")
    told = _told(result, lines, to)
    if rest:
        return replace(told, answer=replace(told.answer, next=f"load '{rest[0].film}', then run this again"))
    if given.outcome == ON_ITS_WAY and isinstance(to.place, IppPlace):
        told = replace(told, answer=replace(told.answer, next=f"see that it comes out; {told.answer.next}"))
    return told


def _sends_the_rest(page: PrintFile) -> str:
    return f"load '{page.film}' and run this again: it sends only what was not sent"


@dataclass(frozen=True)
class _Given:
    """What came of giving a file to a printer, as in `Sent`; of one that is printed by hand 'printed', as nobody can
    look. ``lines``: what has to be told."""

    outcome: str
    lines: list[str]

    def told(self, at_work: bool) -> list[str]:
        """The lines of a file that was printed; ``at_work``: the printer may still be at it. Raises _NotPrintedError
        for any other."""
        if self.outcome == PRINTED or (self.outcome == ON_ITS_WAY and at_work):
            return self.lines
        raise _NotPrintedError(self)


class _NotPrintedError(PrintingError):
    """A file that went to a printer, and was not seen to be printed."""

    def __init__(self, given: _Given) -> None:
        super().__init__("; ".join(given.lines), fix="look at the printer and at what came out of it")
        self.resends = given.outcome == CANCELLED


def _load(page: PrintFile) -> str:
    return f"sheet {page.sheet}: load '{page.film}'"


@contextmanager
def _holding_back(page: PrintFile, rest: Sequence[PrintFile]) -> Iterator[None]:
    """Where a page was not printed, names the ``rest``, which is not sent, and of film what to load for what a next run
    sends first."""
    try:
        yield
    except PrintingError as error:
        # What was refused or cancelled counts as not sent, and is the first that the next run sends.
        due = rest if isinstance(error, _NotPrintedError) and not error.resends else [page, *rest]
        said, fix = f"{_named(page)}: {error.message}" if page.sheet else error.message, [error.fix]
        if rest:
            said += f"; not sent: {', '.join(map(_named, rest))}"
            if page.sheet:
                fix.append(f"then {_sends_the_rest(due[0])}")
            else:
                files = ", ".join(quoted(str(one.path)) for one in rest)
                fix.append(f"run again, this prints every sheet once more: for the rest alone open {files}, by hand")
        raise PrintingError(said, fix="; ".join(fix)) from None


def _named(page: PrintFile) -> str:
    return f"sheet {page.sheet} ('{page.film}')" if page.sheet else quoted(str(page.path))


@dataclass(frozen=True)
class SentBefore:
    """What a printer got of a sheet last, the record that says so, and how many ``times`` it went in all."""

    record: Path
    sent: SentSheet
    times: int

    def __str__(self) -> str:
        return self.sent.words


def sent_before(record: Path, totals: Mapping[int, str]) -> dict[int, SentBefore]:
    """By the number of its sheet, the last time that a file of those SHA-256 went to a printer, unless nothing can have
    come out. All records beside this one are looked at: with another cutting file, or under another name, it is the
    same film. Raises InputError where its own record cannot be read."""
    found: dict[int, SentBefore] = {}
    for path in [*(one for one in _records(record) if one != record), record]:
        for one in _sent(path, totals.values(), own=path == record):
            for sheet, total in totals.items():
                if total in (one.sha256, one.of) and one.perhaps_printed:
                    found[sheet] = SentBefore(path, one, found[sheet].times + 1 if sheet in found else 1)
    return {sheet: found[sheet] for sheet in sorted(found)}


def _records(beside: Path) -> list[Path]:
    """The records of a folder, the newest last, as many as are looked through."""
    with suppress(OSError):
        paths = [one for one in beside.parent.glob(f"*{RECORD_ENDING}") if is_ordinary(one)]
        return sorted(paths, key=lambda one: (signature(one) or (0, 0, 0), one.name))[-MOST_RECORDS:]
    return []


def _sent(path: Path, totals: Collection[str], own: bool) -> tuple[SentSheet, ...]:
    """What printers got of a print; of one that is not ``own`` only where it holds one of those files."""
    if not is_ordinary(path):
        return ()
    try:
        text = record_text(path)
        if not own and not any(total in text for total in totals):
            return ()
        return read_record(text, str(path)).sent
    except InputError as error:
        if not own:
            return ()
        fix = f"look whether the sheet was printed before; if not, move '{path}' away and print"
        raise InputError(error.message, fix=fix) from None


@contextmanager
def printing_alone() -> Iterator[None]:
    """While it lasts no other run prints film: two could both find that a sheet was not sent yet. Raises PrintingError
    where another one does. Where no lock can be had, it is gone on without."""
    with suppress(OutputError):
        make_folder(data_folder())
    with alone(data_folder() / "printing.lock") as mine:
        if not mine:
            raise PrintingError("another run of decalgen prints film just now", fix="wait until it is done, then look")
        yield


def _read(path: Path) -> Record:
    return read_record(record_text(path), str(path))


def _laid(to: PrintTo, one: PrintFile, data: bytes, lines: list[str]) -> tuple[PrintFile, bytes]:
    """The page as the printer takes it, and the bytes of its file: turned, and told, where the printer knows its sheet
    only the other way round. A queue has its printer's sheets upright, as printers list them."""
    if isinstance(to.place, IppPlace):
        turns = only_turned(to.place.able, one.width, one.height)
    else:
        turns = isinstance(to.place, QueuePlace) and one.width > one.height
    if not turns:
        return one, data
    other, data = turned(one)
    write_files({other.path: data})
    lines.append(
        f"'{to.place.name}' takes this sheet as {other.width:g} × {other.height:g} mm: the page was turned by a "
        f"quarter, anticlockwise, in the file that it got, '{other.path}'; nothing is scaled"
    )
    return other, data


def _total(data: bytes) -> str:
    return sha256(data).hexdigest()


def _sent_already(known: dict[int, SentBefore], named: str) -> PrintingError:
    rows = "; ".join(f"sheet {sheet} {one}" for sheet, one in known.items())
    again = typed(["decalgen", "sheet", "--again", next(iter(known.values())).record, "--to", named])
    return PrintingError(
        f"this was sent already: {rows}; nothing was sent now",
        fix=f"to print it on another sheet of film: `{again}`",
    )


def _keeper(path: Path, record: Record, one: PrintFile, errand: Errand, place: Destination, of: str) -> Keep:
    """Keeps in a record what is known of a sheet that is sent; ``of``: as in `SentSheet`."""

    def keep(sent: Sent) -> None:
        able = place.able if isinstance(place, IppPlace) else None
        note = SentSheet(
            one.sheet,
            one.path.name,
            _total(errand.data),
            place.name,
            able.uuid if able else "",
            str(place.client.address) if isinstance(place, IppPlace) else "",
            sent.job,
            errand.name,
            sent.asked,
            sent.kept,
            sent.outcome,
            of,
        )
        write_files({path: write_record(replace(record, sent=(*record.sent, note)))})

    return keep


def _unkept(_: Sent) -> None:
    """A proof on plain paper may be printed as often as one likes: nothing is kept of it."""


def _setup(to: PrintTo, one: PrintFile) -> PageSetup:
    """The page with tray and paper: as asked for, else those of the kept profile where the printer can be told."""
    tray, paper = to.tray, to.paper
    if isinstance(to.place, IppPlace):
        able = to.place.able
        tray = tray or (one.tray if able.all("media-source-supported") else "")
        paper = paper or (one.paper_type if able.all("media-type-supported") else "")
    return PageSetup(one.width, one.height, tray, paper)


def _given(to: PrintTo, one: PrintFile, errand: Errand, keep: Keep) -> _Given:
    """What came of giving one file to a printer. Raises PrintingError that names the file."""
    try:
        if isinstance(to.place, IppPlace):
            lost = _margins_lost(to.place, one)
            sent = send(to.place.client, to.place.able, errand, keep, to.hears)
            return _Given(sent.outcome, [*sent.lines, *lost])
        if isinstance(to.place, QueuePlace):
            return _Given(ON_ITS_WAY, _queued(to.place, one, errand, keep))
        page = replace(errand.page, tray=to.tray or one.tray, paper=to.paper or one.paper_type)
        rows = by_hand(one.path, page, film=bool(one.sheet))
        none = f"no printer '{to.named}' was found, nor any other: it goes through the print dialog"
        return _Given(PRINTED, rows if to.named.strip().casefold() == BY_HAND else [none, *rows])
    except PrintingError as error:
        raise type(error)(error.message, fix=f"{error.fix}; the file is {quoted(str(one.path))}") from None


def _margins_lost(place: IppPlace, one: PrintFile) -> list[str]:
    """What is told of edges that the printer leaves bare and its profile does not: what lies there is cut off."""
    rows = []
    for side, counted in zip(("left", "right", "bottom", "top"), one.margins or (), strict=False):
        bare = place.able.least_margin(side) / 100
        if bare > counted + 0.05:
            rows.append(f"{bare:g} mm {side} (its profile: {counted:g} mm)")
    if not rows:
        return []
    return [f"'{place.name}' leaves more of the sheet bare than was counted on, and cuts off what lies there: "
            f"{', '.join(rows)}; write its true margins into its printer file"]  # fmt: skip


def _queued(place: QueuePlace, one: PrintFile, errand: Errand, keep: Keep) -> list[str]:
    page, told = queue_page(place.queue, errand.page, one.tray, one.paper_type)
    asked = queue_options(place.queue, page)
    sent = Sent("", tuple((name, value) for name, _, value in (option.partition("=") for option in asked)))
    keep(sent)
    try:
        queued = queue_file(place.queue, str(one.path.resolve()), errand.name, asked)
    except PrintingError:
        keep(replace(sent, outcome=CANCELLED))
        raise
    keep(replace(sent, job=queued.number))
    said = f"; the queue says: {queued.said}" if queued.said else ""
    return [
        *told,
        f"'{place.name}': given to the computer's queue as {queued.number}, as this printer has no address of its own"
        f"{said}",
        "a queue may drop 'no scaling'; the page is as large as the sheet, so nothing should scale: measure the bars",
    ]


def _told(result: Result, lines: Sequence[str], to: PrintTo) -> Result:
    """The result with what was printed; where a printer has it, the next step is what comes after printing."""
    answer = replace(result.answer, whole=(*(result.answer.whole or result.lines), *lines))
    if not isinstance(to.place, DialogPlace):
        groups = (
            replace(one, purpose="sent to the printer") if one.purpose.startswith("print on") else one
            for one in answer.groups
        )
        answer = replace(answer, next=_after(answer.next), groups=tuple(groups))
    return replace(result, lines=(*result.lines, *lines), answer=answer)


def _after(step: str) -> str:
    """What comes after printing in a next step that begins with it."""
    _, mark, rest = step.partition(ON_FILM)
    if mark:
        return rest.lstrip(",; ").removeprefix("then ") or "let the sheet dry before you cut it"
    return step.removeprefix("print it, ")


def _token() -> str:
    """Tells a job at the printer from every other one of ours."""
    from secrets import token_hex

    return token_hex(2)
