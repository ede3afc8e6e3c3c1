"""A line of one's own on a picture: where what is seen of it ends, and where it is cut."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from decalgen.artwork.build import build
from decalgen.shapes.base import Box
from tests.helpers.pictures import emblem, photograph, saved
from tests.job.test_pictures import PHOTO, loaded, refusal, shape_of

CORNERS = ((1.0, 1.0), (9.0, 1.0), (9.0, 5.0), (1.0, 6.5))
WORDS = "[[1 mm, 1 mm], [9 mm, 1 mm], [9 mm, 5 mm], [1 mm, 6.5 mm]]"


def seen(folder: Path, line: str, data: bytes = PHOTO) -> shapely.MultiPolygon:
    """What is seen of a photograph of 10 × 7.5 mm."""
    shape = shape_of(loaded(folder, f"{{file: emblem.png, width: 10 mm, {line}}}", data))
    size = shape.extent(Box(30, 20))
    assert size == pytest.approx((10, 7.5))
    (inked,) = shape.draw(size)
    return inked.region


def test_an_outline_of_corners_is_the_cut_line(tmp_path: Path) -> None:
    """By the shoelace formula: (4 + 5.5) / 2 · 8 = 38 mm²."""
    region = seen(tmp_path, f"cut outline: {{points: {WORDS}}}")
    assert region.area == pytest.approx(38.0, abs=1e-9) and region.equals(Polygon(CORNERS))
    job = loaded(tmp_path, f"{{file: emblem.png, width: 10 mm, cut outline: {{points: {WORDS}}}}}", PHOTO)
    art = build(job, job.decals[0], "left")
    assert art.cut_polygon.area == pytest.approx(38.0, abs=1e-6)
    (inked,) = art.printed
    assert inked.picture is not None and not inked.picture.cut_out


def test_radii_and_rises_are_those_of_an_outline(tmp_path: Path) -> None:
    """A radius r takes (1 - π/4) r² off a right corner; two points and a rise of half their distance: half a disc."""
    square = "[[1 mm, 1 mm], [6 mm, 1 mm], [6 mm, 6 mm], [1 mm, 6 mm]]"
    rounded = seen(tmp_path, f"cut outline: {{points: {square}, radii: 1 mm}}")
    assert rounded.area == pytest.approx(25 - 4 * (1 - math.pi / 4), abs=0.02)
    half = seen(tmp_path, "cut outline: {points: [[2 mm, 4 mm], [8 mm, 4 mm]], rises: [3 mm, 0 mm]}")
    assert half.area == pytest.approx(math.pi * 9 / 2, rel=2e-3)
    assert half.bounds == pytest.approx((2, 1, 8, 4), abs=0.006)


def test_sides_bend_smoothly_as_those_of_an_outline_do(tmp_path: Path) -> None:
    """Sides 1 to 4 of a square are one curve, through its four corners; the circle through these has half its side
    times √2 as its radius. With side 4 left straight it is a chord of what the directions at its ends make a circle."""
    square = "[[3 mm, 2 mm], [7 mm, 2 mm], [7 mm, 6 mm], [3 mm, 6 mm]]"
    whole = seen(tmp_path, f"cut outline: {{points: {square}, curves: [1, 2, 3, 4]}}")
    assert whole.area == pytest.approx(8 * math.pi, rel=2e-3)
    more = "curves: [1, 2, 3], directions: [[1, -45], [4, 225]]"
    cut = seen(tmp_path, f"cut outline: {{points: {square}, {more}}}")
    assert cut.area == pytest.approx(8 * math.pi - (2 * math.pi - 4), rel=2e-3)


def test_a_curve_through_points_of_a_circle_is_the_circle(tmp_path: Path) -> None:
    turns = [2 * math.pi * n / 8 for n in range(8)]
    points = ", ".join(f"[{5 + 3 * math.cos(t):.6f} mm, {3.75 + 3 * math.sin(t):.6f} mm]" for t in turns)
    region = seen(tmp_path, f"cut curve: {{points: [{points}]}}")
    off = np.hypot(*(shapely.get_coordinates(region) - (5, 3.75)).T) - 3.0
    assert abs(off).max() < 0.005
    # At a corner and between the ends of a straight piece it is no circle any more: that piece is a chord.
    chord = seen(tmp_path, f"cut curve: {{points: [{points}], corners: [1, 2], straights: [1]}}")
    assert region.area - chord.area == pytest.approx(9 / 2 * (math.pi / 4 - math.sin(math.pi / 4)), abs=0.1)


def test_a_mirrored_picture_is_cut_along_the_mirrored_line(tmp_path: Path) -> None:
    for words, mirrored in (("", False), (", mirror: yes", True)):
        region = seen(tmp_path, f"cut outline: {{points: {WORDS}}}{words}")
        wanted = Polygon([(10 - x if mirrored else x, y) for x, y in CORNERS])
        assert region.symmetric_difference(wanted).area < 1e-9


def test_in_the_other_hand_the_line_goes_with_the_picture(tmp_path: Path) -> None:
    line = f"cut outline: {{points: {WORDS}}}, handed: yes"
    job = loaded(tmp_path, f"{{file: emblem.png, width: 10 mm, {line}}}", PHOTO)
    left, right = (build(job, job.decals[0], hand).cut_polygon for hand in ("left", "right"))  # type: ignore[arg-type]
    turned = shapely.transform(left, lambda xy: np.column_stack((-xy[:, 0], xy[:, 1])))
    centred = [shapely.transform(one, lambda xy, c=one.centroid: xy - (c.x, c.y)) for one in (turned, right)]
    assert centred[0].symmetric_difference(centred[1]).area < 1e-6 and left.area == pytest.approx(38.0, abs=1e-6)


def test_a_line_on_a_picture_with_alpha_holds_instead_of_its_alpha(tmp_path: Path) -> None:
    region = seen(tmp_path, f"cut outline: {{points: {WORDS}}}", saved(emblem(200).resize((400, 300))))
    assert region.area == pytest.approx(38.0, abs=1e-9)


def test_a_point_a_rounding_beyond_the_picture_is_taken_back_to_it(tmp_path: Path) -> None:
    """A photograph of 400 × 300 pixels 8.9 mm wide is 6.675 mm high: 6.68 is read."""
    line = "cut outline: {points: [[0 mm, 0 mm], [8.9 mm, 0 mm], [8.9 mm, 6.68 mm], [0 mm, 6.68 mm]]}"
    shape = shape_of(loaded(tmp_path, f"{{file: emblem.png, width: 8.9 mm, {line}}}", saved(photograph(400, 300))))
    (inked,) = shape.draw(shape.extent(Box(30, 20)))
    assert inked.region.area == pytest.approx(8.9 * 6.675, abs=1e-9)


@pytest.mark.parametrize(
    ("line", "message", "fix"),
    [
        ("cut outline: {points: [[0 mm, 0 mm], [10.4 mm, 0 mm], [5 mm, 7 mm]]}",
         "point 2, (10.4, 0) mm, is not on the picture 'emblem.png', which is 10.00 × 7.50 mm",
         "write it between 0 and 10, 0 and 7.5 mm, measured from the picture's lower left corner"),
        ("cut curve: {points: [[1 mm, 3 mm], [4 mm, -1 mm], [8 mm, 4 mm]]}",
         "point 2, (4, -1) mm, is not on the picture 'emblem.png', which is 10.00 × 7.50 mm",
         "write it between 0 and 10, 0 and 7.5 mm, measured from the picture's lower left corner"),
        ("cut outline: {points: [[1 mm, 1 mm], [9 mm, 1 mm], [9 mm, 6 mm], [1 mm, 6 mm]], rises: [0 mm, 1.5 mm, 0 mm, "
         "0 mm]}",
         "between its points the outline of 'emblem.png' reaches 0.50 mm beyond the picture at the right",
         "move the points near the right inward, or make it less bent there"),
        ("cut outline: {points: [[1 mm, 1 mm], [9 mm, 6 mm], [9 mm, 1 mm], [1 mm, 6 mm]]}",
         "the outline crosses or touches itself near 5, 3.5", "list its points in order, once round"),
        ("cut outline: {points: [[1 mm, 1 mm], [9 mm, 1 mm]]}",
         "an outline needs at least three points", "give more points, or two and a rise"),
        (f"outline: box, cut outline: {{points: {WORDS}}}", "what is seen of 'emblem.png' is given twice",
         "keep one of `outline`, `cut outline` and `cut curve`"),
        (f"cut outline: {{points: {WORDS}}}, cut curve: {{points: {WORDS}}}",
         "what is seen of 'emblem.png' is given twice", "keep one of `outline`, `cut outline` and `cut curve`"),
        ("cut curve: {points: [[1 mm, 1 mm], [9 mm, 6 mm], [9 mm, 1 mm], [1 mm, 6 mm]]}",
         "the curve crosses or touches itself at (5, 3.5), between points 1 and 2 and between points 3 and 4",
         "list its points in order, or measure more points there"),
    ],
)  # fmt: skip
def test_mistakes(tmp_path: Path, line: str, message: str, fix: str) -> None:
    assert refusal(tmp_path, f"{{file: emblem.png, width: 10 mm, {line}}}", PHOTO) == (message, fix)
