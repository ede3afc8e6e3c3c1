"""Content streams: the items of a picture as PDF operators, in millimetres under one matrix.

All numbers of a stream are collected first and formatted in one operation; that is what makes 100 000
outlines a matter of a second.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.document import Contour, Fill, Item, Line, Picture, Use
from decalgen.core.lengths.units import INCH_MM
from decalgen.export.coordinates import (
    PLACE,
    check_colour,
    check_near,
    checked_points,
    number,
    numbers,
    ring_template,
    rings,
)

POINTS = 72 / INCH_MM
"""Points a millimetre."""

MOVE = f"{PLACE} {PLACE} m\n"
LINE = f"{PLACE} {PLACE} l\n"
CLOSE = "h\n"
AT_ONCE = 50_000
"""So many text pieces are formatted at a time, to bound the memory."""

Shower = Callable[[Picture], tuple[str, tuple[tuple[str, str], ...]]]
"""The name of a picture's pixels among the resources, and what must be set before they are shown."""
Painter = Callable[[Fill | Line | Contour], tuple[tuple[str, str], ...]]
"""What must be set before an item is painted: (what, operators). What is in force is not repeated."""


def rgb(colour: str) -> str:
    """Red, green and blue as three numbers from 0 to 1; five decimals give back all 256 steps."""
    return numbers((part / 255 for part in check_colour(colour)), 5)


class Content:
    """A content stream in the making."""

    def __init__(
        self, paint: Painter, place: Callable[[Use], str | None], show: Shower, *, five_sided: bool = False
    ) -> None:
        self._five_sided = five_sided
        self._show = show
        self._paint = paint
        self._place = place
        self._template: list[str] = []
        self._numbers: list[FloatArray] = []
        self._done: list[bytes] = []
        self._state: dict[str, str] = {}

    def text(self, operators: str) -> None:
        """Operators as they stand, on a line of their own."""
        self._template.append(operators.replace("%", "%%") + "\n")

    def items(self, items: Sequence[Item]) -> None:
        """All items in their order."""
        fills = [item for item in items if isinstance(item, Fill)]
        found = rings([fill.region for fill in fills])
        if self._five_sided:
            found = found.five_sided()
        sizes, first, start = found.sizes, found.first, found.start
        template, paint = self._template, self._paint
        fill_at = 0
        since = 0
        in_force: tuple[tuple[str, str], ...] = ()
        look: tuple[str, float] | None = None
        # A look is painted alike each time, so that changing colours cost next to nothing.
        looks: dict[tuple[str, float], tuple[tuple[str, str], ...]] = {}
        texts = {size: ring_template(size, MOVE, LINE, CLOSE) for size in set(sizes)}
        lasts = {size: f"{text}f*\n" for size, text in texts.items()}
        for item in items:
            if isinstance(item, Fill):
                a, b = first[fill_at], first[fill_at + 1]
                fill_at += 1
                if a == b:
                    continue
                if look is None or item.colour != look[0] or item.opacity != look[1]:
                    look = (item.colour, item.opacity)
                    wanted = looks.get(look) or looks.setdefault(look, paint(item))
                    if wanted != in_force:
                        self._set(*wanted)
                        in_force = wanted
                for size in sizes[a : b - 1]:
                    template.append(texts[size])
                template.append(lasts[sizes[b - 1]])
                if len(template) > AT_ONCE:
                    self._numbers.append(found.points[since : start[fill_at]])
                    since = start[fill_at]
                    self._write()
                continue
            self._numbers.append(found.points[since : start[fill_at]])
            since = start[fill_at]
            if isinstance(item, Use):
                operators = self._place(item) or ""
                if operators:
                    self.text(operators)
            elif isinstance(item, Picture):
                self._picture(item)
            else:
                self._line(item)
            in_force, look = (), None
        self._numbers.append(found.points[since:])

    def _picture(self, item: Picture) -> None:
        """Its pixels, clipped to its area."""
        found = rings([item.region])
        if not found.sizes:
            return
        name, wanted = self._show(item)
        self._set(*wanted)
        self.text("q")
        self._template += [ring_template(size, MOVE, LINE, CLOSE) for size in found.sizes]
        self._numbers.append(found.points)
        check_near(item.matrix)
        self.text(f"W* n\n{numbers(item.matrix, 10)} cm\n/{name} Do\nQ")

    def _line(self, item: Line | Contour) -> None:
        points = checked_points(item)
        if len(points) < 2:
            return
        closed = isinstance(item, Contour) or item.closed
        self._set(*self._paint(item), ("width", f"{number(item.width)} w"), ("dash", f"[{numbers(item.dash)}] 0 d"))
        self._template.append(MOVE + LINE * (len(points) - 1) + ("s\n" if closed else "S\n"))
        self._numbers.append(points)

    def _set(self, *wanted: tuple[str, str]) -> None:
        state = self._state
        for what, operators in wanted:
            if state.get(what) != operators:
                state[what] = operators
                self.text(operators)

    def _write(self) -> None:
        if self._template:
            values = np.concatenate(self._numbers).ravel().tolist() if self._numbers else []
            self._done.append(("".join(self._template) % tuple(values)).encode("ascii"))
        self._template.clear()
        self._numbers.clear()

    def data(self) -> bytes:
        """The stream's bytes."""
        self._write()
        return b"".join(self._done)
