"""The output intent: one printing condition, named, with a whole CMYK output profile (ISO 15930-7, 6.2.2; ICC.1)."""

from __future__ import annotations

from collections.abc import Iterator

import pikepdf
from pikepdf import Name, Stream

from tests.export.structure.reading import held, listed, text

INTENT = {
    "/Type",
    "/S",
    "/OutputCondition",
    "/OutputConditionIdentifier",
    "/RegistryName",
    "/Info",
    "/DestOutputProfile",
}
TABLES_OUT, TABLES_IN = {b"mft1", b"mft2", b"mAB "}, {b"mft1", b"mft2", b"mBA "}
# ICC.1:2010, 8.2 and 8.5.2: what an output profile of several inks has, and of which type (clause 10).
NEEDED = {
    b"desc": {b"desc", b"mluc"},
    b"cprt": {b"text", b"mluc"},
    b"wtpt": {b"XYZ "},
    **dict.fromkeys((b"A2B0", b"A2B1", b"A2B2"), TABLES_OUT),
    **dict.fromkeys((b"B2A0", b"B2A1", b"B2A2", b"gamt"), TABLES_IN),
}
MOST_TAGS = 200


def intents(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Exactly one intent, and it is this standard's."""
    all_of_them = [held(item) for item in listed(held(pdf.Root).get("/OutputIntents"))]
    ours = [item for item in all_of_them if item.get("/S") == Name("/GTS_PDFX")]
    if len(ours) != 1:
        yield f"output intent: {len(ours)} of PDF/X instead of one"
    if len(all_of_them) != len(ours):
        yield "output intent: one of another standard"
    for item in ours:
        yield from _intent(item)


def _intent(item: dict[str, object]) -> Iterator[str]:
    if item.get("/Type", Name.OutputIntent) != Name.OutputIntent:
        yield f"output intent: of type {item['/Type']}"
    if not text(item.get("/OutputConditionIdentifier")).strip():
        yield "output condition: not named"
    if not text(item.get("/Info")).strip():
        yield "output condition: not described"
    for key in set(item) - INTENT:
        yield f"output intent: {key}"
    stream = item.get("/DestOutputProfile")
    if not isinstance(stream, Stream):
        yield "output profile: missing"
        return
    if held(stream).get("/N") != 4 or held(stream).get("/Alternate", Name.DeviceCMYK) != Name.DeviceCMYK:
        yield "output profile: the stream is not of four inks"
    try:
        yield from profile(stream.read_bytes())
    except pikepdf.PdfError as error:
        yield f"output profile: cannot be unpacked ({error})"


def profile(data: bytes) -> Iterator[str]:
    """Header, then tags: each within the file, of the type the standard names."""
    if len(data) < 132 or data[36:40] != b"acsp" or int.from_bytes(data[:4], "big") != len(data):
        yield "output profile: damaged"
        return
    if data[12:16] != b"prtr":
        yield f"output profile: of class {data[12:16]!r}"
    if data[16:20] != b"CMYK":
        yield f"output profile: for {data[16:20]!r}"
    if data[20:24] not in {b"Lab ", b"XYZ "}:
        yield f"output profile: connects by {data[20:24]!r}"
    # PDF 1.6 knows profiles up to version 4.1 (ISO 32000-1, table 67); the major version is what readers go by.
    if data[8] not in {2, 4}:
        yield f"output profile: of version {data[8]}"
    count = int.from_bytes(data[128:132], "big")
    if count > MOST_TAGS or 132 + 12 * count > len(data):
        yield f"output profile: {count} tags do not go into it"
        return
    rows = [data[132 + 12 * n : 144 + 12 * n] for n in range(count)]
    found = {row[:4]: (int.from_bytes(row[4:8], "big"), int.from_bytes(row[8:12], "big")) for row in rows}
    for tag, (start, size) in found.items():
        if start < 132 + 12 * count or start + size > len(data):
            yield f"output profile: its tag {tag!r} lies outside it"
    for tag, types in NEEDED.items():
        if tag not in found:
            yield f"output profile: has no tag {tag!r}"
        elif data[found[tag][0] : found[tag][0] + 4] not in types:
            yield f"output profile: its tag {tag!r} is of another type"
