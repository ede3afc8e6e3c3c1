"""Sizes read off an original that is to be drawn again: its lettering."""

from __future__ import annotations

from typing import Any

from decalgen.core.lengths import Quantity
from decalgen.job.nodes import Node
from decalgen.job.scope import Reads


def original_size(reader: Reads, found: Any, node: Node, reading: str) -> Quantity | None:
    """One value of all readings of a size, as `panels.readings.settle` takes them; None where it is still to be taken,
    and the reader is told. Raises InstrumentError."""
    from decalgen.panels.readings import Reading, settle

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
