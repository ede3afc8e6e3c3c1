"""The print shop's file of a sheet: what is on which plate, by Ghostscript's separations; areas by hand."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image

from decalgen.colour.icc import shipped
from decalgen.colour.printer import PrinterColour
from decalgen.colour.value import Colour
from decalgen.core.document import Line
from decalgen.core.errors import DecalgenError
from decalgen.job.model import Job, Printer, UsedArea
from decalgen.nesting.model import QUICK
from decalgen.pages.press import press_document, press_file
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.export.structure import problems
from tests.helpers import jobs

MISS = 0.2
DPI = 600
WHITE = replace(jobs.PRINTER, name="shop", white=True, misregister=MISS, swatches=PrinterColour(opacity=0.9))


def laid(job: Job, printer: Printer = WHITE) -> Arrangement:
    return arrange([job], Plan([jobs.film(job.film, 100.0, 100.0)], printer, effort=QUICK))


def band(film: str = "clear", **more: object) -> Job:
    """Two pieces: a field of 10 x 4 mm in orange with a navy one of 4 x 2 in its middle, over navy."""
    field = jobs.element("field", ink="orange", width=10.0, height=4.0)
    inner = jobs.element("field", ink="navy", width=4.0, height=2.0)
    return jobs.job(jobs.decal("band", 12.0, 6.0, field, inner, copies=2, **more), film=film)


def made(job: Job, printer: Printer = WHITE) -> tuple[bytes, Arrangement]:
    layout = laid(job, printer)
    return press_file(layout, [job], "Harbour tug", "2026-11-25")[0], layout


def plates(data: bytes, folder: Path) -> dict[str, np.ndarray]:
    """How much of each plate is covered, 0 to 1, a picture each."""
    folder.mkdir()
    (folder / "press.pdf").write_bytes(data)
    words = ["-q", "-dBATCH", "-dNOPAUSE", "-dSAFER", "-sDEVICE=tiffsep", f"-r{DPI}", "-sOutputFile=p.tif", "press.pdf"]
    subprocess.run([shutil.which("gs") or "gs", *words], cwd=folder, check=True, capture_output=True, timeout=600)
    found = {}
    for path in folder.glob("p(*).tif"):
        with Image.open(path) as picture:
            found[path.stem[2:-1]] = 1.0 - np.asarray(picture.convert("L"), dtype=float) / 255
    return found


def inside(plate: np.ndarray, layout: Arrangement) -> float:
    """What of a plate lies on the pieces, mm²; marks are elsewhere."""
    total = 0.0
    for placed in layout.sheets[0].placed:
        x0, y0, x1, y1 = (v * DPI / 25.4 for v in placed.cut.bounds)
        total += plate[round(plate.shape[0] - y1) : round(plate.shape[0] - y0), round(x0) : round(x1)].sum()
    return total * (25.4 / DPI) ** 2


def test_the_file_keeps_the_rules_of_the_standard() -> None:
    assert problems(made(band())[0]) == []


@pytest.mark.needs("gs")
def test_the_white_plate_is_as_large_as_the_geometry(tmp_path: Path) -> None:
    """Within 0.6 of a pixel along the edge. Each white is 10 x 4 mm drawn in by 0.2 mm on every side."""
    data, layout = made(band())
    found = plates(data, tmp_path / "p")
    assert set(found) == {"Cyan", "Magenta", "Yellow", "Black", "White", "Cutting"}
    wide, high = 10 - 2 * MISS, 4 - 2 * MISS
    pixel = 25.4 / DPI
    assert inside(found["White"], layout) == pytest.approx(2 * wide * high, abs=0.6 * 2 * 2 * (wide + high) * pixel)


@pytest.mark.needs("gs")
def test_white_leaves_the_plates_of_the_artwork_as_they_are(tmp_path: Path) -> None:
    (with_white, layout), (without, _) = made(band()), made(band(underlay="none"))
    one, other = plates(with_white, tmp_path / "one"), plates(without, tmp_path / "other")
    assert set(one) - set(other) == {"White"}
    for name in ("Cyan", "Magenta", "Yellow", "Black", "Cutting"):
        assert np.array_equal(one[name], other[name]), name
    # And there is something on them: orange is magenta and yellow, navy cyan.
    assert inside(one["Magenta"], layout) > 10 and inside(one["Cyan"], layout) > 5


def test_process_colours_are_what_the_profile_says() -> None:
    data, _ = made(band())
    with pikepdf.open(BytesIO(data)) as pdf:
        text = b"\n".join(
            form.read_bytes() for form in pdf.pages[0].Resources.XObject.values() if form.Subtype == "/Form"
        )
    found = [tuple(map(float, row)) for row in re.findall(rb"(\S+) (\S+) (\S+) (\S+) k\n", text)]
    for colour in ("#e8641b", "#1d2b4a"):
        wanted = [part / 100 for part in shipped().cmyk(Colour.from_hex(colour))]
        assert any(row == pytest.approx(wanted, abs=1e-4) for row in found), colour


def test_a_printer_without_white_has_no_white_in_the_file() -> None:
    data, _ = made(band("white"), replace(WHITE, white=False))
    assert b"/White" not in data and problems(data) == []


def test_sizes_are_true_whatever_the_printer_needs() -> None:
    assert made(band())[0] == made(band(), replace(WHITE, scale_x=1.01, scale_y=0.99))[0]


def test_a_press_file_needs_a_date() -> None:
    job = band()
    with pytest.raises(DecalgenError, match="needs a title and a date"):
        press_file(laid(job), [job], "Harbour tug", None)


def boxes(data: bytes, number: int = 0) -> dict[str, list[float]]:
    """A page's boxes, mm."""
    with pikepdf.open(BytesIO(data)) as pdf:
        found = pdf.pages[number].obj
        return {key: [float(v) * 25.4 / 72 for v in found[f"/{key}"]] for key in ("MediaBox", "BleedBox", "TrimBox")}


def layer(layout: Arrangement, job: Job, name: str) -> list[Line]:
    (page,) = press_document(layout, [job], "Harbour tug", "2026-11-25").pages
    return [item for one in page.layers if one.name == name for item in one.items if isinstance(item, Line)]


def test_the_trim_holds_all_of_the_sheet_and_the_bleed_reaches_beyond_it() -> None:
    """ISO 32000-1, 14.11.2: the trim is what is left when the sheet is cut to size, the bleed is cut off."""
    job = band("white")
    data, layout = made(job)
    found = boxes(data)
    (x0, y0, x1, y1), bleed = found["TrimBox"], found["BleedBox"]
    sheet = layout.sheets[0]
    for placed in sheet.placed:
        a, b, c, d = placed.cut.bounds
        assert x0 <= a and y0 <= b and c <= x1 and d <= y1
    half = 2.0  # The film's own crosses are 4 mm overall: they are what a cutter aligns by, and stay on the sheet.
    for x, y in sheet.furniture.registration:
        assert x0 <= x - half + 1e-4 and y0 <= y - half + 1e-4 and x + half <= x1 + 1e-4 and y + half <= y1 + 1e-4
    assert sheet.placed[0].piece.artwork.bleed == 0.5
    assert bleed == pytest.approx([x0 - 0.5, y0 - 0.5, x1 + 0.5, y1 + 0.5], abs=1e-5)


def test_without_bleed_both_boxes_are_one() -> None:
    found = boxes(made(band())[0])
    assert found["TrimBox"] == found["BleedBox"]


def test_no_box_reaches_beyond_the_film() -> None:
    job = band("white")
    edge = replace(WHITE, margins=(0.2, 0.2, 0.2, 0.2))
    data, layout = made(job, edge)
    found = boxes(data)
    assert found["MediaBox"] == pytest.approx([0, 0, 100, 100], abs=1e-5)
    # The piece lies 0.2 mm from the film's corner with its bleed, which ends 0.5 mm inside the trim's.
    assert found["BleedBox"][:2] == [0, 0] and max(found["BleedBox"]) <= 100 + 1e-5
    assert problems(data) == []
    at_the_edge = [mark for mark in layer(layout, job, "Crop marks") if min(min(p) for p in mark.points) < 0]
    assert at_the_edge == []


def test_crop_marks_stand_in_line_with_the_trim_outside_the_bleed() -> None:
    job = band("white")
    data, layout = made(job, replace(WHITE, margins=(5.0, 9.0, 10.0, 2.0)))
    found = boxes(data)
    x0, y0, x1, y1 = found["TrimBox"]
    a, b, c, d = found["BleedBox"]
    marks = layer(layout, job, "Crop marks")
    # 5 mm on the left leave a short one, 10 mm below the whole 6, and what stays blank above and to the right too. A
    # mark ends a hair before the film does: 0.25 pt.
    short = a - 0.5 - 0.25 * 25.4 / 72
    assert len(marks) == 8
    lengths = []
    for mark in marks:
        (px, py), (qx, qy) = mark.points
        off = 0.5 - 1e-5
        assert max(px, qx) <= a - off or min(px, qx) >= c + off or max(py, qy) <= b - off or min(py, qy) >= d + off
        on_side = [abs(py - y) for y in (y0, y1)] if py == qy else [abs(px - x) for x in (x0, x1)]
        assert min(on_side) < 1e-4
        lengths.append(abs(px - qx) + abs(py - qy))
    assert 4.0 < short < 4.5 and sorted(lengths) == pytest.approx([short, short, 6, 6, 6, 6, 6, 6], abs=1e-4)


def test_no_crop_mark_on_film_that_is_gone() -> None:
    job = band("white")
    used = replace(jobs.film("white", 100.0, 100.0), used=(UsedArea(0.0, 0.0, 4.5, 100.0),))
    layout = arrange([job], Plan([used], replace(WHITE, margins=(4.6, 5.0, 10.0, 5.0)), effort=QUICK))
    marks = layer(layout, job, "Crop marks")
    assert marks and min(x for mark in marks for x, _ in mark.points) > 4.5
