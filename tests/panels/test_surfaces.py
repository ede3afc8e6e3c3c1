"""Film, view and space: maps that undo each other, keep lengths, and carry straight lines as they must be cut."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString

from decalgen.core.geometry import TOLERANCE, Point, rectangle
from decalgen.core.lengths import Quantity
from decalgen.panels.base import Panel, PanelError, Surface
from decalgen.panels.cone import Cone
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.dome import Dome
from decalgen.panels.edge import EdgeWrap
from decalgen.panels.flat import Flat
from decalgen.panels.hands import mirrored
from decalgen.panels.leaning import Leaning
from decalgen.panels.obstacles import RectangleObstacle
from decalgen.panels.views import as_cut, as_seen
from tests.panels.directions import cut_angle

BONNET = {"bottom_chord": 26.0, "bottom_rise": 3.0, "top_chord": 20.0, "top_rise": 1.9, "slant_length": 20.0}

PANELS: dict[str, Panel] = {
    "flat": Flat(width=20.0, height=10.0).build("flat"),
    "bent across": Cylinder(chord=20.0, rise=4.0, length=10.0).build("bent across"),
    "bent up": Cylinder(chord=20.0, rise=4.0, length=10.0, bend="up").build("bent up"),
    "cone": Cone(**BONNET).build("cone"),
    "wide cone": Cone(bottom_chord=20.0, bottom_rise=1.9, top_chord=26.0, top_rise=3.0, slant_length=20.0).build(
        "wide cone"
    ),
    "leaning": Leaning(width=20.0, height=10.0, lean=Quantity(25.0, 0)).build("leaning"),
    "leaning sideways": Leaning(width=20.0, height=10.0, lean=Quantity(25.0, 0), back="right").build(
        "leaning sideways"
    ),
    "edge": EdgeWrap(first_face=8.0, second_face=5.0, edge_radius=1.5, length=20.0).build("edge"),
    "blunt edge": EdgeWrap(
        first_face=8.0, second_face=5.0, edge_radius=1.5, length=20.0, turn=Quantity(50.0, 0), edge="right"
    ).build("blunt edge"),
    "dome": Dome(width=16.0, height=10.0, radius_across=18.0, radius_up=12.0).build("dome"),
}
PANELS["mirrored cone"] = mirrored(PANELS["cone"])
PANELS["mirrored edge"] = mirrored(PANELS["blunt edge"])
DEVELOPABLE = [name for name in PANELS if name != "dome"]
HIDDEN = {"edge"}

share = st.floats(0.02, 0.98)


def surface(name: str) -> Surface:
    found = PANELS[name].surface
    assert found is not None
    return found


def spot(name: str, x: float, y: float) -> Point:
    panel = PANELS[name]
    point = (x * panel.width.value, y * panel.height.value)
    if name in HIDDEN:
        point = (point[0], min(point[1], 7.9))
    return point


@pytest.mark.parametrize("name", PANELS)
@settings(max_examples=30, deadline=None)
@given(share, share)
def test_to_flat_undoes_to_panel(name: str, x: float, y: float) -> None:
    point = spot(name, x, y)
    assert surface(name).to_flat(surface(name).to_panel(point)) == pytest.approx(point, abs=1e-6)


@pytest.mark.parametrize("name", PANELS)
@settings(max_examples=20, deadline=None)
@given(share, share)
def test_the_view_is_space_without_depth(name: str, x: float, y: float) -> None:
    point = (x * PANELS[name].width.value, y * PANELS[name].height.value)
    found = surface(name).to_space(point)
    assert (found.x, found.y) == pytest.approx(surface(name).to_panel(point))


@pytest.mark.parametrize("name", DEVELOPABLE)
@settings(max_examples=30, deadline=None)
@given(share, share, st.floats(0, 2 * math.pi))
def test_developable_film_keeps_lengths_in_space(name: str, x: float, y: float, heading: float) -> None:
    """A hundredth of a millimetre on the film is as long in space, in every direction: an isometry."""
    a = (x * PANELS[name].width.value, y * PANELS[name].height.value)
    b = (a[0] + 0.01 * math.cos(heading), a[1] + 0.01 * math.sin(heading))
    length = math.dist(surface(name).to_space(a), surface(name).to_space(b))
    assert length == pytest.approx(0.01, rel=2e-5)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.0, 2 * math.pi), st.floats(0.5, 4.0))
def test_film_on_a_cap_keeps_distances_from_its_middle(heading: float, distance: float) -> None:
    panel = PANELS["dome"]
    middle = (panel.width.value / 2, panel.height.value / 2)
    steps = [
        surface("dome").to_space(
            (middle[0] + distance * i / 400 * math.cos(heading), middle[1] + distance * i / 400 * math.sin(heading))
        )
        for i in range(401)
    ]
    length = sum(math.dist(a, b) for a, b in pairwise(steps))
    assert length == pytest.approx(distance, rel=1e-5)


def test_a_stripe_meant_level_on_a_cone_is_cut_as_an_arc() -> None:
    """On the film every point of a level stripe is as far from where the generators meet."""
    panel = PANELS["cone"]
    level = as_cut(LineString([(4.0, 6.0), (22.0, 6.0)]), surface("cone"))
    low, high = 26.0**2 / 24 + 1.5, 20.0**2 / (8 * 1.9) + 0.95
    sine = (low - high) / 20.0
    bottom = panel.outline.segments[0]
    assert bottom.centre is not None
    slant = 6.0 / math.sqrt(1 - sine**2)
    radii = [math.dist(point, bottom.centre) for point in level.coords]
    assert radii == pytest.approx([low / sine - slant] * len(radii), abs=1e-9)
    assert max(p[1] for p in level.coords) - min(p[1] for p in level.coords) > 0.1, "far from straight"


@pytest.mark.parametrize("name", ["bent across", "cone", "dome", "leaning", "mirrored cone"])
def test_what_is_drawn_as_seen_looks_so_again(name: str) -> None:
    x, y = surface(name).to_panel((PANELS[name].width.value / 2, PANELS[name].height.value / 2))
    square = rectangle(x - 3, y - 2, x + 3, y + 2)
    seen = as_seen(as_cut(square, surface(name)), surface(name))
    assert seen.symmetric_difference(square).area < 12 * 1e-3, "within the tolerance along its edge"


def test_a_slanting_stripe_on_a_bent_panel_steepens_less_towards_its_edges() -> None:
    """At the middle the film lies square to the eye; at the turn a from it dx is stretched by 1/cos a."""
    found = surface("bent across")
    radius = 20.0**2 / 32 + 2
    assert cut_angle(found, (10.0, 5.0), 45.0) == pytest.approx(45.0)
    turn = math.asin(8.0 / radius)
    assert cut_angle(found, (18.0, 5.0), 45.0) == pytest.approx(math.degrees(math.atan(math.cos(turn))), abs=1e-4)


@pytest.mark.parametrize(
    ("name", "point"),
    [("bent across", (40.0, 5.0)), ("edge", (5.0, 12.0)), ("dome", (40.0, 5.0)), ("cone", (60.0, 5.0))],
)
def test_what_cannot_be_seen_is_refused(name: str, point: Point) -> None:
    with pytest.raises(PanelError, match="is not seen") as caught:
        surface(name).to_flat(point)
    assert caught.value.fix


def test_obstacles_can_be_read_as_seen() -> None:
    handle = RectangleObstacle(rectangle=(3.0, 0.8), at=(12.0, 4.0), seen=True)
    leaning = Leaning(width=20.0, height=10.0, lean=Quantity(25.0, 0)).build("rear", {"handle": handle})
    short = math.cos(math.radians(25))
    x0, y0, x1, y1 = leaning.obstacles[0].outline.polygon.bounds
    assert (x0, y0, x1, y1) == pytest.approx((12.0, 4.0 / short, 15.0, 4.8 / short))


def test_what_is_carried_keeps_the_tolerance_where_a_dome_bends_more_one_way() -> None:
    """The smaller radius decides how finely a line is split; by a line split a hundred times as finely."""
    panel = Dome(width=30.0, height=14.0, radius_across=60.0, radius_up=9.0).build("tail")
    assert panel.surface is not None
    line = LineString([(1.0, panel.height.value - 1.0), (panel.width.value - 1.0, panel.height.value - 1.0)])
    fine = as_cut(shapely.segmentize(line, 0.005), panel.surface)
    assert fine.hausdorff_distance(as_cut(line, panel.surface)) <= TOLERANCE


def test_a_leaning_panel_lies_behind_its_near_edge() -> None:
    for name, far in (("leaning", (0.0, 5.0)), ("leaning sideways", (5.0, 0.0))):
        assert surface(name).to_space((0.0, 0.0)).z == pytest.approx(0.0)
        assert surface(name).to_space(far).z == pytest.approx(-5.0 * math.sin(math.radians(25.0)))
