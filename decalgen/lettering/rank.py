"""Which face an original was most like: all of them matched to it, the least forced (or the best covering) first."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.values import dataclass
from decalgen.lettering.faces import face, font_faces
from decalgen.lettering.fitting import TURNED
from decalgen.lettering.match import LOST_COUNTER, LOST_STROKE, match
from decalgen.lettering.measured import Matched, MeasuredLettering
from decalgen.lettering.typeface import LetteringError

A_KNOB = 0.01
"""What each axis solved for counts against a face: the more can be turned, the less a good match says about the face.
Found by trial on eighty-four words of fourteen other faces."""


UNUSUAL = 0.01
"""What each step from the plain counts against a face: of two that are bent about as much, an original was more likely
the plainer. Measures do not tell a serif from a plain end, so the more faces there are of other builds, the more often
one of them is bent a hair less by chance."""
STEPS = {"grotesque": 0, "condensed": 1, "geometric": 1, "road sign": 1, "square": 2, "slab": 3, "block": 3, "roman": 4}
FARTHEST = 5


@dataclass(frozen=True)
class Ranked:
    """A face beside an original: ``overlap`` is common area over joint area with its outline, where one was given."""

    face: str
    strain: float
    overlap: float | None
    matched: Matched


def rank(
    text: str,
    measured: MeasuredLettering,
    *,
    outline: Polygon | MultiPolygon | None = None,
    among: Sequence[str] | None = None,
    own: Sequence[str] = (),
) -> tuple[Ranked, ...]:
    """The faces (all fonts and two block alphabets, or those named in ``among``) by likeness to an
    original, most like first; those of ``own`` too.

    ``outline`` is what was traced of the original, mm, baseline at y = 0 and first ink at x = 0; without it, how far
    a face had to be bent decides, which cannot tell a serif from a plain end, and those that lost a stroke come last.
    Faces that cannot be brought to the
    measures at all are left out. Raises `LetteringError` when none can, and for readings that cannot belong together.
    """
    found: list[Ranked] = []
    refused: LetteringError | None = None
    shipped = (*font_faces(), face("Block"), face("Block Round"))
    for name in (*own, *(among if among is not None else (one.name for one in shipped))):
        try:
            matched = match(text, measured, name)
        except LetteringError as error:
            refused = error
            continue
        overlap = None if outline is None else overlap_of(outline, matched.region)
        found.append(Ranked(matched.face, matched.strain, overlap, matched))
    if not found:
        raise refused or LetteringError("there is no face to choose from", "name at least one")
    return tuple(sorted(found, key=lambda r: (-(r.overlap or 0.0), broken(r), _bent(r), r.face)))


def broken(ranked: Ranked) -> bool:
    """Whether a letter lost a counter or a stroke in being brought to the measures."""
    return any(LOST_STROKE in told or LOST_COUNTER in told for told in ranked.matched.out_of_range)


def _bent(ranked: Ranked) -> float:
    one = face(ranked.face)
    knobs = sum(axis.tag in TURNED for axis in one.axes)
    own = 0 if one.category == "own" else FARTHEST
    return ranked.strain + A_KNOB * knobs + UNUSUAL * STEPS.get(one.category, own)


def overlap_of(one: Polygon | MultiPolygon, other: Polygon | MultiPolygon) -> float:
    """Common area over joint area: 1 for the same outline, 0 for outlines that do not meet."""
    joint = one.union(other).area
    return float(one.intersection(other).area / joint) if joint > 0 else 0.0
