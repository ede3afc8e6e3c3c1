"""Keys, filters and boxes: what may stand in the catalog, on a page, in a form and in a graphics state."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, Stream

from tests.export.structure.reading import dictionaries, held, inherited, listed, named, number, numbers, plain_pages

# Wherever they stand: key to the name of the rule (ISO 15930-7, 6.10 to 6.20; ISO 32000-1 for what each is).
FORBIDDEN = {
    "/JavaScript": "actions",
    "/JS": "actions",
    "/OpenAction": "actions",
    "/AA": "actions",
    "/A": "actions",
    "/URI": "actions",
    "/TR": "transfer curve",
    "/HTP": "halftone",
    "/HTO": "halftone",
    "/OPI": "replaced images",
    "/Alternates": "replaced images",
    "/Ref": "replaced images",
    "/UserUnit": "unit",
    "/Font": "fonts",
    "/FontDescriptor": "fonts",
    "/XFA": "forms",
    "/AcroForm": "forms",
    "/EmbeddedFiles": "files",
    "/EF": "files",
    "/AF": "files",
    "/Collection": "files",
    "/FFilter": "external stream",
    "/FDecodeParms": "external stream",
    "/FontFile": "fonts",
    "/PatternType": "patterns",
    "/ShadingType": "shadings",
    "/BG": "black generation",
    "/UCR": "black generation",
    "/Threads": "actions",
    "/PresSteps": "presentation",
    "/Trans": "presentation",
    "/Perms": "signatures",
    "/DestOutputProfileRef": "output profile",
    "/PieceInfo": "private data",
}
# These may only say that nothing special is wanted.
ONLY = {
    "/TR2": ("transfer curve", Name.Default),
    "/HT": ("halftone", Name.Default),
    "/BG2": ("black generation", Name.Default),
    "/UCR2": ("black generation", Name.Default),
    "/BM": ("blending", Name.Normal),
    "/SMask": ("soft mask", Name("/None")),
}
CATALOG = {
    "/Type",
    "/Pages",
    "/Lang",
    "/ViewerPreferences",
    "/OutputIntents",
    "/OCProperties",
    "/Metadata",
    "/Version",
    "/PageMode",
    "/PageLayout",
}
PREFERENCES = {"/PrintScaling", "/DisplayDocTitle", "/PickTrayByPDFSize"}
PAGE = {
    "/Type",
    "/Parent",
    "/MediaBox",
    "/CropBox",
    "/BleedBox",
    "/TrimBox",
    "/ArtBox",
    "/Rotate",
    "/Resources",
    "/Contents",
}
PAGE |= {"/Group"}
TREE = {"/Type", "/Kids", "/Count", "/Parent", "/MediaBox", "/CropBox", "/Resources", "/Rotate"}
FORM = {"/Type", "/Subtype", "/FormType", "/BBox", "/Matrix", "/Resources", "/Length", "/Filter", "/DecodeParms"}
STATE = {"/Type", "/OP", "/op", "/OPM", "/ca", "/CA", "/BM", "/SMask", "/HT", "/TR2", "/BG2", "/UCR2", "/AIS", "/SA"}
RESOURCES = {"/XObject", "/ExtGState", "/ColorSpace", "/Properties", "/ProcSet"}
MEMBERS = {"/XObject": Stream, "/ExtGState": Dictionary, "/ColorSpace": Array, "/Properties": Dictionary}
LARGEST_SIDE = 14_400
"""Points (ISO 32000-1, annex C)."""
SLACK = 1e-4
"""Points: what is written with six digits does not end nearer."""


def everywhere(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Keys, kinds of objects and filters that may not be anywhere, used or not."""
    for item in dictionaries(pdf):
        entries = held(item)
        for key, rule in FORBIDDEN.items():
            if key in entries:
                yield f"{rule}: {key}"
        for key, (rule, wanted) in ONLY.items():
            if entries.get(key, wanted) != wanted:
                yield f"{rule}: {key} is {_shown(entries[key])}"
        kind, subtype = named(entries.get("/Type")), named(entries.get("/Subtype"))
        if kind == "Annot" or subtype in {"PrinterMark", "TrapNet", "Widget", "FileAttachment"}:
            yield f"annotations: one of type {subtype}"
        if kind == "Action" or named(entries.get("/S")) in {"JavaScript", "Launch", "URI", "SubmitForm", "GoToR"}:
            yield f"actions: {named(entries.get('/S'))}"
        if kind in {"Filespec", "EmbeddedFile"}:
            yield f"files: {kind}"
        if subtype == "Image":
            yield "images: sizes are drawn, not dotted"
        if subtype == "PS" or "/PS" in entries or named(entries.get("/Subtype2")) == "PS":
            yield "postscript: an object of it"
        if isinstance(item, Stream):
            yield from _stream(entries)


def _shown(value: Any) -> str:
    return str(value) if isinstance(value, Name) else type(value).__name__


def _stream(entries: dict[str, Any]) -> Iterator[str]:
    if "/F" in entries:
        yield "external stream: /F"
    filters = listed(entries.get("/Filter")) if isinstance(entries.get("/Filter"), Array) else [entries.get("/Filter")]
    for one in filters:
        if one is not None and named(one) != "FlateDecode":
            yield f"filter: {_shown(one)}"


def catalog(pdf: pikepdf.Pdf) -> Iterator[str]:
    """The catalog and what the viewer is asked for."""
    root = held(pdf.Root)
    for key in set(root) - CATALOG - set(FORBIDDEN):
        yield f"catalog: {key}"
    wishes = held(root.get("/ViewerPreferences"))
    if wishes.get("/PrintScaling") != Name("/None"):
        yield "scaling: the viewer is not asked to leave the size alone"
    if not isinstance(root.get("/Lang", pikepdf.String("")), pikepdf.String):
        yield "catalog: /Lang is no text"
    if not all(isinstance(wish, bool) for key, wish in wishes.items() if key in PREFERENCES - {"/PrintScaling"}):
        yield "preferences: one is neither true nor false"
    for key in set(wishes) - PREFERENCES:
        yield f"preferences: {key}"


def pages(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Every page with its boxes, and the tree above it."""
    found = plain_pages(pdf)
    if not found:
        yield "pages: there is none"
    if held(held(pdf.Root).get("/Pages")).get("/Count") != len(found):
        yield "pages: the tree counts them wrong"
    for item in dictionaries(pdf):
        entries = held(item)
        if named(entries.get("/Type")) == "Pages":
            yield from (f"pages: {key} in the tree" for key in set(entries) - TREE)
        if named(entries.get("/Type")) == "ExtGState" or {"/OPM", "/op"} & set(entries):
            yield from _state(entries)
        if named(entries.get("/Subtype")) == "Form":
            yield from _form(entries)
    drawn = [held(page).get("/Contents") for page in found]
    streams = [one.objgen for one in drawn if isinstance(one, Stream)]
    if len(set(streams)) != len(streams):
        yield "pages: two show the same"
    for page in found:
        for key in set(held(page)) - PAGE - set(FORBIDDEN):
            yield f"annotations: {key}" if key == "/Annots" else f"page: {key}"
        yield from boxes(page)
        if (turn := inherited(page, "/Rotate")) is not None and number(turn) != 0:
            yield f"turned: /Rotate is {number(turn)}"
        yield from _group(held(page).get("/Group"))
        yield from _resources(inherited(page, "/Resources"), "a page")


def _state(entries: dict[str, Any]) -> Iterator[str]:
    if entries.get("/Type", Name.ExtGState) != Name.ExtGState:
        yield "graphics state: its type is another"
    for key in set(entries) - STATE - set(FORBIDDEN):
        yield f"graphics state: {key}"
    for key in {"/OP", "/op", "/AIS", "/SA"} & set(entries):
        if not isinstance(entries[key], bool):
            yield f"graphics state: {key} is neither true nor false"
    for key in ("/AIS", "/SA"):
        if entries.get(key, False) is not False:
            yield f"graphics state: {key} changes what shows or how wide lines are"
    if number(entries.get("/OPM", 0)) not in {0, 1}:
        yield "graphics state: /OPM is neither 0 nor 1"


def _form(entries: dict[str, Any]) -> Iterator[str]:
    for key in set(entries) - FORM - set(FORBIDDEN) - {"/F"}:
        yield f"form: {key}"
    if entries.get("/Type", Name.XObject) != Name.XObject:
        yield "form: its type is another"
    if numbers(entries.get("/BBox"), 4) is None:
        yield "form: no box round it"
    if "/Matrix" in entries and numbers(entries["/Matrix"], 6) != [1, 0, 0, 1, 0, 0]:
        yield "form: has a matrix of its own"
    yield from _resources(entries.get("/Resources"), "a form")


def _resources(item: Any, whose: str) -> Iterator[str]:
    if not isinstance(item, Dictionary):
        yield f"resources: {whose} has none"
    for key, members in held(item).items():
        if key not in RESOURCES and key not in FORBIDDEN:
            yield f"{ {'/Pattern': 'patterns', '/Shading': 'shadings'}.get(key, 'resources') }: {key} of {whose}"
        elif key in MEMBERS and not isinstance(members, Dictionary):
            yield f"resources: {key} of {whose} is no dictionary"
        for name, member in held(members).items() if key in MEMBERS else ():
            if not isinstance(member, MEMBERS[key]):
                yield f"resources: {name} of {key} is something else"


def _group(group: Any) -> Iterator[str]:
    if group is None:
        return
    entries = held(group)
    if entries.get("/S") != Name.Transparency or entries.get("/CS") != Name.DeviceCMYK:
        yield f"blending: the page is blended in {_shown(entries.get('/CS'))}"
    for key in set(entries) - {"/Type", "/S", "/CS", "/I"}:
        yield f"blending: the page's group says {key}"


def box_of(page: Any, key: str) -> list[float] | None:
    """A box with its lower left corner first; None where there is none, or one without size."""
    found = numbers(inherited(page, key) if key in {"/MediaBox", "/CropBox"} else held(page).get(key), 4)
    if found is None:
        return None
    x0, x1 = sorted(found[::2])
    y0, y1 = sorted(found[1::2])
    return [x0, y0, x1, y1] if x1 - x0 > SLACK and y1 - y0 > SLACK else None


def contains(outer: list[float], inner: list[float], slack: float = SLACK) -> bool:
    """Whether a box lies inside another."""
    low = all(a <= b + slack for a, b in zip(outer[:2], inner[:2], strict=True))
    return low and all(a >= b - slack for a, b in zip(outer[2:], inner[2:], strict=True))


def boxes(page: Any) -> Iterator[str]:
    """TrimBox or ArtBox, never both; each box inside the next (ISO 15930-7, 6.12; ISO 32000-1, 14.11.2)."""
    if ("/TrimBox" in held(page)) == ("/ArtBox" in held(page)):
        yield "trim: needs a TrimBox or an ArtBox, not both"
    inner_first = ["/TrimBox" if "/TrimBox" in held(page) else "/ArtBox", "/BleedBox", "/CropBox", "/MediaBox"]
    found = {key: box_of(page, key) for key in inner_first}
    for key, box in found.items():
        there = inherited(page, key) is not None if key in {"/MediaBox", "/CropBox"} else key in held(page)
        if box is None and (there or key in {"/MediaBox", "/BleedBox"}):
            yield f"boxes: {key} is missing, or no box"
    present = [(key, box) for key, box in found.items() if box is not None]
    for place, (key, box) in enumerate(present, start=1):
        for outer_key, outer in present[place:]:
            if not contains(outer, box):
                yield f"boxes: {key} reaches beyond {outer_key}"
    media = found["/MediaBox"]
    if media and (abs(media[0]) > SLACK or abs(media[1]) > SLACK):
        yield "boxes: /MediaBox does not begin in the film's corner"
    if media and max(media[2] - media[0], media[3] - media[1]) > LARGEST_SIDE:
        yield "boxes: /MediaBox is larger than any page can be"
