"""Knock-out, hands, white, bleed: properties over random decals, and the cases that spoil a print."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Point
from shapely.ops import unary_union

from decalgen.artwork.build import BARE_MARGIN, BLEED, Artwork, build, build_all, hands, noticed
from decalgen.artwork.drawn import artworks
from decalgen.core.errors import FitError, Place
from decalgen.core.geometry import mirror_x, polygons, transform
from decalgen.core.lengths import Quantity
from decalgen.job.loader import load_job
from decalgen.job.model import Cut, Decal
from decalgen.shapes.base import ANCHORS, At, Box, Element
from decalgen.shapes.placing import place
from tests.helpers import jobs

INKS = st.sampled_from(["white", "orange", "navy", "green"])
SIZES = st.floats(0.6, 18.0).map(lambda v: round(v, 3))


@st.composite
def at(draw: st.DrawFn) -> At:
    return At(draw(st.sampled_from(sorted(ANCHORS))), draw(st.floats(-2, 2)), draw(st.floats(-2, 2)))  # type: ignore[arg-type]


@st.composite
def element(draw: st.DrawFn) -> Element:
    kind = draw(st.sampled_from(["field", "checks", "stripe", "roundel", "star"]))
    where = draw(st.one_of(st.just(At()), at()))
    if kind == "field":
        size = {"width": draw(st.one_of(st.none(), SIZES)), "height": draw(st.one_of(st.none(), SIZES))}
        return jobs.element(kind, where, ink=draw(INKS), corner_radius=draw(st.floats(0, 2)), **size)
    if kind == "checks":
        inks = tuple(draw(st.lists(INKS, min_size=2, max_size=3, unique=True)))
        return jobs.element(kind, where, rows=draw(st.integers(1, 4)), columns=draw(st.integers(1, 9)), inks=inks)
    if kind == "stripe":
        width, angle = draw(st.floats(0.3, 3)), draw(st.sampled_from([0.0, 45.0, 60.0, -30.0, 90.0]))
        return jobs.element(kind, where, ink=draw(INKS), stripe_width=width, angle=angle)
    diameter = draw(st.floats(1, 9))
    if kind == "roundel":
        inks = tuple(draw(st.lists(INKS, min_size=3, max_size=3, unique=True)))
        return jobs.element(kind, where, inks=inks, ratios=(5.0, 3.0, 1.0), diameter=diameter)
    return jobs.element(kind, where, ink=draw(INKS), diameter=diameter)


@st.composite
def decal(draw: st.DrawFn, margin: float | None = None) -> Decal:
    width, height = draw(st.floats(4, 24)), draw(st.floats(3, 12))
    cut = draw(st.sampled_from([Cut(), Cut(corner_radius=1.0), Cut("round")]))
    parts = draw(st.lists(element(), min_size=1, max_size=4))
    return jobs.decal("d", width, height, *parts, cut=cut, margin=margin, hands="both")


def areas(artwork: Artwork, what: str) -> dict[str, MultiPolygon]:
    return {i.ink: i.region for i in getattr(artwork, what)}


@given(decal())
def test_regions_of_different_inks_are_disjoint_and_all_that_was_drawn_is_there(one: Decal) -> None:
    job = jobs.job(one)
    art = build(job, one, None)
    regions = [i.region for i in art.printed]
    for a, b in itertools.combinations(regions, 2):
        assert a.intersection(b).area < 1e-6
    drawn = unary_union([i.region for i in place(one.artwork, Box(one.width.value, one.height.value))])
    edge = art.cut_polygon
    shown = unary_union([*(i.region for i in art.shown), art.bare])
    assert shown.symmetric_difference(drawn.intersection(edge)).area < 1e-5


@given(decal())
def test_what_lies_on_top_is_what_shows(one: Decal) -> None:
    """Sampled points: the ink that shows is the ink of the last element drawn there (found without any knock-out)."""
    art = build(jobs.job(one), one, None)
    layers = [place((e,), Box(one.width.value, one.height.value)) for e in one.artwork]
    painted = [i for layer in layers for i in layer]
    shown = {**areas(art, "shown"), "white": art.bare}
    for i, j in itertools.product(range(7), range(5)):
        point = Point((i + 0.37) / 7 * one.width.value, (j + 0.41) / 5 * one.height.value)
        near = [*(p.region.boundary for p in painted), art.cut_polygon.exterior]
        if min(line.distance(point) for line in near) < 0.002 or not art.cut_polygon.contains(point):
            continue
        top = next((p.ink for p in reversed(painted) if p.region.contains(point)), None)
        seen = next((ink for ink, region in shown.items() if region.contains(point)), None)
        assert seen == top


@given(decal())
def test_bleed_contains_its_artwork_and_stays_inside_its_outline(one: Decal) -> None:
    art = build(jobs.job(one), one, None)
    printed = areas(art, "printed")
    for ink, region in areas(art, "shown").items():
        assert region.difference(printed[ink]).area < 1e-6
        assert printed[ink].intersection(art.cut_polygon).symmetric_difference(region).area < 1e-5
    for region in printed.values():
        assert region.difference(art.outer.buffer(1e-6)).area < 1e-6
    assert math.isclose(art.outer.exterior.distance(art.cut_polygon), BLEED, abs_tol=2e-3)


@given(decal())
def test_the_other_hand_mirrored_is_the_first_again(one: Decal) -> None:
    left, right = artworks(jobs.job(one))
    assert (left.hand, right.hand) == ("left", "right")
    back = mirror_x(one.width.value)
    assert transform(right.cut_polygon, back).symmetric_difference(left.cut_polygon).area < 1e-6
    mine, other = areas(left, "printed"), areas(right, "printed")
    assert set(mine) == set(other)
    for ink, region in mine.items():
        assert transform(other[ink], back).symmetric_difference(region).area < 1e-5


@given(decal(margin=0.5))
def test_a_bare_margin_has_no_ink_in_it(one: Decal) -> None:
    art = build(jobs.job(one, film="clear"), one, None, white_printer=True)
    assert art.bleed == 0
    inside = art.cut_polygon.buffer(-0.5 + 2e-3, quad_segs=200)
    for inked in art.printed:
        assert inked.region.difference(inside).area < 1e-4


BEYOND = [(dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1) if dx or dy]


@pytest.mark.parametrize("way", BEYOND)
def test_no_sliver_of_the_other_ink_when_the_cut_of_checks_is_off_by_the_bleed(way: tuple[int, int]) -> None:
    """Each point of the band shows the ink of the nearest edge cell: no new row of cells starts."""
    checks = jobs.element("checks", rows=3, columns=5, inks=("orange", "navy"))
    one = jobs.decal("band", 15.0, 6.0, checks)
    art = build(jobs.job(one), one, None)
    printed = areas(art, "printed")
    off = translate(art.cut_polygon, way[0] * (BLEED - 1e-6), way[1] * (BLEED - 1e-6))
    assert off.difference(unary_union(list(printed.values()))).area < 1e-4
    for i, j in itertools.product(range(60), range(24)):
        x, y = -0.5 + (i + 0.5) * 16 / 60, -0.5 + (j + 0.5) * 7 / 24
        column, row = min(max(int(x // 3), 0), 4), min(max(int(y // 2), 0), 2)
        middle = Point(column * 3 + 1.5, row * 2 + 1.0)
        expected = next(ink for ink, region in printed.items() if region.contains(middle))
        if off.contains(Point(x, y)) and not art.cut_polygon.contains(Point(x, y)):
            assert printed[expected].contains(Point(x, y)), (x, y)


def test_a_slanted_stripe_runs_on_along_itself() -> None:
    one = jobs.decal("stripe", 10.0, 10.0, jobs.element("stripe", ink="navy", stripe_width=2.0, angle=45.0))
    art = build(jobs.job(one), one, None)
    band = areas(art, "printed")["navy"]
    # The stripe through the middle, 2 mm wide at 45 degrees: |x - y| <= sqrt(2).
    for point in (Point(-0.4, -0.4), Point(10.4, 10.4), Point(-0.4, 0.9), Point(10.4, 9.1)):
        assert band.contains(point)
    for point in (Point(-0.4, 1.2), Point(-0.4, 2.0), Point(10.4, 8.8)):
        assert not band.contains(point)


def test_a_roundel_cut_round_grows_all_round_by_the_bleed() -> None:
    roundel = jobs.element("roundel", inks=("navy", "white", "orange"), ratios=(5.0, 3.0, 1.0))
    one = jobs.decal("roundel", 10.0, 10.0, roundel, cut=Cut("round"))
    art = build(jobs.job(one), one, None)
    ring = areas(art, "printed")["navy"]
    assert ring.area == pytest.approx(math.pi * (5.5**2 - 3.0**2), rel=2e-3)
    assert areas(art, "shown")["navy"].area == pytest.approx(math.pi * (25 - 9), rel=5e-4)
    assert art.bare.area == pytest.approx(math.pi * (9 - 1), rel=5e-4)
    assert areas(art, "printed")["orange"].area == pytest.approx(math.pi, rel=3e-3)


def test_nothing_grows_where_nothing_is_drawn_at_the_edge() -> None:
    field = jobs.element("field", At("left"), ink="navy", width=3.0, height=2.0)
    one = jobs.decal("flag", 10.0, 6.0, field)
    band = areas(build(jobs.job(one), one, None), "printed")["navy"]
    assert band.bounds == pytest.approx((-0.5, 2.0, 3.0, 4.0))
    assert band.area == pytest.approx(3.5 * 2.0)


def test_cells_of_one_ink_are_one_outline_without_seams() -> None:
    halves = [jobs.element("field", At("left", k * 2.5, 0), ink="navy", width=2.5, height=4.0) for k in range(4)]
    one = jobs.decal("row", 10.0, 4.0, *halves)
    (inked,) = build(jobs.job(one), one, None).shown
    assert len(polygons(inked.region)) == 1
    assert inked.region.area == pytest.approx(40.0)


# ------------------------------------------------------------------------------------------------- lettering and hands


def word(ink: str, where: At | None = None, text: str = "HARBOUR") -> Element:
    return jobs.element("lettering", where, text=(text,), cap_height=1.6, ink=ink)


def test_lettering_keeps_its_reading_in_the_other_hand_at_the_mirrored_spot() -> None:
    one = jobs.decal("pair", 30.0, 4.0, word("navy", At("left", 1.0, 0.0)), hands="both", margin=0.5)
    left, right = artworks(jobs.job(one))
    mine, other = (areas(art, "shown")["navy"] for art in (left, right))
    shift = other.bounds[0] - mine.bounds[0]
    assert translate(mine, shift).symmetric_difference(other).area < 1e-6
    assert mine.bounds[0] == pytest.approx(30.0 - other.bounds[2], abs=1e-6)


def test_never_mirror_holds_for_any_shape() -> None:
    flag = jobs.element("stripe", At("left"), never_mirror=True, ink="navy", stripe_width=1.0, angle=45.0, width=4.0)
    one = jobs.decal("flag", 20.0, 4.0, flag, hands="both", margin=0.5)
    left, right = artworks(jobs.job(one))
    mine, other = (areas(art, "shown")["navy"] for art in (left, right))
    assert translate(mine, 16.0).symmetric_difference(other).area < 1e-6


def test_a_right_panel_measured_itself_is_not_mirrored() -> None:
    one = jobs.decal("flag", 20.0, 4.0, jobs.element("field", At("left"), ink="navy", width=4.0), hands="right")
    mirrored = build(jobs.job(one), one, "right")
    measured = build(jobs.job(one, panels=(jobs.panel(hand="right"),)), one, "right")
    assert areas(mirrored, "shown")["navy"].bounds[0] == pytest.approx(16.0)
    assert areas(measured, "shown")["navy"].bounds[0] == pytest.approx(0.0)


def codes(art: Artwork) -> list[str]:
    return [f.code for f in art.findings]


def check(
    *parts: Element, film: str = "white", white: bool = False, size: tuple[float, float] = (14.0, 4.0)
) -> list[str]:
    one = jobs.decal("d", *size, *parts)
    return codes(build(jobs.job(one, film=film), one, None, white))


def test_lettering_that_merges_with_its_ground_is_an_error() -> None:
    ground = jobs.element("field", ink="navy")
    assert check(ground, word("navy")) == ["lettering-merges"]
    assert check(ground, word("orange")) == []
    # An ink between the two saves it; the same ink covering that again does not.
    between = jobs.element("field", ink="orange", height=3.0)
    assert check(ground, between, word("navy")) == []
    assert check(ground, between, ground, word("navy")) == ["lettering-merges"]


def test_lettering_that_touches_its_own_ink_is_a_warning() -> None:
    line = jobs.element("field", At("bottom"), ink="navy", height=1.2)
    # Cap line to baseline is 1.6 mm in the middle of 4 mm: the baseline is at 1.2 mm, on the line's upper edge.
    assert check(line, word("navy")) == ["lettering-touches"]
    assert check(line, word("navy", At("centre", 0.0, 0.3))) == []


def test_lettering_lost_in_its_ground_is_told_by_its_words_and_where_they_stand() -> None:
    here, there = Place("tug.yaml", 12, 9), Place("tug.yaml", 13, 9)
    ground = jobs.element("field", ink="navy")
    first, second = (replace(word("navy", text=text), place=at) for text, at in (("HULL", here), ("BAY", there)))
    one = replace(jobs.decal("d", 14.0, 4.0, ground, first, second), place=Place("tug.yaml", 9, 3))
    found = build(jobs.job(one), one, None, False).findings
    merged = {finding.place: finding.message for finding in found if finding.code == "lettering-merges"}
    assert set(merged) == {here, there}
    assert merged[here].startswith("'HULL' in 'navy' lies on 'navy'") and "'BAY'" in merged[there]
    line = jobs.element("field", At("bottom"), ink="navy", height=1.2)
    touching = jobs.decal("d", 14.0, 4.0, line, first)
    (finding,) = build(jobs.job(touching), touching, None, False).findings
    assert finding.message.startswith("'HULL' in 'navy' touches") and finding.place == here


def test_lettering_beyond_the_cut_line_is_an_error() -> None:
    assert check(word("navy", text="HARBOUR STORES")) == ["lettering-cut-off"]


def test_how_much_lettering_is_lost_is_told_against_its_limit() -> None:
    """A band of the lettering's own ink hides its lower half; a word twice as long as the decal loses half of it."""
    hidden = jobs.decal("d", 14.0, 4.0, jobs.element("field", At("bottom"), ink="navy", height=2.0), word("navy"))
    (merged,) = build(jobs.job(hidden), hidden, None, False).findings
    assert 35 < (merged.measured or 0) < 65 and (merged.limit, merged.unit) == (1.0, "%")
    assert f"{merged.measured:.0f}%" in merged.message
    long = jobs.decal("d", 14.0, 4.0, word("navy", text="HARBOUR STORES"))
    (lost,) = build(jobs.job(long), long, None, False).findings
    assert f"{lost.measured:.0f}%" in lost.message and (lost.limit, lost.unit) == (1.0, "%")


def test_white_lettering_on_bare_white_film_cannot_be_seen() -> None:
    assert check(word("white")) == ["lettering-merges"]
    assert check(jobs.element("field", ink="navy"), word("white")) == []
    assert check(word("white"), white=True) == []


def test_white_on_white_film_is_bare_film_reversed_out_of_its_ground() -> None:
    one = jobs.decal("d", 14.0, 4.0, jobs.element("field", ink="navy"), word("white"))
    art = build(jobs.job(one), one, None)
    assert [i.ink for i in art.printed] == ["navy"]
    assert art.bare.area > 1.0
    assert areas(art, "shown")["navy"].area + art.bare.area == pytest.approx(56.0)
    assert art.bleed == BLEED and art.margin == 0  # the ground is drawn to the cut line, and beyond


def test_white_on_clear_film_is_an_error_with_three_offers() -> None:
    one = jobs.decal("d", 14.0, 4.0, jobs.element("field", ink="white"), word("navy"))
    art = build(jobs.job(one, film="clear"), one, None)
    (finding,) = art.findings
    assert finding.code == "white-on-clear" and finding.severity == "error"
    for offer in ("film: white", "backing", "paint a white patch"):
        assert offer in finding.fix
    with_white = build(jobs.job(one, film="clear"), one, None, white_printer=True)
    assert with_white.findings == () and "white" in areas(with_white, "printed")


def test_clear_film_has_a_bare_margin_and_no_bleed_unless_told() -> None:
    field = jobs.element("field", ink="navy")
    one = jobs.decal("d", 10.0, 4.0, field)
    art = build(jobs.job(one, film="clear"), one, None)
    assert (art.margin, art.bleed) == (BARE_MARGIN, 0.0)
    assert art.cut_polygon.bounds == pytest.approx((-0.5, -0.5, 10.5, 4.5))
    told = jobs.decal("d", 10.0, 4.0, field, bleed=0.8)
    art = build(jobs.job(told, film="clear"), told, None)
    assert (art.margin, art.bleed) == (0.0, 0.8)


def test_a_border_follows_the_cut_line() -> None:
    border = jobs.element("border", ink="navy", line_width=0.5)
    one = jobs.decal("d", 10.0, 6.0, jobs.element("field", ink="orange"), border, cut=Cut("round"))
    art = build(jobs.job(one), one, None)
    ring = areas(art, "shown")["navy"]
    inner = art.cut_polygon.buffer(-0.5)
    assert ring.symmetric_difference(art.cut_polygon.difference(inner)).area < 1e-2


def test_a_cut_along_artwork_in_pieces_is_refused_with_the_place() -> None:
    spots: Sequence[Element] = [
        jobs.element("field", At("left"), ink="navy", width=1.0),
        jobs.element("field", At("right"), ink="navy", width=1.0),
    ]
    one = jobs.decal("d", 10.0, 2.0, *spots, cut=Cut("artwork"))
    with pytest.raises(FitError, match="falls apart into 2 pieces"):
        build(jobs.job(one), one, None)


def test_a_larger_decal_joins_what_its_edge_cuts_apart() -> None:
    """A band that goes up over the decal and comes back is in two pieces; 5 mm higher, it is one."""
    points = ((2.0, 2.0), (10.0, 9.0), (20.0, 12.0), (30.0, 9.0), (38.0, 2.0))
    band = jobs.element("band", ink="navy", points=points, stripe_width=(1.0,), in_place=True)
    low, high = (jobs.decal("d", 40.0, height, band, cut=Cut("artwork")) for height in (9.0, 14.0))
    with pytest.raises(FitError, match="falls apart into 2 pieces") as error:
        build(jobs.job(low), low, None)
    assert "a larger decal" in error.value.fix
    assert build(jobs.job(high), high, None).cut_polygon.bounds[3] == pytest.approx(12.5, abs=0.02)


def test_a_cut_along_the_artwork_is_its_outline() -> None:
    one = jobs.decal("star", 8.0, 8.0, jobs.element("star", ink="orange", diameter=8.0), cut=Cut("artwork"))
    art = build(jobs.job(one), one, None)
    assert art.cut_polygon.symmetric_difference(areas(art, "shown")["orange"]).area < 1e-6
    beyond = areas(art, "printed")["orange"].difference(art.cut_polygon)
    assert beyond.area > 0.4 * art.cut_polygon.length  # about the perimeter times half a millimetre


@pytest.mark.parametrize("name", ["gannet", "h9", "ostmerrow", "dravenhoe"])
@pytest.mark.parametrize("white_printer", [False, True])
def test_what_is_noticed_of_a_decal_does_not_wait_for_its_print(
    repository: Path, name: str, white_printer: bool
) -> None:
    job = load_job(repository / "demo" / f"{name}.yaml")
    for decal in job.decals:
        cramped = replace(decal, width=Quantity(decal.width.value * 0.6))
        for hand in hands(decal):
            for one in (decal, cramped):
                whole = [finding for part in build_all(job, one, hand, white_printer) for finding in part.findings]
                assert list(noticed(job, one, hand, white_printer)) == whole
