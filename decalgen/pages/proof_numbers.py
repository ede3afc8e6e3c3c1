"""The numbers of the pieces on a proof. The small numbers of the film stand in the waste, and none stands on a piece,
so that the artwork can be checked. A piece that has none on the film has one beside it with a line: a proof shows
the number of every piece. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box
from shapely.ops import polylabel

from decalgen.core import style
from decalgen.core.geometry import region, transform, translation
from decalgen.lettering.paper import paper
from decalgen.pages.composer import Sheaf
from decalgen.sheet.arrange import Sheet
from decalgen.sheet.labels import Label
from decalgen.sheet.leaders import CLOSE, FAR, Drawn, lead
from decalgen.sheet.waste import Waste

NEARLY = 0.9
"""The part of the largest room for a number that is enough."""
FIELD = 0.4
"""White round a number that lies over something, mm."""


def write_numbers(sheaf: Sheaf, sheet: Sheet) -> list[Polygon]:
    """Writes the numbers of a sheet's pieces onto its page. Gives where those beside their pieces lie."""
    return _beside(sheaf, sheet, sheet.bare) if sheet.bare else []


def roomiest(area: shapely.Polygon) -> tuple[shapely.Point, float]:
    """A point of an area that lies as far from its edges as any, and how far that is, mm: the middle where it will
    do, as a band is as wide everywhere."""
    spot, middle = polylabel(area, 0.2), area.centroid
    room, there = (float(area.boundary.distance(point)) for point in (spot, middle))
    return (middle, there) if area.contains(middle) and there >= NEARLY * room else (spot, room)


def _beside(sheaf: Sheaf, sheet: Sheet, todo: Sequence[int]) -> list[Polygon]:
    """Numbers of 8 pt with a line to their pieces: in the waste; over other pieces where that has no room; at the piece
    itself where not even that is clear."""
    outers = [placed.outer for placed in sheet.placed]
    page = box(0.0, 0.0, sheet.film.width, sheet.film.height).intersection(sheet.area.envelope)
    drawn = [box(*label.region.bounds) for label in sheet.labels]
    drawn += [LineString(one.points).buffer(one.width) for one in sheet.leaders]
    waste = Waste(outers, page, sheet.furniture.keep_outs)
    placed_so_far = Drawn(np.array(drawn, dtype=object))
    done: list[Polygon] = []
    for n in todo:
        text = sheet.placed[n].piece.label
        ink = paper(text, style.TYPE_SMALL, True).region
        x0, y0, x1, y1 = ink.bounds
        label = Label(region(transform(ink, translation(-x0, -y0))), x1 - x0, y1 - y0, 0, 0)
        found = lead(waste, placed_so_far, [label], n, (*CLOSE, *FAR))
        if found is None:
            alone = Waste([outers[n]], page, sheet.furniture.keep_outs)
            found = lead(alone, placed_so_far, [label], 0, (*CLOSE, *FAR))
        if found is None:
            spot, _ = roomiest(sheet.placed[n].cut)
            corner = (spot.x - label.width / 2, spot.y - label.height / 2)
        else:
            corner = (float(found.box[0]), float(found.box[1]))
            line = tuple((float(x), float(y)) for x, y in found.line)
            sheaf.line(line)
            placed_so_far.add(np.array([LineString(line).buffer(style.LINE_DIMENSION)], dtype=object))
        area = box(corner[0], corner[1], corner[0] + label.width, corner[1] + label.height)
        sheaf.fill(area.buffer(FIELD, join_style="mitre"), style.PAPER, 0.8)
        sheaf.text(corner[0] - x0, corner[1] - y0, text, style.TYPE_SMALL, bold=True)
        placed_so_far.add(np.array([area], dtype=object))
        done.append(area)
    return done
