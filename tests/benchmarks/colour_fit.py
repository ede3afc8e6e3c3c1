"""Fits the bands, the floor and k2 of `decalgen.colour.model`, and the ± beside a predicted colour, to measured prints:
`python tests/benchmarks/colour_fit.py`.

Needs the Debian package icc-profiles-free, scipy, and colour-science (extra `benchmarks`) for the paint chips. The four
sets of `press.DEVELOPED` (every fourth pair) are fitted with the chips of one chart (BabelColor), which keep the bands
from drifting towards what suits four printing inks alone; the sets of `press.HELD`, the other chart and the profile of
`press.FRESH` have no part in it. `--turned` fits the held sets in place of the others, to see whether it comes to the
same bands. Then the two shares of the ± (`decalgen.colour.spectral`) are fitted to the errors of the model as it is,
and what they cover is told set by set.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

# In place of this folder, where a neighbour would hide the library called colour.
sys.path[0] = str(Path(__file__).parents[2])

import colour  # noqa: E402
import numpy as np  # noqa: E402
from scipy.optimize import minimize  # noqa: E402

from decalgen.colour import model, spectral  # noqa: E402
from decalgen.colour.spectral import DOUBT_SHARE, FAINTER_SHARE  # noqa: E402
from tests.colour import press  # noqa: E402

Array = press.Array
WHITE = np.array(model.WHITE)
CHIPS = 0.3
"""What an error on a paint chip counts beside one on a print."""


def bands(numbers: Array) -> Array:
    """The matrix of three bands from two numbers a row; white is 1, 1, 1."""
    rows = numbers.reshape(3, 2)
    return np.column_stack([rows, (1 - rows @ WHITE[:2]) / WHITE[2]])


def inner(light: Array, back: float, k2: float) -> Array:
    above = np.maximum(light - back, 0)
    return above / ((1 - k2) + k2 * above)


def look(matrix: Array, ink: Array, paper: Array, ground: Array, back: float, k2: float) -> Array:
    a, b, c = (inner(np.atleast_2d(xyz) @ matrix.T, back, k2) for xyz in (ink, ground, paper))
    x = a * b / c
    return (back + (1 - k2) * x / (1 - k2 * x)) @ np.linalg.inv(matrix).T


def chips_of(title: str) -> tuple[Array, Array, Array]:
    """(spectra of 18 inks on 24 paints, spectra of those paints, weights to XYZ)"""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    light = colour.SDS_ILLUMINANTS["D50"]
    waves = [int(w) for w in spectral.WAVELENGTHS]
    weights = np.array([observer[w] * light[w] for w in waves])
    weights *= WHITE / weights.sum(axis=0)
    paints = np.array([[sd[w] for w in waves] for sd in colour.SDS_COLOURCHECKERS[title].values()])
    return np.repeat(paints[:18] / paints[18], 24, axis=0), np.tile(paints, (18, 1)), weights


def chip_errors(matrix: Array, chips: tuple[Array, Array, Array], back: float, k2: float) -> Array:
    ink, ground, weights = chips
    layers = [inner(one, back, k2) for one in (ink, ground, np.ones(ink.shape[1]))]
    x = layers[0] * layers[1] / layers[2]
    truth = press.lab((back + (1 - k2) * x / (1 - k2 * x)) @ weights)
    return press.delta_e(press.lab(look(matrix, ink @ weights, WHITE, ground @ weights, back, k2)), truth)


def cost_over(sets: list[press.Pairs], chips: tuple[Array, Array, Array]) -> Callable[[Array], float]:
    def cost(numbers: Array) -> float:
        share, k2, matrix = numbers[0], numbers[1], bands(numbers[2:])
        if not (0.5 < share < 2 and 0 <= k2 < 0.9):
            return 99.0
        found = []
        for one in sets:
            e = press.errors(one, look(matrix, one.ink, one.paper, one.ground, one.floor * share, k2))
            found.append(0.6 * e.mean() + 0.15 * np.percentile(e, 95) + 0.25 * e[one.on_solid].mean())
        paint = [chip_errors(matrix, chips, back, k).mean() for back, k in ((0.0, 0.0), (model.FLOOR * share, k2))]
        return float(np.mean(found) + CHIPS * np.mean(paint))

    return cost


def fit_bands(names: tuple[str, ...]) -> None:
    cost = cost_over([press.pairs(name).every(4) for name in names], chips_of("BabelColor Average"))
    # From AP1, the primaries of ACEScg, where the search by hand began.
    numbers = np.array([1.1, 0.25, 1.5926, -0.3519, -0.6760, 1.6394, 0.0200, -0.0225])
    for _ in range(3):
        numbers = minimize(cost, numbers, method="Nelder-Mead", options={"maxiter": 500, "xatol": 1e-4}).x
    print(f"fitted to {', '.join(names)}: floor share {numbers[0]:.3f}, k2 {numbers[1]:.3f}")
    print("rows (two numbers each):", numbers[2:].reshape(3, 2).round(3).tolist())


def judged(name: str) -> tuple[Array, Array, Array]:
    """(errors, CIEDE2000 to white paper of the fainter of ink and ground, doubt) of some 700 pairs of a set."""
    every = press.pairs(name)
    some = every.every(max(1, len(every.ink) // 700))
    paper = tuple(float(v) for v in some.paper)
    seen = press.predict(some)
    second = [
        spectral.look_spectral(tuple(ink), paper, tuple(ground), some.floor) or (np.nan,) * 3
        for ink, ground in zip(some.ink.tolist(), some.ground.tolist(), strict=True)
    ]
    white = press.lab(np.repeat(WHITE[None], len(seen), axis=0))
    far = [press.delta_e(press.lab(one / some.paper * WHITE), white) for one in (some.ink, some.ground)]
    return press.errors(some, seen), np.minimum(*far), press.delta_e(press.lab(seen), press.lab(np.array(second)))


def fit_plus_minus() -> None:
    found = {name: judged(name) for name in press.available(press.DEVELOPED + press.HELD)}
    errors, fainter, doubt = (
        np.concatenate([found[name][n] for name in press.available(press.DEVELOPED)]) for n in range(3)
    )

    def loss(shares: Array) -> float:
        """The pinball loss whose minimum is the 95th percentile."""
        over = errors - np.hypot(shares[0] * fainter, shares[1] * doubt)
        return float(np.where(over > 0, 0.95 * over, -0.05 * over).mean())

    shares = minimize(loss, np.array([0.1, 0.3]), method="Nelder-Mead").x
    print(f"share of the fainter {shares[0]:.3f}, of the doubt {shares[1]:.3f}")
    for name, (e, m, d) in found.items():
        kept = e <= np.hypot(FAINTER_SHARE * m, DOUBT_SHARE * d)
        print(f"  {name:9s}{'fitted' if name in press.DEVELOPED else 'held':8s}covers {kept.mean():.3f}")
    for names in (press.available(press.DEVELOPED), press.available(press.HELD)):
        e, m, d = (np.concatenate([found[name][n] for name in names]) for n in range(3))
        wide = np.hypot(FAINTER_SHARE * m, DOUBT_SHARE * d)
        print(f"  {', '.join(names)}: covers {(e <= wide).mean():.3f}, mean ± {wide.mean():.2f}")


if __name__ == "__main__":
    fit_bands(press.available(press.HELD if "--turned" in sys.argv else press.DEVELOPED))
    fit_plus_minus()
