"""Lettering as measured on a model or a remnant, and how near a drawing of it came."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import field

from shapely.geometry import MultiPolygon

from decalgen.core.values import dataclass
from decalgen.lettering.outlines import Letter
from decalgen.lettering.typeface import LetteringError


@dataclass(frozen=True)
class MeasuredLettering:
    """What was read off, mm (slant in degrees from the vertical, to the right positive).

    ``length`` is from the first ink to the last. ``stem`` is the thickness of an upright stroke of a straight letter,
    ``crossbar`` that of a level one. ``letters`` gives left edge and width of each letter, spaces left out. None: not
    measured, left as the face has it. ``uncertainty`` holds the expanded uncertainty (k = 2) of readings by name, mm.
    """

    cap_height: float
    length: float | None = None
    stem: float | None = None
    crossbar: float | None = None
    slant: float | None = None
    letters: tuple[tuple[float, float], ...] | None = None
    uncertainty: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Reached:
    """One measure: what was wanted, what the drawing has, and that as text without digits nobody measured."""

    name: str
    wanted: float
    reached: float
    shown: str

    @property
    def residual(self) -> float:
        """Reached minus wanted, in the measure's unit."""
        return self.reached - self.wanted


@dataclass(frozen=True)
class Matched:
    """Measured lettering drawn: areas in mm, baseline at y = 0, first ink at x = 0.

    ``forced`` says, a sentence each, where the face had to be forced or a measure could not be met; ``by_letter`` of
    each letter what it lost in that, or ''. ``faces``: that of each letter, where they are not all of one.
    ``stretch`` and ``swell`` are what was done after the axes: factors across and upright, and mm added to each edge;
    ``strain`` is how far the face was bent in all (0: not at all; over about 0.3 another face would do better).
    """

    region: MultiPolygon
    letters: tuple[Letter, ...]
    face: str
    axes: tuple[tuple[str, float], ...]
    reached: tuple[Reached, ...]
    forced: tuple[str, ...]
    by_letter: tuple[str, ...]
    stem_letter: str
    crossbar_letter: str
    width: float
    cap_height: float
    stretch: tuple[float, float]
    swell: tuple[float, float]
    strain: float
    missing: tuple[str, ...] = ()
    borrowed: tuple[tuple[str, str], ...] = field(default=())
    faces: tuple[str, ...] = ()

    @property
    def out_of_range(self) -> tuple[str, ...]:
        """All that is to be warned of, each once."""
        return tuple(dict.fromkeys((*self.forced, *filter(None, self.by_letter))))

    @property
    def sources(self) -> str:
        """Which letters came from where, such as "H, R from Archivo; S from Saira"; '' where all are of one face."""
        by_face: dict[str, list[str]] = {}
        for letter, name in zip(self.letters, self.faces, strict=False):
            by_face.setdefault(name, []).append(letter.text)
        return "; ".join(f"{', '.join(dict.fromkeys(texts))} from {name}" for name, texts in by_face.items())

    @property
    def residuals(self) -> dict[str, float]:
        """Reached minus wanted, by measure."""
        return {r.name: r.residual for r in self.reached}


TWO_STEMS = frozenset("ABDGHKMNOQRUVWXY0689bdghmnopquw")
"""Letters that stand on two stems, or have a bowl of two walls."""


def checked(measured: MeasuredLettering, letters: Sequence[str]) -> None:
    """See that the readings can belong to these letters (spaces left out). Raises `LetteringError`."""
    cap = measured.cap_height
    _positive("cap height", cap)
    for name, value in (
        ("length", measured.length),
        ("stem", measured.stem),
        ("crossbar", measured.crossbar),
    ):
        if value is not None:
            _positive(name, value)
    if measured.slant is not None and not (math.isfinite(measured.slant) and abs(measured.slant) <= 45):
        raise LetteringError(f"a slant of {measured.slant:g} degrees is out of range for lettering", "use -45 to 45")
    if measured.crossbar is not None and measured.crossbar > 0.45 * cap:
        raise LetteringError(
            f"a crossbar of {measured.crossbar:g} mm does not go into a cap height of {cap:g} mm",
            f"measure again: it can be {0.45 * cap:.3g} mm at most",
        )
    if measured.letters is not None:
        _checked_letters(measured, len(letters))
    if measured.stem is not None and measured.length is not None:
        _checked_length(measured.stem, measured.length, letters)


def _checked_length(stem: float, length: float, letters: Sequence[str]) -> None:
    """See that the stems go into the length: two and a slit where a letter stands on two, one where on one."""
    stems = sum(2.1 if c in TWO_STEMS else 1.0 for c in letters)
    if stems * stem > length * 1.001:
        raise LetteringError(
            f"{len(letters)} letters with stems of {stem:g} mm do not go into a length of {length:g} mm",
            "measure stem and length again, or check the text",
        )


def _checked_letters(measured: MeasuredLettering, count: int) -> None:
    letters = measured.letters or ()
    if len(letters) != count:
        raise LetteringError(
            f"{len(letters)} letter positions are given for {count} letters",
            "give left edge and width of each letter, without the spaces",
        )
    for number, (left, width) in enumerate(letters, start=1):
        if not math.isfinite(left):
            raise LetteringError(f"the left edge of letter {number} is not a number", "measure it again")
        _positive(f"width of letter {number}", width)
        if number > 1 and left <= letters[number - 2][0]:
            raise LetteringError(
                f"letter {number} begins at {left:g} mm, before the letter to its left", "give them from left to right"
            )
        if measured.stem is not None and width < 0.8 * measured.stem:
            raise LetteringError(
                f"letter {number} is {width:g} mm wide, its stem {measured.stem:g} mm", "measure both again"
            )


def _positive(name: str, value: float) -> None:
    if not (math.isfinite(value) and 0.01 <= value <= 2000):
        raise LetteringError(f"a {name} of {value:g} mm is out of range", "use 0.01 to 2000 mm")


def shown(value: float, unit: str, uncertainty: float | None) -> str:
    """A value with no more digits than its uncertainty bears (two figures of it: JCGM 100:2008, 7.2.6)."""
    if not uncertainty or not math.isfinite(uncertainty):
        # A caliper reads 0.01 mm; a third decimal is the last that could mean anything.
        return f"{value:.3f} {unit}" if unit == "mm" else f"{value:.1f} {unit}"
    digits = min(4, max(0, 1 - math.floor(math.log10(uncertainty))))
    return f"{value:.{digits}f} {unit} \u00b1 {uncertainty:.{digits}f}"
