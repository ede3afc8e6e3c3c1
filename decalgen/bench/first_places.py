"""Where a new decal comes in: in the first size and place in which it fits its panel, clear of what is there.

The same sizes and places as those `decalgen new` tries, judged by its outline alone: that is quick enough for a page.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Polygon
from shapely.ops import unary_union

from decalgen.artwork.build import hands
from decalgen.artwork.on_panel import corner_on, on_panel
from decalgen.bench.desk import Desk
from decalgen.bench.pictures import Drawings
from decalgen.commands.first_decals import (
    POOR,
    WHITE,
    DecalRows,
    Shortfall,
    clear_place,
    layout_rows,
    panel_in,
    shortfall,
)
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData
from decalgen.core.svg.text import DrawingText
from decalgen.job.first_drawings import drawing_decal, with_inks
from decalgen.job.first_pictures import picture_decal
from decalgen.job.first_shapes import new_decal
from decalgen.job.loader import job_as_written
from decalgen.job.model import Decal, Hand, Job
from decalgen.job.restructure import add_decal
from decalgen.preflight.fitting import fitting
from decalgen.shapes.base import Box


def layout_place(drawings: Drawings, desk: Desk, name: str, layout: str, panel: str) -> DecalRows:
    """The keys of a new decal from a layout. Raises DecalgenError where it does not suit the panel."""
    there = panel_in(desk.text, desk.path, panel)
    rows = _first(drawings, desk, name, lambda share: layout_rows(layout, there, share), f"'{layout}'")
    rows = _on_film(desk, desk.text, name, rows)
    mates = [one for one in (desk.job.decals if desk.job else ()) if one.panel == panel]
    if there.hand or any(one.hands != "one" for one in mates):
        return rows
    # A panel of which there is one, as a bonnet, gets one, whatever the layout is mostly for.
    job = job_as_written(add_decal(desk.text, name, rows), desk.path)
    paired = next(one for one in job.decals if one.name == name).hands != "one"
    return {**rows, "hands": "one"} if paired else rows


def shape_place(drawings: Drawings, desk: Desk, job: Job, name: str, shape: str, panel: str) -> DecalRows:
    """The keys of a new decal of one shape. Raises as `layout_place` does."""
    return _first(drawings, desk, name, lambda share: new_decal(job, panel, shape, share), "the shape")


def drawing_place(drawings: Drawings, desk: Desk, job: Job, name: str, drawing: DrawingText, panel: str) -> DecalRows:
    """The keys of a new decal of a drawing. Raises as `layout_place` does."""
    rows = _first(drawings, desk, name, lambda share: drawing_decal(job, panel, drawing, share), f"'{drawing.name}'")
    return _on_film(desk, with_inks(desk.text, job, drawing), name, rows)


def picture_place(drawings: Drawings, desk: Desk, job: Job, name: str, picture: PictureData, panel: str) -> DecalRows:
    """The keys of a new decal of a picture. Raises as `layout_place` does."""
    rows = _first(drawings, desk, name, lambda share: picture_decal(job, panel, picture, share), f"'{picture.name}'")
    return _on_film(desk, desk.text, name, rows)


def _on_film(desk: Desk, text: str, name: str, rows: DecalRows) -> DecalRows:
    """The keys of a decal; with white film where clear film would lose its colours, if that mends it."""
    if desk.job is None or desk.job.film != "clear":
        return rows
    plain = shortfall(add_decal(text, name, rows), name, desk.path)
    white = {**rows, **WHITE}
    return (
        white if plain.level and shortfall(add_decal(text, name, white), name, desk.path).level < plain.level else rows
    )


def _first(drawings: Drawings, desk: Desk, name: str, rows: Callable[[float], DecalRows], what: str) -> DecalRows:
    found, amiss = clear_place(
        rows, lambda tried: _judged(drawings, add_decal(desk.text, name, tried), name, desk.path)
    )
    if amiss.level > POOR:
        raise DecalgenError(f"{what} does not suit this panel: {amiss.message}", fix=amiss.fix or "choose another")
    return found


def _judged(drawings: Drawings, text: str, name: str, path: Path) -> Shortfall:
    """What is amiss with a decal where it lies: it cannot be drawn or is off its panel (an error), or lies on an
    obstacle or another decal."""
    try:
        job = job_as_written(text, path)
        decal = next(one for one in job.decals if one.name == name)
        hand = hands(decal)[0]
        parts = drawings.parts(job, decal, hand)
        fit = fitting(parts, decal, job)
        mine = _outline(drawings, job, decal, hand)
        near = [one for one in job.decals if one.panel == decal.panel and one.name != name]
        shared = [one for one in near if hand in hands(one) or None in (hand, hands(one)[0])]
        over = next((one for one in shared if _outline(drawings, job, one, hand).intersects(mine)), None)
    except DecalgenError as error:
        return Shortfall(POOR + 1, error.message, error.fix)
    if job.panel(decal.panel).unmeasured:
        return Shortfall(POOR if over else 0)
    wrong = [one for one in fit.findings if one.severity == "error"]
    if wrong:
        return Shortfall(POOR + 1, wrong[0].message, wrong[0].fix)
    return Shortfall(0 if fit.verdict == "fits" and over is None else POOR)


def _outline(drawings: Drawings, job: Job, decal: Decal, hand: Hand | None) -> Polygon | MultiPolygon:
    """A decal's cut line where it lies on its panel."""
    own = hand if hand in hands(decal) else hands(decal)[0]
    panel, at = on_panel(job, decal, own)
    parts = drawings.parts(job, decal, own)
    size = Box(parts[0].width, parts[0].height)
    x, y = corner_on(panel, at, size)
    found: Polygon | MultiPolygon = translate(unary_union([art.cut_polygon for art in parts]), x, y)
    return found
