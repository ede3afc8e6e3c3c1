"""Lettering brought to a place."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely

from decalgen.lettering.arrange import between, fit, spaced
from decalgen.lettering.outlines import TextLine
from decalgen.lettering.text import text_block
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset


def justified(text: str, width: float, *, face: str, cap_height: float, by: str = "letters") -> TextLine:
    line = typeset(text, face=face, cap_height=cap_height, ligatures=False)
    return spaced(line, width, by)  # type: ignore[arg-type]


def test_justified_between_letters() -> None:
    plain = typeset("STORES", face="Overpass", cap_height=2, ligatures=False)
    line = justified("STORES", 20.0, face="Overpass", cap_height=2)
    assert line.width == pytest.approx(20.0, abs=1e-9)
    assert line.region.bounds[2] - line.region.bounds[0] == pytest.approx(20.0, abs=1e-9)
    added = [
        (b.left - a.right) - (d.left - c.right)
        for (a, b), (c, d) in zip(pairwise(line.letters), pairwise(plain.letters), strict=True)
    ]
    assert added == pytest.approx([(20.0 - plain.width) / 5] * 5)
    assert line.region.area == pytest.approx(plain.region.area)


def test_justified_between_words() -> None:
    plain = typeset("LOWER THESSOCK BOARD", face="Oswald", cap_height=2, ligatures=False)
    line = justified("LOWER THESSOCK BOARD", plain.width + 3.0, face="Oswald", cap_height=2, by="words")
    moved = [a.left - b.left for a, b in zip(line.letters, plain.letters, strict=True)]
    assert moved == pytest.approx([0.0] * 5 + [1.5] * 8 + [3.0] * 5)


@pytest.mark.parametrize("face", ["Archivo", "Oswald", "Lobster", "Block"])
def test_words_are_told_apart(face: str) -> None:
    line = justified("A 14 I I", 40.0, face=face, cap_height=3, by="words")
    gaps = [b.left - a.right for a, b in pairwise(line.letters)]
    # Between "1" and "4" nothing moved: three gaps grew.
    assert sum(gap > 4 for gap in gaps) == 3


def test_fit_fills_the_box() -> None:
    for width, height in ((14.0, 9.0), (60.0, 9.0), (14.0, 50.0)):
        block = fit(["LOWER", "J\u00fcrgen \u00c9g"], width, height, face="Archivo")
        tall = block.ascent + block.height + block.descent
        assert block.width <= width * (1 + 1e-9)
        assert tall <= height * (1 + 1e-9)
        assert max(block.width / width, tall / height) == pytest.approx(1.0, abs=2e-3)


def test_between_two_points() -> None:
    start, end = (3.0, 1.0), (15.0, 6.0)
    for by in ("spacing", "stretching"):
        region = between("STORES", start, end, face="Anton", cap_height=2, by=by)  # type: ignore[arg-type]
        # Turned back and shifted, it is a line on y = 0 from 0 to 13.
        flat = shapely.affinity.translate(region, -3.0, -1.0)
        flat = shapely.affinity.rotate(flat, -math.degrees(math.atan2(5, 12)), origin=(0, 0))
        assert flat.bounds[0] == pytest.approx(0.0, abs=1e-9)
        assert flat.bounds[2] == pytest.approx(13.0, abs=1e-9)
        assert flat.bounds[3] == pytest.approx(2.0, rel=0.03)


def test_what_cannot_be_arranged() -> None:
    cases = (
        (lambda: justified("A", 20, face="Archivo", cap_height=2), "no letters to space out"),
        (lambda: justified("AB", 20, face="Archivo", cap_height=2, by="words"), "no words to space out"),
        (lambda: justified("STORES", 500, face="Archivo", cap_height=2), "cannot be spaced to 500"),
        (lambda: justified("STORES", 3, face="Archivo", cap_height=2), "cannot be spaced to 3"),
        (lambda: justified("STORES", float("nan"), face="Archivo", cap_height=2), "width of nan"),
        (lambda: fit("STORES", -1, 2, face="Archivo"), "width of -1"),
        (lambda: between("STORES", (0, 0), (0, 0), face="Archivo", cap_height=2), "distance of the two points"),
    )
    for call, says in cases:
        with pytest.raises(LetteringError) as caught:
            call()
        assert says in caught.value.message
        assert caught.value.fix


def test_block_of_block_letters() -> None:
    block = text_block(["HILL", "CLIMB"], face="Block", cap_height=2)
    assert block.height == pytest.approx(5.2)
    assert block.region.is_valid
