"""Asking the network for printers: against bytes written by hand by RFC 1035 (4.1) and RFC 6763, and a pretended
network of one socket on the loopback address."""

from __future__ import annotations

import socket
import struct
import threading

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.workshop.printers.addresses import Address
from decalgen.workshop.printers.multicast import Announced, announced, ask_network, once_each, question

LONG = 60.0
IDENTITY = "0c5a6e10-7d21-4b8e-9f00-2a6d0c1b7e55"
NAME = 'Film "Rear" 1/2 \u00f6'


def labels(*names: str) -> bytes:
    """A name as labels, each behind its length (RFC 1035, 3.1)."""
    return b"".join(bytes([len(one.encode())]) + one.encode() for one in names) + b"\0"


def record(name: bytes, kind: int, data: bytes) -> bytes:
    """A record of class IN with its cache-flush bit, for two minutes (RFC 6762, 10.2)."""
    return name + struct.pack(">HHIH", kind, 0x8001, 120, len(data)) + data


def answer(name: str = NAME, port: int = 8631, secure: bool = False, uuid: str = IDENTITY, host: bool = True) -> bytes:
    """An answer as printers give it: PTR in the answer, SRV, TXT and A behind it, names by pointers."""
    service = "_ipps" if secure else "_ipp"
    head = struct.pack(">6H", 0, 0x8400, 0, 1, 0, 3 if host else 2)
    # The service's name begins at byte 12; the instance's, which ends with a pointer to it, in the data of the PTR.
    first = labels(service, "_tcp", "local")
    instance = bytes([len(name.encode())]) + name.encode() + b"\xc0\x0c"
    at = 12 + len(first) + 10
    pointer = struct.pack(">H", 0xC000 | at)
    target = labels("printer-7", "local")
    text = b"".join(
        bytes([len(one)]) + one
        for one in (b"txtvers=1", b"rp=ipp/film", b"ty=Pretended 1", b"note=the bench", b"UUID=" + uuid.encode())
    )
    rows = [
        record(first, 12, instance),
        record(pointer, 33, struct.pack(">3H", 0, 0, port) + target),
        record(pointer, 16, text),
    ]
    return head + b"".join([*rows, *([record(target, 1, bytes([127, 0, 0, 3]))] if host else [])])


def test_the_question_byte_for_byte() -> None:
    # RFC 1035, 4.1.2: name, type PTR (12), class IN (1) with the bit that asks for
    # an answer to us alone (RFC 6762, 5.4).
    assert question() == (
        b"\0\0\0\0\0\2\0\0\0\0\0\0\x04_ipp\x04_tcp\x05local\0\0\x0c\x80\x01\x05_ipps\x04_tcp\x05local\0\0\x0c\x80\x01"
    )


def test_what_a_printer_says_of_itself() -> None:
    assert announced(answer(), "127.0.0.1") == [
        Announced(NAME, Address("127.0.0.3", 8631, "/ipp/film"), IDENTITY, "Pretended 1", "the bench")
    ]
    (secure,) = announced(answer(secure=True, host=False), "127.0.0.9")
    assert secure.address == Address("127.0.0.9", 8631, "/ipp/film", secure=True)


def test_one_printer_with_two_services_is_one() -> None:
    both = [*announced(answer(secure=True), "127.0.0.1"), *announced(answer(), "127.0.0.1")]
    (one,) = once_each(both)
    assert not one.address.secure
    other = announced(answer(uuid="77" + IDENTITY[2:]), "127.0.0.1")
    assert len(once_each([*both, *other])) == 2
    nameless = [*announced(answer(uuid=""), "127.0.0.1"), *announced(answer(uuid="", secure=True), "127.0.0.1")]
    assert len(once_each(nameless)) == 1


@pytest.mark.parametrize(
    "data",
    [
        b"",
        question(),
        answer().replace(b"\0\0\x84\0", b"\0\0\0\0", 1),
        answer()[:60],
        struct.pack(">6H", 0, 0x8400, 0, 1, 0, 0) + b"\xc0\x0c" + struct.pack(">HHIH", 33, 1, 9, 0),
        struct.pack(">6H", 0, 0x8400, 0, 60000, 60000, 60000) + b"\0" * 50,
        struct.pack(">6H", 0, 0x8400, 0, 1, 0, 0) + b"\0" + struct.pack(">HHIH", 33, 1, 9, 60000),
    ],
    ids=[
        "empty",
        "a question",
        "known answers of one who asks",
        "cut",
        "a pointer to itself",
        "more than there is",
        "longer than it is",
    ],
)
def test_what_is_no_answer(data: bytes) -> None:
    assert announced(data, "127.0.0.1") == []


@given(st.integers(12, 250), st.binary(max_size=60), st.integers(0, 60))
def test_whatever_comes_never_raises(at: int, noise: bytes, gone: int) -> None:
    data = answer()
    assert isinstance(announced(data[:at] + noise + data[at + gone :], "127.0.0.1"), list)


def test_a_path_that_is_none_is_left_out() -> None:
    assert announced(answer().replace(b"rp=ipp/film", b"rp=ipp film"), "127.0.0.1") == []
    assert announced(answer().replace(b"rp=ipp/film", b"rp=ipp\r\nilm"), "127.0.0.1") == []


def test_a_network_is_asked_once_and_answers() -> None:
    asked = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
        line.bind(("127.0.0.1", 0))
        line.settimeout(LONG)

        def answering() -> None:
            data, sender = line.recvfrom(9000)
            asked.append(data)
            for one in (b"noise", answer(), answer("Kitchen", 9631, uuid="77" + IDENTITY[2:])):
                line.sendto(one, sender)

        thread = threading.Thread(target=answering, daemon=True)
        thread.start()
        found = ask_network(line.getsockname(), LONG, most=3)
        thread.join(LONG)
    assert asked == [question()]
    assert [(one.name, one.address.port) for one in found] == [(NAME, 8631), ("Kitchen", 9631)]


def test_a_network_that_stays_silent_has_no_printers() -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
        line.bind(("127.0.0.1", 0))
        assert ask_network(line.getsockname(), 0.05) == []
