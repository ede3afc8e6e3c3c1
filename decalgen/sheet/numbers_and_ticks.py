"""The number of each piece on a sheet and its cutting ticks, in the waste. Pure; mm.

Every piece has its number: beside it; where there is no room, away with a leader; where there is none for that either,
ticks get shorter, then those give way that have another near in line with them, then a longer leader is drawn, then
a bent one, and at last any tick gives way. A piece that finds no room even then is seated before all others in a second
round. A number left out even so is an error, a tick left out a note.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box

from decalgen.core import style
from decalgen.core.document import Fill, Line
from decalgen.core.errors import Finding
from decalgen.core.geometry import Bounds, region, transform, translation
from decalgen.core.values import dataclass
from decalgen.sheet.bent_leaders import WasteRaster
from decalgen.sheet.label_places import APART, BESIDE, LOOSE, OFF, PlacedLabels, places
from decalgen.sheet.labels import Label, labels_of, nose_of
from decalgen.sheet.leaders import CLOSE, FAR, HALF, Drawn, Led, lead
from decalgen.sheet.pieces import Placed
from decalgen.sheet.ticks import LENGTHS, Ticks, given_way, shorter, spare, ticks
from decalgen.sheet.waste import CLEAR, BoolArray, Waste

BETWEEN = np.array([CLEAR - BESIDE, CLEAR - APART, BESIDE - CLEAR, APART - CLEAR])
"""Labels keep so much farther from one another than from all else, mm, by the sides of their boxes."""
SHY = BESIDE - CLEAR
"""So much farther labels keep beside words and marks, mm, where there is other room: as far as beside one another."""
OFF_BLANK = 1.0 - CLEAR
"""Labels keep 1 mm off film that is worth keeping, where there is other room, and their own distance of that."""
NEAR_BLANK = tuple(reach for reach in FAR if reach <= 16.0)
"""Leaders longer than these, mm, are drawn only once such film is written on as well."""
READ_AS_ONE = 0.4
"""An upright tick so close beside a number, mm, may be read as a 1: avoided where there is another place."""


@dataclass(frozen=True)
class Dressed:
    """What is printed beside the pieces, and a finding for each number whose piece has not all of it. ``labels``: one
    a piece, in order; ``bare``: which pieces, by their place in the row, have none."""

    labels: tuple[Fill, ...]
    leaders: tuple[Line, ...]
    ticks: tuple[Line, ...]
    bare: tuple[int, ...]
    findings: tuple[Finding, ...]


def dress(
    placed: Sequence[Placed],
    texts: Sequence[str],
    area: Polygon,
    gone: Sequence[Polygon],
    keep_outs: Sequence[Polygon],
    blank: Bounds | None = None,
) -> Dressed:
    """What each piece gets in the waste of ``area``, clear of ``gone`` film and of furniture (``keep_outs``).

    ``texts``: what each piece is called on the sheet, letters and then digits; ``blank``: film that is worth keeping,
    which is written on only where there is no other room.
    """
    waste = Waste([one.outer for one in placed], area, [*gone, *keep_outs])
    labels = [labels_of(text, nose_of(one)) for text, one in zip(texts, placed, strict=True)]
    wanted = ticks(placed, waste)
    raster = WasteRaster(waste)
    shy = [box(one[0] - SHY, one[1], one[2] + SHY, one[3]) for one in (each.bounds for each in keep_outs)]
    work = _Dressing(waste, raster, labels, wanted, (blank, shy))
    work.run()
    if work.todo:
        # What found no room is seated before all others, once.
        again = _Dressing(waste, raster, labels, wanted, (blank, shy))
        again.run(work.todo)
        work = min(work, again, key=lambda one: len(one.todo))
    fills = {n: _fill(labels[n][kind], corner[0], corner[1]) for n, (corner, kind) in work.done.items()}
    bare = tuple(n for n in range(len(placed)) if n not in fills)
    return Dressed(
        tuple(fills[n] for n in sorted(fills)),
        tuple(_leader(work.led[n]) for n in sorted(work.led)),
        work.ticks.drawn(),
        bare,
        (*_without_number(placed, texts, bare), *_without_ticks(placed, texts, work.ticks, wanted)),
    )


class _Dressing:
    """A sheet being dressed. ``off``: film that is worth keeping, and what else is written on only where there is no
    other room; ``done``: the box and the kind of label of each piece; ``led``: those with a leader."""

    def __init__(
        self,
        waste: Waste,
        raster: WasteRaster,
        labels: Sequence[Sequence[Label]],
        found: Ticks,
        off: tuple[Bounds | None, Sequence[Polygon]],
    ) -> None:
        self.waste, self.labels, self.ticks = waste, labels, found
        self._raster = raster
        blank, shy = off
        kept = [] if blank is None else [box(*blank).buffer(OFF_BLANK)]
        if kept:
            self.ticks = shorter(found, kept[0])
        self._off = np.array([*kept, *shy], dtype=object)
        self.done: dict[int, tuple[tuple[float, ...], int]] = {}
        self.led: dict[int, Led] = {}
        self._taken: list[Polygon] = []
        self._asked: Sequence[int] = range(len(labels))

    def run(self, first: Sequence[int] = ()) -> None:
        """Seats the numbers of all pieces; those asked for ``first`` before any other."""
        for asked in (first, range(len(self.labels))):
            self._asked = asked
            if self.todo:
                self._seat()

    def _seat(self) -> None:
        """Every stage, for the pieces that the one before left without a number."""
        first = [(self._off, NEAR_BLANK)] if len(self._off) else []
        for off, far in (*first, (np.array([], dtype=object), FAR)):
            self._stages(off, far)
        if self.todo:
            every: BoolArray = np.ones(len(self.ticks.own), dtype=bool)
            self._beside(self.ticks.areas(but=every))
            self._away(self.ticks.areas(but=every), (*CLOSE, *FAR))
            self._round(self.ticks.areas(but=every))

    def _stages(self, off: NDArray[np.object_], far: Sequence[float]) -> None:
        """Every stage clear of what lies ``off`` limits; ``far``: how long the longest leaders may be."""
        steps: tuple[Callable[[], None], ...] = (
            lambda: self._beside(np.concatenate([self.ticks.areas(beside=READ_AS_ONE), off])),
            lambda: self._beside(np.concatenate([self.ticks.areas(), off])),
            lambda: self._beside(np.concatenate([self.ticks.areas(), off]), LOOSE),
            lambda: self._beside(np.concatenate([self.ticks.areas(LENGTHS[-1]), off])),
            lambda: self._away(np.concatenate([self.ticks.areas(LENGTHS[-1]), off]), CLOSE),
            lambda: self._beside(np.concatenate([self._spared(), off])),
            lambda: self._away(np.concatenate([self._spared(), off]), CLOSE),
            lambda: self._away(np.concatenate([self._spared(), off]), (*CLOSE, *far)),
            lambda: self._round(np.concatenate([self._spared(), off])),
        )
        for step in steps:
            if not self.todo:
                return
            step()

    def _spared(self) -> NDArray[np.object_]:
        """The ticks that may not give way, as short as may be."""
        return self.ticks.areas(LENGTHS[-1], spare(self.ticks))

    @property
    def todo(self) -> list[int]:
        """The pieces asked for that have no number yet."""
        return [n for n in self._asked if n not in self.done]

    def _beside(self, marks: NDArray[np.object_], offs: Sequence[float] = (OFF,)) -> None:
        """Labels beside their pieces, clear of ``marks``; ticks that are not among these give way."""
        around = np.concatenate([marks, np.array(self._taken, dtype=object)])
        found = places(self.waste, around, self.labels, self.todo, offs)
        for piece, row in PlacedLabels(found).make().items():
            self._put(piece, found.boxes[row], int(found.kind[row]))
        self._settle()

    def _away(self, marks: NDArray[np.object_], reaches: Sequence[float]) -> None:
        """Labels with straight leaders of the lengths asked for, one after the other."""
        drawn = Drawn(np.concatenate([marks, np.array(self._taken, dtype=object)]))
        self._lead(lambda piece: lead(self.waste, drawn, self.labels[piece], piece, reaches), drawn.add)

    def _round(self, marks: NDArray[np.object_]) -> None:
        """Labels with bent leaders, one after the other."""
        bent = self._raster.among(Drawn(np.concatenate([marks, np.array(self._taken, dtype=object)])))
        self._lead(lambda piece: bent.lead(self.labels[piece], piece), bent.add)

    def _lead(self, find: Callable[[int], Led | None], add: Callable[[NDArray[np.object_]], None]) -> None:
        """Labels with the leaders that are found; what is drawn is added before the next is looked for."""
        for piece in self.todo:
            found = find(piece)
            if found is None:
                continue
            before = len(self._taken)
            self._put(piece, found.box, found.kind)
            self._taken.append(shapely.LineString(found.line).buffer(HALF, cap_style="flat"))
            self.led[piece] = found
            add(np.array(self._taken[before:], dtype=object))
        self._settle()

    def _put(self, piece: int, box: NDArray[np.float64], kind: int) -> None:
        self.done[piece] = (tuple(float(value) for value in box), kind)
        self._taken.append(shapely.box(*(box + BETWEEN)))

    def _settle(self) -> None:
        boxes = np.array([box for box, _ in self.done.values()]).reshape(-1, 4)
        lines = [shapely.LineString(one.line).buffer(HALF, cap_style="flat") for one in self.led.values()]
        self.ticks = given_way(self.ticks, np.concatenate([shapely.box(*boxes.T), np.array(lines, dtype=object)]))


def _fill(label: Label, x: float, y: float) -> Fill:
    return Fill(region(transform(label.region, translation(x, y))), style.TEXT)


def _leader(one: Led) -> Line:
    return Line(tuple((float(x), float(y)) for x, y in one.line), 2 * HALF, style.TEXT)


def _without_number(placed: Sequence[Placed], texts: Sequence[str], bare: Sequence[int]) -> list[Finding]:
    """One finding a number, with how many of its pieces are without it."""
    findings = []
    for text in dict.fromkeys(texts[n] for n in bare):
        pieces = [n for n in bare if texts[n] == text]
        of = list(texts).count(text)
        some = f" on {len(pieces)} of {of} pieces" if of > 1 else ""
        findings.append(
            Finding(
                "error",
                "no-room-for-number",
                placed[pieces[0]].piece.artwork.name,
                f"no room on the film for its number {text}{some}, neither beside it nor with a line to it",
                "nest with a larger `--gap`, or give a larger or another sheet with `--film`",
            )
        )
    return findings


def _without_ticks(placed: Sequence[Placed], texts: Sequence[str], found: Ticks, wanted: Ticks) -> list[Finding]:
    """One note a number, with how many ticks its pieces lack."""
    lost: dict[str, list[int]] = {}
    for n in found.own[found.lengths == 0]:
        lost.setdefault(texts[n], []).append(int(n))
    findings = []
    for text, pieces in lost.items():
        every = int(np.isin(found.own, [n for n, one in enumerate(texts) if one == text]).sum())
        findings.append(
            Finding(
                "note",
                "tick-left-out",
                placed[pieces[0]].piece.artwork.name,
                f"no room on the film for {len(pieces)} of {every} cutting ticks of number {text}",
                "lay the rule to the tick at the other end; between pieces a larger `--gap` makes room",
            )
        )
    return findings
