"""Ways to set lettering other than plain lines: matched, fitted, justified, on an arc, between points, printable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapely.affinity import translate
from shapely.geometry import MultiPolygon

from decalgen.geometry import region
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.lettering_groups import Arc, Match

if TYPE_CHECKING:
    from decalgen.lettering.measured import Matched
    from decalgen.lettering.outlines import Letter, Line
    from decalgen.lettering.printable import Printable

Point = tuple[float, float]


@dataclass(frozen=True)
class Setting:
    """Lettering set, mm, in its extent of ``width`` by ``height``; ``whole``: it takes the box it is put in."""

    region: MultiPolygon
    letters: tuple[Letter, ...]
    width: float
    height: float
    cap_height: float
    missing: tuple[str, ...] = ()
    borrowed: tuple[tuple[str, str], ...] = ()
    matched: Matched | None = None
    printable: tuple[Printable, ...] = ()
    touching: tuple[str, ...] = ()
    whole: bool = False


def one_line(text: tuple[str, ...], key: str) -> str:
    """The only line. Raises `ShapeError` for several."""
    if len(text) != 1:
        raise ShapeError(
            f"`{key}` takes one line of lettering, and {len(text)} stand here", "make one lettering a line"
        )
    return text[0]


def matched(text: tuple[str, ...], wanted: Match, face: str) -> Setting:
    """Drawn to the measures. Raises `LetteringError` for readings that cannot belong together."""
    from decalgen.lettering.match import match
    from decalgen.lettering.measured import Measured

    sizes = {
        "cap height": wanted.cap_height,
        "length": wanted.length,
        "stem": wanted.stem,
        "crossbar": wanted.crossbar,
    }
    found = match(
        one_line(text, "match"),
        Measured(
            cap_height=wanted.cap_height.value,
            length=wanted.length.value if wanted.length else None,
            stem=wanted.stem.value if wanted.stem else None,
            crossbar=wanted.crossbar.value if wanted.crossbar else None,
            slant=wanted.slant,
            letters=wanted.letters,
            uncertainty=tuple((name, q.expanded()) for name, q in sizes.items() if q is not None and q.u > 0),
        ),
        face,
    )
    return Setting(
        found.region,
        found.letters,
        found.width,
        found.cap_height,
        found.cap_height,
        found.missing,
        found.borrowed,
        matched=found,
    )


def fitted(text: tuple[str, ...], box: Box, face: str, align: str, axes: Mapping[str, float]) -> Setting:
    """As large as the box holds, accents and tails included, in the middle of it."""
    from decalgen.lettering.arrange import fit

    block = fit(
        text,
        box.width,
        box.height,
        face=face,
        align=align,  # type: ignore[arg-type]
        axes=axes,
    )
    x0, y0, x1, y1 = block.region.bounds
    placed = translate(block.region, (box.width - x0 - x1) / 2, (box.height - y0 - y1) / 2)
    cap = block.lines[0].cap_height
    return Setting(region(placed), block.letters, box.width, box.height, cap, block.missing, block.borrowed)


def stacked(lines: Sequence[Line | None], pitch: float, cap: float, align: str) -> Setting:
    """Lines already set, one under the other; None leaves its room."""
    from decalgen.lettering.outlines import join, moved

    width = max(line.width for line in lines if line is not None)
    share = {"left": 0.0, "centre": 0.5, "right": 1.0}[align]
    letters: list[Letter] = []
    for row, line in enumerate(lines):
        if line is not None:
            up = pitch * (len(lines) - 1 - row)
            letters += [moved(letter, (width - line.width) * share, up) for letter in line.letters]
    known = [line for line in lines if line is not None]
    return Setting(
        join([letter.region for letter in letters]),
        tuple(letters),
        width,
        pitch * (len(lines) - 1) + cap,
        cap,
        tuple(dict.fromkeys(c for line in known for c in line.missing)),
        tuple(dict.fromkeys(b for line in known for b in line.borrowed)),
    )


def on_an_arc(
    text: tuple[str, ...], arc: Arc, cap: float, tracking: float, face: str, axes: Mapping[str, float]
) -> Setting:
    """Along a circle whose centre is the middle of the extent."""
    from decalgen.lettering.arrange import on_arc
    from decalgen.lettering.outlines import typeset

    line = one_line(text, "arc")
    set_on = on_arc(
        line,
        arc.radius,
        face=face,
        cap_height=cap,
        side=arc.side,  # type: ignore[arg-type]
        tracking=tracking,
        axes=axes,
    )
    half = arc.radius + (cap if arc.side == "outside" else 0.0)
    plain = typeset(line, face=face, cap_height=cap, tracking=tracking, axes=axes)
    return Setting(
        region(translate(set_on.region, half, half)),
        set_on.letters,
        2 * half,
        2 * half,
        cap,
        plain.missing,
        plain.borrowed,
        touching=set_on.touching,
    )


def between_points(
    text: tuple[str, ...], start: Point, end: Point, cap: float, stretch: bool, face: str, axes: Mapping[str, float]
) -> Setting:
    """From one point of the box to another."""
    from decalgen.lettering.arrange import between
    from decalgen.lettering.outlines import typeset

    line = one_line(text, "start")
    by = "stretching" if stretch else "spacing"
    area = between(line, start, end, face=face, cap_height=cap, by=by, axes=axes)  # type: ignore[arg-type]
    plain = typeset(line, face=face, cap_height=cap, axes=axes)
    return Setting(area, (), 0.0, 0.0, cap, plain.missing, plain.borrowed, whole=True)
