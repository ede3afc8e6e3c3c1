"""Patterns read from generated scans: what is there is read within a few hundredths and within its ±, what is torn off
is told as such."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from decalgen.core.pixels.values import PictureData
from decalgen.scan import checks as checks_found
from decalgen.scan import discs
from decalgen.scan.light import read_scan
from decalgen.scan.lines import FoundLine, is_ragged
from decalgen.scan.measuring import MeasuredScan, ScanRequest, measure_scan
from decalgen.scan.recognise import SURE_SCORE, PatternError
from decalgen.scan.remains import PatternFit, remains_in
from decalgen.scan.scale import by_dpi
from decalgen.scan.things import ground_of
from tests.scan.scans import Faults, Floats, Pattern, bands, checks, plate, roundel, scan_of

INKS = ["#1f7f86", "#f4efe0", "#7a1f2b", "#1d2b4a"]
AGED = Faults(yellow=0.6, fade=0.2, scratches=2, turn=2.0, card=False, margin=3.0)
EDGE_MM = 0.02


def read(
    pattern: Pattern, size: tuple[float, float], faults: Faults = AGED, dpi: float = 240.0, seed: int = 5
) -> MeasuredScan:
    made = scan_of(pattern, size, INKS, faults, dpi, seed)
    return measure_scan(PictureData("remains.png", made.data), ScanRequest(dpi=(dpi, dpi)))


def held(fit: PatternFit, truth: dict[str, float], within: float = EDGE_MM) -> None:
    """Every value near the truth, and inside what it says of itself."""
    for name, value in truth.items():
        found = next(one for one in fit.values if one.name == name)
        assert found.value == pytest.approx(value, abs=within), name
        assert abs(found.value - value) <= 2.5 * found.u, (name, found)


def test_whole_checks_are_read_exactly() -> None:
    found = read(checks(2, 7, (2.4, 2.0)), (16.8, 4.0))
    fit = found.fits[0]
    assert fit.kind == "checks" and fit.value("columns") == 7 and fit.value("rows") == 2
    assert not any(one.least or one.doubt for one in fit.values)
    held(fit, {"cell width": 2.4, "cell height": 2.0, "width": 16.8, "height": 4.0})
    # The upper left cell of two rows that begin with ink 0 at the lower left is of ink 1, the pale one.
    assert min(fit.inks[0]) > min(fit.inks[1]) and fit.score > 0.7
    # Along a row of checks the ink changes, so it is no stripe, though its edges are there.
    assert max(one.score for one in found.fits if one.kind == "stripes") < 0.6 * fit.score


def test_the_first_ink_is_that_of_the_upper_left_cell() -> None:
    one, other = (read(checks(2, 6, (2.0, 2.0), first), (12.0, 4.0)).fits[0] for first in (0, 1))
    assert min(one.inks[0]) > 0.4 > min(one.inks[1]) and min(other.inks[1]) > 0.4 > min(other.inks[0])


def test_checks_with_a_column_torn_off_have_at_least_so_many() -> None:
    def torn(u: Floats, v: Floats) -> NDArray[np.int64]:
        # From the right, ragged, all of the last column and a part of the one before it.
        made = checks(3, 8, (2.4, 2.0))(u, v)
        edge = 16.0 + 0.5 * ((v * 7.3) % 1.0) + 0.3 * ((v * 2.9) % 1.0)
        made[u > edge] = -1
        return made

    fit = read(torn, (19.2, 6.0)).fits[0]
    columns = next(one for one in fit.values if one.name == "columns")
    width = next(one for one in fit.values if one.name == "width")
    assert (columns.value, columns.least, width.least) == (7, True, True)
    assert not next(one for one in fit.values if one.name == "rows").least
    held(fit, {"cell width": 2.4, "cell height": 2.0})


def test_stripes_level_and_upright_are_told_from_the_top_and_from_the_left() -> None:
    level = read(bands([0, 1.5, 2.3, 4.1], [0, 1, 2]), (20.0, 4.1)).fits[0]
    assert level.kind == "stripes" and not level.upright
    held(level, {"stripe 1 width": 1.8, "stripe 2 width": 0.8, "stripe 3 width": 1.5, "width": 20.0, "height": 4.1})
    upright = read(bands([0, 2.5, 4.3, 8.1], [0, 1, 2], upright=True), (8.1, 12.0)).fits[0]
    assert upright.kind == "stripes" and upright.upright
    held(upright, {"stripe 1 width": 2.5, "stripe 2 width": 1.8, "stripe 3 width": 3.8, "width": 8.1, "height": 12.0})
    assert [round(one[0], 1) > 0.7 for one in upright.inks] == [False, True, False]


def test_a_rectangle_with_its_corner_radius_and_one_without() -> None:
    round_ = read(plate((20.0, 9.0), 1.5), (20.0, 9.0)).fits[0]
    assert round_.kind == "rectangle" and len(round_.inks) == 1
    held(round_, {"width": 20.0, "height": 9.0})
    assert round_.value("corner radius") == pytest.approx(1.5, abs=0.08)
    square = read(plate((12.0, 7.0), 1e-6), (12.0, 7.0)).fits[0]
    assert "corner radius" not in [one.name for one in square.values]


def test_a_roundel_and_a_torn_one() -> None:
    pattern, size = roundel((6, 6), [6, 4, 2], [0, 1, 2]), (12.0, 12.0)
    truth = {"diameter": 12.0, "diameter 2": 8.0, "diameter 3": 4.0}
    fit = read(pattern, size).fits[0]
    assert fit.kind == "roundel" and fit.parts == (0, 1, 2)
    held(fit, truth)
    torn = read(pattern, size, replace(AGED, torn=0.25)).fits[0]
    assert torn.kind == "roundel" and torn.values[0].share < 0.8 < fit.values[0].share
    held(torn, truth, 0.03)


def test_blur_does_not_make_a_small_disc_smaller() -> None:
    fit = read(roundel((2, 2), [2], [0]), (4.0, 4.0), replace(AGED, scratches=0), 160.0).fits[0]
    assert fit.value("diameter") == pytest.approx(4.0, abs=0.016)


def test_a_comb_of_which_every_second_line_is_seen_has_twice_the_pitch() -> None:
    made = scan_of(plate((8.0, 8.0), 1e-6), (8.0, 8.0), INKS, AGED, 120.0, 5)
    scan = read_scan(PictureData("remains.png", made.data))
    remains = remains_in(scan, scan.whole, by_dpi((120.0, 120.0), True), ground_of(scan, scan.whole))
    along = np.tile(np.linspace(0.0, 6.0, 40), 3)
    seen = checks_found.LineFamily(np.repeat([1.0, 4.0, 7.0], 40), along, np.zeros(120, bool))
    half = checks_found.Comb(1.0, 1.5, 0.0, 0.004, 0.002, 5)
    assert checks_found._without_empty(seen, half, remains).pitch == pytest.approx(3.0, abs=1e-6)
    every = checks_found.LineFamily(np.repeat([1.0, 2.5, 4.0], 40), along, np.zeros(120, bool))
    assert checks_found._without_empty(every, half, remains).pitch == 1.5


def test_the_same_picture_gives_the_same_answer() -> None:
    one, other = (read(roundel((4, 4), [4, 2], [0, 1]), (8.0, 8.0)).fits[0] for _ in range(2))
    assert one.values == other.values and one.score == other.score


def test_half_of_the_light_is_where_an_edge_is_whatever_the_colours() -> None:
    # A dark field on a pale ground and the other way round: bias would make the one larger, the other smaller.
    dark = read(plate((12.0, 7.0), 1e-6), (12.0, 7.0), replace(AGED, scratches=0, yellow=0, fade=0)).fits[0]
    pale = replace(AGED, scratches=0, yellow=0, fade=0, lid=(0.02, 0.03, 0.08))
    light = read(plate((12.0, 7.0), 1e-6, 1), (12.0, 7.0), pale).fits[0]
    for fit in (dark, light):
        assert fit.value("width") == pytest.approx(12.0, abs=0.008)
        assert fit.value("height") == pytest.approx(7.0, abs=0.008)


def test_what_has_no_such_pattern_is_not_taken_for_one() -> None:
    def blots(u: Floats, v: Floats) -> NDArray[np.int64]:
        wave = np.sin(u * 1.3 + 2 * np.sin(v * 0.9)) + np.sin(v * 1.7 + 2 * np.cos(u * 0.7))
        return np.where(wave > 0.2, 0, 1)

    # Its outline is one; what is inside is not explained by that, and so it is told.
    found = read(blots, (18.0, 14.0))
    assert found.fits[0].kind == "rectangle" and found.fits[0].score < 0.5
    assert "the rectangle explains little" in found.doubts[-1]


def test_a_kind_that_is_asked_for_and_is_not_there() -> None:
    made = scan_of(plate((12.0, 7.0), 1e-6), (12.0, 7.0), INKS, AGED, 200.0, 5)
    for kind, are in (("checks", "are"), ("cross", "is")):
        with pytest.raises(PatternError, match=rf"no {kind} {are} recognised in 'remains.png'") as told:
            measure_scan(PictureData("remains.png", made.data), ScanRequest(dpi=(200.0, 200.0), kind=kind))
        assert "--part" in told.value.fix and "--as" in told.value.fix


def test_pale_cells_on_a_pale_ground_are_checks_all_the_same() -> None:
    ground = replace(AGED, yellow=0, fade=0, lid=(0.88, 0.86, 0.74))
    fit = read(checks(3, 6, (2.4, 2.4)), (14.4, 7.2), ground).fits[0]
    assert fit.kind == "checks" and (fit.value("columns"), fit.value("rows")) == (6, 3)
    held(fit, {"cell width": 2.4, "cell height": 2.4})


def test_a_pale_stripe_on_a_pale_lid_is_read_though_its_edge_is_faint() -> None:
    """The difference is about 5 (CIE76), less than what tells two inks apart."""
    pale = ["#7a1f2b", "#d7e3e6"]
    made = scan_of(bands([0, 1.9, 3.5], [0, 1], upright=True), (3.5, 14.0), pale, replace(AGED, yellow=0.2), 240.0, 3)
    fit = measure_scan(PictureData("remains.png", made.data), ScanRequest(dpi=(240.0, 240.0))).fits[0]
    assert fit.kind == "stripes" and fit.parts == (0, 1)
    held(fit, {"stripe 1 width": 1.9, "stripe 2 width": 1.6, "width": 3.5, "height": 14.0})
    assert not any(one.doubt or one.least for one in fit.values)


def scratched(pattern: Pattern, place: float, rise: float = 0.0) -> Pattern:
    """With a scratch of torn paper that begins at a height and rises over 16 mm."""

    def found(u: Floats, v: Floats) -> NDArray[np.int64]:
        kind = pattern(u, v)
        return np.where((np.abs(v - place - rise / 16 * u) < 0.06) & (kind >= 0), 1, kind)

    return found


def test_a_scratch_across_an_edge_does_not_move_it_and_one_along_it_is_told() -> None:
    calm = replace(AGED, scratches=0, yellow=0.0)
    stripes = bands([0, 2.0, 4.0], [0, 2])
    fit = read(scratched(stripes, 0.8, 2.2), (16.0, 4.0), calm).fits[0]
    held(fit, {"stripe 1 width": 2.0, "stripe 2 width": 2.0})
    assert not any(one.doubt for one in fit.values)
    told = read(scratched(stripes, 2.3), (16.0, 4.0), calm).fits[0]
    assert "another edge runs close" in next(one for one in told.values if one.name == "stripe 1 width").doubt


def test_a_narrow_stripe_torn_half_away_is_not_taken_for_a_scratch() -> None:
    def torn(u: Floats, v: Floats) -> NDArray[np.int64]:
        made = bands([0, 1.2, 3.0, 3.8], [2, 1, 0])(u, v).copy()
        made[(v > 2.2 + 0.4 * ((u * 3.7) % 1.0)) & (u > 8.0)] = -1
        return made

    fit = read(torn, (18.0, 3.8), replace(AGED, scratches=0), 150.0).fits[0]
    held(fit, {"stripe 1 width": 0.8, "stripe 2 width": 1.8, "stripe 3 width": 1.2, "height": 3.8})


def test_a_sliver_of_a_pale_cell_beyond_the_last_line_means_at_least() -> None:
    def torn(u: Floats, v: Floats) -> NDArray[np.int64]:
        made = checks(2, 6, (2.4, 2.4))(u, v)
        # Of the last column the dark cell is gone; of the pale one, which looks like torn paper, a strip is left.
        made[u > np.where(v < 2.4, 12.6, 12.0)] = -1
        return made

    columns = next(one for one in read(torn, (14.4, 4.8), replace(AGED, yellow=0.0)).fits[0].values if one.least)
    assert columns.name == "columns" and columns.value in (5, 6)


def test_a_rectangle_that_has_faded_to_one_side_is_one_ink_across_a_scratch() -> None:
    def split(u: Floats, v: Floats) -> NDArray[np.int64]:
        return np.where((np.abs(u - 9.0) < 0.06) & (v > 0) & (v < 8), 1, plate((16.0, 8.0), 1e-6, 3)(u, v))

    fits = read(split, (16.0, 8.0), replace(AGED, fade=0.4, scratches=0, turn=-1.5)).fits
    assert fits[0].kind == "rectangle" and "stripes" not in [one.kind for one in fits]
    held(fits[0], {"width": 16.0, "height": 8.0})


def test_sides_of_which_short_pieces_are_left_are_read_and_a_torn_off_side_is_not_made_up() -> None:
    def bitten(u: Floats, v: Floats) -> NDArray[np.int64]:
        made = plate((14.0, 9.0), 1e-6)(u, v)
        ragged = 0.1 * np.sin(u * 9) * np.cos(v * 11)
        for x, y, r in ((3.0, 9.4, 2.2), (9.5, 9.3, 2.6), (14.3, 4.5, 3.2), (4.0, -0.5, 3.0)):
            made[np.hypot(u - x, v - y) + ragged < r] = -1
        return made

    fit = read(bitten, (14.0, 9.0)).fits[0]
    assert fit.kind == "rectangle"
    held(fit, {"width": 14.0, "height": 9.0})
    # What is torn inside it counts little against it.
    assert fit.score > SURE_SCORE

    def cut(u: Floats, v: Floats) -> NDArray[np.int64]:
        made = plate((14.0, 9.0), 1e-6)(u, v)
        made[u > 10 + 0.8 * np.abs(((v * 0.9) % 1.0) - 0.5) + 0.12 * np.sin(v * 31)] = -1
        return made

    width = next(one for one in read(cut, (14.0, 9.0)).fits[0].values if one.name == "width")
    assert width.least and width.value < 11.0


def test_a_short_edge_that_is_rough_may_be_a_tear() -> None:
    def line(seen: float, rough: float) -> FoundLine:
        return FoundLine(5.0, 0.01, seen, 0.0, seen, rough=rough)

    assert is_ragged(line(2.0, 0.35), 9.0)
    assert not is_ragged(line(8.0, 0.35), 9.0) and not is_ragged(line(2.0, 0.12), 9.0)


def test_one_edge_of_a_disc_is_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(discs, "_radii", lambda remains, centre: [4.0, 3.96])
    values = read(roundel((4, 4), [4], [0]), (8.0, 8.0)).fits[0].values
    assert [one.name for one in values] == ["diameter"]
    assert values[0].value == pytest.approx(8.0, abs=EDGE_MM)
