"""The picture of a panel with its clearances: figures that agree with the fit, numbers that lie on nothing."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
from shapely.geometry import box

from decalgen.artwork.build import build_all
from decalgen.artwork.drawn import artworks
from decalgen.artwork.on_panel import on_panel
from decalgen.core.document import Contour, Line
from decalgen.core.geometry import IDENTITY
from decalgen.job.model import Decal, Job
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


def test_each_edge_and_obstacle_has_a_number_and_its_figures() -> None:
    job = scene(field("band", 10.0, 4.0, at=At("bottom left", 2.0, 3.0)))
    one = fitting(build_all(job, job.decals[0]), job.decals[0], job)
    rows = shown([one], job.panels[0], IDENTITY)
    assert [row.to for row in rows] == ["left edge", "right edge", "bottom edge", "top edge", "handle"]
    assert [row.number for row in rows] == [1, 2, 3, 4, 5]
    for row in rows:
        assert row.line is not None
        figure = float(row.figures.split()[0])
        asked = 0.3 if row.to == "handle" else 0.0
        assert row.line.length - asked == pytest.approx(figure, abs=0.006)
    assert [row[1] for row in table_rows(rows)] == ["Decal", "band", *[""] * (len(rows) - 1)]


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


def test_numbers_overlap_neither_each_other_nor_the_edge_of_their_room() -> None:
    places = [(2.0, 2.0), (20.0, 2.0), (38.0, 2.0), (2.0, 25.0), (20.0, 25.0), (38.0, 25.0)]
    decals = [field(f"d{n}", 12.0, 9.0, at=At("bottom left", *at)) for n, at in enumerate(places)]
    job = scene(*decals)
    fits = [fitting(build_all(job, decal), decal, job) for decal in decals]
    room = box(0, 0, 120, 80)
    rows = shown(fits, job.panels[0], (2.0, 0.0, 0.0, 2.0, 0.0, 0.0))
    grounds = draw_clearances(Sheaf(120, 80), rows, room, ())
    assert len(grounds) == len(rows) >= 24
    assert all(room.contains(ground) for ground in grounds)
    assert all(a.intersection(b).area == 0 for a, b in combinations(grounds, 2))


def test_the_right_hand_is_drawn_with_its_own_clearances() -> None:
    decal = field("band", 10.0, 4.0, at=At("left", 1.0, 0.0), hands="both")
    job = scene(decal)
    one = fitting(build_all(job, decal, "right"), decal, job)
    panel, _ = on_panel(job, decal, "right")
    (right,) = [row for row in shown([one], panel, IDENTITY) if row.to == "right edge"]
    assert right.line is not None
    assert max(x for x, _ in right.line.coords) == pytest.approx(60.0)
    assert right.figures.startswith("+1.00")


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
