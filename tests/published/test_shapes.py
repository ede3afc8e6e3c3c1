"""Shapes against published figures, each with its source. Where a figure follows from a published rule by arithmetic,
the rule is cited and the arithmetic stands beside it."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from shapely.geometry import LineString, Polygon, box

from decalgen.core.geometry import polygons, union
from decalgen.shapes.base import At, Box, Element, Inked
from decalgen.shapes.blocks import Blocks
from decalgen.shapes.border import Border
from decalgen.shapes.chevrons import Chevrons
from decalgen.shapes.cross import Cross
from decalgen.shapes.field import Field
from decalgen.shapes.group import Group
from decalgen.shapes.outline import DrawnOutline
from decalgen.shapes.placing import place
from decalgen.shapes.roundel import Roundel
from decalgen.shapes.star import Star
from decalgen.shapes.stripe import Stripe
from tests.shapes.sampling import seen


def runs(areas: tuple[Inked, ...], line: LineString) -> list[tuple[str | None, float]]:
    """What inks a straight line crosses, and for how long, from its start."""
    total = line.length
    cuts = {0.0, total}
    for area in areas:
        crossing = area.region.boundary.intersection(line)
        for point in getattr(crossing, "geoms", [crossing]):
            if not point.is_empty:
                cuts |= {line.project(type(line.centroid)(c)) for c in point.coords}
    found: list[tuple[str | None, float]] = []
    for a, b in pairwise(sorted(cuts)):
        if b - a < 1e-9:
            continue
        middle = line.interpolate((a + b) / 2)
        ink = next((x.ink for x in reversed(areas) if x.region.covers(middle)), None)
        if found and found[-1][0] == ink:
            found[-1] = (ink, found[-1][1] + b - a)
        else:
            found.append((ink, b - a))
    return found


# --------------------------------------------------------------------------------------------------- roundels
# Ratios of the diameters of Royal Air Force roundels, types A, A1, B and C (from memory, no document). The
# shares of the area follow from them:
# (d_k^2 - d_k-1^2) / d_n^2.
@pytest.mark.parametrize(
    ("ratios", "shares"),
    [
        ((1.0, 3.0, 5.0), (0.04, 0.32, 0.64)),
        ((1.0, 3.0, 5.0, 7.0), (1 / 49, 8 / 49, 16 / 49, 24 / 49)),
        ((2.0, 5.0), (0.16, 0.84)),
        ((3.0, 4.0, 8.0), (0.1406, 0.1094, 0.75)),
    ],
)
def test_area_shares_of_roundels(ratios: tuple[float, ...], shares: tuple[float, ...]) -> None:
    inks = tuple(f"ring {n}" for n in range(len(ratios), 0, -1))
    shown = seen(Roundel(inks, ratios=ratios).draw(Box(60, 60)))
    whole = sum(shown.values())
    assert whole == pytest.approx(math.pi * 900, rel=1e-4)
    assert [shown[f"ring {n + 1}"] / whole for n in range(len(ratios))] == pytest.approx(shares, abs=6e-5)


def test_target_face_122_cm() -> None:
    """World Archery rule book, 122 cm face: ten rings 6.1 cm wide, the ten ring 12.2 cm across; so ring k,
    counted from the middle, has (2k - 1) / 100 of the area."""
    inks = tuple(f"{k}" for k in range(10, 0, -1))
    face = Roundel(inks, diameter=122.0)
    assert face.rings(122.0)[-1] == pytest.approx(12.2)
    shown = seen(face.draw(Box(122, 122)))
    whole = sum(shown.values())
    for k in range(1, 11):
        assert shown[f"{k}"] / whole == pytest.approx((2 * k - 1) / 100, abs=2e-5)


# --------------------------------------------------------------------------------------------- slanted stripes
def test_warning_marking_squares() -> None:
    """DIN 30710: red and white stripes at 45 degrees, 100 mm wide, in squares of 141 mm; half of it is red. A 100 mm
    stripe covers 100 * sqrt(2) = 141.42 mm of every side, so that a square is cut along its diagonal."""
    side = 100 * math.sqrt(2)
    square = Stripe(100.0, inks=("red", "white"), angle=45.0, fill=True, shift=50.0)
    areas = square.draw(square.extent(Box(side, side)))
    assert side == pytest.approx(141, abs=0.5)
    for area in areas:
        assert area.region.area / side**2 == pytest.approx(0.5)
        (triangle,) = polygons(area.region)
        assert len(triangle.simplify(1e-9).exterior.coords) == 4, "a triangle"
    # A row of eight squares, along a line off the middle: red and white by turns, 141.42 mm each, half and half.
    row = square.draw(Box(8 * side, side))
    met = runs(row, LineString([(0, 40), (8 * side, 40)]))
    assert [length for _, length in met[1:-1]] == pytest.approx([side] * 7)
    assert all(a[0] != b[0] for a, b in pairwise(met))
    shown = seen(row)
    assert shown["red"] == pytest.approx(shown["white"])


def test_rear_chevrons_slope_down_and_away_from_the_centre_line() -> None:
    """NFPA 1901 (2009), 15.9.3.3: chevrons sloping downward and away from the centre line at 45 degrees, each stripe
    6 in (152.4 mm) wide; here on a rear 1.91 m wide at 1:50, with the whole of it covered (at least half is asked)."""
    width = 152.4 / 50
    size = Box(38.2, 21.0)
    areas = Chevrons(width, inks=("lifebuoy orange", "white"), direction="up").draw(size)
    assert sum(seen(areas).values()) >= 0.5 * size.width * size.height
    slanted = 0
    for area in areas:
        for polygon in polygons(area.region):
            for a, b in pairwise(polygon.exterior.coords):
                on_side = any(p == q and p in (0.0, limit) for p, q, limit in zip(a, b, size, strict=True))
                if on_side or math.dist(a, b) < 1e-9:
                    continue
                slope = (b[1] - a[1]) / (b[0] - a[0])
                right = (a[0] + b[0]) / 2 > size.width / 2
                assert slope == pytest.approx(-1 if right else 1), "down and away from the middle"
                slanted += 1
    assert slanted > 20
    # Square across the stripes of the right half.
    across = LineString([(25, 8), (33, 16)])
    assert [length for _, length in runs(areas, across)[1:-1]] == pytest.approx([width] * 2, abs=1e-6)


def test_conspicuity_segments() -> None:
    """FMVSS 108, S5.7.1: red and white segments of 300 mm +- 150 mm by turns, 50, 75 or 100 mm
    wide, neither colour more than two thirds. Six segments of 400 and 200 mm, at 1:50."""
    strip = Blocks(("ababab",), ("red", "white"), width=1800 / 50, height=50 / 50, column_shares=(2.0, 1.0) * 3)
    areas = strip.draw(strip.extent(Box(60, 10)))
    met = runs(areas, LineString([(0, 0.5), (36, 0.5)]))
    assert [length * 50 for _, length in met] == pytest.approx([400, 200] * 3)
    assert all(150 <= length * 50 <= 450 for _, length in met)
    shown = seen(areas)
    assert shown["red"] / sum(shown.values()) == pytest.approx(2 / 3)
    assert areas[0].region.bounds[3] * 50 == pytest.approx(50)


# ------------------------------------------------------------------------------------------------------- stars
def test_pentagram() -> None:
    """Geometry: r/R = 1/phi^2 = 0.381966; area 1.12257 R^2; 1.90211 x 1.80902 R."""
    radius = 10.0
    star = Star("red", diameter=2 * radius)
    assert star.ratio == pytest.approx(0.381966, abs=5e-7)
    size = star.extent(Box(1, 1))
    assert size == pytest.approx((19.0211, 18.0902), abs=5e-5)
    (area,) = star.draw(size)
    assert area.region.area == pytest.approx(112.257, abs=5e-4)
    assert area.region.bounds == pytest.approx((0, 0, *size))


def test_star_and_bar_insignia() -> None:
    """AN-I-9b, amendment 2: a star in a disc of radius R, a bar R long and R/2 high on each side whose top is
    level with the star's shoulders and which starts at its points, a border of R/8 round it all. The shoulders lie at
    sin 18 deg = 0.3090 R; overall 2 (cos 18 deg + 1 + 1/8) = 4.152 R by 2.25 R."""
    r = 8.0
    (star,) = Star("white", diameter=2 * r, in_circle=True).draw(Box(2 * r, 2 * r))
    points = sorted(star.region.geoms[0].exterior.coords[:-1])
    shoulder = points[-1][1] - r
    assert shoulder / r == pytest.approx(0.3090, abs=5e-5)
    assert points[0][1] == pytest.approx(points[-1][1]), "both shoulders are level"
    assert points[-1][0] - r == pytest.approx(r * math.cos(math.radians(18)))
    reach = points[-1][0] - r
    dy = shoulder - r / 4
    decal = (
        Element(Field("navy", width=2 * (reach + r + r / 8), height=r / 2 + r / 4), At("centre", 0, dy)),
        Element(Roundel(("navy",), diameter=2.25 * r)),
        Element(Field("white", width=2 * (reach + r), height=r / 2), At("centre", 0, dy)),
        Element(Roundel(("navy",), diameter=2 * r)),
        Element(Star("white", diameter=2 * r, in_circle=True)),
    )
    areas = place(decal, Box(5 * r, 3 * r))
    x0, y0, x1, y1 = union(a.region for a in areas).bounds
    assert ((x1 - x0) / r, (y1 - y0) / r) == pytest.approx((4.152, 2.25), abs=6e-4)
    bars = [p for p in polygons(areas[2].region.difference(areas[3].region)) if p.area > 1]
    assert {round((p.bounds[3] - 1.5 * r) / r, 3) for p in bars} == {0.309}, "their tops level with the shoulders"


# ------------------------------------------------------------------------------------------------------ crosses
def test_couped_cross_of_the_coat_of_arms() -> None:
    """Swiss Coat of Arms Protection Act: arms of equal length, one sixth longer than wide; on
    the flag the cross takes 5/8 of the square field. Its area: w = 5/8 * 3/10, w^2 (1 + 4 * 7/6) = 0.19922."""
    field = 32.0
    cross = Cross("white", couped=True, arm_ratio=7 / 6, width=field * 5 / 8, height=field * 5 / 8)
    areas = place((Element(Field("red")), Element(cross)), Box(field, field))
    assert areas[1].region.area / field**2 == pytest.approx(0.19922, abs=5e-6)
    # Along the middle: field, cross, field as 3 : 10 : 3; along the upper edge of an arm as 13 : 6 : 13 sixteenths.
    assert [n for _, n in runs(areas, LineString([(0, 16), (32, 16)]))] == pytest.approx([6, 20, 6])
    arm = runs(areas, LineString([(0, 24), (32, 24)]))[1]
    assert (arm[1], (20 - arm[1]) / 2 / arm[1]) == pytest.approx((6, 7 / 6)), "one sixth longer than wide"


def test_saltire_and_cross_flag() -> None:
    """The construction of the Union Flag at 1:2: in thirtieths of the height, cross 6 with
    edges of 2; saltire of broad white 3, red 2, narrow white 1, the red counterchanged on the diagonals.
    Shares of the area that follow from it: red 37.3825, white 34.2141, blue 28.4034 %."""
    h, w = 30.0, 60.0
    centre, length = (w / 2, h / 2), math.hypot(w, h)
    limbs = []
    for sx, sy in ((1, 1), (-1, 1), (-1, -1), (1, -1)):
        c, s = sx * w / length, sy * h / length
        band = Polygon(
            [(centre[0] + u * c - v * s, centre[1] + u * s + v * c) for u, v in ((-9, 0), (99, 0), (99, 2), (-9, 2))]
        )
        x0, x1 = sorted((centre[0], centre[0] + sx * w / 2))
        y0, y1 = sorted((centre[1], centre[1] + sy * h / 2))
        quarter = box(x0, y0, x1, y1)
        limb = band.intersection(quarter)
        limbs.append(Element(DrawnOutline("red", tuple(limb.exterior.coords[:-1]), in_place=True)))
    flag = (
        Element(Field("blue")),
        Element(Cross("white", saltire=True, arm_width=6.0)),
        *limbs,
        Element(Cross("red", arm_width=6.0, fimbriation=(2.0,), fimbriation_inks=("white",))),
    )
    shown = seen(place(flag, Box(w, h)))
    assert shown["red"] / (w * h) == pytest.approx(0.373825, abs=5e-7)
    assert shown["white"] / (w * h) == pytest.approx(0.342141, abs=5e-7)
    assert shown["blue"] / (w * h) == pytest.approx(0.284034, abs=5e-7)


def test_offset_cross_flag() -> None:
    """Norwegian flag act: along the length 6 : 1 : 2 : 1 : 12, along the height
    6 : 1 : 2 : 1 : 6."""
    cross = Cross("blue", arm_width=2.0, centre_x=8.0, fimbriation=(1.0,), fimbriation_inks=("white",))
    areas = place((Element(Field("red")), Element(cross)), Box(22, 16))
    level = runs(areas, LineString([(0, 2), (22, 2)]))
    upright = runs(areas, LineString([(20, 0), (20, 16)]))
    assert [ink for ink, _ in level] == [ink for ink, _ in upright] == ["red", "white", "blue", "white", "red"]
    assert [n for _, n in level] == pytest.approx([6, 1, 2, 1, 12])
    assert [n for _, n in upright] == pytest.approx([6, 1, 2, 1, 6])


# ------------------------------------------------------------------------------------------------------- plates
def test_orange_plate_spacing() -> None:
    """ADR 5.3.2.2: 400 x 300 mm, border 15 mm, a line of 15 mm across the middle, figures 100 mm
    high. Four equal gaps share what is left of the height: (300 - 3 * 15 - 2 * 100) / 4 = 13.75 mm."""
    half = Group((Element(Field("black", width=90.0, height=100.0)),), height=(300 - 45) / 2)
    plate = (
        Element(Field("lifebuoy orange")),
        Element(Border("black", 15.0)),
        Element(Field("black", height=15.0)),
        Element(half, At("top", 0, -15)),
        Element(half, At("bottom", 0, 15)),
    )
    met = runs(place(plate, Box(400, 300)), LineString([(200, 0), (200, 300)]))
    assert [ink for ink, _ in met] == [*["black", "lifebuoy orange"] * 4, "black"]
    assert [n for _, n in met] == pytest.approx([15, 13.75, 100, 13.75, 15, 13.75, 100, 13.75, 15])


# ----------------------------------------------------------------------------------------------------- segments
@pytest.mark.parametrize(
    ("angle", "arc", "rise", "chord", "area"),
    [
        (60, 1.0472, 0.1340, 1.0000, 0.0906),
        (90, 1.5708, 0.2929, 1.4142, 0.2854),
        (120, 2.0944, 0.5000, 1.7321, 0.6142),
    ],
)
def test_segments_of_a_circle(angle: int, arc: float, rise: float, chord: float, area: float) -> None:
    """Table of segments of a circle of radius 1, as in engineering handbooks: arc,
    height, chord, area. Drawn at 20 mm from chord and height alone, as two points and a rise."""
    r = 20.0
    (drawn,) = DrawnOutline("red", ((0.0, 0.0), (chord * r, 0.0)), rises=(0.0, rise * r)).draw(Box(chord * r, rise * r))
    (polygon,) = polygons(drawn.region)
    assert polygon.area / r**2 == pytest.approx(area, abs=1.2e-4)
    assert (polygon.exterior.length - chord * r) / r == pytest.approx(arc, abs=2e-4)
    assert polygon.bounds == pytest.approx((0, 0, chord * r, rise * r), abs=1.1e-3)
