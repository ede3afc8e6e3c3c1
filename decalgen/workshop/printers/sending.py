"""One page, or a file of pages of one size, sent to a printer once: looked at before a byte of it is sent, never sent
again.

A printer is asked what it can; the settings are validated; an empty job is made and read back; only if the printer kept
what a true print needs does the document follow, else the job is cancelled and nothing is printed. After a silence the
job is asked for by its number or its name, for a request that timed out may have been printed all the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace

from decalgen.core.errors import PrintingError
from decalgen.core.values import dataclass
from decalgen.sheet.record import CANCELLED
from decalgen.workshop.printers.abilities import PDF, Abilities, check_able
from decalgen.workshop.printers.client import (
    BUSY,
    CANCEL_JOB,
    CREATE_JOB,
    FIRST_ERROR,
    GET_JOB,
    GET_JOBS,
    PRINT_JOB,
    SEND_DOCUMENT,
    VALIDATE_JOB,
    IppClient,
    SilenceError,
    UnclearError,
)
from decalgen.workshop.printers.messages import (
    BOOLEAN,
    COLLECTION,
    JOB,
    KEYWORD,
    MIME,
    NAME,
    UNSUPPORTED,
    Attributes,
    IppValues,
    Message,
    Tagged,
    first_value,
    of,
    plain,
)
from decalgen.workshop.printers.reasons import reasons
from decalgen.workshop.printers.settings import (
    MEDIA,
    SCALE,
    VITAL,
    PageSetup,
    differences,
    in_words,
    job_attributes,
    lesser_differences,
    shows,
)

DIALOG = "print the file through the computer's own dialog, at 100 %, and measure the bars"
NOT_SENT = "nothing was printed"
PRINTED = "printed"
ENDED = {7: CANCELLED, 8: "given up", 9: PRINTED}
"""Of job-state, by its number: what has come to an end (RFC 8011, 5.3.7)."""
ON_ITS_WAY = "sent"
UNKNOWN = "perhaps printed"


@dataclass(frozen=True)
class Errand:
    """What is to be printed: a PDF file, the job's name at the printer, and its page."""

    data: bytes
    name: str
    page: PageSetup


@dataclass(frozen=True)
class Sent:
    """What was asked and answered. ``job``: the printer's number of the job, empty: not known; ``asked``, ``kept``: the
    settings in words; ``outcome``: 'sent', 'printed', 'cancelled', 'given up' or 'perhaps printed'; ``lines``: what has
    to be told."""

    job: str
    asked: tuple[tuple[str, str], ...]
    kept: tuple[tuple[str, str], ...] = ()
    outcome: str = ON_ITS_WAY
    lines: tuple[str, ...] = ()


Note = Callable[[Sent], None]
"""Keeps what is known of a job: called before its document is sent, and again when more is known."""
Hears = Callable[[str], None]
"""Is told what is done just now."""


def unheard(_: str) -> None:
    """Nobody watches."""


def send(client: IppClient, able: Abilities, errand: Errand, note: Note, hears: Hears = unheard) -> Sent:
    """Sends a file, once. Raises PrintingError where the printer refuses or does not keep the settings: nothing is
    printed then."""
    one = _Delivery(client, able, errand, note, hears)
    hears(f"asking '{one.shown}' whether it prints the page as it is")
    check_able(able, f"'{one.shown}'")
    asked = job_attributes(able, errand.page)
    if not able.can_be_told_not_to_scale:
        one.lines.append(
            f"'{one.shown}' does not say that it can print without scaling: measure the bars before you trust it"
        )
    waiting = reasons(able.reasons)
    if waiting:
        one.lines.append(f"'{one.shown}' says: {waiting}")
    return one.through(one.validated(asked))


class _Delivery:
    """One file on its way to one printer. ``lines``: what has to be told of it so far."""

    def __init__(self, client: IppClient, able: Abilities, errand: Errand, note: Note, hears: Hears) -> None:
        self.client, self.able, self.errand, self.note, self.hears = client, able, errand, note, hears
        self.lines: list[str] = []
        self.shown = able.name or str(client.address)
        self.head: Mapping[str, IppValues] = {
            "job-name": of(NAME, errand.name),
            "ipp-attribute-fidelity": of(BOOLEAN, True),
        }

    def validated(self, asked: Attributes) -> Attributes:
        """The settings that the printer accepts: a comfort that it refuses is left out, once, and told. Raises
        PrintingError where it refuses what a true print needs."""
        if not self.able.does(VALIDATE_JOB):
            return asked
        for attempt in range(2):
            answer = self._patiently(VALIDATE_JOB, {**self.head, "document-format": of(MIME, PDF)}, asked)
            refused = _refused(answer, asked)
            if answer.code < FIRST_ERROR and not refused:
                return asked
            vital = [name for name in refused if name in VITAL]
            if vital or not refused or attempt:
                raise self._refusal(answer, vital or refused)
            self.lines.append(f"'{self.shown}' does not take {', '.join(refused)}: left out")
            asked = _without(asked, refused)
        raise AssertionError("the second attempt returns or raises")

    def through(self, asked: Attributes) -> Sent:
        """What came of a job with these settings."""
        if not (self.able.does(CREATE_JOB) and self.able.does(SEND_DOCUMENT)):
            return self._at_once(asked)
        answer = self._patiently(CREATE_JOB, self.head, asked)
        job = _job_id(answer)
        if answer.code >= FIRST_ERROR or not job:
            raise self._refusal(answer, _refused(answer, asked))
        try:
            sent = self._looked_at(job, asked, answer)
            self.note(sent)
        except BaseException:
            self._cancel(job)
            raise
        return self._delivered(sent)

    def _looked_at(self, job: int, asked: Attributes, answer: Message) -> Sent:
        """The empty job as the printer keeps it. Raises PrintingError where it kept something else."""
        refused = [name for name in _refused(answer, asked) if name in VITAL]
        kept = self._job(job)
        off = differences(asked, kept) or [f"{name} is ignored" for name in refused]
        if off:
            raise PrintingError(
                f"'{self.shown}' would not print it as it is: {'; '.join(off)}; the job was cancelled, {NOT_SENT}",
                fix=DIALOG,
            )
        if not shows(asked, kept):
            self.lines.append(f"'{self.shown}' does not show what it keeps of a job: measure the bars")
        self.lines += [
            f"'{self.shown}' keeps {one}: look at the print before you use it"
            for one in lesser_differences(asked, kept)
        ]
        return Sent(str(job), in_words(asked), in_words({name: kept[name] for name in asked if name in kept}))

    def _delivered(self, sent: Sent) -> Sent:
        """Sends the document after its job, and watches the job."""
        last = {"document-format": of(MIME, PDF), "last-document": of(BOOLEAN, True)}
        self.hears(f"sending the file to '{self.shown}'")
        try:
            answer = self.client.ask(SEND_DOCUMENT, last, document=self.errand.data, job=int(sent.job))
        except SilenceError as error:
            self._unanswered(error)
            return self._watched(replace(sent, outcome=UNKNOWN))
        if answer.code >= FIRST_ERROR:
            self._cancel(int(sent.job))
            self.note(replace(sent, outcome=CANCELLED))
            raise self._refusal(answer, [])
        return self._watched(sent)

    def _at_once(self, asked: Attributes) -> Sent:
        """For a printer that takes a job only with its document: it cannot be looked at first."""
        self.lines.append(f"'{self.shown}' takes a job only with its file, so it could not be looked at first")
        sent = Sent("", in_words(asked))
        self.note(sent)
        self.hears(f"sending the file to '{self.shown}'")
        more = {**self.head, "document-format": of(MIME, PDF)}
        try:
            answer = self.client.ask(PRINT_JOB, more, ((JOB, asked),), self.errand.data)
        except SilenceError as error:
            self._unanswered(error)
            return self._watched(replace(sent, job=self._by_name(), outcome=UNKNOWN))
        if answer.code >= FIRST_ERROR:
            self.note(replace(sent, outcome=CANCELLED))
            raise self._refusal(answer, _refused(answer, asked))
        return self._watched(replace(sent, job=str(_job_id(answer) or "")))

    def _unanswered(self, error: SilenceError) -> None:
        """Tells that a file went out and nothing is known of it: it is looked for, never sent again."""
        what = "did not answer while the file was sent"
        if isinstance(error, UnclearError):
            what = f"got the file, and gave no clear answer ({error.message})"
        self.lines.append(f"'{self.shown}' {what}: it was not sent again")

    # ------------------------------------------------------------------------------------------------- afterwards
    def _watched(self, sent: Sent) -> Sent:
        """The job once it has ended, or as it is when the time for looking is over; kept, with what is to be told."""
        from time import monotonic, sleep

        pace = self.client.patience
        end = monotonic() + pace.watch
        told = ""
        while sent.job:
            with suppress(PrintingError):
                found = self._job(int(sent.job))
                state = first_value(found, "job-state", 0)
                told = reasons(tuple(map(str, plain(found.get("job-state-reasons", ())))))
                sent = replace(sent, outcome=ENDED.get(state, ON_ITS_WAY))
                if state in ENDED:
                    break
                self.hears(f"waiting for '{self.shown}', job {sent.job}{f': {told}' if told else ''}")
            if monotonic() + pace.pause >= end:
                break
            try:
                sleep(pace.pause)
            except KeyboardInterrupt:
                # It ends the looking, not the job, which is told as it is.
                break
        sent = replace(sent, lines=(*self.lines, *self._told(sent, told)))
        self.note(sent)
        return sent

    def _told(self, sent: Sent, told: str) -> list[str]:
        number = f"job {sent.job}" if sent.job else f"the job '{self.errand.name}'"
        why = f": {told}" if told else ""
        if sent.outcome == UNKNOWN:
            return [f"look at '{self.shown}' before you print again: {number} may have been printed"]
        if sent.outcome != ON_ITS_WAY:
            return [f"'{self.shown}': {number} was {sent.outcome}{why}"]
        now = ""
        with suppress(PrintingError):
            now = reasons(Abilities.of(self.client.greet(("printer-state-reasons",))).reasons)
        waits = "; ".join(dict.fromkeys(filter(None, [told, now])))
        return [f"'{self.shown}': {number} is not done yet{f': {waits}' if waits else ''}"]

    def _job(self, job: int) -> Attributes:
        answer = self.client.ask(GET_JOB, job=job)
        if answer.code >= FIRST_ERROR:
            raise PrintingError(f"'{self.shown}' does not know job {job} (IPP status {answer.code:#06x})", fix=DIALOG)
        return answer.group(JOB)

    def _by_name(self) -> str:
        """The number of the job that was sent, by its name; empty where the printer has none of it."""
        wanted = of(KEYWORD, "job-id", "job-name")
        for which in ("not-completed", "completed"):
            with suppress(PrintingError):
                answer = self.client.ask(GET_JOBS, {"requested-attributes": wanted, "which-jobs": of(KEYWORD, which)})
                for one in answer.all_of(JOB):
                    if plain(one.get("job-name", ())) == (self.errand.name,):
                        return str(first_value(one, "job-id", ""))
        return ""

    def _cancel(self, job: int) -> None:
        with suppress(PrintingError):
            self.client.ask(CANCEL_JOB, job=job)

    def _patiently(self, operation: int, more: Mapping[str, IppValues], asked: Attributes) -> Message:
        """The answer to a request that holds no document; a printer that is busy is asked again, for it refused."""
        from time import monotonic, sleep

        end = monotonic() + self.client.patience.watch
        while True:
            answer = self.client.ask(operation, more, ((JOB, asked),))
            if answer.code != BUSY:
                return answer
            if monotonic() + self.client.patience.pause >= end:
                raise PrintingError(f"'{self.shown}' is busy with another job; {NOT_SENT}", fix="try again later")
            sleep(self.client.patience.pause)

    def _refusal(self, answer: Message, names: list[str]) -> PrintingError:
        said = first_value(answer.groups[0][1], "status-message", "") if answer.groups else ""
        what = f": {', '.join(names)}" if names else f": {said}" if said else ""
        return PrintingError(
            f"'{self.shown}' refuses the job{what} (IPP status {answer.code:#06x}); {NOT_SENT}",
            fix=_fix_of(names, self.able),
        )


def _fix_of(names: list[str], able: Abilities) -> str:
    if MEDIA in names or "media" in names:
        sheets = ", ".join(able.sheets()[:8])
        return f"it takes sheets of, mm: {sheets}; else {DIALOG}" if sheets else DIALOG
    if SCALE in names:
        return f"it cannot be told not to scale: {DIALOG}"
    return DIALOG


def _job_id(answer: Message) -> int:
    return int(first_value(answer.group(JOB), "job-id", 0))


def _refused(answer: Message, asked: Attributes) -> list[str]:
    """The names of what was asked that an answer gives back as ignored, substituted or refused; of media the members,
    where only some of them are."""
    names: list[str] = []
    for name, values in answer.group(UNSUPPORTED).items():
        members = values[0].value if values and values[0].tag == COLLECTION else {}
        if name == MEDIA and members and "media-size" not in members:
            names += list(members)
        elif name in asked:
            names.append(name)
    return names


def _without(asked: Attributes, names: list[str]) -> Attributes:
    """The settings without some of them, or without some members of media."""
    left = {name: values for name, values in asked.items() if name not in names}
    if MEDIA in left:
        members = {name: values for name, values in left[MEDIA][0].value.items() if name not in names}
        left[MEDIA] = (Tagged(COLLECTION, members),)
    return left
