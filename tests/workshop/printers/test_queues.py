"""The computer's queues by pretended programs of a spooler (scripts that answer as CUPS 2.4 was seen to answer): which
there are, what is handed over, and what is cancelled."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from decalgen.core.errors import PrintingError
from decalgen.workshop.printers import queues as queue_programs
from decalgen.workshop.printers.queues import PrintQueue, QueuedFile, queue_file, queue_options, queue_page, queues
from decalgen.workshop.printers.settings import PageSetup

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="scripts of a shell stand in for the spooler")
LPSTAT = """\
case "$1" in
-e) printf 'Film_Printer\\nUsb_One\\n' ;;
-v) echo 'device for Film_Printer: ipp://127.0.0.1:8631/ipp/print'
  echo 'device for Usb_One: usb://Maker/One?serial=7' ;;
-p) cat state ;;
-W) cat done ;;
esac
"""
LP = """\
printf '%s\\n' "$@" > handed
printf 'request id is Usb_One-12 (1 file(s))\\n'
"""
LPOPTIONS = "printf 'InputSlot/Media Source: *Auto Rear Tray1\\nMediaType/Media Type: *Plain Film\\n'"
DONE = """\
Usb_One-120             root              9216   Sat Nov 28 02:28:46 2026
\tStatus: Of another request.
\tAlerts: processing-to-stop-point
\tqueued for Usb_One
Usb_One-12              root              9216   Sat Nov 28 02:28:47 2026
\tStatus:
\tAlerts: processing-to-stop-point
\tqueued for Usb_One
"""
"""As CUPS 2.4.2 lists what it is done with."""
IDLE = "printer Usb_One is idle.  enabled since Fri 27 Nov 2026\n"


@pytest.fixture
def spooler(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the programs of a spooler, on the path before all others, in which they run."""
    for name, text in (("lpstat", LPSTAT), ("lp", LP), ("lpoptions", LPOPTIONS), ("cancel", 'echo "$1" > cancelled')):
        program = tmp_path / name
        program.write_text(f'#!/bin/sh\n[ "$LC_ALL" = C ] || exit 9\n{text}\n', encoding="utf-8")
        program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    monkeypatch.chdir(tmp_path)
    (tmp_path / "state").write_text(IDLE, encoding="utf-8")
    (tmp_path / "done").write_text(DONE, encoding="utf-8")
    monkeypatch.setattr(queue_programs, "PAUSE", 0.0)
    return tmp_path


USB = PrintQueue("Usb_One", "usb://Maker/One?serial=7")


def test_the_queues_with_their_devices(spooler: Path) -> None:
    assert queues() == [PrintQueue("Film_Printer", "ipp://127.0.0.1:8631/ipp/print"), USB]


def test_without_a_spooler_there_are_none(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert queues() == []
    with pytest.raises(PrintingError, match="lp is not installed; nothing was printed"):
        queue_file(USB, "p.pdf", "decalgen", [])


def test_what_a_queue_is_handed(spooler: Path) -> None:
    options = queue_options(USB, PageSetup(148.0, 210.0, "rear", "film"))
    assert options == [
        "media=custom_decalgen_148x210mm",
        "sides=one-sided",
        "print-quality=5",
        "print-color-mode=color",
        "print-scaling=none",
        "InputSlot=Rear",
        "MediaType=Film",
    ]
    assert queue_file(USB, "/home/a b/p.pdf", "decalgen 'x'; rm", options[:1]) == QueuedFile("Usb_One-12")
    handed = (spooler / "handed").read_text(encoding="utf-8").splitlines()
    assert handed == [
        "-d", "Usb_One", "-t", "decalgen 'x'; rm", "-n", "1", "-o", "media=custom_decalgen_148x210mm",
        "--", "/home/a b/p.pdf",
    ]  # fmt: skip
    assert not (spooler / "cancelled").exists()
    with pytest.raises(PrintingError, match="has no tray 'front'"):
        queue_options(USB, PageSetup(148.0, 210.0, "front"))


PAGE = PageSetup(148.0, 210.0)


@pytest.mark.parametrize(
    ("page", "kept", "found", "told"),
    [
        (PAGE, ("rear tray", "film"), ("Rear", "Film"), []),
        # What is asked for goes before the profile, and is refused elsewhere where the queue has no such word.
        (replace(PAGE, tray="tray1", paper="Plain"), ("rear", "film"), ("tray1", "Plain"), []),
        (replace(PAGE, tray="front"), ("rear", ""), ("front", ""), []),
        (
            PAGE,
            ("bypass", "transparency"),
            ("", ""),
            [
                "the printer has no tray 'bypass', which its kept profile names: name one of its own with --tray: ",
                "the printer has no paper type 'transparency', which its kept profile names: name one of its own with "
                "--paper-type: ",
            ],
        ),
        (PAGE, ("", ""), ("", ""), []),
    ],
)
def test_tray_and_paper_of_the_kept_profile(
    spooler: Path, page: PageSetup, kept: tuple[str, str], found: tuple[str, str], told: list[str]
) -> None:
    asked, said = queue_page(USB, page, *kept)
    assert asked == replace(page, tray=found[0], paper=found[1])
    assert len(said) == len(told) and all(one.startswith(words) for one, words in zip(said, told, strict=True))


@pytest.mark.parametrize("page", [PAGE, replace(PAGE, tray="rear", paper="film")])
def test_a_queue_without_trays_is_told_of(spooler: Path, page: PageSetup) -> None:
    (spooler / "lpoptions").write_text("#!/bin/sh\necho 'PageSize/Media Size: *A4'\n", encoding="utf-8")
    asked, said = queue_page(USB, page, "rear", "film")
    assert asked == PAGE
    assert said == [
        "the queue 'Usb_One' takes no tray: set 'rear' on the printer itself",
        "the queue 'Usb_One' takes no paper type: set 'film' on the printer itself",
    ]


@pytest.mark.parametrize("said", ["disabled since", "The printer may not exist or is unavailable at this time."])
def test_a_queue_whose_printer_is_away_is_handed_nothing(spooler: Path, said: str) -> None:
    (spooler / "state").write_text(f"printer Usb_One {said}\n", encoding="utf-8")
    with pytest.raises(PrintingError, match="does not print now"):
        queue_file(USB, "p.pdf", "decalgen", [])
    assert not (spooler / "handed").exists()


def test_a_printer_that_is_found_away_afterwards_prints_nothing_some_other_day(spooler: Path) -> None:
    lp = spooler / "lp"
    away = "echo 'The printer is unreachable at this time' > state\n"
    lp.write_text(lp.read_text(encoding="utf-8") + away, encoding="utf-8")
    with pytest.raises(PrintingError, match="request Usb_One-12 was cancelled"):
        queue_file(USB, "p.pdf", "decalgen", [])
    assert (spooler / "cancelled").read_text(encoding="utf-8") == "Usb_One-12\n"


def test_a_queue_that_refuses_says_why(spooler: Path) -> None:
    (spooler / "lp").write_text("#!/bin/sh\necho 'lp: The printer or class does not exist.' >&2; exit 1\n")
    with pytest.raises(PrintingError, match="lp: The printer or class does not exist"):
        queue_file(USB, "p.pdf", "decalgen", [])


def test_a_request_that_the_printer_refuses_is_told(spooler: Path) -> None:
    # The queue cancels it without a word, and `lp` had said yes.
    refused = DONE.replace("Status:\n", "Status: Printer cannot print with supplied options.\n")
    (spooler / "done").write_text(refused, encoding="utf-8")
    with pytest.raises(PrintingError) as told:
        queue_file(USB, "p.pdf", "decalgen", [])
    assert (
        "dropped request Usb_One-12: printer cannot print with supplied options; nothing was printed"
        in told.value.message
    )
    (spooler / "done").write_text(DONE.replace("Status:\n", "Status: Ink is low.\n"), encoding="utf-8")
    assert queue_file(USB, "p.pdf", "decalgen", []) == QueuedFile("Usb_One-12", "Ink is low.")


def test_a_request_that_waits_is_left_to_the_queue(spooler: Path) -> None:
    (spooler / "done").write_text("", encoding="utf-8")
    assert queue_file(USB, "p.pdf", "decalgen", []) == QueuedFile("Usb_One-12")
