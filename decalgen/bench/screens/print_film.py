"""Print: the sheet for film, once its proof passed; the files by what they are for; what to take care of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from decalgen.bench.open_ends import leads, open_ends
from decalgen.bench.print_files import sheet_path, written
from decalgen.bench.printed import printed_standing, printed_words
from decalgen.bench.printing import print_acts, printing_state
from decalgen.bench.proof_now import offered
from decalgen.bench.standing import StepStanding
from decalgen.core.small_files import is_ordinary
from decalgen.sheet.record import RECORD_ENDING

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

NAME = "Print"
ABOUT = "the sheet on film"


def standing(place: Workplace) -> StepStanding:
    """Whether it may be printed."""
    waits = _waits(place)
    if waits:
        # Why a new one is asked for stands on the screen; the card is narrow.
        return StepStanding(False, f"waits for {waits[0].partition(' (')[0]}")
    if place.printed:
        return printed_standing(place.printed)
    made = bool(_made(place).get("files"))
    return StepStanding(made, "made" if made else "ready to make")


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """What would open it; the files once they are made."""
    waits = _waits(place)
    # What was made before a change is not offered as the sheet of now.
    made = offered((), place.results.get("sheet", {})) if waits else _made(place)
    printed = place.printed
    record = next((name for name in made.get("files", ()) if name.endswith(RECORD_ENDING)), "")
    opening = printed_words(printed, record) if printed else _opening(waits, bool(made.get("files")))
    found = {"printed": printed is not None, "opening": opening, "waits": waits, "leads": leads(_ends(place))}
    found["printing"] = None if waits or printed else printing_state(place, "film")
    return found | {"busy": place.busy, "made": made, "past": "" if made else _past(place)}


def _opening(waits: Sequence[str], made: bool) -> str:
    """What is done and what is open."""
    if waits:
        return f"It waits for {' and '.join(waits)}."
    if made:
        return "The sheet is made from the very proof that passed: print it on film."
    return "The proof passed, and the sheet for film is not made yet."


def make(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Writes the print file, from the positions of the proof, and with ``cut`` a cutting file too. The jobs and the
    film are those that were chosen for the sheet, as on its proof."""
    path = place.desk.path
    output = sheet_path(place.desk.path)
    cut = (path.with_name(f"{path.stem}-cut.svg"),) if asked.get("cut") else ()
    paths, options = place.sheet_jobs(), place.options()
    place.desk.keep()

    def work() -> dict[str, Any]:
        from decalgen.commands.options import SheetFiles
        from decalgen.commands.run import Run
        from decalgen.commands.sheet import make_sheet

        return written(make_sheet(Run(paths, options), SheetFiles((output,), cut=cut)))

    place.start("sheet", "making the sheet", work)


def _made(place: Workplace) -> dict[str, Any]:
    """The sheet that was made from the proof, where it lies there as it was written."""
    return offered(place.proof_on_disk().sheet, place.results.get("sheet", {}))


def _past(place: Workplace) -> str:
    """What is said of a sheet that lies there and is not of now."""
    path = sheet_path(place.desk.path)
    if not is_ordinary(path) or place.busy or place.proof_unsure:
        return ""
    return f"'{path.name}' beside the job was made before: it is not the sheet as it is now, so do not print it."


def _waits(place: Workplace) -> list[str]:
    return [words for _, words in _ends(place)]


def _ends(place: Workplace) -> list[tuple[str, str]]:
    found = open_ends(place)
    if not found and place.proof_on_disk().word != "passed":
        found.append(("proof", "Proof"))
    if not found and place.changed_since_proof():
        found.append(("proof", f"a new proof ({'; '.join(place.changed_since_proof())})"))
    if not found and place.proof_unsure:
        found.append(("", "a look at whether the proof still holds"))
    return found


ACTS = {"make": make, **print_acts("film")}
"""What can be done here."""
