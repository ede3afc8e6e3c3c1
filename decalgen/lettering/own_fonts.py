"""A font file that a job brought: read with care, because it may come from anywhere.

TTF, OTF and WOFF2 are taken, variable ones too. Before HarfBuzz draws a letter of it, the size of what is packed, the
depth and number of the parts of composite glyphs and their points are held against bounds.

Sources: OpenType 1.9 (glyf, fvar, OS/2 fsType), W3C WOFF 2.0 (4.1 header, 4.2 table directory).
"""

from __future__ import annotations

import hashlib
import io
import math
import struct
from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING

from decalgen.core.errors import DecalgenError
from decalgen.lettering.faces import face
from decalgen.lettering.shaping import capital, checked_axes, has_glyphs
from decalgen.lettering.typeface import Axis, LetteringError, OwnFaceName, OwnFont

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

MOST_UNPACKED = 16_000_000
"""Bytes of a font's tables: no face of an alphabet comes near."""
MOST_DEPTH, MOST_PARTS, MOST_POINTS = 8, 200, 20_000
"""Of one composite glyph: parts in parts, simple glyphs in all, their points."""
MOST_AXES = 32
CAPS = (0.1, 3.0)
"""The height of an H in ems, between which a font is one of letters."""
SCRIPT_FAMILY, SCRIPT_CLASS = 3, 10
"""PANOSE's family of hand-written letters, and the class of scripts in sFamilyClass."""
OTHER = "name a font that has the capitals A to Z"
SAVE_AS = "save it as TTF or OTF with a font editor, or name another file"
NOT_FONTS = {
    b"\x89PNG": "a PNG picture", b"\xff\xd8\xff": "a JPEG picture", b"GIF8": "a GIF picture", b"%PDF": "a PDF",
    b"PK\x03\x04": "a ZIP archive", b"<svg": "an SVG drawing", b"<?xm": "an XML file", b"%!PS": "a PostScript file",
}  # fmt: skip


class FontError(DecalgenError):
    """A font file that cannot be used: what is wrong with it, and what to do."""

    def __init__(self, message: str, fix: str = SAVE_AS) -> None:
        super().__init__(message, fix=fix)


@lru_cache(maxsize=16)
def read_font(data: bytes) -> OwnFont:
    """The font in a file's bytes, drawn once to see that it can be. Raises `FontError`, whose message goes on after the
    name of the file."""
    sfnt = _unpacked(data)
    try:
        font = _looked_at(sfnt, hashlib.sha256(data).hexdigest())
        _check_capital(font)
    except FontError:
        raise
    except Exception as error:  # whatever the reader of a spoilt table comes to: no list of them would be whole
        raise FontError(f"is damaged ({type(error).__name__})") from None
    return font


def _unpacked(data: bytes) -> bytes:
    """The tables of a font, as TTF or OTF have them. Raises `FontError`."""
    kind = data[:4]
    if kind in (b"\x00\x01\x00\x00", b"true", b"OTTO"):
        return data
    if kind == b"wOF2":
        return _from_woff2(data)
    if kind == b"wOFF":
        raise FontError("is a WOFF font of the first form")
    if kind == b"ttcf":
        raise FontError("is a collection of several fonts", "save the one you need as TTF or OTF, and name that")
    what = next((said for start, said in NOT_FONTS.items() if data.startswith(start)), None)
    raise FontError(f"is {what}, not a font" if what else "is not a font", "name a font file: TTF, OTF or WOFF2")


# ---------------------------------------------------------------------------------------------------------------- WOFF2
def _from_woff2(data: bytes) -> bytes:
    """Raises `FontError` before anything larger than the bound is unpacked."""
    try:
        import brotli
    except ImportError:
        raise FontError(
            "is a WOFF2 font, which the package brotli unpacks, and that is not installed",
            "add it with `pip install brotli`, or save the font as TTF or OTF",
        ) from None
    try:
        wanted, start, length = _woff2_sizes(data)
    except (struct.error, IndexError):
        raise FontError("is damaged: its directory of tables breaks off") from None
    if wanted > MOST_UNPACKED:
        raise _too_large(wanted)
    unpacker = brotli.Decompressor()
    try:
        got = unpacker.process(data[start : start + length], output_buffer_limit=wanted + 1)
    except brotli.error:
        raise FontError("is damaged: it cannot be unpacked") from None
    if len(got) != wanted or not unpacker.is_finished():
        raise FontError("unpacks to another size than it says, so it is damaged or hostile")
    from fontTools.ttLib.woff2 import decompress

    out = io.BytesIO()
    try:
        decompress(io.BytesIO(data), out)
    except Exception as error:  # as in read_font
        raise FontError(f"is damaged ({type(error).__name__})") from None
    if out.tell() > MOST_UNPACKED:
        raise _too_large(out.tell())
    return out.getvalue()


def _woff2_sizes(data: bytes) -> tuple[int, int, int]:
    """Bytes of all tables as packed together, and where the packed stream begins and how long it is."""
    tables, packed = struct.unpack(">H", data[12:14])[0], struct.unpack(">I", data[20:24])[0]
    at, total = 48, 0
    for _ in range(tables):
        flags = data[at]
        at += 1 if flags & 0x3F != 0x3F else 5
        size, at = _base128(data, at)
        known = flags & 0x3F
        # glyf and loca (10, 11 of the known tags) are transformed by version 0, all others by any but 0.
        if (flags >> 6 == 0) if known in (10, 11) else (flags >> 6 != 0):
            size, at = _base128(data, at)
        total += size
    return total, at, packed


def _base128(data: bytes, at: int) -> tuple[int, int]:
    """A UIntBase128 and what comes after it."""
    value = 0
    for n in range(5):
        value = value << 7 | data[at + n] & 0x7F
        if not data[at + n] & 0x80:
            return value, at + n + 1
    raise IndexError


def _too_large(size: int) -> FontError:
    return FontError(
        f"would unpack to {size / 1e6:.0f} MB, and {MOST_UNPACKED // 1_000_000} MB is read",
        "name a font of one alphabet",
    )


# --------------------------------------------------------------------------------------------------------------- tables
def _looked_at(sfnt: bytes, digest: str) -> OwnFont:
    from fontTools.ttLib import TTFont

    font = TTFont(io.BytesIO(sfnt), lazy=True)
    letters = font.getBestCmap() or {}
    if ord("H") not in letters:
        raise FontError("has no capital H, by which letters are sized", OTHER)
    if "glyf" in font:
        _check_composites(font)
    rights, script = 0, False
    if "OS/2" in font:
        os2 = font["OS/2"]
        rights = os2.fsType
        script = os2.panose.bFamilyType == SCRIPT_FAMILY or os2.sFamilyClass >> 8 == SCRIPT_CLASS
    return OwnFont(
        sfnt,
        digest,
        "script" if script else "own",
        "bitmaps only" if rights & 0x200 else "restricted" if rights & 0xF == 2 else "",
        _axes(font),
    )


def _axes(font: TTFont) -> tuple[Axis, ...]:
    """What it can be adjusted in, at its default instance. Raises `FontError`."""
    found = [
        Axis(axis.axisTag, axis.minValue, axis.defaultValue, axis.maxValue)
        for axis in (font["fvar"].axes if "fvar" in font else ())
    ]
    values = [value for axis in found for value in (axis.least, axis.default, axis.most)]
    tags = [axis.tag for axis in found]
    if (
        len(found) > MOST_AXES
        or len(set(tags)) != len(tags)
        or not all(map(math.isfinite, values))
        or not all(axis.least <= axis.default <= axis.most for axis in found)
        or not all(tag.isascii() and tag.strip().isalnum() for tag in tags)
    ):
        raise FontError("is damaged: its axes make no sense")
    return tuple(found)


def _check_composites(font: TTFont) -> None:
    """Raises `FontError` for a glyph put together of more, or deeper, than letters are."""
    places, glyphs = font["loca"].locations, font.reader["glyf"]
    known: dict[int, tuple[int, int, int]] = {}

    def weigh(number: int, path: int) -> tuple[int, int, int]:
        """Depth, simple glyphs and points of a glyph."""
        if path > MOST_DEPTH:
            raise FontError(
                "has a glyph whose parts are made of parts of parts without end, so it is damaged or hostile"
            )
        if number in known:
            return known[number]
        data = glyphs[places[number] : places[number + 1]] if number + 1 < len(places) else b""
        contours = struct.unpack(">h", data[:2])[0] if len(data) >= 10 else 0
        if contours >= 0:
            at = 8 + 2 * contours
            found = 0, 1, struct.unpack(">H", data[at : at + 2])[0] + 1 if contours else 0
        else:
            inside = [weigh(part, path + 1) for part in _parts(data)]
            found = 1 + max(one[0] for one in inside), sum(one[1] for one in inside), sum(one[2] for one in inside)
        if found[0] > MOST_DEPTH:
            raise FontError(
                f"has a glyph whose parts are made of parts of parts, {found[0]} deep, so it is damaged or hostile: at "
                f"most {MOST_DEPTH} are drawn"
            )
        if found[1] > MOST_PARTS or found[2] > MOST_POINTS:
            raise FontError(
                f"has a glyph of {found[1]} parts and {found[2]} points, so it is damaged or hostile: "
                f"at most {MOST_PARTS} and {MOST_POINTS} are drawn"
            )
        known[number] = found
        return found

    for number in range(len(places) - 1):
        weigh(number, 0)


def _parts(data: bytes) -> Iterator[int]:
    """The glyphs that a composite one is made of (OpenType 1.9, glyf, composite glyph description)."""
    at, more = 10, True
    while more:
        flags, number = struct.unpack(">HH", data[at : at + 4])
        at += 8 if flags & 1 else 6
        at += 2 if flags & 8 else 4 if flags & 0x40 else 8 if flags & 0x80 else 0
        more = bool(flags & 0x20)
        yield number


def _check_capital(font: OwnFont) -> None:
    """Raises `FontError` for a font whose H is not one."""
    own = face(OwnFaceName("own", font))
    axes = checked_axes(own, None)
    try:
        has_glyphs(own.file)
    except LetteringError:
        raise FontError("is damaged: tables that it lists are not in it") from None
    try:
        drawn = capital(own.file, axes)
    except LetteringError:
        raise FontError("draws its H with points or crossings without end, so it is damaged or hostile") from None
    if drawn.is_empty or drawn.bounds[3] <= 0:
        raise FontError("has an H without an outline, and letters are sized by the H", OTHER)
    high = drawn.bounds[3]
    if not CAPS[0] <= high <= CAPS[1]:
        raise FontError(f"has a capital H of {high:.3g} ems, so its letters cannot be sized")
