"""Lines of lettering: size, spacing, accents, what is refused."""

from __future__ import annotations

import io
import os
import subprocess
import sys

import numpy as np
import pytest
import shapely
from fontTools.ttLib import TTFont

from decalgen.core.geometry import TOLERANCE
from decalgen.lettering import borrowing, outlines, shaping
from decalgen.lettering.faces import face, face_bytes, font_faces
from decalgen.lettering.shaping import checked_axes, contours, shape
from decalgen.lettering.stems import crossbar_of
from decalgen.lettering.typeface import LetteringError, UnknownFace
from decalgen.lettering.typesetting import typeset

from .originals import stem_by_lines

NAMES = [f.name for f in font_faces()]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("cap", [1.6, 6.51, 60.0])
def test_cap_height_is_exact_on_the_h(name: str, cap: float) -> None:
    line = typeset("H", face=name, cap_height=cap)
    # The cap line is where the H of the set outline ends; 0.02 % covers the two flattenings of a script H.
    assert line.region.bounds[3] == pytest.approx(cap, rel=2e-4)


@pytest.mark.parametrize("weight", [100, 400, 900])
def test_cap_height_holds_along_the_axes(weight: float) -> None:
    line = typeset("H", face="Archivo", cap_height=10, axes={"wght": weight, "wdth": 80})
    assert line.region.bounds[1] == pytest.approx(0.0, abs=1e-9)
    assert line.region.bounds[3] == pytest.approx(10.0, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_ink_begins_at_zero_and_ends_at_the_width(name: str) -> None:
    line = typeset("Harbour Stores 14", face=name, cap_height=2.0)
    assert line.region.bounds[0] == pytest.approx(0.0, abs=1e-9)
    assert line.region.bounds[2] == pytest.approx(line.width, abs=1e-9)
    assert line.region.is_valid
    assert shapely.union_all(line.region).area == pytest.approx(line.region.area, rel=1e-9)
    for letter in line.letters:
        assert letter.region.bounds[0] == pytest.approx(letter.left, abs=1e-9)
        assert letter.region.bounds[2] == pytest.approx(letter.right, abs=1e-9)
    assert "".join(letter.text for letter in line.letters) == "HarbourStores14"


@pytest.mark.parametrize("name", ["Archivo", "Saira", "Roboto Slab", "Lobster", "Abril Fatface"])
def test_advances_are_those_of_fonttools(name: str) -> None:
    # Independent reading of the advance widths: fontTools, hmtx and HVAR at the same axis values.
    f = face(name)
    axes = dict(checked_axes(f, None))
    font = TTFont(io.BytesIO(face_bytes(f.file)))
    glyphs = font.getGlyphSet(location=axes or None)
    upem = font["head"].unitsPerEm
    for letter in "HOnv7":
        (glyph,) = shape(f.file, checked_axes(f, None), letter)
        assert glyph.advance * upem == pytest.approx(glyphs[font.getGlyphName(glyph.gid)].width, abs=0.51)


@pytest.mark.parametrize("name", ["Archivo", "Oswald", "Overpass", "Roboto Slab", "Saira"])
def test_kerning(name: str) -> None:
    kerned = typeset("AVAVA", face=name, cap_height=10).advance
    apart = sum(typeset(c, face=name, cap_height=10).advance for c in "AVAVA")
    assert kerned < apart - 0.5


def test_ligature_is_one_letter_and_gives_way_to_tracking() -> None:
    assert "fi" in [x.text for x in typeset("office fin", face="Overpass", cap_height=5).letters]
    joined = [x.text for x in typeset("officina", face="Lobster", cap_height=5).letters]
    apart = [x.text for x in typeset("officina", face="Lobster", cap_height=5, tracking=0.2).letters]
    assert "".join(joined) == "officina"
    assert apart == list("officina")


def test_tracking_adds_between_letters_only() -> None:
    plain = typeset("HARBOUR", face="Saira", cap_height=5)
    wide = typeset("HARBOUR", face="Saira", cap_height=5, tracking=0.3)
    assert wide.width == pytest.approx(plain.width + 6 * 0.3, abs=1e-9)
    assert wide.advance == pytest.approx(plain.advance + 6 * 0.3, abs=1e-9)
    spaced = typeset("A B", face="Saira", cap_height=5, tracking=0.3)
    assert spaced.advance == pytest.approx(typeset("A B", face="Saira", cap_height=5).advance + 0.6, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_accents(name: str) -> None:
    line = typeset("Poste d'été", face=name, cap_height=3.0)
    assert line.missing == ()
    assert line.borrowed == ()
    plain = typeset("Poste d'ete", face=name, cap_height=3.0)
    # An accent is ink above what the plain letter has, over the same advance.
    (first, *_) = (x for x in line.letters if x.text == "é")
    (bare, *_) = (x for x in plain.letters if x.text == "e")
    assert first.region.bounds[3] > bare.region.bounds[3] + 0.3
    assert first.region.area > bare.region.area


def test_decomposed_text_is_the_same_text() -> None:
    assert typeset("e\u0301te\u0301", face="Oswald", cap_height=3).region.equals(
        typeset("\u00e9t\u00e9", face="Oswald", cap_height=3).region
    )


def test_a_letter_the_face_lacks_is_borrowed_and_said() -> None:
    line = typeset("\u041e\u042b Hill", face="Anton", cap_height=4)
    assert [c for c, _ in line.borrowed] == ["\u041e", "\u042b"]
    assert {x.face for x in line.letters if x.text in "\u041e\u042b"} == {line.borrowed[0][1]} != {"Anton"}
    (o,) = (x for x in line.letters if x.text == "\u041e")
    assert o.region.bounds[3] == pytest.approx(4.0, rel=0.03)


@pytest.mark.parametrize("name", ["Anton", "Saira", "Alfa Slab One", "Block"])
def test_a_borrowed_letter_is_as_bold_as_its_neighbours(name: str) -> None:
    # The Cyrillic letter of the shape of an H: its stem beside that of the face's own.
    line = typeset("H\u041d", face=name, cap_height=10)
    assert [c for c, _ in line.borrowed] == ["\u041d"]
    own, lent = (stem_by_lines(x.region) for x in line.letters)
    # Roboto Slab is the nearest in kind to the very heavy slab, but not as heavy at its heaviest.
    assert lent == pytest.approx(own, rel=0.4 if name == "Alfa Slab One" else 0.02)


def test_a_letter_no_face_has_is_left_out_and_said() -> None:
    line = typeset("A\U0001f692B", face="Archivo", cap_height=4)
    assert line.missing == ("\U0001f692",)
    assert line.region.equals(typeset("AB", face="Archivo", cap_height=4).region)


@pytest.mark.parametrize("name", ["Archivo", "Lobster", "Roboto Flex"])
def test_flattening_stays_within_the_tolerance(name: str) -> None:
    # The same glyph flattened a hundred times finer: no point of it lies further off than the tolerance.
    f = face(name)
    axes = checked_axes(f, None)
    cap = 30.0
    line = typeset("S", face=name, cap_height=cap)
    (glyph,) = shape(f.file, axes, "S")
    (h,) = shape(f.file, axes, "H")
    top = max(ring[:, 1].max() for ring in contours(f.file, axes, h.gid, 1e-7))
    scale = cap / top
    fine = [ring * scale for ring in contours(f.file, axes, glyph.gid, TOLERANCE / 100 / scale)]
    left = min(ring[:, 0].min() for ring in fine)
    edge = line.region.boundary
    for ring in fine:
        points = shapely.points(ring - (left, 0.0))
        assert shapely.distance(points, edge).max() <= TOLERANCE * 1.3


def test_the_same_input_gives_the_same_outlines_whatever_the_hash_seed() -> None:
    program = (
        "import hashlib, shapely\n"
        "from decalgen.lettering.typesetting import typeset\n"
        "r = typeset('Poste d\\'\\u00e9t\\u00e9 14', face='Lobster', cap_height=2.5).region\n"
        "print(hashlib.sha256(shapely.to_wkb(r)).hexdigest())\n"
    )
    results = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": seed, "LC_ALL": locale},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed, locale in (("0", "C"), ("1", "tr_TR.UTF-8"))
    }
    assert len(results) == 1


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "no text"),
        ("   ", "no text"),
        ("\u200b", "no text"),
        ("A" * 501, "501 characters"),
        ("A" * 10_000, "10000 characters"),
        ("A\nB", "line break as character 2"),
        ("A\tB", "a tab"),
        ("A\x00", "U+0000"),
        ("\U0001f692", "no letter any face can draw"),
        ("\ue000", "no letter any face can draw"),
    ],
)
def test_text_that_cannot_be_lettering(text: str, says: str) -> None:
    with pytest.raises(LetteringError) as caught:
        typeset(text, face="Archivo", cap_height=2)
    assert says in caught.value.message
    assert caught.value.fix
    assert len(caught.value.message) < 200


@pytest.mark.parametrize("cap", [0.0, -1.0, float("nan"), float("inf"), 1e9])
def test_cap_heights_that_make_no_sense(cap: float) -> None:
    with pytest.raises(LetteringError, match="cap height"):
        typeset("A", face="Archivo", cap_height=cap)


def test_axes_are_checked() -> None:
    with pytest.raises(LetteringError, match="wght 901 is out of range"):
        typeset("A", face="Archivo", cap_height=2, axes={"wght": 901})
    with pytest.raises(LetteringError, match="no axis 'slnt'"):
        typeset("A", face="Archivo", cap_height=2, axes={"slnt": -5})
    with pytest.raises(LetteringError, match="out of range"):
        typeset("A", face="Archivo", cap_height=2, axes={"wght": float("nan")})
    with pytest.raises(UnknownFace):
        typeset("A", face="Archivvo", cap_height=2)


@pytest.mark.parametrize("damage", ["empty", "garbage", "cut short", "no outlines"])
def test_a_damaged_font_file(damage: str, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = face_bytes(face("Oswald").file)
    data = {
        "empty": b"",
        "garbage": b"not a font at all" * 50,
        "cut short": whole[: len(whole) // 3],
        "no outlines": whole.replace(b"glyf", b"glyg", 1),
    }[damage]
    monkeypatch.setattr(shaping, "face_bytes", lambda file: data)
    caches = (shaping._hb_face, shaping._hb_font, shaping.has_glyphs, shaping.outline, shaping.cap_share)
    caches = (*caches, outlines.font_line, borrowing.lender)
    for cache in caches:
        cache.cache_clear()
    try:
        with pytest.raises(LetteringError, match=r"damaged|no usable capital") as caught:
            typeset("STORES", face="Oswald", cap_height=2)
        assert caught.value.fix
    finally:
        for cache in caches:
            cache.cache_clear()


def test_a_missing_font_file() -> None:
    with pytest.raises(LetteringError, match="cannot be read"):
        face_bytes("oswald/Missing.ttf")


def test_the_crossbar_of_an_e_is_its_middle_bar() -> None:
    """An e of straight strokes, its bars 1.0, 1.2 and 1.5 thick."""
    outer = np.array([(0, 0), (6, 0), (6, 1), (1, 1), (1, 4), (6, 4), (6, 10.5), (0, 10.5)], dtype=float)
    counter = np.array([(1, 5.2), (1, 9), (5, 9), (5, 5.2)], dtype=float)
    assert crossbar_of("e", [outer, counter]) == pytest.approx(1.2)


def test_the_crossbar_of_a_6_is_the_foot_of_its_bowl() -> None:
    """A 6 of straight strokes, its bars 1.0, 1.2 and 1.5 thick from the foot."""
    outer = np.array([(0, 0), (6, 0), (6, 5.2), (1, 5.2), (1, 9), (6, 9), (6, 10.5), (0, 10.5)], dtype=float)
    counter = np.array([(1, 1), (1, 4), (5, 4), (5, 1)], dtype=float)
    assert crossbar_of("6", [outer, counter]) == pytest.approx(1.0)
