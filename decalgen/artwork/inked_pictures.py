"""Pictures among the areas of a decal: each has a name of its own and the mean colour that it counts as. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from decalgen.core.geometry import multiply
from decalgen.core.names import untaken
from decalgen.core.pixels.means import mean_colour
from decalgen.job.model import InkSpec
from decalgen.shapes.base import Inked, InkedPicture


def named_pictures(
    painted: Sequence[Inked], inks: Sequence[InkSpec], bleed: float
) -> tuple[list[Inked], tuple[InkSpec, ...]]:
    """The areas with a name for each picture that no ink and no other picture has, and the pictures as inks. The
    colours of each run on by ``bleed``, mm, beyond where it ends."""
    taken = {ink.name for ink in inks}
    areas: list[Inked] = []
    found: list[InkSpec] = []
    for area in painted:
        if area.picture is None:
            areas.append(area)
            continue
        name = untaken(f"picture {area.picture.name}", taken, "{} ({})")
        taken.add(name)
        areas.append(replace(area, ink=name, picture=_run_on(area.picture, bleed)))
        found.append(InkSpec(name, "process", mean_colour(area.picture.pixels)))
    return areas, tuple(found)


@lru_cache(maxsize=32)
def _run_on(picture: InkedPicture, bleed: float) -> InkedPicture:
    if bleed <= 0:
        return picture
    from decalgen.core.pixels.edges import run_on

    a, b, c, d, _, _ = picture.matrix
    wide, high = picture.pixels.width, picture.pixels.height
    # One more: the outermost would be half seen.
    rim = math.ceil(bleed / min(math.hypot(a, b) / wide, math.hypot(c, d) / high)) + 1
    x, y = rim / wide, rim / high
    matrix = multiply(picture.matrix, (1 + 2 * x, 0.0, 0.0, 1 + 2 * y, -x, -y))
    return replace(picture, pixels=run_on(picture.pixels, rim, picture.cut_out), matrix=matrix)
