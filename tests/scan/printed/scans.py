"""Scans of printed pages, made here by a seed: a page as a printer stretches and leans it, laid askew on the glass
beside a card, scanned by a scanner with a stretch of its own in each axis, a row that is finer on one side than on the
other, a carriage that jitters, blur and noise. What is true of each is known, in mm. Independent of what reads scans.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Floats = NDArray[np.float64]
CARD = (85.60, 53.98)
CARD_RADIUS = 3.18
HALF_ROW = 105.0
"""Half of the glass's width, mm."""


@dataclass
class Printed:
    """A page as it was printed. ``levels``: rows from the top × columns, and × 3 for colours, sRGB; ``size``: mm;
    ``x``, ``y``: printed over asked; ``lean``: how far x moves a mm of height."""

    levels: NDArray[np.uint8]
    size: tuple[float, float]
    x: float = 1.0
    y: float = 1.0
    lean: float = 0.0

    def length(self, along: float, up: float) -> float:
        """How long a line is on the paper that the file has ``along`` and ``up``."""
        return math.hypot(self.x * along + self.lean * up, self.y * up)


@dataclass
class Glass:
    """What the scanner does and how things lie on it. ``size``: what is scanned, mm; ``page``: where the page's middle
    lies, mm from the lower left, and ``turn`` its turn, degrees; ``card``: the same of the card, None: there is none;
    ``stretch``: pixels over what the resolution says; ``row``: how much coarser or finer the row is at its ends."""

    size: tuple[float, float]
    page: tuple[float, float]
    turn: float = 0.0
    card: tuple[float, float] | None = None
    card_turn: float = 0.0
    card_size: tuple[float, float] = CARD
    card_colour: str = "#27456b"
    stretch: tuple[float, float] = (1.0, 1.0)
    row: float = 0.0
    jitter: float = 0.005
    blur: float = 0.6
    noise: float = 1.5
    lid: str = "#f2f2f0"
    jpeg: bool = False
    dpi: float = 300.0
    paper: tuple[float, float, float] = (1.0, 1.0, 1.0)
    """What the paper keeps of each channel's light: under 1 it is not white."""


def linear(colour: str) -> Floats:
    return linear_of(np.array([int(colour[n : n + 2], 16) for n in (1, 3, 5)]))


def linear_of(levels: NDArray[np.generic]) -> Floats:
    share = np.asarray(levels, np.float64) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


CODED = np.rint(
    255
    * np.where(
        np.linspace(0, 1, 4096) <= 0.0031308,
        np.linspace(0, 1, 4096) * 12.92,
        1.055 * np.linspace(0, 1, 4096) ** (1 / 2.4) - 0.055,
    )
).astype(np.float32)


def scan_of_page(page: Printed, glass: Glass, seed: int = 1) -> bytes:
    """The file of a scan, PNG or JPEG. All is mixed as light, and grey where the page is."""
    rng = np.random.default_rng(seed)
    step = 25.4 / glass.dpi
    wide, high = (round(side / step * by) for side, by in zip(glass.size, glass.stretch, strict=True))
    across, up = _places(glass, wide, high, rng)
    table = linear_of(np.arange(256)).astype(np.float32)
    light = table[page.levels]
    light = light[..., None] if light.ndim == 2 else light
    picture = np.empty((high, wide, light.shape[2]), np.float32)
    for first in range(0, high, 256):
        rows = slice(first, min(first + 256, high))
        x, y = np.broadcast_to(across, (rows.stop - first, wide)), up[rows, None] * np.ones((1, wide))
        picture[rows] = _seen(page, light, glass, x, y)
    for axis in (0, 1):
        picture = _blurred(picture, glass.blur, axis)
    picture = CODED[np.clip(picture * 4095, 0, 4095).astype(np.int64)]
    picture += rng.standard_normal(picture.shape, dtype=np.float32) * glass.noise
    levels = np.clip(np.rint(picture), 0, 255).astype(np.uint8)
    image = Image.fromarray(levels if levels.shape[2] == 3 else levels[..., 0])
    out = io.BytesIO()
    dots = (glass.dpi, glass.dpi)
    image.save(out, "JPEG", quality=90, dpi=dots) if glass.jpeg else image.save(out, "PNG", dpi=dots, compress_level=1)
    return out.getvalue()


def _places(glass: Glass, wide: int, high: int, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Where on the glass each column and each row looks, mm from its lower left."""
    step = 25.4 / glass.dpi
    fine = np.linspace(-5.0, glass.size[0] + 5.0, 4001)
    off = (fine - glass.size[0] / 2) / HALF_ROW
    scale = glass.stretch[0] * (1 + glass.row * off)
    column = np.concatenate(([0.0], np.cumsum((scale[1:] + scale[:-1]) / 2 * np.diff(fine)))) / step
    column -= np.interp(0.0, fine, column)
    across = np.interp(np.arange(wide) + 0.5, column, fine)
    up = glass.size[1] - (np.arange(high) + 0.5) * step / glass.stretch[1]
    return across, up + rng.standard_normal(high) * glass.jitter


def _seen(page: Printed, light: NDArray[np.float32], glass: Glass, x: Floats, y: Floats) -> NDArray[np.float32]:
    """The light of places on the glass: the card over the page over the lid."""
    count = light.shape[2]
    lid, card, paper = (
        one[:count].astype(np.float32) for one in (linear(glass.lid), linear(glass.card_colour), np.array(glass.paper))
    )
    seen = np.empty((*x.shape, count), np.float32)
    seen[:] = lid
    px, py = _turned(x - glass.page[0], y - glass.page[1], glass.turn)
    inside = (np.abs(px) < page.size[0] / 2) & (np.abs(py) < page.size[1] / 2)
    fy = py[inside] / page.y
    fx = (px[inside] - page.lean * fy) / page.x
    dots = light.shape[1] / page.size[0]
    column, row = (fx + page.size[0] / 2) * dots - 0.5, (page.size[1] / 2 - fy) * dots - 0.5
    beyond = (column < 0) | (row < 0) | (column > light.shape[1] - 2) | (row > light.shape[0] - 2)
    there = _sampled(light, column, row)
    there[beyond] = 1.0
    seen[inside] = there * (0.92 * paper) + 0.012
    if glass.card is not None:
        cx, cy = _turned(x - glass.card[0], y - glass.card[1], glass.card_turn)
        ax = np.abs(cx) - glass.card_size[0] / 2 + CARD_RADIUS
        ay = np.abs(cy) - glass.card_size[1] / 2 + CARD_RADIUS
        out = np.hypot(np.maximum(ax, 0), np.maximum(ay, 0)) + np.minimum(np.maximum(ax, ay), 0) - CARD_RADIUS
        share = np.clip(0.5 - out / (25.4 / glass.dpi), 0, 1)[..., None].astype(np.float32)
        seen = seen * (1 - share) + card * share
    return seen


def _turned(x: Floats, y: Floats, degrees: float) -> tuple[Floats, Floats]:
    """Into the frame of what is turned so far anticlockwise."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return x * cos + y * sin, y * cos - x * sin


def _sampled(levels: NDArray[np.float32], column: Floats, row: Floats) -> NDArray[np.float32]:
    x = np.clip(column, 0, levels.shape[1] - 2)
    y = np.clip(row, 0, levels.shape[0] - 2)
    c, r = x.astype(np.int64), y.astype(np.int64)
    fx, fy = (x - c)[..., None].astype(np.float32), (y - r)[..., None].astype(np.float32)
    upper = levels[r, c] * (1 - fx) + levels[r, c + 1] * fx
    lower = levels[r + 1, c] * (1 - fx) + levels[r + 1, c + 1] * fx
    return np.asarray(upper * (1 - fy) + lower * fy, np.float32)


def _blurred(values: NDArray[np.float32], sigma: float, axis: int) -> NDArray[np.float32]:
    reach = max(1, math.ceil(3 * sigma))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / max(sigma, 1e-6)) ** 2)
    weights /= weights.sum()
    pad = [(reach, reach) if n == axis else (0, 0) for n in range(3)]
    wide = np.pad(values, pad, mode="edge")
    size = values.shape[axis]
    total = np.zeros_like(values)
    for n, weight in enumerate(weights):
        total += np.float32(weight) * wide[tuple(slice(n, n + size) if a == axis else slice(None) for a in range(3))]
    return total
