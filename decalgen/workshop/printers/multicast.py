"""Asking the network for printers: one question by multicast DNS (RFC 6762, 5.1: a one-shot query), the answers that
come within a short time (DNS-SD, RFC 6763). Nothing keeps listening."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import NamedTuple

from decalgen.core.values import dataclass
from decalgen.workshop.printers.addresses import Address

GROUP = ("224.0.0.251", 5353)
"""Where every device on the same network listens (RFC 6762, 3)."""
SECONDS = 2.0
SERVICES = ("_ipp._tcp.local", "_ipps._tcp.local")
A, PTR, TXT, SRV = 1, 12, 16, 33
"""Kinds of records (RFC 1035, 3.2.2; RFC 2782)."""
UNICAST = 0x8000
"""In the class of a question: answer only to me (RFC 6762, 5.4)."""
MOST_BYTES = 9000
"""Of a message (RFC 6762, 17)."""
MOST_ANSWERS = 500
MOST_RECORDS = 500
MOST_JUMPS = 100
"""So many pointers may follow one another in a name."""


class DnsRecord(NamedTuple):
    """One record of an answer. ``name``: its labels; ``at``, ``end``: where its data lie in the message."""

    name: tuple[str, ...]
    kind: int
    at: int
    end: int


@dataclass(frozen=True)
class Announced:
    """A printer that answered: the name it gives itself, where it answers, and what it says of itself."""

    name: str
    address: Address
    uuid: str = ""
    model: str = ""
    note: str = ""


def question() -> bytes:
    """The bytes that ask for printers with and without TLS."""
    rows = [struct.pack(">6H", 0, 0, len(SERVICES), 0, 0, 0)]
    for service in SERVICES:
        rows += [bytes([len(label)]) + label.encode("ascii") for label in service.split(".")]
        rows.append(b"\0" + struct.pack(">HH", PTR, 1 | UNICAST))
    return b"".join(rows)


def ask_network(
    group: tuple[str, int] | None = None, seconds: float | None = None, most: int = MOST_ANSWERS
) -> list[Announced]:
    """The printers that answer within some seconds, in so many messages at most, those of one identity once. Never
    raises: a computer without a network has none."""
    import socket
    from time import monotonic

    found: list[Announced] = []
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
            line.sendto(question(), group or GROUP)
            end = monotonic() + (SECONDS if seconds is None else seconds)
            for _ in range(most):
                left = end - monotonic()
                if left <= 0:
                    break
                line.settimeout(left)
                data, sender = line.recvfrom(MOST_BYTES)
                found += announced(data, sender[0])
    except OSError:
        # The time is over, or there is no network.
        pass
    return once_each(found)


def once_each(found: list[Announced]) -> list[Announced]:
    """Each printer once: one that offers itself with and without TLS is one, by its identity or by name and host."""
    kept: dict[tuple[str, str], Announced] = {}
    for one in sorted(found, key=lambda one: (one.name.casefold(), one.uuid, str(one.address))):
        key = (one.uuid, "") if one.uuid else (one.name, one.address.host)
        kept.setdefault(key, one)
    return list(kept.values())


def announced(data: bytes, sender: str) -> list[Announced]:
    """The printers that a message announces; none in what is no message. ``sender``: the address it came from, which
    holds where the message gives none."""
    try:
        records = list(_records(data))
        return list(_announced(data, sender, records))
    except (IndexError, struct.error, ValueError):
        return []


def _announced(data: bytes, sender: str, records: list[DnsRecord]) -> Iterator[Announced]:
    hosts = {one.name: ".".join(map(str, data[one.at : one.end])) for one in records
             if one.kind == A and one.end - one.at == 4}  # fmt: skip
    texts = {one.name: _pairs(data[one.at : one.end]) for one in records if one.kind == TXT}
    for one in records:
        service = ".".join(one.name[1:]).lower()
        if one.kind != SRV or service not in SERVICES:
            continue
        port = struct.unpack(">H", data[one.at + 4 : one.at + 6])[0]
        target, _ = _name(data, one.at + 6)
        said = texts.get(one.name, {})
        path = "/" + said.get("rp", "ipp/print").lstrip("/")
        if not path.isascii() or not path.isprintable() or " " in path:
            continue
        address = Address(hosts.get(target, sender), port, path, service == SERVICES[1])
        uuid = said.get("uuid", "").removeprefix("urn:uuid:").lower()
        yield Announced(one.name[0], address, uuid, said.get("ty", ""), said.get("note", ""))


def _records(data: bytes) -> Iterator[DnsRecord]:
    """The records of an answer, further ones too. Raises IndexError, ValueError or struct.error for what is none."""
    _, flags, questions, *counts = struct.unpack(">6H", data[:12])
    if not flags & UNICAST:
        return
    at = 12
    for _ in range(min(questions, MOST_RECORDS)):
        _, at = _name(data, at)
        at += 4
    for _ in range(min(sum(counts), MOST_RECORDS)):
        name, at = _name(data, at)
        kind, _, _, length = struct.unpack(">HHIH", data[at : at + 10])
        if at + 10 + length > len(data):
            raise ValueError("a record is cut short")
        yield DnsRecord(name, kind, at + 10, at + 10 + length)
        at += 10 + length


def _name(data: bytes, at: int) -> tuple[tuple[str, ...], int]:
    """The labels of a name and where it ends; pointers are followed so often at most (RFC 1035, 4.1.4)."""
    labels: list[str] = []
    end = 0
    for _ in range(MOST_JUMPS):
        length = data[at]
        if length >= 0xC0:
            end = end or at + 2
            at = (length & 0x3F) << 8 | data[at + 1]
        elif not length:
            return tuple(labels), end or at + 1
        else:
            labels.append(data[at + 1 : at + 1 + length].decode("utf-8", "replace"))
            at += 1 + length
    raise ValueError("a name has no end")


def _pairs(data: bytes) -> dict[str, str]:
    """The pairs of a text record by their names in small letters (RFC 6763, 6); the first of a name holds."""
    found: dict[str, str] = {}
    at = 0
    while at < len(data):
        part = data[at + 1 : at + 1 + data[at]].decode("utf-8", "replace")
        at += 1 + data[at]
        name, _, value = part.partition("=")
        found.setdefault(name.lower(), value)
    return found
