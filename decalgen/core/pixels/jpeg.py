"""Pixels as a JPEG file: small, for photographs and scans that are only to be looked at."""

from __future__ import annotations

from io import BytesIO

from decalgen.core.pixels.values import Pixels

QUALITY = 88


def jpeg_of(pixels: Pixels, most: int) -> bytes:
    """A JPEG file of which no side has more than ``most`` pixels; what shows through is left out."""
    from PIL import Image

    from decalgen.core.pixels.decode import image_of

    image = image_of(pixels).convert("RGB")
    if max(image.size) > most:
        image.thumbnail((most, most), Image.Resampling.BOX, reducing_gap=2.0)
    made = BytesIO()
    image.save(made, "JPEG", quality=QUALITY)
    return made.getvalue()
