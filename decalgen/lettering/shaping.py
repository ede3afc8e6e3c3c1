"""HarfBuzz behind plain data: which glyphs stand where, and the outline of each, in fractions of the em."""

from __future__ import annotations

import math
import struct
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np
from shapely.geometry import MultiPolygon

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.lettering.faces import face_bytes
from decalgen.lettering.typeface import Face, LetteringError
from decalgen.lettering.winding import nonzero

UNITS = 1 << 20
"""Steps HarfBuzz counts an em in: positions come as whole numbers, so the em is made fine enough to lose
nothing."""

SLIVER = 2e-7
"""Areas below this (em squared) are noise of crossing contours, not ink: at 5 mm caps a speck of 0.003 mm."""

MOST_POINTS = 100_000
"""Corners of one flattened glyph; letters have some hundreds."""

Axes = tuple[tuple[str, float], ...]
Features = tuple[tuple[str, bool], ...]


@dataclass(frozen=True, slots=True)
class Glyph:
    """A glyph of a shaped run, in ems: the pen's place before it, where its outline goes, how far the pen
    moves on."""

    gid: int
    cluster: int
    pen: float
    x: float
    y: float
    advance: float


def checked_axes(face: Face, axes: Mapping[str, float] | None) -> Axes:
    """The face's axis values with the wished ones laid over its defaults.

    Raises `LetteringError` for an axis the face does not have or a value outside its range.
    """
    values = dict(face.defaults)
    known = {axis.tag: axis for axis in face.axes}
    for tag, value in (axes or {}).items():
        if tag not in known:
            have = ", ".join(known) if known else "none"
            raise LetteringError(f"{face.name} has no axis '{tag}'", f"axes of {face.name}: {have}")
        axis = known[tag]
        if not math.isfinite(value) or not axis.least <= value <= axis.most:
            raise LetteringError(
                f"{face.name}: {tag} {value:g} is out of range", f"use {axis.least:g} to {axis.most:g}"
            )
        values[tag] = float(value)
    return tuple(sorted(values.items()))


@lru_cache(maxsize=64)
def _hb_face(file: str) -> Any:
    import uharfbuzz as hb

    data = face_bytes(file)
    loaded = hb.Face(hb.Blob(data))
    # A damaged file still loads, as one without letters, or with those that were left.
    if not _whole(data) or loaded.glyph_count == 0 or ord("H") not in loaded.unicodes:
        raise LetteringError(f"the font file '{file}' is damaged", "install decalgen again, or choose another face")
    return loaded


def _whole(data: bytes) -> bool:
    """Whether all tables a font file lists are inside it (OpenType 1.9, table directory)."""
    if len(data) < 12:
        return False
    (count,) = struct.unpack(">H", data[4:6])
    records = [data[12 + 16 * i : 28 + 16 * i] for i in range(count)]
    return all(len(r) == 16 and sum(struct.unpack(">II", r[8:])) <= len(data) for r in records)


@lru_cache(maxsize=256)
def _hb_font(file: str, axes: Axes) -> Any:
    import uharfbuzz as hb

    font = hb.Font(_hb_face(file))
    font.scale = (UNITS, UNITS)
    if axes:
        font.set_variations(dict(axes))
    return font


@lru_cache(maxsize=64)
def has_glyphs(file: str) -> frozenset[int]:
    """The code points a font file has glyphs for."""
    return frozenset(_hb_face(file).unicodes)


def shape(file: str, axes: Axes, text: str, features: Features = (), leftward: bool = False) -> tuple[Glyph, ...]:
    """The text as placed glyphs: ligatures, kerning and marks applied, in the order they stand, from x = 0.

    ``leftward``: it runs from right to left, so its last letter stands first.
    """
    return _shaped(_hb_font(file, axes), text, features, leftward)


def _shaped(font: Any, text: str, features: Features, leftward: bool = False) -> tuple[Glyph, ...]:
    import uharfbuzz as hb

    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if leftward else "ltr"
    # The language of the machine must not change the letters.
    buffer.language = "en"
    hb.shape(font, buffer, dict(features))
    glyphs: list[Glyph] = []
    x = 0.0
    for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        advance = position.x_advance / UNITS
        dx, dy = position.x_offset / UNITS, position.y_offset / UNITS
        glyphs.append(Glyph(info.codepoint, info.cluster, x, x + dx, dy, advance))
        x += advance
    return tuple(glyphs)


@lru_cache(maxsize=8192)
def outline(file: str, axes: Axes, gid: int, tolerance: float) -> MultiPolygon:
    """The ink of one glyph in ems, curves within ``tolerance`` ems of the drawn ones."""
    return nonzero(contours(file, axes, gid, tolerance), SLIVER)


def contours(file: str, axes: Axes, gid: int, tolerance: float) -> list[FloatArray]:
    """The contours of a glyph as drawn, flattened, in ems; they may cross each other and themselves."""
    return _drawn(_hb_font(file, axes), gid, tolerance)


def _drawn(font: Any, gid: int, tolerance: float) -> list[FloatArray]:
    pen = _Flattener(tolerance * UNITS)
    font.draw_glyph(gid, _draw_functions(), pen)
    pen.close()
    if pen.room < 0:
        raise LetteringError("a letter of this face is drawn with too many points", "choose another face")
    return [np.asarray(ring, dtype=np.float64) / UNITS for ring in pen.rings if len(ring) >= 3]


class Probe:
    """A face whose axes are turned again and again while they are solved for: nothing of it is kept."""

    def __init__(self, file: str, features: Features = ()) -> None:
        import uharfbuzz as hb

        self._font = hb.Font(_hb_face(file))
        self._font.scale = (UNITS, UNITS)
        self._features = features

    def turn(self, axes: Axes) -> None:
        """Set the axes."""
        if axes:
            self._font.set_variations(dict(axes))

    def shape(self, text: str) -> tuple[Glyph, ...]:
        """As `shape`, at the axes as they stand."""
        return _shaped(self._font, text, self._features)

    def contours(self, gid: int) -> list[FloatArray]:
        """As `contours`, coarsely."""
        return _drawn(self._font, gid, 1e-4)

    def sides(self, gid: int) -> tuple[float, float] | None:
        """Left and right edge of a glyph's ink, ems; None where it has none."""
        extents = self._font.get_glyph_extents(gid)
        if extents is None or extents.width == 0:
            return None
        return extents.x_bearing / UNITS, (extents.x_bearing + extents.width) / UNITS


def capital(file: str, axes: Axes) -> MultiPolygon:
    """The H by which the letters of a face are sized, ems."""
    (glyph,) = shape(file, axes, "H")
    return outline(file, axes, glyph.gid, 1e-5)


@lru_cache(maxsize=1024)
def cap_share(file: str, axes: Axes) -> float:
    """The height of the H's own outline, ems: what a user measures, which tables need not agree with."""
    top = capital(file, axes).bounds[3]
    if not top > 0:
        raise LetteringError(f"the font file '{file}' has no usable capital H", "choose another face")
    return float(top)


class _Flattener:
    """Collects contours from HarfBuzz, curves cut into chords that stay within the tolerance."""

    def __init__(self, tolerance: float) -> None:
        self.tolerance = tolerance
        self.rings: list[list[tuple[float, float]]] = []
        self.ring: list[tuple[float, float]] = []
        self.room = MOST_POINTS
        """How many points may still come; below nothing the outline is given up, as HarfBuzz takes no error from
        here."""

    def close(self) -> None:
        if self.ring:
            self.rings.append(self.ring)
        self.ring = []

    def line(self, x: float, y: float) -> None:
        self.room -= 1
        if self.room >= 0:
            self.ring.append((x, y))

    def _steps(self, wanted: float) -> int:
        """Chords for a curve; one where there is no room for them."""
        self.room -= max(1, math.ceil(wanted))
        return max(1, math.ceil(wanted)) if self.room >= 0 else 1

    def quadratic(self, cx: float, cy: float, x: float, y: float) -> None:
        x0, y0 = self.ring[-1]
        bend = math.hypot(x0 - 2 * cx + x, y0 - 2 * cy + y)
        # A chord over the parameter step h lies at most h squared times bend / 4 from the curve.
        steps = self._steps(math.sqrt(bend / (4 * self.tolerance)))
        for i in range(1, steps):
            t = i / steps
            s = 1 - t
            self.ring.append((s * s * x0 + 2 * s * t * cx + t * t * x, s * s * y0 + 2 * s * t * cy + t * t * y))
        self.ring.append((x, y))

    def cubic(self, ax: float, ay: float, bx: float, by: float, x: float, y: float) -> None:
        x0, y0 = self.ring[-1]
        bend = max(math.hypot(x0 - 2 * ax + bx, y0 - 2 * ay + by), math.hypot(ax - 2 * bx + x, ay - 2 * by + y))
        steps = self._steps(math.sqrt(0.75 * bend / self.tolerance))
        for i in range(1, steps):
            t = i / steps
            s = 1 - t
            p, q, r, u = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
            self.ring.append((p * x0 + q * ax + r * bx + u * x, p * y0 + q * ay + r * by + u * y))
        self.ring.append((x, y))


def _move(x: float, y: float, pen: _Flattener) -> None:
    pen.close()
    pen.ring = [(x, y)]


def _line(x: float, y: float, pen: _Flattener) -> None:
    pen.line(x, y)


def _quadratic(cx: float, cy: float, x: float, y: float, pen: _Flattener) -> None:
    pen.quadratic(cx, cy, x, y)


def _cubic(ax: float, ay: float, bx: float, by: float, x: float, y: float, pen: _Flattener) -> None:
    pen.cubic(ax, ay, bx, by, x, y)


def _close(pen: _Flattener) -> None:
    pen.close()


@lru_cache(maxsize=1)
def _draw_functions() -> Any:
    import uharfbuzz as hb

    functions = hb.DrawFuncs()
    functions.set_move_to_func(_move)
    functions.set_line_to_func(_line)
    functions.set_quadratic_to_func(_quadratic)
    functions.set_cubic_to_func(_cubic)
    functions.set_close_path_func(_close)
    return functions
