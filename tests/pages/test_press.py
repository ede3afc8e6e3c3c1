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
from decalgen.core.errors import DecalgenError
from decalgen.job.model import Job, Printer
from decalgen.nesting.model import QUICK
from decalgen.pages.press import press_file
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
    subprocess.run([shutil.which("gs") or "gs", *words], cwd=folder, check=True, capture_output=True, timeout=110)
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
