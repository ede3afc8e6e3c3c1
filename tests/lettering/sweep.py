"""Every Latin and Cyrillic glyph of the shipped faces against skia-pathops, at several settings of each face."""

from __future__ import annotations

from collections.abc import Iterator

import pathops
import shapely
import uharfbuzz as hb

from decalgen.lettering.faces import Face, face_bytes
from decalgen.lettering.shaping import Axes, checked_axes, has_glyphs, outline

from . import skia

SCRIPTS = ((0x41, 0x24F), (0x400, 0x4FF), (0x1E00, 0x1EFF))


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
    """Letters whose area differs from skia's by more than flattening explains, with the area in em squared."""
    font = hb.Font(hb.Face(face_bytes(face.file)))
    upem = font.face.upem
    font.scale = (64 * upem, 64 * upem)
    if axes:
        font.set_variations(dict(axes))
    letters = [c for c in sorted(has_glyphs(face.file)) if any(a <= c <= b for a, b in SCRIPTS)]
    for code in letters[start::every]:
        gid = font.get_nominal_glyph(code)
        path = pathops.Path()
        font.draw_glyph_with_pen(gid, path.getPen())
        theirs = shapely.transform(skia.area(path, 3.0), lambda xy: xy / (64 * upem))
        ours = outline(face.file, axes, gid, 2e-5)
        difference = ours.symmetric_difference(theirs).area
        # Both outlines lie within about 1e-4 em of the drawn one.
        if difference > 2e-4 * max(ours.length, theirs.length) + 1e-6 or not ours.is_valid:
            yield chr(code), difference


def count(face: Face) -> int:
    return sum(any(a <= c <= b for a, b in SCRIPTS) for c in has_glyphs(face.file))
