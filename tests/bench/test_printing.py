"""Proof and Print send to a printer: the file's own bytes, once, whatever is pressed, and what is said of it. On the
loopback address alone: a pretended printer, on a pretended network."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench import serve
from decalgen.bench.print_choice import PrinterChoice, chosen_printer
from decalgen.bench.printing import AGAIN, NONE
from decalgen.commands.options import Options
from decalgen.commands.proof import make_proof
from decalgen.commands.proof_passed import pass_proof
from decalgen.commands.run import Run
from decalgen.core.visible import visible
from decalgen.proofing.files import standard_of
from decalgen.proofing.fingerprint import code_of
from decalgen.sheet.positions import read_positions
from decalgen.sheet.record import read_record
from decalgen.workshop.printers import by_hand, client, multicast, places, queues
from decalgen.workshop.printers.addresses import Address
from decalgen.workshop.printers.client import SEND_DOCUMENT, Patience
from decalgen.workshop.printers.messages import NAME, of, plain
from decalgen.workshop.printers.multicast import Announced
from tests.bench.first_minute import browser_of
from tests.bench.sheeting import tug
from tests.helpers.pretended_printer import OFFERS, Manner, Pretended, pretended

UUID = "0c5a6e10-7d21-4b8e-9f00-2a6d0c1b7e55"
QUICK = Patience(connect=5.0, answer=5.0, document=0.3, pause=0.02, watch=0.5)


@pytest.fixture(scope="module")
def proven(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a job of six small pieces, its proof, and that it passed."""
    folder: Path = tmp_path_factory.mktemp("proven")
    passed(tug(folder), 1)
    return folder


def passed(job: Path, sheets: int, printer: str | None = None) -> None:
    """Proves a job, printed with a printer file: each sheet measures what it should."""
    proof = job.with_name("tug-proof.pdf")
    make_proof(Run([job], Options(printer=printer)), proof).write()
    needed = standard_of(read_positions(job.with_name("tug.positions.json")))
    length = {bar.axis: f"{bar.length:g}" for bar in needed.bars}
    for sheet in range(1, sheets + 1):
        made, verdict = pass_proof(proof, [length["x"]], [length["y"]], "vernier", sheet, code_of(needed.fingerprint))
        made.write()
    assert verdict.word == "passed"


@pytest.fixture
def job(proven: Path, tmp_path: Path) -> Path:
    shutil.copytree(proven, tmp_path, dirs_exist_ok=True)
    return tmp_path / "tug.yaml"


@pytest.fixture(autouse=True)
def network(monkeypatch: pytest.MonkeyPatch) -> list[Announced]:
    """What answers on the network: nothing yet. No queue, no screen, and no long waits."""
    found: list[Announced] = []
    monkeypatch.setattr(multicast, "GROUP", ("127.0.0.1", 9))
    monkeypatch.setattr(places, "ask_network", lambda: list(found))
    monkeypatch.setattr(places, "queues", list)
    monkeypatch.setattr(client, "Patience", lambda: QUICK)
    monkeypatch.setattr(by_hand, "opened", lambda path: False)
    return found


@pytest.fixture
def printer(network: list[Announced]) -> Iterator[Pretended]:
    with pretended() as found:
        network.append(Announced("Film Printer", Address("127.0.0.1", found.port), UUID, "Pretended 1", "upstairs"))
        yield found


@pytest.fixture
def page(job: Path) -> Iterator[TestClient]:
    """The page of the job, as one tab of a browser that was let in; another tab asks the same server."""
    yield from browser_of(serve.shelf_of(job))


def screen(page: TestClient, name: str, **until: Any) -> dict[str, Any]:
    """A screen once nothing is at work and it knows whether the proof holds; and once its printing is as asked for."""
    for _ in range(2000):
        whole = page.get("/state", params={"screen": name}).json()
        found: dict[str, Any] = whole["screen"]
        now = found["printing"] or {}
        if not whole["busy"] and now and not now["looking"] and all(now[key] == one for key, one in until.items()):
            return found
        time.sleep(0.01)
    raise AssertionError(found)


def does(page: TestClient, name: str, act: str, **asked: Any) -> Any:
    return page.post(f"/do/{name}/{act}", json={"view": {"screen": name}, **asked})


def chosen(page: TestClient, name: str, **more: str) -> dict[str, Any]:
    """The printing of a screen, with the pretended printer looked for and chosen."""
    screen(page, name)
    assert does(page, name, "look").status_code == 200
    screen(page, name, looked=True)
    answer = does(page, name, "choose", printer=UUID, **more)
    assert answer.status_code == 200, answer.json()
    printing: dict[str, Any] = screen(page, name, chosen=UUID)["printing"]
    return printing


def prints(page: TestClient, name: str, turn: str, **more: Any) -> dict[str, Any]:
    """Pressed once; what is said of it."""
    answer = does(page, name, "print", turn=turn, **more)
    assert answer.status_code == 200, answer.json()
    printing = screen(page, name)["printing"]
    assert printing["turn"] != turn
    return printing


def totals(printer: Pretended) -> list[str]:
    return [sha256(one).hexdigest() for one in printer.documents]


def total(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()


def test_the_printers_found_are_offered_with_what_they_can(page: TestClient, printer: Pretended, job: Path) -> None:
    before = screen(page, "proof")["printing"]
    # Nothing is asked of the network before that is asked for.
    assert before["printers"] == [["", "none yet"], ["dialog", "the print dialog, by hand"]] and printer.asked == []
    now = chosen(page, "proof")
    assert now["printers"][1] == [UUID, "Film Printer"] and now["none"] == ""
    assert now["can"][0].startswith("Pretended 1, upstairs, ipp://127.0.0.1") and "prints at 100 %" in now["can"][0]
    assert [one for one, _ in now["trays"]] == ["", "auto", "main", "rear"]
    assert [one for one, _ in now["papers"]] == ["", "stationery", "transparency"]
    assert does(page, "proof", "choose", tray="rear", paper="stationery").status_code == 200
    refused = does(page, "proof", "choose", tray="cellar")
    assert refused.status_code == 422 and "choose one from the list" in refused.json()["fix"]
    # The paper of film is another one; both are kept, for what is printed without a profile.
    assert does(page, "print_film", "choose", paper="transparency").status_code == 200
    assert chosen_printer("") == PrinterChoice(UUID, "Film Printer", "rear", "stationery", "transparency")
    assert chosen_printer("kitchen inkjet") == PrinterChoice()
    assert printer.documents == []


def test_a_proof_is_printed_once_a_press(page: TestClient, printer: Pretended, job: Path) -> None:
    now = chosen(page, "proof")
    does(page, "proof", "choose", tray="rear")
    before = {path: path.read_bytes() for path in job.parent.glob("tug*.*") if path.suffix != ".json"}
    after = prints(page, "proof", now["turn"])
    assert totals(printer) == [total(job.with_name("tug-proof.pdf"))]
    assert after["said"]["lines"] == ["'Film Printer': job 41 was printed"]
    assert plain(printer.jobs[41]["media-col"])[0]["media-source"] == ("rear",)
    assert len(before) >= 2 and {path: path.read_bytes() for path in before} == before
    assert screen(page, "proof")["verdict"]["word"] == "passed"
    # A second click, another tab, a page drawn before, one of another start: all name a print that was asked for.
    for turn in (now["turn"], "", None, "0123456789abcdef.1"):
        refused = does(page, "proof", "print", turn=turn)
        assert refused.status_code == 422 and "nothing more was sent" in refused.json()["message"]
    assert len(printer.documents) == 1
    prints(page, "proof", after["turn"])
    assert len(printer.documents) == 2


def test_pressed_while_it_prints_nothing_more_is_sent(page: TestClient, printer: Pretended) -> None:
    now = chosen(page, "proof")
    printer.manner.silent = frozenset({SEND_DOCUMENT})
    assert does(page, "proof", "print", turn=now["turn"]).status_code == 200
    for turn in (now["turn"], now["turn"].replace(".0", ".1")):
        refused = does(page, "proof", "print", turn=turn)
        assert refused.status_code == 422 and "nothing more was sent" in refused.json()["message"]
    said = screen(page, "proof")["printing"]["said"]["lines"]
    assert said[0] == "'Film Printer' did not answer while the file was sent: it was not sent again"
    assert len(printer.documents) == 1


def test_what_is_done_is_told_while_it_is_done(page: TestClient, printer: Pretended) -> None:
    now = chosen(page, "proof")
    told: list[str] = []
    printer.manner.first = lambda _: told.append(page.get("/state", params={"screen": "proof"}).json()["busy"])
    printer.manner.states, printer.manner.reasons = (5, 5, 9), ("media-needed-error",)
    prints(page, "proof", now["turn"])
    assert "asking 'Film Printer' whether it prints the page as it is" in told
    assert "sending the file to 'Film Printer'" in told
    assert "waiting for 'Film Printer', job 41: it wants paper or film" in told


def test_film_goes_through_the_gate_and_once(page: TestClient, printer: Pretended, job: Path) -> None:
    now = chosen(page, "print_film", paper="transparency")
    assert now["sent"] == [] and now["again"] == ""
    after = prints(page, "print_film", now["turn"])
    assert totals(printer) == [total(job.with_name("tug-sheet.pdf"))]
    assert plain(printer.jobs[41]["media-col"])[0]["media-type"] == ("transparency",)
    (path,) = job.parent.glob("*.record.json")
    (sent,) = read_record(path.read_text(encoding="utf-8"), "record").sent
    assert (sent.job, sent.outcome, sent.uuid) == ("41", "printed", UUID)
    assert after["sent"] == ["Sheet 1 went to 'Film Printer', job 41, printed."] and after["again"] == AGAIN
    # The press of a fresh page, but without the tick; and with it.
    said = prints(page, "print_film", after["turn"])
    assert (
        "this was sent already: sheet 1 to 'Film Printer', job 41, printed; nothing was sent now"
        in said["said"]["wrong"]
    )
    assert said["said"]["fix"] == f'tick "{AGAIN}"' and len(printer.documents) == 1
    prints(page, "print_film", said["turn"], again=True)
    assert totals(printer) == [total(job.with_name("tug-sheet.pdf"))] * 2


def test_film_waits_for_its_proof_on_the_server_too(printer: Pretended, job: Path, page: TestClient) -> None:
    now = chosen(page, "proof")
    for path in job.parent.glob("*.proven.json"):
        path.unlink()
    answer = does(page, "print_film", "print", turn=now["turn"])
    assert answer.status_code == 200
    for _ in range(2000):
        whole = page.get("/state", params={"screen": "print_film"}).json()
        if not whole["busy"]:
            break
        time.sleep(0.01)
    assert whole["screen"]["printing"] is None and whole["screen"]["waits"] == ["Proof"]
    assert printer.documents == [] and not job.with_name("tug-sheet.pdf").exists()


def test_after_another_start_the_printer_and_what_it_got_are_known(printer: Pretended, job: Path) -> None:
    for page in browser_of(serve.shelf_of(job)):
        first = chosen(page, "print_film", tray="rear")["turn"]
        prints(page, "print_film", first)
    for page in browser_of(serve.shelf_of(job)):
        # The printer that was chosen is asked again what it can.
        now = screen(page, "print_film", looked=True)["printing"]
        assert (now["chosen"], now["tray"]) == (UUID, "rear") and "prints at 100 %" in now["can"][0]
        assert now["again"] == AGAIN and now["sent"] == ["Sheet 1 went to 'Film Printer', job 41, printed."]
        # A tab that was open before names a print of the start before.
        assert now["turn"] != first and does(page, "print_film", "print", turn=first).status_code == 422
        prints(page, "print_film", now["turn"])
    assert len(printer.documents) == 1


def test_where_none_is_found_the_dialog_is_told_of(
    page: TestClient, job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    screen(page, "proof")
    does(page, "proof", "look")
    assert screen(page, "proof", looked=True)["printing"]["none"] == NONE
    does(page, "proof", "choose", printer="dialog")
    now = screen(page, "proof", chosen="dialog")["printing"]
    assert "paper: 148 × 210 mm, not turned; where there is no such size, set one up" in now["settings"]
    assert "scale: 100 %, or actual size; nothing that fits, fills, shrinks or centres" in now["settings"]
    shown: list[Path] = []
    monkeypatch.setattr(by_hand, "opened", lambda path: bool(shown.append(path)) or True)
    said = prints(page, "proof", now["turn"])["said"]["lines"]
    assert shown == [job.with_name("tug-proof.pdf")] and said[0].startswith("opened ")
    assert said[-1] == "then measure the bars, before any film is printed"


def test_the_dialogs_list_names_tray_and_paper_of_the_kept_profile(page: TestClient, job: Path) -> None:
    setting = "{film: white A5, kind: white, width: 148 mm, height: 210 mm, tray: rear tray, paper type: transparency}"
    margins = "margins: [10 mm, 10 mm, 10 mm, 10 mm]"
    text = f"printer: kitchen\nprocess: inkjet\n{margins}\nfor: {setting}\n"
    job.with_name("kitchen.yaml").write_text(text, encoding="utf-8")
    answer = does(page, "sheet", "settle", key="printer", to="kitchen.yaml")
    assert answer.status_code == 200, answer.json()
    screen(page, "proof")
    does(page, "proof", "choose", printer="dialog")
    now = screen(page, "proof", chosen="dialog")["printing"]["settings"]
    assert "tray: rear tray" in now and "quality: best; paper type: plain paper" in now
    passed(job, 1, str(job.with_name("kitchen.yaml")))
    now = screen(page, "print_film", chosen="dialog")["printing"]["settings"]
    assert "tray: rear tray" in now and "quality: best; paper type: transparency" in now


def test_an_address_typed_by_hand_is_asked_and_chosen(page: TestClient, network: list[Announced], job: Path) -> None:
    screen(page, "proof")
    refused = does(page, "proof", "address", address="a printer upstairs")
    assert refused.status_code == 422 and "write it like ipp://192.168.1.40/ipp/print" in refused.json()["fix"]
    does(page, "proof", "address", address="ipp://127.0.0.1:9/ipp/print")
    wrong = screen(page, "proof")["printing"]["wrong"]
    assert "cannot be reached" in wrong["wrong"] and '"Look for printers"' in wrong["fix"]
    with pretended() as printer:
        does(page, "proof", "address", address=printer.uri)
        now = screen(page, "proof", chosen=printer.uri)["printing"]
        assert now["wrong"] == {} and [printer.uri, "Film Printer"] in now["printers"] and "100 %" in now["can"][0]
        prints(page, "proof", now["turn"])
        assert totals(printer) == [total(job.with_name("tug-proof.pdf"))]


def test_nothing_is_shown_raw_of_what_a_printer_calls_itself(page: TestClient, network: list[Announced]) -> None:
    offers = {**OFFERS, "printer-info": of(NAME, "Film\x1b[2J\u202e")}
    with pretended(Manner(offers)) as printer:
        network.append(Announced("Film\u202e", Address("127.0.0.1", printer.port), UUID, "Pretended\x1b 1", ""))
        now = chosen(page, "proof")
        said = prints(page, "proof", now["turn"])
    words = [*(name for _, name in now["printers"]), *now["can"], *said["said"]["lines"]]
    assert sum("\\u202e" in one for one in words) == 2 and sum("\\u001b" in one for one in words) == 2
    assert [visible(one) for one in words] == words and len(printer.documents) == 1


def test_a_queue_is_offered_and_its_doubt_told(page: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(places, "queues", lambda: [queues.PrintQueue("usb", "usb://Maker/One")])
    screen(page, "proof")
    does(page, "proof", "look")
    screen(page, "proof", looked=True)
    does(page, "proof", "choose", printer="usb")
    now = screen(page, "proof", chosen="usb")["printing"]
    assert now["can"] == ["only through the computer's queue, which may scale: measure the bars"]


def test_a_printer_that_would_scale_prints_nothing_and_says_what_to_do(page: TestClient, printer: Pretended) -> None:
    now = chosen(page, "proof")
    printer.manner = replace(
        printer.manner, keeps=lambda job: {name: one for name, one in job.items() if name != "print-scaling"}
    )
    said = prints(page, "proof", now["turn"])["said"]
    assert "would not print it as it is: print-scaling is not kept instead of 'none'" in said["wrong"]
    assert "nothing was printed" in said["wrong"] and "dialog" in said["fix"] and printer.documents == []
    printer.manner = Manner()
    now = screen(page, "proof")["printing"]
    prints(page, "proof", now["turn"])
    assert len(printer.documents) == 1


def test_after_a_sheet_that_was_not_printed_the_page_names_the_film_to_load(
    page: TestClient, printer: Pretended, job: Path
) -> None:
    text = job.read_text(encoding="utf-8").replace("    over: band\n", "    film: clear\n")
    job.write_text(text, encoding="utf-8")
    passed(job, 2)
    screen(page, "proof")
    now = chosen(page, "print_film")
    printer.manner.states = (8,)
    after = prints(page, "print_film", now["turn"])
    assert "job 41 was given up; not sent: sheet 2 ('clear A5')" in after["said"]["wrong"]
    assert "then load 'clear A5' and press Print again: it sends only what was not sent" in after["said"]["fix"]
    assert after["sent"] == ["Sheet 1 went to 'Film Printer', job 41, given up."] and after["again"] == ""
    printer.manner.states = (9,)
    last = prints(page, "print_film", after["turn"])
    assert totals(printer) == [total(job.with_name(f"tug-sheet-{number}.pdf")) for number in (1, 2)]
    assert "sheet 2: load 'clear A5'" in last["said"]["lines"] and last["again"] == AGAIN
