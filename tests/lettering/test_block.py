"""Block letters: against the measures open standards give, and kept open however heavy."""

from __future__ import annotations

import math
import string
from itertools import combinations

import pytest
import shapely
from shapely.geometry import LineString

from decalgen.lettering.block import BlockStyle, block_letter, block_line, has_block
from decalgen.lettering.faces import face
from decalgen.lettering.match import match
from decalgen.lettering.measured import MeasuredLettering
from decalgen.lettering.proportions import PROPORTIONS
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset

MICROMETRE = 1e-3
CORNERS = ("square", "chamfer", "round")


def pieces(area: shapely.Geometry, y: float) -> list[float]:
    left, _, right, _ = area.bounds
    cut = area.intersection(LineString([(left - 1, y), (right + 1, y)]))
    return [g.length for g in sorted(getattr(cut, "geoms", [cut]), key=lambda g: g.bounds[0])]


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("proportions", list(PROPORTIONS))
def test_every_letter_fills_its_box(corner: str, proportions: str) -> None:
    style = BlockStyle(10.0, corner=corner, proportions=proportions)  # type: ignore[arg-type]
    for letter in string.ascii_uppercase + string.digits:
        area = block_letter(letter, style)
        assert area.is_valid
        assert area.bounds == pytest.approx((0.0, 0.0, style.letter_width(letter), 10.0), abs=MICROMETRE), letter
        assert len(area.geoms) == 1, letter


@pytest.mark.parametrize("corner", CORNERS)
def test_no_two_letters_look_the_same(corner: str) -> None:
    # O and 0, I and 1 are the same in most block lettering, and in the standards above.
    style = BlockStyle(10.0, corner=corner)  # type: ignore[arg-type]
    letters = {c: block_letter(c, style) for c in string.ascii_uppercase + "23456789"}
    for a, b in combinations(letters, 2):
        assert letters[a].symmetric_difference(letters[b]).area > 0.8, (a, b)


def openings(area: shapely.Geometry, width: float, height: float) -> int:
    rest = shapely.box(-0.01, -0.01, width + 0.01, height + 0.01).difference(area)
    return sum(part.area > 1e-4 * height * height for part in getattr(rest, "geoms", [rest]))


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("share", [0.2, 0.3, 0.36, 0.41])
def test_heavy_letters_stay_open(corner: str, share: float) -> None:
    # The stroke grows against the width; W, X, K, N are the first to close where slants are not thinned.
    height, width = 10.0, 6.0
    light = BlockStyle(height, width=width, stroke=0.12 * width, corner=corner)  # type: ignore[arg-type]
    heavy = BlockStyle(height, width=width, stroke=share * width, corner=corner)  # type: ignore[arg-type]
    for letter in string.ascii_uppercase + "024568":
        wide = heavy.letter_width(letter)
        assert openings(block_letter(letter, heavy), wide, height) == openings(
            block_letter(letter, light), light.letter_width(letter), height
        ), letter


def test_slants_are_thinned_only_where_they_must() -> None:
    light = BlockStyle(10.0, stroke=1.0)
    assert block_letter("W", light).equals(block_letter("W", BlockStyle(10.0, stroke=1.0, thin_slants=False)))
    heavy = BlockStyle(10.0, width=6.0, stroke=2.4)
    full = BlockStyle(10.0, width=6.0, stroke=2.4, thin_slants=False)
    closed, opened = (pieces(block_letter("W", style), 9.999) for style in (full, heavy))
    wide = heavy.letter_width("W")
    assert len(opened) == 3
    assert (wide - sum(opened)) / 2 >= 0.08 * wide - 0.01 > (wide - sum(closed)) / 2


def test_slanting_strokes_are_as_thick_as_upright_ones() -> None:
    # Across a V's left leg, at right angles to it.
    area = block_letter("V", BlockStyle(10.0, stroke=1.2))
    wide = pieces(area, 8.0)[0]
    run = (area.bounds[2] - wide) / 2
    assert wide * math.cos(math.atan2(run, 10.0)) == pytest.approx(1.2, abs=0.002)


def test_corners() -> None:
    size = 2.0
    square, chamfer, rounded = (
        block_letter("O", BlockStyle(10.0, stroke=1.0, corner=c, corner_size=size))  # type: ignore[arg-type]
        for c in CORNERS
    )
    # A chamfer takes half a square of its legs off each corner and gives back the inner one; a rounding 1 - pi/4.
    inner = size - (2 - math.sqrt(2))
    assert square.area - chamfer.area == pytest.approx(4 * (size**2 - inner**2) / 2, abs=1e-6)
    cut = (1 - math.pi / 4) * (size**2 - (size - 1.0) ** 2)
    assert square.area - rounded.area == pytest.approx(4 * cut, abs=0.01)
    # The stroke is as thick through the chamfer as along the sides.
    spot = shapely.LineString([(0, 0), (3, 3)])
    assert chamfer.intersection(spot.buffer(0.0)).is_empty
    corner_piece = chamfer.intersection(shapely.LineString([(0, 0), (4, 4)]))
    assert corner_piece.length == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize(
    ("letter", "bends", "radius"),
    # An O's bends meet in the middle of its level bars, half its width of 6.2 mm. The free ends of C and J are bars
    # 3.2 mm long (0.32 of the height) with the stroke's 1 mm: the bend ends half a stroke before the end.
    [("O", 4, 3.1), ("C", 4, 2.7), ("J", 2, 2.7)],
)
def test_a_bend_is_no_larger_than_the_bar_beside_it(letter: str, bends: int, radius: float) -> None:
    square, rounded = (
        block_letter(letter, BlockStyle(10.0, width=6.2, stroke=1.0, corner=corner, corner_size=4.0))  # type: ignore[arg-type]
        for corner in ("square", "round")
    )
    # What a rounding leaves out of the square on its radius, less what it fills in at the inner corner.
    off = (1 - math.pi / 4) * (radius**2 - (radius - 1.0) ** 2)
    assert square.area - rounded.area == pytest.approx(bends * off, abs=0.02)


def test_slant_shears() -> None:
    upright, leant = (block_letter("H", BlockStyle(10.0, slant=s)) for s in (0.0, 15.0))
    assert leant.area == pytest.approx(upright.area)
    assert leant.bounds[2] - upright.bounds[2] == pytest.approx(10 * math.tan(math.radians(15)))


def test_accents_and_borrowed_letters() -> None:
    line = block_line("Poste d'\u00e9t\u00e9 \u00c5\u00d8\u00c6 \u042b", BlockStyle(5.0))
    assert line.missing == ()
    assert [c for c, _ in line.borrowed] == ["\u042b"]
    assert line.region.is_valid
    assert has_block("\u00c9")
    assert not has_block("\u042b")
    assert block_letter("\u00c9", BlockStyle(5.0)).bounds[3] > 5.5
    assert block_line("A\U0001f692", BlockStyle(5.0)).missing == ("\U0001f692",)
    dotted, plain = block_letter("i", BlockStyle(5.0)), block_letter("\u00ed", BlockStyle(5.0))
    assert len(dotted.geoms) == len(plain.geoms) == 2


def test_two_spaces_are_twice_as_wide_as_one() -> None:
    style = BlockStyle(10.0, word_gap=3.0)
    joined, one, two = (block_line(text, style).letters for text in ("HH", "H H", "H  H"))
    assert joined[1].left - joined[0].right == pytest.approx(style.space)
    assert one[1].left - one[0].right == pytest.approx(3.0)
    assert two[1].left - two[0].right == pytest.approx(6.0)


def test_an_accent_takes_the_place_of_the_dot_of_i_and_j() -> None:
    style = BlockStyle(5.0)
    over_i, over_j, over_e = (
        max(block_letter(letter, style).geoms, key=lambda part: part.bounds[3]) for letter in "\u00ee\u0135\u00ea"
    )
    # The circumflex alone, the same on all three.
    assert over_i.area == pytest.approx(over_e.area)
    assert over_j.area == pytest.approx(over_e.area)


def test_block_is_a_face() -> None:
    line = typeset("HARBOUR 47", face="block", cap_height=4.0)
    assert line.region.equals(block_line("HARBOUR 47", BlockStyle(4.0)).region)
    assert line.letters[0].region.bounds[3] == pytest.approx(4.0)
    heavy = typeset("47", face="block-round", cap_height=4.0, axes={"stroke": 0.25, "width": 0.8})
    assert heavy.letters[0].right - heavy.letters[0].left == pytest.approx(3.2)
    spaced = typeset("47", face="block", cap_height=4.0, tracking=0.5)
    assert spaced.width == pytest.approx(typeset("47", face="block", cap_height=4.0).width + 0.5)
    for name in ("Block", "Block Square", "Block Two Thirds", "Block Plate", "Block Seventh", "Block Drawing"):
        assert face(name).drawn
        assert typeset("STORES", face=name, cap_height=2.0).region.is_valid
    with pytest.raises(LetteringError, match=r"stroke 0\.5 is out of range"):
        typeset("A", face="block", cap_height=4.0, axes={"stroke": 0.5})


def test_a_race_number_is_matched() -> None:
    # Digits 6.51 high with a stroke of 1.16.
    found = match("47", MeasuredLettering(6.51, 10.5, 1.16), "Block")
    assert found.residuals == pytest.approx({"cap height": 0.0, "length": 0.0, "stem": 0.0}, abs=1e-3)
    assert found.out_of_range == ()
    assert abs(found.stretch[0] - 1) < 0.01


@pytest.mark.parametrize(
    ("style", "says"),
    [
        ({"height": 0.0}, "letter height of 0"),
        ({"height": 10.0, "stroke": 4.0}, "a stroke of 4 mm closes letters 10 mm high"),
        ({"height": 10.0, "stroke": float("nan")}, "stroke of nan"),
        ({"height": 10.0, "width": -1.0}, "width of -1"),
        ({"height": 10.0, "slant": 60.0}, "slant of 60"),
        ({"height": 10.0, "proportions": "plat"}, "no proportions called 'plat'"),
    ],
)
def test_styles_that_cannot_be(style: dict[str, float], says: str) -> None:
    with pytest.raises(LetteringError, match=says) as caught:
        BlockStyle(**style)  # type: ignore[arg-type]
    assert caught.value.fix


def test_a_stroke_too_wide_for_a_letter() -> None:
    with pytest.raises(LetteringError, match="a stroke of 2 mm closes a 'H'"):
        block_line("H", BlockStyle(10.0, width=4.0, stroke=2.0))
    with pytest.raises(LetteringError, match="alphabet has no"):
        block_letter("\u042b", BlockStyle(10.0))
    with pytest.raises(LetteringError, match="no text"):
        block_line(" ", BlockStyle(10.0))


def test_block_is_never_refused_for_a_letter_that_is_not_in_the_text() -> None:
    # A small n would close up at this stroke, and there is none.
    with pytest.raises(LetteringError, match="closes a 'n'"):
        typeset("n", face="Block", cap_height=6.0, axes={"stroke": 0.3, "width": 0.75})
    found = match("HILL", MeasuredLettering(6.0, 16.0, 1.8, 1.2), "Block")
    assert pieces(found.letters[0].region, 1.0) == pytest.approx([1.8, 1.8], rel=1e-3)
    assert found.width == pytest.approx(16.0, rel=1e-4)


@pytest.mark.parametrize("proportions", list(PROPORTIONS))
def test_a_w_is_open_at_its_head(proportions: str) -> None:
    style = BlockStyle(10.0, proportions=proportions)
    area = block_letter("W", style)
    assert len(pieces(area, 9.9)) == 3
    gaps = shapely.difference(LineString([(0.0, 9.9), (style.letter_width("W"), 9.9)]), area)
    # The two inner ones; outside of its slanting sides there are two slivers more.
    inner = sorted(part.length for part in shapely.get_parts(gaps))[-2:]
    assert min(inner) > 0.14 * style.letter_width("W")


def test_a_j_is_spaced_by_its_stem() -> None:
    style = BlockStyle(10.0)
    for before in "fio":
        letters = block_line(before + "j", style).letters
        stem = [x for x, y in letters[1].region.geoms[0].exterior.coords if y > 3.0]
        assert min(stem) - letters[0].right == pytest.approx(style.space, abs=MICROMETRE), before
    # Where the tail has no room the whole letter keeps clear.
    tails = block_line("gj", style).letters
    assert tails[0].region.distance(tails[1].region) >= style.space - MICROMETRE


@pytest.mark.parametrize("fraction", ["\u00bd", "\u00bc", "\u00be", "\u2153", "\u215e"])
def test_a_fraction_is_in_the_weight_of_its_alphabet(fraction: str) -> None:
    for name in ("Block", "Block Drawing", "Block Plate"):
        line = typeset("7" + fraction, face=name, cap_height=10.0)
        assert line.borrowed == ()
        assert line.letters[1].face == "Block"
        _, foot, _, top = line.letters[1].region.bounds
        assert (foot, top) == pytest.approx((0.0, 10.0), abs=0.01)
        assert len(line.letters[1].region.geoms) == 3
    stroke = BlockStyle(10.0).pen
    figure = block_letter("\u00bd", BlockStyle(10.0))
    # The 1 over the bar.
    assert pieces(figure, 8.0)[0] == pytest.approx(0.6 * stroke, rel=1e-6)
