"""The nest itself: run the engines, let every layout through the gate, keep the best."""

from __future__ import annotations

from decalgen.nesting.frame import Piece, pieces_of
from decalgen.nesting.gate import check_layout
from decalgen.nesting.model import Nest, Position, Progress, Request, Watcher
from decalgen.nesting.result import build, left_out, quick_score, score
from decalgen.nesting.shelf import shelve
from decalgen.nesting.validate import validate


def nest(request: Request, progress: Watcher | None = None) -> Nest:
    """Nest the pieces of a request onto its regions.

    Raises `NestingError` for a request that cannot be right. A piece that fits nowhere is no error: it is
    named in `Nest.left_out`.
    """
    validate(request)
    pieces = pieces_of(request)
    best: list[Position] = []
    best_score = score(request, [])
    steps = 0
    for order in _orders(request, pieces):
        for flat in (True, False):
            trial = shelve(request, order, flat)
            steps += len(pieces)
            found = score(request, trial.positions)
            if found < best_score and not check_layout(
                request, tuple(trial.positions), left_out(request, trial.positions)
            ):
                best, best_score = trial.positions, found
            if progress is not None:
                _, sheets, used = quick_score(request, best)
                report = Progress("shelf", steps, steps, len(best), len(pieces), sheets, used, tuple(best))
                if progress(report) is False:
                    return build(request, best, "shelf", steps, False, ())
    return build(request, best, "shelf", steps, True, ())


def _orders(request: Request, pieces: list[Piece]) -> list[list[Piece]]:
    """Largest first, by area and by the longer side; the higher priority always before the lower."""
    items = request.items

    def side(piece: Piece) -> float:
        x0, y0, x1, y1 = items[piece.item].outline.bounds
        return float(max(x1 - x0, y1 - y0))

    def by_area(piece: Piece) -> float:
        return float(items[piece.item].outline.area)

    return [
        sorted(pieces, key=lambda p: (-items[p.item].priority, -by_area(p), p.item, p.copy)),
        sorted(pieces, key=lambda p: (-items[p.item].priority, -side(p), p.item, p.copy)),
    ]
