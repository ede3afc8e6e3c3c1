"""The propagated uncertainty against a Monte Carlo of formulas written down again here (JCGM 101:2008): 100 000
seeded draws from rectangular distributions, for every kind of panel."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from decalgen.core.lengths import Quantity
from decalgen.panels.cone import Cone
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.dome import Dome
from decalgen.panels.edge import EdgeWrap
from decalgen.panels.flat import Flat, Tapered
from decalgen.panels.free import FreeOutline
from decalgen.panels.full_size import FullSize
from decalgen.panels.kinds import PanelKind
from decalgen.panels.leaning import Leaning
from decalgen.panels.prototype import Prototype
from decalgen.panels.registry import kinds

DRAWS = 100_000
Draw = Callable[[float, float], Any]


def q(value: float, limit: float, dimension: int = 1) -> Quantity:
    return Quantity(value, dimension, (("x", limit / math.sqrt(3)),))


def arc(c: Any, h: Any) -> Any:
    r = c**2 / (8 * h) + h / 2
    return 2 * r * np.arcsin(np.minimum(c / (2 * r), 1))


def cone_width(draw: Draw) -> Any:
    c1, h1, c2, h2, slant = draw(26, 0.05), draw(3, 0.1), draw(20, 0.05), draw(1.9, 0.1), draw(20, 0.05)
    r1, r2 = c1**2 / (8 * h1) + h1 / 2, c2**2 / (8 * h2) + h2 / 2
    sine = (r1 - r2) / slant
    return 2 * r1 / sine * np.sin(np.arcsin(c1 / (2 * r1)) * sine)


def two_arcs(c: Any, r: Any) -> Any:
    return 2 * r * np.arcsin(c / (2 * r))


# name, kind, which size, the same in numpy
CASES: list[tuple[str, PanelKind, str, Callable[[Draw], Any]]] = [
    ("flat", Flat(width=q(22.4, 0.05), height=q(11.6, 0.05)), "width", lambda d: d(22.4, 0.05)),
    (
        "flat",
        Flat(width=q(22.4, 0.05), height=q(11.6, 0.05), paint=q(0.1, 0.05)),
        "width",
        lambda d: d(22.4, 0.05) + 2 * d(0.1, 0.05),
    ),
    (
        "tapered",
        Tapered(bottom_width=q(31.0, 0.25), top_width=q(28.6, 0.25), height=q(6.4, 0.25), left_inset=q(-0.5, 0.25)),
        "width",
        lambda d: d(31.0, 0.25) - d(-0.5, 0.25),
    ),
    (
        "tapered",
        Tapered(bottom_width=q(31.0, 0.25), left_inset=q(1.0, 0.2), right_inset=q(1.4, 0.2), height=q(6.4, 0.25)),
        "top width",
        lambda d: d(31.0, 0.25) - d(1.0, 0.2) - d(1.4, 0.2),
    ),
    (
        "outline",
        FreeOutline(
            outline=(
                (Quantity(0.0), Quantity(0.0)),
                (q(61.0, 0.1), Quantity(0.0)),
                (q(60.2, 0.1), q(12.6, 0.1)),
                (Quantity(0.0), q(12.0, 0.1)),
            )
        ),
        "width",
        lambda d: np.maximum(d(61.0, 0.1), d(60.2, 0.1)),
    ),
    (
        "outline",
        FreeOutline(
            outline=(
                (Quantity(0.0), Quantity(0.0)),
                (Quantity(20.0), Quantity(0.0)),
                (Quantity(20.0), q(9.0, 0.1)),
                (Quantity(0.0), q(9.0, 0.1)),
            ),
            arcs=(0.0, 0.0, q(15.0, 0.5), 0.0),
        ),
        "height",
        lambda d: (lambda y, z, r: (y + z) / 2 + r - np.sqrt(r**2 - (100 + (y - z) ** 2 / 4)))(
            d(9.0, 0.1), d(9.0, 0.1), d(15.0, 0.5)
        ),
    ),
    (
        "cylinder",
        Cylinder(chord=q(20.8, 0.05), rise=q(2.05, 0.1), length=q(40, 0.1)),
        "width",
        lambda d: arc(d(20.8, 0.05), d(2.05, 0.1)),
    ),
    (
        "cylinder",
        Cylinder(radius=q(27.4, 0.5), chord=q(20.8, 0.05), length=q(40, 0.1)),
        "width",
        lambda d: two_arcs(d(20.8, 0.05), d(27.4, 0.5)),
    ),
    (
        "cylinder",
        Cylinder(radius=q(27.4, 0.5), angle=q(44, 1, 0), length=q(40, 0.1)),
        "arc",
        lambda d: d(27.4, 0.5) * np.radians(d(44, 1)),
    ),
    ("cylinder", Cylinder(tape=q(21.3, 0.2), length=q(40, 0.1)), "width", lambda d: d(21.3, 0.2)),
    (
        "cone",
        Cone(
            bottom_chord=q(26, 0.05),
            bottom_rise=q(3, 0.1),
            top_chord=q(20, 0.05),
            top_rise=q(1.9, 0.1),
            slant_length=q(20, 0.05),
        ),
        "width",
        cone_width,
    ),
    (
        "edge wrap",
        EdgeWrap(first_face=q(8, 0.05), second_face=q(5, 0.05), edge_radius=q(1.5, 0.25), length=q(40, 0.1)),
        "height",
        lambda d: (lambda r: d(8, 0.05) + d(5, 0.05) + (math.pi / 2 - 2) * r)(d(1.5, 0.25)),
    ),
    (
        "leaning",
        Leaning(width=q(26.1, 0.05), height=q(7.8, 0.05), lean=q(20, 2, 0)),
        "height",
        lambda d: d(7.8, 0.05) / np.cos(np.radians(d(20, 2))),
    ),
    (
        "leaning",
        Leaning(width=q(26.1, 0.05), height=q(7.8, 0.05), run=q(3.0, 0.2)),
        "height",
        lambda d: np.hypot(d(7.8, 0.05), d(3.0, 0.2)),
    ),
    (
        "dome",
        Dome(width=q(20, 0.05), height=q(14, 0.05), radius_across=q(18, 2), radius_up=q(18, 2)),
        "width",
        lambda d: two_arcs(d(20, 0.05), d(18, 2)),
    ),
    (
        "dome",
        Dome(width=q(20, 0.05), height=q(14, 0.05), rise_across=q(3, 0.1), rise_up=q(1.5, 0.1)),
        "height",
        lambda d: arc(d(14, 0.05), d(1.5, 0.1)),
    ),
    (
        "prototype",
        Prototype(prototype=FullSize(width=960.0, height=500.0)),
        "width",
        lambda d: d(960 / 43, 0.05 * 960 / 43),
    ),
]


def test_every_kind_is_tried() -> None:
    assert {name for name, *_ in CASES} == set(kinds())


@pytest.mark.parametrize(
    ("name", "kind", "size", "formula"), CASES, ids=[f"{c[0]} {c[2]} {i}" for i, c in enumerate(CASES)]
)
def test_propagated_uncertainty(name: str, kind: PanelKind, size: str, formula: Callable[[Draw], Any]) -> None:
    assert kind.name == name
    rng = np.random.default_rng(20240917)
    drawn = formula(lambda value, limit: rng.uniform(value - limit, value + limit, DRAWS))
    found = dict(kind.build("p", scale=43.0).sizes)[size]
    assert found.value == pytest.approx(float(np.median(drawn)), rel=0.01)
    spread = float(np.std(drawn))
    if found.u <= 1.03 * spread:
        assert found.u == pytest.approx(spread, rel=0.03)
    else:
        # What bends has its U from its farther end, which is worth more than its standard deviation.
        far = max(abs(float(end) - found.value) for end in np.quantile(drawn, (0.0, 1.0)))
        assert found.expanded() <= far * 2 / math.sqrt(3) * 1.03
        assert float(np.mean(np.abs(drawn - found.value) <= found.expanded())) >= 0.95


def test_least_squares_uncertainty() -> None:
    """Chord, rise and tape together, against refitting 3000 simulated sets with scipy."""
    from scipy.optimize import least_squares

    u = np.array([0.03, 0.06, 0.05])
    chord, rise = 20.8, 2.05
    truth = np.array([chord, rise, float(arc(chord, rise))])
    kind = Cylinder(
        chord=Quantity(truth[0], 1, (("x", u[0]),)),
        rise=Quantity(truth[1], 1, (("x", u[1]),)),
        tape=Quantity(truth[2], 1, (("x", u[2]),)),
        length=Quantity(40.0),
    )
    panel = kind.build("board")
    rng = np.random.default_rng(7)
    arcs = []
    for _ in range(3000):
        seen = truth + rng.normal(0, u)
        best = least_squares(lambda p, seen=seen: (np.array([p[0], p[1], arc(*p)]) - seen) / u, (chord, rise)).x
        arcs.append(float(arc(*best)))
    assert panel.width.value == pytest.approx(truth[2], abs=1e-6)
    assert panel.width.u == pytest.approx(float(np.std(arcs)), rel=0.03)
    alone = Cylinder(chord=kind.chord, rise=kind.rise, length=Quantity(40.0)).build("board")
    assert panel.width.u < alone.width.u
