"""A printer that stretches and leans, as its target was read: what it prints from the corrected file lies right.

pdfplumber (pdfminer) and pdfium read the file's coordinates; the printer is simulated by the affine map that the
readings describe, worked out here on its own. Lengths in mm.
"""

from __future__ import annotations

import math
from io import BytesIO

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from PIL import Image

from decalgen.core.document import Document, Fill, Layer, Page
from decalgen.core.geometry import rectangle
from decalgen.export import render
from decalgen.export.coordinates import about_centre
from decalgen.printer.calibration import SPANS, Target, calibrate
from tests.export.documents import A3, A4, NAVY, blobs, document, rings
from tests.export.test_pdf_scale import MICROMETRE, POINT, read

X, Y, LEAN = 0.9971, 1.0034, 0.0021
"""How the simulated printer prints: across, up, and how far an upright leans to the right a mm of height."""
TARGET = Target(140.0, 140.0, (84.0, 112.0))


def printed(points: NDArray[np.float64], size: tuple[float, float]) -> NDArray[np.float64]:
    """Where the printer puts points of a page: its map about the page's centre."""
    middle = np.array(size) / 2
    x, y = (points - middle).T
    return np.column_stack((X * x + LEAN * y, Y * y)) + middle


def correction() -> tuple[float, float, float]:
    """What reading that printer's target without error gives."""
    corners = printed(np.array([(0.0, 0.0), (84, 0), (84, 112), (0, 112)]), (84, 112))
    readings = {span: [math.dist(*printed(np.array([(0.0, 0), (140, 0)]), (0, 0)))] for span in SPANS[:3]}
    readings |= {span: [math.dist(*printed(np.array([(0.0, 0), (0, 140)]), (0, 0)))] for span in SPANS[3:6]}
    readings |= {"rising": [math.dist(corners[0], corners[2])], "falling": [math.dist(corners[3], corners[1])]}
    return calibrate(readings, TARGET).correction


@pytest.mark.parametrize("size", [A4, A3], ids=["A4", "A3"])
def test_what_a_leaning_printer_prints_is_true_to_a_micrometre(size: tuple[float, float]) -> None:
    polygons = blobs(120, size)
    x, y, lean = correction()
    (data,) = render(document(*(Fill(p, NAVY) for p in polygons), size=size, scale=(x, y), lean=lean), ".pdf")
    found, paper = read(data)
    assert paper == pytest.approx(size, abs=0.1 * MICROMETRE)
    wanted = rings(polygons)
    assert len(found) == len(wanted) == 160
    worst = 0.0
    for drawn, true in zip(found, wanted, strict=True):
        here = printed(np.array(drawn), size)[: len(true)]
        worst = max(worst, float(np.abs(here - np.array(true)).max()))
    assert worst < MICROMETRE
    # Without the correction it would be far off: the check can fail.
    plain, _ = read(render(document(Fill(polygons[0], NAVY), size=size), ".pdf")[0])
    assert np.abs(printed(np.array(plain[0]), size)[: len(wanted[0])] - np.array(wanted[0])).max() > 0.05


def test_pdfium_sees_the_corners_of_the_page_where_the_correction_puts_them() -> None:
    x, y, lean = correction()
    spots = [(5.0, 5.0), (285.0, 5.0), (5.0, 410.0), (285.0, 410.0)]
    fills = (Fill(rectangle(px, py, px + 1e-2, py + 1e-2), NAVY) for px, py in spots)
    (data,) = render(document(*fills, size=A3, scale=(x, y), lean=lean), ".pdf")
    opened = pypdfium2.PdfDocument(data)
    bounds = [np.array(item.get_bounds()) * POINT for item in opened[0].get_objects()]
    opened.close()
    for box, (px, py) in zip(bounds, spots, strict=True):
        middle = np.array([[(box[0] + box[2]) / 2, (box[1] + box[3]) / 2]])
        assert printed(middle, A3)[0] == pytest.approx((px + 5e-3, py + 5e-3), abs=MICROMETRE)


def test_a_picture_of_dots_leans_too() -> None:
    """The left edge of a tall bar moves by the lean times its height, to half a dot."""
    page = Page(100.0, 200.0, (Layer("Bar", (Fill(rectangle(40, 10, 60, 190), NAVY),), "artwork"),))
    (data,) = render(Document((page,), "bar", lean=0.02), ".png", dpi=254)
    dark = np.array(Image.open(BytesIO(data)).convert("L")) < 128
    foot, head = (int(np.flatnonzero(dark[row])[0]) for row in (2000 - 150, 150))
    assert head - foot == pytest.approx(0.02 * 170 * 10, abs=1)


def test_a_page_may_have_a_correction_of_its_own() -> None:
    bar = (Layer("Bar", (Fill(rectangle(50, 20, 150, 22), NAVY),), "artwork"),)
    pages = (Page(*A4, bar), Page(*A4, bar, correction=(0.99, 1.0, 0.0)))
    (data,) = render(Document(pages, "two films", scale=(1.01, 1.0)), ".pdf")
    opened = pypdfium2.PdfDocument(data)
    wide = []
    for sheet in opened:
        left, _, right, _ = next(iter(sheet.get_objects())).get_bounds()
        wide.append((right - left) * POINT)
    opened.close()
    assert wide == pytest.approx([101.0, 99.0], abs=MICROMETRE)


def test_the_boxes_of_a_leaning_page_hold_what_they_held() -> None:
    x, y, lean = correction()
    page = Page(*A4, (), trim=(20, 20, 190, 277))
    (data,) = render(Document((page,), "boxes", scale=(x, y), lean=lean), ".pdf")
    opened = pypdfium2.PdfDocument(data)
    found = np.array(opened[0].get_trimbox()) * POINT
    opened.close()
    a, _, c, d, e, f = about_centre(*A4, (x, y), lean)
    corners = [(a * px + c * py + e, d * py + f) for px in (20, 190) for py in (20, 277)]
    assert found[0] == pytest.approx(min(px for px, _ in corners), abs=MICROMETRE)
    assert found[2] == pytest.approx(max(px for px, _ in corners), abs=MICROMETRE)
