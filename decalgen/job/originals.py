"""Sizes read off an original that is to be drawn again: its lettering."""

from __future__ import annotations

from typing import TYPE_CHECKING

from decalgen.core import keys
from decalgen.core.lengths import Quantity

if TYPE_CHECKING:
    from decalgen.job.nodes import Node
    from decalgen.job.reader import Reader


def original_size(reader: Reader, kind: keys.Taken, node: Node, reading: str) -> Quantity | None:
    """One value of all readings of a size; None where it is still to be taken, and the reader is told. Raises `Told`,
    and InstrumentError."""
    from decalgen.panels.readings import Reading, settle

    found = reader.readings(kind, node, reading)
    first = found[0] if isinstance(found, tuple) else found
    if isinstance(first, Reading) and first.open:
        reader.untaken.append(reading.rpartition(".")[2])
        return None
    if isinstance(found, Quantity):
        # One that may be worked out from others stays as it is.
        return found
    value = settle(found, reading, subject=reading.partition(".")[0], place=node.place)
    reader.problems.notes += [one for one in value.findings if one not in reader.problems.notes]
    return value.quantity
