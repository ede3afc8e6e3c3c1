"""The engine of the exact fill: the order search over the sheets as they are to be filled, and across."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace

from decalgen.core.geometry import Side
from decalgen.nesting.engine import Found, Task
from decalgen.nesting.model import Request
from decalgen.nesting.order import Filler
from decalgen.nesting.search import Search
from decalgen.nesting.starts import as_laid


def fill(request: Request, task: Task) -> Iterator[Found]:
    """The engine: ever better arrangements of a request by the exact fill.

    Where a large rectangle is to be left over, a third of the steps, or of the time, goes to filling the sheets along
    their other side: which way leaves more depends on the pieces.
    """
    other = across(request)
    part = task.steps if task.seconds else task.steps // 3
    pieces = sum(item.quantity for item in request.items)
    if other is None or (part < pieces and not task.seconds):
        yield from _search(request, task).arrangements(task.steps)
        return
    turn = time.monotonic() + task.seconds * 2 / 3
    spent = placed = 0
    first = task.steps if task.seconds else task.steps - part
    for found in _search(request, task).arrangements(first):
        spent = found.steps
        placed = placed if found.positions is None else len(found.positions)
        yield found
        # While pieces are left out, what the rest of the sheet looks like matters little.
        if task.seconds and time.monotonic() > turn and placed == pieces:
            break
    for found in _search(other, task).arrangements(part):
        yield Found(found.positions, spent + found.steps)


def _search(request: Request, task: Task) -> Search:
    """A search that begins with the order of the arrangement there is, if there is one."""
    filler = Filler(request, task.slack)
    return Search(filler, task.seed, as_laid(filler, task.start, lambda box: (box[0], box[1])))


def across(request: Request) -> Request | None:
    """The request with each sheet filled along its other side; None where that is not free to choose."""
    if request.remnant != "rectangle" or any(region.fill is not None for region in request.regions):
        return None
    other: dict[Side, Side] = {"left": "bottom", "bottom": "left"}
    return replace(request, regions=tuple(replace(r, fill=other[r.side]) for r in request.regions))
