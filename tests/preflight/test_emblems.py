"""The protected emblems and nations' roundels, by shape and colour.

What the emblems are: Geneva Convention I of 1949, art. 38 (red cross and red crescent on a white ground) and art. 53
(the arms of the Swiss Confederation, and the words), Additional Protocol III of 2005, art. 2 (a red frame in the shape
of a square on edge on a white ground), Additional Protocol I of 1977, art. 66 (an equilateral blue triangle on an
orange ground) and Annex I on art. 56 (three bright orange circles of one size on one axis, a radius apart), Hague
Convention of 1954, art. 16 (a royal-blue square, one of its angles the point of the shield, a royal-blue triangle above
it, and a white triangle on either side). The Conventions give no measures; the shapes here are drawn with several.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from shapely.affinity import rotate, scale, translate
from shapely.geometry import Point, Polygon, box

from decalgen.core.errors import Finding
from decalgen.job.layouts import layout_names, load_layout
from decalgen.job.model import InkSpec, Paint
from decalgen.job.samples import sample
from decalgen.lettering.faces import faces
from decalgen.preflight.emblems import emblem
from tests.helpers import jobs
from tests.helpers.checks import check_jobs

CODES = ("protected-emblem", "national-roundel")
RED = InkSpec("red", "process", "#d0202a")
MORE = tuple(
    InkSpec(name, "process", colour)
    for name, colour in {
        "royal blue": "#1f3f9a",
        "light blue": "#4a86c8",
        "bright orange": "#f08a1c",
        "signed orange": "#f5761a",
        "yolk": "#f2c230",
        "pale": "#f4f2ea",
        "dark red": "#a3182a",
        "emerald": "#0f8a4a",
        "black": "#1a1a1a",
    }.items()
)


def cross(arm: float = 2.0, size: float = 6.0) -> Polygon:
    return box(-size / 2, -arm / 2, size / 2, arm / 2).union(box(-arm / 2, -size / 2, arm / 2, size / 2))


def crescent(inner: float = 0.8, shift: float = 0.25, radius: float = 3.0) -> Polygon:
    disc = Point(0, 0).buffer(radius, 64)
    return disc.difference(Point(shift * radius, 0).buffer(inner * radius, 64))


def crystal(hole: float = 0.7) -> Polygon:
    square = rotate(box(-2, -2, 2, 2), 45)
    return square.difference(scale(square, hole, hole))


def found(*elements: Any, film: str = "white", body: str = "#1d2b4a", **more: Any) -> list[Finding]:
    """What is said of emblems and roundels on a decal of 20 x 12 mm."""
    made = jobs.job(jobs.decal("sign", 20.0, 12.0, *elements, **more), film=film)
    made = replace(made, inks=(*made.inks, RED, *MORE), paints=(Paint("navy", body),))
    return [finding for finding in check_jobs([made], jobs.PRINTER) if finding.code in CODES]


def drawn(shape: Polygon, ink: str = "red", **more: Any) -> Any:
    """A shape as a free outline in the middle of the decal, its hole too."""
    from decalgen.shapes.outline import Hole

    x0, y0, _, _ = shape.bounds
    moved = translate(shape, -x0, -y0)

    def corners(ring: Any) -> tuple[tuple[float, float], ...]:
        points = list(ring.coords)[:-1]
        return tuple(points[:: max(1, len(points) // 200)])

    holes = tuple(Hole(corners(ring)) for ring in moved.interiors)
    return jobs.element("outline", ink=ink, points=corners(moved.exterior), holes=holes, **more)


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
    # A red plus on navy, printed or painted.
    assert found(jobs.element("field", ink="navy"), drawn(cross())) == []
    assert found(drawn(cross()), film="clear") == []


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


# ------------------------------------------------------------------------------- what other conventions protect
TURNS = (0, 7, 45, 90, 133, 180, -60)


def triangle(side: float = 5.0) -> Polygon:
    return Polygon([(0, 0), (side, 0), (side / 2, side * 3**0.5 / 2)])


def shield(size: float = 3.0) -> tuple[Polygon, Polygon]:
    """Art. 16: the square on its corner, and above it the triangle that touches it with its point."""
    square = Polygon([(0, -size), (size, 0), (0, size), (-size, 0)])
    return square, Polygon([(0, size), (size, 2 * size), (-size, 2 * size)])


@pytest.mark.parametrize("turned", TURNS)
@pytest.mark.parametrize("ground", ["red", "dark red"])
def test_a_white_couped_cross_on_red(turned: int, ground: str) -> None:
    field = jobs.element("field", ink=ground)
    for ink in ("white", "pale"):
        (finding,) = found(field, drawn(rotate(cross(1.8), turned), ink))
        assert finding.severity == "note"
        assert "white couped cross on red" in finding.message
        assert "Geneva Convention I of 1949, art. 53" in finding.message
    assert found(field, drawn(rotate(cross(1.8), turned), "royal blue")) == []


def test_a_white_cross_on_a_red_body_and_on_other_grounds() -> None:
    assert found(drawn(cross(1.8), "pale"), film="clear", body="#c21f2c", cut=jobs.Cut("artwork"))
    assert found(jobs.element("field", ink="green"), drawn(cross(1.8), "white")) == []
    # Through to the edge it is a flag, not couped.
    assert found(jobs.element("field", ink="red"), jobs.element("cross", ink="white", arm_width=2.0)) == []


@pytest.mark.parametrize("turned", TURNS)
@pytest.mark.parametrize(("blue", "orange"), [("royal blue", "bright orange"), ("light blue", "signed orange")])
def test_the_blue_triangle_on_orange(turned: int, blue: str, orange: str) -> None:
    field = jobs.element("field", ink=orange)
    for size in (2.0, 6.0):
        (finding,) = found(field, drawn(rotate(triangle(size), turned), blue))
        assert "blue triangle on orange" in finding.message and "art. 66" in finding.message
    assert found(drawn(rotate(triangle(), turned), blue)) == []
    assert found(field, drawn(rotate(scale(triangle(), 1.0, 1.5), turned), blue)) == []
    assert found(field, drawn(rotate(triangle(), turned), "green")) == []
    assert found(jobs.element("field", ink="yolk"), drawn(rotate(triangle(), turned), blue)) == []


@pytest.mark.parametrize("turned", TURNS)
@pytest.mark.parametrize("size", [0.6, 1.0, 1.5])
def test_the_blue_and_white_shield(turned: int, size: float) -> None:
    both = [rotate(part, turned, (0, 0)) for part in shield(size)]
    for mirrored in (False, True):
        if mirrored:
            both = [scale(part, -1, 1, origin=(0, 0)) for part in both]
        (finding,) = found(*(placed(part, "royal blue") for part in both))
        assert "blue-and-white shield" in finding.message and "Hague Convention of 1954" in finding.message
    # On a navy ground its sides are not white, in red it is another figure, and so is a square alone.
    assert found(jobs.element("field", ink="navy"), *(placed(part, "royal blue") for part in both)) == []
    assert found(*(placed(part, "red") for part in both)) == []
    assert found(placed(both[0], "royal blue")) == []
    away = translate(both[1], 0, 0)
    assert found(placed(both[0], "royal blue"), placed(scale(away, 0.3, 0.3), "royal blue")) == []


@pytest.mark.parametrize("turned", TURNS)
@pytest.mark.parametrize("bulge", [0.05, 0.15])
def test_a_shield_with_bulging_sides_is_one(turned: int, bulge: float) -> None:
    """Many drawings of it round the two lower sides of the square."""
    _, above = shield(1.4)
    # A bow over each lower side: a parabola of that height.
    along = np.linspace(0, 1, 21)
    out = 4 * bulge * 1.4 * along * (1 - along) / 2**0.5
    left = np.column_stack((-1.4 * (1 - along) - out, -1.4 * along - out))
    right = np.column_stack((1.4 * along + out, -1.4 * (1 - along) - out))
    square = Polygon([*left[:-1], *right, (0, 1.4)])
    both = [rotate(part, turned, (0, 0)) for part in (square, above)]
    (finding,) = found(*(placed(part, "royal blue") for part in both))
    assert "blue-and-white shield" in finding.message


@pytest.mark.parametrize("colour", ["#d8301f", "#b3122e", "#e23a24"])
def test_near_reds_are_red(colour: str) -> None:
    global RED
    kept, RED = RED, InkSpec("red", "process", colour)
    try:
        assert found(drawn(cross()))
        assert found(jobs.element("field", ink="red"), drawn(cross(1.8), "pale"))
    finally:
        RED = kept


def placed(shape: Polygon, ink: str) -> Any:
    """A shape where it is, the origin in the middle of the decal."""
    x0, y0, x1, y1 = shape.bounds
    return replace_at(drawn(shape, ink), (x0 + x1) / 2, (y0 + y1) / 2)


def replace_at(element: Any, x: float, y: float) -> Any:
    from decalgen.shapes.base import At

    return replace(element, at=At("centre", x, y))


@pytest.mark.parametrize("turned", TURNS)
@pytest.mark.parametrize("radius", [0.4, 1.0])
def test_three_orange_discs_a_radius_apart(turned: int, radius: float) -> None:
    def row(apart: float, ink: str = "bright orange", last: float = 1.0) -> list[Finding]:
        discs = [Point((k - 1) * apart * radius, 0).buffer(radius * (last if k == 2 else 1)) for k in range(3)]
        return found(*(placed(rotate(disc, turned, (0, 0)), ink) for disc in discs))

    (finding,) = row(3.0)
    assert "three orange discs" in finding.message and "art. 56" in finding.message
    assert row(3.0, "signed orange")
    assert row(2.3) == row(4.0) == row(3.0, "yolk") == row(3.0, "red") == row(3.0, last=0.7) == []


def test_three_orange_discs_in_a_triangle_are_none() -> None:
    spots = ((0, 0), (3, 0), (1.5, 2.6))
    assert found(*(placed(translate(Point(0, 0).buffer(1), x, y), "bright orange") for x, y in spots)) == []


@pytest.mark.parametrize(
    "words", [("RED CROSS",), ("Red", "Crescent"), ("THE GENEVA-CROSS POST",), ("red lion and sun",), ("RED  CRYSTAL",)]
)
def test_the_words_are_protected_too(words: tuple[str, ...]) -> None:
    (finding,) = found(jobs.element("lettering", text=words, cap_height=1.2, ink="navy"))
    assert finding.severity == "note"
    assert " ".join(" ".join(words).lower().replace("-", " ").split()).removeprefix("the ").removesuffix(" post") in (
        finding.message
    )
    for other in (("RED", "CROSSING", "NO"), ("CROSS",), ("LION AND SUN INN",)):
        said = found(jobs.element("lettering", text=other, cap_height=1.2, ink="navy"))
        assert bool(said) == ("cross" in " ".join(other).lower() and "red" in " ".join(other).lower())


# --------------------------------------------------------------------------------------------- nations' roundels
@pytest.mark.parametrize(
    "colours",
    [
        ("red", "white", "royal blue"),
        ("dark red", "pale", "light blue"),
        ("royal blue", "white", "red"),
        ("red", "royal blue"),
        ("emerald", "white", "red"),
        ("black", "yolk", "red"),
        ("yolk", "royal blue"),
        ("red", "white", "royal blue", "yolk"),
        ("red", "white", "royal blue", "white", "red"),
    ],
)
@pytest.mark.parametrize("even", [True, False])
def test_a_nations_roundel_is_noticed(colours: tuple[str, ...], even: bool) -> None:
    count = len(colours)
    ratios = tuple(float(n if even else 2 * n - 1) for n in range(count, 0, -1))
    disc = jobs.element("roundel", inks=tuple(reversed(colours)), ratios=ratios)
    for film, body in (("white", "#39424d"), ("white", "#f4f2ea")):
        (finding,) = found(replace(disc, shape=replace(disc.shape)), film=film, body=body)
        assert (finding.code, finding.severity) == ("national-roundel", "note")
        assert "from the middle out" in finding.message
    for turned in (30.0, 90.0):
        group = jobs.element("group", elements=(disc,), turn=turned, width=6.0, height=6.0)
        assert [f.code for f in found(group)] == ["national-roundel"]


@pytest.mark.parametrize(
    "colours",
    [("emerald", "pale", "bright orange"), ("red", "pale"), ("navy", "yolk", "navy"), ("black", "white"), ("red",)],
)
def test_other_rings_are_none(colours: tuple[str, ...]) -> None:
    ratios = tuple(float(n) for n in range(len(colours), 0, -1))
    said = found(jobs.element("roundel", inks=tuple(reversed(colours)), ratios=ratios))
    assert bool(said) == (colours == ("emerald", "pale", "bright orange"))


def test_a_white_star_on_a_blue_disc() -> None:
    disc = jobs.element("roundel", inks=("navy",), ratios=(1.0,))
    star = jobs.element("star", ink="white", diameter=8.0, in_circle=True)
    (finding,) = found(disc, star)
    assert finding.code == "national-roundel" and "white star on a blue disc" in finding.message
    assert found(jobs.element("field", ink="navy"), star) == []
    assert found(disc, jobs.element("star", ink="yolk", diameter=8.0, in_circle=True)) == []


@pytest.mark.parametrize("name", layout_names())
def test_no_ready_layout_alarms(name: str) -> None:
    codes = {finding.code for finding in check_jobs([sample(load_layout(name))], jobs.PRINTER)}
    assert not codes & {"protected-emblem", "national-roundel"}
