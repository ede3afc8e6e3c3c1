"""The tree search of the packingsolver library, where it is installed (it asks for Python 3.12 or later).

Used for plain sheets only, and only in a nest that a clock may end: it gives the same arrangement again only if it is
given the same time on the same machine.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from typing import Any

import shapely

from decalgen.nesting.crew import MANY
from decalgen.nesting.engine import Found, Task
from decalgen.nesting.frame import Frame, frame_of
from decalgen.nesting.model import MAX_SHEETS, NestPosition, Request
from decalgen.nesting.separate import HAIR, spread_shapes


def tree(request: Request, task: Task) -> Iterator[Found]:
    """The engine. Gives nothing where a request is not one plain sheet, or one that repeats."""
    frame = frame_of(request.regions[0], 0)
    plain = abs(shapely.box(*frame.bounds).area - frame.usable.area) < 1e-9 and not frame.keep_outs
    if len(request.regions) > 1 or not plain or request.pins or any(i.group for i in request.items):
        return
    yield Found(None, 0)
    arrangements: list[Any] = []
    thread = threading.Thread(target=_solve, args=(request, task, frame, arrangements), daemon=True)
    thread.start()
    taken = 0
    told = time.monotonic()
    while True:
        alive = thread.is_alive()
        if time.monotonic() - told > 1:
            told = time.monotonic()
            yield Found(None, taken)  # it may work for minutes without a better arrangement
        while taken < len(arrangements):
            taken += 1
            rows = arrangements[taken - 1]
            yield Found(_positions(request, frame, rows) if rows else None, taken)  # its first may be empty
        if not alive:
            return
        thread.join(0.05)


def _solve(request: Request, task: Task, frame: Frame, arrangements: list[Any]) -> None:
    import packingsolver  # type: ignore[import-not-found,import-untyped,unused-ignore]
    from packingsolver import irregular

    x0, y0, x1, y1 = frame.bounds
    shapes, _ = spread_shapes(request, frame)
    builder = irregular.InstanceBuilder()
    repeat = request.regions[0].repeat
    objective = packingsolver.Objective
    builder.set_objective(objective.BinPackingWithLeftovers if repeat else objective.OpenDimensionX)
    wide, high = x1 - x0 + request.gap + HAIR, y1 - y0 + request.gap + HAIR
    builder.add_bin_type(irregular.build_rectangle(wide, high), copies=MAX_SHEETS if repeat else 1)
    for item, polygon in shapes:
        points = [(float(x), float(y)) for x, y in polygon.exterior.coords[:-1]]
        if item.quantity:
            turns = [(float(t), float(t), False) for t in item.turns]
            builder.add_item_type(irregular.build_shape(points), copies=item.quantity, allowed_rotations=turns)
    parameters = irregular.OptimizeParameters()
    parameters.time_limit = task.seconds or 20.0
    modes = packingsolver.OptimizationMode
    # Above it one core, without growing queues, finds as much as all of them.
    many = sum(item.quantity for item, _ in shapes) > MANY
    parameters.optimization_mode = modes.NotAnytimeSequential if many else modes.Anytime
    parameters.messages_to_stdout = False
    parameters.new_solution_callback = lambda output: arrangements.append(_rows(output.solution))
    irregular.optimize(builder.build(), parameters)


def _rows(solution: Any) -> list[tuple[int, int, float, float, float]]:
    """Sheet, item, turn, x and y of every piece; read at once, since the library goes on changing its own."""
    rows = []
    sheet = 0
    for place in range(solution.number_of_different_bins()):
        arrangement = solution.bin(place)
        for _ in range(arrangement.copies):
            rows += [(sheet, i.item_type_id, i.angle, i.bl_corner.x, i.bl_corner.y) for i in arrangement.items]
            sheet += 1
    return rows


def _positions(
    request: Request, frame: Frame, rows: list[tuple[int, int, float, float, float]]
) -> tuple[NestPosition, ...]:
    """The positions of an arrangement; pieces it left out are missing."""
    x0, y0, _, _ = frame.bounds
    half = (request.gap + HAIR) / 2
    wanted = [item for item in request.items if item.quantity]
    next_copy = [0] * len(wanted)
    out = []
    for sheet, number, angle, x, y in rows:
        item = wanted[number]
        turn = (round(angle) + frame.turn) % 360
        out.append(frame.back(item, next_copy[number], sheet, turn, x + x0 - half, y + y0 - half))
        next_copy[number] += 1
    return tuple(out)
