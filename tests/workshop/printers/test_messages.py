"""IPP messages against bytes that were written by hand from the rules of RFC 8010, section 3, so that one mistake made
in both directions is seen.

The Print-Job request is that of RFC 8010, appendix A.1 (as remembered, for the text is not at hand; each length was
counted by hand from section 3.1). The collection follows the rules of its section 3.1.6: begCollection under the
attribute's name, each member's name as a value of its own, endCollection; the sheet is A4, ISO 216, in 1/100 mm.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.workshop.printers import messages
from decalgen.workshop.printers.messages import (
    BOOLEAN,
    CHARSET,
    COLLECTION,
    INTEGER,
    JOB,
    KEYWORD,
    LANGUAGE,
    NAME,
    OPERATION,
    RANGE,
    RESOLUTION,
    UNSUPPORTED,
    URI,
    Absent,
    Message,
    NoMessageError,
    Resolution,
    Tagged,
    WholeRange,
    decode,
    encode,
    of,
    plain,
)

PRINT_JOB = (
    b"\x01\x01\x00\x02\x00\x00\x00\x01"  # version 1.1, Print-Job, request 1
    b"\x01"  # the operation's attributes
    b"\x47\x00\x12attributes-charset\x00\x05utf-8"
    b"\x48\x00\x1battributes-natural-language\x00\x05en-us"
    b"\x45\x00\x0bprinter-uri\x00\x2cipp://printer.example.com/ipp/print/pinetree"
    b"\x42\x00\x08job-name\x00\x06foobar"
    b"\x22\x00\x16ipp-attribute-fidelity\x00\x01\x01"
    b"\x02"  # the job's
    b"\x21\x00\x06copies\x00\x04\x00\x00\x00\x14"
    b"\x44\x00\x05sides\x00\x13two-sided-long-edge"
    b"\x03"
)
MEDIA = (
    b"\x02\x00\x00\x04\x00\x00\x00\x2a"  # version 2.0, Validate-Job, request 42
    b"\x02"
    b"\x34\x00\x09media-col\x00\x00"  # begCollection
    b"\x4a\x00\x00\x00\x0amedia-size"  # memberAttrName
    b"\x34\x00\x00\x00\x00"
    b"\x4a\x00\x00\x00\x0bx-dimension\x21\x00\x00\x00\x04\x00\x00\x52\x08"  # 21000
    b"\x4a\x00\x00\x00\x0by-dimension\x21\x00\x00\x00\x04\x00\x00\x74\x04"  # 29700
    b"\x37\x00\x00\x00\x00"  # endCollection
    b"\x4a\x00\x00\x00\x0amedia-type\x44\x00\x00\x00\x0cphotographic"
    b"\x37\x00\x00\x00\x00"
    b"\x32\x00\x12printer-resolution\x00\x09\x00\x00\x02\x58\x00\x00\x01\x2c\x03"  # 600 × 300 dots an inch
    b"\x33\x00\x0bpage-ranges\x00\x08\x00\x00\x00\x01\x00\x00\x00\x05\x33\x00\x00\x00\x08\x00\x00\x00\x09\x00\x00\x00\x0c"
    b"\x03"
)
DEEP = b"\x02\x00\x00\x00\x00\x00\x00\x01\x02\x34\x00\x01a\x00\x00" + b"\x4a\0\0\0\x01b\x34\0\0\0\0" * 50


def test_the_request_of_the_standard_is_written_byte_for_byte() -> None:
    head = {
        "attributes-charset": of(CHARSET, "utf-8"),
        "attributes-natural-language": of(LANGUAGE, "en-us"),
        "printer-uri": of(URI, "ipp://printer.example.com/ipp/print/pinetree"),
        "job-name": of(NAME, "foobar"),
        "ipp-attribute-fidelity": of(BOOLEAN, True),
    }
    job = {"copies": of(INTEGER, 20), "sides": of(KEYWORD, "two-sided-long-edge")}
    asked = Message(0x02, 1, ((OPERATION, head), (JOB, job)), (1, 1))
    assert encode(asked) == PRINT_JOB
    assert decode(PRINT_JOB + b"%!PS") == Message(0x02, 1, asked.groups, (1, 1), b"%!PS")


def test_a_collection_is_written_byte_for_byte() -> None:
    size = Tagged(COLLECTION, {"x-dimension": of(INTEGER, 21000), "y-dimension": of(INTEGER, 29700)})
    media = Tagged(COLLECTION, {"media-size": (size,), "media-type": of(KEYWORD, "photographic")})
    job = {
        "media-col": (media,),
        "printer-resolution": of(RESOLUTION, Resolution(600, 300, 3)),
        "page-ranges": of(RANGE, WholeRange(1, 5), WholeRange(9, 12)),
    }
    asked = Message(0x04, 42, ((JOB, job),))
    assert encode(asked) == MEDIA
    assert decode(MEDIA) == asked
    assert plain(decode(MEDIA).group(JOB)["media-col"])[0]["media-size"][0]["y-dimension"] == (29700,)


def test_values_that_are_none() -> None:
    # RFC 8010, 3.8: unsupported, unknown and no-value have no bytes of their own.
    data = b"\x02\x00\x00\x00\x00\x00\x00\x01\x05\x10\x00\x0dprint-scaling\x00\x00\x13\x00\x05sides\x00\x00\x03"
    back = decode(data).group(UNSUPPORTED)
    assert [one.value for one in back["print-scaling"]] == [Absent("unsupported")]
    assert [one.value for one in back["sides"]] == [Absent("no-value")] and plain(back["sides"]) == ()
    assert encode(decode(data)) == data


def test_an_attribute_that_comes_twice_holds_as_it_came_first() -> None:
    one = b"\x44\x00\x05sides\x00\x09one-sided\x44\x00\x00\x00\x03two"
    other = b"\x44\x00\x05sides\x00\x05three\x44\x00\x00\x00\x04four"
    data = b"\x02\x00\x00\x00\x00\x00\x00\x01\x02" + one + other + b"\x21\x00\x06copies\x00\x04\x00\x00\x00\x02\x03"
    assert {name: plain(values) for name, values in decode(data).group(JOB).items()} == {
        "sides": ("one-sided", "two"),
        "copies": (2,),
    }


def test_text_with_a_language_is_read_as_its_text() -> None:
    # RFC 8010, 3.9: textWithLanguage holds a language and a text, each behind its length.
    value = b"\x00\x05en-us\x00\x05ready"
    row = b"\x35\x00\x15printer-state-message" + len(value).to_bytes(2, "big") + value
    data = b"\x02\x00\x00\x00\x00\x00\x00\x01\x04" + row + b"\x03"
    assert plain(decode(data).group(messages.PRINTER)["printer-state-message"]) == ("ready",)


@pytest.mark.parametrize("message", [PRINT_JOB, MEDIA], ids=["plain", "collection"])
def test_a_message_cut_anywhere_is_none(message: bytes) -> None:
    for length in range(len(message)):
        with pytest.raises(NoMessageError):
            decode(message[:length])


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "empty"),
        (b"<!DOCTYPE html><html></html>", "not IPP"),
        (b"\x02\x00\x00\x00\x00\x00\x00\x01\x44\x00\x01a\x00\x01b\x03", "no attribute"),
        (b"\x02\x00\x00\x00\x00\x00\x00\x01\x02\x21\x00\x01a\x00\x03\x00\x00\x00\x03", "wrong length"),
        (b"\x02\x00\x00\x00\x00\x00\x00\x01\x02\x34\x00\x01a\x00\x00\x03", "no end"),
        (b"\x02\x00\x00\x00\x00\x00\x00\x01\x02\x34\x00\x01a\x00\x00\x21\x00\x00\x00\x04\0\0\0\1", "no member"),
        (DEEP, "deep"),
    ],
    ids=["empty", "a page of a router", "no group", "integer of three bytes", "open", "bare", "deep"],
)  # fmt: skip
def test_what_is_no_message(data: bytes, why: str) -> None:
    with pytest.raises(NoMessageError, match=why):
        decode(data)


def test_more_values_than_any_printer_has(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(messages, "MOST_VALUES", 8)
    assert decode(MEDIA).code == 0x04
    monkeypatch.setattr(messages, "MOST_VALUES", 7)
    with pytest.raises(NoMessageError, match="too many values"):
        decode(MEDIA)


@given(st.binary(max_size=400), st.integers(0, len(MEDIA)), st.integers(0, 40))
def test_whatever_comes_is_read_or_refused(noise: bytes, at: int, gone: int) -> None:
    for data in (b"\x02\x00\x00\x00\x00\x00\x00\x01" + noise, MEDIA[:at] + noise + MEDIA[at + gone :]):
        try:
            found = decode(data)
        except NoMessageError:
            continue
        assert all(isinstance(name, str) for _, group in found.groups for name in group)


def test_what_does_not_fit_is_not_written() -> None:
    for values in (of(INTEGER, 2**31), of(RANGE, (1, 2**40)), of(NAME, "x" * 70_000)):
        with pytest.raises(ValueError):
            encode(Message(2, 1, ((JOB, {"a": values}),)))


def test_tags_are_those_of_the_registry() -> None:
    # RFC 8010, 3.5.2; the codes rise from one to the next.
    assert (messages.OCTETS, messages.COLLECTION, messages.COLLECTION_END) == (0x30, 0x34, 0x37)
    row = (messages.TEXT, NAME, KEYWORD, URI, messages.SCHEME, CHARSET, LANGUAGE, messages.MIME, messages.MEMBER)
    assert row == (0x41, 0x42, 0x44, 0x45, 0x46, 0x47, 0x48, 0x49, 0x4A)
    assert all(a < b for a, b in pairwise(row))
