"""The size of a pixel: from the resolution, bars, a card, four points, and what is wrong with each."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from decalgen.core.pixels.values import PictureData
from decalgen.scan.light import lab_of, read_scan
from decalgen.scan.reference import CARD_MM, CARD_OFF, find_card
from decalgen.scan.scale import (
    Bar,
    CardCorners,
    Depth,
    ScaleError,
    at_depth,
    by_bars,
    by_corners,
    by_dpi,
    homography,
    mapped,
)
from decalgen.scan.things import things_on
from tests.scan.scans import Faults, MadeScan, plate, scan_of

ABOUT = np.array([500.0, 300.0])


@pytest.fixture(scope="module")
def beside_a_card() -> MadeScan:
    """A scan with 0.4 % of stretch across and -0.3 % up."""
    return scan_of(plate((20, 9), 1.5), (20, 9), ["#1f7f86"], Faults(stretch=(1.004, 0.997)), 150.0, 7)


def test_a_card_tells_each_axis_of_a_scanner_by_itself(beside_a_card: MadeScan) -> None:
    scan = read_scan(PictureData("a.png", beside_a_card.data))
    card = find_card(scan, things_on(scan), CARD_MM, CARD_OFF)
    assert np.abs(card.corners.places - np.array(beside_a_card.card)).max() < 0.06
    scale = by_corners(card.corners, ABOUT)
    pitch = 25.4 / 150
    assert np.linalg.norm(scale.matrix[:2, 0]) / pitch == pytest.approx(1.004, abs=3e-4)
    assert np.linalg.norm(scale.matrix[:2, 1]) / pitch == pytest.approx(0.997, abs=3e-4)
    # The nominal card is known to 0.13 mm in 85.6 mm, and no better.
    assert scale.across == pytest.approx(0.13 / math.sqrt(3) / 85.60, rel=0.15)
    assert "card of 85.6 × 53.98 mm" in scale.told and not scale.warnings


def test_a_rough_outline_that_is_pixels_off_moves_no_corner(beside_a_card: MadeScan) -> None:
    scan = read_scan(PictureData("a.png", beside_a_card.data))
    things = things_on(scan)
    for off in (-3.0, 4.5):
        rough = replace(things, outlines=tuple(one.buffer(off) for one in things.outlines))
        card = find_card(scan, rough, CARD_MM, CARD_OFF)
        assert np.abs(card.corners.places - np.array(beside_a_card.card)).max() < 0.06


def test_the_resolution_alone_is_used_and_doubted() -> None:
    scale = by_dpi((300.0, 600.0), typed=False)
    assert scale.to_mm(np.array([[300.0, 600.0]])) == pytest.approx(np.array([[25.4, -25.4]]))
    assert scale.across == pytest.approx(0.005 / math.sqrt(3)) and "0.5%" in scale.warnings[0]
    for absurd in ((1.0, 1.0), (300.0, 1e6), (0.0, 300.0)):
        with pytest.raises(ScaleError, match="dpi is not what a scan has") as told:
            by_dpi(absurd, typed=True)
        assert "--dpi 300" in told.value.fix


def test_two_bars_tell_both_axes_and_one_says_which_it_leaves_unknown() -> None:
    across, down = Bar((100, 100), (1280, 130), 100.0), Bar((50, 50), (40, 1230), 99.5)
    both = by_bars((across, down), None)
    for bar in (across, down):
        ends = both.to_mm(np.array([bar.start, bar.end]))
        assert math.dist(*ends) == pytest.approx(bar.mm)
    assert not both.warnings
    one = by_bars((across,), by_dpi((300.0, 300.0), typed=False))
    assert "one bar tells the scale across the picture; the one down it is taken from the dpi" in one.warnings[0]
    assert one.up > 4 * one.across
    with pytest.raises(ScaleError, match="same axis"):
        by_bars((across, Bar((100, 900), (1280, 910), 100.0)), None)
    with pytest.raises(ScaleError, match="along an axis"):
        by_bars((Bar((0, 0), (500, 500), 60.0),), None)
    with pytest.raises(ScaleError, match="ends that lie apart"):
        by_bars((Bar((0, 0), (3, 0), 60.0),), None)


def test_a_photo_seen_askew_is_straightened() -> None:
    # A camera 300 mm away, tilted by 12 degrees: pinhole projection, written out.
    tilt, focal, far = math.radians(12), 3000.0, 300.0

    def seen(x: float, y: float) -> tuple[float, float]:
        depth = far + y * math.sin(tilt)
        return 2000 + focal * x / depth, 1500 - focal * y * math.cos(tilt) / depth

    truth = [(0.0, 0.0), (CARD_MM[0], 0.0), CARD_MM, (0.0, CARD_MM[1])]
    corners = CardCorners(np.array([seen(*one) for one in truth]), 0.1, CARD_MM, (0.03, 0.03), "a card")
    scale = by_corners(corners, np.array([seen(40, 80)]).ravel())
    ends = scale.to_mm(np.array([seen(20, 70), seen(60, 70), seen(20, 90)]))
    assert math.dist(ends[0], ends[1]) == pytest.approx(40.0, abs=1e-6)
    assert math.dist(ends[0], ends[2]) == pytest.approx(20.0, abs=1e-6)
    assert scale.told == "a card, seen askew"


def test_a_flat_scan_is_not_taken_for_a_photo_by_noise() -> None:
    places = np.array([(0.0, 637.1), (1011.1, 637.0), (1011.0, 0.0), (-0.1, 0.0)])
    assert by_corners(CardCorners(places, 0.1, CARD_MM, CARD_OFF, "a card"), ABOUT).told == "a card"


def test_three_points_on_a_line_are_no_rectangle() -> None:
    places = np.array([(0.0, 0.0), (500.0, 0.0), (1000.0, 0.0), (0.0, 600.0)])
    with pytest.raises(ScaleError, match="lie on a line") as told:
        by_corners(CardCorners(places, 0.5, CARD_MM, CARD_OFF, "four points"), ABOUT)
    assert "in order round it" in told.value.fix


def test_depth_is_one_percent_for_three_millimetres_at_three_hundred() -> None:
    # An object 3 mm nearer to a camera 300 mm off looks larger by 3 / 297 (similar triangles).
    flat = by_dpi((254.0, 254.0), typed=True)
    deep = at_depth(flat, Depth(3.0, 1.0, 300.0))
    assert flat.matrix[0, 0] / deep.matrix[0, 0] == pytest.approx(1 + 3 / 297)
    assert math.hypot(flat.across, 1 / 297 / math.sqrt(3)) == pytest.approx(deep.across)
    with pytest.raises(ScaleError, match="small beside"):
        at_depth(flat, Depth(200.0, 1.0, 300.0))


def test_the_projective_matrix_is_that_of_its_points() -> None:
    matrix = np.array([[0.9, 0.1, 5.0], [-0.05, 1.1, -3.0], [1e-4, -2e-4, 1.0]])
    places = np.array([(0.0, 0.0), (900.0, 20.0), (880.0, 700.0), (-10.0, 650.0), (400.0, 300.0)])
    found = homography(places, mapped(matrix, places))
    assert found == pytest.approx(matrix, rel=1e-6, abs=1e-9)


def test_lab_is_that_of_an_independent_library() -> None:
    from coloraide import Color

    for hex_ in ("#1f7f86", "#f4efe0", "#2b2b2b"):
        light = Color(hex_).convert("srgb-linear").coords()
        assert lab_of(np.array(light)) == pytest.approx(Color(hex_).convert("lab").coords(), abs=0.01)
