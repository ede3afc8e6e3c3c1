"""Neighbouring inks and colours of a sheet's files: no pale hairline between two inks, no colour a reader paints black.

Common practice, and measured with cairo: where two fills merely abut, an antialiased joint lets the ground through.
"""

from __future__ import annotations

import re
import subprocess
from functools import lru_cache
from io import BytesIO
from pathlib import Path as FilePath

import numpy as np
import pytest
from PIL import Image

from decalgen.core.document import Document, Fill
from decalgen.core.geometry import rectangle
from decalgen.export import render
from decalgen.nesting.model import QUICK
from decalgen.pages.film import final
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.export.documents import document
from tests.helpers import jobs

ORANGE, NAVY = (0xE8, 0x64, 0x1B), (0x1D, 0x2B, 0x4A)


@lru_cache
def layout() -> Arrangement:
    """Slanted stripes in turn: joints that lie on no row or column of dots."""
    stripes = jobs.element(
        "stripe", stripe_width=2.13, inks=("navy", "orange"), angle=17.0, fill=True, height=20.0, pitch=2.13
    )
    return arrange(
        [jobs.job(jobs.decal("band", 30.0, 20.0, stripes))],
        Plan([jobs.film("white", 100, 100)], jobs.PRINTER, effort=QUICK),
    )


def drawn(wanted: Document, folder: FilePath, dpi: int) -> np.ndarray:
    (folder / "in.pdf").write_bytes(render(wanted, ".pdf")[0])
    words = ["pdftocairo", "-png", "-singlefile", "-r", str(dpi), "in.pdf", "out"]
    subprocess.run(words, cwd=folder, check=True, capture_output=True, timeout=600)
    with Image.open(BytesIO((folder / "out.png").read_bytes())) as image:
        return np.asarray(image.convert("RGB")).astype(int)


def pale(dots: np.ndarray) -> int:
    """Dots lighter than either ink in any channel by more than rounding."""
    most = np.maximum(ORANGE, NAVY)
    return int((dots > most + 3).any(axis=2).sum())


@pytest.mark.needs("pdftocairo")
@pytest.mark.parametrize("dpi", [200, 311, 600])
def test_no_pale_line_between_two_inks(tmp_path: FilePath, dpi: int) -> None:
    (placed,) = layout().sheets[0].placed
    dots = drawn(final(layout(), "seams", "2026-11-25"), tmp_path, dpi)
    x0, y0, x1, y1 = (side / 25.4 * dpi for side in placed.cut.bounds)
    high = dots.shape[0]
    inside = dots[round(high - y1) + 2 : round(high - y0) - 2, round(x0) + 2 : round(x1) - 2]
    assert inside.shape[0] * inside.shape[1] > 5000
    assert {tuple(map(int, dot)) for dot in inside.reshape(-1, 3)} >= {ORANGE, NAVY}
    assert pale(inside) == 0


@pytest.mark.needs("pdftocairo")
def test_fills_that_merely_abut_would_show_one(tmp_path: FilePath) -> None:
    """What the test above looks for is there to be found."""
    left, right = rectangle(10, 10, 30.03, 40), rectangle(30.03, 10, 60, 40)
    dots = drawn(document(Fill(left, "#e8641b"), Fill(right, "#1d2b4a"), size=(100.0, 100.0)), tmp_path, 97)
    assert pale(dots[250:330, 60:200]) > 20


@pytest.mark.parametrize("kind", ["fill", "stroke"])
def test_svg_has_no_colour_but_srgb(kind: str) -> None:
    """Readers paint `icc-color()` and `device-cmyk()` black; the ink's name stands beside its colour instead."""
    text = render(final(layout(), "seams", "2026-11-25"), ".svg")[0].decode()
    assert "icc-color" not in text and "cmyk" not in text.lower()
    colours = set(re.findall(rf'\b{kind}="([^"]*)"', text))
    assert colours and all(re.fullmatch(r"none|#[0-9a-f]{6}", colour) for colour in colours), colours
    assert 'data-ink="orange" fill="#e8641b"' in text
