"""The shapes that a decal's own list of artwork holds. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from decalgen.job.model import Decal
from decalgen.shapes.base import Element

SHAPE_DEPTH = 5
"""So many steps lead from the top of a file to the keys of a shape."""


class OwnShape(NamedTuple):
    """A shape of a decal's own list: its number there, from 0; what the file says of it; what that reads as."""

    number: int
    item: Mapping[str, Any]
    element: Element


def own_shapes(decal: Decal, group: Mapping[str, Any]) -> Iterator[OwnShape]:
    """The shapes that a decal's own list holds, not those of its layout or inside a group. ``group``: the decal's keys
    and values; nothing where the decal was read from another text."""
    artwork = group.get("artwork")
    items = artwork if isinstance(artwork, list) else []
    if len(items) != len(decal.artwork):
        return
    for number, (item, element) in enumerate(zip(items, decal.artwork, strict=True)):
        if isinstance(item, dict):
            yield OwnShape(number, item, element)
