"""`proof --to` and `sheet --to`: the files' own bytes, once; the record before the document; and what a person gets
wrong. On the loopback address alone: a pretended printer, and a pretended network of one socket."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import numpy
import pypdfium2 as pdfium
import pytest

from decalgen.commands import print_to
from decalgen.core.errors import PrintingError
from decalgen.sheet.record import read_record
from decalgen.workshop.drawer import data_folder
from decalgen.workshop.printers import client, multicast, places, queues
from decalgen.workshop.printers.addresses import Address
from decalgen.workshop.printers.client import GET_JOB, SEND_DOCUMENT, Patience
from decalgen.workshop.printers.messages import KEYWORD, Attributes, Message, of, plain
from decalgen.workshop.printers.multicast import Announced
from tests.helpers.commands import Run, Said, at_home, code_on, runner
from tests.helpers.pretended_printer import A4, A5, OFFERS, Manner, Pretended, pretended, size
from tests.helpers.tug import ONE_BAND

LARGE = ONE_BAND.replace("width: 60 mm", "width: 130 mm").replace("height: 40 mm", "height: 150 mm")
LARGE = LARGE.replace("width: 58 mm", "width: 120 mm").replace("height: 38 mm", "height: 140 mm")

HASTY = Patience(connect=5.0, answer=20.0, document=20.0, pause=0.02, watch=0.1)
"""For jobs whose end never comes, however long it is waited for: they are looked at once at least."""


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder with the job `tug.yaml`; no queue, and no network but the loopback address."""
    monkeypatch.setattr(multicast, "GROUP", ("127.0.0.1", 9))
    monkeypatch.setattr(multicast, "SECONDS", 0.05)
    monkeypatch.setattr(queues.shutil, "which", lambda _: None)
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    return at_home(ONE_BAND, tmp_path, monkeypatch, capsys)


@pytest.fixture
def printer() -> Iterator[Pretended]:
    with pretended() as found:
        yield found


def good(said: Said) -> str:
    assert said.code == 0, said.err
    return said.out


def total(name: str | Path) -> str:
    return sha256(Path(name).read_bytes()).hexdigest()


def record() -> Path:
    (found,) = Path().glob("*.record.json")
    return found


def test_a_proof_is_printed_as_its_file_is(run: Run, printer: Pretended) -> None:
    out = good(run("proof", "tug.yaml", "-o", "p.pdf", "--to", printer.uri))
    assert [sha256(one).hexdigest() for one in printer.documents] == [total("p.pdf")]
    assert "'Film Printer': job 41 was printed" in out and "sent to the printer: p.pdf" in out
    assert "next: measure its bars, then run: decalgen proof passed p.pdf --code" in out
    job = {name: plain(values) for name, values in printer.jobs[41].items()}
    assert job["print-scaling"] == ("none",)
    assert job["media-col"][0]["media-size"] == ({"x-dimension": (14800,), "y-dimension": (21000,)},)
    # Plain paper may be printed as often as one likes.
    good(run("proof", "tug.yaml", "-o", "p.pdf", "--to", printer.uri))
    assert len(printer.documents) == 2 and len(set(printer.names.values())) == 2


def test_film_only_after_its_proof_has_passed(run: Run, printer: Pretended, capsys: pytest.CaptureFixture[str]) -> None:
    gated = runner(capsys, gated=True)
    good(run("proof", "tug.yaml", "-o", "tug-proof.pdf"))
    said = gated("sheet", "tug.yaml", "-o", "tug-sheet.pdf", "--to", printer.uri)
    assert said.code == 1 and printer.documents == [] and not Path("tug-sheet.pdf").exists()
    bars = json.loads(Path("tug.positions.json").read_text(encoding="utf-8"))["proof"]["bars"]
    asked = {bar["axis"]: f"{bar['length']:g}" for bar in bars}
    words = ("--x", asked["x"], "--y", asked["y"])
    good(gated("proof", "passed", "tug-proof.pdf", "--code", code_on(Path("tug-proof.pdf")), *words * 3))
    out = good(gated("sheet", "tug.yaml", "-o", "tug-sheet.pdf", "--to", printer.uri))
    assert [sha256(one).hexdigest() for one in printer.documents] == [total("tug-sheet.pdf")]
    assert "job 41 was printed" in out and f"next: to print it again: decalgen sheet --again {record()}" in out


def test_the_record_keeps_what_was_sent_before_it_is_sent(run: Run, printer: Pretended) -> None:
    seen = []

    def looking(request: Message) -> None:
        if request.code == SEND_DOCUMENT:
            seen.append(read_record(record().read_text(encoding="utf-8"), "record").sent)

    printer.manner.first = looking
    good(run("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri))
    (before,) = seen
    (after,) = read_record(record().read_text(encoding="utf-8"), "record").sent
    assert before == (replace(after, outcome="sent"),) and after.outcome == "printed"
    assert (after.sheet, after.file, after.sha256, after.job) == (1, "s.pdf", total("s.pdf"), "41")
    assert (after.printer, after.address) == ("Film Printer", printer.uri)
    assert after.uuid == "0c5a6e10-7d21-4b8e-9f00-2a6d0c1b7e55"
    assert after.asked == after.kept and dict(after.asked)["print-scaling"] == "none"
    assert after.name == printer.names[41] and after.name.startswith(f"decalgen {record().name[2:10]} sheet 1 of 1 ")


def test_the_same_sheet_is_sent_once_and_again_only_when_asked(run: Run, printer: Pretended) -> None:
    words = ("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri)
    good(run(*words))
    good(run("sheet", "tug.yaml", "-o", "s.pdf"))  # its files alone: what was sent stays known
    said = run(*words)
    assert said.code == 8 and "sheet 1 to 'Film Printer', job 41, printed; nothing was sent now" in said.err
    assert f"decalgen sheet --again {record()} --to {printer.uri}`" in said.err
    assert len(printer.documents) == 1
    out = good(run("sheet", "--again", str(record()), "--to", printer.uri))
    (file,) = Path().glob("s-*-sheet.pdf")
    assert sha256(printer.documents[1]).hexdigest() == total(file) == total("s.pdf")
    assert "job 42 was printed" in out and "next: let the sheet dry before you cut it" in out
    kept = read_record(record().read_text(encoding="utf-8"), "record")
    assert [one.job for one in kept.sent] == ["41", "42"]


@pytest.mark.parametrize(
    "more", [("-o", "s.pdf", "--cut", "c.svg"), ("-o", "other.pdf"), ("-o", "s.pdf", "--work-card", "w.pdf")]
)
def test_under_another_name_or_with_another_file_it_is_the_same_film(
    run: Run, printer: Pretended, more: tuple[str, ...]
) -> None:
    good(run("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri))
    first = record()
    said = run("sheet", "tug.yaml", *more, "--to", printer.uri)
    assert said.code == 8 and "nothing was sent now" in said.err and f"--again {first}" in said.err
    assert len(printer.documents) == 1


def test_two_runs_never_print_film_at_once(run: Run, printer: Pretended, tmp_path: Path) -> None:
    lock = data_folder() / "printing.lock"
    lock.parent.mkdir(parents=True, exist_ok=True)
    program = (
        "import sys\nfrom pathlib import Path\nfrom decalgen.core.unfinished import alone\n"
        "with alone(Path(sys.argv[1])) as mine:\n    print(mine, flush=True)\n    sys.stdin.read()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", program, str(lock)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, encoding="utf-8"
    ) as other:
        assert other.stdout is not None and other.stdout.readline() == "True\n"
        said = run("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri)
        assert said.code == 8 and "another run of decalgen prints film just now" in said.err
        assert not list(Path().glob("s*.pdf")) and printer.documents == []
        other.communicate("")
    good(run("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri))
    assert len(printer.documents) == 1


def test_a_sheet_known_only_upright_gets_the_page_turned_at_its_own_size(run: Run, printer: Pretended) -> None:
    words = ("--film", "white 210 x 148 mm", "--to", printer.uri)
    out = good(run("sheet", "tug.yaml", "-o", "s.pdf", *words))
    assert "takes this sheet as 148 × 210 mm: the page was turned by a quarter" in out and "nothing is scaled" in out
    assert [sha256(one).hexdigest() for one in printer.documents] == [total("s-turned.pdf")]
    media = plain(printer.jobs[41]["media-col"])[0]
    assert media["media-size"] == ({"x-dimension": (14800,), "y-dimension": (21000,)},)
    # As another reader of PDF sees both: a turn by a quarter to the left of the same dots, and nothing else.
    (flat,), (upright,) = (pdfium.PdfDocument(data) for data in (Path("s.pdf").read_bytes(), printer.documents[0]))
    assert [round(side / 72 * 25.4, 3) for side in upright.get_size()] == [148.0, 210.0]
    before, after = (page.render(scale=4).to_numpy().astype(int) for page in (flat, upright))
    assert after.shape == (before.shape[1], before.shape[0], 3)
    off = abs(numpy.rot90(before) - after).max(axis=2) > 64
    assert (before.min(axis=2) < 128).sum() > 5000 and off.mean() < 0.001
    (kept,) = read_record(record().read_text(encoding="utf-8"), "record").sent
    assert (kept.file, kept.sha256, kept.of) == ("s-turned.pdf", total("s-turned.pdf"), total("s.pdf"))
    # Turned or not, it is the same film.
    printer.manner.offers = {**OFFERS, "media-size-supported": (A4, A5, size(21000, 14800))}
    assert "nothing was sent now" in run("sheet", "tug.yaml", "-o", "s.pdf", *words).err
    good(run("proof", "tug.yaml", "-o", "p.pdf", *words))
    assert not Path("p-turned.pdf").exists() and len(printer.documents) == 2


def test_the_edges_of_a_turned_page_turn_with_it(run: Run, printer: Pretended) -> None:
    Path("k.yaml").write_text("printer: k\nprocess: inkjet\nmargins: [9 mm, 2 mm, 9 mm, 9 mm]\n", encoding="utf-8")
    film = ("--film", "white 210 x 148 mm", "--printer", "k.yaml", "--to", printer.uri)
    # What is right of the page is at the head of the sheet, where the printer leaves 3 mm.
    assert "3 mm top (its profile: 2 mm)" in good(run("proof", "tug.yaml", "-o", "p.pdf", *film))


def test_each_sheet_is_a_job_of_its_own(run: Run, printer: Pretended) -> None:
    text = LARGE.replace("artwork:", "copies: 2, artwork:")
    Path("tug.yaml").write_text(text, encoding="utf-8")
    good(run("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri))
    assert [sha256(one).hexdigest() for one in printer.documents] == [total("s-1.pdf"), total("s-2.pdf")]
    assert [" ".join(name.split()[2:6]) for name in printer.names.values()] == ["sheet 1 of 2", "sheet 2 of 2"]
    kept = read_record(record().read_text(encoding="utf-8"), "record").sent
    assert [(one.sheet, one.outcome) for one in kept] == [(1, "printed"), (2, "printed")]


def test_the_rest_of_a_print_is_sent_where_a_printer_gave_up_between(run: Run, printer: Pretended) -> None:
    Path("tug.yaml").write_text(LARGE.replace("artwork:", "copies: 2, artwork:"), encoding="utf-8")

    def second_refused(job: Attributes) -> Attributes:
        return {**job, "print-scaling": of(KEYWORD, "fit")} if len(printer.jobs) == 2 else job

    printer.manner.keeps = second_refused
    words = ("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri)
    said = run(*words)
    assert said.code == 8 and "would not print it as it is" in said.err and "the file is s-2.pdf" in said.err
    assert len(printer.documents) == 1
    printer.manner.keeps = dict
    out = good(run(*words))
    assert "sheet 1 was sent before (to 'Film Printer', job 41, printed): it is not sent again" in out
    assert [sha256(one).hexdigest() for one in printer.documents] == [total("s-1.pdf"), total("s-2.pdf")]


TWO_FILMS = (
    LARGE.replace("film: white", "film: clear")
    + """\
  plate:
    panel: door
    film: white
    width: 60 mm
    height: 30 mm
    artwork: [{field: {ink: lifebuoy orange}}]
"""
)


@pytest.mark.parametrize(
    ("state", "words", "first", "resent"),
    [
        (7, "job 41 was cancelled", "clear A5", True),
        (8, "job 41 was given up", "white A5", False),
        (5, "job 41 is not done yet", "white A5", False),
    ],
)
def test_after_a_sheet_that_was_not_printed_nothing_more_is_sent(
    run: Run, printer: Pretended, monkeypatch: pytest.MonkeyPatch, state: int, words: str, first: str, resent: bool
) -> None:
    Path("tug.yaml").write_text(TWO_FILMS, encoding="utf-8")
    monkeypatch.setattr(client, "Patience", lambda: HASTY)
    printer.manner.states = (state,)
    words_typed = ("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri)
    said = run(*words_typed)
    assert said.code == 8 and len(printer.documents) == 1, said.text
    assert f"sheet 1 ('clear A5'): 'Film Printer': {words}; not sent: sheet 2 ('white A5')" in said.err
    assert f"then load '{first}' and run this again: it sends only what was not sent" in said.err
    # As it says: what cannot have come out goes first, and nothing that may have come out goes again.
    printer.manner.states = (9,)
    out = "".join(good(run(*words_typed)) for _ in range(2 if resent else 1))
    files = ["s-1.pdf", "s-1.pdf", "s-2.pdf"] if resent else ["s-1.pdf", "s-2.pdf"]
    assert [sha256(one).hexdigest() for one in printer.documents] == [total(one) for one in files]
    assert ("sheet 1: load 'clear A5'" in out) == resent and "sheet 2: load 'white A5'" in out


def test_after_a_silent_printer_nothing_more_is_sent(
    run: Run, printer: Pretended, monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("tug.yaml").write_text(TWO_FILMS, encoding="utf-8")
    monkeypatch.setattr(client, "Patience", lambda: replace(HASTY, document=0.3))
    printer.manner.silent = frozenset({SEND_DOCUMENT})

    def silenced(job: Attributes) -> Attributes:
        printer.manner.dies_in = frozenset({GET_JOB})
        return job

    printer.manner.keeps = silenced
    said = run("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri)
    assert said.code == 8 and len(printer.documents) == 1
    assert "job 41 may have been printed; not sent: sheet 2 ('white A5')" in said.err
    assert "then load 'white A5' and run this again" in said.err
    (kept,) = read_record(record().read_text(encoding="utf-8"), "record").sent
    assert (kept.sheet, kept.outcome) == (1, "perhaps printed")


@pytest.mark.parametrize(
    ("command", "state", "code", "words"),
    [
        ("sheet", 7, 8, "job 41 was cancelled"),
        ("sheet", 8, 8, "job 41 was given up"),
        ("sheet", 5, 0, "next: see that it comes out; to print it again"),
        ("proof", 8, 8, "job 41 was given up"),
        ("proof", 5, 0, "job 41 is not done yet"),
    ],
)
def test_how_the_last_file_ends(
    run: Run, printer: Pretended, monkeypatch: pytest.MonkeyPatch, command: str, state: int, code: int, words: str
) -> None:
    monkeypatch.setattr(client, "Patience", lambda: HASTY)
    printer.manner.states = (state,)
    said = run(command, "tug.yaml", "-o", "s.pdf", "--to", printer.uri)
    assert said.code == code and words in said.text and "not sent" not in said.text


def test_other_film_waits_until_it_is_loaded(run: Run, printer: Pretended) -> None:
    """The second sheet would go through on the first one's film: nobody is asked between two jobs of a printer."""
    Path("tug.yaml").write_text(TWO_FILMS, encoding="utf-8")
    words = ("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri)
    out = good(run(*words))
    assert len(printer.documents) == 1 and "sheet 1: load 'clear A5'" in out
    assert (
        "not sent yet: sheet 2 ('white A5'); load 'white A5' and run this again: it sends only what was not sent" in out
    )
    assert "next: load 'white A5', then run this again" in out
    out = good(run(*words))
    assert "sheet 1 was sent before" in out and "sheet 2: load 'white A5'" in out and "not sent yet" not in out
    assert [sha256(one).hexdigest() for one in printer.documents] == [total("s-1.pdf"), total("s-2.pdf")]
    assert "this was sent already" in run(*words).err


def test_a_print_made_again_goes_on_with_the_rest(
    run: Run, printer: Pretended, monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("tug.yaml").write_text(TWO_FILMS, encoding="utf-8")
    for _ in range(2):
        good(run("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri))
    monkeypatch.setattr(client, "Patience", lambda: HASTY)
    words = ("sheet", "--again", str(record()), "--to", printer.uri)
    printer.manner.states = (8,)
    said = run(*words)
    assert said.code == 8 and len(printer.documents) == 3 and "not sent: sheet 2 ('white A5')" in said.err
    assert "then load 'white A5' and run this again: it sends only what was not sent" in said.err
    printer.manner.states = (9,)
    out = good(run(*words))
    # Sheet 1 may have come out twice by now, so that this run is for the other.
    assert len(printer.documents) == 4 and "sheet 1 was sent before" in out and "sheet 2: load 'white A5'" in out
    assert "sheet 1: load 'clear A5'" in good(run(*words)) and len(printer.documents) == 5


def test_a_queue_is_asked_for_the_tray_and_paper_of_the_kept_profile(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    film = "{film: white A5, kind: white, width: 148 mm, height: 210 mm, tray: rear tray, paper type: transparency}"
    Path("kitchen.yaml").write_text(f"printer: kitchen\nprocess: inkjet\nfor: {film}\n", encoding="utf-8")
    handed: list[list[str]] = []

    def queue_file(queue: queues.PrintQueue, path: str, title: str, options: list[str]) -> queues.QueuedFile:
        handed.append([one for one in options if one.startswith(("InputSlot", "MediaType"))])
        return queues.QueuedFile("usb-12")

    monkeypatch.setattr(places, "queues", lambda: [queues.PrintQueue("usb", "usb://Maker/One")])
    monkeypatch.setattr(queues, "_choices", lambda _: {"InputSlot": ["Auto", "Rear"], "MediaType": ["Plain", "Gloss"]})
    monkeypatch.setattr(print_to, "queue_file", queue_file)
    words = ("--printer", "kitchen.yaml", "--film", "white A5", "--to", "usb")
    good(run("proof", "tug.yaml", "-o", "p.pdf", *words))
    out = good(run("sheet", "tug.yaml", "-o", "s.pdf", *words))
    assert handed == [["InputSlot=Rear"], ["InputSlot=Rear"]]
    assert "has no paper type 'transparency', which its kept profile names" in out
    (kept,) = read_record(record().read_text(encoding="utf-8"), "record").sent
    assert dict(kept.asked)["InputSlot"] == "Rear"


def test_a_queue_gets_one_sheet_a_run(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    Path("tug.yaml").write_text(TWO_FILMS, encoding="utf-8")
    monkeypatch.setattr(places, "queues", lambda: [queues.PrintQueue("usb", "usb://Maker/One")])
    monkeypatch.setattr(print_to, "queue_file", lambda *_: queues.QueuedFile("usb-12"))
    said = run("sheet", "tug.yaml", "-o", "s.pdf", "--to", "usb")
    assert said.code == 8 and "given to the computer's queue as usb-12" in said.err
    assert "not sent: sheet 2 ('white A5')" in said.err and "then load 'white A5' and run this again" in said.err
    assert "sheet 1 was sent before" in good(run("sheet", "tug.yaml", "-o", "s.pdf", "--to", "usb"))


def test_the_tray_and_the_paper_are_the_printers_own(run: Run, printer: Pretended) -> None:
    words = ("proof", "tug.yaml", "-o", "p.pdf", "--to", printer.uri)
    good(run(*words, "--tray", "Rear tray", "--paper-type", "Stationery"))
    media = plain(printer.jobs[41]["media-col"])[0]
    assert (media["media-source"], media["media-type"]) == (("rear",), ("stationery",))
    said = run(*words, "--tray", "reer")
    assert said.code == 8 and "has no tray 'reer'" in said.err and "did you mean 'rear'?" in said.err
    said = run("proof", "tug.yaml", "--tray", "rear")
    assert said.code == 64 and "add --to PRINTER" in said.err


def test_a_mistake_is_told_before_anything_is_made(run: Run) -> None:
    for named, code, words in (
        ("ipp://127.0.0.1:9/ipp/print", 8, "cannot be reached"),
        ("socket://192.168.1.4", 8, "not an address by which a printer takes a file at 100 %"),
        ("ipp://a printer/ipp/print", 8, "is not a printer's address: it holds a space or a sign"),
        ("ipp://user@127.0.0.1/", 8, "names no host"),
        ("ipp://127.0.0.1:99999/", 8, "is not a printer's address"),
    ):
        said = run("proof", "tug.yaml", "-o", "p.pdf", "--to", named)
        assert said.code == code and words in said.err and "fix:" in said.err, said.err
    assert not list(Path().glob("p.*"))
    said = run("sheet", "tug.yaml", "--for", "press", "--to", "x")
    assert said.code == 64 and "leave out --to, or --for press" in said.err


def test_a_printer_with_white_has_a_pass_of_its_own(run: Run, printer: Pretended) -> None:
    Path("white.yaml").write_text("printer: laser with white\nprocess: inkjet\nwhite: yes\n", encoding="utf-8")
    said = run("sheet", "tug.yaml", "-o", "s.pdf", "--printer", "white.yaml", "--to", printer.uri)
    assert said.code == 6 and "add --plates" in said.err and printer.documents == []


def test_the_tray_of_the_kept_profile_is_asked_for(run: Run, printer: Pretended) -> None:
    film = "{film: white A5, kind: white, width: 148 mm, height: 210 mm, tray: rear tray}"
    Path("kitchen.yaml").write_text(f"printer: kitchen\nprocess: inkjet\nfor: {film}\n", encoding="utf-8")
    words = ("--printer", "kitchen.yaml", "--film", "white A5", "--to", printer.uri)
    good(run("proof", "tug.yaml", "-o", "p.pdf", *words))
    good(run("sheet", "tug.yaml", "-o", "s.pdf", *words))
    good(run("sheet", "--again", str(record()), "--to", printer.uri))
    sources = [plain(job["media-col"])[0]["media-source"] for job in printer.jobs.values()]
    assert sources == [("rear",)] * 3
    printer.manner.offers = {**OFFERS, "media-source-supported": of(KEYWORD, "tray-1", "tray-2")}
    said = run("proof", "tug.yaml", "-o", "p.pdf", *words)
    assert said.code == 8 and "has no tray 'rear tray'" in said.err and "name one of its own with --tray" in said.err
    # A printer that cannot be told its tray is left to what is set on it.
    printer.manner.offers = {name: values for name, values in OFFERS.items() if name != "media-source-supported"}
    good(run("proof", "tug.yaml", "-o", "p.pdf", *words))
    assert "media-source" not in plain(printer.jobs[44]["media-col"])[0]


def test_the_paper_type_of_the_kept_profile_is_asked_for_on_film(run: Run, printer: Pretended) -> None:
    film = "{film: white A5, kind: white, width: 148 mm, height: 210 mm, paper type: transparency}"
    text = f"printer: kitchen\nprocess: inkjet\nmargins: [2 mm, 3 mm, 3 mm, 2 mm]\nfor: {film}\n"
    Path("kitchen.yaml").write_text(text, encoding="utf-8")
    words = ("--printer", "kitchen.yaml", "--film", "white A5", "--to", printer.uri)
    out = good(run("proof", "tug.yaml", "-o", "p.pdf", *words))
    # The printer's least margin at the head is 3 mm; it says none of the other sides.
    assert "leaves more of the sheet bare than was counted on" in out and "3 mm top (its profile: 2 mm)" in out
    good(run("sheet", "tug.yaml", "-o", "s.pdf", *words))
    good(run("sheet", "--again", str(record()), "--to", printer.uri, "--paper-type", "stationery"))
    types = [plain(job["media-col"])[0].get("media-type") for job in printer.jobs.values()]
    assert types == [None, ("transparency",), ("stationery",)]


def test_a_queue_gets_the_file_and_the_record_says_so(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    handed = []

    def queue_file(queue: queues.PrintQueue, path: str, title: str, options: list[str]) -> queues.QueuedFile:
        handed.append((queue.name, total(path), options[0]))
        if len(handed) == 1:
            raise PrintingError("the printer of the queue 'usb' does not print now", fix="switch it on")
        return queues.QueuedFile("usb-12", "Toner is low.")

    monkeypatch.setattr(places, "queues", lambda: [queues.PrintQueue("usb", "usb://Maker/One")])
    monkeypatch.setattr(print_to, "queue_file", queue_file)
    words = ("sheet", "tug.yaml", "-o", "s.pdf", "--to", "USB")
    assert "does not print now" in run(*words).err
    out = good(run(*words))
    assert "given to the computer's queue as usb-12" in out and "the queue says: Toner is low." in out
    assert "a queue may drop 'no scaling'" in out
    assert handed == [("usb", total("s.pdf"), "media=custom_decalgen_148x210mm")] * 2
    kept = read_record(record().read_text(encoding="utf-8"), "record").sent
    assert [(one.job, one.outcome) for one in kept] == [("", "cancelled"), ("usb-12", "sent")]
    assert dict(kept[1].asked)["print-scaling"] == "none"
    assert run(*words).code == 8 and len(handed) == 2
    assert "only through the computer's queue" in good(run("printers"))
    out = good(run("proof", "tug.yaml", "-o", "p.pdf", "--film", "white 210 x 148 mm", "--to", "usb"))
    assert (
        handed[2] == ("usb", total("p-turned.pdf"), "media=custom_decalgen_148x210mm") and "turned by a quarter" in out
    )


def test_a_spoilt_record_is_no_leave_to_print_twice(run: Run, printer: Pretended) -> None:
    words = ("sheet", "tug.yaml", "-o", "s.pdf", "--to", printer.uri)
    good(run(*words))
    record().write_text(record().read_text(encoding="utf-8").replace("printed", "cancelled"), encoding="utf-8")
    said = run(*words)
    assert said.code == 3 and "look whether the sheet was printed before" in said.err
    assert len(printer.documents) == 1


def test_where_no_printer_is_found_the_dialogs_settings_are_listed(run: Run) -> None:
    for named in ("Film Printer", "dialog"):
        out = good(run("proof", "tug.yaml", "-o", "p.pdf", "--to", named))
        assert "open p.pdf, and print it with these settings:" in out
        assert ("no printer 'Film Printer' was found, nor any other" in out) == (named != "dialog")
        assert "next: print it, measure its bars" in out and "print on plain paper at 100 %: p.pdf" in out
        assert "paper: 148 × 210 mm" in out and "scale: 100 %, or actual size" in out and "borderless: off" in out


def test_what_a_printer_takes_is_shown(run: Run, printer: Pretended) -> None:
    out = good(run("printers", printer.uri))
    assert "'Film Printer' (Pretended 1): prints at 100 %" in out
    assert "sheets, mm: 210 × 297, 148 × 210" in out and "trays, for --tray: auto, main, rear" in out
    assert f"next: decalgen proof JOB --to {printer.uri}" in out
    out = good(run("printers"))
    assert "no printer was found" in out and "--to dialog" in out


def test_the_list_says_how_far_each_can_be_trusted(
    run: Run, printer: Pretended, monkeypatch: pytest.MonkeyPatch
) -> None:
    host = "127.0.0.1"
    with pretended(Manner({**OFFERS, "document-format-supported": of(0x49, "image/urf")})) as other:
        network = [
            Announced("Bench", Address(host, printer.port), "0c5a-one", "Pretended 1", "upstairs"),
            Announced("Bench", Address(host, other.port), "0c5a-two", "Pretended 1", ""),
            Announced("Away / gone", Address(host, 9), "77", "", ""),
        ]
        monkeypatch.setattr(places, "ask_network", lambda: network)
        monkeypatch.setattr(places, "queues", lambda: [queues.PrintQueue("usb", "usb://Maker/One")])
        out = good(run("printers"))
        said = run("proof", "tug.yaml", "-o", "p.pdf", "--to", "Bench")
    rows = out.splitlines()
    assert rows[0] == "'usb': only through the computer's queue, which may scale: measure the bars"
    assert rows[1].startswith("'Bench' (Pretended 1, upstairs, ipp://") and "--to 0c5a-one: prints at 100 %" in rows[1]
    assert "--to 0c5a-two: takes no PDF files: only through the print dialog" in rows[2]
    assert rows[3].startswith("'Away / gone' (ipp://127.0.0.1:9/ipp/print): ") and "cannot be reached" in rows[3]
    assert rows[-1].startswith("found 4 printers: 0 errors")
    assert said.code == 8 and "2 printers are called 'Bench'" in said.err and "0c5a-one (upstairs)" in said.err
    assert printer.documents == other.documents == []


def test_nothing_is_shown_raw_of_what_a_printer_calls_itself(run: Run) -> None:
    offers = {**OFFERS, "printer-info": of(0x41, "Film\x1b[2J Printer\n\u202e")}
    with pretended(Manner(offers)) as printer:
        out = good(run("proof", "tug.yaml", "-o", "p.pdf", "--to", printer.uri))
    assert "\x1b" not in out and "\u202e" not in out
    assert len(printer.documents) == 1
