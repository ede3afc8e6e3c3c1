"""The rules of a press file that can be decided by looking at it, with pikepdf and without the code that
wrote it.

No validator for ISO 15930-7 (PDF/X-4) is to be had as a package; these are the rules of ISO 32000-1, ISO
15930-7 and ISO 19593-1 that are facts about objects and operators. Each problem begins with the short name of
its rule.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

import pikepdf
from pikepdf import Array, Dictionary, Name, Stream

PROCESS_FILL, PROCESS_STROKE = {"k"}, {"K"}
SPOTS = {"Cutting", "White", "All"}
# ISO 19593-1: groups, and the types of the one group that takes any.
PLAIN_GROUPS = {"White", "Legend", "Dimensions", "Positions", "Varnish"}
STRUCTURAL = {"Cutting", "PartialCutting", "Bleed", "InkFree"}
NAMESPACES = {
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfxid": "http://www.npes.org/pdfx/ns/id/",
}


def problems(data: bytes) -> list[str]:
    """Everything wrong with a press file, as 'rule: what'."""
    with pikepdf.open(BytesIO(data)) as pdf:
        return [
            *header(data, pdf),
            *information(pdf),
            *packet(pdf),
            *intent(pdf),
            *forbidden(pdf),
            *layers(pdf),
            *spots(pdf),
            *(problem for page in pdf.pages for problem in (*boxes(page), *paint(page))),
        ]


def header(data: bytes, pdf: pikepdf.Pdf) -> Iterator[str]:
    """Version, binary comment, identifier, no encryption."""
    if not data.startswith(b"%PDF-1.6"):
        yield f"version: {data[:8]!r}"
    comment = data.splitlines()[1]
    if not (comment.startswith(b"%") and sum(byte > 127 for byte in comment) >= 4):
        yield "binary comment: missing in the second line"
    identifier = pdf.trailer.get("/ID")
    if identifier is None or len(identifier) != 2 or any(len(bytes(part)) < 16 for part in identifier):
        yield "identifier: /ID is missing or short"
    if pdf.is_encrypted:
        yield "encryption: there is some"


def information(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Title, dates, trapping."""
    info = pdf.docinfo
    for key in ("/Title", "/CreationDate", "/ModDate"):
        if not str(info.get(key, "")):
            yield f"information: {key} is missing"
    if info.get("/Trapped") not in {Name("/True"), Name("/False")}:
        yield "trapped: neither True nor False"


def packet(pdf: pikepdf.Pdf) -> Iterator[str]:
    """The XMP packet: plain, well-formed, naming the standard, with identifiers, agreeing with the
    information.
    """
    stream = pdf.Root.get("/Metadata")
    if stream is None:
        yield "xmp: missing"
        return
    if "/Filter" in stream:
        yield "xmp: packed"
    try:
        root = ElementTree.fromstring(re.sub(rb"<\?xpacket.*?\?>", b"", stream.read_bytes()))
    except ElementTree.ParseError as error:
        yield f"xmp: not well-formed ({error})"
        return

    def value(path: str) -> str:
        return (root.findtext(f".//{path}", "", NAMESPACES) or "").strip()

    if value("pdfxid:GTS_PDFXVersion") != "PDF/X-4":
        yield "xmp version: not PDF/X-4"
    for path in ("xmpMM:DocumentID", "xmpMM:VersionID", "xmpMM:RenditionClass", "xmp:MetadataDate"):
        if not value(path):
            yield f"xmp identifiers: {path} is missing"
    info = pdf.docinfo
    if value("dc:title/rdf:Alt/rdf:li") != str(info.get("/Title", "")):
        yield "agreement: the titles differ"
    for path, key in (("xmp:CreateDate", "/CreationDate"), ("xmp:ModifyDate", "/ModDate")):
        if re.sub(r"\D", "", value(path)) != re.sub(r"\D", "", str(info.get(key, ""))):
            yield f"agreement: {path} and {key} differ"
    if f"/{value('pdf:Trapped')}" != str(info.get("/Trapped")):
        yield "agreement: trapping differs"


def intent(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Exactly one printing condition, named, with an output profile for CMYK."""
    found = [item for item in pdf.Root.get("/OutputIntents", Array()) if item.get("/S") == Name("/GTS_PDFX")]
    if len(found) != 1:
        yield f"output intent: {len(found)} instead of one"
        return
    if not str(found[0].get("/OutputConditionIdentifier", "")):
        yield "output condition: not named"
    stream = found[0].get("/DestOutputProfile")
    if stream is None:
        yield "output profile: missing"
        return
    profile = stream.read_bytes()
    if profile[36:40] != b"acsp" or int.from_bytes(profile[:4], "big") != len(profile):
        yield "output profile: damaged"
    if profile[12:16] != b"prtr":
        yield f"output profile: of class {profile[12:16]!r}"
    if profile[16:20] != b"CMYK" or stream.get("/N") != 4:
        yield "output profile: not of four inks"


FORBIDDEN = {
    "/JavaScript": "actions",
    "/JS": "actions",
    "/OpenAction": "actions",
    "/AA": "actions",
    "/TR": "transfer curve",
    "/HTP": "halftone phase",
    "/OPI": "replaced images",
    "/Alternates": "replaced images",
    "/UserUnit": "unit",
    "/Font": "fonts",
    "/XFA": "forms",
    "/AcroForm": "forms",
    "/EmbeddedFiles": "files",
}


def forbidden(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Keys, filters and colour spaces that may not be anywhere."""
    if pdf.Root.get("/ViewerPreferences", Dictionary()).get("/PrintScaling") != Name("/None"):
        yield "scaling: the viewer is not asked to leave the size alone"
    for item in (inner for outer in pdf.objects for inner in within(outer)):
        for key, rule in FORBIDDEN.items():
            if key in item:
                yield f"{rule}: {key}"
        if item.get("/TR2", Name("/Default")) != Name("/Default"):
            yield "transfer curve: /TR2"
        if item.get("/Subtype") == Name("/Image"):
            yield "images: sizes are drawn, not dotted"
        if item.get("/Subtype") == Name("/PS"):
            yield "postscript: an object of it"
        if "LZW" in str(item.get("/Filter", "")):
            yield "filter: LZW"
    for page in pdf.pages:
        if len(page.get("/Annots", Array())):
            yield "annotations: there are some"


def within(item: Any) -> Iterator[Any]:
    """A dictionary or stream and all dictionaries that stand in it, not those it only refers to."""
    if isinstance(item, (Dictionary, Stream)):
        yield item
        children = [item[key] for key in dict(item) if key != "/Parent"]
    else:
        children = list(item) if isinstance(item, Array) else []
    for child in children:
        if not getattr(child, "is_indirect", False):
            yield from within(child)


def layers(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Optional content: one named configuration listing all groups, and processing steps spelled right."""
    properties = pdf.Root.get("/OCProperties")
    if properties is None:
        yield "layers: none"
        return
    groups = list(properties.OCGs)
    default = properties.get("/D", Dictionary())
    if not str(default.get("/Name", "")):
        yield "layers: the configuration has no name"
    for configuration in (default, *properties.get("/Configs", Array())):
        if "/AS" in configuration:
            yield "layers: states change by themselves (/AS)"
    if {g.objgen for g in groups} != {g.objgen for g in default.get("/Order", Array())}:
        yield "layers: the order does not list all"
    names = [str(group.get("/Name", "")) for group in groups]
    if len(set(names)) != len(names) or "" in names:
        yield "layers: names are missing or double"
    for group in groups:
        steps = group.get("/GTS_Metadata")
        if steps is None:
            continue
        kind, detail = (
            str(steps.get("/GTS_ProcStepsGroup", ""))[1:],
            str(steps.get("/GTS_ProcStepsType", ""))[1:],
        )
        if kind == "Structural" and detail not in STRUCTURAL:
            yield f"processing step: Structural of type '{detail}'"
        elif kind != "Structural" and (kind not in PLAIN_GROUPS or detail):
            yield f"processing step: '{kind}' of type '{detail}'"


def spots(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Spots by their allowed names, each with one way to show it."""
    shown: dict[str, set[bytes]] = {}
    for resources in every_resources(pdf):
        for space in resources.get("/ColorSpace", Dictionary()).values():
            if not isinstance(space, Array) or str(space[0]) != "/Separation":
                yield f"colour space: {space[0] if isinstance(space, Array) else space}"
                continue
            spot = str(space[1])[1:]
            if spot not in SPOTS:
                yield f"spot name: '{spot}'"
            shown.setdefault(spot, set()).add(bytes(space[2].unparse()) + bytes(space[3].unparse(resolved=True)))
    for spot, ways in shown.items():
        if len(ways) > 1:
            yield f"spot alternates: '{spot}' is shown in {len(ways)} ways"


def every_resources(pdf: pikepdf.Pdf) -> Iterator[Any]:
    for page in pdf.pages:
        yield page.get("/Resources", Dictionary())
    for item in pdf.objects:
        if isinstance(item, Stream) and item.get("/Subtype") == Name("/Form"):
            yield item.get("/Resources", Dictionary())


def boxes(page: pikepdf.Page) -> Iterator[str]:
    """TrimBox or ArtBox, never both; each box inside the next."""
    if ("/TrimBox" in page) == ("/ArtBox" in page):
        yield "trim: needs a TrimBox or an ArtBox, not both"
    outer = [float(value) for value in page.MediaBox]
    for key in ("/BleedBox", "/TrimBox"):
        if key not in page:
            continue
        box = [float(value) for value in page[key]]
        if box[0] < outer[0] - 1e-4 or box[1] < outer[1] - 1e-4 or box[2] > outer[2] + 1e-4 or box[3] > outer[3] + 1e-4:
            yield f"boxes: {key} reaches beyond the one around it"
        outer = box


class State:
    """What of the graphics state the rules need."""

    def __init__(self) -> None:
        self.fill, self.stroke = "", ""
        self.op, self.OP, self.opm = False, False, 0

    def copy(self) -> State:
        made = State()
        made.__dict__.update(self.__dict__)
        return made


def paint(page: pikepdf.Page) -> Iterator[str]:
    """Operators: colours of the file's own kind, balance, and White first under overprinting artwork."""
    seen: list[tuple[str, State]] = []
    yield from walk(page, page.get("/Resources", Dictionary()), State(), seen, 0)
    whites = [i for i, (ink, _) in enumerate(seen) if ink == "White"]
    process = [i for i, (ink, _) in enumerate(seen) if ink == "process"]
    if whites and process and max(whites) > min(process):
        yield "white: painted after artwork"
    for ink, state in seen:
        if ink == "process" and whites and not (state.op and state.OP and state.opm == 0):
            yield "overprint: artwork would cut holes into the white"
            break
    if any(ink == "Cutting" and not state.OP for ink, state in seen):
        yield "overprint: the cut line would cut into the artwork"
    transparent = any(
        float(state.get("/ca", 1)) != 1
        for state in page.get("/Resources", Dictionary()).get("/ExtGState", Dictionary()).values()
    )
    if transparent and page.get("/Group", Dictionary()).get("/CS") != Name("/DeviceCMYK"):
        yield "blending: no space is named"


def walk(source: Any, resources: Any, state: State, seen: list[tuple[str, State]], depth: int) -> Iterator[str]:
    """Runs over a content stream and the forms in it; ``seen`` gets every painting with its ink."""
    stack: list[State] = []
    marked = 0
    for operands, operator in pikepdf.parse_content_stream(source):
        word = str(operator)
        if word in {"rg", "RG", "g", "G", "sh", "ri"}:
            yield f"colour: operator {word}"
        elif word in {"BT", "Tf", "Tj"}:
            yield f"fonts: operator {word}"
        elif word == "q":
            stack.append(state.copy())
        elif word == "Q":
            if not stack:
                yield "balance: Q without q"
                return
            state = stack.pop()
        elif word == "BDC":
            marked += 1
            if str(operands[1]) not in resources.get("/Properties", Dictionary()):
                yield f"layers: {operands[1]} is not in the resources"
        elif word == "EMC":
            marked -= 1
        elif word == "gs":
            entry = resources.ExtGState[str(operands[0])]
            state.op, state.OP = bool(entry.get("/op", False)), bool(entry.get("/OP", False))
            state.opm = int(entry.get("/OPM", 0))
        elif word in PROCESS_FILL:
            state.fill = "process"
        elif word in PROCESS_STROKE:
            state.stroke = "process"
        elif word == "cs":
            state.fill = str(resources.ColorSpace[str(operands[0])][1])[1:]
        elif word == "CS":
            state.stroke = str(resources.ColorSpace[str(operands[0])][1])[1:]
        elif word in {"f", "f*", "F"}:
            seen.append((state.fill, state.copy()))
        elif word in {"S", "s"}:
            seen.append((state.stroke, state.copy()))
        elif word == "Do":
            form = resources.XObject[str(operands[0])]
            if depth < 5:
                yield from walk(form, form.get("/Resources", Dictionary()), state.copy(), seen, depth + 1)
    if stack or marked:
        yield "balance: q without Q or BDC without EMC"
