"""Rules for curves and bands: how far readings were moved, what they lie on, bends too tight, what leaves its decal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from decalgen.artwork.edge_band import EdgeBand
from decalgen.artwork.findings import locate
from decalgen.artwork.on_panel import along_edges
from decalgen.core.curves.side_findings import moved_finding, side_findings
from decalgen.core.errors import Finding
from decalgen.job.model import Decal, Job
from decalgen.preflight.leaving import leaving_band, leaving_curve
from decalgen.shapes.band import BandLine, DrawnBand, lanes_of, runs_of
from decalgen.shapes.base import Box
from decalgen.shapes.coursed import Coursed, course_of, curve_of, moves_of
from decalgen.shapes.curve import DrawnCurve
from decalgen.shapes.group import inside_groups
from decalgen.shapes.outline import DrawnOutline, Hole, curved_sides, rises_of
from decalgen.shapes.pieces import EDGE

TIGHT = 0.8
"""Half a line's width is too much for a bend beyond this share of its radius: common practice, no source."""


def curve_findings(decal: Decal, job: Job) -> list[Finding]:
    """What is to be known of each curve and band of a decal."""
    found: list[Finding] = []
    box = Box(decal.width.value, decal.height.value)
    artwork = along_edges(job, decal, box)
    for element in inside_groups(artwork):
        drawn = element.shape
        told: list[Finding] = []
        if isinstance(drawn, DrawnCurve):
            told = [*course_findings(drawn), *_tight(drawn)]
            told += leaving_curve(drawn, box) if element in artwork else ()
        elif isinstance(drawn, DrawnBand) and drawn.points:
            runs = runs_of(drawn)
            told = [*course_findings(drawn), *_folds(drawn, runs)]
            told += leaving_band(drawn, runs[0], box) if drawn.in_place and element in artwork else ()
        elif isinstance(drawn, DrawnOutline):
            rings: tuple[DrawnOutline | Hole, ...] = (drawn, *drawn.holes)
            told = [one for ring in rings for one in side_findings(ring.points, rises_of(ring), curved_sides(ring))]
        elif isinstance(drawn, EdgeBand):
            told = [*_folds(drawn.band, drawn.runs)]
            told += [one for run in drawn.runs for one in leaving_band(drawn.band, run, box)]
        found += locate(told, element, decal)
    return found


def course_findings(drawn: Coursed) -> list[Finding]:
    """What is to be known of the points of any curve."""
    return [*moved_finding(moves_of(drawn), "curve"), *_likeness(drawn), *_sharp(drawn)]


def _likeness(drawn: Coursed) -> Iterator[Finding]:
    """What the points of a curve, or some that follow each other, lie on within the ± that is given."""
    from decalgen.core.curves.likeness import likeness

    if drawn.within is None:
        return
    told = drawn.corners or drawn.straights or drawn.arcs or drawn.directions
    found = None if told else likeness(drawn.points, drawn.within, drawn.is_closed)
    if found is None:
        yield from _like_runs(drawn, drawn.within)
        return
    fix = ""
    if found.kind == "line":
        fix = "a straight line is surer: keep the first and the last point"
    elif found.kind == "circle" and drawn.is_closed:
        fix = f"a round shape of that size is surer, such as a roundel of {2 * found.radii[0]:.2f} mm"
    elif found.kind == "circle":
        fix = "an arc is surer: keep the first, a middle and the last point"
    yield Finding("note", "curve-likeness", "", found.words, fix)


def _like_runs(drawn: Coursed, within: float) -> Iterator[Finding]:
    """Straights and arcs that are told nowhere, between corners and what is told."""
    from decalgen.core.curves.likeness import like_runs

    ends = {*drawn.corners, *(int(number) for number, _ in drawn.directions)}
    taken = {*drawn.straights, *drawn.arcs, *(number + 1 for number in drawn.arcs)}
    last = max(ends | taken, default=0)
    first = 1
    for number in range(1, len(drawn.points) + 1):
        if number not in ends | taken and number < len(drawn.points):
            continue
        for run in like_runs(drawn.points[first - 1 : number], within) if number - first > 2 else ():
            a, b = first + run.first, first + run.last
            key, kept = ("straights", f"{a} and {b}")
            if run.found.kind == "circle":
                key, kept = ("arcs", f"{a}, {(a + b) // 2} and {b}")
            yield Finding(
                "note",
                "curve-likeness",
                "",
                run.found.words_of(f"points {a} to {b}"),
                f"surer: of these keep points {kept}, and add {a} to `{key}`"
                + ("; the points after them get other numbers" if last > b else ""),
            )
        first = number if number not in taken else number + 1


def _sharp(drawn: Coursed) -> Iterator[Finding]:
    """Points that look like corners."""
    from decalgen.core.curves.course import sharp_turns

    for number, turn in sharp_turns(course_of(drawn)):
        yield Finding(
            "warning",
            "sharp-turn",
            "",
            f"point {number} turns by {turn:.0f} degrees: is it a corner?",
            f"add {number} to `corners`, or measure another point beside it",
            None,
            turn,
            120.0,
            "degrees",
        )


def _tight(drawn: DrawnCurve) -> Iterator[Finding]:
    """A line whose inner edge runs together in a bend."""
    if drawn.line_width is None:
        return
    curve = curve_of(drawn)
    radius, along = min(curve.least_radius(True), curve.least_radius(False))
    if drawn.line_width / 2 > TIGHT * radius:
        yield Finding(
            "warning",
            "tight-bend",
            "",
            f"a line of {drawn.line_width:.2f} mm bends round {radius:.2f} mm, {along:.1f} mm along it from its first "
            "point, where its inner edge runs together",
            "make the line narrower, or measure more points in that bend",
        )


def _folds(band: DrawnBand, runs: Sequence[BandLine]) -> Iterator[Finding]:
    """A band whose inner edge runs together in a bend."""
    worst = (TIGHT, 0.0, 0.0, 0.0)
    for run in runs:
        curve = run.curve
        lanes = lanes_of(band, curve.length)
        along = np.unique(np.concatenate((curve.starts, lanes.widths.along)).clip(0.0, curve.length))
        far = lanes.at(along)
        # A bend changes at the end of a piece: both sides of it count.
        for bends in (curve.curvatures(along), curve.curvatures(along - EDGE)):
            reach = np.where(bends > 0, far.max(axis=1), -far.min(axis=1)) * np.abs(bends)
            at = int(reach.argmax())
            if reach[at] > worst[0]:
                side = float(far[at].max() if bends[at] > 0 else -far[at].min())
                worst = float(reach[at]), side, 1 / abs(float(bends[at])), float(along[at])
    _, side, radius, along_mm = worst
    if side:
        yield Finding(
            "warning",
            "tight-bend",
            "",
            f"the band reaches {side:.2f} mm into a bend round {radius:.2f} mm, {along_mm:.1f} mm along it, where its "
            "inner edge runs together",
            "make the band narrower there, or bring it to the other side of its line with `distance`",
            None,
            radius,
            side / TIGHT,
            "mm",
        )
