"""What belongs to one piece lies together: its white, its artwork and its cut line, each once, at one place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapely.geometry import LineString, MultiPoint, Polygon

MOST_INK = 3.4
"""No press lays more of four inks on one spot, as a share of one full ink (common practice, no source)."""


@dataclass(frozen=True)
class Placement:
    """A form drawn in a layer: by which object, under which matrix."""

    layer: str | None
    form: tuple[int, int]
    matrix: tuple[float, ...]


def placing(placed: Sequence[Placement]) -> Iterator[str]:
    """A piece's forms stand under one matrix, each once, and copies of one artwork have one cut line.

    Only where cut lines are placed as forms.
    """
    if len(set(placed)) != len(placed):
        yield "register: a form is drawn twice at one place"
    cuts = Counter(one.matrix for one in placed if one.layer == "Cutting")
    for layer in ("White", "Artwork") if cuts else ():
        for matrix, count in Counter(one.matrix for one in placed if one.layer == layer).items():
            if count > cuts[matrix]:
                yield f"register: '{layer}' stands where no cut line does"
    at: dict[tuple[float, ...], set[tuple[int, int]]] = {}
    for one in placed:
        if one.layer == "Cutting":
            at.setdefault(one.matrix, set()).add(one.form)
    lines: dict[tuple[int, int], set[tuple[int, int]]] = {}
    for one in placed:
        if one.layer == "Artwork":
            lines.setdefault(one.form, set()).update(at.get(one.matrix, set()))
    if any(len(forms) > 1 for forms in lines.values()):
        yield "register: copies of one artwork have different cut lines"


Points = Sequence[tuple[float, float]]


def whole(cuts: Sequence[Points], marks: Sequence[Points]) -> Iterator[str]:
    """A closed cut line does not cross itself, and no mark of the sheet stands on a piece."""
    pieces = [Polygon(points) for points in cuts if len(points) > 2]
    if not all(piece.is_valid for piece in pieces):
        yield "line: a cut line crosses itself"
        return
    for points in marks:
        mark = LineString(points) if len(points) > 1 else MultiPoint(points)
        if any(piece.intersects(mark) for piece in pieces):
            yield "register: a mark stands on a piece"
