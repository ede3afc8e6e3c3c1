"""Which piece of a sheet belongs to which model, in the order of application, with spares, and what lies over what.
Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from decalgen.core.values import dataclass
from decalgen.job.model import Job
from decalgen.job.over import application_turns
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.pieces import Piece


@dataclass(frozen=True)
class ModelLine:
    """A model with pieces on a sheet: the letter of its job ('' for one alone), its name, its body, and in words its
    pieces of this sheet and of the others."""

    letter: str
    name: str
    body: str
    texts: tuple[str, ...]


def model_lines(sheet: Sheet, arrangement: Arrangement, jobs: Sequence[Job]) -> list[ModelLine]:
    """A line for each model that has a piece on the sheet."""
    found = []
    for job in jobs:
        own = _decals(sheet, job)
        if not own:
            continue
        texts = [" · ".join(own)]
        for other in arrangement.sheets:
            if other.index != sheet.index and (there := _decals(other, job)):
                texts.append(f"sheet {other.index}: {' · '.join(there)}")
        letter = next(one.piece.letter for one in sheet.placed if one.piece.artwork.job == job.name)
        found.append(ModelLine(letter, job.title, f"body {job.body}", tuple(texts)))
    return found


def laid_over(sheet: Sheet, jobs: Sequence[Job]) -> list[tuple[str, str]]:
    """Of the pieces on a sheet that lie over others: the number over, the numbers under it, which may be on another
    sheet and are then called by their names."""
    found = []
    for job in jobs:
        mine = [one.piece for one in sheet.placed if one.piece.artwork.job == job.name]
        for piece in _firsts(mine, job):
            art = piece.artwork
            if art.backing:
                continue
            under = [
                other.label
                for other in _firsts(mine, job)
                if (other.artwork.decal.name in art.decal.over and other.artwork.hand in (art.hand, None))
                or (
                    other.artwork.backing
                    and (other.artwork.decal.name, other.artwork.hand) == (art.decal.name, art.hand)
                )
            ]
            elsewhere = [name for name in art.decal.over if name not in {p.artwork.decal.name for p in mine}]
            if under or elsewhere:
                found.append((piece.label, " and ".join([*under, *elsewhere])))
    return found


def _decals(sheet: Sheet, job: Job) -> list[str]:
    """Each decal of a job on a sheet in the order of application: its name and numbers, with copies and spares."""
    pieces = [one.piece for one in sheet.placed if one.piece.artwork.job == job.name]
    found: dict[str, list[str]] = {}
    for first in _firsts(pieces, job):
        copies = sum(not one.spare for one in pieces if one.number == first.number)
        spares = sum(one.spare for one in pieces if one.number == first.number)
        times = f" × {copies}" if copies > 1 else ""
        name = first.artwork.decal.name + (", backing" if first.artwork.backing else "")
        found.setdefault(name, []).append(f"{first.label}{times}{f' +{spares}' if spares else ''}")
    return [f"{name} {', '.join(numbers)}" for name, numbers in found.items()]


def _firsts(pieces: Sequence[Piece], job: Job) -> Iterator[Piece]:
    """One piece of each number, as they are laid: what lies under others first."""
    turn = application_turns(job.decals)
    by_number = {piece.number: piece for piece in pieces}
    order = sorted(
        by_number.values(), key=lambda one: (turn[one.artwork.decal.name], not one.artwork.backing, one.number)
    )
    yield from order
