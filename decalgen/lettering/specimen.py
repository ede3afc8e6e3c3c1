"""What faces there are, as data for a list or a picture: each with a sample set in it."""

from __future__ import annotations

from dataclasses import dataclass

from decalgen.lettering.faces import Face, faces
from decalgen.lettering.outlines import Line, typeset


@dataclass(frozen=True)
class Specimen:
    """A face and a sample set in it; ``weights`` are the same sample at the ends of its weight, where it has one."""

    face: Face
    line: Line
    weights: tuple[Line, ...]


def specimens(text: str = "HARBOUR Rescue 1470", cap_height: float = 6.0) -> tuple[Specimen, ...]:
    """Every face with ``text`` set in it at ``cap_height`` mm, in the order of the list. Raises as `typeset` does."""
    found = []
    for face in faces():
        ends = next(((a.least, a.most) for a in face.axes if a.tag == "wght"), ())
        weights = tuple(typeset(text, face=face.name, cap_height=cap_height, axes={"wght": w}) for w in ends)
        found.append(Specimen(face, typeset(text, face=face.name, cap_height=cap_height), weights))
    return tuple(found)
