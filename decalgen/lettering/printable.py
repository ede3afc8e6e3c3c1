"""Lettering that survives its size: strokes no thinner and openings no narrower than the printer can lay down.

Letters do not simply shrink: what was a hairline at full size is nothing at 1:64. Originals had heavier
strokes, wider letters and looser spacing the smaller they were; so has this.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from functools import cached_property, partial
from itertools import pairwise
from statistics import median
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from decalgen.core.geometry import leant
from decalgen.core.values import dataclass
from decalgen.lettering.faces import face
from decalgen.lettering.narrow_places import (
    FINEST,
    breaks,
    closes,
    least_under,
    narrowest_opening,
    size_of,
    thinnest_stroke,
)
from decalgen.lettering.offset import offset
from decalgen.lettering.outlines import Letter, TextLine, join, moved
from decalgen.lettering.stems import counts_of
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset

LEFT = 0.75
"""Letters are harmed where no more than this share of their narrowest opening is left."""
UNEVEN = 1.75
"""Nor may one be so many times as wide as it was where the rest of its word is not, if that does not do: seen at 1 mm
in 30 words, it is a K or a 4 of thick and thin strokes, or a letter of a script that leaves its line."""
LOW = 0.5
"""What is lower than this, in cap heights, is a dot, a dash or an apostrophe."""

SOLID = frozenset(".,'-\u00b7\u2010\u2011\u2013\u2014\u2018\u2019\u201a\u201b")
"""Stops, dashes and apostrophes: what fills in one of these, as beside a comma's tail, is no opening."""

NEARLY = 0.97
"""So much of what was asked is enough: how exactly it is measured, and a little."""
WIDER = tuple(1.0 + step / 10 for step in range(1, 11))
"""So many times as wide letters are made to open their counters: no wider than twice."""
WORTH = 0.1
"""A letter that does not open as far as asked is made wider only for more than this share of what was asked."""


@dataclass(frozen=True)
class Printable:
    """The lettering as it can be printed, and what had to be done for it (a sentence each).

    ``fits`` tells whether strokes and openings reach what was asked, which costs little to see; how thin and how
    narrow they are, mm, is measured only when it is wanted. ``plain``: the line as the face has it; ``asked``: the
    least stroke and gap, mm; ``filled``: an opening was lost when the strokes were made bolder. ``harmed``: bolder
    letters would be worse than the face's own, which are left as they are.
    """

    line: TextLine
    changes: tuple[str, ...]
    fits: bool
    plain: TextLine
    asked: tuple[float, float]
    filled: bool
    harmed: bool = False

    @cached_property
    def least_stroke(self) -> float:
        """The thinnest stroke it has now, mm."""
        return self._least[0]

    @cached_property
    def least_gap(self) -> float:
        """The narrowest opening it has now, mm; 0 where one is lost."""
        return 0.0 if self.filled else self._least[1]

    @cached_property
    def _least(self) -> tuple[float, float]:
        return least_of(self.line.letters, joined_script(self.line.letters[0].face))

    @cached_property
    def cap_height_needed(self) -> float | None:
        """The size, mm, at which this face would fit without being changed, about; None where it fits."""
        return None if self.fits else _needed(self.plain, *self.asked)


def printable(
    text: str,
    *,
    face: str,
    cap_height: float,
    least_stroke: float,
    least_gap: float,
    tracking: float = 0.0,
    axes: Mapping[str, float] | None = None,
    slant: float = 0.0,
) -> Printable:
    """``text`` at ``cap_height`` mm with every stroke and opening printable, as far as the size allows.

    Thin strokes are made bolder, then letters wider until counters are open, then spacing looser until the letters
    stand apart. The cap height stays. Raises `LetteringError` as `typeset` does.
    """
    for name, value in (("least stroke", least_stroke), ("least gap", least_gap)):
        if not (math.isfinite(value) and 0 <= value <= 10):
            raise LetteringError(f"a {name} of {value:g} mm is out of range", "use 0.05 to 0.3 mm")
    line = typeset(text, face=face, cap_height=cap_height, tracking=tracking, axes=axes, ligatures=False, slant=slant)
    kinds = {letter.text: letter for letter in line.letters}
    lean = math.tan(math.radians(slant))
    changes: list[str] = []
    aim = _Aim(least_stroke, least_gap, cap_height, lean)
    widened, short = _opened(kinds, aim)
    swell = max(one.swell for one in widened.values())
    if swell > 0:
        changes.append(f"strokes made {2 * swell:.3f} mm bolder")
    made = _evened(line.letters, widened, aim)
    letters = [_exchange(letter, made[letter.text].area) for letter in line.letters]
    wider = [f"{t} {one.wide:.0%}" for t, one in sorted(made.items()) if one.wide > 1.001]
    if wider:
        changes.append("made wider: " + ", ".join(wider))
    joined = joined_script(face)
    letters, looser = _spaced(line, letters, least_gap, joined)
    if looser > 1e-4:
        changes.append(f"spacing {looser:.3f} mm looser")
    region = join([letter.region for letter in letters])
    done = replace(
        line, region=region, letters=tuple(letters), width=max(x.right for x in letters), advance=line.advance
    )
    # A counter filled, or a dot run into its stem, when the strokes were made bolder.
    filled = any(counts_of(kinds[x.text].region) != counts_of(x.region) for x in letters)
    # What holds a stroke or a gap holds nearly as much: what was seen above is not looked at again.
    held = short <= min(FINEST, (1 - NEARLY) * least_stroke)
    stout = {text for text, one in made.items() if held and one is widened[text] and (one.swell > 0 or one.wide == 1.0)}
    wide = {text for text, one in made.items() if one.is_open and one is widened[text]}
    fits = not filled and _holds(letters, joined, NEARLY * least_stroke, NEARLY * least_gap, stout, wide)
    if not fits and (filled or _distorts(line.letters, made) or _harms(line.letters, letters, joined)):
        return Printable(line, (), False, line, (least_stroke, least_gap), False, harmed=True)
    return Printable(done, tuple(changes), fits, line, (least_stroke, least_gap), filled)


def again(done: Printable, line: TextLine, least_stroke: float, least_gap: float) -> Printable:
    """The same with its letters moved or stretched to ``line``: what it has is measured anew, unless it is the line
    that was measured."""
    if line is done.line and (least_stroke, least_gap) == done.asked:
        return done
    joined = joined_script(line.letters[0].face)
    fits = not done.filled and _holds(line.letters, joined, NEARLY * least_stroke, NEARLY * least_gap)
    return replace(done, line=line, fits=fits)


def _distorts(letters: Sequence[Letter], made: Mapping[str, _Made]) -> bool:
    """Whether one letter becomes so much wider than most of its word that it looks like one of another face."""
    wide = [made[one.text].wide for one in letters if one.text.isalnum()]
    return bool(wide) and max(wide) > UNEVEN * median(wide)


def _harms(before: Sequence[Letter], after: Sequence[Letter], joined: bool) -> bool:
    """Whether letters made bolder have less open than before, or no longer join as those of a script do."""
    if joined and any(
        a.region.intersects(b.region) and not c.region.intersects(d.region)
        for (a, b), (c, d) in zip(pairwise(before), pairwise(after), strict=True)
    ):
        return True
    return least_of(after, joined)[1] < LEFT * least_of(before, joined)[1]


def _holds(
    letters: Sequence[Letter],
    joined: bool,
    stroke: float,
    gap: float,
    stout: Collection[str] = (),
    wide: Collection[str] = (),
) -> bool:
    """Whether no stroke and no opening of some letters is less than so many mm. ``stout`` and ``wide``: the letters of
    which it is known that strokes, or openings, are not."""
    between = (a.region.distance(b.region) for a, b in pairwise(letters))
    if any(apart < gap and (apart > 0 or not joined) for apart in between):
        return False
    return not any(
        (text not in stout and breaks(area, stroke)) or (text not in wide and text not in SOLID and closes(area, gap))
        for text, area in kinds_of(letters)
    )


def least_of(letters: Sequence[Letter], joined: bool = False) -> tuple[float, float]:
    """The thinnest stroke and the narrowest gap, in letters and between them, mm.

    ``joined``: letters that touch are meant to, as in a script.
    """
    kinds = kinds_of(letters)
    by_kind = [area for _, area in kinds]
    between = [a.region.distance(b.region) for a, b in pairwise(letters)]
    size = max(size_of(area) for area in by_kind)
    gaps = [gap for gap in between if gap > 0 or not joined]
    opening = [area for text, area in kinds if text not in SOLID]
    return least_under(by_kind, breaks, size), least_under(opening, closes, min([size, *gaps]))


def kinds_of(letters: Sequence[Letter]) -> list[tuple[str, MultiPolygon]]:
    """Each letter once, with its text, without what has no ink; what was bent differently is another letter."""
    kinds = {(one.text, round(one.region.length, 6)): one.region for one in letters if not one.region.is_empty}
    return [(text, area) for (text, _), area in kinds.items()]


def joined_script(name: str) -> bool:
    """Whether letters of a face are meant to run into each other."""
    return face(name).category == "script"


def _needed(line: TextLine, least_stroke: float, least_gap: float) -> float | None:
    """The cap height at which the face prints as it is; only the spacing may have to be looser."""
    plain = list({letter.text: letter.region for letter in line.letters}.values())
    stroke = min(thinnest_stroke(area) for area in plain)
    opening = min(narrowest_opening(area) for area in plain)
    if stroke < FINEST or opening < FINEST:
        return None
    return line.cap_height * max(least_stroke / stroke, least_gap / opening)


class _Aim(NamedTuple):
    """The least stroke and gap that letters should have, and their cap height, mm; ``lean``: tangent of their slant."""

    stroke: float
    gap: float
    cap: float
    lean: float


class _Made(NamedTuple):
    """A letter made bolder by ``swell`` mm at each edge and so many times as wide, and whether its openings are then as
    wide as asked."""

    area: MultiPolygon
    swell: float
    wide: float
    is_open: bool


def _opened(kinds: Mapping[str, Letter], aim: _Aim) -> tuple[dict[str, _Made], float]:
    """Each letter made bolder and wider, and how much the thinnest stroke is still short of what was asked, mm.

    All letters get bolder alike, or the word would be dark and light by turns. A comma's tail, a dash or a slash may be
    half as thin: it gets bolder by more by itself, and closes no letter.
    """
    letters = [text for text in kinds if any(map(str.isalnum, text))]
    signs = [text for text in kinds if text not in letters]
    widened, short, swell = {}, 0.0, 0.0
    for group in ([letters] if letters else []) + [[text] for text in signs]:
        made, left = _opened_alike({text: kinds[text] for text in group}, swell, aim)
        widened.update(made)
        short = max(short, left)
        if group is letters:
            swell = max(one.swell for one in made.values())
    return widened, short


def _opened_alike(kinds: Mapping[str, Letter], swell: float, aim: _Aim) -> tuple[dict[str, _Made], float]:
    """The same of letters that get bolder alike: by ``swell`` mm an edge at least."""
    widened = {text: _widened(letter, swell, aim) for text, letter in kinds.items()} if swell > 0 else {}
    areas = [one.area for one in widened.values()] or [letter.region for letter in kinds.values()]
    short = 0.0
    # Slanting strokes gain less than was added, so what came out is measured and added to again.
    for _ in range(4):
        short = aim.stroke - least_under(areas, breaks, aim.stroke)
        if short <= FINEST:
            break
        swell += short / 2
        widened = {text: _widened(letter, swell, aim) for text, letter in kinds.items()}
        areas = [one.area for one in widened.values()]
    return widened or {text: _widened(letter, 0.0, aim) for text, letter in kinds.items()}, short


def _widened(letter: Letter, swell: float, aim: _Aim) -> _Made:
    """The letter made bolder, and wide enough that its counters stay open; its height kept."""
    own = shapely.affinity.translate(letter.region, -letter.left, 0.0)
    plain = _bolder(own, swell, 1.0, aim)
    if letter.text in SOLID or not closes(plain, aim.gap):
        return _Made(plain, swell, 1.0, True)
    tried: list[tuple[float, MultiPolygon]] = []
    for wide in WIDER:
        tried.append((wide, _bolder(own, swell, wide, aim)))
        if not closes(tried[-1][1], aim.gap):
            return _Made(tried[-1][1], swell, wide, True)
    # As open as it gets is better than filled, as in a 4. What lies between horizontal strokes does not open by
    # widening: it stays as wide as it is.
    opening = narrowest_opening(tried[-1][1])
    if opening - narrowest_opening(plain) <= WORTH * aim.gap:
        return _Made(plain, swell, 1.0, False)
    wide, area = next((one for one in tried if not closes(one[1], opening - 2 * FINEST)), tried[-1])
    return _Made(area, swell, wide, False)


def _evened(letters: Sequence[Letter], widened: Mapping[str, _Made], aim: _Aim) -> dict[str, _Made]:
    """Letters that need no widening made as wide as most had to be, or the word would be narrow and wide by turns."""
    usual = _middle([widened[one.text].wide for one in letters if one.text not in SOLID] or [1.0])
    found = dict(widened)
    for letter in letters:
        own = shapely.affinity.translate(letter.region, -letter.left, 0.0)
        swell = widened[letter.text].swell
        if widened[letter.text].wide < usual and not _is_one_stroke(own):
            found[letter.text] = _Made(_bolder(own, swell, usual, aim), swell, usual, False)
    return found


def _middle(values: Sequence[float]) -> float:
    """The median. numpy's would load its masked arrays first, which takes longer than all the widening."""
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def _bolder(own: MultiPolygon, swell: float, wide: float, aim: _Aim) -> MultiPolygon:
    """Strokes bolder by twice ``swell``, the letter ``wide`` times as wide; its height is kept, and its lean."""
    upright = leant(own, -aim.lean)
    left, bottom, right, top = upright.bounds
    width = right - left
    high = top - bottom
    up = (high - 2 * swell) / high
    if high < LOW * aim.cap:
        # A full stop or a dash is a stroke by itself: held to its height it would never get bolder.
        across, up, sideways = wide, 1.0, swell
    elif _is_one_stroke(own):
        # Nor would an I or a colon, held to its width.
        across, sideways = wide, swell
    else:
        # Widened as a whole its strokes would thicken too, and fill what was to be opened: what is added to each edge
        # is so much less that the thinnest stroke comes out as bold as without widening.
        thin = min(thinnest_stroke(own), width / 2) if wide > 1.0 else 0.0
        across = (width * wide - thin - 2 * swell) / (width - thin)
        sideways = swell - (across - 1.0) * thin / 2 if wide > 1.0 else swell
    if across <= 0 or up <= 0:
        raise LetteringError(
            f"letters {high:.2g} mm high have no room for strokes this thick", "use a larger cap height"
        )
    stretched = leant(shapely.affinity.scale(upright, across, up, origin=(left, bottom)), aim.lean)
    drawn = MultiPolygon(shapely.get_parts(stretched).tolist())
    grown = offset(drawn, sideways, swell)
    # A full stop stays on the baseline, a dash at its height.
    foot = bottom if up < 1.0 or bottom < 0.2 * aim.cap else bottom - swell
    return shapely.affinity.translate(grown, -grown.bounds[0], foot - grown.bounds[1])


def _is_one_stroke(area: MultiPolygon) -> bool:
    """Whether a letter is no wider than two of its strokes, as an I, a colon or a full stop."""
    left, _, right, _ = area.bounds
    return not breaks(area, (right - left) / 2)


def _exchange(letter: Letter, area: MultiPolygon) -> Letter:
    wide = area.bounds[2] - area.bounds[0]
    own = letter.right - letter.left
    return replace(
        letter,
        region=shapely.affinity.translate(area, letter.left, 0.0),
        right=letter.left + wide,
        advance=letter.advance + wide - own,
    )


def _spaced(line: TextLine, letters: Sequence[Letter], least: float, joined: bool) -> tuple[list[Letter], float]:
    """Letters side by side again after they grew, at their old distances, but never nearer than ``least``.

    ``joined``: letters that touched stay so.
    """
    done = [letters[0]]
    looser = 0.0
    for (before, after), made in zip(pairwise(line.letters), letters[1:], strict=True):
        left = done[-1].right + after.left - before.right
        standing = moved(made, left - made.left)
        short = least - done[-1].region.distance(standing.region)
        meant = joined and before.region.distance(after.region) == 0
        if short > 0 and not meant:
            standing, added = _apart(done[-1], standing, least)
            looser = max(looser, added)
        done.append(standing)
    return done, looser


def _apart(before: Letter, after: Letter, least: float) -> tuple[Letter, float]:
    low, high = 0.0, least + max(0.0, before.right - after.left)
    for _ in range(14):
        middle = (low + high) / 2
        if before.region.distance(shapely.transform(after.region, partial(np.add, (middle, 0.0)))) < least:
            low = middle
        else:
            high = middle
    return moved(after, high), high
