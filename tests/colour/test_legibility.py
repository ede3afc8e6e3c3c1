"""Lettering on its ground, and inks that merge for colour-deficient eyes."""

from __future__ import annotations

import pytest

from decalgen.colour.legibility import confusions, legibility, legibility_finding
from decalgen.colour.typed import parse


@pytest.mark.parametrize(
    ("lettering", "on", "good"),
    [
        ("#ffffff", "#1d2b4a", True),
        ("#000000", "#ffffff", True),
        ("#e8641b", "#c21f2c", False),
        ("#f3df2f", "#ffffff", False),
        ("#767676", "#ffffff", True),  # 4.54:1 (W3C)
        ("#959595", "#ffffff", False),  # 2.997:1: just under 3
    ],
)
def test_limits(lettering: str, on: str, good: bool) -> None:
    seen = legibility(parse(lettering), parse(on))
    assert seen.good is good
    assert legibility(parse(on), parse(lettering)) == seen
    assert (legibility_finding("door: HARBOUR", parse(lettering), parse(on)) is None) is good


def test_either_limit_warns() -> None:
    """Dark colours reach 3:1 with little difference in L*, light ones the other way round."""
    dark = legibility(parse("#3c3c3c"), parse("#000000"))
    assert dark.delta_l < 30
    assert not dark.good
    light = legibility(parse("#ffffff"), parse("#a0a0a0"))
    assert light.delta_l > 30
    assert light.contrast < 3
    assert not light.good


def test_words() -> None:
    finding = legibility_finding("door: HARBOUR", parse("#e8641b"), parse("#c21f2c"))
    assert finding is not None
    assert finding.code == "colour-legibility"
    assert "wanted 3:1" in finding.message
    assert finding.fix


def test_the_contrast_missed_is_the_measure_told() -> None:
    # sRGB #c0c0c0 on white: (1 + 0.05) / (0.5271 + 0.05) = 1.82 (WCAG 2.1, contrast ratio).
    finding = legibility_finding("door: HARBOUR", parse("#c0c0c0"), parse("#ffffff"))
    assert finding is not None
    assert (finding.measured, finding.limit, finding.unit) == (pytest.approx(1.82, abs=0.005), 3.0, ":1")


def test_red_and_olive_merge_for_red_or_green_blind_eyes_only() -> None:
    """The classic confusion: red against dark green of like lightness (Viénot, Brettel, Mollon 1999)."""
    looks = {"red": parse("#b03a2e"), "olive": parse("#6b6b1e"), "blue": parse("#2040c0")}
    found = confusions("door", looks)
    assert [one.code for one in found] == ["colour-eyes"]
    assert found[0].severity == "note"
    assert "'red' and 'olive'" in found[0].message
    assert "blue-blind" not in found[0].message


def test_inks_that_differ_but_moderately_are_mentioned_too() -> None:
    # Blue and violet: CIEDE2000 24 to most eyes. Those without green see no red in the violet.
    found = confusions("door", {"blue": parse("#2050b0"), "violet": parse("#8020b0")})
    assert [one.message for one in found] == ["'blue' and 'violet' look alike to green-blind eyes"]


def test_inks_that_are_alike_anyway_are_not_mentioned() -> None:
    assert confusions("door", {"one": parse("#b03a2e"), "two": parse("#b03b2f")}) == ()
    assert confusions("door", {"black": parse("#000000"), "white": parse("#ffffff")}) == ()
