"""Ways to set lettering other than plain lines: matched, fitted, justified, between points, printable; which keys go
together."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from shapely.affinity import translate
from shapely.geometry import MultiPolygon

from decalgen.core.geometry import Point, region
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.lettering_groups import Match

if TYPE_CHECKING:
    from decalgen.lettering.along import Opened
    from decalgen.lettering.measured import Matched
    from decalgen.lettering.outlines import Letter, TextLine
    from decalgen.lettering.printable import Printable


ASSUMED_CAP = 1.5
"""The cap height that lettering is drawn with until it is measured, mm (common practice, no source)."""


@dataclass(frozen=True)
class SetLettering:
    """Lettering set, mm, in its extent of ``width`` by ``height``; ``whole``: it takes the box it is put in.

    Of letters turned along a curve: ``opened``, the pairs that were moved apart because they came too near, and
    ``tightest``, the least radius of the hollow bends that they stand in.
    """

    region: MultiPolygon
    letters: tuple[Letter, ...]
    width: float
    height: float
    cap_height: float
    missing: tuple[str, ...] = ()
    borrowed: tuple[tuple[str, str], ...] = ()
    matched: Matched | None = None
    printable: tuple[Printable, ...] = ()
    whole: bool = False
    opened: tuple[Opened, ...] = ()
    tightest: float = math.inf


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
    measured = MeasuredLettering(
        cap_height=wanted.cap_height.value,
        length=wanted.length.value if wanted.length else None,
        stem=wanted.stem.value if wanted.stem else None,
        crossbar=wanted.crossbar.value if wanted.crossbar else None,
        slant=wanted.slant,
        letters=wanted.letters,
        uncertainty=tuple((name, q.expanded()) for name, q in sizes.items() if q is not None and q.u > 0),
    )
    words = one_line(text, "match")
    if wanted.faces:
        from decalgen.lettering.by_letter import match_by_letter

        found = match_by_letter(words, measured, wanted.faces)
    else:
        found = match(words, measured, face)
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


def fitted(
    text: tuple[str, ...], box: Box, face: str, align: str, axes: Mapping[str, float], slant: float = 0.0
) -> SetLettering:
    """As large as the box holds, accents and tails included, in the middle of it."""
    from decalgen.lettering.arrange import fit

    block = fit(
        text,
        box.width,
        box.height,
        face=face,
        align=align,  # type: ignore[arg-type]
        axes=axes,
        slant=slant,
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
    least_gap: float = 0.0
    slant: float = 0.0

    @property
    def gap(self) -> tuple[float, bool]:
        """How near letters on a curve may come to each other, mm, and whether that holds for those that are nearer on a
        straight line, too: for letters opened for the printer it does."""
        return (self.least[1], True) if self.least else (self.least_gap, False)

    def line(self, text: str, ligatures: bool = True) -> tuple[TextLine, Printable | None]:
        """The line, and what was done to open it. Raises `LetteringError`."""
        from decalgen.lettering.printable import printable
        from decalgen.lettering.typesetting import typeset

        axes = dict(self.axes)
        if self.least is None:
            plain = typeset(
                text,
                face=self.face,
                cap_height=self.cap,
                tracking=self.tracking,
                axes=axes,
                ligatures=ligatures,
                slant=self.slant,
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
            slant=self.slant,
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


def check_keys(one: Any) -> None:
    """Raises `ShapeError` for keys of the lettering ``one`` that contradict each other or need another."""
    if one.width is not None and one.tracking and not one.arc:
        raise ShapeError("the lettering has both a width and a tracking", "give only one of them")
    given = ways(one)
    if len(given) > 1 and given != ["fit", "arc"]:
        raise ShapeError(f"the lettering has {' and '.join(f'`{g}`' for g in given)}", "give only one of them")
    _check_size(one, given)
    _check_beside(one, given)
    _check_arc(one)


def ways(one: Any) -> list[str]:
    """The keys given that each are a way of their own to set a lettering."""
    every = {
        "match": one.match is not None,
        "fit": one.fit,
        "justify": one.justify,
        "arc": one.arc is not None,
        "along": one.along is not None,
        "start and end": one.start is not None or one.end is not None,
    }
    return [key for key, is_given in every.items() if is_given]


def _check_size(one: Any, given: list[str]) -> None:
    if one.compensate and one.match:
        raise ShapeError(
            "`match` draws strokes as they were measured, and `compensate` would change them",
            "leave `compensate` out, or give a stem and a crossbar that the printer holds as readings",
        )
    if one.compensate and one.fit:
        raise ShapeError(
            "`fit` looks for the size, and `compensate` needs it",
            "give a `cap height` instead of `fit`, or leave `compensate` out",
        )
    if one.match or one.fit:
        if one.cap_height is not None:
            raise ShapeError(f"with `{given[0]}` the lettering has no `cap height` of its own", "leave it out")
    elif one.cap_height is None:
        raise ShapeError("the lettering has no `cap height`", "add the height of a capital H, such as 2 mm")
    if one.fit and (one.width is None or one.height is None):
        raise ShapeError("`fit` needs the box to fill", "add `width` and `height`")
    if one.height is not None and not one.fit and not one.arc:
        raise ShapeError("a `height` goes with `fit` and `arc` only", "add `fit: yes`, or leave the height out")


def _check_beside(one: Any, given: list[str]) -> None:
    points = one.start is not None or one.end is not None
    if one.justify and one.width is None:
        raise ShapeError("`justify` needs a width", "add `width`")
    if one.width is not None and given and given[0] not in ("fit", "justify", "arc"):
        raise ShapeError(f"`width` does not go with `{given[0]}`", "leave one of them out")
    if one.tracking and given and given[0] not in ("arc", "along"):
        raise ShapeError(f"`tracking` does not go with `{given[0]}`", "leave one of them out")
    if one.line_pitch is not None and given and given[0] != "justify":
        raise ShapeError(f"`line pitch` does not go with `{given[0]}`", "leave it out")
    if one.match and one.slant:
        raise ShapeError("`slant` does not go with `match`, which has one of its own", "write `slant` under `match`")
    if one.match and one.axes:
        raise ShapeError("`match` finds the settings of the face itself", "leave out `axes`")
    if points and (one.start is None or one.end is None):
        raise ShapeError("lettering between two points needs both", "add `start` and `end`")
    if one.stretch and not points:
        raise ShapeError("`stretch` goes with `start` and `end`", "add both points, or leave it out")
    if one.reversed and (one.outline or one.inline or one.shadow or points or one.arc or one.along):
        raise ShapeError(
            "`reversed` does not go with an outline, inline, shadow, arc, curve or two points",
            "draw a `field` under the lettering instead",
        )


def _check_arc(one: Any) -> None:
    """An arc is known by its radius, its rise, or the box of its word."""
    if one.bend != "turned" and not (one.arc or one.along):
        raise ShapeError("`bend` goes with `arc` and `along`", "add one of them, or leave `bend` out")
    if one.arc is None:
        return
    known = [key for key in ("radius", "rise") if getattr(one.arc, key) is not None]
    if one.width is not None or one.height is not None:
        bent = one.arc.rise is not None and (one.bend != "turned" or one.arc.rise == 0)
        if known and (not bent or one.arc.head_rise is not None):
            fix = f"leave out `width` and `height`, or the {known[0]}"
            if one.arc.head_rise is not None:
                fix = "leave out `width` and `height`, or, with bend: fan or upright, the `head rise`"
                fix += ": the heads then rise until the word is as high as its box"
            raise ShapeError(f"the lettering has both a box and an arc with a {known[0]}", fix)
        if one.width is None or one.height is None:
            raise ShapeError("the box of an arched word needs `width` and `height`", "add both, or a rise to its `arc`")
    elif not known:
        raise ShapeError("the arc has no radius", "add a radius or a rise to it, or `width` and `height` for its box")
    elif one.arc.rise == 0 and not one.arc.head_rise:
        raise ShapeError("the arc does not rise", "give a rise over 0 mm, or remove `arc`")
