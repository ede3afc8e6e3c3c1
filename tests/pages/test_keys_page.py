"""The pages of `decalgen keys` on paper: every word of the reference is there, none on another or off the page."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from unicodedata import normalize

import pytest

from decalgen.commands.keys_picture import picture_of
from decalgen.core import style
from decalgen.export import render
from decalgen.job.reference import reference, topics
from decalgen.lettering.paper import unmarked
from tests.helpers.page_words import ink_box, outside, overlaps, words_of

NAMES = [name for name, _ in topics()]
DRAWN = ("panel", "lettering", "arc", "outline", "star", "cut")


def letters(text: str) -> Counter[str]:
    return Counter(normalize("NFKC", "".join(unmarked(text).split())))


@pytest.mark.parametrize(
    ("name", "ending"),
    [*((name, ".pdf") for name in NAMES), *((name, ".png") for name in ("panel", "lettering", "ink", "printer"))],
)
def test_every_word_is_on_it_and_none_on_another_or_off_the_page(name: str, ending: str) -> None:
    topic = reference(name)
    document = picture_of(topic, Path(f"page{ending}"))
    found = words_of(document)
    assert not overlaps(found)
    for page in document.pages:
        x0, y0, x1, y1 = ink_box(page)
        edge = style.margin(page.width, page.height) - 0.5
        assert edge <= x0 and edge <= y0 and x1 <= page.width - edge and y1 <= page.height - edge
    assert not outside(found, document, style.MARGIN)
    # Ligatures are read back as the letters they stand for; that of ff has no sign.
    lines = [normalize("NFKC", words.plain.replace("\N{REPLACEMENT CHARACTER}", "ff")) for words in found]
    there = letters(" ".join(lines))
    for section in topic.sections:
        for text in (section.about, section.example, *(row.meaning for row in section.rows)):
            assert not letters(text) - there
    for section in topic.sections:
        for line in section.example.split("\n"):
            assert "".join(line.split()) in lines, line
        for row in section.rows:
            assert any(line.startswith("".join(row.key.split())[:18]) for line in lines), row.key


def test_a_picture_is_one_page_and_a_document_pages_of_paper() -> None:
    assert len(picture_of(reference("panel"), Path("panel.svg")).pages) == 1
    pages = picture_of(reference("panel"), Path("panel.pdf")).pages
    assert len(pages) > 3 and {(page.width, page.height) for page in pages} == {(210.0, 297.0)}


@pytest.mark.parametrize("name", DRAWN)
def test_it_is_drawn_and_the_same_each_time(name: str) -> None:
    one = render(picture_of(reference(name), Path("a.svg")), "a.svg")
    assert one == render(picture_of(reference(name), Path("a.svg")), "a.svg")
    # What is drawn beside the words: a panel's kinds in lines, a shape or a decal as filled areas.
    document = picture_of(reference(name), Path("a.svg"))
    drawings = {
        item.symbol.key
        for page in document.pages
        for layer in page.layers
        for item in layer.items
        if hasattr(item, "symbol") and item.symbol.key.startswith("drawing-")
    }
    words = {words.plain for words in words_of(document)}
    assert drawings or {"chord", "rise", "bottomwidth"} <= words
