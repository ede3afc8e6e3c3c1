"""The axes of a variable face solved so that its letters are built as measured ones are.

Least squares over the axes that change stem, crossbar and width. What is asked for is given as ratios, so
that the size of the lettering does not matter.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from decalgen.core.values import dataclass
from decalgen.lettering.shaping import Axes, Probe
from decalgen.lettering.stems import Rings, bounds, crossbar_of, stem_of
from decalgen.lettering.typeface import Axis, Face, LetteringError

TURNED = ("wght", "wdth", "opsz", "XOPQ", "YOPQ", "XTRA")
"""The axes solved for: those that change stem, crossbar or width. Others stay where they are."""

Vector = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WantedShares:
    """What the letters should be, as shares of the cap height; None: not measured."""

    stem: float | None
    stem_letter: str
    crossbar: float | None
    crossbar_letter: str
    length: float | None
    widths: tuple[tuple[str, float], ...] = ()


class _Weights(NamedTuple):
    # Stem and crossbar first: the closed form that follows stretches letters well, but swells them only a little.
    build: float = 10.0
    length: float = 6.0
    width: float = 3.0
    # Hold what the measures leave open near the face as its makers drew it.
    rest: float = 0.06


WEIGHTS = _Weights()


def fit_axes(face: Face, start: Axes, text: str, wanted: WantedShares) -> Axes:
    """The axis values at which ``text`` in ``face`` comes nearest to ``wanted``; ``start`` where nothing
    can be turned."""
    turned = [axis for axis in face.axes if axis.tag in TURNED and axis.most > axis.least]
    if not turned or (wanted.stem is None and wanted.crossbar is None and wanted.length is None):
        return start
    probe = Probe(face.file)
    fixed = dict(start)

    def axes_at(point: Vector) -> Axes:
        values = {**fixed, **{a.tag: _value(a, float(t)) for a, t in zip(turned, point, strict=True)}}
        return tuple(sorted(values.items()))

    home = np.array([_share(axis, fixed[axis.tag]) for axis in turned])

    def misses(point: Vector) -> Vector:
        probe.turn(axes_at(point))
        return np.concatenate((_misses(probe, text, wanted), WEIGHTS.rest * (point - home)))

    return axes_at(_least_squares(misses, home))


def fit_block(face: Face, wanted: WantedShares, length_at: Callable[[Axes], float]) -> Axes:
    """The axes of a block face: its stroke is the stem; its width is halved in on until the length is right.

    ``length_at`` gives the length of the text at axis values, in cap heights.
    """
    ranges = {axis.tag: axis for axis in face.axes}
    fixed: dict[str, float] = {}
    if wanted.stem is not None:
        fixed["stroke"] = round(min(max(wanted.stem, ranges["stroke"].least), ranges["stroke"].most), 6)
    if wanted.length is None:
        return tuple(sorted(fixed.items()))
    low, high = max(ranges["width"].least, 2.5 * fixed.get("stroke", 0.0)), ranges["width"].most
    for _ in range(24):
        middle = (low + high) / 2
        try:
            short = length_at(tuple(sorted({**fixed, "width": middle}.items()))) < wanted.length
        except LetteringError:
            # So narrow that a letter closes up.
            short = True
        if short:
            low = middle
        else:
            high = middle
    return tuple(sorted({**fixed, "width": round(high, 6)}.items()))


def _misses(probe: Probe, text: str, wanted: WantedShares) -> Vector:
    drawn: dict[str, Rings] = {}

    def letter(character: str) -> Rings:
        if character not in drawn:
            drawn[character] = probe.contours(probe.shape(character)[0].gid)
        return drawn[character]

    cap = bounds(letter("H"))[3]
    found: list[float] = []
    if wanted.stem is not None:
        stem = stem_of(wanted.stem_letter, letter(wanted.stem_letter), 5) / cap
        found.append(WEIGHTS.build * _log(stem / wanted.stem))
    if wanted.crossbar is not None:
        bar = crossbar_of(wanted.crossbar_letter, letter(wanted.crossbar_letter), 3) / cap
        found.append(WEIGHTS.build * _log(bar / wanted.crossbar))
    for character, width in wanted.widths:
        left, right = probe.sides(probe.shape(character)[0].gid) or (0.0, 0.0)
        found.append(WEIGHTS.width * _log((right - left) / cap / width))
    if wanted.length is not None and not wanted.widths:
        inked = [(g, sides) for g in probe.shape(text) if (sides := probe.sides(g.gid)) is not None]
        left = min(g.x + sides[0] for g, sides in inked)
        right = max(g.x + sides[1] for g, sides in inked)
        found.append(WEIGHTS.length * _log((right - left) / cap / wanted.length))
    return np.array(found)


def _log(ratio: float) -> float:
    return math.log(ratio) if math.isfinite(ratio) and ratio > 0 else 0.0


def _value(axis: Axis, share: float) -> float:
    # Rounded, so that a last digit of rounding noise on another machine gives the same letters.
    return round(axis.least + share * (axis.most - axis.least), 3)


def _share(axis: Axis, value: float) -> float:
    return (value - axis.least) / (axis.most - axis.least)


def _least_squares(misses: Callable[[Vector], Vector], start: Vector) -> Vector:
    """Damped Gauss-Newton steps inside the unit cube."""
    point = start.copy()
    here = misses(point)
    damping = 1e-3
    for _ in range(20):
        slopes = _slopes(misses, point, here)
        for _ in range(6):
            # An axis at its end that wants to go further is left out of the step.
            pull = slopes.T @ here
            free = ~(((point <= 0) & (pull > 0)) | ((point >= 1) & (pull < 0)))
            if not free.any():
                return point
            square = slopes[:, free].T @ slopes[:, free]
            step = np.zeros_like(point)
            step[free] = -np.linalg.solve(square + damping * np.eye(int(free.sum())), pull[free])
            there = np.clip(point + step, 0.0, 1.0)
            value = misses(there)
            if value @ value < here @ here:
                break
            damping *= 8
        else:
            return point
        moved = float(np.abs(there - point).max())
        point, here, damping = there, value, max(damping / 8, 1e-6)
        if moved < 1e-4:
            break
    return point


def _slopes(misses: Callable[[Vector], Vector], point: Vector, here: Vector) -> Vector:
    columns = []
    for i in range(len(point)):
        step = 0.01 if point[i] <= 0.5 else -0.01
        aside = point.copy()
        aside[i] += step
        columns.append((misses(aside) - here) / step)
    return np.column_stack(columns)
