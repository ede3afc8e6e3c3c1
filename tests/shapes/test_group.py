"""Groups: repeated, turned, clipped, in each other."""

from __future__ import annotations

import math

import pytest
from shapely.affinity import scale

from decalgen.core.geometry import rectangle, union
from decalgen.shapes.base import At, Box, Element, ShapeError
from decalgen.shapes.field import Field
from decalgen.shapes.group import Group
from decalgen.shapes.placing import place
from decalgen.shapes.star import Star

CELL = Element(Field("navy", width=2.0, height=1.0), At("bottom left"))


def test_copies_lie_a_pitch_apart() -> None:
    group = Group((CELL,), width=2.0, height=1.0, count=3, pitch_x=3.0, pitch_y=0.5)
    assert group.extent(Box(20, 20)) == (8.0, 2.0)
    corners = [a.region.bounds[:2] for a in group.draw(Box(8, 2))]
    assert corners == [(0, 0), (3, 0.5), (6, 1)]


def test_copies_with_a_pitch_to_the_left_start_at_the_right() -> None:
    group = Group((CELL,), width=2.0, height=1.0, count=3, pitch_x=-3.0)
    assert [a.region.bounds[0] for a in group.draw(group.extent(Box(20, 20)))] == [6, 3, 0]


@pytest.mark.parametrize(
    ("degrees", "bounds"),
    [(0, (0, 0, 2, 1)), (90, (5, 0, 6, 2)), (180, (8, 5, 10, 6)), (270, (0, 8, 1, 10)), (-90, (0, 8, 1, 10))],
)
def test_a_quarter_turn_is_exact(degrees: float, bounds: tuple[float, ...]) -> None:
    group = Group((CELL,), width=10.0, height=6.0, turn=float(degrees))
    (area,) = group.draw(group.extent(Box(99, 99)))
    assert area.region.bounds == bounds


def test_a_turned_group_takes_its_bounding_box() -> None:
    group = Group((Element(Field("navy")),), width=10.0, height=4.0, turn=30.0)
    size = group.extent(Box(99, 99))
    c, s = math.cos(math.pi / 6), math.sin(math.pi / 6)
    assert size == pytest.approx((10 * c + 4 * s, 10 * s + 4 * c))
    (area,) = group.draw(size, run_on=1.0)
    assert area.region.bounds == pytest.approx((0, 0, *size)), "it meets its sides with corners only"
    assert area.region.area == pytest.approx(40)


@pytest.mark.parametrize(("degrees", "side"), [(0, "left"), (90, "bottom"), (180, "right"), (270, "top")])
def test_what_runs_on_turns_along(degrees: float, side: str) -> None:
    """A bar on the left side of the group, turned: it runs on over that side which it then lies on."""
    bar = Element(Field("navy", width=1.0, height=2.0), At("left"))
    square = Group((bar,), width=6.0, height=6.0, turn=float(degrees))
    (area,) = place([Element(square)], Box(6, 6), 0.5)
    grown = {"left": (-0.5, 2, 1, 4), "bottom": (2, -0.5, 4, 1), "right": (5, 2, 6.5, 4), "top": (2, 5, 4, 6.5)}
    assert area.region.bounds == pytest.approx(grown[side])


def test_copies_run_on_only_where_they_lie_on_the_edge() -> None:
    """Three abutting copies across a decal: no copy runs on into its neighbour, or below it from the side."""
    group = Group((Element(Field("navy")),), width=2.0, height=4.0, count=3, pitch_x=2.0)
    first, middle, last = place([Element(group)], Box(6, 4), 0.5)
    assert first.region.equals(rectangle(-0.5, -0.5, 2, 4.5))
    assert middle.region.equals(rectangle(2, -0.5, 4, 4.5))
    assert last.region.equals(rectangle(4, -0.5, 6.5, 4.5))


def test_a_group_without_a_size_takes_what_there_is() -> None:
    copies = Group((Element(Field("navy")),), count=3, pitch_x=7.0)
    assert copies.extent(Box(20, 8)) == (20, 8)
    assert [a.region.bounds for a in copies.draw(Box(20, 8))] == [(0, 0, 6, 8), (7, 0, 13, 8), (14, 0, 20, 8)]


@pytest.mark.parametrize("run_on", [0.0, 0.5])
def test_an_overhang_stays_unless_the_group_clips(run_on: float) -> None:
    """A star larger than its group reaches out of it, with bleed as without; clipped, it does not."""
    star = Element(Star("navy", diameter=8.0))
    loose, clipped = (Element(Group((star,), width=4.0, height=4.0, clip=c), At("left")) for c in (False, True))
    assert place([loose], Box(20, 20), run_on)[0].region.bounds[2] > 5
    x0, y0, x1, y1 = place([clipped], Box(20, 20), run_on)[0].region.bounds
    assert (y0, x1, y1) == pytest.approx((8, 4, 12)) and x0 == pytest.approx(-run_on)


def test_copies_on_each_other_are_painted_in_order() -> None:
    group = Group(
        (Element(Field("white")), Element(Field("navy", width=1.0))), width=3.0, height=1.0, count=2, pitch_x=1.0
    )
    assert [a.ink for a in group.draw(Box(4, 1))] == ["white", "navy", "white", "navy"]


def test_groups_too_deep_are_refused() -> None:
    group = Group((CELL,))
    with pytest.raises(ShapeError, match="deep"):
        for _ in range(20):
            group = Group((Element(group),))


def test_copies_of_copies_of_copies_are_bounded() -> None:
    """500 x 500 x 500 stars would be 125 million: refused at once, not drawn."""
    group = Group((Element(Star("navy", diameter=1.0)),), width=1.0, height=1.0, count=500, pitch_x=1.0)
    for _ in range(2):
        group = Group((Element(group, At("bottom left")),), width=1.0, height=1.0, count=500, pitch_y=1.0)
    with pytest.raises(ShapeError, match="too many"):
        group.draw(group.extent(Box(10, 10)))


def test_a_repeated_field_covers_the_whole() -> None:
    group = Group((Element(Field("navy")),), width=0.7, height=2.0, count=9, pitch_x=0.7)
    size = group.extent(Box(9, 9))
    whole = union(a.region for a in group.draw(size))
    assert whole.area == pytest.approx(size.width * size.height) and len(whole.geoms) == 1


@pytest.mark.parametrize("degrees", [0.0, 30.0, 90.0, -120.0])
@pytest.mark.parametrize("mirror", [False, True])
def test_the_other_hand_of_a_turned_row_is_its_mirror_image(degrees: float, mirror: bool) -> None:
    """Without lettering a group, turned and repeated, mirrors as any other shape does."""
    corner = Element(Star("white", diameter=3.0, turn=20.0), At("bottom left"))
    group = Group((CELL, corner), width=5.0, height=4.0, turn=degrees, mirror=mirror, count=3, pitch_x=6.0, pitch_y=1.0)
    box = Box(30, 20)
    left = place([Element(group, At("left", 1.0))], box)
    right = place([Element(group, At("left", 1.0))], box, mirrored=True)
    for a, b in zip(left, right, strict=True):
        flipped = scale(a.region, xfact=-1, origin=(box.width / 2, 0))
        assert a.ink == b.ink and flipped.symmetric_difference(b.region).area < 1e-9


def test_what_lies_beyond_a_clipped_group_does_not_run_on_into_its_bleed() -> None:
    beside = Element(Field("orange", width=1.0, height=1.0), At("bottom left", dx=4.3))
    group = Group((CELL, beside), width=4.0, height=2.0, clip=True)
    size = group.extent(Box(20, 20))
    assert [area.ink for area in group.draw(size)] == ["navy"]
    assert [area.ink for area in group.draw(size, run_on=0.5)] == ["navy"]
