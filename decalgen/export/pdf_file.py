"""The bare objects of a PDF file, numbered in the order they are added (ISO 32000-1, 7.5); reportlab's classes hold
them and write them out.

Of reportlab the objects alone are used, listed in `RELIED_ON`: as they are, but for the end of a stream. Its canvas
selects a font on every page (a file of outlines must name none) and writes fewer digits; its document adds a dictionary
of fonts, and takes its identifier and its comments from the clock, the environment and a user's settings. Here nothing
depends on those. A body, one table of cross-references and a trailer is all there is: no object streams, so that any
reader follows.
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Mapping, Sequence
from typing import Any, TypeAlias

from reportlab.pdfbase import pdfdoc

RELIED_ON = (
    "NoEncryption",
    "PDFArrayCompact",
    "PDFCrossReferenceTable",
    "PDFDictionary",
    "PDFDictionary.dict",
    "PDFDictionary.multiline",
    "PDFFile",
    "PDFFile.offset",
    "PDFIndirectObject",
    "PDFName",
    "PDFObjectReference",
    "PDFStream",
    "PDFStream.content",
    "PDFStream.dictionary",
    "PDFString",
    "PDFText",
    "PDFTrailer",
    "document.encrypt",
    "document.idToObjectNumberAndVersion",
    "document.idToOffset",
)
"""Every name of `reportlab.pdfbase.pdfdoc` that is used here, and under `document` what its objects ask of theirs.

reportlab promises none of them to stay as it is, so its major version is pinned and `tests/export/test_reportlab.py`
tries each alone.
"""

THOROUGH_UP_TO = 1_000_000
"""Streams above this many bytes are packed fast: a tenth larger, seven times quicker (measured)."""

MOST_BYTES = 9_999_999_999
"""An offset in the table of cross-references has ten digits (ISO 32000-1, 7.5.4)."""

PdfValue: TypeAlias = Any
"""A value in a dictionary or an array: what the functions here return, a whole number, or raw PDF text in ASCII."""


class PdfFile:
    """A PDF in the making."""

    def __init__(self, version: tuple[int, int] = (1, 7)) -> None:
        self._version = version
        self._places = _Places()
        self._objects: list[PdfValue] = []
        self._hash = hashlib.sha256()
        self._pages: list[PdfValue] = []
        # The tree of pages is filled in last and is what every page refers to first.
        self._tree = self.add({})

    def _numbered(self, made: PdfValue) -> PdfValue:
        """A reference to a new object."""
        self._objects.append(made)
        number = len(self._objects)
        self._places.idToObjectNumberAndVersion[number] = (number, 0)
        return pdfdoc.PDFObjectReference(number)

    def add(self, entries: Mapping[str, PdfValue]) -> PdfValue:
        """A reference to a new dictionary object."""
        return self._numbered(dictionary(entries))

    def add_array(self, values: Sequence[PdfValue]) -> PdfValue:
        """A reference to a new array object."""
        return self._numbered(array(values))

    def add_stream(self, data: bytes, entries: Mapping[str, PdfValue], *, pack: bool = True) -> PdfValue:
        """A reference to a new stream object, packed unless readers must find its text as it stands."""
        self.identify(data)
        entries = dict(entries)
        if pack:
            entries["Filter"] = "/FlateDecode"
            data = zlib.compress(data, 6 if len(data) <= THOROUGH_UP_TO else 1)
        return self._numbered(_Stream(dictionary(entries), data))

    def add_page(self, entries: Mapping[str, PdfValue]) -> None:
        """A new last page."""
        self._pages.append(self.add({"Type": "/Page", "Parent": self._tree, **entries}))

    def identify(self, data: bytes) -> None:
        """Lets ``data`` take part in the file's identifier."""
        self._hash.update(len(data).to_bytes(8, "big"))
        self._hash.update(data)

    def identity(self) -> bytes:
        """16 bytes made from everything given to `identify` and `add_stream` so far."""
        return self._hash.digest()[:16]

    def save(self, catalog: Mapping[str, PdfValue], info: Mapping[str, PdfValue]) -> bytes:
        """The finished file. Raises ValueError for one too large for its table of cross-references."""
        self._objects[0] = dictionary({"Type": "/Pages", "Kids": array(self._pages), "Count": len(self._pages)})
        root = self.add({"Type": "/Catalog", "Pages": self._tree, **catalog})
        about = self.add(info)
        places, file = self._places, pdfdoc.PDFFile(self._version)
        for number, made in enumerate(self._objects, start=1):
            places.idToOffset[number] = file.add(pdfdoc.PDFIndirectObject(number, made).format(places))
        if file.offset > MOST_BYTES:
            raise ValueError(f"a PDF of {file.offset} bytes cannot be written")
        table = pdfdoc.PDFCrossReferenceTable()
        table.addsection(0, list(places.idToOffset))
        identity = pdfdoc.PDFText(self.identity())
        start, size = file.add(table.format(places)), len(self._objects) + 1
        trailer = pdfdoc.PDFTrailer(start, Size=size, Root=root, Info=about, ID=array([identity, identity]))
        file.add(trailer.format(places))
        data: bytes = file.format(places)
        return data


class _Places:
    """What reportlab's objects ask of the document they are in: numbers and offsets, and nothing secret."""

    encrypt = pdfdoc.NoEncryption()

    def __init__(self) -> None:
        self.idToObjectNumberAndVersion: dict[int, tuple[int, int]] = {}
        self.idToOffset: dict[int, int] = {}


class _Stream(pdfdoc.PDFStream):  # type: ignore[misc]  # reportlab carries no types
    """A stream whose `endstream` starts a line, as ISO 32000-1, 7.3.8.1 asks; reportlab's own does not, and lays its
    dictionary out as a user's settings say. That line end does not count in the length."""

    def format(self, document: object) -> bytes:
        content: bytes = self.content
        entries = dictionary({**self.dictionary.dict, "Length": len(content)})
        return b"".join((entries.format(document), b"\nstream\n", content, b"\nendstream\n"))


def dictionary(entries: Mapping[str, PdfValue]) -> PdfValue:
    """A direct dictionary. Raises ValueError for a key with a slash in it, and for a key or raw text beyond ASCII."""
    for key, value in entries.items():
        if "/" in key:
            raise ValueError(f"a slash in the key {key!r}")
        name(key)
        _check(value)
    made = pdfdoc.PDFDictionary(dict(entries))
    # An entry a line, whatever the user's settings for reportlab say.
    made.multiline = "forced"
    return made


def array(values: Sequence[PdfValue]) -> PdfValue:
    """A direct array. Raises ValueError for raw text beyond ASCII."""
    for value in values:
        _check(value)
    return pdfdoc.PDFArrayCompact(values)


def _check(value: PdfValue) -> None:
    """Raises ValueError (UnicodeEncodeError) for text that did not go through `string` or `name`."""
    if isinstance(value, str):
        value.encode("ascii")


def name(text: str) -> str:
    """A PDF name. What is not printable ASCII is refused: readers disagree about it, and reportlab writes control
    characters with one digit."""
    if not (text.isascii() and text.isprintable()):
        raise ValueError(f"not an ASCII name: {text!r}")
    # reportlab lets a slash through, which would start another name.
    return "/" + str(pdfdoc.PDFName(text))[1:].replace("/", "#2F")


def string(text: str) -> PdfValue:
    """A text string: ASCII as it stands, anything else as UTF-16 (ISO 32000-1, 7.9.2.2)."""
    if text.isascii() and text.isprintable():
        return pdfdoc.PDFString(text)
    return pdfdoc.PDFText(b"\xfe\xff" + text.encode("utf-16-be", "replace"))
