"""Labels with leaders: off other pieces where there is room for that, or they are taken for theirs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
import shapely
import shapely.affinity
from shapely.geometry import LineString, Polygon, box

from decalgen.sheet import bent_leaders
from decalgen.sheet.bent_leaders import WasteRaster
from decalgen.sheet.labels import Label, labels_of
from decalgen.sheet.leaders import CLOSE, KEPT_OFF, LEAST, Drawn, Led, lead
from decalgen.sheet.waste import Waste

AREA = box(0.0, 0.0, 60.0, 60.0)
OWN = box(28.0, 28.0, 32.0, 32.0)
NARROW, WIDE = 2.9, 8.0
"""How much waste another piece leaves round the piece, mm: a label fits into either, but off both only into the wide
one."""
SIDES = ("left", "right", "foot", "head")
NOTHING = np.empty(0, dtype=object)


def framed(*wide: str) -> Waste:
    """A piece inside the opening of another one, with much waste on the sides named, little on the others."""
    off = {side: WIDE if side in wide else NARROW for side in SIDES}
    hole = box(28.0 - off["left"], 28.0 - off["foot"], 32.0 + off["right"], 32.0 + off["head"])
    return Waste([OWN, Polygon(AREA.exterior.coords, [hole.exterior.coords])], AREA, [])


def bent(waste: Waste) -> Led | None:
    return WasteRaster(waste).among(Drawn(NOTHING)).lead(labels_of("14", None), 0)


def led(waste: Waste, round_it: bool) -> Led:
    found = bent(waste) if round_it else lead(waste, Drawn(NOTHING), labels_of("14", None), 0, CLOSE)
    assert found is not None
    return found


def from_other(waste: Waste, one: Led) -> float:
    return float(shapely.box(*one.box).distance(waste.outers[1]))


@pytest.mark.parametrize("round_it", [False, True])
@pytest.mark.parametrize("side", SIDES)
def test_a_label_with_a_leader_keeps_off_other_pieces_where_there_is_room(side: str, round_it: bool) -> None:
    waste = framed(side)
    found = led(waste, round_it)
    assert from_other(waste, found) >= KEPT_OFF - 0.01
    line = LineString(found.line)
    assert line.length >= LEAST - 1e-9 and line.distance(OWN) < 0.01
    assert 0.0 < line.distance(shapely.box(*found.box)) < 0.25


@pytest.mark.parametrize("round_it", [False, True])
def test_where_there_is_none_it_stands_as_far_off_as_it_can(round_it: bool) -> None:
    """Waste of 2.9 mm: the least leader, the gap and 1.1 mm of a label leave 0.85 mm at most, the common distance from
    all else 0.16 mm at least."""
    waste = framed()
    assert from_other(waste, led(waste, round_it)) >= 0.16


@pytest.mark.parametrize("round_it", [False, True])
def test_no_leader_is_longer_than_it_needs_to_be(round_it: bool) -> None:
    """With room on every side the shortest leader there is will do."""
    assert LineString(led(framed(*SIDES), round_it).line).length < LEAST + 0.35


@pytest.mark.parametrize("room", [0.3, 1.4])
def test_nothing_is_drawn_where_a_piece_is_shut_in(room: float) -> None:
    """Nothing larger can be reached from a ring of waste too narrow for a leader, or for any label."""
    hole = OWN.buffer(room, join_style="mitre")
    ring = hole.buffer(2.0, join_style="mitre").difference(hole)
    assert bent(Waste([OWN, ring], AREA, [])) is None


def test_waste_without_room_is_searched_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two pieces in a ring that no label fits into: what the first did not find the second does not look for, but a
    smaller label, or a piece in other waste, is looked for."""
    searched: list[int] = []
    window = bent_leaders._Window
    wave = window._waves

    def counted(self: Any, way: Any, free: Any) -> Iterator[Any]:
        fronts = list(wave(self, way, free))
        searched.append(sum(len(front) for front in fronts))
        yield from fronts

    monkeypatch.setattr(window, "_waves", counted)
    left, right, other = box(20.0, 28.0, 24.0, 32.0), box(25.4, 28.0, 30.0, 32.0), box(5.0, 5.0, 9.0, 9.0)
    hole = shapely.union(left, right).envelope.buffer(1.4, join_style="mitre")
    ring = hole.buffer(2.0, join_style="mitre").difference(hole)
    leaders = WasteRaster(Waste([left, right, other, ring], AREA, [])).among(Drawn(NOTHING))
    large, small = labels_of("14", None), [Label(labels_of("1", None)[0].region, 0.4, 0.5, 0, 0)]
    assert leaders.lead(large, 0) is None and len(searched) == 1 and searched[0] > 100
    assert leaders.lead(large, 1) is None and leaders.lead(labels_of("114", None), 1) is None and len(searched) == 1
    assert leaders.lead(small, 1) is not None and leaders.lead(large, 2) is not None and len(searched) == 3


def test_what_is_drawn_meanwhile_is_kept_clear_of() -> None:
    waste = framed("left")
    leaders = WasteRaster(waste).among(Drawn(NOTHING))
    first = leaders.lead(labels_of("14", None), 0)
    assert first is not None
    leaders.add(np.array([shapely.box(*first.box)], dtype=object))
    second = leaders.lead(labels_of("14", None), 0)
    assert second is not None
    boxes = [shapely.box(*one.box) for one in (first, second)]
    assert boxes[0].distance(boxes[1]) >= 0.15 and LineString(second.line).distance(boxes[0]) >= 0.12


def test_a_way_out_is_found_however_long_it_is() -> None:
    """The ring round the piece has a gap, and a corridor too narrow for a label leads 20 mm away from it."""
    hole = OWN.buffer(1.4, join_style="mitre")
    walls = box(0.0, 20.0, 60.0, 40.0).difference(hole).difference(box(30.0, 29.0, 52.0, 30.2))
    walls = walls.difference(box(52.0, 22.0, 59.0, 38.0))
    found = bent(Waste([OWN, walls], AREA, []))
    assert found is not None and LineString(found.line).length > 18.0 and found.box[0] > 50.0
    assert len(found.line) <= 4, "with no more bends than it needs"


@pytest.mark.parametrize("far", [1.0, 6.0, 14.0, 24.0])
@pytest.mark.parametrize("way", ["left", "right", "foot", "head"])
def test_a_leader_is_the_same_whether_a_part_of_the_sheet_is_searched_first_or_all_of_it(way: str, far: float) -> None:
    """A corridor too narrow for a label leads so far away from the piece: out of the small part, or not."""
    hole = OWN.buffer(1.4, join_style="mitre")
    walls = box(0.0, 0.0, 60.0, 60.0).difference(hole).difference(box(30.0, 29.0, 31.0 + far, 30.2))
    walls = walls.difference(box(31.0 + far, 26.0, 35.0 + far, 34.0))
    walls = shapely.affinity.rotate(walls, {"right": 0, "head": 90, "left": 180, "foot": 270}[way], origin=(30.0, 30.0))
    waste = Waste([OWN, walls], AREA, [])
    whole, part = (
        WasteRaster(waste, tile, round_it).among(Drawn(NOTHING)).lead(labels_of("14", None), 0)
        for tile, round_it in ((4000, 4000), (60, 60))
    )
    assert whole is not None and part is not None
    assert LineString(whole.line).length > far - 0.5
    assert part.line == pytest.approx(whole.line) and part.box == pytest.approx(whole.box) and part.kind == whole.kind


def test_no_more_of_a_large_sheet_is_searched_than_is_needed() -> None:
    """One tile and what lies round it; all of it for a piece that reaches out of that."""
    small, large = OWN, box(100.0, 100.0, 300.0, 110.0)
    rasters = WasteRaster(Waste([small, large], box(0.0, 0.0, 700.0, 900.0), []))
    first = rasters.window(0)
    assert first.shape == (1050, 1050) and first.first == (0, 0) and first != rasters.whole
    assert rasters.window(1) == rasters.whole


@pytest.mark.parametrize("shift", [-0.6, -0.4, -0.2, 0.0, 0.2, 0.4, 0.6])
def test_a_leader_keeps_off_what_it_does_not_lead_to(shift: float) -> None:
    """A piece shut in by a wall with a slit of 1.2 mm in it: a line of 0.1 mm goes through with 0.12 mm or more on
    either side. The same wall as another piece, and as what was drawn meanwhile; without the slit there is none."""
    closed = OWN.buffer(0.6, join_style="mitre").difference(OWN.buffer(0.3, join_style="mitre"))
    for wall in (closed, closed.difference(box(28.0, 29.4 + shift, 40.0, 30.6 + shift))):
        shut = Drawn(NOTHING)
        shut.add(np.array([wall], dtype=object))
        for waste, drawn in ((Waste([OWN, wall], AREA, []), Drawn(NOTHING)), (Waste([OWN], AREA, []), shut)):
            found = lead(waste, drawn, labels_of("14", None), 0, CLOSE)
            assert (found is not None) == (wall is not closed)
            assert found is None or LineString(found.line).distance(wall) >= 0.05 + 0.12 - 1e-6


def test_a_leader_leans_where_it_could_be_taken_for_a_tick() -> None:
    """Ticks stand upright or level."""
    (x0, y0), (x1, y1) = led(framed(*SIDES), False).line
    assert min(abs(x1 - x0), abs(y1 - y0)) > 0.2 * LEAST


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_bent_leader_ends_at_any_side_of_its_label(turn: int) -> None:
    """A corridor leads into a room in which the least label has place beyond the end of the line, but not beside it."""
    least = labels_of("14", None)[-1]
    wide, deep = (least.height, least.width) if turn % 180 == 0 else (least.width, least.height)
    corridor = shapely.union(OWN.buffer(0.6, join_style="mitre"), box(30.0, 29.4, 36.0, 30.6))
    room = box(36.0, 29.6 - wide / 2, 37.2 + deep, 30.4 + wide / 2)
    walls = AREA.difference(shapely.affinity.rotate(shapely.union(corridor, room), turn, origin=(30.0, 30.0)))
    assert bent(Waste([OWN, walls], AREA, [])) is not None
