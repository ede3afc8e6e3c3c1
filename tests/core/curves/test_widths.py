"""Widths that change along a curve."""

from __future__ import annotations

import numpy as np
import pytest

from decalgen.core.curves.widths import Widths

scipy = pytest.importorskip("scipy.interpolate")


def test_smooth_widths_never_bulge_beyond_what_is_told() -> None:
    """Fritsch and Carlson 1980: between two places a width stays between the two that are told, and only grows or only
    falls."""
    rng = np.random.default_rng(3)
    for _ in range(100):
        n = int(rng.integers(2, 9))
        along = tuple(np.cumsum(rng.uniform(0.2, 5.0, n)).tolist())
        values = tuple(rng.uniform(0.0, 4.0, n).round(1).tolist())
        widths = Widths(along, values, True, (bool(rng.integers(2)), bool(rng.integers(2))))
        for i in range(n - 1):
            steps = np.diff(widths.at(np.linspace(along[i], along[i + 1], 200)))
            assert (steps * np.sign(values[i + 1] - values[i]) >= -1e-12).all()
        assert widths.at(np.array(along)) == pytest.approx(values, abs=1e-12)
        assert widths.at(np.array([-9.0, along[-1] + 9])) == pytest.approx((values[0], values[-1]))


def test_the_curve_between_is_the_hermite_cubic_of_its_slopes() -> None:
    """Against scipy's cubic through the same values and slopes."""
    widths = Widths((0.0, 3.0, 4.0, 9.0), (1.0, 2.5, 2.7, 0.5), smooth=True)
    cubic = scipy.CubicHermiteSpline(widths.along, widths.values, widths.slopes)
    along = np.linspace(0.0, 9.0, 500)
    assert widths.at(along) == pytest.approx(cubic(along), abs=1e-12)


def test_where_the_curve_goes_on_a_smooth_width_comes_to_rest() -> None:
    """No bend in the edge where the width stops changing."""
    widths = Widths((2.0, 6.0), (3.0, 1.0), True, (True, True))
    at = np.array([2.0, 6.0])
    assert np.abs(widths.at(at + 1e-4) - widths.at(at - 1e-4)).max() < 1e-6
    assert widths.at(np.array([4.0])) == pytest.approx(2.0)


def test_chords_between_its_stations_keep_the_tolerance() -> None:
    widths = Widths((0.0, 3.0, 4.0, 9.0), (1.0, 2.5, 2.7, 0.5), smooth=True)
    at = widths.stations(0.001)
    along = np.linspace(0.0, 9.0, 5000)
    off = np.abs(np.interp(along, at, widths.at(at)) - widths.at(along)) / 2
    assert 0.0004 < off.max() < 0.001
