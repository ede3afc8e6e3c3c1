"""Does a decal fit its panel: yes, no, or not known until a reading is repeated.

Each clearance gets its uncertainty from the readings behind panel and obstacles together: the panel is built again
with every reading at both ends of its U, and the larger change makes that reading's part (JCGM 100:2008, 5.1.2 and the
note to 5.1.3, beyond first order as in `uncertainty`). A decal is printed as large as it was worked out, whatever its
panel turns out to be, so its own size adds nothing and cancels nothing. Verdicts use U = k·u with k = 2.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Literal

import shapely
from shapely.affinity import translate
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.errors import Finding, Place
from decalgen.core.geometry import TOLERANCE
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.arches import arches, beyond, nameable
from decalgen.panels.base import Panel
from decalgen.panels.clearance import to_obstacle, to_sides
from decalgen.panels.prototype import Prototype
from decalgen.panels.settling import measure_again, settling
from decalgen.panels.uncertainty import COVERAGE, expanded, share, widened
from decalgen.panels.variation import shifted_panel

FitVerdict = Literal["fits", "too big", "not known"]
Towards = Literal["edge", "arch", "obstacle", "gap", "room"]

WAYS = ("spare width", "spare height")


@dataclass(frozen=True)
class Clearance:
    """How far the cut line stays clear of one thing. ``to`` names it: a side ('left', 'side 3'), an obstacle, or
    the spare width or height of the panel as a whole. Its ``amount`` is negative where the decal reaches beyond."""

    to: str
    towards: Towards
    amount: Quantity
    asked: float = 0.0
    """The clearance that an obstacle asks for; ``amount`` is what is left beyond it, mm."""

    @property
    def expanded(self) -> float:
        """U, mm."""
        return expanded(self.amount)

    @property
    def verdict(self) -> FitVerdict:
        """For this alone. Within the tolerance of a flattened curve it touches, and touching fits."""
        if self.amount.value + self.expanded < -TOLERANCE:
            return "too big"
        return "fits" if self.amount.value - self.expanded >= -TOLERANCE else "not known"

    @property
    def surplus(self) -> float:
        """What is left after U, mm."""
        return self.amount.value - self.expanded

    @property
    def label(self) -> str:
        """What it is called: 'left edge', 'shut line gap', 'handle'."""
        if self.towards in ("room", "obstacle") or self.to.endswith(self.towards):
            return self.to
        return f"{self.to} {self.towards}"

    @property
    def figures(self) -> str:
        """'+1.20 ± 0.04 mm'; what rounds to nothing has no minus."""
        return f"{round(self.amount.value, 2) + 0.0:+.2f} \N{PLUS-MINUS SIGN} {self.expanded:.2f} mm"

    def __str__(self) -> str:
        return f"{self.label} {self.figures}"


@dataclass(frozen=True)
class Fit:
    """The verdict on one decal. ``repeat`` is the reading that contributes most to the clearance that decides, and
    ``portion`` its share of that clearance's variance; None where nothing is uncertain."""

    panel: str
    width: Quantity
    height: Quantity
    clearances: tuple[Clearance, ...]
    verdict: FitVerdict
    repeat: str | None = None
    portion: float = 0.0
    prototype: bool = False
    waits: tuple[str, ...] = ()
    """The panel's readings that are still to be taken: nothing is known of the fit until then."""
    covers: bool = True
    """Whether artwork covers the panel, so that film cut along the panel's outline is not bare anywhere."""
    shaped: bool = False
    """Whether the panel's outline is other than its box: film that is an upright rectangle may never suit it."""
    settles: str = ""
    """How finely, or how often, `repeat` would have to be read for a verdict that is not known to be settled."""

    @property
    def tightest(self) -> Clearance:
        """The clearance with least left after U."""
        return min(self.clearances, key=lambda clearance: clearance.surplus)

    def lines(self) -> tuple[str, ...]:
        """The verdict in words, one line each: size, every clearance, what to measure again."""
        sizes = [
            f"{size.value:.2f} \N{PLUS-MINUS SIGN} {expanded(size):.2f} mm {way}"
            for size, way in ((self.width, "wide"), (self.height, "high"))
        ]
        rows = [", ".join(sizes), *(str(clearance) for clearance in self.clearances)]
        last = f"{self.verdict} (expanded uncertainty, k = 2)"
        if self.repeat and self.verdict != "fits":
            last += f"; {measure_again(self.repeat)}: {self.portion:.0%} of the uncertainty"
            last += f" ({self.settles})" if self.settles and self.verdict == "not known" else ""
        return (*rows, last)

    def findings(self, subject: str, place: Place | None = None) -> tuple[Finding, ...]:
        """An error for a decal that is too big, a warning where it is not known; nothing where it fits."""
        if self.verdict == "fits" or self.waits:
            return ()
        tight = self.tightest
        if self.verdict == "too big":
            worst = [item for item in self.clearances if item.verdict == "too big"]
            message = f"does not fit panel '{self.panel}': " + ", ".join(str(item) for item in worst)
            return (
                Finding("error", "fit-too-big", subject, message, _remedy(worst, self.shaped and self.covers), place),
            )
        if self.prototype:
            message = f"not known to fit: panel '{self.panel}' was never measured"
            return (Finding("warning", "fit-not-known", subject, message, "measure the panel", place),)
        message = f"not known to fit panel '{self.panel}': {tight}"
        fix = f"make it {-tight.surplus:.2f} mm smaller there"
        if self.covers and tight.towards in ("edge", "room") and abs(tight.amount.value) < TOLERANCE:
            fix += ", or let it end where the panel does: `cut: panel`"
        if tight.towards == "arch":
            fix += f", or let it be cut along the arch: `cut around: [{tight.to}]`"
        if self.repeat:
            more = f"; {self.settles}" if self.settles else ""
            fix = f"{measure_again(self.repeat)} ({self.portion:.0%} of the uncertainty{more}), or {fix}"
        return (Finding("warning", "fit-not-known", subject, message, fix, place),)


def fit(
    cut: Polygon,
    size: tuple[Quantity, Quantity],
    panel: Panel,
    *,
    anchor: tuple[float, float] = (0.5, 0.5),
    cut_around: Collection[str] = (),
    grown: float | None = None,
) -> Fit:
    """The verdict on a decal with this cut line in the panel's flat coordinates.

    ``size`` is the artwork's width and height, with what the readings leave open in them: only to be told. ``anchor``
    is where it is held to the panel, as shares of width and height (`shapes.base.ANCHORS`): a decal held to the right
    edge moves when the panel turns out wider. ``cut_around`` names obstacles that the decal is cut around or split
    at, and sides that it is cut along; they are no obstacle to its fit. ``grown``: the cut line is the panel's own
    outline, grown by so many mm, and film that reaches over its edge by a little is trimmed there.
    """
    obstacles = [item.name for item in panel.obstacles if item.name not in cut_around]
    along = [side for side in nameable(panel) if side in cut_around]
    base = _clear(cut, panel, obstacles, along)
    parts: dict[str, list[tuple[str, float]]] = {key: [] for key in base}
    own = {name for name, _ in panel.readings}
    for name in reading_names(panel):
        only = [label for label in obstacles if name in own and name.startswith(f"{panel.name}.{label} ")]

        def at(z: float, name: str = name, only: Collection[str] = only) -> dict[str, float]:
            moved = shifted_panel(panel, name, z)
            if grown is None:
                shifted = carried(cut, panel, moved, anchor)
            else:
                shifted = moved.outline.polygon.buffer(grown) if grown > 0 else moved.outline.polygon
            return _clear(shifted, moved, only or obstacles, along, not only)

        for key, part in slopes(base, at).items():
            if abs(part) > 1e-12 and (not only or key in only):
                parts[key].append((name, part))
    asked = {item.name: item.clearance for item in panel.obstacles}
    gaps = {item.name for item in panel.obstacles if item.gap}
    hollow = arches(panel)
    clearances = []
    for key, value in base.items():
        towards: Towards = "room" if key in WAYS else "arch" if key in hollow else "edge"
        if key in asked:
            towards = "gap" if key in gaps else "obstacle"
        amount = Quantity(value, 1, tuple(parts[key]))
        clearances.append(Clearance(key, towards, amount, asked.get(key, 0.0)))
    return _judge(panel, size, tuple(clearances))


def _judge(panel: Panel, size: tuple[Quantity, Quantity], clearances: tuple[Clearance, ...]) -> Fit:
    if panel.unmeasured:
        return Fit(panel.name, *size, (), "not known", waits=panel.unmeasured)
    found = {item.verdict for item in clearances}
    prototype = panel.kind == Prototype.name
    verdict: FitVerdict = "fits"
    if "too big" in found:
        verdict = "too big"
    elif prototype or "not known" in found:
        verdict = "not known"
    deciding = [item for item in clearances if item.verdict == verdict] or list(clearances)
    tight = min(deciding, key=lambda item: item.surplus).amount
    top = share(tight)
    repeat, portion = top or (None, 0.0)
    settles = settling(tight, repeat, dict(panel.readings), TOLERANCE) if repeat else ""
    shaped = panel.outline.polygon.area < panel.outline.polygon.envelope.area * (1 - 1e-3)
    return Fit(panel.name, *size, clearances, verdict, repeat, portion, prototype, shaped=shaped, settles=settles)


def _clear(
    cut: Polygon, panel: Panel, obstacles: Collection[str], along: Collection[str], sides: bool = True
) -> dict[str, float]:
    """Every clearance but that to the sides it is cut ``along``."""
    left: BaseGeometry = cut
    if along:
        left = cut.difference(shapely.union_all(list(beyond(cut, panel, along).values())))
    x0, y0, x1, y1 = left.bounds
    found = to_sides(left, panel.outline, panel.sides) if sides else {}
    for side in along:
        found.pop(side, None)
    found |= {item.name: to_obstacle(cut, item) for item in panel.obstacles if item.name in obstacles}
    return found | {WAYS[0]: panel.width.value - (x1 - x0), WAYS[1]: panel.height.value - (y1 - y0)}


def carried(cut: Polygon, panel: Panel, moved: Panel, anchor: tuple[float, float]) -> Polygon:
    """The cut line where it comes to lie when the panel turns out to be ``moved``."""
    across, up = anchor
    dx = across * (moved.width.value - panel.width.value)
    dy = up * (moved.height.value - panel.height.value)
    return translate(cut, dx, dy) if dx or dy else cut


def slopes(here: Mapping[str, float], at: Callable[[float], Mapping[str, float]]) -> dict[str, float]:
    """The part of a reading in every clearance, from the panel at both ends of that reading's U.

    The larger change counts: a clearance to the nearest of several things has a kink where they tie, and one to an arc
    that is known by its radius bends. Within the tolerance of flattened curves both are alike, and their mean counts.
    """
    above, below = at(COVERAGE), at(-COVERAGE)
    found = {}
    for key in sorted(here.keys() & above.keys() & below.keys()):
        up, down = above[key] - here[key], below[key] - here[key]
        slope = (up - down) / (2 * COVERAGE)
        uneven = abs(up + down) > 2 * TOLERANCE
        found[key] = widened(slope, up, down) if uneven else slope
    return found


def reading_names(panel: Panel) -> tuple[str, ...]:
    quantities = [panel.width, panel.height, *(quantity for _, quantity in panel.readings)]
    return tuple(dict.fromkeys(name for quantity in quantities for name, part in quantity.parts if part))


def _remedy(worst: list[Clearance], along: bool) -> str:
    """What to do about a decal that is too big. ``along``: it may end where its panel does."""
    around = [item.to for item in worst if item.towards == "obstacle"]
    gaps = [item.to for item in worst if item.towards == "gap"]
    rooms = {WAYS[0]: ("narrower", ("left", "right")), WAYS[1]: ("lower", ("bottom", "top"))}
    edges = [item for item in worst if item.towards in ("edge", "arch")]
    advice = []
    for item in (item for item in worst if item.to in rooms):
        word, ends = rooms[item.to]
        uneven = [edge for edge in edges if edge.to in ends and edge.surplus < item.surplus / 2 - 0.005]
        if len(uneven) > 1:
            continue
        advice.append(f"make it {-item.surplus:.2f} mm {word}")
        # That much smaller it fits, but only in the middle.
        if uneven:
            advice[-1] += f" and move it away from {_named(uneven)}"
    # Where the panel narrows both edges of a way are in the way, and moving it off the one runs it over the other.
    for word, ends in rooms.values():
        both = [edge for edge in edges if edge.to in ends]
        if len(both) > 1 and not any(f" mm {word}" in one for one in advice):
            least = sum(-edge.surplus for edge in both)
            wider = {"narrower": "wider", "lower": "higher"}[word]
            advice.append(f"make it at least {least:.2f} mm {word}, or move it where the panel is {wider}")
    if not advice and edges:
        most = max(-item.surplus for item in edges)
        each = " at each" if len(edges) > 1 else ""
        advice.append(f"move it {most:.2f} mm away from {_named(edges)}, or make it that much smaller{each}")
    hollow = [item.to for item in edges if item.towards == "arch"]
    if hollow:
        advice.append(f"or let it be cut along the arch: `cut around: [{', '.join(hollow)}]`")
    elif edges and along:
        advice.append("or let it end where the panel does: `cut: panel`")
    if around:
        advice.append(f"cut it around {' and '.join(around)} (`cut around: [{', '.join(around)}]`), or move it")
    if gaps:
        advice.append(f"split it at {' and '.join(gaps)} (`split at: [{', '.join(gaps)}]`), or move it")
    return "; ".join(advice)


def _named(edges: Sequence[Clearance]) -> str:
    """'the right edge', or 'the side 2 arch and the side 3 edge'."""
    return " and ".join(f"the {item.label}" for item in edges)
