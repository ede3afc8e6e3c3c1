"""Pictures of dots, made from the project's own PDF, so that they show what the print file holds.

The page is rendered onto a whole number of dots without stretching, and the file says how many dots go to a
metre (PNG 3rd edition, 11.3.4.3), so it prints at true size wherever that is heeded.
"""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from threading import Lock

from decalgen.core.document import Document, Page
from decalgen.core.errors import DecalgenError
from decalgen.core.lengths.units import INCH_MM
from decalgen.export.coordinates import check_pages

MOST_DOTS = 100_000_000
"""No picture is larger: at three bytes a dot this is already 300 MB of memory."""

_one_at_a_time = Lock()
"""The renderer must not be used by two threads at once."""


def render(document: Document, dpi: float = 300) -> list[bytes]:
    """One PNG file a page at ``dpi`` dots an inch.

    Raises DecalgenError for what cannot be drawn (see `export`) and for a picture of more than `MOST_DOTS`.
    """
    from decalgen.export.pdf import write

    check_pages(document)
    sizes = [dots(page, dpi) for page in document.pages]
    # A page alone is a file of its own: thousands of pages need not be held at once.
    return [
        _picture(write(replace(document, pages=(page,)), for_dots=True), page, size, dpi, document.title)
        for page, size in zip(document.pages, sizes, strict=True)
    ]


def dots(page: Page, dpi: float) -> tuple[int, int]:
    """Width and height of the picture of a page, in dots. Raises DecalgenError if they are too many."""
    if not 1 <= dpi <= 10_000:
        raise DecalgenError(f"a picture cannot have {dpi} dots an inch", fix="give a dpi from 1 to 10000, usually 300")
    width, height = (
        max(1, round(size * dpi / INCH_MM)) if 0 < size <= 5080 else 1 for size in (page.width, page.height)
    )
    if width * height > MOST_DOTS:
        most = int(dpi * (MOST_DOTS / (width * height)) ** 0.5)
        raise DecalgenError(
            f"a picture of {page.width:g} × {page.height:g} mm at {dpi:g} dpi"
            f" would have {width * height // 1_000_000} million dots",
            fix=f"lower the dpi to {most} or less",
        )
    return width, height


def _picture(data: bytes, page: Page, size: tuple[int, int], dpi: float, title: str) -> bytes:
    import pypdfium2
    from PIL.PngImagePlugin import PngInfo
    from pypdfium2 import raw

    width, height = size
    top = page.height * 72 / INCH_MM
    # The page is cut or widened at its right and lower edge to whole dots; the renderer then has nothing to
    # stretch.
    box = (0.0, top - height * 72 / dpi, width * 72 / dpi, top)
    with _one_at_a_time:
        document = pypdfium2.PdfDocument(data)
        try:
            sheet = document[0]
            sheet.set_mediabox(*box)
            sheet.set_cropbox(*box)
            bitmap = pypdfium2.PdfBitmap.new_native(width, height, raw.FPDFBitmap_BGR)
            ground = page.ground or "#ffffff"
            bitmap.fill_rect((*bytes.fromhex(ground[1:]), 255), 0, 0, width, height)
            raw.FPDF_RenderPageBitmap(bitmap, sheet, 0, 0, width, height, 0, 0)
            image = bitmap.to_pil().convert("RGB")
            bitmap.close()
        finally:
            document.close()
    notes = PngInfo()
    # Rendering intent 0: colours are sRGB (PNG 3rd edition, 11.3.2.5).
    notes.add(b"sRGB", b"\0")
    if title:
        notes.add_itxt("Title", title.encode("utf-8", "replace").decode("utf-8"))
    result = BytesIO()
    image.save(result, "PNG", dpi=(dpi, dpi), pnginfo=notes)
    return result.getvalue()
