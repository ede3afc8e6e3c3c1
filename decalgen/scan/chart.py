"""The colours of a scan by a chart of 24 patches beside the original, each of them measured. Pure; linear sRGB.

A root polynomial of degree 2 leads from the light of the scan to XYZ: G. D. Finlayson, M. Mackiewicz and A. Hurlbert,
"Color Correction Using Root-Polynomial Regression", IEEE Transactions on Image Processing 24 (2015). Its terms grow as
light does, so that a brighter scan of the same chart gives the same colours; on 24 patches degree 3 fits noise. Stray
light is no multiple of anything: as much is taken off first as makes patches that were left out come nearest.
"""

from __future__ import annotations

import numpy as np

from decalgen.colour.ciede2000 import delta_e_lab
from decalgen.colour.spaces import D50, XYZ, Lab, Light, lab_under
from decalgen.core.arrays import FloatArray
from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass

COLUMNS, ROWS = 6, 4
STRAY = tuple(n / 8 for n in range(8))
"""Shares of the darkest patch's light that are tried as stray light."""
OTHER_CHART = 12.0
"""A chart whose patches are off by more on the mean (CIEDE2000), each left out of the fit, is another one, or is told
in another order."""
FAR_OFF = 5.0
"""One that is off by more is in doubt."""


class ChartError(DecalgenError):
    """A chart that tells nothing."""

    exit_code = 2


@dataclass(frozen=True)
class ColourChart:
    """A chart of `COLUMNS` × `ROWS` patches. ``corners``: pixels, the middles of its first patch, of the last of the
    first row, of the very last, and of the first of the last row; ``colours``: XYZ under D50, row by row."""

    corners: tuple[tuple[float, float], ...]
    colours: tuple[XYZ, ...]


@dataclass(frozen=True)
class FittedChart:
    """``stray``: light that is taken off first; ``matrix``: terms × XYZ. ``left_out``: how far patches are off that
    were left out of the fit, CIEDE2000 on the mean."""

    stray: float
    matrix: FloatArray
    left_out: float

    def xyz(self, light: Light) -> XYZ:
        """Of light in the scan."""
        x, y, z = (float(one) for one in _terms(np.array([light]) - self.stray)[0] @ self.matrix)
        return x, y, z


def places_of(chart: ColourChart) -> FloatArray:
    """The middles of all patches, pixels, row by row: seen askew, evenly apart on the chart."""
    from decalgen.scan.scale import homography, mapped

    right, low = COLUMNS - 1.0, ROWS - 1.0
    truth = np.array([(0.0, 0.0), (right, 0.0), (right, low), (0.0, low)])
    grid = np.array([(column, row) for row in range(ROWS) for column in range(COLUMNS)], float)
    return mapped(homography(truth, np.array(chart.corners, float)), grid)


def fit_chart(seen: FloatArray, chart: ColourChart) -> FittedChart:
    """From the light of the patches in the scan, row by row. Raises ChartError where it does not go with their
    colours."""
    wanted = np.array(chart.colours, float)
    labs = [lab_under(D50, one) for one in chart.colours]
    darkest = max(float(seen.min()), 0.0)
    best: FittedChart | None = None
    for share in STRAY:
        terms = _terms(seen - share * darkest)
        off = _left_out(terms, wanted, labs)
        if best is None or off < best.left_out:
            best = FittedChart(share * darkest, _solved(terms, wanted), off)
    assert best is not None
    if best.left_out > OTHER_CHART:
        raise ChartError(
            f"the patches of the chart do not look as its values say: they are {best.left_out:.0f} ΔE off",
            fix="give the middles of patches 1, 6, 24 and 19 in this order, and the values row by row",
        )
    return best


def _terms(light: FloatArray) -> FloatArray:
    r, g, b = np.maximum(light, 0.0).T
    return np.column_stack((r, g, b, np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)))


def _solved(terms: FloatArray, wanted: FloatArray) -> FloatArray:
    # A step in dark colours is seen more: L* grows as the third root of Y.
    weight = (1 / (wanted[:, 1] + 0.02) ** (2 / 3))[:, None]
    return np.asarray(np.linalg.lstsq(terms * weight, wanted * weight, rcond=None)[0], float)


def _left_out(terms: FloatArray, wanted: FloatArray, labs: list[Lab]) -> float:
    offs = []
    for n, lab in enumerate(labs):
        kept = np.arange(len(terms)) != n
        x, y, z = (float(one) for one in terms[n] @ _solved(terms[kept], wanted[kept]))
        offs.append(delta_e_lab(lab_under(D50, (x, y, z)), lab))
    return float(np.mean(offs))
