"""What is done to the sheet on the page: nesting, moving, turning, pinning, counting, choosing film and jobs."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from decalgen.bench.busy import BusyError
from decalgen.bench.desk import Desk, Edit, StaleError, value_at
from decalgen.bench.other_sheet import carried, with_room, wrong_there
from decalgen.bench.sheet_choice import checked
from decalgen.bench.sheet_edits import count_edits, less_edits, pin_edits, pin_path, repin_edits, unpin_edits
from decalgen.bench.sheet_layout import (
    LaidSheets,
    PieceName,
    at_a_pin,
    called,
    corner,
    judged_one,
    moved,
    sheet_number,
    turned,
)
from decalgen.bench.sheet_picture import best_data
from decalgen.commands.options import DRAWER
from decalgen.core.lengths import length
from decalgen.job.edits import EditError, Path, values
from decalgen.job.films import load_film
from decalgen.nesting.model import effort_of
from decalgen.sheet.pieces import Piece
from decalgen.sheet.positions import Position
from decalgen.workshop.drawer import Drawer

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

BACK = "it is back where it lay"
RELOAD = "load the page again"


def name_of(text: str) -> PieceName | None:
    """A piece by what the page calls it: its key and its copy, with a stroke between."""
    key, _, copy = text.rpartition("|")
    return (key, int(copy)) if key and copy.isascii() and copy.isdigit() else None


def held(place: Workplace, asked: Mapping[str, Any]) -> tuple[LaidSheets, Piece, Position]:
    """The piece that is asked for, and where it lies. Raises EditError for one that is not there."""
    laid, name = place.table.laid, name_of(str(asked.get("piece", "")))
    if laid is None or name is None:
        raise EditError("nothing is nested yet", fix="press Nest")
    piece = laid.question.piece(name)
    one = next((one for one in laid.positions if (one.key, one.copy) == name), None)
    if piece is None or one is None:
        raise EditError("that piece is not on the sheet any more", fix="look at the page again")
    return laid, piece, one


# ------------------------------------------------------------------------------------------------------------- nesting
def nest(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Nests all pieces anew, beside the typing; those that are pinned stay."""
    table = place.table
    place.desk.keep()
    of, paths, options = place.sheet_of(), place.sheet_jobs(), place.options()
    loop = asyncio.get_running_loop()
    found: list[tuple[LaidSheets, str]] = []

    def told() -> None:
        loop.call_soon_threadsafe(lambda: place.tell(nest=True))

    def work() -> dict[str, Any]:
        try:
            found.append(table.nested(paths, options, told))
        finally:
            table.nesting, table.best = False, None
        return {}

    place.start("nest", "nesting the sheet", work, lambda: place.take_sheet(of, *found[0]))
    table.nesting, table.stopped, table.best = True, False, None


def stop(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Ends the nest; the best arrangement so far is kept."""
    place.table.stopped = True


def best(place: Workplace, asked: Mapping[str, Any]) -> dict[str, Any]:
    """How far the nest is, with the best so far."""
    now = place.table.best
    if now is None:
        return {"words": "", "part": 0.0, "sheets": []}
    sheets = f"{now.sheets} sheet{'' if now.sheets == 1 else 's'}"
    words = (
        f"{now.placed} of {now.pieces} pieces on {sheets}, {now.left / 100:.0f} cm² left in one piece, "
        f"{now.seconds:.0f} s"
    )
    shown = best_data(now.question, now.positions, str(asked.get("arts", "")))
    return {"words": words, "part": round(now.part, 3), **shown}


# -------------------------------------------------------------------------------------------------------------- pieces
def lies(place: Workplace, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What is wrong with where a piece would lie: ``dx``, ``dy`` in mm from where it is; nothing where it fits."""
    laid, piece, one = held(place, asked)
    way = _way(asked)
    try:
        now = moved(_carried(laid, piece, one, asked), *way)
    except EditError as error:
        return {"wrong": [error.message], "at": ""}
    x, y = corner(laid.question, now)
    wrong = wrong_there(laid, one, now)
    on = f"sheet {asked['sheet']}, " if asked.get("sheet") else ""
    return {"wrong": [f"{called(piece)} {words}" for words in wrong], "at": f"{on}{x:.2f}, {y:.2f} mm"}


def _carried(laid: LaidSheets, piece: Piece, one: Position, asked: Mapping[str, Any]) -> Position:
    """The piece on the ``sheet`` that is asked for, from 1; where none is, on its own."""
    sheet = asked.get("sheet")
    if sheet is None:
        return one
    if not isinstance(sheet, int):
        raise EditError("that move cannot be read", fix=RELOAD)
    return carried(laid, piece, one, sheet)


def _way(asked: Mapping[str, Any]) -> tuple[float, float]:
    try:
        dx, dy = float(asked["dx"]), float(asked["dy"])
    except (KeyError, TypeError, ValueError):
        raise EditError("that move cannot be read", fix=RELOAD) from None
    if not (abs(dx) < 1e5 and abs(dy) < 1e5):
        raise EditError("that move cannot be read", fix=RELOAD)
    return dx, dy


def move(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Lays a piece elsewhere: ``piece``, ``dx`` and ``dy`` in mm, on another ``sheet`` where one is named; moves with
    one ``key`` are taken back together. Raises EditError where it cannot lie there."""
    laid, piece, one = held(place, asked)
    key = str(asked.get("key", ""))[:200]
    now = moved(_carried(laid, piece, one, asked), *_way(asked))
    wrong = wrong_there(laid, one, now)
    if wrong:
        raise EditError(f"{called(piece)} {wrong[0]}", fix=BACK)
    _put(place, laid, piece, now, f"move of {called(piece)}", key)


def to_sheet(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Lays a piece on another ``sheet``, from 1, where there is room. Raises EditError where there is none."""
    laid, piece, one = held(place, asked)
    sheet = asked.get("sheet")
    if not isinstance(sheet, int):
        raise EditError("that move cannot be read", fix=RELOAD)
    _put(place, laid, piece, with_room(laid, piece, one, sheet), f"move of {called(piece)} to sheet {sheet}")


def turn(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Turns a piece a quarter anticlockwise. Raises EditError where it cannot lie so."""
    laid, piece, one = held(place, asked)
    _put(place, laid, piece, turned(laid.question, one), f"turn of {called(piece)}")


def _put(place: Workplace, laid: LaidSheets, piece: Piece, now: Position, label: str, key: str = "") -> None:
    if place.busy:
        raise BusyError(place.busy)
    wrong = judged_one(laid.question, laid.positions, now)
    if wrong:
        raise EditError(f"{called(piece)} {wrong[0]}", fix=BACK)
    if piece.pin is not None:
        at = at_a_pin(laid.question, laid.positions, now)
        x, y = corner(laid.question, now)
        now = replace(now, x=now.x + at[0] - x, y=now.y + at[1] - y)
        desk = _as_laid(place, laid, piece)
        path = pin_path(desk.values, piece.artwork.decal, piece.artwork.hand or "", piece.copy)
        if path is None:
            raise EditError(f"the pin of {called(piece)} is not in this file", fix="move it in the file that has it")
        _change(place, desk, repin_edits(desk.values, path, at, now.turn), label, key)
    place.table.move(label, now, key)


def pin(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Pins a piece where it lies: in its job file, so that every nest leaves it there."""
    laid, piece, one = held(place, asked)
    why = unpinnable(laid, piece, one)
    if why:
        raise EditError(why, fix="pin another piece, or move this one by hand")
    desk = _as_laid(place, laid, piece)
    at = at_a_pin(laid.question, laid.positions, one)
    number = sheet_number(laid.positions, one)
    art = piece.artwork
    edits = pin_edits(desk.values, art.decal, art.hand or "", at, one.turn % 360, number)
    _change(place, desk, edits, f"pin of {called(piece)}")
    # The pinned ones come first of their hand.
    first = _pinned(laid, piece)
    _renumber(place, piece, {piece.copy: first, first: piece.copy})


def unpinnable(laid: LaidSheets, piece: Piece, one: Position) -> str:
    """Why a piece cannot be pinned; '' where it can."""
    kind = laid.question.kind_of((one.key, one.copy))
    if piece.artwork.backing:
        return f"{called(piece)} follows its decal and takes no pin"
    if piece.artwork.section:
        return f"{called(piece)} is a part of a split decal, which takes no pin"
    if kind is not None and one.film != kind.films[0].name:
        return f"pins hold on '{kind.films[0].name}' only, the first {kind.kind} film"
    return ""


def unpin(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Lets go of a piece that is pinned: it stays where it lies until the next nest."""
    laid, piece, _ = held(place, asked)
    desk = _as_laid(place, laid, piece)
    edits = unpin_edits(desk.values, piece.artwork.decal, piece.artwork.hand or "", piece.copy)
    if not edits:
        raise EditError(f"{called(piece)} is not pinned in this file", fix="look at the file that has its pin")
    _change(place, desk, edits, f"pin of {called(piece)}")
    last = _pinned(laid, piece) - 1
    _renumber(place, piece, {piece.copy: last} | {n: n - 1 for n in range(piece.copy + 1, last + 1)})


def _pinned(laid: LaidSheets, piece: Piece) -> int:
    """How many copies of a piece are pinned."""
    return sum(one.key == piece.key and one.pin is not None for one in laid.question.pieces)


def _renumber(place: Workplace, piece: Piece, copies: dict[int, int]) -> None:
    place.table.renumber(piece.key, copies)
    place.table.chosen = f"{piece.key}|{copies[piece.copy]}"


def less(place: Workplace, asked: Mapping[str, Any]) -> None:
    """One piece less of a decal, this one: of a decal on both hands, of each."""
    laid, piece, _ = held(place, asked)
    desk, decal = _as_laid(place, laid, piece), piece.artwork.decal
    edits = less_edits(desk.values, decal, piece.artwork.hand or "", piece.copy)
    _change(place, desk, edits, f"one less of {decal.name}")
    # The last copy goes; it lies where this one lay.
    last = decal.copies + decal.spares - 1
    place.table.renumber(piece.key, {piece.copy: last, last: piece.copy})


def back(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Takes back the last move by hand."""
    if place.busy:
        raise BusyError(place.busy)
    last = place.table.moves[-1] if place.table.moves else None
    if last is None:
        raise EditError("nothing was moved by hand", fix="drag a piece")
    place.table.back()


def desk_of(place: Workplace, laid: LaidSheets, piece: Piece) -> Desk:
    """The job file that a piece comes from."""
    paths = dict(zip((job.name for job in laid.question.jobs), laid.question.run.paths, strict=True))
    return _desk(place, paths[piece.artwork.job])


def _desk(place: Workplace, path: FilePath) -> Desk:
    return place.desk if path == place.desk.path else Desk(path)


def _as_laid(place: Workplace, laid: LaidSheets, piece: Piece) -> Desk:
    """The same, to have its pins changed. Raises EditError where those of the decal are others by now than on the sheet
    that is shown."""
    desk, name = desk_of(place, laid, piece), piece.artwork.decal.name
    job = next(one for one in laid.question.jobs if one.name == piece.artwork.job)
    path: Path = ("decals", name, "pin")
    seen = [value_at(values(job.texts[0][1]), path), *place.table.pins.get((desk.path, name), ())]
    if value_at(desk.values, path) not in seen:
        raise EditError(f"the pins of '{name}' were changed meanwhile", fix="look at the sheet, then do it again")
    return desk


def _change(place: Workplace, desk: Desk, edits: list[Edit], label: str, key: str = "") -> None:
    """Changes a job file; one that is not on the page is written at once."""
    before = desk.values
    desk.edit(desk.version, edits, label, key)
    if desk is not place.desk:
        desk.keep()
    for name in {str(one.at[1]) for one in edits if one.at[2:3] == ("pin",)}:
        path: Path = ("decals", name, "pin")
        place.table.pins.setdefault((desk.path, name), []).extend(value_at(one, path) for one in (before, desk.values))


# -------------------------------------------------------------------------------------------------------------- choice
def count(place: Workplace, asked: Mapping[str, Any]) -> None:
    """So many copies or spares of a decal: ``file``, ``decal``, ``key`` and ``to``; ``was``: how many there were, as
    whoever asks saw it. Raises StaleError where there are others by now."""
    file = str(asked.get("file", ""))
    known = {place.desk.path.name, *(one.file for one in place.table.folder.found)}
    if file not in known:
        raise EditError(f"there is no job '{file[:60]}' in this folder", fix=RELOAD)
    desk = _desk(place, place.desk.path.with_name(file))
    name, key = str(asked.get("decal", "")), str(asked.get("key", ""))
    edits, label = count_edits(desk.values, name, key, str(asked.get("to", ""))), f"{key} of {name}"
    decal = next((one for one in desk.job.decals if one.name == name), None) if desk.job else None
    there = str(getattr(decal, key)) if decal else None
    if there and there not in (str(asked.get("was", there)), edits[0].to):
        stale = StaleError(replace(edits[0], was=asked["was"]), edits[0].was, edits, label)
        if desk is not place.desk:
            stale.instead, stale.fix = (), f"{file} says {there} by now; type yours again if that is to go"
        raise stale
    _change(place, desk, edits, label)


def add_film(place: Workplace, asked: Mapping[str, Any]) -> None:
    """One more film, the last in order; a sheet of the film drawer by its name; or any of it, which goes with no other
    film. Raises what its words do not say."""
    words = " ".join(str(asked.get("film", "")).split())
    if not words:
        raise EditError("no film is named", fix="say clear or white, and the size, as in 'white A5'")
    first, _, sheet = words.partition(" ")
    drawer = first.casefold() == DRAWER
    if drawer:
        words = f"{DRAWER} {Drawer().sheet(sheet).name}" if sheet else DRAWER
    # Whichever sheet of the drawer serves goes with none that is named.
    films = [one for one in place.choice.films if DRAWER not in (one, words)]
    films.append(words)
    if len(set(films)) < len(films):
        raise EditError(f"the film '{words}' is on this sheet already", fix="name each film once")
    # Its name leads nowhere else before it is read.
    found = checked(place.choice, {"films": films}).options(place.desk.path.parent)
    if not drawer:
        load_film(found.films[-1])
    place.choose({"films": films})


def drop_film(place: Workplace, asked: Mapping[str, Any]) -> None:
    """A film less."""
    place.choose({"films": [one for one in place.choice.films if one != asked.get("film")]})


def put_job(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Puts another job of the folder on the sheet, or takes it off: ``file`` and ``on``."""
    file = str(asked.get("file", ""))
    jobs = [one for one in place.choice.jobs if one != file]
    place.choose({"jobs": [*jobs, file] if asked.get("on") else jobs})


def settle(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Chooses how it is nested: one of the settings by its ``key``, ``to`` as typed."""
    key, to = str(asked.get("key", "")), " ".join(str(asked.get("to", "")).split())
    if key == "gap":
        try:
            place.choose({"gap": length(to).value if to else None})
        except ValueError as error:
            raise EditError(str(error), fix="type a length such as 3 mm, or nothing for the usual gap") from None
    elif key == "effort":
        if effort_of(to or "normal") is None:
            raise EditError(f"there is no effort '{to[:40]}'", fix="quick, normal, thorough, or a time such as '60 s'")
        place.choose({"effort": to or "normal"})
    elif key in ("hands", "leave", "variant", "printer"):
        place.choose({key: to})
    else:
        raise EditError("there is no such setting", fix=RELOAD)
