"""What holds for every band through points, with parameters made up by hypothesis."""

from __future__ import annotations

from itertools import combinations

import shapely
from hypothesis import HealthCheck, assume, given, settings

from decalgen.shapes.band import DrawnBand, drawn, runs_of
from decalgen.shapes.base import ShapeError
from tests.shapes.strategies import bands

TINY = 1e-5
"""Inks that share less, mm², share an edge: a micrometre of it for each cm."""
SETTINGS = settings(max_examples=25, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])


def shared(areas: list[shapely.MultiPolygon]) -> float:
    return max((float(one.intersection(other).area) for one, other in combinations(areas, 2)), default=0.0)


@SETTINGS
@given(band=bands())
def test_no_two_stripes_of_a_band_share_anything(band: DrawnBand) -> None:
    try:
        areas = drawn(band, runs_of(band))
    except ShapeError:
        assume(False)
        return
    assert shared(list(areas)) < TINY
