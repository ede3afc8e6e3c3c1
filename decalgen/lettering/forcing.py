"""Letters stretched and swollen in closed form until their measures are met."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.lettering.outlines import Letter, moved
from decalgen.lettering.stems import crossbar_of, rings_of, stem_of
from decalgen.lettering.swelling import swollen
from decalgen.lettering.typeface import LetteringError

NARROW = 1.35
"""A letter not wider than this many stems (an I) is brought to its width by swelling alone."""

SERIFED = 1.3
"""An I this many stems wide, or wider, has serifs."""

LEFT_SO = 0.15
"""A letter that misses its width by more than this share was left so."""

TIGHTEST = 0.15
"""Letters pressed to less than this share of their natural width are not letters any more."""


@dataclass(frozen=True, slots=True)
class Aim:
    """Measures the letters should have, or have, mm; ``letters`` are left edges and widths.

    ``lean`` is a slant as a tangent: in an aim that to add, in what was reached that of a small n.
    """

    height: float
    length: float | None
    stem: float | None
    crossbar: float | None
    letters: tuple[tuple[float, float], ...] | None
    lean: float | None

    def missed(self, wanted: Aim) -> float:
        """The largest miss, as a share of what is wanted."""
        misses = [abs(self.height / wanted.height - 1)]
        for has, wish in ((self.length, wanted.length), (self.stem, wanted.stem), (self.crossbar, wanted.crossbar)):
            if has is not None and wish is not None and math.isfinite(has):
                misses.append(abs(has / wish - 1))
        for (_, has), (_, wish) in zip(self.letters or (), wanted.letters or (), strict=False):
            # An I left without the serifs of the original misses its width by far, and is meant to.
            if abs(has / wish - 1) < LEFT_SO:
                misses.append(abs(has / wish - 1))
        if self.lean is not None and wanted.lean is not None:
            misses.append(abs(self.lean - wanted.lean))
        return max(misses)

    def corrected(self, wanted: Aim, has: Aim, left_so: Sequence[bool]) -> Aim:
        """This aim moved by what was missed. Letters ``left_so`` keep the width wanted of them: it says where their
        middle is, and no aim makes them wider."""

        def nearer(aim: float | None, wish: float | None, got: float | None) -> float | None:
            if aim is None or wish is None or got is None or not math.isfinite(got):
                return aim
            return min(max(aim + wish - got, 0.3 * wish), 1.7 * wish)

        letters = self.letters
        if self.letters is not None and wanted.letters is not None and has.letters is not None:
            letters = tuple(
                wish if left else (wish[0], min(max(aim[1] + wish[1] - got[1], 0.3 * wish[1]), 1.7 * wish[1]))
                for aim, wish, got, left in zip(self.letters, wanted.letters, has.letters, left_so, strict=True)
            )
        return Aim(
            self.height + wanted.height - has.height,
            nearer(self.length, wanted.length, has.length),
            nearer(self.stem, wanted.stem, has.stem),
            nearer(self.crossbar, wanted.crossbar, has.crossbar),
            letters,
            None if self.lean is None else self.lean + (wanted.lean or 0.0) - (has.lean or 0.0),
        )


@dataclass(frozen=True)
class Natural:
    """Lettering as the face has it, at the measured cap height, with the letters its build is measured on."""

    letters: tuple[Letter, ...]
    width: float
    stem_letter: Letter
    crossbar_letter: Letter
    cap_letter: Letter
    slant_letter: Letter

    @cached_property
    def stem(self) -> float:
        return stem_of(self.stem_letter.text, rings_of(self.stem_letter.region))

    @cached_property
    def crossbar(self) -> float:
        return crossbar_of(self.crossbar_letter.text, rings_of(self.crossbar_letter.region))

    @cached_property
    def gaps(self) -> list[float]:
        """How far each letter lies from the next, mm."""
        regions = [letter.region for letter in self.letters]
        return [a.distance(b) for a, b in pairwise(regions)]


class Forcing(NamedTuple):
    """What was done to a letter: stretched, each edge moved outward by so many mm, leant (a tangent), and its upright
    outline set down with its left edge at ``left``."""

    scale: tuple[float, float]
    swell: tuple[float, float]
    lean: float
    left: float


@dataclass(frozen=True)
class ForcedLetters:
    """Letters with their measures forced on them, and the letters to measure the outcome on; none for a slant that was
    not asked for.

    ``strains`` says of each letter how far its proportions were changed (logarithm of width to height; 1 where the face
    draws another kind of letter).
    """

    letters: tuple[Letter, ...]
    stem_letter: Letter
    crossbar_letter: Letter
    cap_letter: Letter
    slant_letter: Letter | None
    stretch: tuple[float, float]
    swell: tuple[float, float]
    tracking: float
    strains: tuple[float, ...]
    forcings: tuple[Forcing, ...]


def force(natural: Natural, aim: Aim, least_gap: float | None) -> ForcedLetters:
    """Stretch and swell by the closed form. Raises `LetteringError` where the length leaves no room for the stems."""
    up, dy = _upright(natural, aim)
    lean = aim.lean or 0.0
    across, dx, tracking = _across(natural, aim, least_gap)
    if aim.letters is not None:
        letters, strains, forcings = _placed(natural, aim, (across, up), (dx, dy))
    else:
        strains = [abs(math.log(across / up))] * len(natural.letters)
        forcings = [
            Forcing((across, up), (dx, dy), lean, letter.left * across + i * tracking)
            for i, letter in enumerate(natural.letters)
        ]
        letters = [_made(natural, letter, how) for letter, how in zip(natural.letters, forcings, strict=True)]
        letters, forcings = _from_zero(letters, forcings, min(letter.left for letter in letters))

    def reference(letter: Letter) -> Letter:
        for mine, made in zip(natural.letters, letters, strict=True):
            if mine.text == letter.text and mine.face == letter.face:
                return made
        return _made(natural, letter, Forcing((across, up), (dx, dy), lean, 0.0))

    return ForcedLetters(
        tuple(letters),
        reference(natural.stem_letter),
        reference(natural.crossbar_letter),
        reference(natural.cap_letter),
        None if aim.lean is None else reference(natural.slant_letter),
        (across, up),
        (dx, dy),
        tracking,
        tuple(strains),
        tuple(forcings),
    )


def _upright(natural: Natural, aim: Aim) -> tuple[float, float]:
    cap = natural.cap_letter.region.bounds[3]
    bar = natural.crossbar
    if aim.crossbar is None or not math.isfinite(bar):
        return aim.height / cap, 0.0
    scale = (aim.height - aim.crossbar) / (cap - bar)
    return scale, (aim.crossbar - scale * bar) / 2


def _across(natural: Natural, aim: Aim, least_gap: float | None) -> tuple[float, float, float]:
    stem, width, count, gaps = natural.stem, natural.width, len(natural.letters), natural.gaps
    if aim.stem is None or not math.isfinite(stem):
        return (1.0 if aim.length is None else aim.length / width), 0.0, 0.0
    if aim.length is None:
        return 1.0, (aim.stem - stem) / 2, 0.0
    if width - stem < 0.05 * width:
        # Nothing but a stem (a lone I): the length is the stem.
        return 1.0, (aim.length - width) / 2, 0.0
    tracking = 0.0
    for _ in range(20):
        scale = (aim.length - aim.stem - tracking * (count - 1)) / (width - stem)
        if scale < TIGHTEST:
            raise LetteringError(
                f"a length of {aim.length:.3g} mm is too short for {count} letters with stems of {aim.stem:.3g} mm",
                "measure length and stem again, or check the text",
            )
        swell = (aim.stem - scale * stem) / 2
        # A face may itself set letters close or joined; that is not made wider.
        least = [min(gap, aim.stem / 3) if least_gap is None else least_gap for gap in gaps]
        short = max((want - (scale * gap - 2 * swell) for want, gap in zip(least, gaps, strict=True)), default=0.0)
        if abs(max(short, 0.0) - tracking) < 1e-6:
            break
        tracking = max(short, 0.0)
    return scale, swell, tracking


def _placed(
    natural: Natural, aim: Aim, scale: tuple[float, float], swell: tuple[float, float]
) -> tuple[list[Letter], list[float], list[Forcing]]:
    """Each letter to its own width and left edge."""
    stem, lean = natural.stem, aim.lean or 0.0
    made: list[Letter] = []
    strains: list[float] = []
    forcings: list[Forcing] = []
    for letter, (left, width) in zip(natural.letters, aim.letters or (), strict=True):
        across, dx = _to_width(letter, width, aim.stem, stem, scale[0])
        strains.append(_strain(letter, width, aim.stem, stem, across / scale[1]))
        how = Forcing((across, scale[1]), (dx, swell[1]), lean, 0.0)
        drawn = _made(natural, letter, how)
        # Narrower than wanted only where it was left so; it then stands in the middle.
        spare = width - (drawn.right - drawn.left) if keeps_its_stem(letter, width, aim.stem, stem) else 0.0
        by = left - drawn.left + spare / 2
        made.append(moved(drawn, by))
        forcings.append(how._replace(left=by))
    letters, forcings = _from_zero(made, forcings, made[0].left)
    return letters, strains, forcings


def keeps_its_stem(letter: Letter, width: float, wanted: float | None, stem: float) -> bool:
    """Whether the original's letter has serifs or a flag that this face's lacks: it must not be swollen to
    that width."""
    own = letter.right - letter.left
    return wanted is not None and math.isfinite(stem) and own < NARROW * stem and width > SERIFED * own / stem * wanted


def _to_width(letter: Letter, width: float, wanted: float | None, stem: float, usual: float) -> tuple[float, float]:
    """Stretch and swell across that give a letter this width and the wanted stem."""
    own = letter.right - letter.left
    if wanted is None or not math.isfinite(stem):
        return width / own, 0.0
    if keeps_its_stem(letter, width, wanted, stem):
        return usual, (wanted - usual * stem) / 2
    if own < NARROW * stem:
        return usual, (width - usual * own) / 2
    across = (width - wanted) / (own - stem)
    if across < TIGHTEST:
        # An I with serifs for one without: it gets its width, and its stem gives way.
        return width / own, 0.0
    return across, (wanted - across * stem) / 2


def _strain(letter: Letter, width: float, wanted: float | None, stem: float, across: float) -> float:
    own = letter.right - letter.left
    if keeps_its_stem(letter, width, wanted, stem):
        return 1.0
    if wanted is not None and math.isfinite(stem) and own < NARROW * stem:
        return 0.0
    return min(abs(math.log(across)), 1.0)


def _made(natural: Natural, letter: Letter, how: Forcing) -> Letter:
    """One letter forced."""
    grown = swollen(letter.region, letter.left, how.scale, how.swell, (natural.stem, natural.crossbar))
    if grown.is_empty:
        raise LetteringError(
            f"the strokes of '{letter.text}' are too thin to be made thinner by {-2 * min(how.swell):.3g} mm",
            "choose a face whose thick and thin strokes differ less, or measure again",
        )

    def set_down(xy: FloatArray) -> FloatArray:
        points = xy + np.array((how.swell[0] + how.left, how.swell[1]))
        return np.column_stack((points[:, 0] + how.lean * points[:, 1], points[:, 1]))

    done = shapely.transform(grown, set_down)
    x0, _, x1, _ = done.bounds
    return replace(letter, region=done, left=x0, right=x1, origin=x0, advance=x1 - x0)


def _from_zero(
    letters: Sequence[Letter], forcings: Sequence[Forcing], first: float
) -> tuple[list[Letter], list[Forcing]]:
    """All moved so that what is at ``first`` is at 0."""
    return [moved(letter, -first) for letter in letters], [how._replace(left=how.left - first) for how in forcings]
