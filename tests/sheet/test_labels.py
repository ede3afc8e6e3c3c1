"""Labels: what they say upside down, where the nose is, how high they are."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import box

from decalgen.sheet.labels import CAPS, Label, labels_of, reads_turned

READS = (6, 9, 16, 18, 19, 61, 66, 68, 81, 86, 89, 91, 98, 99, 106, 108, 109, 116, 118, 119, 168, 186, 188, 189, 601)
"""Worked out by hand with paper and half a turn."""
HARMLESS = (0, 1, 2, 5, 8, 10, 11, 12, 60, 69, 88, 96, 101, 111, 181, 609, 619, 808, 888, 906)


@pytest.mark.parametrize("text", [str(number) for number in READS])
def test_what_reads_as_another_number_upside_down_has_a_line_under_it(text: str) -> None:
    assert reads_turned(text)
    one = labels_of(text, None)[0]
    x0, _, x1, _ = one.region.bounds
    (line,) = [part for part in one.region.geoms if part.bounds[1] < 1e-9]
    assert line.equals(box(*line.bounds))
    assert line.bounds[3] - line.bounds[1] == pytest.approx(0.12)
    assert (line.bounds[0], line.bounds[2]) == pytest.approx((x0, x1))
    digits = [part for part in one.region.geoms if part != line]
    # Round digits reach a little below the foot.
    assert min(part.bounds[1] for part in digits) - line.bounds[3] == pytest.approx(0.22, abs=0.03)


@pytest.mark.parametrize("text", [str(number) for number in HARMLESS])
def test_what_reads_as_itself_or_as_no_number_has_none(text: str) -> None:
    assert not reads_turned(text)
    assert len(labels_of(text, None)[0].region.geoms) == len(text)


def test_a_letter_before_the_digits_changes_nothing_of_their_line() -> None:
    lettered, plain = labels_of("C19", None)[0], labels_of("19", None)[0]
    (long,), (short,) = ([p for p in one.region.geoms if p.bounds[1] < 1e-9] for one in (lettered, plain))
    assert long.bounds[2] - long.bounds[0] == pytest.approx(short.bounds[2] - short.bounds[0], abs=1e-6)
    assert reads_turned("C19") and not reads_turned("C12") and not reads_turned("C")


@pytest.mark.parametrize("text", ["7", "28", "106", "1234", "A12"])
def test_digits_are_as_high_as_the_caps_say(text: str) -> None:
    for small, cap in enumerate(CAPS):
        one = next(label for label in labels_of(text, None) if (label.small, label.form) == (small, 0))
        tallest = max(part.bounds[3] - part.bounds[1] for part in one.region.geoms)
        assert tallest == pytest.approx(cap, rel=0.05)
        assert (one.width, one.height) == pytest.approx(one.region.bounds[2:])


@pytest.mark.parametrize("nose", [0.0, 90.0, 180.0, 270.0])
def test_the_triangle_points_to_the_nose_and_the_number_stays_upright(nose: float) -> None:
    plain = labels_of("14", None)[0]
    for one in labels_of("14", nose):
        arrow = next(part for part in one.region.geoms if len(part.exterior.coords) == 4)
        tip = max(arrow.exterior.coords, key=lambda p: math.dist(p, arrow.centroid.coords[0]) + 1e-3 * _along(p, nose))
        way = (tip[0] - arrow.centroid.x, tip[1] - arrow.centroid.y)
        assert math.hypot(*way) > 0
        far = max(_along(p, nose) for p in arrow.exterior.coords)
        assert sum(_along(p, nose) > far - 1e-6 for p in arrow.exterior.coords[:-1]) == 1, "the tip lies foremost"
        if one.small == 0:
            assert one.region.area == pytest.approx(plain.region.area + arrow.area, rel=1e-6)
            widths = sorted(part.bounds[2] - part.bounds[0] for part in one.region.geoms if part != arrow)
            assert widths == pytest.approx(sorted(part.bounds[2] - part.bounds[0] for part in plain.region.geoms))


def test_a_label_has_a_form_for_waste_that_is_narrow() -> None:
    def narrowest(found: tuple[Label, ...]) -> float:
        return min(one.width for one in found)

    assert narrowest(labels_of("28", 0.0)) == pytest.approx(narrowest(labels_of("28", None)))
    assert narrowest(labels_of("A128", 0.0)) < narrowest(labels_of("A128", None)) + 0.01
    assert {one.form for one in labels_of("28", None)} == {0}


def _along(point: tuple[float, ...], nose: float) -> float:
    return point[0] * math.cos(math.radians(nose)) + point[1] * math.sin(math.radians(nose))
