"""The colours of a scan by what of known colour lies in it: a white and a black patch or a chart of many colours, and
the original's own white.

A scanner, and a lamp even more, adds a cast and stretches light and dark; two patches take both out. Varnish and paper
that have yellowed swallow light as a filter does, so the original's own white says how much. Neither brings back what
has faded: that is another ink by now. Pure; linear sRGB."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from decalgen.colour.model import Channels, channels, from_channels
from decalgen.colour.spaces import D50, Light, clipped, from_linear, linear_of, xyz_under
from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass
from decalgen.scan.chart import FAR_OFF, ColourChart, FittedChart, fit_chart, places_of
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
    chart: ColourChart | None = None

    @property
    def told(self) -> str:
        """What the colours are by, in words."""
        by = ["the chart"] if self.chart else []
        by += [f"the {name} patch" for name, one in (("white", self.white), ("black", self.black)) if one]
        if self.own_white:
            by.append("the original's own white")
        return f"by {' and '.join(by)}" if by else "as scanned"


class ColourCorrection(NamedTuple):
    """``ink`` gives an ink of a scan as it would look without the scanner's cast, and on the white of its day;
    ``told``: what it is by, in words; ``doubts``: what is in doubt."""

    ink: Callable[[Light], Light]
    told: str
    doubts: tuple[str, ...] = ()


def correction(scan: Scan, patches: Patches) -> ColourCorrection:
    """How the inks of a scan are corrected. Raises PatchError for a patch beside the picture, of several colours, burnt
    out, or as bright as the other, and ChartError for a chart whose patches look otherwise than its values say."""
    if patches.black and not patches.white:
        raise PatchError("a black patch alone does not tell how bright light is", fix="give a white one too")
    if patches.chart and patches.white:
        raise PatchError("a chart and a white patch both tell the scanner's cast", fix="give --chart, or --white")
    told = patches.told
    doubts: tuple[str, ...] = ()
    by_patches: ByPatches
    if patches.chart:
        fitted = _fitted(scan, patches.chart)
        told = f"{told} (patches left out of the fit: {fitted.left_out:.1f} ΔE off)"
        if fitted.left_out > FAR_OFF:
            doubts = (f"the chart's patches are {fitted.left_out:.1f} ΔE off: check its values and its light",)
        by_patches = _by_chart(fitted)
    elif patches.white:
        by_patches = _between(scan, patches.black, patches.white)
    elif patches.own_white:
        by_patches = _as_it_is
    else:
        return ColourCorrection(lambda ink: ink, told)
    paper: Channels = (1.0, 1.0, 1.0)
    if patches.own_white:
        paper = by_patches(_light(scan, patches.own_white, "own white"))

    def by(ink: Light) -> Light:
        a, b, c = (seen / white for seen, white in zip(by_patches(ink), paper, strict=True))
        return clipped(linear_of(from_channels((a, b, c))))

    return ColourCorrection(by, told, doubts)


ByPatches = Callable[[Light], Channels]
"""From light of a scan to channels without its cast."""


def _as_it_is(light: Light) -> Channels:
    return channels(from_linear(light))


def _fitted(scan: Scan, chart: ColourChart) -> FittedChart:
    seen = [
        _light(scan, ColourPatch((float(x), float(y))), f"patch {n} of the chart")
        for n, (x, y) in enumerate(places_of(chart), 1)
    ]
    return fit_chart(np.array(seen), chart)


def _by_chart(fitted: FittedChart) -> ByPatches:
    return lambda light: channels(fitted.xyz(light))


def _between(scan: Scan, black: ColourPatch | None, white: ColourPatch) -> ByPatches:
    """What stretches light so that the patches have their colours; without a black one nothing is taken off."""
    floor: Channels = (0.0, 0.0, 0.0)
    true_floor: Channels = (0.0, 0.0, 0.0)
    bright = _light(scan, white, "white")
    if black:
        dark = _light(scan, black, "black")
        _check_apart(bright, dark)
        floor, true_floor = channels(from_linear(dark)), channels(from_linear(black.colour or BLACK_PATCH))
    full, true_full = channels(from_linear(bright)), channels(from_linear(white.colour or WHITE_PATCH))

    def by_patches(light: Light) -> Channels:
        rows = zip(channels(from_linear(light)), floor, full, true_floor, true_full, strict=True)
        a, b, c = (to + (seen - low) * (top - to) / (high - low) for seen, low, high, to, top in rows)
        return a, b, c

    return by_patches


def _light(scan: Scan, patch: ColourPatch, name: str) -> Light:
    """The light of a patch, the middle of its pixels."""
    x, y = patch.place
    wide, high = scan.size
    said = f"{x:g},{y:g}"
    if not (0 <= x < wide and 0 <= y < high):
        raise PatchError(
            f"the {name} at {said} lies beside the picture, which has {wide} \N{MULTIPLICATION SIGN} {high} pixels",
            fix="give its place in pixels, from the left and from the top",
        )
    steps = np.arange(-HALF, HALF + 1)
    light = scan.light_at(np.stack(np.meshgrid(x + steps, y + steps), axis=-1).reshape(-1, 2))
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
    r, g, b = map(float, middle)
    return r, g, b


def _check_apart(bright: Light, dark: Light) -> None:
    white, black = (float(lab_of(np.array(one))[0]) for one in (bright, dark))
    if white - black < APART:
        raise PatchError(
            f"the white patch is hardly brighter than the black one: L* {white:.0f} and {black:.0f}",
            fix="look whether their places are the right way round",
        )
