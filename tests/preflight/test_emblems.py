"""The protected emblems, by shape and colour.

What the emblems are: Geneva Convention I of 1949, art. 38 (red cross and red crescent on a white ground), Additional
Protocol III of 2005, art. 2 (a red frame in the shape of a square on edge on a white ground). The Conventions give no
measures; the shapes here are drawn with several.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from shapely.affinity import rotate, scale, translate
from shapely.geometry import Point, Polygon, box

from decalgen.core.errors import Finding
from decalgen.job.model import InkSpec, Paint
from decalgen.lettering.faces import faces
from decalgen.preflight import check_jobs
from decalgen.preflight.emblems import emblem
from tests.helpers import jobs

RED = InkSpec("red", "process", "#d0202a")


def cross(arm: float = 2.0, size: float = 6.0) -> Polygon:
    return box(-size / 2, -arm / 2, size / 2, arm / 2).union(box(-arm / 2, -size / 2, arm / 2, size / 2))


def crescent(inner: float = 0.8, shift: float = 0.25, radius: float = 3.0) -> Polygon:
    disc = Point(0, 0).buffer(radius, 64)
    return disc.difference(Point(shift * radius, 0).buffer(inner * radius, 64))


def crystal(hole: float = 0.7) -> Polygon:
    square = rotate(box(-2, -2, 2, 2), 45)
    return square.difference(scale(square, hole, hole))


def found(*elements: Any, film: str = "white", body: str = "#1d2b4a", **more: Any) -> list[Finding]:
    """What is said of emblems on a decal of 20 x 12 mm."""
    made = jobs.job(jobs.decal("sign", 20.0, 12.0, *elements, **more), film=film)
    made = replace(made, inks=(*made.inks, RED), paints=(Paint("navy", body),))
    return [finding for finding in check_jobs([made], jobs.PRINTER) if finding.code == "protected-emblem"]


def drawn(shape: Polygon, ink: str = "red") -> Any:
    """A shape as a free outline in the middle of the decal, its hole too."""
    from decalgen.shapes.outline import Hole

    x0, y0, _, _ = shape.bounds
    moved = translate(shape, -x0, -y0)

    def corners(ring: Any) -> tuple[tuple[float, float], ...]:
        points = list(ring.coords)[:-1]
        return tuple(points[:: max(1, len(points) // 200)])

    holes = tuple(Hole(corners(ring)) for ring in moved.interiors)
    return jobs.element("outline", ink=ink, points=corners(moved.exterior), holes=holes)


@pytest.mark.parametrize(
    ("shape", "name"),
    [
        (cross(), "the red cross"),
        (cross(1.5), "the red cross"),
        (cross(2.4), "the red cross"),
        (crescent(), "the red crescent"),
        (crescent(0.75, 0.3), "the red crescent"),
        (rotate(crescent(), 180), "the red crescent"),
        (crystal(), "the red crystal"),
        (crystal(0.85), "the red crystal"),
    ],
)
def test_emblems_of_several_proportions(shape: Polygon, name: str) -> None:
    assert emblem(shape) == name
    assert emblem(scale(translate(shape, 40, 7), 0.3, 0.3)) == name


@pytest.mark.parametrize("turned", [0, 0.001, 10, 45])
def test_a_cross_with_the_thinnest_arms_is_one_turned_as_well(turned: float) -> None:
    assert emblem(rotate(cross(1.2, 6.0), turned)) == "the red cross"


@pytest.mark.parametrize("turned", [1, 10, 30, 45, 80, 100, 200, -3])
def test_a_cross_or_crescent_is_one_however_it_is_turned(turned: int) -> None:
    for shape, name in ((cross(), "the red cross"), (crescent(), "the red crescent")):
        assert emblem(rotate(shape, turned)) == name
        assert emblem(scale(translate(rotate(shape, turned), 40, 7), 0.3, 0.3)) == name


def test_a_crystal_stands_on_its_corner_within_30_degrees() -> None:
    for turned in (0, 5, -20, 29, 110):
        assert emblem(rotate(crystal(), turned)) == "the red crystal"
    for turned in (31, 45, -40):
        assert emblem(rotate(crystal(), turned)) is None


@pytest.mark.parametrize(
    "shape",
    [
        box(0, 0, 5, 5),
        box(0, 0, 5, 1),
        Point(0, 0).buffer(3, 64),
        Point(0, 0).buffer(3, 64).difference(Point(0, 0).buffer(2, 64)),
        rotate(box(0, 0, 4, 4), 45),
        scale(cross(), 1.5, 1.0),
        rotate(scale(cross(), 1.5, 1.0), 30),
        cross(0.6),
        cross(4.5),
        box(0, 0, 4, 4).difference(box(1, 1, 3, 3)),
        # A border that leans a little, and two slanting stripes that cross askew.
        rotate(box(0, 0, 4, 4).difference(box(0.5, 0.5, 3.5, 3.5)), 8),
        rotate(box(-3, -0.8, 3, 0.8), 30).union(rotate(box(-3, -0.8, 3, 0.8), -30)),
        # The same at right angles, cut off level where they leave a box: a flag's diagonal cross.
        rotate(cross(1.6, 12), 45).intersection(box(-3, -3, 3, 3)),
        Polygon([(0, 0), (6, 0), (3, 5)]),
        # A Latin cross: the level bar stands high.
        box(-2, 2, 2, 3).union(box(-0.5, -3, 0.5, 4)),
        # A lens, a half-moon and a ring with a gap.
        Point(0, 0).buffer(3, 64).intersection(Point(3, 0).buffer(3, 64)),
        Point(0, 0).buffer(3, 64).intersection(box(-4, -4, 0, 4)),
        Point(0, 0).buffer(3, 64).difference(Point(0, 0).buffer(2, 64)).difference(box(0, -0.8, 4, 0.8)),
    ],
)
def test_shapes_that_are_none(shape: Polygon) -> None:
    assert emblem(shape) is None


@pytest.mark.parametrize(("shape", "name"), [(cross(), "cross"), (crescent(), "crescent"), (crystal(), "crystal")])
def test_a_red_emblem_on_white_is_a_notice_with_the_law(shape: Polygon, name: str) -> None:
    (finding,) = found(drawn(shape))
    assert finding.severity == "note"
    assert f"the red {name} on white" in finding.message
    for law in ("Geneva Convention I of 1949", "38, 44, 53 and 54", "Additional Protocol III of 2005", "national law"):
        assert law in finding.message
    (area,) = finding.areas
    assert (area[0] + area[2]) / 2 == pytest.approx(10.0, abs=0.1)


def test_on_white_ink_and_over_a_white_body_too() -> None:
    patch = jobs.element("field", ink="white", width=11.0, height=11.0)
    assert found(jobs.element("field", ink="navy"), patch, drawn(cross()))
    assert found(drawn(cross()), film="clear", body="#f4f4f0")


def test_other_colours_and_grounds_are_no_emblem() -> None:
    assert found(drawn(cross(), "green")) == []
    assert found(drawn(cross(), "orange")) == []
    assert found(drawn(cross(), "navy")) == []
    # A red plus on navy, printed or painted, and white on red.
    assert found(jobs.element("field", ink="navy"), drawn(cross())) == []
    assert found(drawn(cross()), film="clear") == []
    assert found(jobs.element("field", ink="red"), drawn(cross(), "white")) == []


def test_a_cross_that_is_turned_with_the_artwork() -> None:
    for turned in (17.0, 30.0, 45.0):
        group = jobs.element("group", elements=(drawn(cross()),), turn=turned, width=7.0, height=7.0)
        (finding,) = found(group)
        assert "the red cross on white" in finding.message
        assert found(jobs.element("field", ink="navy"), group) == []


def test_red_checks_and_stripes_are_no_emblem() -> None:
    assert found(jobs.element("checks", rows=3, columns=5, inks=("red", "white"))) == []
    assert found(jobs.element("stripe", stripe_width=2.0, ink="red", count=3)) == []
    assert found(jobs.element("cross", ink="red", arm_width=2.0)) == []


@pytest.mark.parametrize("face", [face.name for face in faces()])
def test_red_letters_of_every_face_are_no_emblem(face: str) -> None:
    for row in ("CGTXEFO", "SUKAVWY", "coe0369"):
        words = jobs.element("lettering", text=(row,), cap_height=2.0, ink="red", face=face)
        assert found(words) == [], row
