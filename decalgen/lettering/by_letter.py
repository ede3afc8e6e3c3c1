"""A face a letter: each letter of a word from the face that covers it best, all to the same measures. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.geometry import polygons
from decalgen.lettering.match import match
from decalgen.lettering.measured import Matched, MeasuredLettering, Reached
from decalgen.lettering.outlines import join
from decalgen.lettering.rank import Ranked, overlap_of
from decalgen.lettering.typeface import LetteringError

GAIN = 0.01
"""A letter leaves the face of the word only if another covers so much more of it."""


def match_by_letter(text: str, measured: MeasuredLettering, faces: Sequence[str]) -> Matched:
    """``text`` drawn to its measures, the first letter in the first of ``faces`` and so on (spaces left out).

    Raises `LetteringError` as `match` does, and where the faces are not as many as the letters, or their places are not
    known: letters of different faces have no spacing of their own.
    """
    if measured.letters is None:
        raise LetteringError(
            "letters of several faces need their places", "give `letters`: left edge and width of each"
        )
    if len(faces) != len(measured.letters):
        counted = "1 face is" if len(faces) == 1 else f"{len(faces)} faces are"
        raise LetteringError(
            f"{counted} given for {len(measured.letters)} letters",
            "give one face a letter, in their order, without the spaces",
        )
    whole = {name: match(text, measured, name) for name in dict.fromkeys(faces)}
    letters = [whole[name].letters[i] for i, name in enumerate(faces)]
    # The face of most letters; of several, the first.
    home = whole[max(faces, key=faces.count)]
    several = len(whole) > 1
    told = [f"{name}: {words}" if several else words for name in whole for words in whole[name].forced]
    per_letter = tuple(whole[name].by_letter[i] for i, name in enumerate(faces))
    return replace(
        home,
        region=join([letter.region for letter in letters]),
        letters=tuple(letters),
        reached=_reached(list(whole.values())),
        forced=tuple(dict.fromkeys(told)),
        by_letter=per_letter,
        width=max(letter.right for letter in letters),
        strain=max(one.strain for one in whole.values()),
        faces=tuple(faces) if several else (),
        borrowed=tuple(dict.fromkeys(lent for one in whole.values() for lent in one.borrowed)),
    )


def _reached(all_of: Sequence[Matched]) -> tuple[Reached, ...]:
    """Of each measure what is farthest from its reading."""
    rows = zip(*(one.reached for one in all_of), strict=True)
    return tuple(max(row, key=lambda one: abs(one.residual)) for row in rows)


def letters_of(outline: Polygon | MultiPolygon, places: Sequence[tuple[float, float]]) -> list[MultiPolygon]:
    """The outlines of each letter: every outline goes to the place that it shares most with."""
    found: list[list[Polygon]] = [[] for _ in places]
    for part in polygons(outline):
        left, _, right, _ = part.bounds
        shared = [min(right, x + wide) - max(left, x) for x, wide in places]
        found[shared.index(max(shared))].append(part)
    return [MultiPolygon(parts) for parts in found]


def best_faces(ranked: Sequence[Ranked], letters: Sequence[MultiPolygon]) -> tuple[str, ...]:
    """The face of each letter: that which covers it best, or the first of ``ranked`` where none does by much more. A
    letter that comes twice is set in one face, and none in a face in which it lost a stroke."""
    home = ranked[0].face
    covers: dict[str, Mapping[str, float]] = {}
    texts = [letter.text for letter in ranked[0].matched.letters]
    usable = [one for one in ranked if [letter.text for letter in one.matched.letters] == texts]
    for text in dict.fromkeys(texts):
        places = [i for i, one in enumerate(texts) if one == text]
        covers[text] = {
            one.face: sum(overlap_of(letters[i], one.matched.letters[i].region) for i in places) / len(places)
            for one in usable
            if one.face == home or not any(one.matched.by_letter[i] for i in places)
        }
    chosen: dict[str, str] = {}
    for text, by_face in covers.items():
        best = max(by_face, key=lambda name: by_face[name])
        chosen[text] = best if by_face[best] > by_face[home] + GAIN else home
    return tuple(chosen[text] for text in texts)


def ranked_by_letter(
    text: str, measured: MeasuredLettering, ranked: Sequence[Ranked], outline: Polygon | MultiPolygon
) -> Ranked | None:
    """The word with a face a letter, beside ``ranked``, the whole faces with the best first; None where the letters'
    places are not known, or no other face helps any letter."""
    if measured.letters is None:
        return None
    shapely.prepare(outline)
    faces = best_faces(ranked, letters_of(outline, measured.letters))
    if len(set(faces)) < 2:
        return None
    matched = match_by_letter(text, measured, faces)
    return Ranked(matched.face, matched.strain, overlap_of(outline, matched.region), matched)
