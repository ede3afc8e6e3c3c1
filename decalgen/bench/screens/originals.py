"""Originals: a scan or photo of what is left of one, what is read from it, and that as a decal of the job."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from decalgen.bench.copies_beside import keep_beside, plain_name
from decalgen.bench.original_words import doubts_words, open_doubts, outline_told, picture_told, read_told, wrong_told
from decalgen.bench.picture_offers import picture_names
from decalgen.bench.readable import readable_job
from decalgen.bench.standing import StepStanding
from decalgen.core.pixels.values import PictureData
from decalgen.core.scan_kinds import KINDS
from decalgen.core.small_files import Wanted, read_small
from decalgen.job.edits import EditError
from decalgen.job.pictures import KINDS as ENDINGS

if TYPE_CHECKING:
    from decalgen.bench.original_shelf import OriginalPicture
    from decalgen.bench.workplace import Workplace
    from decalgen.job.model import Job

NAME = "Originals"
ABOUT = "what is left of the originals, read from a scan"
NONE_YET = (
    "Drop a scan or photo of what is left of an original: its sizes, its pattern and its colours are read from it, "
    "each with its \N{PLUS-MINUS SIGN}. Where nothing is left, go on to Draw."
)


def standing(place: Workplace) -> StepStanding:
    """What was read and waits; a job needs no original."""
    shelf = place.originals
    made = sum(len(_added(place, one)) + len(_outlined(place, one)) for one in shelf.pictures)
    if shelf.stage:
        return StepStanding(False, "being read ...", looking=True)
    if any(not (_added(place, one) or _outlined(place, one)) for one in shelf.pictures):
        return StepStanding(False, "read, not added" if shelf.shown and shelf.shown.is_read else "not read yet")
    return StepStanding(True, f"{made} added" if made else "none scanned")


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The picture that is shown with all that was read from it, and what it can be added to."""
    shelf, job = place.originals, place.desk.job
    one = shelf.shown
    found: dict[str, Any] = {
        "opening": _opening(place, one),
        "pictures": [{"key": other.key, "name": other.name} for other in shelf.pictures],
        "beside": picture_names(place.desk.path.parent),
        "stage": shelf.stage,
        "patterns": [list(row) for row in KINDS.items()],
        "panels": [{"name": panel.name, "sided": _sided(job, panel.name)} for panel in job.panels] if job else [],
        "picture": None,
    }
    if one is not None:
        found |= {"picture": picture_told(one), "wrong": wrong_told(one), "read": read_told(one, job)}
        found["outline"] = outline_told(one)
        found |= {"open": open_doubts(one), "added": [list(row) for row in _added(place, one)]}
        found["outlined"] = _outlined(place, one)
    return found


def _sided(job: Job, panel: str) -> bool:
    """Whether the model has a panel on either side: one of a hand, or one with a decal on both."""
    handed = any(one.name == panel and one.hand for one in job.panels)
    return handed or any(one.panel == panel and one.hands == "both" for one in job.decals)


def _added(place: Workplace, one: OriginalPicture) -> list[tuple[str, str]]:
    """The decals that were made of a picture and are in the job still, each with its panel."""
    job = place.desk.job
    there = {(decal.name, decal.panel) for decal in job.decals} if job else set()
    return [row for row in one.added if row in there]


def _outlined(place: Workplace, one: OriginalPicture) -> list[str]:
    """The panels that were made of a picture and are in the job still."""
    job = place.desk.job
    there = {panel.name for panel in job.panels} if job else set()
    return [name for name in one.outlined if name in there]


def _opening(place: Workplace, one: OriginalPicture | None) -> str:
    """What is done and what is open."""
    if one is None:
        return NONE_YET
    if place.originals.stage:
        return f"{one.name} is being read: {place.originals.stage} ..."
    if one.said.waits:
        return f"{one.name} is not read yet: {one.said.waits}."
    if wrong_told(one):
        return f"Nothing could be read from {one.name} yet."
    if not one.is_read:
        return f"{one.name} is not read yet."
    if one.panel is not None:
        done = f" In the job as {', '.join(_outlined(place, one))}." if _outlined(place, one) else ""
        return f"A panel read from {one.name}. Compare the line with the picture, then put it into the job.{done}"
    left = doubts_words(open_doubts(one))
    said = f"Read from {one.name}, {left}." if left else f"Read from {one.name}; nothing is in doubt."
    if added := _added(place, one):
        return f"{said} Added: {', '.join(decal for decal, _ in added)}."
    return f"{said} Compare the lines with the scan, then add it to the job."


# ---------------------------------------------------------------------------------------------------------------- acts
def say(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Says something of the picture: values of an `OriginalSaid` by their names; it is read again. Raises EditError,
    ScanWordsError."""
    what = asked.get("what")
    if not isinstance(what, dict):
        raise EditError("that cannot be read", fix="load the page again")
    place.originals.held().say(what)
    place.originals.look(place)


def value(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Types a value over what was read: ``name``, ``to``, '' to go back to it. Raises TypedOverError, EditError."""
    place.originals.held().type_over(str(asked.get("name", "")), str(asked.get("to", ""))[:120])


def take(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Takes a value in doubt as it was read, or no longer: ``name``. Raises EditError."""
    one, name = place.originals.held(), str(asked.get("name", ""))
    if name not in {row.name for row in one.read().fits[0].values}:
        raise EditError("that value is not there any more", fix="look at the page again")
    one.taken ^= {name}


def show(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Shows another of the pictures: ``key``. Raises EditError."""
    one = place.originals.of(str(asked.get("key", "")))
    if one is None:
        raise EditError("that picture is not here any more", fix="drop it once more")
    place.originals.show(place, one)


def beside(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Takes a picture that lies beside the job: ``name``. Raises EditError, InputError, PixelsError."""
    from decalgen.bench.original_shelf import OriginalPicture
    from decalgen.commands.page_scans import MOST_BYTES

    name, folder = str(asked.get("name", "")), place.desk.path.parent
    if name not in picture_names(folder):
        raise EditError("there is no such picture beside the job", fix="look at the page again")
    data = read_small(folder / name, MOST_BYTES, Wanted("choose a PNG, JPEG or TIFF file", ENDINGS))
    place.originals.bring(place, OriginalPicture(PictureData(plain_name(name), data))).kept = name


def away(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Puts the picture that is shown away."""
    place.originals.put_away(place, place.originals.held().key)


def keep(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Copies the picture into the folder of the job; no file there is written over. Raises EditError, OutputError."""
    one = place.originals.held()
    one.kept = keep_beside(place.desk.path.parent, one.file_name, one.picture.data)[0].name


def look(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Reads the picture after it was stopped."""
    place.originals.held()
    place.originals.look(place)


def stop(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Ends the reading."""
    place.originals.stop()


def add(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Adds what was read to the job, as a decal with its readings as notes: ``panel``, ``name`` ('' gives it one),
    ``both``: for both hands. Raises EditError, and what `with_decal` raises."""
    from dataclasses import replace

    from decalgen.commands.scan import notes_of
    from decalgen.commands.scan_into import with_decal
    from decalgen.commands.scan_words import ScanJob

    job, one = readable_job(place), place.originals.held()
    read, fit = one.read(), one.fit
    assert fit is not None
    found = replace(read, fits=(fit, *read.fits[1:]))
    panel = str(asked.get("panel", ""))
    hands = "both" if _sided(job, panel) and asked.get("both") is True else ""
    into = ScanJob(place.desk.path, panel, str(asked.get("name", "")).strip(), hands)
    notes = notes_of(found)
    # The name is settled once, also where the file is changed meanwhile.
    into = replace(into, name=with_decal(into, found, notes, place.desk.text)[0])
    place.desk.remake(f"{into.name} from {one.name}", lambda text: with_decal(into, found, notes, text)[1])
    one.added.append((into.name, panel))


def panel(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Puts the panel that was read into the job, with its readings as notes: ``name``, ``instead``: in place of one of
    that name. Raises EditError, and what `with_panel` raises."""
    from decalgen.commands.scan_template import notes_of_template
    from decalgen.commands.template_into import PanelHome, with_panel

    readable_job(place)
    one = place.originals.held()
    found, name = one.outline(), " ".join(str(asked.get("name", "")).split())
    if not name:
        raise EditError("the panel needs a name", fix="a word or two, such as door")
    home, notes = PanelHome(place.desk.path, name, asked.get("instead") is True), notes_of_template(found)
    place.desk.remake(f"{name} from {one.name}", lambda text: with_panel(home, found, notes, text))
    one.outlined.append(name)


ACTS = {
    "say": say,
    "value": value,
    "take": take,
    "show": show,
    "beside": beside,
    "away": away,
    "keep": keep,
    "look": look,
    "stop": stop,
    "add": add,
    "panel": panel,
}
"""What can be done here."""
