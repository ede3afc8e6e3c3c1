"""Panels bent nearly half round, measured by chord and radius: covered, and said to be left open."""

from __future__ import annotations

import math
import random

import pytest

from decalgen.core.lengths import Quantity
from decalgen.panels.base import PanelError
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.half_circles import height_over


def bent(chord: float, radius: float, limit: float) -> Cylinder:
    def read(value: float, name: str) -> Quantity:
        return Quantity(value, 1, ((f"p.{name}", limit / math.sqrt(3)),))

    return Cylinder(chord=read(chord, "chord"), radius=read(radius, "radius"), length=read(40.0, "length"))


@pytest.mark.parametrize("limit", [0.02, 0.2])
@pytest.mark.parametrize("degrees", [60.0, 120.0, 160.0, 175.0, 179.0, 180.0])
def test_the_arc_is_covered_up_to_half_round(degrees: float, limit: float) -> None:
    """The truth by the plain circle: chord 2R sin(θ/2), arc Rθ."""
    rng = random.Random(20261126)
    covered, runs = 0, 30
    for _ in range(runs):
        radius, angle = rng.uniform(8.0, 15.0), math.radians(degrees)
        chord, arc = 2 * radius * math.sin(angle / 2), radius * angle
        kind = bent(chord + rng.uniform(-limit, limit), radius + rng.uniform(-limit, limit), limit)
        width = kind.build("p").width
        covered += abs(width.value - arc) <= width.expanded()
    assert covered >= 0.93 * runs - 1


def test_half_round_is_noted_and_a_contradiction_is_an_error() -> None:
    (note,) = bent(20.0, 10.01, 0.02).build("p").findings
    assert note.code == "height-open" and "rise" in note.fix and note.measured is not None and note.measured > 0.3
    assert bent(20.0, 15.0, 0.02).build("p").findings == ()
    with pytest.raises(PanelError, match="more than twice the radius"):
        bent(20.0, 9.5, 0.02).build("p")


def test_the_height_is_that_of_a_circle() -> None:
    """R - √(R² - a²), and half a circle at its end."""
    assert height_over(7.5, 0.5) == pytest.approx(8.0 - math.sqrt(8.0**2 - 7.5**2))
    assert height_over(7.5, 0.0) == 7.5
