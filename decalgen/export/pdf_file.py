"""The bare objects of a PDF file, numbered in the order they are added and written out (ISO 32000-1, 7.5).

Written here and not by a library: such files are a few dozen dictionaries and streams, and the libraries that write
them select a font on every page (a file of outlines must name none), put the clock into the file, or keep what is
needed here among their private parts. A body, one table of cross-references and a trailer is all there is: no object
streams, so that any reader follows, and nothing that depends on the system, the clock or a user's settings.
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Mapping, Sequence

THOROUGH_UP_TO = 1_000_000
"""Streams above this many bytes are packed fast: a tenth larger, seven times quicker (measured)."""

MARKED_AS_BINARY = b"%\xe2\xe3\xcf\xd3\n"
"""A comment of four bytes above 127, so that no program takes the file for text (ISO 32000-1, 7.5.2)."""

MOST_BYTES = 9_999_999_999
"""An offset in the table of cross-references has ten digits (ISO 32000-1, 7.5.4)."""


class PdfFile:
    """A PDF in the making. Values in the mappings are raw PDF text, such as what the functions here return."""

    def __init__(self, version: tuple[int, int] = (1, 7)) -> None:
        self._version = version
        self._bodies: list[tuple[bytes, ...]] = []
        self._hash = hashlib.sha256()
        self._pages: list[str] = []
        # The tree of pages is filled in last and is what every page refers to first.
        self._tree = self._numbered(b"")

    def _numbered(self, *body: bytes) -> str:
        """A reference to a new object; its body may come in parts, so that a large stream is not copied."""
        self._bodies.append(body)
        return f"{len(self._bodies)} 0 R"

    def add(self, entries: Mapping[str, str]) -> str:
        """A reference to a new dictionary object."""
        return self._numbered(_encoded(dictionary(entries)))

    def add_array(self, values: Sequence[str]) -> str:
        """A reference to a new array object."""
        return self._numbered(_encoded(array(values)))

    def add_stream(self, data: bytes, entries: Mapping[str, str], *, pack: bool = True) -> str:
        """A reference to a new stream object, packed unless readers must find its text as it stands."""
        self.identify(data)
        entries = dict(entries)
        if pack:
            entries["Filter"] = "/FlateDecode"
            data = zlib.compress(data, 6 if len(data) <= THOROUGH_UP_TO else 1)
        entries["Length"] = str(len(data))
        # `endstream` starts a line, as 7.3.8.1 asks; that line end does not count in the length.
        return self._numbered(_encoded(dictionary(entries)), b"\nstream\n", data, b"\nendstream")

    def add_page(self, entries: Mapping[str, str]) -> None:
        """A new last page."""
        self._pages.append(self.add({"Type": "/Page", "Parent": self._tree, **entries}))

    def identify(self, data: bytes) -> None:
        """Lets ``data`` take part in the file's identifier."""
        self._hash.update(len(data).to_bytes(8, "big"))
        self._hash.update(data)

    def identity(self) -> bytes:
        """16 bytes made from everything given to `identify` and `add_stream` so far."""
        return self._hash.digest()[:16]

    def save(self, catalog: Mapping[str, str], info: Mapping[str, str]) -> bytes:
        """The finished file. Raises ValueError for one too large for its table of cross-references."""
        identity = self.identity().hex()
        tree = {"Type": "/Pages", "Kids": array(self._pages), "Count": str(len(self._pages))}
        self._bodies[0] = (_encoded(dictionary(tree)),)
        root = self.add({"Type": "/Catalog", "Pages": self._tree, **catalog})
        about = self.add(info)
        major, minor = self._version
        parts = [f"%PDF-{major}.{minor}\n".encode(), MARKED_AS_BINARY]
        at = sum(map(len, parts))
        offsets: list[int] = []
        for number, body in enumerate(self._bodies, start=1):
            whole = (f"{number} 0 obj\n".encode(), *body, b"\nendobj\n")
            offsets.append(at)
            parts += whole
            at += sum(map(len, whole))
        if at > MOST_BYTES:
            raise ValueError(f"a PDF of {at} bytes cannot be written")
        count = len(offsets) + 1
        # Each line of the table has twenty bytes (7.5.4).
        table = "".join(f"{offset:010d} 00000 n \n" for offset in offsets)
        trailer = {"Size": str(count), "Root": root, "Info": about, "ID": f"[<{identity}> <{identity}>]"}
        parts += [
            f"xref\n0 {count}\n0000000000 65535 f \n{table}".encode(),
            f"trailer\n{dictionary(trailer)}\nstartxref\n{at}\n%%EOF\n".encode(),
        ]
        return b"".join(parts)


def _encoded(text: str) -> bytes:
    """Raises ValueError (UnicodeEncodeError) for text that did not go through `string` or `name`."""
    return text.encode("ascii")


def dictionary(entries: Mapping[str, str]) -> str:
    """A direct dictionary."""
    return "<< " + "".join(f"{name(key)} {value}\n" for key, value in entries.items()) + ">>"


def array(values: Sequence[str]) -> str:
    """A direct array."""
    return "[" + " ".join(values) + "]"


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
