"""PNG files: their size in dots, the resolution they state, and true scale of what they show."""

from __future__ import annotations

import struct
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from decalgen.core.document import Document, Fill, Layer, Page
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import rectangle
from decalgen.export import render
from decalgen.export.png import MOST_DOTS, dots
from tests.export.documents import A3, NAVY, document, everything

MICROMETRE = 0.001


def chunks(data: bytes) -> dict[bytes, bytes]:
    """The chunks of a PNG file by type (PNG 3rd edition, 5.3); of several of a type, the last."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    found, at = {}, 8
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        found[data[at + 4 : at + 8]] = data[at + 8 : at + 8 + length]
        at += 12 + length
    return found


@pytest.mark.parametrize("dpi", [72, 96, 150, 300, 600])
def test_states_its_resolution_in_dots_a_metre(dpi: int) -> None:
    (data,) = render(document(size=(50, 40)), ".png", dpi=dpi)
    x, y, unit = struct.unpack(">IIB", chunks(data)[b"pHYs"])
    assert unit == 1  # a metre (PNG 3rd edition, 11.3.4.3)
    assert x == y == round(dpi / 0.0254)


def test_300_dots_an_inch_unless_told_otherwise() -> None:
    (data,) = render(document(), ".png")
    with Image.open(BytesIO(data)) as image:
        assert image.size == (2480, 3508)
        assert image.mode == "RGB"
    assert chunks(data)[b"sRGB"] == b"\0"


@pytest.mark.parametrize("dpi", [150, 300])
@pytest.mark.parametrize("size", [(210.0, 297.0), (100.3, 77.7)], ids=["A4", "odd"])
def test_bars_are_true_to_two_micrometres(size: tuple[float, float], dpi: int) -> None:
    bars = [(10.013, 20.027, 90.037, 24.041), (33.333, 30.404, 37.777, 70.123)]
    (data,) = render(document(*(Fill(rectangle(*bar), "#000000") for bar in bars), size=size), ".png", dpi=dpi)
    with Image.open(BytesIO(data)) as image:
        dark = 1 - np.asarray(image.convert("L"), dtype=np.float64) / 255
    dot = 25.4 / dpi
    for x0, y0, x1, y1 in bars:
        row, column = dark[round((size[1] - (y0 + y1) / 2) / dot)], dark[:, round((x0 + x1) / 2 / dot)]
        for line, low, high in ((row, x0, x1), (column, size[1] - y1, size[1] - y0)):
            first, last = int(low / dot) - 2, int(high / dot) + 3
            middle = (first + last) // 2
            assert (middle - line[first:middle].sum()) * dot == pytest.approx(low, abs=2 * MICROMETRE)
            assert (middle + line[middle:last].sum()) * dot == pytest.approx(high, abs=2 * MICROMETRE)


def test_colours_are_exact_and_the_ground_reaches_the_edges() -> None:
    page = Page(20, 20, (Layer("a", (Fill(rectangle(5, 5, 15, 15), NAVY),)),), ground="#faf8f4")
    (data,) = render(Document((page,), "colours"), ".png", dpi=333)
    with Image.open(BytesIO(data)) as image:
        found = np.asarray(image)
    assert tuple(found[131, 131]) == (0x1D, 0x2B, 0x4A)
    assert {tuple(found[y, x]) for y in (0, -1) for x in (0, -1)} == {(0xFA, 0xF8, 0xF4)}


def test_too_many_dots_are_refused_with_a_dpi_that_works() -> None:
    with pytest.raises(DecalgenError, match="million dots") as caught:
        render(document(size=A3), ".png", dpi=2400)
    most = int(caught.value.fix.split()[-3])
    assert 500 < most < 2400
    width, height = dots(document(size=A3).pages[0], most)
    assert 0.99 * MOST_DOTS < width * height <= MOST_DOTS


def test_the_largest_picture_is_drawn_up_to_its_last_dot() -> None:
    # At 63.5 dpi a dot is 0.4 mm. Sizes alone are asked for: a picture so large would take 300 MB.
    assert dots(Page(4000, 4000, ()), 63.5) == (10_000, 10_000)
    with pytest.raises(DecalgenError, match="100 million dots"):
        dots(Page(4000.4, 4000, ()), 63.5)


@pytest.mark.parametrize("dpi", [0, -300, float("nan"), float("inf"), 1e9])
def test_a_resolution_that_is_none_is_refused(dpi: float) -> None:
    with pytest.raises(DecalgenError, match="dots an inch"):
        render(document(), ".png", dpi=dpi)


def test_a_picture_a_page() -> None:
    sizes = []
    for data in render(everything(), ".png", dpi=100):
        with Image.open(BytesIO(data)) as image:
            sizes.append(image.size)
    assert sizes == [(827, 1169), (583, 827)]
