"""Every glyph of the shipped faces against skia-pathops, at several settings of each face.

Every glyph, and not those of some ranges of characters: alternates and ligatures have no character of their own, and
Latin and Cyrillic are spread over many blocks.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator

import pathops
import shapely
import uharfbuzz as hb

from decalgen.lettering.faces import face_bytes
from decalgen.lettering.shaping import Axes, checked_axes, outline
from decalgen.lettering.typeface import Face

from . import skia


def settings(face: Face) -> list[Axes]:
    """The default, all ends of the axes that change weight and width together, and a mixture of ends."""
    if not face.axes:
        return [checked_axes(face, None)]
    turned = [a for a in face.axes if a.tag in ("wght", "wdth", "opsz", "XOPQ", "YOPQ", "XTRA")]
    least = {a.tag: a.least for a in turned}
    most = {a.tag: a.most for a in turned}
    mixed = {a.tag: a.most if i % 2 == 0 else a.least for i, a in enumerate(turned)}
    if len(turned) == 1:
        mixed = {turned[0].tag: turned[0].default + 0.4 * (turned[0].most - turned[0].default)}
    found = [checked_axes(face, wished) for wished in (None, least, most, mixed)]
    return list(dict.fromkeys(found))


def wrong(face: Face, axes: Axes, every: int = 1, start: int = 0) -> Iterator[tuple[str, float]]:
    """Glyphs whose area differs from skia's by more than flattening explains, with the area in em squared."""
    return (found for gid in range(start, count(face), every) if (found := wrong_glyph(face, axes, gid)) is not None)


def wrong_glyph(face: Face, axes: Axes, gid: int) -> tuple[str, float] | None:
    """The glyph's name and the area by which it differs; None where it is right."""
    font = _font(face.file, axes)
    # The scale is 64 to a font unit.
    em = 64 * font.face.upem
    path = pathops.Path()
    font.draw_glyph_with_pen(gid, path.getPen())
    theirs = shapely.transform(skia.area(path, 3.0), lambda xy: xy / em)
    ours = outline(face.file, axes, gid, 2e-5)
    difference = ours.symmetric_difference(theirs).area
    # Both outlines lie within about 1e-4 em of the drawn one.
    if difference > 2e-4 * max(ours.length, theirs.length) + 1e-6 or not ours.is_valid:
        return font.glyph_to_string(gid), difference
    return None


@functools.lru_cache(maxsize=2)
def _font(file: str, axes: Axes) -> hb.Font:
    font = hb.Font(hb.Face(face_bytes(file)))
    font.scale = (64 * font.face.upem, 64 * font.face.upem)
    if axes:
        font.set_variations(dict(axes))
    return font


def gid_of(face: Face, letter: str) -> int:
    """The glyph a character has."""
    found = _font(face.file, ()).get_nominal_glyph(ord(letter))
    assert found is not None
    return found


def count(face: Face) -> int:
    """How many glyphs there are."""
    return int(_font(face.file, ()).face.glyph_count)
