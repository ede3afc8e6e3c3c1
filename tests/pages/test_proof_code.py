"""The code on a proof: on each of its sheets, whole, plain and beside the pieces where there is room."""

from __future__ import annotations

import itertools
import random
from pathlib import Path

import pytest
from shapely.geometry import box

from decalgen.core.document import Document, Fill, Use
from decalgen.core.geometry import transform, union
from decalgen.job.loader import load_job
from decalgen.job.model import Film
from decalgen.lettering.paper import paper
from decalgen.nesting.model import QUICK
from decalgen.pages.proof import proof
from decalgen.pages.proof_bars import ProofWords
from decalgen.pages.proof_code import SIZES, STEP, _free
from decalgen.pages.proof_sheet import sheet_pages
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.helpers.jobs import PRINTER

CODE = "WDCRK"
JOB = """\
job: tug
scale: "1:43"
body: navy
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels: {door: {width: 60 mm ± 0.05, height: 40 mm ± 0.05}}
decals:
  band: {panel: door, film: white, width: WIDE mm, height: HIGH mm, copies: 4,
    artwork: [{field: {ink: lifebuoy orange}}]}
"""


def arranged(tmp_path: Path, wide: float, high: float, film: Film) -> Arrangement:
    path = tmp_path / "tug.yaml"
    path.write_text(JOB.replace("WIDE", str(wide)).replace("HIGH", str(high)), encoding="utf-8")
    return arrange([load_job(path)], Plan((film,), PRINTER, effort=QUICK))


def written(document: Document, page: int) -> list[tuple[str, Use]]:
    """The letters of the code in the order they are drawn, each with its use, where they stand together."""
    keys = {
        glyph.key: letter for size in SIZES for letter, glyph in zip(CODE, paper(CODE, size, True).glyphs, strict=True)
    }
    uses = [one for one in document.pages[page].layers[-1].items if isinstance(one, Use)]
    found = [(keys.get(one.symbol.key.rpartition("-")[0], "?"), one) for one in uses]
    text = "".join(letter for letter, _ in found)
    at = text.find(CODE)
    return found[at : at + len(CODE)] if at >= 0 else []


@pytest.mark.parametrize(
    ("wide", "high", "size", "sheets"),
    [(20, 5, (148.0, 210.0), 1), (50, 30, (80.0, 100.0), 2), (36, 12, (60.0, 60.0), 2), (58, 30, (82.0, 62.0), 4)],
)
def test_every_sheet_carries_it(
    tmp_path: Path, wide: float, high: float, size: tuple[float, float], sheets: int
) -> None:
    arrangement = arranged(tmp_path, wide, high, Film("a", "white", "inkjet", *size))
    document = proof(arrangement, [load_job(tmp_path / "tug.yaml")], "t", None, 0.003, CODE)
    assert len(arrangement.sheets) == sheets
    # A sheet without room for its bars has them on the pages after it, with the code again.
    counts = [len(sheet_pages(sheet, ProofWords(0.003, CODE))) for sheet in arrangement.sheets]
    pages = list(itertools.accumulate(counts[:-1], initial=0))
    for page, sheet in zip(pages, arrangement.sheets, strict=True):
        letters = written(document, page)
        if sheet.bars.own_page:
            after = range(page + 1, page + counts[pages.index(page)])
            assert [at for at in after if written(document, at)]
        assert "".join(letter for letter, _ in letters) == CODE
        area = union(
            [
                transform(item.region, use.matrix)
                for _, use in letters
                for item in use.symbol.items
                if isinstance(item, Fill)
            ]
        )
        assert sheet.area.buffer(1e-6).contains(box(*area.bounds))
        # Capitals of at least 2 mm, which one reads at arm's length (9 pt: 3.2 mm body).
        assert area.bounds[3] - area.bounds[1] >= 2.0


def test_it_lies_beside_pieces_and_marks_where_there_is_room(tmp_path: Path) -> None:
    arrangement = arranged(tmp_path, 20, 5, Film("a", "white", "inkjet", 148.0, 210.0))
    document = proof(arrangement, [load_job(tmp_path / "tug.yaml")], "t", None, 0.003, CODE)
    (sheet,) = arrangement.sheets
    marks = [
        transform(item.region, use.matrix)
        for _, use in written(document, 0)
        for item in use.symbol.items
        if isinstance(item, Fill)
    ]
    taken = union([*(placed.outer for placed in sheet.placed), *sheet.furniture.keep_outs])
    assert marks and not any(mark.intersects(taken) for mark in marks)


def test_without_a_code_nothing_is_written(tmp_path: Path) -> None:
    arrangement = arranged(tmp_path, 20, 5, Film("a", "white", "inkjet", 148.0, 210.0))
    assert not written(proof(arrangement, [load_job(tmp_path / "tug.yaml")], "t", None), 0)


@pytest.mark.parametrize("seed", range(6))
def test_its_place_is_the_lowest_that_is_free(seed: int) -> None:
    """Found at once as by a test of one place after the other: over straight boxes and round ones."""
    draw = random.Random(seed)
    at = [(draw.uniform(0, 60), draw.uniform(0, 40), draw.uniform(1, 25), draw.uniform(1, 9)) for _ in range(12)]
    taken = [box(x, y, x + w, y + h).buffer(n % 2 * 0.7) for n, (x, y, w, h) in enumerate(at)]
    area, wide, high = (4.2, 4.2, 60.0, 40.0), draw.uniform(3, 20), draw.uniform(2, 6)
    free = []
    y = area[1]
    while y + high <= area[3]:
        x = area[0]
        while x + wide <= area[2]:
            if not any(one.intersects(box(x, y, x + wide, y + high)) for one in taken):
                free.append((x, y))
            x += STEP
        y += STEP
    assert free
    assert _free(area, taken, wide, high) == free[0]
    assert _free(area, [box(0, 0, 99, 99)], wide, high) is None
    assert _free(area, [], 99.0, high) is None
