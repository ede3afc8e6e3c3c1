"""Film: the drawer beside the job. Each sheet as a true drawing with what is gone of it; every act is a command's."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.bench.drawings_of_sheets import sheet_drawing, step_words
from decalgen.bench.page_words import on_page
from decalgen.bench.pictures import ring_data
from decalgen.bench.standing import StepStanding, counted, error_words
from decalgen.bench.typed_film import film_named, typed_text
from decalgen.bench.typed_mm import typed_count, typed_mm
from decalgen.bench.workshop_now import drawer_changed, prints_now, sheets_now
from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.names import slug
from decalgen.core.prices import typed_price
from decalgen.workshop.drawer import DrawerError, OwnedSheet, drawer_file
from decalgen.workshop.drawer.age import age
from decalgen.workshop.drawer.feeding import NOTHING, feeding
from decalgen.workshop.drawer.model import CORNERS, SIDES

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace
    from decalgen.commands.options import Result

NAME = "Film"
_NUMBERED = re.compile(r"^(?:put in: )?\s*\d+  ")
"""What a line of a command begins with that the page says otherwise: what was done, and the number of a sheet."""
ABOUT = "the sheets you own and what is left of each"
SMALL_ROWS = 22
"""Of the hatch of a small drawing."""
EMPTY = "Put in the sheets of film that you own; each is drawn with what is left of it."
LEFT = (("a film file of your own, with its measured colour", "decalgen film add my-film.yaml"),)
"""What is left to the command: what it is, and the command."""


def standing(place: Workplace) -> StepStanding:
    """How many sheets there are."""
    try:
        sheets = sheets_now()
    except DecalgenError:
        return StepStanding(False, "cannot be read")
    left = [sheet for sheet in sheets if not _over(sheet)]
    # Nobody has to keep a drawer.
    return StepStanding(True, f"{counted(len(left), 'sheet')} to print on" if left else "none in the drawer")


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """Every sheet small, the chosen one large with what was done to it and what can be done."""
    found: dict[str, Any] = {
        "said": place.results.get("film", {}),
        "sheets": [],
        "chosen": None,
        "wrong": "",
        "choices": _choices(),
    }
    found |= {"kept": f"The drawer is kept in {drawer_file()}.", "left": [list(one) for one in LEFT]}
    try:
        sheets = sheets_now()
    except DecalgenError as error:
        return found | {"opening": "The drawer cannot be read.", "wrong": error_words(error)}
    if not sheets:
        return found | {"opening": EMPTY}
    oldest = _oldest(sheets)
    chosen = next((one for one in sheets if one.name == view.get("sheet")), None)
    chosen = chosen or next((one for one in sheets if not _over(one)), sheets[0])
    found["sheets"] = [_small(one, oldest) for one in sheets]
    found["chosen"] = _chosen(place, chosen, oldest)
    return found | {"opening": _opening(sheets)}


def _opening(sheets: Sequence[OwnedSheet]) -> str:
    over = sum(_over(one) for one in sheets)
    left = [one for one in sheets if not _over(one)]
    kinds = [f"{sum(one.entry.kind == kind for one in left)} {kind}" for kind in ("white", "clear")]
    used = f" {over} used up." if over else ""
    return f"{counted(len(left), 'sheet')} to print on: {', '.join(one for one in kinds if one[0] != '0')}.{used}"


def _over(sheet: OwnedSheet) -> bool:
    return bool(sheet.free.area < NOTHING)


def _oldest(sheets: Sequence[OwnedSheet]) -> set[str]:
    """The sheet of each kind and process that lies there longest, where there is a choice."""
    found = set()
    alike: dict[tuple[str, str], list[OwnedSheet]] = {}
    for sheet in sheets:
        if not _over(sheet):
            alike.setdefault((sheet.entry.kind, sheet.entry.process), []).append(sheet)
    for some in alike.values():
        if len(some) > 1:
            found.add(min(some, key=age).name)
    return found


def _small(sheet: OwnedSheet, oldest: set[str]) -> dict[str, Any]:
    from decalgen.pages.drawer_sheet import free_share

    words = f"{sheet.entry.kind} {sheet.entry.process}, {free_share(sheet)}"
    aged = f"bought {sheet.entry.bought}" if sheet.entry.bought else ""
    more = "; ".join(one for one in ("used up" if _over(sheet) else "", _age(sheet, oldest), aged) if one)
    drawn = sheet_drawing(sheet, SMALL_ROWS)
    return {"name": sheet.name, "words": words, "more": more, "over": _over(sheet), "drawing": drawn}


def _age(sheet: OwnedSheet, oldest: set[str]) -> str:
    return f"oldest {sheet.entry.kind} sheet" if sheet.name in oldest else ""


def _chosen(place: Workplace, sheet: OwnedSheet, oldest: set[str]) -> dict[str, Any]:
    from decalgen.pages.drawer_sheet import largest_size, sheet_words

    lines = [*sheet_words(sheet), sheet.entry.price]
    if sheet.parts and not _over(sheet):
        lines.append(f"worth keeping: {largest_size(sheet)} in one piece")
    if sheet.name in oldest:
        lines.append(f"the oldest {sheet.entry.kind} sheet in the drawer")
    steps = [step_words(sheet, step) for step in sorted({one.step for one in sheet.parts})]
    return {
        "name": sheet.name,
        "lines": [one for one in lines if one],
        "steps": steps,
        "done": sheet.steps,
        "printed": any(one.why == "printed" for one in sheet.parts),
        "carrier": feeding(sheet).way == "carrier",
        "drawing": sheet_drawing(sheet),
        "prints": _prints(place, sheet),
        "over": _over(sheet),
    }


def _prints(place: Workplace, sheet: OwnedSheet) -> list[dict[str, str]]:
    """The prints in the job's folder that lie on this sheet and are not marked on it yet."""
    known = {one.layout for one in sheet.parts}
    found = []
    for saved in prints_now(place.desk.path.parent):
        mine = [one for one in saved.taken if one.sheet.casefold() == sheet.name.casefold()]
        if mine and saved.digest not in known:
            name, pieces = Path(saved.file).name, sum(one.film == sheet.name for one in saved.positions)
            drawn = "".join(ring_data(ring) for one in mine for ring in one.parts)
            found.append({"file": name, "words": f"{name} puts {counted(pieces, 'piece')} on it.", "d": drawn})
    return found


def _choices() -> dict[str, list[str]]:
    from decalgen.job.films import sheet_sizes

    sizes = sorted((size.name for size in sheet_sizes()), key=lambda name: (name != "A5", name))
    return {
        "kind": ["white", "clear"],
        "process": ["inkjet", "laser"],
        "adhesive": ["waterslide", "self-adhesive"],
        "leads": list(SIDES),
        "corner": list(CORNERS),
        "size": sizes,
    }


def _done(place: Workplace, result: Result, sheet: str = "") -> None:
    """Keeps what a command said, for the page."""
    drawer_changed()
    lines = [_NUMBERED.sub("", on_page(one)) for one in result.lines if not one.startswith("a mistake? ")]
    groups = [{"what": one.purpose, "files": [path.name for path in one.paths]} for one in result.answer.groups]
    files = [path.name for path in result.files]
    done = result.answer.done
    place.results["film"] = {"done": done, "lines": lines, "sheet": sheet, "files": files, "groups": groups}
    place.tell(made="film", version=place.desk.version)


def add(place: Workplace, asked: Mapping[str, Any]) -> None:
    """`film add`: ``kind``, ``adhesive``, ``size``, ``process``; ``name``, ``count``, ``bought``, ``leads``, ``note``,
    ``price``."""
    from decalgen.commands.film_drawer import add as run

    choices = _choices()
    said = [_one_of(asked, key, choices[key]) for key in ("kind", "adhesive", "process")]
    size = typed_text(asked, "size") or "A5"
    film_named(place.desk.path.parent, size, "Size")
    price = typed_text(asked, "price")
    if price:
        try:
            typed_price(price)
        except ValueError as error:
            what, _, fix = str(error).partition("; ")
            raise InputError(f"Price of a sheet: {what}", fix=fix) from None
    kind, adhesive, process = said
    words = f"{kind} {adhesive} {size} {process}"
    result = run(
        words,
        typed_text(asked, "name") or None,
        typed_count(asked.get("count", ""), "How many"),
        typed_text(asked, "bought"),
        typed_text(asked, "leads") or "top",
        typed_text(asked, "note"),
        price,
    )
    _done(place, result)


def use(place: Workplace, asked: Mapping[str, Any]) -> None:
    """`film use`: ``file``, one of the positions beside the job."""
    from decalgen.commands.film_drawer import use as run

    folder = place.desk.path.parent
    known = {Path(saved.file).name for saved in prints_now(folder)}
    name = typed_text(asked, "file")
    if name not in known:
        raise InputError(f"there are no positions called '{name}' beside the job", fix="make the proof first")
    sheet = typed_text(asked, "sheet")
    _done(place, run(sheet, folder / name), sheet)


def back(place: Workplace, asked: Mapping[str, Any]) -> None:
    """`film back`; ``done``: how many steps the page shows, so that no other step is restored than the one meant."""
    from decalgen.commands.film_drawer import back as run
    from decalgen.workshop.drawer import Drawer

    sheet = Drawer().sheet(typed_text(asked, "sheet"))
    if asked.get("done") != sheet.steps:
        raise DrawerError(f"'{sheet.name}' was changed meanwhile", fix="look at what was done to it, and try again")
    _done(place, run(sheet.name), sheet.name)


def shift(place: Workplace, asked: Mapping[str, Any]) -> None:
    """`film shift` by ``x`` and ``y``; one of them may be left empty."""
    from decalgen.commands.film_drawer import shift as run

    x, y = (
        typed_mm(asked.get(key), what) if typed_text(asked, key) else 0.0
        for key, what in (("x", "To the right"), ("y", "Up"))
    )
    sheet = typed_text(asked, "sheet")
    _done(place, run(sheet, f"{x:g}mm", f"{y:g}mm"), sheet)
    place.results["film"]["undo"] = {"sheet": sheet, "x": f"{-x + 0.0:g}", "y": f"{-y + 0.0:g}"}


def cut_off(place: Workplace, asked: Mapping[str, Any]) -> None:
    """`film cut-off`: ``way`` is edge, corner, rectangle, polygon or all, with the boxes that it needs."""
    from decalgen.commands.film_drawer import Cutting
    from decalgen.commands.film_drawer import cut_off as run

    def mm(key: str, what: str) -> str:
        return f"{typed_mm(asked.get(key), what):.6f}"

    way = typed_text(asked, "way")
    if way == "edge":
        cutting = Cutting(edge=f"{typed_text(asked, 'edge')} {mm('depth', 'Depth')}")
    elif way == "corner":
        cutting = Cutting(corner=f"{typed_text(asked, 'corner')} {mm('width', 'Width')} {mm('height', 'Height')}")
    elif way == "rectangle":
        box = (("x", "From the left"), ("y", "From the bottom"), ("width", "Width"), ("height", "Height"))
        cutting = Cutting(rectangle=" ".join(mm(key, what) for key, what in box))
    elif way == "polygon":
        cutting = Cutting(polygon=typed_text(asked, "polygon") or None)
    else:
        cutting = Cutting(all=way == "all")
    sheet = typed_text(asked, "sheet")
    _done(place, run(sheet, cutting), sheet)


def show(place: Workplace, asked: Mapping[str, Any]) -> None:
    """`film show`: the picture beside the job, as ``form`` says: svg, png or pdf."""
    from decalgen.commands.film_drawer import show as run

    sheet, form = typed_text(asked, "sheet"), typed_text(asked, "form")
    ending = form if form in ("svg", "png", "pdf") else "pdf"
    _done(place, run(sheet, _beside(place, f"{slug(sheet, 'film')}.{ending}")), sheet)


def carrier(place: Workplace, asked: Mapping[str, Any]) -> None:
    """`film carrier`: the page that a remnant rides on, beside the job."""
    from decalgen.commands.film_drawer import carrier as run

    sheet = typed_text(asked, "sheet")
    _done(place, run(sheet, _beside(place, f"{slug(sheet, 'film')}-carrier.pdf")), sheet)


def export(place: Workplace, asked: Mapping[str, Any]) -> None:
    """`film export`: the whole drawer as a file beside the job."""
    from decalgen.commands.film_drawer import export as run

    _done(place, run(_beside(place, "film-drawer.json")), typed_text(asked, "sheet"))


def bring_in(place: Workplace, asked: Mapping[str, Any]) -> None:
    """`film import` of a file's ``text``; ``name`` is what the file is called."""
    from decalgen.commands.film_drawer import put_in

    _done(place, put_in(str(asked.get("text", "")).encode(), typed_text(asked, "name") or "that file"))


def _beside(place: Workplace, name: str) -> Path:
    return place.desk.path.with_name(name)


def _one_of(asked: Mapping[str, Any], key: str, known: Sequence[str]) -> str:
    found = typed_text(asked, key) or known[0]
    if found not in known:
        raise InputError(f"'{found[:40]}' is not one of {', '.join(known)}", fix="load the page again")
    return found


ACTS = {
    "add": add,
    "use": use,
    "back": back,
    "shift": shift,
    "cut_off": cut_off,
    "show": show,
    "carrier": carrier,
    "export": export,
    "bring_in": bring_in,
}
"""What can be done here."""
