"""Home print files: vector PDF at true scale, sRGB, outlines only; no fonts, spots, overprint or layers.

Page boxes follow ISO 32000-1, 14.11.2; the viewer is asked not to scale (12.2, table 150). The content is
written in millimetres under one matrix, which also carries the printer's correction about the page's centre.
The same document gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core.document import Contour, Document, Fill, Item, Line, Page, Picture, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import Bounds, Matrix, multiply
from decalgen.export.coordinates import (
    Symbols,
    bounds,
    check_near,
    check_opacity,
    check_pages,
    correction,
    number,
    numbers,
    settle,
)
from decalgen.export.information import information
from decalgen.export.pdf_content import POINTS, Content, rgb
from decalgen.export.pdf_file import PdfFile, PdfValue, dictionary, string
from decalgen.export.pdf_pictures import PictureObjects

Items = Sequence[Item]


def render(document: Document, *, turned: bool = False) -> list[bytes]:
    """The document as one PDF file. ``turned``: each page by a quarter, anticlockwise, as IPP turns a page to print it
    across its sheet (RFC 8011, 5.2.10); its size and correction turn with it. Raises DecalgenError for what cannot be
    drawn (see `export`)."""
    return [write(document, turned=turned)]


def write(document: Document, *, for_dots: bool = False, turned: bool = False) -> bytes:
    """As `render`. ``for_dots``: rectangles are written so that pdfium draws them at their size (see `png`)."""
    check_pages(document)
    file = PdfFile((1, 7))
    writer = _PdfWriter(file, opaque=all(map(opaque_page, document.pages)), for_dots=for_dots)
    for page in document.pages:
        writer.page(document, page, turned)
    info = information(document)
    file.identify(repr(sorted(info.items())).encode("utf-8", "replace"))
    preferences = {"PrintScaling": "/None", "PickTrayByPDFSize": "true", "DisplayDocTitle": "true"}
    catalog = {"Lang": string(document.language), "ViewerPreferences": dictionary(preferences)}
    return file.save(catalog, {key: string(text) for key, text in info.items()})


def opaque_page(page: Page) -> bool:
    """Whether nothing on the page lets anything shine through."""
    return not any(
        any(map(_lets_through, item.symbol.items)) if isinstance(item, Use) else _lets_through(item)
        for layer in page.layers
        for item in layer.items
    )


def _lets_through(item: Fill | Line | Contour | Picture) -> bool:
    return item.opacity != 1 if isinstance(item, Fill) else isinstance(item, Picture) and item.pixels.alpha is not None


def boxes(page: Page, matrix: Matrix, turned: bool = False) -> dict[str, str]:
    """MediaBox, CropBox, BleedBox and TrimBox in points, each inside the one before it.

    The media is the paper and keeps its size; trim and bleed move with ``matrix``, the printer's correction; all turn
    with a page that is ``turned``.
    """
    media = (0.0, 0.0, page.width, page.height)
    trim = _moved(matrix, page.trim, media) if page.trim else None
    bleed = _moved(matrix, page.bleed, media) if page.bleed else None
    if trim and bleed:
        bleed = (
            min(trim[0], bleed[0]),
            min(trim[1], bleed[1]),
            max(trim[2], bleed[2]),
            max(trim[3], bleed[3]),
        )
    found = {
        "MediaBox": media,
        "CropBox": media,
        "BleedBox": bleed or media,
        "TrimBox": trim or bleed or media,
    }
    if turned:
        found = {key: (page.height - y1, x0, page.height - y0, x1) for key, (x0, y0, x1, y1) in found.items()}
    return {key: f"[{numbers((value * POINTS for value in box), 6)}]" for key, box in found.items()}


def _moved(matrix: Matrix, box: Bounds, media: Bounds) -> Bounds:
    """The box round a box under a matrix without rotation, cut to the media."""
    settle(box)
    a, _, c, d, e, f = matrix
    low, high = sorted((c * box[1], c * box[3]))
    x0, x1 = (min(max(x, media[0]), media[2]) for x in (a * box[0] + low + e, a * box[2] + high + e))
    y0, y1 = (min(max(d * y + f, media[1]), media[3]) for y in (box[1], box[3]))
    if box[2] <= box[0] or x1 <= x0 or y1 <= y0:
        raise DecalgenError(
            f"the area {box} mm is empty or off the page",
            fix="put it inside the page, left before right, low before high",
        )
    return (x0, y0, x1, y1)


class _PdfWriter:
    """Pages and symbols of one home print file."""

    def __init__(self, file: PdfFile, *, opaque: bool, for_dots: bool) -> None:
        self._file = file
        self._opaque = opaque
        self._for_dots = for_dots
        self._symbols = Symbols()
        self._forms: dict[str, tuple[str, PdfValue] | None] = {}
        self._opacities: dict[str, tuple[str, PdfValue]] = {}
        self._pictures = PictureObjects(file, "/DeviceRGB", lambda pixels: pixels.rgb)

    def page(self, document: Document, page: Page, turned: bool) -> None:
        """A page with everything on it, under the printer's correction."""
        corrected = correction(document, page)
        found = boxes(page, corrected, turned)
        wide, high = page.width, page.height
        if turned:
            corrected = multiply((0.0, 1.0, -1.0, 0.0, high, 0.0), corrected)
            wide, high = high, wide
        items: list[Item] = [item for layer in page.layers for item in layer.items]
        used: dict[str, PdfValue] = {}
        content = self._content(used)
        content.text("q")
        if page.ground:
            content.text(f"{POINTS:.10f} 0 0 {POINTS:.10f} 0 0 cm")
            content.text(f"{rgb(page.ground)} rg\n0 0 {numbers((wide, high))} re f\nQ q")
        matrix = tuple(value * POINTS for value in corrected)
        content.text(f"{numbers(matrix, 10)} cm")
        content.items(items)
        content.text("Q")
        entries: dict[str, PdfValue] = dict(found)
        if not self._opaque:
            # Without a group of its own a page is blended in whatever space the printer likes.
            entries["Group"] = dictionary({"Type": "/Group", "S": "/Transparency", "CS": "/DeviceRGB"})
        self._file.identify(repr(sorted(found.items())).encode())
        entries["Resources"] = self._resources(used)
        entries["Contents"] = self._file.add_stream(content.data(), {})
        self._file.add_page(entries)

    def _content(self, used: dict[str, PdfValue]) -> Content:
        known: dict[tuple[str, float], tuple[tuple[str, str], ...]] = {}

        def paint(item: Fill | Line | Contour) -> tuple[tuple[str, str], ...]:
            if not isinstance(item, Fill):
                return (("line", f"{rgb(item.colour)} RG"),)
            key = (item.colour, item.opacity)
            if key not in known:
                colour = ("fill", f"{rgb(item.colour)} rg")
                # A symbol starts with whatever was in force where it is placed, so each says it all.
                known[key] = (colour,) if self._opaque else (colour, ("opacity", self._opacity(item.opacity)))
            return known[key]

        def place(use: Use) -> str | None:
            form = self._form(use)
            if form is None:
                return None
            used[form[0]] = form[1]
            check_near(use.matrix)
            return f"q {numbers(use.matrix, 10)} cm /{form[0]} Do Q"

        def show(picture: Picture) -> tuple[str, tuple[tuple[str, str], ...]]:
            name, used[name] = self._pictures.of(picture.pixels)
            return name, () if self._opaque else (("opacity", self._opacity(1.0)),)

        return Content(paint, place, show, five_sided=self._for_dots)

    def _opacity(self, opacity: float) -> str:
        key = number(check_opacity(opacity), 4)
        if key not in self._opacities:
            self._opacities[key] = (
                f"A{len(self._opacities)}",
                self._file.add({"Type": "/ExtGState", "ca": key}),
            )
        return f"/{self._opacities[key][0]} gs"

    def _resources(self, forms: dict[str, PdfValue]) -> PdfValue:
        found: dict[str, PdfValue] = {}
        if forms:
            found["XObject"] = dictionary(forms)
        if self._opacities:
            found["ExtGState"] = dictionary(dict(self._opacities.values()))
        return dictionary(found)

    def _form(self, use: Use) -> tuple[str, PdfValue] | None:
        """Name and reference; None for a symbol with nothing in it."""
        key = use.symbol.key
        if self._symbols.add(use):
            items = use.symbol.items
            box = bounds(items)
            self._forms[key] = None
            if box is not None:
                used: dict[str, PdfValue] = {}
                content = self._content(used)
                content.items(items)
                entries = {
                    "Type": "/XObject",
                    "Subtype": "/Form",
                    "BBox": f"[{numbers(box)}]",
                    "Resources": self._resources(used),
                }
                reference = self._file.add_stream(content.data(), entries)
                self._forms[key] = (f"S{len(self._forms)}", reference)
        return self._forms[key]
