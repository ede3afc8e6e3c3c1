"""Files laid out evenly: all values and comments stay, again changes nothing, long and short and long is long.

What the values are is judged by a reader that is not ours: that of ruamel.yaml, which keeps every value a text.
"""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from decalgen.core.errors import JobError
from decalgen.job.edits import values
from decalgen.job.formatted import WIDTH, formatted
from decalgen.job.loader import load_job

from .slips import LONG, SHORT
from .test_edits import FILES, GROUP, WORD, written

ROOT = Path(__file__).resolve().parents[2]
ALL = [*FILES, *sorted((ROOT / "layouts" / "sheets").glob("*.yaml"))]
ASKED = re.compile(r"(?:: |- |\[|, )\?")


def theirs(text: str) -> object:
    """The values as ruamel reads them, every scalar a text."""
    yaml = YAML(typ="base", pure=True)
    return yaml.load(text)


def said(text: str) -> list[str]:
    """The comments of a text as ruamel's own scanner finds them: what no token holds."""
    import ruamel.yaml.scanner as scanner
    from ruamel.yaml.reader import Reader

    yaml = YAML(typ="safe", pure=True)
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").split("\n")
    held = [bytearray(len(line)) for line in lines]
    assert scanner and Reader
    for token in yaml.scan("\n".join(lines)):
        start, end = token.start_mark, token.end_mark
        if type(token).__name__ != "ScalarToken":
            continue
        for number in range(start.line, min(end.line, len(lines) - 1) + 1):
            a = start.column if number == start.line else 0
            b = end.column if number == end.line else len(lines[number])
            held[number][a:b] = b"x" * max(0, b - a)
    found = []
    for line, taken in zip(lines, held, strict=True):
        for at, c in enumerate(line):
            if c == "#" and not taken[at] and (at == 0 or line[at - 1] in " \t"):
                found.append(line[at:].rstrip())
                break
    return sorted(found)


def check(text: str) -> None:
    """All that is promised of a text."""
    long = formatted(text, "x.yaml")
    short = formatted(text, "x.yaml", short=True)
    for made in (long, short):
        assert values(made) == values(text)
        # A ? alone is a reading still to be taken here, and something else to other readers.
        if not ASKED.search(text):
            assert theirs(made) == theirs(text)
            assert said(made) == said(text)
        assert made.startswith("\ufeff") == text.startswith("\ufeff")
        assert ("\r\n" in made) == ("\r\n" in text)
        assert made.endswith("\n") and not made.endswith("\n\n")
    assert formatted(long, "x.yaml") == long
    assert formatted(short, "x.yaml", short=True) == short
    assert formatted(short, "x.yaml") == long
    assert formatted(formatted(long, "x.yaml", short=True), "x.yaml") == long


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.name)
def test_every_file_of_ours_is_laid_out(path):
    check(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", sorted((ROOT / "demo").glob("*.yaml")), ids=lambda path: path.name)
def test_the_long_layout_has_no_brackets(path):
    text = formatted(path.read_text(encoding="utf-8"), path.name)
    bare = "\n".join(line for line in text.split("\n") if "#" not in line and '"' not in line)
    assert not set("[]{}") & set(bare)


@pytest.mark.parametrize("text", [LONG, SHORT])
def test_the_job_is_the_same_in_both_layouts(folder, text):
    jobs = []
    for made in (text, formatted(text, "x"), formatted(text, "x", short=True)):
        Path("x.yaml").write_text(made, encoding="utf-8")
        job = load_job("x.yaml")
        shapes = [[(one.shape, one.at) for one in decal.artwork] for decal in job.decals]
        jobs.append((shapes, [(panel.name, panel.sizes) for panel in job.panels], job.inks[0].colour))
    assert jobs[0] == jobs[1] == jobs[2]


@settings(max_examples=60)
@given(GROUP, st.sampled_from(["brackets", "lines"]), st.sampled_from(["\n", "\r\n"]), st.booleans())
def test_any_file_is_laid_out(tree, style, end, mark):
    check(written(tree, style, end, mark))


@settings(max_examples=60)
@given(GROUP, st.integers(0, 2**32), WORD)
def test_comments_anywhere_stay(tree, seed, word):
    """Comment lines of any depth and empty lines put between any two lines, and behind some."""
    chance = random.Random(seed)
    lines = written(tree, "lines", "\n", False).rstrip("\n").split("\n")
    lines = [line if chance.random() < 0.5 else line.split("  # c ")[0] for line in lines]
    rows = []
    for number, line in enumerate(lines):
        while chance.random() < 0.4:
            rows.append(chance.choice(["", " " * chance.randrange(7) + f"# {word} {number}"]))
        rows.append(line)
    text = "\n".join(rows) + "\n"
    try:
        values(text)
    except JobError:
        assume(False)
    check(text)


def test_comments_stay_where_they_belong():
    text = """\
# head

a:
    x: 1      # behind x
    # under x
    y: {b: 1, # in brackets
      # before c
      c: [1, 2]}
    # still in a
# of z
z: 2
# end
"""
    assert (
        formatted(text, "x")
        == """\
# head

a:
  x: 1  # behind x

  # under x
  y:  # in brackets
    b: 1
    # before c
    c:
      - 1
      - 2
  # still in a

# of z
z: 2
# end
"""
    )


def test_a_group_that_a_comment_belongs_to_is_not_put_in_brackets():
    text = "a:\n  b: 1\n  # of a\nc: 1\n"
    assert formatted(text, "x", short=True) == "a:\n  b: 1\n  # of a\n\nc: 1\n"
    check(text)
    check("a:\n  b:\n    - 1\n    # of b\n# of c\nc: 1\n")


def test_groups_stand_apart_and_short_lines_stay_short():
    text = "job: x\nbody: white\npanels: {door: {width: 2 mm, height: 3 mm}}\ninks: {a: red, b: blue}\n"
    long = "job: x\nbody: white\n\npanels:\n  door:\n    width: 2 mm\n    height: 3 mm\n\ninks:\n  a: red\n  b: blue\n"
    assert formatted(text, "x") == long
    assert formatted(long, "x", short=True) == text
    wide = "a:\n" + "".join(f"  key {n}: {'x' * 20}\n" for n in range(6))
    assert formatted(wide, "x", short=True) == wide
    assert max(map(len, formatted(SHORT, "x", short=True).split("\n"))) <= WIDTH


@pytest.mark.parametrize(
    "text",
    [
        "a: |\n  one\n  two\nb: 1\n",
        "a:\n  - |\n    one # no comment\n    two\n",
        "a: >\n  one\n  two\n",
        'a: "two\\nlines"\n',
        "a: one\n  two\n",
        "a: 'it''s'\nb: \"x\"\n",
        "a:\nb: ~\nc: null\nd: {e: , f: [ ]}\n",
        "a: [[0 mm, 1 mm], [2 mm, 3 mm]]\n",
        "a: [{b: 1}, {b: 2, c: [3]}]\n",
        "- a\n- b\n",
        "a: ?\nb: [?, ?]\n",
        '"?": 1\n',
        'a: b, c\nd: {e: "f, g"}\n',
        "a: x\u00a0y\n",
        "# only a comment\n",
        "",
    ],
)
def test_texts_and_lists_of_every_form(text):
    if text.strip() and not text.lstrip().startswith(("#", "-")):
        check_ours(text)
    else:
        assert formatted(text, "x") == text


def check_ours(text: str) -> None:
    """The same as `check`, for what other readers take otherwise: a ? alone, an empty value, no-break spaces."""
    long, short = formatted(text, "x"), formatted(text, "x", short=True)
    assert values(long) == values(short) == values(text)
    assert formatted(long, "x") == long == formatted(short, "x")
    assert formatted(short, "x", short=True) == short


def test_what_cannot_be_read_is_refused():
    with pytest.raises(JobError):
        formatted("a: [1\n", "x")
    with pytest.raises(JobError):
        formatted("a: 1\na: 2\n", "x")


def test_nothing_is_given_back_that_says_something_else(monkeypatch):
    from decalgen.job import formatted as module
    from decalgen.job.edits import EditError

    monkeypatch.setattr(module, "_key", lambda key: "other")
    with pytest.raises(EditError):
        formatted("a: 1\n", "x")
    monkeypatch.undo()
    monkeypatch.setattr(module._Rows, "before", lambda self, *_: ([], []))
    with pytest.raises(EditError):
        formatted("# lost\na: 1\n", "x")
