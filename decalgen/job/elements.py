"""A list of shapes as a job writes it: each ``- shape name: {its keys, at: …, never mirror: yes}``."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Annotated

from decalgen.core import keys
from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.core.values import dataclass
from decalgen.job.anchors import CENTRE
from decalgen.job.nodes import Listing, Mapping, Node, Scalar
from decalgen.job.old_words import SHAPES, renamed
from decalgen.job.scope import Reads, Told
from decalgen.shapes.base import At, Element
from decalgen.shapes.registry import load, named

MOST_SHAPES = 200


@dataclass(frozen=True)
class Placing:
    """The keys every shape has beside its own."""

    at: Annotated[At, keys.Anchored("where it lies in its box", example="bottom + 0.5 mm")] = CENTRE
    never_mirror: Annotated[bool, keys.Flag("it is not mirrored on the right side")] = False


_KEYS = tuple(spec.key for spec in keys.specs(Placing))


def read_elements(reader: Reads, node: Node, reading: str) -> tuple[Element, ...]:
    """All shapes of a list, one alone, or a group where dashes are left out. Raises `Told` when any is wrong."""
    items = [one for item in (node.items if isinstance(node, Listing) else (node,)) for one in _apart(item)]
    found: list[Element] = []
    wrong = False
    for item in items:
        reader.shapes_left -= 1
        if reader.shapes_left < 0:
            reader.problems.add(f"more than {MOST_SHAPES} shapes in one decal", item.place, "split the decal")
            raise Told
        try:
            found.append(_element(reader, item, reading))
        except Told:
            wrong = True
    if wrong:
        raise Told
    return tuple(found)


def _apart(node: Node) -> Sequence[Node]:
    """A group of several shapes as an item each; anything else as it is."""
    if not isinstance(node, Mapping) or len(node.entries) < 2 or not all(map(named, node.keys())):
        return (node,)
    return [replace(node, entries=(entry,), line=entry[0].line, column=entry[0].column) for entry in node.entries]


def _element(reader: Reads, node: Node, reading: str) -> Element:
    node = reader.scope.substitute(node)
    if isinstance(node, Scalar):
        key, body = node, Mapping((), node.source, node.line, node.column)
    elif isinstance(node, Mapping) and len(node.entries) == 1:
        key, value = node.entries[0]
        body = _body(reader, key, value)
    else:
        reader.problems.add("this needs a shape", node.place, "one shape to an item: - field: {ink: white}")
        raise Told
    kind = named(key.text)
    if kind is None:
        reader.problems.add(f"there is no shape '{key.text[:40]}'", key.place, did_you_mean(key.text, list(load())))
        raise Told
    body = renamed(body, SHAPES.get(key.text, {}), reader.problems)
    own = Mapping(tuple(e for e in body.entries if e[0].text not in _KEYS), body.source, body.line, body.column)
    rest = Mapping(tuple(e for e in body.entries if e[0].text in _KEYS), body.source, body.line, body.column)
    what = f"the shape '{key.text}'"
    placing: Placing | None = None
    with suppress(Told):
        placing = reader.read(Placing, rest, what)
    before = len(reader.untaken)
    shape = reader.read(kind, own, what, reading=reading, also=_KEYS, place=key.place)
    if isinstance(text := getattr(shape, "text", None), tuple):
        reader.untaken[before:] = [f"{name} of '{' '.join(text)}'" for name in reader.untaken[before:]]
    if placing is None:
        raise Told
    return Element(shape, placing.at, placing.never_mirror, key.place)


def _body(reader: Reads, key: Scalar, value: Node) -> Mapping:
    value = reader.scope.substitute(value)
    if isinstance(value, Scalar) and value.empty:
        return Mapping((), value.source, value.line, value.column)
    return reader.mapping(value, f"the shape '{key.text[:40]}'")


def read_face(reader: Reads, node: Scalar) -> str:
    """The name of a face of the job's own, or of a shipped one. Raises `Told`, the mistake noted."""
    from decalgen.lettering.faces import face

    own = reader.faces.find(node.text) if reader.faces else None
    if own is not None:
        return own
    try:
        return face(node.text).name
    except DecalgenError as error:
        from decalgen.job.own_faces import face_fix

        reader.problems.add(error.message, node.place, face_fix(reader, node.text) or error.fix)
        raise Told from None
