"""A line of text in any face, a font's or a block alphabet, to closed outlines: baseline at y = 0, ink from x = 0."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from decalgen.core.geometry import leant
from decalgen.lettering.block import block_line
from decalgen.lettering.faces import face as face_named
from decalgen.lettering.outlines import TextLine, font_line, join, placed
from decalgen.lettering.shaping import Axes, checked_axes
from decalgen.lettering.styles import block_style
from decalgen.lettering.typeface import Face, LetteringError

MOST_SLANT = 45.0
"""Lettering leant further, in degrees, is a slip."""


def typeset(
    text: str,
    *,
    face: str,
    cap_height: float,
    tracking: float = 0.0,
    axes: Mapping[str, float] | None = None,
    ligatures: bool = True,
    slant: float = 0.0,
) -> TextLine:
    """``text`` in ``face``, its H exactly ``cap_height`` mm high; ``tracking`` mm are added between letters.

    ``axes`` sets a variable face (``{"wght": 700}``); what is not named stays at the face's default.
    Tracked text is set without ligatures. ``slant`` leans every letter by so many degrees from the vertical, to the
    right where positive. The result is cached.
    Raises `UnknownFace`, and `LetteringError` for text that is empty, too long, has control characters or
    no glyph in any face, and for sizes and axis values that make no sense.
    """
    main = face_named(face)
    if not (math.isfinite(cap_height) and 0.01 <= cap_height <= 2000):
        raise LetteringError(f"a cap height of {cap_height:g} mm is out of range", "use 0.01 to 2000 mm")
    if not math.isfinite(tracking) or abs(tracking) > 100 * cap_height:
        raise LetteringError(f"a tracking of {tracking:g} mm is out of range", "use a few tenths of the cap height")
    wished = tuple(sorted((tag, float(value)) for tag, value in (axes or {}).items()))
    if not (math.isfinite(slant) and abs(slant) <= MOST_SLANT):
        raise LetteringError(f"a slant of {slant:g} degrees is out of range for lettering", "use -45 to 45")
    if main.drawn:
        line = _drawn_line(text, main, float(cap_height), float(tracking), wished)
    else:
        # Letters set apart must not stay joined in a ligature.
        line = font_line(text, main, float(cap_height), float(tracking), wished, ligatures and tracking == 0)
    return _leant(line, float(slant)) if slant else line


@lru_cache(maxsize=512)
def _leant(line: TextLine, slant: float) -> TextLine:
    """A line with every letter leant on the baseline: the gaps between them stay as they are."""
    lean = math.tan(math.radians(slant))
    areas = [leant(one.region, lean) for one in line.letters]
    first = min(area.bounds[0] for area in areas)
    letters = tuple(
        replace(one, region=moved, left=moved.bounds[0], right=moved.bounds[2], origin=one.origin - first)
        for one, area in zip(line.letters, areas, strict=True)
        for moved in (placed(area, 1.0, -first, 0.0),)
    )
    return replace(
        line,
        region=join([one.region for one in letters]),
        letters=letters,
        width=max(one.right for one in letters),
    )


@lru_cache(maxsize=2048)
def _drawn_line(text: str, main: Face, cap_height: float, tracking: float, wished: Axes) -> TextLine:
    axes = dict(wished)
    checked_axes(main, axes)
    return block_line(text, block_style(main, cap_height, axes, tracking))
