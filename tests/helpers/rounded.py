"""Made-up sides with an arc, hollow or bulging, measured by radius as a person would; what is true is known.

The truth is drawn by its rise, which no formula for radii touches; the readings carry errors up to the instrument's
limit. A decal stands a little way off the arc's crown (or within it), so its clearance depends on the arc's height.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from shapely.affinity import translate
from shapely.geometry import box

from decalgen.core.lengths import Quantity
from decalgen.panels.fit import Clearance, fit
from decalgen.panels.free import FreeOutline

RATIOS = (1.0, 1.0005, 1.002, 1.004, 1.006, 1.01, 1.03, 1.1, 1.5, 3.0)
"""True radius over half the side: from a half circle to a flat arc."""


@dataclass(frozen=True)
class ArcRun:
    """One arc as measured: the clearance as stated, the true one, and the verdict of the whole decal."""

    stated: Clearance
    truth: float
    verdict: str

    @property
    def covered(self) -> bool:
        """Whether the stated U (k = 2) covers the truth, to the tolerance of drawing."""
        return abs(self.stated.amount.value - self.truth) <= self.stated.expanded + 0.002

    @property
    def false_fit(self) -> bool:
        """Whether it is said to fit where it reaches beyond by more than drawing leaves open."""
        return self.stated.verdict == "fits" and self.truth < -0.005


def arc_run(rng: random.Random, ratio: float, limit: float, hollow: bool) -> ArcRun:
    """A side 60 mm long with an arc in it, of ``ratio``, every reading within ±``limit`` mm."""
    half = rng.uniform(4.0, 9.0)
    radius = ratio * half
    rise = radius - math.sqrt(radius * radius - half * half)
    sign = -1.0 if hollow else 1.0
    ends = (20.0, 20.0 + 2 * half)
    foot = rise + 3.0
    level = 0.0 if hollow else foot
    points = [(0.0, level), (ends[0], level), (ends[1], level), (60.0, level), (60.0, level + 20), (0.0, level + 20)]
    rises = (0.0, Quantity(sign * rise), 0.0, 0.0, 0.0, 0.0)
    truth = FreeOutline(outline=tuple((Quantity(x), Quantity(y)) for x, y in points), arc_rises=rises).build("true")

    def read(value: float, name: str) -> Quantity:
        return Quantity(value + rng.uniform(-limit, limit), 1, ((f"side.{name}", limit / math.sqrt(3)),))

    outline = tuple(
        (read(x, f"point {n} x"), read(y, f"point {n} y") if y else Quantity(0.0)) for n, (x, y) in enumerate(points, 1)
    )
    by_radius = read(radius, "arc 2")
    arcs = (0.0, by_radius if not hollow else Quantity(-by_radius.value, 1, by_radius.parts), 0.0, 0.0, 0.0, 0.0)
    panel = FreeOutline(outline=outline, arcs=arcs).build("side")
    # In the flat coordinates of each panel: a narrow decal over the crown of the arc.
    gap = rng.uniform(-0.4, 0.6)
    middle = sum(ends) / 2
    size = (Quantity(0.8), Quantity(2.0))
    if hollow:
        cut = from_foot = box(middle - 0.4, rise + gap, middle + 0.4, rise + gap + 2.0)
        anchor = (0.0, 0.0)
    else:
        # Held to the upper edge, so that it is the crown that moves.
        cut = box(middle - 0.4, gap, middle + 0.4, gap + 2.0)
        from_foot = translate(cut, 0.0, panel.height.value - truth.height.value)
        anchor = (0.0, 1.0)
    found = fit(from_foot, size, panel, anchor=anchor)
    true = fit(cut, size, truth, anchor=anchor)
    (stated,) = (one for one in found.clearances if one.to == "side 2")
    (exact,) = (one for one in true.clearances if one.to == "side 2")
    return ArcRun(stated, exact.amount.value, found.verdict)
