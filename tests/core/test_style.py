"""The look keeps what it promises: contrast, least sizes, and one grid."""

from __future__ import annotations

import json
import re

import coloraide
import pytest
from fontTools.ttLib import TTFont

from decalgen.core import style
from decalgen.core.lengths.units import POINT_MM
from decalgen.core.resources import resource_folder
from decalgen.export.coordinates import check_colour

READABLE = (style.TEXT, style.QUIET, style.ACCENT, style.ERROR, style.WARNING, style.GOOD)
GROUNDS = (style.GROUND, style.PAPER, style.BAND)
CONTRAST = 4.5
LEAST_CAP_HEIGHT = 1.8
"""No capital on paper is lower, mm (common practice, no source)."""


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.2, definition of relative luminance)."""
    parts = [part / 255 for part in check_colour(colour)]
    r, g, b = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, definition of contrast ratio)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_agrees_with_known_values_and_a_colour_library() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    for one in READABLE:
        for other in GROUNDS:
            reference = coloraide.Color(one).contrast(coloraide.Color(other), method="wcag21")
            assert contrast(one, other) == pytest.approx(reference, rel=1e-3)


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("colour", READABLE)
def test_all_that_is_read_has_four_and_a_half_to_one(colour: str, ground: str) -> None:
    # WCAG 2.2, success criterion 1.4.3.
    assert contrast(colour, ground) >= CONTRAST


def test_words_are_read_on_the_tint() -> None:
    assert contrast(style.GOOD, style.TINT_GOOD) >= CONTRAST
    assert contrast(style.TEXT, style.TINT_GOOD) >= CONTRAST


@pytest.mark.parametrize("ground", [style.NIGHT_GROUND, style.NIGHT_TINT_CODE])
@pytest.mark.parametrize("colour", [style.NIGHT_TEXT, style.NIGHT_QUIET, style.NIGHT_ACCENT])
def test_all_is_read_on_a_dark_screen_too(colour: str, ground: str) -> None:
    assert contrast(colour, ground) >= CONTRAST


@pytest.mark.parametrize("colour", [style.TEXT, style.ACCENT])
def test_what_is_typed_is_read_on_its_tint(colour: str) -> None:
    assert contrast(colour, style.TINT_CODE) >= CONTRAST


def test_white_is_read_on_the_accent() -> None:
    assert contrast(style.PAPER, style.ACCENT) >= CONTRAST


def test_type_on_paper_is_large_enough() -> None:
    assert style.TYPE_SMALL == min(style.TYPE_SMALL, style.TYPE_BODY, style.TYPE_TITLE) >= 8
    faces = json.loads((resource_folder("fonts") / "faces.json").read_text(encoding="utf-8"))
    (file,) = (face["file"] for face in faces["face"] if face["name"] == faces["paper"])
    with TTFont(resource_folder("fonts") / file) as font:
        cap_height = font["OS/2"].sCapHeight / font["head"].unitsPerEm
    assert style.TYPE_SMALL * POINT_MM * cap_height >= LEAST_CAP_HEIGHT


def test_colours_are_written_in_full() -> None:
    colours = [value for value in vars(style).values() if isinstance(value, str) and value.startswith("#")]
    assert len(colours) > 10
    assert all(re.fullmatch(r"#[0-9a-f]{6}", colour) for colour in colours)


def test_margins_and_gaps_stand_on_the_grid() -> None:
    for length in (style.MARGIN, style.GAP, style.REGISTRATION_CIRCLE, style.REGISTRATION_CROSS, style.CROP_MARK):
        assert length % style.GRID == 0
    assert style.step(3) == 6.0
