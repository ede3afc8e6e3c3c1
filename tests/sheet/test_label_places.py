"""Places for labels beside their pieces: clearly nearer to their own than to any other."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import box

from decalgen.sheet.label_places import PlacedLabels, places
from decalgen.sheet.labels import labels_of
from decalgen.sheet.waste import Waste

NOTHING = np.empty(0, dtype=object)
AREA = box(0.0, 0.0, 100.0, 100.0)


def between(waste: float) -> Waste:
    """Two pieces one above the other with so much waste between them, and nothing free beside the lower one."""
    lower, upper = box(20.0, 20.0, 60.0, 30.0), box(20.0, 30.0 + waste, 60.0, 50.0)
    return Waste([lower, upper], box(20.0, 20.0, 60.0, 50.0), [])


def caps(waste: float, off: float) -> set[int]:
    every = labels_of("14", None)
    alone = {kind: places(between(waste), NOTHING, [[one]] * 2, [0], (off,)) for kind, one in enumerate(every)}
    return {kind for kind, found in alone.items() if len(found.cost)}


@pytest.mark.parametrize(
    ("waste", "off", "kinds"),
    [
        # By the smaller distance, 0.2 mm: 1.1 and 1.3 mm caps leave 0.73 and 0.53 mm of 2 mm, 1.6 mm caps 0.23.
        (2.0, 0.175, {1, 2}),
        # By the ratio: 1.6 mm caps at 0.6 mm leave 0.85 mm of 3.05 mm, less than 1.5 times as much.
        (3.05, 0.6, {1, 2}),
        (3.2, 0.6, {0, 1, 2}),
        # Too far from its own to be read as its own.
        (9.0, 0.85, set()),
    ],
)
def test_a_label_is_read_as_that_of_the_nearest_piece(waste: float, off: float, kinds: set[int]) -> None:
    assert caps(waste, off) == kinds


def test_a_label_in_the_way_is_moved_for_one_that_has_no_other_place() -> None:
    """The lower piece has one place, where the upper one's label would stand by itself."""
    waste = Waste(
        [box(20, 20, 23, 21), box(20, 24, 23, 25)], box(19.9, 19.9, 40.0, 50.0), [box(23.0, 19.9, 40.0, 23.8)]
    )
    found = places(waste, NOTHING, [labels_of("1", None)] * 2, [0, 1])
    taken = PlacedLabels(found).make()
    assert sorted(taken) == [0, 1]
    a, b = (box(*found.boxes[row]) for row in taken.values())
    assert a.distance(b) >= 0.2


def test_places_of_a_piece_are_in_order_of_cost_and_clear_of_what_is_drawn() -> None:
    drawn = np.array([box(18.0, 30.5, 62.0, 31.0)], dtype=object)
    waste = Waste([box(20.0, 20.0, 60.0, 30.0)], AREA, [])
    found = places(waste, drawn, [labels_of("14", 0.0)], [0])
    assert len(found.cost) == 48 and (np.diff(found.cost) >= 0).all()
    assert (shapely.distance(shapely.box(*found.boxes.T), drawn[0]) >= 0.15).all()
    assert found.boxes[:, 1].max() < 30.0
