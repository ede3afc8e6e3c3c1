"""The picture of a panel with its clearances: figures that agree with the fit, numbers that lie on nothing."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
from shapely.affinity import affine_transform
from shapely.geometry import Point, box

from decalgen.artwork.build import build_all
from decalgen.artwork.drawn import artworks
from decalgen.artwork.on_panel import on_panel
from decalgen.core import style
from decalgen.core.document import Contour, Line
from decalgen.core.geometry import IDENTITY
from decalgen.core.lengths import Quantity
from decalgen.job.model import Cut, Decal, Job
from decalgen.pages.clearance_marks import draw_clearances, keep_off_lines, shown, strain_map, table_rows
from decalgen.pages.composer import Sheaf
from decalgen.pages.decal_and_panel import panel_picture
from decalgen.panels.base import Obstacle, Panel
from decalgen.panels.dome import Dome
from decalgen.panels.flat import Flat
from decalgen.preflight.fitting import fitting
from decalgen.shapes.base import At
from tests.helpers import jobs


def field(name: str, width: float, height: float, **more: object) -> Decal:
    return jobs.decal(name, width, height, jobs.element("field", ink="orange"), **more)


def flat(*obstacles: Obstacle) -> Panel:
    """A flat panel of 60 by 40 mm, built from its readings as a job's is."""
    return replace(Flat(width=60.0, height=40.0).build("door"), obstacles=obstacles)


def scene(*decals: Decal, panel: Panel | None = None) -> Job:
    return jobs.job(*decals, panels=(panel or flat(jobs.handle()),))


def test_the_distances_that_place_a_decal_and_the_tightest_are_drawn_and_all_are_in_the_table() -> None:
    job = scene(field("band", 10.0, 4.0, at=At("bottom left", 2.0, 3.0)))
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    rows = shown([one], job.panels[0], IDENTITY)
    assert [row.to for row in rows] == ["left edge", "right edge", "bottom edge", "top edge", "handle"]
    # The handle is nearest: hypot(16.5 - 12, 8.2 - 7) - 0.3 = 4.36 mm; the bottom edge is 3 mm off, the left one 2 mm.
    assert [row.letter for row in rows] == ["a", "", "b", "", ""]
    for row in rows:
        assert (row.line is None) == (row.letter == "")
        if row.line is not None:
            assert row.line.length == pytest.approx(float(row.figures.split()[0]), abs=0.006)
    assert [row[1] for row in table_rows(rows)] == ["Decal", "band", *[""] * (len(rows) - 1)]
    assert [row[0] for row in table_rows(rows)] == ["", "a", "", "b", "", ""]


def test_the_tightest_clearance_is_drawn_too() -> None:
    job = scene(field("band", 10.0, 4.0, at=At("bottom left", 6.0, 4.0)))
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    rows = {row.to: row for row in shown([one], job.panels[0], IDENTITY)}
    # 16.5 - 16 across and 8.2 - 8 up to the handle, 0.3 mm of which it asks for.
    assert rows["handle"].line is not None
    assert rows["handle"].line.length == pytest.approx(math.hypot(0.5, 0.2), abs=1e-6)
    assert {to for to, row in rows.items() if row.letter} == {"left edge", "bottom edge", "handle"}


@pytest.mark.parametrize(
    ("anchor", "drawn"),
    [
        ("bottom left", {"left edge", "bottom edge"}), ("top right", {"right edge", "top edge"}),
        ("left", {"left edge", "bottom edge"}), ("top", {"left edge", "top edge"}),
        ("centre", {"left edge", "bottom edge"}),
    ],
)  # fmt: skip
def test_one_distance_each_way_places_a_decal(anchor: str, drawn: set[str]) -> None:
    dx = 2.0 if "left" in anchor else -2.0 if "right" in anchor else 0.0
    dy = 1.0 if "bottom" in anchor else -1.0 if "top" in anchor else 0.0
    job = scene(field("band", 10.0, 4.0, at=At(anchor, dx, dy)), panel=flat())
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    assert {row.to for row in shown([one], job.panels[0], IDENTITY) if row.letter} == drawn


def test_what_the_job_sets_has_no_uncertainty_and_is_called_chosen() -> None:
    job = scene(field("band", 10.0, 4.0, at=At("bottom left", 2.0, 3.0)))
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    figures = {row.to: row.figures for row in shown([one], job.panels[0], IDENTITY)}
    assert figures["left edge"] == "2.00 mm, chosen" and figures["bottom edge"] == "3.00 mm, chosen"
    # Without a measured ± the job's sides have ± 0.02 mm.
    assert "\N{PLUS-MINUS SIGN}" in figures["right edge"] and "chosen" not in figures["right edge"]


@pytest.mark.parametrize("left", [10.0, 30.0])
def test_a_line_runs_beside_other_decals_where_it_can(left: float) -> None:
    """The decal above reaches from 15 to 45 mm; the one below covers one half of that, then all of it."""
    below = field("below", 20.0, 6.0, at=At("bottom left", left, 2.0))
    above = field("above", 30.0, 6.0, at=At("bottom", 0.0, 20.0))
    for under, free in ((below, True), (replace(below, width=Quantity(58.0), at=At("bottom", 0.0, 2.0)), False)):
        job = scene(above, under, panel=flat())
        fits = [fitting(build_all(job, decal), decal, job) for decal in job.decals]
        rows = {(row.decal, row.to): row for row in shown(fits, job.panels[0], IDENTITY)}
        line = rows["above", "bottom edge"].line
        assert line is not None and line.length == pytest.approx(20.0)
        assert line.disjoint(fits[1].cut) == free, "it crosses the decal below only where there is no other way"


def test_letters_stand_off_the_artwork_where_there_is_room() -> None:
    job = scene(field("band", 56.0, 20.0, at=At("bottom left", 2.0, 2.0)), panel=flat())
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    rows = shown([one], job.panels[0], (2.0, 0.0, 0.0, 2.0, 10.0, 10.0))
    cut = affine_transform(one.cut, [2.0, 0.0, 0.0, 2.0, 10.0, 10.0])
    grounds = draw_clearances(Sheaf(140, 100), rows, box(1, 1, 139, 99), (), [cut])
    assert len(grounds) >= 2 and all(ground.disjoint(cut) for ground in grounds)


def test_a_letter_over_z_goes_on_with_a_number() -> None:
    decals = [field(f"d{n}", 2.0, 1.5, at=At("bottom left", 3.0 * n + 1, 2.0)) for n in range(14)]
    job = scene(*decals, panel=flat())
    fits = [fitting(build_all(job, decal), decal, job) for decal in decals]
    letters = [row.letter for row in shown(fits, job.panels[0], IDENTITY) if row.letter]
    assert letters[:3] == ["a", "b", "c"] and letters[25:28] == ["z", "a2", "b2"] and len(set(letters)) == len(letters)


def test_what_hangs_over_an_edge_is_drawn_as_far_as_it_hangs_over() -> None:
    job = scene(field("band", 10.0, 4.0, at=At("bottom left", -1.5, 3.0)))
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    (left,) = [row for row in shown([one], job.panels[0], IDENTITY) if row.to == "left edge"]
    assert left.line is not None and left.verdict == "too big"
    assert left.line.length == pytest.approx(1.5) and left.figures.startswith("-1.50")


def test_what_lies_on_an_obstacle_is_drawn_as_far_as_it_must_move() -> None:
    job = scene(field("band", 10.0, 4.0, at=At("bottom left", 7.5, 4.6)))
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    (handle,) = [row for row in shown([one], job.panels[0], IDENTITY) if row.to == "handle"]
    # The handle reaches from 16.5, 8.2; the film to 17.5, 8.6: 0.4 mm is the shortest way, and 0.3 mm is asked for.
    assert handle.line is not None and handle.verdict == "too big"
    assert handle.line.length == pytest.approx(0.4) and handle.figures.startswith("-0.70")
    assert handle.line.bounds == pytest.approx((17.0, 8.2, 17.0, 8.6))


def test_letters_overlap_neither_each_other_nor_the_edge_of_their_room() -> None:
    places = [(2.0, 2.0), (20.0, 2.0), (38.0, 2.0), (2.0, 25.0), (20.0, 25.0), (38.0, 25.0)]
    decals = [field(f"d{n}", 12.0, 9.0, at=At("bottom left", *at)) for n, at in enumerate(places)]
    job = scene(*decals)
    fits = [fitting(build_all(job, decal), decal, job) for decal in decals]
    room = box(0, 0, 120, 80)
    rows = shown(fits, job.panels[0], (2.0, 0.0, 0.0, 2.0, 0.0, 0.0))
    grounds = draw_clearances(Sheaf(120, 80), rows, room, ())
    assert len(grounds) == len([row for row in rows if row.letter]) >= 12
    assert all(room.contains(ground) for ground in grounds)
    assert all(a.intersection(b).area == 0 for a, b in combinations(grounds, 2))


def test_the_right_hand_is_drawn_with_its_own_clearances() -> None:
    decal = field("band", 10.0, 4.0, at=At("left", 1.0, 0.0), hands="both")
    job = scene(decal)
    one = fitting(build_all(job, decal, "right"), decal, job)
    panel, _ = on_panel(job, decal, "right")
    (right,) = [row for row in shown([one], panel, IDENTITY, mirrored=True) if row.to == "right edge"]
    assert right.line is not None
    assert max(x for x, _ in right.line.coords) == pytest.approx(60.0)
    assert right.figures == "1.00 mm, chosen"


def test_the_right_hand_is_placed_from_the_side_that_its_mirrored_place_asks_for() -> None:
    """30 mm from the left edge of the left hand are 30 mm from the right edge of the right one, 20 mm from its left."""
    decal = field("band", 10.0, 4.0, at=At("left", 30.0, 0.0), hands="both")
    job = scene(decal, panel=flat())
    one = fitting(build_all(job, decal, "right"), decal, job)
    panel, _ = on_panel(job, decal, "right")
    drawn = {row.to for row in shown([one], panel, IDENTITY, mirrored=True) if row.letter}
    assert "right edge" in drawn and "left edge" not in drawn


def test_all_that_does_not_fit_is_drawn_and_said_and_what_fits_is_not() -> None:
    """Over the left edge by 1.5 mm, over the foot by 0.5: both, though one of them is the tightest."""
    job = scene(field("band", 10.0, 4.0, at=At("top right", -51.5, -36.5)), panel=flat())
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    rows = {row.to: row for row in shown([one], job.panels[0], IDENTITY)}
    assert {to for to, row in rows.items() if row.verdict != "fits"} == {"left edge", "bottom edge"}
    assert all(rows[to].letter for to in ("left edge", "bottom edge"))
    said = {cells[2]: cells[3] for cells in table_rows(list(rows.values()))[1:]}
    assert all(said[to].endswith("too big") for to in ("left edge", "bottom edge"))
    assert not any(word in said[to] for to in ("right edge", "top edge") for word in ("fits", "too big"))


@pytest.mark.parametrize("left", [18.0, 28.0])
def test_a_line_runs_beside_an_obstacle_where_it_can(left: float) -> None:
    """A vent under the left half of the decal, or under its right half."""
    vent = Obstacle("vent", jobs.outline(left, 5.0, 14.0, 5.0), 0.1)
    job = scene(field("above", 20.0, 6.0, at=At("bottom", 0.0, 20.0)), panel=flat(vent))
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    (low,) = [row for row in shown([one], job.panels[0], IDENTITY) if row.to == "bottom edge"]
    assert low.line is not None and low.line.length == pytest.approx(20.0)
    assert low.line.disjoint(vent.outline.polygon)


def test_a_line_begins_on_a_round_cut_line_wherever_it_is_moved_to() -> None:
    vent = Obstacle("vent", jobs.outline(29.0, 2.0, 2.0, 2.0), 0.1)
    job = scene(field("disc", 20.0, 20.0, at=At("bottom", 0.0, 10.0), cut=Cut("round")), panel=flat(vent))
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    lines = [row.line for row in shown([one], job.panels[0], IDENTITY) if row.line is not None]
    assert len(lines) >= 2
    assert all(min(one.cut.boundary.distance(Point(end)) for end in line.coords) < 0.02 for line in lines)


def test_no_line_of_a_measure_crosses_the_artwork_it_is_of() -> None:
    """Its ends lie on the cut line and on the edge, nothing of it inside; eight places all over a panel."""
    for x, y in ((2, 2), (45, 2), (2, 30), (45, 30), (20, 15), (1, 17), (30, 33), (48, 1)):
        job = scene(field("band", 10.0, 4.0, at=At("bottom left", float(x), float(y))))
        one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
        lines = [row.line for row in shown([one], job.panels[0], IDENTITY) if row.line is not None]
        assert len(lines) >= 2
        assert not [line for line in lines if line.intersection(one.cut.buffer(-0.01)).length > 0.0]


def test_letters_stand_on_no_line_and_lines_are_cased_in_white() -> None:
    """A line has to show on any paint: under each is a wider pale one, all of these drawn before any line."""
    places = [(2.0, 2.0), (20.0, 2.0), (38.0, 2.0), (2.0, 25.0), (20.0, 25.0), (38.0, 25.0)]
    job = scene(*(field(f"d{n}", 12.0, 9.0, at=At("bottom left", *at)) for n, at in enumerate(places)))
    fits = [fitting(build_all(job, decal), decal, job) for decal in job.decals]
    rows = shown(fits, job.panels[0], (3.0, 0.0, 0.0, 3.0, 10.0, 10.0))
    sheaf = Sheaf(200, 150)
    grounds = draw_clearances(sheaf, rows, box(0, 0, 200, 150), ())
    measures = [row.line for row in rows if row.line is not None]
    assert len(grounds) == len(measures) >= 12
    assert not [1 for ground in grounds for line in measures if ground.intersects(line)]
    drawn = [item for item in sheaf.items if isinstance(item, Line)]
    for line in measures:
        same = [item for item in drawn if item.points == tuple(line.coords)]
        assert [item.colour for item in same] == [style.PAPER, style.TEXT] and same[0].width >= 2 * same[1].width
    dark = [n for n, item in enumerate(drawn) if item.colour == style.TEXT]
    assert all(item.colour == style.PAPER for item in drawn[: dark[0]]) and dark[0] == len(measures)


def test_strain_rings_lie_where_the_strain_is() -> None:
    """At the ring of one percent a disc's rim is short by 1 - sin x/x = 0.01, x = distance / 18 (closed form)."""
    panel = Dome(width=13.0, height=12.0, radius_across=18.0, radius_up=18.0).build("door")
    job = scene(field("dome", 11.0, 10.0), panel=panel)
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    assert one.strain is not None
    mx, my = one.strain.middle
    heavy = [i for i in strain_map(Sheaf(100, 100), one, panel, IDENTITY, []) if isinstance(i, Line) and i.width == 0.4]
    assert len(heavy) == 1
    for x, y in heavy[0].points:
        angle = math.hypot(x - mx, y - my) / 18
        assert 1 - math.sin(angle) / angle == pytest.approx(0.01, abs=1e-5)


def test_a_picture_of_everything_can_be_made() -> None:
    gap = Obstacle("shut line", jobs.outline(30.0, -0.5, 0.4, 41.0), 0.1, gap=True)
    decal = field("band", 50.0, 12.0, hands="both", split_at=("shut line",), cut_around=("handle",))
    plain = scene(decal, panel=flat(jobs.handle(), gap))
    arts = [art for art in artworks(plain) if art.hand == "right"]
    page = panel_picture(arts, plain, plain.panels[0], None).pages[0]
    bare = panel_picture(
        [replace(art, holes=()) for art in arts], plain, replace(plain.panels[0], obstacles=()), None
    ).pages[0]
    assert sum(len(layer.items) for layer in page.layers) > sum(len(layer.items) for layer in bare.layers)


def test_only_a_clearance_that_is_asked_for_is_dotted() -> None:
    handle = jobs.handle()
    assert handle.clearance == 0.3
    lines = [item for item in keep_off_lines(flat(handle), IDENTITY) if isinstance(item, Contour)]
    assert len(lines) == 2, "a line and the ground under it"
    x0, y0, x1, y1 = handle.outline.polygon.bounds
    for line in lines:
        bounds = line.outline.polygon.bounds
        assert bounds == pytest.approx((x0 - 0.3, y0 - 0.3, x1 + 0.3, y1 + 0.3), abs=0.002)
    assert keep_off_lines(flat(replace(handle, clearance=0.0)), IDENTITY) == []
