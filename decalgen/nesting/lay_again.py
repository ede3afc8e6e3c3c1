"""An arrangement laid once more where more of the film is kept free: its pieces put down in the order in which they
lie, turned as they are. Far less work than another search, and nearly the same arrangement. Pure; mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from decalgen.nesting.exact import across
from decalgen.nesting.gate import gate
from decalgen.nesting.model import NestPosition, Request
from decalgen.nesting.order import Filler
from decalgen.nesting.result import Score, score
from decalgen.nesting.starts import FrameBox, as_laid

BY: tuple[Callable[[FrameBox], tuple[float, ...]], ...] = (
    lambda box: (box[0], box[1]),
    lambda box: (box[0] + box[2], box[1]),
    lambda box: (box[0] - box[2], box[0], box[1]),
)
"""What orders the pieces of a sheet: from their left ends, from their middles, the longest first."""
MUCH = 0.9
"""A side from which the first order leaves less of the best rest so far, as a part of it, is not tried further."""


def lay_again(request: Request, start: Sequence[NestPosition]) -> tuple[NestPosition, ...]:
    """The best of the ways to lay an arrangement's pieces again for a request of the same pieces, from either side of
    the sheets; empty where none holds all of them, and for pieces that have to lie together."""
    if any(item.group for item in request.items):
        return ()
    best: tuple[Score, tuple[NestPosition, ...]] | None = None
    for way in filter(None, (request, across(request))):
        filler = Filler(way)
        for by in BY:
            run = filler.start()
            filler.go(run, as_laid(filler, start, by))
            if run.left:
                continue
            positions = tuple(filler.positions(run))
            found = score(request, list(positions))
            if (best is None or found < best[0]) and not gate(request, positions, ()):
                best = found, positions
            if best is not None and found[2] > MUCH * best[0][2]:
                break
    return () if best is None else best[1]
