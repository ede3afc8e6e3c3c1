"""Words of other faces, to be matched: outlines by skia-pathops, places by HarfBuzz, readings by lines laid across."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pathops
import shapely
import uharfbuzz as hb
from shapely.geometry import LineString, MultiPolygon

from decalgen.lettering.measured import MeasuredLettering

from . import skia

FOLDER = Path(__file__).parent / "targets"
FACES = tuple(sorted(path.stem for path in FOLDER.glob("*.ttf")))
WORDS = ("HARBOUR", "STORES", "BERGPOST", "VINDRASK", "DRAINAGE BOARD", "H9 1470")

# Where each word is measured: the stem's letter, the crossbar's letter, and which level stroke of it.
RULED = {
    "HARBOUR": ("H", "H"),
    "STORES": ("E", "E"),
    "BERGPOST": ("E", "E"),
    "VINDRASK": ("D", "A"),
    "DRAINAGE BOARD": ("E", "E"),
    "H9 1470": ("H", "H"),
}


@dataclass(frozen=True)
class Original:
    """A word at 2 mm cap height, first ink at x = 0, with what a restorer would read off it."""

    face: str
    word: str
    letters: tuple[MultiPolygon, ...]
    region: shapely.Geometry
    stem: float
    crossbar: float

    @property
    def length(self) -> float:
        return float(self.region.bounds[2])

    def measured(self, places: bool) -> MeasuredLettering:
        spots = tuple((g.bounds[0], g.bounds[2] - g.bounds[0]) for g in self.letters)
        return MeasuredLettering(2.0, self.length, self.stem, self.crossbar, letters=spots if places else None)


@functools.cache
def original(face: str, word: str, cap: float = 2.0) -> Original:
    data = (FOLDER / f"{face}.ttf").read_bytes()
    font = hb.Font(hb.Face(data))
    (h,) = [g for _, g in _glyphs(font, "H")]
    scale = cap / h.bounds[3]
    letters = [shapely.transform(g, lambda xy, x=x: (xy + np.array((x, 0))) * scale) for x, g in _glyphs(font, word)]
    left = min(g.bounds[0] for g in letters)
    letters = [shapely.transform(g, lambda xy: xy - np.array((left, 0))) for g in letters]
    text = word.replace(" ", "")
    stem, bar = RULED[word]
    return Original(
        face,
        word,
        tuple(letters),
        shapely.union_all(letters),
        stem_by_lines(letters[text.index(stem)]),
        crossbar_by_lines(bar, letters[text.index(bar)]),
    )


def _glyphs(font: hb.Font, text: str) -> list[tuple[float, shapely.Geometry]]:
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(font, buffer, {"liga": False})
    found = []
    x = 0.0
    for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        path = pathops.Path()
        font.draw_glyph_with_pen(info.codepoint, path.getPen())
        area = skia.area(path, 0.02)
        if not area.is_empty:
            found.append((x + position.x_offset, area))
        x += position.x_advance
    return found


def stem_by_lines(letter: shapely.Geometry) -> float:
    """The left stem of an H, E or D: the first piece of two level lines, the thinner."""
    left, bottom, right, top = letter.bounds
    pieces = []
    for share in (0.3, 0.7):
        y = bottom + share * (top - bottom)
        cut = letter.intersection(LineString([(left - 1, y), (right + 1, y)]))
        first = min(getattr(cut, "geoms", [cut]), key=lambda g: g.bounds[0])
        pieces.append(first.length)
    return min(pieces)


def crossbar_by_lines(name: str, letter: shapely.Geometry) -> float:
    """The bar of an H, the lower one of an A, the top one of an E, along upright lines; the thinnest."""
    left, bottom, right, top = letter.bounds
    pieces = []
    for share in {"H": (0.45, 0.5, 0.55), "A": (0.46, 0.5, 0.54), "E": (0.5, 0.56, 0.62)}[name]:
        x = left + share * (right - left)
        cut = letter.intersection(LineString([(x, bottom - 1), (x, top + 1)]))
        parts = list(getattr(cut, "geoms", [cut]))
        key = {
            "H": lambda g: abs((g.bounds[1] + g.bounds[3]) / 2 - (bottom + top) / 2),
            "A": lambda g: g.bounds[1],
            "E": lambda g: -g.bounds[3],
        }[name]
        pieces.append(min(parts, key=key).length)
    return min(pieces)
