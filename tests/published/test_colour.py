"""Colour against published pairs, measured prints, the standards' formulas, and derivations of its constants."""

from __future__ import annotations

import math

import numpy as np
import pytest

from decalgen.colour import model, spectral, white
from decalgen.colour.ciede2000 import delta_e_lab
from decalgen.colour.difference import contrast, delta_e, delta_l
from decalgen.colour.icc import shipped
from decalgen.colour.spectral import plus_minus_of
from decalgen.colour.typed import parse
from decalgen.colour.value import Colour
from tests.colour import press

# G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula: implementation notes, supplementary test data,
# and mathematical observations", Color Research and Application 30(1), 2005, table 1: two Lab colours, CIEDE2000.
SHARMA = [
    ((50.0000, 2.6772, -79.7751), (50.0000, 0.0000, -82.7485), 2.0425),
    ((50.0000, 3.1571, -77.2803), (50.0000, 0.0000, -82.7485), 2.8615),
    ((50.0000, 2.8361, -74.0200), (50.0000, 0.0000, -82.7485), 3.4412),
    ((50.0000, -1.3802, -84.2814), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, -1.1848, -84.8006), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, -0.9009, -85.5211), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, 0.0000, 0.0000), (50.0000, -1.0000, 2.0000), 2.3669),
    ((50.0000, -1.0000, 2.0000), (50.0000, 0.0000, 0.0000), 2.3669),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0009), 7.1792),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0010), 7.1792),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0011), 7.2195),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0012), 7.2195),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0009, -2.4900), 4.8045),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0010, -2.4900), 4.8045),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0011, -2.4900), 4.7461),
    ((50.0000, 2.5000, 0.0000), (50.0000, 0.0000, -2.5000), 4.3065),
    ((50.0000, 2.5000, 0.0000), (73.0000, 25.0000, -18.0000), 27.1492),
    ((50.0000, 2.5000, 0.0000), (61.0000, -5.0000, 29.0000), 22.8977),
    ((50.0000, 2.5000, 0.0000), (56.0000, -27.0000, -3.0000), 31.9030),
    ((50.0000, 2.5000, 0.0000), (58.0000, 24.0000, 15.0000), 19.4535),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.1736, 0.5854), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.2972, 0.0000), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 1.8634, 0.5757), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.2592, 0.3350), 1.0000),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.2630),
    ((61.2901, 3.7196, -5.3901), (61.4292, 2.2480, -4.9620), 1.8731),
    ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
    ((36.4612, 47.8580, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    ((90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441),
    ((90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381),
    ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]


@pytest.mark.parametrize(("one", "other", "published"), SHARMA)
def test_ciede2000(one: model.XYZ, other: model.XYZ, published: float) -> None:
    """Sharma, Wu and Dalal 2005, table 1 (`SHARMA`)."""
    assert delta_e_lab(one, other) == pytest.approx(published, abs=5e-5)


def test_the_34_pairs_are_all_there_and_the_fast_formula_of_these_tests_agrees() -> None:
    """Sharma, Wu and Dalal 2005 give 34 pairs."""
    assert len(SHARMA) == 34
    one, other = (np.array([row[i] for row in SHARMA]) for i in (0, 1))
    ours = [delta_e_lab(a, b) for a, b, _ in SHARMA]
    assert press.delta_e(one, other) == pytest.approx(ours, abs=1e-9)


# ------------------------------------------------------------------------------------------- the model itself


def test_the_bands_are_those_that_were_fitted() -> None:
    """Source: a joint fit to FOGRA39L, TR 006, FOGRA29L and TR 002 and to the paint chips of one chart, by
    tests/benchmarks/colour_fit.py: white is 1, 1, 1, every measured patch has light in every band, and the way back
    undoes it."""
    assert model.channels(model.WHITE) == pytest.approx((1.0, 1.0, 1.0), abs=1e-12)
    for name in press.available(press.DEVELOPED + press.HELD):
        _, xyz = press.read(name)
        assert (xyz @ np.array(model._TO_BANDS).T).min() > 0
    assert np.array(model._FROM_BANDS) @ np.array(model._TO_BANDS) == pytest.approx(np.eye(3), abs=1e-12)


HELD = press.available(press.HELD)


@pytest.fixture(scope="module")
def held() -> list[tuple[press.Pairs, np.ndarray]]:
    """The sets kept apart, with our errors: all five where Debian's icc-profiles-free is installed, else two."""
    found = [press.pairs(name) for name in HELD]
    return [(one, press.errors(one, press.predict(one))) for one in found]


def test_prints_not_developed_on(held: list[tuple[press.Pairs, np.ndarray]]) -> None:
    """Source: characterisation data FOGRA28L, 30L, 40L, TR 003, TR 005, which had no part in the fit. Measured on all
    five: mean 1.08, 95 % 3.14 (on the two kept with the tests 0.80, 2.28). Two prints to one condition differ by
    1.29 / 2.6 themselves."""
    assert {"TR003", "TR005"} <= set(HELD)
    errors = np.concatenate([e for _, e in held])
    assert len(errors) > 20_000
    assert errors.mean() <= 1.15
    assert np.percentile(errors, 95) <= 3.5
    chromatic = np.concatenate([e[one.chromatic] for one, e in held])
    assert chromatic.mean() <= 1.15
    assert np.percentile(chromatic, 95) <= 3.5


@pytest.mark.skipif(not press.FRESH.is_file(), reason="the Debian package libgs-common is not installed")
def test_prints_that_nobody_fitted_to() -> None:
    """Source: the ICC profile of offset print in Debian's libgs-common (`press.FRESH`): 4822 pairs of its own table,
    none of which had a part in any fit or choice. Measured: mean 1.24, 95 % 3.26, any tint on full colour 1.37; the
    bands used before gave 1.27, 3.08 and 2.38."""
    fresh = press.profile_pairs(press.FRESH)
    errors = press.errors(fresh, press.predict(fresh))
    assert len(errors) == 4822 and fresh.on_solid.sum() == 84
    assert errors.mean() <= 1.4 and np.percentile(errors, 95) <= 3.5
    assert errors[fresh.on_solid].mean() <= 1.6


def test_the_stated_plus_minus_covers_prints_not_developed_on() -> None:
    """Source: the data sets of `press.HELD`, some 90 pairs of each. The ± is meant to cover 95 of 100; measured on all
    five together, 700 pairs of each: 95.9 (85 of FOGRA30L, on uncoated yellowish paper, to 99 of TR 003 and TR 005)."""
    kept = []
    for name in HELD:
        all_of_it = press.pairs(name)
        some = all_of_it.every(len(all_of_it.ink) // 90)
        paper = tuple(float(v) for v in some.paper)
        seen = press.predict(some)
        errors = press.errors(some, seen)
        for i, error in enumerate(errors):
            ink, ground, ours = (tuple(float(v) for v in rows[i]) for rows in (some.ink, some.ground, seen))
            second = spectral.look_spectral(ink, paper, ground, some.floor)
            assert second is not None
            # The ± is told for inks as they look on perfect white: the data's own paper is taken as that.
            ink, ground = (
                tuple(v / p * w for v, p, w in zip(c, paper, model.WHITE, strict=True)) for c in (ink, ground)
            )
            doubt = delta_e(Colour(ours), Colour(second))
            kept.append(error <= plus_minus_of(Colour(ink), Colour(ground), doubt))
    assert len(kept) > 90 * len(HELD)
    assert 0.90 <= np.mean(kept) <= 0.98 or len(HELD) < 5


def test_inks_on_a_full_colour(held: list[tuple[press.Pairs, np.ndarray]]) -> None:
    """Source: the data sets of `press.HELD` (FOGRA28L …).

    Any tint over solid ink, no black in either: measured 1.97. One full ink on one other full ink, black ground
    included, is worse: 2.83 (presses lay less ink on wet ink; a decal on dry paint does not)."""
    errors = np.concatenate([e[one.on_solid] for one, e in held])
    assert len(errors) > 400
    assert errors.mean() <= 2.2
    full = np.concatenate([e[one.solid] for one, e in held])
    assert len(full) == 9 * len(held)
    assert full.mean() <= 3.0


def test_the_internal_reflection_is_what_prints_ask_for() -> None:
    """Of the sets kept apart, every sixth pair: clearly less of it or more is worse. Measured on all five: 1.09 as it
    is, 1.21 with 0.15 less, 1.31 with 0.15 more; on the two that are always here (TR 003, TR 005) 0.81, 0.91, 1.16."""
    sets = [press.pairs(name).every(6) for name in HELD]

    def off(k2: float) -> float:
        return float(np.concatenate([press.errors(one, press.predict(one, k2)) for one in sets]).mean())

    ours = model.INTERNAL_REFLECTION
    assert off(ours) < min(off(ours - 0.15), off(ours + 0.15))


def test_simpler_ways_are_worse(held: list[tuple[press.Pairs, np.ndarray]]) -> None:
    """Source: the data sets of `press.HELD` (FOGRA28L …); the simpler way multiplies XYZ."""
    ours = np.concatenate([e for _, e in held]).mean()
    xyz = np.concatenate([press.errors(one, one.ink * one.ground / one.paper) for one, _ in held]).mean()
    assert xyz > 2 * ours


def test_predictions_are_checked_by_the_projects_own_difference(held: list[tuple[press.Pairs, np.ndarray]]) -> None:
    """Source: a data set of `press.HELD` (FOGRA28L …), judged by both formulas of CIEDE2000."""
    one, errors = held[0]
    paper = tuple(float(v) for v in one.paper)
    for i in range(0, len(errors), len(errors) // 40):
        ink, ground, both = (tuple(float(v) for v in rows[i]) for rows in (one.ink, one.ground, one.both))
        seen = Colour(model.look(ink, paper, ground, one.floor))
        # The data sets round white to 0.9642, 0.8249: hundredths.
        assert delta_e(seen, Colour(both)) == pytest.approx(errors[i], abs=0.05)


# ------------------------------------------------------------------------------------------------- spectra


def test_spectral_tables_make_d50() -> None:
    """CIE 15: the table of D50 and the 1931 observer give xy 0.3457, 0.3585."""
    from coloraide.cmfs import CIE_1931_2DEG

    total = np.zeros(3)
    for wave, power in zip(spectral.WAVELENGTHS, spectral._D50, strict=True):
        total += power * np.array(CIE_1931_2DEG[wave])
    x, y = total[:2] / total.sum()
    assert (x, y) == pytest.approx((0.3457, 0.3585), abs=2e-4)


@pytest.mark.parametrize("code", ["#ffffff", "#e8641b", "#1d2b4a", "#f3df2f", "#4f9c3a", "#c21f2c", "#1c1c1e"])
def test_rebuilt_spectrum_gives_its_colour_back(code: str) -> None:
    """Burns 2020: the reconstruction must match the three values exactly and stay positive."""
    wanted = Colour.from_hex(code).xyz
    weights, _ = spectral._tables()
    found = spectral.spectrum(wanted)
    assert found.min() > 0
    assert weights @ found == pytest.approx(wanted, abs=1e-8)


# --------------------------------------------------------------------------------------------- contrast, white


def luminance(code: str) -> float:
    """WCAG 2.2, definition of relative luminance."""
    parts = [int(code[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


@pytest.mark.parametrize(
    ("one", "other"), [("#000000", "#ffffff"), ("#767676", "#ffffff"), ("#1d2b4a", "#e8641b"), ("#ffff00", "#ffffff")]
)
def test_wcag_contrast(one: str, other: str) -> None:
    """WCAG 2.2, definition of contrast ratio."""
    a, b = sorted((luminance(one), luminance(other)))
    assert contrast(parse(one), parse(other)) == pytest.approx((b + 0.05) / (a + 0.05), rel=1e-3)


def test_wcag_extremes() -> None:
    """WCAG 2.2: black on white is 21:1; #767676 is the lightest grey that passes 4.5:1 on white (W3C, G18)."""
    assert contrast(parse("#000"), parse("#fff")) == pytest.approx(21)
    assert contrast(parse("#767676"), parse("#fff")) >= 4.5 > contrast(parse("#777777"), parse("#fff"))


def test_lightness() -> None:
    """CIE 15: 18 % grey has L* 49.50; from 1 to 0.18 is 50.50."""
    grey = Colour(tuple(0.18 * v for v in model.WHITE))
    assert delta_l(grey, Colour(model.WHITE)) == pytest.approx(100 - (116 * 0.18 ** (1 / 3) - 16), abs=1e-9)


@pytest.mark.parametrize("opacity", [0.3, 0.55, 0.9, 0.97])
def test_white_layer_has_the_opacity_it_was_given(opacity: float) -> None:
    """ISO 6504-3: opacity is Y over black divided by Y over white (the chart's white, Y 0.80, from memory)."""
    ink = Colour.from_hex("#f6f6f2").xyz
    grounds = (0.0, 0.0, 0.0), tuple(0.8 * v for v in model.WHITE)
    black, chart = (white.under(ink, ground, opacity) for ground in grounds)
    assert black[1] / chart[1] == pytest.approx(opacity, abs=2e-3)


def test_two_passes_add_up_as_layers_do() -> None:
    """G. G. Stokes 1862: two layers make R = R1 + T1² R2 / (1 - R1 R2), T = T1 T2 / (1 - R1 R2)."""
    for deep in (0.7, 0.92):
        r1, t1 = white._layer(0.9, deep)
        r2, t2 = white._layer(1.8, deep)
        assert r2 == pytest.approx(r1 + t1 * t1 * r1 / (1 - r1 * r1), rel=1e-12)
        assert t2 == pytest.approx(t1 * t1 / (1 - r1 * r1), rel=1e-12)


def test_thick_white_is_its_own_colour() -> None:
    """Kubelka and Munk 1931: at infinite thickness the ground is lost."""
    r, t = white._layer(100, 0.9)
    assert (r, t) == pytest.approx((0.9, 0.0), abs=1e-4)


# ---------------------------------------------------------------------------------------------------- profile

# ANSI/CGATS/GRACoL TR 006-2007: percent of C, M, Y, K; XYZ in percent. The first row is the paper.
TR006 = [
    ((0, 0, 0, 0), (84.47, 87.62, 74.52)),
    ((100, 0, 0, 0), (14.97, 22.89, 52.78)),
    ((0, 100, 0, 0), (32.98, 16.74, 14.97)),
    ((0, 0, 100, 0), (69.04, 74.04, 6.97)),
    ((0, 100, 100, 0), (30.69, 16.30, 2.28)),
    ((100, 0, 100, 0), (7.84, 18.52, 7.27)),
    ((40, 40, 40, 0), (29.15, 28.91, 22.19)),
    ((100, 100, 0, 0), (5.31, 4.14, 15.82)),
    ((0, 0, 0, 100), (1.84, 1.90, 1.58)),
    ((20, 70, 0, 0), (32.16, 22.61, 26.33)),
    ((0, 0, 100, 20), (45.12, 48.79, 5.06)),
    ((70, 100, 0, 0), (10.29, 6.58, 15.89)),
]


def relative(xyz: tuple[float, float, float]) -> Colour:
    """Relative to the paper, as a profile's colorimetric tables are (ICC.1:2010, 6.3.2)."""
    x, y, z = (v / p * w for v, p, w in zip(xyz, TR006[0][1], model.WHITE, strict=True))
    return Colour((x, y, z))


@pytest.mark.parametrize(("inks", "xyz"), TR006)
def test_shipped_profile_shows_what_was_measured(
    inks: tuple[float, float, float, float], xyz: tuple[float, float, float]
) -> None:
    """Source: patches of ANSI/CGATS/GRACoL TR 006-2007 (`TR006`)."""
    assert delta_e(shipped().colour_of(inks), relative(xyz)) < 1.5  # 8-bit Lab alone makes up to about 1


def test_shipped_profile_says_where_it_comes_from() -> None:
    """ICC.1:2010, 7.2: class at byte 12, colour space at 16, signature at 36. The data's header asks to be named."""
    data = shipped().data
    assert (data[12:16], data[16:20], data[36:40]) == (b"prtr", b"CMYK", b"acsp")
    assert int.from_bytes(data[:4], "big") == len(data)
    assert b"TR 006-2007" in data
    assert math.isclose(shipped().miss(parse("#ffffff")), 0, abs_tol=0.5)
