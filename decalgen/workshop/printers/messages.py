"""IPP messages to bytes and back (RFC 8010, section 3). Pure; every length is checked against what there is."""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence
from dataclasses import field
from typing import Any, Final, NamedTuple

from decalgen.core.values import dataclass

OPERATION, JOB, END, PRINTER, UNSUPPORTED = 0x01, 0x02, 0x03, 0x04, 0x05
"""Tags of groups (RFC 8010, 3.5.1)."""
INTEGER, BOOLEAN, ENUM = 0x21, 0x22, 0x23
OCTETS, DATE, RESOLUTION, RANGE, COLLECTION, TEXT_IN, NAME_IN, COLLECTION_END = range(0x30, 0x38)
TEXT, NAME, KEYWORD, URI, SCHEME, CHARSET, LANGUAGE, MIME, MEMBER = 0x41, 0x42, 0x44, 0x45, 0x46, 0x47, 0x48, 0x49, 0x4A
"""Tags of values (RFC 8010, 3.5.2)."""
OUT_OF_BAND = {0x10: "unsupported", 0x12: "unknown", 0x13: "no-value"}
LAST_GROUP = 0x0F
"""Tags up to this one begin a group."""
DEEPEST = 8
"""No printer's collection is nested deeper."""
MOST_VALUES = 200_000
"""Of one message: a list of every paper a printer knows has a tenth of it."""


class NoMessageError(ValueError):
    """Bytes that are no IPP message; the text says why."""


class Resolution(NamedTuple):
    """Dots across and along the feed, and their unit: 3 an inch, 4 a centimetre (RFC 8010, 3.9)."""

    across: int
    along: int
    unit: int = 3


class WholeRange(NamedTuple):
    """All whole numbers from the least to the most (rangeOfInteger)."""

    least: int
    most: int


class Absent(NamedTuple):
    """An out-of-band value: a word in place of one (RFC 8010, 3.8)."""

    word: str


class Tagged(NamedTuple):
    """A value with its tag. ``value``: int, bool, text, bytes, `Resolution`, `WholeRange`, `Absent`, or for a
    collection a mapping of its members' names to their values."""

    tag: int
    value: Any


IppValues = tuple[Tagged, ...]
Attributes = Mapping[str, IppValues]
NONE: Final[Mapping[str, IppValues]] = {}


@dataclass(frozen=True)
class Message:
    """A request or an answer. ``code``: the operation of a request, the status of an answer; ``groups``: each with its
    tag, in order."""

    code: int
    request: int
    groups: tuple[tuple[int, Attributes], ...] = ()
    version: tuple[int, int] = (2, 0)
    data: bytes = field(default=b"")
    """What follows the message; of what was read alone."""

    def group(self, tag: int) -> Attributes:
        """The first group of that tag; empty where there is none."""
        return next((attributes for one, attributes in self.groups if one == tag), NONE)

    def all_of(self, tag: int) -> list[Attributes]:
        """Every group of that tag, in order."""
        return [attributes for one, attributes in self.groups if one == tag]


def of(tag: int, *values: Any) -> IppValues:
    """One attribute's values, all of one tag."""
    return tuple(Tagged(tag, value) for value in values)


def plain(values: Sequence[Tagged]) -> tuple[Any, ...]:
    """The values without tags, collections as mappings of the same; without out-of-band ones."""
    return tuple(
        {name: plain(inner) for name, inner in one.value.items()} if one.tag == COLLECTION else one.value
        for one in values
        if not isinstance(one.value, Absent)
    )


def first_value(attributes: Attributes, name: str, default: Any = None) -> Any:
    """The first plain value of an attribute; ``default`` where it is not there or out of band."""
    return next(iter(plain(attributes.get(name, ()))), default)


# -------------------------------------------------------------------------------------------------------- to bytes
def encode(message: Message) -> bytes:
    """The bytes of a message, to which a document may be appended. Raises ValueError for a value that does not fit its
    tag."""
    out = [struct.pack(">BBHi", *message.version, message.code, message.request)]
    for tag, attributes in message.groups:
        out.append(bytes([tag]))
        for name, values in attributes.items():
            out += _attribute(name, values)
    return b"".join(out) + bytes([END])


def _attribute(name: str, values: IppValues) -> list[bytes]:
    """An attribute's rows: the name goes with its first value, the others have none."""
    rows = []
    for number, one in enumerate(values):
        rows += _value(one, "" if number else name)
    return rows


def _value(one: Tagged, name: str) -> list[bytes]:
    if one.tag != COLLECTION:
        return [_row(one.tag, name, _bytes_of(one))]
    rows = [_row(COLLECTION, name, b"")]
    for member, values in one.value.items():
        rows.append(_row(MEMBER, "", member.encode("ascii")))
        rows += _attribute("", values)
    return [*rows, _row(COLLECTION_END, "", b"")]


def _row(tag: int, name: str, data: bytes) -> bytes:
    plain_name = name.encode("ascii")
    try:
        return struct.pack(f">BH{len(plain_name)}sH", tag, len(plain_name), plain_name, len(data)) + data
    except struct.error:
        raise ValueError(f"{name or 'a value'} is too long for a message") from None


def _bytes_of(one: Tagged) -> bytes:
    value = one.value
    if isinstance(value, Absent):
        return b""
    try:
        if one.tag in (INTEGER, ENUM):
            return struct.pack(">i", value)
        if one.tag == BOOLEAN:
            return bytes([bool(value)])
        if one.tag == RESOLUTION:
            return struct.pack(">iib", *value)
        if one.tag == RANGE:
            return struct.pack(">ii", *value)
    except struct.error:
        raise ValueError(f"{value!r} is out of range for a message") from None
    return value if isinstance(value, bytes) else str(value).encode("utf-8")


# ------------------------------------------------------------------------------------------------------ from bytes
def decode(data: bytes) -> Message:
    """A message from its bytes. Raises NoMessageError for what is none, or is cut short."""
    return _MessageReader(data).message()


class _MessageReader:
    """Reads a message from its first byte to the tag that ends it."""

    def __init__(self, data: bytes) -> None:
        self.data, self.at, self.count = data, 0, 0

    def message(self) -> Message:
        major, minor, code, request = struct.unpack(">BBHi", self._take(8))
        if not 1 <= major <= 2:
            raise NoMessageError("it is not IPP")
        groups: list[tuple[int, dict[str, IppValues]]] = []
        name = ""
        while (tag := self._take(1)[0]) != END:
            if tag <= LAST_GROUP:
                groups.append((tag, {}))
                name = ""
                continue
            given, raw = self._given()
            name = given or name
            if not groups or not name:
                raise NoMessageError("a value belongs to no attribute")
            inside = groups[-1][1]
            value = self._read(tag, raw, 0)
            # Some printers give an attribute twice: the first holds.
            if given in inside:
                self._skip_more()
                continue
            inside[name] = (*inside.get(name, ()), value)
        return Message(code, request, tuple(groups), (major, minor), self.data[self.at :])

    def _skip_more(self) -> None:
        """Passes over the further values of an attribute that was given before."""
        while (
            self.data[self.at : self.at + 1] > bytes([LAST_GROUP]) and self.data[self.at + 1 : self.at + 3] == b"\0\0"
        ):
            tag = self._take(1)[0]
            self._read(tag, self._given()[1], 0)

    def _read(self, tag: int, raw: bytes, depth: int) -> Tagged:
        self.count += 1
        if self.count > MOST_VALUES:
            raise NoMessageError("it has too many values")
        if tag == COLLECTION:
            return Tagged(tag, self._members(depth + 1))
        return Tagged(tag, _value_of(tag, raw))

    def _members(self, depth: int) -> dict[str, IppValues]:
        if depth > DEEPEST:
            raise NoMessageError("its collections are nested too deep")
        found: dict[str, IppValues] = {}
        name = ""
        while True:
            tag = self._take(1)[0]
            if tag <= LAST_GROUP:
                raise NoMessageError("a collection has no end")
            _, raw = self._given()
            if tag == COLLECTION_END:
                return found
            if tag == MEMBER:
                name = _text(raw)
                found.setdefault(name, ())
                continue
            if not name:
                raise NoMessageError("a value belongs to no member of its collection")
            found[name] = (*found[name], self._read(tag, raw, depth))

    def _given(self) -> tuple[str, bytes]:
        name = _text(self._take(self._short()))
        return name, self._take(self._short())

    def _short(self) -> int:
        return int.from_bytes(self._take(2), "big")

    def _take(self, count: int) -> bytes:
        part = self.data[self.at : self.at + count]
        if len(part) != count:
            raise NoMessageError("it is cut short" if self.data else "it is empty")
        self.at += count
        return part


def _value_of(tag: int, raw: bytes) -> Any:
    """The value in some bytes. Raises NoMessageError where their number is not that of the tag."""
    if tag < INTEGER:
        return Absent(OUT_OF_BAND.get(tag, "unknown"))
    try:
        if tag in (INTEGER, ENUM):
            return struct.unpack(">i", raw)[0]
        if tag == BOOLEAN:
            return bool(struct.unpack(">B", raw)[0])
        if tag == RESOLUTION:
            return Resolution(*struct.unpack(">iib", raw))
        if tag == RANGE:
            return WholeRange(*struct.unpack(">ii", raw))
        if tag in (TEXT_IN, NAME_IN):
            length = struct.unpack(">H", raw[:2])[0]
            return _text(raw[4 + length :])
    except struct.error:
        raise NoMessageError("a value has the wrong length") from None
    return raw if tag in (OCTETS, DATE) or tag < TEXT else _text(raw)


def _text(raw: bytes) -> str:
    return raw.decode("utf-8", "replace")
