"""The key of a proof: a block a panel, drawn at true size with its decals pale, and a line a decal."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
import shapely
from shapely.geometry import Point

from decalgen.artwork.build import build_all
from decalgen.core import style
from decalgen.core.cautions import CAUTIONS, LAW
from decalgen.core.document import Contour, Document, Fill, Line, Page
from decalgen.core.geometry import IDENTITY, Outline
from decalgen.job.model import Decal, InkSpec, Job, Paint
from decalgen.pages.composer import Sheaf
from decalgen.pages.concerns import sheet_concerns
from decalgen.pages.key import key_pages
from decalgen.pages.key_blocks import (
    PanelBlock,
    blocks_of,
    columns_of,
    go_together,
    job_letter,
    label_of,
    lay_out,
)
from decalgen.pages.key_panels import PanelDrawing, put_panel
from decalgen.pages.pale_artwork import LEAST_CONTRAST, TINT, pale_artwork, tint
from decalgen.panels.base import Obstacle, Panel
from decalgen.shapes.base import At
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.core.test_style import contrast
from tests.helpers import jobs
from tests.helpers.page_words import overlaps, words_of
from tests.pages.test_words_on_every_page import job_set, layout
from tests.preflight.test_emblems import RED, cross, drawn

A5 = (148.0, 210.0)
ROOM = (128.0, 160.0)


def decal(name: str, panel: str, width: float, height: float, **more: object) -> Decal:
    return replace(jobs.decal(name, width, height, jobs.element("field", ink="navy"), **more), panel=panel)


def arranged(*some: Job, size: tuple[float, float] = A5, **more: object) -> Arrangement:
    films = [jobs.film("white", *size, **more), jobs.film("clear", *size, **more)]
    printer = replace(jobs.PRINTER, process=films[0].process)
    return arrange(list(some), Plan(films, printer, effort=jobs.ONE_ORDER, hands="both"))


def door(*decals: Decal, panels: tuple[Panel, ...] | None = None, **more: object) -> Job:
    return jobs.job(*decals, panels=panels or (jobs.panel(),), **more)  # type: ignore[arg-type]


def blocks(job: Job, room: tuple[float, float] = ROOM) -> list[PanelBlock]:
    return blocks_of(job, arranged(job), room)


def panel_line(drawing: PanelDrawing) -> Contour:
    """The outline of the panel itself: the last thing drawn."""
    line = drawing.items[-1]
    assert isinstance(line, Contour)
    return line


def test_a_panel_with_both_hands_is_one_block_at_true_size_and_one_line_a_decal() -> None:
    job = door(
        decal("band", "door", 30.0, 8.0, hands="both", copies=2, spares=1, at=At("bottom left", 2.0, 3.0)),
        panels=(jobs.panel(obstacles=(jobs.handle(),)),),
    )
    (block,) = blocks(job)
    left, right = block.drawings
    assert (left.hand, right.hand) == ("left", "right") and left.scale == 1.0
    for drawing in block.drawings:
        x0, y0, x1, y1 = panel_line(drawing).outline.polygon.bounds
        assert (x1 - x0, y1 - y0) == pytest.approx((60.0, 40.0))
        assert panel_line(drawing).width == style.LINE_CUT
    # The handle and the band lie mirrored on the right.
    places = []
    for drawing in block.drawings:
        lines = [item.outline.polygon for item in drawing.items if isinstance(item, Contour)]
        handle = next(one for one in lines if one.area == pytest.approx(2.4))
        band = next(i for i in drawing.items if isinstance(i, Fill) and i.colour != style.PAPER)
        places.append((handle.bounds[0], band.region.bounds[0]))
    assert places[0] == pytest.approx((16.5, 2.0)) and places[1] == pytest.approx((60 - 19.5, 60 - 32.0))
    (row,) = block.rows
    assert (row.numbers, row.name, row.cut, row.pieces) == ("1 · 2", "band", "30.00 × 8.00", "2+1")
    assert row.more == "", "the size of the artwork is told only where it is another one"


def test_the_size_of_the_artwork_is_told_where_the_cut_is_larger() -> None:
    (block,) = blocks(door(decal("band", "door", 30.0, 8.0, margin=0.5), film="clear"))
    (row,) = block.rows
    assert (row.cut, row.more) == ("31.00 × 9.00", "artwork 30.00 × 8.00")


def test_parts_of_both_hands_go_together_counted_from_the_nose() -> None:
    gap = jobs.outline(20.0, -0.5, 0.4, 41.0)
    panel = jobs.panel(obstacles=(Obstacle("shut line", gap, 0.1, gap=True),))
    job = door(decal("stripe", "door", 56.0, 5.0, hands="both", split_at=("shut line",)), panels=(panel,))
    (block,) = blocks(job)
    assert [row.numbers for row in block.rows] == ["1 · 4", "2 · 3"]
    assert len({row.cut for row in block.rows}) == 2
    for drawing in block.drawings:
        assert len(drawing.numbers) == 2


def many(count: int) -> Job:
    places = [(2.0, 2.0), (20.0, 2.0), (38.0, 2.0), (2.0, 25.0), (20.0, 25.0), (38.0, 25.0), (10.0, 14.0), (30.0, 14.0)]
    return door(*(decal(f"d{n}", "door", 8.0, 6.0, at=At("bottom left", *places[n])) for n in range(count)))


@pytest.mark.parametrize("count", range(1, 9))
def test_from_three_decals_on_hairlines_lead_from_number_to_decal(count: int) -> None:
    (block,) = blocks(many(count))
    (drawing,) = block.drawings
    if count < 3:
        assert not drawing.callouts and drawing.told == ", ".join(str(n + 1) for n in range(count))
        return
    assert [c.label for c in sorted(drawing.callouts, key=lambda c: int(c.label))] == [str(n + 1) for n in range(count)]
    fills = [item.region for item in drawing.items if isinstance(item, Fill) and item.colour != style.PAPER]
    for one in drawing.callouts:
        own = fills[int(one.label) - 1]
        assert own.distance(Point(one.end)) < 1e-6, f"the line of {one.label} ends elsewhere"
        assert min(range(count), key=lambda n: fills[n].distance(Point(one.end))) == int(one.label) - 1
    document = pages(many(count))
    found = words_of(document)
    assert not overlaps(found)
    numbers = Counter(words.text for words in found if words.size == style.TYPE_SMALL)
    assert all(numbers[str(n + 1)] >= 1 for n in range(count))


def pages(*some: Job, size: tuple[float, float] = A5) -> Document:
    layout = arranged(*some, size=size)
    return Document(tuple(key_pages(layout, list(some))), title="t")


def thick(page: Page) -> list[Outline]:
    """The outlines to cut along."""
    return [
        item.outline
        for layer in page.layers
        for item in layer.items
        if isinstance(item, Contour) and item.width == style.LINE_CUT
    ]


def test_a_hairline_goes_round_the_other_way_before_it_crosses_a_decal() -> None:
    """The lower of two decals above each other is nearer to the head of the panel, but the other lies in between."""
    spots_of = {"upper": (10.0, 32.0), "lower": (10.0, 23.0), "third": (40.0, 20.0)}
    job = door(*(decal(name, "door", 8.0, 5.0, at=At("bottom left", *at)) for name, at in spots_of.items()))
    (block,) = blocks(job)
    above = {one.label: one.above for one in block.drawings[0].callouts}
    numbers = {row.name: row.numbers for row in block.rows}
    assert above[numbers["upper"]] and not above[numbers["lower"]]


@pytest.mark.parametrize(("hands", "name"), [("left", "band, left"), ("right", "band, right"), ("both", "band")])
def test_a_decal_that_only_one_side_has_says_which(hands: str, name: str) -> None:
    (block,) = blocks(door(decal("band", "door", 30.0, 8.0, hands=hands)))
    assert [row.name for row in block.rows] == [name]


def test_a_panel_wider_than_the_page_stands_on_end_and_wide_pairs_one_above_the_other() -> None:
    job = door(decal("stripe", "door", 150.0, 5.0), panels=(jobs.panel(width=160.0, height=30.0),))
    (found,) = [line for page in pages(job, size=(210.0, 160.0)).pages for line in thick(page)]
    x0, y0, x1, y1 = found.polygon.bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((160.0, 30.0)), "there is room for it as it is"
    job = door(decal("stripe", "door", 40.0, 5.0, hands="both"), panels=(jobs.panel(width=130.0, height=30.0),))
    document = pages(job)
    found = [line for page in document.pages for line in thick(page)]
    assert len(found) == 2
    for line in found:
        x0, y0, x1, y1 = line.polygon.bounds
        assert (x1 - x0, y1 - y0) == pytest.approx((30.0, 130.0)), "true size, on end"
        assert x0 >= 10.0 - 1e-6 and x1 <= 138.0 + 1e-6 and y0 >= 10.0
    wide = door(decal("stripe", "door", 40.0, 5.0, hands="both"), panels=(jobs.panel(width=100.0, height=20.0),))
    left, right = [line.polygon.bounds for page in pages(wide).pages for line in thick(page)]
    assert left[0] == pytest.approx(right[0]) and left[1] > right[3]


def test_a_panel_larger_than_the_paper_is_drawn_smaller_and_says_so() -> None:
    job = door(decal("stripe", "door", 40.0, 5.0), panels=(jobs.panel(width=250.0, height=140.0),))
    document = pages(job)
    assert not [line for page in document.pages for line in thick(page)], "nothing to cut out"
    assert any("drawn1:2,nottocutout" in words.plain for words in words_of(document))
    assert not overlaps(words_of(document))


@pytest.mark.parametrize(("width", "scale"), [(128.0, 1), (146.0, 1), (161.0, 2), (330.0, 3), (700.0, 5), (1700.0, 20)])
def test_a_panel_is_drawn_at_the_largest_scale_that_goes_on_the_page(width: float, scale: int) -> None:
    """1 : 1, else 1 : 2, 3, 4, 5, 10, 20: what one can reckon with; upright 146 mm are left of 160 with the caption."""
    job = door(decal("stripe", "door", 40.0, 5.0), panels=(jobs.panel(width=width, height=20.0),))
    (drawing,) = blocks(job)[0].drawings
    assert drawing.scale == pytest.approx(1 / scale)
    assert drawing.width <= ROOM[0] + 1e-6 and drawing.deep <= ROOM[1] + 1e-6


def inside_words(document: Document) -> list[tuple[str, bool]]:
    """The words that lie in panels to cut out, and whether they lie along the page."""
    found = []
    for words in words_of(document):
        panels = [outline.polygon for outline in thick(document.pages[words.page])]
        if any(panel.contains(words.box) for panel in panels):
            found.append((words.plain, words.upright))
    return found


def test_a_panel_that_was_cut_out_still_says_what_it_is() -> None:
    """Its caption is outside the line that is cut; inside, off decals, obstacles and hairlines, is its name."""
    job = door(
        decal("band", "door", 30.0, 8.0, hands="both", at=At("bottom left", 2.0, 3.0)),
        panels=(jobs.panel(obstacles=(jobs.handle(),)),),
    )
    document = pages(job)
    assert inside_words(document) == [("door,left", True), ("door,right", True)]
    for words in words_of(document):
        inside = [o.polygon for o in thick(document.pages[words.page]) if o.polygon.contains(words.box)]
        for item in document.pages[words.page].layers[0].items if inside else ():
            if isinstance(item, Fill) and item.colour != style.TEXT:
                assert not item.region.intersects(words.box), "the name lies on a decal"
    for drawing in blocks(job)[0].drawings:
        assert drawing.inside is not None
        assert drawing.inside.nose == (180.0 if drawing.hand == "left" else 0.0)
    lettered = pages(job, replace(job, name="van", digest="van"))
    assert inside_words(lettered)[0][0] == "Adoor,left"


def test_a_panel_with_little_room_has_a_shorter_name_in_it_and_a_full_one_none() -> None:
    def shown(width: float, height: float, free: float) -> list[str]:
        panel = jobs.panel("cargo side door", width, height)
        full = decal("band", "cargo side door", width - free, height, hands="both", at=At("bottom left"))
        return [words for words, _ in inside_words(pages(door(full, panels=(panel,))))]

    assert shown(60.0, 30.0, 7.0)[0] == "cargosidedoor,left", "up it"
    assert shown(60.0, 27.0, 9.0)[0] == "cargosidedoor", "the triangle tells the hand"
    assert shown(60.0, 14.0, 1.0) == []
    panel = jobs.panel("cargo side door", 60.0, 8.0)
    full = decal("band", "cargo side door", 55.0, 8.0, hands="both", at=At("bottom left"))
    triangles = [d.inside for d in blocks(door(full, panels=(panel,)))[0].drawings]
    assert [(one.words, one.nose) for one in triangles if one] == [("", 180.0), ("", 0.0)]


def test_the_triangle_of_a_panel_on_end_turns_with_it() -> None:
    """The page shows it turned to the left, so that the nose of a left side is at the foot of the page."""
    job = door(decal("stripe", "door", 40.0, 5.0, hands="both"), panels=(jobs.panel(width=130.0, height=30.0),))
    document = pages(job)
    assert inside_words(document) == [("door,left", False), ("door,right", False)]
    assert [d.inside.nose % 360 for d in blocks(job)[0].drawings if d.inside] == [270.0, 90.0]


@pytest.mark.parametrize(("width", "ways"), [(60.0, {"left": (-1, 0), "right": (1, 0)}),
                                             (130.0, {"left": (0, -1), "right": (0, 1)})])  # fmt: skip
def test_every_triangle_at_a_panel_points_to_its_nose(width: float, ways: dict[str, tuple[int, int]]) -> None:
    """That of the caption and that inside: a left side has its nose at the left; on end, turned to the left, below."""
    job = door(decal("stripe", "door", 20.0, 5.0, hands="both"), panels=(jobs.panel(width=width, height=30.0),))
    for drawing in blocks(job)[0].drawings:
        sheaf = Sheaf(*A5)
        put_panel(sheaf, drawing, 10.0, 190.0)
        areas = [item.region.geoms[0] for item in sheaf.items if isinstance(item, Fill) and item.colour == style.TEXT]
        triangles = [one for one in areas if len(one.exterior.coords) == 4]
        assert len(triangles) == 2 and drawing.hand is not None
        for one in triangles:
            # The middle of a triangle's box lies nearer to its tip than its centroid does.
            x0, y0, x1, y1 = one.bounds
            way = ((x0 + x1) / 2 - one.centroid.x, (y0 + y1) / 2 - one.centroid.y)
            assert tuple(round(part / max(map(abs, way))) for part in way) == ways[drawing.hand]


def test_two_small_blocks_stand_side_by_side_and_large_ones_do_not() -> None:
    small = [jobs.panel("bonnet", 20.0, 18.0), jobs.panel("boot", 16.0, 16.0)]
    job = door(decal("a", "bonnet", 8.0, 8.0), decal("b", "boot", 6.0, 6.0), panels=tuple(small))
    one, other = blocks(job)
    columns = columns_of([one, other], 128.0)
    assert go_together(one, other, columns)
    assert len({y for _, _, y in lay_out([one, other], columns).drawings}) == 1
    large = [jobs.panel("bonnet", 70.0, 18.0), jobs.panel("boot", 70.0, 16.0)]
    one, other = blocks(replace(job, panels=tuple(large)))
    assert not go_together(one, other, columns_of([one, other], 128.0))


def long_job(name: str, seed: int) -> Job:
    panels = tuple(jobs.panel(f"panel {n}", 20.0 + 7 * ((n + seed) % 5), 10.0 + 5 * ((n * seed) % 7)) for n in range(9))
    decals = [
        decal(f"decal {n}.{k}", f"panel {n}", 5.0 + k, 3.0, hands="both" if (n + seed) % 2 else "one")
        for n in range(9)
        for k in range(1 + (n + seed) % 3)
    ]
    return replace(door(*decals, panels=panels, name=name), title=f"Model {name}, a livery with a long name")


@pytest.mark.parametrize(
    ("size", "seed"),
    [(A5, 1), (A5, 3), ((210.0, 297.0), 2), ((215.9, 279.4), 3)],
    ids=["A5-1", "A5-3", "A4-2", "Letter-3"],
)
def test_blocks_flow_and_no_page_is_a_quarter_blank_while_the_next_block_would_fit(
    size: tuple[float, float], seed: int
) -> None:
    some = [long_job(name, seed + n) for n, name in enumerate(("tug", "van", "bus"))]
    layout = arranged(*some, size=size)
    document = Document(tuple(key_pages(layout, some)), title="t")
    found = words_of(document)
    assert not overlaps(found)
    margin = style.margin(*size)
    plain = [words.plain for words in found]
    # Every number stands in the key.
    for piece in {one.piece.number: one.piece for sheet in layout.sheets for one in sheet.placed}.values():
        assert any(label_of(piece) in text.split("·") for text in plain), piece.number
    # Every page with a part of a job bears its name, once.
    for page in range(len(document.pages)):
        here = [words for words in found if words.page == page]
        titles = Counter(words.plain for words in here if words.plain.startswith("Model"))
        assert all(count == 1 for count in titles.values())
    for page in range(len(document.pages) - 1):
        low = min(words.box.bounds[1] for words in found if words.page == page and words.box.bounds[1] > margin + 4.0)
        drawn = [o.polygon.bounds[1] for o in thick(document.pages[page])]
        blank = min([low, *drawn]) - margin
        after = [o.polygon.bounds for o in thick(document.pages[page + 1])]
        if blank > size[1] / 4 and after:
            tallest = max(after, key=lambda bounds: bounds[3])
            assert tallest[3] - tallest[1] + 25.0 > blank, f"page {page + 1} is left a quarter blank"


def test_lines_stand_beside_drawings_that_leave_them_four_millimetres() -> None:
    job = many(2)
    (block,) = blocks(job)
    columns, wide = columns_of([block], 128.0), block.drawings[0].width
    assert lay_out([block], replace(columns, numbers=wide + 4.1)).under == 0.0
    assert lay_out([block], replace(columns, numbers=wide + 3.9)).under > 0.0


def test_rows_of_a_block_higher_than_a_page_go_on_over_the_next() -> None:
    decals = [decal(f"letter {n}", "door", 3.0 + n / 20, 3.0) for n in range(60)]
    document = pages(door(*decals))
    found = words_of(document)
    assert not overlaps(found)
    plain = [words.plain for words in found]
    assert all(f"letter{n}" in plain for n in range(60))
    assert any("continued" in text for text in plain)


def test_a_long_low_panel_has_its_caption_at_its_right_where_that_is_lower() -> None:
    """A pair of stripes as long as half the paper: captions under them cost as much height as the panels."""
    panels = (jobs.panel("side", 68.0, 2.2),)
    job = door(*(decal(f"line {n}", "side", 15.0, 1.0, hands="both") for n in range(3)), panels=panels)
    (block,) = blocks(job)
    laid = lay_out([block], columns_of([block], 128.0))
    assert all(drawing.aside for drawing, _, _ in laid.drawings)
    document = pages(job)
    found = words_of(document)
    assert not overlaps(found)
    drawn_at = [o.polygon.bounds for o in thick(document.pages[0])]
    captions = [words.box.bounds for words in found if words.plain in ("side,left", "side,right")]
    assert len(captions) == 2 and len(drawn_at) == 2
    for (x0, y0, _, y1), panel in zip(
        sorted(captions, key=lambda b: b[1]), sorted(drawn_at, key=lambda b: b[1]), strict=True
    ):
        assert x0 > panel[2] + 1.0 and y0 < panel[3] and y1 > panel[1], "beside its own panel"
    # Beside each other, a caption between them could be of either.
    (block,) = blocks(replace(job, panels=(jobs.panel("side", 30.0, 16.0),)))
    assert not any(drawing.aside for drawing, _, _ in lay_out([block], columns_of([block], 128.0)).drawings)


def spots(words: str, document: Document) -> list[tuple[int, float]]:
    """Pages and heights of words."""
    return [
        (one.page, one.box.bounds[1]) for one in words_of(document) if one.plain in (words, f"A{words}", f"C{words}")
    ]


def test_cautions_stand_before_the_key_where_that_saves_a_page() -> None:
    """The demo on A5: its cautions would have the fourth page to themselves."""
    some = list(job_set("demo"))
    document = Document(tuple(key_pages(layout("demo", "A5"), some)), title="t")
    assert len(document.pages) == 3
    ((page, y),) = spots("Cautions", document)
    ((first, lower),) = spots(some[0].title.replace(" ", ""), document)
    assert page == first == 0 and y > lower
    assert [page for page, _ in spots("cutsize,mm", document)] == [0, 1, 2], "heads of the columns on every page"


def test_else_they_stand_after_it() -> None:
    """The demo on A4: two pages either way."""
    document = Document(tuple(key_pages(layout("demo", "A4"), job_set("demo"))), title="t")
    ((page, y),) = spots("Cautions", document)
    ((last, above),) = spots("F30·F31", document)
    assert len(document.pages) == 2 and page == last == 1 and y < above


@pytest.mark.parametrize("high", [40.0, 55.0, 70.0, 85.0])
def test_cautions_are_not_torn_apart(high: float) -> None:
    document = pages(door(decal("band", "door", 20.0, 5.0), panels=(jobs.panel("door", 60.0, high),)))
    ((page, _),) = spots("Cautions", document)
    end = LAW.split()[-1].rstrip(".")
    assert [words.page for words in words_of(document) if words.plain.rstrip(".").endswith(end)] == [page]


def test_cautions_fill_the_foot_of_a_page_that_has_no_room_for_the_next_job() -> None:
    def key(high: float) -> Document:
        one = replace(door(decal("band", "door", 20.0, 5.0), name="tug"), title="Small tug")
        panels = (jobs.panel("side", 90.0, high),)
        other = replace(door(decal("side", "side", 30.0, 8.0), panels=panels, name="van"), title="Large van")
        return Document(tuple(key_pages(arranged(one, other), [one, other])), title="t")

    tall, low = key(115.0), key(30.0)
    ((page, y),) = spots("Cautions", tall)
    ((small, above),) = spots("Smalltug", tall)
    ((large, _),) = spots("Largevan", tall)
    assert len(tall.pages) == 2 and (small, page, large) == (0, 0, 1) and y < above
    assert not overlaps(words_of(tall)) and y > 20.0
    ((page, y),) = spots("Cautions", low)
    ((large, above),) = spots("Largevan", low)
    assert (page, -y) > (large, -above), "after the key, where no page of it ends in blank"


# ------------------------------------------------------------------------------------------------------ black and white
def test_white_lettering_can_be_read_in_every_lightened_ink_or_has_outlines() -> None:
    """Contrast as in WCAG 2.2, reckoned by the tests' own formula; greys by luminance as a black and white printer
    makes them."""
    word = jobs.element("lettering", text=("STORES",), cap_height=2.0, ink="white")
    outlined = 0
    for ink in ("orange", "navy", "green"):
        job = door(jobs.decal("band", 20.0, 6.0, jobs.element("field", ink=ink), word))
        (art,) = build_all(job, job.decals[0])
        pale = tint(art.colour(ink), TINT)
        lines = [item for item in pale_artwork(art, IDENTITY) if isinstance(item, Line)]
        letters = shapely.union_all([inked.region for inked in art.letters])
        around = [line for line in lines if letters.distance(shapely.LineString(line.points)) < 0.05]
        assert contrast(pale, "#ffffff") >= 1.9 or around, ink
        outlined += bool(around)
    assert LEAST_CONTRAST == 1.9
    yellow = replace(jobs.job(jobs.decal("band", 20.0, 6.0, jobs.element("field", ink="lime"), word)))
    yellow = replace(yellow, inks=(*yellow.inks, InkSpec("lime", "process", "#a5d610")))
    (art,) = build_all(yellow, yellow.decals[0])
    assert contrast(tint("#a5d610", TINT), "#ffffff") < 1.9
    lines = [item for item in pale_artwork(art, IDENTITY) if isinstance(item, Line)]
    edge = shapely.union_all([inked.region for inked in art.letters]).boundary
    drawn = shapely.union_all([shapely.LineString([*line.points, line.points[0]]) for line in lines])
    assert edge.difference(drawn.buffer(0.01)).length < 0.05 * edge.length, "light ink: every letter has its outline"


def test_a_word_has_all_of_its_letters_outlined_or_none() -> None:
    for cap in (0.8, 1.2, 1.6, 2.0, 2.6, 3.4, 4.5):
        word = jobs.element("lettering", text=("VINDRASK HILL",), cap_height=cap, ink="white")
        job = door(jobs.decal("strip", 58.0, 6.0, jobs.element("field", ink="navy"), word))
        (art,) = build_all(job, job.decals[0])
        lines = [item for item in pale_artwork(art, IDENTITY) if isinstance(item, Line) and item.closed]
        drawn_ = shapely.union_all([shapely.LineString([*line.points, line.points[0]]) for line in lines])
        letters = [part for inked in art.letters for part in inked.region.geoms]
        outlined = [part.exterior.difference(drawn_.buffer(0.01)).length < 0.1 for part in letters]
        assert len(letters) == 12 and len(set(outlined)) == 1, f"{cap} mm: {outlined}"


def test_a_backing_lies_under_its_decal() -> None:
    """White film that is applied first: drawn over its decal it would hide it."""
    words = (jobs.element("field", ink="orange"), jobs.element("lettering", text="BUOY", cap_height=4.0, ink="white"))
    job = door(jobs.decal("band", 30, 8, *words, backing="white"), film="clear")
    (drawing,) = blocks(job)[0].drawings
    fills = [item for item in drawing.items if isinstance(item, Fill)]
    white = [n for n, item in enumerate(fills) if item.colour == style.PAPER and item.ink is None]
    inked = [n for n, item in enumerate(fills) if item.ink == "orange"]
    assert len(drawing.numbers) == 2 and white and inked and max(white) < min(inked)


def test_a_decal_on_white_film_hides_what_it_lies_on() -> None:
    under, over = decal("under", "door", 30.0, 20.0), decal("over", "door", 8.0, 4.0, over=("under",))
    (block,) = blocks(door(over, under))
    fills = [item for item in block.drawings[0].items if isinstance(item, Fill)]
    grounds = [n for n, item in enumerate(fills) if item.colour == style.PAPER]
    assert len(grounds) == 2 and fills[grounds[1]].region.area == pytest.approx(32.0)
    assert fills[0].region.area > fills[grounds[1]].region.area, "what lies under is drawn first"
    (clear,) = blocks(door(over, under, film="clear"))
    assert not [item for item in clear.drawings[0].items if isinstance(item, Fill) and item.colour == style.PAPER]


# ------------------------------------------------------------------------------------------------------------- cautions
def said(job: Job, **film: object) -> str:
    layout = arranged(job, **film)  # type: ignore[arg-type]
    document = Document(tuple(key_pages(layout, [job])), title="t")
    return "".join(words.plain for words in words_of(document))


def test_only_the_cautions_that_fit_are_printed() -> None:
    plain = door(decal("band", "door", 30.0, 8.0))
    text = said(plain)
    assert "Oldpaint" in text and "Lacquers" in text and "Blades" in text and "Notforchildren" in text
    assert "fuser" not in text and "Protectedsigns" not in text
    assert "Marksofothers" in text and "markreproductionsassuch" in text, "a livery needs no letters to be somebody's"
    assert LAW.replace(" ", "") in text or LAW[:40].replace(" ", "") in text
    laser = said(plain, process="laser")
    assert "Filmandfuser" in laser and "Lacquers" not in laser
    assert "Lacquers" not in said(plain, adhesive=True)
    bare = replace(plain, paints=(Paint("navy", "#c0c0c4", finish="bare metal"),))
    assert "Oldpaint" not in said(bare)
    word = jobs.element("lettering", text=("STORES",), cap_height=2.0, ink="navy")
    assert "Marksofothers" in said(door(jobs.decal("band", 20.0, 6.0, word)))


def test_a_protected_sign_calls_for_its_caution() -> None:
    """The red cross on white (Geneva Convention I, art. 38), and the same in green, which is free."""
    for ink, protected in (("red", True), ("green", False)):
        job = door(jobs.decal("sign", 20.0, 12.0, drawn(cross(), ink)))
        job = replace(job, inks=(*job.inks, RED))
        assert ("emblem" in sheet_concerns(arranged(job), [job])) == protected
        assert ("Protectedsigns" in said(job)) == protected


def test_every_caution_belongs_to_a_concern_or_to_every_job() -> None:
    assert {concern for _, _, concern in CAUTIONS} == {None, "paint", "lacquer", "laser", "emblem"}
    one = door(decal("band", "door", 30.0, 8.0))
    assert job_letter(one, arranged(one)) == ""
    two = [replace(one, name=name) for name in ("gannet", "tern")]
    assert [job_letter(job, arranged(*two)) for job in two] == ["A", "C"]
