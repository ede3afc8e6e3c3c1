"""The XMP packet of a press file: what the file says of itself in a form any program can read (ISO 16684-1)."""

from __future__ import annotations

from uuid import UUID
from xml.sax.saxutils import escape

from decalgen import __version__
from decalgen.core.document import Document
from decalgen.export.information import moment, plain

TEMPLATE = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about=""
 xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/"
 xmlns:pdfxid="http://www.npes.org/pdfx/ns/id/">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<xmp:CreateDate>{date}</xmp:CreateDate>
<xmp:ModifyDate>{date}</xmp:ModifyDate>
<xmp:MetadataDate>{date}</xmp:MetadataDate>
<xmp:CreatorTool>decalgen</xmp:CreatorTool>
<pdf:Producer>decalgen {version}</pdf:Producer>
<pdf:Trapped>False</pdf:Trapped>
<pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion>
<xmpMM:DocumentID>uuid:{identity}</xmpMM:DocumentID>
<xmpMM:InstanceID>uuid:{identity}</xmpMM:InstanceID>
<xmpMM:VersionID>1</xmpMM:VersionID>
<xmpMM:RenditionClass>default</xmpMM:RenditionClass>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>"""


def uuid_of(identity: bytes) -> UUID:
    """An identifier made from the content, marked as made from a hash (RFC 9562, 5.8: version 8)."""
    made = bytearray(identity)
    made[6] = made[6] & 0x0F | 0x80
    made[8] = made[8] & 0x3F | 0x80
    return UUID(bytes=bytes(made))


def metadata(document: Document, identity: UUID) -> bytes:
    """The packet, UTF-8. Raises DecalgenError if the document's date is none."""
    date = moment(document.date or "").isoformat(timespec="seconds").replace("+00:00", "Z")
    title = escape(plain(document.title))
    return TEMPLATE.format(title=title, date=date, version=__version__, identity=identity).encode("utf-8")
