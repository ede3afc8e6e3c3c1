"""Sending a file to a pretended printer that refuses, shrinks, substitutes, stalls, dies: nothing is printed that was
not asked for, and nothing twice."""

from __future__ import annotations

import socket
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256

import pytest

from decalgen.core.errors import PrintingError
from decalgen.workshop.printers.addresses import address
from decalgen.workshop.printers.client import (
    CANCEL_JOB,
    CREATE_JOB,
    GET_JOB,
    GET_JOBS,
    GET_PRINTER,
    PRINT_JOB,
    SEND_DOCUMENT,
    VALIDATE_JOB,
    Patience,
)
from decalgen.workshop.printers.messages import (
    COLLECTION,
    ENUM,
    INTEGER,
    JOB,
    KEYWORD,
    MIME,
    OPERATION,
    Absent,
    Attributes,
    IppValues,
    Message,
    Tagged,
    WholeRange,
    of,
    plain,
)
from decalgen.workshop.printers.places import reached
from decalgen.workshop.printers.sending import Errand, Sent, send
from decalgen.workshop.printers.settings import PageSetup
from tests.helpers.pretended_printer import A4, A5, OFFERS, Manner, Pretended, pretended, size

QUICK = Patience(connect=5.0, answer=20.0, document=20.0, pause=0.01, watch=20.0)
"""Patience for answers, none between two looks: what is slow on a busy machine is waited for all the same."""
HASTY = replace(QUICK, answer=0.3, document=0.3, watch=0.5)
"""For printers that never answer: what is waited for does not come, however long it is."""
PAGE = PageSetup(148.0, 210.0)
LOADED = PageSetup(148.0, 210.0, "rear", "transparency")
DATA = b"%PDF-1.7 pretended " + bytes(range(256)) * 900


def printed(
    printer: Pretended, page: PageSetup = PAGE, patience: Patience = QUICK, notes: list[Sent] | None = None
) -> Sent:
    """What came of sending a file."""
    place = reached(address(printer.uri), patience)
    kept = notes if notes is not None else []
    return send(place.client, place.able, Errand(DATA, "decalgen sheet 1 of 1", page), kept.append)


def refused(manner: Manner, page: PageSetup = PAGE, patience: Patience = QUICK) -> tuple[str, Pretended]:
    """The message of a printer that would not do; nothing was sent to it."""
    with pretended(manner) as printer:
        with pytest.raises(PrintingError) as caught:
            printed(printer, page, patience)
        assert printer.documents == []
    assert caught.value.fix
    return str(caught.value), printer


def with_offers(**more: IppValues | None) -> Manner:
    """A printer that says something else of itself; None: nothing."""
    named = {name.replace("_", "-"): values for name, values in more.items()}
    return Manner({name: values for name, values in {**OFFERS, **named}.items() if values is not None})


# ------------------------------------------------------------------------------------------------------ all is well
def test_what_is_asked_and_what_arrives() -> None:
    notes: list[Sent] = []
    with pretended() as printer:
        sent = printed(printer, PageSetup(148.0, 210.0, "rear tray", "transparency"), notes=notes)
    assert printer.operations() == [GET_PRINTER, VALIDATE_JOB, CREATE_JOB, GET_JOB, SEND_DOCUMENT, GET_JOB]
    assert [sha256(one).hexdigest() for one in printer.documents] == [sha256(DATA).hexdigest()]
    job = {name: plain(values) for name, values in printer.asked[2].group(JOB).items()}
    assert job == {
        "copies": (1,),
        # The least margin above nought: nought is borderless, which enlarges.
        "media-col": (
            {
                "media-size": ({"x-dimension": (14800,), "y-dimension": (21000,)},),
                "media-top-margin": (300,),
                "media-source": ("rear",),
                "media-type": ("transparency",),
            },
        ),
        "sides": ("one-sided",),
        "print-quality": (5,),
        "print-color-mode": ("color",),
        "orientation-requested": (3,),
        "print-scaling": ("none",),
    }
    head = {name: plain(values) for name, values in printer.asked[2].group(OPERATION).items()}
    assert list(head)[:3] == ["attributes-charset", "attributes-natural-language", "printer-uri"]
    assert head["printer-uri"] == (printer.uri,) and head["ipp-attribute-fidelity"] == (True,)
    last = {name: plain(values) for name, values in printer.asked[4].group(OPERATION).items()}
    assert last["last-document"] == (True,) and last["document-format"] == ("application/pdf",)
    assert (sent.job, sent.outcome, sent.lines) == ("41", "printed", ("'Film Printer': job 41 was printed",))
    assert [one.outcome for one in notes] == ["sent", "printed"] and notes[0].asked == notes[0].kept != ()


def test_it_is_noted_before_a_byte_of_it_is_sent() -> None:
    with pretended() as printer:
        seen: list[int] = []
        place = reached(address(printer.uri), QUICK)
        send(place.client, place.able, Errand(DATA, "one", PAGE), lambda _: seen.append(len(printer.documents)))
    assert seen == [0, 1]


def test_a_note_that_cannot_be_kept_stops_it() -> None:
    def full(_: Sent) -> None:
        raise OSError("no room")

    with pretended() as printer:
        place = reached(address(printer.uri), QUICK)
        with pytest.raises(OSError):
            send(place.client, place.able, Errand(DATA, "one", PAGE), full)
    assert printer.documents == [] and printer.cancelled == [41]


def test_a_size_in_a_range_is_the_pages_own() -> None:
    with pretended(
        with_offers(media_size_supported=(size(WholeRange(7600, 21600), WholeRange(10000, 35600)),))
    ) as printer:
        printed(printer, PageSetup(100.0, 150.25))
    media = plain(printer.asked[2].group(JOB)["media-col"])[0]
    assert media["media-size"] == ({"x-dimension": (10000,), "y-dimension": (15025,)},)


def test_a_printer_that_takes_sheets_by_name_alone() -> None:
    offers = {name: values for name, values in OFFERS.items() if not name.startswith("media")}
    names = of(KEYWORD, "iso_a4_210x297mm", "iso_a5_148x210mm")
    known = of(KEYWORD, "copies", "media", "sides", "print-scaling")
    manner = Manner({**offers, "media-supported": names, "job-creation-attributes-supported": known})
    with pretended(manner) as printer:
        printed(printer)
    job = {name: plain(values) for name, values in printer.asked[2].group(JOB).items()}
    assert job == {
        "copies": (1,), "media": ("iso_a5_148x210mm",), "sides": ("one-sided",), "print-scaling": ("none",)
    }  # fmt: skip


# ------------------------------------------------------------------------------------------- refused before anything
RANGE_ALONE = with_offers(media_size_supported=(size(WholeRange(7600, 11000), WholeRange(10000, 16000)),))


@pytest.mark.parametrize(
    ("manner", "page", "words"),
    [
        (with_offers(document_format_supported=of(MIME, "image/urf")), PAGE, "takes no PDF files"),
        (with_offers(printer_is_accepting_jobs=((Tagged(0x22, False)),)), PAGE, "takes no jobs now"),
        (with_offers(), PageSetup(100.0, 150.0), "knows no sheet of 100 × 150 mm"),
        (RANGE_ALONE, PageSetup(120.0, 150.0), "choose a sheet that it takes, mm: 76 to 110 × 100 to 160"),
        (RANGE_ALONE, PageSetup(100.0, 161.0), "knows no sheet of 100 × 161 mm"),
        (with_offers(), PageSetup(148.0, 210.0, "bypass"), "has no tray 'bypass'"),
        (with_offers(), PageSetup(148.0, 210.0, "", "vellum"), "has no paper type 'vellum'"),
    ],
    ids=["no pdf", "takes none", "size", "too wide", "too long", "tray", "paper type"],
)
def test_a_printer_that_would_not_do(manner: Manner, page: PageSetup, words: str) -> None:
    text, printer = refused(manner, page)
    assert words in text and printer.operations() == [GET_PRINTER]


def test_a_refused_sheet_is_named_with_those_it_takes() -> None:
    back = {"media-col": (Tagged(COLLECTION, {"media-size": (A5,)}),)}
    text, printer = refused(Manner(status={VALIDATE_JOB: 0x040B}, given_back={VALIDATE_JOB: back}))
    assert "refuses the job: media-col (IPP status 0x040b); nothing was printed" in text
    assert "210 × 297, 148 × 210" in text and printer.jobs == {}


def test_a_refused_comfort_is_left_out_once_and_said() -> None:
    back = {"media-col": (Tagged(COLLECTION, {"media-type": of(KEYWORD, "transparency")}),)}

    manner = Manner(given_back={VALIDATE_JOB: back})
    with pretended(manner) as printer:

        def once(_: Message) -> None:
            if VALIDATE_JOB in printer.operations():
                manner.given_back = {}

        manner.first = once
        sent = printed(printer, PageSetup(148.0, 210.0, "rear", "transparency"))
    assert printer.operations().count(VALIDATE_JOB) == 2
    media = plain(next(one for one in printer.asked if one.code == CREATE_JOB).group(JOB)["media-col"])[0]
    assert "media-type" not in media and media["media-source"] == ("rear",) and "media-size" in media
    assert sent.lines[0] == "'Film Printer' does not take media-type: left out"


@pytest.mark.parametrize("name", ["print-scaling", "sides", "media-source"])
def test_what_a_true_print_needs_is_never_left_out(name: str) -> None:
    back: Attributes = {name: (Tagged(0x10, Absent("unsupported")),)}
    if name == "media-source":
        back = {"media-col": (Tagged(COLLECTION, {name: of(KEYWORD, "rear")}),)}
    # 0x0001: taken, but what is given back was ignored (RFC 8011, appendix B).
    page = PageSetup(148.0, 210.0, "rear")
    text, _ = refused(Manner(status={VALIDATE_JOB: 0x0001}, given_back={VALIDATE_JOB: back}), page)
    assert f"refuses the job: {name}" in text


# ------------------------------------------------------------------------------------ kept otherwise than asked for
def shrinks(job: Attributes) -> Attributes:
    return {**job, "print-scaling": of(KEYWORD, "fit")}


def drops(job: Attributes) -> Attributes:
    return {name: values for name, values in job.items() if name != "print-scaling"}


def other_sheet(job: Attributes) -> Attributes:
    return {**job, "media-col": (Tagged(COLLECTION, {"media-size": (A4,)}),)}


def other_sheet_by_name(job: Attributes) -> Attributes:
    named = {name: values for name, values in job.items() if name != "media-col"}
    return {**named, "media": of(KEYWORD, "iso_a4_210x297mm")}


def two_sided(job: Attributes) -> Attributes:
    return {**job, "sides": of(KEYWORD, "two-sided-long-edge")}


def twice(job: Attributes) -> Attributes:
    return {**job, "copies": of(INTEGER, 2)}


def media_with(**members: IppValues | None) -> Callable[[Attributes], Attributes]:
    """What keeps other members of a job's media; None: not that one."""

    def keeps(job: Attributes) -> Attributes:
        named = {name.replace("_", "-"): values for name, values in members.items()}
        media = {**job["media-col"][0].value, **named}
        kept = {name: values for name, values in media.items() if values is not None}
        return {**job, "media-col": (Tagged(COLLECTION, kept),)}

    return keeps


@pytest.mark.parametrize(
    ("keeps", "words"),
    [
        (shrinks, "print-scaling is 'fit' instead of 'none'"),
        (drops, "print-scaling is not kept instead of 'none'"),
        (other_sheet, "media-col is 210 × 297 mm instead of 148 × 210 mm"),
        (other_sheet_by_name, "media-col is 210 × 297 mm instead of 148 × 210 mm"),
        (two_sided, "sides is 'two-sided-long-edge' instead of 'one-sided'"),
        (twice, "copies is '2' instead of '1'"),
        (media_with(media_top_margin=of(INTEGER, 0)), "media-top-margin is 0 mm, borderless, instead of 3 mm"),
        (media_with(media_source=of(KEYWORD, "main")), "media-source is 'main' instead of 'rear'"),
        (media_with(media_source=None), "media-source is not kept instead of 'rear'"),
    ],
    ids=["shrinks", "drops", "sheet", "sheet by name", "sides", "copies", "borderless", "other tray", "no tray"],
)
def test_what_a_printer_kept_differently_is_cancelled(keeps: Callable[[Attributes], Attributes], words: str) -> None:
    text, printer = refused(Manner(keeps=keeps), LOADED)
    assert words in text and "the job was cancelled, nothing was printed" in text
    assert printer.cancelled == [41] and SEND_DOCUMENT not in printer.operations()


def turned(job: Attributes) -> Attributes:
    return {**job, "orientation-requested": of(ENUM, 4)}


def draft(job: Attributes) -> Attributes:
    return {**job, "print-quality": of(ENUM, 3)}


def grey(job: Attributes) -> Attributes:
    return {name: values for name, values in job.items() if name != "print-color-mode"}


@pytest.mark.parametrize(
    ("keeps", "words"),
    [
        (media_with(media_type=of(KEYWORD, "stationery")), "media-type as 'stationery' instead of 'transparency'"),
        (media_with(media_type=None), "media-type as not kept instead of 'transparency'"),
        (media_with(media_top_margin=of(INTEGER, 500)), "media-top-margin as 5 mm instead of 3 mm"),
        (media_with(media_top_margin=None), "media-top-margin as not kept instead of 3 mm"),
        (turned, "orientation-requested as '4' instead of '3'"),
        (draft, "print-quality as '3' instead of '5'"),
        (grey, "print-color-mode as not kept instead of 'color'"),
    ],
    ids=["paper", "no paper", "margin", "no margin", "turned", "draft", "grey"],
)
def test_what_spoils_its_look_is_told(keeps: Callable[[Attributes], Attributes], words: str) -> None:
    with pretended(Manner(keeps=keeps)) as printer:
        sent = printed(printer, LOADED)
    assert sent.lines[:-1] == (f"'Film Printer' keeps {words}: look at the print before you use it",)
    assert sent.outcome == "printed" and printer.documents == [DATA]


def test_any_tray_is_whichever_the_printer_takes() -> None:
    with pretended(Manner(keeps=media_with(media_source=None))) as printer:
        sent = printed(printer, PageSetup(148.0, 210.0, "auto"))
    assert sent.lines == ("'Film Printer': job 41 was printed",)


def test_a_tray_that_is_not_shown_beside_a_sheets_name_is_told() -> None:
    def by_name(job: Attributes) -> Attributes:
        named = {name: values for name, values in job.items() if name != "media-col"}
        return {**named, "media": of(KEYWORD, "iso_a5_148x210mm")}

    with pretended(Manner(keeps=by_name)) as printer:
        sent = printed(printer, LOADED)
    told = [line for line in sent.lines if "as not kept" in line]
    assert ["'rear'" in told[1], "'transparency'" in told[0], len(told)] == [True, True, 2]


def test_what_a_printer_says_it_ignores_counts_where_it_shows_nothing() -> None:
    back: Attributes = {"print-scaling": (Tagged(0x10, Absent("unsupported")),)}
    manner = Manner(keeps=lambda _: {}, status={CREATE_JOB: 0x0001}, given_back={CREATE_JOB: back})
    text, printer = refused(manner)
    assert "print-scaling is ignored" in text and printer.cancelled == [41]


def test_a_sheet_given_back_by_its_name() -> None:
    def by_name(job: Attributes) -> Attributes:
        named = {name: values for name, values in job.items() if name != "media-col"}
        return {**named, "media": of(KEYWORD, "iso_a5_148x210mm")}

    with pretended(Manner(keeps=by_name)) as printer:
        assert printed(printer).outcome == "printed"


def test_a_printer_that_shows_nothing_of_a_job_is_told() -> None:
    with pretended(Manner(keeps=lambda _: {})) as printer:
        sent = printed(printer)
    assert sent.lines[0] == "'Film Printer' does not show what it keeps of a job: measure the bars"
    assert sent.outcome == "printed" and sent.kept == ()


def test_a_printer_that_does_not_offer_to_leave_the_scale_alone() -> None:
    with pretended(with_offers(print_scaling_supported=None)) as printer:
        sent = printed(printer)
    assert "does not say that it can print without scaling: measure the bars" in sent.lines[0]
    assert plain(printer.asked[2].group(JOB)["print-scaling"]) == ("none",)


# -------------------------------------------------------------------------------------------------- never sent again
def test_a_printer_that_takes_the_file_and_falls_silent_gets_it_once() -> None:
    with pretended(Manner(silent=frozenset({SEND_DOCUMENT}))) as printer:
        sent = printed(printer, patience=replace(HASTY, watch=QUICK.watch))
    assert len(printer.documents) == 1 and printer.operations()[-1] == GET_JOB
    assert "did not answer while the file was sent: it was not sent again" in sent.lines[0]
    assert sent.outcome == "printed"


def test_a_printer_that_stays_silent() -> None:
    notes: list[Sent] = []
    with pretended() as printer:
        place = reached(address(printer.uri), HASTY)
        keeps = printer.manner.keeps

        def silenced(job: Attributes) -> Attributes:
            printer.manner.silent = frozenset({SEND_DOCUMENT, GET_JOB})
            return keeps(job)

        printer.manner.keeps = silenced
        sent = send(place.client, place.able, Errand(DATA, "one", PAGE), notes.append)
    assert len(printer.documents) == 1 and sent.outcome == "perhaps printed"
    assert "look at 'Film Printer' before you print again: job 41 may have been printed" in sent.lines[-1]
    assert [one.outcome for one in notes] == ["sent", "perhaps printed"]


@pytest.mark.parametrize("operation", [GET_PRINTER, VALIDATE_JOB, CREATE_JOB, GET_JOB])
def test_a_printer_that_answers_nothing(operation: int) -> None:
    text, printer = refused(Manner(silent=frozenset({operation})), patience=HASTY)
    assert "does not answer" in text and "see that it is on" in text
    assert printer.operations().count(operation) == 1


def test_a_printer_that_takes_a_job_only_with_its_file() -> None:
    offers = of(ENUM, PRINT_JOB, VALIDATE_JOB, CANCEL_JOB, GET_JOB, GET_JOBS, GET_PRINTER)
    notes: list[Sent] = []
    with pretended(with_offers(operations_supported=offers)) as printer:
        sent = printed(printer, notes=notes)
    assert printer.operations() == [GET_PRINTER, VALIDATE_JOB, PRINT_JOB, GET_JOB]
    # Noted before it is sent, when it has no number yet.
    assert [(one.job, one.outcome) for one in notes] == [("", "sent"), ("41", "printed")]
    assert printer.documents == [DATA] and "could not be looked at first" in sent.lines[0]


def test_a_job_without_a_number_is_looked_for_by_its_name() -> None:
    manner = with_offers(operations_supported=of(ENUM, PRINT_JOB, GET_JOB, GET_JOBS, GET_PRINTER))
    manner.silent = frozenset({PRINT_JOB})
    with pretended(manner) as printer:
        sent = printed(printer, patience=replace(HASTY, watch=QUICK.watch))
    assert len(printer.documents) == 1 and printer.operations().count(PRINT_JOB) == 1
    assert (sent.job, sent.outcome) == ("41", "printed")


def test_a_printer_that_dies_under_the_file() -> None:
    with pretended() as printer:
        place = reached(address(printer.uri), HASTY)
        notes: list[Sent] = []

        def dead(sent: Sent) -> None:
            if not notes:
                place.client.address = replace(place.client.address, port=_closed())
            notes.append(sent)

        with pytest.raises(PrintingError, match="cannot be reached"):
            send(place.client, place.able, Errand(DATA, "one", PAGE), dead)
    assert printer.documents == []


@pytest.mark.parametrize("status", [401, 403, 404, 426, 500, 503])
@pytest.mark.parametrize(("states", "outcome"), [((9,), "printed"), ((5, 8), "given up"), ((5,), "sent")])
def test_an_http_fault_after_the_file_is_looked_into(status: int, states: tuple[int, ...], outcome: str) -> None:
    notes: list[Sent] = []
    with pretended(Manner(http_to={SEND_DOCUMENT: status}, states=states)) as printer:
        sent = printed(printer, patience=replace(QUICK, watch=0.05), notes=notes)
    # RFC 9110, 15.5.22: who gets a 426 may ask once more over TLS; with a file it would be printed twice.
    assert printer.documents == [DATA] and printer.begun.count(SEND_DOCUMENT) == 1 and printer.cancelled == []
    assert "got the file, and gave no clear answer" in sent.lines[0] and "it was not sent again" in sent.lines[0]
    assert (sent.outcome, notes[-1].outcome) == (outcome, outcome) and printer.looks >= len(states)


def test_an_http_fault_after_a_job_with_its_file() -> None:
    manner = with_offers(operations_supported=of(ENUM, PRINT_JOB, GET_JOB, GET_JOBS, GET_PRINTER))
    manner.http_to = {PRINT_JOB: 500}
    with pretended(manner) as printer:
        sent = printed(printer)
    assert printer.documents == [DATA] and printer.begun.count(PRINT_JOB) == 1
    assert "HTTP status 500" in sent.lines[1] and (sent.job, sent.outcome) == ("41", "printed")


@pytest.mark.parametrize("operation", [GET_PRINTER, VALIDATE_JOB, CREATE_JOB, GET_JOB])
def test_an_http_fault_before_the_file_is_a_refusal(operation: int) -> None:
    text, printer = refused(Manner(http_to={operation: 500}))
    assert "answers with HTTP status 500" in text and SEND_DOCUMENT not in printer.begun


def test_a_printer_that_dies_amid_the_file() -> None:
    notes: list[Sent] = []
    with pretended(Manner(dies_in=frozenset({SEND_DOCUMENT, GET_JOBS}))) as printer:
        sent = printed(printer, patience=replace(QUICK, watch=0.05), notes=notes)
    assert printer.begun.count(SEND_DOCUMENT) == 1 and printer.documents == [] and printer.begun[-1] != SEND_DOCUMENT
    assert "did not answer while the file was sent: it was not sent again" in sent.lines[0]
    # The job is there, and waits for its file.
    assert sent.outcome == "sent" and "job 41 is not done yet" in sent.lines[-1] and notes[-1].outcome == "sent"


def test_a_refused_document_is_cancelled_and_noted() -> None:
    notes: list[Sent] = []
    with pretended(Manner(status={SEND_DOCUMENT: 0x040A})) as printer, pytest.raises(PrintingError) as caught:
        printed(printer, notes=notes)
    assert "refuses the job (IPP status 0x040a)" in str(caught.value)
    assert printer.cancelled == [41] and [one.outcome for one in notes] == ["sent", "cancelled"]


# ------------------------------------------------------------------------------------------------------- afterwards
@pytest.mark.parametrize(
    ("states", "reasons", "words"),
    [
        ((5, 5, 9), ("none",), "job 41 was printed"),
        ((5, 7), ("job-canceled-at-device",), "job 41 was cancelled: it was cancelled at the printer"),
        ((8,), ("aborted-by-system", "document-format-error"), "given up: the printer gave it up; the printer cannot"),
    ],
)
def test_how_a_job_ends(states: tuple[int, ...], reasons: tuple[str, ...], words: str) -> None:
    with pretended(Manner(states=states, reasons=reasons)) as printer:
        sent = printed(printer)
    assert words in sent.lines[-1] and printer.looks == len(states)


def test_a_job_that_waits_for_film() -> None:
    manner = with_offers(printer_state_reasons=of(KEYWORD, "media-empty-error"))
    manner.states, manner.reasons = (6,), ("printer-stopped",)
    with pretended(manner) as printer:
        sent = printed(printer, patience=replace(QUICK, watch=0.1))
    assert sent.lines[0] == "'Film Printer' says: the tray is empty"
    assert sent.lines[-1].endswith("job 41 is not done yet: the printer has stopped; the tray is empty")
    assert sent.outcome == "sent"


def test_ctrl_c_ends_the_looking_not_the_job(monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(_: float) -> None:
        raise KeyboardInterrupt

    with pretended(Manner(states=(5,))) as printer:
        monkeypatch.setattr("time.sleep", stopped)
        sent = printed(printer)
        monkeypatch.undo()
    assert sent.outcome == "sent" and "job 41 is not done yet" in sent.lines[-1] and printer.cancelled == []


def test_a_busy_printer_is_asked_again_before_the_file_is_sent() -> None:
    with pretended(Manner(busy=3)) as printer:
        assert printed(printer).outcome == "printed"
    assert printer.documents == [DATA] and printer.operations().count(VALIDATE_JOB) == 4


def test_a_printer_that_stays_busy() -> None:
    text, _ = refused(Manner(busy=10_000), patience=replace(QUICK, watch=0.1))
    assert "is busy with another job; nothing was printed" in text


# ------------------------------------------------------------------------------------------------- what is no printer
def test_a_printer_that_is_away() -> None:
    with pytest.raises(PrintingError) as caught:
        reached(address(f"ipp://127.0.0.1:{_closed()}/ipp/print"), QUICK)
    assert "cannot be reached: connection refused" in str(caught.value) and "see that it is on" in str(caught.value)


@pytest.mark.parametrize(
    ("manner", "words"),
    [
        (Manner(http=401), "asks for a password"),
        (Manner(http=403), "does not let this computer print"),
        (Manner(http=500), "answers with HTTP status 500"),
        (Manner(raw=b""), "not an answer of a printer: it is empty"),
        (Manner(raw=b"<html>a router</html>"), "not an answer of a printer: it is not IPP"),
        (Manner(raw=bytes(4_000_001)), "has no end"),
        (Manner(cut=20), "not an answer of a printer: it is cut short"),
        (Manner(status={GET_PRINTER: 0x0500}), "does not say what it can (IPP status 0x0500)"),
    ],
    ids=["401", "403", "500", "empty", "no IPP", "endless", "cut off", "fault"],
)
def test_what_does_not_answer_as_a_printer(manner: Manner, words: str) -> None:
    text, _ = refused(manner)
    assert words in text


def test_an_older_printer_is_asked_in_its_own_version() -> None:
    with pretended(Manner(version=(1, 1))) as printer:
        assert printed(printer).outcome == "printed"
    assert [one.version for one in printer.asked[:3]] == [(2, 0), (1, 1), (1, 1)]


def test_the_path_is_looked_for_only_where_none_was_given() -> None:
    with pretended(Manner(path="/ipp/printer")) as printer:
        found = reached(address(f"ipp://127.0.0.1:{printer.port}"), QUICK)
        assert found.client.address.path == "/ipp/printer"
        with pytest.raises(PrintingError, match=r"there is no printer at .* under /ipp/print\n") as caught:
            reached(address(printer.uri), QUICK)
    assert "path included" in caught.value.fix


def _closed() -> int:
    """A port of the loopback address at which nothing listens."""
    with socket.socket() as line:
        line.bind(("127.0.0.1", 0))
        return int(line.getsockname()[1])
