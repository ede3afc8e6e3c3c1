"""`calibrate read --scan`: the target from a made scan, of which the truth is known."""

from __future__ import annotations

import io
import math
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from decalgen.commands.calibrate_printer import CalibrationRequest, target_size
from decalgen.commands.page_scans import PageScan, card_typed, page_scan
from decalgen.commands.scan_words import ScanWordsError
from decalgen.commands.scanned_target import ScannedTarget, read_scanned_target, scanned_readings, target_marks
from decalgen.core.document import Document, Page
from decalgen.core.errors import DecalgenError, OutputError
from decalgen.core.instruments import line_instrument
from decalgen.core.pixels.values import PictureData
from decalgen.export.pdf import write
from decalgen.job.films import load_printer
from decalgen.pages.composer import Sheaf
from decalgen.printer.target import SPANS, Target
from decalgen.scan.printed.spans import read_page
from tests.scan.printed.scans import Glass, Printed, scan_of_page

FILM = "film: scrap\nkind: white\nprocess: inkjet\nwidth: 116 mm\nheight: 92 mm\n"
CARD = "85.56 mm x 54.01 mm"


def drawn(asked: Target) -> Page:
    """The lines of the target in the middle of its film: its sides and middle lines, crosses with arms of 3 mm at all
    their ends, the thick edge 5 mm under the foot. (The whole page takes two seconds to lay out; the benchmark has it.)
    """
    sheaf = Sheaf(116.0, 92.0)
    xs, ys = ([middle + n * side / 2 for n in (-1, 0, 1)] for middle, side in ((58, asked.width), (46, asked.height)))
    for n in range(3):
        sheaf.line(((xs[0], ys[n]), (xs[2], ys[n])), 0.1)
        sheaf.line(((xs[n], ys[0]), (xs[n], ys[2])), 0.1)
        for m in range(3):
            if (n, m) != (1, 1):
                sheaf.line(((xs[n] - 3, ys[m]), (xs[n] + 3, ys[m])), 0.1)
                sheaf.line(((xs[n], ys[m] - 3), (xs[n], ys[m] + 3)), 0.1)
    third = asked.width / 6
    sheaf.line(((58 - third, ys[0] - 4.6), (58 + third, ys[0] - 4.6)), 0.8)
    sheaf.text(58 - 20, ys[1] + 6, "Print at 100 %, nothing fitted or scaled.")
    return sheaf.page()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small film, and a scan of its target printed 0.4 % too wide, 0.3 % too low, leaning by 0.25 mm in 100 mm."""
    here = tmp_path_factory.mktemp("target")
    (here / "f.yaml").write_text(FILM, encoding="utf-8")
    asked = target_size(None, str(here / "f.yaml"), "caliper")[0]
    pdf = pypdfium2.PdfDocument(write(Document((drawn(asked),), "target")))
    levels = np.asarray(pdf[0].render(scale=400 / 72).to_pil().convert("L"))
    page = Printed(levels, (116.0, 92.0), 1.004, 0.997, 0.0025)
    glass = Glass(
        (122.0, 154.0),
        (60.0, 48.0),
        180.9,
        (58.0, 125.0),
        0.7,
        (85.56, 54.01),
        stretch=(0.996, 1.003),
        row=-0.001,
        dpi=240.0,
    )
    (here / "target.png").write_bytes(scan_of_page(page, glass, 3))
    return here


def wanted(folder: Path, name: str) -> CalibrationRequest:
    return CalibrationRequest(None, str(folder / "f.yaml"), "caliper", "2026-11-25", folder / name)


def scan(folder: Path) -> PageScan:
    return page_scan(folder / "target.png", CARD)


@pytest.fixture(scope="module")
def found(folder: Path) -> ScannedTarget:
    return scanned_readings(scan(folder), wanted(folder, "x.yaml"))


def test_every_span_is_read_as_a_caliper_would(folder: Path, found: ScannedTarget) -> None:
    """The target lies upside down. Its sides from the printer's own stretch and lean, worked out by Pythagoras."""
    asked = target_size(None, str(folder / "f.yaml"), "caliper")[0]
    tool = line_instrument(found.tool)
    wide, high = asked.diagonal
    true = {
        "across": 1.004 * asked.width,
        "up": math.hypot(0.0025 * asked.height, 0.997 * asked.height),
        "rising": math.hypot(1.004 * wide + 0.0025 * high, 0.997 * high),
        "falling": math.hypot(1.004 * wide - 0.0025 * high, 0.997 * high),
    }
    assert tuple(found.readings) == SPANS
    for span, (read,) in found.readings.items():
        way = span.split()[0]
        length = true[way]
        u = 2 * math.hypot(tool.systematic(length, "y" if way == "up" else "x"), tool.placing)
        assert read == pytest.approx(length, abs=u) and u < 0.004 * length, span


def test_the_profile_says_that_it_was_a_scan_and_how_sure_it_is(
    folder: Path, found: ScannedTarget, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("decalgen.commands.scanned_target.scanned_readings", lambda *_: found)
    result = read_scanned_target(scan(folder), wanted(folder, "new.yaml"))
    assert result.lines[0].startswith("read from the scan 'target.png', the size by a card of 85.56 × 54.01 mm")
    assert any(line.startswith("a, across foot: ") for line in result.lines)
    # A scan reads everything at once: that no span was read twice is no doubt of its own.
    assert not [one for one in result.findings if one.rule == "read-once"]
    history = load_printer(folder / "new.yaml").history
    assert history is not None and history.newest is not None
    kept, tool = history.newest, line_instrument(found.tool)
    assert kept.tool == found.tool and tool.by_scan
    # No surer than its card and its scanner let it be, way by way.
    asked = target_size(None, str(folder / "f.yaml"), "caliper")[0]
    assert kept.x.u >= tool.systematic(asked.width) / asked.width
    assert kept.y.u >= tool.systematic(asked.height, "y") / asked.height
    assert kept.x.value == pytest.approx(1.004, abs=2 * kept.x.u)
    assert kept.lean is not None and kept.lean.value == pytest.approx(0.0025, abs=2 * kept.lean.u)
    with pytest.raises(OutputError, match="already exists"):
        read_scanned_target(scan(folder), wanted(folder, "new.yaml"))


def test_a_target_of_another_size_is_not_taken_for_one_that_was_stretched(folder: Path) -> None:
    """Its lines are where those of a target of 0.93 of the size would be; its crosses are as large as on any."""
    asked, _, _, area = target_size(None, str(folder / "f.yaml"), "caliper")
    inner = asked.inner and (0.93 * asked.inner[0], 0.93 * asked.inner[1])
    other = Target(0.93 * asked.width, 0.93 * asked.height, inner)
    with pytest.raises(DecalgenError, match=r"not seen|is not the calibration target of this size"):
        read_page(scan(folder).picture, target_marks(other, area), scan(folder).card)


def test_a_blank_part_is_no_target(folder: Path) -> None:
    image = np.asarray(Image.open(folder / "target.png")).copy()
    image[560:] = 240
    out = io.BytesIO()
    Image.fromarray(image).save(out, "PNG", dpi=(240, 240))
    with pytest.raises(DecalgenError, match="the calibration target is not seen") as caught:
        scanned_readings(PageScan(PictureData("half.png", out.getvalue()), card_typed(CARD)), wanted(folder, "x.yaml"))
    assert caught.value.fix


@pytest.mark.parametrize(("words", "fix"), [(None, "--beside card"), ("a coin", "--beside"), ("50 x 50 mm", "longer")])
def test_what_tells_the_scale_has_to_be_said(words: str | None, fix: str) -> None:
    with pytest.raises(ScanWordsError) as caught:
        card_typed(words)
    assert fix in (caught.value.fix or "")
