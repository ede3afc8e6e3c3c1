"""Pages that fill from the top down, the band that begins a block, and boxes to write in."""

from __future__ import annotations

import pytest

from decalgen.core import style
from decalgen.core.document import Document, Fill, Line
from decalgen.lettering.paper import wrap
from decalgen.pages.composer import Sheaf, band_height
from decalgen.pages.flow import Flow
from tests.helpers.page_words import outside, overlaps, struck, words_of, words_on

SIZES = {"A5": (148.0, 210.0), "Letter": (215.9, 279.4), "A4": (210.0, 297.0)}


def flow(size: str) -> Flow:
    return Flow(*SIZES[size], "Key: what each number is, and where it goes", "layout ca1549cc · proof of 2 sheets")


@pytest.mark.parametrize("size", SIZES)
def test_blocks_go_on_the_next_page_where_the_room_ends(size: str) -> None:
    pages = flow(size)
    for n in range(60):
        pages.room(12.0)
        foot = pages.sheaf.band(pages.edge, pages.y, pages.inner, f"block {n}", "how it is used")
        pages.y = foot - 4.0
        pages.paragraph("What is read once stands under its block, and goes on over as many lines as it needs. " * 2)
    document = Document(tuple(pages.pages()), title="t")
    found = words_of(document)
    assert len(document.pages) > 3
    assert not overlaps(found) and not outside(found, document, pages.edge)
    assert not [hit for n, page in enumerate(document.pages) for hit in struck(list(words_on(page, n)), page)]
    texts = [words.plain for words in found]
    assert all(f"page{n + 1}of{len(document.pages)}" in texts for n in range(len(document.pages)))
    assert sum(text.startswith("Key:whateachnumberis") for text in texts) == len(document.pages)
    # A page is left only once its room is used up.
    for n in range(len(document.pages) - 1):
        lowest = min(words.box.bounds[1] for words in found if words.page == n and words.size != style.TYPE_SMALL)
        assert lowest < pages.floor + 25.0


def test_what_is_larger_than_a_page_begins_on_a_fresh_one_and_no_further() -> None:
    pages = flow("A5")
    assert not pages.room(1000.0), "an empty page is not left for another one"
    pages.y -= 20.0
    assert pages.room(1000.0) and len(pages.sheafs) == 2


@pytest.mark.parametrize(
    "words", [("door", "flat"), ("a long name of a block " * 3, "and a long word of how to use it")]
)
def test_a_band_holds_its_words_and_is_as_high_as_said(words: tuple[str, str]) -> None:
    sheaf = Sheaf(100.0, 100.0)
    foot = sheaf.band(10.0, 90.0, 80.0, *words, letter="A")
    (ground,) = [item for item in sheaf.items if isinstance(item, Fill)]
    assert ground.colour == style.BAND
    x0, y0, x1, y1 = ground.region.bounds
    assert (x0, y0, x1, y1) == pytest.approx((10.0, foot, 90.0, 90.0))
    assert foot == pytest.approx(90.0 - band_height(80.0, *words, "A"))
    found = list(words_on(sheaf.page()))
    assert all(ground.region.covers(one.box) for one in found) and not overlaps(found)
    # 10 pt bold to find, 8.5 for the rest; nothing that is read is grey.
    assert {one.size for one in found} == {style.TYPE_FIND, style.TYPE_REST}
    assert {one.colour for one in found} == {style.TEXT}


def test_boxes_are_large_enough_for_a_pencil() -> None:
    sheaf = Sheaf(100.0, 40.0)
    sheaf.reading_boxes(5.0, 5.0)
    sheaf.tick_box(5.0, 30.0)
    boxes = [item for item in sheaf.items if isinstance(item, Line)]
    sizes = [(b.points[2][0] - b.points[0][0], b.points[2][1] - b.points[0][1]) for b in boxes]
    assert len(sizes) == 4 and all(w >= 18.0 and h >= 8.0 for w, h in sizes[:3])
    assert sizes[3] == pytest.approx((3.2, 3.2))
    assert boxes[1].points[0][0] >= boxes[0].points[1][0] + 1.0


@pytest.mark.parametrize("held", ["8.2 mm", "6.40 mm ± 0.25", "300 dpi", "12 %", "140.9 cm²"])
def test_a_number_is_not_parted_from_its_unit(held: str) -> None:
    """ISO 80000-1, 7.1.4, from memory: a space stands between number and unit; that a line does not end there is common
    practice, no source."""
    text = f"from the lower edge of the panel upward; so far {held} and no more"
    parted = [wide for wide in range(25, 90) if not any(held in row for row in wrap(text, 9.0, wide))]
    assert parted == []
    # A column that is too narrow for both parts them all the same, and no letter of it is lost.
    assert "".join(wrap(text, 9.0, 12.0)).replace(" ", "") == text.replace(" ", "")
