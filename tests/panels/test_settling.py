"""What would settle a verdict that is not known: it is said how finely or how often to read, and that is enough."""

from __future__ import annotations

import math
import re

import pytest

from decalgen.core.geometry import rectangle
from decalgen.core.instruments import instrument
from decalgen.core.lengths import Quantity
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.fit import Fit, fit
from decalgen.panels.flat import Flat
from decalgen.panels.readings import MeasuredValue, Reading
from decalgen.panels.settling import settling


def fitted(width: MeasuredValue, height: MeasuredValue, wide: float) -> Fit:
    panel = Flat(width=width, height=height).build("door")
    return fit(rectangle(0.0, 0.5, wide, 10.0), (Quantity(wide), Quantity(9.5)), panel, anchor=(0.0, 0.0))


def q(value: float, limit: float) -> Quantity:
    return Quantity(value, 1, (("typed", limit / math.sqrt(3)),))


@pytest.mark.parametrize("room", [0.3, 0.12, 0.05])
def test_what_is_said_to_settle_it_does(room: float) -> None:
    coarse = fitted(q(22.4, 0.5), q(11.0, 0.02), 22.4 - room)
    assert coarse.verdict == "not known" and coarse.repeat == "door.width"
    said = re.match(r"± ([0-9.]+) mm would settle it", coarse.settles)
    assert said, coarse.settles
    limit = float(said[1])
    assert fitted(q(22.4, limit), q(11.0, 0.02), 22.4 - room).verdict == "fits"
    assert fitted(q(22.4, limit * 1.2 + 0.005), q(11.0, 0.02), 22.4 - room).verdict == "not known"
    assert coarse.settles in coarse.lines()[-1] and coarse.settles in coarse.findings("band")[0].fix


@pytest.mark.parametrize(("room", "tool"), [(0.45, "steel rule"), (0.07, "vernier"), (0.03, "caliper")])
def test_the_instrument_and_how_often_that_are_named_are_enough(room: float, tool: str) -> None:
    coarse = fitted(q(22.4, 0.5), q(11.0, 0.02), 22.4 - room)
    named = re.search(rf"a {tool} read (once|(\d) times)", coarse.settles)
    assert named, coarse.settles
    again = tuple(Reading(Quantity(22.4), tool) for _ in range(int(named[2] or 1)))
    assert fitted(again, q(11.0, 0.02), 22.4 - room).verdict == "fits"
    fewer = len(again) - 1
    if fewer:
        assert fitted(again[:fewer], q(11.0, 0.02), 22.4 - room).verdict == "not known"


def test_where_one_reading_is_not_enough_that_is_said() -> None:
    both = Quantity(0.05, 1, (("door.width", 0.2), ("door.height", 0.19)))
    readings = {"door.width": Quantity(22.4, 1, (("door.width", 0.2),))}
    said = settling(both, "door.width", readings, 0.001)
    times = math.hypot(0.2, 0.19) / ((0.05 + 0.001) / 2)
    assert said == f"not by itself enough: every reading would have to be {times:.1f} times as fine"


def test_what_no_panel_can_be_read_to_is_said() -> None:
    amount = Quantity(0.003, 1, (("door.width", 0.01),))
    said = settling(amount, "door.width", {"door.width": Quantity(22.4, 1, (("door.width", 0.01),))}, 0.001)
    assert "finer than a panel can be read" in said
    assert settling(Quantity(0.0, 1, (("door.width", 0.01),)), "door.width", {}, 0.0) == ""
    assert instrument("caliper").u(22.4) > 0.005 / math.sqrt(3)


@pytest.mark.parametrize("spare", [0.6, 0.9, 1.5])
def test_nearly_half_round_the_rise_is_asked_for_as_finely_as_settles_it(spare: float) -> None:
    """No finer reading of the radius tells how high half a circle stands."""

    def told(wide: float, **bend: MeasuredValue) -> Fit:
        panel = Cylinder(chord=q(20.0, 0.01), length=40.0, **bend).build("roof")
        width = panel.width.value
        at = (width - wide) / 2
        return fit(rectangle(at, 1.0, at + wide, 9.0), (Quantity(wide), Quantity(8.0)), panel)

    open_ = Cylinder(chord=q(20.0, 0.01), radius=q(10.0, 0.02), length=40.0).build("roof")
    wide = open_.width.value - spare
    coarse = told(wide, radius=q(10.0, 0.02))
    fix = coarse.findings("band")[0].fix
    assert coarse.verdict == "not known" and "measure the rise of roof (`rise`, in place of its radius)" in fix
    said = re.search(r"± ([0-9.]+) mm would settle it", fix)
    assert said and float(said[1]) > 0.1, fix
    # The rise that gives the very width that was taken: worked out by halving.
    low, high = 8.0, 10.0
    for _ in range(60):
        middle = (low + high) / 2
        build = Cylinder(chord=20.0, rise=middle, length=40.0).build("roof")
        low, high = (middle, high) if build.width.value < open_.width.value else (low, middle)
    assert told(wide, rise=q(low, 0.93 * float(said[1]))).verdict == "fits"
