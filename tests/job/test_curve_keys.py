"""Keys of curves through points: the ± of points, and directions there."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from decalgen.core.errors import Problem
from decalgen.job.model import Job

from .conftest import HEAD, PANEL

CURVE = (
    HEAD
    + PANEL
    + """decals:
  sweep:
    panel: door
    width: 20 mm
    height: 10 mm
    artwork:
      - curve:
          ink: black
          points: [[1 mm, 1 mm], [10 mm, 1.4 mm], [19 mm, 6.4 mm]]
          line width: 0.5 mm
"""
)


@pytest.mark.parametrize("written", ["± 0.05 mm", "1 mm ± 0.05", "1 mm +/- 0.05 mm", "12.4 mm u 0.05"])
def test_the_spread_of_points_is_a_length_of_its_own(
    load: Callable[..., Job], mistakes: Callable[..., tuple[Problem, ...]], written: str
) -> None:
    """Its fix is the line as it should read, which is then tried."""
    (problem,) = mistakes(f"{CURVE}          within: {written}\n")
    assert problem.message == "this is a ± itself, and has none" and problem.fix == "within: 0.05 mm"
    assert load(f"{CURVE}          {problem.fix}\n").decals[0].artwork[0].shape.within == 0.05


def test_a_direction_may_have_the_sign_of_a_degree(load: Callable[..., Job]) -> None:
    for written in ("[[1, 10°], [3, 30 deg]]", "[[1, 10], [3, 30]]"):
        shape = load(f"{CURVE}          directions: {written}\n").decals[0].artwork[0].shape
        assert shape.directions == ((1.0, 10.0), (3.0, 30.0))
