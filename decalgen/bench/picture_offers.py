"""The pictures in a job's folder that can come in as decals or shapes: each as it would be printed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from decalgen.bench.drawing_offers import files_beside
from decalgen.bench.pictures import UNIT, Drawings, path_data
from decalgen.bench.shown_pixels import SHOWN
from decalgen.core.errors import DecalgenError, in_a_sentence
from decalgen.core.pixels.values import PictureData
from decalgen.core.small_files import Wanted, read_small, signature
from decalgen.job.first_pictures import picture_alone
from decalgen.job.pictures import KINDS, MOST_BYTES

MOST_OFFERED = 12
"""So many pictures are offered, those that were changed last: each has to be read."""


def picture_names(folder: Path) -> list[str]:
    """The pictures that lie beside a job, by their names; at most `MOST_OFFERED`, those that were changed last."""
    return files_beside(folder, KINDS, MOST_OFFERED)


def is_picture(name: str) -> bool:
    """Whether a file is a picture, by its name."""
    return name.lower().endswith(KINDS)


def picture_data(folder: Path, name: str) -> PictureData:
    """A picture beside a job. Raises DecalgenError for a name that is none of `picture_names`, InputError for one that
    is too large."""
    if name not in picture_names(folder):
        raise DecalgenError(f"there is no picture '{name[:60]}' beside the job", fix="save it there as PNG or JPEG")
    return _data(folder / name)


def _data(path: Path) -> PictureData:
    return PictureData(path.name, read_small(path, MOST_BYTES, Wanted("save it as PNG or JPEG", KINDS)))


def picture_offers(drawings: Drawings, folder: Path) -> list[dict[str, Any]]:
    """The pictures beside a job as they would come in; those that cannot be printed last, with why."""

    def offer(name: str) -> dict[str, Any]:
        path = folder / name
        found: dict[str, Any] = drawings.kept(("picture", name, signature(path)), lambda: _offer(path))
        shown = found.get("shown")
        if shown is None:
            return found
        # Told anew each time: the server keeps the pixels of what it told last.
        inks = [{"d": found["d"], "picture": SHOWN.told(shown)}]
        return {key: found[key] for key in ("name", "about", "box")} | {"inks": inks}

    return sorted(map(offer, picture_names(folder)), key=lambda one: bool(one.get("wrong")))


def _offer(path: Path) -> dict[str, Any]:
    """One of `picture_names` as it would come in."""
    name = path.name
    try:
        size, area = picture_alone(_data(path))
    except DecalgenError as error:
        return {"name": name, "wrong": in_a_sentence(error)}
    box = [0, 0, round(size.width * UNIT), round(size.height * UNIT)]
    return {"name": name, "about": "as pixels", "box": box, "d": path_data(area.region), "shown": area.picture}
