"""Sheets packed as closely as a nest packs them, made up from a seed: rows of pieces of about one height."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

from shapely.geometry import Polygon, box

from decalgen.artwork.build import Artwork
from decalgen.artwork.drawn import artworks
from decalgen.core.geometry import polygons, transform
from decalgen.core.values import dataclass
from decalgen.job.model import Cut
from decalgen.sheet.film_area import printable
from decalgen.sheet.furniture import Furniture, furniture
from decalgen.sheet.marks import SIZE, ground_of, place_marks
from decalgen.sheet.pieces import Piece, Placed
from tests.helpers import jobs

SIZES = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "A6": (105.0, 148.0)}
CUTS = (Cut(), Cut(), Cut(), Cut("round"), Cut(corner_radius=1.0))


@dataclass(frozen=True)
class DenseSheet:
    """What is dressed: pieces in their places, and what is not theirs."""

    placed: tuple[Placed, ...]
    area: Polygon
    gone: tuple[Polygon, ...]
    furniture: Furniture


def artworks_of(chance: random.Random, count: int, largest: float) -> list[Artwork]:
    """Decals of all shapes of cut line, with and without hands; small ones are the most."""
    decals = []
    for n in range(count):
        width, height = (round(min(largest, 2.5 + chance.lognormvariate(1.7, 0.8)), 2) for _ in range(2))
        more: dict[str, Any] = {"cut": chance.choice(CUTS), "hands": chance.choice(["one", "both", "left", "right"])}
        if chance.random() < 0.25:
            more |= {"margin": 0.5}
        decals.append(jobs.decal(f"d{n}", width, height, jobs.element("field", ink="navy"), **more))
    return list(artworks(jobs.job(*decals), False))


def dense_sheet(
    seed: int, size: str = "A5", first: int = 1, gap: float = 3.0, most: int = 80, used: bool = False
) -> DenseSheet:
    """One sheet. ``first``: the first number; ``gap``: mm between cut lines; ``most``: so many pieces at most."""
    chance = random.Random(seed)
    film = jobs.film(width=SIZES[size][0], height=SIZES[size][1])
    area = printable(film, jobs.PRINTER)
    x0, y0, x1, y1 = area.bounds
    gone = (box(x0 + 20, y0 + 25, x0 + 55, y0 + 60),) if used else ()
    # Room for marks, as a nest keeps it.
    corners = ((x0, y0), (x1 - SIZE, y0), (x0, y1 - SIZE))
    closed = [*gone, *(box(x, y, x + SIZE, y + SIZE) for x, y in corners)]
    drawn = artworks_of(chance, most, 0.4 * (x1 - x0))
    copies = [(n, one) for n, one in enumerate(drawn) for _ in range(chance.choice([1, 1, 2, 3]))]
    chance.shuffle(copies)
    copies = copies[:most]
    turned = [(n, one, chance.choice([0, 90, 180, 270])) for n, one in copies]
    turned.sort(key=lambda row: (round(_size(row[1], row[2])[1] / 3), chance.random()))
    found: list[Placed] = []
    x, y, deep = x0, y0, 0.0
    for n, artwork, turn in turned:
        wide, high = _size(artwork, turn)
        # Bleed and bare margin of neighbours differ: a nest keeps the gap between cut lines.
        own = artwork.bleed
        while True:
            if x + wide > x1:
                x, y, deep = x0, y + deep + gap - 2 * 0.5, 0.0
            if y + high > y1:
                return _with_marks(found, area, gone)
            lie = box(x, y, x + wide, y + high)
            if any(lie.distance(thing) < 0.9 for thing in closed):
                x += 1.0
                continue
            break
        found.append(_put(n + first, artwork, turn, x, y))
        x += wide + gap - own - 0.5
        deep = max(deep, high)
    return _with_marks(found, area, gone)


def _with_marks(placed: list[Placed], area: Polygon, gone: tuple[Polygon, ...]) -> DenseSheet:
    ground = ground_of([one.outer for one in placed], area, gone, "bottom")
    marks = place_marks(ground)
    return DenseSheet(tuple(placed), area, gone, furniture(ground, marks.spots, marks.rest, "1a2b3c4d 1/2"))


def renumbered(sheet: DenseSheet, first: int) -> DenseSheet:
    """The same sheet with other numbers, one for each piece."""
    pieces = tuple(replace(one, piece=replace(one.piece, number=first + n)) for n, one in enumerate(sheet.placed))
    return replace(sheet, placed=pieces)


def _size(artwork: Artwork, turn: int) -> tuple[float, float]:
    x0, y0, x1, y1 = artwork.outer.bounds
    return (y1 - y0, x1 - x0) if turn % 180 else (x1 - x0, y1 - y0)


def _put(number: int, artwork: Artwork, turn: int, x: float, y: float) -> Placed:
    piece = Piece(number, artwork, "Title", 0, False)
    x0, y0, *_ = polygons(transform(artwork.outer, Placed(piece, 0.0, 0.0, turn).matrix))[0].bounds
    return Placed(piece, x - x0, y - y0, turn)
