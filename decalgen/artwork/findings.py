"""What is noticed while a decal is drawn: lettering lost in its ground or cut off, white on clear film, bad slits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from decalgen.core.errors import Finding, Place
from decalgen.core.geometry import EMPTY, TOLERANCE, boxes_meet, region, union
from decalgen.job.layouts import is_ready
from decalgen.job.model import Decal
from decalgen.panels.base import Panel
from decalgen.shapes.base import Element, Inked

NARROWEST = 1.5
"""No narrower strip of white film is cut and laid by hand, mm (common practice, no source)."""
MERGE = 0.01
"""Lettering that shares more than this part of its area with ground of its own ink has merged with it."""


def lettering_findings(painted: list[Inked], decal: Decal, edge: Polygon, unprinted: set[str]) -> list[Finding]:
    """Lettering that touches its own ink. ``unprinted`` inks are bare film: so is bare ground."""
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
                    f"{_called(letters)} in '{letters.ink}' lies on {ground}: {part:.0%} of it cannot be seen",
                    "give the lettering another ink, or put a ground of another ink under it",
                    written_at(letters.place, decal),
                    round(100 * part),
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
                    f"{_called(letters)} in '{letters.ink}' touches an area of the same ink and runs into it",
                    "move it with `at`, or make it smaller",
                    written_at(letters.place, decal),
                    areas=(letters.region.bounds,),
                )
            )
    return found


def cut_off(painted: Sequence[Inked], decal: Decal, edge: Polygon, margin: float) -> list[Finding]:
    """Lettering that reaches out of its decal: one finding a lettering, shown by the box that the word needs.

    Of copies that differ in nothing the finding has the places of all.

    ``edge``: where the artwork ends, a bare ``margin`` (mm) inside the cut line.
    """
    found = []
    for words, parts in _letterings(painted, decal.as_seen):
        if all(edge.covers(part.region) for part in parts):
            continue
        letters = union(part.region for part in parts)
        outside = region(letters.difference(edge))
        lost = outside.area / letters.area if letters.area else 0.0
        if lost <= MERGE:
            continue
        x0, y0, x1, y1 = letters.bounds
        a0, b0, a1, b1 = edge.bounds
        sides = {"left": a0 - x0, "right": x1 - a1, "bottom": b0 - y0, "top": y1 - b1}
        if decal.hands == "both":
            # Left on the one hand is right on the other, and both are told once.
            sides = {"side": max(sides["left"], sides["right"]), "bottom": sides["bottom"], "top": sides["top"]}
        over = ", ".join(f"{by:.2f} mm at the {side}" for side, by in sides.items() if by > TOLERANCE)
        where = f"the edge of the artwork, {margin:.2f} mm inside the cut line" if margin > 0 else "the cut line"
        needs = f"needs {x1 - x0:.2f} \N{MULTIPLICATION SIGN} {y1 - y0:.2f} mm"
        room = f"the artwork is {a1 - a0:.2f} \N{MULTIPLICATION SIGN} {b1 - b0:.2f} mm"
        what = _farther(letters, edge, decal) or f"it {needs}, {room}"
        found.append(
            Finding(
                "error",
                "lettering-cut-off",
                decal.name,
                f"{lost:.0%} of '{words}' lies beyond {where}{f' ({over})' if over else ''}: {what}",
                "make the decal larger or the lettering smaller; or move it with `at` (a circle by its centre)",
                written_at(parts[0].place, decal),
                round(100 * lost),
                100 * MERGE,
                "%",
                areas=(letters.bounds,),
            )
        )
    return [replace(one, areas=tuple(spot for other in found if other == one for spot in other.areas)) for one in found]


def _farther(letters: Polygon | MultiPolygon, edge: Polygon, decal: Decal) -> str:
    """How far, and which way, a lettering would have to stand to lie inside; empty where it is too large for that."""
    x0, y0, x1, y1 = letters.bounds
    a0, b0, a1, b1 = edge.bounds
    dx = max(a0 - x0, 0.0) - max(x1 - a1, 0.0)
    dy = max(b0 - y0, 0.0) - max(y1 - b1, 0.0)
    moved = translate(letters, dx, dy)
    if moved.difference(edge).area > MERGE * letters.area or x1 - x0 > a1 - a0 or y1 - y0 > b1 - b0:
        return ""
    sideways = "in from the side" if decal.hands == "both" else "right" if dx > 0 else "left"
    ways = ((dx, sideways), (dy, "up" if dy > 0 else "down"))
    said = [f"{abs(by):.2f} mm farther {way}" for by, way in ways if abs(by) > TOLERANCE]
    return f"it fits, {' and '.join(said)}" if said else ""


def _letterings(painted: Sequence[Inked], bent: bool) -> Iterator[tuple[str, list[Inked]]]:
    """Every lettering as it is drawn, with its words: letters, shadow, outline and inline together; of a reversed one
    the bare letters (not of one that is ``bent``: its ground is no rectangle any more)."""
    parts: list[Inked] = []
    for item in painted:
        if item.words and not item.lettering and not bent:
            item = replace(item, region=region(item.region.convex_hull.difference(item.region)))
        elif not item.lettering:
            continue
        if item.region.is_empty:
            continue
        if parts and (parts[0].words != item.words or not _together(parts[-1], item)):
            yield shortened(parts[0].words), parts
            parts = []
        parts.append(item)
    if parts:
        yield shortened(parts[0].words), parts


def _together(one: Inked, other: Inked) -> bool:
    """Whether two areas belong to one copy of a lettering: their boxes share more than half of the smaller."""
    a, b = box(*one.region.bounds), box(*other.region.bounds)
    return bool(a.intersection(b).area > min(a.area, b.area) / 2)


def written_at(place: Place | None, decal: Decal) -> Place | None:
    """Where the user wrote what stands at ``place``: that place, in whichever of the job's files. What a ready layout
    draws stands in a file that is not the user's; there it is the decal's own place."""
    here = decal.place
    theirs = place is None or (is_ready(place.file) and here is not None and place.file != here.file)
    return here if theirs else place


def locate(found: Iterable[Finding], element: Element, decal: Decal) -> list[Finding]:
    """Findings about an element of a decal, with the decal's name and the place where the user wrote the element."""
    place = written_at(element.place, decal)
    return [replace(one, subject=decal.name, place=place) for one in found]


def _called(letters: Inked) -> str:
    """A lettering by its words, where it has any."""
    return f"'{shortened(letters.words)}'" if letters.words else "lettering"


def shortened(words: str) -> str:
    """Words cut short for a message."""
    return words if len(words) <= 40 else words[:37] + "..."


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
        "remove one of the shut lines from `slits`, or put it under `split at`",
        decal.place,
    )


def backable(art: BaseGeometry, choke: float) -> bool:
    """Whether anything is left of some art to cut from white film, drawn in by ``choke`` mm, and to lay under it."""
    return not art.buffer(-choke - NARROWEST / 2, join_style="mitre").is_empty


def no_white(decal: Decal, art: BaseGeometry) -> Finding:
    """White on clear film without a white printer. A backing is offered where it can be cut from white film."""
    backed = ""
    if backable(art, decal.backing_choke):
        backed = "or `backing: white`, a backing cut from white film to lie under the clear one; "
    return Finding(
        "error",
        "white-on-clear",
        decal.name,
        "white is asked for on clear film, and this printer prints no white: it would come out as bare, clear film",
        f"either `film: white` for this decal (white is then bare film); {backed}or leave white out and paint a white "
        "patch on the model first",
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
        message = f"tape alone does not show how panel '{panel.name}' bends: it is drawn along the film, not as seen"
        fix = "measure its chord, rise or radius too"
        return [Finding("warning", "as-seen-bend", decal.name, message, fix, decal.place)]
    return []
