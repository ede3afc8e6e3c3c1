"""Round corners of a rectangle found in remains. Pure; mm."""

from __future__ import annotations

import math

import numpy as np

from decalgen.scan.remains import FoundValue, Remains, little_left, turned

LEAST_RADIUS_PIXELS = 4.0
ROUND_SHARE = 0.25


def corner_radius(
    remains: Remains, box: tuple[float, float, float, float], angle: float, lies: tuple[bool, bool, bool]
) -> tuple[FoundValue | None, int]:
    """The radius of the four corners from the dots of their arcs, and how many dots tell it: one at a and b from two
    sides lies on the arc of radius a + b + √(2ab) that touches both. ``box``: across from and to, along from and to, in
    axes turned by ``angle``; ``lies``: upright, and whether the start and the end are there."""
    low, high, start, end = box
    most = min(high - low, end - start) / 2
    places, normals = turned(remains.at, angle), turned(remains.normal, angle)
    if not lies[0]:
        places, normals = places[:, ::-1], normals[:, ::-1]
    radii, where = [], []
    for i, across in ((-1, low), (1, high)):
        for j, along in ((-1, start), (1, end)):
            if not lies[1 + (j > 0)]:
                continue
            a, b = i * (across - places[:, 0]), j * (along - places[:, 1])
            near = (a > -remains.pixel) & (b > -remains.pixel) & (a < 0.3 * most) & (b < 0.3 * most)
            radius = np.maximum(a, 0) + np.maximum(b, 0) + np.sqrt(2 * np.maximum(a, 0) * np.maximum(b, 0))
            way = np.stack((radius - a, radius - b), axis=1) * (i, j)
            way /= np.maximum(np.linalg.norm(way, axis=1), 1e-9)[:, None]
            aligned = np.abs((way * normals).sum(axis=1)) > 0.95
            slanted = np.abs(normals).min(axis=1) > 0.26
            chosen = near & aligned & slanted & (radius < most * 1.02)
            radii.append(radius[chosen])
            where.append(np.full(int(chosen.sum()), 2 * (i > 0) + (j > 0)))
    if not radii:
        return None, 0
    every, corner = np.concatenate(radii), np.concatenate(where)
    if len(every) < 8:
        return None, 0
    step = max(0.05, remains.pixel / 2)
    heaped = np.convolve(np.bincount((every / step).astype(int)), np.ones(5), "same")
    middle = (int(heaped.argmax()) + 0.5) * step
    near = np.abs(every - middle) < max(2.5 * step, 0.08 * middle)
    value = float(np.median(every[near]))
    # Of each arc dots are looked for between 15 and 75 degrees.
    whole = len(np.unique(corner)) * value * math.radians(60) / remains.pixel
    share = min(1.0, float(near.sum()) / max(whole, 1.0))
    if value < LEAST_RADIUS_PIXELS * remains.pixel or share < ROUND_SHARE:
        return None, 0
    means = [float(np.median(every[near & (corner == one)])) for one in np.unique(corner[near])]
    scatter = float(np.std(means, ddof=1)) if len(means) > 1 else 0.05
    u = math.hypot(0.03, scatter / math.sqrt(len(means)))
    return FoundValue("corner radius", value, u, share, "mm", little_left(share)), int(near.sum())
