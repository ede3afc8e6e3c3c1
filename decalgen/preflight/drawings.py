"""Rules for own drawings: what of them is not flat ink, and which ink stands for which of their colours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from decalgen.artwork.findings import locate
from decalgen.colour.difference import GOOD
from decalgen.core.errors import Finding
from decalgen.job.model import Decal
from decalgen.shapes.drawing import InkMatch, OwnDrawing, left_out_of, matches_of
from decalgen.shapes.group import inside_groups

MOST_NAMED = 5
"""So many elements are named of all that are left out for one reason."""
SAME = 0.5
"""Colours nearer to each other than this CIEDE2000 are one: common practice, no source."""


def drawing_findings(decal: Decal) -> list[Finding]:
    """What is to be known of each drawing of a decal."""
    found = []
    for element in inside_groups(decal.artwork):
        if isinstance(element.shape, OwnDrawing):
            for rule in (_left_out, _inks, _not_there):
                found += locate(rule(element.shape), element, decal)
    return list(dict.fromkeys(found))


def _left_out(drawing: OwnDrawing) -> Iterator[Finding]:
    """What cannot be printed as flat ink."""
    for one in left_out_of(drawing):
        named = ", ".join(one.where[:MOST_NAMED])
        more = len(one.where) - MOST_NAMED
        yield Finding(
            "warning",
            "drawing-left-out",
            "",
            f"part of '{drawing.file.name}' cannot be printed as flat ink and is left out: {one.what}, of {named}"
            + (f" and {more} more" if more > 0 else ""),
            _FIXES.get(one.what, "draw it as paths in one plain colour each"),
            measured=len(one.where),
            unit="",
        )


_FIXES = {
    "an outline that does not close": "join its ends in your drawing program: they lie more than 0.02 mm apart",
    "a hatch": "draw the outline round it, closed",
    "text": "turn it into paths in your drawing program, or write it as `lettering` beside the drawing",
    "partial opacity": "give it a plain colour that does not let anything through",
    "a marker": "turn it into paths in your drawing program",
    "a style sheet of another file": "save the drawing with its styles in it",
    "what is in another file": "copy it into the drawing",
}


def _inks(drawing: OwnDrawing) -> Iterator[Finding]:
    """Colours that no ink is named for, and the ink that they are printed in."""
    nearest = [one for one in matches_of(drawing) if not one.told and one.off > SAME]
    for far in (True, False):
        some = [one for one in nearest if (one.off > GOOD) == far]
        if some:
            yield _printed_in(drawing, some, far)


def _printed_in(drawing: OwnDrawing, some: Sequence[InkMatch], far: bool) -> Finding:
    said = ", ".join(f"{one.colour} in '{one.ink}' at dE {one.off:.1f}" for one in some)
    worst = max(one.off for one in some)
    return Finding(
        "warning" if far else "note",
        "drawing-inks",
        "",
        f"colours of '{drawing.file.name}' are printed in the nearest inks of the job: {said}",
        "name the ink of each under `inks` of the drawing, or give the job an ink of that colour",
        measured=round(worst, 1),
        limit=GOOD,
        unit="dE",
    )


def _not_there(drawing: OwnDrawing) -> Iterator[Finding]:
    """Colours that an ink is named for and that are not in the drawing."""
    printed = [one.colour for one in matches_of(drawing)]
    for colour in (colour for colour, _ in drawing.inks if colour not in printed):
        yield Finding(
            "warning",
            "drawing-no-colour",
            "",
            f"nothing of '{drawing.file.name}' is printed in {colour}, which `inks` names an ink for",
            f"it has {', '.join(printed)}",
        )
