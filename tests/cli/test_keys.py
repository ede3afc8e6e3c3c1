"""`decalgen keys`: on a terminal of 80 columns, as a picture, with a suggestion for a near miss."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from decalgen.core.errors import EXIT_USAGE
from decalgen.job.reference import every_section, topics
from decalgen.panels.registry import kinds
from decalgen.shapes.registry import load
from tests.cli.test_new import run
from tests.helpers.commands import Run

__all__ = ["run"]
NAMES = list(dict(topics()))


def test_alone_it_lists_every_topic_with_a_line_on_each(run: Run):
    said = run("keys")
    assert said.code == 0
    listed = re.findall(r"^  (\S+) +\S", said.out, re.MULTILINE)
    assert set(NAMES) <= set(listed)


@pytest.mark.parametrize("name", NAMES)
def test_a_page_says_all_that_is_known_and_no_line_is_longer_than_80(run: Run, name: str):
    said = run("keys", name)
    *lines, summary = said.out.rstrip("\n").split("\n")
    assert said.code == 0 and max(len(line) for line in lines) <= 80
    assert summary.startswith(f"explained the keys of '{name}'")
    assert "\x1b" not in said.out
    words = " ".join(said.out.split())
    for topic, section in every_section():
        if topic == name:
            assert " ".join(section.example.split()) in words
            for row in section.rows:
                for text in (row.meaning, row.example, row.takes, row.default):
                    assert " ".join(text.split()) in words, (row.key, text)


def test_an_arc_is_explained_with_all_that_is_round_it(run: Run):
    said = run("keys", "arc")
    assert (
        "  radius     a length, in mm; optional\n             radius of the baseline; `at` places its centre\n"
        in said.out
    )
    assert "               radius: 8 mm\n" in said.out
    assert "  side       outside or inside; default: outside\n" in said.out
    assert "          - lettering:\n              text: STORES\n" in said.out
    assert "arc is also a key of:\n  lettering: " in said.out


@pytest.mark.parametrize("kind", [*kinds()])
def test_a_kind_of_panel_has_a_page_of_its_own(run: Run, kind: str):
    said = run("keys", *kind.split())
    assert (said.code == 0 and "panels" in said.out and "flat rectangle" in said.out) or kind != "flat"
    if len(kinds()[kind].needs) > 1:
        assert "Give one of these:" in said.out


def test_a_key_is_found_in_every_spelling_with_where_it_stands(run: Run):
    for words in (("cap", "height"), ("cap height",), ("cap_height",), ("Cap Height",)):
        said = run("keys", *words)
        assert said.code == 0 and said.out.startswith("cap height is a key of:\n  lettering: height of a capital H")
        assert "  match: height of a capital H" in said.out and "`decalgen keys lettering` shows it" in said.out
    every = {(topic, section.name) for topic, section in every_section() for row in section.rows if row.key == "at"}
    at = run("keys", "at").out
    places = at[at.index("at is also a key of:") :]
    for topic, section in every:
        assert f"  {topic if topic == section else f'{topic}, {section}'}: " in places


def test_the_page_of_a_shape_or_of_a_part_of_one_is_shown_by_shapes_too(run: Run):
    for name in (*load(), "match", "arc", "inline", "shadow"):
        page = run("keys", name)
        assert page.code == 0 and run("shapes", name).out == page.out
    for other in ("panel", "cut", "at"):
        assert f"there is no shape '{other}'" in run("shapes", other).text


@pytest.mark.parametrize(
    ("word", "meant"),
    [("panle", "panel"), ("letering", "lettering"), ("cap hight", "cap height"), ("cilinder", "cylinder"),
     ("shadows", "shadow")],
)  # fmt: skip
def test_a_near_miss_suggests(run: Run, word: str, meant: str):
    said = run("keys", word)
    assert said.code == 1 and said.err.startswith(
        f"there is neither a topic nor a key '{word}'\nfix: did you mean '{meant}'?\n"
    )
    assert "`decalgen keys` lists the topics" in run("keys", "xyzzy").err


@pytest.mark.parametrize("shape", [*load()])
def test_shapes_shows_the_same_page(run: Run, shape: str):
    assert run("shapes", shape).out == run("keys", shape).out


def test_a_page_is_drawn_and_a_list_or_a_key_is_not(run: Run):
    for name in ("panel.pdf", "panel.svg", "panel.png"):
        said = run("keys", "panel", "-o", name)
        assert said.code == 0 and Path(name).stat().st_size > 10_000
    assert run("shapes", "star", "-o", "star.svg").code == 0
    said = run("keys", "-o", "all.pdf")
    assert said.code == 4 and "a picture needs a topic" in said.err
    said = run("keys", "copies", "-o", "copies.pdf")
    assert said.code == 4 and "fix: draw 'decal'" in said.err
    assert run("keys", "star", "--of").code == EXIT_USAGE


@pytest.mark.parametrize("words", ["lettering on an arc", "the circle its baseline runs along", "words on a curve"])
def test_what_is_called_otherwise_is_found_by_what_is_said_of_it(run: Run, words: str):
    said = run("keys", *words.split())
    assert said.code == 0 and said.out.startswith(
        f"Nothing is called '{words}'; it is spoken of at:\n  lettering, arc: "
    )
    assert said.out.rstrip().endswith("next: decalgen keys arc")


def test_what_stands_at_the_left_margin_is_not_to_be_written_twice(run: Run):
    assert "In a file; where it has `decals:` already, put what is below there:" in run("keys", "star").out
    assert "where it has `inks:` and `decals:` already" in run("keys", "shadow").out
    assert "In a file:\n\n    job: gannet\n" in run("keys", "job").out
