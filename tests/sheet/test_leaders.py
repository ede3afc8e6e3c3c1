"""Labels with leaders: off other pieces where there is room for that, or they are taken for theirs."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon, box

from decalgen.sheet import bent_leaders
from decalgen.sheet.bent_leaders import lead_round
from decalgen.sheet.labels import labels_of
from decalgen.sheet.leaders import CLOSE, KEPT_OFF, LEAST, Drawn, Led, lead
from decalgen.sheet.waste import Waste

AREA = box(0.0, 0.0, 60.0, 60.0)
OWN = box(28.0, 28.0, 32.0, 32.0)
NARROW, WIDE = 2.9, 8.0
"""How much waste another piece leaves round the piece, mm: a label fits into either, but off both only into the wide
one."""
SIDES = ("left", "right", "foot", "head")
NOTHING = Drawn(np.empty(0, dtype=object))


def framed(*wide: str) -> Waste:
    """A piece inside the opening of another one, with much waste on the sides named, little on the others."""
    off = {side: WIDE if side in wide else NARROW for side in SIDES}
    hole = box(28.0 - off["left"], 28.0 - off["foot"], 32.0 + off["right"], 32.0 + off["head"])
    return Waste([OWN, Polygon(AREA.exterior.coords, [hole.exterior.coords])], AREA, [])


def led(waste: Waste, bent: bool) -> Led:
    found = (
        lead_round(waste, NOTHING, labels_of("14", None), 0)
        if bent
        else lead(waste, NOTHING, labels_of("14", None), 0, CLOSE)
    )
    assert found is not None
    return found


def from_other(waste: Waste, one: Led) -> float:
    return float(shapely.box(*one.box).distance(waste.outers[1]))


@pytest.mark.parametrize("bent", [False, True])
@pytest.mark.parametrize("side", SIDES)
def test_a_label_with_a_leader_keeps_off_other_pieces_where_there_is_room(side: str, bent: bool) -> None:
    waste = framed(side)
    found = led(waste, bent)
    assert from_other(waste, found) >= KEPT_OFF - 0.01
    line = LineString(found.line)
    assert line.length >= LEAST - 1e-9 and line.distance(OWN) < 0.01
    assert 0.0 < line.distance(shapely.box(*found.box)) < 0.25


@pytest.mark.parametrize("bent", [False, True])
def test_where_there_is_none_it_stands_as_far_off_as_it_can(bent: bool) -> None:
    """Waste of 2.9 mm: the least leader, the gap and 1.1 mm of a label leave 0.85 mm at most, the common distance from
    all else 0.16 mm at least."""
    waste = framed()
    assert from_other(waste, led(waste, bent)) >= 0.16


@pytest.mark.parametrize("bent", [False, True])
def test_no_leader_is_longer_than_it_needs_to_be(bent: bool) -> None:
    """With room on every side the shortest leader there is will do."""
    assert LineString(led(framed(*SIDES), bent).line).length < LEAST + 0.35


@pytest.mark.parametrize(("room", "windows"), [(0.3, 1), (1.4, 2)])
def test_a_piece_that_is_shut_in_is_looked_round_no_farther(
    room: float, windows: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing larger can be reached from a ring of waste too narrow for a leader, or for any label."""
    looked: list[float] = []
    begin = bent_leaders._Raster.__init__

    def counted(self: Any, waste: Waste, drawn: Drawn, piece: int, window: float) -> None:
        looked.append(window)
        begin(self, waste, drawn, piece, window)

    monkeypatch.setattr(bent_leaders._Raster, "__init__", counted)
    hole = OWN.buffer(room, join_style="mitre")
    ring = hole.buffer(2.0, join_style="mitre").difference(hole)
    assert lead_round(Waste([OWN, ring], AREA, []), NOTHING, labels_of("14", None), 0) is None
    assert looked == list(bent_leaders.WINDOWS[:windows])


def test_a_way_out_is_found_however_long_it_is() -> None:
    """The ring round the piece has a gap, and a corridor too narrow for a label leads 20 mm away from it."""
    hole = OWN.buffer(1.4, join_style="mitre")
    walls = box(0.0, 20.0, 60.0, 40.0).difference(hole).difference(box(30.0, 29.0, 52.0, 30.2))
    walls = walls.difference(box(52.0, 22.0, 59.0, 38.0))
    found = lead_round(Waste([OWN, walls], AREA, []), NOTHING, labels_of("14", None), 0)
    assert found is not None and LineString(found.line).length > 18.0 and found.box[0] > 50.0
