"""What holds for every sheet of a proof: how pale its ink is, that no number stands on a piece, that bars, boxes and
limits stand together, that each page has the correction of its own printer."""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Sequence
from dataclasses import replace

import pdfplumber
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from decalgen.core.document import Document, Fill, Line, Page
from decalgen.core.lengths.units import POINT_MM
from decalgen.export import render
from decalgen.job.model import Film
from decalgen.pages.film import final
from decalgen.pages.proof import proof
from decalgen.pages.proof_bars import ProofWords
from decalgen.pages.proof_sheet import sheet_pages
from decalgen.sheet.arrange import Arrangement, Sheet, arrange
from decalgen.sheet.check_bars import bar_lines
from decalgen.sheet.plan import Plan
from tests.helpers import jobs
from tests.helpers.mixed_jobs import mixed
from tests.helpers.page_words import Words, words_of

BOX = (18.0, 8.0)
"""The least box that a reading is written into with a pencil, mm (common practice, no source)."""


def arranged(*films: Film, size: tuple[float, float] = (30.0, 8.0), copies: int = 2) -> Arrangement:
    field = jobs.element("field", ink="orange")
    bands = [
        replace(jobs.decal(f"band {film.kind}", *size, field, copies=copies, hands="both"), film=film.kind)
        for film in films
    ]
    return arrange([jobs.job(*bands)], Plan(films, jobs.PRINTER, effort=jobs.ONE_ORDER))


def sheet_of(film: Film, **more: object) -> Sheet:
    return arranged(film, **more).sheets[0]  # type: ignore[arg-type]


def pages_of(sheet: Sheet, **told: object) -> list[Page]:
    return sheet_pages(sheet, ProofWords(**told))  # type: ignore[arg-type]


def words(pages: Sequence[Page]) -> list[Words]:
    return words_of(Document(tuple(pages), title="t"))


def plain(text: str) -> str:
    """Without spaces and ligatures."""
    return unicodedata.normalize("NFKC", text).replace(" ", "")


def boxes_on(page: Page) -> list[Polygon]:
    """What a reading is written into."""
    rings = [
        Polygon(item.points)
        for item in page.layers[-1].items
        if isinstance(item, Line) and item.closed and not item.dash
    ]
    return [one for one in rings if one.bounds[2] - one.bounds[0] < 2 * BOX[0]]


def test_ink_is_lightened_by_45_percent_and_white_stays() -> None:
    case = mixed(3, "A5", share=0.1)
    (sheet,) = arrange(case.jobs, case.plan(jobs.ONE_ORDER)).sheets
    (tint,) = [layer for layer in pages_of(sheet)[0].layers if layer.name == "Tint"]
    seen = set()
    for placed in sheet.placed:
        for inked in placed.piece.artwork.shown:
            colour = placed.piece.artwork.colour(inked.ink)
            full = [int(colour[n : n + 2], 16) for n in (1, 3, 5)]
            pale = "#" + "".join(f"{round(0.55 * part + 0.45 * 255):02x}" for part in full)
            seen.add(colour)
            assert any(isinstance(one, Fill) and one.colour == pale for one in tint.items), (colour, pale)
    assert len(seen) >= 2 and len(tint.items) == sum(len(one.piece.artwork.shown) for one in sheet.placed)


@pytest.mark.parametrize("seed", [3, 7])
def test_no_number_and_no_word_stands_on_a_piece(seed: int) -> None:
    """So that the artwork can be checked: numbers of the film, words of the proof, its code, a number of its own."""
    case = mixed(seed, "A5", share=0.3)
    for sheet in arrange(case.jobs, case.plan(jobs.ONE_ORDER)).sheets:
        page = pages_of(sheet, share=0.003, code="WDCRK")[0]
        (marks,) = [layer for layer in page.layers if layer.purpose == "marks"]
        labels = [one for one in marks.items if isinstance(one, Fill)]
        assert len(labels) >= len(sheet.placed) - len(sheet.bare)
        written = [*(one.region for one in labels), *(one.box for one in words([page]))]
        outers = shapely.union_all([one.outer for one in sheet.placed])
        assert not [one.bounds for one in written if one.intersects(outers)]


# ------------------------------------------------------------------------------------------------- bars and their boxes
@pytest.mark.parametrize(
    ("size", "share", "limits"),
    [
        # 0.15 % of 100 mm and 0.3 % of 80 mm are 0.15 and 0.24 mm.
        ((148.0, 210.0), 0.0015, ("99.85to100.15", "99.85to100.15")),
        ((210.0, 297.0), 0.0015, ("99.85to100.15", "99.85to100.15")),
        ((105.0, 148.0), 0.003, ("79.76to80.24", "99.70to100.30")),
    ],
)
def test_three_boxes_stand_beside_the_name_of_each_bar_with_the_limits_of_its_length(
    size: tuple[float, float], share: float, limits: tuple[str, str]
) -> None:
    sheet = sheet_of(jobs.film("white", *size), size=(10.0, 5.0), copies=1)
    page = pages_of(sheet, share=share, code="WDCRK")[0]
    assert not sheet.bars.own_page and len(sheet.bars.bars) == 2
    boxes, found = boxes_on(page), words([page])
    assert len(boxes) == 6
    for one in boxes:
        x0, y0, x1, y1 = one.bounds
        assert x1 - x0 >= BOX[0] - 1e-6 and y1 - y0 >= BOX[1] - 1e-6
        assert box(*sheet.bars.room).contains(one) and not any(one.intersects(word.box) for word in found)
    level = next(bar for bar in sheet.bars.bars if bar.axis == "x")
    low = LineString([(level.x, level.y), (level.x + level.length, level.y)])
    assert all(one.distance(low) < 35.0 for one in boxes), "beside the bars, however much film stays blank"
    for bar, name, limit in zip(sheet.bars.bars, ("horizontalbar", "verticalbar"), limits, strict=True):
        assert bar.length == round(sum(map(float, limit.split("to"))) / 2, 3)
        (head,) = [word for word in found if plain(word.text) == name]
        (said,) = [word for word in found if plain(word.text) == f"mean{limit}passes" and _near(word, head)]
        beside = [one for one in boxes if abs(one.centroid.y - (head.box.union(said.box)).envelope.centroid.y) < 2.0]
        under = [one for one in boxes if 0.0 < said.box.bounds[1] - one.bounds[3] < 3.0]
        assert len(beside or under) == 3, name


def _near(one: Words, other: Words) -> bool:
    return one.box.distance(other.box) < 3.0


def test_a_bar_that_no_caliper_proves_so_finely_says_so() -> None:
    """Three readings have u = 0.0264 mm (JCGM 100, as in `test_marks`). Of 20 mm 0.1 % is 0.02 mm, and 1.3 × 0.02 less
    1.645 u is negative; 1 % is 0.2 mm, all of it allowed. Of 100 mm 0.1 % leaves 1.3 × 0.1 - 1.645 u = 0.087 mm."""
    sheet = sheet_of(jobs.film("white", 148.0, 38.0), size=(10.0, 5.0), copies=1)
    assert sheet.bars.own_page and [bar.length for bar in sheet.bars.bars] == [100.0, 20.0]
    fine = plain("".join(word.text for word in words(pages_of(sheet, share=0.001))))
    assert fine.count("tooshortforacaliper") == 1 and "mean99.92to100.08passes" in fine
    coarse = plain("".join(word.text for word in words(pages_of(sheet, share=0.01))))
    assert "tooshort" not in coarse and "mean19.80to20.20passes" in coarse


def test_all_that_is_on_the_proof_only_is_inside_a_dashed_line_off_what_is_printed() -> None:
    sheet = sheet_of(jobs.film())
    (page,) = pages_of(sheet, share=0.003, code="WDCRK")
    (ring,) = [item for item in page.layers[-1].items if isinstance(item, Line) and item.closed and item.dash]
    inside = Polygon(ring.points)
    assert sheet.rest is not None and box(*sheet.rest).contains(inside)
    assert all(inside.contains(word.box) for word in words([page]))
    bars = [LineString(item.points) for item in page.layers[-1].items if isinstance(item, Line) and not item.closed]
    assert len(bars) > 20 and all(inside.contains(one) for one in bars)


def test_signs_are_explained_as_the_film_has_them() -> None:
    """A 6 with its line under it, and a triangle whose tip is at the left, as before the number of a left hand."""
    sheet = sheet_of(jobs.film())
    (page,) = pages_of(sheet)
    found = words([page])
    fills = [item.region for item in page.layers[-1].items if isinstance(item, Fill)]
    (six,) = [word for word in found if word.text == "6"]
    x0, y0, x1, _ = six.box.bounds
    under = [one.bounds for one in fills if one.bounds[3] < y0 and y0 - one.bounds[3] < 0.6 and one.bounds[0] < x1]
    assert len(under) == 1 and under[0][0] < x0 + 0.2 and under[0][2] > x1 - 0.2
    (nose,) = [one.geoms[0] for one in fills if len(one.geoms[0].exterior.coords) == 4]
    tips = [y for x, y in nose.exterior.coords[:-1] if x < nose.bounds[0] + 1e-9]
    assert len(tips) == 1 and tips[0] == pytest.approx((nose.bounds[1] + nose.bounds[3]) / 2)
    first = sheet.placed[0].piece.label
    assert not [one for one in fills if _right_under(one, next(word for word in found if word.text == first))]


def _right_under(area: shapely.MultiPolygon, word: Words) -> bool:
    x0, y0, x1, _ = word.box.bounds
    return 0.0 < y0 - area.bounds[3] < 0.6 and area.bounds[0] < x1 and area.bounds[2] > x0


def test_each_bar_says_its_own_length() -> None:
    sheet = sheet_of(jobs.film("white", 105.0, 148.0), size=(10.0, 5.0), copies=1)
    found = [plain(word.text) for word in words(pages_of(sheet)[:1])]
    assert [bar.length for bar in sheet.bars.bars] == [80.0, 100.0]
    assert found.count("horizontalbar80.00mm") == 1
    upright = [one for one in found if "bar" in one and one.startswith("vertical")]
    assert "verticalbar100.00mm" in upright


def test_a_bar_is_told_from_its_tens_by_longer_ends() -> None:
    """A caliper is set to the two long ticks, and not to one at ten millimetres."""
    sheet = sheet_of(jobs.film())
    for bar in sheet.bars.bars:
        across = [
            LineString(line.points)
            for line in bar_lines(bar)
            if abs(line.points[0][bar.axis == "y"] - line.points[1][bar.axis == "y"]) < 1e-9
        ]
        ticks = sorted((one for one in across if one.length < 10.0), key=lambda one: one.bounds[bar.axis == "y"])
        assert len(ticks) == bar.length / 10 + 1
        assert min(ticks[0].length, ticks[-1].length) > 1.5 * max(one.length for one in ticks[1:-1])
        assert ticks[0].distance(ticks[-1]) == pytest.approx(bar.length)


def test_what_stays_blank_is_said_width_first() -> None:
    sheet = sheet_of(jobs.film("white", 210.0, 148.0))
    assert sheet.rest is not None
    wide, high = sheet.rest[2] - sheet.rest[0], sheet.rest[3] - sheet.rest[1]
    text = plain("".join(word.text for word in words(pages_of(sheet))))
    assert f"{wide:.0f}×{high:.0f}mminonepiece" in text and round(wide) != round(high)


def test_a_low_wide_room_has_its_words_in_two_columns_on_the_sheet() -> None:
    """A strip of A4 that is too low for one column of words, and wide enough for two."""
    sheet = sheet_of(jobs.film("white", 210.0, 120.0), size=(10.0, 5.0), copies=1)
    pages = pages_of(sheet, share=0.003, code="WDCRK", jobs={"A": "Small tug", "C": "Long van"})
    assert not sheet.bars.own_page and len(pages) == 1
    lefts = {round(word.box.bounds[0]) for word in words(pages) if plain(word.text).startswith(("Proof", "Reada"))}
    assert len(lefts) == 2


@pytest.mark.parametrize("size", [(148.0, 38.0), (148.0, 22.0), (60.0, 60.0), (100.0, 80.0)])
def test_however_small_the_film_no_word_of_its_proof_is_lost(size: tuple[float, float]) -> None:
    """The bars have the page of the sheet's own size, or they would not prove it; words have one of paper."""
    sheet = sheet_of(jobs.film("white", *size), size=(10.0, 5.0), copies=1)
    pages = pages_of(sheet, share=0.003, code="WDCRK")
    assert [(page.width, page.height) for page in pages[:2]] == [size, size] and sheet.bars.own_page
    assert len(pages) == 3 and pages[2].width >= 105.0 and pages[2].height >= 148.0
    text = plain("".join(word.text for word in words(pages)))
    for part in ("Proofofsheet1of1", "Printat100%", "istypedwiththereadings", "Staysblank", "Readanumber", "nota9"):
        assert text.count(part) == 1, part
    assert sum(len(boxes_on(page)) for page in pages) == 3 * len(sheet.bars.bars)


# ------------------------------------------------------------------------------------------- film that is gone
def outlines_on(sheet: Sheet) -> list[LineString]:
    """The lines round film that is gone."""
    page = pages_of(sheet)[0]
    (layer,) = [one for one in page.layers if one.name == "Lines"]
    cuts = shapely.union_all([one.cut for one in sheet.placed])
    rings = [LineString([*i.points, i.points[0]]) for i in layer.items if isinstance(i, Line) and i.closed]
    return [one for one in rings if not cuts.buffer(0.1).contains(one)]


@pytest.mark.parametrize("apart", [0.0, 0.005, 0.015])
def test_no_bridge_runs_through_a_hole_however_its_parts_were_kept(apart: float) -> None:
    """A ring in four parts round a hole, rounded to a hundredth of a millimetre as files keep them."""
    ring = box(10.0, 90.0, 80.0, 160.0).difference(box(25.0, 105.0, 65.0, 145.0))
    quarters = [
        ring.intersection(box(x0 + apart / 2, y0 + apart / 2, x1 - apart / 2, y1 - apart / 2))
        for x0, x1 in ((0.0, 45.0), (45.0, 148.0))
        for y0, y1 in ((0.0, 125.0), (125.0, 210.0))
    ]
    film = jobs.film(used_polygons=tuple(jobs.corners(one) for one in quarters))
    around = outlines_on(sheet_of(film))
    hole, solid = box(25.5, 105.5, 64.5, 144.5), ring.buffer(-0.5)
    assert len(around) == 2 and sum(one.length for one in around) == pytest.approx(4 * 70.0 + 4 * 40.0, abs=0.5)
    assert not [one for one in around if one.intersects(hole) or one.intersects(solid)]


def test_film_that_was_used_and_then_cut_off_is_only_cut_off() -> None:
    used, away = box(90.0, 100.0, 148.0, 160.0), box(90.0, 130.0, 148.0, 210.0)
    film = jobs.film(used_polygons=(jobs.corners(used), jobs.corners(away)), cut_off=(1,))
    page = pages_of(sheet_of(film))[0]
    (layer,) = [one for one in page.layers if one.name == "Lines"]
    hatch = [LineString(item.points) for item in layer.items if isinstance(item, Line) and not item.closed]
    inside = [one for one in hatch if one.length > 3.0 and used.buffer(0.1).contains(one)]
    assert inside and not [one for one in hatch if one.intersects(away.buffer(-0.1))]


def test_words_keep_off_marks_of_an_earlier_print() -> None:
    """One mark in the middle of used film, where its words would stand."""
    used = box(10.0, 100.0, 138.0, 200.0)
    film = jobs.film(used_polygons=(jobs.corners(used),), marks=((74.0, 150.0, 1),))
    said = [word for word in words(pages_of(sheet_of(film))[:1]) if used.contains(word.box)]
    assert plain("".join(word.text for word in said)) == "usedbefore:nothingprintshere"
    assert all(Point(74.0, 150.0).distance(word.box) > 3.0 for word in said)


# ---------------------------------------------------------------------------------------------- the correction
def test_every_page_is_corrected_for_the_printer_of_its_own_sheet() -> None:
    """Lengths of bars as another program reads them: a sheet each for two ways of feeding, with its own correction."""
    low = jobs.film("clear", 148.0, 38.0)
    both = arranged(jobs.film(), low, size=(10.0, 5.0), copies=1)
    scales = ((1.004, 0.997), (0.995, 1.006))
    sheets = tuple(
        replace(one, printer=replace(one.printer, scale_x=x, scale_y=y))
        for one, (x, y) in zip(both.sheets, scales, strict=True)
    )
    both = replace(both, sheets=sheets)
    job = jobs.job(*(placed.piece.artwork.decal for sheet in sheets for placed in sheet.placed))
    assert [sheet.bars.own_page for sheet in sheets] == [False, True]
    made = render(proof(both, [job], "t", None), ".pdf")[0]
    with pdfplumber.open(io.BytesIO(made)) as pdf:
        longest = [max(line["x1"] - line["x0"] for line in page.lines) * POINT_MM for page in pdf.pages[:3]]
    assert longest[0] == pytest.approx(100 * 1.004, abs=1e-4)
    assert longest[2] == pytest.approx(100 * 0.995, abs=1e-4)
    for data in (made, render(final(both, "t", None), ".pdf")[0]):
        with pdfplumber.open(io.BytesIO(data)) as pdf:
            for page, (x, _), sheet in zip(pdf.pages[:2], scales, sheets, strict=True):
                # Registration marks are 4 mm over all.
                marks = [one for one in page.lines if abs((one["x1"] - one["x0"]) * POINT_MM - 4.0 * x) < 1e-4]
                middles = [(one["x0"] + one["x1"]) / 2 * POINT_MM for one in marks]
                (a, _), (b, _), _ = sheet.furniture.registration
                assert max(middles) - min(middles) == pytest.approx(abs(b - a) * x, abs=1e-4)
