"""A print shop's sheet and a home print drawn by two programs that share no code, poppler with cairo and pdfium: the
same colours at sampled points, with white under the artwork and without.

Neither goes by the output profile; each turns CMYK into RGB its own way (measured: up to 19 of 255 levels apart for a
saturated orange). So a press file is held against a plain patch of the same inks, made here with pikepdf and drawn by
the same program; the home print is sRGB and is held against its colours as they are.
"""

from __future__ import annotations

import subprocess
from dataclasses import replace
from functools import lru_cache
from io import BytesIO
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from PIL import Image

from decalgen.colour.icc import shipped
from decalgen.colour.printer import PrinterColour
from decalgen.colour.value import Colour
from decalgen.export import render
from decalgen.job.model import Job
from decalgen.nesting.model import QUICK
from decalgen.pages.film import final
from decalgen.pages.press import press_file
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.helpers import jobs

DPI = 150
OWN = 20
"""Of 255: how far the programs' own conversions from CMYK lie apart for the inks here (measured: 19)."""
SHOP = replace(jobs.PRINTER, name="shop", white=True, misregister=0.2, swatches=PrinterColour(opacity=0.9))


def job(underlay: str) -> Job:
    """12 x 6 mm on clear film: an orange field of 10 x 4 with navy of 4 x 2 in its middle."""
    outer = jobs.element("field", ink="orange", width=10.0, height=4.0)
    inner = jobs.element("field", ink="navy", width=4.0, height=2.0)
    decal = jobs.decal("band", 12.0, 6.0, outer, inner, copies=3, underlay=underlay)
    return jobs.job(decal, film="clear")


COLOURS = {"orange": "#e8641b", "navy": "#1d2b4a", "film": "#ffffff"}


def levels(colour: str) -> np.ndarray:
    return np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)])


@lru_cache
def files(underlay: str) -> tuple[bytes, bytes, Arrangement]:
    work = job(underlay)
    layout = arrange([work], Plan([jobs.film("clear", 100.0, 100.0)], SHOP, effort=QUICK))
    press, _ = press_file(layout, [work], "Harbour tug", "2026-11-25")
    (home,) = render(final(layout, "Harbour tug", "2026-11-25"), ".pdf")
    return press, home, layout


def by_cairo(data: bytes, folder: Path) -> np.ndarray:
    (folder / "in.pdf").write_bytes(data)
    words = ["pdftocairo", "-png", "-singlefile", "-r", str(DPI), "in.pdf", "out"]
    subprocess.run(words, cwd=folder, check=True, capture_output=True, timeout=600)
    with Image.open(BytesIO((folder / "out.png").read_bytes())) as image:
        return np.asarray(image.convert("RGB")).astype(int)


def by_pdfium(data: bytes) -> np.ndarray:
    opened = pypdfium2.PdfDocument(data)
    image = opened[0].render(scale=DPI / 72).to_pil().convert("RGB")
    opened.close()
    return np.asarray(image).astype(int)


def points(layout: Arrangement) -> dict[str, list[tuple[float, float]]]:
    """On the film, mm, in the middle of each colour of each piece."""
    inside = {"orange": [(2.0, 3.0), (10.0, 3.0), (6.0, 1.5), (6.0, 4.5)], "navy": [(5.0, 3.0), (7.0, 3.0), (6.0, 2.4)]}
    found: dict[str, list[tuple[float, float]]] = {"film": [(50.0, 94.8)]}
    for placed in layout.sheets[0].placed:
        a, b, c, d, e, f = placed.matrix
        for name, some in inside.items():
            found.setdefault(name, []).extend((a * x + c * y + e, b * x + d * y + f) for x, y in some)
    return found


def at(picture: np.ndarray, x: float, y: float) -> np.ndarray:
    return picture[int((100.0 - y) / 25.4 * DPI), int(x / 25.4 * DPI)]


def patch(colour: str) -> bytes:
    """A page of nothing but one colour, in the inks the profile gives for it."""
    parts = " ".join(f"{part / 100:.5f}" for part in shipped().cmyk(Colour.from_hex(colour)))
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=(72, 72))
    pdf.pages[0].Contents = pdf.make_stream(f"{parts} k 0 0 72 72 re f".encode())
    made = BytesIO()
    pdf.save(made)
    return made.getvalue()


@pytest.mark.needs("pdftocairo")
@pytest.mark.parametrize("underlay", ["all", "none"])
def test_press_files_look_alike(underlay: str, tmp_path: Path) -> None:
    press, _, layout = files(underlay)
    pictures = {draw: draw(press) for draw in (lambda data: by_cairo(data, tmp_path), by_pdfium)}
    seen: dict[str, list[np.ndarray]] = {}
    for draw, picture in pictures.items():
        for name, some in points(layout).items():
            plain = draw(patch(COLOURS[name]))[75, 75] if name != "film" else np.array([255, 255, 255])
            seen.setdefault(name, []).append(plain)
            for point in some:
                assert np.abs(at(picture, *point) - plain).max() <= 1, (name, point)
    for one, other in seen.values():
        assert np.abs(one - other).max() <= OWN


@pytest.mark.needs("pdftocairo")
def test_white_under_the_artwork_changes_no_colour_on_a_screen(tmp_path: Path) -> None:
    """It lies below and the artwork over it is opaque there; a knock-out or a mixture would be seen."""
    (white, _, layout), (bare, _, same) = files("all"), files("none")
    assert [p.matrix for p in layout.sheets[0].placed] == [p.matrix for p in same.sheets[0].placed]
    for draw in (lambda data: by_cairo(data, tmp_path), by_pdfium):
        one, other = draw(white), draw(bare)
        for some in points(layout).values():
            for point in some:
                assert np.array_equal(at(one, *point), at(other, *point))


@pytest.mark.needs("pdftocairo")
def test_home_prints_are_the_same_colour_in_both(tmp_path: Path) -> None:
    _, home, layout = files("none")
    one, other = by_cairo(home, tmp_path), by_pdfium(home)
    for name, some in points(layout).items():
        for point in some:
            for picture in (one, other):
                assert np.abs(at(picture, *point) - levels(COLOURS[name])).max() <= 1, name
