"""Competition numbers and safety signs against the measures their rule books and directives give."""

from __future__ import annotations

import math

import pytest
import shapely
from shapely.geometry import LineString

from decalgen.lettering.block import BlockStyle, block_letter
from decalgen.shapes.base import Box, Element
from decalgen.shapes.group import Group
from decalgen.shapes.outline import DrawnOutline
from decalgen.shapes.roundel import Roundel
from decalgen.shapes.stripe import Stripe
from tests.shapes.sampling import seen

INCH = 25.4
MICROMETRE = 1e-3


def crossing(area: shapely.Geometry, y: float) -> list[float]:
    """The lengths of ink along a level line."""
    left, _, right, _ = area.bounds
    cut = area.intersection(LineString([(left - 1, y), (right + 1, y)]))
    return [part.length for part in getattr(cut, "geoms", [cut])]


@pytest.mark.parametrize(
    ("height", "stroke", "width"),
    [
        # FIA note to teams for 2017: racing numbers at least 230 mm high, strokes at least 40 mm wide.
        (230.0, 40.0, None),
        # The same note: the driver's name at least 150 mm high, strokes 30 mm.
        (150.0, 30.0, None),
        # SCCA solo rules, 3.7.E: numbers at least 8 in high with strokes of at least 1.25 in.
        (8 * INCH, 1.25 * INCH, None),
        # FIM motocross regulations, 55.05: digits 140 mm high, 70 mm wide, strokes 25 mm.
        (140.0, 25.0, 70.0),
    ],
)
def test_competition_numbers(height: float, stroke: float, width: float | None) -> None:
    style = BlockStyle(height, stroke=stroke) if width is None else BlockStyle(height, width=width, stroke=stroke)
    for figure in "0479":
        area = block_letter(figure, style)
        assert area.bounds[3] - area.bounds[1] == pytest.approx(height, abs=MICROMETRE)
        if width is not None:
            assert area.bounds[2] - area.bounds[0] == pytest.approx(width, abs=MICROMETRE)
    assert crossing(block_letter("0", style), height / 2) == pytest.approx([stroke, stroke], abs=MICROMETRE)
    # Upright strokes of other figures; the leg of a 4 is met below its bar.
    assert crossing(block_letter("4", style), stroke / 2) == pytest.approx([stroke], abs=MICROMETRE)


def test_a_stroke_of_a_class_letter_may_not_be_thinner_than_a_tenth_of_its_height() -> None:
    # SCCA solo rules, 3.7.E: strokes of at least a tenth of the height.
    area = block_letter("H", BlockStyle(100.0, stroke=10.0))
    assert min(crossing(area, 20.0)) == pytest.approx(10.0, abs=MICROMETRE)


def test_a_prohibition_sign_is_red_enough() -> None:
    # Directive 92/58/EEC, annex II, 3.1: red at least 35 % of the area, the bar at 45 degrees from upper left to lower
    # right. Border d/10 and bar 2d/25 (ISO 3864-1, from memory).
    d, border, bar = 60.0, 6.0, 4.8
    inner = d - 2 * border
    # The bar ends inside the border.
    slanted = Group(
        (Element(Stripe(bar, ink="red", length=inner + border)),),
        width=d,
        height=d,
        turn=-45.0,
    )
    sign = Group((Element(Roundel(("red", "white"), diameters=(d, inner))), Element(slanted)), width=d, height=d)
    shown = seen(sign.draw(Box(d, d)))
    whole = shown["red"] + shown["white"]
    # A chord band through the middle of a disc: 2 (a sqrt(r^2 - a^2) + r^2 asin(a/r)).
    r, a = inner / 2, bar / 2
    band = 2 * (a * math.sqrt(r * r - a * a) + r * r * math.asin(a / r))
    red = math.pi * (d * d / 4 - r * r) + band
    assert shown["red"] == pytest.approx(red, rel=1e-3)
    assert whole == pytest.approx(math.pi * d * d / 4, rel=1e-3)
    assert 0.35 <= shown["red"] / whole < 0.5


def test_a_warning_sign_is_yellow_enough() -> None:
    # Directive 92/58/EEC, annex II, 3.2: yellow at least 50 % of the area of the triangle, whose edge is black.
    side = 60.0
    high = side * math.sqrt(3) / 2
    # A black border a fifteenth of the side wide (any that leaves half the area yellow is allowed).
    edge = side / 15
    inset = edge * math.sqrt(3)
    outer = DrawnOutline(ink="black", points=((0.0, 0.0), (side, 0.0), (side / 2, high)))
    inner = DrawnOutline(
        ink="yellow",
        points=((inset, edge), (side - inset, edge), (side / 2, high - 2 * edge)),
    )
    shown = seen(Group((Element(outer), Element(inner)), width=side, height=high).draw(Box(side, high)))
    share = shown["yellow"] / (shown["yellow"] + shown["black"])
    # Similar triangles: the inradius shrinks by the border's width.
    inradius = side * math.sqrt(3) / 6
    assert share == pytest.approx(((inradius - edge) / inradius) ** 2, rel=1e-3)
    assert share >= 0.5
