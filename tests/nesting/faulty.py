"""Engines that go wrong on purpose, run in a worker process by the tests: each fails in one way."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator

from decalgen.nesting.engine import Found, Task
from decalgen.nesting.model import NestPosition, Request
from decalgen.nesting.shelf import shelf


def crash(request: Request, task: Task) -> Iterator[Found]:
    """Ends the whole process, as a fault in compiled code does."""
    yield from shelf(request, task)
    os._exit(139)


def panic(request: Request, task: Task) -> Iterator[Found]:
    """Raises what is no ordinary exception, as libraries that panic do."""
    yield Found(None, 1)
    raise BaseException("on purpose")


def hang(request: Request, task: Task) -> Iterator[Found]:
    """Gives a sign of life and then nothing more."""
    yield Found(None, 1)
    time.sleep(60)


def endless(request: Request, task: Task) -> Iterator[Found]:
    """Gives signs of life for ever, and never a layout."""
    while True:
        time.sleep(0.02)
        yield Found(None, 1)


def overlap(request: Request, task: Task) -> Iterator[Found]:
    """Gives every piece the same place, and calls that a layout."""
    region = request.regions[0]
    x, y, _, _ = region.usable.bounds
    pieces = ((item.key, copy) for item in request.items for copy in range(item.quantity))
    yield Found(tuple(NestPosition(key, copy, region.key, 0, x, y, 0) for key, copy in pieces), 1)


def empty_first(request: Request, task: Task) -> Iterator[Found]:
    """Gives an arrangement of no piece before it has one of all."""
    yield Found((), 1)
    yield from shelf(request, task)


def strange(request: Request, task: Task) -> Iterator[Found]:
    """Lays pieces nobody asked for onto a film nobody has, after a good layout."""
    yield from shelf(request, task)
    yield Found((NestPosition("none such", 0, "nowhere", 0, 0.0, 0.0, 0),), 1)


def nowhere(request: Request, task: Task) -> Iterator[Found]:
    """Lays a piece at no number."""
    yield Found((NestPosition(request.items[0].key, 0, request.regions[0].key, 0, float("nan"), 0.0, 0),), 1)


def babble(request: Request, task: Task) -> Iterator[Found]:
    """Writes what is no arrangement to where arrangements are awaited."""
    yield Found(None, 1)
    os.write(1, b"all is well\n")
    time.sleep(60)


def half_a_line(request: Request, task: Task) -> Iterator[Found]:
    """Writes a layout whose values are of other kinds."""
    yield Found(None, 1)
    os.write(1, b'{"positions": [[1, 2, 3, 4, "a", "b", null]], "steps": 1}\n')
    time.sleep(60)


def chatty(request: Request, task: Task) -> Iterator[Found]:
    """Prints as libraries do; harmless."""
    print("a library says hello")
    sys.stdout.flush()
    yield from shelf(request, task)
