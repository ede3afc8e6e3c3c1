"""Plain colour names to start from. They stand for nobody's paint; measure the real one where it matters.

Chosen for this project: none is a name of CSS or of a register of paints, so that no number of such a register is
expected behind it. Each is far enough from the others to be told apart by name (tests hold both).
"""

from __future__ import annotations

PALETTE: dict[str, str] = {
    "chalk": "#f4f2ea",
    "oat cream": "#eadfbd",
    "rope cream": "#e4cba0",
    "straw": "#dcc274",
    "egg yolk": "#f2b417",
    "lemon peel": "#f3df2f",
    "lifebuoy orange": "#e8641b",
    "rust": "#9c4a22",
    "berry red": "#c21f2c",
    "cherry dark": "#7a1722",
    "blossom": "#e59aa5",
    "plum dark": "#4f2350",
    "night sea": "#1d2b4a",
    "ferry blue": "#1f55a5",
    "noon blue": "#6bb1df",
    "ice": "#cfe3ea",
    "harbour teal": "#127077",
    "meadow": "#4f9c3a",
    "young leaf": "#a5c644",
    "deep wood": "#1e4a2e",
    "reed": "#7b7a42",
    "earth": "#5b3a26",
    "biscuit": "#bf9a6b",
    "rain": "#a9adb0",
    "wet stone": "#5d6266",
    "soot": "#1c1c1e",
}
"""Name → '#rrggbb' (sRGB) as seen on white paper."""
