"""A picture of one's own that comes into a job: as large as its decal or panel has room for. Pure: from a job and the
picture to what its file is to say."""

from __future__ import annotations

from decalgen.core.pixels.values import PictureData
from decalgen.job.first_drawings import own_file_decal, own_file_shape
from decalgen.job.first_shapes import NewShape
from decalgen.job.model import Decal, Job
from decalgen.job.written import YamlValue
from decalgen.shapes.base import Box, Inked
from decalgen.shapes.picture import OwnPicture

HEIGHT = 10.0
"""How high a picture is where it is looked at alone, mm."""


def picture_alone(picture: PictureData) -> tuple[Box, Inked]:
    """A picture as it is looked at: its size, and the one area that it shows. Raises `ShapeError`."""
    one = OwnPicture(file=picture, height=HEIGHT)
    size = one.extent(Box(1.0, 1.0))
    (shown,) = one.draw(size)
    return size, shown


def picture_decal(job: Job, panel: str, picture: PictureData, share: float = 1.0) -> dict[str, YamlValue]:
    """A decal with a picture alone for a panel, without its place, cut along what is seen of it where that is in one
    piece; ``share``: of its usual size. Raises `ShapeError` for a picture that cannot be printed."""
    whole, shown = picture_alone(picture)
    rows = own_file_decal(job, panel, _named(picture), whole, share)
    artwork = rows.pop("artwork")
    return {**rows, **({"cut": "artwork"} if len(shown.region.geoms) == 1 else {}), "artwork": artwork}


def picture_shape(decal: Decal, picture: PictureData) -> NewShape:
    """A picture as it comes into a decal, as large as that. Raises as `picture_decal`."""
    return own_file_shape(decal, _named(picture), picture_alone(picture)[0])


def _named(picture: PictureData) -> NewShape:
    return NewShape(OwnPicture.name, {"file": picture.name})
