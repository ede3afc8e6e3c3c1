"""Faces side by side: all of them drawn to the measures of an original, the most like first."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from decalgen import look
from decalgen.build import Result, save
from decalgen.errors import DecalgenError
from decalgen.lengths import ExpressionError, length

if TYPE_CHECKING:
    from shapely.geometry import MultiPolygon, Polygon

    from decalgen.lettering.rank import Ranked
    from decalgen.picture import Document

MOST_POINTS = 20_000
"""A tracing has no more corners than this."""


def like(text: str, sizes: dict[str, str | None], traced: Path | None, output: Path | None) -> Result:
    """The faces by likeness to an original. ``sizes``: lengths by name, ``cap height`` among them.

    Raises DecalgenError for sizes that are no lengths or cannot belong together, and for a tracing that is none.
    """
    from decalgen.lettering.measured import Measured
    from decalgen.lettering.rank import rank

    read: dict[str, float] = {}
    for name, value in sizes.items():
        if value is not None:
            try:
                read[name] = length(value).value
            except ExpressionError as error:
                raise DecalgenError(f"the {name}: {error.message}", fix=error.fix) from None
    if "cap height" not in read:
        raise DecalgenError("without a cap height there is nothing to match", fix="add --cap, such as --cap 1.6mm")
    measured = Measured(read["cap height"], read.get("length"), read.get("stem"), read.get("crossbar"))
    ranked = rank(text, measured, outline=None if traced is None else tracing(traced))
    wide = max(len(one.face) for one in ranked)
    lines = [f"{one.face:<{wide}}  {_likeness(one)}" for one in ranked]
    files = save(_side_by_side(text, ranked), output) if output else ()
    return Result(files, lines=tuple(lines))


def _likeness(one: Ranked) -> str:
    bent = f"bent by {one.strain:.0%}"
    return bent if one.overlap is None else f"covers {one.overlap:.0%} of the tracing, {bent}"


def tracing(path: Path) -> Polygon | MultiPolygon:
    """Outlines from a text file: a corner a line, x and y in mm; a blank line ends an outline. One inside another is
    a hole. Moved so that its lower left is the origin. Raises DecalgenError."""
    import math

    import shapely

    from decalgen.geometry import region

    try:
        rows = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        raise DecalgenError(f"the tracing '{path}' cannot be read", fix="give a text file of points") from None
    rings: list[list[tuple[float, float]]] = [[]]
    for number, row in enumerate(rows, 1):
        if not row.strip():
            rings.append([])
            continue
        try:
            x, y = (float(part) for part in row.replace(",", " ").split())
        except ValueError:
            x = math.nan
        if not (math.isfinite(x) and math.isfinite(y)):
            raise DecalgenError(f"{path}:{number}: this is no point", fix="write x and y in mm, such as 1.25 0.80")
        rings[-1].append((x, y))
    if sum(len(ring) for ring in rings) > MOST_POINTS:
        raise DecalgenError(f"the tracing has over {MOST_POINTS} points", fix="trace it more coarsely")
    area: shapely.Geometry = shapely.MultiPolygon()
    for ring in rings:
        if len(ring) >= 3:
            area = area.symmetric_difference(shapely.Polygon(ring).buffer(0))
    if area.is_empty:
        raise DecalgenError(f"the tracing '{path}' holds no outline", fix="give three points or more an outline")
    left, bottom, _, _ = area.bounds
    return region(shapely.affinity.translate(area, -left, -bottom))


def _side_by_side(text: str, ranked: tuple[Ranked, ...]) -> Document:
    from decalgen.geometry import multiply, region, transform, translation
    from decalgen.paperwork import Sheaf
    from decalgen.picture import Document, Fill

    widest = max(one.matched.width for one in ranked)
    scale = min(80.0 / widest, 8.0 / ranked[0].matched.cap_height)
    title = f"Faces like the original of '{text}'"
    rows = -(-len(ranked) // 2)
    sheaf = Sheaf(210.0, 26.0 + 19.0 * rows)
    sheaf.text(12.0, sheaf.height - 14.0, title, look.TYPE_TITLE, bold=True)
    for i, one in enumerate(ranked):
        x = 12.0 + 96.0 * (i // rows)
        y = sheaf.height - 14.0 - 19.0 * (i % rows + 1)
        place = multiply(translation(x, y + 6.0), (scale, 0.0, 0.0, scale, 0.0, 0.0))
        sheaf.items.append(Fill(region(transform(one.matched.region, place)), look.TEXT))
        sheaf.text(x, y, f"{i + 1}. {one.face}: {_likeness(one)}", look.TYPE_SMALL, colour=look.QUIET)
    return Document((sheaf.page(),), title=title)
