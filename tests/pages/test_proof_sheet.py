"""A sheet's page of the proof: what is gone of its film, what tells light inks and small pieces, what its words say."""

from __future__ import annotations

import unicodedata
from dataclasses import replace

import pytest
from shapely.geometry import LineString, Point, Polygon, box

from decalgen.artwork.build import Artwork, build_all
from decalgen.core import style
from decalgen.core.document import Document, Fill, Item, Line
from decalgen.core.geometry import IDENTITY
from decalgen.job.model import Film, InkSpec
from decalgen.lettering.paper import paper
from decalgen.nesting.model import QUICK
from decalgen.pages.pale_artwork import outlines
from decalgen.pages.proof_bars import ProofWords
from decalgen.pages.proof_sheet import sheet_pages
from decalgen.shapes.base import At
from decalgen.sheet.arrange import Sheet, arrange
from decalgen.sheet.pieces import Placed
from decalgen.sheet.plan import Plan
from tests.helpers import jobs
from tests.helpers.page_words import overlaps, words_of

USED = "usedbefore:nothingprintshere"
RING = box(10.0, 90.0, 80.0, 160.0).difference(box(25.0, 105.0, 65.0, 145.0))
"""Used film round a part that is still there, kept as two halves."""
HALVES = [RING.intersection(box(0.0, 0.0, 45.0, 210.0)), RING.intersection(box(45.0, 0.0, 148.0, 210.0))]
AWAY = box(90.0, 120.0, 148.0, 210.0)


def sheet_on(film: Film, *sizes: tuple[float, float], count: int = 1) -> Sheet:
    decals = [
        jobs.decal(f"band {n}", *size, jobs.element("field", ink="navy"), copies=count)
        for n, size in enumerate(sizes or ((30.0, 8.0),))
    ]
    plan = Plan([film], jobs.PRINTER, effort=QUICK, hands="both")
    (sheet,) = arrange([jobs.job(*decals)], plan).sheets
    return sheet


def document(sheet: Sheet, **told: object) -> Document:
    return Document(tuple(sheet_pages(sheet, ProofWords(**told))), title="t")  # type: ignore[arg-type]


def plain(text: str) -> str:
    """Without ligatures."""
    return unicodedata.normalize("NFKC", text)


def lines_of(found: Document) -> list[Line]:
    (layer,) = [layer for layer in found.pages[0].layers if layer.name == "Lines"]
    return [item for item in layer.items if isinstance(item, Line)]


def test_used_film_is_hatched_and_named_and_cut_off_film_only_named() -> None:
    marks = ((17.5, 125.0, 1), (72.5, 125.0, 1))
    gone = tuple(jobs.corners(one) for one in (*HALVES, AWAY))
    found = document(sheet_on(jobs.film(used_polygons=gone, cut_off=(2,), marks=marks)))
    words = [(plain(one.plain), one.box) for one in words_of(found)]
    (away,) = [there for text, there in words if text.startswith("cuto") and len(text) < 7]
    assert AWAY.covers(away), "cut off"
    assert not overlaps(words_of(found))
    assert "".join(text for text, there in words if RING.intersects(there)) == USED
    named = [there for text, there in words if RING.intersects(there)]
    boxed = [Polygon(one.points).centroid for one in lines_of(found) if one.colour == style.ACCENT and one.closed]
    assert all(min(Point(x, y).distance(one) for one in boxed) < 0.01 for x, y, _ in marks), "marks of earlier prints"
    assert all(RING.covers(one) and Point(x, y).distance(one) > 2.5 for one in named for x, y, _ in marks)
    hatch = [LineString(one.points) for one in lines_of(found) if one.colour == style.QUIET]
    assert len(hatch) > 20
    assert all(RING.buffer(0.1).covers(one) and not one.intersects(AWAY) for one in hatch)
    assert all(one.distance(word) > 0.5 for one in hatch for word in named), "words stand on white"


def test_each_mark_of_an_earlier_print_bears_the_number_of_that_print() -> None:
    gone = tuple(jobs.corners(one) for one in HALVES)
    sheet = sheet_on(jobs.film(used_polygons=gone, marks=((17.5, 125.0, 1), (72.5, 125.0, 2), (45.0, 95.0, 7))))
    (layer,) = [layer for layer in document(sheet).pages[0].layers if layer.name == "Lines"]
    figures = [item.region for item in layer.items if isinstance(item, Fill) and item.colour == style.ACCENT]
    assert len(figures) == 3
    for x, y, number in sheet.film.marks:
        (figure,) = [one for one in figures if one.distance(Point(x, y)) < 3.5]
        assert figure.area == pytest.approx(paper(str(number), style.TYPE_SMALL).region.area, rel=1e-6)


def test_no_line_runs_across_used_film_where_its_halves_meet() -> None:
    gone = tuple(jobs.corners(one) for one in HALVES)
    found = document(sheet_on(jobs.film(used_polygons=gone)))
    around = [
        LineString([*one.points, one.points[0]])
        for one in lines_of(found)
        if one.width == style.LINE_TRIM and one.closed and not one.dash
    ]
    inside = RING.buffer(-1.0)
    assert len(around) == 2 and not [one for one in around if one.intersects(inside)]
    assert sum(one.length for one in around) == pytest.approx(4 * 70.0 + 4 * 40.0, abs=0.5)


def artwork(width: float, height: float, *elements: object, inks: tuple[InkSpec, ...] = ()) -> Artwork:
    job = jobs.job(jobs.decal("mark", width, height, *elements))  # type: ignore[arg-type]
    (found, *_) = build_all(replace(job, inks=(*job.inks, *inks)), job.decals[0])
    return found


@pytest.mark.parametrize(("high", "dashed"), [(1.6, False), (2.3, False), (2.5, True), (8.0, True)])
def test_dashes_strike_out_no_small_lettering(high: float, dashed: bool) -> None:
    """A cut line is dashed from 2.4 mm on; round a smaller piece, such as a number plate, it is a hairline."""
    drawn: list[Item] = outlines(artwork(14.0, high, jobs.element("field", ink="navy")), IDENTITY)
    assert any(getattr(one, "dash", ()) for one in drawn) == dashed


@pytest.mark.parametrize(("colour", "line"), [("#b06a2c", True), ("#f4c9a0", False)])
def test_small_neighbours_that_fall_together_in_grey_have_a_line_between(colour: str, line: bool) -> None:
    """Squares of 1 mm² have no outline of their own. L* of the first two, lightened, is 74, of the third 91."""
    inks = (InkSpec("leaf", "process", "#3f8f4a"), InkSpec("other", "process", colour))
    squares = [
        jobs.element("field", At("bottom left", 1.0 * n, 0.0), ink=ink, width=1.0, height=1.0)
        for n, ink in enumerate(("leaf", "other"))
    ]
    drawn = outlines(artwork(2.0, 1.0, *squares, inks=inks), IDENTITY)
    seam = LineString([(1.0, 0.2), (1.0, 0.8)])
    between = [one for one in drawn if isinstance(one, Line) and LineString(one.points).buffer(0.03).covers(seam)]
    assert bool(between) == line


def test_what_the_film_has_in_its_waste_the_proof_has_too() -> None:
    """Numbers, their leaders, ticks and marks: a proof is held against the film."""
    sheet = sheet_on(jobs.film(), count=3)
    sheet = replace(sheet, leaders=(Line(((20.0, 100.0), (22.0, 101.0)), style.LINE_MARK, style.TEXT),))
    (layer,) = [layer for layer in document(sheet).pages[0].layers if layer.purpose == "marks"]
    for kind in (sheet.furniture.items, sheet.ticks, sheet.leaders, sheet.labels):
        assert kind and all(one in layer.items for one in kind)


def said(sheet: Sheet, **told: object) -> str:
    return plain("".join(one.plain for one in words_of(document(sheet, **told))))


def test_crosses_too_near_each_other_are_said_to_prove_nothing() -> None:
    """Least spans: 20 mm refuse, 40 mm prove (2 U / t at 0.3 %)."""
    sheet = sheet_on(jobs.film(), (30.0, 8.0), count=3)
    for across, up, width, height in (
        (100.0, 50.0, "", ""),
        (100.0, 30.0, "", "Thelefttwocanonlyrefuseawrongheight:proveithere."),
        (100.0, 10.0, "", "Thelefttwoaretooneareachothertomeasure:provetheheighthere."),
        (30.0, 50.0, "Thelowertwocanonlyrefuseawrongwidth:proveithere.", ""),
        (10.0, 50.0, "Thelowertwoaretooneareachothertomeasure:provethewidthhere.", ""),
    ):
        spots = ((10.0, 10.0), (10.0 + across, 10.0), (10.0, 10.0 + up))
        text = said(replace(sheet, furniture=replace(sheet.furniture, registration=spots)))
        assert f"lowertwo{across:.2f}mm,lefttwo{up:.2f}mm(to0.3%)." in text
        assert ("prove" in text) == bool(width or height) and width in text and height in text


def turned(placed: Placed) -> Placed:
    """The same piece of a left side."""
    return replace(placed, piece=replace(placed.piece, artwork=replace(placed.piece.artwork, hand="left")))


def test_only_what_is_on_the_sheet_is_explained() -> None:
    one_side = sheet_on(jobs.film())
    assert "pointstothenose" not in said(one_side) and "Jobs" not in said(one_side)
    assert "decal1;itscopies" in said(one_side)
    both = replace(one_side, placed=tuple(turned(one) for one in one_side.placed))
    assert "pointstothenose" in said(both)
    several = said(both, jobs={"A": "Small tug"})
    assert "decal1ofjob" in several and "Smalltug" in several


def test_a_sheet_with_nothing_left_says_so_and_has_no_dashed_line() -> None:
    sheet = sheet_on(jobs.film())
    assert "insidethedashedline" in said(sheet) and "mminonepiece" in said(sheet)
    full = replace(sheet, rest=None)
    assert "nothingthatisworthkeeping" in said(full) and "dashedline" not in said(full)
