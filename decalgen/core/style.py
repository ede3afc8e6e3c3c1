"""The one look of sheets, proofs, guides and the page, in one place.

Calm workshop paper: a warm ground, dark text, one accent. Every colour of text or line below reaches 4.5:1 on
both grounds (WCAG 2.2, success criterion 1.4.3), and none is ever the only carrier of a meaning: an error
also says so. Lengths are millimetres, type sizes are typographic points, angles are degrees.
"""

from __future__ import annotations

# ------------------------------------------------------------------------------------------------- colours
GROUND = "#faf8f4"
"""Behind pictures and pages on a screen; never printed."""

PAPER = "#ffffff"
"""Behind anything that is printed."""

TEXT = "#22262b"
QUIET = "#5a6068"
"""Text and lines that step back: dimension lines, captions, scale bars."""

ACCENT = "#0f6b73"
ERROR = "#a3342a"
WARNING = "#8a5300"
GOOD = "#2f6b3c"

RULE = "#d8d3c8"
"""Hairlines that only divide; they carry no meaning, so no contrast is asked of them."""

OBSTACLE = "#c9ccd1"
"""What stands on a panel and takes no decal: handles, gaps, rivets, vents."""

HATCH = "#9aa3ad"
"""The white underlay on paper, shown as a hatch because white on white shows nothing."""

TINT_GOOD = "#e4efe6"
"""The ground of what is free to use; words stand on it."""

BAND = "#e6e9ea"
"""The band that begins a block of paper; words stand on it."""

TINT_CODE = "#f0ebe1"
"""Behind what is typed, on a screen and on paper."""

# The same on a dark screen; paper is never dark.
NIGHT_GROUND = "#17191c"
NIGHT_TEXT = "#e6e2d9"
NIGHT_QUIET = "#a3a9b0"
NIGHT_ACCENT = "#5cbac3"
NIGHT_RULE = "#3a4046"
NIGHT_TINT_CODE = "#23292d"

# ---------------------------------------------------------------------------------------------------- type
TYPE_SMALL = 8.0
"""Column heads and feet of paper. Nothing but the number of a piece is smaller; in this family that is a cap height of
1.94 mm.
"""
TYPE_REST = 8.5
"""What is read once: instructions, notes, sizes that are only told."""
TYPE_BODY = 9.0
"""What is read at the bench: names and sizes."""
TYPE_FIND = 10.0
"""Bold: what the eye looks for first, a block's name or a decal's number."""
TYPE_TITLE = 12.0

LEADING = 1.35
"""Line to line, as a multiple of the type size."""

# --------------------------------------------------------------------------------------------------- lines
LINE_CUT = 0.35
"""Cut or measure here."""
LINE_PANEL = 0.25
LINE_TRIM = 0.13
DASH_TRIM = (1.2, 0.8)
LINE_DIMENSION = 0.13
LINE_RULE = 0.13
LINE_MARK = 0.1
LINE_HATCH = 0.13

# --------------------------------------------------------------------------------------------- dimensions
# ISO 129-1: open arrowheads of 30 degrees, figures above the line (recalled, not read again here).
ARROW_LENGTH = 1.6
ARROW_ANGLE = 30.0


# --------------------------------------------------------------------------------------------------- marks
REGISTRATION_CIRCLE = 2.0
REGISTRATION_CROSS = 4.0
"""Diameter of the circle and length of the cross of a registration mark: 4 mm overall."""

CROP_MARK = 6.0
CHECK_BAR = 100.0


# -------------------------------------------------------------------------------------------------- layout
GRID = 2.0
MARGIN = 10.0
"""From the paper's edge to what is printed: five steps of the grid; most home printers leave less than this
bare.
"""

WIDE_MARGIN = 12.0
"""The margin of paper as large as A4."""

GAP = 4.0

READING_BOX = (18.0, 8.0)
"""Width and height of a box that a reading is written into with a pencil, at least."""

TICK_BOX = 3.2
"""Side of a box to tick."""


def margin(width: float, height: float) -> float:
    """The margin of a page of paper of that size, mm."""
    return WIDE_MARGIN if min(width, height) >= 200.0 else MARGIN


def step(count: float) -> float:
    """``count`` steps of the grid, mm."""
    return count * GRID
