"""What an arrangement is asked for: the films, the printer, and how to nest. A value; mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field

from decalgen.colour.inks import FilmKind
from decalgen.core.values import dataclass
from decalgen.job.model import Film, Printer
from decalgen.nesting.model import NORMAL, Effort, Remnant

GAP = 3.0
"""Between cut lines, mm: room for a knife (common practice: 2 mm), and for a number beside two bleeds."""


@dataclass(frozen=True)
class Plan:
    """``films`` in order of preference; ``printers``: the printer as it is corrected for a film, by the film's name,
    where it is not ``printer`` itself; ``gap``: mm between cut lines; ``hands``: 'both', 'left' or 'right';
    ``remnant``: what to keep free of the film, one large rectangle or a straight strip; ``only``: the pieces of this
    kind of film alone."""

    films: Sequence[Film]
    printer: Printer
    printers: Mapping[str, Printer] = field(default_factory=dict)
    gap: float = GAP
    seed: int = 1
    effort: Effort = NORMAL
    hands: str = "both"
    remnant: Remnant = "rectangle"
    only: FilmKind | None = None

    def printer_for(self, film: Film) -> Printer:
        """The printer as it is corrected for a film."""
        return self.printers.get(film.name, self.printer)
