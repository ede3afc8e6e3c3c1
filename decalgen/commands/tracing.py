"""A tracing of an old word: its outlines read from a text file, and which letter each of them is."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.core.errors import DecalgenError
from decalgen.core.small_files import Wanted, read_small_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry import MultiPolygon

MOST_POINTS = 20_000
"""A tracing has no more corners than this."""
MOST_BYTES = 2_000_000


class _Ring:
    """An outline as it stands in the file, and the line that it begins on."""

    def __init__(self, line: int) -> None:
        self.line = line
        self.points: list[tuple[float, float]] = []


def letter_places(text: str, area: MultiPolygon) -> tuple[tuple[float, float], ...] | None:
    """Left edge and width of each letter in a tracing, mm; None where its outlines are not as many as the letters.

    Outlines over each other, such as an i and its dot, are one letter.
    """
    spans = _spans(area)
    if len(spans) != len("".join(text.split())):
        return None
    return tuple((left, right - left) for left, right in spans)


def _spans(area: MultiPolygon) -> list[list[float]]:
    """From where to where each letter goes, left to right."""
    from decalgen.core.geometry import polygons

    spans: list[list[float]] = []
    for left, right in sorted((part.bounds[0], part.bounds[2]) for part in polygons(area)):
        if spans and left < spans[-1][1] - 0.5 * (right - left):
            spans[-1][1] = max(spans[-1][1], right)
        else:
            spans.append([left, right])
    return spans


def told_missing(text: str, area: MultiPolygon) -> str:
    """That a tracing has fewer or more outlines side by side than its word has letters, and what to do."""
    letters = "".join(text.split())
    found = [(one[0], one[1]) for one in _spans(area)]
    told = f"the tracing has {len(found)} outlines side by side and '{text}' has {len(letters)} letters"
    if len(found) == len(letters) - 1:
        number = _likely_missing(text, found)
        told += f"; most likely letter {number}, '{letters[number - 1]}', is missing or runs into its neighbour"
    return f"{told}: each letter needs an outline of its own. The word was compared as a whole"


def _likely_missing(text: str, found: Sequence[tuple[float, float]]) -> int:
    """The number of the letter without which the middles of the others, as plain lettering has them, lie most like
    those that were traced; both from the first edge to the last."""
    from decalgen.lettering.faces import paper_face
    from decalgen.lettering.typesetting import typeset

    line = typeset(text, face=paper_face().name, cap_height=10.0, ligatures=False)
    plain = [(one.left, one.right) for one in line.letters]

    def spread(spans: Sequence[tuple[float, float]]) -> list[float]:
        first, last = spans[0][0], spans[-1][1]
        return [((a + b) / 2 - first) / (last - first) for a, b in spans]

    traced = spread(found)

    def off(number: int) -> float:
        rest = spread([one for i, one in enumerate(plain) if i != number])
        return sum((a - b) ** 2 for a, b in zip(rest, traced, strict=False))

    return 1 + min(range(len(plain)), key=off)


def tracing(path: Path) -> MultiPolygon:
    """Outlines from a text file: a corner a line, x and y in mm; a blank line ends an outline. One inside another is
    a hole. Moved so that its lower left is the origin.

    Raises DecalgenError, with the line, for what is no point, and for outlines that cross themselves or each other."""
    import shapely

    from decalgen.core.geometry import region

    rings = _rings(path)
    areas = [shapely.Polygon(ring.points).buffer(0) for ring in rings]
    tree = shapely.STRtree(areas)
    crossing = [(a, b) for a, b in tree.query(tree.geometries, predicate="overlaps").T.tolist() if a < b]
    if crossing:
        one, other = (rings[number] for number in min(crossing))
        raise DecalgenError(
            f"{path}:{other.line}: the outline that begins here crosses the one that begins on line {one.line}",
            fix="trace letters apart, and a counter wholly inside its letter",
        )
    area: shapely.Geometry = shapely.MultiPolygon()
    for one_area in areas:
        area = area.symmetric_difference(one_area)
    if area.is_empty:
        raise DecalgenError(f"the tracing '{path}' holds no outline", fix="give three points or more an outline")
    left, bottom, _, _ = area.bounds
    return region(shapely.affinity.translate(area, -left, -bottom))


def _rings(path: Path) -> list[_Ring]:
    from decalgen.core.geometry import fault_of_ring

    wanted = Wanted("give a text file: x and y of a corner in mm on each line, a blank line after each outline")
    rings: list[_Ring] = []
    going_on = False
    for number, row in enumerate(read_small_text(path, MOST_BYTES, wanted).splitlines(), 1):
        if not row.strip():
            going_on = False
            continue
        try:
            x, y = (float(part) for part in row.replace(",", " ").split())
        except ValueError:
            x = math.nan
        if not (math.isfinite(x) and math.isfinite(y)):
            raise DecalgenError(f"{path}:{number}: this is not a point", fix="write x and y in mm, such as 1.25 0.80")
        if not going_on:
            rings.append(_Ring(number))
            going_on = True
        rings[-1].points.append((x, y))
    if sum(len(ring.points) for ring in rings) > MOST_POINTS:
        raise DecalgenError(f"the tracing has over {MOST_POINTS} points", fix="trace it more coarsely")
    whole = [ring for ring in rings if len(ring.points) >= 3]
    for ring in whole:
        fault = fault_of_ring(ring.points)
        if fault.startswith("crosses"):
            fix = "trace round the letter once, without crossing your own line"
            raise DecalgenError(f"{path}:{ring.line}: the outline that begins here {fault}", fix=fix)
    return whole
