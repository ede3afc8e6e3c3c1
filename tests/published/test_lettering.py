"""Block letters against the measures that open standards give."""

from __future__ import annotations

from itertools import pairwise

import pytest
import shapely
from shapely.geometry import LineString

from decalgen.lettering.block import BlockStyle, block_letter, block_line
from decalgen.lettering.typesetting import typeset

MICROMETRE = 1e-3


def pieces(area: shapely.Geometry, y: float) -> list[float]:
    left, _, right, _ = area.bounds
    cut = area.intersection(LineString([(left - 1, y), (right + 1, y)]))
    return [g.length for g in sorted(getattr(cut, "geoms", [cut]), key=lambda g: g.bounds[0])]


def test_aircraft_marks() -> None:
    # 14 CFR 45.29(c)-(e): two thirds as wide as high, a 1 a sixth, M and W as wide as high, strokes a sixth of the
    # height, letters at least a quarter of a width apart. "N12345" 12 in high is then 52 in long.
    inch = 25.4
    style = BlockStyle(12 * inch, proportions="two thirds")
    line = block_line("N12345", style)
    assert line.width == pytest.approx(52 * inch, abs=MICROMETRE)
    widths = [x.right - x.left for x in line.letters]
    assert widths == pytest.approx([w * inch for w in (8, 2, 8, 8, 8, 8)], abs=MICROMETRE)
    assert [b.left - a.right for a, b in pairwise(line.letters)] == pytest.approx([2 * inch] * 5, abs=MICROMETRE)
    for letter, width in (("M", 12.0), ("W", 12.0), ("I", 8.0), ("H", 8.0)):
        area = block_letter(letter, style)
        assert area.bounds[2] - area.bounds[0] == pytest.approx(width * inch, abs=MICROMETRE)
    h = block_letter("H", style)
    assert pieces(h, 3 * inch) == pytest.approx([2 * inch, 2 * inch], abs=MICROMETRE)
    upright = shapely.affinity.rotate(h, 90, origin=(0, 0))
    assert pieces(upright, 4 * inch) == pytest.approx([2 * inch], abs=MICROMETRE)


@pytest.mark.parametrize(
    ("proportions", "height", "width", "stroke", "gap", "group"),
    [
        ("plate", 79, 50, 14, 11, 33),
        ("plate motorcycle", 64, 44, 10, 10, 30),
        ("plate wide", 89, 64, 16, 13, 38),
    ],
)
def test_number_plates(proportions: str, height: float, width: float, stroke: float, gap: float, group: float) -> None:
    # Road Vehicles (Display of Registration Marks) Regulations 2001, schedule 3.
    style = BlockStyle(height, proportions=proportions, corner="round")
    line = block_line("AA22 AAA", style)
    assert line.width == pytest.approx(7 * width + 5 * gap + group, abs=MICROMETRE)
    assert line.region.bounds[3] - line.region.bounds[1] == pytest.approx(height, abs=MICROMETRE)
    between = [b.left - a.right for a, b in pairwise(line.letters)]
    assert between == pytest.approx([gap, gap, gap, group, gap, gap], abs=MICROMETRE)
    for letter in "BDEFHLNPRU":
        area = block_letter(letter, style)
        assert area.bounds[2] - area.bounds[0] == pytest.approx(width, abs=MICROMETRE)
        assert pieces(area, 0.4 * height)[0] == pytest.approx(stroke, abs=MICROMETRE), letter
    one = block_letter("1", style)
    assert one.bounds[2] - one.bounds[0] == pytest.approx(stroke, abs=MICROMETRE)
    if proportions == "plate":
        # The figure a plate maker works from: 438 mm between the margins.
        assert line.width == pytest.approx(438.0, abs=MICROMETRE)


def test_drawing_letters() -> None:
    # ISO 3098-1:2015 type A, widths in fourteenths of the height, strokes and gaps included: "HARBOUR" is 62/14.
    style = BlockStyle(14.0, proportions="drawing a", corner="round", ends="round")
    assert block_line("HARBOUR", style).width == pytest.approx(62.0, abs=MICROMETRE)
    table = {1: "I", 5: "JL", 6: "CEF", 7: "BDGHKNOPRSTUZ", 8: "AQVXY", 9: "M", 12: "W"}
    for fourteenths, letters in table.items():
        for letter in letters:
            area = block_letter(letter, style)
            assert area.bounds[2] - area.bounds[0] == pytest.approx(fourteenths, abs=MICROMETRE), letter
    assert pieces(block_letter("H", style), 4.0) == pytest.approx([1.0, 1.0], abs=MICROMETRE)
    # Type B: stroke a tenth, letters two tenths apart, words six.
    tenths = BlockStyle(10.0, proportions="drawing b", corner="round", ends="round")
    line = block_line("H H", tenths)
    assert line.letters[1].left - line.letters[0].right == pytest.approx(6.0, abs=MICROMETRE)
    line = block_line("HH", tenths)
    assert line.letters[1].left - line.letters[0].right == pytest.approx(2.0, abs=MICROMETRE)
    assert pieces(line.letters[0].region, 3.0) == pytest.approx([1.0, 1.0], abs=MICROMETRE)
    # Small letters are seven tenths of the height, tails three tenths deep (same standard).
    assert block_letter("x", tenths).bounds[3] == pytest.approx(7.0, abs=MICROMETRE)
    assert block_letter("p", tenths).bounds[1] == pytest.approx(-3.0, abs=MICROMETRE)


@pytest.mark.parametrize(
    ("name", "stroke", "width"),
    [
        # 14 CFR 45.29(c)-(d); the regulations of 2001, schedule 3; ISO 3098-1:2015, types B and A; and a seventh.
        ("Block Two Thirds", 1 / 6, 2 / 3),
        ("Block Plate", 14 / 79, 50 / 79),
        ("Block Seventh", 1 / 7, None),
        ("Block Drawing", 1 / 10, None),
        ("Block Drawing Fine", 1 / 14, 7 / 14),
    ],
)
def test_the_faces_of_a_job_have_the_proportions_they_are_named_for(
    name: str, stroke: float, width: float | None
) -> None:
    (h,) = (x.region for x in typeset("H", face=name, cap_height=10.0).letters)
    assert pieces(h, 3.0) == pytest.approx([10 * stroke] * 2, abs=MICROMETRE)
    assert pieces(shapely.affinity.rotate(h, 90, origin=(0, 0)), h.bounds[2] / 2) == pytest.approx(
        [10 * stroke], abs=MICROMETRE
    )
    if width is not None:
        assert h.bounds[2] == pytest.approx(10 * width, abs=MICROMETRE)


def test_harbour_in_the_drawing_face() -> None:
    # ISO 3098-1:2015 type A: the letters' widths and the gaps of 2/14 add up to 62/14.
    line = typeset("HARBOUR", face="Block Drawing Fine", cap_height=14.0)
    assert line.width == pytest.approx(62.0, abs=MICROMETRE)
