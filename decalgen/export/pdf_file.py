"""The bare objects of a PDF file, numbered and written by reportlab's document layer.

The drawing canvas above that layer is left out: it selects a font on every page (a file of outlines must name
none), writes seven significant digits, and its crop marks scale the page. Imported only when a PDF is made.
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Mapping
from typing import Any

from reportlab import rl_config
from reportlab.pdfbase import pdfdoc

# Settings in a user's home or environment must not change the bytes.
rl_config.invariant = 1
rl_config.pdfComments = 0
rl_config.pdfMultiLine = 0

THOROUGH_UP_TO = 1_000_000
"""Streams above this many bytes are packed fast: a tenth larger, seven times quicker (measured)."""


class _Stream(pdfdoc.PDFStream):  # type: ignore[misc]
    """A stream whose `endstream` starts a line, as ISO 32000-1, 7.3.8.1 asks; reportlab's does not."""

    def format(self, document: Any) -> bytes:
        dictionary = pdfdoc.PDFDictionary({**self.dictionary.dict, "Length": str(len(self.content))})
        head: bytes = dictionary.format(document)
        content: bytes = self.content
        return head + b"\nstream\n" + content + b"\nendstream\n"


class _Document(pdfdoc.PDFDocument):  # type: ignore[misc]
    """A document whose /ID is given from outside."""

    identity = bytes(16)

    def ID(self) -> bytes:
        text = self.identity.hex().encode()
        return b"[<" + text + b"> <" + text + b">]"


class PdfFile:
    """A PDF in the making. Values in the mappings are raw PDF text, or what the methods here return."""

    def __init__(self, version: tuple[int, int] = (1, 7)) -> None:
        self._document = _Document(compression=0, invariant=1, pdfVersion=version)
        # The empty dictionary of standard fonts every such document starts with.
        self._document.idToObject.clear()
        self._document.idToObjectNumberAndVersion.clear()
        self._document.numberToId.clear()
        self._document.objectcounter = 0
        self._hash = hashlib.sha256()
        self._pages: list[Any] = []
        self._tree = self._indirect({"Type": "/Pages"})
        self._tree_reference = self._document.Reference(self._tree)

    @staticmethod
    def _indirect(entries: Mapping[str, Any]) -> Any:
        made = pdfdoc.PDFDictionary(dict(entries))
        made.__RefOnly__ = 1
        return made

    def add(self, entries: Mapping[str, Any]) -> Any:
        """A reference to a new dictionary object."""
        return self._document.Reference(self._indirect(entries))

    def add_array(self, values: list[Any]) -> Any:
        """A reference to a new array object."""
        made = array(values)
        made.__RefOnly__ = 1
        return self._document.Reference(made)

    def add_stream(self, data: bytes, entries: Mapping[str, Any], *, pack: bool = True) -> Any:
        """A reference to a new stream object, packed unless readers must find its text as it stands."""
        self.identify(data)
        entries = dict(entries)
        if pack:
            entries["Filter"] = "/FlateDecode"
            data = zlib.compress(data, 6 if len(data) <= THOROUGH_UP_TO else 1)
        return self._document.Reference(_Stream(pdfdoc.PDFDictionary(entries), data))

    def add_page(self, entries: Mapping[str, Any]) -> None:
        """A new last page."""
        self._pages.append(self.add({"Type": "/Page", "Parent": self._tree_reference, **entries}))

    def identify(self, data: bytes) -> None:
        """Lets ``data`` take part in the file's identifier."""
        self._hash.update(len(data).to_bytes(8, "big"))
        self._hash.update(data)

    def identity(self) -> bytes:
        """16 bytes made from everything given to `identify` and `add_stream` so far."""
        return self._hash.digest()[:16]

    def save(self, catalog: Mapping[str, Any], info: Mapping[str, Any], identity: bytes | None = None) -> bytes:
        """The finished file."""
        document = self._document
        self._tree["Kids"] = array(self._pages)
        self._tree["Count"] = str(len(self._pages))
        document.identity = identity or self.identity()
        document.Catalog = self._indirect({"Type": "/Catalog", "Pages": self._tree_reference, **catalog})
        document.info = self._indirect(info)
        data: bytes = document.format()
        return data


def dictionary(entries: Mapping[str, Any]) -> Any:
    """A direct dictionary."""
    return pdfdoc.PDFDictionary(dict(entries))


def array(values: list[Any]) -> Any:
    """A direct array."""
    return pdfdoc.PDFArray(list(values))


def name(text: str) -> str:
    """A PDF name. Bytes beyond ASCII are refused: readers disagree about them."""
    written = "".join(c if c.isascii() and (c.isalnum() or c in "_-.+") else f"#{ord(c):02X}" for c in text)
    if not text.isascii():
        raise ValueError(f"not an ASCII name: {text!r}")
    return "/" + written


def string(text: str) -> str:
    """A text string: ASCII as it stands, anything else as UTF-16 (ISO 32000-1, 7.9.2.2)."""
    if text.isascii() and text.isprintable():
        escaped = text.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
        return f"({escaped})"
    return "<FEFF" + text.encode("utf-16-be", "replace").hex().upper() + ">"
