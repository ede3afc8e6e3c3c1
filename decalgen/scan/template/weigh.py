"""The template weighed together with sizes that were typed: least squares with what is known of pencil, tape and
scanner beforehand (K.-R. Koch, Parameter Estimation and Hypothesis Testing in Linear Models, 2nd edition, from memory).

What may be wrong of a template: all edges lie outward by one amount (where in a pencil line the edge is), the tape is
stretched across, up, or askew, each side lies or leans a little by itself. Corners follow from the sides that meet
there. Sizes are those of the box round the outline. Pure; mm, the panel's own coordinates.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.template.course import SideCourse, extremes
from decalgen.scan.template.level import standing
from decalgen.scan.template.values import TypedSize

EDGE_MM = 0.075
"""Standard uncertainty of where in a pencil line the edge is, for all edges alike."""
OWN_MM = 0.045
"""The same of each side by itself: pencil pressed harder, wrinkles."""
LEAN_MM = 0.04
BOW_MM = 0.04
"""Of how far the middle of an arc bulges."""
PHOTO_MM = 0.05
"""Of an edge in a photo, in place of EDGE_MM: a lit or shaded rim."""
STRETCH = 0.0015
"""Of tape, as a share: pressed on, not pulled, it stretches by up to 0.3 %."""
SKEW = 0.001
SUSPECT = 2.6
"""A typed size that differs by more standard uncertainties from the template is named."""
BARE = math.radians(14)


@dataclass(frozen=True)
class OutlineErrors:
    """Of each corner and each side's middle, how it moves with each thing that may be wrong (``corners``: corner × 2 ×
    thing; ``rises``: side × thing), and the standard uncertainty of each thing."""

    corners: FloatArray
    rises: FloatArray
    u: FloatArray


@dataclass(frozen=True)
class WeighedOutline:
    """Corners, rises and sizes after weighing, with the covariance of what may be wrong. ``suspects``: by size, how far
    the typed one is from the template's, and that difference's standard uncertainty."""

    courses: tuple[SideCourse, ...]
    corner_u: FloatArray
    rise_u: FloatArray
    size: tuple[TypedSize, TypedSize]
    suspects: dict[str, tuple[float, float]]
    shares: tuple[float, float, float]
    """How much the tape was stretched: across, up, askew."""


def errors_of(
    courses: Sequence[SideCourse], own: Sequence[tuple[float, float]], source: str, scale: tuple[float, float]
) -> OutlineErrors:
    """``own``: standard uncertainties of each side's middle and of its lean; ``scale``: of the scale, as shares."""
    n = len(courses)
    count = 4 + 3 * n
    edge = PHOTO_MM if source == "photo" else EDGE_MM
    stretch = 0.0 if source == "photo" else STRETCH
    bows = [math.hypot(BOW_MM, 1.5 * one[0]) for one in own]
    u = np.array([edge, math.hypot(stretch, scale[0]), math.hypot(stretch, scale[1]), SKEW if stretch else 2e-4])
    u = np.concatenate(
        [u, [math.hypot(OWN_MM, one[0]) for one in own], [math.hypot(LEAN_MM, one[1]) for one in own], bows]
    )
    corners = np.zeros((n, 2, count))
    rises = np.zeros((n, count))
    ends = [course.at(np.array([0.0, 1.0]))[1] for course in courses]
    for i in range(n):
        before, after = (i - 1) % n, i
        one, other = ends[before][1], ends[after][0]
        at = courses[i].start
        corners[i, :, 1] = (at[0], 0.0)
        corners[i, :, 2] = (0.0, at[1])
        corners[i, :, 3] = (at[1], 0.0)
        moved = np.zeros((2, count))
        moved[0, [0, 4 + before, 4 + n + before]] = (1.0, 1.0, 1.0)
        moved[1, [0, 4 + after, 4 + n + after]] = (1.0, 1.0, -1.0)
        corners[i] += _met(one, other, moved)
        # The middle of a side moves out by itself; its rise is against the line between its corners.
    for i in range(n):
        after = (i + 1) % n
        way = courses[i].end - courses[i].start
        out = np.array([way[1], -way[0]]) / courses[i].chord
        middle = np.zeros(count)
        middle[[0, 4 + i]] = 1.0
        place = courses[i].at(np.array([0.5]))[0][0]
        middle[1:4] = out @ np.array([(place[0], 0.0, place[1]), (0.0, place[1], 0.0)])
        rises[i] = middle - out @ (corners[i] + corners[after]) / 2
        rises[i, 4 + 2 * n + i] = 1.0
    return OutlineErrors(corners, rises, u)


def _met(one: FloatArray, other: FloatArray, moved: FloatArray) -> FloatArray:
    """How a corner moves when its two sides move out; where they run on smoothly, square to both alone."""
    rows = np.array([one, other])
    if abs(float(np.linalg.det(rows))) < math.sin(BARE):
        mean = (one + other) / np.linalg.norm(one + other)
        return np.outer(mean, moved.mean(axis=0))
    return np.asarray(np.linalg.solve(rows, moved), float)


def weigh(
    courses: Sequence[SideCourse], errors: OutlineErrors, width: TypedSize | None, height: TypedSize | None
) -> WeighedOutline:
    """The outline most likely by template and sizes together. A size that is a suspect still counts, and leaves the
    rest as uncertain as the two disagree."""
    typed = [("width", 0, width), ("height", 1, height)]
    given = [(name, axis, size) for name, axis, size in typed if size is not None]
    moved, wrong = list(courses), np.zeros(len(errors.u))
    covariance = np.diag(errors.u**2)
    suspects: dict[str, tuple[float, float]] = {}
    if given:
        rows = np.array([_size_row(courses, errors, axis) for _, axis, _ in given])
        own = np.diag([max(size.u, 0.002) ** 2 for _, _, size in given])
        off = np.array([size.value - _box(courses)[axis] for _, axis, size in given])
        spread = rows @ covariance @ rows.T + own
        for (name, _, _), value, u in zip(given, off, np.sqrt(np.diag(spread)), strict=True):
            if abs(value) > SUSPECT * u:
                suspects[name] = (float(value), float(u))
        worse = max([1.0, *(abs(value) / u / 2 for value, u in suspects.values())])
        covariance = covariance * worse**2
        spread = rows @ covariance @ rows.T + own
        gain = covariance @ rows.T @ np.linalg.inv(spread)
        wrong = gain @ off
        covariance = covariance - gain @ rows @ covariance
        moved = _moved(courses, errors, wrong)
        # What is left to second order.
        off = np.array([size.value - _box(moved)[axis] for _, axis, size in given])
        wrong = wrong + gain @ off
        moved = _moved(courses, errors, wrong)
    rows = _framed_rows(moved, errors)
    corner_u = np.sqrt(np.einsum("nij,jk,nik->ni", rows, covariance, rows))
    rise_u = np.sqrt(np.einsum("nj,jk,nk->n", errors.rises, covariance, errors.rises))
    rows = np.array([_size_row(courses, errors, axis) for axis in (0, 1)])
    size_u = np.sqrt(np.diag(rows @ covariance @ rows.T))
    box = _box(moved)
    sizes = (TypedSize(box[0], float(size_u[0])), TypedSize(box[1], float(size_u[1])))
    shares = (float(wrong[1]), float(wrong[2]), float(wrong[3]))
    return WeighedOutline(tuple(moved), corner_u, rise_u, sizes, suspects, shares)


def _moved(courses: Sequence[SideCourse], errors: OutlineErrors, wrong: FloatArray) -> list[SideCourse]:
    n = len(courses)
    corners = [courses[i].start + errors.corners[i] @ wrong for i in range(n)]
    rises = [courses[i].rise + float(errors.rises[i] @ wrong) if courses[i].rise else 0.0 for i in range(n)]
    return [SideCourse(corners[i], corners[(i + 1) % n], rises[i]) for i in range(n)]


def _box(courses: Sequence[SideCourse]) -> tuple[float, float]:
    low, high = extremes(courses)
    return float(high[0] - low[0]), float(high[1] - low[1])


def _framed_rows(courses: Sequence[SideCourse], errors: OutlineErrors) -> FloatArray:
    """How each corner, by the panel's own foot and lower left corner, changes with each thing: corner × 2 × thing."""
    rows = np.zeros_like(errors.corners)
    for n, one in enumerate(errors.u):
        step = np.zeros(len(errors.u))
        step[n] = one
        ends = []
        for way in (1.0, -1.0):
            moved = _moved(courses, errors, way * step)
            stand = standing(moved)
            ends.append(stand.of(np.array([course.start for course in moved])))
        rows[:, :, n] = (ends[0] - ends[1]) / (2 * one)
    return rows


def _size_row(courses: Sequence[SideCourse], errors: OutlineErrors, axis: int) -> FloatArray:
    """How a size of the box changes with each thing that may be wrong."""
    row = np.zeros(len(errors.u))
    for n, one in enumerate(errors.u):
        step = np.zeros(len(errors.u))
        step[n] = one / 10
        ends = [_box(_moved(courses, errors, way * step))[axis] for way in (1.0, -1.0)]
        row[n] = (ends[0] - ends[1]) / (one / 5)
    return row
