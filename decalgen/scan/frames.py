"""The rectangle that a pattern fills, found by where ink begins and ends and by the straight edges there. Pure; mm,
radians."""

from __future__ import annotations

import math

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.lines import FoundLine, LineFamily, families, is_ragged, lines_of, main_directions, outermost_line
from decalgen.scan.outlines import middle_of
from decalgen.scan.remains import Remains, turned

STEP_PIXELS = 1.5
RIM_MM = 0.8
"""How far beyond the edges ink is looked for."""
NEAR_END = (0.3, 6.0)
"""A side lies within so many mm, or pixels, of where ink ends."""
LEAST_PIXELS = 8.0
CLEAR = 0.25
"""An edge of which this share is seen needs no ink to tell where the pattern ends."""
BEYOND = 0.15
"""Where ink shows beyond a side over this share of it, that is not the end of the pattern."""
LEAST_SIDE_PIXELS = 12.0
OUTER_DOTS = 3000
BEYOND_MM = (0.5, 1.2, 2.0, 3.0, 4.0)
"""An edge beyond which no ink shows at these distances is an outer one."""
OUTER_DIRECTIONS = 2
MOST_FRAMES = 3
SAME_TURN = math.radians(3)


@dataclass(frozen=True)
class PatternFrame:
    """The rectangle that a pattern fills, in axes turned by ``turn`` about the middle of the dots: left, right, foot,
    head, and which of them were found."""

    turn: float
    box: tuple[float, float, float, float]
    sure: tuple[bool, bool, bool, bool]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height."""
        return self.box[1] - self.box[0], self.box[3] - self.box[2]


def frames_in(remains: Remains) -> list[PatternFrame]:
    """The frames that may be, the likeliest first: along the edges with nothing beyond them, then along all."""
    dots = np.nonzero(remains.solid)[0]
    if not len(dots):
        return []
    dots = dots[np.linspace(0, len(dots) - 1, min(OUTER_DOTS, len(dots))).astype(int)]
    at, normal = remains.at[dots], remains.normal[dots]
    far = np.array(BEYOND_MM)[:, None, None]
    bare = [~remains.shows_ink(at + side * far * normal).any(axis=0) for side in (1.0, -1.0)]
    outer = np.zeros(len(remains.at), bool)
    outer[dots] = bare[0] | bare[1]
    turns = main_directions(remains, outer)[:OUTER_DIRECTIONS]
    turns += [one for one in main_directions(remains) if all(abs(one - two) > SAME_TURN for two in turns)]
    found = (frame_of(remains, turn) for turn in turns[:MOST_FRAMES])
    return [one for one in found if one is not None]


def frame_of(remains: Remains, turn: float) -> PatternFrame | None:
    """The frame whose sides run that way, None where no ink shows."""
    both = families(remains, turn)
    ends = _ink_ends(remains, turn)
    if ends is None:
        return None
    middle = turned(middle_of(remains)[None], turn)[0]
    box, sure = [], []
    for axis in (0, 1):
        other = ends[1 - axis]
        lines = lines_of(both[axis], remains, LEAST_PIXELS * remains.pixel)
        for end, way in zip(ends[axis], (-1, 1), strict=True):
            line = _side(remains, both[axis], lines, (end, way, other[1] - other[0]), (turn, axis))
            box.append((end if line is None else line.place) - middle[axis])
            sure.append(line is not None)
    frame = PatternFrame(turn, (box[0], box[1], box[2], box[3]), (sure[0], sure[1], sure[2], sure[3]))
    return frame if min(frame.size) > LEAST_SIDE_PIXELS * remains.pixel else None


def _ink_ends(remains: Remains, turn: float) -> list[tuple[float, float]] | None:
    """From where to where ink shows, across and up, in turned axes."""
    places = turned(remains.at, turn)
    step = STEP_PIXELS * remains.pixel
    axes = [np.arange(*_span(places[:, n]), step) for n in (0, 1)]
    if min(map(len, axes)) < 4:
        return None
    spots = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    ink = remains.shows_ink(turned(spots.reshape(-1, 2), -turn).reshape(spots.shape))
    ends = []
    for axis in (0, 1):
        line = ink if axis == 0 else ink.T
        # One or two alone are noise, or a hair.
        rows = np.nonzero((line[:, :-2] & line[:, 1:-1] & line[:, 2:]).any(axis=1))[0]
        if not len(rows):
            return None
        ends.append((float(axes[axis][rows[0]]), float(axes[axis][rows[-1]])))
    return ends


def _span(places: FloatArray) -> tuple[float, float]:
    low, high = np.percentile(places, (0.5, 99.5))
    return float(low) - RIM_MM, float(high) + RIM_MM


def _side(
    remains: Remains,
    family: LineFamily,
    lines: list[FoundLine],
    ends: tuple[float, int, float],
    lies: tuple[float, int],
) -> FoundLine | None:
    """The outermost edge of which enough is seen and beyond which no ink shows, else a short straight run where ink
    ends. ``ends``: where ink ends, which way that is, how long a side would be; ``lies``: the turn of the axes, and
    which is across the side. Noise may show as ink beyond a side, so edges count for more."""
    end, way, long = ends
    near = max(NEAR_END[0], NEAR_END[1] * remains.pixel)
    for one in sorted(lines, key=lambda line: -way * line.place):
        clear = one.seen >= CLEAR * long or abs(one.place - end) < near
        if clear and not is_ragged(one, long) and not _ink_beyond(remains, one, way, lies):
            return one
        if one.seen >= CLEAR * long and _ink_beyond(remains, one, way, lies):
            break
    run = outermost_line(family, end, remains)
    return None if run is None or _ink_beyond(remains, run, way, lies) else run


def _ink_beyond(remains: Remains, line: FoundLine, way: int, lies: tuple[float, int]) -> bool:
    turn, axis = lies
    along = np.linspace(line.low, line.high, 200)
    across = line.place + way * remains.pixel * np.array([3.5, 5.0])
    both = np.stack(np.meshgrid(across, along, indexing="ij"), axis=-1)
    both = both if axis == 0 else both[..., ::-1]
    ink = remains.shows_ink(turned(both.reshape(-1, 2), -turn).reshape(both.shape))
    return float(ink.all(axis=0).mean()) > BEYOND
