"""Pixels as a PNG file, for drawings and for the page."""

from __future__ import annotations

from base64 import b64encode
from io import BytesIO

from decalgen.core.pixels.values import Pixels


def png_of(pixels: Pixels, most: int = 0) -> bytes:
    """A PNG file; ``most``: no side has more pixels, 0: as they are."""
    from PIL import Image

    from decalgen.core.pixels.decode import image_of

    image = image_of(pixels)
    if most and max(image.size) > most:
        image.thumbnail((most, most), Image.Resampling.LANCZOS)
    made = BytesIO()
    image.save(made, "PNG")
    return made.getvalue()


def png_address(pixels: Pixels, most: int = 0) -> str:
    """The same as a `data:` address."""
    return f"data:image/png;base64,{b64encode(png_of(pixels, most)).decode('ascii')}"
