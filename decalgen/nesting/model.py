"""What goes into a nest and what comes out of it. Lengths in millimetres, y up, turns in degrees
anticlockwise."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import field
from typing import Literal

from shapely.geometry import Polygon

from decalgen.core.errors import FitError
from decalgen.core.geometry import Side
from decalgen.core.values import dataclass

TOLERANCE = 1e-6
"""How exactly gap, clearance and edges are kept, mm: a thousand times finer than a flattened curve."""

MAX_PIECES = 20_000
"""More pieces than this in one request is a mistake in the copies, not a sheet of decals."""

MAX_SHEETS = 200
"""How many sheets an endless supply may open."""

MAX_POINTS = 4_000
"""More points than this in one outline is a picture traced pixel by pixel, not a cut line."""

MAX_LENGTH = 10_000.0
"""No film is longer than this, mm."""

BESIDE = 8
"""Pieces a group may have to be laid side by side; more than these only share a sheet."""

Remnant = Literal["rectangle", "strip"]


class NestingError(FitError):
    """A request that cannot be nested: what is wrong with it, and what to do."""

    def __init__(self, message: str, fix: str = "") -> None:
        super().__init__(message, fix=fix)


@dataclass(frozen=True)
class NestItem:
    """An outline to be placed ``quantity`` times.

    ``turns``: the turns allowed, whole degrees; ``(0,)`` forbids turning. ``priority``: the higher, the later
    it is left out. ``group``: items of one group lie together on one sheet or are all left out; a group of up to
    `BESIDE` pieces, such as a pair, lies side by side where there is room. ``openings``: holes of the outline in
    which other pieces may lie, keeping the gap.
    """

    key: str
    outline: Polygon
    turns: tuple[int, ...] = (0, 90, 180, 270)
    priority: int = 0
    quantity: int = 1
    group: str = ""
    openings: tuple[Polygon, ...] = ()


@dataclass(frozen=True)
class NestRegion:
    """A sheet of ``width`` by ``height`` and where on it an outline may lie.

    ``usable``: the area an outline must stay inside. ``keep_outs``: areas to stay ``keep_out_clearance`` away
    from. ``repeat``: as many such sheets as it takes, up to `MAX_SHEETS`. ``fill``: the side pieces gather
    at; by default left on a wide sheet, bottom on a tall one, so that a strip across the longer side is left
    over.
    """

    key: str
    width: float
    height: float
    usable: Polygon
    keep_outs: tuple[Polygon, ...] = ()
    keep_out_clearance: float = 0.0
    repeat: bool = False
    fill: Side | None = None

    @property
    def side(self) -> Side:
        """The side pieces gather at."""
        if self.fill is not None:
            return self.fill
        return "left" if self.width >= self.height else "bottom"


@dataclass(frozen=True)
class Effort:
    """How long to search, counted in steps so that any machine finds the same: a step is one piece tried in
    place.

    ``trials``: how many improved arrangements to take from the engine that works by separation, where it is
    installed. ``guard``: seconds after which the search ends with the best so far, 0 for none; meant for machines
    too slow for the steps.
    """

    name: str
    steps: int
    trials: int = 0
    guard: float = 0.0

    @property
    def timed(self) -> bool:
        """Whether it has no steps, but goes on until its guard ends it."""
        return self.steps >= ENDLESS and self.guard > 0


ENDLESS = 10**9
"""Steps that no search comes to."""
LONGEST = 3600.0
"""Seconds that may be asked for at most."""

QUICK = Effort("quick", 200, guard=60.0)
NORMAL = Effort("normal", 500, guard=60.0)
THOROUGH = Effort("thorough", 10_000, 230, guard=120.0)
"""About 20 s of one processor for a sheet of the demo: past that the separation hardly gets any further."""
EFFORTS: dict[str, Effort] = {effort.name: effort for effort in (QUICK, NORMAL, THOROUGH)}


def effort_of(words: str) -> Effort | None:
    """The effort of that name, or a time such as '60 s' or '5 min', in which the engines that suit so many pieces go on
    searching; None for words that are neither, or a time under a second or over an hour."""
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(s|min)", words.strip())
    if found is None:
        return EFFORTS.get(words)
    seconds = float(found[1]) * (60 if found[2] == "min" else 1)
    return Effort(f"{seconds:g} s", ENDLESS, ENDLESS, seconds) if 1 <= seconds <= LONGEST else None


@dataclass(frozen=True)
class NestPosition:
    """Where a piece lies: its outline turned by ``turn`` about (0, 0), then moved by ``x``, ``y``.

    ``sheet`` counts the sheets of a nest from 0; ``region`` is the key of the region that sheet is one of.
    """

    item: str
    copy: int
    region: str
    sheet: int
    x: float
    y: float
    turn: int


@dataclass(frozen=True)
class Pin:
    """A piece that has to lie just there, on the ``number``-th sheet (from 0) of that region."""

    item: str
    copy: int
    region: str
    x: float
    y: float
    turn: int = 0
    number: int = 0


@dataclass(frozen=True)
class Request:
    """Items to nest onto regions, taken in the order given.

    ``gap``: the least distance between outlines, mm. ``time_limit``: seconds, only a guard, in place of that of
    the effort: a nest it ends says that it is not complete. ``remnant``: what to keep free, one large rectangle
    or a straight strip. ``engines``: names of the engines allowed, None for all that are installed.
    """

    items: tuple[NestItem, ...]
    regions: tuple[NestRegion, ...]
    gap: float
    seed: int = 1
    effort: Effort = NORMAL
    time_limit: float | None = None
    remnant: Remnant = "rectangle"
    pins: tuple[Pin, ...] = ()
    engines: tuple[str, ...] | None = None


@dataclass(frozen=True)
class LeftOut:
    """Copies of an item that went nowhere. ``needs``: the smallest box the outline takes, over its turns
    allowed; ``largest_free``: the largest free rectangle there was, both width by height in mm."""

    item: str
    copies: tuple[int, ...]
    needs: tuple[float, float]
    largest_free: tuple[float, float]
    reason: str

    def __str__(self) -> str:
        return self.reason


@dataclass(frozen=True)
class SheetUse:
    """One sheet of a nest. ``number`` counts the sheets of the same region from 0.

    ``used_length``: from the side filled to the last piece, mm; ``length``: all there is in that direction.
    ``piece_area``: the outlines' area, mm². ``remnant``: x0, y0, x1, y1 of the largest free rectangle (or the
    strip), the gap to every piece already taken off; None where nothing is left.
    """

    region: str
    number: int
    pieces: int
    used_length: float
    length: float
    piece_area: float
    free_area: float
    remnant: tuple[float, float, float, float] | None


@dataclass(frozen=True)
class Bound:
    """What no arrangement of these pieces can beat, the gap counted in.

    ``sheets``: fewest sheets; ``used_length``: least used length summed over the sheets, mm, where every
    sheet is of one size (0 where they differ). ``fewest_sheets``: the nest is proven to need no fewer.
    ``used`` and ``least``: the film this nest uses and what any uses at least, mm²; used is the film up to the last
    piece where a strip is kept, else all but the largest free rectangle. Both 0 where pieces are left out.
    """

    sheets: int
    used_length: float
    fewest_sheets: bool
    used: float
    least: float

    @property
    def saving(self) -> float:
        """At most so many percent of the film used could still be saved."""
        return 100 * (1 - self.least / self.used) if self.used > 0 else 0.0


@dataclass(frozen=True)
class Progress:
    """How far a nest is; ``positions`` is the best so far, ``remnant`` the area of its free rectangle or strip,
    mm²; ``clock``: the part of the time gone, where a clock ends the nest and not its steps."""

    engine: str
    steps: int
    of_steps: int
    placed: int
    pieces: int
    sheets: int
    used_length: float
    positions: tuple[NestPosition, ...] = field(default=(), repr=False)
    remnant: float = 0.0
    clock: float = 0.0

    @property
    def part(self) -> float:
        """How much of the search is done, 0 to 1."""
        return min(1.0, self.clock or self.steps / max(1, self.of_steps))


Watcher = Callable[[Progress], "bool | None"]
"""Called with each improvement and now and then between; returning False stops the search and keeps the
best."""


@dataclass(frozen=True)
class Nest:
    """An arrangement that has passed the gate.

    ``used``: a sheet each, in order. ``engine``: the one whose arrangement won. ``complete``: False when a clock,
    the user or a lost engine ended the search early, so that it may not come out the same again. ``notes``:
    what went wrong on the way, in words.
    """

    positions: tuple[NestPosition, ...]
    left_out: tuple[LeftOut, ...]
    used: tuple[SheetUse, ...]
    bound: Bound
    engine: str
    steps: int
    complete: bool
    notes: tuple[str, ...] = ()

    @property
    def used_length(self) -> float:
        """Used length summed over the sheets, mm: all of every sheet but the last, and the last one's."""
        return sum(s.length for s in self.used[:-1]) + (self.used[-1].used_length if self.used else 0.0)
