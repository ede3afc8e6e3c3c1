"""Every mistake in a request gives one message that says what is wrong and what to do."""

from __future__ import annotations

import dataclasses

import pytest
from shapely.geometry import Point, Polygon, box

from decalgen.core.errors import DecalgenError
from decalgen.nesting import Effort, NestingError, NestItem, NestRegion, Pin, Request, nest

FILM = NestRegion("A6 film", 148, 105, box(5, 5, 143, 100))
BAND = NestItem("band", box(0, 0, 20, 5))
GOOD = Request((BAND,), (FILM,), gap=1.0)
BOW_TIE = Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])
NAN = float("nan")


def with_item(**changes: object) -> Request:
    return dataclasses.replace(GOOD, items=(dataclasses.replace(BAND, **changes),))


def with_film(**changes: object) -> Request:
    return dataclasses.replace(GOOD, regions=(dataclasses.replace(FILM, **changes),))


@pytest.mark.parametrize(
    ("request_", "words"),
    [
        (dataclasses.replace(GOOD, gap=-1.0), "gap is -1"),
        (dataclasses.replace(GOOD, gap=NAN), "gap is not a number"),
        (dataclasses.replace(GOOD, gap=float("inf")), "gap is not a number"),
        (dataclasses.replace(GOOD, gap=500.0), "gap is 500"),
        (dataclasses.replace(GOOD, regions=()), "no film"),
        (dataclasses.replace(GOOD, effort=Effort("none", 0)), "no steps"),
        (dataclasses.replace(GOOD, time_limit=-1.0), "time limit"),
        (dataclasses.replace(GOOD, items=(BAND, BAND)), "two entries"),
        (dataclasses.replace(GOOD, regions=(FILM, FILM)), "two entries"),
        (dataclasses.replace(GOOD, engines=("magic",)), "no engine 'magic'"),
        (with_item(quantity=1_000_000), "1000000 pieces are too many; band alone"),
        (with_item(quantity=-1), "-1 copies"),
        (with_item(outline=BOW_TIE), r"band: its outline crosses or touches itself at \(5.00, 5.00\) mm"),
        (with_item(outline=Polygon()), "empty"),
        (with_item(outline=Polygon([(0, 0), (NAN, 0), (1, 1)])), "not a number"),
        (with_item(outline=Polygon([(0, 0), (5, 0), (9, 0)])), "itself|no area|not a simple"),
        (with_item(outline=box(0, 0, 20_000, 5)), "reaches 20000 mm"),
        (with_item(outline=Point(0, 0).buffer(9, quad_segs=2000)), "8001 points"),
        (with_item(outline=Polygon(box(0, 0, 9, 9).exterior, [box(2, 2, 4, 4).exterior])), "has holes"),
        (with_item(turns=()), "no turn is allowed"),
        (with_item(openings=(box(15, 1, 30, 4),)), "reaches past the outline"),
        (with_item(openings=(box(1, 1, 4, 4), box(3, 1, 6, 4))), "overlap"),
        (with_film(usable=Polygon()), "A6 film.*smaller than its margins"),
        (with_film(usable=BOW_TIE), "A6 film: its usable area crosses"),
        (with_film(keep_outs=(BOW_TIE,)), "A6 film: a used part crosses"),
        (with_film(keep_out_clearance=-0.5), "clearance is -0.5"),
        (with_film(keep_out_clearance=NAN), "clearance round used parts is not a number"),
        (with_film(width=0.0), "width is 0"),
        (with_film(height=NAN), "height is not a number"),
        (dataclasses.replace(GOOD, pins=(Pin("band", 3, "A6 film", 5, 5),)), "no such piece"),
        (dataclasses.replace(GOOD, pins=(Pin("band", 0, "A4", 5, 5),)), "'A4'"),
        (dataclasses.replace(GOOD, pins=(Pin("band", 0, "A6 film", NAN, 5),)), "not a number"),
        (dataclasses.replace(GOOD, pins=(Pin("band", 0, "A6 film", 0, 0),)), "pinned where it cannot lie"),
        (dataclasses.replace(GOOD, pins=(Pin("band", 0, "A6 film", 9, 9, number=1),)), "not there"),
        (dataclasses.replace(GOOD, pins=(Pin("band", 0, "A6 film", 9, 9),) * 2), "pinned twice"),
    ],
)
def test_each_mistake_has_its_message(request_: Request, words: str) -> None:
    with pytest.raises(NestingError, match=words) as caught:
        nest(request_)
    assert isinstance(caught.value, DecalgenError)
    assert caught.value.fix


def test_nothing_to_nest_is_no_mistake() -> None:
    result = nest(dataclasses.replace(GOOD, items=()))
    assert (result.positions, result.left_out, result.used) == ((), (), ())
    assert nest(with_item(quantity=0)).positions == ()
