"""What holds for every band along the edge of any panel, with parameters made up by hypothesis."""

from __future__ import annotations

from itertools import combinations

import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from decalgen.artwork.build import build
from decalgen.artwork.edge_band import runs_along
from decalgen.job.model import Cut
from decalgen.panels.base import Panel
from decalgen.shapes.band import BandLine, DrawnBand, drawn, in_box
from decalgen.shapes.base import At, Box, Element, ShapeError
from tests.helpers import jobs
from tests.shapes.edge_band_strategies import edge_bands, free_panels

ROUNDING = 5e-5
"""Points are rounded to a nanometre: two edges of 50 mm may part by so much, mm²."""
SETTINGS = settings(max_examples=40, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])


def made(data: st.DataObject) -> tuple[Panel, DrawnBand, tuple[BandLine, ...]]:
    """A panel and a band along its edge; another example where one does not fit, which is an answer."""
    panel = data.draw(free_panels())
    assume(panel is not None)
    assert panel is not None
    band = data.draw(edge_bands(panel))
    try:
        runs = runs_along(band, panel.outline, panel.sides, panel.name)
        drawn(band, runs)
    except ShapeError as error:
        assert error.message and error.fix
        assume(False)
    return panel, band, runs


def shared(areas: list[shapely.MultiPolygon]) -> float:
    return max((float(one.intersection(other).area) for one, other in combinations(areas, 2)), default=0.0)


@SETTINGS
@given(data=st.data())
def test_no_two_of_its_stripes_share_anything_on_the_panel_and_its_bleed(data: st.DataObject) -> None:
    panel, band, runs = made(data)
    film = panel.outline.polygon.buffer(0.5, join_style="mitre")
    areas = drawn(band, runs)
    assert all(area.is_valid for area in areas)
    assert shared([area.intersection(film) for area in areas]) < ROUNDING


@SETTINGS
@given(data=st.data())
def test_running_on_changes_nothing_inside(data: st.DataObject) -> None:
    panel, band, runs = made(data)
    size = Box(panel.width.value, panel.height.value)
    view = shapely.box(0, 0, *size)
    try:
        plain, running = in_box(band, runs, size, 0.0), in_box(band, runs, size, 0.5)
    except ShapeError:
        assume(False)
    for before, after in zip(plain, running, strict=True):
        assert before.ink == after.ink
        assert before.region.symmetric_difference(after.region.intersection(view)).area < 1e-6


@SETTINGS
@given(data=st.data())
def test_its_inks_are_knocked_out_and_cover_the_bleed(data: st.DataObject) -> None:
    """Over a ground, all inks fill the film to its cut line, and 0.5 mm beyond it, and share nothing."""
    panel, band, _ = made(data)
    ground = jobs.element("field", ink="green")
    one = jobs.decal(
        "edging",
        panel.width.value,
        panel.height.value,
        ground,
        Element(band, At()),
        cut=Cut("panel"),
    )
    art = build(jobs.job(one, panels=(panel,)), one)
    for inked, film in ((art.shown, art.cut_polygon), (art.printed, art.cut_polygon.buffer(0.499))):
        areas = [each.region for each in inked]
        assert shared(areas) < 1e-6
        assert film.difference(shapely.union_all(areas)).area < 1e-3


@SETTINGS
@given(data=st.data())
def test_no_place_of_it_is_nearer_to_its_sides_than_its_distance(data: st.DataObject) -> None:
    """On the panel, by GEOS: what is left of the panel within that distance of the named sides has no ink."""
    panel, band, runs = made(data)
    assume(band.distance is not None and band.distance > 0.05)
    assert band.distance is not None
    if band.part is not None:
        lines = [shapely.LineString(run.curve.points()) for run in runs]
    else:
        named = zip(panel.outline.segments, panel.sides, strict=True)
        lines = [shapely.LineString(one.points()) for one, side in named if side in band.edge]
    near = shapely.union_all(lines).buffer(band.distance - 0.003, cap_style="flat", join_style="mitre", quad_segs=64)
    inner = panel.outline.polygon.intersection(near)
    assert sum(area.intersection(inner).area for area in drawn(band, runs)) < 1e-3
