"""What `printers` does: lists where a file can be sent, and what one printer takes."""

from __future__ import annotations

from decalgen.commands.options import Answer, Result
from decalgen.core.command_line import typed
from decalgen.core.errors import PrintingError
from decalgen.core.values import dataclass
from decalgen.workshop.printers.abilities import Abilities
from decalgen.workshop.printers.addresses import EXAMPLE
from decalgen.workshop.printers.client import Patience
from decalgen.workshop.printers.places import (
    FoundPrinter,
    IppPlace,
    QueuePlace,
    found_printers,
    place_of,
    reached,
)
from decalgen.workshop.printers.reasons import reasons

SHORT = Patience(connect=2.0, answer=4.0)
"""A list does not wait long for a printer that is off."""
MOST = 20
"""So many printers of a list are asked what they can."""
AT_ONCE = 10
"""And so many at the same time: one that is off does not hold up the others."""
QUEUE = "only through the computer's queue, which may scale: measure the bars"


@dataclass(frozen=True)
class SurveyedPrinter:
    """A printer that was found. ``able``: what it says it can; None: it was not asked, or why it does not answer is in
    ``trouble``; ``twin``: another one is called the same."""

    found: FoundPrinter
    able: Abilities | None = None
    trouble: PrintingError | None = None
    twin: bool = False

    @property
    def telling(self) -> str:
        """What to type to mean this one and no other."""
        return self.found.telling if self.twin else self.found.name

    @property
    def where(self) -> str:
        """Its model, its note and its address, as far as they are known."""
        return ", ".join(part for part in (self.found.model, self.found.note, str(self.found.address or "")) if part)

    @property
    def verdict(self) -> str:
        """How far it can be trusted with a sheet; empty: it was not asked."""
        if self.found.address is None:
            return QUEUE
        if self.trouble is not None:
            return self.trouble.message
        return verdict(self.able) if self.able else ""


def surveyed() -> list[SurveyedPrinter]:
    """Every printer that is found, each asked what it can, all at the same time."""
    from concurrent.futures import ThreadPoolExecutor

    everything = found_printers()
    named = [one.name.casefold() for one in everything]

    def asked(number: int) -> SurveyedPrinter:
        one = everything[number]
        twin = named.count(named[number]) > 1
        if one.address is None or number >= MOST:
            return SurveyedPrinter(one, twin=twin)
        try:
            return SurveyedPrinter(one, reached(one.address, SHORT).able, twin=twin)
        except PrintingError as error:
            return SurveyedPrinter(one, trouble=error, twin=twin)

    with ThreadPoolExecutor(AT_ONCE) as pool:
        return list(pool.map(asked, range(len(everything))))


def listed() -> Result:
    """Every printer that is found, with how a file reaches it."""
    everything = surveyed()
    if not everything:
        lines = (
            "no printer was found: none is set up on this computer, and none answers on this network",
            f"one that you know the address of can be named: --to {EXAMPLE}",
            "else print with --to dialog, which opens the file and lists what to set",
        )
        return Result((), lines=lines, answer=Answer("found 0 printers", typed(["decalgen", "printers", EXAMPLE])))
    rows = [_row(one) for one in everything]
    done = f"found {len(rows)} printer{'' if len(rows) == 1 else 's'}"
    follow = typed(["decalgen", "proof", "JOB", "--to", everything[0].found.name])
    return Result((), lines=tuple(rows), answer=Answer(done, follow))


def _row(one: SurveyedPrinter) -> str:
    """A line of the list."""
    head = f"'{one.found.name}'" + (f" ({one.where})" if one.where else "")
    head += f", --to {one.telling}" if one.twin else ""
    return f"{head}: {one.verdict}" if one.verdict else head


def verdict(able: Abilities) -> str:
    """How far a printer can be trusted with a sheet, and what keeps it from printing now."""
    if not able.takes_pdf:
        said = "takes no PDF files: only through the print dialog"
    elif able.can_be_told_not_to_scale:
        said = "prints at 100 %"
    else:
        said = "does not say that it can print without scaling: measure the bars"
    now = reasons(able.reasons)
    return f"{said}; now: {now}" if now else said


def shown(named: str) -> Result:
    """What one printer takes. Raises PrintingError."""
    place = place_of(named)
    done = f"asked {place.name}"
    if isinstance(place, IppPlace):
        able = place.able
        rows = [
            f"'{place.name}' ({able.model or 'no model given'}): {verdict(able)}",
            f"address: {place.client.address}",
        ]
        if able.uuid:
            rows.append(f"identity: {able.uuid}")
        for what, found in (
            ("sheets, mm", able.sheets()),
            ("trays, for --tray", able.all("media-source-supported")),
            ("paper types, for --paper-type", able.all("media-type-supported")),
        ):
            if found:
                rows.append(f"{what}: {', '.join(map(str, found))}")
        return Result((), lines=tuple(rows), answer=Answer(done, typed(["decalgen", "proof", "JOB", "--to", named])))
    if isinstance(place, QueuePlace):
        return Result((), lines=(f"'{place.name}': {QUEUE}",), answer=Answer(done, f"lpoptions -p {place.name} -l"))
    return listed()
