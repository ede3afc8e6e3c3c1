"""Both spellings of three words, in texts and among known names."""

from __future__ import annotations

import pytest

from decalgen.colour.names import NAMED
from decalgen.core.names import british, spelt_as


@pytest.mark.parametrize(
    ("american", "plain"),
    [
        ("color", "colour"),
        ("Colors", "Colours"),
        ("COLOR", "COLOUR"),
        ("center", "centre"),
        ("centered", "centred"),
        ("top center", "top centre"),
        ("gray", "grey"),
        ("lightslategray", "lightslategrey"),
        ("dark Gray", "dark Grey"),
    ],
)
def test_american_words_become_british(american, plain):
    assert british(american) == plain == british(plain)


@pytest.mark.parametrize("text", ["Colorado", "decolorant", "epicenters of", "width", "grapes", "", "concentric"])
def test_other_words_stay(text):
    assert british(text) in (text, text.replace("center", "centre"))


def test_every_grey_of_css_has_two_spellings():
    """CSS Color Module Level 4, 6.1: each gray is there as grey too, of the same value."""
    grays = [name for name in NAMED if "gray" in name]
    assert len(grays) == 7
    assert all(NAMED[british(name)] == NAMED[name] for name in grays)


def test_a_known_name_is_found_in_either_spelling():
    known = ("colour", "gray panel", "red")
    assert [spelt_as(name, known) for name in ("color", "colour", "grey panel", "red", "blue")] == [
        "colour", "colour", "gray panel", "red", None,
    ]  # fmt: skip
