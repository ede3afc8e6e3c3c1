"""Cutting files, read back by ezdxf: layers, unit, arcs as arcs, lengths within a micrometre."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from io import StringIO
from pathlib import Path as FilePath
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.math import bulge_to_arc
from shapely.geometry import LinearRing, Polygon

from decalgen.core.document import Contour, Document, Fill, Item, Layer, Line, Page, Symbol, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import (
    Matrix,
    Outline,
    Segment,
    apply,
    circle,
    mirror_x,
    multiply,
    rectangle,
    rotation,
    rounded,
    translation,
)
from decalgen.export import render
from tests.export.documents import A4, NAVY, blobs, corrected, rings

MICROMETRE = 0.001
Point = tuple[float, float]


def cutting(*items: Item, scale: Point = (1.0, 1.0)) -> Document:
    return Document((Page(*A4, (Layer("Cut lines", items, "cutting"),)),), "cut", scale=scale)


def read(document: Document, page: int = 0) -> Any:
    return ezdxf.read(StringIO(render(document, ".dxf")[page].decode("cp1252")))


def course(polyline: Any) -> list[Point]:
    """The way a cutter takes along a closed polyline, arcs worked out by ezdxf and walked in 2000 steps."""
    points = [tuple(map(float, vertex)) for vertex in polyline.get_points("xyb")]
    found: list[Point] = []
    for (x, y, bend), (x1, y1, _) in zip(points, points[1:] + points[:1], strict=True):
        found.append((x, y))
        if bend:
            centre, start, end, radius = bulge_to_arc((x, y), (x1, y1), bend)
            if end < start:
                end += 2 * math.pi
            angles = np.linspace(start, end, 2001) if bend > 0 else np.linspace(end, start, 2001)
            xs, ys = centre.x + radius * np.cos(angles), centre.y + radius * np.sin(angles)
            found += zip(xs.tolist(), ys.tolist(), strict=True)
    return found


def apart(one: list[Point], other: list[Point]) -> float:
    """The farthest any point of either course lies from the other course."""
    return max(
        float(shapely.distance(LinearRing(b), shapely.points(np.array(a))).max())
        for a, b in ((one, other), (other, one))
    )


def turned(start: Point, centre: Point, degrees: float) -> list[Point]:
    """The true arc from ``start``: 2001 points, anticlockwise for positive ``degrees``."""
    reach = complex(start[0] - centre[0], start[1] - centre[1])
    steps = complex(*centre) + reach * np.exp(1j * np.radians(np.linspace(0, degrees, 2001)))
    return list(zip(steps.real.tolist(), steps.imag.tolist(), strict=True))


OUTLINE = rounded(60, 30, (5, 0, 10, 3), 60, 20)
TRUE = [
    (65, 20),
    (120, 20),
    *turned((120, 40), (110, 40), 90),
    *turned((63, 50), (63, 47), 90),
    *turned((60, 25), (65, 25), 90),
]


def test_states_release_unit_and_size() -> None:
    drawing = read(cutting(Contour(OUTLINE, 0.1, NAVY)))
    assert drawing.dxfversion == "AC1015"
    assert drawing.header["$INSUNITS"] == 4  # millimetres
    assert drawing.header["$MEASUREMENT"] == 1  # metric
    assert tuple(drawing.header["$EXTMAX"])[:2] == A4
    assert not drawing.audit().errors


def test_layers_by_purpose_and_nothing_else() -> None:
    layers = (
        Layer("Art", (Fill(rectangle(0, 0, 5, 5), NAVY),), "artwork"),
        Layer("White", (Fill(rectangle(0, 0, 5, 5), "#ffffff"),), "white"),
        Layer("Paper", (Fill(rectangle(0, 0, 5, 5), NAVY),), "paperwork"),
        Layer("Cut", (Contour(OUTLINE, 0.1, NAVY),), "cutting"),
        Layer("Bleed", (Contour(OUTLINE, 0.1, NAVY), Contour(OUTLINE, 0.1, NAVY)), "bleed"),
        Layer("Marks", (Line(((0, 0), (6, 0)), 0.1, NAVY), Fill(circle((9, 9), 2), NAVY)), "marks"),
    )
    space = read(Document((Page(*A4, layers),), "all")).modelspace()
    found = [(entity.dxftype(), entity.dxf.layer, entity.closed) for entity in space]
    assert found == [
        ("LWPOLYLINE", "CUTTING", True),
        ("LWPOLYLINE", "BLEED", True),
        ("LWPOLYLINE", "BLEED", True),
        ("LWPOLYLINE", "REGISTRATION", False),
        ("LWPOLYLINE", "REGISTRATION", True),
    ]


def test_arcs_stay_arcs_within_two_micrometres() -> None:
    (polyline,) = read(cutting(Contour(OUTLINE, 0.1, NAVY))).modelspace()
    # Four sides and three corners with a radius; the fourth corner is sharp.
    assert len(polyline) == 7
    assert sum(1 for *_, bend in polyline.get_points("xyb") if bend) == 3
    assert apart(course(polyline), TRUE) < 2 * MICROMETRE


@pytest.mark.parametrize(
    ("outline", "true"),
    [
        (Outline((Segment((50, 40), (50, 40), (40, 40)),)), turned((50, 40), (40, 40), 360)),
        (
            Outline((Segment((30, 50), (50, 50), (40, 50), anticlockwise=False), Segment((50, 50), (30, 50)))),
            turned((30, 50), (40, 50), -180),
        ),
        (
            Outline((Segment((40, 40), (50, 50), (40, 50), anticlockwise=False), Segment((50, 50), (40, 40)))),
            turned((40, 40), (40, 50), -270),
        ),
    ],
    ids=["circle", "half", "three quarters, clockwise"],
)
def test_large_arcs_go_the_right_way_round(outline: Outline, true: list[Point]) -> None:
    (polyline,) = read(cutting(Contour(outline, 0.1, NAVY))).modelspace()
    assert apart(course(polyline), true) < 2 * MICROMETRE


@pytest.mark.parametrize(
    "matrix",
    [
        multiply(translation(30, 40), rotation(33)),
        multiply(translation(20, 20), mirror_x(150)),
        (0.5, 0, 0, 0.5, 3, 4),
        (1.0, 0.0, 0.2, 1.0, 0.0, 0.0),
    ],
    ids=["turned", "mirrored", "half size", "sheared"],
)
def test_placed_outlines(matrix: Matrix) -> None:
    symbol = Symbol("s", (Contour(OUTLINE, 0.1, NAVY),))
    (polyline,) = read(cutting(Use(symbol, matrix))).modelspace()
    assert apart(course(polyline), [apply(matrix, point) for point in TRUE]) < 2 * MICROMETRE


@pytest.mark.parametrize(("scale", "arcs"), [((1.002, 1.002), 3), ((1.0031, 0.9984), 0)], ids=["even", "uneven"])
def test_the_cutters_own_correction(scale: Point, arcs: int) -> None:
    (polyline,) = read(cutting(Contour(OUTLINE, 0.1, NAVY), scale=scale)).modelspace()
    assert apart(course(polyline), corrected(TRUE, A4, scale)) < 2 * MICROMETRE
    # Under an uneven correction a circle is none any more, so its arcs are written as short sides.
    assert sum(1 for *_, bend in polyline.get_points("xyb") if bend) == arcs


def test_straight_outlines_keep_a_tenth_of_a_micrometre() -> None:
    polygons = blobs(40)
    found = [
        [(float(x), float(y)) for x, y in polyline.get_points("xy")]
        for polyline in read(cutting(*(Fill(p, NAVY) for p in polygons))).modelspace()
    ]
    wanted = rings(polygons)
    assert [len(ring) for ring in found] == [len(ring) for ring in wanted]
    assert max(
        math.dist(a, b) for one, two in zip(found, wanted, strict=True) for a, b in zip(one, two, strict=True)
    ) < (0.1 * MICROMETRE)


def test_a_file_a_page_and_no_file_without_a_cut_line() -> None:
    page = Page(*A4, (Layer("c", (Contour(OUTLINE, 0.1, NAVY),), "cutting"),))
    assert len(render(Document((page, page), "two"), ".dxf")) == 2
    with pytest.raises(DecalgenError, match="nothing to cut") as caught:
        render(Document((Page(*A4, (Layer("a", (Fill(Polygon(), NAVY),), "artwork"),)),), "none"), ".dxf")
    assert caught.value.fix


def test_without_the_library_one_sentence_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    with pytest.raises(DecalgenError, match="ezdxf") as caught:
        render(cutting(Contour(OUTLINE, 0.1, NAVY)), ".dxf")
    assert "pip install ezdxf" in caught.value.fix and "SVG" in caught.value.fix


def test_a_point_that_is_no_number_is_refused() -> None:
    bad = (
        Line(((0, 0), (math.nan, 1)), 0.1, NAVY),
        Use(Symbol("s", (Contour(OUTLINE, 0.1, NAVY),)), translation(math.inf, 0)),
    )
    for item in bad:
        with pytest.raises(DecalgenError, match="not a number"):
            render(cutting(item), ".dxf")


SCRIPT = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
from tests.export.documents import everything
from decalgen.export import render
for data in render(everything(), ".dxf"):
    print(hashlib.sha256(data).hexdigest())
"""


def test_same_bytes_whatever_the_time_zone_locale_and_hash_seed(repository: FilePath) -> None:
    outputs = set()
    for zone, language, seed in (("UTC", "C", "0"), ("Pacific/Chatham", "de_DE.UTF-8", "1")):
        environment = {**os.environ, "TZ": zone, "LC_ALL": language, "PYTHONHASHSEED": seed}
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT, str(repository)],
            env=environment,
            cwd=repository,
            capture_output=True,
            text=True,
            check=True,
        )
        outputs.add(done.stdout)
    assert len(outputs) == 1
    assert len(outputs.pop().split()) == 2


def test_the_librarys_settings_are_left_as_they_were() -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    render(cutting(Contour(OUTLINE, 0.1, NAVY)), ".dxf")
    assert ezdxf.options.write_fixed_meta_data_for_testing is before
