"""Measured lettering drawn again: the face's axes solved first, then stretch and swell in closed form.

A variable face can be built nearly as the original was. What is left, and all of it for a face without axes, is met by
scaling and an offset that differ across and upright. Scaling a word of natural length w by s and moving each upright
edge outward by d makes its length s w + 2 d and its stem s t + 2 d: two measures, two unknowns. The same goes upright,
with cap height and crossbar.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from statistics import median
from typing import Literal

from decalgen.core.values import dataclass
from decalgen.lettering.faces import face as face_named
from decalgen.lettering.fitting import WantedShares, fit_axes, fit_block
from decalgen.lettering.forcing import Aim, ForcedLetters, Natural, force, keeps_its_stem
from decalgen.lettering.losses import losses
from decalgen.lettering.measured import Matched, MeasuredLettering, Reached, checked, shown
from decalgen.lettering.outlines import Letter, TextLine, join
from decalgen.lettering.shaping import Axes, checked_axes
from decalgen.lettering.stems import CROSSBAR_LETTERS, STEM_LETTERS, crossbar_of, rings_of, slant_of, stem_of
from decalgen.lettering.typeface import Face, LetteringError
from decalgen.lettering.typesetting import typeset

ROUNDS = 8
NEAR = 1e-5

LOST_STROKE, LOST_COUNTER = "lost a stroke", "lost a counter"
THINNER = 0.75
"""A hairline that is nearly as thick as the crossbar was measured on the original."""
HOPELESS = 0.1
"""A measure missed by more than this share after all rounds: counters have closed, or the letter has no such stroke."""


USUAL = ("Archivo", "Roboto Flex", "Saira", "Overpass")
"""Plain faces whose spacing is asked where an original's was not measured: no one of them is right, but between them
they seldom stand far off."""

PLAIN = ("grotesque", "square", "condensed", "road sign", "geometric")


@lru_cache(maxsize=512)
def match(
    text: str,
    measured: MeasuredLettering,
    face: str = "Roboto Flex",
    *,
    spacing: Literal["usual", "face"] = "usual",
    least_gap: float | None = None,
    solve_axes: bool = True,
) -> Matched:
    """``text`` drawn so that it has the measures read off an original.

    Where the letters' places were not measured, ``spacing`` "usual" puts them where plain faces with these measures
    would, "face" where this face does; a slab, roman, stencil or script face keeps its own. ``least_gap`` mm is kept
    between letters then (default: a third of a stem, or as close as the face sets them where that is less).
    ``solve_axes`` False leaves a variable face at its defaults.
    Raises `LetteringError` for readings that cannot belong together, and as `typeset` does.
    """
    one = _as_set(text, measured, face, least_gap, solve_axes)
    if spacing == "usual" and one.home.category in PLAIN and _open(measured, one.line):
        places = _usual_places(text, measured, one, least_gap)
        spaced, has = _met(one.natural, replace(measured, letters=places), least_gap)
        # Letters of another build may come too near each other at these places; then the face's own hold.
        least = (measured.stem or 0.0) / 3 if least_gap is None else least_gap
        if _closest(spaced) >= min(_closest(one.drawn), least):
            one = replace(one, drawn=spaced, has=has)
    return _matched(one, measured)


@dataclass(frozen=True)
class _AsDrawn:
    """The text in one face, as that has it and brought to its measures, and those that it has then."""

    line: TextLine
    home: Face
    axes: Axes
    natural: Natural
    drawn: ForcedLetters
    has: Aim


@lru_cache(maxsize=256)
def _as_set(text: str, measured: MeasuredLettering, face: str, least_gap: float | None, solve_axes: bool) -> _AsDrawn:
    """Spaced as the face spaces it, or to the places that were measured."""
    home = face_named(face)
    line = _set(text, home, measured, ())
    if line.missing and measured.letters is not None:
        lacking = ", ".join(f"'{letter}'" for letter in line.missing)
        fix = "leave it out of the text, and its place out of `letters`; draw the sign as an `outline`"
        raise LetteringError(f"no face has {lacking}", fix)
    checked(measured, [letter.text for letter in line.letters])
    axes: Axes = ()
    if solve_axes and home.drawn:
        wanted = _wanted(line, measured, home)
        axes = fit_block(home, wanted, lambda at: _set(text, home, measured, at).width / measured.cap_height)
        line = _set(text, home, measured, axes)
    elif solve_axes and home.axes:
        axes = fit_axes(home, checked_axes(home, None), text, _wanted(line, measured, home))
        line = _set(text, home, measured, axes)
    natural = _natural(line, home, measured, axes)
    return _AsDrawn(line, home, axes, natural, *_met(natural, measured, least_gap))


def _open(measured: MeasuredLettering, line: TextLine) -> bool:
    known = measured.letters is not None
    return not known and measured.length is not None and measured.stem is not None and len(line.letters) > 2


def _usual_places(
    text: str, measured: MeasuredLettering, one: _AsDrawn, least_gap: float | None
) -> tuple[tuple[float, float], ...]:
    """Left edge and width of each letter: the medians over this face and the plain ones with the same measures."""
    letters = one.drawn.letters
    sets = [[(x.left, x.right - x.left) for x in letters]]
    for name in USUAL:
        if name != one.home.name:
            try:
                other = _as_set(text, measured, name, least_gap, True).drawn.letters
            except LetteringError:
                continue
            if len(other) == len(letters):
                sets.append([(x.left, x.right - x.left) for x in other])
    left = [median(places[i][0] for places in sets) for i in range(len(letters))]
    width = [median(places[i][1] for places in sets) for i in range(len(letters))]
    # The ends are measured: only what lies between is a matter of habit.
    total = measured.length or 0.0
    left[0] = 0.0
    left[-1] = total - width[-1]
    return tuple(zip(left, width, strict=True))


def _closest(drawn: ForcedLetters) -> float:
    regions = [letter.region for letter in drawn.letters]
    return min((a.distance(b) for a, b in pairwise(regions)), default=0.0)


def _set(text: str, home: Face, measured: MeasuredLettering, axes: Axes) -> TextLine:
    """The text at the measured cap height as the face has it; no ligatures, so that each letter can be placed."""
    return typeset(text, face=home.name, cap_height=measured.cap_height, axes=dict(axes), ligatures=False)


def _length(measured: MeasuredLettering) -> float | None:
    if measured.letters is None or measured.length is not None:
        return measured.length
    return max(x + w for x, w in measured.letters) - min(x for x, _ in measured.letters)


def _ruled(line: TextLine, home: Face) -> tuple[str, str]:
    """The letters stem and crossbar are measured on: the best the text has in its own face, or an H."""
    own = {letter.text: letter.region for letter in line.letters if _own(letter, home)}
    bars = (c for c in CROSSBAR_LETTERS if c in own and math.isfinite(crossbar_of(c, rings_of(own[c]))))
    return next((c for c in STEM_LETTERS if c in own), "H"), next(bars, "H")


def _own(letter: Letter, home: Face) -> bool:
    return letter.face == ("Block" if home.drawn else home.name)


def _wanted(line: TextLine, measured: MeasuredLettering, home: Face) -> WantedShares:
    cap = measured.cap_height
    lean = abs(math.tan(math.radians(measured.slant or 0.0)))
    widths: list[tuple[str, float]] = []
    for letter, (_, width) in zip(line.letters, measured.letters or (), strict=False):
        upright = width / cap - lean
        if len(letter.text) == 1 and _own(letter, home) and upright > 0:
            widths.append((letter.text, upright))
    stem_letter, crossbar_letter = _ruled(line, home)
    length = _length(measured)
    return WantedShares(
        stem=None if measured.stem is None else measured.stem / cap,
        stem_letter=stem_letter,
        crossbar=None if measured.crossbar is None else measured.crossbar / cap,
        crossbar_letter=crossbar_letter,
        length=None if length is None else max(length / cap - lean, 0.05),
        widths=tuple(widths),
    )


def _natural(line: TextLine, home: Face, measured: MeasuredLettering, axes: Axes) -> Natural:
    stem_letter, crossbar_letter = _ruled(line, home)

    def reference(character: str) -> Letter:
        own = (x for x in line.letters if x.text == character and _own(x, home))
        return next(own, None) or _set(character, home, measured, axes).letters[0]

    return Natural(
        letters=line.letters,
        width=line.width,
        stem_letter=reference(stem_letter),
        crossbar_letter=reference(crossbar_letter),
        cap_letter=reference("H"),
        slant_letter=_leaning(reference, stem_letter),
    )


def _leaning(reference: Callable[[str], Letter], stem_letter: str) -> Letter:
    """The letter whose lean is read: a small n, or where a block alphabet's would close up at this stroke, the one
    that the stem is read on."""
    try:
        return reference("n")
    except LetteringError:
        return reference(stem_letter)


def _met(natural: Natural, measured: MeasuredLettering, least_gap: float | None) -> tuple[ForcedLetters, Aim]:
    """The closed form, run again with its aim corrected by what it missed (slants and curved letters need that); and
    the measures it has then."""
    lean = None if measured.slant is None else math.tan(math.radians(measured.slant))
    wanted = Aim(measured.cap_height, _length(measured), measured.stem, measured.crossbar, measured.letters, lean)
    left_so = [
        keeps_its_stem(letter, width, wanted.stem, natural.stem)
        for letter, (_, width) in zip(natural.letters, wanted.letters or (), strict=False)
    ]
    aim = wanted
    drawn = force(natural, aim, least_gap)
    has = _has(natural, drawn)
    for _ in range(ROUNDS):
        missed = has.missed(wanted)
        if missed < NEAR:
            break
        aim = aim.corrected(wanted, has, left_so)
        again = force(natural, aim, least_gap)
        now = _has(natural, again)
        if now.missed(wanted) > 0.9 * missed:
            break
        drawn, has = again, now
    name, wish, got = _worst(wanted, has)
    if abs(got / wish - 1) > HOPELESS:
        if name == "stem" and _length(measured) is None:
            raise LetteringError(
                f"a stem of {wish:.3g} mm leaves no room in letters {measured.cap_height:.3g} mm high: "
                f"{natural.stem_letter.text} would close up",
                "measure the stem again, or give the length too, if the letters were wider than usual",
            )
        raise LetteringError(
            f"letters like these cannot be drawn to these measures: {name} {got:.3g} mm for {wish:.3g} mm",
            "measure again, or choose a narrower or a plainer face",
        )
    return drawn, has


def _worst(wanted: Aim, has: Aim) -> tuple[str, float, float]:
    """The measure missed by most: its name, what was wanted, what the drawing has."""
    pairs = (
        ("cap height", wanted.height, has.height),
        ("length", wanted.length, has.length),
        ("stem", wanted.stem, has.stem),
        ("crossbar", wanted.crossbar, has.crossbar),
    )
    known = [(name, wish, got) for name, wish, got in pairs if wish is not None and got is not None]
    return max(known, key=lambda row: abs(row[2] / row[1] - 1) if math.isfinite(row[2]) else 0.0)


def _has(natural: Natural, drawn: ForcedLetters) -> Aim:
    left = min(x.left for x in drawn.letters)
    leaning = drawn.slant_letter
    return Aim(
        height=drawn.cap_letter.region.bounds[3],
        length=max(x.right for x in drawn.letters) - left,
        stem=stem_of(natural.stem_letter.text, rings_of(drawn.stem_letter.region)),
        crossbar=crossbar_of(natural.crossbar_letter.text, rings_of(drawn.crossbar_letter.region)),
        letters=tuple((x.left, x.right - x.left) for x in drawn.letters),
        lean=None if leaning is None else math.tan(math.radians(slant_of(rings_of(leaning.region)))),
    )


def _reached(measured: MeasuredLettering, has: Aim) -> tuple[Reached, ...]:
    known = dict(measured.uncertainty)
    found: list[Reached] = []
    for name, wanted, value in (
        ("cap height", measured.cap_height, has.height),
        ("length", _length(measured), has.length),
        ("stem", measured.stem, has.stem),
        ("crossbar", measured.crossbar, has.crossbar),
    ):
        if wanted is not None and value is not None:
            found.append(Reached(name, wanted, value, shown(value, "mm", known.get(name))))
    if measured.slant is not None and has.lean is not None:
        slant = math.degrees(math.atan(has.lean))
        found.append(Reached("slant", measured.slant, slant, shown(slant, "degrees", known.get("slant"))))
    return tuple(found)


def _matched(one: _AsDrawn, measured: MeasuredLettering) -> Matched:
    line, home, natural, drawn = one.line, one.home, one.natural, one.drawn
    reached = _reached(measured, one.has)
    return Matched(
        region=join([letter.region for letter in drawn.letters]),
        letters=drawn.letters,
        face=home.name,
        axes=one.axes,
        reached=reached,
        forced=tuple(_forced(home, one.axes, natural, drawn, reached)),
        by_letter=tuple(_damage(home, natural, drawn, one.has)),
        stem_letter=natural.stem_letter.text,
        crossbar_letter=natural.crossbar_letter.text,
        width=max(x.right for x in drawn.letters),
        cap_height=line.cap_height,
        stretch=drawn.stretch,
        swell=drawn.swell,
        strain=_strain(natural, drawn),
        missing=line.missing,
        borrowed=line.borrowed,
    )


def _forced(home: Face, axes: Axes, natural: Natural, drawn: ForcedLetters, reached: tuple[Reached, ...]) -> list[str]:
    """Where the face was pressed further than it goes well, a sentence each."""
    found: list[str] = []
    for axis in home.axes:
        value = dict(axes).get(axis.tag)
        if axis.tag in ("wght", "wdth") and value is not None and value in (axis.least, axis.most):
            found.append(f"{home.name} goes no further than {axis.tag} {value:g}; the rest was forced")
    across, up = drawn.stretch
    if not 0.75 <= across / up <= 1.35:
        found.append(
            f"the letters were {'pressed' if across < up else 'drawn out'} to {across / up:.0%} of their width"
        )
    for name, swell, natural_size in (
        ("stems", drawn.swell[0], natural.stem),
        ("crossbars", drawn.swell[1], natural.crossbar),
    ):
        if math.isfinite(natural_size) and abs(2 * swell) > 0.35 * natural_size:
            how = "thicker" if swell > 0 else "thinner"
            found.append(f"{name} were made {abs(2 * swell):.3f} mm {how} than the face has them")
    for measure in reached:
        if abs(measure.residual) > 1e-3 * abs(measure.wanted) and abs(measure.residual) > 1e-3:
            found.append(f"the {measure.name} could not be met: {measure.shown} for {measure.wanted:g}")
    return list(dict.fromkeys(found))


def _strain(natural: Natural, drawn: ForcedLetters) -> float:
    """How far the face had to be bent in all: proportions of the letters, stems and crossbars, root mean square."""
    squares = [s * s for s in drawn.strains]
    forced = [
        2 * swell / size
        for swell, size in ((drawn.swell[0], natural.stem), (drawn.swell[1], natural.crossbar))
        if math.isfinite(size)
    ]
    return math.sqrt(sum(squares) / len(squares) + 0.25 * sum(f * f for f in forced))


def _damage(home: Face, natural: Natural, drawn: ForcedLetters, has: Aim) -> list[str]:
    """What each letter lost on being forced, in a sentence, or ''."""
    found: list[str] = []
    usual = (natural.stem, natural.crossbar if math.isfinite(natural.crossbar) else natural.stem)
    stem = has.stem if has.stem is not None and math.isfinite(has.stem) else usual[0]
    bar = has.crossbar if has.crossbar is not None and math.isfinite(has.crossbar) else stem
    for before, after, strain, how in zip(natural.letters, drawn.letters, drawn.strains, drawn.forcings, strict=True):
        name = f"'{after.text}'"
        if strain >= 1.0:
            found.append(f"{name} is another kind of letter in {home.name}: choose a face with the same serifs")
            continue
        if how.swell == (0.0, 0.0) or not math.isfinite(usual[0]):
            found.append("")
            continue
        lost = losses(before.region, after.region, how, usual, (stem, bar))
        if lost.stroke or lost.counter:
            found.append(f"{name} {LOST_STROKE if lost.stroke else LOST_COUNTER}: choose a face built more alike")
        elif lost.hairline < min(stem, bar) * THINNER:
            told = f"{name} has strokes down to {lost.hairline:.3f} mm beside stems of {stem:.3f} mm"
            found.append(f"{told}: choose a face whose strokes differ less")
        else:
            found.append("")
    return found
