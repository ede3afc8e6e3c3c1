"""Checks found in remains: pitch, rows and columns, how they lie, which ink begins. Pure; mm."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.colours import WHITE, main_colour
from decalgen.scan.light import lab_of
from decalgen.scan.lines import LineFamily, families
from decalgen.scan.remains import (
    SCANNER_OFF,
    FitEdge,
    FoundValue,
    PatternFit,
    Remains,
    covered,
    fit_edge,
    little_left,
    plain_inks,
    spread_of,
    tukey,
    turned,
)

LEAST_PIXELS = 5.0
"""Smaller cells are not read: their edges blur into one another."""
MOST_CELLS = 200
IN_PHASE = 0.85
"""A pitch explains at least this share of what the best explains; the largest that does is it."""
ONLY = 0.93
"""Where so much of what is seen is on every second line of a comb, the others are none."""
DIFFER = 10.0
"""The two inks differ by more (CIE76)."""
SHOWS = 0.06
"""A cell of which this share or more has its ink is there."""
OUTER = 0.35
"""An outer edge of which this share is seen where the pattern says is the pattern's own, not a tear."""
SLIVER = 0.06
"""Where ink shows beyond an outer line over this share of it, that is not the pattern's end."""
NODE_PIXELS = 2.5
WITHIN = 9
"""Places a side at which a cell is looked at."""


@dataclass(frozen=True)
class Comb:
    """Lines at ``start`` + n · ``pitch``, leaning by ``lean`` from the axis; ``u_start`` is that of one line,
    ``u_pitch`` of the pitch; ``count``: how many different lines were seen."""

    start: float
    pitch: float
    lean: float
    u_start: float
    u_pitch: float
    count: int


def fit_checks(remains: Remains, angle: float) -> PatternFit | None:
    """None where there are no checks of two rows and columns or more."""
    upright, level = families(remains, angle, solid=True)
    across_pitch, up_pitch = (_pitch(one, remains) for one in (upright, level))
    if across_pitch is None or up_pitch is None:
        return None
    across, up = _comb(upright, across_pitch, remains), _comb(level, up_pitch, remains)
    if across is None or up is None:
        return None
    across, up = _without_empty(upright, across, remains), _without_empty(level, up, remains)
    # At a corner of a cell its edge turns: once more without what is near one.
    across, up = (
        _comb(_off_nodes(one, other, remains), own.pitch, remains) or own
        for one, own, other in ((upright, across, up), (level, up, across))
    )
    return _on_grid(remains, angle, across, up)


def _pitch(family: LineFamily, remains: Remains) -> float | None:
    """The largest spacing with which the edges are in phase (the periodogram of their places)."""
    if len(family) < 30:
        return None
    low, high = np.percentile(family.across, (1, 99))
    extent = float(high - low)
    least = LEAST_PIXELS * remains.pixel
    if extent < 1.5 * least:
        return None
    step = remains.pixel / 3
    hits = np.bincount(np.floor((family.across - low + extent) / step).clip(0).astype(int)).astype(float)
    where = (np.arange(len(hits)) + 0.5) * step
    where, hits = where[hits > 0], hits[hits > 0]
    waves = np.arange(0.9 / extent, 1 / least, 0.12 / extent)
    strength = np.abs(np.exp(2j * np.pi * waves[:, None] * where[None]) @ hits) / hits.sum()
    best = float(strength.max())
    if best < 0.35:
        return None
    for n, wave in enumerate(waves):
        here = strength[n]
        peak = here >= strength[max(n - 3, 0) : n + 4].max()
        if peak and here >= IN_PHASE * best:
            return float(1 / wave)
    return None


def _off_nodes(family: LineFamily, other: Comb, remains: Remains) -> LineFamily:
    """Without the dots that are near a line of the other family, where that leaves most."""
    phase = (family.along - other.lean * family.across - other.start) / other.pitch
    far = np.abs(phase - np.rint(phase)) * other.pitch > NODE_PIXELS * remains.pixel
    if far.sum() < 0.4 * len(family):
        return family
    return LineFamily(family.across[far], family.along[far], family.thin[far])


def _comb(family: LineFamily, pitch: float, remains: Remains) -> Comb | None:
    """The comb through the edges: place = start + n · pitch + lean · along, by robust least squares."""
    phase = float(np.angle(np.exp(2j * np.pi * family.across / pitch).sum())) / (2 * np.pi)
    start, lean = phase * pitch, 0.0
    middle = float(np.median(family.along))
    keep = np.zeros(len(family), bool)
    for round_ in range(10):
        number = np.rint((family.across - lean * (family.along - middle) - start) / pitch)
        rest = family.across - start - number * pitch - lean * (family.along - middle)
        # A pitch that is a little off leads astray far out, so it is first made good near the middle.
        limit = max(0.22 * pitch * 0.6**round_, remains.near)
        keep = np.abs(rest) < limit
        if keep.sum() < 30 or len(np.unique(number[keep])) < 2:
            return None
        rows = np.column_stack((np.ones(keep.sum()), number[keep], family.along[keep] - middle))
        weight = np.sqrt(tukey(rest[keep], max(spread_of(rest[keep], 0.05 * remains.pixel), limit / 6)))
        found = np.linalg.lstsq(rows * weight[:, None], family.across[keep] * weight, rcond=None)[0]
        start, pitch, lean = (float(one) for one in found)
        if pitch < LEAST_PIXELS * remains.pixel * 0.8:
            return None
    return _with_u(Comb(start - lean * middle, pitch, lean, 0.0, 0.0, 0), number[keep], rest[keep])


def _without_empty(family: LineFamily, comb: Comb, remains: Remains) -> Comb:
    """A comb of which only every second or third line is seen, made coarser."""
    for times in (2, 3):
        place = (family.across - comb.lean * family.along - comb.start) / comb.pitch
        number = np.rint(place)
        on = np.abs(place - number) * comb.pitch < remains.near
        hits = np.bincount(np.mod(number[on], times).astype(int), minlength=times)
        if on.sum() < 30 or hits.max() < ONLY * hits.sum():
            continue
        coarser = _comb(family, times * comb.pitch, remains)
        comb = coarser or comb
    return comb


def _with_u(comb: Comb, number: FloatArray, rest: FloatArray) -> Comb:
    """With the uncertainty from the scatter of whole lines about the comb, never below the scanner's own."""
    numbers = np.unique(number)
    means = np.array([float(np.mean(rest[number == one])) for one in numbers])
    scatter = SCANNER_OFF
    if len(numbers) > 3:
        scatter = math.hypot(SCANNER_OFF, float(np.sqrt((means**2).sum() / (len(numbers) - 2))))
    reach = float(((numbers - numbers.mean()) ** 2).sum())
    return Comb(comb.start, comb.pitch, comb.lean, scatter, scatter / math.sqrt(max(reach, 0.5)), len(numbers))


@dataclass(frozen=True)
class _CheckCells:
    """Cells numbered from ``first`` (column, row): which share of each has its ink, 0 for those whose ink is not
    telling."""

    first: tuple[int, int]
    shows: FloatArray
    inks: tuple[FloatArray, FloatArray]
    """Of cells whose column and row, from `first`, add up to an even number, then of the others."""


def _on_grid(remains: Remains, angle: float, across: Comb, up: Comb) -> PatternFit | None:
    grid = _CheckGrid(remains, angle, across, up)
    cells = grid.cells()
    if cells is None:
        return None
    there = cells.shows >= SHOWS
    used = [np.nonzero(there.any(axis=axis))[0] for axis in (0, 1)]
    if not len(used[0]) or not len(used[1]):
        return None
    left, right = int(used[0][0]), int(used[0][-1]) + 1
    low, high = int(used[1][0]), int(used[1][-1]) + 1
    columns, rows = right - left, high - low
    if columns < 2 or rows < 2:
        return None
    sides = [
        grid.outer(cells, there, 0, left, (low, high), -1),
        grid.outer(cells, there, 0, right, (low, high), 1),
        grid.outer(cells, there, 1, low, (left, right), -1),
        grid.outer(cells, there, 1, high, (left, right), 1),
    ]
    return _told(grid, cells, (left, right, low, high), sides)


class _CheckGrid:
    """Two combs as a grid over remains."""

    def __init__(self, remains: Remains, angle: float, across: Comb, up: Comb) -> None:
        self.remains, self.angle, self.combs = remains, angle, (across, up)
        # Nodes: u = a + i p + lean v, v = b + j q + lean' u.
        self.matrix = np.linalg.inv(np.array([[1.0, -across.lean], [-up.lean, 1.0]]))
        places = turned(remains.at, angle)
        self.number = np.column_stack(
            (
                (places[:, 0] - across.lean * places[:, 1] - across.start) / across.pitch,
                (places[:, 1] - up.lean * places[:, 0] - up.start) / up.pitch,
            )
        )
        normal = np.abs(turned(remains.normal, angle))
        self.ways = (normal[:, 0] > 0.94, normal[:, 1] > 0.94)

    def places(self, numbers: FloatArray) -> FloatArray:
        """Of grid numbers (columns, rows), along the last axis, in mm."""
        across, up = self.combs
        raw = np.stack((across.start + numbers[..., 0] * across.pitch, up.start + numbers[..., 1] * up.pitch), axis=-1)
        return turned(raw.reshape(-1, 2) @ self.matrix.T, -self.angle).reshape(numbers.shape)

    def cells(self) -> _CheckCells | None:
        low = np.floor(np.percentile(self.number, 1, axis=0)).astype(int) - 2
        high = np.ceil(np.percentile(self.number, 99, axis=0)).astype(int) + 2
        count = high - low
        if count.max() > MOST_CELLS:
            return None
        rim = [min(0.3, 1.5 * self.remains.pixel / comb.pitch) for comb in self.combs]
        spots = [np.linspace(edge, 1 - edge, WITHIN) for edge in rim]
        inner = np.stack(np.meshgrid(*spots, indexing="ij"), axis=-1).reshape(-1, 2)
        corners = np.stack(np.meshgrid(*(np.arange(a, b) for a, b in zip(low, high, strict=True)), indexing="ij"), -1)
        light = self.remains.light_at(self.places(corners[:, :, None, :] + inner))
        lab = lab_of(light)
        odd = (np.add.outer(np.arange(count[0]), np.arange(count[1])) % 2).astype(bool)
        # What lies beside the remains, such as the card, is no cell.
        held = self.remains.holds(self.places(corners + 0.5))
        inks = self._inks(light, lab, odd, held)
        if inks is None:
            return None
        # Each looked-at place is of what it looks most like: an ink, the ground, torn paper.
        known = np.stack([lab_of(one) for one in (*inks, self.remains.ground, WHITE)])
        off = np.linalg.norm(lab[..., None, :] - known, axis=-1)
        has = off.argmin(axis=-1) == odd[:, :, None].astype(int)
        has &= held[:, :, None]
        telling = (self.remains.is_telling(inks[0]), self.remains.is_telling(inks[1]))
        if not any(telling):
            telling = (True, True)
        shows = has.mean(axis=2) * np.where(odd, telling[1], telling[0])
        return _CheckCells((int(low[0]), int(low[1])), shows.T, inks)

    def _inks(
        self, light: FloatArray, lab: FloatArray, odd: NDArray[np.bool_], held: NDArray[np.bool_]
    ) -> tuple[FloatArray, FloatArray] | None:
        """The two inks: of each kind of cell, the colour most of its even cells share that are unlike the ground."""
        middles, even = np.median(light, axis=2), np.percentile(lab, 80, axis=2) - np.percentile(lab, 20, axis=2)
        calm = held & (np.linalg.norm(even, axis=-1) < 12)
        seen = np.linalg.norm(lab_of(middles) - lab_of(self.remains.ground), axis=-1) > 4
        found = []
        for kind in (~odd, odd):
            ink = main_colour(middles[kind & calm & seen])
            # Pale cells on a pale ground are not seen by themselves.
            found.append(self.remains.ground if ink is None else ink)
        if float(np.linalg.norm(lab_of(found[0]) - lab_of(found[1]))) < DIFFER:
            return None
        return found[0], found[1]

    def seen_on(self, axis: int, line: int) -> FloatArray:
        """Grid numbers along a line of the dots that are on it."""
        off = np.abs(self.number[:, axis] - line) * self.combs[axis].pitch
        return np.asarray(self.number[self.ways[axis] & (off < self.remains.near), 1 - axis], float)

    def explained(
        self, first: tuple[int, int], box: tuple[int, int, int, int]
    ) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Which dots are on edges of the cells in a box, and which lie inside it."""
        low, high = np.array(box[::2]) + first, np.array(box[1::2]) + first
        rim = [self.remains.near / comb.pitch for comb in self.combs]
        within = ((self.number > low - rim) & (self.number < high + rim)).T
        line = np.abs(self.number - np.rint(self.number)) < rim
        on = (self.ways[0] & line[:, 0]) | (self.ways[1] & line[:, 1])
        return on & within[0] & within[1], within[0] & within[1]

    def outer(
        self, cells: _CheckCells, there: NDArray[np.bool_], axis: int, line: int, along: tuple[int, int], way: int
    ) -> bool:
        """Whether an outer line, numbered from the first cell, is the pattern's own edge."""
        inside = line if way < 0 else line - 1
        column = there[:, inside] if axis == 0 else there[inside, :]
        pitch = self.combs[1 - axis].pitch
        rim, step = min(0.25, 2 * self.remains.pixel / pitch), 1.5 * self.remains.pixel / pitch
        seen = self.seen_on(axis, cells.first[axis] + line)
        hits, whole = 0.0, 0
        for cell in range(*along):
            if not column[cell]:
                continue
            start = cells.first[1 - axis] + cell
            hits += float(covered(seen, start + rim, start + 1 - rim, step).mean())
            whole += 1
        seen_enough = whole > 0 and hits / whole >= OUTER and hits > min(0.5, 0.4 * whole)
        return seen_enough and not self._ink_beyond(
            axis, cells.first[axis] + line, way, self._along(cells, axis, along)
        )

    def _along(self, cells: _CheckCells, axis: int, along: tuple[int, int]) -> FloatArray:
        """Grid numbers at places along a line, without the corners of cells."""
        start = cells.first[1 - axis]
        return np.add.outer(np.arange(*along) + start, np.linspace(0.15, 0.85, 15)).reshape(-1)

    def _ink_beyond(self, axis: int, line: int, way: int, along: FloatArray) -> bool:
        """Whether ink shows beyond a line: a pale sliver of another cell."""
        across = line + way * np.array([3.0, 4.5]) * self.remains.pixel / self.combs[axis].pitch
        both = np.stack(np.meshgrid(across, along, indexing="ij"), axis=-1)
        ink = self.remains.shows_ink(self.places(both if axis == 0 else both[..., ::-1]))
        return float(ink.all(axis=0).mean()) > SLIVER


def _told(grid: _CheckGrid, cells: _CheckCells, box: tuple[int, int, int, int], sides: list[bool]) -> PatternFit:
    left, right, low, high = box
    columns, rows = right - left, high - low
    edges, seen, whole = _edges(grid, cells.first, box)
    across, up = grid.combs
    relative = (grid.remains.scale.across, grid.remains.scale.up)
    share = [seen[n] / max(whole[n], 1e-9) for n in (0, 1)]
    values = []
    for name, comb, part, off in zip(("cell width", "cell height"), grid.combs, share, relative, strict=True):
        doubt = _doubt(part, comb.count)
        values.append(FoundValue(name, comb.pitch, math.hypot(comb.u_pitch, off * comb.pitch), part, "mm", doubt))
    size = (columns * across.pitch, rows * up.pitch)
    for n, (name, count, length) in enumerate((("columns", columns, "width"), ("rows", rows, "height"))):
        least = not (sides[2 * n] and sides[2 * n + 1])
        values.append(FoundValue(name, count, 0.0, share[n], "", "", least))
        u = math.hypot(count * grid.combs[n].u_pitch, relative[n] * size[n])
        values.append(FoundValue(length, size[n], u, share[n], "mm", values[n].doubt, least))
    lean = math.degrees(grid.angle + (up.lean - across.lean) / 2)
    angle_u = math.degrees(across.u_start / max(size[1], 0.1) + up.u_start / max(size[0], 0.1)) / 2
    values.append(FoundValue("angle", lean, max(angle_u, 0.01), min(share), "\N{DEGREE SIGN}"))
    # The first ink of the shape is that of the upper left cell.
    begins = (left + high - 1) % 2
    inks = (cells.inks[begins], cells.inks[1 - begins])
    on, inside = grid.explained(cells.first, box)
    score = grid.remains.score(on, inside, (sum(seen), sum(whole)))
    return PatternFit("checks", tuple(values), plain_inks(inks), (0, 1), score, edges=edges)


def _doubt(share: float, lines: int) -> str:
    return little_left(share) or ("only two of its edges are seen" if lines < 3 else "")


def _edges(
    grid: _CheckGrid, first: tuple[int, int], box: tuple[int, int, int, int]
) -> tuple[tuple[FitEdge, ...], list[float], list[float]]:
    """All edges of the cells, with how much of them is there, and the whole length."""
    left, right, low, high = box
    found, seen, whole = [], [0.0, 0.0], [0.0, 0.0]
    for axis, lines, cells in ((0, (left, right), (low, high)), (1, (low, high), (left, right))):
        pitch = grid.combs[1 - axis].pitch
        for line in range(lines[0], lines[1] + 1):
            at = first[axis] + line
            on_line = grid.seen_on(axis, at)
            for cell in range(*cells):
                start = first[1 - axis] + cell
                on = on_line[(on_line > start) & (on_line < start + 1)]
                there = covered(on, start, start + 1, 1.5 * grid.remains.pixel / pitch)
                seen[axis] += float(there.mean()) * pitch
                whole[axis] += pitch
                ends = np.array([(at, start), (at, start + 1)], float)
                found.append(fit_edge(grid.places(ends if axis == 0 else ends[:, ::-1]), there))
    return tuple(found), seen, whole
