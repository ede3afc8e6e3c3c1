"""Slips of the pen in a job file: read as meant, or told with the line as it should read, which is then tried."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from decalgen.core.errors import JobError, Problem
from decalgen.job.edits import values
from decalgen.job.films import load_cutter, load_film, load_printer
from decalgen.job.loader import load_job

from .slips import CASES, LONG, MENDED, READ, SHORT, SOUND, WORDS

ROOT = Path(__file__).resolve().parents[2]


def mistakes_of(read: Callable[[str], object], text: str, name: str = "job.yaml") -> tuple[Problem, ...]:
    """All that is said of a text."""
    Path(name).write_text(text, encoding="utf-8")
    try:
        read(name)
    except JobError as error:
        return error.problems
    return ()


def with_lines(text: str, problems: Sequence[Problem]) -> str:
    """A text with the lines that problems give, each in place of the one it is told at; of several for one line the
    last, which mends what the others do too. From below, so that places above stay right."""
    lines = text.split("\n")
    given = {problem.place.line: problem for problem in problems if problem.line and problem.place}
    for line, problem in sorted(given.items(), reverse=True):
        assert problem.place is not None and lines[line - 1] == problem.place.text
        lines[line - 1 : line - 1 + problem.lines] = problem.line.split("\n")
    return "\n".join(lines)


def said(problems: Sequence[Problem]) -> Counter[str]:
    return Counter(problem.message for problem in problems)


@pytest.mark.parametrize(("good", "name", "old", "new", "becomes"), CASES, ids=[case[1] for case in CASES])
def test_a_slip_is_read_as_meant_or_its_line_is_shown_as_it_should_read(folder, good, name, old, new, becomes):
    assert old in good
    text = good.replace(old, new, 1)
    problems = mistakes_of(load_job, text)
    if becomes == READ:
        assert problems == ()
        return
    assert problems
    given = [problem for problem in problems if problem.line]
    if becomes == WORDS:
        assert all(problem.fix for problem in problems)
        return
    assert given == list(problems), "a mistake is left that has no line"
    for problem in given:
        # The line stands after `fix:` as it is to be pasted.
        rows = str(problem).split("\n")
        first = next(row for row in rows if row.startswith("    fix: "))
        assert first.removeprefix("    fix: ") == problem.line.split("\n")[0]
        left = mistakes_of(load_job, with_lines(text, [problem]))
        assert said(left)[problem.message] < said(problems)[problem.message]
        assert not said(left) - said(problems)
    mended = with_lines(text, given)
    assert mistakes_of(load_job, mended) == ()
    assert (values(mended) == values(good)) == (becomes == MENDED)
    assert becomes in (MENDED, SOUND)


def test_the_table_holds_many_kinds_of_mistake():
    assert len({case[1] for case in CASES}) == len(CASES)
    assert sum(case[4] in (MENDED, SOUND) for case in CASES) > 150
    assert {case[0] for case in CASES} == {LONG, SHORT}


@pytest.mark.parametrize("good", [LONG, SHORT])
def test_the_good_jobs_are_good(folder, good):
    assert mistakes_of(load_job, good) == ()


def test_several_slips_are_all_told_in_one_run(folder):
    text = LONG.replace("film: white", "film:white").replace('navy: "#1d2b4a"', "navy: #1d2b4a")
    text = text.replace("at: [18 mm, 9 mm]", "at: [18 mm, 9 mm").replace("    height: 4 mm", "\theight: 4,5 mm")
    problems = mistakes_of(load_job, text)
    assert [problem.place.line for problem in problems if problem.place] == [31, 6, 22, 9, 31]
    assert all(problem.line for problem in problems)
    assert mistakes_of(load_job, with_lines(text, problems[1:])) == ()


def test_what_stops_the_reader_is_mended_behind_a_mistake_that_does_not(folder):
    text = LONG.replace("title: Harbour tug", "job: tug").replace("at: [18 mm, 9 mm]", "at: [18 mm, 9 mm")
    stopping, repeated = mistakes_of(load_job, text)
    assert (stopping.line, repeated.fix) == ("        at: [18 mm, 9 mm]", "keep one of the two")


def test_places_are_those_of_the_file_as_it_is(folder):
    """A second mistake on a line that is mended for the first is still told where it stands."""
    problems = mistakes_of(load_job, LONG.replace("    height: 4 mm", "    height:4 mn"))
    assert [(p.place.line, p.place.column, p.place.text) for p in problems if p.place] == [
        (31, 12, "    height:4 mn"),
        (31, 14, "    height:4 mn"),
    ]


def test_a_value_that_is_missing_is_never_made_up(folder):
    for old in ("    height: 11.60 mm ± 0.05", "    height: 4 mm"):
        (problem,) = mistakes_of(load_job, LONG.replace(old, old.split(":")[0] + ":"))
        assert "12.40" not in problem.line
    # A reading that has no value is one that is still to be taken.
    (problem,) = mistakes_of(load_job, LONG.replace("    height: 11.60 mm ± 0.05", "    height:"))
    assert problem.line == "    height: ?"
    # Which of two names that are alike was meant is a question.
    (problem,) = mistakes_of(load_job, LONG.replace("    height: 4 mm", "    heigth: 4 mm"))
    assert (problem.line, problem.fix) == ("", "did you mean 'height'?")


def test_a_tab_before_lines_is_mended_the_same_way_in_all(folder):
    rows = LONG.split("\n")
    start = rows.index("  door:")
    rows[start : start + 3] = [
        "\t" + rows[start].lstrip(),
        *("\t\t" + row.lstrip() for row in rows[start + 1 : start + 3]),
    ]
    text = "\n".join(rows)
    problems = mistakes_of(load_job, text)
    assert [problem.line for problem in problems] == LONG.split("\n")[start : start + 3]


def test_mistakes_of_an_included_file_show_its_lines(folder):
    Path("inks.yaml").write_text('inks:\n  harbour teal:"#127077"\n  rope cream: "#e4cba0"\n', encoding="utf-8")
    cut = LONG.index("inks:"), LONG.index("panels:")
    problems = mistakes_of(load_job, LONG[: cut[0]] + "include: inks.yaml\n" + LONG[cut[1] :])
    assert [(p.place.file, p.place.line, p.line) for p in problems if p.place] == [
        ("inks.yaml", 2, '  harbour teal: "#127077"')
    ]


FILM = "film: kept\nkind: white\nprocess: inkjet\nwidth: 148 mm\nheight: 210 mm\n"
PRINTER = "printer: desk\nprocess: inkjet\nmargins: [5 mm, 5 mm, 10 mm, 5 mm]\nwhite: no\n"
CUTTER = "cutter: blade\nscale x: 1.002\nscale y: 0.998\n"


@pytest.mark.parametrize(
    ("read", "good", "old", "new"),
    [
        (load_film, FILM, "kind: white", "kind:white"),
        (load_film, FILM, "width: 148 mm", "width: 148,5 mm"),
        (load_film, FILM, "height: 210 mm", "height: 210"),
        (load_film, FILM, "kind: white", "kind = white"),
        (load_printer, PRINTER, "10 mm, 5 mm]", "10 mm, 5 mm"),
        (load_printer, PRINTER, "margins: [5", "margins:[5"),
        (load_printer, PRINTER, "white: no", "\twhite: no"),
        (load_cutter, CUTTER, "scale x: 1.002", "scale x: 1,002"),
        (load_cutter, CUTTER, "scale y: 0.998", " scale y: 0.998"),
    ],
)
def test_film_printer_and_cutter_files_too(folder, read, good, old, new):
    text = good.replace(old, new)
    problems = mistakes_of(read, text, "x.yaml")
    assert problems and all(problem.line for problem in problems)
    assert mistakes_of(read, with_lines(text, problems), "x.yaml") == ()


def test_what_is_refused_whatever_was_meant_is_told_as_that(folder):
    for text, message in (
        (LONG.replace("HARBOUR STORES", "*NEW*"), "'*NEW*' is an alias, which is not read here"),
        (LONG.replace("HARBOUR STORES", "!STOP"), "this is a tag (!), and tags are not read"),
    ):
        (problem,) = mistakes_of(load_job, text)
        assert problem.message == message and '"' in problem.line


def test_shapes_without_dashes_are_read_as_the_list_they_are(load):
    dashless = LONG.replace("      - checks:", "        checks:").replace("      - lettering:", "        lettering:")
    assert load(dashless).decals[0].artwork[0].shape == load(LONG).decals[0].artwork[0].shape
    assert len(load(dashless).decals[0].artwork) == 3


def test_trying_ends(folder, monkeypatch):
    """By a count of what is read, so that the same file always gives the same answer."""
    from decalgen.job import mending

    read = 0
    real = mending.parse

    def counted(source, problems):
        nonlocal read
        read += sum(map(len, source.lines))
        return real(source, problems)

    monkeypatch.setattr(mending, "parse", counted)
    text = (ROOT / "tests" / "job" / "goldens" / "bad.yaml").read_text(encoding="utf-8")
    first = mistakes_of(load_job, text)
    assert 0 < read < 3 * mending.MOST_READ
    assert mistakes_of(load_job, text) == first


def test_a_good_file_pays_nothing(folder, monkeypatch):
    from decalgen.job import mending

    monkeypatch.setattr(mending, "mended_files", lambda *_: pytest.fail("a good file was mended"))
    assert mistakes_of(load_job, LONG) == ()


def test_what_is_read_again_is_counted(monkeypatch):
    from decalgen.core.errors import Place
    from decalgen.job import mending
    from decalgen.job.files import source_of

    monkeypatch.setattr(mending, "MOST_READ", 5_000)
    never = Problem("never mended", "", Place("x.yaml", 31, 13, "    height: 4 mm", 4))
    read = 0

    def judge(texts):
        nonlocal read
        read += len(texts["x.yaml"])
        return (never,)

    source = source_of(LONG.replace("height: 4 mm", "height: 4,5 and 6"), "x.yaml")
    (told,) = mending.mended_files([never], judge, {"x.yaml": source})
    assert told.line == "" and 2_000 < read <= 4_000


def test_places_are_right_behind_lines_that_were_parted(folder):
    text = LONG.replace("    hands: both\n    at: bottom\n", "    hands: both at: bottom\n")
    text = text.replace("    height: 4 mm", "    height: 4 mn")
    first, second = mistakes_of(load_job, text)
    assert first.line == "    hands: both\n    at: bottom"
    assert second.place is not None and second.place.text == "    height: 4 mn"
    assert text.split("\n")[second.place.line - 1] == second.place.text


def test_a_block_is_moved_with_all_that_is_under_it():
    from decalgen.job.indents import Change, shifts

    found = list(shifts(("a:", "b:", "  c: 1", "", "d: 2"), 1))
    assert any((one.first, one.count, one.new) == (1, 2, ("  b:", "    c: 1")) for one in found)
    assert all(isinstance(one, Change) for one in found)
