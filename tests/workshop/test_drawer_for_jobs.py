"""Which remnants a print takes, and what it takes off them."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from decalgen.core.errors import FilmError, FitError
from decalgen.nesting.model import QUICK
from decalgen.sheet.arrange import arrange, arrangement_digest
from decalgen.sheet.film_area import CLEARANCE, printable
from decalgen.sheet.pieces import pieces
from decalgen.sheet.plan import Plan
from decalgen.workshop.drawer import OwnedSheet, choose, edge, part, rectangle
from decalgen.workshop.drawer.feeding import feeding
from decalgen.workshop.drawer_for_jobs import Picked, pick, taken_off, used_up
from tests.helpers import jobs
from tests.helpers.drawers import A5, BOTTOM, HOLE, TOP, owned

# ------------------------------------------------------------------------------------------------------------- choice


@settings(max_examples=60)
@given(st.lists(st.integers(1, 12), min_size=1, max_size=6), st.integers(1, 40))
def test_the_fewest_then_the_smallest_then_the_oldest(depths: list[int], needed: int) -> None:
    """Against trying every choice there is; sheets differ by whole strips, and what fits is a matter of area."""
    strip = 10.0
    sheets = []
    for number, depth in enumerate(depths, start=1):
        entry = replace(A5, name=f"s{number}", width=100.0, height=130.0)
        cut = part(entry, edge(entry, "top", 130.0 - depth * strip), "cut off", 1)
        sheets.append(OwnedSheet(number, entry, (cut,)))

    def serves(chosen: Sequence[OwnedSheet]) -> bool:
        return sum(s.free.area for s in chosen) >= needed * strip * 100 - 1e-6

    every = [c for n in range(1, len(sheets) + 1) for c in itertools.combinations(sheets, n) if serves(c)]
    best = min(every, key=lambda c: (len(c), round(sum(s.free.area for s in c)), [s.number for s in c]), default=None)
    assert choose(sheets, needed * strip * 100 - 1e-6, serves, tries=10_000) == best


def test_a_choice_that_would_take_too_many_tries_still_serves() -> None:
    sheets = [OwnedSheet(n, replace(A5, name=f"s{n}"), ()) for n in range(1, 8)]
    tried: list[int] = []

    def serves(chosen: Sequence[OwnedSheet]) -> bool:
        tried.append(len(chosen))
        return len(chosen) == 7

    chosen = choose(sheets, 1.0, serves, tries=5)
    assert chosen is not None and [s.number for s in chosen] == [1, 2, 3, 4, 5, 6, 7]
    assert len(tried) <= 5 + 7


def field(width: float, height: float, **more: object) -> object:
    return jobs.decal("band", width, height, jobs.element("field", ink="navy"), **more)


def test_the_smallest_remnant_that_holds_the_decals_is_picked() -> None:
    job = jobs.job(field(100, 40))  # type: ignore[arg-type]
    whole = OwnedSheet(1, replace(A5, name="whole"), ())
    half = OwnedSheet(2, replace(A5, name="half"), (part(A5, edge(A5, "bottom", 90), "cut off", 1),))
    tiny = OwnedSheet(3, replace(A5, name="tiny"), (part(A5, edge(A5, "bottom", 180), "cut off", 1),))
    laser = OwnedSheet(4, replace(A5, name="laser", process="laser"), ())
    picked = pick([job], [whole, half, tiny, laser], jobs.PRINTER)
    assert [one.sheet.name for one in picked] == ["half"]
    twins = [replace(half, number=n, entry=replace(A5, name=f"twin {n}")) for n in (7, 5)]
    assert [one.sheet.number for one in pick([job], [whole, *twins], jobs.PRINTER)] == [5]
    with pytest.raises(FitError, match=r"the white film in the drawer \(1 of its sheets"):
        pick([job], [tiny], jobs.PRINTER)
    with pytest.raises(FilmError, match="no white inkjet film in the drawer"):
        pick([job], [laser], jobs.PRINTER)


def test_a_sheet_that_is_named_is_taken_and_no_other() -> None:
    job = jobs.job(field(100, 40))  # type: ignore[arg-type]
    whole = OwnedSheet(1, replace(A5, name="whole"), ())
    tiny = OwnedSheet(3, replace(A5, name="tiny"), (part(A5, edge(A5, "bottom", 180), "cut off", 1),))
    half = OwnedSheet(2, replace(A5, name="half"), (part(A5, edge(A5, "bottom", 90), "cut off", 1),))
    assert [one.sheet.name for one in pick([job], [whole], jobs.PRINTER, named=True)] == ["whole"]
    # Of several the fewest serve.
    assert [one.sheet.name for one in pick([job], [whole, half], jobs.PRINTER, named=True)] == ["half"]
    with pytest.raises(FitError, match=r"^'tiny' \(\d+ cm² free\) does not hold these decals of 40 cm²: ") as caught:
        pick([job], [tiny], jobs.PRINTER, named=True)
    assert caught.value.fix == "name another sheet of the drawer as well, or print fewer"
    for wrong, said in (
        ({"process": "laser"}, "'odd' is laser film, and the printer here is for inkjet film"),
        ({"kind": "clear"}, "'odd' is clear film, and these decals go on white film"),
    ):
        odd = OwnedSheet(4, replace(A5, name="odd", **wrong), ())  # type: ignore[arg-type]
        with pytest.raises(FilmError, match=said):
            pick([job], [whole, odd], jobs.PRINTER, named=True)


def test_each_kind_of_film_that_is_needed_has_to_be_named() -> None:
    decals = (field(30, 10), replace(field(20, 10), name="window", film="clear"))  # type: ignore[type-var]
    job = jobs.job(*decals)  # type: ignore[arg-type]
    sheets = [
        OwnedSheet(n, replace(A5, name=f"{kind} one", kind=kind), ()) for n, kind in enumerate(("white", "clear"), 1)
    ]
    with pytest.raises(FilmError, match="some of these decals go on clear film, and no sheet of it is named"):
        pick([job], sheets[:1], jobs.PRINTER, named=True)
    assert [one.sheet.name for one in pick([job], sheets, jobs.PRINTER, named=True)] == ["white one", "clear one"]


def test_a_laser_remnant_with_openings_is_not_picked_even_when_it_is_the_last() -> None:
    job = jobs.job(field(20, 10))  # type: ignore[arg-type]
    entry = replace(A5, process="laser")
    sheet = OwnedSheet(1, entry, (part(entry, HOLE, "printed", 1),))
    with pytest.raises(FilmError, match="openings or bare backing"):
        pick([job], [sheet], replace(jobs.PRINTER, process="laser"))


# -------------------------------------------------------------------------------------------- used outlines on sheets


def test_nothing_is_printed_on_used_outlines() -> None:
    triangle = ((20.0, 20.0), (120.0, 40.0), (40.0, 150.0))
    where_marks_would_lie = rectangle(0, 8, 60, 22)
    film = jobs.film(used_polygons=(triangle, where_marks_would_lie))
    job = jobs.job(field(18, 9, copies=40))  # type: ignore[arg-type]
    layout = arrange([job], Plan([film], jobs.PRINTER, effort=QUICK))
    gone = unary_union([Polygon(triangle), Polygon(where_marks_would_lie)])
    assert len(layout.sheets[0].furniture.registration) == 3
    for sheet in layout.sheets:
        for placed in sheet.placed:
            bleed = placed.piece.artwork.bleed
            assert bleed > 0 and placed.cut.distance(gone) >= CLEARANCE + bleed - 1e-6
        assert all(out.distance(gone) >= CLEARANCE - 1e-6 for out in sheet.furniture.keep_outs)
        assert not any(label.region.intersects(gone) for label in sheet.labels)


def test_used_outlines_count_in_the_digest_and_crossing_ones_are_refused() -> None:
    job = jobs.job(field(18, 9))  # type: ignore[arg-type]
    plain, used = jobs.film(), jobs.film(used_polygons=(HOLE,))
    found = pieces([job], jobs.PRINTER)
    assert arrangement_digest(found, Plan([plain], jobs.PRINTER)) != arrangement_digest(
        found, Plan([used], jobs.PRINTER)
    )
    crossing = jobs.film(used_polygons=(((0, 0), (20, 20), (20, 0), (0, 20)),))
    with pytest.raises(FilmError, match="used part 1 of the film 'white 148' crosses itself"):
        arrange([job], Plan([crossing], jobs.PRINTER))


def test_a_strip_given_as_an_outline_shrinks_the_printable_area() -> None:
    assert printable(jobs.film(used_polygons=(BOTTOM,)), jobs.PRINTER).bounds == (5, 60, 143, 205)
    with pytest.raises(FilmError, match="nothing of the film"):
        printable(jobs.film(used_polygons=(rectangle(0, 0, 148, 204.5),)), jobs.PRINTER)


@settings(max_examples=8)
@given(st.lists(st.tuples(st.integers(4, 60), st.integers(3, 40)), min_size=1, max_size=6), st.integers(1, 4))
def test_what_is_taken_off_covers_all_that_was_printed_and_not_much_more(
    sizes: list[tuple[int, int]], copies: int
) -> None:
    decals = [
        jobs.decal(f"d{n}", w, h, jobs.element("field", ink="navy"), copies=copies) for n, (w, h) in enumerate(sizes)
    ]
    for sheet in arrange([jobs.job(*decals)], Plan([jobs.film()], jobs.PRINTER, effort=QUICK)).sheets:
        rings = used_up(sheet)
        parts = [part(A5, ring, "printed", 1).polygon for ring in rings]
        gone = unary_union(parts)
        printed = [p.outer for p in sheet.placed] + list(sheet.furniture.keep_outs)
        printed += [label.region for label in sheet.labels]
        for thing in printed:
            assert thing.difference(gone.buffer(0.005)).area < 1e-6
        assert gone.difference(unary_union(printed).buffer(4)).area < 1e-6
        for a, b in itertools.combinations(parts, 2):
            assert a.intersection(b).area < 1e-6


def test_half_a_millimetre_round_each_piece_goes_to_the_knife() -> None:
    """Common practice, no source: what is cut out freehand costs that much film beyond cut line and bleed."""
    (sheet,) = arrange([jobs.job(field(30, 10))], Plan([jobs.film()], jobs.PRINTER, effort=QUICK)).sheets  # type: ignore[arg-type]
    gone = unary_union([part(A5, ring, "printed", 1).polygon for ring in used_up(sheet)])
    (placed,) = sheet.placed
    film = box(0, 0, sheet.film.width, sheet.film.height)
    assert placed.outer.buffer(0.49).intersection(film).difference(gone).area < 1e-6


def test_what_a_turned_sheet_loses_is_told_in_its_own_coordinates() -> None:
    sheet = owned(TOP)
    picked = Picked(sheet, feeding(sheet))
    assert picked.feeding.turned
    job = jobs.job(field(30, 10))  # type: ignore[arg-type]
    layout = arrange([job], Plan([picked.film], jobs.PRINTER, effort=QUICK))
    ((taken),) = taken_off(layout, [picked])
    (placed,) = layout.sheets[0].placed
    x0, y0, x1, y1 = placed.outer.bounds
    there = box(148 - x1, 210 - y1, 148 - x0, 210 - y0)
    gone = unary_union([part(A5, ring, "printed", 2).polygon for ring in taken.parts])
    assert there.difference(gone.buffer(0.005)).area < 1e-6
    assert gone.intersection(Polygon(TOP)).area < 1e-6
