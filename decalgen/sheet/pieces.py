"""Copies of decals, and where each lies on a sheet. Pure; mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

from shapely.geometry import Polygon

from decalgen.artwork.backing import backings
from decalgen.artwork.build import Artwork
from decalgen.artwork.drawn import artworks
from decalgen.artwork.over_body import as_printed
from decalgen.colour.inks import FilmKind
from decalgen.core.errors import Place
from decalgen.core.geometry import Matrix, multiply, polygons, rotation, transform, translation
from decalgen.core.values import dataclass
from decalgen.job.model import Job, Pinned, Printer

LETTERS = "ACEFJKPRTY"
"""Of jobs on one print: those that are no digit and no other letter, upright or upside down."""


@dataclass(frozen=True)
class Piece:
    """One copy of a decal. ``number`` is its decal's number on all sheets: equal copies share it."""

    number: int
    artwork: Artwork
    title: str
    copy: int
    spare: bool
    turn: bool = True
    """Whether it may be turned on the sheet; not where a printer's banding or the film's grain would show."""
    pin: Pinned | None = None
    """Where it has to lie."""
    group: str = ""
    """Pieces of one group lie together on one sheet."""
    place: Place | None = None
    """Where its decal stands in the job file."""
    letter: str = ""
    """The letter of its job, where a print holds several."""

    @property
    def label(self) -> str:
        """What it is called on every sheet and page: the letter of its job and its number."""
        return f"{self.letter}{self.number}"

    @property
    def key(self) -> str:
        """The decal's key in a nest and in a file of positions."""
        part = f"/{self.artwork.section}" if self.artwork.section else ""
        # A kept word: it is part of the fingerprints in positions, proofs and records of earlier versions.
        part += f"/base{self.artwork.backing}" if self.artwork.backing else ""
        return f"{self.artwork.job}/{self.artwork.decal.name}/{self.artwork.hand or ''}{part}"


@dataclass(frozen=True)
class Placed:
    """A piece on a sheet: turned about the artwork's lower left corner, then moved."""

    piece: Piece
    x: float
    y: float
    turn: int

    @property
    def matrix(self) -> Matrix:
        """From the artwork's coordinates to the sheet's."""
        return multiply(translation(self.x, self.y), rotation(self.turn))

    @cached_property
    def cut(self) -> Polygon:
        """The cut line on the sheet."""
        return polygons(transform(self.piece.artwork.cut_polygon, self.matrix))[0]

    @cached_property
    def outer(self) -> Polygon:
        """The cut line with its bleed on the sheet."""
        return polygons(transform(self.piece.artwork.outer, self.matrix))[0]


def job_letters(jobs: Sequence[Job]) -> dict[str, str]:
    """The letter of each job by its name, in their order: none for one alone; from the eleventh on two letters."""
    if len(jobs) < 2:
        return {}
    count = len(LETTERS)
    return {
        job.name: (LETTERS[n // count - 1] if n >= count else "") + LETTERS[n % count] for n, job in enumerate(jobs)
    }


def pieces(
    jobs: Sequence[Job],
    printer: Printer,
    hands: str = "both",
    made: Mapping[str, Sequence[Artwork]] | None = None,
    only: FilmKind | None = None,
) -> tuple[Piece, ...]:
    """Every piece of every job in order; decals are numbered from 1 through all jobs. ``hands`` picks left or right.

    The pieces of white film that go under a decal follow it, each with a number of its own. ``made``: the jobs'
    artworks by the job's name, where a check has drawn them already; ``only``: those on one kind of film.
    """
    found: list[Piece] = []
    number = 0
    letters = job_letters(jobs)
    for job in jobs:
        for artwork in artworks(job, printer.white) if made is None else made[job.name]:
            if hands != "both" and artwork.hand not in (None, hands):
                continue
            number += 1
            decal, letter = artwork.decal, letters.get(job.name, "")
            artwork = as_printed(artwork, job, printer)
            group = job.name if job.keep_together else f"{job.name}/{decal.name}" if decal.keep_together else ""
            count = decal.copies + decal.spares
            # Pins are meant for the left hand's copies first, then the right's, whichever are printed now.
            before = count if artwork.hand == "right" and decal.hands == "both" else 0
            pins = decal.pins[before : before + count]
            for copy in range(count):
                pin = pins[copy] if copy < len(pins) else None
                found.append(
                    Piece(
                        number,
                        artwork,
                        job.title,
                        copy,
                        copy >= decal.copies,
                        decal.turn,
                        pin,
                        group,
                        decal.place,
                        letter,
                    )
                )
            for backing in backings(artwork):
                number += 1
                found += [
                    Piece(
                        number,
                        backing,
                        job.title,
                        copy,
                        copy >= decal.copies,
                        group=group,
                        place=decal.place,
                        letter=letter,
                    )
                    for copy in range(count)
                ]
    return tuple(piece for piece in found if only in (None, piece.artwork.film))
