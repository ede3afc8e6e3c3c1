"""Press files with broken bytes, and with anything in any place: refused for a stated reason, and nothing raised."""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable
from io import BytesIO

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String

from tests.export.planting import full, rules, saved, sheet
from tests.export.structure import UNJUDGED, problems
from tests.export.structure.reading import dictionaries


def holders(pdf: pikepdf.Pdf) -> list[tuple[int, pikepdf.Object]]:
    """Every dictionary of a file in a fixed order, those inside others too."""
    return list(enumerate(dictionaries(pdf)))


WRONG: dict[str, Callable[[], object]] = {
    "nothing": lambda: None,
    "a number": lambda: 7,
    "a word": lambda: Name.Wrong,
    "a text": lambda: String("wrong"),
    "a list": lambda: Array([]),
    "a list of lists": lambda: Array([Array([Name.Wrong]), 7, Dictionary()]),
    "a dictionary": lambda: Dictionary(),
}


@pytest.mark.slow
@pytest.mark.parametrize("wrong", WRONG)
def test_whatever_stands_in_a_place_it_is_judged_and_nothing_raised(wrong: str) -> None:
    """Every entry of every dictionary in turn taken out, or changed into something else."""
    with pikepdf.open(BytesIO(full())) as pdf:
        places = [(number, key) for number, held in holders(pdf) for key in dict(held)]
    kept = {"/Length", "/Filter", "/Size", "/Root"}  # The library writes these itself.
    for number, key in places:
        if key in kept:
            continue
        with pikepdf.open(BytesIO(full())) as pdf:
            holder = holders(pdf)[number][1]
            if key == "/Kids" or (key == "/Pages"):
                continue  # Without pages the library saves nothing.
            value = WRONG[wrong]()
            if value is None:
                del holder[key]
            else:
                holder[key] = value
            try:
                data = saved(pdf)
            except (pikepdf.PdfError, RuntimeError, ValueError):
                continue
        found = problems(data)
        assert UNJUDGED not in rules(found), (number, key, found)


RAW: dict[str, tuple[str, Callable[[bytes], bytes]]] = {
    "another version": ("version", lambda data: data.replace(b"%PDF-1.6", b"%PDF-1.7", 1)),
    "text before it": ("version", lambda data: b"hello\n" + data),
    "no binary comment": ("binary comment", lambda data: re.sub(rb"\A(%PDF-1\.6\n)%[\x80-\xff]{4}", rb"\1%abcd", data)),
    "something after the end": ("end", lambda data: data + b"<html>"),
    "no identifier": ("identifier", lambda data: re.sub(rb"/ID \[.*?\]", b"", data)),
    "half an identifier": ("identifier", lambda data: re.sub(rb"/ID \[ <(\w+)> <\w+> \]", rb"/ID [<\1>]", data)),
    "an identifier of noughts": ("identifier", lambda data: re.sub(rb"(?<=<)[0-9a-f]{32}(?=>)", b"0" * 32, data)),
    "locked": ("encryption", lambda data: encrypted(data, "")),
    "locked with a password": ("encryption", lambda data: encrypted(data, "secret")),
    "cut short": ("unreadable", lambda data: data[:900]),
    "no PDF": ("unreadable", lambda data: b"hello"),
    "nothing": ("unreadable", lambda data: b""),
    "the table points elsewhere": ("damaged", lambda data: data.replace(b"startxref\n", b"startxref\n1", 1)),
    "a broken stream": ("damaged", lambda data: broken_stream(data)),
}


def encrypted(data: bytes, user: str) -> bytes:
    result = BytesIO()
    with pikepdf.open(BytesIO(data)) as pdf:
        pdf.save(result, force_version="1.6", encryption=pikepdf.Encryption(owner="o", user=user, R=4))
    return result.getvalue()


def broken_stream(data: bytes) -> bytes:
    start = next(
        match.end() for match in re.finditer(rb"stream\n", data) if data[match.end() : match.end() + 2] == b"x\x9c"
    )
    assert zlib.decompressobj().decompress(data[start:])
    return data[: start + 20] + bytes(20) + data[start + 40 :]


@pytest.mark.parametrize("name", RAW)
def test_a_fault_in_the_bytes_is_refused_for_its_reason(name: str) -> None:
    rule, change = RAW[name]
    after = change(sheet())
    assert after != sheet()
    found = problems(after)
    assert rule in rules(found), found
    assert UNJUDGED not in rules(found), found
