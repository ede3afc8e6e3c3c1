"""Text that runs both ways, by the conformance test data of Unicode Standard Annex #9 and by examples of the annex.

The data: Unicode Character Database 15.0.0, BidiCharacterTest.txt, the whole where the package unicode-data is
installed, else the lines kept with the tests. In the examples, as there, capitals stand for letters that run to the
left; they are put as Hebrew ones. They are written down from memory of the annex, their levels by hand from its rules.
"""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.lettering.bidi import is_mixed, levels, stretches
from decalgen.lettering.faces import face
from decalgen.lettering.outlines import TextRun, _in_order, _letters
from decalgen.lettering.shaping import shape
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset

FIRST = 0x05D0


WHOLE = Path("/usr/share/unicode/BidiCharacterTest.txt")
KEPT = Path(__file__).parents[1] / "data" / "bidi" / "BidiCharacterTest-excerpt.txt"
CONTROLS = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI", "BN", "B"}
"""Lettering keeps none of these (`checked_text`)."""


def conformance(path: Path) -> list[tuple[str, list[int], list[int]]]:
    """Text, level of each character, and the order they stand in, of the lines whose direction is that of their first
    letter."""
    found = []
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith("#") or not line:
            continue
        points, _, base, levels_, order = line.split(";")
        text = "".join(chr(int(point, 16)) for point in points.split())
        kinds = [unicodedata.bidirectional(c) for c in text]
        first = next((kind for kind in kinds if kind in ("L", "R", "AL")), "L")
        if not CONTROLS & set(kinds) and (first != "L") == bool(int(base)):
            found.append((text, [int(level) for level in levels_.split()], [int(place) for place in order.split()]))
    return found


def in_order(text: str) -> list[int]:
    return [
        i for s in stretches(text) for i in (range(s.end - 1, s.start - 1, -1) if s.leftward else range(s.start, s.end))
    ]


@pytest.mark.parametrize(
    ("path", "least"),
    [
        (KEPT, 350),
        pytest.param(WHOLE, 45_000, marks=pytest.mark.skipif(not WHOLE.exists(), reason="unicode-data not installed")),
    ],
    ids=["kept", "whole"],
)
def test_the_conformance_data_of_the_annex(path: Path, least: int) -> None:
    cases = conformance(path)
    assert len(cases) >= least
    wrong = [text for text, wanted, order in cases if levels(text) != wanted or in_order(text) != order]
    assert wrong == []


def put(pseudo: str) -> str:
    """Capitals as Hebrew letters."""
    return "".join(chr(FIRST + ord(c) - ord("A")) if "A" <= c <= "Z" else c for c in pseudo)


def back(text: str) -> str:
    return "".join(chr(ord("A") + ord(c) - FIRST) if 0x05D0 <= ord(c) <= 0x05EA else c for c in text)


def shown(pseudo: str) -> str:
    """As it stands on paper; brackets as they are typed."""
    text = put(pseudo)
    parts = [text[s.start : s.end][:: -1 if s.leftward else 1] for s in stretches(text)]
    return back("".join(parts))


@pytest.mark.parametrize(
    ("stored", "paper"),
    [
        ("car means CAR.", "car means RAC."),  # section 3.4, example 1
        ("CAR means car.", ".means car RAC"),  # the same in a line that begins with a letter running left
        ("HIGH 47", "47 HGIH"),  # numbers keep their order
        ("a CAB 12 b", "a 12 BAC b"),
        ("STORES", "SEROTS"),
        ("10-20 AB", "BA 10-20"),  # W4 joins 10-20, which stands right of AB as AB alone is strong
        ("$10 AB", "BA $10"),  # W5: a sign of currency goes with its number
        ("AB, CD", "DC ,BA"),  # N1: blanks and signs between letters running left go with them
    ],
)
def test_examples_in_the_order_they_stand(stored: str, paper: str) -> None:
    assert shown(stored) == paper


@pytest.mark.parametrize(
    ("stored", "wanted"),
    [
        # Rule N0 with its own three examples.
        ("AB(CD[&ef]!)gh", "11111112211122"),
        ("smith (fabrikam ARABIC) HEBREW", "0" * 16 + "1" * 6 + "00" + "1" * 6),
        ("ARABIC book(s)", "1" * 7 + "2" * 7),
        # W2: after an Arabic letter figures are Arabic numbers; L1: blanks at the end stand at the line's end.
        ("ab A ", "00010"),
        ("ab 12", "00000"),
    ],
)
def test_levels_by_hand(stored: str, wanted: str) -> None:
    assert "".join(map(str, levels(put(stored)))) == wanted


def test_figures_after_an_arabic_letter_do_not_join_across_a_minus() -> None:
    # W2 makes Arabic numbers of them, which W4 joins over a common separator, not over a minus.
    text = "\u0627 1-2"
    assert [s.leftward for s in stretches(text)] == [False, True, False, True]
    assert [text[s.start : s.end] for s in stretches(text)] == ["2", "-", "1", "\u0627 "]


@given(st.text(alphabet="abz \u05d0\u05d1\u0627\u06281\u0662,.+-$%()[]{}!\u05b0", max_size=20))
def test_every_character_stands_once_and_plain_text_is_left_alone(text: str) -> None:
    found = stretches(text)
    assert sorted(i for s in found for i in range(s.start, s.end)) == list(range(len(text)))
    if not is_mixed(text):
        assert all(not s.leftward for s in found)


def test_letters_that_run_left_are_shaped_that_way() -> None:
    # No shipped face has such letters, so Latin ones are made to run left: last letter first, kerned as they stand.
    home = face("Archivo")
    run = TextRun(home, tuple(sorted(home.defaults.items())), "ABC", leftward=True)
    assert [glyph.cluster for glyph in shape(home.file, run.axes, "ABC", leftward=True)] == [2, 1, 0]
    letters, advance = _letters([run], 5.0, 0.0, True)
    assert [letter.text for letter in letters] == ["C", "B", "A"]
    assert [letter.left for letter in letters] == sorted(letter.left for letter in letters)
    assert advance == pytest.approx(sum(letter.advance for letter in letters))


def test_a_line_is_put_together_from_its_stretches() -> None:
    home = face("Archivo")
    pending = [(home, cluster) for cluster in put("no AB\u05b0 7")]
    accented = [*pending[:4], (home, put("B") + "\u05b0"), *pending[6:]]
    found = _in_order(accented)
    assert [back("".join(c for _, c in one.letters)) for one in found] == ["no ", "7", "AB\u05b0 "]
    assert [one.leftward for one in found] == [False, False, True]


def test_no_shipped_face_has_them_and_that_is_told() -> None:
    with pytest.raises(LetteringError, match="no letter any face can draw"):
        typeset(put("STORES"), face="Archivo", cap_height=2.0)
