"""Outlines as the page draws them: path data in whole micrometres, y up; the page turns them over. Pure but for what
it keeps: a decal's artwork is drawn once for what it depends on, and places in the file are no part of that."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any

from shapely.geometry import MultiPolygon, Polygon

from decalgen.artwork.backing import backings
from decalgen.artwork.build import Artwork, build_all
from decalgen.artwork.on_panel import corner_on, on_panel
from decalgen.bench.shown_pixels import SHOWN
from decalgen.core.errors import DecalgenError
from decalgen.job.model import Decal, Hand, Job
from decalgen.panels.base import Panel
from decalgen.shapes.base import At, Box, Inked

MOST_KEPT = 400
UNIT = 1000
"""Steps to the millimetre."""
COARSE_MM = 0.02
"""How far the outlines of a small drawing may be off: a fifth of a pixel at ten pixels to the millimetre."""


def path_data(area: Polygon | MultiPolygon) -> str:
    """The rings of an area as SVG path data: whole micrometres, each point from the one before."""
    parts = area.geoms if isinstance(area, MultiPolygon) else (area,)
    return "".join(
        ring_data(ring.coords) for one in parts for ring in (one.exterior, *one.interiors) if not one.is_empty
    )


def ring_data(points: Iterable[Sequence[float]], closed: bool = True) -> str:
    """A line of points as path data."""
    spots = [(round(x * UNIT), round(y * UNIT)) for x, y, *_ in points]
    if closed and len(spots) > 1 and spots[0] == spots[-1]:
        spots.pop()
    found: list[str] = []
    at = (0, 0)
    for n, (x, y) in enumerate(spots):
        step = (x, y) if n == 0 else (x - at[0], y - at[1])
        if n and step == (0, 0):
            continue
        # A minus sign parts two numbers as well as a space does, and one 'l' serves all steps after it.
        start = "M" if n == 0 else "l" if len(found) == 1 else "" if step[0] < 0 else " "
        found.append(f"{start}{step[0]}{'' if step[1] < 0 else ' '}{step[1]}")
        at = (x, y)
    return "".join(found) + ("z" if closed else "")


def area_data(
    inked: Inked, colour: str, path_data: Callable[[Polygon | MultiPolygon], str] = path_data
) -> dict[str, Any]:
    """An area of a decal for the page: its ink with its colour, its outline, and the picture that it shows."""
    found: dict[str, Any] = {"ink": inked.ink, "colour": colour, "d": path_data(inked.region)}
    return found if inked.picture is None else found | {"picture": SHOWN.told(inked.picture)}


class Drawings:
    """The artworks that were drawn last, and what the page is told of them, by what they depend on."""

    def __init__(self) -> None:
        self.drawn = 0
        self._kept: OrderedDict[Any, _KeptDrawing] = OrderedDict()
        self._made: OrderedDict[Any, Any] = OrderedDict()

    def parts(self, job: Job, decal: Decal, hand: Hand | None) -> tuple[Artwork, ...]:
        """A decal's artwork for one hand, its sections. Raises DecalgenError for what cannot be drawn."""
        # What was drawn may lie elsewhere by now.
        return tuple(replace(art, decal=decal) for art in self._drawn(job, decal, hand).parts)

    def picture(self, job: Job, decal: Decal, hand: Hand | None, coarse: float = 0.0) -> dict[str, Any]:
        """The same as path data by ink from the bottom up, in the decal's own coordinates, with its size; not to be
        changed. ``coarse``: how far outlines may be off, mm, in a drawing that nobody looks closer at. Raises
        DecalgenError for what cannot be drawn."""
        return self._drawn(job, decal, hand).picture(coarse)

    def kept(self, key: Any, make: Callable[[], Any]) -> Any:
        """What was made for a key, and is made where it was not yet; the same object again and again."""
        if key not in self._made:
            self._made[key] = make()
            if len(self._made) > MOST_KEPT:
                self._made.popitem(last=False)
        self._made.move_to_end(key)
        return self._made[key]

    def _drawn(self, job: Job, decal: Decal, hand: Hand | None) -> _KeptDrawing:
        key = _depends(job, decal, hand)
        found = self._kept.get(key)
        if found is None:
            self.drawn += 1
            found = self._kept[key] = _KeptDrawing(build_all(job, decal, hand))
            if len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
        else:
            self._kept.move_to_end(key)
        return found


class _KeptDrawing:
    """One hand of a decal as it was drawn."""

    def __init__(self, parts: tuple[Artwork, ...]) -> None:
        self.parts = parts
        self._pictures: dict[float, dict[str, Any]] = {}

    def picture(self, coarse: float) -> dict[str, Any]:
        """What the page is told of it; with fewer points where outlines may be off."""
        if coarse not in self._pictures:
            self._pictures[coarse] = self._told(
                (lambda area: path_data(area.simplify(coarse, preserve_topology=False))) if coarse else path_data
            )
        return self._pictures[coarse]

    def _told(self, path_data: Callable[[Polygon | MultiPolygon], str]) -> dict[str, Any]:
        first = self.parts[0]
        under = [backing for art in self.parts for backing in backings(art)]
        return {
            "size": [round(first.width * UNIT), round(first.height * UNIT)],
            "film": first.film,
            "cut": "".join(path_data(art.cut_polygon) for art in self.parts),
            "backing": "".join(path_data(backing.cut_polygon) for backing in under),
            "slits": "".join(ring_data(slit, closed=False) for art in self.parts for slit in art.slits),
            "inks": [area_data(inked, art.colour(inked.ink), path_data) for art in self.parts for inked in art.shown],
        }


def _depends(job: Job, decal: Decal, hand: Hand | None) -> Any:
    """All that a decal's artwork depends on. Where it lies counts only if the panel takes something out of it."""
    panel = job.panel(decal.panel)
    cut_by_panel = decal.taken_out or decal.is_slit or decal.as_seen or decal.cut.kind == "panel"
    where: Any = panel if cut_by_panel else panel.hand
    still = decal if cut_by_panel else replace(decal, at=At(), name="", panel="", note="", copies=1, spares=0, pins=())
    return still, where, job.inks, job.film, hand


def decal_data(drawings: Drawings, job: Job, decal: Decal, hand: Hand | None, coarse: float = 0.0) -> dict[str, Any]:
    """One hand of a decal for the page: paths by ink from the bottom up, in the decal's own coordinates, and where they
    lie on the panel; or why it cannot be drawn. ``coarse``: how far outlines may be off, mm."""
    panel, at = on_panel(job, decal, hand)
    found: dict[str, Any] = {"name": decal.name, "hand": hand or "", "panel": decal.panel}
    try:
        picture = drawings.picture(job, decal, hand, coarse)
    except DecalgenError as error:
        return found | {"wrong": error.message, "fix": error.fix}
    wide, high = (size / UNIT for size in picture["size"])
    x, y = corner_on(panel, at, Box(wide, high))
    return found | picture | {"at": [round(x * UNIT), round(y * UNIT)]}


def panel_data(panel: Panel) -> dict[str, Any]:
    """A panel for the page: its outline and what is on it."""
    x0, y0, x1, y1 = panel.outline.polygon.bounds
    return {
        "name": panel.name,
        "kind": panel.kind,
        "box": [round(value * UNIT) for value in (x0, y0, x1, y1)],
        "outline": path_data(panel.outline.polygon),
        "obstacles": [
            {"name": one.name, "gap": one.gap, "d": path_data(one.outline.polygon)} for one in panel.obstacles
        ],
    }
