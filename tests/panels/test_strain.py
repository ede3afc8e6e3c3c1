"""Strain of film on panels curved both ways: how much, where, and what helps."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import Polygon

from decalgen.core.geometry import circle, rectangle
from decalgen.core.lengths import Quantity
from decalgen.panels.base import Panel, PanelError
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.dome import Dome
from decalgen.panels.strain import GORES, SLITS, SOFTENER, disc_strain, reach, strain


def lid(across: float = 18.0, up: float = 18.0, limit: float = 0.0) -> Panel:
    def radius(value: float, name: str) -> Quantity:
        return Quantity(value, 1, ((name, limit / math.sqrt(3)),) if limit else ())

    return Dome(width=20.0, height=20.0, radius_across=radius(across, "a"), radius_up=radius(up, "b")).build("lid")


def middle(panel: Panel) -> tuple[float, float]:
    return panel.width.value / 2, panel.height.value / 2


def test_panels_bent_one_way_do_not_strain_the_film() -> None:
    panel = Cylinder(chord=20.8, rise=2.05, length=40.0).build("board")
    assert strain(rectangle(1, 1, 10, 10), panel) is None


def test_a_disc_of_radius_5_on_a_boot_lid_of_radius_18() -> None:
    panel = lid(limit=2.0)
    found = strain(circle(middle(panel), 5.0), panel)
    assert found is not None
    assert found.most.value == pytest.approx(1 - math.sin(5 / 18) / (5 / 18))
    assert found.advice == "softener"
    assert found.distance == pytest.approx(5.0, abs=1e-3)
    # both radii enter through sqrt(R·R'): Monte Carlo of the closed form, seeded
    rng = np.random.default_rng(3)
    radii = rng.uniform(16, 20, (100_000, 2))
    x = 5 / np.sqrt(radii[:, 0] * radii[:, 1])
    assert found.most.u == pytest.approx(float(np.std(1 - np.sin(x) / x)), rel=0.03)
    (finding,) = found.findings("roundel")
    assert (finding.code, finding.limit, finding.unit) == ("strain-softener", 1.0, "%")
    assert finding.measured == pytest.approx(100 * found.most.value)


@pytest.mark.parametrize(("radius", "advice"), [(60.0, "none"), (18.0, "softener"), (11.0, "slits"), (7.0, "gores")])
def test_advice_follows_the_strain(radius: float, advice: str) -> None:
    panel = Dome(width=13.0, height=13.0, radius_across=radius, radius_up=radius).build("lid")
    found = strain(circle(middle(panel), 5.0), panel)
    assert found is not None and found.advice == advice
    limits = {"none": 0.0, "softener": SOFTENER, "slits": SLITS, "gores": GORES}
    assert found.most.value > limits[advice]
    assert bool(found.findings("roundel")) == (advice != "none")
    assert bool(found.slits) == (advice in ("slits", "gores"))


def test_where_it_is_worst_is_the_corner_farthest_from_the_middle() -> None:
    panel = lid()
    x, y = middle(panel)
    found = strain(rectangle(x - 4, y - 1, x + 4, y + 1), panel)
    assert found is not None
    assert (abs(found.where[0] - x), abs(found.where[1] - y)) == pytest.approx((4, 1))
    assert found.distance == pytest.approx(math.hypot(4, 1))


def test_strain_depends_on_the_product_of_both_radii() -> None:
    a, b = (strain(circle(middle(p), 5.0), p) for p in (lid(18.0, 18.0), lid(12.0, 27.0)))
    assert a is not None and b is not None
    assert a.most.value == pytest.approx(b.most.value, rel=1e-4)


def test_rings_bound_the_strain() -> None:
    """At the edge of each ring the strain is that ring's limit."""
    panel = Dome(width=13.0, height=13.0, radius_across=7.0, radius_up=7.0).build("lid")
    found = strain(circle(middle(panel), 5.0), panel)
    assert found is not None
    assert [level for level, _ in found.rings] == [SOFTENER, SLITS, GORES]
    for level, ring in found.rings:
        radius = math.sqrt(ring.area / math.pi)
        assert disc_strain(radius / 7.0) == pytest.approx(level, rel=2e-3)
        assert reach(level, 1 / 49) == pytest.approx(radius, rel=1e-3)


def test_slits_run_from_the_edge_to_where_the_film_lies_down() -> None:
    panel = Dome(width=13.0, height=13.0, radius_across=11.0, radius_up=11.0).build("lid")
    found = strain(circle(middle(panel), 5.0), panel)
    assert found is not None
    inner = reach(SOFTENER, 1 / 121)
    for slit in found.slits:
        distances = [math.dist(point, found.middle) for point in slit.coords]
        assert min(distances) == pytest.approx(inner, abs=1e-6) and max(distances) == pytest.approx(5.0, abs=2e-3)
    assert found.overlap * len(found.slits) == pytest.approx(2 * math.pi * 5 * found.most.value, rel=1e-3)
    assert found.overlap <= 0.3


def test_half_round_is_too_far() -> None:
    panel = Dome(width=9.0, height=9.0, radius_across=4.6, radius_up=4.6).build("knob")
    with pytest.raises(PanelError, match="halfway round") as caught:
        strain(circle(middle(panel), 7.3), panel)
    assert caught.value.fix


def test_the_strain_is_told_at_the_corner_that_lies_furthest_out() -> None:
    panel = lid()
    x, y = middle(panel)
    # A wedge: of its corners, (3, 1) lies furthest from its centroid.
    wedge = Polygon([(x - 2, y - 1), (x + 3, y + 1), (x - 2, y + 1)])
    found = strain(wedge, panel)
    assert found is not None
    assert found.where == pytest.approx((x + 3, y + 1))
    assert found.distance == pytest.approx(math.dist(found.where, wedge.centroid.coords[0]))
