"""The outline of what a picture shows, against discs whose outline is known."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from decalgen.core.pixels.contour import half_contour
from tests.helpers.pictures import disc


@pytest.mark.parametrize(
    ("radius", "centre"), [(150.3, (200.2, 199.7)), (40.0, (61.25, 60.0)), (12.5, (20.5, 21.1)), (90.9, (100.0, 100.5))]
)
def test_it_lies_within_a_sixth_of_a_pixel_of_a_disc(radius: float, centre: tuple[float, float]) -> None:
    side = round(centre[0] + centre[1])
    found = half_contour(disc(side, centre, radius))
    points = shapely.get_coordinates(found)
    off = np.hypot(points[:, 0] - centre[0], side - points[:, 1] - centre[1]) - radius
    # A smoothed edge says by its share of a pixel where it runs; what is left is the slant of the edge in that pixel.
    assert abs(off).max() < 1 / 6
    assert abs(off.mean()) < 0.02
    assert found.area == pytest.approx(math.pi * radius**2, rel=0.0015)


def test_holes_parts_and_the_rim() -> None:
    alpha = np.zeros((30, 40), np.uint8)
    alpha[:, :20] = 255
    alpha[10:20, 5:15] = 0
    alpha[4:8, 30:36] = 255
    small, large = sorted(half_contour(alpha).geoms, key=lambda part: part.area)
    assert small.bounds == (30, 22, 36, 26) and large.bounds == (0, 0, 20, 30)
    assert [shapely.Polygon(ring).bounds for ring in large.interiors] == [(5, 10, 15, 20)]


@pytest.mark.parametrize(("between", "parts"), [(200, 1), (0, 2)])
def test_corners_that_meet_are_joined_where_the_middle_is_inside(between: int, parts: int) -> None:
    # Two opposite pixels full: whether the outline joins them follows from the mean of all four.
    alpha = np.array([[255, 100], [100, 255]], np.uint8) if between else np.array([[255, 0], [0, 255]], np.uint8)
    assert len(half_contour(alpha).geoms) == parts


def test_an_outline_through_noise_is_refused() -> None:
    noise = np.random.default_rng(3).integers(0, 2, (900, 900)).astype(np.uint8) * 255
    with pytest.raises(ValueError, match="steps"):
        half_contour(noise)
