"""Discs, rings and roundels found in remains: their centre and radii. Pure; mm."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.scan.colours import WHITE, alike, ink_of
from decalgen.scan.remains import (
    SCANNER_OFF,
    FoundValue,
    PatternFit,
    Remains,
    covered,
    fit_edge,
    little_left,
    plain_inks,
    spread_of,
    tukey,
)

TRIES = 600
SEED = 20
"""Of the draws of pairs of dots: the same picture gives the same answer."""
LEAST_ARC = 0.12
"""A circle of which less is seen is none."""
SECTORS = 24
MOST_RINGS = 16
MOST_RADIUS = 500.0
BLUR = (1.0, 0.35)
"""Blur draws the edge of a disc of radius R inward by its variance / 2R: of the smoothing and of a home scanner
together so many square pixels, with their standard uncertainty (common practice, no source)."""
MOSTLY_TORN = 0.6
"""A circle between two inks unlike paper whose edge is so much a tear is one."""


def fit_disc(remains: Remains) -> PatternFit | None:
    """None where the edges have no common centre."""
    if len(remains.at) < 40:
        return None
    centre = _centre(remains)
    if centre is None:
        return None
    radii = _radii(remains, centre)
    if not 1 <= len(radii) <= MOST_RINGS:
        return None
    for _ in range(8):
        centre, radii = _refined(remains, centre, radii)
        # Two that were taken for one edge each may meet on the same.
        radii = [one for n, one in enumerate(radii) if not n or radii[n - 1] - one > 2 * remains.pixel]
    return _told(remains, centre, radii)


def _centre(remains: Remains) -> FloatArray | None:
    """Where most edges point: the crossing of two normals that most others pass."""
    rng = np.random.default_rng(SEED)
    at, normal = remains.at, remains.normal
    some = rng.integers(0, len(at), (TRIES, 2))
    one, other = normal[some[:, 0]], normal[some[:, 1]]
    cross = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    way = at[some[:, 1]] - at[some[:, 0]]
    good = np.abs(cross) > 0.35
    along = (way[:, 0] * other[:, 1] - way[:, 1] * other[:, 0])[good] / cross[good]
    tried = at[some[good, 0]] + along[:, None] * one[good]
    few = np.arange(0, len(at), max(1, len(at) // 1500))
    limit = max(0.15, 3 * remains.pixel)
    off = tried[:, None] - at[few][None]
    passes = np.abs(off[..., 0] * normal[few, 1] - off[..., 1] * normal[few, 0]) < limit
    far = np.hypot(off[..., 0], off[..., 1]) > 6 * remains.pixel
    votes = (passes & far).sum(axis=1)
    if not len(votes) or votes.max() < 20:
        return None
    centre = tried[int(votes.argmax())]
    for _ in range(6):
        rest = at - centre
        miss = rest[:, 0] * normal[:, 1] - rest[:, 1] * normal[:, 0]
        weight = tukey(miss, limit / 3)
        rows = np.column_stack((normal[:, 1], -normal[:, 0])) * weight[:, None]
        centre = centre + np.linalg.lstsq(rows, miss * weight, rcond=None)[0]
    return np.asarray(centre, float)


def _on(remains: Remains, centre: FloatArray) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """Distance of each dot from a centre, its bearing, and whether its edge lies round the centre."""
    off = remains.at - centre
    radius = np.hypot(off[:, 0], off[:, 1])
    round_ = np.abs((off * remains.normal).sum(axis=1)) > 0.95 * np.maximum(radius, 1e-9)
    return radius, np.arctan2(off[:, 1], off[:, 0]), round_


def _radii(remains: Remains, centre: FloatArray) -> list[float]:
    """The circles of which enough is seen, from the largest."""
    radius, bearing, round_ = _on(remains, centre)
    step = remains.pixel / 2
    chosen = round_ & (radius > 4 * remains.pixel) & (radius < MOST_RADIUS)
    if chosen.sum() < 20:
        return []
    heaped = np.convolve(np.bincount((radius[chosen] / step).astype(int)), np.ones(5), "same")
    found: list[float] = []
    for peak in np.argsort(-heaped, kind="stable")[:400]:
        tried = (float(peak) + 0.5) * step
        if heaped[peak] < 8 or any(abs(tried - one) < 4 * remains.pixel for one in found):
            continue
        on = chosen & (np.abs(radius - tried) < 2 * remains.pixel)
        # The heap is flat on top where all dots are in one bin.
        tried = float(np.median(radius[on]))
        if _arc(bearing[on], tried, remains).mean() >= LEAST_ARC:
            found.append(tried)
    return sorted(found, reverse=True)


def _arc(bearing: FloatArray, radius: float, remains: Remains) -> NDArray[np.bool_]:
    """Which steps round a circle have a dot."""
    step = min(1.5 * remains.pixel / radius, 0.2)
    return covered(bearing, -math.pi, math.pi, step)


def _refined(remains: Remains, centre: FloatArray, radii: list[float]) -> tuple[FloatArray, list[float]]:
    radius, bearing, round_ = _on(remains, centre)
    rows, rest = [], []
    for number, one in enumerate(radii):
        on = round_ & (np.abs(radius - one) < remains.near)
        off = radius[on] - one
        weight = np.sqrt(tukey(off, spread_of(off, 0.1 * remains.pixel)))
        own = np.zeros((int(on.sum()), len(radii)))
        own[:, number] = 1.0
        rows.append(np.column_stack((np.cos(bearing[on]), np.sin(bearing[on]), own)) * weight[:, None])
        rest.append(off * weight)
    matrix, off = np.concatenate(rows), np.concatenate(rest)
    if len(matrix) < len(radii) + 10:
        return centre, radii
    found = np.linalg.lstsq(matrix, off, rcond=None)[0]
    return centre + found[:2], [one + float(more) for one, more in zip(radii, found[2:], strict=True)]


def _sector_u(remains: Remains, centre: FloatArray, radii: list[float]) -> FloatArray:
    """The standard uncertainty of the centre's x and y and of each radius: dots of one stretch of an edge err alike, so
    each stretch counts once, and no stretch is better than the scanner."""
    radius, bearing, round_ = _on(remains, centre)
    rows, errors = [], []
    for number, one in enumerate(radii):
        on = round_ & (np.abs(radius - one) < remains.near)
        sector = ((bearing[on] + math.pi) / (2 * math.pi) * SECTORS).astype(int) % SECTORS
        for part in np.unique(sector):
            inside = sector == part
            if inside.sum() < 4:
                continue
            angle = float(np.angle(np.exp(1j * bearing[on][inside]).mean()))
            own = np.zeros(len(radii))
            own[number] = 1.0
            rows.append(np.concatenate(((math.cos(angle), math.sin(angle)), own)))
            errors.append(float(np.mean(radius[on][inside] - one)))
    matrix, rest = np.array(rows), np.array(errors)
    if len(matrix) <= len(radii) + 3:
        return np.full(len(radii) + 2, 0.1)
    spread = math.hypot(SCANNER_OFF, math.sqrt(float((rest**2).sum()) / (len(matrix) - len(radii) - 2)))
    cover = np.linalg.pinv(matrix.T @ matrix)
    return np.asarray(np.hypot(spread * np.sqrt(np.maximum(np.diag(cover), 0)), 0.5 * SCANNER_OFF), float)


def _told(remains: Remains, centre: FloatArray, radii: list[float]) -> PatternFit | None:
    radius, bearing, round_ = _on(remains, centre)
    kept, inks = _rings(remains, centre, radii)
    if not kept:
        return None
    u = _sector_u(remains, centre, kept)
    values, edges, seen, whole = [], [], 0.0, 0.0
    every = np.zeros(len(radius), bool)
    relative = max(remains.scale.across, remains.scale.up)
    square = remains.pixel**2
    for number, one in enumerate(kept):
        on = round_ & (np.abs(radius - one) < remains.near)
        there = _arc(bearing[on], one, remains)
        share = float(there.mean())
        every |= on
        seen += share * one
        whole += one
        doubt = little_left(share, "its edge is")
        name = "diameter" if number == 0 else f"diameter {number + 1}"
        size = 2 * one + BLUR[0] * square / one
        size_u = math.hypot(2 * float(u[2 + number]), relative * size, BLUR[1] * square / one)
        values.append(FoundValue(name, size, size_u, share, "mm", doubt))
        angles = np.linspace(-math.pi, math.pi, 73)
        for part, (a, b) in zip(np.array_split(there, 72), pairwise(angles), strict=True):
            points = centre + one * np.array([(math.cos(t), math.sin(t)) for t in (a, b)])
            edges.append(fit_edge(points, part))
    score = remains.score(every, radius < kept[0], (seen, whole))
    return PatternFit("roundel", tuple(values), plain_inks(inks), tuple(range(len(inks))), score, edges=tuple(edges))


def _rings(remains: Remains, centre: FloatArray, radii: list[float]) -> tuple[list[float], list[FloatArray]]:
    """The radii between different colours, with the colour inside each."""
    kept = list(radii)
    inks: list[FloatArray] = []
    angles = np.linspace(0, 2 * math.pi, 180, endpoint=False)
    while kept:
        inks = []
        for number, outer in enumerate(kept):
            inner = kept[number + 1] if number + 1 < len(kept) else 0.0
            rim = min(0.3 * (outer - inner), 2 * remains.pixel)
            across = np.linspace(inner + rim, outer - rim, 7)
            r, t = np.meshgrid(across, angles, indexing="ij")
            light = remains.calm_light_at(np.stack((centre[0] + r * np.cos(t), centre[1] + r * np.sin(t)), axis=-1))
            found = ink_of(light.reshape(-1, 3), remains.ground)
            inks.append(WHITE if found is None else found)
        same = next((n for n in range(len(inks) - 1) if alike(inks[n], inks[n + 1])), None)
        if same is None:
            same = next(
                (n for n in range(len(inks) - 1) if _is_tear(remains, centre, kept[n + 1], inks[n : n + 2])), None
            )
        if same is None:
            break
        del kept[same + 1]
    return kept, inks


def _is_tear(remains: Remains, centre: FloatArray, one: float, beside: list[FloatArray]) -> bool:
    """Whether a circle between two inks is only where tears happen to run round the centre."""
    radius, _, round_ = _on(remains, centre)
    on = round_ & (np.abs(radius - one) < remains.near)
    return all(map(remains.is_telling, beside)) and float(remains.torn[on].mean()) > MOSTLY_TORN
