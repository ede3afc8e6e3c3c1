"""Pages of paper that fill from the top down: a cursor, a new page where the room ends, a head and a foot on each."""

from __future__ import annotations

from dataclasses import field

from decalgen.core import style
from decalgen.core.document import Page
from decalgen.core.lengths.units import POINT_MM
from decalgen.core.values import dataclass
from decalgen.lettering.paper import paper_width, wrap
from decalgen.pages.composer import Sheaf

HEAD = 9.0
"""From the margin to the line under a page's title, mm, where the title is one line."""
LEAST_PAPER = (105.0, 148.0)
"""No page of words is smaller, mm, however small the film."""
FOOT = 5.0
"""Room that a page's foot takes above the margin, mm."""


@dataclass
class Flow:
    """Pages of one size under one title. ``foot`` stands at the lower left of each, its number at the right.

    `y` is the top of what is still free. Only this and the sheafs change; `pages` freezes them.
    """

    width: float
    height: float
    title: str
    foot: str
    sheafs: list[Sheaf] = field(default_factory=list)
    y: float = 0.0

    def __post_init__(self) -> None:
        self.new_page()

    @property
    def sheaf(self) -> Sheaf:
        """The page that is being filled."""
        return self.sheafs[-1]

    @property
    def edge(self) -> float:
        """The margin, mm."""
        return style.margin(self.width, self.height)

    @property
    def inner(self) -> float:
        """Width between the margins, mm."""
        return self.width - 2 * self.edge

    @property
    def floor(self) -> float:
        """The lowest y that a block may reach."""
        return self.edge + FOOT

    @property
    def left(self) -> float:
        """Height that is still free, mm."""
        return self.y - self.floor

    @property
    def whole(self) -> float:
        """Height that is free on a page with nothing on it but its title, mm."""
        return self._top(None) - self.floor

    def new_page(self) -> None:
        """Begins the next page."""
        self.sheafs.append(Sheaf(self.width, self.height))
        self.y = self._top(self.sheaf)

    def _top(self, sheaf: Sheaf | None) -> float:
        """Draws the title, if on a page, and gives the y below it."""
        y = self.height - self.edge - 4.0
        for row in wrap(self.title, style.TYPE_TITLE, self.inner, True):
            if sheaf is not None:
                sheaf.text(self.edge, y, row, style.TYPE_TITLE, bold=True)
            y -= 5.4
        y += 5.4 - 2.4
        if sheaf is not None:
            sheaf.line(((self.edge, y), (self.width - self.edge, y)), style.LINE_CUT)
        return y - 2.6

    def room(self, needed: float) -> bool:
        """Begins a new page where less than ``needed`` mm are free; whether it did."""
        if self.left >= needed or self.left >= self.whole - 0.01:
            return False
        self.new_page()
        return True

    def paragraph(self, text: str, size: float = style.TYPE_REST, *, bold: bool = False) -> None:
        """Wrapped text between the margins, and a little room below it; flows onto the next page by lines."""
        step = size * POINT_MM * style.LEADING
        for row in wrap(text, size, self.inner, bold):
            self.room(step)
            self.sheaf.text(self.edge, self.y - step * 0.75, row, size, bold=bold)
            self.y -= step
        self.y -= 1.0

    def pages(self, first: int = 1, of: int | None = None) -> list[Page]:
        """All pages, each with its foot: numbered from ``first``, ``of`` so many."""
        last = of or first + len(self.sheafs) - 1
        for n, sheaf in enumerate(self.sheafs, start=first):
            number = f"page {n} of {last}"
            room = self.inner - paper_width(number, style.TYPE_SMALL) - 4.0
            left = wrap(self.foot, style.TYPE_SMALL, room)[0]
            y = self.edge + 0.6
            sheaf.text(self.edge, y, left, style.TYPE_SMALL, colour=style.QUIET)
            sheaf.text(self.width - self.edge, y, number, style.TYPE_SMALL, colour=style.QUIET, align="right")
        return [sheaf.page() for sheaf in self.sheafs]
