"""Whether measured points lie on a line, a circle or an ellipse within their ±. Pure; mm.

Fits by least squares: a line by its moments; a circle by Gauss and Newton's method from I. Kåsa's start ("A circle
fitting procedure and its error analysis", IEEE Transactions on Instrumentation and Measurement 25, 1976); an ellipse by
R. Halíř and J. Flusser ("Numerically stable direct least squares fitting of ellipses", 1998).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import Point
from decalgen.core.values import dataclass

LEAST_POINTS = {"line": 3, "circle": 4, "ellipse": 6}
"""Fewer points always lie on one."""
LEAST_RUN = {"line": 4, "circle": 5}
"""The same of a run of points among others: one more, as a smooth curve is nearly one of them over a few points."""
CLEAR = 3.0
"""A run ends clearly where the next point lies so many times as far off as its own may."""
LEAST_TURN = math.pi / 4
"""A circle that turns less over a run of points may be any smooth curve, radians."""
FLATTEST = 50.0
"""A circle whose radius is so many times as large as its points lie apart says nothing that a line does not."""

WIDEST = 2.0
"""The same of the longer half axis of an ellipse, which bends to whatever lies on a short piece of it."""


@dataclass(frozen=True)
class Likeness:
    """What points lie on (a line, a circle of a radius, an ellipse of two half axes), and how far off the worst, mm."""

    kind: Literal["line", "circle", "ellipse"]
    count: int
    off: float
    centre: Point = (0.0, 0.0)
    radii: tuple[float, ...] = ()

    @property
    def words(self) -> str:
        """It in words, of all points of a curve."""
        return self.words_of(f"these {self.count} points")

    def words_of(self, points: str) -> str:
        """It in words, of some points."""
        sizes = {
            "line": "a straight line",
            "circle": f"a circle of radius {self.radii[0]:.2f} mm" if self.radii else "",
            "ellipse": f"an ellipse of {2 * self.radii[0]:.2f} × {2 * self.radii[-1]:.2f} mm" if self.radii else "",
        }
        return f"{points} lie on {sizes[self.kind]}, none further off than {self.off:.2f} mm"


def likeness(points: tuple[Point, ...], within: float, closed: bool) -> Likeness | None:
    """The simplest that all points lie on within ± ``within`` mm; None where there is none."""
    array = np.array(points, dtype=np.float64)
    for kind, fit in (("line", _line), ("circle", _circle), ("ellipse", _ellipse)):
        if len(points) < LEAST_POINTS[kind] or (kind == "line" and closed):
            continue
        found = fit(array)
        if found and found.off <= within:
            return found
    return None


class LikeRun(NamedTuple):
    """Points that follow each other (by the index of the first and the last) and what they lie on."""

    first: int
    last: int
    found: Likeness


def like_runs(points: Sequence[Point], within: float) -> list[LikeRun]:
    """The longest runs of points of an open line that lie on a straight or on a circle within ± ``within`` mm, from the
    first on.

    A smooth curve is nearly a circle over a few points. So a run is told only where it ends clearly (`CLEAR`), and
    where a circle turns by `LEAST_TURN`.
    """
    array = np.array(points, dtype=np.float64)
    found: list[LikeRun] = []
    at = 0
    while at < len(array):
        runs = [run for fit in (_line, _circle) if (run := _longest(array, at, fit, within))]
        if not runs:
            at += 1
            continue
        best = max(runs, key=lambda run: run.last)
        found.append(best)
        at = best.last
    return found


def _longest(array: FloatArray, at: int, fit: Callable[[FloatArray], Likeness | None], within: float) -> LikeRun | None:
    """The longest run from a point on; None where it is too short, or does not end clearly."""
    best: LikeRun | None = None
    for last in range(at + 2, len(array)):
        now = fit(array[at : last + 1])
        if now is None or now.off > within:
            break
        if last - at + 1 >= LEAST_RUN[now.kind]:
            best = LikeRun(at, last, now)
    if best is None or (best.found.kind == "circle" and _turn(array[at : best.last + 1], best.found) < LEAST_TURN):
        return None
    for edge in (at - 1, best.last + 1):
        if 0 <= edge < len(array) and _off(array[edge], array[at : best.last + 1], best.found) < CLEAR * within:
            return None
    return best


def _turn(points: FloatArray, found: Likeness) -> float:
    """How far a circle turns over points along it, radians."""
    ways = np.unwrap(np.arctan2(*(points - found.centre).T[::-1]))
    return float(abs(ways[-1] - ways[0]))


def _off(point: FloatArray, points: FloatArray, found: Likeness) -> float:
    """How far a point lies from the straight or the circle that others lie on, mm."""
    if found.kind == "circle":
        return float(abs(np.hypot(*(point - found.centre)) - found.radii[0]))
    middle = points.mean(axis=0)
    return float(abs((point - middle) @ np.linalg.svd(points - middle, full_matrices=False)[2][1]))


def _line(points: FloatArray) -> Likeness | None:
    lead = points - points.mean(axis=0)
    across = np.linalg.svd(lead, full_matrices=False)[2][1]
    return Likeness("line", len(points), float(np.abs(lead @ across).max()))


def _circle(points: FloatArray) -> Likeness | None:
    middle = points.mean(axis=0)
    lead = points - middle
    square = (lead * lead).sum(axis=1)
    normal = np.column_stack((2 * lead, np.ones(len(lead))))
    answer, _, rank, _ = np.linalg.lstsq(normal, square, rcond=None)
    if rank < 3:
        return None
    centre, radius = answer[:2], math.sqrt(max(0.0, float(answer[2] + answer[:2] @ answer[:2])))
    for _ in range(20):
        away = lead - centre
        far = np.hypot(away[:, 0], away[:, 1])
        if not (far > 1e-9).all():
            return None
        slope = np.column_stack((-away / far[:, None], -np.ones(len(far))))
        step = np.linalg.lstsq(slope, radius - far, rcond=None)[0]
        centre, radius = centre + step[:2], radius + float(step[2])
        if float(np.abs(step).max()) < 1e-9:
            break
    if radius > FLATTEST * float(np.ptp(points, axis=0).max()):
        return None
    off = float(np.abs(np.hypot(*(lead - centre).T) - radius).max())
    x, y = (centre + middle).tolist()
    return Likeness("circle", len(points), off, (x, y), (radius,))


def _ellipse(points: FloatArray) -> Likeness | None:
    middle = points.mean(axis=0)
    scale = float(np.ptp(points, axis=0).max())
    x, y = ((points - middle) / scale).T
    bent, flat = np.column_stack((x * x, x * y, y * y)), np.column_stack((x, y, np.ones(len(x))))
    mixed, low = bent.T @ flat, flat.T @ flat
    if np.linalg.cond(low) > 1e12:
        return None
    back = -np.linalg.solve(low, mixed.T)
    whole = (bent.T @ bent + mixed @ back)[[2, 1, 0]] * np.array([[0.5], [-1.0], [0.5]])
    vectors = np.real(np.linalg.eig(whole)[1])
    among = 4 * vectors[0] * vectors[2] - vectors[1] ** 2
    if not (among > 1e-12).any():
        return None
    first = vectors[:, int(among.argmax())]
    a, b, c = first.tolist()
    d, e, f = (back @ first).tolist()
    shape = np.array([[a, b / 2], [b / 2, c]])
    centre = np.linalg.solve(shape, [-d / 2, -e / 2])
    level = float(centre @ shape @ centre) - f
    sizes, axes = np.linalg.eigh(shape / level)
    if not (sizes > 1e-9).all():
        return None
    radii = scale / np.sqrt(sizes)
    if float(radii.max()) > WIDEST * scale:
        return None
    lead = (np.column_stack((x, y)) - centre) @ axes * scale
    sx, sy = (centre * scale + middle).tolist()
    return Likeness("ellipse", len(points), _off_ellipse(lead, radii), (sx, sy), tuple(radii.tolist()))


def _off_ellipse(lead: FloatArray, radii: FloatArray) -> float:
    """How far the worst point lies from an ellipse along its axes: each to its nearest place, by Newton's method on the
    angle."""
    a, b = radii.tolist()
    x, y = np.abs(lead).T
    angle = np.arctan2(y / b, x / a)
    for _ in range(30):
        cos, sin = np.cos(angle), np.sin(angle)
        slope = (b * b - a * a) * cos * sin + a * x * sin - b * y * cos
        bend = (b * b - a * a) * (cos * cos - sin * sin) + a * x * cos + b * y * sin
        angle = np.clip(angle - np.where(np.abs(bend) > 1e-12, slope / bend, 0.0), 0.0, math.pi / 2)
    return float(np.hypot(x - a * np.cos(angle), y - b * np.sin(angle)).max())
