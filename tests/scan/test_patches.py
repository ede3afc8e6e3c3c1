"""The colours of a scan made right by a white and a black patch and by the original's own white."""

from __future__ import annotations

import io

import numpy as np
import pytest
from coloraide import Color
from PIL import Image

from decalgen.colour.spaces import Light
from decalgen.colour.value import Colour
from decalgen.core.pixels.values import PictureData
from decalgen.scan.light import Scan, read_scan
from decalgen.scan.patches import BLACK_PATCH, WHITE_PATCH, ColourPatch, PatchError, Patches, correction
from tests.scan.scans import linear

INKS = ("#1f7f86", "#e9d9b0", "#7a1f2b", "#27313f", "#c8781e")
SIDE = 40
"""Of each patch and swatch, pixels."""


def scanned(gain: tuple[float, ...] = (1, 1, 1), flare: float = 0.0, varnish: tuple[float, ...] = (1, 1, 1)) -> Scan:
    """A row: white patch, black patch, the original's own white, its inks; the last two under a varnish, all of it with
    a cast and stray light."""
    originals = [np.multiply(linear(one), varnish) for one in ("#ffffff", *INKS)]
    row = [np.array(WHITE_PATCH), np.array(BLACK_PATCH), *originals]
    light = np.repeat(np.array(row), SIDE, axis=0)[None].repeat(2 * SIDE, axis=0)
    light = np.clip(light * gain * 0.9 + flare, 0, 1)
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055) * 255
    noise = np.random.default_rng(5).normal(0, 1.0, coded.shape)
    out = io.BytesIO()
    Image.fromarray(np.rint(np.clip(coded + noise, 0, 255)).astype(np.uint8)).save(out, "PNG")
    return read_scan(PictureData("row.png", out.getvalue()))


def corrected(scan: Scan, inks: list[Light], patches: Patches) -> list[Light]:
    by = correction(scan, patches).ink
    return [by(ink) for ink in inks]


def at(number: int) -> tuple[float, float]:
    return (number + 0.5) * SIDE, SIDE


def off(scan: Scan, patches: Patches) -> float:
    """How far the worst ink is off (CIEDE2000 as another library has it)."""
    seen = []
    for n in range(3, 3 + len(INKS)):
        r, g, b = scan.light((n * SIDE + 10, 10, (n + 1) * SIDE - 10, 70)).reshape(-1, 3).mean(axis=0)
        seen.append((float(r), float(g), float(b)))
    made = corrected(scan, seen, patches)
    pairs = zip(made, INKS, strict=True)
    return max(Color(Colour.from_linear(one).hex).delta_e(Color(ink), method="2000") for one, ink in pairs)


WHITE, BLACK, OWN = ColourPatch(at(0)), ColourPatch(at(1)), ColourPatch(at(2))


@pytest.mark.parametrize("gain", [(1.0, 0.93, 0.8), (0.8, 0.95, 1.0), (0.6, 0.6, 0.6)])
def test_a_cast_and_stray_light_are_taken_out_by_two_patches(gain: tuple[float, ...]) -> None:
    scan = scanned(gain, 0.02)
    assert off(scan, Patches()) > 5
    assert off(scan, Patches(WHITE, BLACK)) < 2.5


def test_stray_light_is_only_seen_by_the_black_patch() -> None:
    scan = scanned(flare=0.03)
    assert off(scan, Patches(WHITE, BLACK)) < 2 < 4 < off(scan, Patches(WHITE))


def test_yellow_varnish_is_taken_out_by_the_original_s_own_white() -> None:
    scan = scanned(varnish=(0.95, 0.85, 0.55))
    assert off(scan, Patches(WHITE)) > 10
    # A filter that is broad in light is not one in three channels, whichever they are.
    assert off(scan, Patches(own_white=OWN)) < 4.5
    assert off(scan, Patches(WHITE, BLACK, OWN)) < 4.5


def test_a_patch_that_was_measured_is_taken_as_measured() -> None:
    dark = Patches(ColourPatch(at(0), (0.5, 0.5, 0.5)))
    (plain,), (halved,) = (corrected(scanned(), [(0.4, 0.4, 0.4)], one) for one in (Patches(WHITE), dark))
    assert halved[0] == pytest.approx(plain[0] * 0.5 / WHITE_PATCH[0], rel=0.02)


@pytest.mark.parametrize(
    ("patches", "said", "fix"),
    [
        (Patches(black=BLACK), "does not tell how bright", "give a white one too"),
        (Patches(black=BLACK, own_white=OWN), "does not tell how bright", "give a white one too"),
        (Patches(ColourPatch((9999.0, 5.0))), "lies beside the picture", "in pixels"),
        (Patches(ColourPatch((SIDE, SIDE))), "is not of one colour", "even pixels"),
        (Patches(BLACK, WHITE), "hardly brighter than the black one", "the right way round"),
    ],
)
def test_a_patch_that_tells_nothing_is_told_with_a_way_out(patches: Patches, said: str, fix: str) -> None:
    with pytest.raises(PatchError, match=said) as refused:
        corrected(scanned(), [(0.4, 0.4, 0.4)], patches)
    assert fix in refused.value.fix


def test_a_patch_that_is_burnt_out_is_told() -> None:
    with pytest.raises(PatchError, match="as bright as the scan can hold"):
        corrected(scanned((1.5, 1.5, 1.5)), [(0.4, 0.4, 0.4)], Patches(WHITE))
