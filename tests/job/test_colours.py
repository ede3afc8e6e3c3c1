"""Colour names against two libraries of their own: Pillow and coloraide."""

from __future__ import annotations

import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageColor

from decalgen.errors import DecalgenError
from decalgen.job.colours import NAMED, parse_colour


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
    ("text", "fix"),
    [
        ("1d2b4a", 'write "#1d2b4a"'),
        ("#fa0", 'write "#ffaa00"'),
        ("##1d2b4a", 'write "#1d2b4a"'),
        ("bleu", "did you mean 'blue'?"),
        ("lightgrey2", "did you mean 'lightgrey'?"),
        ("#1d2b4", 'write six figures, as in "#1d2b4a", or a CSS colour name'),
        ("rgb(1, 2, 3)", 'write six figures, as in "#1d2b4a", or a CSS colour name'),
        ("", 'write six figures, as in "#1d2b4a", or a CSS colour name'),
        ("transparent", 'write six figures, as in "#1d2b4a", or a CSS colour name'),
    ],
)
def test_what_is_no_colour(text, fix):
    with pytest.raises(DecalgenError) as caught:
        parse_colour(text)
    assert caught.value.fix == fix
