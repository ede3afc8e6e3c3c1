"""Letters a face lacks, borrowed from the nearest one that has them, set as bold as the letters they stand among."""

from __future__ import annotations

import math
import unicodedata
from functools import lru_cache

from decalgen.lettering.faces import font_faces
from decalgen.lettering.shaping import Axes, Probe, cap_share, checked_axes, contours, has_glyphs, shape
from decalgen.lettering.stems import bounds, stem_of
from decalgen.lettering.typeface import Face

ROUNDS = 12


@lru_cache(maxsize=4096)
def lender(cluster: str, main: Face) -> Face | None:
    """The face to take a letter from: ``main`` itself, else one of its kind, else the first that has it."""
    kin = sorted((f for f in font_faces() if f != main), key=lambda f: f.category != main.category)
    own = () if main.drawn else (main,)
    if cluster.isspace():
        return main
    return next((f for f in (*own, *kin) if draws(f, cluster)), None)


def draws(face: Face, cluster: str) -> bool:
    """Whether a face has this letter, composed or as letter and accents."""
    have = has_glyphs(face.file)
    return all(ord(c) in have for c in cluster) or all(ord(c) in have for c in unicodedata.normalize("NFD", cluster))


def stem_share(face: Face, axes: Axes) -> float:
    """The stem of a font's H, in cap heights; not a number where it has none."""
    (glyph,) = shape(face.file, axes, "H")
    return stem_of("H", contours(face.file, axes, glyph.gid, 1e-4)) / cap_share(face.file, axes)


@lru_cache(maxsize=512)
def as_bold(face: Face, stem: float) -> Axes:
    """The axes of ``face`` at which its H has a stem of ``stem`` cap heights, as near as its weight goes."""
    plain = checked_axes(face, None)
    weight = next((axis for axis in face.axes if axis.tag == "wght"), None)
    if weight is None or not math.isfinite(stem):
        return plain
    probe = Probe(face.file)

    def at(value: float) -> Axes:
        return tuple(sorted({**dict(plain), "wght": round(value, 2)}.items()))

    low, high = weight.least, weight.most
    for _ in range(ROUNDS):
        middle = (low + high) / 2
        probe.turn(at(middle))
        rings = probe.contours(probe.shape("H")[0].gid)
        if stem_of("H", rings) / bounds(rings)[3] < stem:
            low = middle
        else:
            high = middle
    return at(high)
