"""What is found about fades, and how they print: drawn by another program at 600 dpi and measured on the film."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from decalgen.artwork.build import build
from decalgen.colour.printer import PrinterColour
from decalgen.core.errors import Finding
from decalgen.export import render
from decalgen.job.model import Job, Printer
from decalgen.nesting.model import QUICK
from decalgen.pages.film import final
from decalgen.sheet.arrange import Sheet, arrange
from decalgen.sheet.plan import Plan
from tests.helpers.checks import check_jobs
from tests.helpers.jobs import PRINTER, decal, element, film, job, panel

DPI = 600
WHITE = replace(PRINTER, name="white", white=True, misregister=0.2, swatches=PrinterColour(opacity=0.9))


def faded(kind: str = "white", underlay: str = "none", **keys: object) -> Job:
    """A decal of 40 x 10 mm with one fade in navy."""
    one = decal("dusk", 40.0, 10.0, element("fade", ink="navy", **keys), underlay=underlay)
    return jobs_of(one, kind)


def jobs_of(one: object, kind: str) -> Job:
    return job(one, film=kind, panels=(panel(width=80.0, height=60.0),))  # type: ignore[arg-type]


def found_in(work: Job, printer: Printer = PRINTER) -> dict[str, Finding]:
    return {one.code: one for one in check_jobs([work], printer)}


def test_what_its_ends_lose_is_noted_with_the_pitch_that_shows_more() -> None:
    found = found_in(faded(pitch=0.8))["fade-ends"]
    assert found.severity == "note"
    assert found.message == (
        "under 19 % it is bare and over 75 % it is solid: at a pitch of 0.80 mm lines of 0.15 mm and gaps of 0.20 mm "
        "show 19 to 75 %"
    )
    assert found.fix == "`pitch: 1.00 mm` shows 15 to 80 %"
    assert "fade-ends" not in found_in(faded(tones=(80.0, 15.0)))
    assert "over" not in found_in(faded(tones=(70.0, 0.0)))["fade-ends"].message


def test_marks_too_fine_for_the_printer_name_what_it_holds() -> None:
    fine = {"smallest_line": 0.08, "smallest_gap": 0.12, "pitch": 0.3}
    found = found_in(faded(**fine))["fade-too-fine"]
    assert (found.severity, found.measured, found.limit) == ("warning", 0.08, 0.15)
    assert "a line of 0.15 mm and a gap of 0.20 mm is what 600 dpi holds" in found.message
    written = "`smallest line: 0.15 mm, smallest gap: 0.20 mm, pitch: 1.00 mm`"
    assert found.fix == f"write {written}, which shows 15 to 80 %"
    mended = found_in(faded(smallest_line=0.15, smallest_gap=0.2, pitch=1.0))
    assert not set(mended) & {"fade-too-fine", "thin-line", "thin-gap"}
    assert "fade-too-fine" not in found_in(faded(**fine), replace(PRINTER, dpi=2400))


def test_a_printer_s_own_swatches_count() -> None:
    own = replace(PRINTER, swatches=PrinterColour(smallest_line=0.22))
    found = found_in(faded(pitch=1.2), own)["fade-too-fine"]
    assert "held on the swatch sheet" in found.message
    assert found.fix == "write `smallest line: 0.22 mm, smallest gap: 0.20 mm`, which shows 18 to 83 %"


@pytest.mark.parametrize("marks", ["lines", "dots"])
@pytest.mark.parametrize("ground", [None, "orange"])
@pytest.mark.parametrize("angle", [0.0, 30.0, 90.0])
def test_no_fade_as_it_comes_is_too_thin_anywhere(marks: str, ground: str | None, angle: float) -> None:
    codes = set(found_in(faded(marks=marks, ground=ground, angle=angle)))
    assert not codes & {"thin-line", "thin-gap", "thin-reversed", "fade-too-fine", "bleed-short"}


def test_white_under_it_is_lost_where_marks_are_narrower_than_twice_the_choke() -> None:
    """Lines of a pitch of 1 mm are 0.15 to 0.8 mm wide: with a choke of 0.2 mm those under 0.4 mm have no white."""
    told = found_in(faded("clear", "all"), WHITE)
    assert told["white-dropped"].severity == "warning"
    assert "white-dropped" not in found_in(faded("clear", "all", pitch=4.0, tones=(80.0, 20.0)), WHITE)


# -------------------------------------------------------------------------------------------------------- as printed
def printed(work: Job, folder: Path, printer: Printer) -> tuple[NDArray[np.float64], Sheet]:
    """The darkness of each dot of the film at 600 dpi, 0 or 1 as a printer lays it down, and the sheet."""
    kind = work.film
    layout = arrange([work], Plan([film(kind, 100.0, 100.0)], printer, effort=QUICK))
    (folder / "in.pdf").write_bytes(render(final(layout, "dusk", "2026-11-25"), ".pdf")[0])
    words = ["pdftocairo", "-png", "-gray", "-singlefile", "-r", str(DPI), "in.pdf", "out"]
    subprocess.run(words, cwd=folder, check=True, capture_output=True, timeout=600)
    with Image.open(BytesIO((folder / "out.png").read_bytes())) as image:
        grey = np.asarray(image.convert("L"), dtype=np.float64)
    # Navy is 42 of 255: a dot is laid down where more than half of it is covered.
    return (grey < (255 + 42) / 2).astype(float), layout.sheets[0]


def tones_on(dots: NDArray[np.float64], sheet: Sheet, wide: float) -> NDArray[np.float64]:
    """What is covered of each strip of the decal, from its left, as it lies on the film."""
    (placed,) = sheet.placed
    a, b, c, d, e, f = placed.matrix
    step = 0.02
    x, y = np.meshgrid(np.arange(step / 2, 40, step), np.arange(step / 2, 10, step), indexing="ij")
    across, up = a * x + c * y + e, b * x + d * y + f
    seen = dots[((sheet.film.height - up) / 25.4 * DPI).astype(int), (across / 25.4 * DPI).astype(int)]
    return seen.reshape(round(40 / wide), -1).mean(axis=1)


@pytest.mark.needs("pdftocairo")
@pytest.mark.parametrize("marks", ["lines", "dots"])
@pytest.mark.parametrize("kind", ["white", "clear"])
def test_the_printed_tone_follows_the_course_from_80_to_15_per_cent(tmp_path: Path, kind: str, marks: str) -> None:
    """At a pitch of 1 mm and 600 dpi. A line's edge is off by half a dot of 0.042 mm at most, and on average by far
    less: the tone of each strip of 2 mm is right to 0.8 %, of dots to 1.2 % where they turn into holes."""
    work = faded(kind, tones=(80.0, 15.0), marks=marks, angle=0.0)
    dots, sheet = printed(work, tmp_path, PRINTER)
    wanted = np.interp(np.arange(1, 40, 2), [0, 40], [0.8, 0.15])
    off = tones_on(dots, sheet, 2.0) - wanted
    assert np.abs(off).max() < (0.008 if marks == "lines" else 0.012)
    assert abs(off.mean()) < 0.002
    assert build(work, work.decals[0]).film == kind


@pytest.mark.needs("pdftocairo")
def test_every_line_and_gap_is_there_at_600_dpi(tmp_path: Path) -> None:
    """Square across the lines at either end: ten lines, of 0.15 mm and 0.8 mm, with their gaps."""
    dots, sheet = printed(faded(tones=(80.0, 15.0)), tmp_path, PRINTER)
    (placed,) = sheet.placed
    a, b, c, d, e, f = placed.matrix
    y = np.arange(0.005, 10, 0.01)
    for x, tone in ((0.3, 0.795), (39.7, 0.155)):
        column = (sheet.film.height - (b * x + d * y + f)) / 25.4 * DPI, (a * x + c * y + e) / 25.4 * DPI
        seen = dots[column[0].astype(int), column[1].astype(int)]
        edges = np.flatnonzero(np.diff(seen))
        assert len(edges) == 20
        lines = (edges[1::2] - edges[::2]) * 0.01
        assert lines == pytest.approx([tone] * 10, abs=25.4 / DPI + 0.01)
