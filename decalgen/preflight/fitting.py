"""How a decal fits its panel: size, every clearance and its verdict, strain, sections too narrow to handle.

A decal that runs across a gap it is not split at is laid over and slit when dry: such a gap is told, and is no
obstacle to the fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.affinity import translate

from decalgen.artwork.build import Artwork
from decalgen.artwork.findings import shortened
from decalgen.artwork.on_panel import corner_on, on_panel
from decalgen.core.errors import Area, Finding
from decalgen.core.geometry import SLIVER, polygons, union
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.job.model import Decal, Job
from decalgen.panels.base import Panel
from decalgen.panels.fit import Clearance, Fit, fit
from decalgen.panels.sections import section_findings, sections
from decalgen.panels.settling import reading_called
from decalgen.panels.strain import Strain, strain
from decalgen.panels.uncertainty import expanded
from decalgen.preflight.bare_film import LEAST
from decalgen.preflight.features import areas_of
from decalgen.shapes.base import ANCHORS, Box

ADDED = 0.02
"""A cut line along the panel's outline adds no more clear film than this part of the panel."""
ACROSS = SLIVER
"""An overlap larger than this, mm², is more than touching."""
SLIT_ADVICE = "lay it down along its slits from the middle, then use softener"


@dataclass(frozen=True)
class Fitting:
    """One hand of a decal on its panel. ``title`` is the decal with its hand, ``cut`` its cut line in the panel's
    flat coordinates before anything is taken out, ``across`` the gaps it runs over."""

    title: str
    decal: Decal
    cut: shapely.Polygon
    fit: Fit
    strain: Strain | None
    across: tuple[str, ...]
    findings: tuple[Finding, ...]
    parts: int = 1
    """How many sections it comes in."""
    slits: int = 0
    """In how many places the film is slit by cut lines."""
    cut_off: bool = False
    """Whether lettering reaches out of the decal itself, so that film that fits is of no use."""

    @property
    def verdict(self) -> str:
        """What is said of it in one word or two: that of the film, but never that it fits while lettering is lost."""
        if not self.cut_off:
            return self.fit.verdict
        return "lettering cut off" if self.fit.verdict == "fits" else f"{self.fit.verdict}, lettering cut off"

    @property
    def bent(self) -> str:
        """The strain, where, and what helps, in words; '' on a panel that does not strain film."""
        if self.strain is None:
            return ""
        slit = self.slits and _slit_enough(self.strain, self.decal)
        return f"{self.strain.amount}: {SLIT_ADVICE if slit else self.strain.remedy}"

    def lines(self) -> tuple[str, ...]:
        """What a check prints of it: a head with the verdict, then a row each."""
        sizes = f"{_plus(self.fit.width)} mm wide, {_plus(self.fit.height)} mm high"
        rows = [f"  {self.title}, on {self.fit.panel}: {self.verdict}", f"    {'size':<24} {sizes}"]
        if self.fit.waits:
            rows.append(f"    {'waits for':<24} {', '.join(self.fit.waits)}; sizes are assumed until then")
        for item in in_order(self.fit.clearances):
            note = "" if item.verdict == "fits" else f"  {item.verdict}"
            rows.append(f"    {item.label:<24} {item.figures}{note}")
        for name in self.across:
            rows.append(f"    {name if name.endswith('gap') else name + ' gap':<24} runs across it")
        if self.slits:
            rows.append(f"    {'slit':<24} {_slit_where(self.decal)}, {self.slits} cut lines")
        said = (
            ("cut around", self.decal.cut_around),
            ("split at", self.decal.split_at),
            ("laid over", self.decal.over),
        )
        for word, names in said:
            if names:
                rows.append(f"    {word:<24} {', '.join(names)}")
        if self.strain is not None:
            rows.append(f"    {'film':<24} {self.bent}")
        if self.fit.prototype:
            rows.append(f"    {'measure':<24} the panel itself: these sizes come from the full-size vehicle")
        elif self.fit.repeat:
            what = reading_called(self.fit.repeat)
            unknown = self.fit.verdict == "not known"
            word = "measure again" if unknown else "largest uncertainty"
            rows.append(f"    {word:<24} {what} ({self.fit.portion:.0%} of the tightest clearance's)")
            if unknown and self.fit.settles:
                rows.append(f"    {'how finely':<24} {self.fit.settles}")
        if self.decal.note:
            rows.append(f"    {'note':<24} {' '.join(self.decal.note.split())}")
        return tuple(rows)


def fitting(parts: Sequence[Artwork], decal: Decal, job: Job) -> Fitting:
    """The fit of one hand of a decal; ``parts`` are its sections, or itself alone. Raises `PanelError` for film that
    would reach halfway round a dome."""
    art = parts[0]
    panel, at = on_panel(job, decal, art.hand)
    x, y = corner_on(panel, at, Box(art.width, art.height))
    cut = translate(art.uncut, x, y)
    across = tuple(
        item.name
        for item in panel.obstacles
        if item.gap and item.name not in decal.taken_out and cut.intersection(item.outline.polygon).area > ACROSS
    )
    title = f"{art.decal.name}, {art.hand}" if art.hand else art.decal.name
    found = fit(
        cut,
        (decal.width, decal.height),
        panel,
        anchor=ANCHORS[at.anchor],
        cut_around=(*decal.taken_out, *across),
        grown=art.margin if decal.cut.kind == "panel" else None,
    )
    if decal.unmeasured:
        # Film may fit, but nobody knows yet what will be printed on it.
        found = replace(found, clearances=(), verdict="not known", waits=(*found.waits, *decal.unmeasured), repeat=None)
    if found.verdict != "fits":
        # It is only told what to do about a decal that does not fit.
        found = replace(found, covers=_covers(parts, decal, panel, cut, (x, y)))
    bends = [strain(translate(part.cut_polygon, x, y), panel) for part in parts]
    worst = max((item for item in bends if item is not None), key=lambda item: item.most.value, default=None)
    over = _Over(cut, panel, x, y, tuple(parts))
    findings = [over.covered(over.named(over.marked(finding, found))) for finding in _fit_findings(found, title, decal)]
    whole = [name for name in across if name not in decal.slits]
    if whole:
        named = " and ".join(f"'{name}'" for name in whole)
        findings.append(
            Finding(
                "note",
                "across-gap",
                title,
                f"runs across {named} of panel '{panel.name}'",
                _across(whole, decal, panel, cut),
                decal.place,
            )
        )
    for part, item in zip(parts, bends, strict=True):
        findings += _bent(item, part, decal) if item is not None else ()
    cuts = sum(len(part.slits) for part in parts)
    if decal.taken_out:
        findings += section_findings(sections(cut, panel, decal.taken_out), title, decal.place)
    lost = any(finding.code == "lettering-cut-off" for part in parts for finding in part.findings)
    return Fitting(title, decal, cut, found, worst, across, tuple(findings), len(parts), cuts, lost)


def _across(whole: Sequence[str], decal: Decal, panel: Panel, cut: shapely.Polygon) -> str:
    """What to do where film runs across gaps: only a gap with a line along its middle can be slit, and sections too
    narrow to handle are not advised."""
    ways = []
    parted = (*decal.taken_out, *whole)
    if not section_findings(sections(cut, panel, parted), decal.name):
        ways.append(f"`split at: [{', '.join((*decal.split_at, *whole))}]`")
    if all(item.middle for item in panel.obstacles if item.name in whole):
        ways.append(f"`slits: [{', '.join((*decal.slits, *whole))}]`")
    return "slit it there when dry" + (f", or add {' or '.join(ways)}" if ways else "")


def _covers(
    parts: Sequence[Artwork], decal: Decal, panel: Panel, cut: shapely.Polygon, at: tuple[float, float]
) -> bool:
    """Whether a cut line along the panel's outline would add no film but what artwork covers; on clear film, next to
    none."""
    if decal.margin:
        return False
    outline = panel.outline.polygon
    if parts[0].film == "clear":
        return bool(outline.difference(cut).area <= ADDED * outline.area)
    areas = [*(one.region for part in parts for one in part.printed), *(part.bare for part in parts)]
    if outline.area - sum(area.area for area in areas) >= LEAST:
        # Too little is drawn, however it lies; to unite it all costs far more than to see that.
        return False
    drawn = union(areas)
    return bool(outline.difference(translate(drawn, *at)).area < LEAST)


def _bent(item: Strain, part: Artwork, decal: Decal) -> list[Finding]:
    """The finding on strain: what slits it has is no longer a warning; what it lacks can be had as cut lines."""
    found = []
    for one in item.findings(part.name, decal.place):
        if part.slits and _slit_enough(item, decal):
            one = replace(one, severity="note", fix=SLIT_ADVICE)
        elif item.slits and not decal.slit_as_advised:
            what = f"makes the {'slits cut lines' if item.advice == 'slits' else 'middle of each wedge a cut line'}"
            one = replace(one, fix=f"{one.fix}; `slits: as advised` {what}")
        found.append(one)
    return found


def _slit_enough(item: Strain, decal: Decal) -> bool:
    """Whether slits as cut lines are where the strain calls for them: those along a shut line alone are not."""
    return item.advice == "slits" and decal.slit_as_advised


def _slit_where(decal: Decal) -> str:
    where = [f"along {' and '.join(decal.slits)}"] if decal.slits else []
    return " and ".join([*where, *(["where advised"] if decal.slit_as_advised else [])])


@dataclass(frozen=True)
class _Over:
    """Where a cut line reaches beyond its panel or lies on obstacles, in the artwork's coordinates."""

    cut: shapely.Polygon
    panel: Panel
    x: float
    y: float
    parts: tuple[Artwork, ...]

    def named(self, finding: Finding) -> Finding:
        """What reaches over the panel's edge called by its name: artwork, bare margin or cut line; and the words of
        lettering that lie there."""
        if finding.code != "off-panel":
            return finding
        margin, outline = self.parts[0].margin, self.panel.outline.polygon
        what, fix = "its cut line", finding.fix
        if margin > 0:
            artwork = self.cut.buffer(-margin, join_style="mitre")
            what = "its artwork"
            if artwork.difference(outline).area <= ACROSS:
                what = f"the bare margin of {margin:.2f} mm round its artwork"
                fix = f"write a smaller `margin`; or {fix}"
        words = []
        for part in self.parts:
            for letters in part.letters:
                beyond = translate(letters.region, self.x, self.y).difference(outline)
                if letters.words and beyond.area > ACROSS:
                    words.append(f"'{shortened(letters.words)}'")
        lost = f"; {' and '.join(dict.fromkeys(words))} reaches over the edge" if words else ""
        return replace(finding, message=f"{what} {finding.message}{lost}", fix=fix)

    def marked(self, finding: Finding, found: Fit) -> Finding:
        """A finding of the fit with the clearance that decides, and where it is to be seen."""
        on = finding.code == "on-obstacle"
        those = [item for item in found.clearances if (item.towards in ("obstacle", "gap")) == on]
        tight = min(those or found.clearances, key=lambda item: item.surplus)
        return replace(finding, measured=tight.amount.value, limit=0.0, areas=self._areas(finding.code))

    def covered(self, finding: Finding) -> Finding:
        """Where one obstacle leaves no film beside it, cutting around it is no way out."""
        if finding.code != "on-obstacle":
            return finding
        for item in self.panel.obstacles:
            if self.cut.difference(item.outline.polygon.buffer(item.clearance)).area <= ACROSS:
                fix = f"move it, or check the size, position and clearance of {item.name}: it covers the whole decal"
                return replace(finding, fix=fix)
        return finding

    def _areas(self, code: str) -> tuple[Area, ...]:
        if code == "off-panel":
            parts = [self.cut.difference(self.panel.outline.polygon)]
        else:
            grown = [item.outline.polygon.buffer(item.clearance) for item in self.panel.obstacles]
            parts = [self.cut.intersection(one) for one in grown]
        # A line along an edge that rounding leaves is no place.
        areas = [one for part in parts for one in polygons(part) if one.area > ACROSS]
        return areas_of([translate(one, -self.x, -self.y) for one in areas])


def _fit_findings(found: Fit, title: str, decal: Decal) -> list[Finding]:
    """The fit's findings, what reaches over an edge told from what lies on an obstacle: film can be trimmed round a
    handle by hand, so that is no more than a warning."""
    if found.verdict != "too big":
        return [_beside(item, decal) for item in found.findings(title, decal.place)]
    result = []
    on = tuple(item for item in found.clearances if item.towards in ("obstacle", "gap"))
    for part, code in ((tuple(item for item in found.clearances if item not in on), "off-panel"), (on, "on-obstacle")):
        if not any(item.verdict == "too big" for item in part):
            continue
        for item in replace(found, clearances=part).findings(title, decal.place):
            item = _beside(item, decal)
            if code == "off-panel":
                result.append(replace(item, code=code))
                continue
            over = ", ".join(
                f"'{one.to}' on panel '{found.panel}' by {_overlap(one)}" for one in on if one.verdict == "too big"
            )
            message = f"overlaps {over}, clearance included"
            result.append(replace(item, code=code, severity="warning", message=message))
    return result


def _overlap(item: Clearance) -> str:
    return f"{-item.amount.value:.2f} \N{PLUS-MINUS SIGN} {item.expanded:.2f} mm"


def _beside(finding: Finding, decal: Decal) -> Finding:
    """A finding whose lists name what the decal's own lists hold already: a key stands once, and nothing is lost."""
    fix = finding.fix
    for key, names in (("cut around", decal.cut_around), ("split at", decal.split_at)):
        if names:
            fix = fix.replace(f"`{key}: [", f"`{key}: [{', '.join(names)}, ")
    return replace(finding, fix=fix)


def in_order(clearances: Sequence[Clearance]) -> list[Clearance]:
    """Sides first, always in one order; then the room, then what lies on the panel as the job lists it."""
    return sorted(clearances, key=_order)


def _order(item: Clearance) -> tuple[int, str]:
    sides = ("left", "right", "bottom", "top")
    if item.towards in ("edge", "arch"):
        return (sides.index(item.to), "") if item.to in sides else (4, item.to)
    return ({"room": 5}.get(item.towards, 6), "")


def _plus(size: Quantity) -> str:
    return f"{size.value:.2f} \N{PLUS-MINUS SIGN} {expanded(size):.2f}"
