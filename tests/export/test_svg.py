"""SVG files, read back by an own reader of path data: true scale, y turned over, arcs as arcs.

What the commands mean is taken from SVG 2, chapter 9 and its appendix B.2.4 (from end points to the centre of
an arc).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from shapely.geometry import LinearRing, Polygon

from decalgen.core.document import Contour, Document, Fill, Line, Use
from decalgen.core.geometry import Outline, Segment, apply, multiply, rectangle, rotation, rounded, translation
from decalgen.export import render
from tests.export.documents import A4, NAVY, blobs, corrected, document, everything, rings, roundel

SVG = "{http://www.w3.org/2000/svg}"
MICROMETRE = 0.001
HEIGHT = A4[1]
Point = tuple[float, float]


@dataclass(frozen=True)
class Arc:
    """An arc as an SVG reader understands it."""

    start: Point
    end: Point
    centre: Point
    radii: Point
    turn: float


def svg(wanted: Document) -> ElementTree.Element:
    return ElementTree.fromstring(render(wanted, ".svg")[0])


def arc(start: Point, rx: float, ry: float, large: bool, sweep: bool, end: Point) -> Arc:
    """SVG 2, B.2.4, for arcs without rotation."""
    mx, my = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    grow = math.sqrt(max(1.0, (mx / rx) ** 2 + (my / ry) ** 2))
    rx, ry = rx * grow, ry * grow
    root = max(0.0, rx**2 * ry**2 - rx**2 * my**2 - ry**2 * mx**2) / (rx**2 * my**2 + ry**2 * mx**2)
    sign = math.sqrt(root) * (-1 if large == sweep else 1)
    cx, cy = sign * rx * my / ry, -sign * ry * mx / rx
    a = math.atan2((my - cy) / ry, (mx - cx) / rx)
    b = math.atan2((-my - cy) / ry, (-mx - cx) / rx)
    turn = b - a
    if sweep and turn < 0:
        turn += 2 * math.pi
    if not sweep and turn > 0:
        turn -= 2 * math.pi
    return Arc(start, end, (cx + (start[0] + end[0]) / 2, cy + (start[1] + end[1]) / 2), (rx, ry), turn)


def path(d: str) -> list[list[Point | Arc]]:
    """Outlines of absolute M, L, A, H, V and Z commands: points, and arcs where the way to the next point is
    one.
    """
    tokens = re.findall(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?", d)
    assert "".join(tokens) == re.sub(r"[\s,]", "", d)
    found: list[list[Point | Arc]] = []
    here: Point = (0.0, 0.0)
    at = 0
    while at < len(tokens):
        command, at = tokens[at], at + 1
        count = {"M": 2, "L": 2, "A": 7, "H": 1, "V": 1, "Z": 0}[command]
        values = [float(token) for token in tokens[at : at + count]]
        at += count
        if command == "M":
            here = (values[0], values[1])
            found.append([here])
        elif command == "A":
            assert values[2] == 0 and values[3] in {0, 1} and values[4] in {0, 1}
            made = arc(here, values[0], values[1], bool(values[3]), bool(values[4]), (values[5], values[6]))
            found[-1].append(made)
            here = made.end
        elif command != "Z":
            x = here[0] if command == "V" else values[0]
            y = here[1] if command == "H" else values[-1]
            here = (x, y)
            found[-1].append(here)
    return found


def straight(outline: list[Point | Arc]) -> list[Point]:
    assert not any(isinstance(step, Arc) for step in outline)
    return [step for step in outline if not isinstance(step, Arc)]


def down(points: list[Point]) -> list[Point]:
    return [(x, HEIGHT - y) for x, y in points]


def farthest(found: list[Point], wanted: list[Point]) -> float:
    assert len(found) == len(wanted)
    return float(np.max(np.hypot(*(np.array(found) - np.array(wanted)).T)))


def test_width_and_height_carry_millimetres_and_one_unit_is_one() -> None:
    root = svg(document(size=(148.5, 210)))
    assert (root.get("width"), root.get("height")) == ("148.5mm", "210mm")
    assert root.get("viewBox") == "0 0 148.5 210"


@pytest.mark.parametrize("lean", [0.0, -0.0021])
@pytest.mark.parametrize("scale", [(1.0, 1.0), (1.0031, 0.9984)])
def test_fills_read_back_within_a_tenth_of_a_micrometre(scale: Point, lean: float) -> None:
    polygons = blobs(60)
    root = svg(document(*(Fill(p, NAVY) for p in polygons), scale=scale, lean=lean))
    found = [straight(ring) for element in root.iter(f"{SVG}path") for ring in path(element.get("d", ""))]
    wanted = [down(corrected(ring, A4, scale, lean)) for ring in rings(polygons)]
    assert len(found) == len(wanted)
    assert max(map(farthest, found, wanted)) < 0.1 * MICROMETRE


def test_holes_are_open() -> None:
    (element,) = svg(
        document(Fill(Polygon(rectangle(0, 0, 9, 9).exterior, [rectangle(2, 2, 4, 4).exterior]), NAVY))
    ).iter(f"{SVG}path")
    assert element.get("fill-rule") == "evenodd"
    assert len(path(element.get("d", ""))) == 2


def turned(start: Point, centre: Point, degrees: float) -> list[Point]:
    """The true arc from ``start``: 2001 points, anticlockwise for positive ``degrees`` (y up)."""
    reach = complex(start[0] - centre[0], start[1] - centre[1])
    steps = complex(*centre) + reach * np.exp(1j * np.radians(np.linspace(0, degrees, 2001)))
    return list(zip(steps.real.tolist(), steps.imag.tolist(), strict=True))


# Outlines, and their true course worked out here by turning the start about the centre.
CIRCLE = Outline((Segment((50, 40), (50, 40), (40, 40)),))
HALF = Outline((Segment((30, 50), (50, 50), (40, 50), anticlockwise=False), Segment((50, 50), (30, 50))))
LONG = Outline((Segment((40, 40), (50, 50), (40, 50), anticlockwise=False), Segment((50, 50), (40, 40))))
ROUNDED = rounded(60, 30, (5, 0, 10, 3), 60, 20)
ARCS: dict[str, tuple[Outline, list[Point]]] = {
    "circle": (CIRCLE, turned((50, 40), (40, 40), 360)),
    "half": (HALF, turned((30, 50), (40, 50), -180)),
    "three quarters": (LONG, turned((40, 40), (40, 50), -270)),
    "rounded": (
        ROUNDED,
        [
            (65, 20),
            (120, 20),
            *turned((120, 40), (110, 40), 90),
            *turned((63, 50), (63, 47), 90),
            *turned((60, 25), (65, 25), 90),
        ],
    ),
}


@pytest.mark.parametrize("scale", [(1.0, 1.0), (1.0031, 0.9984)])
@pytest.mark.parametrize("name", ARCS)
def test_arcs_stay_arcs_and_follow_their_true_course(name: str, scale: Point) -> None:
    outline, course = ARCS[name]
    (element,) = svg(document(Contour(outline, 0.25, NAVY), scale=scale)).iter(f"{SVG}path")
    (steps,) = path(element.get("d", ""))
    assert len(steps) < 12
    drawn: list[Point] = []
    for step in steps:
        if isinstance(step, Arc):
            (cx, cy), (rx, ry) = step.centre, step.radii
            a = math.atan2((step.start[1] - cy) / ry, (step.start[0] - cx) / rx)
            angles = a + np.linspace(0, step.turn, 1001)
            drawn += zip((cx + rx * np.cos(angles)).tolist(), (cy + ry * np.sin(angles)).tolist(), strict=True)
        else:
            drawn.append(step)
    true = down(corrected(course, A4, scale))
    for points, line in ((drawn, true), (true, drawn)):
        away = shapely.distance(LinearRing(line), shapely.points(np.array(points)))
        assert away.max() < 0.1 * MICROMETRE


def test_a_circle_that_leans_is_the_ellipse_it_should_be() -> None:
    """Every point of the leaning circle lies on the ellipse that radii and turn of the arcs describe (SVG 2, 9.3.8)."""
    scale, lean = (1.0031, 0.9984), 0.02
    (element,) = svg(document(Contour(CIRCLE, 0.25, NAVY), scale=scale, lean=lean)).iter(f"{SVG}path")
    arcs = re.findall(r"A(\S+) (\S+) (\S+) 0 [01] (\S+) ([^AZ ]+)", element.get("d", ""))
    assert len(arcs) == 2
    course = np.array(down(corrected(turned((50, 40), (40, 40), 360), A4, scale, lean)))
    (cx, cy) = down(corrected([(40, 40)], A4, scale, lean))[0]
    for rx, ry, turn, x, y in arcs:
        a = math.radians(float(turn))
        for px, py in (*course, (float(x), float(y))):
            u = (px - cx) * math.cos(a) + (py - cy) * math.sin(a)
            v = (py - cy) * math.cos(a) - (px - cx) * math.sin(a)
            assert math.hypot(u / float(rx), v / float(ry)) == pytest.approx(1, abs=1e-5)


def test_lines_are_stroked_in_millimetres() -> None:
    root = svg(document(Line(((10, 10), (20, 15.5), (30, 10)), 0.13, NAVY, closed=True, dash=(1.2, 0.8))))
    (element,) = root.iter(f"{SVG}path")
    assert element.attrib == {
        "d": "M10 287L20 281.5L30 287Z",
        "fill": "none",
        "stroke": NAVY,
        "stroke-width": "0.13",
        "stroke-dasharray": "1.2 0.8",
    }


@pytest.mark.parametrize("lean", [0.0, 0.0021])
def test_a_symbol_is_defined_once_and_lands_where_its_matrix_puts_it(lean: float) -> None:
    symbol, scale = roundel(), (1.0031, 0.9984)
    matrices = [multiply(translation(40 + 20 * i, 100), rotation(33.3 * i)) for i in range(5)]
    root = svg(document(*(Use(symbol, matrix) for matrix in matrices), scale=scale, lean=lean))
    (defined,) = root.iter(f"{SVG}symbol")
    assert defined.get("overflow") == "visible"
    ring = straight(path(next(defined.iter(f"{SVG}path")).get("d", ""))[0])
    fill = symbol.items[0]
    assert isinstance(fill, Fill)
    uses = list(root.iter(f"{SVG}use"))
    assert len(uses) == 5
    for use, matrix in zip(uses, matrices, strict=True):
        assert use.get("{http://www.w3.org/1999/xlink}href") == f"#{defined.get('id')}"
        numbers = re.fullmatch(r"matrix\((.*)\)", use.get("transform", ""))
        assert numbers
        a, b, c, d, e, f = map(float, numbers[1].split())
        found = [apply((a, b, c, d, e, f), point) for point in ring]
        wanted = [apply(matrix, point) for point in rings([fill.region])[0]]  # type: ignore[list-item]
        assert farthest(found, down(corrected(wanted, A4, scale, lean))) < 0.1 * MICROMETRE


def test_inks_layers_title_and_description_are_said() -> None:
    first, second = (ElementTree.fromstring(data) for data in render(everything(), ".svg"))
    assert [element.text for element in first if element.tag in {f"{SVG}title", f"{SVG}desc"}] == [
        "Poste d'été, \u2116 14 (1/2)",
        "Side stripes. decal, 1:64",
    ]
    assert first.get("role") == "img"
    assert first.get("{http://www.w3.org/XML/1998/namespace}lang") == "en"
    assert [group.get("id") for group in first.iter(f"{SVG}g")] == [
        "layer-1-door-band-roundels",
        "layer-2-marks",
    ]
    assert [group.get("data-name") for group in first.iter(f"{SVG}g")] == ["Door band & <roundels>", "Marks"]
    assert [group.get("data-purpose") for group in second.iter(f"{SVG}g")] == ["cutting"]
    inks = [element.get("data-ink") for element in first.iter(f"{SVG}path") if element.get("data-ink")]
    assert set(inks) == {"lifebuoy orange", "navy", 'navy "matt"'}
    ids = [element.get("id") for element in first.iter() if element.get("id")]
    assert len(ids) == len(set(ids))


def test_see_through_fills_and_the_ground() -> None:
    first, _ = (ElementTree.fromstring(data) for data in render(everything(), ".svg"))
    assert [e.get("fill-opacity") for e in first.iter(f"{SVG}path") if e.get("fill-opacity")] == ["0.5"]
    (ground,) = (e for e in first.iter(f"{SVG}path") if e.get("id") == "ground")
    assert (ground.get("fill"), ground.get("d")) == ("#faf8f4", "M0 0H210V297H0Z")
