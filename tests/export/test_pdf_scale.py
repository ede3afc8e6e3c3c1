"""True scale of the print file, measured by programs that share no code with the one that wrote it.

pdfplumber (pdfminer) reads the numbers; pdfium gives the bounds of what it is about to draw; poppler's
pdftocairo draws, and the share of each dot that is covered is integrated across the edges. Lengths in mm; a
point is 25.4/72 mm (ISO 32000-1, 8.3.2.3).
"""

from __future__ import annotations

import subprocess
from io import BytesIO
from pathlib import Path as FilePath

import numpy as np
import pdfplumber
import pypdfium2
import pytest
from numpy.typing import NDArray
from PIL import Image
from shapely.geometry import Polygon

from decalgen.core.document import Contour, Document, Fill, Line, Page, Use
from decalgen.core.geometry import apply, circle, multiply, rectangle, rotation, rounded, translation
from decalgen.export import render
from tests.export.documents import A3, A4, NAVY, blobs, corrected, document, rings, roundel

POINT = 25.4 / 72
MICROMETRE = 0.001
SCALES = [(1.0, 1.0), (1.0031, 0.9984), (0.97, 0.96)]


def read(data: bytes) -> tuple[list[list[tuple[float, float]]], tuple[float, float]]:
    """Every outline of the first page as pdfplumber reads it, mm, y up, in its order; and the page's size,
    mm.
    """
    with pdfplumber.open(BytesIO(data)) as opened:
        page = opened.pages[0]
        height = float(page.height)
        found = [
            [(x * POINT, (height - y) * POINT) for x, y in item["pts"]]
            for item in (*page.rects, *page.curves, *page.lines)
        ]
        return found, (float(page.width) * POINT, height * POINT)


def farthest(found: list[tuple[float, float]], wanted: list[tuple[float, float]]) -> float:
    """The largest distance between corresponding points; a repeated closing point is ignored."""
    points = found[:-1] if len(found) == len(wanted) + 1 else found
    assert len(points) == len(wanted)
    return float(np.max(np.hypot(*(np.array(points) - np.array(wanted)).T)))


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("size", [A4, A3], ids=["A4", "A3"])
def test_a_100_mm_bar_is_100_mm_times_the_correction(size: tuple[float, float], scale: tuple[float, float]) -> None:
    (data,) = render(document(Fill(rectangle(50, 20, 150, 22), NAVY), size=size, scale=scale), ".pdf")
    (bar,), page = read(data)
    assert page == pytest.approx(size, abs=0.1 * MICROMETRE)
    xs, ys = zip(*bar, strict=True)
    assert max(xs) - min(xs) == pytest.approx(100 * scale[0], abs=0.1 * MICROMETRE)
    assert max(ys) - min(ys) == pytest.approx(2 * scale[1], abs=0.1 * MICROMETRE)


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("size", [A4, A3], ids=["A4", "A3"])
def test_outlines_keep_a_tenth_of_a_micrometre(size: tuple[float, float], scale: tuple[float, float]) -> None:
    polygons = blobs(120, size)
    (data,) = render(document(*(Fill(p, NAVY) for p in polygons), size=size, scale=scale), ".pdf")
    found, _ = read(data)
    wanted = [corrected(ring, size, scale) for ring in rings(polygons)]
    assert len(found) == len(wanted) == 160
    assert max(map(farthest, found, wanted)) < 0.1 * MICROMETRE


def test_curves_and_thin_lines_keep_a_tenth_of_a_micrometre() -> None:
    disc = circle((60.123456, 70.654321), 12.3)
    corner = rounded(50, 30, (2, 3, 4, 5), 80.00001, 100.00002)
    line = ((10.5, 10.25), (20.123457, 33.3), (0.00002, 1e-7))
    (data,) = render(
        document(Fill(disc, NAVY), Contour(corner, 0.13, NAVY), Line(line, 0.1, NAVY, closed=True)), ".pdf"
    )
    found, _ = read(data)
    wanted = [*rings([disc, corner.polygon]), list(line)]
    assert max(map(farthest, found, wanted)) < 0.1 * MICROMETRE


def test_a_symbol_lands_where_its_matrix_puts_it() -> None:
    symbol, matrix = roundel(), multiply(translation(123.4567, 234.5678), rotation(33.3))
    scale = (1.0031, 0.9984)
    (data,) = render(document(Use(symbol, matrix), scale=scale), ".pdf")
    found, _ = read(data)
    fills = [item.region for item in symbol.items if isinstance(item, Fill)]
    wanted = [corrected([apply(matrix, point) for point in ring], A4, scale) for ring in rings(fills)]
    nearest = [
        min((farthest(one, ring) for one in found if len(one) - len(ring) in {0, 1}), default=9) for ring in wanted
    ]
    assert max(nearest) < 0.1 * MICROMETRE


@pytest.mark.parametrize("size", [A4, A3], ids=["A4", "A3"])
def test_pdfium_is_about_to_draw_the_same_bounds(size: tuple[float, float]) -> None:
    polygons, scale = blobs(60, size, seed=64), (1.0031, 0.9984)
    (data,) = render(document(*(Fill(p, NAVY) for p in polygons), size=size, scale=scale), ".pdf")
    opened = pypdfium2.PdfDocument(data)
    found = [np.array(item.get_bounds()) * POINT for item in opened[0].get_objects()]
    opened.close()
    assert len(found) == len(polygons)
    for bounds, polygon in zip(found, polygons, strict=True):
        x0, y0, x1, y1 = polygon.bounds
        (low, high) = corrected([(x0, y0), (x1, y1)], size, scale)
        # Single precision at 1190 points: 0.02 µm.
        assert bounds == pytest.approx((*low, *high), abs=0.1 * MICROMETRE)


def boxes(page: Page, scale: tuple[float, float] = (1.0, 1.0)) -> dict[str, NDArray[np.float64]]:
    """The page boxes, mm, as pdfium reads them."""
    (data,) = render(Document((page,), "boxes", scale=scale), ".pdf")
    opened = pypdfium2.PdfDocument(data)
    sheet = opened[0]
    found = {
        name: np.array(getattr(sheet, f"get_{name}box")(fallback_ok=False)) * POINT
        for name in ("media", "crop", "bleed", "trim")
    }
    opened.close()
    return found


def test_page_boxes_are_nested_and_true() -> None:
    found = boxes(Page(*A4, (), trim=(15, 20, 195, 280), bleed=(14, 19, 196, 281)))
    for name, wanted in {
        "media": (0, 0, 210, 297),
        "crop": (0, 0, 210, 297),
        "bleed": (14, 19, 196, 281),
        "trim": (15, 20, 195, 280),
    }.items():
        assert found[name] == pytest.approx(wanted, abs=0.1 * MICROMETRE), name


def test_page_boxes_without_trim_are_the_page() -> None:
    assert {tuple(np.round(box, 4)) for box in boxes(Page(*A4, ())).values()} == {(0, 0, 210, 297)}


def test_the_paper_keeps_its_size_when_the_printer_is_corrected() -> None:
    found = boxes(Page(*A4, (), trim=(5, 20, 205, 280), bleed=(1, 19, 209, 281)), scale=(1.02, 0.98))
    assert found["media"] == pytest.approx((0, 0, 210, 297), abs=0.1 * MICROMETRE)
    assert found["trim"] == pytest.approx((3, 22.57, 207, 277.37), abs=0.1 * MICROMETRE)
    # 1.08 mm beyond the paper's edge: cut off there, since a box may not leave the media (ISO 32000-1,
    # 14.11.2.1).
    assert found["bleed"] == pytest.approx((0, 21.59, 210, 278.35), abs=0.1 * MICROMETRE)


def coverage(data: bytes, folder: FilePath, dpi: int = 300) -> NDArray[np.float64]:
    """The share of each dot that is dark, as cairo computes it: rows from the top, 0 to 1."""
    (folder / "page.pdf").write_bytes(data)
    subprocess.run(
        ["pdftocairo", "-png", "-gray", "-singlefile", "-r", str(dpi), "page.pdf", "page"],
        cwd=folder,
        check=True,
    )
    with Image.open(folder / "page.png") as image:
        return 1 - np.asarray(image.convert("L"), dtype=np.float64) / 255


@pytest.mark.needs("pdftocairo")
def test_drawn_bars_are_true_to_one_and_a_half_micrometres(tmp_path: FilePath) -> None:
    bars = [
        (10.013, 20.027, 110.037, 24.041),
        (33.333, 40.404, 37.777, 149.999),
        (150.12, 200.21, 190.34, 280.43),
        (5.55, 290.11, 205.05, 293.22),
    ]
    (data,) = render(document(*(Fill(rectangle(*bar), "#000000") for bar in bars)), ".pdf")
    dark = coverage(data, tmp_path)
    dot = 25.4 / 300
    assert dark.shape == (3508, 2481)
    for x0, y0, x1, y1 in bars:
        # Two lines of dots wholly inside the bar; along each, light to dark to light: the sums up to its
        # middle are the distances from the page's edge to the bar's two edges.
        row = dark[round((297 - (y0 + y1) / 2) / dot)]
        column = dark[:, round((x0 + x1) / 2 / dot)]
        for line, low, high in ((row, x0, x1), (column, 297 - y1, 297 - y0)):
            first, last = int(low / dot) - 2, int(high / dot) + 3
            middle = (first + last) // 2
            assert (middle - line[first:middle].sum()) * dot == pytest.approx(low, abs=1.5 * MICROMETRE)
            assert (middle + line[middle:last].sum()) * dot == pytest.approx(high, abs=1.5 * MICROMETRE)


@pytest.mark.needs("pdftocairo")
def test_drawn_slanted_shapes_have_their_area(tmp_path: FilePath) -> None:
    shapes = [
        Polygon([(20, 30), (90, 47), (55, 110)]),
        Polygon([(110, 40), (180, 60), (160, 130), (120, 120)], [[(130, 70), (140, 100), (155, 75)]]),
        Polygon([(40, 160), (60, 162), (140, 250), (120, 260)]),
    ]
    (data,) = render(document(*(Fill(shape, "#000000") for shape in shapes)), ".pdf")
    dark = coverage(data, tmp_path)
    dot = 25.4 / 300
    for shape in shapes:
        x0, y0, x1, y1 = shape.bounds
        part = dark[int((297 - y1) / dot) - 2 : int((297 - y0) / dot) + 3, int(x0 / dot) - 2 : int(x1 / dot) + 3]
        # By how much every edge would have to be moved outward to give the area measured.
        moved = (part.sum() * dot * dot - shape.area) / shape.length
        assert abs(moved) < 1.5 * MICROMETRE
