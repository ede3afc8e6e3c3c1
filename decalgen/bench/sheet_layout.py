"""The pieces of a sheet as they lie on the page: nested, kept, moved by hand, and judged by the rules of a nest. Pure
but for what a run reads; mm, the sheet's lower left corner at 0, 0."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from typing import TYPE_CHECKING

import shapely
from shapely.geometry import Polygon

from decalgen.colour.inks import FilmKind
from decalgen.commands.proof import picked_of
from decalgen.core.errors import FitError, in_a_sentence
from decalgen.core.values import dataclass
from decalgen.job.model import Film, Job
from decalgen.nesting import Fault, NestPosition, Pin, Progress, Request
from decalgen.nesting.gate import gate
from decalgen.nesting.turning import placed, turned_polygon
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.digest import arrangement_digest, arrangement_parts
from decalgen.sheet.film_area import check_film
from decalgen.sheet.film_shares import share_lines
from decalgen.sheet.film_use import in_short
from decalgen.sheet.nest_request import asked, check_gap, films_of
from decalgen.sheet.nest_with_marks import nest_with_marks
from decalgen.sheet.pieces import Piece, pieces
from decalgen.sheet.plan import Plan
from decalgen.sheet.positions import Position, Saved
from decalgen.workshop.drawer_for_jobs import taken_off

if TYPE_CHECKING:
    from decalgen.commands.run import Run

AT_PIN = 0.02
"""A piece lies at its pin where it is off it by no more, mm."""
PIN_DIGITS = 7
"""Decimals of a millimetre at a pin, at most: rounded so, a distance changes by less than the nest's own tolerance."""
PieceName = tuple[str, int]
"""A piece's key and which copy it is, from 0: what a file of positions calls it by."""


@dataclass(frozen=True)
class KindQuestion:
    """The pieces for one kind of film, the films of the kind, and what is asked of the nest."""

    kind: FilmKind
    pieces: tuple[Piece, ...]
    films: tuple[Film, ...]
    request: Request


@dataclass(frozen=True)
class SheetQuestion:
    """All that decides where pieces may lie. ``opens``: readings that are still to be taken."""

    jobs: tuple[Job, ...]
    plan: Plan
    pieces: tuple[Piece, ...]
    kinds: tuple[KindQuestion, ...]
    digest: str
    parts: Mapping[str, str]
    run: Run

    def piece(self, name: PieceName) -> Piece | None:
        """The piece of that name; None where there is none by now."""
        return next((one for one in self.pieces if (one.key, one.copy) == name), None)

    def kind_of(self, name: PieceName) -> KindQuestion | None:
        """The question of a piece's kind of film."""
        return next((one for one in self.kinds if any((p.key, p.copy) == name for p in one.pieces)), None)


@dataclass(frozen=True)
class LaidSheets:
    """Where the pieces lie. ``kept``: also where pieces lay that there are none of just now, or on film that is not
    chosen just now; ``lost``: those that lie nowhere; ``faults``: by piece what is wrong with where it lies;
    ``arrangement``: the sheets as they are printed, None while a piece is lost or wrong."""

    question: SheetQuestion
    positions: tuple[Position, ...]
    complete: bool
    kept: tuple[Position, ...] = ()
    lost: tuple[Piece, ...] = ()
    faults: Mapping[PieceName, tuple[str, ...]] = field(default_factory=dict)
    arrangement: Arrangement | None = None
    lines: tuple[str, ...] = ()
    """What is left of each sheet, and what the film costs, as the commands say it."""

    def saved(self, file: str = "") -> Saved:
        """The same as a file of positions."""
        return Saved(self.question.digest, self.positions, file, self.complete, parts=self.question.parts)


def called(piece: Piece) -> str:
    """What a piece is called on the page: its number on the sheet and its decal."""
    return f"{piece.label} {piece.artwork.name}"


def question_of(run: Run, saved: Saved | None = None) -> SheetQuestion:
    """What a run asks of its sheets; ``saved``: of the drawer, the sheets that these positions lie on.

    Raises what `Run.plan` raises, FitError where there is nothing to lay, FilmError where no film of a kind is given.
    """
    made = run.examined.artworks
    plan = run.plan(saved)
    check_gap(plan.gap)
    everything = pieces(run.jobs, plan.printer, plan.hands, made, plan.only)
    if not everything:
        raise FitError("there is nothing to print: no job has a decal", fix="add a decal on Draw")
    for film in plan.films:
        check_film(film, plan.printer)
    kinds = []
    for kind in dict.fromkeys(p.artwork.film for p in everything):
        of_kind = tuple(p for p in everything if p.artwork.film == kind)
        films = tuple(films_of(of_kind, plan.films))
        kinds.append(KindQuestion(kind, of_kind, films, asked(of_kind, films, plan)))
    digest, parts = arrangement_digest(everything, plan), arrangement_parts(everything, plan)
    return SheetQuestion(tuple(run.jobs), plan, everything, tuple(kinds), digest, parts, run)


def lay(question: SheetQuestion, positions: Sequence[Position], complete: bool) -> LaidSheets:
    """Some positions, judged; the sheets with their numbers and marks where nothing is wrong with them. Positions of
    pieces that are not there just now, or on film that is not, do not count."""
    wanted = {(p.key, p.copy): {film.name for film in kind.films} for kind in question.kinds for p in kind.pieces}
    kept = at_their_pins(question, positions)
    there = tuple(one for one in kept if one.film in wanted.get((one.key, one.copy), ()))
    lies = {(one.key, one.copy) for one in there}
    lost = tuple(one for one in question.pieces if (one.key, one.copy) not in lies)
    found = LaidSheets(question, there, complete, kept, lost, judged(question, there))
    if lost or found.faults:
        return found
    plan, run = question.plan, question.run
    arrangement = arrange(question.jobs, plan, saved=found.saved("the page"), made=run.examined.artworks)
    taken = taken_off(arrangement, picked_of(run, arrangement))
    lines = (*in_short(arrangement, plan.remnant), *share_lines(arrangement, question.jobs, taken))
    return replace(found, arrangement=arrangement, lines=lines)


def at_their_pins(question: SheetQuestion, positions: Sequence[Position]) -> tuple[Position, ...]:
    """The same positions, the copies of a decal numbered so that those that are pinned are at their pins: copies are
    alike, and a pin is written as finely as a person would."""
    found = list(positions)
    for kind in question.kinds:
        for pin in kind.request.pins:
            own = [n for n, one in enumerate(found) if one.key == pin.item and one.film == pin.region]
            near = [n for n in own if found[n].turn % 360 == pin.turn % 360 and _off(found[n], pin) <= AT_PIN]
            if not near:
                continue
            at = min(near, key=lambda n: _off(found[n], pin))
            for n in own:
                if n != at and found[n].copy == pin.copy:
                    found[n] = replace(found[n], copy=found[at].copy)
            found[at] = replace(found[at], copy=pin.copy, x=pin.x, y=pin.y)
    return tuple(found)


def _off(one: Position, pin: Pin) -> float:
    return max(abs(one.x - pin.x), abs(one.y - pin.y))


def nest_all(
    question: SheetQuestion, watch: Callable[[tuple[Position, ...], Progress], bool | None]
) -> tuple[LaidSheets, str]:
    """All pieces nested, each kind of film for itself, just as the commands do it; and why some lie nowhere. ``watch``
    sees the best so far of all kinds, and may end it."""
    done: list[Position] = []
    complete, why = True, ""
    for kind in question.kinds:
        best: list[Position] = []

        def seen(progress: Progress, best: list[Position] = best) -> bool | None:
            best[:] = [_position(one) for one in progress.positions]
            return watch((*done, *best), progress)

        try:
            found = nest_with_marks(kind.pieces, kind.films, question.plan, seen).nest
        except FitError as error:
            why = why or in_a_sentence(error)
            done.extend(best)
            continue
        complete = complete and found.complete
        done.extend(_position(one) for one in found.positions)
    return lay(question, done, complete), why


def _position(one: NestPosition) -> Position:
    return Position(one.item, one.copy, one.region, one.sheet, one.x, one.y, one.turn)


def _nested(one: Position) -> NestPosition:
    return NestPosition(one.key, one.copy, one.film, one.sheet, one.x, one.y, one.turn)


# ------------------------------------------------------------------------------------------------------------- judging
def judged(question: SheetQuestion, positions: Sequence[Position]) -> dict[PieceName, tuple[str, ...]]:
    """By piece what is wrong with where it lies, in words: the rules of the gate that every nest passes."""
    found: dict[PieceName, list[str]] = defaultdict(list)
    for kind in question.kinds:
        keys = {p.key for p in kind.pieces}
        known = tuple(_nested(one) for one in positions if one.key in keys)
        for fault in gate(kind.request, known, ()):
            for at in fault.pieces:
                one = known[at]
                found[one.item, one.copy].append(_words(question, kind, known, fault, at))
        for name, words in (*_stray(kind, known), *_apart(kind, known), *_too_many(kind, known)):
            found[name].append(words)
    return {name: tuple(dict.fromkeys(words)) for name, words in found.items()}


def judged_one(question: SheetQuestion, positions: Sequence[Position], now: Position) -> tuple[str, ...]:
    """What is wrong with where one piece lies among all others; only what is near it is looked at."""
    kind = question.kind_of((now.key, now.copy))
    if kind is None:
        return ("is not on this sheet any more",)
    items = {item.key: item for item in kind.request.items}
    body = placed(items[now.key], _nested(now))
    reach = kind.request.gap + 0.1
    x0, y0, x1, y1 = body.bounds
    near = [now]
    for one in positions:
        if (one.film, one.sheet) != (now.film, now.sheet) or (one.key, one.copy) == (now.key, now.copy):
            continue
        if one.key in items:
            a0, b0, a1, b1 = placed(items[one.key], _nested(one)).bounds
            if a0 < x1 + reach and a1 > x0 - reach and b0 < y1 + reach and b1 > y0 - reach:
                near.append(one)
    known = tuple(_nested(one) for one in near)
    faults = [fault for fault in gate(replace(kind.request, pins=()), known, ()) if 0 in fault.pieces]
    return tuple(dict.fromkeys(_words(question, kind, known, fault, 0) for fault in faults))


def kept_apart(question: SheetQuestion, positions: Sequence[Position], now: Position) -> tuple[str, ...]:
    """Why a piece cannot go to the sheet it would lie on then: what it is kept together with lies elsewhere."""
    kind = question.kind_of((now.key, now.copy))
    if kind is None:
        return ()
    name, keys = (now.key, now.copy), {p.key for p in kind.pieces}
    then = [now if (one.key, one.copy) == name else one for one in positions if one.key in keys]
    known = [_nested(one) for one in then]
    return tuple(dict.fromkeys(words for who, words in (*_apart(kind, known), *_too_many(kind, known)) if who == name))


def placed_on(kind: KindQuestion, one: Position) -> Polygon:
    """A piece's cut line where it lies on its sheet."""
    return placed(next(item for item in kind.request.items if item.key == one.key), _nested(one))


def _stray(kind: KindQuestion, positions: Sequence[NestPosition]) -> list[tuple[PieceName, str]]:
    """Pieces that do not lie where they are pinned."""
    where = {(one.item, one.copy): one for one in positions}
    found = []
    for pin in kind.request.pins:
        one = where.get((pin.item, pin.copy))
        sheets = sorted({other.sheet for other in positions if other.region == pin.region})
        if one is not None and (
            (one.region, one.x, one.y, one.turn % 360) != (pin.region, pin.x, pin.y, pin.turn % 360)
            or sheets.index(one.sheet) != pin.number
        ):
            found.append(((pin.item, pin.copy), "is pinned elsewhere"))
    return found


def _apart(kind: KindQuestion, positions: Sequence[NestPosition]) -> list[tuple[PieceName, str]]:
    """Pieces that are to be kept together and lie on several sheets."""
    group_of = {item.key: item.group for item in kind.request.items if item.group}
    sheets: dict[str, set[int]] = defaultdict(set)
    for one in positions:
        if one.item in group_of:
            sheets[group_of[one.item]].add(one.sheet)
    return [
        ((one.item, one.copy), "has to lie on one sheet with what it is kept together with")
        for one in positions
        if len(sheets.get(group_of.get(one.item, ""), ())) > 1
    ]


def _too_many(kind: KindQuestion, positions: Sequence[NestPosition]) -> list[tuple[PieceName, str]]:
    """Pieces on a further sheet of a film of which there is one."""
    once = {region.key for region in kind.request.regions if not region.repeat}
    first: dict[str, int] = {}
    for one in positions:
        first[one.region] = min(first.get(one.region, one.sheet), one.sheet)
    return [
        ((one.item, one.copy), f"lies on a second sheet of '{one.region}', of which there is one")
        for one in positions
        if one.region in once and one.sheet != first[one.region]
    ]


def _words(
    question: SheetQuestion, kind: KindQuestion, positions: Sequence[NestPosition], fault: Fault, at: int
) -> str:
    """A fault as it is said of one of its pieces."""
    items = {item.key: item for item in kind.request.items}
    one = positions[at]
    outline = placed(items[one.item], one)
    region = next(r for r in kind.request.regions if r.key == one.region)
    if fault.kind == "turn":
        return "must not be turned: its decal says turn: no"
    if fault.kind == "edge":
        return f"reaches {_over(outline, region.usable):.2f} mm past what can be printed"
    if fault.kind == "keep-out":
        gone = min(region.keep_outs, key=outline.distance)
        need = region.keep_out_clearance
        apart = float(outline.distance(gone))
        return f"is {_short_of(apart, need)} from used film: {need:g} mm are needed" if apart else "lies on used film"
    if fault.kind == "gap":
        other = positions[next(n for n in fault.pieces if n != at)]
        named = question.piece((other.item, other.copy))
        name = called(named) if named else other.item
        apart = float(outline.distance(placed(items[other.item], other)))
        need = kind.request.gap
        return f"is {_short_of(apart, need)} from {name}: {need:g} mm are needed" if apart else f"lies on {name}"
    return fault.message


def _over(outline: Polygon, usable: Polygon) -> float:
    x0, y0, x1, y1 = outline.bounds
    a0, b0, a1, b1 = usable.bounds
    over = max(a0 - x0, b0 - y0, x1 - a1, y1 - b1, 0.0)
    # Inside the box round it, but not inside the area itself.
    return over or float(shapely.hausdorff_distance(outline.difference(usable), usable))


def _short_of(apart: float, need: float) -> str:
    """A distance that must not look like the one it falls short of."""
    words = f"{apart:.2f}"
    return f"{words if float(words) < need else f'{apart:.6f}'} mm"


# -------------------------------------------------------------------------------------------------------------- moving
def moved(one: Position, dx: float, dy: float) -> Position:
    """A piece laid elsewhere on its sheet, by so many mm; to a thousandth, finer than any printer's dot."""
    return replace(one, x=round(one.x + dx, 3), y=round(one.y + dy, 3))


def turned(question: SheetQuestion, one: Position) -> Position:
    """A piece turned a quarter anticlockwise about the middle of the box round its cut line."""
    kind = question.kind_of((one.key, one.copy))
    assert kind is not None
    item = next(item for item in kind.request.items if item.key == one.key)
    turn = (one.turn + 90) % 360
    x0, y0, x1, y1 = placed(item, _nested(one)).bounds
    a0, b0, a1, b1 = turned_polygon(item.outline, turn).bounds
    return replace(one, x=round((x0 + x1 - a0 - a1) / 2, 3), y=round((y0 + y1 - b0 - b1) / 2, 3), turn=turn)


def corner(question: SheetQuestion, one: Position) -> tuple[float, float]:
    """The lower left corner of the box round a piece's cut line, as a pin names it."""
    kind = question.kind_of((one.key, one.copy))
    assert kind is not None
    item = next(item for item in kind.request.items if item.key == one.key)
    x0, y0, _, _ = placed(item, _nested(one)).bounds
    return float(x0), float(y0)


def at_a_pin(question: SheetQuestion, positions: Sequence[Position], one: Position) -> tuple[float, float]:
    """Where a pin for a piece may say that it lies: the lower left corner of the box round its cut line, each number to
    as few decimals as keep every distance. A piece that is wedged between others needs more of them."""
    x, y = corner(question, one)

    def good(at: tuple[float, float]) -> bool:
        there = replace(one, x=one.x + at[0] - x, y=one.y + at[1] - y)
        return not judged_one(question, positions, there)

    right = _shortest(x, lambda number: good((number, y)))
    return right, _shortest(y, lambda number: good((right, number)))


def _shortest(exact: float, good: Callable[[float], bool]) -> float:
    """A number next to one, of as few decimals as are ``good``; all that matter where fewer never are."""
    for digits in range(1, PIN_DIGITS):
        step = 10.0**-digits
        for more in (0, 1):
            number = round((math.floor(exact / step) + more) * step, digits)
            if number >= 0 and abs(number - exact) <= AT_PIN and good(number):
                return number
    return round(exact, PIN_DIGITS)


def sheet_number(positions: Sequence[Position], one: Position) -> int:
    """Which of its film's sheets a piece lies on, from 1, as a pin counts them."""
    return sorted({other.sheet for other in positions if other.film == one.film}).index(one.sheet) + 1
