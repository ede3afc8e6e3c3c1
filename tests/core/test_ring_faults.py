"""What is wrong with an outline is said for what it is: a line is no crossing."""

from __future__ import annotations

import pytest

from decalgen.core.geometry import fault_of_ring

LINE = ((0.0, 0.0), (5.0, 5.0), (10.0, 10.0), (2.0, 2.0))


@pytest.mark.parametrize(
    ("points", "says"),
    [
        (LINE, "has no area: its points lie on one line"),
        (((0, 0), (5, 0), (10, 0)), "has no area: its points lie on one line"),
        (((3, 3), (3, 3), (3, 3)), "has no area: its points lie on one line"),
        (((0, 0), (1, 1)), "has fewer than three points"),
        (((0, 0), (10, 10), (10, 0), (0, 10)), "crosses itself at (5, 5)"),
        (((0, 0), (10, 0), (5, 0), (5, 5)), "folds back on itself at (10, 0)"),
        (((0, 0), (4, 4), (8, 0), (8, 8), (4, 4), (0, 8)), "touches itself at (4, 4)"),
        (((0, 0), (10, 0), (10, 10)), ""),
    ],
)
def test_what_is_wrong_with_a_ring(points: tuple[tuple[float, float], ...], says: str) -> None:
    assert fault_of_ring(points) == says
