"""The calibration target: eight lettered spans between plain crosses, each with boxes for its readings beside it."""

from __future__ import annotations

import math
from functools import lru_cache

import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from decalgen.core.document import Document, Line
from decalgen.core.instruments import line_instrument
from decalgen.pages.calibration_target import target_page
from decalgen.printer.target import SPANS, Target, span_label, target
from tests.helpers.page_words import outside, overlaps, struck, words_of

SIZES = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "Letter": (215.9, 279.4), "A5 across": (210.0, 148.0)}
CASES = [(size, tool) for size in SIZES for tool in ("caliper", "steel rule")]
EDGE = 5.0


def asked(size: str, tool: str) -> Target:
    width, height = SIZES[size]
    return target(width - 2 * EDGE, height - 2 * EDGE, line_instrument(tool))


@lru_cache
def page(size: str, tool: str) -> Document:
    width, height = SIZES[size]
    area = (EDGE, EDGE, width - EDGE, height - EDGE)
    return target_page(asked(size, tool), width, height, area, f"desk inkjet, white {size}")


def lines(document: Document) -> list[Line]:
    return [item for item in document.pages[0].layers[0].items if isinstance(item, Line)]


def boxes(document: Document) -> list[Polygon]:
    return [Polygon(line.points) for line in lines(document) if line.closed and len(line.points) == 4]


def rings(document: Document) -> list[tuple[str, Point]]:
    """The letters in rings, each with the middle of its ring."""
    found = []
    for line in lines(document):
        if line.closed and len(line.points) > 8:
            ring = Polygon(line.points)
            (letter,) = [words.text for words in words_of(document) if ring.covers(words.box)]
            found.append((letter, ring.centroid))
    return found


def ends(document: Document, made: Target) -> dict[str, LineString]:
    """Where each span runs, worked out here from the sheet and the target's sides."""
    width, height = document.pages[0].width, document.pages[0].height
    xm, ym = width / 2, height / 2
    w, h = made.width / 2, made.height / 2
    iw, ih = made.diagonal[0] / 2, made.diagonal[1] / 2
    return {
        "a": LineString([(xm - w, ym - h), (xm + w, ym - h)]),
        "b": LineString([(xm - w, ym), (xm + w, ym)]),
        "c": LineString([(xm - w, ym + h), (xm + w, ym + h)]),
        "d": LineString([(xm - w, ym - h), (xm - w, ym + h)]),
        "e": LineString([(xm, ym - h), (xm, ym + h)]),
        "f": LineString([(xm + w, ym - h), (xm + w, ym + h)]),
        "g": LineString([(xm - iw, ym - ih), (xm + iw, ym + ih)]),
        "h": LineString([(xm - iw, ym + ih), (xm + iw, ym - ih)]),
    }


@pytest.mark.parametrize(("size", "tool"), CASES)
def test_every_span_has_its_letter_and_three_boxes_beside_it(size: str, tool: str) -> None:
    document, made = page(size, tool), asked(size, tool)
    spans, found, letters = ends(document, made), boxes(document), rings(document)
    assert len(found) == 24
    for n, one in enumerate(found):
        x0, y0, x1, y1 = one.bounds
        assert x1 - x0 > 17.999 and y1 - y0 > 7.999
        assert all(one.distance(other) >= 0.9 for other in found[:n])
    # The boxes go three by three; the letter nearest to them is that of their span.
    told = []
    for n in range(0, 24, 3):
        three = box(*Polygon([p for one in found[n : n + 3] for p in one.exterior.coords[:-1]]).envelope.bounds)
        nearest = min(letters, key=lambda one: three.distance(one[1]))[0]
        told.append(nearest)
        span = spans[nearest]
        if nearest in "abcdef":
            assert 2.0 < three.distance(span) < 4.0, nearest
            for x, y in span.coords:
                assert three.distance(Point(x, y)) > 4.0, f"the boxes of {nearest} lie at an end"
        for name in "abcdef":
            assert three.distance(spans[name]) > 0.5, f"{name} runs through the boxes of {nearest}"
    assert sorted(told) == sorted(span_label(span)[0] for span in SPANS) == list("abcdefgh")


@pytest.mark.parametrize(("size", "tool"), CASES)
def test_no_letter_stands_at_the_length_of_another_span(size: str, tool: str) -> None:
    document = page(size, tool)
    letters, found = rings(document), boxes(document)
    lengths = [words for words in words_of(document) if words.plain.endswith("mm") and words.plain[0].isdigit()]
    assert len(lengths) == 8
    for words in lengths:
        # A length stands at its boxes, and they at their letter.
        n = min(range(24), key=lambda n: found[n].distance(words.box)) // 3
        assert found[3 * n].union(found[3 * n + 2]).distance(words.box) < 2.0
        three = box(*shapely.union_all(found[3 * n : 3 * n + 3]).bounds)
        own = min(letters, key=lambda one: three.distance(one[1]))[0]
        for letter, spot in letters:
            assert letter == own or spot.buffer(2.6).distance(words.box) > 4.0, f"{letter} at the length of {own}"


@pytest.mark.parametrize(("size", "tool"), CASES)
def test_letters_stand_on_their_lines_and_those_of_diagonals_at_both_crosses(size: str, tool: str) -> None:
    document, made = page(size, tool), asked(size, tool)
    spans, letters = ends(document, made), rings(document)
    for name, span in spans.items():
        mine = [spot for letter, spot in letters if letter == name]
        if name in "abcdef":
            assert len(mine) == 1 and span.distance(mine[0]) < 1e-6
            assert min(mine[0].distance(Point(end)) for end in span.coords) > 5.0
        else:
            assert len(mine) == 3
            for end in span.coords:
                near = min(mine, key=lambda spot: spot.distance(Point(end)))
                assert near.distance(Point(end)) < 10.0
                assert all(
                    near.distance(Point(other)) > near.distance(Point(end)) for other in span.coords[:] if other != end
                )


@pytest.mark.parametrize(("size", "tool"), CASES)
def test_crosses_are_plain_and_stand_at_the_ends_of_every_span(size: str, tool: str) -> None:
    document, made = page(size, tool), asked(size, tool)
    straight = [line for line in lines(document) if len(line.points) == 2]
    for line in straight:
        (ax, ay), (bx, by) = line.points
        assert ax == pytest.approx(bx) or ay == pytest.approx(by), "a slanted line looks like a misprint"
    middles = {
        (round((a[0] + b[0]) / 2, 4), round((a[1] + b[1]) / 2, 4)) for a, b in (line.points for line in straight)
    }
    for name, span in ends(document, made).items():
        assert span.length == pytest.approx(made.asked(SPANS["abcdefgh".index(name)]))
        for x, y in span.coords:
            assert (round(x, 4), round(y, 4)) in middles


@pytest.mark.parametrize(("size", "tool"), CASES)
def test_words_are_clear_of_each_other_of_lines_and_of_the_bare_margin(size: str, tool: str) -> None:
    document, made = page(size, tool), asked(size, tool)
    found = words_of(document)
    assert not overlaps(found) and not outside(found, document, EDGE)
    assert min(words.size for words in found) >= 8.5 and {words.colour for words in found} == {"#22262b"}
    # The ring parts its own line: nothing else runs through a word.
    spans = ends(document, made)
    ringed = [Point(spot).buffer(3) for _, spot in rings(document)]
    for words in struck(found, document.pages[0]):
        assert any(ring.covers(words.box) for ring in ringed), words.text
    for words in found:
        for name, span in spans.items():
            if name in "abcdef" and not any(ring.covers(words.box) for ring in ringed):
                assert words.box.distance(span) > 0.4, f"{words.text} stands against {name}"
    plain = [words.plain for words in found]
    for name in "abcdefgh":
        assert f"{made.asked(SPANS['abcdefgh'.index(name)]):.2f}mm" in plain
    assert any("feed" in text for text in plain) and any(text.startswith("FOOT") for text in plain)


@pytest.mark.parametrize("size", [(74.0, 105.0), (105.0, 148.0), (90.0, 70.0)])
def test_a_small_sheet_keeps_its_letters_and_drops_what_has_no_room(size: tuple[float, float]) -> None:
    made = target(size[0] - 10, size[1] - 10)
    document = target_page(made, *size, (5, 5, size[0] - 5, size[1] - 5), "desk inkjet, white remnant")
    found = words_of(document)
    assert not overlaps(found) and not outside(found, document, EDGE)
    letters = {letter for letter, _ in rings(document)}
    assert letters == set("abcdefgh")
    assert all(one.area >= 14 * 6.5 - 1e-6 for one in boxes(document))
    assert math.isclose(made.asked("across foot"), made.width)


def test_a_sheet_of_a6_has_boxes_for_every_span_if_smaller_ones() -> None:
    made = target(95.0, 133.0)
    document = target_page(made, 105.0, 148.0, (5, 10, 100, 143), "desk inkjet, white A6")
    assert len(boxes(document)) == 24
    sizes = {
        tuple(round(b - a, 3) for a, b in zip(one.bounds[:2], one.bounds[2:], strict=True)) for one in boxes(document)
    }
    assert len(sizes) == 1 and min(sizes)[0] >= 14.0


@pytest.mark.parametrize(("width", "height", "how"), [(148.0, 210.0, True), (105.0, 148.0, False)])
def test_film_of_a5_and_a6_says_how_long_each_span_should_be(width: float, height: float, how: bool) -> None:
    """With 10 mm that no printer reaches: the lengths stand together where they have no room over the boxes, and on A5
    there is room to say how to measure."""
    made = target(width - 20, height - 20)
    document = target_page(made, width, height, (10, 10, width - 10, height - 10), "desk inkjet, white")
    found = words_of(document)
    assert not overlaps(found) and not outside(found, document, 9.4)
    words = "".join(one.plain for one in found)
    for span in SPANS:
        assert f"{made.asked(span):.2f}" in words
    assert "deskinkjet,white" in words
    assert how == ("threetimes" in words)
