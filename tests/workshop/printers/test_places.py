"""Which printer is meant: names with spaces, quotes and slashes, two of one name, addresses; and the certificates of
those that answer over TLS."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from decalgen.core.errors import PrintingError
from decalgen.workshop.printers import places
from decalgen.workshop.printers.addresses import Address, address
from decalgen.workshop.printers.certificates import certificates_file
from decalgen.workshop.printers.client import Patience
from decalgen.workshop.printers.multicast import Announced
from decalgen.workshop.printers.places import DialogPlace, IppPlace, QueuePlace, found_printers, place_of, reached
from decalgen.workshop.printers.queues import PrintQueue
from tests.helpers.pretended_printer import Pretended, pretended

ONE, TWO = "0c5a6e10-7d21-4b8e-9f00-2a6d0c1b7e55", "0c5a77e1-0000-4b8e-9f00-2a6d0c1b7e66"
ODD = 'Film "Rear" 1/2'
QUICK = Patience(connect=20.0, answer=20.0)


@pytest.fixture
def printer() -> Pretended:  # type: ignore[misc]
    with pretended() as found:
        yield found  # type: ignore[misc]


def there(
    monkeypatch: pytest.MonkeyPatch, network: list[Announced] | None = None, queues: list[PrintQueue] | None = None
) -> None:
    """What the network and the computer have."""
    monkeypatch.setattr(places, "ask_network", lambda: network or [])
    monkeypatch.setattr(places, "queues", lambda: queues or [])


def at(printer: Pretended, name: str = ODD, uuid: str = ONE) -> Announced:
    return Announced(name, Address("127.0.0.1", printer.port), uuid, "Pretended 1", "the bench")


def test_a_name_is_matched_as_text_whatever_is_in_it(printer: Pretended, monkeypatch: pytest.MonkeyPatch) -> None:
    there(monkeypatch, [at(printer), Announced("Other", Address("127.0.0.1", 9))])
    for named in (ODD, 'film "rear"  1/2', ONE, ONE[:8], ONE.upper()[:9], printer.uri):
        found = place_of(named, QUICK)
        assert isinstance(found, IppPlace) and found.client.address.port == printer.port, named


def test_two_printers_of_one_name_are_told_apart_by_their_identity(
    printer: Pretended, monkeypatch: pytest.MonkeyPatch
) -> None:
    there(monkeypatch, [at(printer), at(printer, uuid=TWO)])
    for named, what in ((ODD, f"2 printers are called '{ODD}'"), ("0c5a", "2 printers are called '0c5a'")):
        with pytest.raises(PrintingError) as caught:
            place_of(named, QUICK)
        assert caught.value.message == what
        assert f"{ONE} (the bench)" in caught.value.fix and f"{TWO} (the bench)" in caught.value.fix
    assert isinstance(place_of(TWO, QUICK), IppPlace)
    assert printer.documents == []


def test_a_name_that_nobody_has(printer: Pretended, monkeypatch: pytest.MonkeyPatch) -> None:
    there(monkeypatch, [at(printer)])
    with pytest.raises(PrintingError, match="no printer '0c5' was found"):
        place_of(ONE[:3], QUICK)
    with pytest.raises(PrintingError) as caught:
        place_of("../etc/passwd", QUICK)
    assert caught.value.message == "no printer '../etc/passwd' was found" and f"'{ODD}'" in caught.value.fix


def test_no_printer_at_all_is_the_dialog(monkeypatch: pytest.MonkeyPatch) -> None:
    there(monkeypatch)
    assert isinstance(place_of("Kitchen", QUICK), DialogPlace) and isinstance(place_of("Dialog", QUICK), DialogPlace)


def test_a_queue_gives_way_to_its_printers_own_address(printer: Pretended, monkeypatch: pytest.MonkeyPatch) -> None:
    queues = [
        PrintQueue("by_address", f"ipp://127.0.0.1:{printer.port}/ipp/print"),
        PrintQueue("by_identity", f"dnssd://Film._ipp._tcp.local/?uuid={ONE}"),
        PrintQueue("usb", "usb://Maker/Model?serial=1"),
        PrintQueue("raw", "socket://192.168.1.9"),
    ]
    there(monkeypatch, [], queues[:1])
    assert isinstance(place_of("by_address", QUICK), IppPlace)
    there(monkeypatch, [at(printer)], queues[1:])
    assert isinstance(place_of("by_identity", QUICK), IppPlace)
    assert [(one.name, one.address is None) for one in found_printers()] == [
        ("by_identity", False), ("usb", True), ("raw", True)
    ]  # fmt: skip
    found = place_of("usb", QUICK)
    assert isinstance(found, QueuePlace) and found.queue == queues[2]


def test_a_queue_that_knows_its_printer_by_name_alone(printer: Pretended, monkeypatch: pytest.MonkeyPatch) -> None:
    queue = PrintQueue("film", "ipps://Film%20%22Rear%22%201%2F2._ipps._tcp.local/")
    there(monkeypatch, [at(printer)], [queue])
    assert isinstance(place_of("film", QUICK), IppPlace)
    # Two of that name, or none on the network now: the queue itself is left.
    for network in ([at(printer), at(printer, uuid=TWO)], []):
        there(monkeypatch, network, [queue])
        assert isinstance(place_of("film", QUICK), QueuePlace)


@pytest.mark.parametrize(
    ("text", "there", "shown"),
    [
        ("ipp://host", Address("host", 631, "/ipp/print", guessed=True), "ipp://host/ipp/print"),
        ("ipp://host/", Address("host", 631, "/ipp/print", guessed=True), "ipp://host/ipp/print"),
        ("ipp://host:8631/a/b?x=1", Address("host", 8631, "/a/b?x=1"), "ipp://host:8631/a/b?x=1"),
        ("ipps://[::1]/ipp", Address("::1", 631, "/ipp", True), "ipps://[::1]/ipp"),
    ],
)
def test_addresses(text: str, there: Address, shown: str) -> None:
    assert address(text) == there and str(address(text)) == shown


# ------------------------------------------------------------------------------------------------------- certificates
def certificate(folder: Path, name: str) -> Path:
    """A certificate that signs itself, with its key, as a printer makes one."""
    key, made = folder / f"{name}.key", folder / f"{name}.pem"
    words = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "30", "-subj", f"/CN={name}"]
    subprocess.run([*words, "-keyout", str(key), "-out", str(made)], check=True, capture_output=True)
    made.write_text(made.read_text(encoding="utf-8") + key.read_text(encoding="utf-8"), encoding="utf-8")
    return made


@pytest.mark.needs("openssl")
def test_a_certificate_is_kept_at_first_use_and_another_one_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    first, second = certificate(tmp_path, "first"), certificate(tmp_path, "second")
    with pretended(certificate=first) as printer:
        where = printer.uri.replace("ipp:", "ipps:")
        assert reached(address(where), QUICK).client.address.secure
        kept = certificates_file().read_text(encoding="utf-8")
        assert kept.startswith(f"127.0.0.1:{printer.port} ") and len(kept.split()[1]) == 64
        # Asked without TLS it says that it wants it (426), and gets it.
        assert reached(address(printer.uri), QUICK).client.address.secure
        assert certificates_file().read_text(encoding="utf-8") == kept
        asked = len(printer.asked)
        certificates_file().write_text(f"{kept.split()[0]} {'0' * 64}\n", encoding="utf-8")
        with pytest.raises(PrintingError, match="shows another certificate than before"):
            reached(address(where), QUICK)
        # Nothing was said to it.
        assert len(printer.asked) == asked
    with pretended(certificate=second) as other:
        reached(address(other.uri.replace("ipp:", "ipps:")), QUICK)
    rows = certificates_file().read_text(encoding="utf-8").splitlines()
    assert len(rows) == 2 and rows[1].startswith(f"127.0.0.1:{other.port} ")


def test_a_printer_that_does_not_speak_tls(printer: Pretended, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    with pytest.raises(PrintingError) as caught:
        reached(address(printer.uri.replace("ipp:", "ipps:")), Patience(connect=2.0))
    assert "cannot be reached" in str(caught.value) or "does not speak TLS" in str(caught.value)
    assert not certificates_file().exists()
