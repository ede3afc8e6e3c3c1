"""Bringing a colour into sRGB at its own hue and lightness.

The search of CSS Color 4, 13.2 (binary search of chroma with local clipping), in CIE LCh under D65, the white of sRGB,
with CIEDE2000 and a just noticeable difference of 2. By hand, because a check of a job must not wait for the colour
library; tests hold it against that.
"""

from __future__ import annotations

import math

from decalgen.colour.ciede2000 import delta_e_lab
from decalgen.colour.spaces import XYZ, Coded, Lab, Light, clipped, coded_of, lab_under, linear_of, times, xyz_under

JUST_NOTICEABLE = 2.0
NEAR = 0.01
"""How near to a just noticeable difference the search stops."""
LEAST = 1e-4
"""Chroma is known this well at the end."""

# Linear sRGB to XYZ under D65 and back (from the primaries and white of IEC 61966-2-1).
_TO_XYZ = (
    (0.41239079926595934, 0.357584339383878, 0.1804807884018343),
    (0.21263900587151027, 0.715168678767756, 0.07219231536073371),
    (0.01933081871559182, 0.11919477979462598, 0.9505321522496607),
)
_FROM_XYZ = (
    (3.2409699419045226, -1.537383177570094, -0.4986107602930034),
    (-0.9692436362808796, 1.8759675015077202, 0.04155505740717559),
    (0.05563007969699366, -0.20397695888897652, 1.0569715142428786),
)
_D65 = (0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290)


def brought_in(xyz: XYZ) -> Coded:
    """Coded sRGB, 0 to 1, of the nearest colour that a screen can show."""
    light = linear_of(xyz)
    lightness, a, b = _lab(light)
    if not 1e-6 < lightness < 100 - 1e-6:
        level = float(lightness > 50)
        return level, level, level
    nearest = clipped(light)
    if delta_e_lab((lightness, a, b), _lab(nearest)) <= JUST_NOTICEABLE:
        return coded_of(nearest)
    low, high = 0.0, math.hypot(a, b)
    cos, sin = a / high, b / high
    inside = True
    while high - low > LEAST:
        chroma = (low + high) / 2
        tried: Lab = (lightness, chroma * cos, chroma * sin)
        light = times(_FROM_XYZ, xyz_under(_D65, tried))
        if inside and all(0 <= v <= 1 for v in light):
            low = chroma
            continue
        nearest = clipped(light)
        off = delta_e_lab(tried, _lab(nearest))
        if off >= JUST_NOTICEABLE:
            high = chroma
        elif JUST_NOTICEABLE - off < NEAR:
            break
        else:
            inside, low = False, chroma
    return coded_of(nearest)


def _lab(light: Light) -> Lab:
    return lab_under(_D65, times(_TO_XYZ, light))
