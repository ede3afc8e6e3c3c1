"""A face a letter: what covers an original best, one word all the same."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from decalgen.lettering.by_letter import best_faces, letters_of, match_by_letter, ranked_by_letter
from decalgen.lettering.measured import MeasuredLettering
from decalgen.lettering.rank import overlap_of, rank
from decalgen.lettering.typeface import LetteringError

from .originals import crossbar_by_lines, original, stem_by_lines

AMONG = ("Archivo", "Overpass", "Saira", "Oswald", "League Spartan")


def test_a_face_a_letter_covers_more_than_any_one_face() -> None:
    gained = []
    for name in ("work-sans-700", "barlow-semibold"):
        aim = original(name, "HARBOUR")
        measured = aim.measured(places=True)
        ranked = rank("HARBOUR", measured, outline=aim.region, among=AMONG)
        best = ranked_by_letter("HARBOUR", measured, ranked, aim.region)
        assert best is not None
        assert best.overlap == pytest.approx(overlap_of(aim.region, best.matched.region))
        gained.append((best.overlap or 0.0) - (ranked[0].overlap or 0.0))
        # Both R are of one face, and stem, bar, length are those of the original.
        faces = best.matched.faces
        assert faces[2] == faces[6]
        assert [letter.face for letter in best.matched.letters] == list(faces)
        h = best.matched.letters[0].region
        assert stem_by_lines(h) == pytest.approx(aim.stem, rel=1e-3)
        assert crossbar_by_lines("H", h) == pytest.approx(aim.crossbar, rel=1e-3)
        assert best.matched.region.bounds[2] == pytest.approx(aim.length, rel=2e-4)
    assert np.median(gained) > 0.01


def test_outlines_go_to_the_letter_that_they_lie_in() -> None:
    parts = [shapely.box(0, 0, 1, 4), shapely.box(2, 0, 3, 3), shapely.box(2.2, 3.3, 2.8, 4)]
    one, other = letters_of(shapely.MultiPolygon(parts), ((0.0, 1.0), (2.0, 1.0)))
    assert (one.area, other.area) == pytest.approx((4.0, 3.0 + 0.6 * 0.7))


def test_a_letter_keeps_the_face_of_its_word_where_none_covers_it_better() -> None:
    aim = original("work-sans-700", "STORES")
    ranked = rank("STORES", aim.measured(True), outline=aim.region, among=("Archivo",))
    assert best_faces(ranked, aim.letters) == ("Archivo",) * 6
    assert ranked_by_letter("STORES", aim.measured(True), ranked, aim.region) is None


def test_which_letters_came_from_where() -> None:
    measured = MeasuredLettering(2.0, None, 0.3, letters=((0.0, 1.4), (1.7, 0.3), (2.3, 1.4)))
    found = match_by_letter("HIH", measured, ("Archivo", "Saira", "Archivo"))
    assert found.sources == "H from Archivo; I from Saira"
    assert found.face == "Archivo"
    alone = match_by_letter("HIH", measured, ("Saira",) * 3)
    assert (alone.sources, alone.face) == ("", "Saira")


@pytest.mark.parametrize(
    ("letters", "faces", "says"),
    [
        (None, ("Archivo", "Saira"), "letters of several faces need their places"),
        (((0.0, 1.4), (1.7, 0.3)), ("Archivo",), "1 face is given for 2 letters"),
        (((0.0, 1.4), (1.7, 0.3)), ("Archivo", "Sairo"), "no face called 'Sairo'"),
    ],
)
def test_faces_that_cannot_be(
    letters: tuple[tuple[float, float], ...] | None, faces: tuple[str, ...], says: str
) -> None:
    with pytest.raises(LetteringError, match=says) as caught:
        match_by_letter("HI", MeasuredLettering(2.0, letters=letters), faces)
    assert caught.value.fix
