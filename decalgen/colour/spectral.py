"""A second opinion on `model`: the same layers, wavelength by wavelength.

A measured colour has lost its spectrum, so the smoothest one that gives the colour is put back: the least
sum of squared slopes of log reflectance (S. A. Burns, "Numerical methods for smoothest reflectance
reconstruction", Color Research and Application 45, 2020). The true spectra are not the smoothest ones;
where this estimate and the model part company, neither can be trusted and a printed swatch decides. From that follows
how far a predicted look may be off, the ± beside it.
"""

from __future__ import annotations

from functools import lru_cache
from math import hypot
from typing import TYPE_CHECKING, Any

from decalgen.colour.difference import delta_e
from decalgen.colour.inks import PAPER
from decalgen.colour.model import FLOOR, INTERNAL_REFLECTION, WHITE, surface
from decalgen.colour.spaces import XYZ
from decalgen.colour.value import Colour

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Spectrum = NDArray[np.float64]

DOUBTFUL = 2.0
"""CIEDE2000 between model and spectral estimate above which a swatch is called for."""

FAINTER_SHARE = 0.12
"""± for each CIEDE2000 between bare white paper and the fainter of ink and ground."""

DOUBT_SHARE = 0.4
"""± for each CIEDE2000 between the model and the spectral estimate."""

WAVELENGTHS = range(380, 731, 10)

# CIE standard illuminant D50, relative power at 380, 390 … 730 nm (CIE 15:2018; ISO 11664-2).
_D50 = (
    24.488, 29.871, 49.308, 56.513, 60.034, 57.818, 74.825, 87.247, 90.612, 91.368, 95.109, 91.963, 95.724,
    96.613, 97.129, 102.099, 100.755, 102.317, 100.0, 97.735, 98.918, 93.499, 97.688, 99.269, 99.042, 95.722,
    98.857, 95.667, 98.19, 103.003, 99.133, 87.381, 91.604, 92.889, 76.854, 86.511,
)  # fmt: skip

# The CIE 1931 standard observer (2 degrees) at the same wavelengths: x, y, z (ISO/CIE 11664-1). Held against the colour
# library's table in tests; importing that would cost a check of a job more than all its colours.
_OBSERVER = (
    (0.001368, 0.000039, 0.00645), (0.004243, 0.00012, 0.02005), (0.01431, 0.000396, 0.06785),
    (0.04351, 0.00121, 0.2074), (0.13438, 0.004, 0.6456), (0.2839, 0.0116, 1.3856), (0.34828, 0.023, 1.74706),
    (0.3362, 0.038, 1.77211), (0.2908, 0.06, 1.6692), (0.19536, 0.09098, 1.28764), (0.09564, 0.13902, 0.81295),
    (0.03201, 0.20802, 0.46518), (0.0049, 0.323, 0.272), (0.0093, 0.503, 0.1582), (0.06327, 0.71, 0.07825),
    (0.1655, 0.862, 0.04216), (0.2904, 0.954, 0.0203), (0.43345, 0.99495, 0.00875), (0.5945, 0.995, 0.0039),
    (0.7621, 0.952, 0.0021), (0.9163, 0.87, 0.00165), (1.0263, 0.757, 0.0011), (1.0622, 0.631, 0.0008),
    (1.0026, 0.503, 0.00034), (0.85445, 0.381, 0.00019), (0.6424, 0.265, 0.00005), (0.4479, 0.175, 0.00002),
    (0.2835, 0.107, 0.0), (0.1649, 0.061, 0.0), (0.0874, 0.032, 0.0), (0.04677, 0.017, 0.0), (0.0227, 0.00821, 0.0),
    (0.011359, 0.004102, 0.0), (0.00579, 0.002091, 0.0), (0.002899, 0.001047, 0.0), (0.00144, 0.00052, 0.0),
)  # fmt: skip

_DARKEST = 1e-4


@lru_cache(maxsize=1)
def _tables() -> tuple[Any, Any]:
    """(3 x 36 weights that turn a spectrum into XYZ, 36 x 36 matrix of squared slopes)."""
    import numpy as np

    observer = np.array(_OBSERVER).T
    weights = observer * np.array(_D50)
    # A grid of 10 nm misses the white point by some 0.05 %; a perfect white must stay white.
    weights *= (np.array(WHITE) / weights.sum(axis=1))[:, None]
    count = len(WAVELENGTHS)
    slopes = 4.0 * np.eye(count) - 2.0 * np.eye(count, k=1) - 2.0 * np.eye(count, k=-1)
    slopes[0, 0] = slopes[-1, -1] = 2.0
    return weights, slopes


@lru_cache(maxsize=4096)
def spectrum(xyz: XYZ) -> Any:
    """The smoothest reflectance from 380 to 730 nm that looks like ``xyz``, or None where there is none
    (colours no surface can have). Darker than 0.0001 counts as that."""
    import numpy as np

    weights, slopes = _tables()
    wanted = np.maximum(np.array(xyz), _DARKEST * np.array(WHITE))
    count = len(WAVELENGTHS)
    z = np.full(count, np.log(wanted[1]))
    multipliers = np.zeros(3)
    system = np.zeros((count + 3, count + 3))
    for _ in range(40):
        light = np.exp(z)
        pull = light * (weights.T @ multipliers)
        miss = weights @ light - wanted
        gradient = np.concatenate((slopes @ z + pull, miss))
        if np.abs(gradient).max() < 1e-9:
            return light
        system[:count, :count] = slopes + np.diag(pull)
        system[:count, count:] = light[:, None] * weights.T
        system[count:, :count] = weights * light
        try:
            step = np.linalg.solve(system, -gradient)
        except np.linalg.LinAlgError:
            return None
        # Newton's steps overshoot in the exponent; a bound on one step keeps them from running away.
        step *= min(1.0, 2.0 / max(float(np.abs(step[:count]).max()), 1e-12))
        z = z + step[:count]
        multipliers = multipliers + step[count:]
    return None


def look_spectral(ink: XYZ, paper: XYZ, body: XYZ, floor: float = FLOOR, k2: float = INTERNAL_REFLECTION) -> XYZ | None:
    """As `model.look`, over rebuilt spectra; None where a spectrum cannot be rebuilt or numpy is missing."""
    try:
        import numpy as np
    except ImportError:
        return None
    weights, _ = _tables()
    spectra = [spectrum(colour) for colour in (ink, paper, body)]
    if any(one is None for one in spectra):
        return None
    back = surface(floor, k2)
    above = [np.maximum(one - back, 0.0) for one in spectra]
    below = [one / ((1 - k2) + k2 * one) for one in above]
    if float(below[1].min()) <= 0:
        return None
    x = below[0] * below[2] / below[1]
    seen = weights @ (back + (1 - k2) * x / (1 - k2 * x))
    return float(seen[0]), float(seen[1]), float(seen[2])


def plus_minus_of(ink: Colour, ground: Colour, doubt: float) -> float:
    """The ± of how ``ink`` looks over ``ground``, which 95 of 100 measured prints kept to.

    ``doubt``: CIEDE2000 between the model's look and the spectral estimate's. The fainter of two colours that lie over
    each other tells too: where one of them is all but white, nothing can go wrong. Both shares were fitted to the
    data sets the model was fitted to, so that 95 of 100 errors lie within; of the errors on the sets that had no
    part in it 95.9 of 100 did (tests/published/test_colour.py, tests/benchmarks/colour_fit.py). A film over paint was
    not measured: see `model.SOURCE_NOTE`.
    """
    fainter = min(delta_e(ink, PAPER), delta_e(ground, PAPER))
    return hypot(FAINTER_SHARE * fainter, DOUBT_SHARE * doubt)
