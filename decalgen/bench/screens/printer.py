"""Printer: beside the job. How it stretches, measured on its target; the profiles kept; drift; its colours."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from decalgen.bench.calibrating import findings_of, keep_profile, make_target, target_state, type_span
from decalgen.bench.page_words import on_page
from decalgen.bench.standing import StepStanding, counted, error_words
from decalgen.bench.swatching import make_swatches, read_swatch_boxes, swatch_state
from decalgen.bench.typed_film import in_folder, known_films, printer_files, sheet_printers, typed_text
from decalgen.bench.typed_mm import typed_count
from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.instruments import LINE_TOOLS
from decalgen.job.model import Printer
from decalgen.printer.history import FEEDS, TOLERANCE, History, significant
from decalgen.sheet.record import RECORD_ENDING
from decalgen.workshop.profiles import Kept, folder, kept

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace
    from decalgen.commands.options import Result

NAME = "Printer"
ABOUT = "how it stretches, and its correction"
NONE = "No printer is calibrated yet: print the target on your film and measure it, and every print is corrected by it."
LEFT = (
    ("the correction into a printer file of your own", "decalgen calibrate read -o my-printer-2026-11-25.yaml"),
    ("readings that are in a text file already", "decalgen calibrate read readings.txt --keep NAME --date …"),
    ("swatches of the inks of several jobs", "decalgen calibrate colour a.yaml b.yaml"),
)
"""What is left to the command: what it is, and the command."""
MOST_RECORDS = 60


def standing(place: Workplace) -> StepStanding:
    """How many profiles are kept, and whether one has drifted."""
    try:
        known = kept()
    except DecalgenError:
        return StepStanding(False, "cannot be read")
    if not known:
        return StepStanding(True, "not calibrated")
    off = sum(drifted(one) for one in known)
    return StepStanding(
        not off, f"{counted(off, 'profile')} drifted" if off else f"{counted(len(known), 'profile')} kept"
    )


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The profiles with their history; the target and what was read of it; the swatches."""
    found: dict[str, Any] = {"said": place.results.get("printer", {}), "wrong": "", "profiles": []}
    known: Sequence[Kept] = ()
    try:
        known = kept()
        found["opening"] = _opening(known)
    except DecalgenError as error:
        found |= {"opening": "The profiles cannot be read.", "wrong": error_words(error)}
    beside = place.desk.path.parent
    found["profiles"] = [_profile(one) for one in known]
    names = sorted({one.printer.name for one in known})
    choices = {"printer": [["", "a new printer"], *([name, name] for name in (*names, *printer_files(beside)))]}
    found["choices"] = choices | {"film": known_films(), "tool": list(LINE_TOOLS), "feed": list(FEEDS)}
    found["sheet"] = {"printer": place.choice.printer, "choices": sheet_printers(beside, place.choice.printer)}
    found["target"] = target_state(place, view)
    found["swatches"] = swatch_state(place, view)
    found["records"] = _records(place)
    found["left"] = [list(one) for one in LEFT]
    found["plain"] = _plain()
    found["kept"] = f"Profiles are kept in {folder()}."
    return found


def _plain() -> str:
    """What a printer is taken for of which nothing is said."""
    plain = Printer()
    edges = " and ".join(dict.fromkeys(f"{one:g} mm" for one in plain.margins))
    white = "with" if plain.white else "without"
    return (
        f"A new printer is taken for an {plain.process} {white} white ink that leaves {edges} at each edge. For "
        "another, put a printer file beside the job and choose it here; `decalgen keys printer` says what is in one."
    )


def drifted(one: Kept) -> bool:
    """Whether the bars read since its calibration say that it has moved too far."""
    known = one.printer.history or History()
    moves = [known.drift(axis) for axis in ("x", "y")]
    return any(move is not None and significant(move) and abs(move.value) > TOLERANCE for move in moves)


def _opening(known: Sequence[Kept]) -> str:
    if not known:
        return NONE
    off = [one.words for one in known if drifted(one)]
    moved = f" Calibrate again: {'; '.join(off)}." if off else ""
    return f"{counted(len(known), 'profile')} kept.{moved}"


def _profile(one: Kept) -> dict[str, Any]:
    from decalgen.commands.printer_drift import history_rows

    setting = one.setting
    words = [part for part in (one.printer.name, setting.film, setting.tray, setting.feed) if part]
    return {
        "words": one.words,
        "named": ", ".join(words),
        "lines": [on_page(row.strip()) for row in history_rows(one.printer.history or History())],
        "drifted": drifted(one),
        "drift": _moves(one.printer.history or History()),
        "allowed": TOLERANCE * 100,
        "file": str(one.path),
        "setting": {"printer": one.printer.name, "film": setting.film, "tray": setting.tray, "feed": setting.feed},
    }


def _moves(known: History) -> list[dict[str, Any]]:
    """How far each print measured since the newest calibration was off, %; None where it was not read."""
    found = []
    for read in known.since:
        ratios = {axis: read.ratio(axis) for axis in ("x", "y")}
        moves = {axis: None if one is None else round((one.value - 1) * 100, 3) for axis, one in ratios.items()}
        found.append({"date": read.date, **moves})
    return found


def _records(place: Workplace) -> list[str]:
    with suppress(OSError):
        return [path.name for path in sorted(place.desk.path.parent.glob(f"*{RECORD_ENDING}"))[:MOST_RECORDS]]
    return []


def bars(place: Workplace, asked: Mapping[str, Any]) -> Result:
    """`calibrate bars` of the profile called ``profile``: ``x``, ``y``, ``date``, ``tool``; how long they should be is
    in ``record`` and ``sheet``, or ``asked_x`` and ``asked_y``."""
    from decalgen.commands.printer_drift import Read
    from decalgen.commands.printer_drift import bars as run

    record = typed_text(asked, "record")
    path = in_folder(place.desk.path.parent, record, "Record of the print") if record else None
    x, y = ([text] if (text := typed_text(asked, key)) else [] for key in ("x", "y"))
    long_x, long_y = (typed_text(asked, key) or None for key in ("asked_x", "asked_y"))
    sheet = typed_count(asked.get("sheet", ""), "Sheet")
    tool = typed_text(asked, "tool") or LINE_TOOLS[0]
    words = typed_text(asked, "profile")
    return run(Read(words, x, y, typed_text(asked, "date"), None, tool, long_x, long_y, path, sheet))


def choose(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Which ``printer`` this sheet is printed with, as `--printer` names it. Raises InputError for none of those."""
    printer = typed_text(asked, "printer")
    if printer not in [one for one, _ in sheet_printers(place.desk.path.parent)]:
        raise InputError(f"'{printer[:60]}' is not a printer of yours", fix="choose one from the list")
    place.choose({"printer": printer})
    place.tell(made="choice", version=place.desk.version)


def _saying(work: Callable[[Workplace, Mapping[str, Any]], Result]) -> Callable[[Workplace, Mapping[str, Any]], None]:
    """An act that keeps what its command said, for the page. Files beside the job can be fetched there."""

    def run(place: Workplace, asked: Mapping[str, Any]) -> None:
        result = work(place, asked)
        beside = [path for path in result.files if path.parent == place.desk.path.parent]
        names = [path.name for path in beside]
        groups = [{"what": one.purpose, "files": [path.name for path in one.paths]} for one in result.answer.groups]
        place.results["printer"] = {
            "done": result.answer.done,
            "lines": [on_page(one) for one in result.lines],
            "findings": findings_of(result),
            "files": names,
            "groups": groups if names else [],
        }
        place.tell(made="printer", version=place.desk.version)

    return run


ACTS = {
    "target": _saying(make_target),
    "type": type_span,
    "keep": _saying(keep_profile),
    "choose": choose,
    "bars": _saying(bars),
    "swatches": _saying(make_swatches),
    "colours": _saying(read_swatch_boxes),
}
"""What can be done here."""
