"""Names that the user gives to things of a job: whether the language can carry them. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Literal

from decalgen.core.errors import DecalgenError
from decalgen.core.lengths.units import FULL_SIZE, SPELLINGS
from decalgen.core.visible import visible

NamedKind = Literal["panel", "obstacle", "decal", "value", "ink", "paint", "variant"]
"""What has a name of the user's own."""
LONGEST = 60
IN_EXPRESSIONS = ("panel", "value")
"""What expressions name: these names have to be words."""
_NAME = re.compile(r"[^\W\d_]\w*(?:[ \-]\w+)*")
_TAKEN: dict[str, dict[str, str]] = {
    "value": {
        **dict.fromkeys(("panel", "panels", "decal"), "the beginning of sizes, as in panel.width"),
        **dict.fromkeys(("min", "max"), "what the least or largest of some lengths is worked out with"),
        **dict.fromkeys((*FULL_SIZE, *SPELLINGS, "u"), "read as a unit"),
    },
    "obstacle": {"all": "what stands for every obstacle", "as advised": "what asks for the slits that are advised"},
}
"""By what is named, the words that mean something else there."""


def new_name(typed: str, what: NamedKind, there: Iterable[str]) -> str:
    """A name for something new, its spaces in order. Raises DecalgenError for one that a job file could not carry, that
    is a word of the language there, or that is ``there`` already."""
    name = " ".join(typed.split())
    a = "an" if what[0] in "aeiou" else "a"
    if what in (*IN_EXPRESSIONS, "obstacle") and name and (not _NAME.fullmatch(name) or len(name) > LONGEST):
        raise DecalgenError(
            f"'{name[:LONGEST]}' cannot be the name of {a} {what}",
            fix="begin with a letter, then letters, digits, single spaces or hyphens",
        )
    if not name or len(name) > LONGEST:
        raise DecalgenError(f"a name has 1 to {LONGEST} characters", fix="give it a short name")
    if visible(name) != name or name[0] == "<":
        raise DecalgenError(f"'{visible(name)}' cannot be the name of {a} {what}", fix="begin with a letter or a digit")
    if name in _TAKEN.get(what, ()):
        raise DecalgenError(f"'{name}' is {_TAKEN[what][name]}", fix="give it another name")
    same = next((other for other in there if name.casefold() == other.casefold()), None)
    if same is not None:
        raise DecalgenError(f"there is {a} {what} '{same}' already", fix="give it another name")
    return name
