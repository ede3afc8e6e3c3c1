"""Places for small boxes among pieces of every form: those that a test of each box by itself finds."""

from __future__ import annotations

import random

import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from decalgen.sheet.free_places import NONE, ROOMS, FreePlaces


def thing(draw: random.Random) -> Polygon:
    """A box, straight or turned, a disc, a rounded bar, a wedge or a disc with a quarter missing."""
    x, y = draw.uniform(0, 60), draw.uniform(0, 40)
    bar = box(x, y, x + draw.uniform(0.1, 20), y + draw.uniform(0.1, 9))
    disc = Point(x, y).buffer(draw.uniform(0.5, 6), quad_segs=draw.choice((1, 2, 3, 16)))
    some = (
        bar,
        affinity.rotate(bar, draw.choice((45.0, draw.uniform(0, 360)))),
        disc,
        bar.buffer(draw.uniform(0.1, 2), quad_segs=draw.choice((1, 8))),
        Polygon([(x, y), (x + 10, y + 0.5), (x + 3, y + draw.uniform(1, 9))]),
        disc.difference(box(x, y, x + 9, y + 9)),
    )
    return draw.choice(some)


@pytest.mark.parametrize("seed", range(12))
def test_each_place_has_the_room_that_its_boxes_have(seed: int) -> None:
    draw = random.Random(seed)
    things = [thing(draw) for _ in range(draw.randint(1, 8))]
    wide, high = draw.uniform(1, 12), draw.uniform(1, 5)
    found = FreePlaces((5.0, 5.0, 50.0, 33.0), (wide, high), things)
    across, up = np.meshgrid(found.xs, found.ys)
    expected = np.zeros(found.grades.shape, dtype=np.int8)
    for grade, room in enumerate(ROOMS):
        w, h = wide / 2 + room, high / 2 + room
        boxes = shapely.box(across - w, up - h, across + w, up + h)
        expected[shapely.intersects(shapely.union_all(things), boxes)] = grade + 1
    assert (found.grades == expected).all()
    assert (found.grades < NONE).any()
