"""The steps of the card, in the order one walks down, and what lies beside the job: a new screen is its module, its
script and a line here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Protocol

from decalgen.bench.screens import apply, body, check, draw, film, measure, originals, print_film, printer, proof, sheet

if TYPE_CHECKING:
    from decalgen.bench.standing import StepStanding
    from decalgen.bench.workplace import Workplace


class PageStep(Protocol):
    """What a module in `screens` has. It may have ``ACTS`` too: by name what else can be done there, each a function of
    the workplace and of what was asked."""

    NAME: str
    ABOUT: str

    def standing(self, place: Workplace) -> StepStanding:
        """Where the step stands, for the card."""
        ...

    def state(self, place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
        """What it shows, as plain values, its ``opening`` sentence among them."""
        ...


STEPS: Mapping[str, PageStep] = {
    "measure": measure,
    "originals": originals,
    "draw": draw,
    "body": body,
    "check": check,
    "sheet": sheet,
    "proof": proof,
    "print_film": print_film,
    "apply": apply,
}
"""By the name of the screen's file, here and among the scripts of the page."""

BESIDE: Mapping[str, PageStep] = {"film": film, "printer": printer}
"""What lies beside the job, whichever it is: apart on the card, below the steps."""

SCREENS: Mapping[str, PageStep] = {**STEPS, **BESIDE}
