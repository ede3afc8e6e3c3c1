"""CIEDE2000: how far apart two colours look."""

from __future__ import annotations

import math

from decalgen.colour.spaces import Lab


def delta_e_lab(one: Lab, other: Lab) -> float:
    """CIEDE2000 with kL = kC = kH = 1 (G. Sharma, W. Wu, E. N. Dalal, Color Research and Application 30:21, 2005,
    equations 2 to 22), from two CIE Lab triples. By hand, because a check of a job must not wait for the colour
    library; tests hold it against the published pairs and against that."""
    mean = (math.hypot(*one[1:]) + math.hypot(*other[1:])) / 2
    stretch = 1.5 - 0.5 * math.sqrt(mean**7 / (mean**7 + 25.0**7))
    (a1, b1), (a2, b2) = ((stretch * a, b) for _, a, b in (one, other))
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = (math.degrees(math.atan2(b, a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    turn = (h2 - h1 + 180) % 360 - 180 if c1 * c2 else 0.0
    if turn == -180:
        turn = 180.0 if h2 > h1 else -180.0
    middle = h1 + h2
    if c1 * c2:
        # The mean of two hues lies between them the short way round.
        middle = middle / 2 if abs(h1 - h2) <= 180 else (middle + (360 if middle < 360 else -360)) / 2
    hue = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn / 2))
    light, chroma = (one[0] + other[0]) / 2, (c1 + c2) / 2
    t = (
        1
        - 0.17 * math.cos(math.radians(middle - 30))
        + 0.24 * math.cos(math.radians(2 * middle))
        + 0.32 * math.cos(math.radians(3 * middle + 6))
        - 0.20 * math.cos(math.radians(4 * middle - 63))
    )
    s_light = 1 + 0.015 * (light - 50) ** 2 / math.sqrt(20 + (light - 50) ** 2)
    dl, dc, dh = (other[0] - one[0]) / s_light, (c2 - c1) / (1 + 0.045 * chroma), hue / (1 + 0.015 * chroma * t)
    blue = 30 * math.exp(-(((middle - 275) / 25) ** 2))
    twist = -2 * math.sqrt(chroma**7 / (chroma**7 + 25.0**7)) * math.sin(math.radians(2 * blue))
    return math.sqrt(max(dl * dl + dc * dc + dh * dh + twist * dc * dh, 0.0))
