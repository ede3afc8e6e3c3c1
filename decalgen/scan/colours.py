"""The flat colours of remains. Pure; linear light."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.scan.light import lab_of

ALIKE_LAB = 9.0
"""Colours within this distance (CIE76) are one flat colour, with noise and uneven fading."""
FEW = 300
LEAST_SEEN = 0.08
"""A colour is there where it takes this share of what is looked at."""
MOST_SEEN = 0.5
GROUND_ALIKE = 2.2
"""What is this near to the ground (CIE76) is ground, without noise."""
PAPER_ALIKE = 4.0
"""What is this near to `WHITE` is torn paper."""
SAME = 7.0
"""Neighbours that differ by less (CIE76) are one; the line between them is a scratch or a crease."""
WHITE = np.array((0.9, 0.9, 0.88))
"""Torn paper, linear light, about."""


def alike(one: FloatArray | None, other: FloatArray | None) -> bool:
    """Whether two inks beside each other, linear, None: no ink, are one."""
    if one is None or other is None:
        return one is other
    return float(np.linalg.norm(lab_of(one) - lab_of(other))) < SAME


def ink_of(light: FloatArray, ground: FloatArray) -> FloatArray | None:
    """The ink that some places, one a row, are of: neither the ground nor torn paper, unless most of it is as pale as
    paper and unlike the ground; None where there is none."""
    found = main_colour(light, ((ground, GROUND_ALIKE), (WHITE, PAPER_ALIKE)))
    return main_colour(light, ((ground, GROUND_ALIKE),), MOST_SEEN) if found is None else found


def main_colour(
    light: FloatArray, but: Sequence[tuple[FloatArray, float]] = (), least: float = LEAST_SEEN
) -> FloatArray | None:
    """The colour that most of some places, one a row, are near, leaving out what is as near (CIE76) to a colour as
    ``but`` says; None where hardly anything is left."""
    if not len(light):
        return None
    lab = lab_of(light)
    kept = np.ones(len(lab), bool)
    for other, near in but:
        kept &= np.linalg.norm(lab - lab_of(other), axis=1) > near
    if kept.mean() < least:
        return None
    chosen, colours = lab[kept], light[kept]
    some = chosen[:: max(1, len(chosen) // FEW)]
    apart = some[:, None] - some[None]
    near = np.einsum("ijk,ijk->ij", apart, apart) < ALIKE_LAB**2
    best = some[int(near.sum(axis=1).argmax())]
    return np.asarray(np.median(colours[np.linalg.norm(chosen - best, axis=1) < ALIKE_LAB], axis=0), float)
