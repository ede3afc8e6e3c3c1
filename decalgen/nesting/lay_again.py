"""An arrangement laid once more where more of the film is kept free: its pieces put down in the order in which they
lie, turned as they are. Far less work than another search, and nearly the same arrangement. Pure; mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from decalgen.nesting.exact import across
from decalgen.nesting.frame import look, shape_of
from decalgen.nesting.gate import gate
from decalgen.nesting.model import NestPosition, Request
from decalgen.nesting.order import Filler, Gene
from decalgen.nesting.result import Score, score

FrameBox = tuple[float, float, float, float]
"""A piece's box in the frame of its sheet: left, low, right, high."""

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
            filler.go(run, _order(filler, start, by))
            if run.left:
                continue
            positions = tuple(filler.positions(run))
            found = score(request, list(positions))
            if (best is None or found < best[0]) and not gate(request, positions, ()):
                best = found, positions
            if best is not None and found[2] > MUCH * best[0][2]:
                break
    return () if best is None else best[1]


def _order(filler: Filler, start: Sequence[NestPosition], by: Callable[[FrameBox], tuple[float, ...]]) -> list[Gene]:
    """The pieces that are not pinned, sheet by sheet."""
    request = filler.request
    index = {region.key: n for n, region in enumerate(request.regions)}
    free = {(request.items[piece.item].key, piece.copy): piece for piece in filler.free_pieces}
    found: list[tuple[int, tuple[float, ...], Gene]] = []
    for lies in start:
        piece = free.get((lies.item, lies.copy))
        if piece is None:
            continue
        region = index[lies.region]
        x, y, turn = filler.frames[region].into(lies.x, lies.y, lies.turn)
        shape = shape_of(request.items[piece.item], turn)
        mark = look(shape)
        kind = next(n for n, solid in enumerate(filler.solids(piece.item, region)) if look(solid.shape) == mark)
        x0, y0, x1, y1 = shape.box
        found.append((lies.sheet, by((x + x0, y + y0, x + x1, y + y1)), (piece, kind)))
    return [gene for _, _, gene in sorted(found, key=lambda one: one[:2])]
