"""What runs on: a cut that is off by the bleed must show nothing that the decal does not have at that edge."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from decalgen.core.geometry import rectangle, union
from decalgen.shapes.base import Box, Shape
from decalgen.shapes.blocks import Blocks
from decalgen.shapes.border import Border
from decalgen.shapes.checks import Checks
from decalgen.shapes.chevrons import Chevrons
from decalgen.shapes.cross import Cross
from decalgen.shapes.field import Field
from decalgen.shapes.roundel import Roundel
from decalgen.shapes.star import Star
from decalgen.shapes.stripe import Stripe
from tests.shapes.sampling import ink_at, near_edge

SIZE = Box(12.0, 7.0)
REACH = 1.5
beyond = st.tuples(st.floats(-REACH, SIZE.width + REACH), st.floats(-REACH, SIZE.height + REACH)).filter(
    lambda p: not (0 <= p[0] <= SIZE.width and 0 <= p[1] <= SIZE.height)
)

OUTWARD: list[Shape] = [
    Checks(("white", "navy"), rows=3, columns=5),
    Checks(("white", "navy"), rows=3, columns=5, half_cells=True),
    Checks(("white", "navy", "green"), rows=4, columns=6),
    Checks(("navy",), rows=2, columns=7),
    Blocks(("ab.", "c.a"), ("white", "navy", "green"), column_shares=(2.0, 1.0, 1.0)),
    Field("navy"),
    Cross("navy", arm_width=1.0, centre_x=4.0, fimbriation=(0.5,), fimbriation_inks=("white",)),
    Cross("navy", arm_width=2.0, centre_x=0.5, centre_y=7.0),
    Stripe(1.0, ink="navy", count=4, ground="white"),
    Stripe(1.4, inks=("navy", "white"), angle=90.0, fill=True),
    Border("navy", 0.8),
]


@pytest.mark.parametrize("shape", OUTWARD, ids=lambda s: f"{s.name}")
@given(point=beyond)
def test_straight_shapes_run_straight_out(shape: Shape, point: tuple[float, float]) -> None:
    """Beyond a side lies what lies at the nearest point of that side; beyond a corner, what lies in the corner."""
    areas = shape.draw(SIZE, REACH)
    x, y = (min(max(v, 1e-4), most - 1e-4) for v, most in zip(point, SIZE, strict=True))
    assume(not near_edge(areas, *point))
    assert ink_at(areas, *point) == ink_at(shape.draw(SIZE), x, y)


SLANTED: list[tuple[Shape, float]] = [
    (Stripe(1.0, ink="navy", angle=45.0, fill=True, ground="white"), 45.0),
    (Stripe(1.1, inks=("navy", "white", "green"), angle=-30.0, fill=True), -30.0),
    (Stripe(2.0, ink="navy", angle=70.0, count=2), 70.0),
    (Chevrons(1.0, inks=("navy", "white"), direction="right", centred=False), 135.0),
    (Chevrons(1.0, inks=("navy", "white"), direction="up", angle=30.0, centred=False), 60.0),
    (Cross("navy", arm_width=1.0, saltire=True), math.degrees(math.atan2(7, 12))),
]


@pytest.mark.parametrize(("shape", "angle"), SLANTED, ids=lambda v: getattr(v, "name", None))
@given(point=beyond)
def test_slanted_stripes_run_on_along_themselves(shape: Shape, angle: float, point: tuple[float, float]) -> None:
    areas, plain = shape.draw(SIZE, REACH), shape.draw(SIZE)
    assume(not near_edge(areas, *point))
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    # Walk along the stripe both ways until the extent is met.
    met = [
        (point[0] + t * c, point[1] + t * s)
        for t in (sign * 0.02 * n for n in range(1, 150) for sign in (1, -1))
        if 0 <= point[0] + t * c <= SIZE.width and 0 <= point[1] + t * s <= SIZE.height
    ]
    assume(met)
    if shape.name == "cross":
        assume(ink_at(plain, *met[0]) == "navy" and abs(point[0] / 12 - point[1] / 7) < 0.1)
    assert ink_at(areas, *point) == ink_at(plain, *met[0])


@pytest.mark.parametrize("slant", [0.0, 20.0, -40.0])
@pytest.mark.parametrize("half", [False, True])
def test_no_sliver_of_another_ink_along_a_check_edge(slant: float, half: bool) -> None:
    """Each side of the run-on shows just as many changes of ink as the side itself, so no cell starts beyond it."""
    shape = Checks(("white", "navy"), rows=4, columns=9, slant=slant, half_cells=half)
    areas = shape.draw(SIZE, REACH)
    w, h = SIZE
    bands = {
        "left": (rectangle(-REACH, 0, 0, h), rectangle(0, 0, 1e-3, h)),
        "right": (rectangle(w, 0, w + REACH, h), rectangle(w - 1e-3, 0, w, h)),
        "bottom": (rectangle(0, -REACH, w, 0), rectangle(0, 0, w, 1e-3)),
        "top": (rectangle(0, h, w, h + REACH), rectangle(0, h - 1e-3, w, h)),
    }
    for side, (out, rim) in bands.items():
        for area in areas:
            parts = [p for p in union([area.region.intersection(out)]).geoms if p.area > 1e-9]
            at_rim = [p for p in union([area.region.intersection(rim)]).geoms if p.area > 1e-9]
            for part in parts:
                assert any(part.distance(cell) < 1e-9 for cell in at_rim), (side, part.wkt)
            assert len(parts) <= len(at_rim), side


def test_cells_in_the_run_on_are_just_the_edge_cells_drawn_out() -> None:
    """2 x 4 checks of 1 mm, run on by 0.5: worked out by hand."""
    white, navy = Checks(("white", "navy"), rows=2, columns=4).draw(Box(4, 2), 0.5)
    expected = union(
        [rectangle(-0.5, 1, 1, 2.5), rectangle(2, 1, 3, 2.5), rectangle(1, -0.5, 2, 1), rectangle(3, -0.5, 4.5, 1)]
    )
    assert white.region.symmetric_difference(expected).area < 1e-12
    assert navy.region.symmetric_difference(rectangle(-0.5, -0.5, 4.5, 2.5).difference(expected)).area < 1e-12


@pytest.mark.parametrize("shape", [Roundel(("navy", "white")), Star("navy"), Cross("navy", couped=True, saltire=True)])
def test_what_meets_its_sides_with_points_only_does_not_run_on(shape: Shape) -> None:
    size = shape.extent(Box(9, 9))
    assert [a.region.bounds for a in shape.draw(size, 1.0)] == [a.region.bounds for a in shape.draw(size)]


def test_the_flat_ends_of_a_couped_cross_run_on() -> None:
    (area,) = Cross("navy", couped=True).draw(Box(9, 9), 1.0)
    assert area.region.equals(union([rectangle(-1, 3, 10, 6), rectangle(3, -1, 6, 10)]))
