"""Numbers, lengths and transforms as SVG writes them (SVG 1.1, 4.2 and 7.6)."""

from __future__ import annotations

import math
import re

from decalgen.core.geometry import IDENTITY, Matrix, multiply, rotation, translation
from decalgen.core.lengths.units import INCH_MM
from decalgen.core.values import dataclass

NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
MOST = 1e6
"""No number of a drawing is farther from zero."""
PX_MM = INCH_MM / 96
"""A pixel of CSS, mm (CSS Values 3, 5.2)."""
REAL = {
    "mm": 1 / PX_MM,
    "cm": 10 / PX_MM,
    "q": 0.25 / PX_MM,
    "in": 96.0,
    "pt": 96 / 72,
    "pc": 16.0,
}
"""Real units, in pixels of CSS."""
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([a-zA-Z]*|%)\s*")
_NUMBERS = re.compile(rf"{NUMBER}")
_SEPARATED = re.compile(rf"\s*(?:{NUMBER}(?:\s*,\s*|\s+|(?=[-+.])))*(?:{NUMBER})?\s*")
_TRANSFORM = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)\s*")


@dataclass(frozen=True)
class SvgLength:
    """A length as written: ``unit`` is '', 'px', '%' or a unit in small letters."""

    value: float
    unit: str = ""

    @property
    def is_real(self) -> bool:
        """Whether it says how long something is on paper."""
        return self.unit in REAL

    def px(self, whole: float) -> float | None:
        """In pixels of CSS; a percentage is one of ``whole``. None for a unit that is not known here."""
        if self.unit == "%":
            return self.value / 100 * whole
        if self.unit in ("", "px"):
            return self.value
        return self.value * REAL[self.unit] if self.unit in REAL else None


def number(text: str) -> float | None:
    """A plain number; None where the text is not one, or out of range."""
    found = re.fullmatch(rf"\s*({NUMBER})\s*", text)
    return _finite(found[1]) if found else None


def length(text: str) -> SvgLength | None:
    """A length; None where the text is not one."""
    found = _LENGTH.fullmatch(text)
    value = _finite(found[1]) if found else None
    return SvgLength(value, found[2].lower()) if found and value is not None else None


def numbers(text: str) -> tuple[float, ...] | None:
    """Numbers separated by spaces or commas; None where something else is among them."""
    if not _SEPARATED.fullmatch(text):
        return None
    found = [_finite(one) for one in _NUMBERS.findall(text)]
    return None if None in found else tuple(found)  # type: ignore[arg-type]


def _finite(text: str) -> float | None:
    value = float(text)
    return value if math.isfinite(value) and abs(value) <= MOST else None


def transform_of(text: str) -> Matrix | None:
    """A list of transforms as one matrix; None where the text is not one."""
    matrix, at = IDENTITY, 0
    if text.strip() == "none":
        return matrix
    while at < len(text) and text[at:].strip():
        found = _TRANSFORM.match(text, at)
        given = numbers(found[2]) if found else None
        step = _one_transform(found[1], given) if found and given is not None else None
        if found is None or step is None:
            return None
        matrix = multiply(matrix, step)
        at = found.end()
    return matrix


def _one_transform(name: str, given: tuple[float, ...]) -> Matrix | None:
    count = len(given)
    if name == "matrix" and count == 6:
        return given  # type: ignore[return-value]
    if name == "translate" and count in (1, 2):
        return translation(given[0], given[1] if count == 2 else 0.0)
    if name == "scale" and count in (1, 2):
        return (given[0], 0.0, 0.0, given[-1], 0.0, 0.0)
    if name == "rotate" and count in (1, 3):
        turn = rotation(given[0])
        if count == 1:
            return turn
        return multiply(translation(given[1], given[2]), multiply(turn, translation(-given[1], -given[2])))
    if name in ("skewX", "skewY") and count == 1:
        lean = math.tan(math.radians(given[0]))
        return (1.0, 0.0, lean, 1.0, 0.0, 0.0) if name == "skewX" else (1.0, lean, 0.0, 1.0, 0.0, 0.0)
    return None


def stretch(matrix: Matrix) -> float:
    """The most that a matrix lengthens anything: its greater singular value."""
    a, b, c, d = matrix[:4]
    one, two = math.hypot(a + d, b - c), math.hypot(a - d, b + c)
    return (one + two) / 2


def fit(box: tuple[float, float, float, float], width: float, height: float, how: str) -> Matrix | None:
    """The matrix that brings a view box (x, y, width, height) into 0 … width × 0 … height as preserveAspectRatio says
    (SVG 1.1, 7.8). None for a box without an area."""
    x, y, w, h = box
    if w <= 0 or h <= 0:
        return None
    words = [word for word in how.split() if word != "defer"] or ["xMidYMid"]
    sx, sy = width / w, height / h
    if words[0] == "none":
        return (sx, 0.0, 0.0, sy, -x * sx, -y * sy)
    scale = max(sx, sy) if words[1:] == ["slice"] else min(sx, sy)
    place = re.fullmatch(r"x(Min|Mid|Max)Y(Min|Mid|Max)", words[0])
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    fx, fy = (share[place[1]], share[place[2]]) if place else (0.5, 0.5)
    return (scale, 0.0, 0.0, scale, fx * (width - w * scale) - x * scale, fy * (height - h * scale) - y * scale)
