"""The printers that were found while the page is open: looked for beside the typing, only when that is asked for."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine, Sequence
from typing import Any, Protocol

from decalgen.bench.faults import as_told, failure
from decalgen.commands.printers import SHORT, SurveyedPrinter, surveyed
from decalgen.core.errors import PrintingError
from decalgen.workshop.printers.addresses import Address, address, is_address
from decalgen.workshop.printers.places import FoundPrinter, reached

MOST_WORD = 300
Survey = Callable[[], Sequence[SurveyedPrinter]]
Then = Callable[[Sequence[SurveyedPrinter]], None]


class BesideTyping(Protocol):
    """What a workplace does beside the typing."""

    results: dict[str, dict[str, Any]]

    def begin(self, work: Coroutine[Any, Any, None], ended: Callable[[], None] = ...) -> None:
        """Starts something; ``ended``: called once it is over."""

    def tell(self, **what: Any) -> None:
        """Says something to every page that listens."""


class PrinterSearch:
    """What was found last. ``looked``: whether it was looked for at all; ``busy``: what is done just now, in words."""

    def __init__(self) -> None:
        self.rows: tuple[SurveyedPrinter, ...] = ()
        self.looked = False
        self.busy = ""

    def row(self, printer: str) -> SurveyedPrinter | None:
        """The printer that is told by this: its identity, its address or its name."""
        return next((one for one in self.rows if printer in (one.found.telling, str(one.found.address))), None)

    def look(self, place: BesideTyping, kept: str) -> None:
        """Looks for printers; ``kept``: the one that was chosen before, which is asked too where it is an address. The
        page is told once that is done."""

        def then(rows: Sequence[SurveyedPrinter]) -> None:
            self.rows, self.looked = tuple(rows), True

        self._beside(place, "looking for printers", lambda: _found(kept), then)

    def ask(self, place: BesideTyping, typed: str, then: Callable[[SurveyedPrinter], None]) -> None:
        """Asks the printer at an address; ``then``: once it has answered. Raises PrintingError for what is no
        address."""
        there = address(typed[:MOST_WORD])

        def added(rows: Sequence[SurveyedPrinter]) -> None:
            (one,) = rows
            others = [row for row in self.rows if row.found.address != one.found.address]
            self.rows, self.looked = (*others, one), True
            then(one)

        self._beside(place, f"asking {there}", lambda: [at_address(there)], added)

    def _beside(self, place: BesideTyping, words: str, work: Survey, then: Then) -> None:
        """Does it beside the typing, one thing at a time."""
        if self.busy:
            return
        self.busy = words
        place.results.pop("printers", None)

        async def run() -> None:
            try:
                then(await asyncio.to_thread(work))
            except Exception as error:
                place.results["printers"] = failure(as_told(error))
            finally:
                self.busy = ""
                place.tell(made="printers")

        place.begin(run(), self._ended)

    def _ended(self) -> None:
        self.busy = ""


def _found(kept: str) -> Sequence[SurveyedPrinter]:
    rows = surveyed()
    if not is_address(kept) or any(str(one.found.address) == kept for one in rows):
        return rows
    try:
        return [*rows, at_address(address(kept))]
    except PrintingError as error:
        return [*rows, SurveyedPrinter(FoundPrinter(kept, address(kept)), trouble=error)]


class PrintDesk:
    """What a job's page knows of its printing. ``turn``: counts the prints that were asked for; ``busy``: whether one
    is at work."""

    def __init__(self) -> None:
        self.search = PrinterSearch()
        self.turn = 0
        self.busy = False


def at_address(there: Address) -> SurveyedPrinter:
    """The printer at an address, told by that alone. Raises PrintingError where none answers."""
    place = reached(there, SHORT)
    return SurveyedPrinter(FoundPrinter(place.name, place.client.address, model=place.able.model), place.able)
