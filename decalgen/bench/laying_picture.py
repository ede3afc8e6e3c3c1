"""A side of the model as Apply draws it: the panel, what is on it already, the piece with the lines that place it, and
where nose and top are. In whole micrometres, y up; pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from decalgen.bench.applied import PutOn
from decalgen.bench.laying_steps import LayingStep
from decalgen.bench.pictures import UNIT, area_data, panel_data, path_data, ring_data
from decalgen.core.geometry import Point
from decalgen.pages.decal_and_panel import obstacle_outlines, position_on_panel
from decalgen.pages.guide_drawing import ENDS, WAYS
from decalgen.pages.guide_sides import GuideSide
from decalgen.pages.sides_picture import LENGTHS

NAMES = {"left": "left side", "right": "right side"}
"""What the drawing that names the sides calls them."""


def side_picture(step: LayingStep, steps: Sequence[LayingStep], found: PutOn) -> dict[str, Any]:
    """The side with a piece on it. Over it lie the words of the guide; pieces that come later are left out unless they
    are on."""
    side, job = step.side, step.side.job
    mine = [one for one in steps if one.side is side]
    turn = mine.index(step)
    others = [one for n, one in enumerate(mine) if n < turn or (n > turn and one.ticks(found))]
    return {
        "paint": job.paint(job.body).colour,
        "panel": panel_data(side.panel) | {"obstacles": _obstacles(side)},
        "open": side.open,
        "others": [piece_data(one) for one in others],
        "piece": piece_data(step),
        "lines": [
            {
                "letter": row.letter,
                "side": row.distance.side,
                "ends": [*_spot(row.distance.edge), *_spot(row.distance.decal)],
            }
            for row in step.item.rows
        ],
        "ends": [_end(text) for text in ENDS[side.view]],
        "obstacles": [one.name for one in side.panel.obstacles],
    }


def _obstacles(side: GuideSide) -> list[dict[str, Any]]:
    """As the guide draws them: what of them lies on the panel."""
    return [
        {"name": one.name, "gap": one.gap, "d": path_data(part.polygon)}
        for one in side.panel.obstacles
        for part in obstacle_outlines(one, side.panel)
    ]


def piece_data(step: LayingStep) -> dict[str, Any]:
    """A piece of film as the page draws decals: a section, or a backing, by itself. ``box``: round its film, on the
    panel; the size is that of the whole decal."""
    art = step.item.artwork
    *_, x, y = position_on_panel(art, step.side.job.panel(art.decal.panel))
    return {
        "name": step.called,
        "at": [round(x * UNIT), round(y * UNIT)],
        "size": [round(art.width * UNIT), round(art.height * UNIT)],
        "box": [round(value * UNIT) for value in step.item.cut.bounds],
        "film": art.film,
        "cut": path_data(art.cut_polygon),
        "backing": "",
        "slits": "".join(ring_data(slit, closed=False) for slit in art.slits),
        "inks": [] if art.backing else [area_data(one, art.colour(one.ink)) for one in art.shown],
    }


def sides_named(step: LayingStep) -> dict[str, Any]:
    """The small drawing that names the sides, from nose to tail, and which of them this is; '' where the panel's name
    does not tell."""
    view = step.side.view
    return {"middle": [name for name, _ in LENGTHS], "this": NAMES.get(view, view)}


def _end(text: str) -> dict[str, str]:
    """Words over a drawing, with a triangle that points a way: 'left', 'right', 'up' or none."""
    sign = next((one for one in WAYS if one in text), "")
    return {"words": text.strip("<>^"), "way": {"<": "left", ">": "right", "^": "up"}.get(sign, "")}


def _spot(point: Point) -> list[int]:
    return [round(value * UNIT) for value in point]
