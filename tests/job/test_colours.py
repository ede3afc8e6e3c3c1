"""Colour names against two libraries of their own: Pillow and coloraide."""

from __future__ import annotations

import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageColor

from decalgen.colour.typed import parse
from decalgen.core.errors import DecalgenError
from decalgen.job.colours import NAMED, parse_colour, seen, written


def test_the_148_names_of_css_color_level_4():
    # W3C, CSS Color Module Level 4, 6.1; Pillow's table has the same 148.
    assert len(NAMED) == 148
    table = {name: "#{:02x}{:02x}{:02x}".format(*ImageColor.getrgb(name)) for name in ImageColor.colormap}
    assert table == NAMED


def test_coloraide_agrees_but_for_two_misprints():
    # Older tables print these two with d8, and 219 beside it in decimal; 219 is db (from memory). Pillow has db.
    differ = {name for name, value in NAMED.items() if Color(name).convert("srgb").to_string(hex=True) != value}
    assert differ <= {"mediumpurple", "palevioletred"}


def test_names_in_capitals():
    assert parse_colour("RebeccaPurple") == "#663399"


@given(st.tuples(*[st.integers(0, 255)] * 3))
def test_six_figures(rgb):
    text = "#{:02x}{:02x}{:02x}".format(*rgb)
    assert parse_colour(text) == parse_colour(f"  {text.upper()} ") == text


@pytest.mark.parametrize(
    ("text", "colour"),
    [
        ("#fa0", "#ffaa00"),  # CSS Color 4: each figure stands for two
        ("rgb(1, 2, 3)", "#010203"),
        ("night sea", "#1d2b4a"),  # a name of the palette
        ("lab(100 0 0)", "#ffffff"),
        ("cmyk(0 0 0 0)", "#ffffff"),
    ],
)
def test_other_ways_to_write_one(text, colour):
    assert parse_colour(text) == colour


@pytest.mark.parametrize(
    ("text", "kept"),
    [("Navy", "#000080"), ("Lab( 58  52 60 )", "lab( 58 52 60 )"), ("cmyk(0 70 100 0)", "cmyk(0 70 100 0)")],
)
def test_what_six_figures_would_round_is_kept_as_written(text, kept):
    assert written(text) == kept
    assert seen(written(text), "").xyz == parse(text).xyz


@pytest.mark.parametrize(
    ("text", "fix"),
    [
        ("1d2b4a", "did you mean '#1d2b4a'?"),
        ("##1d2b4a", "write '#' and six digits"),
        ("bleu", "did you mean 'blue'?"),
        ("lightgrey2", "did you mean 'lightgrey'?"),
        ("#1d2b4", "write '#' and six digits"),
        ("", "write it as '#e8641b', a CSS colour name"),
        ("transparent", "leave out the transparency"),
        ("rgb(1, 2, 300)", "keep red, green and blue between 0 and 255"),
        ("lab(140 0 0)", "write L* between 0 and 100"),
    ],
)
def test_what_is_no_colour(text, fix):
    with pytest.raises(DecalgenError) as caught:
        parse_colour(text)
    assert caught.value.fix.startswith(fix)
