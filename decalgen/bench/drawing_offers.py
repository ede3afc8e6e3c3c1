"""The drawings in a job's folder that can come in as decals or shapes: each as it would be printed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from decalgen.bench.pictures import UNIT, Drawings, path_data
from decalgen.core.errors import DecalgenError, in_a_sentence
from decalgen.core.names import first_few
from decalgen.core.small_files import Wanted, read_small_text, signature
from decalgen.core.svg.text import DrawingText
from decalgen.job.drawings import KINDS, MOST_BYTES
from decalgen.job.first_drawings import drawing_of, own_colours
from decalgen.job.model import Job
from decalgen.shapes.base import Box
from decalgen.shapes.drawing import OwnDrawing, matches_of

MOST_OFFERED = 24
"""So many drawings are offered, those that were changed last."""
HEIGHT = 10.0
"""How high a drawing is drawn to be looked at, mm."""


def files_beside(folder: Path, kinds: tuple[str, ...], most: int) -> list[str]:
    """The files of some kinds that lie in a folder, by their names; at most so many, those that were changed last."""
    try:
        found = [one for one in folder.iterdir() if one.suffix.lower() in kinds and one.name[0] != "."]
        newest = sorted(found, key=lambda one: -one.lstat().st_mtime_ns)
    except OSError:
        return []
    names = [one.name for one in newest if one.is_file() and not one.is_symlink()]
    return sorted(names[:most])


def drawing_names(folder: Path) -> list[str]:
    """The drawings that lie beside a job, by their names; at most `MOST_OFFERED`, those that were changed last."""
    return files_beside(folder, KINDS, MOST_OFFERED)


def drawing_text(folder: Path, name: str) -> str:
    """The text of a drawing beside a job. Raises DecalgenError for a name that is none of `drawing_names`, InputError
    for what is no small text."""
    if name not in drawing_names(folder):
        raise DecalgenError(
            f"there is no drawing '{name[:60]}' beside the job", fix="save it there as plain SVG or DXF"
        )
    return _text(folder / name)


def _text(path: Path) -> str:
    return read_small_text(path, MOST_BYTES, Wanted("save it as plain SVG or DXF", KINDS))


def drawing_offers(drawings: Drawings, job: Job, folder: Path) -> list[dict[str, Any]]:
    """The drawings beside a job as they would come in; those that cannot be printed last, with why."""
    inks = tuple((ink.name, ink.colour) for ink in job.inks)

    def offer(name: str) -> dict[str, Any]:
        key = ("drawing", name, signature(folder / name), inks)
        found: dict[str, Any] = drawings.kept(key, lambda: _offer(job, folder / name))
        return found

    return sorted(map(offer, drawing_names(folder)), key=lambda one: bool(one.get("wrong")))


def _offer(job: Job, path: Path) -> dict[str, Any]:
    """One of `drawing_names` as it would come in."""
    name = path.name
    try:
        text = drawing_of(job, name, _text(path))
        own = own_colours(OwnDrawing(file=text, height=HEIGHT))
        # As it is printed once the job has inks of those colours.
        inked = DrawingText(name, text.text, (*text.inks, *((colour, colour) for colour in own)))
        shape = OwnDrawing(file=inked, height=HEIGHT)
        size = shape.extent(Box(1.0, 1.0))
        areas = shape.draw(size)
    except DecalgenError as error:
        return {"name": name, "wrong": in_a_sentence(error)}
    colours = dict(inked.inks)
    inks = [{"colour": colours[part.ink], "d": path_data(part.region)} for part in areas]
    box = [0, 0, round(size.width * UNIT), round(size.height * UNIT)]
    near = [one.ink for one in matches_of(shape) if one.ink not in own]
    return {"name": name, "about": _about(list(dict.fromkeys(near)), len(own)), "box": box, "inks": inks}


def _about(near: list[str], own: int) -> str:
    """In which inks a drawing would be printed."""
    new = f"{own} new ink{'' if own == 1 else 's'} of its own colours" if own else ""
    return " and ".join(one for one in (f"in {first_few(near)}" if near else "", f"with {new}" if new else "") if one)
