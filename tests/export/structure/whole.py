"""The file as a whole: version, identifier, encryption, and whether it can be read without mending."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator

import pikepdf

from tests.export.structure.reading import held, listed, named

TRAILER = {"/Size", "/Root", "/Info", "/ID", "/Prev", "/XRefStm"}
CROSS_REFERENCES = {"/Type", "/W", "/Index", "/Filter", "/Length", "/DecodeParms"}
"""What a stream of cross-references has beside a trailer's entries (ISO 32000-1, 7.5.8.2)."""


def file(data: bytes, pdf: pikepdf.Pdf) -> Iterator[str]:
    """First and last line, binary comment, trailer, identifier (ISO 15930-7, 6.1 and 6.3)."""
    if not re.match(rb"%PDF-1\.6[\r\n]", data):
        yield f"version: the file begins with {data[:9]!r}"
    version = held(pdf.Root).get("/Version")
    if version is not None and str(version) != "/1.6":
        yield f"version: the catalog says {version}"
    second = data[:1000].splitlines()[1:2]
    if not (second and second[0].startswith(b"%") and sum(byte > 127 for byte in second[0][1:5]) == 4):
        yield "binary comment: missing in the second line"
    if not data.rstrip(b"\r\n").endswith(b"%%EOF"):
        yield "end: something follows the end of the file"
    if pdf.is_encrypted or "/Encrypt" in held(pdf.trailer):
        yield "encryption: there is some"
    for key in set(held(pdf.trailer)) - TRAILER - CROSS_REFERENCES - {"/Encrypt"}:
        yield f"trailer: {key}"
    parts = [part for part in listed(held(pdf.trailer).get("/ID")) if isinstance(part, pikepdf.String)]
    if len(parts) != 2 or any(len(bytes(part)) < 16 or not any(bytes(part)) for part in parts):
        yield "identifier: /ID is not two strings of 16 bytes"
    first = {one.lower() for one in re.findall(rb"/ID\s*\[\s*<([0-9A-Fa-f]*)>", data)}
    if len(first) > 1:
        yield "identifier: two trailers name the file differently"


def syntax(pdf: pikepdf.Pdf) -> Iterator[str]:
    """What a reader had to mend, and streams that cannot be unpacked."""
    yield from (f"damaged: {what}" for what in [*pdf.check_pdf_syntax(), *map(str, pdf.get_warnings())])
    for item in pdf.objects:
        if isinstance(item, pikepdf.Stream) and named(held(item).get("/Filter")) == "FlateDecode":
            # Readers make do with what they can unpack: a press might print half a sheet.
            packed = zlib.decompressobj()
            try:
                packed.decompress(item.read_raw_bytes())
            except zlib.error as error:
                yield f"damaged: a stream cannot be unpacked ({error})"
            else:
                if not packed.eof:
                    yield "damaged: a stream ends too early"
