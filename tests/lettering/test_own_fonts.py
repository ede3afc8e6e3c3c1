"""Font files from anywhere: what is read of good ones, and each kind of spoilt or hostile one in one sentence.

Good ones are made, packed and read back by fontTools and brotli, which decalgen's own checks do not use; the forms are
those of OpenType 1.9 and W3C WOFF 2.0.
"""

from __future__ import annotations

import io
import random
import struct
from pathlib import Path

import brotli
import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import Glyph

from decalgen.core.resources import resource_folder
from decalgen.lettering import shaping
from decalgen.lettering.faces import face
from decalgen.lettering.match import match
from decalgen.lettering.measured import MeasuredLettering
from decalgen.lettering.own_fonts import MOST_UNPACKED, OTHER, FontError, read_font
from decalgen.lettering.rank import rank
from decalgen.lettering.typeface import OwnFaceName
from decalgen.lettering.typesetting import typeset

FJALLA = (Path(__file__).parent / "targets" / "fjalla-one.ttf").read_bytes()
FONTS = resource_folder("fonts")
CINZEL = FONTS.joinpath("cinzel", "Cinzel.ttf").read_bytes()
KAUSHAN = FONTS.joinpath("kaushan-script", "KaushanScript-Regular.otf").read_bytes()


def own(data: bytes, name: str = "my letterer") -> OwnFaceName:
    return OwnFaceName(name, read_font(data))


def packed(data: bytes) -> bytes:
    """A font as fontTools packs it into WOFF2."""
    font, out = TTFont(io.BytesIO(data)), io.BytesIO()
    font.flavor = "woff2"
    font.save(out)
    return out.getvalue()


def changed(data: bytes, **os2: int) -> bytes:
    font, out = TTFont(io.BytesIO(data)), io.BytesIO()
    for name, value in os2.items():
        setattr(font["OS/2"], name, value)
    font.save(out)
    return out.getvalue()


def built(parts: dict[str, list[str]], side: int = 700, upem: int = 1000) -> bytes:
    """A font of a square H and composite glyphs of the given ``parts``."""
    pen = TTGlyphPen(None)
    pen.moveTo((0, 0))
    for at in ((0, side), (side, side), (side, 0)):
        pen.lineTo(at)
    pen.closePath()
    square = pen.glyph()
    names = [".notdef", "H", *parts]
    glyphs: dict[str, Glyph] = {".notdef": square, "H": square}
    for name, inside in parts.items():
        pen = TTGlyphPen(dict.fromkeys(names, square))
        for one in inside:
            pen.addComponent(one, (1, 0, 0, 1, 0, 0))
        glyphs[name] = pen.glyph()
    builder = FontBuilder(upem, isTTF=True)
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap({ord("H"): "H"} | {0x61 + n: name for n, name in enumerate(parts)})
    # Nobody measures what has no end.
    builder.font.recalcBBoxes = False
    builder.setupGlyf(glyphs, calcGlyphBounds=False)
    for glyph in builder.font["glyf"].glyphs.values():
        glyph.xMin = glyph.yMin = 0
        glyph.xMax = glyph.yMax = side
    builder.setupHorizontalMetrics(dict.fromkeys(names, (side, 0)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupOS2()
    builder.setupPost(keepGlyphNames=False)
    builder.setupMaxp()
    out = io.BytesIO()
    builder.font.save(out)
    return out.getvalue()


# ------------------------------------------------------------------------------------------------------------ good ones
def test_letters_are_those_of_the_font() -> None:
    # fontTools reads the outlines: the H of Fjalla One, scaled to 3 mm caps, is as wide.
    font = TTFont(io.BytesIO(FJALLA))
    glyph = font["glyf"][font.getBestCmap()[ord("H")]]
    line = typeset("H", face=own(FJALLA), cap_height=3.0)
    assert line.width == pytest.approx(3.0 * (glyph.xMax - glyph.xMin) / glyph.yMax, rel=1e-4)
    assert {letter.face for letter in line.letters} == {own(FJALLA)}


@pytest.mark.parametrize("data", [FJALLA, CINZEL], ids=["static", "variable"])
def test_woff2_is_the_same_font_packed(data: bytes) -> None:
    there, here = own(data), own(packed(data))
    assert here.font.axes == there.font.axes and here != there
    for text in ("HARBOUR", "Stores & 147"):
        one, other = (typeset(text, face=name, cap_height=4.0).region for name in (here, there))
        assert one.symmetric_difference(other).area < 1e-4 * other.area


def test_outlines_of_cff_are_read_too() -> None:
    line, shipped = (typeset("Bakery", face=name, cap_height=4.0) for name in (own(KAUSHAN), "Kaushan Script"))
    assert line.region.equals(shipped.region)


def test_a_variable_one_stands_at_its_default_and_is_turned_as_a_shipped_one() -> None:
    # Cinzel's default is 400 by its own table; the shipped one is set at 700.
    assert face(own(CINZEL)).defaults == {"wght": 400.0}
    plain = typeset("HILL", face=own(CINZEL), cap_height=4.0)
    bold = typeset("HILL", face=own(CINZEL), cap_height=4.0, axes={"wght": 700})
    assert plain.region.area < 0.95 * bold.region.area
    assert bold.region.equals(typeset("HILL", face="Cinzel", cap_height=4.0).region)


def test_two_fonts_of_one_name_are_two_faces() -> None:
    one, other = own(FJALLA), own(CINZEL)
    assert one != other and one == own(FJALLA) and hash(one) == hash(own(FJALLA))
    assert one != "my letterer" and f"{one}" == "my letterer"
    first, second = (typeset("HILL", face=name, cap_height=4.0).region for name in (one, other))
    assert first.symmetric_difference(second).area > 0.3 * first.area
    assert face(one) is face(own(FJALLA)) and face(one).name == one


def test_it_is_matched_and_ranked() -> None:
    name = own(FJALLA)
    line = typeset("HARBOUR", face=name, cap_height=3.0)
    found = match("HARBOUR", MeasuredLettering(3.0, 1.1 * line.width, 0.55), name)
    assert found.face == name
    assert found.region.bounds[2] == pytest.approx(1.1 * line.width, abs=1e-3)
    aim = MeasuredLettering(3.0, line.width)
    best, *_ = rank("HARBOUR", aim, outline=line.region, among=["Archivo", name, "Oswald"])
    assert best.face == name and best.overlap == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize(
    ("bits", "told"),
    # OpenType 1.9, OS/2, fsType: 2 restricted licence, 4 preview and print, 8 editable, 0x200 bitmaps only.
    [(0, ""), (2, "restricted"), (4, ""), (8, ""), (0x100, ""), (0x200, "bitmaps only"), (0x202, "bitmaps only")],
)
def test_what_may_be_embedded_is_read(bits: int, told: str) -> None:
    assert read_font(changed(FJALLA, fsType=bits)).embedding == told


def test_a_script_is_known_by_its_own_tables() -> None:
    assert read_font(changed(FJALLA, sFamilyClass=10 << 8)).category == "script"
    assert read_font(FJALLA).category == "own"


# ---------------------------------------------------------------------------------------------------------- spoilt ones
def refusal(data: bytes) -> tuple[str, str]:
    with pytest.raises(FontError) as caught:
        read_font(data)
    return caught.value.message, caught.value.fix


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"\x89PNG\r\n\x1a\n" + bytes(400), "is a PNG picture, not a font"),
        (b"%PDF-1.7\n", "is a PDF, not a font"),
        (b"", "is not a font"),
        (b"hello", "is not a font"),
        (b"wOFF" + bytes(400), "is a WOFF font of the first form"),
        (b"ttcf" + bytes(400), "is a collection of several fonts"),
        (FJALLA[:4000], "is damaged"),
        (FJALLA[:12], "is damaged"),
        (b"wOF2" + bytes(10), "is damaged: its directory of tables breaks off"),
        (packed(FJALLA)[:3000], "so it is damaged or hostile"),
    ],
)  # fmt: skip
def test_what_is_no_font_is_named(data: bytes, says: str) -> None:
    message, fix = refusal(data)
    assert says in message and fix


def woff2(said: int, stream: bytes) -> bytes:
    """A WOFF2 of one table 'glyf' in its plain form, said to be so long, with a packed stream (WOFF 2.0, 4.1, 4.2)."""
    digits = [said >> shift & 0x7F for shift in (28, 21, 14, 7, 0)]
    while len(digits) > 1 and not digits[0]:
        digits.pop(0)
    length = bytes([*(0x80 | digit for digit in digits[:-1]), digits[-1]])
    table = bytes([10 | 3 << 6]) + length
    head = struct.pack(
        ">4s4sIHHIIHHIIIII",
        b"wOF2", b"\x00\x01\x00\x00", 48 + len(table) + len(stream), 1, 0, said, len(stream), 1, 0, 0, 0, 0, 0, 0,
    )  # fmt: skip
    return head + table + stream


@pytest.mark.parametrize(
    ("said", "says"),
    [(10_000, "unpacks to another size than it says"), (4_000_000_000, "would unpack to 4000 MB, and 16 MB is read")],
)
def test_a_woff2_that_unpacks_without_end_is_not_unpacked(
    said: int, says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # 256 MB of nothing in a few kB; no more than what is said to be there, and one byte, may ever be unpacked.
    stream = bytearray()
    packer = brotli.Compressor(quality=5)
    for _ in range(4):
        stream += packer.process(bytes(64 << 20))
    data = woff2(said, bytes(stream + packer.finish()))
    assert len(data) < 17_000
    unpacked = []

    class Watched:
        def __init__(self) -> None:
            self.real = brotli.Decompressor()

        def process(self, *given: bytes, **limits: int) -> bytes:
            unpacked.append(self.real.process(*given, **limits))
            return unpacked[-1]

        def is_finished(self) -> bool:
            return bool(self.real.is_finished())

    class Brotli:
        Decompressor = Watched
        error = brotli.error

    monkeypatch.setitem(__import__("sys").modules, "brotli", Brotli)
    assert says in refusal(data)[0]
    assert sum(map(len, unpacked)) <= min(said, MOST_UNPACKED) + 1_000_000


def test_without_brotli_a_woff2_says_what_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "brotli", None)
    message, fix = refusal(packed(FJALLA) + b"\0")
    assert "which the package brotli unpacks" in message
    assert "pip install brotli" in fix and "TTF or OTF" in fix


def test_composite_glyphs_are_bounded() -> None:
    read_font(built({"A": ["H", "H"], "B": ["A", "H"]}))
    # Ten of the one before in each: 10^8 squares in nine glyphs.
    bomb = {f"g{n}": [f"g{n - 1}" if n else "H"] * 10 for n in range(9)}
    assert "parts and" in refusal(built(bomb))[0]
    deep = {f"g{n}": [f"g{n - 1}" if n else "H"] for n in range(40)}
    assert "parts of parts, 9 deep, so it is damaged or hostile: at most 8 are drawn" in refusal(built(deep))[0]
    assert "parts of parts without end" in refusal(built({"A": ["B"], "B": ["A"]}))[0]
    assert "parts of parts without end" in refusal(built({"A": ["A"]}))[0]


def test_a_font_without_a_capital_to_measure_is_refused() -> None:
    # A font of signs or of another alphabet, and one whose letters are pictures, are not damaged.
    without, out = TTFont(io.BytesIO(FJALLA)), io.BytesIO()
    for table in without["cmap"].tables:
        table.cmap.pop(ord("H"), None)
    without.save(out)
    assert refusal(out.getvalue()) == ("has no capital H, by which letters are sized", OTHER)
    assert refusal(built({}, side=0)) == ("has an H without an outline, and letters are sized by the H", OTHER)
    assert "ems, so its letters cannot be sized" in refusal(built({}, side=30000, upem=1000))[0]


def test_an_h_without_end_is_told_as_that(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shaping, "MOST_POINTS", 3)
    assert "draws its H with points or crossings without end" in refusal(changed(FJALLA, fsType=8))[0]


def test_spoilt_bytes_give_a_font_or_one_message() -> None:
    for seed, whole in enumerate((FJALLA, CINZEL, KAUSHAN, packed(FJALLA))):
        spoil = random.Random(seed)
        for _ in range(8):
            data = bytearray(whole)
            for _ in range(spoil.choice((1, 4, 30))):
                # Most of them among the tables' heads.
                data[spoil.randrange(min(len(data), spoil.choice((300, len(data)))))] = spoil.randrange(256)
            try:
                font = read_font(bytes(data))
            except FontError as error:
                assert error.message and error.fix
                continue
            assert font.axes == () or all(axis.least <= axis.default <= axis.most for axis in font.axes)
