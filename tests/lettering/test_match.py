"""Measured lettering drawn again, against words of fourteen faces that are not among the shipped ones.

What is asserted: stem and crossbar within 0.1 %, cap height and length within 0.02 %, read off the result by another
routine (lines laid across with shapely) than the one that drew it; and how much of the original is covered.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from decalgen.lettering.faces import face
from decalgen.lettering.match import match
from decalgen.lettering.measured import Matched, MeasuredLettering, shown
from decalgen.lettering.outlines import Letter
from decalgen.lettering.rank import broken, overlap_of, rank
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset

from .originals import FACES, RULED, WORDS, Original, crossbar_by_lines, original, stem_by_lines

CANDIDATES = ("Archivo", "Overpass", "Saira", "Roboto Slab")


def some(every: int, first: int = 0) -> list[Original]:
    """One in so many of all words, spread so that each target and each word is among them. All of them are measured by
    `tests/benchmarks/lettering.py`, and as they are printed by `test_exported.py`."""
    pairs = ((target, word, i + j) for i, target in enumerate(FACES) for j, word in enumerate(WORDS))
    return [original(target, word) for target, word, number in pairs if number % every == first % every]


def of_word(word: str, first: int) -> list[Original]:
    """Every second target of a word, the others where ``first`` is another by one."""
    return [aim for aim in some(2, first) if aim.word == word]


def check_measures(found: Matched, aim: Original) -> None:
    stem_letter, bar_letter = RULED[aim.word]
    by_text = {x.text: x.region for x in found.letters}
    by_text["H"] = by_text.get("H") or typeset("H", face=found.face, cap_height=2).region
    assert (found.stem_letter, found.crossbar_letter) == (stem_letter, bar_letter)
    stem = stem_by_lines(by_text[stem_letter])
    bar = crossbar_by_lines(bar_letter, by_text[bar_letter])
    assert stem == pytest.approx(aim.stem, rel=1e-3), aim
    assert bar == pytest.approx(aim.crossbar, rel=1e-3), aim
    assert found.region.bounds[0] == pytest.approx(0.0, abs=1e-6)
    assert found.region.bounds[2] == pytest.approx(aim.length, rel=2e-4), aim
    flat = [x.region.bounds[3] for x in found.letters if x.text in "HEDBRK"]
    assert flat
    assert all(top == pytest.approx(2.0, rel=2e-4) for top in flat), (aim, flat)


@pytest.mark.parametrize("word", WORDS)
@pytest.mark.parametrize(("name", "first"), [("Archivo", 0), ("Roboto Flex", 1)])
def test_measures_are_met_with_axes_solved(name: str, first: int, word: str) -> None:
    for aim in of_word(word, first):
        check_measures(match(word, aim.measured(places=True), name), aim)


@pytest.mark.parametrize("word", WORDS)
def test_measures_are_met_with_places_unknown(word: str) -> None:
    for aim in of_word(word, 1):
        check_measures(match(word, aim.measured(places=False), "Archivo"), aim)


@pytest.mark.parametrize("word", WORDS)
@pytest.mark.parametrize(("name", "first"), [("Anton", 0), ("Oswald", 1)])
def test_measures_are_met_by_the_closed_form_alone(name: str, first: int, word: str) -> None:
    for aim in of_word(word, first):
        check_measures(match(word, aim.measured(places=False), name, solve_axes=False), aim)


def test_there_are_enough_words() -> None:
    assert len(FACES) * len(WORDS) >= 60
    for every, first in ((2, 0), (2, 1), (3, 0)):
        picked = some(every, first)
        assert {aim.face for aim in picked} == set(FACES) and {aim.word for aim in picked} == set(WORDS)
        assert len(picked) == len(FACES) * len(WORDS) // every


def test_the_best_of_four_faces_covers_the_original() -> None:
    # Letters' places measured, and the face chosen by overlap, as one does who has a scan of the original.
    covered = []
    for aim in some(3):
        best = rank(aim.word, aim.measured(places=True), outline=aim.region, among=CANDIDATES)[0]
        assert best.overlap == pytest.approx(overlap_of(aim.region, best.matched.region))
        covered.append(best.overlap or 0.0)
    assert np.median(covered) >= 0.88
    assert np.quantile(covered, 0.1) >= 0.83


def test_one_plain_face_covers_most_originals() -> None:
    with_places, without, scaled = [], [], []
    for aim in some(3):
        with_places.append(overlap_of(aim.region, match(aim.word, aim.measured(True), "Archivo").region))
        without.append(overlap_of(aim.region, match(aim.word, aim.measured(False), "Archivo").region))
        scaled.append(overlap_of(aim.region, uniformly_scaled(aim.word, aim)))
    assert np.median(with_places) >= 0.88
    assert np.median(without) >= 0.74
    assert np.median(without) > np.median(scaled) + 0.2


def uniformly_scaled(word: str, aim: Original) -> object:
    """What scaling a face to the measured cap height gives: the length is left to chance."""
    return typeset(word, face="Archivo", cap_height=2.0).region


def test_rank_knows_a_face_again() -> None:
    # Each face's own lettering, squeezed and made bolder a little: its own name comes first.
    for name in ("Oswald", "League Spartan", "Righteous", "Abril Fatface"):
        line = typeset("HAGS", face=name, cap_height=3.0)
        places = tuple((x.left, x.right - x.left) for x in line.letters)
        h = next(x.region for x in line.letters if x.text == "H")
        read = MeasuredLettering(3.0, line.width, stem_by_lines(h), crossbar_by_lines("H", h), letters=places)
        ranked = rank("HAGS", read, outline=line.region)
        assert ranked[0].face == name
        assert (ranked[0].overlap or 0) > 0.97
        assert rank("HAGS", read)[0].face == name


def test_a_face_bent_by_many_axes_is_no_better_than_a_plain_one_bent_a_little() -> None:
    # Anton's own lettering, a twentieth narrower and lighter: Roboto Flex can be turned nearer by its many axes.
    own = typeset("STORES", face="Anton", cap_height=3.0)
    stem = stem_by_lines(next(x.region for x in own.letters if x.text == "E"))
    ranked = rank("STORES", MeasuredLettering(3.0, 0.95 * own.width, 0.95 * stem), among=("Roboto Flex", "Anton"))
    assert [r.face for r in ranked] == ["Anton", "Roboto Flex"]
    assert ranked[1].strain < ranked[0].strain


def test_faces_that_lose_a_counter_come_last() -> None:
    # That of Yellowtail's R is filled, though it is bent less than League Spartan is.
    ranked = rank("HARBOUR", MeasuredLettering(1.6, 14.2, 0.26, 0.22), among=("Yellowtail", "League Spartan"))
    assert [(r.face, broken(r)) for r in ranked] == [("League Spartan", False), ("Yellowtail", True)]
    assert ranked[1].strain < ranked[0].strain


def test_letters_stand_where_they_were_measured() -> None:
    aim = original("barlow-condensed-medium", "DRAINAGE BOARD")
    read = aim.measured(places=True)
    found = match("DRAINAGE BOARD", read, "Overpass")
    for letter, (left, width) in zip(found.letters, read.letters or (), strict=True):
        assert letter.left == pytest.approx(left, abs=1e-4)
        assert letter.right - letter.left == pytest.approx(width, abs=1e-3)


@pytest.mark.parametrize("slant", [12.0, -8.0])
def test_slant(slant: float) -> None:
    read = MeasuredLettering(4.0, 30.0, 0.6, 0.5, slant)
    found = match("HARBOUR", read, "Archivo")
    h = found.letters[0].region
    # The left edge of the H's left stem, from foot to cap line.
    points = sorted((x, y) for x, y in h.geoms[0].exterior.coords)
    low = min(x for x, y in points if y < 0.01)
    high = min(x for x, y in points if y > 3.99)
    assert math.degrees(math.atan2(high - low, 4.0)) == pytest.approx(slant, abs=0.01)
    assert found.region.bounds[2] == pytest.approx(30.0, rel=2e-4)
    assert stem_by_lines(h) == pytest.approx(0.6, rel=1e-3)
    assert found.residuals["slant"] == pytest.approx(0.0, abs=0.01)


def test_a_script_can_be_stood_upright() -> None:
    found = match("bakery", MeasuredLettering(4.0, 12.0, slant=0.0), "Yellowtail")
    assert found.residuals["slant"] == pytest.approx(0.0, abs=0.1)
    assert found.region.bounds[2] == pytest.approx(12.0, rel=2e-4)


def test_a_least_gap_is_kept() -> None:
    # So short that scaling alone would close the gaps.
    read = MeasuredLettering(2.0, 8.2, 0.3, 0.25)
    for gap in (0.15, 0.25):
        found = match("HARBOUR", read, "Archivo", least_gap=gap)
        apart = [a.region.distance(b.region) for a, b in pairwise(found.letters)]
        assert min(apart) >= gap - 1e-3
        assert found.region.bounds[2] == pytest.approx(8.2, rel=2e-4)


def test_what_was_not_measured_is_left_alone() -> None:
    plain = typeset("STORES", face="Oswald", cap_height=3.0)
    same = match("STORES", MeasuredLettering(3.0), "Oswald")
    assert same.width == pytest.approx(plain.width, rel=1e-6)
    assert overlap_of(same.region, plain.region) > 0.9999
    longer = match("STORES", MeasuredLettering(3.0, length=14.0), "Anton")
    assert longer.width == pytest.approx(14.0, rel=2e-4)
    bolder = match("STORES", MeasuredLettering(3.0, stem=0.9), "Anton")
    assert bolder.residuals["stem"] == pytest.approx(0.0, abs=1e-3)


def test_letters_the_face_joins_are_not_drawn_apart() -> None:
    def joined(letters: tuple[Letter, ...]) -> list[float]:
        return [a.region.intersection(b.region).area for a, b in pairwise(letters)][1:4]

    # Length and stem of the face itself, within a twentieth: so the strokes run into each other as it draws them.
    own = typeset("bakery", face="Yellowtail", cap_height=4.0)
    found = match("bakery", MeasuredLettering(4.0, 12.0, 0.5), "Yellowtail")
    assert own.width == pytest.approx(12.0, rel=0.05)
    for has, drawn in zip(joined(found.letters), joined(own.letters), strict=True):
        assert has == pytest.approx(drawn, rel=0.25)


def test_an_i_without_the_serifs_measured_stands_in_the_middle_of_its_place() -> None:
    places = ((0.0, 2.5), (3.0, 1.5), (5.0, 2.5))
    found = match("HIH", MeasuredLettering(4.0, None, 0.5, letters=places), "Archivo")
    stem = found.letters[1]
    assert stem.right - stem.left == pytest.approx(0.5, rel=1e-3)
    assert (stem.left + stem.right) / 2 == pytest.approx(3.0 + 1.5 / 2, abs=1e-3)


def test_one_letter_and_an_i() -> None:
    assert match("I", MeasuredLettering(3.0, length=0.7, stem=0.7), "Archivo").width == pytest.approx(0.7, rel=1e-3)
    assert match("H", MeasuredLettering(3.0, length=2.4, stem=0.6, crossbar=0.5), "Anton").width == pytest.approx(2.4)


def test_reached_is_shown_without_digits_nobody_measured() -> None:
    read = MeasuredLettering(1.6, 21.37, 0.26, 0.22, uncertainty=(("stem", 0.03), ("length", 0.08)))
    shown_by_name = {r.name: r.shown for r in match("HARBOUR STORES", read, "Archivo").reached}
    assert shown_by_name["stem"] == "0.260 mm \u00b1 0.030"
    assert shown_by_name["length"] == "21.370 mm \u00b1 0.080"
    assert shown_by_name["cap height"] == "1.600 mm"
    assert shown(12.3456, "mm", 0.5) == "12.35 mm \u00b1 0.50"
    assert shown(12.3456, "mm", 12.0) == "12 mm \u00b1 12"


def test_forcing_is_said() -> None:
    far = match("HARBOUR", MeasuredLettering(2.0, 30.0, 0.2, 0.2), "Anton")
    assert any("of their width" in note for note in far.out_of_range)
    assert any("thinner" in note for note in far.out_of_range)
    light = match("HARBOUR", MeasuredLettering(2.0, 9.0, 0.08, 0.07), "Oswald")
    assert any("goes no further than wght 200" in note for note in light.out_of_range)
    near = match("HARBOUR", original("work-sans-700", "HARBOUR").measured(False), "Archivo")
    assert near.out_of_range == ()
    assert near.strain < 0.1 < far.strain


@pytest.mark.parametrize(
    ("text", "read", "says"),
    [
        ("HARBOUR", MeasuredLettering(2.0, 10.0, 2.5), "stems of 2.5 mm do not go into a length of 10 mm"),
        ("HARBOUR", MeasuredLettering(2.0, 1.5, 0.2), "do not go|cannot be drawn"),
        ("HARBOUR", MeasuredLettering(2.0, 10.0, 0.3, 1.2), "crossbar of 1.2 mm does not go"),
        ("HARBOUR", MeasuredLettering(0.0), "cap height"),
        ("HARBOUR", MeasuredLettering(2.0, -3.0), "length of -3"),
        ("HARBOUR", MeasuredLettering(2.0, 10.0, float("nan")), "stem of nan"),
        ("HARBOUR", MeasuredLettering(2.0, 10.0, slant=80.0), "slant of 80"),
        ("HARBOUR", MeasuredLettering(2.0, letters=((0.0, 1.0),)), "1 letter positions are given for 7"),
        ("HI", MeasuredLettering(2.0, letters=((1.0, 1.0), (0.5, 0.3))), "letter 2 begins at 0.5 mm"),
        ("HI", MeasuredLettering(2.0, stem=0.5, letters=((0.0, 1.0), (1.5, 0.3))), "letter 2 is 0.3 mm wide"),
        ("HARBOUR", MeasuredLettering(2.0, 7.0, 0.5, 0.4), "7 letters with stems of 0.5 mm do not go"),
        ("HARBOUR", MeasuredLettering(2.0, 8.2, 0.5, 0.4), "do not go|cannot be drawn"),
        ("", MeasuredLettering(2.0), "no text"),
        ("\U0001f692", MeasuredLettering(2.0), "no letter any face can draw"),
    ],
)
def test_readings_that_cannot_be(text: str, read: MeasuredLettering, says: str) -> None:
    with pytest.raises(LetteringError, match=says) as caught:
        match(text, read, "Archivo")
    assert caught.value.fix


def test_thin_strokes_are_not_eaten_unsaid() -> None:
    # Abril Fatface has hairlines of a seventh of its stem: taking a tenth of a millimetre off them leaves nothing.
    read = MeasuredLettering(2.0, 14.0, 0.2, 0.05)
    try:
        found = match("HARBOUR", read, "Abril Fatface")
    except LetteringError as error:
        assert "too thin" in error.message
        assert error.fix
    else:
        assert any("lost a stroke" in note for note in found.out_of_range)


def test_same_input_same_letters() -> None:
    read = original("kanit-medium", "BERGPOST").measured(False)
    first = match("BERGPOST", read, "Roboto Flex")
    match.cache_clear()
    again = match("BERGPOST", read, "Roboto Flex")
    assert again.axes == first.axes
    assert again.region.equals_exact(first.region, 0.0)
    assert dict(first.axes)["slnt"] == dict(face("Roboto Flex").defaults)["slnt"]


@pytest.mark.parametrize(
    ("face", "word"), [("Archivo", "Quick"), ("Overpass", "Weft & Wick"), ("Archivo", "mill"), ("Bebas Neue", "FILM")]
)
def test_a_letter_that_is_all_stroke_does_not_tell_the_stem_of_others(face: str, word: str) -> None:
    """An i gets thicker as its word is stretched, whatever is done to the strokes of the rest."""
    natural = typeset(word, face=face, cap_height=2.0).region.bounds
    measured = MeasuredLettering(2.0, 1.06 * (natural[2] - natural[0]), 0.34, 0.28)
    done = match(word, measured, face)
    assert done.stem_letter not in "Iil"
    assert done.residuals["stem"] == pytest.approx(0.0, abs=0.0005)
