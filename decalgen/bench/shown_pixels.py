"""The pictures that the page shows, as PNG files by their content: made once, asked for by an address that the page was
told."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock
from typing import Any

from decalgen.core.geometry import multiply
from decalgen.core.pixels.values import Pixels
from decalgen.shapes.base import InkedPicture

MICROMETRES = 1000
MOST_SIDE = 1024
"""No picture on the page has more pixels a side."""
MOST_KEPT = 60
"""So many pictures are kept, the ones told of last."""


class ShownPixels:
    """The pictures that the page was told of last, by their names."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, Pixels | bytes] = OrderedDict()
        self._lock = Lock()

    def told(self, picture: InkedPicture) -> dict[str, Any]:
        """What the page is told of it: its address, and the matrix that leads from the unit square, rows down, to the
        decal, in micrometres."""
        name = picture.pixels.digest[:32]
        with self._lock:
            self._kept.setdefault(name, picture.pixels)
            self._kept.move_to_end(name)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
        turned = multiply(picture.matrix, (1.0, 0.0, 0.0, -1.0, 0.0, 1.0))
        return {"src": f"/pixels/{name}.png", "matrix": [round(value * MICROMETRES, 3) for value in turned]}

    def png(self, name: str) -> bytes | None:
        """The file; None where the page was told of none of that name."""
        from decalgen.core.pixels.png import png_of

        with self._lock:
            found = self._kept.get(name)
        if isinstance(found, Pixels):
            found = png_of(found, MOST_SIDE)
            with self._lock:
                if name in self._kept:
                    self._kept[name] = found
        return found


SHOWN = ShownPixels()
"""Those of this server: its pages of all jobs have them in common, as one picture has one content."""
