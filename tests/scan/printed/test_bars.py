"""The check bars of a proof read from a scan: made scans of which the truth is known, whole and spoiled."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from PIL import Image

from decalgen.core.document import Document
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData
from decalgen.export.pdf import write
from decalgen.pages.composer import Sheaf
from decalgen.proofing.fingerprint import Fingerprint
from decalgen.proofing.judge import SheetReading, judge
from decalgen.proofing.scanned_bars import ScannedBars, bar_marks, read_bars
from decalgen.proofing.standard import Asked, Standard
from decalgen.scan.printed.beside import CardScale, CardSize
from decalgen.scan.printed.spans import measure_page
from decalgen.sheet.check_bars import CheckBar, bar_lines
from tests.scan.printed.scans import Glass, Printed, scan_of_page

SIZE = (122.0, 104.0)
BARS = (CheckBar("x", 17.0, 6.0, 100.0), CheckBar("y", 8.0, 8.0, 90.0))
CARD = (85.58, 53.97)
"""Of the card that was measured with a caliper, its true size."""


def standard_of(*bars: CheckBar) -> Standard:
    asked = tuple(Asked(1, bar.axis, bar.length, "122 × 104 mm", *SIZE, at=(bar.x, bar.y)) for bar in bars)
    return Standard(Fingerprint("", "", "", "", ""), asked, 0.003, "0.3% at most")


def page_of(*bars: CheckBar) -> NDArray[np.uint8]:
    """Bars with words round them, as dots, 480 an inch."""
    sheaf = Sheaf(*SIZE)
    for bar in bars:
        sheaf.items += bar_lines(bar)
    for n in range(6):
        sheaf.text(20.0, 14.0 + 5 * n, "Measure each bar three times, lifting the caliper between")
    page = pypdfium2.PdfDocument(write(Document((sheaf.page(),), "bars")))[0]
    return np.asarray(page.render(scale=480 / 72).to_pil().convert("L"))


@dataclass(frozen=True)
class MadeProof:
    """The scan as levels, and how long its bars are on the paper."""

    levels: NDArray[np.uint8]
    x: float
    y: float


@pytest.fixture(scope="module")
def made() -> MadeProof:
    """A page 0.12 % too wide and 0.16 % too low, on a scanner that is 0.4 and -0.3 % out and whose row is not even, the
    card on its blank part."""
    page = Printed(page_of(*BARS), SIZE, 1.0012, 0.9984, 0.0008)
    glass = Glass(
        (126.0, 108.0), (63.0, 54.0), 0.8, (72.0, 73.0), 1.7, CARD, stretch=(1.004, 0.997), row=0.0008, dpi=240.0
    )
    return MadeProof(levels_in(scan_of_page(page, glass, 5)), page.length(100, 0), page.length(0, 90))


def levels_in(data: bytes) -> NDArray[np.uint8]:
    return np.asarray(Image.open(io.BytesIO(data)).convert("L"))


def file_of(levels: NDArray[np.uint8]) -> PictureData:
    out = io.BytesIO()
    Image.fromarray(levels).save(out, "PNG", dpi=(240, 240), compress_level=1)
    return PictureData("proof.png", out.getvalue())


def read(levels: NDArray[np.uint8], *bars: CheckBar, card: CardSize | None = None) -> ScannedBars:
    return read_bars(standard_of(*(bars or BARS)), 1, file_of(levels), card or CardSize.measured(CARD))


@pytest.fixture(scope="module")
def by_nominal(made: MadeProof) -> ScannedBars:
    """Read beside a card of nominal size."""
    return read(made.levels, card=CardSize())


def u_of(found: ScannedBars, length: float, way: str) -> float:
    return 2 * math.hypot(found.tool.systematic(length, way), found.tool.placing)


def test_a_card_that_was_measured_tells_more_and_the_page_may_lie_upside_down(made: MadeProof) -> None:
    found = read(made.levels[::-1, ::-1].copy())
    assert found.x[0] == pytest.approx(made.x, abs=u_of(found, 100, "x"))
    assert found.y[0] == pytest.approx(made.y, abs=u_of(found, 90, "y"))
    # A measured card tells 0.03 mm in 85.58 and in 53.97 (1/√3 of it, twice), an uneven row of 0.15 % over 105 mm what
    # it makes of 30 mm; both bars then screen to a tenth of a per cent.
    least = 2 * math.hypot(0.03 / math.sqrt(3) / 85.58, 0.0015 / math.sqrt(3) * 30 / 105)
    assert least * 100 <= 2 * found.tool.systematic(100, "x") and u_of(found, 100, "x") < 0.15
    # Not by the resolution, which is 0.4 % out.
    assert abs(found.x[0] - made.x) < 0.1 and "85.58 × 53.97 mm" in found.told


def test_both_bars_are_read_within_their_u(made: MadeProof, by_nominal: ScannedBars) -> None:
    found = by_nominal
    assert found.y[0] == pytest.approx(made.y, abs=u_of(found, 90, "y"))
    # Limits of a new ID-1 card of ±0.13 mm on its long side (ISO/IEC 7810, from memory): 0.18 % of a bar along it.
    assert u_of(found, 100, "x") > 2 * 0.13 / math.sqrt(3) / 85.6 * 100
    assert found.x[0] == pytest.approx(made.x, abs=u_of(found, 100, "x"))


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        # A bar asked with another length gives no ratio, whatever it would come to.
        (CheckBar("x", 17.0, 6.0, 90.0), "no line at the tick at 90 mm"),
        (CheckBar("x", 12.0, 6.0, 110.0), "not seen"),
    ],
)
def test_another_length_than_was_printed_gives_none(made: MadeProof, asked: CheckBar, message: str) -> None:
    with pytest.raises(DecalgenError, match=message) as caught:
        read(made.levels, asked, BARS[1])
    assert caught.value.fix


def card_away(levels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    return np.where(levels < 100, 240, levels).astype(np.uint8)


def end_covered(levels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Something lies on the right end of the horizontal bar."""
    spoiled = levels.copy()
    spoiled[-128:, -104:] = 243
    return spoiled


def askew(levels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """As a camera sees it that is not held square: one side is a fiftieth smaller."""
    high, wide = levels.shape
    image = Image.fromarray(levels)
    lean = 0.02 / wide
    return np.asarray(image.transform((wide, high), Image.Transform.PERSPECTIVE, (1, 0, 0, 0, 1, 0, -lean, 0)))


SPOILED: dict[str, tuple[Callable[[NDArray[np.uint8]], NDArray[np.uint8]], str, str]] = {
    "half a page": (lambda levels: levels[:-104], "as a whole.*: no line where the horizontal bar", "scan all of it"),
    "no card": (card_away, "no card of 85.58 × 53.97 mm is seen", "on the glass beside the page"),
    "covered": (end_covered, "no line at the tick at 100 mm of the horizontal bar", "nothing lies on it"),
    "a photo": (askew, "shows the card askew, as a photo does", "flatbed"),
    "too coarse": (lambda levels: levels[::3, ::3], "dots per inch, too few", "300 dpi or more"),
}


@pytest.mark.parametrize("name", SPOILED)
def test_what_cannot_be_read_gets_one_message_with_a_fix(made: MadeProof, name: str) -> None:
    spoil, message, fix = SPOILED[name]
    with pytest.raises(DecalgenError, match=message) as caught:
        read(spoil(made.levels).astype(np.uint8))
    assert caught.value.fix is not None and fix in caught.value.fix


def test_a_line_that_the_bar_does_not_have_is_told(by_nominal: ScannedBars) -> None:
    """The bar goes on beyond its tick: it is one of another length, whose end happens to lie there."""
    page, marks = by_nominal.page.page, bar_marks(standard_of(*BARS).bars)
    by_card = CardScale(page.scale, np.zeros(2))
    assert measure_page(page, by_card, marks).spans[0].read == pytest.approx(by_nominal.x[0], abs=0.001)
    on = page.scale.to_pixels(page.pose.on_scan(np.array([(117.0 + n / 50, 7.0) for n in range(160)])))
    coded = page.scan.coded.copy()
    for column, row in on.astype(int):
        coded[row - 1 : row + 2, column] = 60
    longer = replace(page, scan=replace(page.scan, coded=coded))
    with pytest.raises(DecalgenError, match="does not have: the horizontal bar is longer"):
        measure_page(longer, by_card, marks)


def test_a_fitted_page_is_refused_at_once_and_a_right_one_may_pass(by_nominal: ScannedBars) -> None:
    """A page of A5 fitted to margins of 5 mm comes to (148 - 10)/148 of its size: printed at 93 %, read so."""
    needed = standard_of(*BARS)
    words = []
    for share in (1.0, 0.93):
        x, y = (tuple(share * value for value in some) for some in (by_nominal.x, by_nominal.y))
        reading = SheetReading("122 × 104 mm", 1, by_nominal.tool.name, x, y)
        words.append(judge(needed, reading, by_nominal.tool).word)
    assert words == ["passed", "refused"]


def test_near_the_limit_a_scan_cannot_tell(by_nominal: ScannedBars) -> None:
    reading = SheetReading("122 × 104 mm", 1, by_nominal.tool.name, (100.29,), by_nominal.y)
    verdict = judge(standard_of(*BARS), reading, by_nominal.tool)
    assert verdict.word == "cannot tell"
    assert verdict.lines[-1] == "a scan is not fine enough to tell: measure each bar three times with the caliper"


def test_a_proof_that_does_not_say_where_its_bars_are_is_not_read(made: MadeProof) -> None:
    needed = standard_of(*BARS)
    old = replace(needed, bars=tuple(replace(bar, at=None) for bar in needed.bars))
    with pytest.raises(DecalgenError, match="earlier version") as caught:
        read_bars(old, 1, file_of(made.levels), CardSize())
    assert "decalgen proof" in (caught.value.fix or "")
