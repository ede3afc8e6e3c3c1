"""Plates as plain geometry (mm, y up): the white underlay, traps between inks, one plate an ink.

Regions come in disjoint (knock-out done: the top ink won). What comes out may overlap on purpose: white lies
under ink, a lighter ink runs on under a darker one. Plates are ordered as they are printed, white first.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.colour.value import ColourError
from decalgen.core.errors import Finding, Place
from decalgen.core.geometry import EMPTY, TOLERANCE, Region, arc_steps, region, union
from decalgen.core.values import dataclass

WHITE_PLATE = "White"
"""The name white has in print files (ISO 19593-1 group White)."""

SMALLEST_WHITE = 0.15
"""Thinnest line of white worth printing where the user's printer is not measured, mm (a line at 600 dpi)."""

SEAM = TOLERANCE / 2
"""What is narrower than twice this is a seam between two inks, not an opening, mm."""

_CORNER = 5.0
"""Mitred corners stay sharp down to about 23 degrees; sharper ones are cut off and do not grow long
spikes."""


def _grow(shape: BaseGeometry, by: float) -> BaseGeometry:
    return shape.buffer(by, join_style="mitre", mitre_limit=_CORNER)


def _spread(shape: BaseGeometry, by: float) -> BaseGeometry:
    return shape.buffer(by, quad_segs=arc_steps(by, math.pi / 2))


def _length(name: str, value: float) -> None:
    if not 0 <= value <= 5:
        raise ColourError(f"a {name} of {value:g} mm", fix=f"write a {name} from 0 to 5 mm; 0.15 mm is common")


@dataclass(frozen=True)
class Underlay:
    """White to print first. ``dropped``: the parts of the art that get none, because nothing printable is
    left of them once they are choked; ``findings`` say so."""

    region: MultiPolygon
    dropped: MultiPolygon
    findings: tuple[Finding, ...] = ()


def white_underlay(
    regions: Mapping[str, Region],
    needs: Collection[str],
    whites: Collection[str] = (),
    *,
    without: Collection[str] = (),
    choke: float,
    smallest: float = SMALLEST_WHITE,
    subject: str = "decal",
    place: Place | None = None,
) -> Underlay:
    """The white plate of a decal.

    ``regions``: ink name -> where it shows (disjoint). ``needs``: the inks that want white under them. White lies
    under them and under all other art that they and white enclose, such as letters, and runs on by ``choke`` mm, the
    misregister of the two passes, under art that they touch. It is drawn in by ``choke`` only where the art ends: at
    its outer contour and at real openings, so that no white rim shows. ``without``: inks that must have none under
    them, which count as openings. ``whites``: inks that are white themselves; they print at full size. A stroke thinner
    than 2 x choke + ``smallest`` is dropped, with a finding. Raises ColourError.
    """
    _length("choke", choke)
    _length("smallest line", smallest)
    for name in (*needs, *whites):
        if name not in regions:
            raise ColourError(f"no art is printed in '{name}'", fix="name an ink of this decal")
    visible = union(regions[name] for name in whites)
    wanted = union(regions[name] for name in needs)
    if wanted.is_empty and visible.is_empty:
        return Underlay(EMPTY, EMPTY)
    art = union(area for name, area in regions.items() if name not in without)
    under = _with_enclosed(union([wanted, visible]), art)
    if wanted.is_empty and under.area <= visible.area:
        return Underlay(visible, EMPTY)
    kept = _opened(_drawn_in(art, choke).intersection(_spread(under, choke)), smallest)
    lost = _lost(wanted, union([kept, visible]), choke, smallest)
    findings: tuple[Finding, ...] = ()
    if not lost.is_empty:
        findings = (_drop_finding(subject, lost, choke, smallest, place),)
    return Underlay(union([kept, visible]), lost, findings)


def _with_enclosed(inner: MultiPolygon, art: MultiPolygon) -> MultiPolygon:
    """An area with what of the art lies in its holes."""
    holes = [Polygon(ring) for part in inner.geoms for ring in part.interiors]
    return union([inner, union(holes).intersection(art)]) if holes else inner


def _drawn_in(art: MultiPolygon, choke: float) -> BaseGeometry:
    """Art drawn in from its edge. A seam that rounding leaves between two inks is no edge."""
    return _grow(_grow(art, SEAM), -choke - SEAM)


def _opened(shape: BaseGeometry, smallest: float) -> MultiPolygon:
    """The shape without what is thinner than ``smallest``."""
    if smallest <= 0 or shape.is_empty:
        return region(shape)
    half = smallest / 2 - TOLERANCE / 2  # A line of exactly the smallest width prints.
    core = _grow(shape, -half)
    return region(_grow(core, half).intersection(shape))


def _lost(wanted: MultiPolygon, kept: MultiPolygon, choke: float, smallest: float) -> MultiPolygon:
    """Where art stays without white for good: not the choked rim, which is meant."""
    bare = wanted.difference(_spread(kept, choke * 1.5 + TOLERANCE))
    least = max((2 * choke + smallest) * smallest / 4, 1e-4)
    return MultiPolygon([part for part in region(bare).geoms if part.area >= least])


def _drop_finding(subject: str, lost: MultiPolygon, choke: float, smallest: float, place: Place | None) -> Finding:
    count = len(lost.geoms)
    largest = max(lost.geoms, key=lambda part: part.area).representative_point()
    where = f"{count} places, the largest" if count > 1 else "one place,"
    return Finding(
        "warning",
        "white-dropped",
        subject,
        f"strokes thinner than {2 * choke + smallest:.2f} mm get no white under them: {where} at"
        f" ({largest.x:.1f}, {largest.y:.1f}) mm, {lost.area:.2f} mm² in all",
        "make the strokes thicker, measure a smaller misregister, or use white film",
        place,
        limit=2 * choke + smallest,
        areas=tuple(part.bounds for part in sorted(lost.geoms, key=lambda part: -part.area)[:8]),
    )


def trap(
    regions: Mapping[str, Region], lightness: Mapping[str, float], misregister: float, fixed: Collection[str] = ()
) -> dict[str, MultiPolygon]:
    """Each ink spread under its darker neighbours by ``misregister`` mm, so that no gap opens between them.

    ``lightness``: L* of each ink. The lighter spreads and nothing else changes: outer edges stay, and the
    darker ink, printed above, keeps its shape. Inks of equal lightness: the later one spreads. ``fixed``
    inks (white art, metallics) neither spread nor are spread under. Raises ColourError.
    """
    _length("misregister", misregister)
    missing = [name for name in regions if name not in lightness]
    if missing:
        raise ColourError(f"no lightness is known for '{missing[0]}'", fix="give L* of every ink of the decal")
    free = [name for name in regions if name not in fixed]
    rank = {name: i for i, name in enumerate(sorted(free, key=lambda n: lightness[n]))}
    out: dict[str, MultiPolygon] = {}
    for name, area in regions.items():
        darker = [regions[other] for other in free if name in rank and rank[other] < rank[name]]
        if not darker or misregister <= TOLERANCE:
            out[name] = region(area)
            continue
        under = _spread(area, misregister).intersection(shapely.union_all(darker))
        # Its own shape, and a rim under the darker inks that touch it; a darker ink across a gap is out of
        # reach.
        touching = [part for part in region(under).geoms if part.distance(area) <= TOLERANCE]
        out[name] = union([area, *touching])
    return out


@dataclass(frozen=True)
class Plate:
    """One ink's film, screen or pass; ``order`` counts from 1 as printed."""

    name: str
    ink: str | None
    region: MultiPolygon
    order: int


def plates(
    regions: Mapping[str, Region],
    lightness: Mapping[str, float],
    underlay: Underlay | None = None,
    *,
    whites: Collection[str] = (),
    misregister: float = 0.0,
    fixed: Collection[str] = (),
) -> tuple[Plate, ...]:
    """One plate an ink: white first, then from the lightest ink to the darkest, trapped by ``misregister``
    mm.

    White inks live on the white plate and get none of their own. Registration marks are added by the sheet,
    the same on every plate. Raises ColourError.
    """
    coloured = {name: area for name, area in regions.items() if name not in whites}
    spread = trap(coloured, lightness, misregister, fixed)
    out: list[Plate] = []
    white = underlay.region if underlay else union(regions[name] for name in whites if name in regions)
    if not white.is_empty:
        out.append(Plate(WHITE_PLATE, None, white, 1))
    for name in sorted(spread, key=lambda n: (-lightness[n], n)):
        out.append(Plate(name, name, spread[name], len(out) + 1))
    return tuple(out)


def backing_decal(art: Region, tolerance: float) -> MultiPolygon:
    """The piece to cut from white film and lay under a clear decal, for a printer without white: the art
    drawn in by the cutting ``tolerance`` (mm), so that no white shows. Parts that vanish are left out."""
    _length("cutting tolerance", tolerance)
    return region(_grow(art, -tolerance))
