"""Filling sheets in a given order of pieces, with snapshots to start again from part of the way."""

from __future__ import annotations

from dataclasses import field

from decalgen.core.values import dataclass
from decalgen.nesting.fill import SheetState, hull, moved_box, span
from decalgen.nesting.frame import (
    NestPiece,
    TurnedShape,
    frame_of,
    pieces_of,
    pins_by_sheet,
    shape_of,
    shapes_of,
    sheets_of,
)
from decalgen.nesting.model import BESIDE, NestPosition, Request
from decalgen.nesting.nofit import Catalogue, GridBounds, Ground, Solid

SNAPSHOTS = 24
"""How many states are kept along an order."""


@dataclass(frozen=True)
class Put:
    """A piece in place, in units. ``sheet`` is the place in the list of all sheets there are."""

    piece: NestPiece
    sheet: int
    solid: Solid
    x: int
    y: int

    @property
    def end(self) -> int:
        return self.x + self.solid.box[2]


@dataclass(eq=False)
class FillState:
    """Sheets part filled along an order: ``done`` pieces of it are placed or refused."""

    sheets: dict[int, SheetState] = field(default_factory=dict)
    puts: list[Put] = field(default_factory=list)
    left: list[NestPiece] = field(default_factory=list)
    refused: set[tuple[int, int]] = field(default_factory=set)
    done: int = 0

    def copy(self) -> FillState:
        """The same state, to go on from."""
        sheets = {k: s.copy() for k, s in self.sheets.items()}
        return FillState(sheets, self.puts.copy(), self.left.copy(), self.refused.copy(), self.done)


Gene = tuple[NestPiece, int]
"""A piece and the turn it must take, counted among its shapes, or -1 for whichever ends first."""


class Filler:
    """A request made ready for filling."""

    def __init__(self, request: Request, slack: int = 0) -> None:
        self.request = request
        self.frames = [frame_of(region, i) for i, region in enumerate(request.regions)]
        self.pieces = pieces_of(request)
        self.sheets = sheets_of(request, len(self.pieces))
        self.catalogue = Catalogue(request.gap, slack)
        self.units = self.catalogue.units
        self._grounds: dict[int, Ground] = {}
        self._solids: dict[tuple[int, int], list[Solid]] = {}
        self._by_turn: dict[tuple[int, int], Solid] = {}
        self._pins = pins_by_sheet(request, self.sheets)
        self._pinned = {(pin.item, pin.copy) for pin in request.pins}
        self._index = {item.key: i for i, item in enumerate(request.items)}
        self.free_pieces = [p for p in self.pieces if (request.items[p.item].key, p.copy) not in self._pinned]

    def solids(self, item: int, region: int) -> list[Solid]:
        """The solids of an item on a region."""
        key = (item, self.frames[region].turn)
        if key not in self._solids:
            shapes = shapes_of(self.request.items[item], self.frames[region])
            self._solids[key] = [self._solid(item, shape) for shape in shapes]
        return self._solids[key]

    def _solid(self, item: int, shape: TurnedShape) -> Solid:
        key = (item, shape.turn)
        if key not in self._by_turn:
            self._by_turn[key] = self.catalogue.add(shape)
        return self._by_turn[key]

    def sheet(self, place: int) -> SheetState:
        """A sheet with its pinned pieces on it."""
        index = self.sheets[place]
        if index not in self._grounds:
            self._grounds[index] = Ground(self.frames[index], self.catalogue)
        state = SheetState(self._grounds[index], self.catalogue)
        for pin in self._pins.get(place, []):
            x, y, turn = self.frames[index].into(pin.x, pin.y, pin.turn)
            item = self._index[pin.item]
            solid = self._solid(item, shape_of(self.request.items[item], turn))
            state.place(solid, round(x * self.units), round(y * self.units))
        return state

    def start(self) -> FillState:
        """Nothing placed but the pins."""
        return FillState({place: self.sheet(place) for place in self._pins})

    def go(
        self, run: FillState, order: list[Gene], snapshots: dict[int, FillState] | None = None, limit: int | None = None
    ) -> bool:
        """Go on along an order to its end, keeping snapshots on the way.

        ``limit``: give up when the only sheet would be used past it. Returns whether the end was reached.
        """
        every = max(1, len(order) // SNAPSHOTS)
        items = self.request.items
        while run.done < len(order):
            if snapshots is not None and run.done % every == 0 and run.done not in snapshots:
                snapshots[run.done] = run.copy()
            piece, turn = order[run.done]
            group = items[piece.item].group
            if group:
                members = [g for g in order[run.done :] if items[g[0].item].group == group]
                # A group stands together in every order, see `search`.
                self._put_group(run, members)
                run.done += len(members)
            else:
                put = self._put(run, piece, turn)
                run.done += 1
                if put is None:
                    run.left.append(piece)
                elif limit is not None and put.end > limit:
                    return False
        return True

    def _put(
        self, run: FillState, piece: NestPiece, turn: int, only: int | None = None, beside: GridBounds | None = None
    ) -> Put | None:
        """Put a piece down, on the sheet ``only`` if given; near the box ``beside``, or else as far left as it goes."""
        places = range(len(self.sheets)) if only is None else (only,)
        untouched: set[int] = set()
        for place in places:
            if (piece.item, place) in run.refused:
                continue
            index = self.sheets[place]
            state = run.sheets.get(place)
            if state is None:
                if index in untouched:
                    continue
                state = self.sheet(place)
            best = None
            solids = self.solids(piece.item, index)
            chosen = solids if turn < 0 else [solids[turn % len(solids)]]
            for solid in chosen:
                found = state.find(solid) if beside is None else state.beside(solid, beside)
                if found is not None:
                    x, y = found
                    cost = (x + solid.box[2], y + solid.box[3], x, y)
                    if beside is not None:
                        cost = (span(beside, moved_box(solid.box, x, y)), *cost[:3])
                    if best is None or cost < best[0]:
                        best = (cost, solid, x, y)
            if best is not None:
                _, solid, x, y = best
                state.place(solid, x, y)
                run.sheets[place] = state
                put = Put(piece, place, solid, x, y)
                run.puts.append(put)
                return put
            if place not in run.sheets:
                untouched.add(index)
            if turn < 0:
                run.refused.add((piece.item, place))
        if turn >= 0:
            return self._put(run, piece, -1, only, beside)
        return None

    def _put_group(self, run: FillState, members: list[Gene]) -> None:
        """A whole group onto the first sheet that holds it, or nowhere."""
        group = self.request.items[members[0][0].item].group
        home = [
            place
            for place, pins in self._pins.items()
            if any(self.request.items[self._index[p.item]].group == group for p in pins)
        ]
        for place in home or range(len(self.sheets)):
            if place not in run.sheets and self._same_untouched(run, place):
                continue
            trial = run.copy()
            if self._together(trial, members, place):
                run.sheets, run.puts, run.refused = trial.sheets, trial.puts, trial.refused
                return
        run.left += [piece for piece, _ in members]

    def _together(self, run: FillState, members: list[Gene], place: int) -> bool:
        """A group onto one sheet, a small one side by side; whether all of it went there."""
        near = self._pinned_box(place, self.request.items[members[0][0].item].group)
        close = len(members) <= BESIDE
        for piece, turn in members:
            put = self._put(run, piece, turn, place, near if close else None)
            if put is None:
                return False
            box = moved_box(put.solid.box, put.x, put.y)
            near = box if near is None else hull(near, box)
        return True

    def _pinned_box(self, place: int, group: str) -> GridBounds | None:
        """The box round the pinned pieces of a group."""
        box: GridBounds | None = None
        for pin in self._pins.get(place, []):
            item = self.request.items[self._index[pin.item]]
            if item.group == group:
                x, y, turn = self.frames[self.sheets[place]].into(pin.x, pin.y, pin.turn)
                solid = self._solid(self._index[pin.item], shape_of(item, turn))
                here = moved_box(solid.box, round(x * self.units), round(y * self.units))
                box = here if box is None else hull(box, here)
        return box

    def _same_untouched(self, run: FillState, place: int) -> bool:
        """Whether an earlier sheet of the same region is just as empty."""
        return any(
            self.sheets[p] == self.sheets[place] and p not in run.sheets and p not in self._pins for p in range(place)
        )

    def positions(self, run: FillState) -> list[NestPosition]:
        """The positions of a run on the regions themselves, sheets counted as they are used."""
        used = sorted({put.sheet for put in run.puts} | set(self._pins))
        number = {place: i for i, place in enumerate(used)}
        positions = []
        for place, pins in self._pins.items():
            positions += [NestPosition(p.item, p.copy, p.region, number[place], p.x, p.y, p.turn) for p in pins]
        for put in run.puts:
            frame = self.frames[self.sheets[put.sheet]]
            item = self.request.items[put.piece.item]
            x, y = put.x / self.units, put.y / self.units
            positions.append(frame.back(item, put.piece.copy, number[put.sheet], put.solid.shape.turn, x, y))
        return positions
