"""Colours that run on beyond the edge of what a picture shows."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from decalgen.core.pixels.decode import pixels_of
from decalgen.core.pixels.edges import run_on
from decalgen.core.pixels.values import Pixels
from tests.helpers.pictures import colours, disc, photograph


def arrays(pixels: Pixels) -> tuple[np.ndarray, np.ndarray]:
    rgb = np.frombuffer(pixels.rgb, np.uint8).reshape(pixels.height, pixels.width, 3)
    alpha = np.full(rgb.shape[:2], 255, np.uint8)
    if pixels.alpha is not None:
        alpha = np.frombuffer(pixels.alpha, np.uint8).reshape(rgb.shape[:2])
    return rgb, alpha


def cut_out(background: tuple[int, int, int]) -> tuple[np.ndarray, np.ndarray, Pixels]:
    """A disc of colours; the file holds some other colour where it is clear."""
    alpha = disc(60, (30, 30), 20)
    rgb = np.where((alpha > 0)[..., None], colours(60, 60), np.array(background, np.uint8)).astype(np.uint8)
    return rgb, alpha, pixels_of(Image.fromarray(np.dstack([rgb, alpha])))


@pytest.mark.parametrize("rim", [0, 7])
def test_inside_nothing_changes(rim: int) -> None:
    rgb, alpha, pixels = cut_out((255, 0, 255))
    got, _ = arrays(run_on(pixels, rim, True))
    inner = got[rim : rim + 60, rim : rim + 60]
    assert (inner[alpha > 127] == rgb[alpha > 127]).all()


def test_a_plain_edge_becomes_whole_and_takes_no_colour_from_what_is_clear() -> None:
    _, alpha, pixels = cut_out((255, 0, 255))
    rgb, there = arrays(run_on(pixels, 0, True))
    other, _ = arrays(run_on(cut_out((0, 255, 0))[2], 0, True))
    assert (rgb[there == 255] == other[there == 255]).all()
    edge = (alpha > 0) & (alpha < 255)
    assert (there[edge] == 255).all() and (there[0] == 0).all()
    beside = (there == 255) & (alpha == 0)
    # Next to the edge the colours are those of the waves there: a wave of 100 levels changes by 12 a pixel at most.
    own = colours(60, 60).astype(int)
    assert beside.any() and abs(rgb[beside].astype(int) - own[beside]).mean() < 24


def test_a_soft_edge_stays_soft() -> None:
    ramp = np.tile(np.linspace(0, 255, 60).astype(np.uint8), (60, 1))
    pixels = pixels_of(Image.fromarray(np.dstack([colours(60, 60), ramp])))
    _, there = arrays(run_on(pixels, 0, True))
    assert (there == ramp).all()


def test_with_a_rim_colour_is_everywhere_beyond() -> None:
    _, _, pixels = cut_out((255, 0, 255))
    made = run_on(pixels, 9, True)
    assert made.alpha is None and (made.width, made.height) == (78, 78)
    rgb, _ = arrays(run_on(pixels_of(photograph(40, 30)), 5, False))
    assert (rgb[5:35, 5:45] == colours(40, 30)).all()
    # The rim is filled from next to it: even a corner is no further off than the waves go there.
    assert abs(rgb[0, 0].astype(int) - colours(40, 30)[0, 0]).max() < 12 * 8
    assert abs(rgb[20, 49].astype(int) - colours(40, 30)[15, 39]).max() < 12 * 8


def test_what_shows_through_a_box_stays_so() -> None:
    holes = np.full((30, 40), 255, np.uint8)
    holes[10:20, 10:20] = 0
    pixels = pixels_of(Image.fromarray(np.dstack([colours(40, 30), holes])))
    _, there = arrays(run_on(pixels, 4, False))
    assert (there[4:34, 4:44] == holes).all() and there[0, 0] == 255
