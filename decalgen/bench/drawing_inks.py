"""The colours of own drawings on Draw: which ink of the job each is printed in, to be chosen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from decalgen.bench.desk import value_at
from decalgen.bench.readable import readable_job
from decalgen.core.errors import DecalgenError
from decalgen.job.colours import parse_colour
from decalgen.job.edits import EditError, Path, add_value, set_value
from decalgen.job.model import Decal, Job
from decalgen.shapes.drawing import OwnDrawing, matches_of

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace


def drawing_rows(job: Job, decal: Decal, group: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Each own drawing of a decal's own list: its number, its file, and its colours with their inks; ``off``: how far
    apart the two look (CIEDE2000)."""
    written = group.get("artwork")
    if not isinstance(written, list) or len(written) != len(decal.artwork):
        return []
    shades = {ink.name: ink.colour for ink in job.inks if not ink.stands_for}
    return [
        {
            "number": number,
            "file": one.shape.file.name,
            "inks": list(shades),
            "rows": [
                {"colour": row.colour, "ink": row.ink, "shade": shades.get(row.ink, ""), "off": f"{row.off:.1f}"}
                for row in matches_of(one.shape)
            ],
        }
        for number, one in enumerate(decal.artwork)
        if isinstance(one.shape, OwnDrawing) and isinstance(written[number].get("drawing"), dict)
    ]


def match_ink(place: Workplace, asked: Mapping[str, Any]) -> dict[str, str]:
    """Prints a colour of a drawing in an ink: ``decal``, ``number`` of the drawing, ``colour``, ``ink``. Raises
    EditError for what is not there any more."""
    job, name, number = readable_job(place), asked.get("decal"), asked.get("number")
    decal = next((one for one in job.decals if one.name == name), None)
    inside = isinstance(number, int) and decal is not None and 0 <= number < len(decal.artwork)
    shape = decal.artwork[number].shape if decal is not None and inside and isinstance(number, int) else None
    colour, ink = asked.get("colour"), asked.get("ink")
    if (
        not isinstance(shape, OwnDrawing)
        or colour not in {row.colour for row in matches_of(shape)}
        or ink not in {one.name for one in job.inks}
    ):
        raise EditError("that drawing or that ink is not there any more", fix="look at the page again")
    at: Path = ("decals", str(name), "artwork", int(str(number)), "drawing", "inks")
    there = value_at(place.desk.values, at)
    given = there if isinstance(there, dict) else {}
    key = next((one for one in given if _same(str(one), str(colour))), None)

    def make(text: str) -> str:
        if key is not None:
            return set_value(text, (*at, key), str(ink))
        if given:
            return add_value(text, (*at, str(colour)), str(ink))
        return add_value(text, at, {str(colour): str(ink)})

    place.desk.remake(f"ink of {colour} in {name}", make)
    return {"decal": str(name)}


def _same(written: str, colour: str) -> bool:
    try:
        return parse_colour(written) == colour
    except DecalgenError:
        return False
