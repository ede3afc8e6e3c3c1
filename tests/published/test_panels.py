"""Panels against published values, closed forms of others, and numerical integration."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from shapely.geometry import Polygon

from decalgen.core.geometry import circle
from decalgen.core.instruments import instrument, scatter_limit
from decalgen.core.lengths import Quantity, evaluate
from decalgen.panels.cone import Cone, ConeSurface
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.dome import Dome
from decalgen.panels.edge import EdgeWrap
from decalgen.panels.leaning import Leaning
from decalgen.panels.strain import disc_strain, strain
from tests.panels.directions import cut_angle


def read(text: str, name: str) -> Quantity:
    return evaluate(text, reading=name)


def degrees(value: float) -> Quantity:
    return Quantity(value, 0)


# Circular segments of radius 1, from the tables of every engineering handbook (Dubbel, Machinery's Handbook): angle at
# the centre, arc, rise, chord, area. The last digit printed is the fourth, of the area too.
SEGMENTS = [
    (60, "1.0472", "0.1340", "1.0000", "0.0906"),
    (90, "1.5708", "0.2929", "1.4142", "0.2854"),
    (120, "2.0944", "0.5000", "1.7321", "0.6142"),
]


@pytest.mark.parametrize(("angle", "arc", "rise", "chord", "area"), SEGMENTS)
def test_circular_segments_by_radius_and_angle(angle: int, arc: str, rise: str, chord: str, area: str) -> None:
    """Handbook tables of circular segments (`SEGMENTS`)."""
    panel = Cylinder(radius=Quantity(10.0), angle=degrees(angle), length=Quantity(20.0)).build("roof")
    sizes = {key: quantity.value for key, quantity in panel.sizes}
    assert f"{panel.width.value / 10:.4f}" == f"{sizes['arc'] / 10:.4f}" == arc
    assert f"{sizes['rise'] / 10:.4f}" == rise
    assert f"{sizes['chord'] / 10:.4f}" == chord
    # the area under the panel, from where the film lies in space
    assert panel.surface is not None
    steps = [panel.surface.to_space((panel.width.value * i / 2000, 0.0)) for i in range(2001)]
    profile = Polygon([(point.x, point.z) for point in steps])
    assert f"{profile.area / 100:.4f}" == area


@pytest.mark.parametrize(("angle", "arc", "rise", "chord", "area"), SEGMENTS)
def test_circular_segments_by_chord_and_rise(angle: int, arc: str, rise: str, chord: str, area: str) -> None:
    """Handbook tables of circular segments (`SEGMENTS`)."""
    half = math.radians(angle) / 2
    exact_chord, exact_rise = 2 * math.sin(half), 1 - math.cos(half)
    assert (f"{exact_chord:.4f}", f"{exact_rise:.4f}") == (chord, rise)
    panel = Cylinder(chord=Quantity(10 * exact_chord), rise=Quantity(10 * exact_rise), length=Quantity(20.0)).build(
        "roof"
    )
    sizes = {key: quantity.value for key, quantity in panel.sizes}
    assert f"{panel.width.value / 10:.4f}" == arc
    assert sizes["radius"] == pytest.approx(10.0, abs=1e-9)
    assert sizes["angle"] == pytest.approx(angle, abs=1e-9)


# The worked examples: ± as limits of a rectangular distribution, u = a/sqrt 3 (JCGM 100:2008, 4.3.7).
@pytest.mark.parametrize(
    ("chord", "rise", "s", "u", "expanded"),
    [
        ("20.80 mm ± 0.05", "2.05 mm ± 0.10", "21.335", "0.041", "0.082"),
        ("24.20 mm ± 0.05", "1.10 mm ± 0.10", "24.333", "0.032", "0.064"),
        ("20.80 mm u 0.05", "2.05 mm u 0.10", "21.335", "0.071", "0.142"),
        # a rise read with a ruler
        ("20.80 mm u 0.05", "2.05 mm u 0.25", "21.335", "0.138", "0.277"),
    ],
)
def test_worked_examples_of_bent_panels(chord: str, rise: str, s: str, u: str, expanded: str) -> None:
    panel = Cylinder(
        chord=read(chord, "board.chord"), rise=read(rise, "board.rise"), length=read("19.5 mm ± 0.05", "board.length")
    ).build("board")
    assert f"{panel.width.value:.3f}" == s
    assert f"{panel.width.u:.3f}" == u
    assert f"{panel.width.expanded():.3f}" == expanded


def test_the_arc_agrees_with_the_expansion_for_small_rises() -> None:
    """s - c = 8h²/3c and ds/dh = 16h/3c to first order: the series of the arc sine (geometry)."""
    panel = Cylinder(chord=Quantity(20.0), rise=Quantity(0.2, 1, (("roof.rise", 0.01),)), length=Quantity(10.0)).build(
        "roof"
    )
    assert panel.width.value - 20.0 == pytest.approx(8 * 0.04 / 60, rel=1e-3)
    assert panel.width.parts[-1][1] == pytest.approx(0.01 * 16 * 0.2 / 60, rel=1e-3)


def test_the_film_on_a_bent_panel_is_as_long_as_the_arc_in_space() -> None:
    """The arc length integral along the panel's profile (geometry), by scipy's quadrature."""
    panel = Cylinder(chord=Quantity(30.40), rise=Quantity(3.60), length=Quantity(12.0)).build("cab")
    radius = 30.40**2 / (8 * 3.60) + 1.80
    length, _ = quad(lambda x: math.sqrt(1 + x * x / (radius * radius - x * x)), -15.2, 15.2, epsabs=1e-12)
    assert panel.width.value == pytest.approx(length, abs=1e-9)


# ------------------------------------------------------------------------------------------------------- cones
def _geodesic(
    low: float, sine: float, start: tuple[float, float], heading: float, length: float
) -> tuple[float, float]:
    """Walks a geodesic on a cone r(t) = low - t·sine with the metric dt² + r²dφ², from its differential equations
    (Clairaut's coordinates; any textbook of differential geometry), by scipy."""

    def slope(_: float, state: list[float]) -> list[float]:
        t, _turn, dt, dturn = state
        r = low - t * sine
        return [dt, dturn, r * -sine * dturn**2, 2 * sine / r * dt * dturn]

    r0 = low - start[0] * sine
    begin = [start[0], start[1], math.cos(heading), math.sin(heading) / r0]
    end = solve_ivp(slope, (0.0, length), begin, rtol=1e-12, atol=1e-13).y[:, -1]
    return float(end[0]), float(end[1])


@pytest.mark.parametrize(
    ("bottom", "top", "slant"),
    [((26.0, 3.0), (18.0, 2.2), 20.0), ((18.0, 2.2), (26.0, 3.0), 20.0), ((24.2, 1.1), (22.0, 0.92), 19.5)],
)
@pytest.mark.parametrize("heading", [-0.9, 0.3, 1.2])
def test_straight_lines_on_the_film_of_a_cone_are_geodesics(
    bottom: tuple[float, float], top: tuple[float, float], slant: float, heading: float
) -> None:
    """Geometry: what is straight on the flat development is a geodesic of the cone; scipy integrates it."""
    panel = Cone(
        bottom_chord=Quantity(bottom[0]),
        bottom_rise=Quantity(bottom[1]),
        top_chord=Quantity(top[0]),
        top_rise=Quantity(top[1]),
        slant_length=Quantity(slant),
    ).build("bonnet")
    low, high = (c * c / (8 * h) + h / 2 for c, h in (bottom, top))
    sine = (low - high) / slant
    surface = panel.surface
    assert isinstance(surface, ConeSurface)
    start = (4.0, -0.1)
    t, turn = _geodesic(low, sine, start, heading, 12.0)
    a = surface.film(*start)
    # on the film the generator at turn φ leans by φ·sine from upright
    lean = start[1] * sine
    direction = (
        math.sin(heading) * math.cos(lean) - math.cos(heading) * math.sin(lean),
        math.sin(heading) * math.sin(lean) + math.cos(heading) * math.cos(lean),
    )
    b = surface.film(t, turn)
    assert b == pytest.approx((a[0] + 12.0 * direction[0], a[1] + 12.0 * direction[1]), abs=1e-6)


def test_a_cone_develops_into_an_annular_sector() -> None:
    """Arc, radius and area of the sector by the formulas of descriptive geometry: slant height to the tip R/sin a,
    angle 2·turn·sin a. Equal turns at both ends make the side edges generators."""
    turn = math.radians(35)
    low, high, slant = 24.0, 18.0, 20.0
    chords = [2 * r * math.sin(turn) for r in (low, high)]
    rises = [r * (1 - math.cos(turn)) for r in (low, high)]
    panel = Cone(
        bottom_chord=Quantity(chords[0]),
        bottom_rise=Quantity(rises[0]),
        top_chord=Quantity(chords[1]),
        top_rise=Quantity(rises[1]),
        slant_length=Quantity(slant),
    ).build("bonnet")
    sine = (low - high) / slant
    outer, inner, angle = low / sine, high / sine, 2 * turn * sine
    assert outer - inner == pytest.approx(slant)
    assert panel.outline.polygon.area == pytest.approx(angle / 2 * (outer**2 - inner**2), rel=1e-4)
    assert panel.width.value == pytest.approx(2 * outer * math.sin(angle / 2))
    assert panel.height.value == pytest.approx(outer - inner * math.cos(angle / 2))
    sizes = {key: quantity.value for key, quantity in panel.sizes}
    assert sizes["bottom arc"] == pytest.approx(outer * angle)
    assert sizes["top arc"] == pytest.approx(inner * angle)


# ----------------------------------------------------------------------------------------------- other closed forms
def test_film_round_a_right_angle() -> None:
    """A quarter circle of radius r is pi/2·r long; both faces to their sharp corner would be 2r (geometry)."""
    panel = EdgeWrap(
        first_face=Quantity(8.0), second_face=Quantity(5.0), edge_radius=Quantity(1.5), length=Quantity(40.0)
    ).build("edge")
    assert panel.height.value == pytest.approx(8.0 + 5.0 - 2 * 1.5 + math.pi / 2 * 1.5)
    assert panel.width.value == 40.0


def test_a_stripe_on_a_leaning_panel() -> None:
    """atan(1/cos 20°) = 46.8°: a stripe that is to look 45° on a panel leaning by 20° (descriptive geometry)."""
    panel = Leaning(width=Quantity(26.0), height=Quantity(7.8), lean=degrees(20)).build("tailgate")
    assert panel.height.value == pytest.approx(7.8 / math.cos(math.radians(20)))
    assert panel.surface is not None
    assert cut_angle(panel.surface, (5.0, 3.0), 45.0) == pytest.approx(46.8, abs=0.05)
    assert cut_angle(panel.surface, (5.0, 3.0), 45.0) == pytest.approx(
        math.degrees(math.atan(1 / math.cos(math.radians(20)))), abs=1e-5
    )


# --------------------------------------------------------------------------------------------------------- strain
@pytest.mark.parametrize(("a", "radius", "percent"), [(5.0, 30.0, "0.46"), (10.0, 20.0, "4.1"), (5.0, 18.0, "1.3")])
def test_strain_of_a_disc_on_a_sphere(a: float, radius: float, percent: str) -> None:
    """1 - sin x/x, from the circumference 2·pi·R·sin(a/R) of a circle on a sphere (spherical trigonometry)."""
    places = len(percent.partition(".")[2])
    assert f"{100 * disc_strain(a / radius):.{places}f}" == percent
    panel = Dome(
        width=Quantity(2 * a + 2),
        height=Quantity(2 * a + 2),
        radius_across=Quantity(radius),
        radius_up=Quantity(radius),
    ).build("boot lid")
    found = strain(circle((panel.width.value / 2, panel.height.value / 2), a), panel)
    assert found is not None
    assert f"{100 * found.most.value:.{places}f}" == percent
    on_sphere = 2 * math.pi * radius * math.sin(a / radius)
    assert found.most.value == pytest.approx(1 - on_sphere / (2 * math.pi * a), rel=1e-9)


def test_the_strain_equals_the_least_distortion_of_any_flat_map() -> None:
    """Milnor's bound ln(x/sin x), J. Milnor, A problem in cartography, Amer. Math. Monthly 76:1101 (1969)."""
    for x in np.linspace(0.001, 1.5, 300):
        assert -math.log(1 - disc_strain(float(x))) == pytest.approx(math.log(x / math.sin(x)), rel=1e-7)
    assert -math.log1p(-disc_strain(0.01)) == pytest.approx(0.01**2 / 6, rel=1e-4)


# ---------------------------------------------------------------------------------------------------- instruments
def test_caliper_limits() -> None:
    """Limits of error of a digital caliper, DIN 862: 20 micrometres for short lengths, 30 for longer ones."""
    caliper = instrument("caliper")
    assert caliper.u(22.4) == pytest.approx(0.020 / math.sqrt(3))
    assert caliper.u(140.0) == pytest.approx(0.030 / math.sqrt(3))


def test_scatter_is_judged_by_chi_square() -> None:
    """The 95 % point of chi-square, against scipy's own."""
    from scipy.stats import chi2

    for freedom in (1, 2, 3, 5, 9, 20):
        assert scatter_limit(freedom) == pytest.approx(math.sqrt(chi2.ppf(0.95, freedom) / freedom), rel=0.02)
