"""How far a predicted look may be off: the ± beside it, in CIEDE2000.

Two things tell. The fainter of the two colours that lie over each other: where one of them is all but white, nothing
can go wrong. And how far the model and the spectral estimate (`spectral`) part. Both shares were fitted to the data
sets the model was fitted to, so that 95 of 100 errors lie within; of the errors on the sets that had no part in it 95.9
of 100 did (tests/published/test_colour.py, tests/benchmarks/colour_fit.py). A film over paint was not measured: see
`model.SOURCE_NOTE`.
"""

from __future__ import annotations

from math import hypot

from decalgen.colour.difference import delta_e
from decalgen.colour.inks import PAPER
from decalgen.colour.value import Colour

FAINTER_SHARE = 0.12
"""± for each CIEDE2000 between bare white paper and the fainter of ink and ground."""

DOUBT_SHARE = 0.4
"""± for each CIEDE2000 between the model and the spectral estimate."""


def plus_minus_of(ink: Colour, ground: Colour, doubt: float) -> float:
    """The ± of how ``ink`` looks over ``ground``, which 95 of 100 measured prints kept to.

    ``doubt``: CIEDE2000 between the model's look and the spectral estimate's.
    """
    fainter = min(delta_e(ink, PAPER), delta_e(ground, PAPER))
    return hypot(FAINTER_SHARE * fainter, DOUBT_SHARE * doubt)
