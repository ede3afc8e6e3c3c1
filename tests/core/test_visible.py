"""What cannot be seen, or steers a terminal, is shown as an escape that JSON and YAML read back."""

from __future__ import annotations

import json
import sys
import unicodedata

from ruamel.yaml import YAML

from decalgen.core.errors import Place, render
from decalgen.core.visible import visible, visible_rows

EVERYTHING = [chr(code) for code in range(sys.maxunicode + 1)]
BIDI = [c for c in EVERYTHING if unicodedata.bidirectional(c) in {"LRE", "RLE", "PDF", "LRO", "RLO", "LRI", "RLI"}]
MARKS = "\u061c\u200e\u200f\u2066\u2067\u2068\u2069"  # Bidi_Control of PropList.txt, Unicode 15, with those above


def test_no_control_and_no_bidi_control_is_left() -> None:
    raw = [c for c in EVERYTHING if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp")] + BIDI + [*MARKS]
    assert len(raw) > 2_100 and "\x1b" in raw and "\x9b" in raw and "\u202e" in raw
    for character in raw:
        shown = visible(f"a{character}b")
        assert character not in shown and shown.isascii() and shown.startswith("a\\u") and shown.endswith("b")
        assert visible_rows(character) == (character if character in "\n\t" else visible(character))


def test_what_can_be_seen_stays() -> None:
    kept = [c for c in EVERYTHING if unicodedata.category(c)[0] in "LMNPS" and ord(c) < 0xE0000] + [
        "\u200c",
        "\u200d",
        " ",
        "\xa0",
    ]
    text = "".join(kept)
    assert visible(text) == text


def test_the_escapes_are_those_of_json_and_yaml() -> None:
    for character in "\x00\x07\x1b\n\x7f\x9b\u202e\u2028\ufeff":
        shown = f'"{visible(character)}"'
        assert json.loads(shown) == character
        assert YAML(typ="safe", pure=True).load(shown) == character
    assert json.loads(f'"{visible(chr(0xE0041))}"') == chr(0xE0041)


def test_a_message_is_one_line_and_the_caret_stands_below_what_is_escaped() -> None:
    place = Place("a\x1b.yaml", 3, 5, "ab: \x1b]0;x\tc", 2)
    assert render("no\nsuch\x9b2Jink", "try\rthis", place).split("\n") == [
        "a\\u001b.yaml:3:5: no\\u000asuch\\u009b2Jink",
        "    ab: \\u001b]0;x c",
        "        ^^^^^^^",
        "    fix: try\\u000dthis",
    ]
