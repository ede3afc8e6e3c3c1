"""The areas of shapes, paths and strokes against plane geometry and against areas put together by shapely."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon, box

from tests.core.svg.drawn import area, areas, drawn, near

NEAR = 0.05
"""A micrometre along edges of five centimetres, mm²."""


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ('<rect x="3" y="4" width="20" height="10"/>', 200.0),
        # Round corners: four quarters of an ellipse each lose (1 - π/4) of their rectangle.
        ('<rect x="3" y="4" width="20" height="10" rx="4" ry="2"/>', 200 - (4 - math.pi) * 4 * 2),
        # One radius stands for both; they are no more than half a side (SVG 1.1, 9.2).
        ('<rect width="20" height="10" ry="2"/>', 200 - (4 - math.pi) * 4),
        ('<rect width="20" height="10" rx="50" ry="50"/>', math.pi * 10 * 5),
        ('<circle cx="20" cy="20" r="10"/>', math.pi * 100),
        ('<ellipse cx="20" cy="20" rx="12" ry="5" transform="rotate(30 20 20)"/>', math.pi * 60),
        ('<polygon points="1,1 11,1 1,9"/>', 40.0),
        ('<polyline points="1,1 11,1 1,9"/>', 40.0),
        # A parabola's segment is two thirds of base times height (Archimedes).
        ('<path d="M0 0Q10 20 20 0"/>', 2 / 3 * 20 * 10),
        ('<path d="M0 0q10 20 20 0"/>', 2 / 3 * 20 * 10),
        # A cubic's area by Green's theorem: 3/20 of sums of its control points' products.
        ('<path d="M0 0C0 10 10 10 10 0"/>', 3 / 20 * (10 * 10 + 10 * 10 + 10 * 20)),
        # Half a circle, by one arc, and by one that takes flags without spaces.
        ('<path d="M10 20A10 10 0 0 1 30 20z"/>', math.pi * 50),
        ('<path d="M10 20a10 10 0 0120 0z"/>', math.pi * 50),
        # A quarter of a circle cut off by its chord, and the rest of it, by either sweep.
        ('<path d="M20 10A10 10 0 0 1 30 20z"/>', 25 * math.pi - 50),
        ('<path d="M20 10A10 10 0 1 1 30 20z"/>', 75 * math.pi + 50),
        ('<path d="M20 10A10 10 0 0 0 30 20z"/>', 25 * math.pi - 50),
        ('<path d="M20 10A10 10 0 1 0 30 20z"/>', 75 * math.pi + 50),
        # Radii too small are made as large as they need to be (SVG 1.1, F.6.6).
        ('<path d="M10 20A1 1 0 0 1 30 20z"/>', math.pi * 50),
        ('<path d="M1 1h10v5H1zM3 2v2h4V2z"/>', 50 - 8),
        # Percentages are of the view: 50 % of 40, 25 % of 40; a radius of 40 (SVG 1.1, 7.10).
        ('<rect width="50%" height="25%"/>', 200.0),
        ('<circle cx="50%" cy="50%" r="25%"/>', math.pi * 100),
        ('<g transform="translate(5) scale(2 3)"><rect width="2" height="2"/></g>', 24.0),
        ('<rect width="2" height="2" transform="matrix(2 1 0 3 5 5) skewX(30)"/>', 24.0),
    ],
)
def test_known_areas(body: str, expected: float) -> None:
    assert area(body) == pytest.approx(expected, abs=near(body))


def test_arcs_are_true_to_a_micrometre() -> None:
    # As cubics of 90° each, a circle's radius is off by 0.027 %: 2.7 µm at 10 mm.
    found = drawn('<path d="M10 20A10 10 0 1 1 30 20A10 10 0 1 1 10 20z"/>').areas[0].area
    points = shapely.get_coordinates(found)
    radii = np.hypot(points[:, 0] - 20, points[:, 1] - 20)
    assert abs(radii - 10).max() < 2e-6  # each point lies on it, to the nanometre of the fill
    middles = (points[:-1] + points[1:]) / 2
    assert 10 - np.hypot(middles[:, 0] - 20, middles[:, 1] - 20).min() < 0.00101


@pytest.mark.parametrize("scale", [0.05, 1.0, 60.0])
def test_curves_keep_their_tolerance_at_every_scale(scale: float) -> None:
    size = 20 / scale
    body = f'<g transform="scale({scale} {scale / 2})"><circle cx="{size}" cy="{size}" r="{size}"/></g>'
    points = shapely.get_coordinates(drawn(body).areas[0].area)
    middles = (points[:-1] + points[1:]) / 2
    off = np.hypot((middles[:, 0] - 20) / 20, (40 - middles[:, 1] - 10) / 10)
    assert 0 < (1 - off).max() * 20 < 0.0011


@pytest.mark.parametrize(
    ("large", "sweep", "bounds", "inside"),
    [
        # From the top of a circle about (20, 20) clockwise to its right, or of one about (30, 10) the other way.
        (0, 1, (20, 20, 30, 30), (26.5, 26.5)),
        (0, 0, (20, 20, 30, 30), (23.5, 23.5)),
        (1, 1, (20, 20, 40, 40), (30, 30)),
        (1, 0, (10, 10, 30, 30), (20, 20)),
    ],
)
def test_arcs_lie_on_the_side_that_their_flags_say(
    large: int, sweep: int, bounds: tuple[float, ...], inside: tuple[float, float]
) -> None:
    found = drawn(f'<path d="M20 10A10 10 0 {large} {sweep} 30 20z"/>').areas[0].area
    assert found.bounds == pytest.approx(bounds, abs=0.001)
    assert found.contains(shapely.Point(inside))


def test_both_fill_rules() -> None:
    # A pentagram in a circle R: its inner pentagon has the circle R cos 72° / cos 36°.
    big, star = 15.0, "20,5 28.817,32.135 5.734,15.365 34.266,15.365 11.183,32.135"
    small = big * math.cos(math.radians(72)) / math.cos(math.radians(36))
    outline = 5 * big * small * math.sin(math.radians(36))
    pentagon = 2.5 * small**2 * math.sin(math.radians(72))
    assert area(f'<polygon points="{star}"/>') == pytest.approx(outline, abs=NEAR)
    assert area(f'<polygon points="{star}" fill-rule="evenodd"/>') == pytest.approx(outline - pentagon, abs=NEAR)


def test_later_paint_knocks_out_earlier() -> None:
    # Two circles of radius 10, their middles 10 apart, share 2 r² acos(d/2r) - d/2 √(4r² - d²).
    shared = 200 * math.acos(0.5) - 5 * math.sqrt(300)
    found = areas('<circle cx="15" cy="20" r="10" fill="red"/><circle cx="25" cy="20" r="10" fill="blue"/>')
    assert found == pytest.approx({"#ff0000": math.pi * 100 - shared, "#0000ff": math.pi * 100}, abs=NEAR)


def test_what_lies_beyond_the_page_is_cut_off() -> None:
    assert area('<circle cx="0" cy="0" r="10"/>') == pytest.approx(math.pi * 25, abs=NEAR)


LINE = '<path d="M5 20h20" fill="none" stroke="#000" stroke-width="2" '
CORNER = '<path d="M5 5h10v10" fill="none" stroke="#000" stroke-width="2" '


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (f"{LINE}/>", 40.0),
        (f'{LINE}stroke-linecap="square"/>', 44.0),
        (f'{LINE}stroke-linecap="round"/>', 40 + math.pi),
        # Two legs of 10 × 2 share 1 × 1; the join fills a square, half of it, or a quarter of a disc.
        (f"{CORNER}/>", 39 + 1),
        (f'{CORNER}stroke-linejoin="bevel"/>', 39 + 0.5),
        (f'{CORNER}stroke-linejoin="round"/>', 39 + math.pi / 4),
        # A frame: its outer corners are sharp, round or cut.
        ('<rect x="5" y="5" width="10" height="10" fill="none" stroke="#000" stroke-width="2"/>', 144 - 64),
        (
            '<rect x="5" y="5" width="10" height="10" fill="none" stroke="#000" stroke-width="2" '
            'stroke-linejoin="round"/>',
            144 - 64 - (4 - math.pi),
        ),
        ('<circle cx="20" cy="20" r="10" fill="none" stroke="#000" stroke-width="2"/>', math.pi * (121 - 81)),
        # A dot: nothing long, with round or square ends.
        ('<path d="M5 5h0" stroke="#000" stroke-width="2" stroke-linecap="round"/>', math.pi),
        ('<path d="M5 5z" stroke="#000" stroke-width="2" stroke-linecap="square"/>', 4.0),
        ('<path d="M5 5h0" stroke="#000" stroke-width="2"/>', 0.0),
        # Stroked before the transform: the line gets as wide as it is scaled across itself.
        ('<path d="M5 1v5" stroke="#000" stroke-width="2" transform="scale(2 3)"/>', 4 * 15),
        ('<path d="M5 1v5" stroke="#000" stroke-width="2" vector-effect="non-scaling-stroke" '
         'transform="scale(2 3)"/>', 2 * 15),
        # Dashes from the start, from within, and an odd number of them, which is taken twice.
        (f'{LINE}stroke-dasharray="3 2"/>', 2 * 12),
        (f'{LINE}stroke-dasharray="3 2" stroke-dashoffset="4"/>', 2 * (20 - 2 * 4 + 0)),
        (f'{LINE}stroke-dasharray="1,2,3"/>', 2 * (1 + 3 + 2 + 1 + 3 + 1)),
        (f'{LINE}stroke-dasharray="1,2,3" stroke-dashoffset="6"/>', 2 * (2 + 1 + 3 + 2 + 1)),
        (f'{LINE}stroke-dasharray="6 4" pathLength="40"/>', 2 * 12),
        (f'{LINE}stroke-dasharray="0 4" stroke-linecap="round"/>', 5 * math.pi),
    ],
)  # fmt: skip
def test_strokes(body: str, expected: float) -> None:
    assert area(body) == pytest.approx(expected, abs=near(body))


@pytest.mark.parametrize("degrees", [20.0, 28.0, 30.0, 60.0])
def test_a_mitre_beyond_its_limit_is_a_bevel(degrees: float) -> None:
    # The limit of 4 is reached at 2 asin(1/4) = 28.96° (SVG 1.1, 11.4).
    angle = math.radians(degrees)
    here, far, out = np.array([30.0, 20.0]), np.array([10.0, 20.0]), 20.0
    other = here + out * np.array([-math.cos(angle), math.sin(angle)])
    legs = [far - here, other - here]
    normals = [np.array([leg[1], -leg[0]]) / 20 for leg in legs]
    parts = [
        Polygon([here + n, here - n, here - n + leg, here + n + leg]) for leg, n in zip(legs, normals, strict=True)
    ]
    outer = [normals[0] * -1, normals[1]] if normals[0] @ legs[1] > 0 else [normals[0], -normals[1]]
    tip = here + (outer[0] + outer[1]) / (1 + outer[0] @ outer[1])
    corner = [here + outer[0], *([tip] if degrees > 28.96 else []), here + outer[1]]
    expected = shapely.union_all([*parts, Polygon([here, *corner])]).area
    points = f"{far[0]},{far[1]} {here[0]},{here[1]} {other[0]},{other[1]}"
    found = area(f'<polyline points="{points}" fill="none" stroke="#000" stroke-width="2"/>')
    assert found == pytest.approx(expected, abs=NEAR)


def test_an_open_line_that_ends_where_it_starts_has_no_join_there() -> None:
    points = [(10, 10), (20, 10), (20, 20), (10, 10)]
    d = "M" + "L".join(f"{x} {y}" for x, y in points)
    open_, closed = (area(f'<path d="{d}{z}" fill="none" stroke="#000" stroke-width="2"/>') for z in ("", "z"))
    # What the mitre of 45° holds beyond both ends: two right triangles, 1 by 1 / tan 22.5°, less what the ends cover.
    tip = shapely.union_all([Polygon([(10, 10), (10, 9), (10 - 1 / math.tan(math.pi / 8), 9)])])
    assert closed > open_ and closed - open_ < 2 * tip.area


def test_a_curve_is_as_wide_as_its_line_and_round_all_along() -> None:
    found = drawn('<path d="M5 30C5 5 35 5 35 30" fill="none" stroke="#000" stroke-width="3"/>').areas[0].area
    t = np.linspace(0, 1, 20001)[:, None]
    a, b, c, d = (np.array(p, dtype=float) for p in ((5, 10), (5, 35), (35, 35), (35, 10)))
    middle = (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d
    way = np.diff(middle, axis=0)
    side = np.column_stack((-way[:, 1], way[:, 0])) / np.hypot(*way.T)[:, None]
    edges = np.vstack((middle[:-1] + 1.5 * side, middle[:-1] - 1.5 * side))
    assert shapely.distance(found.boundary, shapely.points(edges)).max() < 0.0012
    assert found.area == pytest.approx(3 * float(np.hypot(*way.T).sum()), abs=NEAR)


def test_a_dash_that_ends_at_the_start_of_a_closed_line_goes_on_there() -> None:
    body = '<rect x="5" y="5" width="10" height="10" fill="none" stroke="#000" stroke-width="2" '
    # 6 on, 8 off, …: from 34 to 40 and from 0 to 6 there is one dash, with its corner.
    whole = area(f'{body}stroke-dasharray="6 28"/>')
    assert whole == pytest.approx(2 * 12 + 1 - 1, abs=NEAR)


def test_clips() -> None:
    clip = '<clipPath id="c"><circle cx="10" cy="10" r="8"/><rect x="20" y="2" width="4" height="4"/></clipPath>'
    body = '<rect width="40" height="10" clip-path="url(#c)"/>'
    assert area(clip + body) == pytest.approx(math.pi * 32 + 16, abs=NEAR)
    inner = '<clipPath id="d" clip-path="url(#c)"><rect width="10" height="40"/></clipPath>'
    body = '<g clip-path="url(#d)"><rect width="40" height="40"/></g>'
    assert area(clip + inner + body) == pytest.approx(math.pi * 32, abs=NEAR)
    share = '<clipPath id="s" clipPathUnits="objectBoundingBox"><rect x=".5" width=".5" height="1"/></clipPath>'
    body = (
        '<g clip-path="url(#s)"><rect x="4" y="4" width="8" height="6"/><rect x="16" y="4" width="8" height="6"/></g>'
    )
    assert area(share + body) == pytest.approx(10 * 6 - 2 * 6, abs=NEAR)
    rule = '<clipPath id="e"><path d="M0 0h10v10H0zM2 2h6v6H2z" clip-rule="evenodd"/></clipPath>'
    assert area(f'{rule}<rect width="20" height="20" clip-path="url(#e)"/>') == pytest.approx(100 - 36, abs=NEAR)


def test_copies_and_views() -> None:
    star = '<defs><rect id="r" width="2" height="3"/></defs>'
    copies = '<use href="#r" x="5"/><use xlink:href="#r" y="5" transform="scale(2)"/>'
    assert area(star + copies) == pytest.approx(6 + 24, abs=NEAR)
    # A symbol fits its view by the lesser side: 10 × 10 into 20 × 8 is 8 × 8 in the middle.
    symbol = '<symbol id="s" viewBox="0 0 10 10"><rect width="10" height="10"/></symbol>'
    found = drawn(f'{symbol}<use href="#s" x="1" y="2" width="20" height="8"/>').areas[0].area
    assert found.bounds == pytest.approx((7, 30, 15, 38), abs=1e-6)
    inner = '<svg x="1" y="2" width="20" height="8" viewBox="0 0 10 10" {}><rect width="10" height="10"/></svg>'
    slice_ = drawn(inner.format('preserveAspectRatio="xMinYMax slice"')).areas[0].area
    assert slice_.bounds == pytest.approx((1, 30, 21, 38), abs=1e-6)
    none = drawn(inner.format('preserveAspectRatio="none" overflow="visible"')).areas[0].area
    assert none.bounds == pytest.approx((1, 30, 21, 38), abs=1e-6)
    right = drawn(inner.format('preserveAspectRatio="xMaxYMid"')).areas[0].area
    assert right.bounds == pytest.approx((13, 30, 21, 38), abs=1e-6)


def test_a_path_is_drawn_up_to_its_mistake_which_is_named() -> None:
    # SVG 1.1, F.2: up to, but not with, the segment in which the mistake is.
    found = drawn('<path id="p" d="M0 0H10V10H0Z M20 20H30V30 L x"/>')
    assert sum(one.area.area for one in found.areas) == pytest.approx(150, abs=NEAR)
    assert [(one.what, one.where) for one in found.left_out] == [
        ("the rest of a path after a mistake in it", ("'p' in line 1",))
    ]


def test_shapely_agrees_on_many_overlaps() -> None:
    rows = []
    boxes = []
    random = np.random.default_rng(5)
    colours = ["#ff0000", "#00ff00", "#0000ff"]
    for n in range(60):
        x, y, w, h = (float(v) for v in random.uniform((0, 0, 2, 2), (30, 30, 10, 10)))
        rows.append(f'<rect x="{x:.3f}" y="{y:.3f}" width="{w:.3f}" height="{h:.3f}" fill="{colours[n % 3]}"/>')
        x, y, w, h = (round(v, 3) for v in (x, y, w, h))
        boxes.append((colours[n % 3], box(x, y, min(x + w, 40), min(y + h, 40))))
    above = Polygon()
    expected = dict.fromkeys(colours, 0.0)
    for colour, one in reversed(boxes):
        expected[colour] += one.difference(above).area
        above = shapely.union(above, one)
    assert areas("".join(rows)) == pytest.approx(expected, abs=1e-3)
