"""A printer over time: which calibration is in use, drift with its uncertainty, the size error a sheet states."""

from __future__ import annotations

import math

import pytest

from decalgen.core.instruments import CALIPER
from decalgen.lettering.paper import paper_width
from decalgen.printer.estimate import Estimate
from decalgen.printer.history import (
    WIDEST,
    Bars,
    Dated,
    History,
    Setting,
    moved,
    significant,
    size_sentence,
    size_words,
    told,
)


def dated(day: str, x: float = 0.997, y: float = 1.002, u: float = 1e-4, lean: float | None = 0.001) -> Dated:
    return Dated(day, Estimate(x, u), Estimate(y, 2 * u), None if lean is None else Estimate(lean, u))


def test_the_newest_calibration_is_in_use_and_of_one_day_the_later() -> None:
    first, second, third = dated("2026-11-25", 0.997), dated("2026-12-01", 0.998), dated("2026-12-01", 0.999)
    assert History(calibrations=(second, third, first)).newest is third
    assert History().newest is None


@pytest.mark.parametrize(
    ("film", "takes"),
    [
        (("white", 148.0, 210.0, False), True),
        (("clear", 148.0, 210.0, False), False),
        (("white", 150.0, 210.0, False), False),
        (("white", 148.0, 297.0, False), False),
        (("white", 148.0, 210.0, True), False),
    ],
)
def test_a_profile_holds_for_film_of_its_kind_width_height_and_adhesive(
    film: tuple[str, float, float, bool], takes: bool
) -> None:
    assert Setting("white A5", "white", 148.0, 210.0).takes(*film) is takes


def test_the_correction_undoes_the_measured_map() -> None:
    x, y, lean = 0.997, 1.002, 0.001
    sx, sy, back = dated("2026-11-25").correction
    # The printer makes (x·X + lean·Y, y·Y) of the corrected (sx·X + back·Y, sy·Y).
    assert (x * sx, y * sy) == pytest.approx((1, 1)) and x * back + lean * sy == pytest.approx(0, abs=1e-15)
    assert dated("2026-11-25", lean=None).correction[2] == 0


def test_moves_between_calibrations_carry_both_uncertainties() -> None:
    """u of a difference of independent values: the root of the sum of squares (JCGM 100:2008, 5.1.2)."""
    x, y, lean = moved(dated("2026-11-25"), dated("2026-12-01", x=0.9974, y=1.0021))
    assert x.value == pytest.approx(4e-4) and x.u == pytest.approx(math.sqrt(2) * 1e-4) and significant(x)
    assert y.value == pytest.approx(1e-4) and y.u == pytest.approx(math.sqrt(2) * 2e-4) and not significant(y)
    assert lean is not None and not significant(lean)
    assert moved(dated("2026-11-25", lean=None), dated("2026-12-01"))[2] is None
    said = told(dated("2026-11-25"), dated("2026-12-01", x=0.9974))
    assert said == "x +40 ± 28, y 0 ± 57, lean 0 ± 28 µm in 100 mm (k = 2): x moved"


def test_a_bar_has_the_uncertainty_of_its_instrument() -> None:
    """Three readings of 100 mm with a caliper: √((0.02/√3)² + 0.041²/3) = 0.0263 mm."""
    ratio = Bars("2026-12-01", 99.9, 0.0, readings=3).ratio("x")
    assert ratio is not None and ratio.value == pytest.approx(0.999)
    assert ratio.u == pytest.approx(2.63e-4, abs=1e-6)
    assert Bars("2026-12-01", 99.9, 0.0).ratio("y") is None


def test_only_bars_since_the_newest_calibration_count_and_of_them_the_last() -> None:
    old, first, last = Bars("2026-11-01", 99.0, 99.0), Bars("2026-12-02", 99.8), Bars("2026-12-03", 99.7)
    known = History(calibrations=(dated("2026-12-01"),), bars=(last, old, first))
    drift = known.drift("x")
    assert known.since == (first, last) and drift is not None and drift.value == pytest.approx(-0.003)
    assert known.drift("y") is None


def test_the_size_error_is_u_and_what_has_surely_drifted() -> None:
    known = History(calibrations=(dated("2026-12-01"),))
    assert known.size_error(180) == pytest.approx(180 * 4e-4)  # k = 2 of the worse way, y
    drifted = History(calibrations=known.calibrations, bars=(Bars("2026-12-02", 99.7, 100.02),))
    assert drifted.size_error(180) == pytest.approx(180 * (2e-4 + 3e-3))
    assert "drift in x that" in size_sentence(drifted, 180)
    assert History().size_error(180) is None


def test_the_words_on_film_never_need_more_room_than_is_kept() -> None:
    coarse = History(calibrations=(dated("2026-10-28", u=2e-3),))
    assert size_words(coarse, 180) == "size ±1.44 mm in 180 mm (2026-10-28)"
    assert size_words(None, 180) == size_words(History(), 180) == "size not calibrated"
    for words in (size_words(coarse, 420), size_words(None, 420)):
        assert paper_width(words, 7.0) <= paper_width(WIDEST, 7.0) + 1e-9


def test_what_is_not_calibrated_says_what_to_do() -> None:
    assert "not known" in size_sentence(None, 180) and "decalgen calibrate print" in size_sentence(None, 180)
    assert CALIPER.name == Bars("2026-12-01").tool
