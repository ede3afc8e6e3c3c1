"""Bands along the edge of the panel that a decal lies on: bleed, knock-out, hands, bent panels."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from decalgen.artwork.build import Artwork, build, build_all
from decalgen.artwork.edge_band import runs_along
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import mirror_x, transform, union
from decalgen.job.loader import load_job
from decalgen.job.model import Cut, Hand
from decalgen.panels.base import Obstacle, Panel
from decalgen.panels.clearance import side_lines
from decalgen.panels.cone import Cone
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.flat import Tapered
from decalgen.panels.free import FreeOutline
from decalgen.shapes.band import drawn as drawn_areas
from decalgen.shapes.base import ShapeError
from tests.helpers import jobs

FLANK = FreeOutline(
    outline=((0.0, 0.0), (12.0, 0.0), (27.0, 0.0), (61.0, 0.0), (58.0, 16.0), (3.0, 16.0)),
    arc_rises=(0, -7.0, 0, 0, 0, 0),
)


def drawn(
    panel: Panel, *bands: dict[str, object], ground: bool = False, hand: Hand | None = None, **more: object
) -> Artwork:
    """A decal cut to its panel, with bands along its edge."""
    art = [jobs.element("field", ink="green")] if ground else []
    art += [jobs.element("band", **one) for one in bands]
    hands = "both" if hand else "one"
    more = {"cut": Cut("panel"), "hands": hands, **more}
    decal = jobs.decal("edging", panel.width.value, panel.height.value, *art, **more)
    return build(jobs.job(decal, panels=(panel,)), decal, hand)


def ink(art: Artwork, name: str, printed: bool = False) -> Polygon:
    return union(i.region for i in (art.printed if printed else art.shown) if i.ink == name)


def test_a_band_on_the_edge_runs_on_over_it_and_over_the_next_sides() -> None:
    """Along the foot of a panel with leaning sides: 1 mm of it is covered from side to side, and the bleed beyond."""
    panel = Tapered(bottom_width=31.0, top_width=26.0, height=8.0).build("door")
    art = drawn(panel, {"ink": "navy", "stripe_width": (1.0,), "edge": ("bottom",)})
    foot = art.cut_polygon.intersection(shapely.box(-5, 0, 40, 1))
    assert ink(art, "navy").symmetric_difference(foot).area < 1e-4
    rim = art.outer.difference(art.cut_polygon).intersection(shapely.box(-5, -5, 40, 0.9))
    assert rim.difference(ink(art, "navy", printed=True)).area < 1e-4


def test_its_inks_are_knocked_out_of_what_is_below() -> None:
    """Regions are disjoint and fill the cut line; round the arch as well."""
    edge = ("side 1", "side 2", "side 3")
    inks = {"inks": ("navy", "orange"), "stripe_width": (1.0, 0.4), "edge": edge, "distance": 0.6}
    art = drawn(FLANK.build("door"), inks, ground=True)
    areas = [i.region for i in art.shown]
    assert sum(a.area for a in areas) == pytest.approx(art.cut_polygon.area, abs=1e-3)
    assert all(a.intersection(b).area < 1e-6 for i, a in enumerate(areas) for b in areas[:i])
    ground = ink(art, "green")
    assert len([p for p in ground.geoms if p.area > 0.01]) == 2  # below the band and above it, no slivers between inks


def test_the_right_hand_is_the_mirror_image() -> None:
    edge = {"ink": "navy", "widths": ((0.0, 2.0), (11.0, 0.4)), "edge": ("side 1",), "distance": 0.5}
    left, right = (drawn(FLANK.build("door"), edge, hand=hand) for hand in ("left", "right"))
    back = transform(ink(right, "navy"), mirror_x(right.width))
    assert ink(left, "navy").symmetric_difference(back).area < 1e-5


@pytest.mark.parametrize(
    ("kind", "side"),
    [
        (Cone(bottom_chord=26, bottom_rise=3, top_chord=20, top_rise=2, slant_length=20), "bottom"),
        (Cone(bottom_chord=26, bottom_rise=3, top_chord=20, top_rise=2, slant_length=20), "left"),
        (Cylinder(chord=24.0, rise=3.0, length=12.0), "top"),
    ],
)
def test_on_a_bent_panel_the_distance_is_along_the_skin(kind: Cone | Cylinder, side: str) -> None:
    """Every place of both edges lies 1 or 2 mm from the side of the developed outline, by GEOS."""
    panel = kind.build("door")
    art = drawn(panel, {"ink": "navy", "stripe_width": (1.0,), "edge": (side,), "distance": 1.0})
    line = side_lines(panel.outline, panel.sides)[side]
    points = shapely.get_coordinates(shapely.segmentize(ink(art, "navy"), 0.5))
    away = shapely.distance(shapely.points(points), line)
    inside = shapely.distance(shapely.points(points), art.cut_polygon.exterior) > 0.99
    assert np.minimum(np.abs(away - 1.0), np.abs(away - 2.0))[inside].max() < 0.002
    assert ink(art, "navy").area == pytest.approx(line.length, rel=0.12)


def test_as_seen_or_not_it_lies_on_the_film_along_the_edge() -> None:
    panel = Cylinder(chord=24.0, rise=3.0, length=12.0).build("door")
    band = {"ink": "navy", "stripe_width": (1.0,), "edge": ("left",), "distance": 1.0}
    plain, seen = (drawn(panel, band, as_seen=as_seen) for as_seen in (False, True))
    assert ink(plain, "navy").symmetric_difference(ink(seen, "navy")).area < 1e-6


def test_a_side_that_is_not_there_is_told_at_its_place(tmp_path: Path) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(
        "job: trial\nbody: white\ninks: {soot: {colour: '#222222'}}\npanels: {door: {width: 20 mm, height: 9 mm}}\n"
        "decals:\n  line:\n    panel: door\n    width: 18 mm\n    height: 8 mm\n    artwork:\n"
        "      - band: {ink: soot, stripe width: 1 mm, edge: waist}\n",
        encoding="utf-8",
    )
    loaded = load_job(job)
    with pytest.raises(DecalgenError) as error:
        build(loaded, loaded.decals[0])
    assert error.value.message == "panel 'door' has no side 'waist': its sides are bottom, right, top, left"
    assert error.value.place is not None and error.value.place.line == 11 and "edge: all" in error.value.fix


def test_it_cannot_keep_its_hand() -> None:
    panel = FLANK.build("door")
    band = jobs.element("band", never_mirror=True, ink="navy", stripe_width=(1.0,), edge=("side 1",))
    decal = jobs.decal("edging", 61.0, 16.0, band)
    with pytest.raises(ShapeError, match="is mirrored with its panel"):
        build(jobs.job(decal, panels=(panel,)), decal)


def test_over_a_gap_it_is_split_at_a_band_runs_on_in_line() -> None:
    """Two sections along the foot of a panel and along a curve: together they are the whole band but for the gap, and
    each runs on over its own cut by the bleed."""
    gap = Obstacle("shut line", jobs.outline(29.8, -0.5, 0.4, 31.0), 0.1, gap=True)
    panel = jobs.panel("door", 60.0, 30.0, obstacles=(gap,), sides=("bottom", "right", "top", "left"))
    sweep = ((0.0, 20.0), (15.0, 21.0), (30.0, 24.0), (45.0, 27.0), (60.0, 28.0))
    bands = [
        jobs.element("band", ink="navy", stripe_width=(2.0,), edge=("bottom",), distance=1.0),
        jobs.element("band", ink="orange", stripe_width=(2.0,), points=sweep, in_place=True),
    ]
    whole = jobs.decal("edging", 60.0, 30.0, *bands, cut=Cut("panel"))
    parted = replace(whole, split_at=("shut line",))
    job = jobs.job(whole, panels=(panel,))
    art, sections = build(job, whole), build_all(job, parted)
    assert len(sections) == 2
    for name in ("navy", "orange"):
        found = [(ink(one, name), ink(one, name, printed=True), one.cut_polygon) for one in sections]
        # A section keeps the coordinates of its decal.
        both = union(area for area, _, _ in found)
        cut = union(film for _, _, film in found)
        assert both.symmetric_difference(ink(art, name).intersection(cut)).area < 1e-3
        for _, printed, film in found:
            rim = film.buffer(0.4, join_style="mitre").difference(film)
            strip = rim.intersection(shapely.box(29.0, 0.0, 31.0, 30.0))
            reach = printed.intersection(strip).area
            assert reach == pytest.approx(2.0 * 0.4, rel=0.05)


def test_where_two_bands_of_one_panel_meet_the_nearer_stripe_stays_whole() -> None:
    """Along the foot and the top of a panel 2.8 mm high, three stripes of 0.6 mm each: the second ones keep their
    width, and the third ones have the 0.4 mm that are left between them."""
    panel = jobs.panel("door", 20.0, 2.8, sides=("bottom", "right", "top", "left"))
    band = jobs.element("band", inks=("navy", "orange", "green"), stripe_width=(0.6,), edge=("bottom", "top")).shape
    areas = drawn_areas(band, runs_along(band, panel.outline, panel.sides, "door"))
    inner = [area.intersection(shapely.box(5.0, 0.0, 15.0, 2.8)).area for area in areas]
    assert inner == pytest.approx([2 * 6.0, 2 * 6.0, 4.0], abs=1e-4)
