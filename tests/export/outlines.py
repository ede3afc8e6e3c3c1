"""Readers of outlines, sharing no code with what writes them: PDF content by pikepdf's tokens, SVG by ElementTree.

Each gives the outlines of a page in the order they are drawn, as points in mm, y up; curves and arcs are walked.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pikepdf
import shapely
from pikepdf import Dictionary
from shapely.geometry import LineString

from tests.export.test_svg import Arc, path

Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]
POINT = 25.4 / 72
STEPS = 200


@dataclass(frozen=True)
class Drawn:
    """One outline: its points, and in a PDF the layer it stands in."""

    points: tuple[Point, ...]
    layer: str = ""


def after(inner: Matrix, outer: Matrix) -> Matrix:
    """``inner`` first, then ``outer`` (ISO 32000-1, 8.3.4: row vectors)."""
    a, b, c, d, e, f = inner
    g, h, i, j, k, m = outer
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def at(matrix: Matrix, x: float, y: float) -> Point:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def pdf_outlines(data: bytes, page: int = 0) -> list[Drawn]:
    """Every outline that is filled or stroked, forms placed where they are drawn."""
    with pikepdf.open(BytesIO(data)) as pdf:
        one = pdf.pages[page]
        found: list[Drawn] = []
        start = (POINT, 0.0, 0.0, POINT, 0.0, 0.0)
        _walk(one, one.get("/Resources", Dictionary()), start, "", found)
        return found


def _walk(source: Any, resources: Any, matrix: Matrix, layer: str, found: list[Drawn]) -> None:
    stack: list[Matrix] = []
    rings: list[list[Point]] = []
    here: Point = (0.0, 0.0)
    for operands, operator in pikepdf.parse_content_stream(source):
        word = str(operator)
        if word in {"q", "Q", "BDC", "EMC", "Do"}:
            if word == "q":
                stack.append(matrix)
            elif word == "Q":
                matrix = stack.pop()
            elif word == "BDC":
                layer = str(resources.Properties[str(operands[1])].get("/Name", ""))
            elif word == "EMC":
                layer = ""
            else:
                form = resources.XObject[str(operands[0])]
                own = tuple(float(v) for v in form.get("/Matrix", [1, 0, 0, 1, 0, 0]))
                _walk(form, form.get("/Resources", Dictionary()), after(own, matrix), layer, found)  # type: ignore[arg-type]
            continue
        if word in {"f", "f*", "F", "S", "s", "b", "B", "b*", "B*", "n"}:
            if word != "n":
                found += [Drawn(tuple(at(matrix, *p) for p in ring), layer) for ring in rings]
            rings = []
            continue
        if word not in {"cm", "m", "l", "c", "re", "h"}:
            continue
        values = [float(v) for v in operands]
        if word == "cm":
            matrix = after((*values,), matrix)  # type: ignore[arg-type]
        elif word == "m":
            rings.append([(values[0], values[1])])
            here = rings[-1][0]
        elif word == "l":
            here = (values[0], values[1])
            rings[-1].append(here)
        elif word == "c":
            ends = np.array([here, values[0:2], values[2:4], values[4:6]])
            t = np.linspace(0, 1, STEPS)[1:, None]
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
            curve = sum(weight * end for weight, end in zip(weights, ends, strict=True))
            rings[-1] += [(float(x), float(y)) for x, y in curve]
            here = (values[4], values[5])
        elif word == "re":
            x, y, w, h = values
            rings.append([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
        elif word == "h":
            rings[-1].append(rings[-1][0])


SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"


def svg_outlines(data: bytes) -> list[Drawn]:
    """Every outline of all groups, symbols placed where they are used."""
    root = ElementTree.fromstring(data)
    height = float((root.get("height") or "").removesuffix("mm"))
    symbols = {symbol.get("id"): symbol for symbol in root.iter(f"{SVG}symbol")}
    found: list[Drawn] = []

    def visit(node: ElementTree.Element, matrix: Matrix, layer: str) -> None:
        words = re.fullmatch(r"(matrix|translate)\(([^)]*)\)", node.get("transform") or "translate(0 0)")
        assert words
        own = [float(v) for v in re.split(r"[\s,]+", words[2].strip())]
        full = (1.0, 0.0, 0.0, 1.0, *own) if words[1] == "translate" else tuple(own)
        matrix = after(full, matrix)  # type: ignore[arg-type]
        if node.tag == f"{SVG}use":
            for child in symbols[(node.get(HREF) or "")[1:]]:
                visit(child, matrix, layer)
        elif node.tag == f"{SVG}path":
            for ring in path(node.get("d") or ""):
                points = [point for step in ring for point in _steps(step)]
                placed = [at(matrix, *point) for point in points]
                found.append(Drawn(tuple((x, height - y) for x, y in placed), layer))
        elif node.tag == f"{SVG}g":
            for child in node:
                visit(child, matrix, node.get("data-name") or layer)

    for child in root:
        visit(child, (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), "")
    return found


def _steps(step: Point | Arc) -> list[Point]:
    if not isinstance(step, Arc):
        return [step]
    (cx, cy), (rx, ry) = step.centre, step.radii
    first = math.atan2((step.start[1] - cy) / ry, (step.start[0] - cx) / rx)
    angles = first + step.turn * np.linspace(0, 1, STEPS)
    return [(float(cx + rx * math.cos(a)), float(cy + ry * math.sin(a))) for a in angles[1:-1]] + [step.end]


def uncorrected(points: Sequence[Point], size: Point, scale: Point) -> list[Point]:
    """Points without a correction about the middle of the page."""
    (w, h), (sx, sy) = size, scale
    return [(w / 2 + (x - w / 2) / sx, h / 2 + (y - h / 2) / sy) for x, y in points]


def apart(one: Sequence[Point], other: Sequence[Point], closed: bool = True) -> float:
    """Hausdorff distance of two courses: no point of either is farther from the other, densely sampled."""
    lines = []
    for points in (one, other):
        ends = [*points, points[0]] if closed and points[0] != points[-1] else list(points)
        lines.append(shapely.segmentize(LineString(ends), 0.5))
    a, b = lines
    corners = [shapely.points(shapely.get_coordinates(line)) for line in (a, b)]
    return float(max(shapely.distance(b, corners[0]).max(), shapely.distance(a, corners[1]).max()))
