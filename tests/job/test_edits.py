"""Changes of one value in the text of a job file: the value is read back, every other value and byte stays.

What has to be quoted is judged by a reader that is not ours: that of ruamel.yaml, which keeps every value a text.
"""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from decalgen.core.errors import JobError
from decalgen.job.edits import EditError, add_value, remove_value, set_value, values
from decalgen.job.written import in_brackets, rows

ROOT = Path(__file__).resolve().parents[2]
FILES = [*sorted((ROOT / "demo").glob("**/*.yaml")), *sorted((ROOT / "layouts").glob("*.yaml"))]
HARD = (
    "x, y # z", "'", "[1]", "two\nlines", "null", "C:\\x", "~", "", "-", "- a", "?", "? a", ": a", "a:", "a: b", " a",
    "a ", "#a", "a #b", "&a", "*a", "!a", "|", ">", "@", "`", '"', "%a", "{", "}", "a, b", "1:43", "22.4 mm ± 0.05",
    "<year>", "é", "\u200bx", "---", "...", ":0", "a\tb", "[", "]", "it's", '"a" \\', "yes", "0x1",
)  # fmt: skip
WORD = st.text("abcdefgh", min_size=1, max_size=6)
TEXT = st.one_of(
    WORD, st.sampled_from(HARD), st.text(st.characters(codec="utf-8", exclude_categories=("C",)), max_size=8)
)
TREE = st.recursive(
    TEXT,
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=3), st.dictionaries(WORD, inner, min_size=1, max_size=3)
    ),
    max_leaves=8,
)
GROUP = st.dictionaries(WORD, TREE, min_size=1, max_size=4)


def paths(tree: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every path of a tree, of groups and lists too."""
    inside = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    return [path, *(found for key, value in inside for found in paths(value, (*path, key)))]


def written(tree: Any, style: str, end: str, mark: bool) -> str:
    """A tree as a file: in brackets, or line by line with a comment after each line."""
    if style == "brackets":
        lines = [f"{key}: {in_brackets(value)}   # c {n}" for n, (key, value) in enumerate(tree.items())]
    else:
        lines = rows(tree, 0)
        lines = [line for row in lines for line in row.split("\n")]
        lines = [f"{line}  # c {n}" for n, line in enumerate(lines)]
    return ("\ufeff" if mark else "") + end.join(lines) + end


def changed(tree: Any, path: tuple[Any, ...], act: str, value: Any) -> Any:
    """What a tree should be after an edit, by Python's own means."""
    new = copy.deepcopy(tree)
    around = new
    for part in path[:-1]:
        around = around[part]
    if act == "remove":
        del around[path[-1]]
        if not around and len(path) > 1:
            return changed(tree, path[:-1], act, value)
    elif isinstance(around, list) and path[-1] == len(around):
        around.append(value)
    else:
        around[path[-1]] = value
    return new


def only_one_stretch(old: str, new: str) -> tuple[str, str]:
    """What was replaced and by what, where one stretch alone differs."""
    start = next((n for n, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), min(len(old), len(new)))
    tail = 0
    while tail < min(len(old), len(new)) - start and old[-1 - tail] == new[-1 - tail]:
        tail += 1
    return old[start : len(old) - tail], new[start : len(new) - tail]


@settings(max_examples=200, deadline=None)
@given(GROUP, st.data(), st.sampled_from(["brackets", "lines"]), st.sampled_from(["\n", "\r\n"]), st.booleans())
def test_any_edit_changes_what_is_meant_and_nothing_else(
    tree: dict[str, Any], data: st.DataObject, style: str, end: str, mark: bool
) -> None:
    text = written(tree, style, end, mark)
    assert values(text) == tree
    act = data.draw(st.sampled_from(["set", "add", "remove"]))
    everything = paths(tree)
    value = data.draw(TREE if act == "add" else TEXT)
    if act == "add":
        around = data.draw(st.sampled_from([path for path in everything if not isinstance(leaf(tree, path), str)]))
        there = leaf(tree, around)
        path = (*around, len(there) if isinstance(there, list) else data.draw(WORD.filter(lambda w: w not in there)))
        new = add_value(text, path, value)
    else:
        chosen = [path for path in everything[1:] if act == "remove" or isinstance(leaf(tree, path), str)]
        path = data.draw(st.sampled_from(chosen))
        wanted = changed(tree, path, act, value)
        assume(wanted)
        new = set_value(text, path, value) if act == "set" else remove_value(text, path)
    assert values(new) == changed(tree, path, act, value)
    taken, _ = only_one_stretch(text, new)
    if act != "remove":
        assert "# c" not in taken.removeprefix("# c")
        assert new.count("# c ") == text.count("# c ")
    if mark:
        assert new.startswith("\ufeff")
    assert end == "\n" or new.count("\n") == new.count("\r\n")


def leaf(tree: Any, path: tuple[Any, ...]) -> Any:
    """What is at a path."""
    for part in path:
        tree = tree[part]
    return tree


@pytest.mark.parametrize("file", FILES, ids=lambda path: path.name)
@pytest.mark.parametrize(("end", "mark"), [("\n", ""), ("\r\n", "\ufeff")])
def test_every_value_of_the_kept_files_can_be_set(file: Path, end: str, mark: str) -> None:
    text = mark + file.read_text(encoding="utf-8").replace("\n", end)
    tree = values(text)
    places = [path for path in paths(tree) if isinstance(leaf(tree, path), str)]
    for n, path in enumerate(places[:: max(1, len(places) // 12)]):
        value = HARD[n % len(HARD)]
        new = set_value(text, path, value)
        assert leaf(values(new), path) == value
        taken, put = only_one_stretch(text, new)
        assert len(taken) <= len(leaf(tree, path)) + 60 and "\n" not in put


@pytest.mark.parametrize("text", [text for text in HARD if text != "?"])
def test_what_is_written_is_what_another_reader_reads(text: str) -> None:
    wanted = {"a": text, "b": [text, text], "c": {"d": text}}
    whole = "\n".join([*rows(wanted, 0), f"e: {in_brackets(wanted)}"]) + "\n"
    found = YAML(typ="base", pure=True).load(whole)
    assert found == {**wanted, "e": wanted}


SMALL = """\
# head
panels:   # all of them
  door:
    width: 22.4 mm     # read twice
    height:            # later
    note: |
      two
      lines

  # the bonnet bends
  bonnet: {chord: 24.2 mm, rise: 1.1 mm, # here
    length: 19.5 mm}
decals:
- name: one   # first
  at: left
- name: two
# the end
"""


@pytest.mark.parametrize(
    ("act", "path", "value", "old", "new"),
    [
        (set_value, "panels door width", "22.5 mm", "22.4 mm     #", "22.5 mm     #"),
        (set_value, "panels door height", "?", "height:            # later", 'height: "?"            # later'),
        (set_value, "panels door note", "one", "|\n      two\n      lines\n\n", "one\n\n"),
        (set_value, "panels bonnet rise", "a, b", "rise: 1.1 mm,", 'rise: "a, b",'),
        (add_value, "panels door tape", "1", "      lines\n", "      lines\n    tape: 1\n"),
        (add_value, "panels bonnet tape", "?", "19.5 mm}", '19.5 mm, tape: "?"}'),
        (add_value, "panels door height x", ["1", "2"], "# later\n", "# later\n      x:\n        - 1\n        - 2\n"),
        (add_value, "panels lid", {"width": "?"}, "length: 19.5 mm}\n", 'length: 19.5 mm}\n  lid:\n    width: "?"\n'),
        (add_value, "decals 2", {"name": "x"}, "- name: two\n", "- name: two\n- name: x\n"),
        (remove_value, "panels door width", None, "    width: 22.4 mm     # read twice\n", ""),
        (remove_value, "panels bonnet chord", None, "{chord: 24.2 mm, rise", "{rise"),
        (remove_value, "panels bonnet length", None, "1.1 mm, # here\n    length: 19.5 mm}", "1.1 mm # here\n    }"),
        (remove_value, "decals 1 name", None, "- name: two\n", ""),
        (remove_value, "decals 0 name", None, "- name: one   # first\n  at: left", "- at: left"),
        (
            remove_value, "panels bonnet", None,
            "  # the bonnet bends\n  bonnet: {chord: 24.2 mm, rise: 1.1 mm, # here\n    length: 19.5 mm}\n", "",
        ),
    ],
)  # fmt: skip
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_an_edit_is_where_a_careful_hand_would_make_it(
    act: Any, path: str, value: Any, old: str, new: str, end: str
) -> None:
    text, old, new = (part.replace("\n", end) for part in (SMALL, old, new))
    assert text.count(old) == 1
    parts = tuple(int(part) if part.isdigit() else part for part in path.split())
    made = act(text, parts) if value is None else act(text, parts, value)
    assert made == text.replace(old, new)


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ('a: ["a #b", c]\n', 'a: ["a #b"]\n'),
        ('a: ["x, y # z", c]\n', 'a: ["x, y # z"]\n'),
        ("a: [b, # one, two\n  c]\n", "a: [b # one, two\n  ]\n"),
    ],
)
def test_the_comma_that_goes_is_none_of_a_text_or_comment(text: str, left: str) -> None:
    assert remove_value(text, ("a", 1)) == left


def test_the_last_line_without_an_end_gets_one_first() -> None:
    assert add_value("a: 1\nb: 2", ("c",), "3") == "a: 1\nb: 2\nc: 3"
    assert remove_value("a: 1\nb: 2", ("b",)) == "a: 1"


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (lambda: set_value("a: 1\n", ("b",), "2"), "there is no 'b'"),
        (lambda: add_value("a: 1\n", ("a",), "2"), "is there already"),
        (lambda: add_value("a: 1\n", ("a", "b"), "2"), "cannot be added"),
        (lambda: add_value("a: [1]\n", ("a", 3), "2"), "cannot be added"),
        (lambda: remove_value("a: 1\n", ("a",)), "nothing would be left"),
        (lambda: set_value("a:\n  b: 1 # kept\n  c: 2\n", ("a",), "2"), "comments"),
    ],
)
def test_what_cannot_be_changed_is_refused(act: Any, words: str) -> None:
    with pytest.raises(EditError, match=words):
        act()


def test_a_text_that_cannot_be_read_is_not_edited() -> None:
    with pytest.raises(JobError):
        set_value("a: [1\n", ("a",), "2")


def test_the_guard_refuses_what_would_change_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("decalgen.job.edits.scalar", lambda text, **_: "2\nb: 3")
    with pytest.raises(EditError, match="without changing more"):
        set_value("a: 1\n", ("a",), "2")
