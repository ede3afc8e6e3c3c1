"""An outline fitted to where its edge is seen, from rough corners: each side by itself, corners where sides cross,
round corners by the radius that meets what is seen. Pure; mm of the sheet, y up, corners anticlockwise."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import signed_area
from decalgen.core.values import dataclass
from decalgen.scan.template.course import FittedSide, SideCourse, crossing, fit_side, rise_of
from decalgen.scan.template.seen import EdgeFinder
from decalgen.scan.template.values import GivenCorner, TemplateError

SPACING_MM = 0.25
REACHES_MM = (1.5, 1.0, 0.6, 0.5)
"""How far to each side of an outline its edge is looked for, time after time."""
AT_CORNER_MM = 0.45
"""So much of a side is left out at a sharp corner: pencil runs over and rounds it."""
TOGETHER_MM = 1.8
LEAST_SEEN = 4
STRAIGHT_RISE_MM = 0.12
"""A side whose middle is off by less is a line, unless it was said to be an arc."""
LEAST_RADIUS_MM = 0.4


@dataclass(frozen=True)
class RoughSide:
    """Kind as given, '' for what is seen, and a first guess of how far its middle bulges, None for none."""

    kind: str = ""
    rise: float | None = None


@dataclass(frozen=True)
class SeenSide:
    """Where along a side, as shares of its length, the edge was looked for, where it is and whether it is seen."""

    share: FloatArray
    off: FloatArray
    there: NDArray[np.bool_]


@dataclass(frozen=True)
class FittedOutline:
    """``courses``: the sides between corners that are taken as sharp; ``fits``, ``seen``: of each side; ``radii``: of
    each corner, with standard uncertainty; ``sharp``: whether the two sides cross there at a corner."""

    courses: tuple[SideCourse, ...]
    fits: tuple[FittedSide, ...]
    seen: tuple[SeenSide, ...]
    radii: tuple[tuple[float, float], ...]
    sharp: tuple[bool, ...]


def ordered(corners: Sequence[GivenCorner], places: FloatArray) -> tuple[list[GivenCorner], FloatArray, bool]:
    """Corners anticlockwise, with the sides that leave them, and whether they were turned round. Raises TemplateError
    for a ring without an area."""
    area = signed_area([(float(x), float(y)) for x, y in places])
    if abs(area) < 1.0:
        raise TemplateError("the corners enclose nothing", fix="give them in order, once round the panel")
    if area > 0:
        return list(corners), places, False
    n = len(corners)
    turned = [replace(corners[n - 1 - j], side=corners[(n - 2 - j) % n].side) for j in range(n)]
    return turned, places[::-1].copy(), True


def fit_outline(
    finder: EdgeFinder, corners: FloatArray, rounds: Sequence[float | None], sides: Sequence[RoughSide]
) -> FittedOutline:
    """``rounds``: for each corner None where it is sharp, else a first guess of its radius, 0 for none. Raises
    TemplateError where a side is nowhere seen."""
    n = len(corners)
    courses = [SideCourse(corners[i], corners[(i + 1) % n], sides[i].rise or 0.0) for i in range(n)]
    _check_lengths(courses)
    cuts = [_first_cut(courses, i, radius) for i, radius in enumerate(rounds)]
    courses = [_bulged(finder, course, (cuts[i], cuts[(i + 1) % n]), sides[i]) for i, course in enumerate(courses)]
    arcs = [side.kind == "arc" or (side.kind == "" and abs(courses[i].rise) > 0) for i, side in enumerate(sides)]
    radii: list[tuple[float, float]] = [(0.0, 0.0)] * n
    fits: list[FittedSide] = []
    sharp = [True] * n
    for turn, reach in enumerate(REACHES_MM):
        fits = []
        for i in range(n):
            seen = look(finder, courses[i], (cuts[i], cuts[(i + 1) % n]), reach)
            fit, arcs[i] = _fitted(courses[i], seen, sides[i].kind, arcs[i], i)
            fits.append(fit)
        met = [crossing(fits[i - 1].curve, fits[i].curve, courses[i].start) for i in range(n)]
        sharp = [at_corner for _, at_corner in met]
        courses = [
            SideCourse(
                met[i][0],
                met[(i + 1) % n][0],
                rise_of(fits[i].curve, met[i][0], met[(i + 1) % n][0], courses[i].rise) if arcs[i] else 0.0,
            )
            for i in range(n)
        ]
        _check_lengths(courses)
        for i in range(n):
            if rounds[i] is not None and sharp[i]:
                radii[i] = _radius(finder, courses[i - 1], courses[i], radii[i][0] if turn else rounds[i] or 0.0)
                cuts[i] = _tangent(courses[i - 1], courses[i], radii[i][0]) + AT_CORNER_MM
    seen_sides = tuple(
        look(finder, courses[i], (_open(radii, cuts, i), _open(radii, cuts, (i + 1) % n)), 0.5) for i in range(n)
    )
    return FittedOutline(tuple(courses), tuple(fits), seen_sides, tuple(radii), tuple(sharp))


def _open(radii: Sequence[tuple[float, float]], cuts: Sequence[float], i: int) -> float:
    return cuts[i] if radii[i][0] else 0.0


def _check_lengths(courses: Sequence[SideCourse]) -> None:
    for number, course in enumerate(courses, 1):
        if course.chord < 0.8:
            raise TemplateError(
                f"corners {number} and {number % len(courses) + 1} lie less than 1 mm apart",
                fix="leave one of them out, or give all corners with --points",
            )


def _first_cut(courses: Sequence[SideCourse], i: int, radius: float | None) -> float:
    if radius is None:
        return AT_CORNER_MM
    short = min(courses[i - 1].chord, courses[i].chord)
    return min(radius + AT_CORNER_MM if radius else 4.0, 0.35 * short)


def look(finder: EdgeFinder, course: SideCourse, cuts: tuple[float, float], reach: float) -> SeenSide:
    """The edge beside a course, without its ends."""
    length = course.length
    low, high = min(cuts[0] / length, 0.45), 1 - min(cuts[1] / length, 0.45)
    share = np.linspace(low, high, max(6, round((high - low) * length / SPACING_MM)))
    off, there = finder.find(*course.at(share), reach)
    return SeenSide(share, off, there)


def _fitted(course: SideCourse, seen: SeenSide, kind: str, arc: bool, number: int) -> tuple[FittedSide, bool]:
    """The side fitted, and whether it is an arc."""
    if int(seen.there.sum()) < LEAST_SEEN:
        raise TemplateError(
            f"no edge is seen along the side after corner {number + 1}",
            fix="rub that edge again with more pencil, or check the corners that you gave",
        )
    places, out = course.at(seen.share[seen.there])
    at = places + seen.off[seen.there][:, None] * out
    if kind == "line" or (kind == "" and (course.length < 2.5 or not arc)):
        return fit_side(course, at, False, TOGETHER_MM), False
    fit = fit_side(course, at, True, TOGETHER_MM)
    if kind == "" and abs(rise_of(fit.curve, course.start, course.end, course.rise)) < STRAIGHT_RISE_MM:
        return fit_side(course, at, False, TOGETHER_MM), False
    return fit, True


def _bulged(finder: EdgeFinder, course: SideCourse, cuts: tuple[float, float], side: RoughSide) -> SideCourse:
    """The course with the bulge under which most of the edge is seen; 0 where a line does nearly as well."""
    if side.kind == "line" or side.rise is not None:
        return course
    chord = course.chord
    step = max(0.3, chord / 60)
    count = int(chord / 2 / step)
    best, most = 0.0, -1.0
    for number in sorted(range(-count, count + 1), key=abs):
        tried = replace(course, rise=number * step)
        seen = look(finder, tried, cuts, 1.0)
        score = float((np.exp(-((seen.off / 0.35) ** 2)) * seen.there).mean())
        if score > most + (0.02 if number else 0.0):
            best, most = number * step, score
    return replace(course, rise=best)


# ---------------------------------------------------------------------------------------------------- round corners
def corner_arc(before: SideCourse, after: SideCourse, radius: float) -> tuple[FloatArray, FloatArray, float]:
    """Places along the arc of a round corner between two sides as straight as they are there, normals outward, and how
    far the middle of the arc is from the corner for each mm of the radius."""
    corner = after.start
    one, other = (_away(before, True), _away(after, False))
    half = math.acos(float(np.clip(one @ other, -1, 1))) / 2
    inward = (one + other) / max(float(np.linalg.norm(one + other)), 1e-9)
    # Hollow corners have their centre outside.
    hollow = float(one[0] * other[1] - one[1] * other[0]) > 0
    open_ = math.pi / 2 - half
    angle = np.linspace(-open_, open_, max(7, round(2 * open_ * max(radius, 0.5) / 0.15)))
    cos, sin = np.cos(angle), np.sin(angle)
    square = np.array([-inward[1], inward[0]])
    normal = -(cos[:, None] * inward + sin[:, None] * square)
    places = corner + radius / math.sin(half) * inward + radius * normal
    return places, (-normal if hollow else normal), 1 / math.sin(half) - 1


def _away(course: SideCourse, at_end: bool) -> FloatArray:
    """The direction in which a side leaves its end."""
    out = course.at(np.array([1.0 if at_end else 0.0]))[1][0]
    way = np.array([-out[1], out[0]])
    return -way if at_end else way


def _tangent(before: SideCourse, after: SideCourse, radius: float) -> float:
    """How far from the corner its arc begins."""
    one, other = _away(before, True), _away(after, False)
    half = math.acos(float(np.clip(one @ other, -1, 1))) / 2
    return radius / max(math.tan(half), 0.05)


def _radius(finder: EdgeFinder, before: SideCourse, after: SideCourse, guess: float) -> tuple[float, float]:
    """The radius at which the corner's arc meets what is seen, and its standard uncertainty; 0 where nothing is."""
    most = 0.48 * min(before.chord, after.chord) / max(_tangent(before, after, 1.0), 0.2)
    tried = [guess] if guess else [float(r) for r in np.arange(LEAST_RADIUS_MM, most, 0.25)]
    best, score = 0.0, 0.0
    for radius in tried:
        places, out, _ = corner_arc(before, after, radius)
        off, there = finder.find(places, out, 0.6)
        value = float((np.exp(-((off / 0.25) ** 2)) * there).mean())
        if value > score:
            best, score = radius, value
    if not best:
        return guess, max(0.5, guess / 2)
    u = 1.0
    for _ in range(4):
        places, out, _ = corner_arc(before, after, best)
        off, there = finder.find(places, out, 0.5)
        if there.sum() < 3:
            return best, max(0.5, best / 3)
        # How far each place comes out when the radius shrinks by 1 mm.
        gain = np.abs(((places - after.start) * out).sum(axis=1)) / best
        used, gains = off[there], gain[there]
        hollow = -1.0 if float(((places - after.start) @ out[len(out) // 2])[len(out) // 2]) > 0 else 1.0
        change = float((gains * used).sum() / max((gains**2).sum(), 1e-9)) * hollow
        best = float(np.clip(best - change, LEAST_RADIUS_MM / 2, most))
        rest = used - hollow * change * gains
        own = float(np.std(rest)) / math.sqrt(max(1.0, len(used) * 0.15 / TOGETHER_MM))
        u = math.hypot(own, 0.05) / max(float(gains.mean()), 0.1)
    return best, u
