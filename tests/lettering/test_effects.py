"""Outline, inline and shadow; lettering that survives its size."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from shapely.geometry import MultiPolygon, Point, box

from decalgen.lettering.effects import filled, inlined, outlined, shadowed
from decalgen.lettering.narrow_places import narrowest_opening, thinnest_stroke
from decalgen.lettering.printable import printable
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset

SQUARE = MultiPolygon([box(0, 0, 4, 4)])
LETTERS = typeset("Stores 47", face="Archivo", cap_height=5).region


def test_outline_of_a_square() -> None:
    # Four sides of 4 x 1 and four corners: squares when sharp, quarter circles when round.
    assert outlined(SQUARE, 1.0, corners="sharp").area == pytest.approx(16 + 4)
    assert outlined(SQUARE, 1.0).area == pytest.approx(16 + math.pi, abs=0.01)
    assert outlined(SQUARE, 1.0, gap=0.5, corners="sharp").area == pytest.approx(7 * 7 - 5 * 5)


def test_inline_of_a_square() -> None:
    assert inlined(SQUARE, 0.5, 0.5).area == pytest.approx(3 * 3 - 2 * 2)
    assert filled(SQUARE, 0.5, 0.5).area == pytest.approx(16 - 5)


def test_shadow_of_a_square() -> None:
    assert shadowed(SQUARE, 1.0, -1.0, "cast").area == pytest.approx(16 - 9)
    # A solid shadow is what the square sweeps: two parallelograms of 4 x 1.
    assert shadowed(SQUARE, 1.0, -1.0).area == pytest.approx(8)
    assert shadowed(SQUARE, 2.0, 0.0).area == pytest.approx(8)


def test_effects_lie_beside_the_letters_not_under_them() -> None:
    ring = outlined(LETTERS, 0.3)
    line = inlined(LETTERS, 0.1, 0.15)
    shadow = shadowed(LETTERS, 0.5, -0.5)
    for area in (ring, shadow):
        assert area.is_valid
        assert area.intersection(LETTERS).area == pytest.approx(0.0, abs=1e-6)
    assert line.difference(LETTERS).area == pytest.approx(0.0, abs=1e-6)
    assert filled(LETTERS, 0.1, 0.15).area + line.area == pytest.approx(LETTERS.area, rel=1e-6)
    assert shadowed(LETTERS, 0.5, -0.5, "cast").area < shadow.area
    # No point of the outline is further off than its width.
    corners = shapely.points(shapely.get_coordinates(ring))
    assert shapely.distance(corners, LETTERS).max() == pytest.approx(0.3, abs=1e-3)


def test_sharp_points_are_blunted() -> None:
    spike = MultiPolygon([shapely.Polygon([(0, 0), (10, 0.3), (0, 0.6)])])
    assert outlined(spike, 0.5, corners="sharp").bounds[2] < 10 + 2.6 * 0.5


def test_effects_that_cannot_be() -> None:
    with pytest.raises(LetteringError, match="too thin for an inline"):
        inlined(LETTERS, 0.1, 3.0)
    with pytest.raises(LetteringError, match="outline of 0 mm"):
        outlined(LETTERS, 0.0)
    with pytest.raises(LetteringError, match="needs a direction"):
        shadowed(LETTERS, 0.0, 0.0)
    with pytest.raises(LetteringError, match="gap of nan"):
        outlined(LETTERS, 0.1, gap=float("nan"))


def test_thinnest_stroke_and_narrowest_opening() -> None:
    # An H of 1 mm stems with a bar of 0.4, 2 mm apart.
    h = MultiPolygon([shapely.union_all([box(0, 0, 1, 6), box(3, 0, 4, 6), box(1, 2.8, 3, 3.2)])])
    assert thinnest_stroke(h) == pytest.approx(0.4, abs=0.01)
    assert narrowest_opening(h) == pytest.approx(2.0, abs=0.03)
    ring = MultiPolygon([box(0, 0, 5, 5).difference(box(1, 1, 1.5, 4))])
    assert narrowest_opening(ring) == pytest.approx(0.5, abs=0.02)
    assert thinnest_stroke(ring) == pytest.approx(1.0, abs=0.03)
    disc = MultiPolygon([Point(0, 0).buffer(1.5, 64)])
    assert thinnest_stroke(disc) > 2.5


@pytest.mark.parametrize("face", ["Archivo", "Roboto Flex", "Oswald", "Overpass", "Saira"])
def test_small_lettering_is_made_printable(face: str) -> None:
    # 600 dpi inkjet: 0.15 mm lines, 0.20 mm gaps.
    found = printable("HARBOUR Stores", face=face, cap_height=1.3, least_stroke=0.15, least_gap=0.20)
    assert found.fits, (found.least_stroke, found.least_gap)
    assert found.least_stroke >= 0.15 * 0.97
    assert found.least_gap >= 0.20 * 0.97
    assert found.changes
    for a, b in pairwise(found.line.letters):
        assert a.region.distance(b.region) >= 0.2 - 1e-3
    h = found.line.letters[0].region
    plain = typeset("H", face=face, cap_height=1.3).region
    assert h.bounds[3] - h.bounds[1] == pytest.approx(plain.bounds[3] - plain.bounds[1], rel=2e-3)
    assert found.line.region.is_valid


def test_large_lettering_is_left_alone() -> None:
    found = printable("STORES", face="Archivo", cap_height=8, least_stroke=0.15, least_gap=0.20)
    assert found.changes == ()
    assert found.fits
    assert found.line.region.equals_exact(typeset("STORES", face="Archivo", cap_height=8).region, 1e-9)


@pytest.mark.parametrize(
    ("face", "cap"), [("Archivo", 0.5), ("Abril Fatface", 0.5), ("Abril Fatface", 1.3), ("Lobster", 1.3)]
)
def test_too_small_says_how_large(face: str, cap: float) -> None:
    # Too small for any face, or for one of hairlines and narrow counters.
    found = printable("HARBOUR Stores", face=face, cap_height=cap, least_stroke=0.15, least_gap=0.20)
    assert not found.fits
    needed = found.cap_height_needed
    assert needed is not None
    assert needed > cap
    again = printable("HARBOUR Stores", face=face, cap_height=1.05 * needed, least_stroke=0.15, least_gap=0.20)
    assert again.fits
    # Nothing but the spacing had to be touched.
    assert all(change.startswith("spacing") for change in again.changes)


def test_limits_that_make_no_sense() -> None:
    with pytest.raises(LetteringError, match="least stroke"):
        printable("A", face="Archivo", cap_height=2, least_stroke=-1, least_gap=0.2)
    with pytest.raises(LetteringError, match="no room for strokes this thick"):
        printable("STORES", face="Archivo", cap_height=0.2, least_stroke=0.3, least_gap=0.2)
