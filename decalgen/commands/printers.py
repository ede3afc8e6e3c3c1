"""What `printers` does: lists where a file can be sent, and what one printer takes."""

from __future__ import annotations

from decalgen.commands.options import Answer, Result
from decalgen.core.command_line import typed
from decalgen.core.errors import PrintingError
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
QUEUE = "only through the computer's queue, which may scale: measure the bars"


def listed() -> Result:
    """Every printer that is found, with how a file reaches it."""
    everything = found_printers()
    if not everything:
        lines = (
            "no printer was found: none is set up on this computer, and none answers on this network",
            f"one that you know the address of can be named: --to {EXAMPLE}",
            "else print with --to dialog, which opens the file and lists what to set",
        )
        return Result((), lines=lines, answer=Answer("found 0 printers", typed(["decalgen", "printers", EXAMPLE])))
    named = [one.name.casefold() for one in everything]
    rows = [_row(one, named.count(one.name.casefold()) > 1, asked=n < MOST) for n, one in enumerate(everything)]
    done = f"found {len(rows)} printer{'' if len(rows) == 1 else 's'}"
    follow = typed(["decalgen", "proof", "JOB", "--to", everything[0].name])
    return Result((), lines=tuple(rows), answer=Answer(done, follow))


def _row(one: FoundPrinter, twin: bool, asked: bool) -> str:
    """A line of the list. ``twin``: another printer is called the same."""
    where = ", ".join(part for part in (one.model, one.note, str(one.address or "")) if part)
    head = f"'{one.name}'" + (f" ({where})" if where else "") + (f", --to {one.telling}" if twin else "")
    if one.address is None:
        return f"{head}: {QUEUE}"
    if not asked:
        return head
    try:
        able = reached(one.address, SHORT).able
    except PrintingError as error:
        return f"{head}: {error.message}"
    return f"{head}: {_verdict(able)}"


def _verdict(able: Abilities) -> str:
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
            f"'{place.name}' ({able.model or 'no model given'}): {_verdict(able)}",
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
