"""Where something lies, as a job writes it: an anchor, an anchor and a step, or the lower left corner.

``at: top`` · ``at: bottom + 0.5 mm`` (a step is up or to the right) · ``at: [2 mm, 1 mm]`` (the lower left
corner) · ``at: {anchor: top left, offset: [1 mm, -1 mm]}``.
"""

from __future__ import annotations

import re
from typing import Annotated, Any

from decalgen.core import keys
from decalgen.core.errors import did_you_mean
from decalgen.core.lengths import ExpressionError, length
from decalgen.core.names import british
from decalgen.core.values import dataclass
from decalgen.job.nodes import Listing, Mapping, Node, Scalar
from decalgen.job.scope import Reads, Told
from decalgen.shapes.base import ANCHORS, At

CENTRE = At()
_OFFSET = keys.Two("to the right and up", of=keys.Length(), example=("0 mm", "0.5 mm"))


@dataclass(frozen=True)
class AtEntry:
    """The long form."""

    anchor: Annotated[str, keys.Choice("the point of both that coincides", tuple(ANCHORS), example="bottom")] = "centre"
    offset: Annotated[tuple[float, float], _OFFSET] = (0.0, 0.0)


def read_at(reader: Reads, node: Node, reading: str) -> At:
    """A place in any of its forms. Raises `Told`."""
    if isinstance(node, Listing):
        dx, dy = reader.value(_OFFSET, node, reading, "at")
        return At("bottom left", dx, dy)
    if isinstance(node, Mapping):
        entry = reader.read(AtEntry, node, "'at'", reading=reading)
        return _at(entry.anchor, *entry.offset)
    return _short(reader, node)


def _at(anchor: Any, dx: float = 0.0, dy: float = 0.0) -> At:
    return At(anchor, dx, dy)


def _short(reader: Reads, node: Scalar) -> At:
    split = re.search(r"[-+\u2212]", node.text)
    end = split.start() if split else len(node.text)
    anchor = british(node.text[:end].strip())
    if anchor not in ANCHORS:
        turned = " ".join(reversed(anchor.split()))
        fix = f"did you mean '{turned}'?" if turned in ANCHORS else did_you_mean(anchor, list(ANCHORS))
        if not anchor or any(c.isdigit() for c in anchor):
            fix = "write an anchor, such as bottom + 0.5 mm, or [2 mm, 1 mm] for the lower left corner"
        message = f"'{anchor or node.text}' is not an anchor"
        reader.problems.add(message, node.inside(0, max(1, len(anchor))), fix)
        raise Told
    if not split:
        return _at(anchor)
    step = node.text[end:].strip()
    if anchor not in ("top", "bottom", "left", "right"):
        x, y = (f"{step.lstrip('+ ')}", "0 mm")
        fix = f"say both ways: {{anchor: {anchor}, offset: [{x}, {y}]}}"
        reader.problems.add(f"from '{anchor}' a step could go two ways", node.inside(end, len(step)), fix)
        raise Told
    try:
        found = length(node.text[end:], reader.scope).value
        reader.scope.note_names(node, end)
    except ExpressionError as error:
        reader.problems.add(error.message, node.inside(end + error.start, error.length), error.fix)
        raise Told from None
    return _at(anchor, 0.0, found) if anchor in ("top", "bottom") else _at(anchor, found, 0.0)
