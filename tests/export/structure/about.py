"""What the file says of itself: the document information, the XMP packet, and whether the two agree."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from xml.etree import ElementTree

import pikepdf
from pikepdf import Name, Stream

from tests.export.structure.reading import held, named, text

RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
LANG = "{http://www.w3.org/XML/1998/namespace}lang"
DC = "{http://purl.org/dc/elements/1.1/}"
XMP = "{http://ns.adobe.com/xap/1.0/}"
XMP_MM = "{http://ns.adobe.com/xap/1.0/mm/}"
PDF = "{http://ns.adobe.com/pdf/1.3/}"
PDFXID = "{http://www.npes.org/pdfx/ns/id/}"
# Other standards say so in spaces of their own: PDF/A and PDF/UA, PDF/X up to X-3, PDF/VT, PDF/E.
CLAIMS = re.compile(r"aiim\.org/pdf(a|ua|e)/|adobe\.com/pdfx/|npes\.org/pdfvt/|pdfa-extension", re.IGNORECASE)
CLAIM_KEYS = re.compile(r"^/(GTS_|ISO_|PDF[AEUVX])", re.IGNORECASE)
DATE = re.compile(r"D:(\d{4})(\d{2})(\d{2})(\d{2})(\d{2})(\d{2})(Z|[+-]\d{2}'\d{2}'?)?(?:00'00'?)?")
LARGEST_PACKET = 1_000_000
WRAPPED = re.compile(
    rb"\s*<\?xpacket begin=.*?id=.W5M0MpCehiHzreSzNTczkc9d.*?\?>(.*)<\?xpacket end=.*?\?>\s*", re.DOTALL
)


def information(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Title, dates, trapping, and no other standard (ISO 15930-7, 6.9 and 6.4)."""
    info = held(held(pdf.trailer).get("/Info"))
    if not text(info.get("/Title")).strip():
        yield "information: /Title is missing"
    for key in ("/CreationDate", "/ModDate"):
        if not text(info.get(key)):
            yield f"information: {key} is missing"
        elif pdf_moment(text(info[key])) is None:
            yield f"information: {key} is not a date"
    if named(info.get("/Trapped")) not in {"True", "False"}:
        yield "trapped: neither True nor False"
    made, changed = (pdf_moment(text(info.get(key))) for key in ("/CreationDate", "/ModDate"))
    if made and changed and changed < made:
        yield "information: changed before it was made"
    for key, value in info.items():
        if CLAIM_KEYS.match(key) and (key, str(value)) != ("/GTS_PDFXVersion", "PDF/X-4"):
            yield f"claim: the information says {key} {value}"


def pdf_moment(written: str) -> datetime | None:
    """A date as ISO 32000-1, 7.9.4 writes it, in UTC; None for anything else."""
    found = DATE.fullmatch(written)
    if not found:
        return None
    zone = (found[7] or "Z").replace("'", "")
    try:
        return datetime.strptime("".join(found.groups()[:6]) + zone, "%Y%m%d%H%M%S%z").astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def xmp_moment(written: str) -> datetime | None:
    """A date of XMP (ISO 16684-1, 8.2.1.2), in UTC."""
    try:
        made = datetime.fromisoformat(written)
        return (made if made.tzinfo else made.replace(tzinfo=UTC)).astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def packet(pdf: pikepdf.Pdf) -> Iterator[str]:
    """The XMP packet: plain, well-formed, naming this standard and no other, with identifiers, agreeing with the
    information (ISO 15930-7, 6.3 and 6.4).
    """
    stream = held(pdf.Root).get("/Metadata")
    if not isinstance(stream, Stream):
        yield "xmp: missing"
        return
    if held(stream).get("/Type") != Name.Metadata or held(stream).get("/Subtype") != Name.XML:
        yield "xmp: the stream does not say that it is metadata in XML"
    if "/Filter" in stream:
        yield "xmp: packed"
    data = stream.read_raw_bytes() if "/Filter" not in stream else stream.read_bytes()
    if len(data) > LARGEST_PACKET or b"<!DOCTYPE" in data or b"<!ENTITY" in data:
        yield "xmp: too large, or with a document type of its own"
        return
    wrapped = WRAPPED.fullmatch(data)
    if not wrapped:
        yield "xmp: the packet has no beginning or no end"
    try:
        root = ElementTree.fromstring(wrapped[1] if wrapped else re.sub(rb"<\?xpacket.*?\?>", b"", data))
    except (ElementTree.ParseError, ValueError) as error:
        yield f"xmp: not well-formed ({error})"
        return
    yield from _standard(root, data.decode("utf-8", "replace"))
    yield from _agreement(root, held(held(pdf.trailer).get("/Info")))


def _values(root: ElementTree.Element, name: str) -> list[str]:
    """A property's values, whether it is written as an element or as an attribute of its description."""
    found = ["".join(one.itertext()).strip() for one in root.iter(name)]
    return found + [one.attrib[name].strip() for one in root.iter(f"{RDF}Description") if name in one.attrib]


def _standard(root: ElementTree.Element, packet: str) -> Iterator[str]:
    if _values(root, f"{PDFXID}GTS_PDFXVersion") != ["PDF/X-4"]:
        yield f"xmp version: {_values(root, f'{PDFXID}GTS_PDFXVersion')}, not PDF/X-4 once"
    for other in sorted({found[0] for found in CLAIMS.finditer(packet)}):
        yield f"claim: the packet speaks of {other}"
    for name in (f"{XMP_MM}DocumentID", f"{XMP_MM}InstanceID", f"{XMP_MM}VersionID", f"{XMP_MM}RenditionClass"):
        if len(_values(root, name)) != 1 or not _values(root, name)[0]:
            yield f"xmp identifiers: {name.partition('}')[2]} is missing or double"
    for name in (f"{XMP}CreateDate", f"{XMP}ModifyDate", f"{XMP}MetadataDate"):
        if len(_values(root, name)) != 1 or xmp_moment(_values(root, name)[0]) is None:
            yield f"xmp identifiers: {name.partition('}')[2]} is not a date, missing or double"


def _agreement(root: ElementTree.Element, info: dict[str, object]) -> Iterator[str]:
    items = [one for title in root.iter(f"{DC}title") for one in title.iter(f"{RDF}li")]
    # The one for any language is what the information repeats (ISO 16684-1, 8.2.2.4).
    titles = [(one.text or "").strip() for one in items if one.attrib.get(LANG) == "x-default"]
    if titles != [text(info.get("/Title")).strip()]:
        yield "agreement: the titles differ"
    if _values(root, f"{DC}format") not in ([], ["application/pdf"]):
        yield "xmp: names a format that is not PDF"
    for name, key in ((f"{XMP}CreateDate", "/CreationDate"), (f"{XMP}ModifyDate", "/ModDate")):
        here, there = [xmp_moment(one) for one in _values(root, name)], pdf_moment(text(info.get(key)))
        if here != [there]:
            yield f"agreement: {name.partition('}')[2]} and {key} differ"
    pairs = {
        f"{PDF}Trapped": named(info.get("/Trapped")),
        f"{PDF}Producer": text(info.get("/Producer")),
        f"{XMP}CreatorTool": text(info.get("/Creator")),
        f"{PDF}Keywords": text(info.get("/Keywords")),
    }
    for name, wanted in pairs.items():
        found = _values(root, name)
        if (found and found != [wanted]) or (name.endswith("Trapped") and not found):
            yield f"agreement: {name.partition('}')[2]} is {found} in the packet and '{wanted}' in the information"
