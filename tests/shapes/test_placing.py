"""Elements in a box: their places, both hands, and which sides run on."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from shapely.affinity import translate

from decalgen.core.errors import DecalgenError, Place
from decalgen.core.geometry import rectangle, union
from decalgen.shapes.base import ANCHORS, At, Box, Element, Shape, ShapeError
from decalgen.shapes.checks import Checks
from decalgen.shapes.field import Field
from decalgen.shapes.group import Group
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.placing import place
from decalgen.shapes.star import Star
from decalgen.shapes.stripe import Stripe
from tests.shapes.strategies import boxes, elements

DOOR = Box(22.4, 11.6)


def bounds(elements: list[Element], box: Box = DOOR, run_on: float = 0.0, **more: object) -> tuple[float, ...]:
    """Bounds of all that is drawn, to a nanometre."""
    whole = union(a.region for a in place(elements, box, run_on, **more))
    return tuple(round(v, 6) for v in whole.bounds)


@pytest.mark.parametrize("anchor", ANCHORS)
def test_only_the_sides_on_the_edge_run_on(anchor: str) -> None:
    field = Element(Field("navy", width=10.0, height=4.0), At(anchor))  # type: ignore[arg-type]
    x0, y0, x1, y1 = bounds([field])
    plain = (x0, y0, x1, y1)
    grown = (
        -0.5 if "left" in anchor else x0,
        -0.5 if "bottom" in anchor else y0,
        22.9 if "right" in anchor else x1,
        12.1 if "top" in anchor else y1,
    )
    assert bounds([field], run_on=0.5) == pytest.approx(grown)
    assert (plain == grown) == (anchor == "centre")


def test_a_hair_off_the_edge_still_runs_on_but_a_tenth_does_not() -> None:
    def left(dx: float) -> float:
        return bounds([Element(Field("navy", width=5.0, height=5.0), At("left", dx))], run_on=0.5)[0]

    assert left(5e-7) == pytest.approx(-0.5, abs=1e-5)
    assert left(0.1) == pytest.approx(0.1)
    assert left(-0.2) == pytest.approx(-0.7), "what reaches over the edge runs on as well"


def test_lettering_keeps_its_tails_where_the_sides_are_cut_back() -> None:
    text = Element(Lettering(("Gy",), "white", 2.0), At("left", 0.0, 0.0))
    assert bounds([text], run_on=0.5)[1] == bounds([text])[1] < DOOR.height / 2 - 1.0


def test_the_other_hand_mirrors_shapes_and_keeps_lettering_readable() -> None:
    text = Lettering(("STORES",), "white", 1.6)
    star = Star("lifebuoy orange", diameter=3.0, turn=10.0)
    band = Stripe(1.0, ink="navy", angle=30.0, length=6.0)
    decal = [
        Element(band, At("left", 1.0)),
        Element(text, At("bottom left", 1.0, 1.0)),
        Element(star, At("top right", -1.0, -1.0), never_mirror=True),
    ]
    left, right = place(decal, DOOR), place(decal, DOOR, mirrored=True)
    flip = [shapely.transform(a.region, lambda xy: (xy * [-1, 1]) + [DOOR.width, 0]) for a in left]
    assert right[0].region.symmetric_difference(flip[0]).area < 1e-9
    for n in (1, 2):
        assert right[n].region.symmetric_difference(flip[n]).area > 0.1, "not mirrored"
        dx = right[n].region.bounds[0] - left[n].region.bounds[0]
        moved = translate(left[n].region, dx)
        assert moved.symmetric_difference(right[n].region).area < 1e-9, "only moved"
        assert right[n].region.envelope.centroid.x == pytest.approx(flip[n].envelope.centroid.x), "mirrored spot"


def test_lettering_inside_a_group_stays_readable_at_the_mirrored_spot() -> None:
    text = Element(Lettering(("47",), "white", 2.0), At("top left", 1.0, -1.0))
    ground = Element(Checks(("navy", "green"), rows=2, columns=4), At("bottom"))
    inner = Group((ground, text), width=10.0, height=6.0)
    outer = [Element(Group((Element(inner, At("right", -0.5)),), width=14.0, height=8.0), At("left", 2.0))]
    left, right = place(outer, DOOR), place(outer, DOOR, mirrored=True)
    a = next(i for i in left if i.lettering).region
    b = next(i for i in right if i.lettering).region
    dx = b.bounds[0] - a.bounds[0]
    assert translate(a, dx).symmetric_difference(b).area < 1e-9
    assert (a.bounds[0] + a.bounds[2]) / 2 + (b.bounds[0] + b.bounds[2]) / 2 == pytest.approx(DOOR.width)


def clips_what_keeps_its_reading(shape: Shape, clipped: bool = False) -> bool:
    """A clip in the other hand cuts other parts off what is not mirrored itself."""
    if not isinstance(shape, Group):
        return clipped and shape.reads
    clipped = clipped or shape.clip
    return any(
        (clipped and inner.never_mirror) or clips_what_keeps_its_reading(inner.shape, clipped)
        for inner in shape.elements
    )


@settings(max_examples=120, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.data_too_large])
@given(element=elements(), box=boxes)
def test_mirrored_twice_is_where_it_was(element: Element, box: Box) -> None:
    """Drawn for the right hand, each area without lettering is the mirror image of the left one, or keeps its form."""
    assume(not clips_what_keeps_its_reading(element.shape))
    try:
        left, right = place([element], box), place([element], box, mirrored=True)
    except DecalgenError:
        assume(False)
    assert [a.ink for a in left] == [a.ink for a in right]
    for a, b in zip(left, right, strict=True):
        assert a.region.area == pytest.approx(b.region.area, abs=1e-6)
    once = [replace(element, at=element.at.mirrored())]
    again = place(once, box, mirrored=True)
    if isinstance(element.shape, Group) and not element.never_mirror:
        again = place([replace(once[0], shape=element.shape.mirrored())], box, mirrored=True)
    elif not (element.never_mirror or element.shape.reads):
        return
    for a, b in zip(left, again, strict=True):
        assert a.region.symmetric_difference(b.region).area < 1e-6


@settings(max_examples=80, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.data_too_large])
@given(element=elements(), box=boxes)
def test_running_on_changes_nothing_inside_the_box(element: Element, box: Box) -> None:
    """Also for what is cut back on the sides that are not on the edge, in groups in groups."""
    try:
        plain, running = place([element], box), place([element], box, 0.7)
    except DecalgenError:
        assume(False)
    view = rectangle(0, 0, *box)
    assert [a.ink for a in plain] == [a.ink for a in running]
    for a, b in zip(plain, running, strict=True):
        inside = a.region.intersection(view).symmetric_difference(b.region.intersection(view))
        assert inside.area < 1e-6


def test_an_error_tells_the_place_of_its_element() -> None:
    here = Place("gannet.yaml", 12, 5)
    narrow = Group((Element(Field("navy")),), count=9, pitch_x=4.0)
    with pytest.raises(ShapeError) as caught:
        place([Element(narrow, place=here)], DOOR)
    assert caught.value.place == here and caught.value.fix
