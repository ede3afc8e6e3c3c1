"""`calibrate swatches --scan`: patches and wedges from a made scan, of which the truth is known."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from decalgen.colour.difference import delta_e
from decalgen.colour.typed import parse
from decalgen.colour.value import Colour, ColourError
from decalgen.commands import scanned_swatches as scanned
from decalgen.commands.calibrate_colour import SwatchScans, read_swatches
from decalgen.commands.scanned_swatches import ScannedSwatches, scanned_swatches
from decalgen.commands.swatch_sheets import swatch_documents
from decalgen.core.pixels.values import PictureData
from decalgen.export.pdf import write
from decalgen.job.films import load_printer
from decalgen.scan.printed.fitted import PageOnScan
from decalgen.scan.printed.marks import PageError
from tests.scan.printed.scans import Glass, Printed, scan_of_page

JOB = """\
job: tug
body: "#1d2b4a"
film: white
inks: {lifebuoy orange: "#e8641b", harbour teal: "#127077"}
panels: {door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}}
decals:
  band: {panel: door, width: 18 mm, height: 4 mm, artwork: [field: {ink: lifebuoy orange}]}
"""
FILM = "film: scrap\nkind: white\nprocess: inkjet\nwidth: 140 mm\nheight: 160 mm\n"
SIZE = (140.0, 160.0)
FLARE = 0.012
"""Light that the made scanner adds everywhere."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Swatches on yellowish paper, scanned at 200 dpi; the line of 0.20 mm and all finer ones are broken."""
    here = tmp_path_factory.mktemp("swatches")
    (here / "tug.yaml").write_text(JOB, encoding="utf-8")
    (here / "f.yaml").write_text(FILM, encoding="utf-8")
    document = swatch_documents([here / "tug.yaml"], None, str(here / "f.yaml"))[0][1]
    dots = 400
    pdf = pypdfium2.PdfDocument(write(replace(document, pages=document.pages[:1])))
    levels = np.asarray(pdf[0].render(scale=dots / 72).to_pil().convert("RGB")).copy()
    from decalgen.commands.swatch_sheets import job_inks, swatch_setting
    from decalgen.job.colours import printer_colour
    from decalgen.pages.swatches import printed_swatches
    from decalgen.sheet.film_area import printable

    printer, film = swatch_setting(None, str(here / "f.yaml"))
    inks = job_inks([here / "tug.yaml"])
    for one in printed_swatches(inks, printer_colour(printer), printer, film, printable(film, printer)):
        if one.mark is not None and one.mark.kind == "line" and one.mark.size <= 0.20:
            x, y = (round(at * dots / 25.4) for at in (one.box[0], SIZE[1] - one.box[1] - 1.5))
            levels[y - 10 : y + 10, x - 4 : x + 12] = 255
    glass = Glass((144.0, 164.0), (72.0, 82.0), -0.8, None, stretch=(1.003, 0.996), paper=(0.98, 0.95, 0.9), dpi=200.0)
    (here / "swatches.png").write_bytes(scan_of_page(Printed(levels, SIZE, 1.003, 0.998), glass, 4))
    return here


def read(folder: Path, typed: dict[str, str | float], name: str = "swatches.png") -> ScannedSwatches:
    picture = PictureData(name, (folder / name).read_bytes())
    return scanned_swatches([picture], [folder / "tug.yaml"], None, str(folder / "f.yaml"), typed)


@pytest.fixture(scope="module")
def pages(folder: Path) -> dict[int, PageOnScan]:
    """The sheet in its scan, found once."""
    document = swatch_documents([folder / "tug.yaml"], None, str(folder / "f.yaml"))[0][1]
    return scanned._pages_in([PictureData("swatches.png", (folder / "swatches.png").read_bytes())], document.pages)


@pytest.fixture
def found(folder: Path, pages: dict[int, PageOnScan], monkeypatch: pytest.MonkeyPatch) -> ScannedSwatches:
    monkeypatch.setattr(scanned, "_pages_in", lambda *_: pages)
    return read(folder, {})


def test_inks_are_read_relative_to_their_paper(found: ScannedSwatches) -> None:
    assert set(found.readings) == {"lifebuoy orange", "harbour teal", "darkest", "line", "gap"}
    # With nothing measured the scanner's own flare stays in them: black is not black.
    assert parse(str(found.readings["darkest"])).xyz[1] == pytest.approx(FLARE / (0.92 * 0.95 + FLARE), abs=0.004)
    for name, true in (("lifebuoy orange", "#e8641b"), ("harbour teal", "#127077")):
        assert delta_e(parse(str(found.readings[name])), Colour.from_hex(true)) < found.off
    assert "4 (CIEDE2000)" in found.lines[0] and "not see as the eye does" in found.lines[0]


def test_a_measured_black_takes_the_flare_out(
    folder: Path, pages: dict[int, PageOnScan], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scanned, "_pages_in", lambda *_: pages)
    found = read(folder, {"darkest": "#000000", "harbour teal": "#127077"})
    assert set(found.readings) == {"lifebuoy orange", "line", "gap"}
    assert delta_e(parse(str(found.readings["lifebuoy orange"])), Colour.from_hex("#e8641b")) < 1.5
    assert any("of 1 typed patches" in line for line in found.lines)


def test_the_finest_line_that_holds_is_the_one_over_the_broken_ones(found: ScannedSwatches) -> None:
    assert found.readings["line"] == 0.25
    # The narrowest gap that is as wide as a pixel of 25.4/200 mm.
    assert found.readings["gap"] == 0.15
    assert any("gap: 0.15 mm" in line and "thinner than a pixel" in line for line in found.lines)
    assert not any("line: 0.25 mm" in line and "pixel" in line for line in found.lines)


def test_the_printer_file_says_what_was_scanned(
    folder: Path, found: ScannedSwatches, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scanned, "scanned_swatches", lambda *_: found)
    (folder / "r.txt").write_text("line: 0.30 mm\n", encoding="utf-8")
    scans = SwatchScans((folder / "swatches.png",), str(folder / "f.yaml"))
    read_swatches(folder / "r.txt", [folder / "tug.yaml"], None, "2026-11-25", folder / "new.yaml", scans)
    text = (folder / "new.yaml").read_text(encoding="utf-8")
    assert "Read from a scan: " in text and "colours ± 4 (CIEDE2000), for a scanner is not a colorimeter" in text
    swatches = load_printer(folder / "new.yaml").swatches
    assert swatches is not None and swatches.smallest_line == 0.30 and swatches.smallest_gap == 0.15
    assert dict(swatches.patches).keys() == {"lifebuoy orange", "harbour teal"}


def test_a_scan_of_another_sheet_says_what_to_look_at(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> PageOnScan:
        raise PageError("the swatch sheet is not seen in 'swatches.png'", fix="of a page")

    monkeypatch.setattr(scanned, "find_page", none)
    with pytest.raises(PageError, match="the swatch sheet is not seen") as caught:
        read(folder, {})
    assert "job, film and printer" in (caught.value.fix or "")


def test_a_black_that_is_no_black_is_refused(
    folder: Path, pages: dict[int, PageOnScan], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scanned, "_pages_in", lambda *_: pages)
    monkeypatch.setattr(scanned, "patch_light", lambda *_: (0.8, 0.8, 0.8))
    with pytest.raises(ColourError, match="hardly darker than the paper"):
        read(folder, {})
