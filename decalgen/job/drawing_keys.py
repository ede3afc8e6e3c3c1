"""The keys of a drawing and a picture that no other shape has: their files, and the ink for each colour of a
drawing."""

from __future__ import annotations

from typing import Any

from decalgen.core import keys
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData
from decalgen.core.svg.text import DrawingText
from decalgen.job.examples import example, shown
from decalgen.job.nodes import Node, Scalar
from decalgen.job.scope import Reads, Told


def read_of_drawing(reader: Reads, kind: keys.Key, node: Node, reading: str) -> Any:
    """Whichever of them a key is. Raises `Told`."""
    if isinstance(kind, keys.InkTable):
        return read_ink_table(reader, node, reading)
    return read_own_file(reader, kind, node)


def read_own_file(reader: Reads, kind: keys.Key, node: Node) -> DrawingText | PictureData:
    """The drawing or the picture that a value names. Raises `Told`."""
    picture = isinstance(kind, keys.PictureFile)
    node = reader.scope.substitute(node)
    if not isinstance(node, Scalar):
        reader.problems.add("the name of a file is needed", node.place, f"write one name, such as {example(kind)}")
        raise Told
    if reader.drawings is None:
        what = "picture" if picture else "drawing"
        reader.problems.add(f"a {what} cannot be named here", node.place, "name it in a decal of a job")
        raise Told
    return reader.drawings.picture(node) if picture else reader.drawings.read(node)


def read_ink_table(reader: Reads, node: Node, reading: str) -> tuple[tuple[str, str], ...]:
    """Colours, each with an ink, as ('#rrggbb', ink). Raises `Told`, all mistakes noted."""
    from decalgen.job.colours import parse_colour

    group = reader.mapping(
        node, "'inks' of a drawing", 'write {"#1d2b4a": navy}: a colour of the drawing, then its ink'
    )
    found: dict[str, str] = {}
    wrong = False
    for key, value in group.entries:
        try:
            colour = parse_colour(key.text)
            if colour in found:
                message = f"'{shown(key.text)}' is a colour that has its ink already"
                raise DecalgenError(message, fix="remove one of the two")
            found[colour] = reader.value(keys.InkName(), value, reading, key.text)
        except DecalgenError as error:
            reader.problems.add(error.message, key.place, error.fix)
            wrong = True
        except Told:
            wrong = True
    if wrong:
        raise Told
    return tuple(found.items())
