"""Several lines, and small text for paperwork."""

from __future__ import annotations

from itertools import pairwise

import pytest
import shapely
from shapely.affinity import translate

from decalgen.core.lengths.units import POINT_MM
from decalgen.lettering.paper import paper, paper_cap_height, paper_width, wrap
from decalgen.lettering.text import text_block
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset


def test_height_is_from_the_last_baseline_to_the_first_cap_line() -> None:
    block = text_block(["LOWER", "THESSOCK", "Drainage"], face="Overpass", cap_height=2.0, line_pitch=3.5)
    assert block.height == pytest.approx(2 * 3.5 + 2.0)
    assert block.width == pytest.approx(max(line.width for line in block.lines))
    assert block.ascent == pytest.approx(0.0, abs=0.1)
    assert block.descent == pytest.approx(-typeset("g", face="Overpass", cap_height=2.0).region.bounds[1], rel=0.02)


def test_accents_are_reported_apart() -> None:
    block = text_block("ÉTÉ\nHIVER", face="Archivo", cap_height=2.0)
    assert block.height == pytest.approx(1.6 * 2 + 2)
    assert block.ascent > 0.3
    assert block.region.bounds[3] == pytest.approx(block.height + block.ascent)


@pytest.mark.parametrize(("align", "share"), [("left", 0.0), ("centre", 0.5), ("right", 1.0)])
def test_alignment_is_of_ink(align: str, share: float) -> None:
    block = text_block(["HARBOUR", "II"], face="Saira", cap_height=2.0, align=align)  # type: ignore[arg-type]
    short = [x for x in block.letters if x.text == "I"]
    assert short[0].left == pytest.approx((block.width - block.lines[1].width) * share, abs=1e-9)
    assert block.region.bounds[0] == pytest.approx(0.0, abs=1e-9)


def test_one_line_is_the_line() -> None:
    block = text_block("STORES", face="Oswald", cap_height=1.6)
    assert block.height == 1.6
    assert block.region.equals(typeset("STORES", face="Oswald", cap_height=1.6).region)


def test_a_blank_line_leaves_its_room() -> None:
    assert text_block(["A", "", "B"], face="Oswald", cap_height=1.0, line_pitch=2.0).height == pytest.approx(5.0)


@pytest.mark.parametrize("lines", ["", [], ["", " "], "\n\n"])
def test_no_text_is_refused(lines: str | list[str]) -> None:
    with pytest.raises(LetteringError, match="no text"):
        text_block(lines, face="Oswald", cap_height=1.0)


def test_nonsense_is_refused() -> None:
    with pytest.raises(LetteringError, match="line pitch"):
        text_block(["A", "B"], face="Oswald", cap_height=1.0, line_pitch=0)
    with pytest.raises(LetteringError, match="aligned 'middle'"):
        text_block(["A", "B"], face="Oswald", cap_height=1.0, align="middle")  # type: ignore[arg-type]
    with pytest.raises(LetteringError, match="too many"):
        text_block(["A"] * 101, face="Oswald", cap_height=1.0)


def test_paper_figures_are_all_of_one_width() -> None:
    widths = {round(paper_width(figure, 9), 9) for figure in "0123456789"}
    assert len(widths) == 1
    assert paper_width("12.40", 9) == pytest.approx(paper_width("98.77", 9))


def test_paper_size_is_in_points() -> None:
    text = paper("H", 12)
    assert text.size == pytest.approx(12 * 25.4 / 72)
    assert text.region.bounds[3] == pytest.approx(text.cap_height, rel=1e-6)
    assert text.cap_height == pytest.approx(12 * POINT_MM * paper_cap_height())
    # 7 pt is the smallest size on paper; its capitals must not be under 1.6 mm.
    assert 1.6 < 7 * POINT_MM * paper_cap_height() < 2.0


def test_the_area_of_a_line_is_that_of_its_letters_where_they_stand() -> None:
    line = paper("H9 Ä mm", 9)
    letters = [translate(one.region, one.x, one.y) for one in line.glyphs]
    assert len(letters) == 5 and line.region.bounds[0] > 0 and line.region.bounds[2] < line.width
    assert line.region.symmetric_difference(shapely.union_all(letters)).area < 1e-9


def test_paper_always_prints() -> None:
    assert paper("", 9).region.is_empty
    assert paper("", 9).width == 0
    assert paper("a\U0001f692b", 9).region.equals(paper("a?b", 9).region)
    assert paper("a\nb", 9).region.equals(paper("a b", 9).region)
    assert not paper("\u042b \u00b1 \u00d7 \u00b0 \u2192 \u2013", 9).region.is_empty
    assert paper("bold", 9, bold=True).region.area > paper("bold", 9).region.area * 1.1
    with pytest.raises(LetteringError, match="type size"):
        paper("a", 0)


def test_wrap() -> None:
    text = "Cut away from you and cap the blade; follow your local law and the product labels."
    lines = wrap(text, 9, 40)
    assert " ".join(lines) == text
    assert len(lines) > 2
    assert all(paper_width(line, 9) <= 40 for line in lines)
    # Greedy: the first word of each line would not have gone on the line above.
    for above, below in pairwise(lines):
        assert paper_width(f"{above} {below.split()[0]}", 9) > 40


def test_wrap_breaks_a_word_wider_than_the_line_and_keeps_line_breaks() -> None:
    lines = wrap("A\n\n" + "W" * 60, 9, 30)
    assert lines[:2] == ["A", ""]
    assert "".join(lines[2:]) == "W" * 60
    assert all(paper_width(line, 9) <= 30 for line in lines)
    assert wrap("", 9, 30) == [""]
