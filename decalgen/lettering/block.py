"""Block letters of our own: strokes on a small grid, drawn to any height, width, stroke and corner.

For race numbers, plates and stencilled names, whose makers gave measures instead of a typeface.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import replace
from functools import lru_cache

import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.geometry import leant, polygons
from decalgen.lettering.alphabet import STEM_ONLY, STROKES, WIDE_BARS
from decalgen.lettering.outlines import Letter, TextLine, borrowed_letter, checked_text, clusters, join, moved, placed
from decalgen.lettering.strokes import MARKS, Draft, Pen
from decalgen.lettering.styles import LEAST_WIDTHS, BlockStyle, block_faces
from decalgen.lettering.typeface import LetteringError

__all__ = ["BlockStyle", "block_letter", "block_line", "has_block"]

THICKEST = 0.42
"""A stroke over this share of a letter's width leaves no counter worth the name."""

TOLD_APART = "BD\u00d0"
"""With square corners a B would be an 8 and a D an O: these keep their bends chamfered a little."""


HANGS, TAILS = "j", "gjpqyQ,;_"
"""A letter whose tail hangs under the one before it, and those under which there is no room for that."""

SMALLER, LIGHTER, RUN = 0.48, 0.6, 0.36
"""The height of a fraction's figures in cap heights, their stroke in strokes, and how far its bar leans in cap
heights."""


def has_block(cluster: str) -> bool:
    """Whether the block alphabet draws this letter, accents included."""
    if _fraction(cluster):
        return True
    parts = _parts(cluster)
    base, marks = parts[0], parts[1:]
    return (base in STROKES or base in STEM_ONLY) and all(mark in MARKS for mark in marks)


def _fraction(cluster: str) -> tuple[str, str] | None:
    """The figures over and under the bar of a fraction that is one character."""
    over, bar, under = unicodedata.normalize("NFKC", cluster).partition("\u2044")
    return (over, under) if bar and all(one in STROKES or one in STEM_ONLY for one in over + under) else None


def _parts(cluster: str) -> str:
    return cluster if cluster in STROKES else unicodedata.normalize("NFD", cluster)


@lru_cache(maxsize=2048)
def block_letter(letter: str, style: BlockStyle) -> MultiPolygon:
    """One letter's area, mm: its box begins at x = 0, the baseline is y = 0. Raises `LetteringError`."""
    if fraction := _fraction(letter):
        return _fraction_area(*fraction, style)
    parts = _parts(letter)
    base, marks = parts[0], parts[1:]
    if not has_block(letter):
        raise LetteringError(f"the block alphabet has no '{letter}'", "choose a face that has it")
    width, pen = style.letter_width(base), style.pen
    strokes = STROKES.get(base, "")
    if base in STEM_ONLY:
        strokes = WIDE_BARS[base] if width > 2 * pen else STEM_ONLY[base]
    if pen > THICKEST * width and _has_counter(base, strokes):
        raise LetteringError(
            f"a stroke of {pen:.3g} mm closes a '{letter}' {width:.3g} mm wide",
            f"use {THICKEST * width:.3g} mm at most, or wider letters",
        )
    corner, bend = style.corner, style.bend
    if bend == 0.0 and base in TOLD_APART:
        corner, bend = "chamfer", 0.8 * pen
    tool = Pen(pen, corner, bend, style.ends == "round", style.thin_slants)
    lean = math.tan(math.radians(style.slant))
    return Draft(width, style.height, tool).letter(base, strokes, marks, lean)


def _fraction_area(over: str, under: str, style: BlockStyle) -> MultiPolygon:
    """Small figures in the face's own strokes, on either side of a leaning bar."""
    high = SMALLER * style.height
    wide = None if style.width is None else 0.6 * style.width
    corner = None if style.corner_size is None else 0.6 * style.corner_size
    pen = min(LIGHTER * style.pen, 0.24 * high)
    small = replace(style, height=high, width=wide, stroke=pen, corner_size=corner, slant=0.0)
    apart = 0.6 * style.space
    top, top_wide = _figures(over, small, apart)
    foot, _ = _figures(under, small, apart)
    run = RUN * style.height
    across = pen * math.hypot(run, style.height) / style.height
    left = top_wide + apart - (1 - SMALLER) * run
    bar = Polygon([(left, 0), (left + across, 0), (left + across + run, style.height), (left + run, style.height)])
    parts = [
        shapely.affinity.translate(top, 0.0, style.height - high),
        bar,
        shapely.affinity.translate(foot, left + across + SMALLER * run + apart, 0.0),
    ]
    whole = shapely.affinity.translate(shapely.union_all(parts), max(0.0, -left), 0.0)
    return MultiPolygon(polygons(leant(whole, math.tan(math.radians(style.slant)))))


def _figures(text: str, style: BlockStyle, apart: float) -> tuple[shapely.Geometry, float]:
    """Figures side by side, and how wide they are."""
    areas: list[shapely.Geometry] = []
    x = 0.0
    for one in text:
        areas.append(shapely.affinity.translate(block_letter(one, style), x, 0.0))
        x += style.letter_width(one) + apart
    return shapely.union_all(areas), x - apart


def _has_counter(base: str, strokes: str) -> bool:
    two_columns = not strokes or len(set(re.findall(r"[-0-9.]+", strokes))) > 1
    return base.isalnum() and base not in LEAST_WIDTHS and two_columns


def _width(cluster: str, area: MultiPolygon, style: BlockStyle) -> float:
    """The width of a letter's box, mm."""
    if _fraction(cluster):
        return float(area.bounds[2] - area.bounds[0])
    return style.letter_width(_parts(cluster)[0])


def block_line(text: str, style: BlockStyle) -> TextLine:
    """A line of block letters: boxes ``style.space`` apart, first ink at x = 0, baseline at y = 0.

    A letter the alphabet lacks is borrowed from a face. Raises `LetteringError` as `typeset` does.
    """
    letters: list[Letter] = []
    missing: list[str] = []
    borrowed: list[tuple[str, str]] = []
    x = 0.0
    between = 0.0
    spaces = 0
    for cluster in clusters(checked_text(text)):
        if cluster.isspace():
            spaces += 1 if letters else 0
            between = spaces * style.word_space
            continue
        if has_block(cluster):
            area = block_letter(cluster, style)
            wide, source = _width(cluster, area, style), "Block"
        else:
            loan = borrowed_letter(cluster, block_faces()[0], style.height, style.pen / style.height, style.slant)
            if loan is None:
                missing.append(cluster)
                continue
            area, wide, source = loan
            borrowed.append((cluster, source))
        x += between
        if cluster == HANGS and letters and letters[-1].text not in TAILS:
            # Its stem is what the eye spaces by.
            x -= wide - style.pen
        standing = placed(area, 1.0, x, 0.0)
        left, _, right, _ = standing.bounds
        letters.append(Letter(cluster, standing, left, right, x, wide, source, spaces > 0))
        x += wide
        between, spaces = style.space, 0
    if not letters:
        raise LetteringError("the lettering has no letter any face can draw", "write letters, digits or punctuation")
    first = min(letter.left for letter in letters)
    done = tuple(moved(letter, -first) for letter in letters)
    return TextLine(
        region=join([letter.region for letter in done]),
        letters=done,
        width=max(letter.right for letter in done),
        advance=x,
        cap_height=style.height,
        missing=tuple(dict.fromkeys(missing)),
        borrowed=tuple(dict.fromkeys(borrowed)),
    )
