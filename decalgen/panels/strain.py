"""What a panel curved both ways asks of flat film: how much strain, where, and what helps.

A disc of film of radius a, laid on a sphere of radius R from its middle, has an edge of 2·pi·a where the sphere has
only 2·pi·R·sin(a/R): it must shrink by 1 - sin x/x, x = a/R. Strain depends on the Gaussian curvature alone (Gauss,
theorema egregium), so a dome of radii R and R' is taken as a sphere of radius sqrt(R·R'). For spherical domes
-ln(1 - strain) is the least distortion of any flat map, ln(x/sin x) (J. Milnor, Amer. Math. Monthly 76:1101, 1969).

There is no published limit for softened waterslide film: the limits here are common practice, no source.
"""

from __future__ import annotations

import math
from typing import Literal

import shapely
from shapely.geometry import LineString, Polygon

from decalgen.core.errors import Finding, Place
from decalgen.core.geometry import Point, circle
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.base import Panel, PanelError
from decalgen.panels.dome import DomeSurface
from decalgen.panels.uncertainty import expanded

StrainAdvice = Literal["none", "softener", "slits", "gores"]

SOFTENER, SLITS, GORES = 0.01, 0.03, 0.08
"""Strain above which each is advised."""
LIMITS: dict[StrainAdvice, float] = {"softener": SOFTENER, "slits": SLITS, "gores": GORES}
"""The same by the advice, rising."""
OVERLAP = 0.3
"""How far both sides of a slit may come to lie over each other at the edge, mm."""


def disc_strain(x: float) -> float:
    """1 - sin x/x, without loss of digits for small x (radians)."""
    return x * x / 6 * (1 - x * x / 20 * (1 - x * x / 42)) if abs(x) < 0.05 else 1 - math.sin(x) / x


def reach(level: float, gauss: float) -> float:
    """How far from its middle film gets before it strains by ``level``, mm, on Gaussian curvature ``gauss``, 1/mm²;
    infinite where nothing is curved both ways."""
    if gauss <= 0:
        return math.inf
    low, high = 0.0, math.pi
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if disc_strain(middle) < level else (low, middle)
    return low / math.sqrt(gauss)


@dataclass(frozen=True)
class Strain:
    """The strain of one decal on a panel curved both ways.

    ``most`` is the largest (a share, with its uncertainty), at the point ``where`` of the flat film, ``distance`` mm
    from the ``middle`` where the film touches first. ``rings`` are the parts of the decal inside which it stays
    below the limits for softener, slits and gores. ``slits`` run from the edge inward; at each the film comes to
    lie ``overlap`` mm over itself (gores: a wedge so wide is cut out).
    """

    most: Quantity
    where: Point
    middle: Point
    distance: float
    advice: StrainAdvice
    rings: tuple[tuple[float, Polygon], ...]
    slits: tuple[LineString, ...] = ()
    overlap: float = 0.0

    @property
    def amount(self) -> str:
        """How much, and where, in words."""
        head = f"strain {self.most.value:.1%} \N{PLUS-MINUS SIGN} {expanded(self.most):.1%}"
        return f"{head}, {self.distance:.1f} mm from the middle, at ({self.where[0]:.1f}, {self.where[1]:.1f})"

    @property
    def remedy(self) -> str:
        """What helps, in words."""
        return _advice(self)

    def __str__(self) -> str:
        return f"{self.amount}: {self.remedy}"

    def findings(self, subject: str, place: Place | None = None) -> tuple[Finding, ...]:
        """A note where softener helps, a warning where the film must be slit."""
        if self.advice == "none":
            return ()
        severity: Literal["note", "warning"] = "note" if self.advice == "softener" else "warning"
        found = (100 * self.most.value, 100 * LIMITS[self.advice], "%")
        return (Finding(severity, f"strain-{self.advice}", subject, self.amount, self.remedy, place, *found),)


def strain(cut: Polygon, panel: Panel) -> Strain | None:
    """The strain of a decal with this cut line in the panel's flat coordinates; None on a panel that flat film fits
    without stretching. Raises `PanelError` for a decal that reaches halfway round its dome."""
    if not isinstance(panel.surface, DomeSurface):
        return None
    gauss = panel.surface.gauss
    middle = cut.centroid
    corners = shapely.get_coordinates(cut.exterior)
    distances = shapely.distance(shapely.points(corners), middle)
    far = int(distances.argmax())
    distance = float(distances[far])
    if distance * math.sqrt(gauss) >= math.pi / 2:
        raise PanelError(
            f"the decal reaches {distance:.2f} mm from its middle, halfway round a dome of "
            f"{1 / math.sqrt(gauss):.2f} mm",
            fix="split the decal into smaller ones",
            place=panel.place,
        )
    value = disc_strain(distance * math.sqrt(gauss))
    most = Quantity(value, 0, _parts(panel, distance))
    advice: StrainAdvice = "none"
    for name, level in LIMITS.items():
        if value > level:
            advice = name
    spot = (float(middle.x), float(middle.y))
    rings = tuple(
        (level, circle(spot, reach(level, gauss)).intersection(cut)) for level in LIMITS.values() if value > level
    )
    slits: tuple[LineString, ...] = ()
    overlap = 0.0
    if advice in ("slits", "gores"):
        excess = 2 * math.pi * distance * value
        count = min(max(4, math.ceil(excess / OVERLAP)), 24)
        slits = _slits(cut, spot, reach(SOFTENER, gauss), count)
        overlap = excess / count
    where = (float(corners[far][0]), float(corners[far][1]))
    return Strain(most, where, spot, distance, advice, rings, slits, overlap)


def _parts(panel: Panel, distance: float) -> tuple[tuple[str, float], ...]:
    """What each reading contributes, from the panel built again with it shifted."""
    if panel.shifted is None:
        return ()
    parts = []
    for name in dict.fromkeys(name for _, quantity in panel.readings for name, _ in quantity.parts):
        ends = []
        for z in (0.1, -0.1):
            surface = panel.shifted({name: z}).surface
            assert isinstance(surface, DomeSurface)
            ends.append(disc_strain(distance * math.sqrt(surface.gauss)))
        if ends[0] != ends[1]:
            parts.append((name, (ends[0] - ends[1]) / 0.2))
    return tuple(parts)


def _slits(cut: Polygon, middle: Point, inner: float, count: int) -> tuple[LineString, ...]:
    """Radial lines from the edge of the decal to where the strain is harmless, the first one straight up."""
    x, y = middle
    x0, y0, x1, y1 = cut.bounds
    far = math.hypot(x1 - x0, y1 - y0)
    found = []
    for i in range(count):
        c, s = math.cos(math.pi / 2 + 2 * math.pi * i / count), math.sin(math.pi / 2 + 2 * math.pi * i / count)
        line = LineString([(x + inner * c, y + inner * s), (x + far * c, y + far * s)]).intersection(cut)
        found += [
            part for part in getattr(line, "geoms", [line]) if isinstance(part, LineString) and part.length > 0.05
        ]
    return tuple(found)


def _advice(strain: Strain) -> str:
    if strain.advice == "none":
        return "lies down by itself"
    if strain.advice == "softener":
        return "use decal softener and press out from the middle"
    if strain.advice == "slits":
        return f"slit the edge in {len(strain.slits)} places before applying, then use softener"
    return (
        f"cut {len(strain.slits)} wedges of {strain.overlap:.2f} mm out of the edge, or split the decal; "
        "film this stiff folds"
    )
