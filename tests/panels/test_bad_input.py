"""Every mistake a restorer can make with readings: one message, the place, the fix."""

from __future__ import annotations

import math

import pytest

from decalgen.core.errors import Place
from decalgen.core.lengths import Quantity
from decalgen.panels.base import PanelError
from decalgen.panels.cone import Cone
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.dome import Dome
from decalgen.panels.edge import EdgeWrap
from decalgen.panels.flat import Flat, Tapered
from decalgen.panels.free import FreeOutline
from decalgen.panels.full_size import FullSize
from decalgen.panels.kinds import PanelKind
from decalgen.panels.leaning import Leaning
from decalgen.panels.obstacles import CircleObstacle, LineObstacle, ObstacleKind, OutlineObstacle, RectangleObstacle
from decalgen.panels.prototype import Prototype

PLACE = Place("job.yaml", 9, 5, "    rise: 11 mm")


def deg(value: float) -> Quantity:
    return Quantity(value, 0)


BAD: list[tuple[PanelKind, str, str]] = [
    (Cylinder(chord=20.8, rise=11.0, length=40), "rise 11 mm is more than half the chord 20.8 mm", "straight line"),
    (Cylinder(chord=20.8, rise=0.0, length=40), "rise is 0 mm", "flat: give width and height"),
    (Cylinder(chord=20.8, rise=-1.0, length=40), "rise is -1 mm", "hollow"),
    (Cylinder(radius=-5.0, chord=20.8, length=40), "radius is -5 mm", "greater than zero"),
    (Cylinder(radius=9.0, chord=20.8, length=40), "more than twice the radius", "measure both"),
    (Cylinder(radius=9.0, angle=deg(200), length=40), "angle is 200 degrees", "up to 180"),
    (Cylinder(radius=9.0, tape=30.0, length=40), "further than half round", "tape alone"),
    (Cylinder(tape=20.0, chord=20.8, length=40), "is shorter than the chord 20.8 mm", "measure"),
    (Cylinder(tape=-1.0, length=40), "tape is -1 mm", "greater than zero"),
    (Cylinder(chord=20.8, rise=2.05), "straight direction is missing", "length"),
    (Cylinder(chord=20.8, rise=2.05, length=-4), "length is -4 mm", "greater than zero"),
    (Tapered(bottom_width=20, left_inset=12, right_inset=9, height=6), "cross before they reach the top", "top width"),
    (Tapered(bottom_width=20, top_width=5, left_inset=40, height=6), "wholly beside the bottom", "insets"),
    (Tapered(bottom_width=20, top_width=-5, height=6), "top width is -5 mm", "greater than zero"),
    (Tapered(bottom_width=20, height=6), "top width is not known", "left inset and right inset"),
    (FreeOutline(outline=((0, 0), (10, 10), (10, 0), (0, 10))), "crosses itself", "in order"),
    (FreeOutline(outline=((0, 0), (10, 0), (10, 0), (0, 10))), "are the same", "leave one of them out"),
    (FreeOutline(outline=((0, 0), (10, 0))), "no area", "three points"),
    (FreeOutline(outline=((0, 0), (5, 5), (10, 10))), "no area: its points lie on one line", "in order"),
    (EdgeWrap(first_face=9, second_face=9, edge_radius=1, length=9, turn=175), "turn is 175", "below 175"),
    (FreeOutline(outline=((0, 0), (10, 0), (10, 10)), arcs=(3.0, 0, 0)), "too far for an arc", "at least 5.00"),
    (FreeOutline(outline=((0, 0), (10, 0), (10, 10)), arcs=(3.0, 0)), "2 arcs for 3 points", "one for each"),
    (
        FreeOutline(outline=((0, 0), (10, 0), (10, 10)), arcs=(9.0, 0, 0), arc_rises=(1.0, 0, 0)),
        "both given",
        "keep one",
    ),
    (FreeOutline(outline=((0, 0), (10, 0), (10, 4), (0, 4)), corner_radii=(3.0,)), "take more than its 4", "smaller"),
    (
        FreeOutline(outline=((0, 0), (10, 0), (10, 9), (0, 9)), corner_radii=(1.0,), arcs=(9.0, 0, 0, 0)),
        "round and has an arc or a curve beside it",
        "corner radius to 0",
    ),
    (
        FreeOutline(outline=((0, 0), (10, 0), (10, 2), (0, 2)), arc_rises=(-4.0, 0, 0, 0)),
        "crosses itself",
        "arcs smaller",
    ),
    (
        Cone(bottom_chord=26, bottom_rise=14, top_chord=20, top_rise=2, slant_length=20),
        "bottom rise 14 mm is more than half",
        "straight line",
    ),
    (
        Cone(bottom_chord=26, bottom_rise=1, top_chord=20, top_rise=4, slant_length=20),
        "cannot be 20 mm apart",
        "measure both rises",
    ),
    (EdgeWrap(first_face=8, second_face=5, edge_radius=6, length=40), "takes 6.00 mm of each face", "sharp"),
    (EdgeWrap(first_face=8, second_face=5, edge_radius=1, length=40, turn=deg(190)), "turn is 190", "90"),
    (Leaning(width=26, height=8, lean=deg(85)), "next to nothing to see", "square to its own face"),
    (Leaning(width=26, height=8, rise=3.0, lean=deg(10)), "lean is not known", "run"),
    (Dome(width=40, height=10, radius_across=18, radius_up=18), "does not go on a radius", "rise across"),
    (Dome(width=20, height=10, radius_across=-18, radius_up=18), "radius across is -18", "greater than zero"),
    (Dome(width=20, height=10, radius_across=18), "bend up is not known", "radius up, or rise up"),
    (Prototype(prototype=FullSize(width=900)), "needs both sizes", "prototype: {width"),
    (Prototype(prototype=FullSize(width=900, height=500)), "has no scale", "scale:"),
]


@pytest.mark.parametrize(("kind", "words", "fix"), BAD, ids=[f"{b[0].name}: {b[1]}" for b in BAD])
def test_readings_that_make_no_panel(kind: PanelKind, words: str, fix: str) -> None:
    with pytest.raises(PanelError) as caught:
        kind.build("door", place=PLACE)
    assert words in caught.value.message and caught.value.message.startswith("panel 'door': ")
    assert fix in caught.value.fix
    assert caught.value.place == PLACE
    assert caught.value.exit_code == 2
    assert str(caught.value).startswith("job.yaml:9:5: ")


def test_uncertainty_larger_than_the_value() -> None:
    key = Place("job.yaml", 11, 7)
    bad = Quantity(1.1, 1, (("x", 2.0 / math.sqrt(3)),))
    with pytest.raises(PanelError, match="uncertainty of rise is as large as its value") as caught:
        Cylinder(chord=24.2, rise=bad, length=19.5).build("bonnet", place=PLACE, places={"rise": key})
    assert caught.value.place == key and "largest error you expect" in caught.value.fix


def test_a_coarse_reading_is_a_warning() -> None:
    coarse = Quantity(1.1, 1, (("x", 0.5 / math.sqrt(3)),))
    panel = Cylinder(chord=24.2, rise=coarse, length=19.5, instrument="caliper").build("bonnet", place=PLACE)
    assert [f.code for f in panel.findings] == ["reading-coarse"]
    assert panel.findings[0].place == PLACE


@pytest.mark.parametrize(
    ("width", "height", "scale", "words"),
    [
        (22.4 * 25.4, 11.6 * 25.4, 43.0, "22.4 in is 569 mm; write 22.4 mm"),
        (22.4 * 25.4, 11.6 * 25.4, None, "22.4 in is 569 mm"),
        (0.88, 0.46, 43.0, "were inches meant? 0.46 in is 11.68 mm"),
        (960.0, 500.0, 43.0, "goes under prototype"),
    ],
)
def test_units_mixed_up(width: float, height: float, scale: float | None, words: str) -> None:
    panel = Flat(width=width, height=height, instrument="caliper").build("door", place=PLACE, scale=scale)
    finding = panel.findings[0]
    assert (finding.severity, finding.code, finding.place) == ("warning", "size-unlikely", PLACE)
    assert words in finding.fix


@pytest.mark.parametrize(("width", "height", "scale"), [(68.0, 2.2, 64.0), (22.4, 11.6, 43.0), (61.0, 12.6, 50.0)])
def test_sizes_of_real_toys_are_not_doubted(width: float, height: float, scale: float) -> None:
    assert Flat(width=width, height=height, instrument="caliper").build("p", scale=scale).findings == ()


OBSTACLES: list[tuple[ObstacleKind, str]] = [
    (RectangleObstacle(rectangle=(3.0, 0.8), at=(30.0, 2.0)), "lies outside"),
    (OutlineObstacle(outline=((30, 2), (32, 2), (31, 4))), "lies outside"),
    (OutlineObstacle(outline=((1, 1), (4, 4), (4, 1), (1, 4))), "crosses itself"),
    (RectangleObstacle(rectangle=(-3.0, 0.8), at=(3.0, 2.0)), "width of 'thing' is -3 mm"),
    (CircleObstacle(circle=0.0, at=(3.0, 2.0)), "diameter of 'thing' is 0 mm"),
    (LineObstacle(line=((3, 0), (3, 0)), width=0.4), "two points of 'thing' are the same"),
    (LineObstacle(line=((3, 0), (3, 9)), width=0.0), "width of 'thing' is 0 mm"),
]


@pytest.mark.parametrize(("obstacle", "words"), OBSTACLES, ids=[words for _, words in OBSTACLES])
def test_obstacles_that_cannot_be(obstacle: ObstacleKind, words: str) -> None:
    at = Place("job.yaml", 14, 9)
    with pytest.raises(PanelError) as caught:
        Flat(width=22.4, height=11.6).build("door", {"thing": obstacle}, PLACE, places={"obstacles.thing": at})
    assert words in caught.value.message
    assert caught.value.place == at and caught.value.fix


def test_an_obstacle_that_covers_the_panel_is_found() -> None:
    window = RectangleObstacle(rectangle=(30.0, 20.0), at=(-1.0, -1.0))
    panel = Flat(width=22.4, height=11.6, instrument="caliper").build("door", {"window": window})
    assert [(f.severity, f.code) for f in panel.findings] == [("error", "obstacle-covers")]


def test_a_huge_outline_is_built_in_reasonable_steps() -> None:
    """More points than a job file may give."""
    ring = tuple(
        (30 + 20 * math.cos(2 * math.pi * i / 200), 30 + 20 * math.sin(2 * math.pi * i / 200)) for i in range(200)
    )
    panel = FreeOutline(outline=ring, instrument="caliper").build("disc")
    assert panel.outline.polygon.area == pytest.approx(200 * 200 * math.sin(2 * math.pi / 200))


@pytest.mark.parametrize(("height", "told"), [(0.75, True), (0.85, False)])
def test_a_panel_under_eight_tenths_of_a_millimetre_is_unlikely(height: float, told: bool) -> None:
    # Without a scale; common practice, no source.
    panel = Flat(width=22.4, height=height, instrument="caliper").build("door")
    assert ("size-unlikely" in [finding.code for finding in panel.findings]) == told
