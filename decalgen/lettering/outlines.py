"""Text in the faces with a font file to closed outlines: letters, the runs they come in, joining them; mm."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import groupby
from operator import itemgetter

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from decalgen.core.geometry import TOLERANCE, leant
from decalgen.core.values import dataclass
from decalgen.lettering.bidi import is_mixed, stretches
from decalgen.lettering.borrowing import as_bold, lender, stem_share
from decalgen.lettering.shaping import Axes, Glyph, cap_share, checked_axes, outline, shape
from decalgen.lettering.typeface import Face, LetteringError

LONGEST = 500
"""Characters in one line of lettering; more is a mistake, not a livery."""


@dataclass(frozen=True)
class Letter:
    """One letter with ink (a ligature counts as one): its text, its outline and where it stands, mm.

    ``left`` and ``right`` are its ink's; ``origin`` is where its advance begins; ``face`` is the one it
    came from; ``begins_word`` tells that a space stands before it.
    """

    text: str
    region: MultiPolygon
    left: float
    right: float
    origin: float
    advance: float
    face: str
    begins_word: bool = False


@dataclass(frozen=True)
class TextLine:
    """A line of lettering, mm. ``width`` is from the first ink to the last, ``advance`` the sum of the
    advances.

    ``missing`` lists characters no face has (they are left out); ``borrowed`` those taken from another
    face, with its name.
    """

    region: MultiPolygon
    letters: tuple[Letter, ...]
    width: float
    advance: float
    cap_height: float
    missing: tuple[str, ...] = ()
    borrowed: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class TextRun:
    """A stretch of text in one face."""

    face: Face
    axes: Axes
    text: str
    leftward: bool = False
    """Whether it runs from right to left. Runs stand in the order they have on paper, their text as it is read."""


@lru_cache(maxsize=2048)
def font_line(text: str, main: Face, cap_height: float, tracking: float, wished: Axes, ligatures: bool) -> TextLine:
    """``text`` in a face with a font file, as `typesetting.typeset` says. Raises `LetteringError`."""
    runs, missing, borrowed = runs_of(text, main, checked_axes(main, dict(wished)))
    letters, advance = _letters(runs, cap_height, tracking, ligatures)
    if not letters:
        raise LetteringError(
            f"'{_shown(text)}' has no letter any face can draw",
            "write it in letters, digits or punctuation; draw pictures as shapes",
        )
    left = min(letter.left for letter in letters)
    letters = tuple(moved(letter, -left) for letter in letters)
    return TextLine(
        region=join([letter.region for letter in letters]),
        letters=letters,
        width=max(letter.right for letter in letters),
        advance=advance,
        cap_height=cap_height,
        missing=missing,
        borrowed=borrowed,
    )


def checked_text(text: str, longest: int = LONGEST) -> str:
    """The text in composed form, without invisible formatting characters.

    Raises `LetteringError` when it is empty, longer than ``longest``, or holds control characters.
    """
    if len(text) > longest:
        raise LetteringError(
            f"lettering of {len(text)} characters is too long", f"use at most {longest} characters in a line"
        )
    for place, character in enumerate(text, start=1):
        if unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp"):
            name = {"\n": "a line break", "\r": "a line break", "\t": "a tab"}.get(
                character, f"the control character U+{ord(character):04X}"
            )
            fix = "give each line by itself" if name == "a line break" else "remove it"
            raise LetteringError(f"'{_shown(text)}' has {name} as character {place}", fix)
    kept = "".join(c for c in text if unicodedata.category(c) != "Cf")
    if not kept.strip():
        raise LetteringError("the lettering has no text", "write the text, or remove the lettering")
    return unicodedata.normalize("NFC", kept)


def runs_of(text: str, main: Face, axes: Axes) -> tuple[list[TextRun], tuple[str, ...], tuple[tuple[str, str], ...]]:
    """The text split by face and by the way it runs: ``main`` where it has the letters, the next face that has them
    where not."""
    runs: list[TextRun] = []
    missing: list[str] = []
    borrowed: list[tuple[str, str]] = []
    pending: list[tuple[Face, str]] = []
    for cluster in clusters(checked_text(text)):
        home = lender(cluster, main)
        if home is None:
            if cluster not in missing:
                missing.append(cluster)
            continue
        if home != main and (cluster, home.name) not in borrowed:
            borrowed.append((cluster, home.name))
        pending.append((home, cluster))
    for stretch in _in_order(pending):
        mine: list[TextRun] = []
        for home, those in groupby(stretch.letters, key=itemgetter(0)):
            bold = axes if home == main else as_bold(home, round(stem_share(main, axes), 3))
            mine.append(TextRun(home, bold, "".join(cluster for _, cluster in those), stretch.leftward))
        runs += mine[::-1] if stretch.leftward else mine
    return runs, tuple(missing), tuple(borrowed)


@dataclass(frozen=True, slots=True)
class _OneWay:
    """Letters with their faces that run one way, as they are read."""

    letters: list[tuple[Face, str]]
    leftward: bool


def _in_order(pending: list[tuple[Face, str]]) -> list[_OneWay]:
    """Letters by the way they run, in the order they stand. An accent never parts from its letter."""
    text = "".join(cluster for _, cluster in pending)
    if not is_mixed(text):
        return [_OneWay(pending, False)]
    starts: list[int] = []
    at = 0
    for _, cluster in pending:
        starts.append(at)
        at += len(cluster)
    return [
        _OneWay([pending[i] for i, start in enumerate(starts) if one.start <= start < one.end], one.leftward)
        for one in stretches(text)
    ]


def clusters(text: str) -> list[str]:
    """The text letter by letter, each with its accents."""
    found: list[str] = []
    for character in text:
        if found and unicodedata.category(character) in ("Mn", "Me", "Mc"):
            found[-1] += character
        else:
            found.append(character)
    return found


def borrowed_letter(
    cluster: str, main: Face, cap_height: float, stem: float, slant: float
) -> tuple[MultiPolygon, float, str] | None:
    """A letter a block alphabet lacks, from a face that has it: area from x = 0, width, face; None without one.

    ``stem`` is in cap heights.
    """
    home = lender(cluster, main)
    if home is None:
        return None
    line = font_line(cluster, home, float(cap_height), 0.0, as_bold(home, round(stem, 3)), True)
    return leant(line.region, math.tan(math.radians(slant))), line.width, home.name


def _letters(
    runs: Sequence[TextRun], cap_height: float, tracking: float, ligatures: bool
) -> tuple[tuple[Letter, ...], float]:
    features = () if ligatures else (("liga", False), ("clig", False))
    letters: list[Letter] = []
    x = 0.0
    spaced = False
    for number, run in enumerate(runs):
        scale = cap_height / cap_share(run.face.file, run.axes)
        groups = _grouped(shape(run.face.file, run.axes, run.text, features, run.leftward), run.text)
        for place, (text, glyphs) in enumerate(groups):
            advance = sum(g.advance for g in glyphs) * scale
            ink = _ink(run, glyphs, scale, x - glyphs[0].pen * scale)
            if not ink.is_empty:
                left, _, right, _ = ink.bounds
                letters.append(Letter(text, ink, left, right, x, advance, run.face.name, spaced))
                spaced = False
            elif letters and text.isspace():
                spaced = True
            x += advance
            if not (number == len(runs) - 1 and place == len(groups) - 1):
                x += tracking
    return tuple(letters), x


def _grouped(glyphs: Iterable[Glyph], text: str) -> list[tuple[str, list[Glyph]]]:
    """Glyphs by the letter they belong to (a base and its marks; the parts of a ligature are one glyph)."""
    groups: list[tuple[int, list[Glyph]]] = []
    for glyph in glyphs:
        if groups and groups[-1][0] == glyph.cluster:
            groups[-1][1].append(glyph)
        else:
            groups.append((glyph.cluster, [glyph]))
    # From right to left the clusters count down.
    starts = sorted(start for start, _ in groups)
    end_of = dict(zip(starts, [*starts[1:], len(text)], strict=True))
    return [(text[start : end_of[start]], members) for start, members in groups]


def _ink(run: TextRun, glyphs: Sequence[Glyph], scale: float, dx: float) -> MultiPolygon:
    tolerance = rounded_down(TOLERANCE / scale)
    parts = [
        placed(outline(run.face.file, run.axes, g.gid, tolerance), scale, dx + g.x * scale, g.y * scale) for g in glyphs
    ]
    return parts[0] if len(parts) == 1 else join(parts)


def rounded_down(tolerance: float) -> float:
    """The next smaller power of two, so that sizes near each other share flattened glyphs."""
    return float(2.0 ** math.floor(math.log2(tolerance)))


def placed(ink: MultiPolygon, scale: float, dx: float, dy: float) -> MultiPolygon:
    """The areas scaled, then shifted."""
    shift = np.array((dx, dy))
    return MultiPolygon(shapely.get_parts(shapely.transform(ink, lambda xy: xy * scale + shift)).tolist())


def moved(letter: Letter, dx: float, dy: float = 0.0) -> Letter:
    """The letter shifted, mm."""
    if dx == 0.0 and dy == 0.0:
        return letter
    return replace(
        letter,
        region=placed(letter.region, 1.0, dx, dy),
        left=letter.left + dx,
        right=letter.right + dx,
        origin=letter.origin + dx,
    )


def join(parts: Sequence[MultiPolygon]) -> MultiPolygon:
    """The areas as one: put side by side where they keep apart, united where any touch (joined script,
    tight tracking)."""
    full = [part for part in parts if not part.is_empty]
    if _apart(full):
        return MultiPolygon([polygon for part in full for polygon in part.geoms])
    merged = shapely.union_all(full)
    return MultiPolygon([p for p in shapely.get_parts(merged) if isinstance(p, shapely.Polygon)])


def _apart(parts: Sequence[MultiPolygon]) -> bool:
    if len(parts) < 2:
        return True
    tree = shapely.STRtree(parts)
    first, second = tree.query(parts, predicate="intersects")
    return bool((first == second).all())


def _shown(text: str) -> str:
    clean = "".join(c if c.isprintable() else "?" for c in text)
    return clean if len(clean) <= 40 else clean[:37] + "..."
