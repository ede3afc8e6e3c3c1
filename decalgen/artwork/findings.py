"""What is noticed while a decal is drawn: lettering lost in its ground or cut off, white on clear film, bad slits."""

from __future__ import annotations

from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.errors import Finding
from decalgen.core.geometry import EMPTY, boxes_meet, region, union
from decalgen.job.model import Decal
from decalgen.panels.base import Panel
from decalgen.shapes.base import Inked

MERGE = 0.01
"""Lettering that shares more than this part of its area with ground of its own ink has merged with it."""


def lettering_findings(painted: list[Inked], decal: Decal, edge: Polygon, unprinted: set[str]) -> list[Finding]:
    """Lettering that touches its own ink, or is cut off. ``unprinted`` inks are bare film: so is bare ground."""
    found: list[Finding] = []
    for position, letters in enumerate(painted):
        if not letters.lettering or letters.region.is_empty:
            continue
        own: MultiPolygon = region(edge) if letters.ink in unprinted else EMPTY
        for item in painted[:position]:
            if not boxes_meet(letters.region, item.region):
                continue
            own = union([own, item.region]) if item.ink == letters.ink else region(own.difference(item.region))
        hidden = letters.region.intersection(own)
        shared = hidden.area
        if shared > MERGE * letters.region.area:
            part = shared / letters.region.area
            ground = "bare white film" if letters.ink in unprinted else f"'{letters.ink}'"
            found.append(
                Finding(
                    "error",
                    "lettering-merges",
                    decal.name,
                    f"lettering in '{letters.ink}' lies on {ground}: {part:.0%} of it cannot be seen",
                    "give the lettering another ink, or put a ground of another ink under it",
                    decal.place,
                    100 * part,
                    100 * MERGE,
                    "%",
                    areas=(hidden.bounds,),
                )
            )
        elif not own.is_empty and letters.region.intersects(own):
            found.append(
                Finding(
                    "warning",
                    "lettering-touches",
                    decal.name,
                    f"lettering in '{letters.ink}' touches an area of the same ink and runs into it",
                    "move it with `at`, or make it smaller",
                    decal.place,
                    areas=(letters.region.bounds,),
                )
            )
        outside = EMPTY if edge.covers(letters.region) else letters.region.difference(edge)
        lost = outside.area
        if lost > MERGE * letters.region.area:
            found.append(
                Finding(
                    "error",
                    "lettering-cut-off",
                    decal.name,
                    f"{lost / letters.region.area:.0%} of the lettering lies beyond the cut line",
                    "make the decal larger or the lettering smaller; or move it with `at` (an arc's centre)",
                    decal.place,
                    100 * lost / letters.region.area,
                    100 * MERGE,
                    "%",
                    areas=(outside.bounds,),
                )
            )
    return found


def no_slits(decal: Decal) -> Finding:
    """Slits asked for that come to nothing."""
    fix = "leave `slits` out"
    if decal.slits:
        fix += ", or check the points of the shut line: along its middle, from the panel's lower left corner"
    return Finding(
        "note", "slits-none", decal.name, "needs no slits: none of those asked for meets it", fix, decal.place
    )


def falls_apart(name: str, decal: Decal, count: int) -> Finding:
    """Slits that meet each other round a part of the film."""
    return Finding(
        "error",
        "slits-part",
        name,
        f"its slits meet and would cut the film into {count} parts",
        "take one of the shut lines out of `slits`, or put it under `split at`",
        decal.place,
    )


def no_white(decal: Decal) -> Finding:
    """White on clear film without a white printer."""
    return Finding(
        "error",
        "white-on-clear",
        decal.name,
        "white is asked for on clear film, and this printer prints no white: it would come out as bare, clear film",
        "either `film: white` for this decal (white is then bare film); or `backing: white`, a backing cut from white "
        "film to lay under the clear one; or leave white out and paint a white patch on the model first",
        decal.place,
    )


def not_as_seen(decal: Decal, panel: Panel, flat: bool) -> list[Finding]:
    """What is drawn along the film (``flat``: all of it) although it was to look straight from the front."""
    if flat and getattr(panel.surface, "folds", False):
        message = (
            f"goes round the edge of panel '{panel.name}', and no one view shows all of it: it is drawn along the "
            "film, so that stripes run on straight over both faces"
        )
        fix = "leave `as seen` out where a decal goes round an edge"
        return [Finding("note", "as-seen-folds", decal.name, message, fix, decal.place)]
    if panel.kind == "cylinder" and panel.surface is not None and panel.surface.bend == 0:
        message = f"tape alone does not tell how panel '{panel.name}' bends: it is drawn along the film, not as seen"
        fix = "measure its chord, rise or radius too"
        return [Finding("warning", "as-seen-bend", decal.name, message, fix, decal.place)]
    return []
