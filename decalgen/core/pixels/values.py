"""A picture as a job holds it, and its pixels as exporters take them. No file access, no library."""

from __future__ import annotations

import hashlib
from dataclasses import field
from functools import cached_property

from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass


class PixelsError(DecalgenError):
    """A picture that cannot be read or used."""

    exit_code = 2


@dataclass(frozen=True)
class PictureData:
    """A picture: its name as the job says it, and the bytes of its file."""

    name: str
    data: bytes = field(repr=False)

    @cached_property
    def digest(self) -> str:
        """SHA-256 of the bytes."""
        return hashlib.sha256(self.data).hexdigest()


@dataclass(frozen=True)
class Pixels:
    """Rows from the top, each from the left: ``rgb`` three bytes a pixel (sRGB, not multiplied by alpha), ``alpha`` one
    byte a pixel, or None where nothing shows through."""

    width: int
    height: int
    rgb: bytes = field(repr=False)
    alpha: bytes | None = field(default=None, repr=False)

    @cached_property
    def digest(self) -> str:
        """SHA-256 of all of it."""
        made = hashlib.sha256(f"{self.width} {self.height} ".encode())
        made.update(self.rgb)
        made.update(self.alpha or b"")
        return made.hexdigest()
