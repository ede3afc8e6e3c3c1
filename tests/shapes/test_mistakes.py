"""Mistakes in a shape's parameters: each one message and a fix, and nothing that hangs."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from decalgen.core.errors import DecalgenError
from decalgen.core.keys import Count, Many, specs
from decalgen.shapes.base import Box, Element, Shape, ShapeError
from decalgen.shapes.blocks import Blocks
from decalgen.shapes.border import Border
from decalgen.shapes.checks import Checks
from decalgen.shapes.chevrons import Chevrons
from decalgen.shapes.cross import Cross
from decalgen.shapes.field import Field
from decalgen.shapes.group import Group
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.outline import DrawnOutline, Hole
from decalgen.shapes.registry import find, load
from decalgen.shapes.roundel import Roundel
from decalgen.shapes.star import Star
from decalgen.shapes.stripe import Stripe

SQUARE = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))

# What is wrong with the parameters alone shows when the shape is made.
AT_ONCE: list[tuple[str, Callable[[], Shape]]] = [
    ("no width", lambda: Stripe(0.0, ink="navy")),
    ("no width", lambda: Stripe(float("nan"), ink="navy")),
    ("overlap", lambda: Stripe(2.0, ink="navy", count=3, pitch=1.5)),
    ("either `ink` or `inks`", lambda: Stripe(1.0)),
    ("either `ink` or `inks`", lambda: Stripe(1.0, ink="navy", inks=("white",))),
    ("slanted ends at this angle", lambda: Stripe(1.0, ink="navy", angle=30.0, end_slant=10.0)),
    ("neither rows", lambda: Checks(("white", "navy"))),
    ("too many", lambda: Checks(("white", "navy"), rows=1_000_000_000, columns=1_000_000_000)),
    ("3 inks but 2 sizes", lambda: Roundel(("a", "b", "c"), ratios=(3.0, 1.0))),
    ("do not get smaller", lambda: Roundel(("a", "b", "c"), ratios=(5.0, 5.0, 1.0))),
    ("do not get smaller", lambda: Roundel(("a", "b", "c"), diameters=(5.0, 1.0, 3.0))),
    ("size twice", lambda: Roundel(("a", "b"), diameters=(5.0, 1.0), diameter=4.0)),
    ("overlap", lambda: Roundel(("a",), diameter=4.0, count=2, pitch=3.0)),
    ("no width", lambda: Chevrons(0.0, ink="navy")),
    ("1 fimbriation widths but 0 inks", lambda: Cross("navy", fimbriation=(1.0,))),
    ("no `centre x`", lambda: Cross("navy", couped=True, centre_x=2.0)),
    ("corner to corner", lambda: Cross("navy", saltire=True, centre_y=2.0)),
    ("no points", lambda: Star("navy", inner_ratio=1.0)),
    ("no points", lambda: Star("navy", inner_ratio=1.7)),
    ("row 2 of the block pattern has 2 cells, the first has 3", lambda: Blocks(("aba", "ab"), ("a", "b"))),
    ("'c' in the block pattern has no ink", lambda: Blocks(("abc",), ("white", "navy"))),
    ("no rows", lambda: Blocks(("",), ("white",))),
    ("2 columns but 3 column shares", lambda: Blocks(("ab",), ("a", "b"), column_shares=(1.0, 2.0, 1.0))),
    ("crosses or touches itself near 2, 2", lambda: DrawnOutline("navy", ((0, 0), (4, 4), (4, 0), (0, 4)))),
    ("three points", lambda: DrawnOutline("navy", ((0, 0), (4, 4)))),
    ("no area", lambda: DrawnOutline("navy", ((0, 0), (2, 2), (4, 4)))),
    ("the same", lambda: DrawnOutline("navy", ((0, 0), (0, 0), (4, 0), (4, 4)))),
    ("4 corners but 2 radii", lambda: DrawnOutline("navy", SQUARE, radii=(1.0, 1.0))),
    ("does not fit", lambda: DrawnOutline("navy", SQUARE, radii=(5.0, 0.0, 0.0, 0.0))),
    ("do not fit the side of 4 mm", lambda: DrawnOutline("navy", SQUARE, radii=(2.5,))),
    ("beside a bent side", lambda: DrawnOutline("navy", SQUARE, radii=(1.0,), rises=(0.5,))),
    ("hole", lambda: DrawnOutline("navy", SQUARE, holes=(Hole(((3.0, 3.0), (5.0, 3.0), (5.0, 5.0))),))),
    (
        "hole 1 of the outline crosses",
        lambda: DrawnOutline("navy", SQUARE, holes=(Hole(((1, 1), (3, 3), (3, 1), (1, 3))),)),
    ),
    ("needs a size", lambda: Group((Element(Star("navy")),), turn=10.0)),
    ("not a setting of a face", lambda: Lettering(("A",), "navy", 2.0, axes=("wght",))),
    ("width and a tracking", lambda: Lettering(("AB",), "navy", 2.0, tracking=0.1, width=9.0)),
]

# What depends on the size shows when it is measured or drawn.
WHEN_DRAWN: list[tuple[str, Shape]] = [
    ("too many", Checks(("white", "navy"), cell=0.01)),
    ("too many", Checks(("white", "navy"), rows=3, cell=0.001)),
    ("too many", Stripe(0.001, ink="navy", angle=30.0, fill=True, pitch=0.001)),
    ("too many", Chevrons(0.0005, ink="navy", gap=0.0)),
    ("cross each other", Stripe(8.0, ink="navy", start_slant=70.0, end_slant=-70.0)),
    ("no room for the row", Roundel(("navy",), count=9, pitch=9.0)),
    ("overlap", Roundel(("navy",), count=2, pitch=2.0)),
    ("outside it", Cross("navy", centre_x=90.0)),
    ("do not fit a cross", Cross("navy", couped=True, arm_width=30.0)),
    ("no room for the border", Border("navy", 0.5, inset=20.0)),
    ("do not fit", Group((Element(Field("navy")),), count=99, pitch_x=5.0)),
    ("cannot be spaced", Lettering(("HARBOUR",), "navy", 1.0, width=400.0)),
    ("single letter", Lettering(("7",), "navy", 1.0, width=4.0)),
    ("no face called", Lettering(("7",), "navy", 1.0, face="Nosuch")),
]


@pytest.mark.parametrize(("message", "make"), AT_ONCE, ids=lambda v: v if isinstance(v, str) else None)
def test_wrong_parameters_are_told_when_the_shape_is_made(message: str, make: Callable[[], Shape]) -> None:
    with pytest.raises(ShapeError, match=message) as caught:
        make()
    assert caught.value.fix


@pytest.mark.parametrize(("message", "shape"), WHEN_DRAWN, ids=lambda v: v if isinstance(v, str) else None)
def test_what_does_not_go_in_this_size_is_told_when_drawn(message: str, shape: Shape) -> None:
    with pytest.raises(DecalgenError, match=message) as caught:
        shape.draw(shape.extent(Box(20, 12)))
    assert caught.value.fix


def test_a_hostile_pattern_is_bounded_by_the_marks() -> None:
    """No count in a job file goes beyond a thousand, and every list has an end."""
    for cls in load().values():
        for spec in specs(cls):
            if isinstance(spec.kind, Count):
                assert spec.kind.most <= 1000
            if isinstance(spec.kind, Many):
                assert spec.kind.most <= 500


def test_the_largest_pattern_allowed_is_drawn() -> None:
    areas = Checks(("white", "navy"), rows=100, columns=199, height=50.0).draw(Box(100, 50))
    assert sum(len(a.region.geoms) for a in areas) == 19_900


def test_an_unknown_shape_gets_the_nearest_name() -> None:
    with pytest.raises(DecalgenError, match="no shape 'chevron'") as caught:
        find("chevron")
    assert "chevrons" in caught.value.fix
