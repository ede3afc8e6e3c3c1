"""From one colour space to another, by plain numbers: CIE XYZ under D50 (perfect white Y = 1), L*a*b*, sRGB.

By hand, because most jobs hold nothing else and need not wait for the colour library; tests hold it against that.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

XYZ = tuple[float, float, float]
Lab = tuple[float, float, float]

Light = tuple[float, float, float]
"""Linear sRGB, 0 to 1 where a screen can show it."""
Coded = tuple[float, float, float]
"""The same as it is coded in files (IEC 61966-2-1)."""

# Linear sRGB to XYZ under D50 (IEC 61966-2-1, adapted by Bradford as in CSS Color 4). Held against coloraide in tests.
_SRGB_TO_XYZ = (
    (0.436065746874269, 0.385151509590160, 0.143078419965139),
    (0.222493177110565, 0.716887013094483, 0.060619809794952),
    (0.013923921463169, 0.097081324231410, 0.714099356815881),
)
_XYZ_TO_SRGB = (
    (3.134135852900120, -1.617385998018043, -0.490662217911100),
    (-0.978795476555777, 1.916254377395987, 0.033442873390368),
    (0.071955392557949, -0.228976759815182, 1.405386035113117),
)
# The white of D50 as CSS Color 4 takes it: x = 0.3457, y = 0.3585.
D50 = (0.3457 / 0.3585, 1.0, (1 - 0.3457 - 0.3585) / 0.3585)


def lab_under(white: XYZ, xyz: XYZ) -> Lab:
    """CIE L*a*b* under a white (CIE 15:2018, 8.2.1)."""
    x, y, z = (_root(v / full) for v, full in zip(xyz, white, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def xyz_under(white: XYZ, lab: Lab) -> XYZ:
    """The same turned round."""
    y = (lab[0] + 16) / 116
    parts = (y + lab[1] / 500, y, y - lab[2] / 200)
    x, y, z = (
        full * (v**3 if v > 6 / 29 else (116 * v - 16) * 27 / 24389) for v, full in zip(parts, white, strict=True)
    )
    return x, y, z


def _root(share: float) -> float:
    return math.cbrt(share) if share > 216 / 24389 else (24389 / 27 * share + 16) / 116


def coded_of(light: Light) -> Coded:
    """Coded sRGB from linear, 0 to 1 where it can be shown."""
    r, g, b = (12.92 * v if v <= 0.0031308 else 1.055 * v ** (1 / 2.4) - 0.055 for v in light)
    return r, g, b


def decoded(coded: Iterable[float]) -> Light:
    """The same turned round, of three levels from 0 to 1."""
    r, g, b = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in coded)
    return r, g, b


def clipped(light: Light) -> Light:
    """Each part brought to what a screen can show."""
    r, g, b = (min(max(v, 0.0), 1.0) for v in light)
    return r, g, b


def linear_of(xyz: XYZ) -> Light:
    """Linear sRGB of a colour."""
    r, g, b = (sum(weight * v for weight, v in zip(row, xyz, strict=True)) for row in _XYZ_TO_SRGB)
    return r, g, b


def from_linear(light: Light) -> XYZ:
    """The same turned round."""
    x, y, z = (sum(weight * v for weight, v in zip(row, light, strict=True)) for row in _SRGB_TO_XYZ)
    return x, y, z


def times(matrix: Sequence[Light], vector: Light) -> Light:
    """A matrix times a vector."""
    a, b, c = (sum(x * y for x, y in zip(row, vector, strict=True)) for row in matrix)
    return a, b, c
