"""Lettering on arcs and along points: by radius, rise or box, in either hand, with what is said where it cannot be."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
import shapely

from decalgen.core.errors import DecalgenError
from decalgen.lettering.typesetting import typeset
from decalgen.shapes.base import Box, Element
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.lettering_groups import Along, Arc, Rim, Shadow
from decalgen.shapes.placing import place
from tests.shapes.test_lettering_modes import run_check

SWEEP = ((0.0, 2.0), (9.0, 2.2), (18.0, 5.0), (27.0, 8.0), (36.0, 8.2))
CROSSING = "[[2 mm, 4 mm], [20 mm, 4 mm], [28 mm, 12 mm], [18 mm, 18 mm], [10 mm, 10 mm], [14 mm, 1 mm]]"


def ink(lettering: Lettering) -> tuple[float, float, float, float]:
    """From where to where its ink goes."""
    x0, y0, x1, y1 = lettering.block.region.bounds
    return (x0, y0, x1, y1)


# ------------------------------------------------------------------------------------------------------ rise and box
@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize("bend", ["turned", "fan"])
@pytest.mark.parametrize("times", [10, 16, 30])
def test_the_box_of_an_arched_word_is_the_closed_form(side: str, bend: str, times: int) -> None:
    """Text w wide on a radius R of at least 10 cap heights h, a = half its angle: outside 2 (R + h) sin a wide and
    (R + h) - R cos a high, inside 2 R sin a and R - (R - h) cos a; across within 0.7 %, in height within 0.8 %."""
    h, radius = 2.0, 2.0 * times
    line = typeset("HIHHIHIHIH", face="Archivo", cap_height=h)
    a = line.width / 2 / (radius + (h / 2 if bend == "fan" else h / 4) if side == "outside" else radius - h / 2)
    high, wide = radius - (radius - h) * math.cos(a), 2 * radius * math.sin(a)
    if side == "outside":
        high, wide = radius + h - radius * math.cos(a), 2 * (radius + h) * math.sin(a)
    rise = radius * (1 - math.cos(a))
    one = Lettering(("HIHHIHIHIH",), "navy", h, arc=Arc(rise=rise, side=side), bend=bend)
    x0, y0, x1, y1 = ink(one)
    assert x1 - x0 == pytest.approx(wide, rel=0.007)
    assert y1 - y0 == pytest.approx(high, rel=0.008)
    assert one.extent(Box(90, 90)).height == pytest.approx(high, rel=1e-6)
    assert one.extent(Box(90, 90)).width == pytest.approx(x1 - x0, abs=1e-9)
    assert (x0, y0) == pytest.approx((0.0, 0.0), abs=0.02)


@pytest.mark.parametrize("bend", ["turned", "fan", "upright"])
@pytest.mark.parametrize(("side", "rise"), [("outside", 0.4), ("outside", 3.0), ("inside", 3.0), ("outside", 3.6)])
def test_a_rise_is_met(bend: str, side: str, rise: float) -> None:
    """Capitals h high then take rise + h in height: outside from the ends' feet to the middle's head; inside, where the
    ends' heads lean in by a = 2 atan(2 r / c) over the chord c of the feet, rise + h cos a."""
    one = Lettering(("HIHHIHHIHIH",), "navy", 1.6, arc=Arc(rise=rise, side=side), bend=bend)
    x0, y0, x1, y1 = ink(one)
    lean = math.cos(2 * math.atan(2 * rise / (x1 - x0))) if side == "inside" and bend != "upright" else 1.0
    assert y1 - y0 == pytest.approx(rise + 1.6 * lean, rel=0.012)


@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize("bend", ["turned", "fan", "upright"])
@pytest.mark.parametrize("text", ["HARBOUR", "Ångström y"])
def test_a_word_fills_its_box_both_ways(side: str, bend: str, text: str) -> None:
    one = Lettering((text,), "navy", fit=True, width=24.0, height=8.5, arc=Arc(side=side), bend=bend)
    assert one.extent(Box(90, 90)) == Box(24.0, 8.5)
    assert ink(one) == pytest.approx((0.0, 0.0, 24.0, 8.5), abs=1e-4)


def test_a_short_word_gets_lower_the_further_it_goes_round() -> None:
    """Across 12 mm two figures are 7.7 mm high if straight, and 5.8 if half round, where they have to be smaller."""
    one = Lettering(("47",), "navy", fit=True, width=12.0, height=6.8, arc=Arc())
    assert ink(one) == pytest.approx((0.0, 0.0, 12.0, 6.8), abs=1e-4)
    flatter = Lettering(("47",), "navy", fit=True, width=12.0, height=7.2, arc=Arc())
    assert flatter.block.cap_height > one.block.cap_height


@pytest.mark.parametrize("bend", ["turned", "fan", "upright"])
def test_a_word_of_its_own_height_is_arched_to_that_of_its_box(bend: str) -> None:
    one = Lettering(("HARBOUR",), "navy", 2.0, width=24.0, height=5.0, arc=Arc(), bend=bend)
    x0, y0, x1, y1 = ink(one)
    assert (y0, y1) == pytest.approx((0.0, 5.0), abs=1e-5)
    assert x0 == pytest.approx(24.0 - x1, abs=1e-9) and x0 > 1.0
    assert one.block.cap_height == 2.0


def test_outline_and_shadow_stay_in_the_box() -> None:
    one = Lettering(
        ("HARBOUR",), "navy", fit=True, width=24.0, height=8.0, arc=Arc(), outline=Rim(0.3, "white"),
        shadow=Shadow(0.4, -0.4, "green"),
    )  # fmt: skip
    box = one.extent(Box(90, 90))
    assert box == pytest.approx(Box(24.0, 8.0), abs=1e-9)
    bounds = shapely.total_bounds([area.region for area in one.draw(box)])
    assert bounds == pytest.approx((0.0, 0.0, 24.0, 8.0), abs=2e-3)


def test_a_circle_keeps_the_extent_it_had() -> None:
    """Job files of before: round the centre, as far as the capitals go."""
    for side, far in (("outside", 10.0), ("inside", 8.0)):
        for bend in ("turned", "fan", "upright"):
            one = Lettering(("BAY",), "navy", 2.0, arc=Arc(8.0, side=side), bend=bend)
            assert one.extent(Box(90, 90)) == Box(2 * far, 2 * far)
            feet = np.hypot(*(shapely.get_coordinates(one.block.letters[1].region) - far).T)
            assert (feet.min() if side == "outside" else feet.max()) == pytest.approx(8.0, abs=0.06)


# ---------------------------------------------------------------------------------------------------- the other hand
@pytest.mark.parametrize("bend", ["turned", "fan", "upright"])
def test_points_are_mirrored_in_the_other_hand_and_the_word_reads(bend: str) -> None:
    """The letters' middles on the right are the mirror image of those on the left, in the other order; no letter is
    mirrored."""
    box = Box(36.0, 12.0)
    along = Along(SWEEP, directions=((1, 2.0),), straights=(4,))
    own = Lettering(("HOIOH",), "navy", 1.8, along=along, align="left", bend=bend)
    twin = own.other_hand(box)
    assert twin.align == "right" and twin.other_hand(box) == own
    left, right = ([one.region.centroid for one in lettering.block.letters] for lettering in (own, twin))
    # A word that is the same both ways lies on the very mirror image of its curve.
    for a, b in zip(left, reversed(right), strict=True):
        assert (b.x, b.y) == pytest.approx((36.0 - a.x, a.y), abs=0.02)
    printed = [area.region for area in place((Element(own),), box, mirrored=True)]
    assert printed[0].symmetric_difference(twin.block.region).area < 1e-9
    kept = [area.region for area in place((Element(own, never_mirror=True),), box, mirrored=True)]
    assert kept[0].symmetric_difference(own.block.region).area < 1e-9


def test_a_line_between_two_points_is_mirrored_in_the_other_hand() -> None:
    own = Lettering(("HOIOH",), "navy", 1.8, start=(2.0, 1.0), end=(20.0, 6.0))
    (area,) = place((Element(own),), Box(30.0, 12.0), mirrored=True)
    straight = Lettering(("HOIOH",), "navy", 1.8, start=(10.0, 6.0), end=(28.0, 1.0))
    assert area.region.symmetric_difference(straight.block.region).area < 1e-9


# --------------------------------------------------------------------------------------------------------- bad input
BAD = [
    ("cap height: 2.4 mm, along: {points: [[1 mm, 2 mm], [10 mm, 3 mm], [20 mm, 2 mm]]}", "32.41 mm of lettering do"),
    ("cap height: 3 mm, arc: {radius: 2.8 mm, side: inside}", "reach over the centre of a circle of 2.8 mm radius"),
    ("cap height: 3 mm, bend: fan, arc: {radius: 2.8 mm, side: inside}", "reach over the centre of a circle"),
    ("cap height: 2.4 mm, arc: {rise: 14 mm}", "a rise of 14 mm is more than half the chord"),
    ("cap height: 2.4 mm, bend: fan, arc: {rise: 14 mm, side: inside}", "a rise of 14 mm is more than half the chord"),
    ("cap height: 2.4 mm, bend: upright, arc: {rise: 14 mm}", "with upright stems a rise of 14 mm is too much"),
    (f"cap height: 1 mm, along: {{points: {CROSSING}}}", "the curve crosses or touches itself"),
    ("cap height: 2.4 mm, width: 20 mm, height: 6 mm, arc: {side: outside}", "do not go into a box of 20 \u00d7 6 mm"),
    ("cap height: 2.4 mm, width: 20 mm, height: 2 mm, arc: {side: inside}", "do not go into a box of 20 \u00d7 2 mm"),
    ("cap height: 2.4 mm, width: 40 mm, height: 2 mm, arc: {side: outside}", "do not go into a box of 40 \u00d7 2 mm"),
    ("cap height: 2.4 mm, width: 40 mm, height: 19 mm, arc: {side: outside}", "a box 19 mm high is too high"),
    ("fit: yes, width: 40 mm, height: 2.4 mm, arc: {side: inside}", "is too low for this lettering to arch"),
    ("fit: yes, bend: fan, width: 30 mm, height: 19 mm, arc: {side: inside}", "is too high: this lettering would go"),
    ("cap height: 2 mm, width: 20 mm, height: 6 mm, arc: {radius: 9 mm}", "has both a box and an arc with a radius"),
    ("cap height: 2 mm, width: 20 mm, arc: {rise: 3 mm}", "has both a box and an arc with a rise"),
    ("cap height: 2 mm, height: 20 mm, arc: {side: inside}", "needs `width` and `height`"),
    ("cap height: 2 mm, arc: {side: outside}", "the arc has no radius"),
    ("cap height: 2 mm, arc: {radius: 3 mm, rise: 2 mm}", "the arc has both a radius and a rise"),
    ("cap height: 2 mm, arc: {rise: 0 mm}", "the arc does not rise"),
    ("cap height: 2 mm, arc: {rise: -1.5 mm}", "-1.5 mm is negative: `side` says"),
    ("cap height: 2.4 mm, bend: fan, arc: {rise: 3 mm, head rise: 0 mm}", "between head and foot"),
    ("cap height: 2.4 mm, bend: fan, arc: {rise: 3 mm, head rise: 40 mm}", "a head rise of 40 mm is too"),
    ("cap height: 2 mm, width: 20 mm, height: 6 mm, arc: {rise: 3 mm, head rise: 0 mm}", "has both a box and an arc"),
    ("cap height: 2 mm, bend: upright, arc: {radius: 9 mm, head rise: 0 mm}", "`head rise` goes with a `rise`"),
    ("cap height: 2 mm, bend: fan, width: 20 mm, height: 6 mm, arc: {rise: 3 mm, head rise: 1 mm}", "both a box and"),
    ("cap height: 2 mm, bend: upright, width: 30 mm, height: 1.5 mm, arc: {rise: 0 mm}", "box 1.5 mm high is too low"),
    ("cap height: 2 mm, bend: upright, width: 30 mm, height: 25 mm, arc: {rise: 0 mm}", "box 25 mm high is too high"),
    ("cap height: 2.4 mm, bend: fan, width: 20 mm, height: 5 mm, arc: {rise: 1 mm}", "do not go into a box of 20"),
    ("cap height: 2.4 mm, arc: {rise: 3 mm, head rise: 0 mm}", "between head and foot"),
    ("cap height: 2 mm, bend: fan", "`bend` goes with `arc` and `along`"),
    ("cap height: 2 mm, bend: upright, arc: {radius: 9 mm}", "with upright stems 27.01 mm of lettering do not go"),
    ("cap height: 2 mm, arc: {radius: 3 mm}", "do not go round a circle of 3 mm radius"),
    ("cap height: 2 mm, along: {points: [[0 mm, 0 mm], [9 mm, 0 mm]]}, start: [0 mm, 0 mm], end: [9 mm, 0 mm]", "`al"),
    ("cap height: 2 mm, reversed: yes, along: {points: [[0 mm, 0 mm], [40 mm, 0 mm]]}", "`reversed` does not go with"),
]  # fmt: skip


@pytest.mark.parametrize(("keys", "told"), BAD)
def test_each_mistake_is_told_once_with_place_and_fix(tmp_path: Path, keys: str, told: str) -> None:
    code, output = run_check(tmp_path, f"text: HARBOUR STORES, {keys}")
    assert code != 0
    assert told in " ".join(output.split())
    assert len(re.findall(r"^\S*job\.yaml:\d+:\d+: (?!note)", output, re.MULTILINE)) == 1
    assert re.search(r"job\.yaml:\d+:\d+: (?!note).*\n.*\n +\^+\n +fix: \S", output)


def advised(keys: str) -> list[dict[str, float]]:
    """The lines that the fix offers for a lettering with such keys, each set of them to be written together."""
    with pytest.raises(DecalgenError) as caught:
        made(keys, {})
    return [
        {
            key: float(value)
            for key, value in re.findall(r"(width|height|cap height|head rise|rise|radius): ([0-9.]+) mm", part)
        }
        for part in caught.value.fix.split(", or ")
        if " mm" in part
    ]


def made(keys: str, instead: dict[str, float]) -> Lettering:
    """The lettering, drawn, with other values for some keys."""
    for key, value in instead.items():
        keys = re.sub(rf"(?<![a-z] ){key}: [0-9.]+ mm", f"{key}: {value:g} mm", keys)

    def number(key: str) -> float | None:
        found = re.search(rf"(?<![a-z] ){key}: ([0-9.]+) mm", keys)
        return float(found[1]) if found else None

    side = "inside" if "inside" in keys else "outside"
    arc = Arc(number("radius"), side, number("rise"), number("head rise")) if "arc:" in keys else None
    points = re.findall(r"\[([0-9.]+) mm, ([0-9.]+) mm\]", keys)
    found = Lettering(
        ("HARBOUR STORES",),
        "navy",
        number("cap height"),
        fit="fit: yes" in keys,
        width=number("width"),
        height=number("height"),
        arc=arc,
        along=Along(tuple((float(x), float(y)) for x, y in points)) if points else None,
        bend=next(iter(re.findall(r"bend: (\w+)", keys)), "turned"),
    )
    assert found.block.letters
    return found


OFFERS = [
    keys
    for keys, told in BAD
    if re.search("lettering do|do not go|rise of|too high|too low", told) and "radius" not in keys
]


@pytest.mark.parametrize("keys", OFFERS)
def test_what_a_fix_offers_can_be_drawn(keys: str) -> None:
    offers = advised(keys)
    assert offers
    for one in offers:
        assert made(keys, one).block.region.is_valid


@pytest.mark.parametrize(("side", "head"), [("outside", 1.0), ("outside", -0.2), ("inside", 0.8), ("inside", -0.6)])
def test_heads_of_a_fan_rise_as_its_baseline_does_and_its_extent_is_that_of_its_capitals(
    side: str, head: float
) -> None:
    """Outside the middle stands higher than the ends by the head rise, inside lower; capitals fill the extent."""
    one = Lettering(("HIHHIIHHIH",), "navy", 2.0, arc=Arc(rise=1.0, side=side, head_rise=head), bend="fan")
    tops = [letter.region.bounds[3] for letter in one.block.letters]
    way = 1.0 if side == "outside" else -1.0
    # By how much the fan of a line is tried in tests/lettering/test_bending.py; the extent depends on it.
    assert way * head * (max(tops[4:6]) - max(tops[0], tops[-1])) > 0
    x0, y0, x1, y1 = one.block.region.bounds
    assert (x0, y0) == pytest.approx((0, 0), abs=0.03)
    assert (x1, y1) == pytest.approx(one.extent(Box(60, 20)), abs=0.03)


@pytest.mark.parametrize(
    ("bend", "side", "rise", "height"),
    [
        ("upright", "outside", 0.0, 5.0),
        ("turned", "outside", 0.0, 5.0),
        ("upright", "inside", 1.0, 7.0),
        ("fan", "outside", 1.5, 5.0),
        ("fan", "outside", 1.5, 3.2),
    ],
)
def test_in_a_box_of_its_own_a_foot_rises_as_stated_and_the_heads_fill_the_box(
    bend: str, side: str, rise: float, height: float
) -> None:
    """The ink takes all of the box; the feet of the two letters in the middle stand over (inside: below) the outer ends
    of the foot by the rise, but for the 0.06 mm that the arc sinks over two letters, and no head is higher than theirs.
    At a cap height of its own it is as high, in the middle of the width."""
    one = Lettering(
        ("HIHHIIHHIH",), "navy", fit=True, width=24.0, height=height, arc=Arc(rise=rise, side=side), bend=bend
    )
    assert one.block.region.bounds == pytest.approx((0, 0, 24, height), abs=1e-4)
    letters = [letter.region.bounds for letter in one.block.letters]
    way = 1.0 if side == "outside" else -1.0
    ends = shapely.get_coordinates(one.block.letters[0].region)
    # A fan leans out, so that its lowest corner is the outer one of the foot.
    end = ends[:, 1].min() if bend == "fan" else ends[ends[:, 0] < 0.01, 1].min()
    assert min(b[1] for b in letters[4:6]) - end == pytest.approx(way * rise, abs=0.06)
    tops = [b[3] for b in letters]
    assert max(tops) == max(tops[4:6]) == pytest.approx(height, abs=1e-4)
    own = Lettering(
        ("HIHHIIHHIH",), "navy", 1.8, width=24.0, height=height, arc=Arc(rise=rise, side=side), bend=bend
    ).block
    x0, y0, x1, y1 = own.region.bounds
    assert (y0, y1) == pytest.approx((0, height), abs=1e-4) and x0 == pytest.approx(24 - x1, abs=1e-6) and x0 > 0.5
    if bend != "fan":
        # Upright letters are not bent at the ends: they are as high as the cap height says.
        low, high = own.letters[0].region.bounds[1::2]
        assert high - low > 1.8 and high - own.letters[1].region.bounds[3] < 0


def test_for_a_negative_rise_the_other_side_is_offered(tmp_path: Path) -> None:
    code, output = run_check(tmp_path, "text: HARBOUR STORES, cap height: 2 mm, arc: {rise: -1.5 mm}")
    assert code != 0 and "fix: write rise: 1.5 mm and side: inside" in output
    again = tmp_path / "again"
    again.mkdir()
    code, output = run_check(again, "text: HARBOUR STORES, cap height: 2 mm, arc: {rise: 1.5 mm, side: inside}")
    assert code == 0 and "rise of" not in output


def test_a_radius_is_offered_that_upright_letters_go_on() -> None:
    keys = "cap height: 2 mm, bend: upright, arc: {radius: 9 mm}"
    (offer, *_) = advised(keys)
    assert made(keys, offer).block.letters
    with pytest.raises(DecalgenError):
        made(keys, {"radius": offer["radius"] - 0.02})


@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize("text", ["I", "47", "DEPOT"])
def test_a_rise_too_tight_for_a_short_word_offers_one_that_is_not(side: str, text: str) -> None:
    """On the inside an arc tighter than the cap height has its centre in the letters."""
    with pytest.raises(DecalgenError) as caught:
        assert Lettering((text,), "navy", 2.0, arc=Arc(rise=6.0, side=side)).block
    assert re.match("a rise of 6 mm (bends this lettering too tightly|is more than half)", caught.value.message)
    most = re.findall(r"write rise: ([0-9.]+) mm or less", caught.value.fix)
    # One letter goes on no arc that one sees.
    assert bool(most) == (text != "I" or side == "inside")
    if most:
        assert float(most[0]) > 0
        assert Lettering((text,), "navy", 2.0, arc=Arc(rise=float(most[0]), side=side)).block.tightest > 2.0
    else:
        assert "remove `arc`" in caught.value.fix
