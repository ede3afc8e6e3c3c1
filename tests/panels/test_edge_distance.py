"""Distances along the axes from a panel's edges to a decal's: by hand, and against the clearances of a fit."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import Polygon, box

from decalgen.core.geometry import circle
from decalgen.core.lengths import Quantity
from decalgen.panels.base import Panel
from decalgen.panels.edge_distance import SIDES, edge_distances
from decalgen.panels.fit import fit
from decalgen.panels.flat import Flat, Tapered


def reading(value: float, limit: float, name: str) -> Quantity:
    """± is the limit of a rectangular distribution: u = a/√3 (JCGM 100:2008, 4.3.7)."""
    return Quantity(value, 1, ((name, limit / math.sqrt(3)),))


def door() -> Panel:
    return Flat(width=reading(22.4, 0.05, "door.width"), height=reading(11.6, 0.05, "door.height")).build("door")


@pytest.mark.parametrize("anchor", [(0.5, 0.5), (0.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
@pytest.mark.parametrize("film", [box(1.0, 2.0, 20.0, 7.0), circle((5.0, 6.0), 3.0), box(-0.5, 1.0, 22.0, 3.0)])
def test_on_a_rectangle_they_are_the_clearances_of_the_fit(film: Polygon, anchor: tuple[float, float]) -> None:
    found = edge_distances(film, door(), anchor)
    asked = {one.to: one for one in fit(film, (Quantity(1.0), Quantity(1.0)), door(), anchor=anchor).clearances}
    for side in SIDES:
        assert found[side].amount.value == pytest.approx(asked[side].amount.value, abs=2e-3)
        assert found[side].expanded == pytest.approx(asked[side].expanded, abs=1e-3)


def test_what_the_job_sets_is_chosen_and_the_rest_has_the_panels_uncertainty() -> None:
    found = edge_distances(box(1.0, 2.0, 20.0, 7.0), door(), (0.0, 0.5))
    assert found["left"].chosen and not found["right"].chosen
    # U = 2 a/√3 of the whole width at one end, half of the height's at both.
    assert found["right"].expanded == pytest.approx(2 * 0.05 / math.sqrt(3), abs=1e-6)
    assert found["bottom"].expanded == found["top"].expanded == pytest.approx(0.05 / math.sqrt(3), abs=1e-6)


def test_at_a_leaning_edge_it_is_taken_at_the_nearer_corner_and_says_so() -> None:
    """A taper of 31.0 below and 28.6 above, 6.4 high: the edge leans in by 1.2 over the height."""
    panel = Tapered(bottom_width=31.0, top_width=28.6, height=6.4).build("side")
    found = edge_distances(box(5.0, 1.4, 26.0, 5.0), panel)
    assert found["left"].amount.value == pytest.approx(5.0 - 1.2 * 5.0 / 6.4)
    assert found["left"].at == "at its upper end" and found["bottom"].at == ""
    assert found["left"].edge == pytest.approx((1.2 * 5.0 / 6.4, 5.0))
    assert found["left"].decal == pytest.approx((5.0, 5.0))


def test_a_line_keeps_off_what_lies_beside() -> None:
    film, other = box(8.0, 4.0, 14.0, 8.0), box(2.0, 5.0, 6.0, 7.0)
    assert edge_distances(film, door())["left"].edge[1] == pytest.approx(6.0)
    crossing = edge_distances(film, door(), others=[other])["left"].edge[1]
    assert not 5.0 <= crossing <= 7.0 and 4.0 <= crossing <= 8.0


def test_a_decal_that_no_straight_line_joins_to_an_edge_has_no_distance_there() -> None:
    panel = Tapered(bottom_width=20.0, top_width=8.0, height=10.0).build("nose")
    found = edge_distances(box(-3.0, 8.0, -1.0, 9.0), panel)
    assert "top" not in found and "bottom" not in found
