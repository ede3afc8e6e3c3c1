"""The picture of the kinds of panel: each kind, and every reading that makes it by the word of the job file."""

from __future__ import annotations

import pytest

from decalgen.pages import kind_drawings
from decalgen.pages.composer import Sheaf
from decalgen.pages.kind_drawings import DRAWINGS, draw_kind, kinds_picture
from decalgen.panels.registry import kinds


@pytest.fixture
def words(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every text that is put on a page."""
    said: list[str] = []
    text = Sheaf.text

    def noted(self: Sheaf, x: float, y: float, words: str, *more: object, **rest: object) -> object:
        said.append(words)
        return text(self, x, y, words, *more, **rest)  # type: ignore[arg-type]

    monkeypatch.setattr(Sheaf, "text", noted)
    return said


@pytest.mark.parametrize("kind", kinds())
def test_every_kind_is_drawn_with_the_words_of_its_readings(kind: str, words: list[str]) -> None:
    draw_kind(Sheaf(100, 100), kind, 20, 20)
    first = set().union(*kinds()[kind].needs[:1])
    assert {key for key in first if any(key in text for text in words)} == first


def test_no_drawing_is_of_a_kind_that_is_gone() -> None:
    assert list(DRAWINGS) == list(kinds())


def test_the_kinds_are_numbered_as_they_are_asked_for(words: list[str]) -> None:
    picture = kinds_picture([(name, kind.about) for name, kind in kinds().items()])
    assert len(picture.pages) == 1
    for number, name in enumerate(kinds(), 1):
        assert f"{number}  {name}" in words
    rows = -(-len(kinds()) // kind_drawings.COLUMNS)
    assert picture.pages[0].height > rows * kind_drawings.CELL[1]
