"""Ways to set lettering other than plain lines: matched, fitted, justified, on an arc, between points, printable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from shapely.affinity import translate
from shapely.geometry import MultiPolygon

from decalgen.core.geometry import Point, region
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.lettering_groups import Arc, Match

if TYPE_CHECKING:
    from decalgen.lettering.measured import Matched
    from decalgen.lettering.outlines import Letter, TextLine
    from decalgen.lettering.printable import Printable


ASSUMED_CAP = 1.5
"""The cap height that lettering is drawn with until it is measured, mm (common practice, no source)."""
ROUNDS, NEAR = 12, 1e-4
"""How often, and to within what, mm, letters on an arc are moved apart."""


@dataclass(frozen=True)
class SetLettering:
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
        raise ShapeError(f"`{key}` takes one line of lettering, not {len(text)}", "make one lettering a line")
    return text[0]


def matched(text: tuple[str, ...], wanted: Match, face: str) -> SetLettering:
    """Drawn to the measures; until the cap height is known, by an assumed one alone, as nothing can be told to go with
    that. Raises `LetteringError` for readings that cannot belong together."""
    from decalgen.lettering.match import match
    from decalgen.lettering.measured import MeasuredLettering

    if wanted.cap_height is None:
        wanted = Match(Quantity(ASSUMED_CAP), slant=wanted.slant)
    assert wanted.cap_height is not None
    sizes = {
        "cap height": wanted.cap_height,
        "length": wanted.length,
        "stem": wanted.stem,
        "crossbar": wanted.crossbar,
    }
    found = match(
        one_line(text, "match"),
        MeasuredLettering(
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
    return SetLettering(
        found.region,
        found.letters,
        found.width,
        found.cap_height,
        found.cap_height,
        found.missing,
        found.borrowed,
        matched=found,
    )


def fitted(text: tuple[str, ...], box: Box, face: str, align: str, axes: Mapping[str, float]) -> SetLettering:
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
    return SetLettering(region(placed), block.letters, box.width, box.height, cap, block.missing, block.borrowed)


def stacked(lines: Sequence[TextLine | None], pitch: float, cap: float, align: str) -> SetLettering:
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
    return SetLettering(
        join([letter.region for letter in letters]),
        tuple(letters),
        width,
        pitch * (len(lines) - 1) + cap,
        cap,
        tuple(dict.fromkeys(c for line in known for c in line.missing)),
        tuple(dict.fromkeys(b for line in known for b in line.borrowed)),
    )


@dataclass(frozen=True)
class Setter:
    """How one line is set: its face and size, and the least stroke and gap it must keep, where it must.

    Lines that keep them are opened for the printer; what a place does to them after that is measured anew.
    """

    face: str
    cap: float
    tracking: float
    axes: tuple[tuple[str, float], ...]
    least: tuple[float, float] | None = None

    def line(self, text: str, ligatures: bool = True) -> tuple[TextLine, Printable | None]:
        """The line, and what was done to open it. Raises `LetteringError`."""
        from decalgen.lettering.printable import printable
        from decalgen.lettering.typesetting import typeset

        axes = dict(self.axes)
        if self.least is None:
            plain = typeset(
                text, face=self.face, cap_height=self.cap, tracking=self.tracking, axes=axes, ligatures=ligatures
            )
            return plain, None
        stroke, gap = self.least
        opened = printable(
            text,
            face=self.face,
            cap_height=self.cap,
            least_stroke=stroke,
            least_gap=gap,
            tracking=self.tracking,
            axes=axes,
        )
        return opened.line, opened

    def found(self, opened: Printable | None, line: TextLine) -> tuple[Printable, ...]:
        """What is left of the openings once the line lies where it belongs."""
        from decalgen.lettering.printable import again

        return () if opened is None or self.least is None else (again(opened, line, *self.least),)


def opened_lines(
    text: tuple[str, ...], setter: Setter, pitch: float, align: str, width: float | None, justify: bool
) -> SetLettering:
    """Lines under each other, each opened by itself or justified to ``width``; else ``width`` is the longest one's."""
    from decalgen.lettering.arrange import WIDEST, spaced, tracked

    if not any(line.strip() for line in text):
        raise ShapeError("the lettering has no text", "write the text, or remove the lettering")
    made = [setter.line(line, ligatures=False) if line.strip() else None for line in text]
    rows = [one[0] if one else None for one in made]
    if justify and width is not None:
        rows = [row and spaced(row, width) for row in rows]
    elif width is not None:
        shares = [(width - row.width) / (len(row.letters) - 1) for row in rows if row and len(row.letters) > 1]
        if not shares:
            raise ShapeError("a single letter cannot be spaced to a width", "leave out `width`")
        if abs(min(shares)) > WIDEST * setter.cap:
            raise ShapeError(f"this lettering cannot be spaced to {width:g} mm", "choose another width or cap height")
        rows = [row and tracked(row, min(shares)) for row in rows]
    done = tuple(
        found for one, row in zip(made, rows, strict=True) if one and row for found in setter.found(one[1], row)
    )
    return replace(stacked(rows, pitch, setter.cap, align), printable=done)


def on_an_arc(text: tuple[str, ...], arc: Arc, setter: Setter) -> SetLettering:
    """Along a circle whose centre is the middle of the extent."""
    from decalgen.lettering.arrange import stood_on_arc, tracked

    line, opened = setter.line(one_line(text, "arc"))
    side = arc.side
    set_on = stood_on_arc(line, arc.radius, side=side)  # type: ignore[arg-type]
    if setter.least is not None:
        # Letters lean together at their feet or their heads: they are moved apart until the nearest are far enough.
        for _ in range(ROUNDS):
            short = setter.least[1] - min((a.region.distance(b.region) for a, b in _apart(set_on.letters)), default=1e9)
            if short <= NEAR:
                break
            line = tracked(line, 1.2 * short + NEAR)
            set_on = stood_on_arc(line, arc.radius, side=side)  # type: ignore[arg-type]
    half = arc.radius + (setter.cap if side == "outside" else 0.0)
    return SetLettering(
        region(translate(set_on.region, half, half)),
        set_on.letters,
        2 * half,
        2 * half,
        setter.cap,
        line.missing,
        line.borrowed,
        touching=set_on.touching,
        printable=setter.found(opened, replace(line, letters=set_on.letters)),
    )


def _apart(letters: Sequence[Letter]) -> list[tuple[Letter, Letter]]:
    """Neighbours that are not meant to touch."""
    from decalgen.lettering.printable import joined_script

    return [] if letters and joined_script(letters[0].face) else list(pairwise(letters))


def between_points(text: tuple[str, ...], start: Point, end: Point, stretch: bool, setter: Setter) -> SetLettering:
    """From one point of the box to another."""
    from decalgen.lettering.arrange import run_between

    line, opened = setter.line(one_line(text, "start"), ligatures=stretch)
    laid = run_between(line, start, end, "stretching" if stretch else "spacing")
    return SetLettering(
        laid.region,
        laid.letters,
        0.0,
        0.0,
        setter.cap,
        line.missing,
        line.borrowed,
        whole=True,
        printable=setter.found(opened, laid),
    )
