"""Stars found in remains: how many points, how large, how deep, how they are turned. Pure; mm, radians."""

from __future__ import annotations

import itertools
import math
from functools import partial

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.scan.colours import ink_of
from decalgen.scan.outlines import CORNER_PIXELS, FigureEdges, LaidFigure, lay, lines_between, middle_of
from decalgen.scan.remains import FoundValue, PatternFit, Remains, little_left, plain_inks

POINTS = range(4, 11)
RATIOS = np.arange(0.25, 0.86, 0.06)
TURNS = 14
"""So many turns are tried between one point and the next."""
FEW = 350
"""So many dots tell the first guess."""
KEPT = 4
LEAST_SHARE = 0.3
LOOKED_AT = (0.3, 0.6, 0.85)
"""Of the radius of the inner corners: where its ink is looked for."""
REACH = 0.12
"""The first guess is right to this share of the radius over the root of the count of points."""
BLURRED_PIXELS = 5.0
"""Where a point is narrower its two edges push each other aside."""


def fit_star(remains: Remains) -> PatternFit | None:
    """None where no star of 4 to 10 points explains the edges."""
    dots = np.nonzero(remains.solid)[0]
    if len(dots) < 40:
        return None
    best: tuple[float, int, LaidFigure] | None = None
    for points, start in _guesses(remains, dots):
        figure = partial(_star, points=points)
        reach = REACH * start[3] / math.sqrt(points)
        laid = lay(remains, figure, start, reach)
        laid = lay(remains, figure, laid.values, remains.near, corner=_corner(remains, laid, points))
        _, _, _, outer, inner = laid.values
        if not (0.15 < inner / max(outer, 1e-9) < 0.92 and outer > 10 * remains.pixel):
            continue
        score = laid.score(remains, _inside(remains, laid, points))
        if best is None or score > best[0]:
            best = score, points, laid
    if best is None or best[2].share_of(np.arange(2 * best[1])) < LEAST_SHARE:
        return None
    return _told(remains, best[2], best[1], best[0])


def _corner(remains: Remains, laid: LaidFigure, points: int) -> float:
    """From the tip of a point to where it is as wide as its edges need, pixels; never the better part of an edge."""
    outer, inner = laid.values[3:]
    end = inner * np.array((math.cos(math.pi / points), math.sin(math.pi / points)))
    run = end - (outer, 0.0)
    long = float(np.hypot(*run))
    return max(CORNER_PIXELS, min(BLURRED_PIXELS / 2 * long / max(float(run[1]), 1e-9), 0.35 * long / remains.pixel))


def _star(values: FloatArray, points: int) -> FigureEdges:
    """Of the middle, the turn of one point from upright, and the radii of points and of inner corners."""
    x, y, turn, outer, inner = values
    angles = math.pi / 2 + turn + math.pi / points * np.arange(2 * points + 1)
    radii = np.where(np.arange(2 * points + 1) % 2 == 0, outer, inner)
    ring = np.column_stack((x + radii * np.cos(angles), y + radii * np.sin(angles)))
    return lines_between(np.stack((ring[:-1], ring[1:]), axis=1))


def _guesses(remains: Remains, dots: NDArray[np.int64]) -> list[tuple[int, FloatArray]]:
    """The likeliest stars of each count: all edges of a star are as far from its middle, so the middle is where their
    lines pass at one distance; then turns and ratios are tried on the sector from a point to an inner corner."""
    some = dots[np.linspace(0, len(dots) - 1, min(FEW, len(dots))).astype(int)]
    at, normal = remains.at[some] - middle_of(remains), remains.normal[some]
    found: list[tuple[float, int, FloatArray]] = []
    for centre in _centres(at, normal):
        off = at - centre
        radius, bearing = np.hypot(off[:, 0], off[:, 1]), np.arctan2(off[:, 1], off[:, 0]) - math.pi / 2
        facing = np.arctan2(normal[:, 1], normal[:, 0]) - math.pi / 2
        for points, outer in itertools.product(POINTS, np.percentile(radius, (99, 92))):
            found += [
                (hits, points, np.array([*centre, *rest]))
                for hits, rest in _tried(radius, bearing, facing, points, float(outer))
            ]
    best: dict[int, tuple[float, FloatArray]] = {}
    for hits, points, start in found:
        if points not in best or hits > best[points][0]:
            best[points] = hits, start
    ranked = sorted(best, key=lambda points: -best[points][0])[:KEPT]
    return [(points, best[points][1]) for points in ranked]


def _centres(at: FloatArray, normal: FloatArray) -> list[FloatArray]:
    """Where all edges' lines pass at about one distance: least squares over middle and distance, the outward side of
    each line told by where the middle was before; then the middle of the dots' extent."""
    extent = (np.percentile(at, 1, axis=0) + np.percentile(at, 99, axis=0)) / 2
    found = [np.asarray(extent, float)]
    for start in (extent, at.mean(axis=0)):
        centre = np.asarray(start, float)
        for _ in range(12):
            reach = ((at - centre) * normal).sum(axis=1)
            outward = normal * np.sign(reach)[:, None]
            line = (at * outward).sum(axis=1)
            typical = float(np.median(np.abs(reach)))
            weight = 1 / (1 + ((np.abs(reach) - typical) / (0.2 * typical + 1e-9)) ** 2)
            rows = np.column_stack((outward, np.ones(len(at)))) * weight[:, None]
            centre = np.linalg.lstsq(rows, line * weight, rcond=None)[0][:2]
        found.append(np.asarray(centre, float))
    return found


def _tried(
    radius: FloatArray, bearing: FloatArray, facing: FloatArray, points: int, outer: float
) -> list[tuple[float, tuple[float, float, float]]]:
    """The best turn and radii of a star, with the share of the dots near its edges."""
    sector = 2 * math.pi / points
    turns = np.arange(TURNS) * sector / TURNS
    off = np.mod(bearing[None] - turns[:, None] + sector / 2, sector) - sector / 2
    way = np.where(off < 0, -1.0, 1.0)
    x, y = radius * np.cos(off), radius * np.abs(np.sin(off))
    # Normals, brought into the same half sector.
    rest = way * (facing[None] - bearing[None]) + np.abs(off)
    found = []
    for ratio in RATIOS:
        end = np.array((math.cos(sector / 2), math.sin(sector / 2))) * ratio * outer
        run = end - (outer, 0.0)
        long = float(np.hypot(*run))
        unit = run / long
        across = unit[0] * y - unit[1] * (x - outer)
        along = unit[0] * (x - outer) + unit[1] * y
        askew = np.abs(np.cos(rest) * unit[0] + np.sin(rest) * unit[1])
        near = (np.abs(across) < 0.06 * outer) & (along > -0.1 * long) & (along < 1.1 * long) & (askew < 0.3)
        hits = near.mean(axis=1)
        best = int(hits.argmax())
        found.append((float(hits[best]), (float(turns[best]), outer, ratio * outer)))
    return [max(found)]


def _inside(remains: Remains, laid: LaidFigure, points: int) -> NDArray[np.bool_]:
    """Which dots lie in the star, its rim included."""
    x, y, turn, outer, inner = laid.values
    off = remains.at - laid.middle - (x, y)
    sector = 2 * math.pi / points
    around = np.abs(np.mod(np.arctan2(off[:, 1], off[:, 0]) - math.pi / 2 - turn + sector / 2, sector) - sector / 2)
    radius = np.hypot(off[:, 0], off[:, 1])
    end = inner * np.array((math.cos(sector / 2), math.sin(sector / 2)))
    run = (end - (outer, 0.0)) / np.hypot(*(end - (outer, 0.0)))
    across = run[0] * radius * np.sin(around) - run[1] * (radius * np.cos(around) - outer)
    return np.asarray(across > -remains.near, bool)


def _told(remains: Remains, laid: LaidFigure, points: int, score: float) -> PatternFit | None:
    angles = np.linspace(0, 2 * math.pi, 120, endpoint=False)
    x, y, _, _, inner = laid.values
    ring = np.column_stack((np.cos(angles), np.sin(angles)))
    spots = laid.middle + np.array((x, y)) + inner * np.concatenate([share * ring for share in LOOKED_AT])
    ink = ink_of(remains.calm_light_at(spots), remains.ground)
    if ink is None:
        return None
    scale = max(remains.scale.across, remains.scale.up)
    share = laid.share_of(np.arange(2 * points))
    sector = 2 * math.pi / points

    def turn(values: FloatArray) -> float:
        return float((values[2] + sector / 2) % sector - sector / 2)

    values = (
        FoundValue("points", points, 0.0, share, "", little_left(share)),
        laid.found("diameter", lambda v: float(2 * v[3]), share, scale),
        laid.found("inner diameter", lambda v: float(2 * v[4]), share, scale),
        laid.found_angle("turn", turn, share),
    )
    return PatternFit("star", values, plain_inks([ink]), (), score, edges=laid.drawn)
