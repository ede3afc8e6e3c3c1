"""The look keeps what it promises: contrast, least sizes, and one grid."""

from __future__ import annotations

import re
import tomllib

import coloraide
import pytest
from fontTools.ttLib import TTFont

from decalgen import look
from decalgen.export.coordinates import check_colour
from decalgen.resources import resource_folder


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
    for one in look.READABLE:
        for other in look.GROUNDS:
            reference = coloraide.Color(one).contrast(coloraide.Color(other), method="wcag21")
            assert contrast(one, other) == pytest.approx(reference, rel=1e-3)


@pytest.mark.parametrize("ground", look.GROUNDS)
@pytest.mark.parametrize("colour", look.READABLE)
def test_all_that_is_read_has_four_and_a_half_to_one(colour: str, ground: str) -> None:
    # WCAG 2.2, success criterion 1.4.3.
    assert contrast(colour, ground) >= look.CONTRAST == 4.5


@pytest.mark.parametrize(
    ("colour", "tint"),
    [
        (look.ACCENT, look.TINT_ACCENT),
        (look.ERROR, look.TINT_ERROR),
        (look.WARNING, look.TINT_WARNING),
        (look.GOOD, look.TINT_GOOD),
    ],
)
def test_a_severity_is_read_on_its_tint_and_so_is_text(colour: str, tint: str) -> None:
    assert contrast(colour, tint) >= look.CONTRAST
    assert contrast(look.TEXT, tint) >= look.CONTRAST


def test_white_is_read_on_the_accent() -> None:
    assert contrast(look.PAPER, look.ACCENT) >= look.CONTRAST


def test_type_on_paper_is_large_enough() -> None:
    assert look.TYPE_SMALL == min(look.TYPE_SMALL, look.TYPE_BODY, look.TYPE_TITLE) >= 8
    faces = tomllib.loads((resource_folder("fonts") / "faces.toml").read_text(encoding="utf-8"))
    assert faces["paper"] == look.FACE
    (file,) = (face["file"] for face in faces["face"] if face["name"] == look.FACE)
    with TTFont(resource_folder("fonts") / file) as font:
        cap_height = font["OS/2"].sCapHeight / font["head"].unitsPerEm
        features = {record.FeatureTag for record in font["GSUB"].table.FeatureList.FeatureRecord}
    assert look.TYPE_SMALL * look.POINT * cap_height >= look.LEAST_CAP_HEIGHT
    assert look.TABULAR in features


def test_colours_are_written_in_full() -> None:
    colours = [value for value in vars(look).values() if isinstance(value, str) and value.startswith("#")]
    assert len(colours) > 10
    assert all(re.fullmatch(r"#[0-9a-f]{6}", colour) for colour in colours)


def test_margins_and_gaps_stand_on_the_grid() -> None:
    for length in (look.MARGIN, look.GAP, look.REGISTRATION_CIRCLE, look.REGISTRATION_CROSS, look.CROP_MARK):
        assert length % look.GRID == 0
    assert look.step(3) == 6.0
