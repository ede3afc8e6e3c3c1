"""Lettering on several lines."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Literal

from shapely.geometry import MultiPolygon

from decalgen.core.values import dataclass
from decalgen.lettering.outlines import Letter, TextLine, join, moved
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset

Align = Literal["left", "centre", "right"]

LINE_PITCH = 1.6
"""Default distance of baselines, in cap heights: open enough for accents on capitals (common practice, no
source)."""


@dataclass(frozen=True)
class TextBlock:
    """Lines of lettering, mm: ink from x = 0 to ``width``, the last baseline at y = 0, the first cap line
    at ``height``.

    ``ascent`` is how far accents rise above the first cap line, ``descent`` how far tails hang below the
    last baseline; neither is part of ``height``, since lettering is placed by its capitals.
    """

    region: MultiPolygon
    letters: tuple[Letter, ...]
    lines: tuple[TextLine, ...]
    width: float
    height: float
    ascent: float
    descent: float
    missing: tuple[str, ...] = ()
    borrowed: tuple[tuple[str, str], ...] = ()


def text_block(
    lines: str | Sequence[str],
    *,
    face: str,
    cap_height: float,
    line_pitch: float | None = None,
    align: Align = "centre",
    tracking: float = 0.0,
    axes: Mapping[str, float] | None = None,
    slant: float = 0.0,
) -> TextBlock:
    """Several lines in one face; ``line_pitch`` mm from baseline to baseline (default 1.6 cap heights).

    ``lines`` may be one string with line breaks. A blank line leaves its room. Raises as `typeset` does.
    """
    rows = lines.splitlines() if isinstance(lines, str) else list(lines)
    while rows and not rows[0].strip():
        rows.pop(0)
    while rows and not rows[-1].strip():
        rows.pop()
    if not rows:
        raise LetteringError("the lettering has no text", "write the text, or remove the lettering")
    if len(rows) > 100:
        raise LetteringError(f"{len(rows)} lines of lettering are too many", "use at most 100")
    if align not in ("left", "centre", "right"):
        raise LetteringError(f"lettering cannot be aligned '{align}'", "use left, centre or right")
    pitch = LINE_PITCH * cap_height if line_pitch is None else float(line_pitch)
    if len(rows) > 1 and not (math.isfinite(pitch) and pitch > 0):
        raise LetteringError(f"a line pitch of {pitch:g} mm is out of range", "use 1.4 to 2 cap heights")
    set_rows = [
        (
            typeset(row, face=face, cap_height=cap_height, tracking=tracking, axes=axes, slant=slant),
            pitch * (len(rows) - 1 - i),
        )
        for i, row in enumerate(rows)
        if row.strip()
    ]
    return _stacked(set_rows, align, cap_height, pitch * (len(rows) - 1))


def _stacked(rows: Sequence[tuple[TextLine, float]], align: Align, cap_height: float, top: float) -> TextBlock:
    width = max(line.width for line, _ in rows)
    share = {"left": 0.0, "centre": 0.5, "right": 1.0}[align]
    letters: list[Letter] = []
    for line, baseline in rows:
        dx = (width - line.width) * share
        letters += [moved(letter, dx, baseline) for letter in line.letters]
    ink = join([letter.region for letter in letters])
    height = top + cap_height
    return TextBlock(
        region=ink,
        letters=tuple(letters),
        lines=tuple(line for line, _ in rows),
        width=width,
        height=height,
        ascent=max(0.0, ink.bounds[3] - height),
        descent=max(0.0, -ink.bounds[1]),
        missing=tuple(dict.fromkeys(c for line, _ in rows for c in line.missing)),
        borrowed=tuple(dict.fromkeys(b for line, _ in rows for b in line.borrowed)),
    )
