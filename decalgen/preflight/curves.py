"""Rules for curves: how far their readings were moved, what they lie on, bends that are too tight for a line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from decalgen.artwork.findings import written_at
from decalgen.core.errors import Finding
from decalgen.job.model import Decal
from decalgen.shapes.base import Element
from decalgen.shapes.curve import DrawnCurve, curve_of, moves_of
from decalgen.shapes.group import inside_groups

TIGHT = 0.8
"""Half a line's width is too much for a bend beyond this share of its radius: common practice, no source."""
MOST_LISTED = 24


def drawn_curves(elements: Sequence[Element]) -> Iterator[tuple[Element, DrawnCurve]]:
    """Every curve among some elements and inside their groups, with the element it stands in."""
    for element in inside_groups(elements):
        if isinstance(element.shape, DrawnCurve):
            yield element, element.shape


def curve_findings(decal: Decal) -> list[Finding]:
    """What is to be known of each curve of a decal."""
    found = []
    for element, drawn in drawn_curves(decal.artwork):
        place = written_at(element.place, decal)
        for rule in (_moved, _likeness, _tight):
            found += [replace(one, subject=decal.name, place=place) for one in rule(drawn)]
    return found


def _moved(drawn: DrawnCurve) -> Iterator[Finding]:
    """How far `within` moved each reading."""
    moves = moves_of(drawn)
    if not any(moves):
        return
    furthest = max(range(len(moves)), key=lambda i: abs(moves[i]))
    message = f"point {furthest + 1} of the curve is moved furthest to make it even, by {abs(moves[furthest]):.3f} mm"
    if len(moves) <= MOST_LISTED:
        each = ", ".join(f"{number}: {move:.3f}" for number, move in enumerate(moves, 1))
        message += f"; all points, in mm to the left as the curve runs: {each}"
    yield Finding("note", "curve-moved", "", message, "")


def _likeness(drawn: DrawnCurve) -> Iterator[Finding]:
    """What all points of a curve lie on, within the ± that is given."""
    from decalgen.core.curves.likeness import likeness

    if drawn.within is None or drawn.corners or drawn.straights or drawn.arcs or drawn.directions:
        return
    found = likeness(drawn.points, drawn.within, drawn.is_closed)
    if found is None:
        return
    fix = ""
    if found.kind == "line":
        fix = "a straight line is surer: keep the first and the last point"
    elif found.kind == "circle" and drawn.is_closed:
        fix = f"a round shape of that size is surer, such as a roundel of {2 * found.radii[0]:.2f} mm"
    elif found.kind == "circle":
        fix = "an arc is surer: keep the first, a middle and the last point"
    yield Finding("note", "curve-likeness", "", found.words, fix)


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
