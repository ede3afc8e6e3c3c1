"""Pieces, numbers, furniture and the nest together: what a sheet promises."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiPolygon, box
from shapely.ops import unary_union

from decalgen.core.document import Fill
from decalgen.core.errors import DecalgenError, FilmError, FitError
from decalgen.job.model import Cut, Decal, Job, UsedArea
from decalgen.nesting.model import QUICK
from decalgen.shapes.base import At
from decalgen.sheet.arrange import Arrangement, Sheet, arrange
from decalgen.sheet.film_area import printable
from decalgen.sheet.pieces import pieces
from decalgen.sheet.plan import GAP, Plan
from decalgen.sheet.positions import Saved, read_positions, write_positions
from tests.helpers import jobs


def field_decal(name: str, width: float, height: float, **more: object) -> Decal:
    return jobs.decal(name, width, height, jobs.element("field", ink="navy"), **more)


def layout(*decals: Decal, film: str = "white", **more: object) -> Arrangement:
    films = more.pop("films", (jobs.film(film),))
    return arrange([jobs.job(*decals, film=film)], Plan(films, jobs.PRINTER, effort=QUICK, **more))  # type: ignore[arg-type]


SIZES = st.floats(2.5, 40).map(lambda v: round(v, 2))


@st.composite
def livery(draw: st.DrawFn) -> tuple[Decal, ...]:
    count = draw(st.integers(1, 6))
    found = []
    for n in range(count):
        cut = draw(st.sampled_from([Cut(), Cut("round"), Cut(corner_radius=1.0)]))
        hands = draw(st.sampled_from(["one", "both", "left", "right"]))
        copies, spares = draw(st.integers(1, 3)), draw(st.integers(0, 2))
        found.append(field_decal(f"d{n}", draw(SIZES), draw(SIZES), cut=cut, hands=hands, copies=copies, spares=spares))
    return tuple(found)


def assert_sound(sheet: Sheet, gap: float) -> None:
    cuts = [p.cut for p in sheet.placed]
    for a, b in itertools.combinations(cuts, 2):
        assert a.distance(b) >= gap - 1e-6
    x0, y0, x1, y1 = sheet.area.bounds
    for placed in sheet.placed:
        left, bottom, right, top = placed.outer.bounds
        assert min(left - x0, bottom - y0, x1 - right, y1 - top) >= -1e-6, placed.piece.artwork.name
        assert sheet.area.buffer(1e-6).contains(placed.cut)
        for out in sheet.furniture.keep_outs:
            assert not placed.outer.intersects(out)


def assert_readable(sheet: Sheet) -> None:
    """Numbers and ticks touch no piece, no number another, and what has no number is told."""
    outers = unary_union([p.outer for p in sheet.placed])
    labels = [label.region for label in sheet.labels]
    ticks = [LineString(t.points).buffer(t.width / 2) for t in sheet.ticks]
    for thing in (*labels, *ticks):
        assert thing.intersection(outers).area == 0
    for a, b in itertools.combinations(labels, 2):
        assert not a.intersects(b)
    assert len(labels) + len(sheet.bare) == len(sheet.placed)
    told = {f.subject for f in sheet.findings if f.code == "no-room-for-number"}
    assert told == {sheet.placed[n].piece.artwork.name for n in sheet.bare}


@settings(max_examples=12)
@given(livery(), st.sampled_from(["white", "clear"]))
def test_pieces_keep_their_gap_and_all_that_is_printed_beside_them_keeps_off(
    decals: tuple[Decal, ...], film: str
) -> None:
    done = layout(*decals, film=film)
    wanted = sum((2 if d.hands == "both" else 1) * (d.copies + d.spares) for d in decals)
    assert sum(len(sheet.placed) for sheet in done.sheets) == wanted
    assert len({(p.key, p.copy) for p in done.positions}) == wanted
    for sheet in done.sheets:
        assert_sound(sheet, GAP)
        assert_readable(sheet)


def test_equal_copies_share_a_number_and_hands_do_not() -> None:
    found = pieces(
        [jobs.job(field_decal("a", 5, 3, copies=2, spares=1), field_decal("b", 5, 3, hands="both"))], jobs.PRINTER
    )
    assert [(p.number, p.artwork.name, p.spare) for p in found] == [
        (1, "a", False),
        (1, "a", False),
        (1, "a", True),
        (2, "b, left", False),
        (3, "b, right", False),
    ]
    left = pieces([jobs.job(field_decal("b", 5, 3, hands="both"))], jobs.PRINTER, "left")
    assert [p.artwork.hand for p in left] == ["left"]


def test_several_jobs_share_a_sheet_and_numbers_run_on() -> None:
    one, two = jobs.job(field_decal("a", 5, 3)), jobs.job(field_decal("a", 6, 3), name="h9")
    done = arrange([one, two], Plan([jobs.film()], jobs.PRINTER, effort=QUICK))
    (sheet,) = done.sheets
    assert [(p.piece.number, p.piece.artwork.job) for p in sheet.placed] == [(1, "gannet"), (2, "h9")]


def test_films_of_different_kinds_go_on_different_sheets() -> None:
    job = jobs.job(field_decal("a", 5, 3), field_decal("b", 5, 3, film="clear"))
    done = arrange([job], Plan([jobs.film("clear"), jobs.film("white")], jobs.PRINTER, effort=QUICK))
    assert [(s.film.kind, [p.piece.artwork.film for p in s.placed]) for s in done.sheets] == [
        ("clear", ["clear"]),
        ("white", ["white"]),
    ]
    with pytest.raises(FilmError, match=r"^'b' of .+ asks for clear film, but no clear film is given"):
        arrange([job], Plan([jobs.film("white")], jobs.PRINTER, effort=QUICK))
    more = jobs.job(*(field_decal(name, 5, 3, hands="both") for name in "abc"))
    with pytest.raises(FilmError, match=r"^'a' of .+ and 2 more decals ask for white film, but no white film is given"):
        arrange([more], Plan([jobs.film("clear")], jobs.PRINTER, effort=QUICK))


def test_as_many_sheets_as_needed() -> None:
    done = layout(field_decal("a", 60, 80, copies=7))
    assert len(done.sheets) > 1
    assert [s.index for s in done.sheets] == list(range(1, len(done.sheets) + 1))
    assert {s.of for s in done.sheets} == {len(done.sheets)}
    for sheet in done.sheets:
        assert_sound(sheet, GAP)


def test_a_decal_larger_than_the_film_is_named_with_both_sizes() -> None:
    with pytest.raises(FitError) as caught:
        layout(field_decal("banner", 300, 20))
    assert "'banner' of Title of gannet fits on no white film" in caught.value.message
    assert "20.0 × 300.0 mm" in caught.value.message and "larger" in caught.value.fix


@pytest.mark.parametrize(("film", "printer"), [("laser", "inkjet"), ("inkjet", "laser")])
def test_film_and_printer_have_to_go_together_without_override(film: str, printer: str) -> None:
    job = jobs.job(field_decal("a", 5, 3))
    with pytest.raises(FilmError, match=f"is {film} film, the printer '.*' is an? {printer} printer: "):
        arrange([job], Plan([jobs.film(process=film)], replace(jobs.PRINTER, process=printer)))  # type: ignore[arg-type]


def test_a_used_strip_is_not_printed_on() -> None:
    used = jobs.film(used=(UsedArea(0, 0, 148, 30),))
    assert printable(used, jobs.PRINTER).bounds == (5, 30, 143, 205)
    hole = jobs.film(used=(UsedArea(60, 0, 30, 120),))
    done = layout(field_decal("a", 20, 15, copies=12), films=(hole,))
    gone = box(60, 0, 90, 120)
    for sheet in done.sheets:
        for placed in sheet.placed:
            assert placed.outer.distance(gone) > 0.9
    with pytest.raises(FilmError, match="nothing of the film"):
        printable(jobs.film(used=(UsedArea(0, 0, 148, 204.5),)), jobs.PRINTER)


@pytest.mark.parametrize(
    ("strip", "left_over"),
    [
        (UsedArea(0, 170, 148, 40), (5, 10, 143, 170)),
        (UsedArea(0, 0, 30, 210), (30, 10, 143, 205)),
        (UsedArea(110, 0, 38, 210), (5, 10, 110, 205)),
        (UsedArea(0, 0, 148, 3), (5, 10, 143, 205)),  # inside the margin, where nothing is printed anyway
        (UsedArea(0, 100, 148, 20), (5, 10, 143, 205)),  # across the middle: kept out of, and printed on both sides
        (UsedArea(60, 0, 20, 210), (5, 10, 143, 205)),
    ],
)
def test_a_strip_used_along_any_side_narrows_what_is_printed(
    strip: UsedArea, left_over: tuple[float, float, float, float]
) -> None:
    assert printable(jobs.film(used=(strip,)), jobs.PRINTER).bounds == left_over


def test_furniture_is_inside_the_printable_area_and_apart() -> None:
    (sheet,) = layout(field_decal("a", 5, 3)).sheets
    area = sheet.area.buffer(1e-6)
    outs = sheet.furniture.keep_outs
    assert len(sheet.furniture.registration) == 3 and len(outs) == 4
    assert all(area.contains(out) for out in outs)
    for a, b in itertools.combinations(outs, 2):
        assert not a.intersects(b)


def test_the_film_says_which_layout_and_sheet_it_is() -> None:
    (sheet,) = layout(field_decal("a", 5, 3)).sheets
    assert sheet.furniture.words == f"{sheet.digest[:8]} 1/1"


@pytest.mark.parametrize(("copies", "there"), [(1, True), (5, False), (12, True), (30, True)])
def test_the_words_on_the_film_stand_off_the_piece_that_stays_blank(copies: int, there: bool) -> None:
    """At least 1 mm, so that it can be cut off and kept: where a full row of pieces leaves no other room there are
    none, as five decals of 22 mm do in 138."""
    (sheet,) = layout(field_decal("a", 22, 9, copies=copies)).sheets
    written = [item for item in sheet.furniture.items if isinstance(item, Fill)]
    assert sheet.rest is not None and bool(written) == bool(sheet.furniture.words) == there
    assert all(box(*sheet.rest).distance(item.region) >= 0.99 for item in written)


def test_two_jobs_have_letters_that_no_other_sign_is_upside_down() -> None:
    some = [jobs.job(field_decal("a", 5, 3), name=f"job {n}") for n in range(12)]
    found = pieces(some, jobs.PRINTER)
    assert [one.label for one in found] == [
        *(f"{letter}{n}" for n, letter in enumerate("ACEFJKPRTY", start=1)),
        "AA11",
        "AC12",
    ]
    assert [one.label for one in pieces(some[:1], jobs.PRINTER)] == ["1"]


def test_a_decal_that_must_not_be_turned_is_not() -> None:
    tall = field_decal("tall", 8, 60, copies=9, turn=False)
    done = layout(tall, field_decal("free", 60, 8, copies=3))
    turns = {p.turn for p in done.positions if p.key == "gannet/tall/"}
    assert turns == {0}


def test_nothing_to_print_is_said() -> None:
    with pytest.raises(FitError, match="nothing to print"):
        arrange([jobs.job()], Plan([jobs.film()], jobs.PRINTER))


# --------------------------------------------------------------------------------------------------------- positions


def job_of_three() -> Job:
    return jobs.job(field_decal("a", 5, 3, copies=2), field_decal("b", 8, 3, at=At("top")))


def test_saved_positions_are_printed_as_they_are(tmp_path) -> None:  # type: ignore[no-untyped-def]
    job = job_of_three()
    first = arrange([job], Plan([jobs.film()], jobs.PRINTER, effort=QUICK))
    path = tmp_path / "x.positions.json"
    path.write_bytes(write_positions(first.digest, first.positions, [job]))
    moved = replace(read_positions(path), positions=tuple(replace(p, x=p.x + 20) for p in first.positions))
    again = arrange([job], Plan([jobs.film()], jobs.PRINTER), saved=moved)
    assert [p.x for p in again.sheets[0].placed] == pytest.approx([p.x + 20 for p in first.sheets[0].placed])
    assert [nest.engine for nest in again.nests] == ["saved"]
    assert read_positions(path) == Saved(first.digest, first.positions, str(path), jobs={job.name: job.digest})


def test_positions_of_another_geometry_are_refused() -> None:
    job = job_of_three()
    first = arrange([job], Plan([jobs.film()], jobs.PRINTER, effort=QUICK))
    saved = Saved(first.digest, first.positions, "x.positions.json")
    other = jobs.job(field_decal("a", 5.01, 3, copies=2), field_decal("b", 8, 3))
    with pytest.raises(DecalgenError, match="never proven"):
        arrange([other], Plan([jobs.film()], jobs.PRINTER), saved=saved)
    with pytest.raises(DecalgenError, match="never proven"):
        arrange([job], Plan([jobs.film(width=149)], jobs.PRINTER), saved=saved)


NAN = (
    '{"form": "decalgen positions 1", "layout": "a", "nested completely": true, "positions": '
    '[{"decal": "a", "copy": 0, "film": "f", "sheet": 0, "x": NaN, "y": 0, "turn": 0}]}'
)
EMPTY_ENTRY = '{"form": "decalgen positions 1", "layout": 1, "positions": [{}]}'


@pytest.mark.parametrize("text", ["", "{}", "[1]", '{"form": "decalgen positions 1"}', EMPTY_ENTRY, NAN, "[" * 100_000])
def test_a_file_that_holds_no_positions_is_said_so(tmp_path, text: str) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "x.positions.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DecalgenError) as caught:
        read_positions(path)
    assert "not a file of positions" in caught.value.message and "decalgen proof" in caught.value.fix


def test_the_same_input_gives_the_same_layout() -> None:
    job = job_of_three()
    one, two = (arrange([job], Plan([jobs.film()], jobs.PRINTER, effort=QUICK)) for _ in range(2))
    assert one.positions == two.positions and one.digest == two.digest
    assert isinstance(one.sheets[0].labels[0].region, MultiPolygon)
