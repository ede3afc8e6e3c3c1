"""Bent letters against the map they follow, reckoned here by numpy, and against areas and widths known beforehand."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import shapely

from decalgen.core.curves.course import Course, curve_through
from decalgen.core.geometry import TOLERANCE
from decalgen.lettering.along import ArcSide, circle_curve
from decalgen.lettering.bending import across, fanned, rising, upright
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset

SWEEP = curve_through(Course(((0, 2), (9, 2.2), (18, 6), (27, 10), (36, 10.5))))


def truth(area: shapely.Geometry, move: Callable[[np.ndarray], np.ndarray]) -> shapely.Geometry:
    """An area with its sides divided ten times finer than any rule here asks, every point moved."""
    fine = shapely.segmentize(area, 0.004)
    return shapely.transform(fine, move)


@pytest.mark.parametrize("name", ["Archivo", "Roboto Slab", "Lobster"])
@pytest.mark.parametrize(("side", "radius"), [("outside", 8.0), ("outside", 30.0), ("inside", 10.0), ("inside", 30.0)])
def test_a_fan_on_a_circle_is_polar_to_a_micrometre(name: str, side: ArcSide, radius: float) -> None:
    """x over the radius at half the cap height is the angle, y the distance from the circle; the bars of H and E are
    bent, too."""
    line = typeset("HEO", face=name, cap_height=2.0)
    bent = fanned(line, circle_curve(radius, side))
    out = 1 if side == "outside" else -1

    def polar(xy: np.ndarray) -> np.ndarray:
        angle = math.pi / 2 * out - out * (xy[:, 0] - line.width / 2) / (radius + out * 1.0)
        far = radius + out * xy[:, 1]
        return np.column_stack((far * np.cos(angle), far * np.sin(angle)))

    for own, straight in zip(bent.letters, line.letters, strict=True):
        exact = truth(straight.region, polar)
        assert own.region.is_valid
        assert shapely.hausdorff_distance(own.region.boundary, exact.boundary, densify=0.2) < 1.05 * TOLERANCE
        assert own.region.area == pytest.approx(exact.area, rel=1e-3)


@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize("rise", [0.0, 1.2, 2.5, -0.1])
def test_a_fan_between_a_foot_and_a_head_ends_on_the_head(side: ArcSide, rise: float) -> None:
    """The head is the arc over the capitals of both ends whose middle stands so far over their chord: a letter is
    drawn out along the line from the foot's centre, until a capital meets it. Reckoned by GEOS: the line is cut with
    the head's circle."""
    line = typeset("HIIIIIIIIH", face="Archivo", cap_height=2.0, tracking=0.3)
    out, radius = (1, 16.0) if side == "outside" else (-1, 20.0)
    bent = fanned(line, circle_curve(radius, side), head_rise=out * rise)
    half = (bent.end - bent.start) / 2 / radius
    x, y = (radius + out * 2.0) * math.sin(half), out * (radius + out * 2.0) * math.cos(half)
    top = y + out * rise
    if rise:
        own = (x * x + rise * rise) / 2 / abs(rise)
        head = shapely.Point(0, top - math.copysign(own, out * rise)).buffer(own, quad_segs=20_000).boundary
    else:
        head = shapely.LineString([(-99, y), (99, y)])

    def fan(xy: np.ndarray) -> np.ndarray:
        angle = math.pi / 2 * out - out * (xy[:, 0] - line.width / 2) / (radius + out * 1.0)
        way = np.column_stack((np.cos(angle), np.sin(angle)))
        rays = [shapely.LineString([0.4 * radius * one, 1.8 * radius * one]) for one in way]
        met = np.array([float(np.hypot(*one.intersection(head).coords[0])) for one in rays])
        return (radius + xy[:, 1] / 2.0 * (met - radius))[:, None] * way

    corners = np.array([(x, 2.0) for x in np.linspace(0.0, line.width, 9)])
    assert fan(corners)[[0, -1], 1] == pytest.approx(y, abs=1e-6)
    for number in (0, 4, 9):
        own_letter, straight = bent.letters[number], line.letters[number]
        exact = shapely.transform(shapely.segmentize(straight.region, 0.02), fan)
        assert own_letter.region.is_valid
        assert shapely.hausdorff_distance(own_letter.region.boundary, exact.boundary, densify=0.2) < 1.3 * TOLERANCE


def test_stems_of_a_fan_are_wedges() -> None:
    """At a height y over the baseline a stem is (R + y) / (R + cap / 2) times as wide as it was."""
    line = typeset("I", face="Archivo", cap_height=2.0)
    wide = line.width
    letter = fanned(line, circle_curve(8.0, "outside")).letters[0]
    for y in (0.2, 1.0, 1.8):
        arc = shapely.Point(0, 0).buffer(8.0 + y, quad_segs=4000).boundary
        assert arc.intersection(letter.region).length == pytest.approx(wide * (8 + y) / 9.0, rel=1e-4)


def test_upright_letters_keep_the_width_of_their_stems_and_their_area() -> None:
    """A shear keeps areas, and widths measured level."""
    line = typeset("HILL", face="Archivo", cap_height=2.0)
    bent = upright(line, rising(line.width, 1.5))
    for own, straight in zip(bent.letters, line.letters, strict=True):
        assert own.region.area == pytest.approx(straight.region.area, rel=2e-4)
        assert (own.left, own.right) == pytest.approx((straight.left, straight.right), abs=1e-9)
    x0, y0, x1, y1 = shapely.total_bounds([letter.region for letter in bent.letters])
    # The closed form: as wide as the text, as high as capitals and rise.
    assert (x1 - x0, y0) == pytest.approx((line.width, 0.0), abs=1e-9)
    assert y1 == pytest.approx(3.5, abs=0.1) and y1 <= 3.5 + 1e-9


def test_upright_letters_on_a_sweep_are_moved_straight_up_by_it() -> None:
    line = typeset("HARBOUR", face="Archivo", cap_height=2.0)
    foot = across(SWEEP)
    bent = upright(line, foot)
    dense = SWEEP.places(np.linspace(0, SWEEP.length, 400_000))
    for own, straight in zip(bent.letters, line.letters, strict=True):

        def up(xy: np.ndarray) -> np.ndarray:
            x = xy[:, 0] + 18.0 - line.width / 2
            return np.column_stack((x, xy[:, 1] + np.interp(x, dense[:, 0], dense[:, 1])))

        exact = truth(straight.region, up)
        assert shapely.hausdorff_distance(own.region.boundary, exact.boundary, densify=0.2) < 1.2 * TOLERANCE


def test_between_a_level_foot_and_an_arched_head_heights_grow_to_the_middle() -> None:
    """An I at a place x is cap + head(x) high: by the circle through the ends and the rise of the head."""
    line = typeset("IIIIIIIII", face="Archivo", cap_height=2.0, tracking=1.0)
    bent = upright(line, rising(line.width, 0.0), rising(line.width, 1.2))
    radius = (line.width**2 / 4 + 1.2**2) / 2.4
    for letter in bent.letters:
        x0, y0, x1, y1 = letter.region.bounds
        heads = np.sqrt(radius**2 - (np.linspace(x0, x1, 100) - line.width / 2) ** 2) - radius + 1.2
        assert (y0, y1) == pytest.approx((0.0, 2.0 + heads.max()), abs=1.1e-3)


def test_a_rise_is_that_of_a_circle() -> None:
    """R = (c² / 4 + r²) / 2 r: every point of the foot is so far from its centre."""
    for width, rise in ((20.0, 3.0), (20.0, 10.0), (7.0, -1.0)):
        line = rising(width, rise)
        radius = (width**2 / 4 + rise**2) / 2 / abs(rise)
        centre = (width / 2, rise - math.copysign(radius, rise))
        assert np.hypot(line.x - centre[0], line.y - centre[1]) == pytest.approx(radius, abs=1e-9)
        assert line.y[np.abs(line.x - width / 2).argmin()] == pytest.approx(rise, abs=1e-3)


@pytest.mark.parametrize(
    ("points", "straights", "bend", "says"),
    [
        (((0, 0), (9, 0), (20, 6)), (1, 2), "fan", "turns sharply 9 mm along it"),
        (((0, 0), (1, 9), (3, 20)), (), "upright", "too steep for letters with upright stems"),
        (((30, 0), (15, 1), (0, 0)), (), "upright", "too steep for letters with upright stems"),
        (((0, 0), (3, 0.3), (6, 0)), (), "upright", "do not go on a baseline"),
        (((0, 0), (3, 0.3), (6, 0)), (), "fan", "do not go on a baseline"),
    ],
)
def test_what_cannot_be_bent(points: tuple, straights: tuple, bend: str, says: str) -> None:
    curve = curve_through(Course(points, straights=straights))
    line = typeset("STORES", face="Archivo", cap_height=2.0)
    with pytest.raises(LetteringError) as caught:
        fanned(line, curve) if bend == "fan" else upright(line, across(curve))
    assert says in caught.value.message and caught.value.fix


def test_a_head_and_a_foot_that_meet_leave_no_letters() -> None:
    line = typeset("STORES", face="Archivo", cap_height=2.0)
    with pytest.raises(LetteringError, match=r"between head and foot 0\.20 mm are left"):
        upright(line, rising(line.width, 1.8), rising(line.width, 0.0))
