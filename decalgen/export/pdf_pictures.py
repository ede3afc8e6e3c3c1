"""Pictures of pixels as PDF objects (ISO 32000-1, 8.9.5): each once in a file, however often it is shown; what lets
something through has a soft mask (11.6.5.3)."""

from __future__ import annotations

from collections.abc import Callable

from decalgen.core.pixels.values import Pixels
from decalgen.export.pdf_file import PdfFile, PdfValue


class PictureObjects:
    """The pictures of one file. ``space`` is their colour space, ``samples`` gives their bytes in it."""

    def __init__(self, file: PdfFile, space: str, samples: Callable[[Pixels], bytes]) -> None:
        self._file = file
        self._space = space
        self._samples = samples
        self._made: dict[str, tuple[str, PdfValue]] = {}

    def of(self, pixels: Pixels) -> tuple[str, PdfValue]:
        """Name and reference."""
        if pixels.digest not in self._made:
            entries = self._entries(pixels, self._space)
            if pixels.alpha is not None:
                entries["SMask"] = self._file.add_stream(pixels.alpha, self._entries(pixels, "/DeviceGray"))
            reference = self._file.add_stream(self._samples(pixels), entries)
            self._made[pixels.digest] = (f"P{len(self._made)}", reference)
        return self._made[pixels.digest]

    @staticmethod
    def _entries(pixels: Pixels, space: str) -> dict[str, PdfValue]:
        return {
            "Type": "/XObject",
            "Subtype": "/Image",
            "Width": pixels.width,
            "Height": pixels.height,
            "ColorSpace": space,
            "BitsPerComponent": 8,
        }
