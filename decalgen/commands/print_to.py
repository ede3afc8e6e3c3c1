"""What `--to` does: gives the files of a proof or a sheet to a printer, once, and keeps what was sent."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from decalgen.commands.options import Made, PrintFile, Result
from decalgen.core.command_line import quoted, typed
from decalgen.core.errors import InputError, PrintingError
from decalgen.core.files import write_files
from decalgen.core.small_files import is_ordinary
from decalgen.core.values import dataclass
from decalgen.sheet.record import Record, SentSheet, mark_of, read_record, write_record
from decalgen.workshop.printers.by_hand import by_hand
from decalgen.workshop.printers.places import Destination, DialogPlace, IppPlace, QueuePlace
from decalgen.workshop.printers.queues import queue_file, queue_options
from decalgen.workshop.printers.sending import NOT_PRINTED, Errand, Sent, send
from decalgen.workshop.printers.settings import PageSetup

Keep = Callable[[Sent], None]
ON_FILM = " on film at 100 %"
"""Ends what is said of a file that is still to be printed."""


@dataclass(frozen=True)
class PrintTo:
    """A printer as asked for: where it is, and how it was ``named``; ``tray`` and ``paper``: by its own words, empty:
    those of the kept profile, and what it has set."""

    place: Destination
    named: str
    tray: str = ""
    paper: str = ""


def print_proof(made: Made, to: PrintTo) -> Result:
    """Writes a proof, and prints it. Raises PrintingError where the printer would not print it as it is; the files are
    written all the same."""
    result = made.write()
    lines: list[str] = []
    for one in made.prints:
        data = made.files[one.path]
        name = f"decalgen proof {sha256(data).hexdigest()[:8]} {_token()}"
        lines += _given(to, one, Errand(data, name, _setup(to, one)), _unkept)
    return _told(result, lines, to)


def print_film(made: Made, to: PrintTo, again: bool = False) -> Result:
    """Writes the sheets with their record, and prints those that were not sent yet; ``again``: all. Each is noted in
    the record before it is sent. Raises PrintingError as `print_proof`, and where every sheet was sent before."""
    assert made.record is not None
    before = sent_before(made.record)
    done = {} if again else {one.sheet: (one, _earlier(one, made.files[one.path], before)) for one in made.prints}
    known = {sheet: earlier for sheet, (_, earlier) in done.items() if earlier}
    if known and len(known) == len(made.prints):
        raise _sent_already(known, made.record, to.named)
    result = made.write()
    lines = [f"sheet {sheet} was sent before ({_words(one)}): it is not sent again" for sheet, one in known.items()]
    for one in made.prints:
        if one.sheet in known:
            continue
        data = made.files[one.path]
        record = _read(made.record)
        name = f"decalgen {mark_of(record)} sheet {one.sheet} of {len(made.prints)} {_token()}"
        errand = Errand(data, name, _setup(to, one))
        lines += _given(to, one, errand, _keeper(made.record, record, one, errand, to.place))
    return _told(result, lines, to)


def sent_before(record: Path) -> tuple[SentSheet, ...]:
    """What printers got of a print before; nothing where it has no record yet."""
    if not is_ordinary(record):
        return ()
    try:
        return _read(record).sent
    except InputError as error:
        fix = f"look whether the sheet was printed before; if not, move '{record}' away and print"
        raise InputError(error.message, fix=fix) from None


def _read(path: Path) -> Record:
    from decalgen.commands.again import record_text

    return read_record(record_text(path), str(path))


def _earlier(one: PrintFile, data: bytes, before: Sequence[SentSheet]) -> SentSheet | None:
    """The last time a sheet was sent, unless nothing can have come out."""
    total = sha256(data).hexdigest()
    sent = [it for it in before if it.sheet == one.sheet and it.sha256 == total and it.outcome not in NOT_PRINTED]
    return sent[-1] if sent else None


def _words(one: SentSheet) -> str:
    number = f"job {one.job}, " if one.job else ""
    return f"to '{one.printer}', {number}{one.outcome}"


def _sent_already(known: dict[int, SentSheet], record: Path, named: str) -> PrintingError:
    rows = "; ".join(f"sheet {sheet} {_words(one)}" for sheet, one in known.items())
    again = typed(["decalgen", "sheet", "--again", record, "--to", named])
    return PrintingError(
        f"this was sent already: {rows}; nothing was sent now",
        fix=f"to print it on another sheet of film: `{again}`",
    )


def _keeper(path: Path, record: Record, one: PrintFile, errand: Errand, place: Destination) -> Keep:
    """Keeps in a record what is known of a sheet that is sent."""

    def keep(sent: Sent) -> None:
        able = place.able if isinstance(place, IppPlace) else None
        note = SentSheet(
            one.sheet,
            one.path.name,
            sha256(errand.data).hexdigest(),
            place.name,
            able.uuid if able else "",
            str(place.client.address) if isinstance(place, IppPlace) else "",
            sent.job,
            errand.name,
            sent.asked,
            sent.kept,
            sent.outcome,
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


def _given(to: PrintTo, one: PrintFile, errand: Errand, keep: Keep) -> list[str]:
    """What came of giving one file to a printer. Raises PrintingError that names the file."""
    try:
        if isinstance(to.place, IppPlace):
            lost = _margins_lost(to.place, one)
            return [*send(to.place.client, to.place.able, errand, keep).lines, *lost]
        if isinstance(to.place, QueuePlace):
            return _queued(to.place, one, errand, keep)
        page = replace(errand.page, tray=to.tray or one.tray, paper=to.paper or one.paper_type)
        return by_hand(one.path, page, film=bool(one.sheet))
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
    asked = queue_options(place.queue, errand.page)
    sent = Sent("", tuple((name, value) for name, _, value in (option.partition("=") for option in asked)))
    keep(sent)
    try:
        number = queue_file(place.queue, str(one.path.resolve()), errand.name, asked)
    except PrintingError:
        keep(replace(sent, outcome="cancelled"))
        raise
    keep(replace(sent, job=number))
    return [
        f"'{place.name}': given to the computer's queue as {number}, as this printer has no address of its own",
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
