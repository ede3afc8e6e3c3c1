"""`decalgen help`: every chapter of the handbook in a terminal of 80 columns, with nothing of Markdown left in it."""

from __future__ import annotations

import re

import pytest

from decalgen.cli.handbook import entries
from decalgen.cli.main import cli
from decalgen.commands.chapter_text import chapter_lines
from decalgen.commands.handbook_tables import fill_tables
from decalgen.job.reference import topics
from decalgen.pages.handbook import chapters
from decalgen.pages.handbook.parts import (
    BookCode,
    BookHeading,
    BookList,
    BookPart,
    BookTable,
    BookText,
    parts,
    plain,
)
from tests.cli.test_new import run
from tests.helpers.commands import Run

__all__ = ["run"]
NAMES = [one.name for one in chapters()]


def squeezed(text: str) -> str:
    return "".join(text.replace("`", "").split())


def words_in(found: list[BookPart] | tuple[BookPart, ...]) -> list[str]:
    """All that a chapter says, part by part."""
    said: list[str] = []
    for part in found:
        match part:
            case BookHeading():
                said.append(part.text)
            case BookText():
                said.append(plain(part.prose))
            case BookCode():
                said.append(part.text)
            case BookList():
                for item in part.items:
                    said += words_in(item)
            case BookTable():
                said += [plain(cell).split("\n")[0] for row in part.rows for cell in row]
    return said


def test_alone_it_lists_the_chapters(run: Run):
    said = run("help")
    assert said.code == 0
    assert re.findall(r"^  ([a-z-]+) +\S", said.out, re.MULTILINE) == NAMES
    assert "`decalgen keys`" in said.out


@pytest.mark.parametrize("name", NAMES)
def test_a_chapter_is_shown_whole_without_signs_of_markdown(run: Run, name: str):
    said = run("help", name)
    *lines, summary = said.out.rstrip("\n").split("\n")
    assert said.code == 0 and summary.startswith("showed the chapter ")
    assert not [line for line in lines if len(line) > 80 and not line.startswith("    ")]
    text = "\n".join(line for line in lines if not line.startswith("    "))
    assert not re.search(r"\*\*|^#|^\||<!--|\]\(|\x1b", text, re.MULTILINE)
    chapter = next(one for one in chapters() if one.name == name)
    filled = fill_tables(re.sub(r"<!-- table: keys .* -->", "", chapter.text), tuple(entries(cli)))
    there = squeezed("\n".join(lines)).casefold()
    for words in words_in(parts(chapter, filled)):
        # A cell that is broken over lines beside another is no longer in one piece.
        if len(words) < 20 or "\n" in words or squeezed(words).casefold() in there:
            continue
        assert all(squeezed(word).casefold() in there for word in words.split()), words


def test_a_chapter_is_found_by_its_title_and_a_section_by_its_own(run: Run):
    assert run("help", "Your", "first", "job").out == run("help", "first-job").out
    said = run("help", "Find the face")
    assert said.code == 0 and said.out.startswith("Find the face\n-------------\n")
    assert "decalgen fonts" in said.out and "Match what you measured" not in said.out
    assert "showed the section 'Find the face'" in said.out


@pytest.mark.parametrize("topic", ["match", "arc", "star", "cut", "cap height", "cylinder"])
def test_a_topic_of_keys_is_shown_as_keys_shows_it(run: Run, topic: str):
    assert run("help", topic).out == run("keys", topic).out


def test_every_topic_of_keys_is_known_to_help(run: Run):
    for name, _ in topics():
        assert run("help", name).code == 0
    assert "`decalgen keys lettering` explains the keys." in run("help", "lettering").out


def test_a_command_is_explained_by_its_own_help(run: Run):
    for words in (("draw",), ("film", "add"), ("proof", "passed")):
        said = run("help", *words)
        assert said.code == 0 and said.out.startswith(f"Usage: decalgen {' '.join(words)} ")
        assert said.out.rstrip().split("\n")[-1].startswith(f"explained the command '{' '.join(words)}'")


@pytest.mark.parametrize(
    ("word", "meant"),
    [("letering", "lettering"), ("film-and-nets", "film-and-nest"), ("obstacl", "obstacle"), ("roundle", "roundel"),
     ("find the fase", "Find the face")],
)  # fmt: skip
def test_a_near_miss_suggests(run: Run, word: str, meant: str):
    said = run("help", word)
    assert said.code == 1 and said.err.startswith(f"there is no help on '{word}'\nfix: did you mean '{meant}'?\n")


def test_what_is_like_nothing_is_told_where_to_look(run: Run):
    assert "`decalgen help` lists the chapters" in run("help", "xyzzyx").err


def test_tables_go_side_by_side_where_there_is_room_and_row_by_row_where_not():
    chapter = chapters()[0]
    table = "| key | meaning |\n|---|---|\n| `a` | " + "long words " * 12 + "|\n| `b` | x |\n"
    lines = chapter_lines(parts(chapter, "# t\n\n" + table))
    assert lines[3].startswith("key  meaning") and lines[4].startswith("---  ---") and max(map(len, lines)) <= 80
    assert lines[5].startswith("`a`  long words") and lines[6].startswith("     words long")
    long = "incomprehensibilities"
    five = "| a | b | c | d | e |\n|---|---|---|---|---|\n|" + f" {long} |" * 5 + "\n"
    lines = chapter_lines(parts(chapter, "# t\n\n" + five))
    assert lines[3:] == [long, *(f"  {name}: {long}" for name in "bcde")]
