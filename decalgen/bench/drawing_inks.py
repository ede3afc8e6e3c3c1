"""The colours of own drawings on Draw: which ink of the job each is printed in, to be chosen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from decalgen.bench.desk import value_at
from decalgen.bench.own_shapes import own_shapes
from decalgen.bench.readable import readable_job
from decalgen.core.errors import DecalgenError
from decalgen.job.colours import parse_colour
from decalgen.job.edits import EditError, Path, add_value, set_value
from decalgen.job.first_drawings import with_ink
from decalgen.job.model import Decal, Job
from decalgen.shapes.drawing import OwnDrawing, matches_of

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace


def own_drawings(decal: Decal, group: Mapping[str, Any]) -> Iterator[tuple[int, OwnDrawing]]:
    """The drawings that a decal's own list holds, each with its number there."""
    for number, item, element in own_shapes(decal, group):
        if isinstance(element.shape, OwnDrawing) and isinstance(item.get(OwnDrawing.name), dict):
            yield number, element.shape


def drawing_rows(job: Job, decal: Decal, group: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Each own drawing of a decal's own list: its number, its file, and its colours with their inks; ``off``: how far
    apart the two look (CIEDE2000); ``new``: no ink has that colour, and one could be added."""
    shades = {ink.name: ink.colour for ink in job.inks if not ink.stands_for}
    return [
        {
            "number": number,
            "file": shape.file.name,
            "inks": list(shades),
            "rows": [
                {
                    "colour": row.colour,
                    "ink": row.ink,
                    "shade": shades.get(row.ink, ""),
                    "off": f"{row.off:.1f}",
                    "new": row.colour not in shades.values(),
                }
                for row in matches_of(shape)
            ],
        }
        for number, shape in own_drawings(decal, group)
    ]


def match_ink(place: Workplace, asked: Mapping[str, Any]) -> dict[str, str]:
    """Prints a colour of a drawing in an ink: ``decal``, ``number`` of the drawing, ``colour``, ``ink``; without
    a name, in a new ink of just that colour. Raises EditError for what is not there any more."""
    job, name = readable_job(place), str(asked.get("decal"))
    decal = next((one for one in job.decals if one.name == name), None)
    group = value_at(place.desk.values, ("decals", name))
    drawings = own_drawings(decal, group) if decal and isinstance(group, dict) else ()
    number, shape = next((one for one in drawings if one[0] == asked.get("number")), (0, None))
    colour, ink = str(asked.get("colour")), str(asked.get("ink"))
    colours = {row.colour for row in matches_of(shape)} if shape else set()
    if shape is None or colour not in colours or ink not in {"", *(one.name for one in job.inks)}:
        raise EditError("that drawing or that ink is not there any more", fix="look at the page again")
    at: Path = ("decals", name, "artwork", number, OwnDrawing.name, "inks")
    there = value_at(place.desk.values, at)
    given = there if isinstance(there, dict) else {}
    key = next((one for one in given if _same(str(one), colour)), None)

    def make(text: str) -> str:
        text, chosen = (text, ink) if ink else with_ink(text, job, shape.file.name, colour)
        if key is not None:
            return set_value(text, (*at, key), chosen)
        if given:
            return add_value(text, (*at, colour), chosen)
        return add_value(text, at, {colour: chosen})

    place.desk.remake(f"ink of {colour} in {name}", make)
    return {"decal": name}


def _same(written: str, colour: str) -> bool:
    try:
        return parse_colour(written) == colour
    except DecalgenError:
        return False
