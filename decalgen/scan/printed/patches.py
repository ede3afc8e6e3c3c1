"""The patches and wedges of a swatch sheet in its scan: what light each patch keeps, and which thin lines and gaps
hold. Pure; mm of the page, linear light.

A scanner is no colorimeter: its filters are not the eye's, so two inks that look alike may differ in a scan, and the
other way round (metamerism; common practice, no source, `OFF`). What it sees is made relative to the sheet's own paper.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import Bounds
from decalgen.core.values import dataclass
from decalgen.scan.light import lab_of
from decalgen.scan.printed.fitted import PageOnScan
from decalgen.scan.printed.marks import FineLine, PageError

OFF = 4.0
"""How far off (CIEDE2000) a colour that a scanner saw may be, its white and black corrected: 3 to 5 (common practice,
no source)."""
RIM_MM = 2.5
"""So much of a patch is left out along its sides: ragged edges, light from beside."""
ROWS = 40
"""A patch is looked at in so many rows and columns."""
UNEVEN = 5.0
"""The quarters of a patch that is printed evenly differ by less (CIE76), dots of ink and all."""
BURNT = 0.995
"""Linear light from which on a scan holds no more."""
ACROSS_MM = 0.5
"""So far to each side of a thin line its ground is looked at; no other mark is so near."""
ALONG_MM = 0.08
"""From place to place along it."""
ENDS_MM = 0.4
HOLDS = 0.5
"""A line or gap holds where it has at least so much of the breadth that is asked, and so much of its own mean all
along but for `BREAKS` of it."""
BREAKS = 0.03


@dataclass(frozen=True)
class ThinMark:
    """A thin line, or a thin gap in ink, ``size`` mm wide, by its two strokes."""

    size: float
    strokes: tuple[FineLine, ...]
    gap: bool = False


def patch_light(page: PageOnScan, box: Bounds, name: str) -> tuple[float, float, float]:
    """The mean light of a patch, as an instrument would take it. Raises PageError for one beyond the picture, of
    several colours, or as bright as the scan can hold."""
    x0, y0, x1, y1 = box
    across = np.linspace(x0 + RIM_MM, x1 - RIM_MM, ROWS)
    up = np.linspace(y0 + RIM_MM, y1 - RIM_MM, ROWS)
    places = np.stack(np.meshgrid(across, up), axis=-1)
    pixels = page.scale.to_pixels(page.pose.on_scan(places.reshape(-1, 2)))
    wide, high = page.scan.size
    if pixels.min() < 0 or pixels[:, 0].max() > wide or pixels[:, 1].max() > high:
        raise PageError(
            f"the patch '{name}' is not in '{page.scan.name}'", fix="scan the whole sheet, or type what you read off it"
        )
    light = page.scan.light_at(pixels).reshape(ROWS, ROWS, 3)
    half = ROWS // 2
    quarters = [light[a : a + half, b : b + half].mean(axis=(0, 1)) for a in (0, half) for b in (0, half)]
    mean = light.mean(axis=(0, 1))
    if max(float(np.linalg.norm(lab_of(one) - lab_of(mean))) for one in quarters) > UNEVEN:
        raise PageError(
            f"the patch '{name}' in '{page.scan.name}' is not of one colour",
            fix="see that it is printed evenly and nothing lies on it, and scan it again",
        )
    if float(mean.max()) >= BURNT:
        raise PageError(
            f"the patch '{name}' in '{page.scan.name}' is as bright as the scan can hold, so it tells nothing",
            fix="scan darker, with all automatic correction off",
        )
    return float(mean[0]), float(mean[1]), float(mean[2])


def finest_that_holds(page: PageOnScan, marks: Sequence[ThinMark]) -> tuple[float | None, bool]:
    """Of thin marks of growing size: the finest from which on all hold, None where not even the largest does; and
    whether finer ones could not be judged, for they are thinner than a pixel."""
    pixel = page.scale.pixel_mm(page.scale.to_pixels(page.pose.on_scan(np.array([marks[0].strokes[0].start])))[0])
    finest: float | None = None
    for mark in sorted(marks, key=lambda one: -one.size):
        if mark.size < pixel:
            return finest, finest is not None
        if not all(_holds(page, stroke, mark) for stroke in mark.strokes):
            return finest, False
        finest = mark.size
    return finest, False


def _holds(page: PageOnScan, stroke: FineLine, mark: ThinMark) -> bool:
    """Whether a line has ink all along, or a gap none."""
    broad = _breadths(page, stroke, mark)
    if broad is None:
        return False
    mean = float(np.median(broad))
    return mean >= HOLDS * mark.size and float((broad < HOLDS * mean).mean()) <= BREAKS


def _breadths(page: PageOnScan, stroke: FineLine, mark: ThinMark) -> FloatArray | None:
    """How broad a line or gap is at places along it, mm, if it were all ink or all paper: what its light is short of
    its ground's, or has over it, beside that of full ink; None beyond the picture."""
    places = stroke.places(ALONG_MM, inset=ENDS_MM)
    reach = ACROSS_MM + mark.size / 2
    steps = np.arange(-reach, reach + 0.01, 0.02)
    way = np.array((0.0, 1.0) if stroke.level else (1.0, 0.0))
    light = page.light_at(places[:, None, :] + steps[None, :, None] * way)
    if not np.isfinite(light).all():
        return None
    ends = np.abs(steps) > reach - 0.15
    ground = float(np.median(light[:, ends]))
    full = 1.0 - ground if mark.gap else ground
    off = (light - ground) if mark.gap else (ground - light)
    return np.asarray(off.sum(axis=1) * 0.02 / max(0.8 * full, 1e-3), float)
