"""Pictures in the files, read back by other programs: pdfium and pikepdf for PDF, expat for SVG."""

from __future__ import annotations

import base64
import re
from io import BytesIO

import numpy as np
import pikepdf
import pypdfium2
import pytest
from PIL import Image
from pypdfium2 import raw
from shapely.geometry import box

from decalgen.colour.icc import shipped
from decalgen.colour.value import Colour
from decalgen.core.document import Document, Layer, Page, Picture, Symbol, Use
from decalgen.core.geometry import Matrix, multiply, region, rotation, translation
from decalgen.core.pixels.decode import pixels_of
from decalgen.core.pixels.values import Pixels
from decalgen.export import pdf, press, svg
from tests.helpers.pictures import emblem, photograph

MM = 72 / 25.4
PIXELS = pixels_of(emblem(60))
PHOTO = pixels_of(photograph(80, 60))


def symbol(pixels: Pixels = PIXELS, width: float = 12.0, height: float = 12.0) -> Symbol:
    matrix: Matrix = (width, 0.0, 0.0, height, 0.0, 0.0)
    return Symbol("picture", (Picture(pixels, matrix, region(box(0, 0, width, height)), "picture a.png"),))


def document(*uses: Use, correction: tuple[float, float, float] | None = None) -> Document:
    page = Page(100.0, 80.0, (Layer("Artwork", uses, "artwork"),), correction=correction)
    return Document((page,), "Harbour", date="2026-11-01")


def placed(data: bytes) -> list[tuple[float, float, float, float]]:
    """Left, bottom, right and top of every picture as pdfium finds it, mm."""
    found = []
    page = pypdfium2.PdfDocument(data)[0]
    for one in page.get_objects(filter=[raw.FPDF_PAGEOBJ_IMAGE], max_depth=5):
        matrix = one.get_matrix()
        # In a form, its own matrix lies round that of the picture.
        around = one.container.get_matrix() if one.container is not None else pypdfium2.PdfMatrix()
        a, b, c, d, e, f = (matrix.multiply(around)).get()
        xs, ys = [e, e + a, e + c, e + a + c], [f, f + b, f + d, f + b + d]
        found.append((min(xs) / MM, min(ys) / MM, max(xs) / MM, max(ys) / MM))
    return found


def images(data: bytes) -> dict[str, pikepdf.Stream]:
    """The pictures of a file by their colour space; it holds each once."""
    OPEN.append(pikepdf.open(BytesIO(data)))
    found = [one for one in OPEN[-1].objects if isinstance(one, pikepdf.Stream) and one.get("/Subtype") == "/Image"]
    by = {str(one.ColorSpace): one for one in found}
    assert len(by) == len(found)
    return by


OPEN: list[pikepdf.Pdf] = []
"""What is read of a file goes with it."""


def test_it_lies_at_true_scale_and_its_pixels_stand_in_the_file_once() -> None:
    spots = [(10.0, 20.0), (40.123, 31.777), (70.0, 5.5)]
    one = symbol()
    (data,) = pdf.render(document(*(Use(one, translation(x, y)) for x, y in spots)))
    found = sorted(placed(data))
    assert len(found) == 3
    for lies, (x, y) in zip(found, sorted(spots), strict=True):
        assert lies == pytest.approx((x, y, x + 12, y + 12), abs=0.001)
    held = images(data)
    assert sorted(held) == ["/DeviceGray", "/DeviceRGB"]
    mask, picture = held["/DeviceGray"], held["/DeviceRGB"]
    assert (int(picture.Width), int(picture.Height)) == (60, 60) and picture.read_bytes() == PIXELS.rgb
    assert mask.read_bytes() == PIXELS.alpha and picture.SMask.objgen == mask.objgen
    # 60 pixels over 12 mm are 127 to the inch.
    assert int(picture.Width) / (found[0][2] - found[0][0]) * 25.4 == pytest.approx(127.0, rel=1e-4)


def test_what_is_opaque_has_no_mask_and_the_printer_s_correction_holds() -> None:
    (data,) = pdf.render(document(Use(symbol(PHOTO, 20, 15), translation(40, 32.5)), correction=(1.01, 0.99, 0.0)))
    ((_, picture),) = images(data).items()
    assert "/SMask" not in picture and b"/Transparency" not in data
    (lies,) = placed(data)
    assert lies == pytest.approx((50 - 10.1, 40 - 7.425, 50 + 10.1, 40 + 7.425), abs=0.001)


def test_it_is_seen_as_it_is_in_its_own_colours() -> None:
    (data,) = pdf.render(document(Use(symbol(PHOTO, 80, 60), translation(10, 10))))
    seen = pypdfium2.PdfDocument(data)[0].render(scale=25.4 / 72 * 4).to_pil().convert("RGB")
    middle = np.asarray(seen.crop((40, 40, 360, 280)).resize((80, 60), Image.Resampling.BOX)).astype(int)
    off = abs(middle - np.frombuffer(PHOTO.rgb, np.uint8).reshape(60, 80, 3))
    # Rows from the top and columns from the left: turned over, waves of a hundred levels would lie apart.
    assert off[2:-2, 2:-2].mean() < 3


def test_only_what_lies_in_its_area_is_seen() -> None:
    half = region(box(10, 10, 30, 70))
    item = Picture(PHOTO, (80.0, 0.0, 0.0, 60.0, 10.0, 10.0), half)
    page = Page(100.0, 80.0, (Layer("Artwork", (item,), "artwork"),))
    (data,) = pdf.render(Document((page,), "Harbour"))
    seen = np.asarray(pypdfium2.PdfDocument(data)[0].render(scale=25.4 / 72 * 4).to_pil().convert("RGB")).astype(int)
    assert (seen[:, 122:] == 255).all() and (seen[60:260, 60:116] < 250).any(axis=2).all()


def test_a_press_file_has_it_in_cmyk_by_the_profile_and_no_rgb() -> None:
    profile = shipped()

    def convert(colour: str) -> tuple[float, float, float, float]:
        raise AssertionError(colour)

    data = press.render(
        document(Use(symbol(), translation(10, 10))),
        convert=convert,
        profile=profile.data,
        condition=profile.name,
        convert_pixels=lambda pixels: profile.cmyk_pixels(pixels.rgb, (pixels.width, pixels.height)),
    )
    assert b"DeviceRGB" not in data
    held = images(data)
    assert sorted(held) == ["/DeviceCMYK", "/DeviceGray"]
    picture = held["/DeviceCMYK"]
    samples = np.frombuffer(picture.read_bytes(), np.uint8).reshape(60, 60, 4)
    rgb = np.frombuffer(PIXELS.rgb, np.uint8).reshape(60, 60, 3)
    for y, x in ((10, 12), (30, 30), (44, 20)):
        r, g, b = rgb[y, x]
        # One ink at a time, as all other areas of the file are converted.
        wanted = profile.cmyk(Colour.from_hex(f"#{r:02x}{g:02x}{b:02x}"))
        assert samples[y, x] / 2.55 == pytest.approx(wanted, abs=0.5)
    assert placed(data)[0] == pytest.approx((10, 10, 22, 22), abs=0.001)


def test_svg_holds_the_very_pixels_once_under_a_clip_path() -> None:
    one = symbol()
    turned = multiply(translation(50, 20), rotation(90))
    (data,) = svg.render(document(Use(one, translation(10, 20)), Use(one, turned)))
    text = data.decode("utf-8")
    (address,) = re.findall(r'href="data:image/png;base64,([^"]+)"', text)
    image = Image.open(BytesIO(base64.b64decode(address)))
    assert np.array_equal(np.asarray(image)[..., :3].tobytes(), PIXELS.rgb) and image.size == (60, 60)
    assert text.count("<clipPath") == 1 and 'data-ink="picture a.png"' in text
    assert pdf.render(document(Use(one, turned))) == pdf.render(document(Use(one, turned)))
