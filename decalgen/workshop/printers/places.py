"""Where a file can be sent: the printers of this computer and of its network, and the one that a person names."""

from __future__ import annotations

from dataclasses import replace

from decalgen.core.errors import PrintingError
from decalgen.core.values import dataclass
from decalgen.workshop.printers.abilities import WANTED, Abilities
from decalgen.workshop.printers.addresses import EXAMPLE, Address, address, is_address
from decalgen.workshop.printers.client import IppClient, Patience
from decalgen.workshop.printers.multicast import Announced, ask_network
from decalgen.workshop.printers.queues import PrintQueue, queues

BY_HAND = "dialog"
"""The word for the way through the print dialog."""
SHORTEST_IDENTITY = 4
"""So many letters of an identity may be typed for the whole."""


@dataclass(frozen=True)
class FoundPrinter:
    """A printer as it was found. ``address``: its own, None: it has none that takes files as they are; ``queue``: the
    computer's queue for it."""

    name: str
    address: Address | None = None
    uuid: str = ""
    model: str = ""
    note: str = ""
    queue: PrintQueue | None = None

    @property
    def telling(self) -> str:
        """What to type to mean this one and no other."""
        return self.uuid or (str(self.address) if self.address else self.name)


@dataclass(frozen=True)
class IppPlace:
    """A printer that was reached, and what it can."""

    client: IppClient
    able: Abilities

    @property
    def name(self) -> str:
        """What it is called."""
        return self.able.name or str(self.client.address)


@dataclass(frozen=True)
class QueuePlace:
    """A queue of this computer, whose printer has no address of its own."""

    queue: PrintQueue

    @property
    def name(self) -> str:
        """What it is called."""
        return self.queue.name


@dataclass(frozen=True)
class DialogPlace:
    """The print dialog, by hand."""

    name: str = "the print dialog"


Destination = IppPlace | QueuePlace | DialogPlace


def reached(there: Address, patience: Patience | None = None) -> IppPlace:
    """The printer at an address, asked what it can. Raises PrintingError."""
    client = IppClient(there, patience)
    return IppPlace(client, Abilities.of(client.greet(WANTED)))


def found_printers() -> list[FoundPrinter]:
    """All that can be found: the queues of this computer, each with its printer's own address where it has one, and
    the printers that answer on the network and have no queue."""
    known, on_network = queues(), ask_network()
    rows, taken = [], set()
    for queue in known:
        own = _own(queue, on_network)
        if own is None:
            rows.append(FoundPrinter(queue.name, _address_of(queue), queue=queue))
        else:
            taken.add(own)
            rows.append(replace(_of(own), name=queue.name, queue=queue))
    return rows + [_of(one) for one in on_network if one not in taken]


def _of(one: Announced) -> FoundPrinter:
    return FoundPrinter(one.name, one.address, one.uuid, one.model, one.note)


def _address_of(queue: PrintQueue) -> Address | None:
    """The address of a queue's printer, where it is one that speaks IPP; None where it has only its name on the
    network, which no host answers to."""
    if not queue.device.startswith(("ipp://", "ipps://")) or "._tcp.local" in queue.device:
        return None
    try:
        return address(queue.device)
    except PrintingError:
        return None


def _own(queue: PrintQueue, on_network: list[Announced]) -> Announced | None:
    """The printer on the network that a queue stands for, by its identity, its address or its name there."""
    from urllib.parse import unquote

    device, there = unquote(queue.device).lower(), _address_of(queue)
    for one in on_network:
        if one.uuid and one.uuid in device:
            return one
        if there and (one.address.host, one.address.port) == (there.host, there.port):
            return one
    named = [one for one in on_network if f"//{one.name.lower()}._ipp" in device]
    return named[0] if len(named) == 1 else None


def place_of(named: str, patience: Patience | None = None) -> Destination:
    """The place that a person names: an address, a printer's name, the first letters of its identity, or 'dialog'.
    Where no printer is found at all it is the print dialog. Raises PrintingError where none or several are meant, or
    the printer does not answer."""
    word = named.strip()
    if word.casefold() == BY_HAND:
        return DialogPlace()
    if is_address(word):
        return reached(address(word), patience)
    everything = found_printers()
    if not everything:
        return DialogPlace()
    one = meant(word, everything)
    if one.address is not None:
        return reached(one.address, patience)
    assert one.queue is not None
    return QueuePlace(one.queue)


def meant(word: str, everything: list[FoundPrinter]) -> FoundPrinter:
    """The printer of that name or identity. Raises PrintingError where there is none, or several."""
    plainly = " ".join(word.split()).casefold()
    found = [one for one in everything if " ".join(one.name.split()).casefold() == plainly]
    if not found and len(plainly) >= SHORTEST_IDENTITY:
        found = [one for one in everything if one.uuid.startswith(plainly)]
    if len(found) == 1:
        return found[0]
    if not found:
        names = "; ".join(f"'{one.name}'" for one in everything[:12])
        raise PrintingError(
            f"no printer '{word[:60]}' was found",
            fix=f"name one of: {names}; or its address, such as {EXAMPLE}; or dialog, to print by hand",
        )
    rows = "; ".join(f"{one.telling} ({one.note or one.model or one.address or 'a queue'})" for one in found)
    raise PrintingError(f"{len(found)} printers are called '{word[:60]}'", fix=f"say which, after --to: {rows}")
