"""The bend of a lens, taken out by lines that are straight in truth: on real photographs and on made ones."""

from __future__ import annotations

import io
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from decalgen.core.arrays import FloatArray
from decalgen.core.pixels.values import PictureData
from decalgen.scan.lens import Lens, lens_of
from decalgen.scan.measuring import NO_BEND, MeasuredScan, ScanRequest, measure_scan, scale_without_card
from decalgen.scan.scale import CardCorners, by_corners
from tests.scan.scans import Faults, plate, scan_of

COLUMNS, ROWS, SQUARE, SIZE = 9, 6, 25.0, (640, 480)
# Inner corners of a board of squares of 25 mm, as cornerSubPix of OpenCV 5.0 finds them in its samples left03.jpg and
# left14.jpg (Apache 2.0; Debian package opencv-doc), pixels from the upper left corner.
BOARDS = {
    "left03": """
    277.74,72.74 314.52,81.79 353.49,91.62 393.80,102.45 435.18,114.12 477.54,126.91
    520.23,140.08 562.72,154.13 604.24,168.88 260.54,105.84 298.04,115.74 337.67,126.83
    378.97,138.59 421.52,151.43 465.00,164.95 508.98,179.16 552.83,193.76 596.00,208.67
    242.94,141.21 280.74,152.24 321.03,164.40 363.13,177.54 406.60,191.19 451.19,205.77
    496.40,220.68 541.78,235.77 585.90,251.27 224.68,178.37 263.03,191.03 303.70,204.42
    346.31,218.66 390.43,233.53 436.10,248.90 482.48,264.62 528.70,280.52 574.15,296.12
    206.39,217.57 244.64,231.57 285.48,246.21 328.48,261.93 373.53,277.86 419.94,294.20
    467.05,310.78 514.30,327.19 560.38,343.24 187.77,257.96 225.94,273.33 267.08,289.69
    310.42,306.44 355.82,323.69 402.64,341.01 450.34,358.23 498.29,375.05 545.25,391.20
    """,
    "left14": """
    416.86,57.89 422.38,98.21 427.75,138.58 432.80,178.33 437.19,217.24 441.39,254.98
    444.95,291.20 448.32,326.03 450.93,358.74 381.32,60.72 387.46,102.69 393.32,144.60
    398.75,185.76 403.83,225.83 408.76,264.73 413.10,302.02 417.15,337.71 420.90,371.16
    343.15,64.51 349.80,107.96 356.02,151.19 362.14,193.80 368.04,235.28 373.61,275.23
    378.92,313.33 383.91,349.77 388.56,383.90 302.31,68.94 309.12,113.96 316.23,158.69
    322.91,202.62 329.71,245.17 336.17,285.99 342.55,325.21 348.49,362.26 354.29,396.92
    258.86,74.61 266.07,120.83 273.69,166.92 281.21,211.96 288.87,255.58 296.42,297.47
    303.95,337.53 311.16,375.18 318.05,410.16 213.21,81.10 220.94,128.63 229.02,175.69
    237.48,221.91 246.14,266.66 254.80,309.19 263.48,349.69 272.24,387.86 280.40,423.23
    """,
}
TRUTH = np.array([(x * SQUARE, y * SQUARE) for y in range(ROWS) for x in range(COLUMNS)])
OUTER = [0, COLUMNS - 1, ROWS * COLUMNS - 1, (ROWS - 1) * COLUMNS]


def off_by(at: FloatArray, lens: Lens | None) -> FloatArray:
    """How far corners are off that the four outermost predict, % of a square."""
    rectangle = ((COLUMNS - 1) * SQUARE, (ROWS - 1) * SQUARE)
    known = CardCorners(at[OUTER], 0.2, rectangle, (0.01, 0.01), "the board", lens)
    told = by_corners(known, at.mean(axis=0)).to_mm(at)
    return np.asarray(100 * np.linalg.norm(told - TRUTH, axis=1) / SQUARE, float)


@pytest.mark.parametrize("name", BOARDS)
def test_a_real_board_is_straightened_by_its_lines_or_by_its_sides_alone(name: str) -> None:
    at = np.array([[float(part) for part in one.split(",")] for one in BOARDS[name].split()])
    grid = at.reshape(ROWS, COLUMNS, 2)
    assert off_by(at, None).max() > 8
    sides = [grid[0], grid[-1], grid[:, 0], grid[:, -1]]
    # OpenCV's own calibration, by five terms from all corners of all photographs, leaves 0.43 % and 1.5 %.
    for lines, mean, worst in (([*grid, *grid.transpose(1, 0, 2)], 0.5, 1.5), (sides, 0.8, 2.0)):
        lens = lens_of(lines, SIZE)
        assert lens is not None and -0.25 < lens.k1 < -0.1
        off = off_by(at, lens)
        assert off.mean() <= mean and off.max() <= worst


def brown(at: FloatArray, k1: float) -> FloatArray:
    """Where a lens shows places of a picture of 640 × 480: r (1 + k1 r²), another model than the one that is solved
    (D. C. Brown, 1971)."""
    away = (at - (320.0, 240.0)) / 400.0
    return np.asarray((320.0, 240.0) + 400.0 * away * (1 + k1 * (away**2).sum(axis=-1, keepdims=True)), float)


@pytest.mark.parametrize("k1", [-0.12, 0.06])
def test_lines_that_another_model_bends_come_out_straight(k1: float) -> None:
    along = np.linspace(-260, 260, 30)
    lines = [brown(np.column_stack((320 + along, np.full(30, 240.0 + off))), k1) for off in (-180, 60, 170)]
    lines += [brown(np.column_stack((np.full(30, 320.0 + off), 240 + along * 0.7)), k1) for off in (-240, 200)]
    noise = np.random.default_rng(3)
    lens = lens_of([line + noise.normal(0, 0.15, line.shape) for line in lines], SIZE)
    assert lens is not None and (lens.k1 < 0) == (k1 < 0)
    bows = []
    for line, n in zip(lines, (1, 1, 1, 0, 0), strict=True):
        along, across = lens.straightened(line)[:, [1 - n, n]].T
        bows.append(np.abs(across - np.polyval(np.polyfit(along, across, 1), along)).max())
    assert max(bows) < 0.05 * lens.bow and lens.bow > 4
    assert abs(lens.middle[0] - 320) < 12 and abs(lens.middle[1] - 240) < 12


def test_straightened_and_bent_are_each_other_s_way_back() -> None:
    at = np.random.default_rng(1).uniform((0, 0), SIZE, (200, 2))
    for k1 in (-0.3, -0.05, 0.15):
        lens = Lens(k1, (330.0, 236.0), 400.0)
        assert np.abs(lens.bent(lens.straightened(at)) - at).max() < 1e-6


def test_what_no_lens_bends_is_left_alone() -> None:
    along = np.linspace(0, 600, 40)
    straight = np.column_stack((20 + along, 30 + 0.1 * along))
    noise = np.random.default_rng(2).normal(0, 0.15, straight.shape)
    assert lens_of([straight + noise], SIZE) is None
    # So slight a bow is a scanner's carriage, however even it is.
    slight = straight + np.column_stack((np.zeros(40), 0.4 * (along / 300 - 1) ** 2))
    assert lens_of([slight], SIZE) is None
    # Two lines side by side that bow to and fro: no lens makes both straight.
    bow = np.column_stack((np.zeros(40), 5 * (along / 300 - 1) ** 2))
    assert lens_of([straight + bow, straight + np.array((0.0, 20.0)) - bow], SIZE) is None
    assert lens_of([straight[:3]], SIZE) is None


def photo(k1: float) -> bytes:
    """A plate of 30 × 12 mm over a card, its picture bent by a lens."""
    made = scan_of(plate((30.0, 12.0), 1e-6), (30.0, 12.0), ["#7a1f2b"], Faults(margin=9.0), 110.0, 4)
    flat = np.asarray(Image.open(io.BytesIO(made.data))).astype(float)
    high, wide = flat.shape[:2]
    y, x = np.mgrid[0:high, 0:wide] + 0.5
    half = np.hypot(wide, high) / 2
    dx, dy = (x - wide / 2) / half, (y - high / 2) / half
    # Each pixel of the photo shows where it belongs by the lens: barrel where what is further out comes from beyond.
    far = 1 + k1 * (dx**2 + dy**2)
    sx, sy = (
        (wide / 2 + half * dx * far - 0.5).clip(0, wide - 1.001),
        (high / 2 + half * dy * far - 0.5).clip(0, high - 1.001),
    )
    i, j = sx.astype(int), sy.astype(int)
    u, v = (sx - i)[..., None], (sy - j)[..., None]
    upper = flat[j, i] * (1 - u) + flat[j, i + 1] * u
    lower = flat[j + 1, i] * (1 - u) + flat[j + 1, i + 1] * u
    out = io.BytesIO()
    Image.fromarray(np.rint(upper * (1 - v) + lower * v).astype(np.uint8)).save(out, "PNG")
    return out.getvalue()


def measured(k1: float, **how: object) -> MeasuredScan:
    return measure_scan(PictureData("photo.png", photo(k1)), ScanRequest(**how))  # type: ignore[arg-type]


def test_the_sides_of_a_card_tell_the_bend_of_the_lens() -> None:
    found = measured(0.15, card="card", kind="rectangle")
    assert found.scale.lens is not None and "the bend of the lens taken out" in found.scale.told
    fit = found.fits[0]
    assert fit.value("width") == pytest.approx(30.0, abs=0.1) and fit.value("height") == pytest.approx(12.0, abs=0.1)
    # Without a lens the same is far off.
    flat = by_corners(CardCorners(found.scale.to_pixels(np.array([(0, 0), (85.6, 0), (85.6, 53.98), (0, 53.98)])), 0.2,
                                  (85.6, 53.98), (0.1, 0.1), "card"), np.zeros(2))  # fmt: skip
    ends = np.array([(x, 66.0) for x in (30.0, 60.0)])
    told = flat.to_mm(found.scale.to_pixels(ends))
    assert abs(np.linalg.norm(told[1] - told[0]) - 30.0) > 0.4


def test_edges_that_no_lens_bends_are_told() -> None:
    scan = SimpleNamespace(size=SIZE, dpi=None)
    corners = ((20.0, 300.0), (500.0, 300.0), (500.0, 20.0), (20.0, 20.0))
    bowed = tuple((float(x), 30 + 6 * (x / 300 - 1) ** 2) for x in range(20, 600, 60))
    straight = tuple((x, 30.0) for x, _ in bowed)
    for lines, told in (((straight,), True), ((bowed,), False), ((), False)):
        request = ScanRequest(card_mm=(85.6, 53.98), corners=corners, straights=lines)
        scale = scale_without_card(scan, request, np.array([300.0, 200.0]))  # type: ignore[arg-type]
        assert (NO_BEND in scale.warnings) == told
        assert (scale.lens is None) == (lines != (bowed,))


def test_a_flat_scan_has_no_lens() -> None:
    found = measured(0.0, card="card", kind="rectangle")
    assert found.scale.lens is None and "lens" not in found.scale.told
