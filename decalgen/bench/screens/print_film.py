"""Print: the sheet for film, once its proof passed; the files by what they are for; what to take care of."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.bench.screens.proof import leads, open_ends, proof_path, written
from decalgen.bench.standing import StepStanding
from decalgen.core.small_files import is_ordinary
from decalgen.proofing.files import positions_file, proven_file

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

NAME = "Print"
ABOUT = "the sheet on film"


def standing(place: Workplace) -> StepStanding:
    """Whether it may be printed."""
    waits = _waits(place)
    if waits:
        return StepStanding(False, f"waits for {waits[0]}")
    return StepStanding(bool(place.results.get("sheet", {}).get("files")), "made" if _made(place) else "ready to make")


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """What would open it; the files once they are made."""
    waits = _waits(place)
    opening = f"It waits for {' and '.join(waits)}." if waits else "The sheet is made from the very proof you measured."
    found = {"opening": opening, "waits": waits, "leads": leads(_ends(place))}
    return found | {"busy": place.busy, "made": place.results.get("sheet", {})}


def make(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Writes the print file, from the positions of the proof, and with ``cut`` a cutting file too. The jobs and the
    film are those that were chosen for the sheet, as on its proof."""
    path = place.desk.path
    output = path.with_name(f"{path.stem}-sheet.pdf")
    cut = (path.with_name(f"{path.stem}-cut.svg"),) if asked.get("cut") else ()
    paths, options = place.sheet_jobs(), place.options()
    place.desk.keep()

    def work() -> dict[str, Any]:
        from decalgen.commands.options import SheetFiles
        from decalgen.commands.run import Run
        from decalgen.commands.sheet import make_sheet

        return written(make_sheet(Run(paths, options), SheetFiles((output,), cut=cut)))

    place.start("sheet", "making the sheet", work)


def _made(place: Workplace) -> bool:
    return bool(place.results.get("sheet", {}).get("files"))


def _waits(place: Workplace) -> list[str]:
    return [words for _, words in _ends(place)]


def _ends(place: Workplace) -> list[tuple[str, str]]:
    found = open_ends(place)
    positions: Path = positions_file(proof_path(place))
    if not found and not (is_ordinary(positions) and is_ordinary(proven_file(positions))):
        found.append(("proof", "Proof"))
    if not found and place.changed_since_proof():
        found.append(("proof", f"a new proof ({'; '.join(place.changed_since_proof())})"))
    return found


ACTS = {"make": make}
"""What can be done here."""
