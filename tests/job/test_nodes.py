"""Nodes: what is read is what stands there (Python's json is the judge), each at its own place."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.job.nodes import Listing, Mapping, Node, Scalar, Source
from decalgen.job.parser import parse
from decalgen.job.problems import Problems


def read(text: str) -> tuple[Node | None, Problems]:
    problems = Problems()
    return parse(Source("job.yaml", tuple(text.split("\n"))), problems), problems


def plain(node: Node | None) -> Any:
    """A node as Python's own values; every scalar is a text."""
    if isinstance(node, Mapping):
        return {key.text: plain(value) for key, value in node.entries}
    if isinstance(node, Listing):
        return [plain(item) for item in node.items]
    assert isinstance(node, Scalar)
    return node.text


def scalars(node: Node | None) -> list[Scalar]:
    if isinstance(node, Mapping):
        return [s for key, value in node.entries for s in (key, *scalars(value))]
    if isinstance(node, Listing):
        return [s for item in node.items for s in scalars(item)]
    return [node] if isinstance(node, Scalar) else []


# Letters, digits, and signs that mean something in YAML; the control characters are refused before (see below).
TEXTS = st.text(st.sampled_from("aZ é7#:-,[]{}&*!|>'\"%@` ?<=~\\"), max_size=12)
DATA = st.recursive(
    TEXTS, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4), max_leaves=20
)


@given(DATA, st.sampled_from([None, 1, 2]))
def test_json_is_read_as_json_reads_it(data, indent):
    # JSON is a subset of YAML 1.2 (YAML 1.2.2, 1.3), so Python's json says what must come out.
    text = json.dumps(data, indent=indent, ensure_ascii=False)
    node, problems = read(text)
    assert [str(p) for p in problems.sorted()] == []
    assert plain(node) == json.loads(text)


@given(DATA)
def test_every_scalar_knows_where_it_stands(data):
    text = json.dumps(data, indent=1, ensure_ascii=False)
    node, _ = read(text)
    lines = text.split("\n")
    for scalar in scalars(node):
        place = scalar.place
        assert place.text == lines[place.line - 1]
        assert json.loads(place.text[place.column - 1 : place.column - 1 + place.length]) == scalar.text


def test_nothing_is_guessed():
    node, problems = read("a: 07\nb: yes\nc: 1e3\nd: 2026-03-14\ne: 1:43\nf: 0x1F\ng: ~\nh: .inf\ni: null\n")
    assert len(problems) == 0
    assert plain(node) == {
        "a": "07",
        "b": "yes",
        "c": "1e3",
        "d": "2026-03-14",
        "e": "1:43",
        "f": "0x1F",
        "g": "~",
        "h": ".inf",
        "i": "null",
    }
    assert [s.text for s in scalars(node) if s.empty] == ["~", "null"]


def test_places_inside_a_text():
    node, _ = read("a: panel.widht - 1 mm\nb: 'panel.widht'\nc: \"tab\\t\"\n")
    bare, quoted, escaped = (value for _, value in node.entries)
    assert (bare.inside(0, 11).column, bare.inside(14, 4).column) == (4, 18)
    assert quoted.inside(6, 5).column == 11
    # A text that is written another way than it reads is shown as a whole.
    assert (escaped.inside(3, 1).column, escaped.inside(3, 1).length) == (4, 7)


MISTAKES = {
    "twice": ("a: 1\nb: 2\na: 3\n", 3, 1, "'a' is repeated (first on line 1)", "keep one of the two"),
    "twice in braces": ("x: {a: 1, a: 2}\n", 1, 11, "'a' is repeated (first on line 1)", "keep one of the two"),
    "colour lost": (
        "ink: #c8102e\n",
        1,
        6,
        "nothing is left of 'ink': what follows # is a comment",
        'put quotes round it: "#c8102e"',
    ),
    "colour lost in braces": (
        "inks: {red: #c8102e\n  }\n",
        1,
        13,
        "nothing is left of 'red': what follows # is a comment",
        'put quotes round it: "#c8102e"',
    ),
    "colour lost in a list": (
        "inks:\n  - white\n  - #c8102e\n",
        3,
        5,
        "nothing is left of '-': what follows # is a comment",
        'put quotes round it: "#c8102e"',
    ),
    "colour ends a bracket": (
        "inks: [#c8102e, red]\n",
        1,
        8,
        "what follows # is a comment, and so the bracket is never closed",
        'put quotes round it: "#c8102e"',
    ),
    "decimal comma in a list": (
        "at: [16,5 mm, 8.2 mm]\n",
        1,
        6,
        "there is a comma inside a number",
        "write a full stop: 16.5 mm",
    ),
    "decimal comma in braces": (
        "door: {width: 22,4 mm ± 0.05, height: 9 mm}\n",
        1,
        15,
        "there is a comma inside a number",
        "write a full stop: 22.4 mm ± 0.05",
    ),
    "tab": ("a:\n\tb: 1\n", 2, 1, "there is a tab here", "use spaces to indent"),
    "tab between": ("a: b\tc\n", 1, 5, "there is a tab here", "use spaces"),
    "tag": (
        "a: !!python/object:os.system x\n",
        1,
        4,
        "this is a tag (!), and tags are not read",
        "remove the word with !",
    ),
    "own tag": ("a: !colour x\n", 1, 4, "this is a tag (!), and tags are not read", "remove the word with !"),
    "anchor": (
        "a: &x 1\n",
        1,
        4,
        "'&x' is an anchor, which is not read here",
        "write the value out, or name it under 'values:'; a text that begins so needs quotes",
    ),
    "alias": (
        "a: *x\n",
        1,
        4,
        "'*x' is an alias, which is not read here",
        "write the value out, or name it under 'values:'; a text that begins so needs quotes",
    ),
    "merge": ("a: 1\n<<: {b: 2}\n", 2, 1, "'<<' merges are not read here", "use include, variants or values"),
    "two documents": (
        "a: 1\n---\nb: 2\n",
        2,
        1,
        "a second document starts here",
        "remove the line ---, or make it a file of its own",
    ),
    "key is a list": ("? [a, b]\n: c\n", 1, 3, "a key must be a plain text", "write key: value"),
    "open quote": (
        'a: "x\nb: 1\n',
        1,
        4,
        "a quote is opened here and not closed properly",
        "put the same quote at the end",
    ),
    "text after quote": (
        'a: "x" y\n',
        1,
        8,
        "there is text after the end of a value",
        "put the whole text in one pair of quotes, or remove this",
    ),
    "backslash": (
        'a: "C:\\dir"\n',
        1,
        8,
        "a backslash means something else inside double quotes",
        "use single quotes, in which a backslash is a backslash",
    ),
    "two colons": (
        "a: b: c\n",
        1,
        5,
        "there is a second colon on this line",
        'one key to a line; put quotes round a text that holds a colon, as in "1:43"',
    ),
    "at sign": ("a: @x\n", 1, 4, "a value cannot begin with @", "put quotes round it"),
    "backtick": ("a: `x`\n", 1, 4, "a value cannot begin with `", "put quotes round it"),
    "no colon": ("a: 1\nb\nc: 2\n", 2, 1, "a key without its colon", "write key: value"),
    "shifted right": (
        "a: 1\n b: 2\n",
        2,
        2,
        "this line does not line up with the lines above",
        "give every key of one group the same number of spaces before it",
    ),
    "shifted left": (
        "a:\n  b: 1\n c: 2\n",
        3,
        2,
        "this line does not line up with the lines above",
        "give every key of one group the same number of spaces before it",
    ),
    "open bracket at the end": ("a: [1, 2\n", 1, 4, "this bracket is never closed", "put ] or } where it ends"),
    "open bracket": (
        "a: [1, 2\nb: 3\n",
        2,
        2,
        "a comma or a closing bracket is missing before this",
        "separate by commas, and put quotes round texts with signs in them",
    ),
    "bell": (
        "a: x\x07y\n",
        1,
        5,
        "there is an invisible character here (U+0007, control character)",
        "delete it",
    ),
    "zero width": (
        "a: x\u200by\n",
        1,
        5,
        "there is an invisible character here (U+200B, zero width space)",
        "delete it",
    ),
    "right to left": (
        "a: x\u202ey\n",
        1,
        5,
        "there is an invisible character here (U+202E, right-to-left override)",
        "delete it",
    ),
    "line separator": (
        "a: x\u2028y\n",
        1,
        5,
        "there is an invisible character here (U+2028, line separator)",
        "delete it",
    ),
}


@pytest.mark.parametrize("case", MISTAKES)
def test_mistakes_of_writing(case):
    text, line, column, message, fix = MISTAKES[case]
    _, problems = read(text)
    (problem,) = problems.sorted()
    assert (problem.message, problem.fix) == (message, fix)
    assert problem.place is not None
    assert (problem.place.line, problem.place.column) == (line, column)
    assert problem.place.text == text.split("\n")[line - 1]


def test_several_tabs_are_all_reported():
    _, problems = read("a:\n\tb: 1\n\tc: 2\n")
    assert [problem.place.line for problem in problems.sorted()] == [2, 3]


def test_comments_and_blank_lines_may_hold_tabs():
    node, problems = read("a: 1 # one\ttwo\n\t# three\n\t\nb: 2\n")
    assert (plain(node), len(problems)) == ({"a": "1", "b": "2"}, 0)


def test_a_text_of_several_lines():
    node, _ = read("a: |\n  one\n  two\nb: end\n")
    assert plain(node) == {"a": "one\ntwo", "b": "end"}


@given(st.text(max_size=200) | st.text(st.sampled_from("ab:-#[]{},&*!|>'\"%@`? \n\t~<="), max_size=80))
def test_any_text_is_read_or_complained_about(text):
    node, problems = read(text)
    assert node is not None or len(problems) or not text.strip() or text.lstrip().startswith(("#", "---", "...", "%"))
    for problem in problems.sorted():
        assert problem.message
        assert problem.place is not None
        assert 1 <= problem.place.line <= text.count("\n") + 1


def test_a_list_of_numbers_without_spaces_is_a_list():
    node, problems = read("ratios: [1,3,5]\nsizes: [1 mm,2 mm]\nkeys: {a: 1,b: 2}\n")
    assert len(problems) == 0
    assert plain(node) == {"ratios": ["1", "3", "5"], "sizes": ["1 mm", "2 mm"], "keys": {"a": "1", "b": "2"}}


def test_a_colour_that_is_lost_outside_a_bracket_leaves_none_open():
    for lost in ("body: #c8102e", "note: '[' #c8102e", "inks: [a, b]  #c8102e"):
        _, problems = read(f"{lost}\nx: [red\n")
        told = {(one.place.line, one.message) for one in problems.sorted()}
        assert (2, "this bracket is never closed") in told, lost
        assert not [message for _, message in told if "and so the bracket" in message], lost
