"""The computer's own print queues, by the programs that it has for them (`lpstat`, `lp`, `cancel`); none on Windows.

A queue is only the second way: a spooler was measured to drop "no scaling" and to change the bytes of a file. Its
printer's own address, where it has one, is the first.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Sequence
from dataclasses import replace

from decalgen.core.errors import PrintingError
from decalgen.core.values import dataclass
from decalgen.workshop.printers.settings import PageSetup, of_these

SECONDS = 10.0
"""So long a program may take to answer."""
_DEVICE = re.compile(r"^device for (?P<name>\S+): (?P<device>\S.*)$")
_REQUEST = re.compile(r"request id is (\S+-\d+)")
AWAY = ("may not exist or is unavailable", "unreachable", "not responding", "disabled", "not accepting")
"""Of a queue whose printer does not answer."""
REFUSED = ("cannot print with supplied options", "nsupported document", "nsupported format")
"""What a queue says of a request that its printer did not take (CUPS 2.4, as it was seen to)."""
LOOKS, PAUSE = 6, 1.0
"""So often a request is looked at, and so long is waited between, s."""


@dataclass(frozen=True)
class PrintQueue:
    """A queue by its name, and the address of its device as the spooler has it; empty: not known."""

    name: str
    device: str = ""


@dataclass(frozen=True)
class QueuedFile:
    """A request by its number, and what the queue ``said`` of it; empty: nothing."""

    number: str
    said: str = ""


def queues() -> list[PrintQueue]:
    """The queues of this computer; none where it has no spooler, or one that does not run."""
    named = _lines("lpstat", "-e")
    devices = {found["name"]: found["device"] for line in _lines("lpstat", "-v") if (found := _DEVICE.match(line))}
    names = dict.fromkeys([*(name.strip() for name in named), *devices])
    return [PrintQueue(name, devices.get(name, "")) for name in names if name]


def queue_file(queue: PrintQueue, path: str, title: str, options: Sequence[str]) -> QueuedFile:
    """Hands a file to a queue and gives the request. Raises PrintingError, before anything is queued
    where the queue does not print now; a request whose printer turns out to be away is cancelled, so that it is not
    printed some other day, and one that the printer refuses is told."""
    _check_awake(queue)
    words = ["-d", queue.name, "-t", title, "-n", "1", *(word for one in options for word in ("-o", one)), "--", path]
    code, out, err = _run("lp", *words)
    found = _REQUEST.search(out)
    if code or not found:
        said = " ".join((err or out).split())[:200] or "it gives no reason"
        raise PrintingError(
            f"the queue '{queue.name}' does not take the file: {said}; nothing was printed",
            fix="see that the printer is set up on this computer (`decalgen printers` lists those found)",
        )
    try:
        _check_awake(queue)
    except PrintingError as error:
        _run("cancel", found[1])
        raise PrintingError(f"{error.message}; request {found[1]} was cancelled", fix=error.fix) from None
    return QueuedFile(found[1], _watched(queue, found[1]))


def _watched(queue: PrintQueue, request: str) -> str:
    """What the queue says of a request, once it is done with it or the time for looking is over. Raises PrintingError
    where the printer refused it: the queue then drops it without a word."""
    from time import sleep

    for look in range(LOOKS):
        if look:
            sleep(PAUSE)
        said = _status(_lines("lpstat", "-W", "completed", "-l", "-o", queue.name), request)
        if said is None:
            continue
        if any(words in said for words in REFUSED):
            raise PrintingError(
                f"the queue '{queue.name}' dropped request {request}: {said.rstrip('.').lower()}; nothing was printed",
                fix="print the file through the computer's own dialog, at 100 %, and measure the bars",
            )
        return said
    return ""


def _status(lines: Sequence[str], request: str) -> str | None:
    """What a list of requests says of one; None where it is not in it."""
    at = next((n for n, line in enumerate(lines) if line.split()[:1] == [request]), None)
    if at is None:
        return None
    for line in lines[at + 1 :]:
        if not line[:1].isspace():
            break
        if line.strip().startswith("Status:"):
            return line.partition(":")[2].strip()
    return ""


def queue_options(queue: PrintQueue, page: PageSetup) -> list[str]:
    """What `lp` is told of a page. The queue's own words for tray and paper hold; it is asked for the file as it is
    where it can be."""
    options = [
        f"media={_media_name(page)}",
        "sides=one-sided",
        "print-quality=5",
        "print-color-mode=color",
        "print-scaling=none",
    ]
    wanted = [("InputSlot", page.tray, "tray"), ("MediaType", page.paper, "paper-type")]
    known = _choices(queue) if page.tray or page.paper else {}
    options += [
        f"{name}={of_these(known[name], word, what)}" for name, word, what in wanted if word and known.get(name)
    ]
    return options


def queue_page(queue: PrintQueue, page: PageSetup, tray: str, paper: str) -> tuple[PageSetup, list[str]]:
    """The page as a queue can be asked for it, with the ``tray`` and ``paper`` of a kept profile where it asks for none
    itself and the queue has such words; and what has to be told of those that the queue is not asked for."""
    known = _choices(queue) if page.tray or page.paper or tray or paper else {}
    found, told = [], []
    for option, asked, kept, what in (
        ("InputSlot", page.tray, tray, "tray"),
        ("MediaType", page.paper, paper, "paper-type"),
    ):
        word, offered = asked or kept, known.get(option, [])
        if word and not offered:
            told.append(
                f"the queue '{queue.name}' takes no {what.replace('-', ' ')}: set '{word}' on the printer itself"
            )
            word = ""
        elif word and not asked:
            try:
                word = of_these(offered, word, what)
            except PrintingError as error:
                told.append(f"{error.message}, which its kept profile names: {error.fix}")
                word = ""
        found.append(word)
    return replace(page, tray=found[0], paper=found[1]), told


def _media_name(page: PageSetup) -> str:
    """The self-describing name of a sheet of that size (PWG 5101.1, 5.1)."""
    return f"custom_decalgen_{page.width:g}x{page.height:g}mm"


def _choices(queue: PrintQueue) -> dict[str, list[str]]:
    """The queue's own words for each of its options; the first line of a name holds."""
    found: dict[str, list[str]] = {}
    for line in _lines("lpoptions", "-p", queue.name, "-l"):
        key, _, rest = line.partition(":")
        found.setdefault(key.split("/")[0], [word.lstrip("*") for word in rest.split()])
    return found


def _check_awake(queue: PrintQueue) -> None:
    """Raises PrintingError where a queue, or its printer, does not print now."""
    text = " ".join(_lines("lpstat", "-p", queue.name, "-l"))
    away = next((word for word in AWAY if word in text), "")
    if away:
        raise PrintingError(
            f"the printer of the queue '{queue.name}' does not print now: {away}",
            fix="switch the printer on, see that its queue is not paused, and try again",
        )


def _lines(program: str, *words: str) -> list[str]:
    code, out, _ = _run(program, *words)
    return [] if code else out.splitlines()


def _run(program: str, *words: str) -> tuple[int, str, str]:
    """The exit code and what a program of the spooler says, in English; a code of 1 where there is none or it takes too
    long."""
    import os
    import subprocess

    found = shutil.which(program)
    if found is None:
        return 1, "", f"{program} is not installed"
    environment = {**os.environ, "LC_ALL": "C"}
    try:
        done = subprocess.run(
            [found, *words], capture_output=True, env=environment, timeout=SECONDS, stdin=subprocess.DEVNULL
        )
    except (OSError, ValueError, subprocess.TimeoutExpired):
        return 1, "", f"{program} does not answer"
    return done.returncode, done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")
