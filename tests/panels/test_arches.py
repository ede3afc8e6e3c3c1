"""A wheel arch as an arc of the panel's outline: found, told by name, and cut along where the job says so."""

from __future__ import annotations

import math
import random

import pytest
from shapely.geometry import Point, box

from decalgen.artwork.build import build_all
from decalgen.core.geometry import mirror_x, rectangle, transform
from decalgen.core.lengths import Quantity
from decalgen.job.model import Decal, Hand, Printer
from decalgen.panels.arches import arches, beyond, nameable
from decalgen.panels.base import Panel, PanelError
from decalgen.panels.fit import fit
from decalgen.panels.flat import Flat
from decalgen.panels.free import FreeOutline
from decalgen.panels.hands import mirrored
from decalgen.panels.sections import sections, strips
from decalgen.preflight.fitting import fitting
from decalgen.shapes.base import At
from tests.helpers import jobs
from tests.helpers.checks import check_jobs
from tests.helpers.rounded import arc_run

POINTS = ((0.0, 0.0), (12.0, 0.0), (27.0, 0.0), (61.0, 0.0), (61.0, 12.6), (0.0, 12.6))
RADIUS = 7.5


def side(**more: object) -> Panel:
    """61 by 12.6 with a half round arch from 12 to 27 along its foot."""
    return FreeOutline(
        outline=POINTS,
        arc_rises=(0.0, -RADIUS, 0.0, 0.0, 0.0, 0.0),
        instrument="caliper",
        **more,  # type: ignore[arg-type]
    ).build("door")


def band(foot: float, height: float, **more: object) -> Decal:
    return jobs.decal("band", 59.0, height, jobs.element("field", ink="orange"), at=At("bottom", 0.0, foot), **more)


def codes(decal: Decal) -> list[tuple[str, str]]:
    found = check_jobs([jobs.job(decal, panels=(side(),))], Printer())
    return [(f.severity, f.code) for f in found if f.code not in ("thin-line",)]


@pytest.mark.parametrize("reverse", [False, True])
def test_the_hollow_side_is_the_arch(reverse: bool) -> None:
    points, arcs = (POINTS[::-1], (0.0, 0.0, 0.0, -RADIUS, 0.0, 0.0)) if reverse else (POINTS, (0, -RADIUS, 0, 0, 0, 0))
    panel = FreeOutline(outline=points, arcs=arcs, instrument="caliper").build("side")
    assert arches(panel) == (("side 4",) if reverse else ("side 2",))
    assert arches(mirrored(panel)) == arches(panel)
    assert set(nameable(panel)) == {f"side {n}" for n in range(1, 7)}


def test_a_coat_of_paint_leaves_it_an_arch() -> None:
    assert arches(side(paint=Quantity(0.05))) == ("side 2",)


def test_bulging_sides_round_corners_and_plain_panels_have_none() -> None:
    bulge = FreeOutline(outline=((0, 0), (20, 0), (20, 8), (0, 8)), arcs=(0, 30.0, 0, 0)).build("p")
    corners = FreeOutline(outline=((0, 0), (20, 0), (20, 8), (0, 8)), corner_radii=(2.0,)).build("p")
    assert arches(bulge) == arches(corners) == arches(Flat(width=20.0, height=8.0).build("p")) == ()


def test_a_decal_over_the_arch_is_told_the_edge_and_both_ways_out() -> None:
    decal = band(4.0, 6.0)
    job = jobs.job(decal, panels=(side(),))
    (error,) = fitting(build_all(job, decal), decal, job).findings
    # The arch stands 7.5 high, the band's foot at 4: 3.5 to move; U is added.
    assert (error.severity, error.code) == ("error", "off-panel")
    assert "side 2 arch -3.50" in error.message
    assert error.fix.startswith("move it 3.5") and "away from the side 2 arch" in error.fix
    assert "`cut around: [side 2]`" in error.fix


def test_cut_along_the_arch_it_fits_and_ends_on_it() -> None:
    decal = band(4.0, 6.0, cut_around=("side 2",))
    assert codes(decal) == []
    job = jobs.job(decal, panels=(side(),))
    (art,) = build_all(job, decal)
    assert fitting([art], decal, job).fit.verdict == "fits"
    # What is missing is the part of a half disc above y = 4: a circular segment of radius 7.5 at 4 from the centre
    # (area r² acos(d/r) - d sqrt(r² - d²), Bronshtein, Handbook of Mathematics; from memory).
    segment = RADIUS**2 * math.acos(4 / RADIUS) - 4 * math.sqrt(RADIUS**2 - 16)
    assert art.cut_polygon.area == pytest.approx(59.0 * 6.0 - segment, abs=0.01)
    wheel = Point(19.5 - 1.0, -4.0).buffer(RADIUS - 0.002, quad_segs=256)
    assert not art.cut_polygon.intersects(wheel)


def test_a_band_below_the_top_of_the_arch_comes_in_two_sections_in_register() -> None:
    decal = band(1.0, 5.0, cut_around=("side 2",), hands="both")
    job = jobs.job(decal, panels=(side(),))
    left, right = build_all(job, decal, "left"), build_all(job, decal, "right")
    assert [art.name for art in left] == ["band, left, 1 of 2", "band, left, 2 of 2"]
    assert codes(decal) == []
    for a, b in zip(left, reversed(right), strict=True):
        assert transform(a.cut_polygon, mirror_x(59.0)).symmetric_difference(b.cut_polygon).area < 1e-6


def test_sections_and_strips_are_still_the_whole() -> None:
    cut, panel = rectangle(1.0, 1.0, 60.0, 8.0), side()
    taken = strips(cut, panel, ["side 2"])
    kept = sections(cut, panel, ["side 2"])
    assert [strip.obstacle for strip in taken] == ["side 2"]
    total = sum(s.region.area for s in taken) + sum(s.outline.area for s in kept)
    assert total == pytest.approx(cut.area, abs=1e-6)


def test_film_that_hangs_over_another_edge_is_still_too_big() -> None:
    """Below the foot, arch and both straight pieces lie beneath one overhang: naming the arch excuses none of it."""
    cut = box(1.0, -1.0, 60.0, 8.0)
    assert beyond(cut, side(), ["side 2"]) == {}
    found = fit(cut, (Quantity(59.0), Quantity(9.0)), side(), cut_around=["side 2"])
    assert found.verdict == "too big"
    over = fit(box(1.0, 4.0, 62.0, 8.0), (Quantity(61.0), Quantity(4.0)), side(), cut_around=["side 2"])
    assert {item.to for item in over.clearances if item.verdict == "too big"} == {"side 4"}


def test_any_side_of_an_outline_may_be_cut_along() -> None:
    cut = box(30.0, 2.0, 63.0, 8.0)
    found = fit(cut, (Quantity(33.0), Quantity(6.0)), side(), cut_around=["side 4"])
    assert found.verdict == "fits"
    (section,) = sections(cut, side(), ["side 4"])
    assert section.outline.bounds == pytest.approx((30.0, 2.0, 61.0, 8.0))


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("film", ["white", "clear"])
def test_cut_to_the_panel_it_fits_arch_and_all(hand: Hand, film: str) -> None:
    """Also on clear film: what ends at the panel's edge has no bare margin."""
    decal = jobs.decal("band", 61.0, 12.6, jobs.element("field", ink="navy"), hands="both", cut=jobs.Cut("panel"))
    job = jobs.job(decal, panels=(side(),), film=film)
    (art,) = build_all(job, decal, hand)
    assert art.margin == 0.0
    assert fitting([art], decal, job).fit.verdict == "fits"
    assert art.cut_polygon.area == pytest.approx(61 * 12.6 - math.pi * RADIUS**2 / 2, abs=0.02)


# ---------------------------------------------------------------------------------------------- measured by radius
def by_radius(radius: float, **more: object) -> Panel:
    """The same side with its arch measured by radius."""
    arcs = (0.0, -radius, 0.0, 0.0, 0.0, 0.0)
    return FreeOutline(outline=POINTS, arcs=arcs, instrument="caliper", **more).build("door")  # type: ignore[arg-type]


@pytest.mark.parametrize("hollow", [True, False])
@pytest.mark.parametrize("ratio", [1.0, 1.004, 1.03])
def test_arcs_measured_by_radius_are_covered_and_no_verdict_is_false(ratio: float, hollow: bool) -> None:
    """Made-up arcs, drawn in truth by their rise: U covers at least 93 %, and nothing that overlaps is said to fit."""
    rng = random.Random(20261126)
    runs = [arc_run(rng, ratio, 0.02, hollow) for _ in range(30)]
    assert sum(run.covered for run in runs) >= 28
    assert not any(run.false_fit for run in runs)


def test_half_a_circle_by_its_radius_is_not_known_and_asks_for_the_rise() -> None:
    panel = by_radius(7.53)
    (note,) = panel.findings
    assert (note.severity, note.code) == ("note", "height-open") and "side 2" in note.message
    assert "arc rises" in note.fix and note.measured is not None and note.measured > 0.3
    # The radius makes it 6.86 mm high; half a circle, which the readings allow, is 7.5 mm high.
    decal = band(7.2, 4.0)
    job = jobs.job(decal, panels=(panel,))
    made = fitting(build_all(job, decal), decal, job)
    assert made.fit.verdict == "not known"
    (told,) = (finding for finding in made.findings if finding.code == "fit-not-known")
    assert "the rise of side 2" in told.fix and "`arc rises`" in told.fix and "would settle it" in told.fix


def test_far_from_half_a_circle_a_radius_is_enough() -> None:
    assert by_radius(12.0).findings == ()


def test_a_radius_shorter_than_half_its_side_is_told_beyond_doubt_only() -> None:
    assert [f.code for f in by_radius(7.49).findings] == ["height-open"]
    assert "readings-disagree" in [f.code for f in by_radius(7.3).findings]
    with pytest.raises(PanelError, match="too far for an arc of radius 7 mm"):
        by_radius(7.0)
