"""The letterings of a decal: how near each that is drawn to measures came to them, its words in every face. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from shapely.affinity import translate

from decalgen.bench.blanks import Blank, as_text
from decalgen.bench.own_shapes import own_shapes
from decalgen.bench.pictures import UNIT, path_data
from decalgen.core.errors import DecalgenError
from decalgen.core.keys import specs
from decalgen.job.edits import Path
from decalgen.job.model import Decal
from decalgen.lettering.faces import face as face_named
from decalgen.lettering.faces import faces
from decalgen.lettering.measured import Reached
from decalgen.preflight.lettering import matched_words, shown
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.lettering_groups import Match

MEASURES = ("cap height", "length", "stem", "crossbar")


class OwnLettering(NamedTuple):
    """A lettering of a decal that its own artwork holds: its number there, and what the file says of it."""

    number: int
    lettering: Lettering
    body: dict[str, Any]


def own_letterings(decal: Decal, group: dict[str, Any]) -> Iterator[OwnLettering]:
    """The letterings that a decal's own list of shapes holds, not those of its layout or inside a group."""
    for number, item, element in own_shapes(decal, group):
        body = item.get("lettering")
        if isinstance(element.shape, Lettering) and isinstance(body, dict):
            yield OwnLettering(number, element.shape, body)


def lettering_rows(decal: Decal, group: dict[str, Any]) -> list[dict[str, Any]]:
    """Each lettering for the page: the blanks of its measures, what the drawing has of each, and what a check says."""
    return [_row(decal, one) for one in own_letterings(decal, group)]


def _row(decal: Decal, one: OwnLettering) -> dict[str, Any]:
    path: Path = ("decals", decal.name, "artwork", one.number, "lettering")
    found: dict[str, Any] = {"number": one.number, "words": shown(one.lettering), "face": str(one.lettering.face)}
    measures = one.body.get("match")
    if one.lettering.match is None or not isinstance(measures, dict):
        return found | {"measures": [], "said": "", "forced": []}
    abouts = {spec.key: spec.kind.about for spec in specs(Match)}
    try:
        done = one.lettering.block.matched
    except DecalgenError as error:
        done, told, forced = None, error.message, [error.fix]
    else:
        known = done is not None and one.lettering.match.cap_height is not None
        told = matched_words(found["words"], done) if done and known else "drawn with an assumed cap height"
        forced = list(done.out_of_range) if done and known else []
    reached = {one.name: one for one in done.reached} if done else {}
    measured = one.lettering.match.cap_height is not None
    rows = []
    for key in MEASURES:
        raw = measures.get(key)
        blank = Blank(key, (*path, "match", key), as_text(raw), "", abouts[key], (), raw is not None, raw)
        drawn = reached.get(key) if measured else None
        rows.append({"blank": blank.told(), "drawn": reached_words(drawn) if drawn else ""})
    return found | {"measures": rows, "said": told, "forced": forced}


def reached_words(one: Reached) -> str:
    """What the drawing has of what was read: '0.26 of 0.26 mm'."""
    return f"{one.reached:.2f} of {one.wanted:.2f} mm"


def in_every_face(lettering: Lettering, own: Sequence[str] = ()) -> list[dict[str, Any]]:
    """The very words in each face, those of the job's ``own`` first, to the same measures or in the same size, as small
    drawings in whole micrometres."""
    found = []
    for face in (*map(face_named, own), *faces()):
        axes = lettering.axes if face.name == lettering.face else ()
        # The word in this face alone, also where its letters now come from several.
        wanted = lettering.match and replace(lettering.match, faces=None)
        try:
            block = replace(lettering, face=face.name, axes=axes, match=wanted).block
        except DecalgenError as error:
            found.append({"face": str(face.name), "d": "", "box": [], "said": error.message})
            continue
        if block.region.is_empty:
            continue
        x0, y0, x1, y1 = block.region.bounds
        forced = "; ".join(block.matched.out_of_range) if block.matched else ""
        missing = f"lacks {', '.join(dict.fromkeys(block.missing))}" if block.missing else ""
        found.append(
            {
                "face": str(face.name),
                "d": path_data(translate(block.region, -x0, -y0)),
                "box": [round((x1 - x0) * UNIT), round((y1 - y0) * UNIT)],
                "said": missing or forced,
            }
        )
    # Those of the job come first, then those that are well suited.
    mine = set(map(str, own))
    return sorted(found, key=lambda one: (one["face"] not in mine, bool(one["said"])))
