"""Drawings in DXF, written by ezdxf itself: areas by formula, units, layers, colours, loops, limits, spoils."""

from __future__ import annotations

import io
import math
import random
from collections.abc import Callable
from typing import Any

import ezdxf
import numpy as np
import pytest

from decalgen.core.dxf.draw import draw_dxf, joined
from decalgen.core.dxf.entities import read_dxf
from decalgen.core.errors import DecalgenError
from decalgen.core.svg.text import DrawingText, SvgError
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.drawing import OwnDrawing, left_out_of

INKS = (("navy", "#1d2b4a"), ("rope cream", "#e4cba0"), ("black", "#000000"))
FINE = 0.03
"""Areas are right to this, mm²: curves are flattened to within 1 µm, over outlines of 30 mm."""


def text_of(*makes: Callable[[Any], object], units: int = 4, version: str = "R2010") -> str:
    document = ezdxf.new(version, units=units)
    for make in makes:
        make(document)
    kept = io.StringIO()
    document.write(kept)
    return kept.getvalue()


def own(text: str, **keys: object) -> OwnDrawing:
    return OwnDrawing(DrawingText("crest.dxf", text, INKS), **keys)  # type: ignore[arg-type]


def areas(text: str, **keys: object) -> dict[str, float]:
    drawing = own(text, **keys)
    return {one.ink: one.region.area for one in drawing.draw(drawing.extent(Box(50, 50)))}


def space(make: Callable[[Any], object]) -> Callable[[Any], object]:
    """What is put into the model space."""
    return lambda document: make(document.modelspace())


ELLIPSE = (8.0, 0.5)
PIECES: list[tuple[str, Callable[[Any], object], float]] = [
    ("circle", lambda m: m.add_circle((3, 4), 5), math.pi * 25),
    ("ellipse", lambda m: m.add_ellipse((0, 0), (8, 0), 0.5), math.pi * 8 * 4),
    ("square", lambda m: m.add_lwpolyline([(0, 0), (4, 0), (4, 4), (0, 4)], close=True), 16.0),
    (
        "half disc by a bulge",
        lambda m: m.add_lwpolyline([(0, 0, 1), (6, 0, 0)], format="xyb", close=True),
        math.pi * 4.5,
    ),
    ("a disc of two bulges", lambda m: m.add_lwpolyline([(0, 0, 1), (6, 0, 1)], format="xyb", close=True), math.pi * 9),
    (
        "a bulge the other way",
        lambda m: m.add_lwpolyline([(0, 0, 0), (8, 0, 0), (8, 8, -1), (0, 8, 0)], format="xyb", close=True),
        64 - math.pi * 8,
    ),
    ("old polyline", lambda m: m.add_polyline2d([(0, 0), (5, 0), (5, 2)], close=True), 5.0),
    ("polyline in space", lambda m: m.add_polyline3d([(0, 0, 1), (5, 0, 2), (5, 2, 3)], close=True), 5.0),
    (
        "four lines that meet",
        lambda m: [
            m.add_line(a, b) for a, b in (((0, 0), (3, 0)), ((3, 2), (3, 0)), ((3, 2), (0, 2)), ((0, 0), (0, 2)))
        ],
        6.0,
    ),
    ("an arc and its chord", lambda m: [m.add_arc((0, 0), 2, 0, 180), m.add_line((-2, 0), (2, 0))], math.pi * 2),
    (
        "two half ellipses",
        lambda m: [m.add_ellipse((0, 0), (3, 0), 0.5, a, a + math.pi) for a in (0, math.pi)],
        math.pi * 4.5,
    ),
    ("a ring", lambda m: [m.add_circle((0, 0), 5), m.add_circle((0, 0), 3)], math.pi * 16),
    # A quadratic spline of three control points is a parabola, its vertex half as high as the middle one: 2/3 of 4 x 1.
    (
        "a parabola over its chord",
        lambda m: [m.add_open_spline([(0, 0), (2, 2), (4, 0)], degree=2), m.add_line((0, 0), (4, 0))],
        8 / 3,
    ),
]


@pytest.mark.parametrize(("what", "make", "area"), PIECES, ids=[one[0] for one in PIECES])
@pytest.mark.parametrize("version", ["R2000", "R2018"])
def test_areas_by_formula(what: str, make: Callable[[Any], object], area: float, version: str) -> None:
    drawing = own(text_of(space(make), version=version))
    (one,) = drawing.draw(drawing.extent(Box(50, 50)))
    # Curves are flattened to within 1 µm.
    assert one.region.area == pytest.approx(area, abs=0.001 * one.region.length)


def test_the_oldest_version_says_no_unit_and_takes_a_size() -> None:
    text = text_of(space(lambda m: m.add_polyline2d([(0, 0, 1), (6, 0, 1)], format="xyb", close=True)), version="R12")
    assert areas(text, width=12.0) == {"black": pytest.approx(math.pi * 36, abs=0.04)}


@pytest.mark.parametrize(("units", "mm"), [(1, 25.4), (4, 1.0), (5, 10.0), (6, 1000.0), (13, 0.001)])
def test_units_of_the_header(units: int, mm: float) -> None:
    """$INSUNITS: 1 inches, 4 millimetres, 5 centimetres, 6 metres, 13 micrometres (DXF reference, from memory)."""
    text = text_of(space(lambda m: m.add_circle((0, 0), 2 / mm)), units=units)
    assert own(text).extent(Box(1, 1)) == pytest.approx((4.0, 4.0), abs=0.003)
    assert areas(text) == {"black": pytest.approx(math.pi * 4, abs=FINE)}


def test_a_drawing_without_a_unit_asks_for_its_size_and_takes_one() -> None:
    text = text_of(space(lambda m: m.add_lwpolyline([(0, 0), (12, 0), (12, 6), (0, 6)], close=True)), units=0)
    with pytest.raises(ShapeError, match="does not say in which unit") as caught:
        own(text)
    assert "in millimetres it would be 12.00 × 6.00 mm" in caught.value.fix
    assert own(text, width=24.0).extent(Box(1, 1)) == pytest.approx((24.0, 12.0))
    assert areas(text, height=3.0) == {"black": pytest.approx(18.0)}
    with pytest.raises(ShapeError, match="stretched"):
        own(text, width=10.0, height=9.0)


def test_layers_of_an_ink_s_name_are_printed_in_it_and_others_in_their_nearest_colour() -> None:
    def make(document: Any) -> None:
        document.layers.add("Navy", color=1)
        document.layers.add("edges", true_color=ezdxf.colors.rgb2int((230, 205, 165)))
        model = document.modelspace()
        model.add_circle((0, 0), 5, dxfattribs={"layer": "Navy"})
        model.add_circle((0, 0), 2, dxfattribs={"layer": "edges"})
        model.add_circle((20, 0), 1, dxfattribs={"color": 7})

    found = areas(text_of(make))
    # The smaller lies on top, and takes out what is under it.
    assert found == {
        "navy": pytest.approx(math.pi * 21, abs=FINE),
        "rope cream": pytest.approx(math.pi * 4, abs=FINE),
        "black": pytest.approx(math.pi, abs=FINE),
    }


def test_blocks_are_copied_with_their_scale_turn_and_layer() -> None:
    def make(document: Any) -> None:
        block = document.blocks.new("LEAF")
        block.add_circle((0, 0), 1)
        outer = document.blocks.new("SPRAY")
        for x in (0, 4):
            outer.add_blockref("LEAF", (x, 0), dxfattribs={"xscale": 2.0, "yscale": 0.5, "rotation": 30})
        document.layers.add("rope cream")
        model = document.modelspace()
        model.add_blockref("SPRAY", (0, 0), dxfattribs={"layer": "rope cream"})
        model.add_blockref("SPRAY", (0, 20), dxfattribs={"xscale": -1.0, "layer": "rope cream"})
        model.add_blockref(
            "LEAF", (0, 40), dxfattribs={"row_count": 2, "column_count": 3, "row_spacing": 5, "column_spacing": 5}
        )

    assert areas(text_of(make)) == {
        "rope cream": pytest.approx(4 * math.pi, abs=FINE),
        "black": pytest.approx(6 * math.pi, abs=FINE),
    }


def test_what_is_no_outline_is_named_with_its_layer() -> None:
    def make(document: Any) -> None:
        document.layers.add("notes")
        document.layers.add("off").off()
        model = document.modelspace()
        model.add_circle((0, 0), 5)
        model.add_text("CREST", dxfattribs={"layer": "notes"})
        model.add_hatch()
        model.add_line((9, 9), (12, 9))
        model.add_circle((0, 0), 3, dxfattribs={"layer": "off"})

    drawing = own(text_of(make))
    left = {one.what: one.where for one in left_out_of(drawing)}
    assert set(left) == {"text", "a hatch", "an outline that does not close"}
    assert "TEXT" in left["text"][0] and "on layer 'notes'" in left["text"][0]
    assert left["an outline that does not close"][0].endswith("that ends at 12.00, 9.00 mm")
    assert sum(one.region.area for one in drawing.draw(drawing.extent(Box(1, 1)))) == pytest.approx(
        math.pi * 25, abs=FINE
    )


def test_ends_are_joined_within_two_hundredths_and_not_beyond() -> None:
    def square(gap: float) -> list[np.ndarray]:
        corners = [(0.0, 0.0), (5.0, 0.0), (5.0, 5.0), (0.0, 5.0)]
        return [np.array([a, (b[0] + gap, b[1])]) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]

    closed, loose = joined(square(0.019))
    assert len(closed) == 1 and not loose
    closed, loose = joined(square(0.021))
    assert not closed and sorted(loose) == [0, 1, 2, 3]


def test_lines_in_any_order_and_way_round_are_joined_and_loose_ones_told() -> None:
    random.seed(19)
    lines = []
    for centre in range(20):
        turns = [2 * math.pi * k / 7 for k in range(7)]
        ring = [np.array((10 * centre + math.cos(t), math.sin(t))) for t in turns]
        lines += [np.array((a, b)) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
    lines.append(np.array([(0.0, 50.0), (1.0, 50.0)]))
    lines = [line[:: random.choice((1, -1))] for line in random.sample(lines, len(lines))]
    closed, loose = joined(lines)
    assert len(closed) == 20 and all(len(one) == 7 for one in closed)
    assert [float(lines[number][0][1]) for number in loose] == [50.0]


def bomb(document: Any) -> None:
    """Blocks of four copies of the one before, fourteen deep: 268 million circles."""
    document.blocks.new("B0").add_circle((0, 0), 1)
    for number in range(1, 15):
        block = document.blocks.new(f"B{number}")
        for x in (0, 1, 2, 3):
            block.add_blockref(f"B{number - 1}", (x, 0))
    document.modelspace().add_blockref("B14", (0, 0))


def test_a_scribble_is_told_before_it_is_filled() -> None:
    """The star {301/150}: each side is crossed by 298 others."""
    turns = [2 * math.pi * 150 * number / 301 for number in range(301)]
    star = text_of(space(lambda m: m.add_lwpolyline([(math.cos(t), math.sin(t)) for t in turns], close=True)))
    with pytest.raises(ShapeError, match="its lines cross each other more than 10 000 times") as error:
        own(star)
    assert error.value.fix


def test_hostile_drawings_are_a_message() -> None:
    with pytest.raises(ShapeError, match=r"20 000 entities|500 000 points"):
        own(text_of(bomb))
    rows = {"row_count": 30000, "column_count": 30000, "row_spacing": 1, "column_spacing": 1}

    def grid(document: Any) -> None:
        document.blocks.new("B").add_circle((0, 0), 1)
        document.modelspace().add_blockref("B", (0, 0), dxfattribs=rows)

    with pytest.raises(ShapeError, match=r"20 000 entities|500 000 points"):
        own(text_of(grid))
    with pytest.raises(ShapeError, match="nothing of the drawing"):
        own(text_of(space(lambda m: m.add_line((0, 0), (1, 0)))))
    with pytest.raises(ShapeError, match="nothing of the drawing"):
        own(text_of(space(lambda m: m.add_circle((1e300, 0), 1))))


@pytest.mark.parametrize(
    "text", ["", "hello\nworld\n", "\x89PNG", "  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n 10\nnan\n"]
)
def test_what_is_no_dxf_is_told(text: str) -> None:
    with pytest.raises(DecalgenError) as caught:
        own(text, width=5.0)
    assert caught.value.fix


@pytest.mark.parametrize("seed", range(40))
def test_spoiled_drawings_are_drawn_or_told(seed: int) -> None:
    """Lines left out, doubled and changed by a fixed seed: a message or areas, never another error."""
    dice = random.Random(seed)
    good = text_of(*(space(make) for _, make, _ in PIECES), bomb if seed % 8 == 0 else (lambda d: None)).split("\n")
    start = good.index("ENTITIES")
    for _ in range(dice.choice((1, 5, 40))):
        at = dice.randrange(start if dice.random() < 0.7 else 0, len(good))
        good[at : at + 1] = dice.choice(([], [good[at]] * 2, ["-1e308"], ["nan"], ["999999"], ["x"]))
    try:
        drawing = own("\n".join(good), width=10.0)
    except DecalgenError as error:
        assert error.message and error.fix
    else:
        assert all(one.region.is_valid for one in drawing.draw(drawing.extent(Box(1, 1))))


def test_a_missing_library_is_told_with_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "ezdxf", None)
    with pytest.raises(SvgError, match="need the package ezdxf") as caught:
        read_dxf("  0\nEOF\nnever read before\n")
    assert "decalgen[dxf]" in caught.value.fix


def test_drawing_is_the_same_each_time() -> None:
    text = text_of(*(space(make) for _, make, _ in PIECES))
    one, other = (draw_dxf(read_dxf(text), 1.0, dict(INKS)) for _ in range(2))
    assert [(a.colour, a.area.wkb) for a in one.areas] == [(a.colour, a.area.wkb) for a in other.areas]
