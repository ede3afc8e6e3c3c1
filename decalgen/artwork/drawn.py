"""All decals of a job drawn, or why one cannot be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from decalgen.artwork.build import Artwork, build_all, hands
from decalgen.artwork.findings import written_at
from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass
from decalgen.job.model import Decal, Hand, Job


@dataclass(frozen=True)
class DrawnDecal:
    """A decal drawn for one hand: its sections, or why it cannot be drawn."""

    decal: Decal
    hand: Hand | None
    parts: tuple[Artwork, ...] = ()
    error: DecalgenError | None = None


def draw_decals(job: Job, white_printer: bool = False) -> tuple[DrawnDecal, ...]:
    """Every decal of a job, a handed pair as two; the first hand that cannot be drawn ends its decal."""
    return tuple(one_by_one(job, white_printer))


def one_by_one(job: Job, white_printer: bool = False) -> Iterator[DrawnDecal]:
    """The same, each drawn when it is asked for."""
    for decal in job.decals:
        for hand in hands(decal):
            try:
                yield DrawnDecal(decal, hand, build_all(job, decal, hand, white_printer))
            except DecalgenError as error:
                if error.place is not None:
                    error.place = written_at(error.place, decal)
                yield DrawnDecal(decal, hand, error=error)
                break


def sound(drawn: Sequence[DrawnDecal]) -> tuple[Artwork, ...]:
    """All artworks, each section of a split decal on its own. Raises the first error of drawing."""
    for one in drawn:
        if one.error is not None:
            if one.error.place is not None:
                raise one.error
            message = f"'{one.decal.name}': {one.error.message}"
            raise type(one.error)(message, fix=one.error.fix, place=one.decal.place) from None
    return tuple(art for one in drawn for art in one.parts)


def artworks(job: Job, white_printer: bool = False) -> tuple[Artwork, ...]:
    """Every decal of a job, a handed pair as two, each section of a split decal on its own."""
    return sound(draw_decals(job, white_printer))
