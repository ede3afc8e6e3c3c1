"""Flat panels and panels bent one way: outline, sizes, uncertainty, obstacles, and the choice of the kind."""

from __future__ import annotations

import math

import pytest

from decalgen.core.errors import Place
from decalgen.core.keys import specs
from decalgen.core.lengths import Quantity
from decalgen.panels.base import PanelError
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.flat import Flat
from decalgen.panels.obstacles import CircleObstacle, LineObstacle, OutlineObstacle, RectangleObstacle, SlotObstacle
from decalgen.panels.registry import kind_for, kinds, obstacle_for, obstacle_kinds


def within(value: float, limit: float, name: str) -> Quantity:
    """A reading whose ± is a limit (JCGM 100:2008, 4.3.7)."""
    return Quantity(value, 1, ((name, limit / math.sqrt(3)),))


def test_flat_panel_has_its_readings_as_sizes() -> None:
    door = Flat(width=within(22.40, 0.05, "door.width"), height=within(11.60, 0.05, "door.height")).build("door")
    assert door.outline.polygon.bounds == (0, 0, 22.40, 11.60)
    assert door.width.value == 22.40
    assert door.width.parts == (("door.width", pytest.approx(0.05 / math.sqrt(3))),)
    assert dict(door.sizes)["height"].parts[0][0] == "door.height"
    assert door.sides == ("bottom", "right", "top", "left")


def test_bent_panel_is_as_wide_as_its_arc() -> None:
    board = Cylinder(
        chord=within(20.80, 0.05, "board.chord"), rise=within(2.05, 0.10, "board.rise"), length=Quantity(40.0)
    ).build("board")
    assert board.width.value == pytest.approx(21.335, abs=5e-4)
    assert board.height.value == 40.0
    up = Cylinder(chord=Quantity(20.80), rise=Quantity(2.05), length=Quantity(40.0), bend="up").build("side")
    assert up.height.value == pytest.approx(board.width.value)
    assert dict(board.sizes)["chord"].value == 20.80


def test_a_panel_can_be_built_again_with_shifted_readings() -> None:
    door = Flat(
        width=within(22.40, 0.05, "door.width"), height=Quantity(11.6), paint=within(0.1, 0.05, "door.paint")
    ).build("door")
    assert door.width.value == pytest.approx(22.60)
    assert door.shifted is not None
    again = door.shifted({"door.width": 1.0, "door.paint": -1.0})
    assert again.width.value == pytest.approx(22.60 + 0.05 / math.sqrt(3) - 2 * 0.05 / math.sqrt(3))


def test_obstacles_lie_where_they_were_measured() -> None:
    place = Place("job.yaml", 7, 3)
    obstacles = {
        "handle": RectangleObstacle(
            rectangle=(Quantity(3.0), Quantity(0.8)), at=(Quantity(16.5), Quantity(8.2)), clearance=0.3
        ),
        "cap": CircleObstacle(circle=Quantity(2.0), at=(Quantity(4.0), Quantity(4.0))),
        "rail": SlotObstacle(slot=(Quantity(10.0), Quantity(1.0)), at=(Quantity(2.0), Quantity(6.0))),
        "door gap": LineObstacle(
            line=((Quantity(11.0), Quantity(0.0)), (Quantity(11.0), Quantity(11.6))), width=Quantity(0.4)
        ),
        "badge": OutlineObstacle(
            outline=((Quantity(1.0), Quantity(1.0)), (Quantity(2.0), Quantity(1.0)), (Quantity(1.0), Quantity(2.0)))
        ),
    }
    door = Flat(width=Quantity(22.4), height=Quantity(11.6)).build(
        "door", obstacles, places={"obstacles.handle": place}
    )
    found = {obstacle.name: obstacle for obstacle in door.obstacles}
    assert found["handle"].outline.polygon.bounds == pytest.approx((16.5, 8.2, 19.5, 9.0))
    assert found["handle"].clearance == 0.3 and found["handle"].place == place
    assert found["cap"].outline.polygon.area == pytest.approx(math.pi, abs=2 * math.pi * 1e-3)
    assert found["cap"].outline.polygon.centroid.coords[0] == pytest.approx((4.0, 4.0), abs=1e-3)
    assert found["rail"].outline.polygon.area == pytest.approx(9.0 + math.pi / 4, abs=2e-3)
    assert found["door gap"].outline.polygon.bounds == pytest.approx((10.8, -0.2, 11.2, 11.8))
    assert found["door gap"].gap and not found["handle"].gap
    assert found["badge"].outline.polygon.area == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (Flat(width=Quantity(-1.0), height=Quantity(2.0)), "width is -1 mm"),
        (Cylinder(chord=Quantity(10.0), rise=Quantity(5.2), length=Quantity(4.0)), "more than half the chord"),
    ],
)
def test_readings_that_make_no_panel_are_refused_with_place_and_fix(kind: Flat | Cylinder, words: str) -> None:
    place = Place("job.yaml", 4, 5)
    with pytest.raises(PanelError, match=words) as caught:
        kind.build("door", place=place)
    assert caught.value.place == place and caught.value.fix


def test_an_obstacle_outside_the_panel_is_refused() -> None:
    rivet = CircleObstacle(circle=Quantity(1.0), at=(Quantity(40.0), Quantity(4.0)))
    with pytest.raises(PanelError, match=r"panel 'door': 'rivet' .* lies outside"):
        Flat(width=Quantity(22.4), height=Quantity(11.6)).build("door", {"rivet": rivet})


def test_the_keys_choose_the_kind() -> None:
    assert kind_for({"width", "height", "obstacles"}) is Flat
    assert kind_for({"chord", "rise", "length"}) is Cylinder
    assert kind_for({"widht", "height"}) is Flat, "a misspelt key still leads to the kind it was meant for"
    assert kind_for({"anything"}, "cylinder") is Cylinder
    with pytest.raises(PanelError) as caught:
        kind_for({"chord", "length"})
    assert "rise" in caught.value.fix
    with pytest.raises(PanelError, match="no kind of panel 'cilinder'") as caught:
        kind_for(set(), "cilinder")
    assert caught.value.fix == "did you mean 'cylinder'?"


def test_the_keys_choose_the_obstacle() -> None:
    for name, kind in obstacle_kinds().items():
        assert obstacle_for({name, "clearance"}) is kind
    with pytest.raises(PanelError, match="one of rectangle, circle"):
        obstacle_for({"square"})


def test_every_field_has_a_mark_and_an_explanation() -> None:
    for kind in (*kinds().values(), *obstacle_kinds().values()):
        assert kind.about
        for spec in specs(kind):
            assert spec.kind.about, f"{kind.name}.{spec.name}"


def test_the_scenario_of_the_harbour_pick_up() -> None:
    """Its door by the keys of a job file, as a whole: 22.40 x 11.60 ±0.05."""
    kind = kind_for({"width", "height", "obstacles"})
    assert kind is Flat
    door = kind(width=within(22.40, 0.05, "door.width"), height=within(11.60, 0.05, "door.height"))
    panel = door.build("door", scale=43.0)
    assert panel.findings == ()
    assert panel.width.expanded() == pytest.approx(2 * 0.05 / math.sqrt(3))
