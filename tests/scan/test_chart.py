"""The colours of a scan made right by a chart of 24 patches."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from coloraide import Color
from numpy.typing import NDArray

from decalgen.colour.spaces import D50, from_linear, lab_under, linear_of, xyz_under
from decalgen.colour.value import Colour
from decalgen.commands.scan_chart import chart_of
from decalgen.core.errors import DecalgenError
from decalgen.scan.chart import ChartError, ColourChart, FittedChart, fit_chart, places_of
from decalgen.scan.light import Scan
from decalgen.scan.patches import ColourPatch, PatchError, Patches, correction
from tests.scan.scans import linear

INKS = ("#1f7f86", "#e9d9b0", "#7a1f2b", "#27313f", "#c8781e", "#6f8f3a", "#b9a7c9")
SIDE = 24
"""Of each patch, pixels."""
# Colours of our own: a ring of hues, light and dark ones of it, and greys.
RING = [(62.0, 42.0, n * 36.0 + 10) for n in range(9)] + [(40.0, 32.0, n * 40.0 + 30) for n in range(9)]
LABS = [
    *((level, c * math.cos(math.radians(hue)), c * math.sin(math.radians(hue))) for level, c, hue in RING),
    *((level, 0.0, 0.0) for level in (94.0, 80.0, 65.0, 50.0, 35.0, 20.0)),
]
XYZS = tuple(xyz_under(D50, lab) for lab in LABS)
SENSOR = np.array([(0.78, 0.17, 0.05), (0.10, 0.83, 0.07), (0.03, 0.16, 0.81)])
"""How much of each of a scanner's channels comes from each of linear sRGB: its filters are broader than a screen's."""
LAMP = np.array([0.92, 0.80, 0.62])
CORNERS = tuple(((x + 0.5) * SIDE, (y + 0.5) * SIDE) for x, y in ((0, 0), (5, 0), (5, 3), (0, 3)))


def scanned(stray: float = 0.0, noise: float = 1.0, bright: float = 1.0) -> Scan:
    """The chart, and under it the inks, as a scanner sees them."""
    tops = [np.clip(linear_of(one), 0, 1) for one in XYZS]
    rows = [tops[n : n + 6] for n in range(0, 24, 6)]
    inks = [np.array(linear(one)) for one in INKS]
    rows += [inks[:6], [inks[6]] * 6]
    light = np.repeat(np.repeat(np.array(rows), SIDE, axis=0), SIDE, axis=1)
    seen = np.clip((light @ SENSOR.T) * LAMP * bright + stray, 0, 1)
    coded = np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055) * 255
    coded = coded + np.random.default_rng(5).normal(0, noise, coded.shape)
    return Scan("chart.png", np.rint(np.clip(coded, 0, 255)).astype(np.uint8), None)


CHART = ColourChart(CORNERS, tuple(from_linear(tuple(np.clip(linear_of(one), 0, 1))) for one in XYZS))


def off(scan: Scan, patches: Patches) -> NDArray[np.float64]:
    """How far each ink is off (CIEDE2000 as another library has it)."""
    by = correction(scan, patches).ink
    found = []
    for n, ink in enumerate(INKS):
        row, column = 4 + n // 6, n % 6
        left, top = column * SIDE + 4, row * SIDE + 4
        r, g, b = map(float, scan.light((left, top, left + 16, top + 16)).reshape(-1, 3).mean(axis=0))
        found.append(Color(Colour.from_linear(by((r, g, b))).hex).delta_e(Color(ink), method="2000"))
    return np.array(found)


@pytest.mark.parametrize(("stray", "bright"), [(0.0, 1.0), (0.02, 0.9), (0.01, 0.7)])
def test_a_cast_is_taken_out_by_a_chart_better_than_by_white_and_black(stray: float, bright: float) -> None:
    scan = scanned(stray, bright=bright)
    white, black = (ColourPatch((x, 3.5 * SIDE), linear_of(XYZS[n])) for x, n in ((12.0, 18), (5.5 * SIDE, 23)))
    by_chart = off(scan, Patches(chart=CHART))
    assert off(scan, Patches()).mean() > 7
    assert by_chart.mean() < 1.5 and by_chart.max() < 3.0
    assert off(scan, Patches(white, black)).mean() > 2 * by_chart.mean()


def test_how_far_patches_left_out_are_off_is_told() -> None:
    told = correction(scanned(), Patches(chart=CHART))
    assert told.told.startswith("by the chart (patches left out of the fit: ") and not told.doubts
    seen = scanned(noise=0.0)
    light = np.array([seen.light_at(np.array([one]))[0] for one in places_of(CHART)])
    fitted = fit_chart(light, CHART)
    assert 0.2 < fitted.left_out < 3.0
    # Twice the light of the same patches gives colours twice as bright: the terms are roots, not powers.
    # Patches that are in the fit come nearer than those that are left out of it.
    inside = [lab_under(D50, fitted.xyz(tuple(one))) for one in light]
    pairs = zip(inside, CHART.colours, strict=True)
    near = [Color("lab", lab).delta_e(Color("lab", lab_under(D50, one)), method="2000") for lab, one in pairs]
    assert fitted.left_out > 1.2 * np.mean(near)
    plain = FittedChart(0.0, fitted.matrix, 0.0)
    one, two = plain.xyz((0.1, 0.2, 0.1)), plain.xyz((0.2, 0.4, 0.2))
    assert two == pytest.approx(tuple(2 * part for part in one), rel=1e-9)


def test_a_chart_seen_askew_has_its_patches_where_it_lies() -> None:
    askew = ColourChart(((100.0, 100.0), (600.0, 120.0), (580.0, 400.0), (110.0, 380.0)), XYZS)
    places = places_of(askew)
    assert len(places) == 24
    for number, corner in ((0, 0), (5, 1), (23, 2), (18, 3)):
        assert places[number] == pytest.approx(askew.corners[corner], abs=1e-6)
    # The first row lies on a line between its ends.
    (a, b), (c, d) = places[5] - places[0], places[2] - places[0]
    assert a * d - b * c == pytest.approx(0, abs=1e-6)


def test_a_chart_told_in_another_order_is_refused() -> None:
    turned = ColourChart(CORNERS[2:] + CORNERS[:2], CHART.colours)
    with pytest.raises(ChartError, match="do not look as its values say") as told:
        correction(scanned(), Patches(chart=turned))
    assert "1, 6, 24 and 19" in told.value.fix
    with pytest.raises(PatchError, match="both tell the scanner's cast"):
        correction(scanned(), Patches(white=ColourPatch((5, 5)), chart=CHART))
    beside = ColourChart(((12.0, 12.0), (400.0, 12.0), (400.0, 84.0), (12.0, 84.0)), CHART.colours)
    with pytest.raises(PatchError, match=r"patch \d+ of the chart at .* (lies beside|is not of one colour)"):
        correction(scanned(), Patches(chart=beside))


def test_a_file_of_values_is_read_line_by_line(tmp_path: Path) -> None:
    file = tmp_path / "chart.txt"
    file.write_text("# of my own\n50 0 0\n\n#ffffff  # paper\n" + "40, -10.5, 20\n" * 22, encoding="utf-8")
    chart = chart_of(f"10,10 110,10 110,70 10,70 = {file}")
    assert chart.corners[2] == (110.0, 70.0) and len(chart.colours) == 24
    assert chart.colours[0][1] == pytest.approx(0.1842, abs=1e-4)  # L* 50 is Y 18.42 % (CIE 15:2018)
    assert chart.colours[1] == pytest.approx(D50, abs=1e-3)


@pytest.mark.parametrize(
    ("words", "lines", "said", "fix"),
    [
        ("10,10 110,10 110,70 = {}", "50 0 0\n" * 24, "is not a chart", "patches 1, 6, 24 and 19"),
        ("10,10 110,10 110,70 10,70", "", "is not a chart", "--chart"),
        ("10,10 12,10 110,70 10,70 = {}", "50 0 0\n" * 24, "too near to each other", "--chart"),
        ("10,10 110,10 110,70 10,70 = {}", "50 0 0\n" * 20, "the colours of 20 patches", "one line a patch"),
        ("10,10 110,10 110,70 10,70 = {}", "50 0 0\nteal\n", r"chart.txt:2: 'teal' is not a colour", "#008aa4"),
        ("10,10 110,10 110,70 10,70 = {}", "500 0 0\n", r"chart.txt:1: '500 0 0' is out of range", "L\\*"),
        ("10,10 110,10 110,70 10,70 = {}x", "", "there is no file", ""),
    ],
)
def test_a_slip_in_a_chart_has_a_way_out(tmp_path: Path, words: str, lines: str, said: str, fix: str) -> None:
    file = tmp_path / "chart.txt"
    file.write_text(lines, encoding="utf-8")
    with pytest.raises(DecalgenError, match=said) as told:
        chart_of(words.format(file))
    assert fix.replace("\\", "") in told.value.fix
