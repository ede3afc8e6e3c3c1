"""Invented pictures: shaded discs and fields of colour, made by a seed; nothing that is anybody's."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

FINER = 16
"""An edge is smoothed by so many times so many points in each pixel."""


def disc(side: int, centre: tuple[float, float], radius: float) -> NDArray[np.uint8]:
    """The share of each pixel that a disc covers, 0 to 255, rows from the top."""
    at = (np.arange(side * FINER) + 0.5) / FINER
    inside = ((at - centre[0]) ** 2)[None, :] + ((at - centre[1]) ** 2)[:, None] <= radius * radius
    shares = inside.reshape(side, FINER, side, FINER).mean(axis=(1, 3))
    return np.rint(shares * 255).astype(np.uint8)


def colours(width: int, height: int, seed: int = 7) -> NDArray[np.uint8]:
    """Soft waves of colour, RGB."""
    some = np.random.default_rng(seed).uniform(0.02, 0.12, (3, 2))
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    waves = [128 + 100 * np.sin(a * x) * np.cos(b * y) for a, b in some]
    return np.rint(np.dstack(waves)).astype(np.uint8)


def emblem(side: int = 120, seed: int = 7) -> Image.Image:
    """A disc of colours on nothing, with a smoothed edge; a tenth of a side is left free round it."""
    alpha = disc(side, (side / 2, side / 2), 0.4 * side)
    return Image.fromarray(np.dstack([colours(side, side, seed), alpha]))


def photograph(width: int = 160, height: int = 120, seed: int = 7) -> Image.Image:
    """Colours up to the rim, nothing clear."""
    return Image.fromarray(colours(width, height, seed))


def saved(image: Image.Image, kind: str = "PNG", **more: Any) -> bytes:
    """The bytes of its file."""
    made = BytesIO()
    image.save(made, kind, **more)
    return made.getvalue()
