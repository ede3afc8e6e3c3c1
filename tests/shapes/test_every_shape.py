"""What holds for every shape there is, with parameters made up by hypothesis."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

import decalgen.shapes
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import rectangle, union
from decalgen.core.keys import Key, specs
from decalgen.shapes.base import At, Box, Element, Inked, Shape
from decalgen.shapes.placing import place
from decalgen.shapes.registry import load
from tests.shapes.strategies import SHAPES, boxes, mm

NAMES = sorted(load())
TINY = 1e-6
"""Areas that differ by less, mm², are the same: a square of a micrometre a side."""


def test_the_strategies_know_every_shape() -> None:
    assert sorted(SHAPES) == NAMES


def extent_of(shape: Shape, box: Box) -> Box:
    """The extent, or another example where the parameters do not fit the box (that is an answer, not a failure)."""
    try:
        size = shape.extent(box)
        shape.draw(size, 0.0)
    except DecalgenError as error:
        assert error.message and error.fix
        assume(False)
    return size


def difference(a: Inked, b: Inked) -> float:
    return float(a.region.symmetric_difference(b.region).area)


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=60, suppress_health_check=[HealthCheck.filter_too_much])
@given(data=st.data())
def test_running_on_changes_nothing_inside(name: str, data: st.DataObject) -> None:
    shape, box, run_on = data.draw(SHAPES[name]), data.draw(boxes), data.draw(mm(0.05, 2))
    size = extent_of(shape, box)
    plain, running = shape.draw(size, 0.0), shape.draw(size, run_on)
    view = rectangle(0, 0, *size)
    assert [a.ink for a in plain] == [a.ink for a in running]
    for before, after in zip(plain, running, strict=True):
        inside = Inked(after.ink, after.region.intersection(view))
        assert difference(Inked(before.ink, before.region.intersection(view)), inside) < TINY
    again = shape.draw(size, run_on)
    assert all(shapely.equals_exact(a.region, b.region) for a, b in zip(again, running, strict=True))


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=60, suppress_health_check=[HealthCheck.filter_too_much])
@given(data=st.data())
def test_areas_are_valid_and_stay_within_the_extent_and_the_run_on(name: str, data: st.DataObject) -> None:
    shape, box, run_on = data.draw(SHAPES[name]), data.draw(boxes), data.draw(st.just(0.0) | mm(0.05, 2))
    size = extent_of(shape, box)
    w, h = size
    for area in shape.draw(size, run_on):
        assert area.region.is_valid
        x0, y0, x1, y1 = area.region.bounds
        if name == "group":
            continue  # an element may be larger than the group and reach out of it
        assert x0 >= -run_on - TINY and x1 <= w + run_on + TINY
        if not area.lettering:
            assert y0 >= -run_on - TINY and y1 <= h + run_on + TINY


@pytest.mark.parametrize("name", [n for n in NAMES if n not in ("lettering", "picture", "group")])
@settings(max_examples=25, suppress_health_check=[HealthCheck.filter_too_much])
@given(data=st.data())
def test_the_other_hand_is_the_mirror_image(name: str, data: st.DataObject) -> None:
    shape, box = data.draw(SHAPES[name]), data.draw(boxes)
    extent_of(shape, box)
    element = Element(shape, At("bottom left", 0.25, 0.5))
    left, right = place([element], box), place([element], box, mirrored=True)
    for a, b in zip(left, right, strict=True):
        flipped = shapely.transform(b.region, lambda xy: (xy * [-1, 1]) + [box.width, 0])
        assert a.ink == b.ink and float(a.region.symmetric_difference(flipped).area) < TINY


@pytest.mark.parametrize("name", NAMES)
def test_the_example_draws_in_its_box(name: str) -> None:
    cls = load()[name]
    shape = cls(**cls.example)
    size = shape.extent(cls.example_box)
    assert size.width <= cls.example_box.width + TINY and size.height <= cls.example_box.height + TINY
    drawn = shape.draw(size)
    assert union(a.region for a in drawn).area > 0.1 * size.width * size.height


@pytest.mark.parametrize("name", NAMES)
def test_every_parameter_is_explained(name: str) -> None:
    cls = load()[name]
    assert cls.name == name and cls.about
    first = (cls.__doc__ or "").strip().partition("\n\n")[0]
    assert first.endswith(".") and not first.startswith(cls.__name__ + "(")
    for spec in specs(cls):
        assert spec.kind.about, f"{name}: {spec.key}"
        assert spec.key not in ("at", "never mirror"), "these keys belong to the element, not the shape"
        inner = getattr(spec.kind, "of", None)
        assert inner is None or isinstance(inner, (Key, type))


def test_one_file_holds_one_shape() -> None:
    folder = Path(decalgen.shapes.__path__[0])
    for name in NAMES:
        tree = ast.parse((folder / f"{name}.py").read_text(encoding="utf-8"))
        marked = [
            node
            for node in tree.body
            if isinstance(node, ast.ClassDef)
            and any(isinstance(d, ast.Name) and d.id == "shape" for d in node.decorator_list)
        ]
        assert len(marked) == 1
