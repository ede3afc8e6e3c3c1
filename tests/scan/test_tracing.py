"""Flat colours traced: outlines within 20 µm of what was drawn, at 300 dpi, in as few sides as it has."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box

from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData
from decalgen.scan.light import Scan, read_scan
from decalgen.scan.measuring import ScanRequest, measure_scan
from decalgen.scan.scale import by_dpi
from decalgen.scan.things import ground_of
from decalgen.scan.tracing.coverage import Coverages, half_lines
from decalgen.scan.tracing.flat_colours import flat_colours
from decalgen.scan.tracing.trace import TracedFit, traced_outlines
from tests.scan.scans import Faults, Floats, Pattern, plate, roundel, scan_of

NEAR_MM = 0.020
PLAIN = Faults(card=False, margin=2.0, jitter=0.002)
TEAL, CREAM, RED = "#1f7f86", "#f4efe0", "#7a1f2b"
HOUSE = Polygon([(1, 1), (9, 1), (12, 3.5), (9, 6), (1, 6)])
STAR = Polygon(
    [
        (6 + r * math.sin(math.pi * n / 5), 6 + r * math.cos(math.pi * n / 5))
        for n, r in enumerate([5.0, 2.1] * 5)
    ]
)  # fmt: skip
TURNS = np.linspace(0, 2 * math.pi, 720, endpoint=False)
OVAL = Polygon(np.column_stack((6 + 5 * np.cos(TURNS), 3.5 + 2.5 * np.sin(TURNS))))


def filled(*layers: tuple[Polygon, int]) -> Pattern:
    """Areas on each other, the last on top, each in the ink of that number."""
    for area, _ in layers:
        shapely.prepare(area)

    def found(u: Floats, v: Floats) -> NDArray[np.int64]:
        u, v = np.broadcast_arrays(u, v)
        made = np.full(u.shape, -1)
        for area, ink in layers:
            made[shapely.contains_xy(area, u, v)] = ink
        return made

    return found


def traced(
    pattern: Pattern, size: tuple[float, float], inks: list[str], faults: Faults = PLAIN, tolerance: float | None = None
) -> TracedFit:
    data = scan_of(pattern, size, inks, faults, 300.0, 3).data
    fit = measure_scan(PictureData("scan.png", data), ScanRequest(kind="outline", tolerance=tolerance)).fits[0]
    assert isinstance(fit, TracedFit)
    return fit


def area_of(fit: TracedFit, number: int) -> Polygon:
    one = fit.shapes[number]
    return Polygon(one.outer.line(), [hole.line() for hole in one.holes])


def at_origin(area: Polygon) -> Polygon:
    left, low, _, _ = area.bounds
    return shapely.affinity.translate(area, -left, -low)


def apart(one: Polygon, other: Polygon) -> float:
    """How far the edges of two areas lie apart at most, one laid on the other."""
    (x, y), (a, b) = one.centroid.coords[0], other.centroid.coords[0]
    return float(shapely.affinity.translate(one, a - x, b - y).exterior.hausdorff_distance(other.exterior))


@lru_cache(maxsize=8)
def alone(name: str) -> tuple[TracedFit, Polygon]:
    area = {"house": HOUSE, "star": STAR, "oval": OVAL}[name]
    _, _, wide, high = area.bounds
    return traced(filled((area, 0)), (wide + 1, high + 1), [TEAL]), at_origin(area)


@pytest.mark.parametrize(("name", "corners"), [("house", 5), ("star", 10)])
def test_corners_lie_where_they_were_drawn(name: str, corners: int) -> None:
    fit, truth = alone(name)
    (one,) = fit.shapes
    assert len(one.outer.points) == corners and not one.holes
    wanted = np.array(truth.exterior.coords)[:-1]
    off = [np.hypot(*(wanted - point).T).min() for point in one.outer.points]
    assert max(off) < NEAR_MM
    assert not any(one.outer.rises) and not any(one.outer.radii)


def test_edges_lie_within_20_um_and_the_tolerance_told_is_kept() -> None:
    for name in ("house", "oval"):
        fit, truth = alone(name)
        assert apart(area_of(fit, 0), truth) < NEAR_MM
        assert fit.off <= 1.05 * fit.tolerance


def test_an_oval_is_a_smooth_curve_of_few_points() -> None:
    (one,) = alone("oval")[0].shapes
    assert one.outer.curves == tuple(range(1, len(one.outer.points) + 1)) and len(one.outer.points) < 30


def test_round_corners_are_told_by_their_radius() -> None:
    (one,) = traced(plate((12.0, 7.0), 1.5), (12.0, 7.0), [TEAL]).shapes
    assert len(one.outer.points) == 4
    # An edge moves by 0.41 times what its radius is off.
    assert one.outer.radii == pytest.approx([1.5] * 4, abs=2 * NEAR_MM)
    assert apart(Polygon(one.outer.line()), box(0, 0, 12, 7).buffer(-1.5).buffer(1.5, 90)) < NEAR_MM


def test_a_small_round_corner_is_fitted_between_its_sides() -> None:
    (one,) = traced(plate((5.0, 3.0), 0.8), (5.0, 3.0), [TEAL]).shapes
    assert one.outer.radii == pytest.approx([0.8] * 4, abs=0.015)


def test_rings_lie_on_each_other_and_what_is_bare_is_a_hole() -> None:
    fit = traced(roundel((4, 4), [4, 2.5], [0, 1]), (8, 8), [TEAL, CREAM])
    assert [len(one.outer.points) for one in fit.shapes] == [2, 2] and not fit.shapes[0].holes
    assert [one.outer.rises[0] for one in fit.shapes] == pytest.approx([4.0, 2.5], abs=0.006)
    assert [one.ink for one in fit.shapes] == [1, 0] or [one.ink for one in fit.shapes] == [0, 1]
    ring = Polygon(shapely.Point(4, 4).buffer(4, 90).exterior, [shapely.Point(4, 4).buffer(2.5, 90).exterior])
    (bare,) = traced(filled((ring, 0)), (8, 8), [TEAL]).shapes
    assert [len(hole.points) for hole in bare.holes] == [2]


def test_half_coverage_is_asked_of_light_not_of_its_code() -> None:
    # A dark disc on a white lid: in coded grey half way lies too far in (research of the trade: 19 µm at 300 dpi).
    data = scan_of(roundel((4, 4), [4], [0]), (8, 8), ["#101010"], PLAIN, 300.0, 3).data
    scan = read_scan(PictureData("scan.png", data))
    offs = []
    for light in (scan.light(scan.whole), (scan.coded / 255).astype(np.float32)):
        ground = np.median(light[:4].reshape(-1, 3), axis=0).astype(float)
        covers = Coverages(light, flat_colours(light, ground))
        area = max(half_lines(covers.of(1)[1]).geoms, key=lambda one: one.area).area * (25.4 / 300) ** 2
        offs.append(1000 * (math.sqrt(area / math.pi) - 4.0))
    assert abs(offs[0]) < 2.0
    assert abs(offs[1]) > 10.0


def test_where_three_colours_meet_no_spur_runs_along_an_edge() -> None:
    disc = shapely.Point(5, 4.5).buffer(4, 90)
    wing = Polygon(np.column_stack((10 + 6 * np.cos(TURNS), 4.5 + 2.2 * np.sin(TURNS))))
    fit = traced(filled((wing, 1), (disc, 0), (shapely.Point(5, 4.5).buffer(2.5, 90), 2)), (17, 9), [TEAL, RED, CREAM])
    assert len(fit.shapes) == 3 and len(fit.shapes[0].outer.points) == 2
    assert area_of(fit, 0).area == pytest.approx(disc.area, rel=0.003)
    assert fit.off < 2 * fit.tolerance and not fit.doubts


def test_an_ink_that_fades_stays_one() -> None:
    faded = Faults(card=False, margin=2.0, fade=0.5, yellow=0.5)
    fit = traced(plate((14.0, 5.0), 1e-6), (14.0, 5.0), [RED], faded)
    assert len(fit.shapes) == 1 and len(fit.inks) == 1
    assert {one.name: one.value for one in fit.values}["width"] == pytest.approx(14.0, abs=NEAR_MM)


def test_what_was_laid_down_askew_is_set_straight() -> None:
    askew = Faults(card=False, margin=3.0, turn=5.0)
    fit = traced(filled((HOUSE, 0)), (13, 7), [TEAL], askew)
    assert fit.value("angle") == pytest.approx(5.0, abs=0.1)
    assert fit.value("width") == pytest.approx(11.0, abs=0.03) and fit.value("height") == pytest.approx(5.0, abs=0.03)
    ys = sorted(y for _, y in fit.shapes[0].outer.points)
    assert ys[1] - ys[0] < 0.01


def test_a_wider_tolerance_takes_fewer_points() -> None:
    few = traced(filled((OVAL, 0)), (13, 7), [TEAL], tolerance=0.1)
    assert len(few.shapes[0].outer.points) < len(alone("oval")[0].shapes[0].outer.points)
    assert apart(area_of(few, 0), OVAL) < 0.11


def test_the_outside_of_the_ring_is_told_in_plain_numbers() -> None:
    fit = alone("house")[0]
    width = next(one for one in fit.values if one.name == "width")
    assert abs(width.value - 11.0) < 2 * width.u
    assert "traced within" in fit.remarks[0] and "by 5 points" in fit.remarks[0]


def test_too_much_and_nothing_are_told() -> None:
    def dots(u: Floats, v: Floats) -> NDArray[np.int64]:
        return np.where(np.hypot(u % 1 - 0.5, v % 1 - 0.5) < 0.4, 0, -1)

    with pytest.raises(DecalgenError, match="77 separate areas are too many to trace") as told:
        traced(dots, (11, 7), [TEAL])
    assert "--part" in told.value.fix
    scan = Scan("scan.png", np.zeros((60, 60, 3), np.uint8), None)
    with pytest.raises(DecalgenError, match="6 million pixels are too many"):
        traced_outlines(scan, (0, 0, 3000, 2100), by_dpi((300.0, 300.0), True), np.ones(3))


def test_the_ground_alone_has_no_outline() -> None:
    data = scan_of(plate((8.0, 5.0), 1.0), (8.0, 5.0), [TEAL], Faults(card=False, margin=6.0), 300.0, 3).data
    with pytest.raises(DecalgenError, match="nothing but the ground is seen"):
        measure_scan(PictureData("scan.png", data), ScanRequest(kind="outline", part=(2, 2, 60, 60)))
    assert ground_of(read_scan(PictureData("scan.png", data)), (2, 2, 60, 60)).min() > 0.7
