"""What stands at the head of every picture, and how wide all are: shown at one width, they have type of one size.
Pure; mm."""

from __future__ import annotations

from decalgen.core import style
from decalgen.lettering.paper import wrap
from decalgen.pages.composer import Sheaf

WIDE = 158.0
"""Width of every picture, mm."""
PAD = style.MARGIN
TITLE = 5.6
"""From line to line of a picture's name, mm."""
LINE = 4.0
"""From line to line of the words under it, mm."""


def head_height(name: str, words: str) -> float:
    """How far below a picture's upper edge its name and the words under it reach, mm."""
    rows = len(wrap(name, style.TYPE_TITLE, WIDE - 2 * PAD, True))
    return PAD + TITLE * rows + LINE * len(wrap(words, style.TYPE_REST, WIDE - 2 * PAD))


def write_head(sheaf: Sheaf, name: str, words: str) -> None:
    """The name of a picture and the words under it, at the top of its page."""
    y = sheaf.height - PAD - 2.6
    for row in wrap(name, style.TYPE_TITLE, WIDE - 2 * PAD, True):
        sheaf.text(PAD, y, row, style.TYPE_TITLE, bold=True)
        y -= TITLE
    for row in wrap(words, style.TYPE_REST, WIDE - 2 * PAD):
        sheaf.text(PAD, y + 0.6, row, style.TYPE_REST)
        y -= LINE
