"""More readings than needed: least squares, and which reading to suspect when they do not agree.

Adjustment of indirect observations with weights 1/u². A residual is judged against its own uncertainty, and the
largest normalised one names the suspect (data snooping: W. Baarda, A testing procedure for use in geodetic
networks, 1968). Results keep the parts of the readings, so later correlation is right.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.base import PanelError

Model = Callable[[Sequence[float]], Mapping[str, float]]
"""From the unknowns to every reading as it ought to be."""

ROUNDS = 60
FLOOR = 1e-6
"""The least standard uncertainty a reading is weighted with, mm: an exact reading must not weigh infinitely."""
LIMIT = 2.0
"""A residual beyond this many of its own standard uncertainties is a disagreement."""


@dataclass(frozen=True)
class Doubt:
    """Readings that disagree. ``off`` is how far the suspect lies from what the others say, ``times`` that in
    standard uncertainties of the difference; ``expected`` is what the others say it should be. ``instead`` holds
    the readings that could be at fault just as well, and what each would have to be."""

    suspect: str
    off: float
    times: float
    expected: float
    instead: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Adjusted:
    """The unknowns with their parts, and the disagreement if there is one."""

    unknowns: tuple[Quantity, ...]
    doubt: Doubt | None = None


def adjust(
    readings: Mapping[str, Quantity], model: Model, start: Sequence[float], dimensions: Sequence[int] | None = None
) -> Adjusted:
    """The unknowns that fit the readings best, from ``start``; as many readings as unknowns are met exactly.

    When readings disagree by more than `LIMIT`, all parts grow by the ratio of Birge (Phys. Rev. 40:207, 1932), so
    that no verdict leans on numbers that contradict each other. Raises `PanelError` where nothing fits.
    """
    names = list(readings)
    seen = np.array([readings[name].value for name in names])
    u = np.array([max(readings[name].u, FLOOR) for name in names])
    unknowns, jacobian = _solve(names, seen, u, model, np.array(start, dtype=float))
    weighted = jacobian / u[:, None]
    inverse = np.linalg.inv(weighted.T @ weighted)
    gain = inverse @ weighted.T / u
    doubt, ratio = _doubt(names, seen, u, _row(model, names, unknowns), jacobian, inverse)
    kinds = dimensions or (1,) * len(start)
    return Adjusted(
        tuple(
            Quantity(float(unknowns[i]), kinds[i], _parts(readings, names, gain[i] * ratio))
            for i in range(len(unknowns))
        ),
        doubt,
    )


def _parts(
    readings: Mapping[str, Quantity], names: Sequence[str], gains: Sequence[float]
) -> tuple[tuple[str, float], ...]:
    parts: dict[str, float] = {}
    for name, gain in zip(names, gains, strict=True):
        for source, part in readings[name].parts:
            parts[source] = parts.get(source, 0.0) + float(gain) * part
    return tuple((source, part) for source, part in parts.items() if abs(part) > 1e-13)


Array = np.ndarray[tuple[int, ...], np.dtype[np.float64]]


def _row(model: Model, names: Sequence[str], unknowns: Array) -> Array:
    found = model(tuple(float(x) for x in unknowns))
    return np.array([found[name] for name in names])


def _solve(names: Sequence[str], seen: Array, u: Array, model: Model, unknowns: Array) -> tuple[Array, Array]:
    """Gauss-Newton with halved steps. Raises `PanelError`."""

    def misfit(at: Array) -> float:
        try:
            row = _row(model, names, at)
        except (ValueError, ZeroDivisionError, PanelError):
            return math.inf
        return float(np.sum(((seen - row) / u) ** 2)) if np.all(np.isfinite(row)) else math.inf

    best = misfit(unknowns)
    for _ in range(ROUNDS):
        jacobian = _jacobian(model, names, unknowns)
        step, *_ = np.linalg.lstsq(jacobian / u[:, None], (seen - _row(model, names, unknowns)) / u, rcond=None)
        size = 1.0
        while size > 1e-6 and not misfit(unknowns + size * step) <= best:
            size /= 2
        if size <= 1e-6:
            break
        unknowns = unknowns + size * step
        best = misfit(unknowns)
        if float(np.max(np.abs(size * step))) < 1e-12:
            break
    jacobian = _jacobian(model, names, unknowns)
    if not math.isfinite(best) or np.linalg.matrix_rank(jacobian / u[:, None]) < len(unknowns):
        raise PanelError("these readings contradict each other", fix="measure them again, one after the other")
    if len(names) == len(unknowns) and best > 1e-6 * float(np.sum((seen / u) ** 2)):
        raise PanelError("these readings contradict each other", fix="measure them again, one after the other")
    return unknowns, jacobian


def _jacobian(model: Model, names: Sequence[str], unknowns: Array) -> Array:
    columns = []
    for i, value in enumerate(unknowns):
        step = 1e-6 * max(1.0, abs(float(value)))
        nudge = np.zeros(len(unknowns))
        nudge[i] = step
        columns.append((_row(model, names, unknowns + nudge) - _row(model, names, unknowns - nudge)) / (2 * step))
    return np.array(columns).T


def _doubt(
    names: Sequence[str], seen: Array, u: Array, fitted: Array, jacobian: Array, inverse: Array
) -> tuple[Doubt | None, float]:
    """The suspect, and by how much all parts must grow."""
    spare = len(names) - jacobian.shape[1]
    if spare == 0:
        return None, 1.0
    residuals = seen - fitted
    cofactor = np.diag(u**2) - jacobian @ inverse @ jacobian.T
    spread = np.sqrt(np.maximum(np.diag(cofactor), 1e-24))
    times = np.abs(residuals) / spread
    free = np.maximum(np.diag(cofactor) / u**2, 0.0)
    # Readings that cannot be decided apart by their normalised residual (all of them, where there is one spare
    # reading) are told apart by who had to move most for its own uncertainty.
    worst = max(range(len(names)), key=lambda i: (round(float(times[i]), 2), abs(float(residuals[i])) / u[i]))
    if times[worst] <= LIMIT:
        return None, 1.0
    ratio = max(1.0, math.sqrt(float(np.sum((residuals / u) ** 2)) / spare))
    offs = residuals / np.maximum(free, 1e-12)
    instead = tuple(
        (names[i], float(seen[i] - offs[i]))
        for i in range(len(names))
        if i != worst and float(times[i]) > 0.99 * float(times[worst])
    )
    off = float(offs[worst])
    return Doubt(names[worst], off, float(times[worst]), float(seen[worst]) - off, instead), ratio
