"""Sheet: the pieces on the film as they will be printed; nested, moved by hand, pinned; copies, spares, film, jobs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from decalgen.bench.folder_jobs import FolderJob, job_words
from decalgen.bench.other_sheet import others, sheet_of
from decalgen.bench.page_words import on_page
from decalgen.bench.printed import printed_standing, printed_words
from decalgen.bench.sheet_acts import (
    add_film,
    back,
    best,
    count,
    drop_film,
    less,
    lies,
    move,
    name_of,
    nest,
    pin,
    put_job,
    settle,
    stop,
    to_sheet,
    turn,
    unpin,
    unpinnable,
)
from decalgen.bench.sheet_layout import LaidSheets, called, corner
from decalgen.bench.sheet_picture import art_data, arts_name, drawer_data, sheet_rows, sheets_data
from decalgen.bench.standing import StepStanding, counted, open_readings
from decalgen.commands.options import DRAWER, of_drawer
from decalgen.core.errors import DecalgenError, JobError
from decalgen.job.model import Decal
from decalgen.nesting.model import EFFORTS
from decalgen.workshop.drawer_for_jobs import PrintedError

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

NAME = "Sheet"
ABOUT = "the pieces on the film"
OFFERED = ("white A5", "clear A5", "white A4", "clear A4", "white A6", "clear A6")


def standing(place: Workplace) -> StepStanding:
    """Whether every piece lies on a sheet, and what is still open."""
    table, job = place.table, place.desk.job
    if job is None or not job.decals:
        return StepStanding(False, "no decal yet")
    if table.nesting:
        return StepStanding(False, "nesting ...")
    if isinstance(table.trouble, PrintedError):
        return printed_standing(table.trouble)
    if table.trouble is not None:
        return StepStanding(False, "cannot be laid: look")
    laid = table.laid
    if laid is None or not table.positions:
        looking = _looking(place)
        return StepStanding(False, "looking ..." if looking else "not nested yet", looking)
    if laid.lost:
        word = "find no room" if table.lacking else "not placed yet"
        return StepStanding(False, f"{counted(len(laid.lost), 'piece')} {word}")
    if laid.faults:
        return StepStanding(False, f"{counted(len(laid.faults), 'piece')} to move, or nest again")
    left = _open(laid)
    if left:
        return StepStanding(False, f"placed, not final: {counted(left, 'reading')} open")
    return StepStanding(True, _counts(laid))


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The sheets with what lies on them, the sentence of the chosen piece, film, jobs, and how it is nested."""
    table = place.table
    laid = table.laid
    found: dict[str, Any] = {
        "opening": _opening(place),
        "busy": place.busy,
        "nesting": table.nesting,
        "wrong": _wrong(place),
        "lacking": on_page(table.lacking) if laid is not None and laid.lost else "",
        "pending": table.of != place.sheet_of() and not place.busy,
        "nested": bool(table.positions),
        "moved": table.moves[-1].label if table.moves else "",
        "since": place.changed_since_proof(),
        "sheets": [],
        "arts_name": "",
        "lines": [on_page(one) for one in laid.lines] if laid is not None and laid.arrangement else [],
        "films": _films(place, laid),
        "offers": [one for one in OFFERED if one not in place.choice.films],
        "drawer": _drawer(place, laid),
        "from_drawer": DRAWER in place.choice.films,
        "jobs": _jobs(place),
        "settings": _settings(place),
        "piece": None,
    }
    if laid is None:
        return found
    found |= {"sheets": sheets_data(laid), "arts_name": arts_name(laid.question)}
    if view.get("arts", "") != found["arts_name"]:
        found["arts"] = art_data(laid.question)
    found["piece"] = _piece(laid, table.chosen or view.get("piece", ""))
    table.chosen = ""
    return found


def _opening(place: Workplace) -> str:
    table = place.table
    laid = table.laid
    if place.desk.problems:
        return "The file has a mistake; what lies here is from before it."
    if place.desk.job is None or not place.desk.job.decals:
        return "No decal is drawn yet."
    if table.nesting:
        return "Nesting: the best so far is shown."
    if isinstance(table.trouble, PrintedError):
        return printed_words(table.trouble)
    if laid is None and _looking(place):
        return "Looking at what lies on the sheet ..."
    if laid is None and table.positions:
        return "Nothing is nested on this film yet: press Nest."
    if laid is None or not table.positions:
        return "Nothing is nested yet: choose the film, then press Nest."
    if laid.lost:
        count = counted(len(laid.lost), "piece")
        if table.lacking:
            find = "finds" if len(laid.lost) == 1 else "find"
            return f"{count} {find} no room: another sheet, or fewer spares."
        return f"{count} {'is' if len(laid.lost) == 1 else 'are'} not placed yet: nest again."
    if laid.faults:
        lie = "lies where it cannot" if len(laid.faults) == 1 else "lie where they cannot"
        return f"{counted(len(laid.faults), 'piece')} {lie}: move, or nest again."
    said = f"{_counts(laid)}."
    left = _open(laid)
    return f"{said} Placed, not final: {counted(left, 'reading')} open." if left else said


def _looking(place: Workplace) -> bool:
    """Whether it is not known yet what lies on the sheet."""
    return bool(place.table.positions) and place.table.of != place.sheet_of()


def _counts(laid: LaidSheets) -> str:
    return f"{counted(len(laid.positions), 'piece')} on {counted(len(sheet_rows(laid)), 'sheet')}"


def _open(laid: LaidSheets) -> int:
    return sum(map(open_readings, laid.question.jobs))


def _wrong(place: Workplace) -> dict[str, str]:
    """Why the pieces cannot be nested, or judged by what the files say now."""
    error: DecalgenError | None = place.table.trouble
    if place.desk.problems:
        # They are the first thing on every screen.
        return {}
    if error is not None and not isinstance(error, PrintedError):
        if isinstance(error, JobError):
            first = error.problems[0]
            where = f"{first.place.file}, line {first.place.line}: " if first.place else ""
            return {"message": f"{where}{first.message}", "fix": first.fix}
        return {"message": on_page(error.message), "fix": on_page(error.fix)}
    failed = place.results.get("nest", {})
    return {"message": failed["wrong"], "fix": failed["fix"]} if failed.get("wrong") else {}


def _films(place: Workplace, laid: LaidSheets | None) -> list[dict[str, Any]]:
    """The films that were chosen, or those that stand in for them."""
    if place.choice.films:
        return [{"film": one, "words": _film_words(one), "chosen": True} for one in place.choice.films]
    names = [film.name for film in laid.question.plan.films] if laid is not None else []
    return [{"film": one, "words": f"{one}, as many as it takes", "chosen": False} for one in names]


def _film_words(film: str) -> str:
    if film == DRAWER:
        return "what serves of the film drawer"
    return f"'{film.partition(' ')[2]}' of the film drawer" if of_drawer(film) else film


def _drawer(place: Workplace, laid: LaidSheets | None) -> list[dict[str, Any]]:
    from decalgen.workshop.drawer import Drawer

    try:
        sheets = Drawer().sheets()
    except DecalgenError:
        return []
    on = {film.name: n for n, (film, _, _) in enumerate(sheet_rows(laid), 1)} if laid is not None else {}
    return drawer_data(sheets, on, place.choice.films)


def _jobs(place: Workplace) -> list[dict[str, Any]]:
    """The jobs of the folder, this one first: whether each goes on the sheet, and its decals with copies and spares."""
    own = place.desk.path.name
    found = []
    job = place.desk.job
    if job is not None:
        found.append(_job(FolderJob(own, job.title, job_words(job), job.decals), True, True))
    for one in place.table.folder.found:
        if one.file != own:
            found.append(_job(one, one.file in place.choice.jobs, False))
    known = {one["file"] for one in found}
    for name in place.choice.jobs:
        if name not in known and place.table.seen and place.table.folder.found:
            found.append(_job(FolderJob(name, name, "is not in this folder any more", wrong="it is gone"), True, False))
    return found


def _job(one: FolderJob, on: bool, own: bool) -> dict[str, Any]:
    return {
        "file": one.file,
        "title": one.title,
        "words": one.words,
        "wrong": one.wrong,
        "on": on,
        "own": own,
        "decals": [_decal(decal) for decal in one.decals] if on else [],
    }


def _decal(decal: Decal) -> dict[str, Any]:
    each = " of each hand" if decal.hands == "both" else ""
    return {"name": decal.name, "copies": decal.copies, "spares": decal.spares, "each": each}


def _settings(place: Workplace) -> list[dict[str, Any]]:
    """How it is nested: each setting with its words, and a sentence about it."""
    choice, job = place.choice, place.desk.job
    rows: list[tuple[str, str, str, list[str], str]] = [
        ("gap", "gap", "" if choice.gap is None else f"{choice.gap:g} mm", [], "between cut lines; empty: 3 mm"),
        ("effort", "effort", choice.effort, list(EFFORTS), "how hard to nest; a time such as 60 s will do too"),
        ("hands", "hands", choice.hands, ["both", "left", "right"], "which hands are printed"),
        ("leave", "leave whole", choice.leave, ["rectangle", "strip"], "what to keep of the film"),
        ("printer", "printer", choice.printer, [], "a kept profile, or a printer file beside the job"),
    ]
    if job is not None and job.variants:
        rows.append(("variant", "variant", choice.variant, ["", *job.variants], "of the livery"))
    return [
        {"key": key, "label": label, "value": value, "choices": choices, "help": about}
        for key, label, value, choices, about in rows
    ]


def _piece(laid: LaidSheets, wanted: str) -> dict[str, Any] | None:
    """The sentence of the chosen piece, and what can be done with it."""
    name = name_of(wanted)
    piece = laid.question.piece(name) if name else None
    one = next((one for one in laid.positions if (one.key, one.copy) == name), None)
    if piece is None or one is None:
        return None
    x, y = corner(laid.question, one)
    decal = piece.artwork.decal
    whole = decal.copies + decal.spares
    index = sheet_of(laid, one)
    words = [f"{called(piece)}"]
    if whole > 1:
        words.append(f", copy {piece.copy + 1} of {whole}{', a spare' if piece.spare else ''}")
    words.append(f", lies on sheet {index}, {one.film}, {x:.2f} mm from the left edge and {y:.2f} mm from the foot")
    words.append(f", turned {one.turn % 360}°. " if one.turn % 360 else ". ")
    if piece.pin is not None:
        words.append("It is pinned there.")
    return {
        "id": wanted,
        "sentence": "".join(words).strip(),
        "pinned": piece.pin is not None,
        "no_pin": unpinnable(laid, piece, one),
        "turns": piece.turn,
        "sheets": others(laid, piece, one),
        "less": f"one less{' of each hand' if decal.hands == 'both' else ''}",
        "wrong": list(laid.faults.get((one.key, one.copy), ())),
    }


ACTS = {
    "nest": nest,
    "stop": stop,
    "move": move,
    "to_sheet": to_sheet,
    "turn": turn,
    "pin": pin,
    "unpin": unpin,
    "less": less,
    "back": back,
    "count": count,
    "add_film": add_film,
    "drop_film": drop_film,
    "put_job": put_job,
    "settle": settle,
}
"""What can be done here."""
ASKS = {"lies": lies, "best": best}
"""What is asked while one works: whether a piece fits where it is dragged, and how far the nest is."""
