"""The largest free rectangle of a grid, against every rectangle there is."""

from __future__ import annotations

import numpy as np
import pytest

from decalgen.nesting.remnant import _largest_in_grid


def plain(free: np.ndarray) -> int:
    """The cells of the largest free rectangle, each tried."""
    rows, columns = free.shape
    return max(
        (
            (b - a) * (d - c)
            for a in range(rows)
            for b in range(a + 1, rows + 1)
            for c in range(columns)
            for d in range(c + 1, columns + 1)
            if free[a:b, c:d].all()
        ),
        default=0,
    )


@pytest.mark.parametrize("seed", range(60))
def test_no_free_rectangle_is_larger(seed: int) -> None:
    chance = np.random.default_rng(seed)
    rows, columns = (int(n) for n in chance.integers(1, 9, 2))
    free = chance.random((rows, columns)) < chance.choice([0.3, 0.6, 0.85, 1.0])
    box = _largest_in_grid(free, np.arange(columns + 1.0), np.arange(rows + 1.0))
    most = plain(free)
    if box is None:
        assert most == 0
        return
    left, bottom, right, top = (int(side) for side in box)
    assert free[bottom:top, left:right].all()
    assert (right - left) * (top - bottom) == most > 0
