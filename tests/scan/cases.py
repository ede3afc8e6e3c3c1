"""Cases for reading scans, drawn at random: a pattern with what is true of it, and its scan."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tests.scan.scans import (
    Faults,
    MadeScan,
    Pattern,
    bands,
    checks,
    chevrons,
    cross,
    plate,
    roundel,
    scan_of,
    slanted,
    star,
)

COLOURS = ["#1f7f86", "#7a1f2b", "#1d2b4a", "#c9a227", "#4c6b3a", "#b5502e", "#2b2b2b"]
PALE = ["#f4efe0", "#e9d9b0", "#d7e3e6"]
KINDS = ("checks", "stripes", "rectangle", "roundel")
RARER = ("slanted stripes", "chevrons", "cross", "star")


@dataclass
class Case:
    """``truth``: values by the names that readings have."""

    kind: str
    truth: dict[str, float]
    scan: MadeScan
    gone: float


def case(rng: np.random.Generator, number: int, dpi: float = 0.0, kinds: tuple[str, ...] = KINDS) -> Case:
    """One case; the kinds come in turn."""
    kind = kinds[number % len(kinds)]
    pattern, size, inks, truth = _PATTERNS[kind](rng)
    dpi = dpi or float(rng.choice([150, 200, 300, 300, 300, 400, 600]))
    faults = Faults(
        torn=float(rng.choice([0.0, rng.uniform(0, 0.3), rng.uniform(0, 0.3), rng.uniform(0.3, 0.5)])),
        yellow=float(rng.uniform(0, 0.8)),
        fade=float(rng.uniform(0, 0.3)),
        scratches=int(rng.integers(0, 4)),
        noise=float(rng.uniform(0.5, 2.5)),
        blur=float(rng.uniform(0.4, 0.9)),
        stretch=(1 + float(rng.uniform(-0.005, 0.005)), 1 + float(rng.uniform(-0.005, 0.005))),
        jitter=float(rng.uniform(0.001, 0.006)),
        turn=float(rng.uniform(-6, 6)),
        jpeg=bool(rng.random() < 0.3),
    )
    made = scan_of(pattern, size, inks, faults, dpi, int(rng.integers(1 << 30)))
    return Case(kind, truth, made, made.gone)


Drawn = tuple[Pattern, tuple[float, float], list[str], dict[str, float]]


def _checks(rng: np.random.Generator) -> Drawn:
    rows, columns = int(rng.integers(2, 5)), int(rng.integers(4, 14))
    cell = (float(rng.uniform(1.2, 3.2)), 0.0)
    cell = (cell[0], cell[0] * float(rng.choice([1.0, 1.0, rng.uniform(0.7, 1.3)])))
    size = (columns * cell[0], rows * cell[1])
    truth = {"cell width": cell[0], "cell height": cell[1], "columns": columns, "rows": rows}
    inks = [str(rng.choice(COLOURS)), str(rng.choice(PALE))]
    return checks(rows, columns, cell, int(rng.integers(2))), size, inks, {**truth, "width": size[0], "height": size[1]}


def _stripes(rng: np.random.Generator) -> Drawn:
    count = int(rng.integers(2, 5))
    widths = [float(w) for w in rng.uniform(0.8, 3.0, count)]
    length = float(rng.uniform(15, 40))
    upright = bool(rng.random() < 0.4)
    edges = [0.0, *(float(e) for e in np.cumsum(widths))]
    # Neighbours that a person would tell apart, faded too.
    colours = [str(one) for one in rng.permutation(COLOURS)[:count]]
    colours[1::2] = [str(rng.choice(PALE)) for _ in colours[1::2]]
    order = widths if upright else widths[::-1]
    truth = {f"stripe {n} width": w for n, w in enumerate(order, 1)}
    size = (edges[-1], length) if upright else (length, edges[-1])
    return bands(edges, list(range(count)), upright), size, colours, {**truth, "width": size[0], "height": size[1]}


def _rectangle(rng: np.random.Generator) -> Drawn:
    size = (float(rng.uniform(10, 30)), float(rng.uniform(6, 14)))
    radius = float(rng.choice([0.0, rng.uniform(1.0, 2.5)]))
    truth = {"width": size[0], "height": size[1]}
    return plate(size, max(radius, 1e-6)), size, [str(rng.choice(COLOURS))], truth


def _roundel(rng: np.random.Generator) -> Drawn:
    outer = float(rng.uniform(4, 10))
    radii = [outer, outer * float(rng.uniform(0.55, 0.75)), outer * float(rng.uniform(0.2, 0.4))][
        : int(rng.integers(1, 4))
    ]
    colours = [str(one) for one in rng.permutation(COLOURS)[:3]]
    colours[1] = str(rng.choice(PALE))
    truth = {("diameter" if n == 0 else f"diameter {n + 1}"): 2 * r for n, r in enumerate(radii)}
    return roundel((outer, outer), radii, list(range(len(radii)))), (2 * outer, 2 * outer), colours, truth


def _two(rng: np.random.Generator) -> list[str]:
    """A dark ink and a pale one, or one of the other colours that a person would tell from it."""
    dark = str(rng.choice(["#1d2b4a", "#2b2b2b", "#7a1f2b"]))
    return [dark, str(rng.choice([*PALE, "#c9a227"]))]


def _slanted(rng: np.random.Generator) -> Drawn:
    size = (float(rng.uniform(14, 36)), float(rng.uniform(4, 11)))
    wide = float(rng.uniform(1.0, 2.6))
    pitch = wide + float(rng.choice([wide, rng.uniform(1.0, 2.6)]))
    angle, shift = float(rng.choice([rng.uniform(18, 82), rng.uniform(98, 162)])), float(rng.uniform(-0.4, 0.4))
    truth = {"stripe width": wide, "pitch": pitch, "shift": shift, "width": size[0], "height": size[1]}
    return slanted(size, angle, pitch, wide, shift), size, _two(rng), truth


def _chevrons(rng: np.random.Generator) -> Drawn:
    size = (float(rng.uniform(14, 30)), float(rng.uniform(5, 11)))
    points = str(rng.choice(["up", "down", "left", "right"]))
    wide = float(rng.uniform(1.0, 2.4))
    widths = (wide, float(rng.choice([wide, rng.uniform(1.0, 2.4)])))
    angle, shift = float(rng.uniform(25, 65)), float(rng.uniform(-0.4, 0.4))
    truth = {"stripe width": wide, "gap": widths[1], "shift": shift, "width": size[0], "height": size[1]}
    return chevrons(size, points, angle, widths, shift), size, _two(rng), truth


def _cross(rng: np.random.Generator) -> Drawn:
    size = (float(rng.uniform(12, 26)), float(rng.uniform(8, 15)))
    wide, edge = float(rng.uniform(1.4, 3.2)), float(rng.choice([0.0, rng.uniform(0.6, 1.0)]))
    where = int(rng.integers(3))
    middle = None if where == 0 else (size[0] * float(rng.uniform(0.35, 0.65)), size[1] * float(rng.uniform(0.4, 0.6)))
    edge = 0.0 if where == 2 else edge
    dark, other = [str(one) for one in rng.permutation(["#1d2b4a", "#7a1f2b", "#1f7f86", "#c9a227"])[:2]]
    inks = [dark, str(rng.choice(PALE)), other]
    truth = {"arm width": wide, "width": size[0], "height": size[1]}
    truth |= {} if middle is None else {"centre x": middle[0], "centre y": middle[1]}
    truth |= {"edge width": edge} if edge else {}
    return cross(size, middle, wide, edge, -1 if where == 2 else 2), size, inks, truth


def _star(rng: np.random.Generator) -> Drawn:
    radius, points = float(rng.uniform(4, 10)), int(rng.choice([5, 5, 6, 7, 8]))
    straight = math.cos(2 * math.pi / points) / math.cos(math.pi / points)
    inner = radius * float(rng.choice([straight, rng.uniform(0.4, 0.65)]))
    truth = {"points": points, "diameter": 2 * radius, "inner diameter": 2 * inner}
    made = star(radius, inner, points, float(rng.uniform(0, 360 / points)))
    return made, (2 * radius, 2 * radius), _two(rng)[:1], truth


_PATTERNS = {
    "checks": _checks,
    "stripes": _stripes,
    "rectangle": _rectangle,
    "roundel": _roundel,
    "slanted stripes": _slanted,
    "chevrons": _chevrons,
    "cross": _cross,
    "star": _star,
}
