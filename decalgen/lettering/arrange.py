"""Lettering brought to a place: spaced to a width, fitted into a box, run between two points."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

import shapely
from shapely.geometry import MultiPolygon

from decalgen.core.geometry import Point
from decalgen.lettering.outlines import Letter, TextLine, join, moved
from decalgen.lettering.text import LINE_PITCH, Align, TextBlock, text_block
from decalgen.lettering.typeface import LetteringError, check_size
from decalgen.lettering.typesetting import typeset

TIGHTEST, WIDEST = -0.5, 5.0
"""Tracking beyond these shares of the cap height is no lettering any more."""


def spaced(line: TextLine, width: float, by: Literal["letters", "words"] = "letters") -> TextLine:
    """A line set without ligatures, spaced so that its ink is exactly ``width`` mm: between all letters, or between
    the words only.

    Raises `LetteringError` where there is nothing to space, or letters would have to overlap.
    """
    check_size("width", width)
    text = "".join(" " * letter.begins_word + letter.text for letter in line.letters)
    groups = _words(line) if by == "words" else [[letter] for letter in line.letters]
    if len(groups) < 2:
        what = "words" if by == "words" else "letters"
        raise LetteringError(f"'{text}' has no {what} to space out", "give two or more, or fit it into a box")
    share = (width - line.width) / (len(groups) - 1)
    if not TIGHTEST * line.cap_height <= share <= WIDEST * line.cap_height:
        raise LetteringError(
            f"'{text}' is {line.width:.2f} mm wide and cannot be spaced to {width:.2f} mm",
            "choose another width, cap height or face",
        )
    return _moved_apart(line, groups, share)


def tracked(line: TextLine, by: float) -> TextLine:
    """A line with its letters ``by`` mm further apart."""
    return _moved_apart(line, [[letter] for letter in line.letters], by)


def _moved_apart(line: TextLine, groups: Sequence[Sequence[Letter]], share: float) -> TextLine:
    letters = tuple(moved(letter, i * share) for i, group in enumerate(groups) for letter in group)
    return replace(
        line,
        region=join([letter.region for letter in letters]),
        letters=letters,
        width=max(letter.right for letter in letters),
        advance=line.advance + share * (len(groups) - 1),
    )


def _words(line: TextLine) -> list[list[Letter]]:
    words: list[list[Letter]] = []
    for letter in line.letters:
        if letter.begins_word or not words:
            words.append([])
        words[-1].append(letter)
    return words


def fit(
    lines: str | Sequence[str],
    width: float,
    height: float,
    *,
    face: str,
    line_pitch: float = LINE_PITCH,
    align: Align = "centre",
    axes: Mapping[str, float] | None = None,
    slant: float = 0.0,
) -> TextBlock:
    """The largest lettering that goes into a box of ``width`` by ``height`` mm, accents and tails included.

    ``line_pitch`` is in cap heights here, since the cap height is what is looked for.
    """
    check_size("width", width)
    check_size("height", height)

    def at(cap: float) -> TextBlock:
        return text_block(
            lines,
            face=face,
            cap_height=cap,
            line_pitch=line_pitch * cap,
            align=align,
            axes=axes,
            slant=slant,
        )

    trial = at(10.0)
    tall = trial.ascent + trial.height + trial.descent
    cap = 10.0 * min(width / trial.width, height / tall)
    # Flattening is finer or coarser at another size: by a hair the result may stand out of the box.
    for _ in range(5):
        found = at(cap)
        over = max(found.width / width, (found.ascent + found.height + found.descent) / height)
        if over <= 1.0:
            break
        cap /= over * (1 + 1e-9)
    return found


def between(
    text: str,
    start: Point,
    end: Point,
    *,
    face: str,
    cap_height: float,
    by: Literal["spacing", "stretching"] = "spacing",
    axes: Mapping[str, float] | None = None,
) -> MultiPolygon:
    """``text`` with its baseline running from ``start`` to ``end`` (mm) and its ink from one to the other.

    ``by`` spacing moves the letters apart and leaves them as they are; by stretching makes them wider or narrower.
    """
    # Letters moved apart must not stay joined in a ligature.
    line = typeset(text, face=face, cap_height=cap_height, axes=axes, ligatures=by != "spacing")
    return run_between(line, start, end, by).region


def run_between(line: TextLine, start: Point, end: Point, by: Literal["spacing", "stretching"] = "spacing") -> TextLine:
    """A line laid as `between` says; its letters' ``left`` and ``right`` are along the baseline, from ``start``."""
    if not all(math.isfinite(v) for v in (*start, *end)):
        raise LetteringError("the lettering's ends are not points", "give x and y of both")
    length = math.dist(start, end)
    check_size("distance of the two points", length)
    laid = spaced(line, length) if by == "spacing" else _stretched(line, length / line.width)
    angle = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))

    def placed(area: MultiPolygon) -> MultiPolygon:
        turned = shapely.affinity.rotate(area, angle, origin=(0.0, 0.0))
        return MultiPolygon(shapely.get_parts(shapely.affinity.translate(turned, *start)).tolist())

    letters = tuple(replace(letter, region=placed(letter.region)) for letter in laid.letters)
    return replace(laid, region=placed(laid.region), letters=letters)


def _stretched(line: TextLine, by: float) -> TextLine:
    def wide(area: MultiPolygon) -> MultiPolygon:
        return MultiPolygon(shapely.get_parts(shapely.affinity.scale(area, by, 1.0, origin=(0.0, 0.0))).tolist())

    letters = tuple(
        replace(x, region=wide(x.region), left=x.left * by, right=x.right * by, advance=x.advance * by)
        for x in line.letters
    )
    return replace(line, region=wide(line.region), letters=letters, width=line.width * by, advance=line.advance * by)
