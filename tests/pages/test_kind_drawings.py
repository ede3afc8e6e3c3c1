"""The picture of the kinds of panel: each kind, and every reading that is asked for by the word of the job file."""

from __future__ import annotations

import unicodedata

import pytest

from decalgen.core.document import Document
from decalgen.pages import kind_drawings
from decalgen.pages.composer import Sheaf
from decalgen.pages.kind_drawings import DRAWINGS, draw_kind, kinds_picture
from decalgen.panels.registry import kinds
from tests.helpers.page_words import Words, outside, overlaps, struck, words_of, words_on


def plain(words: Words) -> str:
    """The text without spaces and ligatures."""
    return unicodedata.normalize("NFKC", words.plain)


def picture() -> Document:
    return kinds_picture([(name, kind.about) for name, kind in kinds().items()])


@pytest.mark.parametrize("kind", kinds())
def test_every_kind_is_drawn_with_the_words_of_what_is_asked(kind: str) -> None:
    sheaf = Sheaf(100, 100)
    asked = kinds()[kind].needs[0]
    draw_kind(sheaf, kind, 20, 20)
    words = [plain(found) for found in words_on(sheaf.page())]
    assert {key for key in asked if any(key.replace(" ", "") in text for text in words)} == asked


def test_no_drawing_is_of_a_kind_that_is_gone() -> None:
    assert list(DRAWINGS) == list(kinds())


def test_the_kinds_are_numbered_as_they_are_asked_for() -> None:
    found = picture()
    words = [plain(one) for one in words_of(found)]
    assert len(found.pages) == 1
    for number, name in enumerate(kinds(), 1):
        assert f"{number}{name}".replace(" ", "") in words
    rows = -(-len(kinds()) // kind_drawings.COLUMNS)
    assert found.pages[0].height > rows * kind_drawings.CELL[1]


def test_no_word_lies_on_another_or_is_too_small() -> None:
    found = words_of(picture())
    assert not overlaps(found) and not outside(found, picture(), kind_drawings.EDGE - 0.2)
    assert not [one.text for one in struck(found, picture().pages[0])], "no line of a drawing runs through a word"
    assert min(one.size for one in found) >= 8.0
