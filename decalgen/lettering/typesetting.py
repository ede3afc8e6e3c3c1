"""A line of text in any face, a font's or a block alphabet, to closed outlines: baseline at y = 0, ink from x = 0."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache

from decalgen.lettering.block import block_line
from decalgen.lettering.faces import face as face_named
from decalgen.lettering.outlines import TextLine, font_line
from decalgen.lettering.shaping import Axes, checked_axes
from decalgen.lettering.styles import block_style
from decalgen.lettering.typeface import Face, LetteringError


def typeset(
    text: str,
    *,
    face: str,
    cap_height: float,
    tracking: float = 0.0,
    axes: Mapping[str, float] | None = None,
    ligatures: bool = True,
) -> TextLine:
    """``text`` in ``face``, its H exactly ``cap_height`` mm high; ``tracking`` mm are added between letters.

    ``axes`` sets a variable face (``{"wght": 700}``); what is not named stays at the face's default.
    Tracked text is set without ligatures. The result is cached.
    Raises `UnknownFace`, and `LetteringError` for text that is empty, too long, has control characters or
    no glyph in any face, and for sizes and axis values that make no sense.
    """
    main = face_named(face)
    if not (math.isfinite(cap_height) and 0.01 <= cap_height <= 2000):
        raise LetteringError(f"a cap height of {cap_height:g} mm is out of range", "use 0.01 to 2000 mm")
    if not math.isfinite(tracking) or abs(tracking) > 100 * cap_height:
        raise LetteringError(f"a tracking of {tracking:g} mm is out of range", "use a few tenths of the cap height")
    wished = tuple(sorted((tag, float(value)) for tag, value in (axes or {}).items()))
    if main.drawn:
        return _drawn_line(text, main, float(cap_height), float(tracking), wished)
    # Letters set apart must not stay joined in a ligature.
    return font_line(text, main, float(cap_height), float(tracking), wished, ligatures and tracking == 0)


@lru_cache(maxsize=2048)
def _drawn_line(text: str, main: Face, cap_height: float, tracking: float, wished: Axes) -> TextLine:
    axes = dict(wished)
    checked_axes(main, axes)
    return block_line(text, block_style(main, cap_height, axes, tracking))
