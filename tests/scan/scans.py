"""Scans made here, by a seed: a pattern on a sticker, torn with ragged white rims, yellowed, faded, scratched, laid
down askew beside a card, and scanned by a scanner with a stretch of its own in each axis, a carriage that jitters, blur
and noise. What is true of each is known, in mm. Independent of what reads scans.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

Floats = NDArray[np.float64]
Pattern = Callable[[Floats, Floats], NDArray[np.int64]]
"""From places on the sticker, mm from its lower left corner, y up, to the number of an ink; -1: beyond the sticker."""
Hit = Callable[[Floats, Floats], NDArray[np.bool_]]
CARD = (85.60, 53.98)
CARD_RADIUS = 3.18
SUB = 5
"""Samples a pixel in each direction."""
PAPER = (0.93, 0.92, 0.90)
"""Linear light of the torn paper's core."""


@dataclass
class Faults:
    """What has happened to the sticker and what the scanner does. ``torn``: the share that is gone."""

    torn: float = 0.0
    yellow: float = 0.0
    fade: float = 0.0
    scratches: int = 0
    noise: float = 1.5
    blur: float = 0.6
    stretch: tuple[float, float] = (1.0, 1.0)
    jitter: float = 0.004
    turn: float = 0.0
    jpeg: bool = False
    lid: tuple[float, float, float] = (0.80, 0.80, 0.79)
    """Linear light of the scanner's lid."""
    card: bool = True
    """Whether a card lies below the sticker."""
    margin: float = 6.0
    """Round all, mm."""


@dataclass
class MadeScan:
    """The file and what is true: the card's corners in pixels (from its lower left, as it lies, anticlockwise), and the
    share of the sticker that is gone."""

    data: bytes
    dpi: float
    card: list[tuple[float, float]] = field(default_factory=list)
    gone: float = 0.0


def linear(colour: str) -> tuple[float, ...]:
    levels = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    return tuple(v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in levels)


def scan_of(
    pattern: Pattern, size: tuple[float, float], inks: list[str], faults: Faults, dpi: float = 300.0, seed: int = 1
) -> MadeScan:
    """A scan of a sticker of that size beside a card."""
    rng = np.random.default_rng(seed)
    margin = faults.margin
    turn = math.radians(faults.turn)
    around = (
        abs(size[0] * math.cos(turn)) + abs(size[1] * math.sin(turn)),
        abs(size[0] * math.sin(turn)) + abs(size[1] * math.cos(turn)),
    )
    wide = max(CARD[0] + 4.0 if faults.card else 0.0, around[0]) + 2 * margin
    below = CARD[1] + margin if faults.card else 0.0
    high = below + around[1] + 2 * margin
    pitch = 25.4 / dpi
    columns = round(wide / pitch / faults.stretch[0])
    rows = round(high / pitch / faults.stretch[1])
    # Where the middle of each column and row truly is, mm from the lower left.
    step_x, step_y = pitch * faults.stretch[0], pitch * faults.stretch[1]
    x = (np.arange(columns, dtype=np.float64) + 0.5) * step_x
    walk = np.convolve(rng.normal(size=rows + 40), np.hanning(41) / np.sqrt((np.hanning(41) ** 2).sum()), "valid")
    down = (np.arange(rows) + 0.5) * step_y + faults.jitter * walk
    y = high - down
    image = np.empty((rows, columns, 3))
    image[:] = faults.lid
    card = _put_card(image, x, y, rng, margin) if faults.card else []
    middle = (wide / 2, below + margin + around[1] / 2)
    to_pixels = _to_pixels(x, down, high)
    gone = _put_sticker(image, (x, y, step_x, step_y), (pattern, size, inks), (middle, turn), faults, rng)
    image = _blurred(image, faults.blur)
    data = file_of(image, dpi, faults.noise, rng, 92 if faults.jpeg else None)
    return MadeScan(data, dpi, [to_pixels(*one) for one in card], gone)


def _to_pixels(x: Floats, down: Floats, high: float) -> Callable[[float, float], tuple[float, float]]:
    def found(at_x: float, at_y: float) -> tuple[float, float]:
        return (
            float(np.interp(at_x, x, np.arange(len(x)) + 0.5)),
            float(np.interp(high - at_y, down, np.arange(len(down)) + 0.5)),
        )

    return found


def _put_card(
    image: Floats, x: Floats, y: Floats, rng: np.random.Generator, margin: float
) -> list[tuple[float, float]]:
    turn = math.radians(rng.uniform(-2, 2))
    middle = (margin + CARD[0] / 2 + 2, margin + CARD[1] / 2)
    cos, sin = math.cos(turn), math.sin(turn)
    u = (x[None] - middle[0]) * cos + (y[:, None] - middle[1]) * sin
    v = -(x[None] - middle[0]) * sin + (y[:, None] - middle[1]) * cos
    a = np.abs(u) - CARD[0] / 2 + CARD_RADIUS
    b = np.abs(v) - CARD[1] / 2 + CARD_RADIUS
    off = np.hypot(np.maximum(a, 0), np.maximum(b, 0)) + np.minimum(np.maximum(a, b), 0) - CARD_RADIUS
    cover = np.clip(0.5 - off / (x[1] - x[0]), 0, 1)[..., None]
    image[:] = image * (1 - cover) + np.array((0.05, 0.11, 0.16)) * cover
    corners = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
    return [
        (
            middle[0] + i * CARD[0] / 2 * cos - j * CARD[1] / 2 * sin,
            middle[1] + i * CARD[0] / 2 * sin + j * CARD[1] / 2 * cos,
        )
        for i, j in corners
    ]


def _put_sticker(
    image: Floats,
    grid: tuple[Floats, Floats, float, float],
    made: tuple[Pattern, tuple[float, float], list[str]],
    lies: tuple[tuple[float, float], float],
    faults: Faults,
    rng: np.random.Generator,
) -> float:
    x, y, step_x, step_y = grid
    pattern, size, inks = made
    middle, turn = lies
    cos, sin = math.cos(turn), math.sin(turn)
    half = (
        (abs(size[0] * cos) + abs(size[1] * sin)) / 2 + 1.0,
        (abs(size[0] * sin) + abs(size[1] * cos)) / 2 + 1.0,
    )
    columns = np.nonzero(np.abs(x - middle[0]) < half[0])[0]
    rows = np.nonzero(np.abs(y - middle[1]) < half[1])[0]
    core, sheet, scale, gone = _tears(size, faults.torn, rng)
    colours = np.array([*(linear(ink) for ink in inks), PAPER, faults.lid, (0.86, 0.85, 0.82)])
    tint = np.array((1.0, 1.0 - 0.06 * faults.yellow, 1.0 - 0.30 * faults.yellow))
    scratched = _scratches(size, faults.scratches, rng)
    total = np.zeros((len(rows), len(columns), 3))
    offs = (np.arange(SUB) + 0.5) / SUB - 0.5
    for oy in offs:
        for ox in offs:
            gx = x[columns][None] + ox * step_x - middle[0]
            gy = y[rows][:, None] + oy * step_y - middle[1]
            u, v = gx * cos + gy * sin + size[0] / 2, -gx * sin + gy * cos + size[1] / 2
            kind = pattern(u, v)
            beyond = (kind < 0) | (u < 0) | (v < 0) | (u > size[0]) | (v > size[1])
            ci = np.clip((u * scale).astype(int), 0, sheet.shape[1] - 1)
            ri = np.clip((v * scale).astype(int), 0, sheet.shape[0] - 1)
            light = colours[np.where(beyond, len(inks) + 1, kind)]
            # Faded more to one side; yellowed everywhere but where torn.
            fade = faults.fade * (0.3 + 0.7 * np.clip(u / size[0], 0, 1))[..., None]
            light = (light * (1 - fade) + 0.85 * fade) * tint
            light = np.where(scratched(u, v)[..., None], colours[len(inks) + 2], light)
            light = np.where(core[ri, ci][..., None], np.array(PAPER), light)
            light = np.where((beyond | sheet[ri, ci])[..., None], np.array(faults.lid), light)
            total += light
    image[np.ix_(rows, columns)] = total / SUB**2
    return gone


def _tears(
    size: tuple[float, float], share: float, rng: np.random.Generator
) -> tuple[NDArray[np.bool_], NDArray[np.bool_], float, float]:
    """Where the ink is gone, where the paper too, samples a mm, and the share that is gone: bites from the sides with
    ragged edges, a white rim at each."""
    scale = 40.0
    shape = (max(2, round(size[1] * scale)), max(2, round(size[0] * scale)))
    core, sheet = np.zeros(shape, bool), np.zeros(shape, bool)
    side = max(size)
    for _ in range(60):
        if core.mean() >= share:
            break
        around = rng.uniform(0, 2 * (size[0] + size[1]))
        at = _on_rim(size, around)
        radius = rng.uniform(0.06, 0.22) * min(side, 3 * min(size))
        angles = np.linspace(0, 2 * math.pi, 90, endpoint=False)
        wave = sum(rng.normal(0, 0.16 / n) * np.cos(n * angles + rng.uniform(0, 6.3)) for n in range(1, 9))
        ragged = radius * np.clip(1 + wave, 0.3, 2) + rng.normal(0, 0.05, 90)
        rim = np.abs(rng.normal(0.15, 0.12, 90)) + 0.05
        for mask, grown in ((core, ragged), (sheet, ragged - rim)):
            points = [
                ((at[0] + r * math.cos(a)) * scale, (at[1] + r * math.sin(a)) * scale)
                for r, a in zip(np.maximum(grown, 0), angles, strict=True)
            ]
            drawn = Image.new("1", (shape[1], shape[0]))
            ImageDraw.Draw(drawn).polygon(points, fill=1)
            mask |= np.asarray(drawn)
    return core, sheet, scale, float(core.mean())


def _on_rim(size: tuple[float, float], around: float) -> tuple[float, float]:
    width, height = size
    if around < width:
        return around, 0.0
    if around < width + height:
        return width, around - width
    if around < 2 * width + height:
        return 2 * width + height - around, height
    return 0.0, 2 * (width + height) - around


def _scratches(size: tuple[float, float], count: int, rng: np.random.Generator) -> Hit:
    lines = [
        (rng.uniform(0, size[0]), rng.uniform(0, size[1]), rng.uniform(0, math.pi), rng.uniform(0.02, 0.08))
        for _ in range(count)
    ]

    def hit(u: Floats, v: Floats) -> NDArray[np.bool_]:
        found = np.zeros(np.broadcast(u, v).shape, bool)
        for x, y, turn, wide in lines:
            across = np.abs((u - x) * math.sin(turn) - (v - y) * math.cos(turn))
            found |= across < wide
        return found

    return hit


def file_of(image: Floats, dpi: float, noise: float, rng: np.random.Generator, quality: int | None) -> bytes:
    """Linear light with noise of so many coded levels, as JPEG of that quality, else as PNG."""
    coded = np.where(image <= 0.0031308, 12.92 * image, 1.055 * np.maximum(image, 1e-9) ** (1 / 2.4) - 0.055)
    coded = np.clip(coded * 255 + rng.normal(0, noise, coded.shape), 0, 255)
    out = io.BytesIO()
    made = Image.fromarray(np.rint(coded).astype(np.uint8))
    if quality is not None:
        made.save(out, "JPEG", quality=quality, dpi=(dpi, dpi))
    else:
        made.save(out, "PNG", dpi=(dpi, dpi), compress_level=1)
    return out.getvalue()


def _blurred(image: Floats, sigma: float) -> Floats:
    reach = max(1, math.ceil(3 * sigma))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    weights /= weights.sum()
    for axis in (0, 1):
        wide = np.pad(image, [(reach, reach) if n == axis else (0, 0) for n in range(3)], mode="edge")
        image = sum(w * np.take(wide, np.arange(n, n + image.shape[axis]), axis=axis) for n, w in enumerate(weights))
    return image


# ------------------------------------------------------------------------------------------------------------ patterns
def checks(rows: int, columns: int, cell: tuple[float, float], first: int = 0) -> Pattern:
    """Checks that fill the sticker; ``first``: the ink of the lower left cell, 0 or 1."""

    def found(u: Floats, v: Floats) -> NDArray[np.int64]:
        i, j = np.floor(u / cell[0]).astype(int), np.floor(v / cell[1]).astype(int)
        inside = (i >= 0) & (i < columns) & (j >= 0) & (j < rows)
        return np.where(inside, (i + j + first) % 2, -1)

    return found


def bands(edges: list[float], inks: list[int], upright: bool = False) -> Pattern:
    """Bands between edges, from the foot (or the left) up, each in the ink of that number."""

    def found(u: Floats, v: Floats) -> NDArray[np.int64]:
        across = u if upright else v
        number = np.searchsorted(edges, across, side="right") - 1
        inside = (number >= 0) & (number < len(inks))
        made = np.where(inside, np.array(inks)[np.clip(number, 0, len(inks) - 1)], -1)
        return np.broadcast_to(made, np.broadcast(u, v).shape)

    return found


def roundel(centre: tuple[float, float], radii: list[float], inks: list[int], ground: int = -1) -> Pattern:
    """Discs in one another, radii from the largest."""

    def found(u: Floats, v: Floats) -> NDArray[np.int64]:
        off = np.hypot(u - centre[0], v - centre[1])
        made = np.full(off.shape, ground)
        for radius, ink in zip(radii, inks, strict=True):
            made = np.where(off < radius, ink, made)
        return made

    return found


def plate(size: tuple[float, float], radius: float, ink: int = 0) -> Pattern:
    """A rectangle with round corners that fills the sticker."""

    def found(u: Floats, v: Floats) -> NDArray[np.int64]:
        a = np.abs(u - size[0] / 2) - size[0] / 2 + radius
        b = np.abs(v - size[1] / 2) - size[1] / 2 + radius
        off = np.hypot(np.maximum(a, 0), np.maximum(b, 0)) + np.minimum(np.maximum(a, b), 0) - radius
        return np.where(off < 0, ink, -1)

    return found


def slanted(size: tuple[float, float], angle: float, pitch: float, wide: float, shift: float) -> Pattern:
    """Stripes of ink 0 on ink 1 that run at an angle, degrees; the middle of one lies ``shift`` to the left of the
    middle of the sticker."""

    def found(u: Floats, v: Floats) -> NDArray[np.int64]:
        turn = math.radians(angle)
        across = -(u - size[0] / 2) * math.sin(turn) + (v - size[1] / 2) * math.cos(turn)
        return np.where(np.mod(across - shift + wide / 2, pitch) < wide, 0, 1)

    return found


def chevrons(
    size: tuple[float, float], points: str, angle: float, widths: tuple[float, float], shift: float, between: int = 1
) -> Pattern:
    """Bands of ink 0 and gaps, of those widths square across, whose arms lie at an angle, degrees, to the way they
    point; the back of one is ``shift`` from the side they come from."""

    def found(u: Floats, v: Floats) -> NDArray[np.int64]:
        ahead = {"right": u, "left": size[0] - u, "up": v, "down": size[1] - v}[points]
        out = np.abs(v - size[1] / 2) if points in ("left", "right") else np.abs(u - size[0] / 2)
        turn = math.radians(angle)
        across = (ahead + out / math.tan(turn) - shift) * math.sin(turn)
        return np.where(np.mod(across, sum(widths)) < widths[0], 0, between)

    return found


def cross(
    size: tuple[float, float], middle: tuple[float, float] | None, wide: float, edge: float = 0.0, field: int = 2
) -> Pattern:
    """A cross of ink 0 with an edge of ink 1 on a field, its arms to the sides, about a middle, or to the corners."""

    def found(u: Floats, v: Floats) -> NDArray[np.int64]:
        if middle is None:
            x, y = u - size[0] / 2, v - size[1] / 2
            apart = np.minimum(np.abs(x * size[1] - y * size[0]), np.abs(x * size[1] + y * size[0])) / math.hypot(*size)
        else:
            apart = np.minimum(np.abs(u - middle[0]), np.abs(v - middle[1]))
        return np.where(apart < wide / 2, 0, np.where(apart < wide / 2 + edge, 1, field))

    return found


def star(radius: float, inner: float, points: int, turn: float = 0.0) -> Pattern:
    """A star that fills a sticker of its diameter, one point up unless it is turned, degrees."""

    def found(u: Floats, v: Floats) -> NDArray[np.int64]:
        x, y = u - radius, v - radius
        half = math.pi / points
        around = np.arctan2(y, x) - math.pi / 2 - math.radians(turn)
        around = np.abs(np.mod(around + half, 2 * half) - half)
        along, across = np.hypot(x, y) * np.cos(around), np.hypot(x, y) * np.sin(around)
        end = (inner * math.cos(half) - radius, inner * math.sin(half))
        return np.where(end[0] * across - end[1] * (along - radius) > 0, 0, -1)

    return found
