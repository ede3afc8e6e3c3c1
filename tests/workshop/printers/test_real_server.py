"""Sending to a server that is not ours: `ippeveprinter`, which checks every message and names what it got in its
command's environment, and `ipptool`, which reads the answers (both: Debian's cups-ipp-utils). Loopback only.

It wants a system bus even with its own announcing off, so it gets one of its own without a network service on it.
"""

from __future__ import annotations

import os
import socket
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from time import monotonic, sleep

import pytest

from decalgen.workshop.printers.addresses import address
from decalgen.workshop.printers.client import Patience
from decalgen.workshop.printers.places import reached
from decalgen.workshop.printers.reasons import reasons
from decalgen.workshop.printers.sending import Errand, Sent, send
from decalgen.workshop.printers.settings import PageSetup

pytestmark = pytest.mark.needs("ippeveprinter", "ipptool", "dbus-daemon")
LONG = 60.0
"""So long a server may take to begin, s: only a broken one takes it."""
PATIENCE = Patience(connect=LONG, answer=LONG, document=LONG, pause=0.05, watch=LONG)
DATA = b"%PDF-1.7\n" + bytes(range(256)) * 700 + b"\n%%EOF\n"
SHEETS = (
    "{ MEMBER integer x-dimension 21000 MEMBER integer y-dimension 29700 },"
    "{ MEMBER integer x-dimension 14800 MEMBER integer y-dimension 21000 },"
    "{ MEMBER rangeOfInteger x-dimension 8900-12000 MEMBER rangeOfInteger y-dimension 12700-18000 }"
)
SAYS = f"""\
ATTR mimeMediaType document-format-supported application/pdf
ATTR keyword print-scaling-supported auto,fit,none
ATTR rangeOfInteger copies-supported 1-99
ATTR keyword sides-supported one-sided,two-sided-long-edge
ATTR enum print-quality-supported 3,4,5
ATTR keyword print-color-mode-supported color,monochrome
ATTR enum orientation-requested-supported 3,4
ATTR collection media-size-supported {SHEETS}
ATTR integer media-top-margin-supported 0,300
ATTR integer media-bottom-margin-supported 0,300
ATTR integer media-left-margin-supported 0,300
ATTR integer media-right-margin-supported 0,300
ATTR keyword media-source-supported auto,main,rear
ATTR keyword media-type-supported stationery,transparency
"""
COMMAND = """\
#!/bin/sh
env | grep ^IPP_ > "$TOOK/job-$IPP_JOB_ID.txt"
sha256sum "$1" > "$TOOK/job-$IPP_JOB_ID.sum"
[ -e "$TOOK/empty" ] && echo "STATE: +media-empty-error" >&2 && exit 1
exit 0
"""


@dataclass(frozen=True)
class Server:
    """A server's address, and the folder in which it leaves what it took."""

    uri: str
    took: Path

    def settings(self, job: str) -> dict[str, str]:
        """What its command was told of a job."""
        rows = (self.took / f"job-{job}.txt").read_text(encoding="utf-8").splitlines()
        return dict(row.split("=", 1) for row in rows)

    def total(self, job: str) -> str:
        """The SHA-256 of the file that it got."""
        return (self.took / f"job-{job}.sum").read_text(encoding="utf-8").split()[0]

    def jobs(self) -> int:
        """How many jobs reached its command."""
        return len(list(self.took.glob("job-*.sum")))


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    """A server with a bus of its own, ended by its number at the end."""
    with socket.socket() as line:
        line.bind(("127.0.0.1", 0))
        port = line.getsockname()[1]
    took = tmp_path / "took"
    took.mkdir()
    (tmp_path / "spool").mkdir()
    (tmp_path / "printer.conf").write_text(SAYS, encoding="utf-8")
    command = tmp_path / "took.sh"
    command.write_text(COMMAND, encoding="utf-8")
    command.chmod(0o755)
    bus = f"unix:path={tmp_path}/bus"
    environment = {**os.environ, "DBUS_SYSTEM_BUS_ADDRESS": bus, "LC_ALL": "C", "TOOK": str(took)}
    words = ["-r", "off", "-n", "localhost", "-p", str(port), "-d", str(tmp_path / "spool"), "-k"]
    words += ["-a", str(tmp_path / "printer.conf"), "-c", str(command), 'Film "Printer" 1/2']
    quiet = subprocess.DEVNULL
    daemon = ["dbus-daemon", "--session", "--nofork", "--nopidfile", f"--address={bus}"]
    started = [subprocess.Popen(daemon, stdout=quiet, stderr=quiet)]
    try:
        waited(lambda: (tmp_path / "bus").exists(), "the bus")
        started.append(subprocess.Popen(["ippeveprinter", *words], env=environment, stdout=quiet, stderr=quiet))
        waited(lambda: listens(port), "the server")
        yield Server(f"ipp://localhost:{port}/ipp/print", took)
    finally:
        for process in reversed(started):
            process.terminate()
            process.wait(LONG)


def waited(ready: object, what: str) -> None:
    """Waits until something is there."""
    end = monotonic() + LONG
    while not ready():  # type: ignore[operator]
        assert monotonic() < end, f"{what} did not begin"
        sleep(0.02)


def listens(port: int) -> bool:
    """Whether something answers at a port of the loopback address."""
    try:
        socket.create_connection(("localhost", port), 1.0).close()
    except OSError:
        return False
    return True


def printed(server: Server, page: PageSetup) -> Sent:
    place = reached(address(server.uri), PATIENCE)
    return send(place.client, place.able, Errand(DATA, "decalgen 4e15d8db sheet 1 of 1", page), lambda _: None)


def test_the_bytes_and_the_settings_arrive(server: Server) -> None:
    sent = printed(server, PageSetup(148.0, 210.0, "rear", "transparency"))
    assert (sent.job, sent.outcome) == ("1", "printed") and server.jobs() == 1
    assert server.total("1") == sha256(DATA).hexdigest()
    told = server.settings("1")
    assert told["IPP_PRINT_SCALING"] == "none" and told["IPP_SIDES"] == "one-sided" and told["IPP_COPIES"] == "1"
    assert told["IPP_PRINT_QUALITY"] == "high" and told["IPP_ORIENTATION_REQUESTED"] == "portrait"
    assert told["IPP_JOB_NAME"] == "decalgen 4e15d8db sheet 1 of 1"
    assert told["IPP_MEDIA_COL"] == (
        "{media-size={x-dimension=14800 y-dimension=21000} media-top-margin=300 media-bottom-margin=300 "
        "media-left-margin=300 media-right-margin=300 media-source=rear media-type=transparency}"
    )
    assert dict(sent.kept) == dict(sent.asked)


def test_a_size_within_a_range_arrives_to_the_hundredth(server: Server) -> None:
    printed(server, PageSetup(100.0, 150.07))
    assert "{x-dimension=10000 y-dimension=15007}" in server.settings("1")["IPP_MEDIA_COL"]


def test_a_printer_that_gives_up_says_why(server: Server) -> None:
    (server.took / "empty").touch()
    sent = printed(server, PageSetup(148.0, 210.0))
    assert sent.outcome == "given up" and server.jobs() == 1
    again = reached(address(server.uri), PATIENCE)
    # The server ends it with -error, -warning or -report, as its own state is.
    assert reasons(again.able.reasons) == "the tray is empty"


def test_another_client_sees_the_job_that_ours_made(server: Server, tmp_path: Path) -> None:
    printed(server, PageSetup(148.0, 210.0))
    test = tmp_path / "job.test"
    test.write_text(
        "{ OPERATION Get-Job-Attributes GROUP operation-attributes-tag ATTR charset attributes-charset utf-8\n"
        "ATTR language attributes-natural-language en ATTR uri printer-uri $uri ATTR integer job-id 1\n"
        'STATUS successful-ok EXPECT job-state WITH-VALUE 9 EXPECT print-scaling OF-TYPE keyword WITH-VALUE "none"\n'
        "EXPECT media-col OF-TYPE collection EXPECT media-col/media-size OF-TYPE collection\n"
        "EXPECT media-col/media-size/x-dimension OF-TYPE integer WITH-VALUE 14800 }\n",
        encoding="utf-8",
    )
    done = subprocess.run(["ipptool", "-tI", server.uri, str(test)], capture_output=True, text=True, timeout=LONG)
    assert done.returncode == 0, done.stdout
    assert "[PASS]" in done.stdout and "[FAIL]" not in done.stdout


def test_a_name_with_space_quote_and_slash(server: Server) -> None:
    assert reached(address(server.uri), PATIENCE).name == 'Film "Printer" 1/2'
