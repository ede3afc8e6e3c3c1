"""Types of numpy arrays, by one name everywhere."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
"""Numbers of double precision; where it holds points, one a row: x, y."""
