"""The colours of a scan by what of known colour lies in it: a white and a black patch, and the original's own white.

A scanner, and a lamp even more, adds a cast and stretches light and dark; two patches take both out. Varnish and paper
that have yellowed swallow light as a filter does, so the original's own white says how much. Neither brings back what
has faded: that is another ink by now. Pure; linear sRGB."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from decalgen.colour.model import Channels, channels, from_channels
from decalgen.colour.spaces import D50, Light, clipped, from_linear, linear_of, xyz_under
from decalgen.core.arrays import FloatArray
from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass
from decalgen.scan.light import Scan, lab_of

WHITE_PATCH = linear_of(xyz_under(D50, (95.0, 0.0, -2.0)))
BLACK_PATCH = linear_of(xyz_under(D50, (16.0, 0.0, 0.0)))
"""What patches are taken for that nobody measured: coated white paper and solid black on it (ISO 12647-2:2004, tables
1 and 2, from memory)."""
HALF = 4
"""So many pixels to each side of its place a patch is looked at."""
FLAT = 6.0
"""Of a patch of one colour, nine pixels of ten are this near to its middle (CIE76), noise and grain with it."""
BURNT = 0.995
"""Linear light from which on a scan holds no more."""
APART = 20.0
"""A white and a black patch differ by at least so much in L*."""


class PatchError(DecalgenError):
    """A patch that tells nothing."""

    exit_code = 2


@dataclass(frozen=True)
class ColourPatch:
    """Where a patch is, pixels, and its colour, linear; None: as `WHITE_PATCH` or `BLACK_PATCH`."""

    place: tuple[float, float]
    colour: Light | None = None


@dataclass(frozen=True)
class Patches:
    """What of known colour lies in a scan; None: nothing such."""

    white: ColourPatch | None = None
    black: ColourPatch | None = None
    own_white: ColourPatch | None = None

    @property
    def told(self) -> str:
        """What the colours are by, in words."""
        by = [f"the {name} patch" for name, one in (("white", self.white), ("black", self.black)) if one]
        if self.own_white:
            by.append("the original's own white")
        return f"by {' and '.join(by)}" if by else "as scanned"


def corrected(scan: Scan, inks: Sequence[Light], patches: Patches) -> tuple[Light, ...]:
    """Inks as they would look without the scanner's cast, and on the white of their day. Raises PatchError for a patch
    beside the picture, of several colours, burnt out, or as bright as the other."""
    if not (patches.white or patches.own_white):
        if patches.black:
            raise PatchError("a black patch alone does not tell how bright light is", fix="give a white one too")
        return tuple(inks)
    low = high = None
    true_low: Channels = (0.0, 0.0, 0.0)
    true_high: Channels = (1.0, 1.0, 1.0)
    if patches.black:
        low = _seen(scan, patches.black, "black")
        true_low = channels(from_linear(patches.black.colour or BLACK_PATCH))
    if patches.white:
        high = _seen(scan, patches.white, "white")
        true_high = channels(from_linear(patches.white.colour or WHITE_PATCH))
        _check_apart(scan, patches)
    own = _seen(scan, patches.own_white, "own white") if patches.own_white else None

    def by_patches(light: Channels) -> Channels:
        if high is None:
            return light
        floor = low or (0.0, 0.0, 0.0)
        rows = zip(light, floor, high, true_low, true_high, strict=True)
        a, b, c = (to + (seen - dark) * (full - to) / (bright - dark) for seen, dark, bright, to, full in rows)
        return a, b, c

    paper = by_patches(own) if own else (1.0, 1.0, 1.0)
    found = []
    for ink in inks:
        a, b, c = (seen / white for seen, white in zip(by_patches(channels(from_linear(ink))), paper, strict=True))
        found.append(clipped(linear_of(from_channels((a, b, c)))))
    return tuple(found)


def _seen(scan: Scan, patch: ColourPatch, name: str) -> Channels:
    """The channels of a patch."""
    light = _light(scan, patch, name)
    r, g, b = (float(v) for v in np.median(light, axis=0))
    return channels(from_linear((r, g, b)))


def _light(scan: Scan, patch: ColourPatch, name: str) -> FloatArray:
    """The pixels of a patch, one a row."""
    x, y = patch.place
    wide, high = scan.size
    said = f"{x:g},{y:g}"
    if not (0 <= x < wide and 0 <= y < high):
        raise PatchError(
            f"the {name} at {said} lies beside the picture, which has {wide} \N{MULTIPLICATION SIGN} {high} pixels",
            fix="give its place in pixels, from the left and from the top",
        )
    steps = np.arange(-HALF, HALF + 1)
    places = np.stack(np.meshgrid(x + steps, y + steps), axis=-1).reshape(-1, 2)
    light = scan.light_at(places)
    middle = np.median(light, axis=0)
    if np.quantile(np.linalg.norm(lab_of(light) - lab_of(middle), axis=1), 0.9) > FLAT:
        raise PatchError(
            f"the {name} at {said} is not of one colour", fix=f"give a place with {HALF} even pixels to each side of it"
        )
    if float(middle.max()) >= BURNT:
        raise PatchError(
            f"the {name} at {said} is as bright as the scan can hold, so it tells nothing",
            fix="scan darker, without any correction, or give a patch that is not burnt out",
        )
    return light


def _check_apart(scan: Scan, patches: Patches) -> None:
    if not (patches.white and patches.black):
        return
    white, black = (
        float(lab_of(np.median(_light(scan, one, name), axis=0))[0])
        for one, name in ((patches.white, "white"), (patches.black, "black"))
    )
    if white - black < APART:
        raise PatchError(
            f"the white patch is hardly brighter than the black one: L* {white:.0f} and {black:.0f}",
            fix="look whether their places are the right way round",
        )
