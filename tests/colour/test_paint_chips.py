"""Paint whose spectrum was measured, under translucent ink: the model against multiplication wave by wave.

Spectra: 24 painted patches of a chart, as two sources measured them, read from the open library colour-science. A copy
is not kept with these tests, as the library's own licence (BSD 3-clause) does not cover the figures: it notes those of
BabelColor (copyright 2004-2012 Danny Pascale) as used by permission, the others are from ISO 17321-1.
Truth: the Beer-Lambert law, transmittance times reflectance at every wavelength.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from decalgen.colour import model, spectral
from tests.colour import press

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    colour = pytest.importorskip("colour", reason="colour-science comes with the extra `benchmarks`")


@pytest.mark.parametrize(("floor", "k2"), [(0.0, 0.0), (model.FLOOR, model.INTERNAL_REFLECTION)])
@pytest.mark.parametrize("chart", ["BabelColor Average", "ISO 17321-1"])
def test_ink_on_measured_paint_is_near_the_spectral_product(chart: str, floor: float, k2: float) -> None:
    waves = [int(w) for w in spectral.WAVELENGTHS]
    observer, light = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"], colour.SDS_ILLUMINANTS["D50"]
    weights = np.array([observer[w] * light[w] for w in waves])
    weights *= press.WHITE / weights.sum(axis=0)
    paints = np.array([[sd[w] for w in waves] for sd in colour.SDS_COLOURCHECKERS[chart].values()])
    inks = paints[:18] / paints[18]  # The coloured ones, as they transmit on the chart's white.
    ink, ground = np.repeat(inks, 24, axis=0), np.tile(paints, (18, 1))
    inner = [np.maximum(r - floor, 0) for r in (ink, ground, np.ones(len(waves)))]
    inner = [r / ((1 - k2) + k2 * r) for r in inner]
    x = inner[0] * inner[1] / inner[2]
    truth = press.lab((floor + (1 - k2) * x / (1 - k2 * x)) @ weights)
    paper = tuple(float(v) for v in press.WHITE)
    seen = [
        model.look(tuple(a), paper, tuple(b), floor, k2)
        for a, b in zip((ink @ weights).tolist(), (ground @ weights).tolist(), strict=True)
    ]
    assert len(seen) == 432
    assert press.delta_e(press.lab(np.array(seen)), truth).mean() <= 1.6
