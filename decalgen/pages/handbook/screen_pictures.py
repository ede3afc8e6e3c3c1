"""Pictures of the page in the browser, as chapters show them: taken by hand, kept in the folder `screens`."""

from __future__ import annotations

import struct
from base64 import b64encode
from pathlib import Path

from decalgen.core.errors import InputError, did_you_mean
from decalgen.core.small_files import read_small
from decalgen.core.values import dataclass

FOLDER = Path(__file__).with_name("screens")
KEY = "screen "
"""What the keys of these pictures begin with; the name of the file follows."""
MOST_BYTES = 200_000


@dataclass(frozen=True)
class ScreenPicture:
    """A picture as PNG, its size in pixels."""

    png: bytes
    width: int
    height: int

    @property
    def source(self) -> str:
        """It as the address of an image (RFC 2397)."""
        return f"data:image/png;base64,{b64encode(self.png).decode('ascii')}"


def screen_picture(key: str) -> ScreenPicture:
    """The picture of a key such as 'screen draw'. Raises InputError for one that is missing."""
    names = sorted(path.stem for path in FOLDER.glob("*.png"))
    name = key.removeprefix(KEY)
    if name not in names:
        raise InputError(f"the handbook has no picture of a screen '{name}'", fix=did_you_mean(name, names))
    png = read_small(FOLDER / f"{name}.png", MOST_BYTES)
    # The first chunk of a PNG says its size (ISO/IEC 15948, IHDR).
    width, height = struct.unpack(">II", png[16:24])
    return ScreenPicture(png, width, height)
