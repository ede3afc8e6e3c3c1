"""The model: exact inverse, honest limits, and what must hold of any ink on any ground."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from decalgen.colour import spectral
from decalgen.colour.model import (
    FLOOR,
    WHITE,
    attainable,
    channels,
    compensate,
    from_channels,
    inner,
    look,
    outer,
    surface,
)
from decalgen.colour.spaces import XYZ
from decalgen.colour.spectral import look_spectral, spectrum
from decalgen.colour.typed import parse
from decalgen.colour.value import ColourError

light = st.floats(0.0, 1.0)
rgb = st.tuples(light, light, light)
floors = st.floats(0.0, 0.1)
k2s = st.floats(0.0, 0.6)
BACK = surface(FLOOR)


def colour(channel: tuple[float, float, float]) -> XYZ:
    return from_channels(channel)


@given(rgb)
def test_channels_and_back(values: tuple[float, float, float]) -> None:
    assert channels(from_channels(values)) == pytest.approx(values, abs=1e-12)


@given(light, floors, k2s)
def test_inner_and_outer_undo_each_other(value: float, floor: float, k2: float) -> None:
    assume(value >= floor)
    assert outer(inner(value, floor, k2), floor, k2) == pytest.approx(value, abs=1e-12)


@given(rgb, rgb, floors, k2s)
def test_compensated_ink_gives_the_target(shares, body, floor, k2) -> None:  # type: ignore[no-untyped-def]
    """Where the model says it can be done, it comes out to 1e-9."""
    back = surface(floor, k2)
    below = [inner(b, back, k2) for b in body]
    target = colour(tuple(outer(share * b, back, k2) for share, b in zip(shares, below, strict=True)))
    # At the very limits rounding may say no; then there is nothing to hold.
    assume(attainable(target, colour(body), floor, k2))
    ink = compensate(target, WHITE, colour(body), floor, k2)
    assert look(ink, WHITE, colour(body), floor, k2) == pytest.approx(target, abs=1e-9)
    assert all(c <= 1 + 1e-9 for c in channels(ink))


def test_compensation_is_tried_on_many_pairs_that_can_be_done() -> None:
    """So that the property above is not empty: bodies lighter than the target in every channel, on tinted paper."""
    paper = parse("#f4f2ea").xyz
    for body in ("#ffffff", "#dcc274", "#6bb1df", "#9a72a8", "#a9adb0"):
        for share in (0.1, 0.4, 0.8, 1.0):
            target = colour(tuple(BACK + (c - BACK) * share for c in channels(parse(body).xyz)))  # type: ignore[arg-type]
            assert attainable(target, parse(body).xyz) or share == 1.0
            ink = compensate(target, paper, parse(body).xyz)
            assert look(ink, paper, parse(body).xyz) == pytest.approx(target, abs=1e-9)


@given(rgb, rgb, floors, k2s)
def test_never_attainable_where_the_target_is_lighter(target, body, floor, k2) -> None:  # type: ignore[no-untyped-def]
    wanted, below = channels(colour(target)), channels(colour(body))
    back = surface(floor, k2)
    if any(inner(w, back, k2) > inner(b, back, k2) for w, b in zip(wanted, below, strict=True)):
        assert not attainable(colour(target), colour(body), floor, k2)


@pytest.mark.parametrize(
    ("target", "body", "can"),
    [
        ("#c21f2c", "#ffffff", True),
        ("#c21f2c", "#eadfbd", True),
        ("#c21f2c", "#1d2b4a", False),
        ("#f3df2f", "#5b3a26", False),
        ("#1c1c1e", "#1d2b4a", True),
        ("#000000", "#ffffff", False),  # darker than the darkest patch
    ],
)
def test_attainable(target: str, body: str, can: bool) -> None:
    assert attainable(parse(target).xyz, parse(body).xyz) is can


@given(rgb, rgb)
def test_ink_never_lightens(ink: tuple[float, float, float], body: tuple[float, float, float]) -> None:
    seen = channels(look(colour(ink), WHITE, colour(body)))
    for value, below in zip(seen, body, strict=True):
        assert value <= max(below, BACK) + 1e-9


@given(rgb)
def test_paper_is_what_the_ink_was_seen_on(ink: tuple[float, float, float]) -> None:
    paper = parse("#f4f2ea").xyz
    assume(all(i >= BACK for i in ink))
    assert look(colour(ink), paper, paper) == pytest.approx(colour(ink), abs=1e-12)


@given(rgb)
def test_no_ink_changes_nothing(body: tuple[float, float, float]) -> None:
    assume(all(b >= BACK for b in body))
    assert look(WHITE, WHITE, colour(body)) == pytest.approx(colour(body), abs=1e-12)


@pytest.mark.parametrize(("floor", "k2"), [(-0.1, 0.2), (0.6, 0.2), (0.01, 1.0), (0.01, -0.1), (float("nan"), 0.2)])
def test_values_out_of_range(floor: float, k2: float) -> None:
    with pytest.raises(ColourError) as caught:
        look(WHITE, WHITE, WHITE, floor, k2)
    assert caught.value.fix


def test_black_paper() -> None:
    with pytest.raises(ColourError, match="as dark as the darkest"):
        look(WHITE, (0.0, 0.0, 0.0), WHITE)


def test_the_two_estimates_agree_on_greys_and_part_on_strong_colours() -> None:
    """Flat spectra multiply like channels; deep blue over brown does not."""
    grey = tuple(0.3 * v for v in WHITE)
    assert look_spectral(grey, WHITE, grey) == pytest.approx(look(grey, WHITE, grey), abs=1e-6)
    strong = look_spectral(parse("#0068fd").xyz, WHITE, parse("#d8c6a0").xyz)
    assert strong is not None
    assert strong != pytest.approx(look(parse("#0068fd").xyz, WHITE, parse("#d8c6a0").xyz), abs=1e-3)


def test_no_spectrum_for_what_no_light_can_be() -> None:
    """Chromaticity 0.001, 0.2 lies outside the spectrum locus (CIE 15)."""
    assert spectrum((0.001, 0.2, 0.8)) is None
    assert look_spectral((0.001, 0.2, 0.8), WHITE, WHITE) is None


def test_rebuilt_spectrum_is_the_smoothest() -> None:
    """Any other spectrum of the same colour has steeper slopes of log reflectance: tried along the metamers' plane."""
    wanted = parse("#e8641b").xyz
    weights, slopes = spectral._tables()
    found = spectral.spectrum(wanted)
    least = np.log(found) @ slopes @ np.log(found)
    free = np.linalg.svd(weights)[2][3:]
    for direction in free[::4]:
        for step in (-0.01, 0.01):
            other = found + step * found.min() * direction / np.abs(direction).max()
            assert weights @ other == pytest.approx(wanted, abs=1e-8)
            assert np.log(other) @ slopes @ np.log(other) > least
