"""Answers short first: errors before all, a line a decal, files by purpose, one summary line at the end."""

from __future__ import annotations

import io
import os
import re
import shlex
import sys
import threading
from dataclasses import replace
from pathlib import Path

import click
import pytest

from decalgen.cli import terminal
from decalgen.cli.answer import in_one_line, rows, wrapped
from decalgen.cli.main import cli
from decalgen.cli.progress import ProgressBar
from decalgen.cli.terminal import Screen, tell
from decalgen.commands.calibrate_printer import asked_spans
from decalgen.commands.decal_lines import decal_lines, fit_words
from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.run import Run as CommandRun
from decalgen.commands.summary import summary, whole_text
from decalgen.core.command_line import quoted, typed
from decalgen.core.errors import EXIT_FINDINGS, EXIT_USAGE, Finding, JobError, OutputError, Place
from decalgen.core.lengths import Quantity
from decalgen.pages.handbook import chapter
from decalgen.preflight import Fitting
from decalgen.workshop.printers import places
from tests.helpers.commands import Run, Said, at_home, edited, folder, runner
from tests.helpers.tug import LETTERED as JOB

FILM = ("--film", "white A5", "--effort", "quick")
SUMMARY = re.compile(r"^[^;]+: \d+ errors?, \d+ warnings?(, \d+ notes?)?( \(details: -v\))?; next: \S.*$")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder that holds the job `tug.yaml`, with a drawer and profiles of its own."""
    return at_home(JOB, tmp_path, monkeypatch, capsys)


def last(said: Said) -> str:
    """The last line of an answer."""
    return said.text.splitlines()[-1]


# ------------------------------------------------------------------------------------------------- the summary line

STEPS: dict[str, tuple[str, ...]] = {
    "new": ("lorry.yaml", "--panel", "door=22.4x11.6"),
    "format": ("tug.yaml",),
    "check": ("tug.yaml",),
    "draw": ("tug.yaml",),
    "proof": ("tug.yaml", "-o", "tug-proof.pdf", *FILM),
    "proof passed": ("tug-proof.pdf", "--x", "99.9", "--y", "100.1"),
    "sheet": ("tug.yaml", *FILM),
    "guide": ("tug.yaml",),
    "scan": ("--card", "corner-card.pdf"),
    "layouts": (),
    "shapes": (),
    "keys": ("arc",),
    "colours": (),
    "help": ("lettering",),
    "fonts": (),
    "schema": (),
    "handbook": ("-o", "handbook.html"),
    "calibrate print": ("--film", "white A5"),
    "calibrate read": ("r.txt", "--film", "white A5", "--keep", "desk", "--date", "2026-11-25"),
    "calibrate bars": ("desk", "--x", "99.9", "--y", "100.1", "--date", "2026-11-26"),
    "calibrate history": (),
    "calibrate colour": ("tug.yaml", "--film", "white A5"),
    "calibrate swatches": ("swatches.txt", "tug.yaml", "-o", "colour.yaml"),
    "film add": ("white A5",),
    "film list": (),
    "film cut-off": ("1", "--edge", "bottom 20"),
    "film back": ("1",),
    "film show": ("1",),
    "film carrier": ("1",),
    "film export": ("drawer.json",),
    "film import": ("drawer.json",),
}
"""Every command that asks nothing, in an order in which each can do its work."""
ELSEWHERE = {"bench", "measure", "film use", "film shift", "printers"}
"""Tried below."""


def names(group: click.Group = cli, lead: str = "") -> set[str]:
    """Every command by its words."""
    found: set[str] = set()
    for name, command in group.commands.items():
        if isinstance(command, click.Group):
            found |= names(command, f"{lead}{name} ")
        else:
            found.add(f"{lead}{name}")
    return found


def test_every_command_is_tried_here() -> None:
    assert names() == set(STEPS) | ELSEWHERE


def test_every_command_ends_with_one_summary_line(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    # Two chapters end as all do; these draw next to nothing.
    monkeypatch.setattr("decalgen.commands.handbook.chapters", lambda: [chapter("words"), chapter("take-care")])
    spans = asked_spans(None, "white A5", "caliper")
    rows = [f"{span}: {spans.asked(span):.2f}" for span in ("across foot", "up left")]
    Path("r.txt").write_text("\n".join(rows), encoding="utf-8")
    Path("swatches.txt").write_text("darkest: lab(9 0 0)\n", encoding="utf-8")
    for words, more in STEPS.items():
        said = run(*words.split(), *more)
        assert said.code == 0, (words, said.text)
        assert SUMMARY.match(last(said)), (words, last(said))
        assert sum(bool(SUMMARY.match(line)) for line in said.text.splitlines()) == 1, words
        quiet = run(*words.split(), *more, "-q") if words in ("check", "layouts", "film list", "draw") else None
        assert quiet is None or quiet.out == re.sub(r" \(details: -v\)", "", last(said)) + "\n", words


def test_the_commands_of_the_drawer_and_measure_end_with_it_too(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    assert run("film", "add", "white A5").code == 0
    drawer = ("--film", "drawer", "--effort", "quick")
    assert run("proof", "tug.yaml", "-o", "tug-proof.pdf", *drawer).code == 0
    sheet = run("sheet", "tug.yaml", *drawer)
    follow = last(sheet).partition("then run: ")[2]
    assert follow.startswith("decalgen film use ")
    used = run(*shlex.split(follow)[1:])
    assert used.code == 0 and SUMMARY.match(last(used)), used.text
    moved = run("film", "shift", "white A5 1", "--x", "0.4mm")
    assert moved.code == 0 and SUMMARY.match(last(moved)), moved.text
    edited("width: 22.40 mm ± 0.05", "width: ?")
    answers = iter(["22.4"])
    monkeypatch.setattr("click.termui.visible_prompt_func", lambda _: next(answers))
    measured = run("measure", "tug.yaml")
    assert measured.code == 0 and SUMMARY.match(last(measured)) and last(measured).endswith("decalgen check tug.yaml")


def test_the_page_of_a_job_ends_with_it_too(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("decalgen.bench.serve.serve", lambda *_: None)
    said = run("bench", "tug.yaml")
    assert SUMMARY.match(last(said)) and last(said).endswith("next: decalgen check tug.yaml"), said.text


def test_looking_for_printers_ends_with_it_too(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """The network is not asked here."""
    for source in ("queues", "ask_network"):
        monkeypatch.setattr(places, source, lambda *_, **__: [])
    said = run("printers")
    assert SUMMARY.match(last(said)), said.text


def test_each_next_command_can_be_pasted_from_the_first_check_to_the_print(run: Run) -> None:
    """Only what a person reads off the paper is filled in."""
    Path("my jobs").mkdir()
    Path("tug.yaml").rename("my jobs/tug.yaml")
    said = run("check", "my jobs/tug.yaml", *FILM)
    proof = last(said).partition("next: ")[2]
    assert shlex.split(proof) == ["decalgen", "proof", "my jobs/tug.yaml", "--film", "white A5", "--effort", "quick"]
    said = run(*shlex.split(proof)[1:])
    passing = last(said).partition("then run: ")[2]
    assert passing == "decalgen proof passed tug-proof.pdf --code _____ --x ____ --y ____"
    said = run("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1")
    sheet = shlex.split(last(said).partition("next: ")[2])
    assert sheet[:3] == ["decalgen", "sheet", "my jobs/tug.yaml"]
    said = run(*sheet[1:])
    assert said.code == 0 and Path("tug-sheet.pdf").is_file() and "as on the proof" in said.out
    again = last(said).partition("again: ")[2]
    assert run(*shlex.split(again)[1:]).code == 0


def test_a_proof_of_an_earlier_version_names_no_command_it_does_not_know(run: Run) -> None:
    from tests.helpers.commands import resealed

    assert run("proof", "tug.yaml", "-o", "tug-proof.pdf", *FILM).code == 0
    resealed("tug.positions.json", command=[])
    said = run("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1")
    assert last(said).endswith("next: run decalgen sheet with the jobs, film and printer of the proof")


@pytest.mark.parametrize(
    ("x", "counts", "follow"),
    [
        ("92.9", "proof refused: 1 error, 0 warnings", "print the proof again as said above, then run: "),
        ("99.9", "proof passed: 0 errors, 0 warnings", "decalgen sheet tug.yaml "),
    ],
)
def test_a_proof_that_is_refused_counts_as_an_error(run: Run, x: str, counts: str, follow: str) -> None:
    assert run("proof", "tug.yaml", "-o", "tug-proof.pdf", *FILM).code == 0
    said = run("proof", "passed", "tug-proof.pdf", "--x", x, "--y", x)
    assert last(said).startswith(f"{counts}; next: {follow}"), said.out
    assert said.code == (EXIT_FINDINGS if "refused" in counts else 0)


def test_a_command_that_cannot_do_its_work_says_how_to_go_on(run: Run) -> None:
    edited("height: 4 mm", "height: -4 mm")
    edited("panel: door", "panel: dor")
    said = run("check", "tug.yaml")
    assert said.code == JobError.exit_code
    assert last(said) == "stopped: 2 errors, 0 warnings; next: correct them, then run: decalgen check tug.yaml"
    said = run("check", "tig.yaml")
    assert last(said) == "stopped: 1 error, 0 warnings; next: do what the fix says"
    said = run("check", "tug.yaml", "--nonsense")
    assert said.code == EXIT_USAGE and "stopped" not in said.text


def test_the_next_step_after_a_refused_print_makes_measures_or_makes_again_its_proof(
    run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    gated = runner(capsys, gated=True)
    said = gated("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *FILM)
    make = 'decalgen proof tug.yaml -o tug-proof.pdf --film "white A5" --effort quick'
    assert last(said) == f"stopped: 1 error, 0 warnings; next: {make}"
    assert gated(*shlex.split(make)[1:]).code == 0
    said = gated("sheet", "tug.yaml", *FILM)
    measure = "decalgen proof passed tug.positions.json --code _____ --x ____ --y ____"
    assert last(said) == f"stopped: 1 error, 0 warnings; next: {measure}"
    assert gated("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1").code == 0
    edited("#e8641b", "#e8641c")
    said = gated("sheet", "tug.yaml", *FILM)
    assert last(said) == f"stopped: 1 error, 0 warnings; next: {make}", said.err
    said = gated("sheet", "tug.yaml", "--nest-again", *FILM)
    assert last(said) == f"stopped: 1 error, 0 warnings; next: {make}", said.err


# -------------------------------------------------------------------------------------------------------- the check


def test_the_check_of_the_four_demo_jobs_has_25_lines_at_most(run: Run, repository: Path) -> None:
    jobs = [str(repository / "demo" / f"{name}.yaml") for name in ("gannet", "h9", "ostmerrow", "dravenhoe")]
    films = [str(repository / "demo" / "films" / f"{kind}-a5.yaml") for kind in ("white", "clear")]
    given = ["--film", films[0], "--film", films[1], "--printer", str(repository / "demo" / "printer.yaml")]
    for more in ([], given):
        said = run("check", *jobs, *more)
        lines = said.out.splitlines()
        assert said.code == 0 and len(lines) <= 25, len(lines)
        assert "gannet: door band, both hands, on door: fits, tightest: left edge 0.50 ± 0.03 mm" in lines
        assert "gannet: bonnet chevrons, on bonnet: fits, tightest: top edge 3.00 ± 0.00 mm" in lines
        # Each decal once with its fit, in a line of its own or in its first warning.
        assert sum("tightest: " in line for line in lines) == 22
        warnings = [n for n, line in enumerate(lines) if re.search(r"\.yaml:\d+: warning ", line)]
        assert warnings == list(range(len(warnings))), "warnings come first"
        assert all("; fix: " in lines[n] for n in warnings)
        (both,) = (line for line in lines if "on-obstacle" in line)
        assert "side blocks, both hands, on side: too big, tightest: wheel arch -3.00 ± 0.06 mm; overlaps" in both
        assert "strain-softener" not in said.out and "2 notes (details: -v)" in lines[-1]
        # The tightest place of one hand is the mirrored one of the other.
        strips = "dravenhoe: warning strips, both hands, on cab front: fits, tightest: left edge 0.50 ± 0.00 mm"
        assert f"{strips} (right hand: right edge)" in lines


def test_hands_that_do_not_agree_have_a_line_each(run: Run) -> None:
    """As where lettering reaches out of one hand alone."""
    edited("at: bottom", "at: {anchor: bottom, offset: [0 mm, 0.4 mm]}")
    found = CommandRun([Path("tug.yaml")]).examined
    left, right = found.fits["tug"]
    both, _ = decal_lines(CommandRun([Path("tug.yaml")]).jobs, found, ())
    assert both == ("band, both hands, on door: fits, tightest: bottom edge 0.40 ± 0.00 mm",)
    apart = found._replace(fits={"tug": (left, replace(right, cut_off=True))})
    lines, _ = decal_lines(CommandRun([Path("tug.yaml")]).jobs, apart, ())
    assert lines == (
        "band, left, on door: fits, tightest: bottom edge 0.40 ± 0.00 mm",
        "band, right, on door: lettering cut off, tightest: bottom edge 0.40 ± 0.00 mm",
    )
    # A warning goes to the line of its hand.
    warning = Finding("warning", "w", "band, right", "is cut off")
    apart = apart._replace(on_decals={("tug", "band"): (warning,)})
    lines, brief = decal_lines(CommandRun([Path("tug.yaml")]).jobs, apart, (warning,))
    assert lines == ("band, left, on door: fits, tightest: bottom edge 0.40 ± 0.00 mm",)
    (told,) = brief
    assert (told.subject, told.message) == (
        "band, right, on door",
        "lettering cut off, tightest: bottom edge 0.40 ± 0.00 mm; is cut off",
    )


def test_hands_share_a_line_only_where_verdict_figures_and_mirrored_places_agree(run: Run) -> None:
    edited("at: bottom", "at: {anchor: bottom left, offset: [0.3 mm, 0.4 mm]}")
    edited("width: panel.width - 2 mm", "width: 9 mm")
    given = CommandRun([Path("tug.yaml")])
    left, right = given.examined.fits["tug"]

    def lines(right: Fitting) -> tuple[str, ...]:
        return decal_lines(given.jobs, given.examined._replace(fits={"tug": (left, right)}), ())[0]

    def nearest(side: str, amount: float) -> Fitting:
        known = [item for item in right.fit.clearances if item.to != "right"]
        moved = next(item for item in right.fit.clearances if item.to == "right")
        moved = replace(moved, to=side, amount=Quantity(amount, 1))
        return replace(right, fit=replace(right.fit, clearances=(*known, moved)))

    assert lines(right) == (
        "band, both hands, on door: fits, tightest: left edge 0.30 ± 0.00 mm (right hand: right edge)",
    )
    assert len(lines(replace(right, cut_off=True))) == 2, "another verdict"
    assert len(lines(nearest("right", 0.31))) == 2, "another figure"
    assert len(lines(nearest("side 3", 0.3))) == 2, "another place"


def test_of_places_that_are_equally_tight_the_first_is_named(run: Run) -> None:
    """Whatever the last digits of a sum are."""
    (left, _) = CommandRun([Path("tug.yaml")]).examined.fits["tug"]
    for last_digits in (1e-9, -1e-9):
        amounts = {"left": 0.5 + last_digits, "right": 0.5, "bottom": 0.6, "top": 0.7}
        clear = tuple(replace(left.fit.clearances[0], to=to, amount=Quantity(v, 1)) for to, v in amounts.items())
        assert fit_words(replace(left, fit=replace(left.fit, clearances=clear))).endswith("left edge 0.50 ± 0.00 mm")


def test_an_error_on_both_hands_is_shown_once_and_counted_twice(run: Run) -> None:
    edited("height: 4 mm", "height: 40 mm")
    said = run("check", "tug.yaml")
    assert said.out.count("error off-panel: band, both hands: ") == 1 and "band, left" not in said.out
    assert "band, both hands, on door: too big, tightest: top edge -28.40 ± 0.06 mm" in said.out.splitlines()
    assert ": 2 errors, 0 warnings" in last(said)
    assert run("check", "tug.yaml", "-v").out.count("error off-panel: ") == 2


def test_a_warning_on_something_else_keeps_its_subject_and_the_decal_its_line(run: Run) -> None:
    found = CommandRun([Path("tug.yaml")]).examined
    warning = Finding("warning", "w", "lifebuoy orange on navy", "is dark")
    told = found._replace(on_decals={("tug", "band"): (warning,)})
    lines, brief = decal_lines(CommandRun([Path("tug.yaml")]).jobs, told, (warning,))
    assert len(lines) == 1 and brief == (warning,)


def test_verbose_shows_every_clearance_and_note(run: Run) -> None:
    edited("panels: {door:", "panels: {lid: {width: 5 mm, height: 5 mm}, door:")
    short, long = run("check", "tug.yaml"), run("check", "tug.yaml", "-v")
    assert "note unused-panel" not in short.out and "note unused-panel" in long.out
    assert "spare width" not in short.out and "    spare width              +2.00 ± 0.06 mm" in long.out
    assert last(short).replace(" (details: -v)", "") == last(long)


def test_quiet_shows_errors_and_the_summary_alone(run: Run) -> None:
    edited("width: panel.width - 2 mm", "width: panel.width + 2 mm")
    said = run("check", "tug.yaml", "-q")
    lines = said.out.splitlines()
    assert said.code == EXIT_FINDINGS and "error off-panel" in lines[0] and SUMMARY.match(lines[-1])
    assert "warning" not in "".join(lines[:-1]) and "tightest" not in said.out
    assert lines[-1].endswith("next: correct the errors, then run: decalgen check tug.yaml")
    whole = run("check", "tug.yaml")
    assert whole.out.splitlines()[0] == lines[0], "errors come first"


def test_the_next_step_of_a_job_with_open_readings_is_to_measure(run: Run) -> None:
    edited("width: 22.40 mm ± 0.05", "width: ?")
    said = run("check", "tug.yaml")
    assert last(said).endswith("next: decalgen measure tug.yaml")
    assert "band, both hands, on door: not known yet, 1 reading open" in said.out
    drawn = run("draw", "tug.yaml")
    assert drawn.code == 0 and last(drawn).endswith("next: decalgen measure tug.yaml")
    assert "with assumed sizes, as 1 reading is open: 0 errors" in last(drawn)
    edited("height: 11.60 mm ± 0.05", "height: ?")
    assert "with assumed sizes, as 2 readings are open" in last(run("draw", "tug.yaml"))


def test_a_long_warning_is_told_with_its_first_fix_and_no_asides_and_points_to_the_whole() -> None:
    aside, fix = " (two estimates differ)", "add `cut: panel` (`gap: 1 mm`), or wait"
    short = Finding("warning", "w", "door", f"thin{aside}", f"{fix}")
    assert in_one_line(short) == f"warning w: door: thin{aside}; fix: {fix}"
    long = replace(short, message=f"{'thin ' * 30}{aside.strip()}", fix=f"{fix} (weeks)")
    assert in_one_line(long) == f"warning w: door: {'thin ' * 30}".rstrip() + "; fix: add `cut: panel` (`gap: 1 mm`)"
    for one, more in ((short, ""), (long, "details: -v")):
        result = Result((), findings=(one,), answer=Answer("done it", "go on"))
        assert list(rows(result))[-1].text == summary(result, more)
        assert str(one) in next(iter(rows(result, "whole"))).text


def test_the_whole_answer_goes_to_a_text_file(run: Run) -> None:
    said = run("check", "tug.yaml", "-q", "-o", "check.txt")
    assert said.code == 0 and said.out.splitlines()[:-1] == []
    text = Path("check.txt").read_text(encoding="utf-8")
    assert "    left edge                +1.00 ± 0.03 mm" in text and text.splitlines()[-1] == last(said)
    assert "the whole answer: check.txt" in run("check", "tug.yaml", "-o", "check.txt").out
    for words in (("film", "list"), ("calibrate", "history")):
        assert run(*words, "-o", "list.txt").code == 0
        assert SUMMARY.match(Path("list.txt").read_text(encoding="utf-8").splitlines()[-1])


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("check", "tug.yaml", "-o", "tug.yaml"), "let its name end in .txt"),
        (("check", "tug.yaml", "--json", "-o", "c.txt"), "--json is written to the screen"),
        (("check", "tug.yaml", "-v", "-q"), "use one of them"),
    ],
)
def test_mistakes_with_these_options_cost_nothing(run: Run, words: tuple[str, ...], says: str) -> None:
    before = folder()
    said = run(*words)
    assert said.code == EXIT_USAGE and says in said.err and folder() == before


def test_a_report_that_cannot_be_written_is_told(run: Run) -> None:
    Path("c.txt").mkdir()
    said = run("check", "tug.yaml", "-o", "c.txt")
    assert said.code == OutputError.exit_code and "is a folder" in said.err


# ------------------------------------------------------------------------------------------------------- the terminal

NOTE = Finding("note", "n", "door", "a note")
WARNING = Finding("warning", "w", "band", "closes up", "widen it", Place("tug.yaml", 7, 3, "  band:"))
ERROR = Finding("error", "e", "band", "does not fit", "make it smaller", Place("tug.yaml", 7, 3, "  band:", 4))
FILES = tuple(Path(f"p{n}.svg") for n in range(5))
RESULT = Result(
    (*FILES, Path("other.txt")),
    (NOTE, WARNING, ERROR),
    ("short",),
    Answer("drew", "decalgen check tug.yaml", (FileGroup("pictures", FILES), FileGroup("empty", ())), ("long",)),
)


def test_errors_then_warnings_then_lines_then_files_then_the_summary() -> None:
    assert [row.text for row in rows(RESULT)] == [
        str(ERROR),
        "tug.yaml:7: warning w: band: closes up; fix: widen it",
        "short",
        "pictures: p0.svg, p1.svg, p2.svg and 2 more",
        "wrote: other.txt",
        "drew: 1 error, 1 warning, 1 note (details: -v); next: decalgen check tug.yaml",
    ]
    assert [row.text for row in rows(RESULT, "errors")] == [
        str(ERROR),
        "drew: 1 error, 1 warning, 1 note; next: decalgen check tug.yaml",
    ]
    listed = "\n  ".join(["pictures:", *map(str, FILES)])
    assert [row.text for row in rows(RESULT, "whole")] == [
        *map(str, (ERROR, WARNING, NOTE)),
        "long",
        listed,
        "wrote: other.txt",
        "drew: 1 error, 1 warning, 1 note; next: decalgen check tug.yaml",
    ]


def test_the_whole_text_has_all_of_it() -> None:
    text = whole_text(RESULT)
    assert text == "\n".join([*map(str, (ERROR, WARNING, NOTE)), "", "long", "", summary(RESULT), ""])


def test_what_is_only_counted_is_hinted_at() -> None:
    *_, row = rows(Result((), (NOTE,), answer=Answer("checked", "go on")))
    assert row.text == "checked: 0 errors, 0 warnings, 1 note (details: -v); next: go on"
    *_, row = rows(Result(FILES, (), answer=Answer("drew", "go on")))
    assert row.text == "drew: 0 errors, 0 warnings (details: -v); next: go on"
    *_, row = rows(Result(FILES[:3], (WARNING,), answer=Answer("drew", "go on")))
    assert row.text == "drew: 0 errors, 1 warning; next: go on"


def test_a_finding_without_place_or_fix_is_one_line() -> None:
    assert in_one_line(NOTE) == "note n: door: a note"


class Window(io.StringIO):
    """A terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("terminal_is", "no_colour", "coloured"), [(True, "", 2), (True, "1", 0), (False, "", 0)])
def test_colours_only_on_a_terminal_that_wants_them_and_the_word_is_always_there(
    monkeypatch: pytest.MonkeyPatch, terminal_is: bool, no_colour: str, coloured: int
) -> None:
    monkeypatch.setenv("NO_COLOR", no_colour)
    monkeypatch.setenv("TERM", "xterm")
    there = Window() if terminal_is else io.StringIO()
    monkeypatch.setattr(sys, "stdout", Screen(there))
    tell(RESULT)
    shown = there.getvalue()
    assert shown.count("\x1b[0m") == coloured
    assert "error e" in shown and "warning w" in shown


def test_long_rows_are_broken_for_a_narrow_window_and_commands_are_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.get_terminal_size", lambda *_, **__: os.terminal_size((80, 24)))
    long = Finding("warning", "w", "band", "one word after the other " * 9, "shorten it", Place("tug.yaml", 7, 3))
    follow = "decalgen check " + " ".join(f"a-job-of-some-length-{n}.yaml" for n in range(9))
    result = Result((), (long,), ("  word" * 40,), Answer("checked", follow))
    there = Window()
    monkeypatch.setattr(sys, "stdout", Screen(there))
    tell(result)
    lines = re.sub("\x1b\\[[0-9]*m", "", there.getvalue()).splitlines()
    assert lines[-1].endswith(follow)
    assert len(lines) > 6 and max(len(line) for line in lines[:-1]) <= 80
    assert lines[1].startswith("    ") and lines[-2].startswith("      ")
    there = io.StringIO()
    monkeypatch.setattr(sys, "stdout", Screen(there))
    tell(result)
    assert len(there.getvalue().splitlines()) == 3, "nothing is broken where no person watches"


def test_rows_are_broken_between_words_alone() -> None:
    assert wrapped("a " * 30 + "b" * 60, 40).splitlines()[-1] == "    " + "b" * 60
    assert wrapped("a " * 30, 39) == "a " * 30 and wrapped("a " * 30, None) == "a " * 30


def test_a_size_stays_with_its_unit_and_what_is_to_be_typed_in_one_piece() -> None:
    second = wrapped("tightest place: the upper edge 0.50 ± 0.03 mm, and more", 41).splitlines()[1]
    assert second.startswith("    0.50 ± 0.03 mm,")
    typed_in = "`compensate: yes, least gap: 0.2 mm`"
    assert typed_in in wrapped(f"make them larger, or better add {typed_in} to it", 50).splitlines()[1]


@pytest.mark.parametrize("column", [1, 60, 105, 150])
def test_a_line_of_a_file_is_cut_to_the_window_with_its_carets_below_the_same_words(column: int) -> None:
    line = "".join(chr(0x4E00 + n) for n in range(150)) + "the end"
    finding = Finding("error", "e", "band", "is wrong", "correct it", Place("tug.yaml", 1, column, line, 5))
    shown = wrapped(str(finding), 80).splitlines()
    excerpt, carets = shown[-3:-1]
    assert max(map(len, shown)) <= 80 and carets.strip() == "^" * 5
    assert excerpt[carets.index("^") :][:5] == line[column - 1 : column + 4]
    assert excerpt.startswith("    ...") == (column > 50)
    assert excerpt.endswith("..." if column < 110 else "the end")
    assert wrapped(str(finding), 200) == str(finding)


def test_a_message_of_an_error_is_broken_to_the_window_too(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.get_terminal_size", lambda *_, **__: os.terminal_size((60, 24)))
    monkeypatch.setattr("decalgen.cli.terminal.Screen.isatty", lambda _: True)
    said = run("check", "a-file-with-a-long-name-that-is-not-there-at-all.yaml")
    lines = said.err.splitlines()[:-1]
    assert lines[:2] == ["there is no file", "    a-file-with-a-long-name-that-is-not-there-at-all.yaml"], lines


# ----------------------------------------------------------------------------------------------------------- progress


def test_progress_is_shown_while_a_stage_lasts_and_is_gone_before_the_answer(
    run: Run, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The stage waits until its line was drawn, however long that takes."""
    drawn = threading.Event()
    over = terminal.over

    def seen(text: str) -> None:
        over(text)
        if text.startswith("checking the decals"):
            drawn.set()

    monkeypatch.setattr("decalgen.cli.progress.over", seen)
    monkeypatch.setattr("decalgen.cli.progress.TICK", 0.01)
    monkeypatch.setattr("decalgen.cli.progress.watched", lambda: True)
    from decalgen.preflight import checks

    examine = checks.examine

    def slow(*given: object) -> object:
        assert drawn.wait(120)
        return examine(*given)  # type: ignore[arg-type]

    monkeypatch.setattr("decalgen.preflight.examine", slow)
    said = run("check", "tug.yaml")
    assert said.code == 0 and "checking the decals ... " in said.err
    assert said.err.rpartition("\r")[2] == "" and not said.err.rsplit("\r", 2)[1].strip()
    assert "checking the decals" not in said.out


def test_no_progress_where_nobody_watches(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("decalgen.cli.progress.TICK", 0.001)
    assert run("check", "tug.yaml").err == ""
    assert run("proof", "tug.yaml", *FILM).err == ""


def test_a_nest_draws_its_own_line_and_the_next_stage_takes_over(monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[str] = []
    monkeypatch.setattr("decalgen.cli.progress.over", shown.append)
    bar = ProgressBar("nesting")
    bar.nesting = True
    bar.tick()
    assert shown == []
    bar.stage("drawing the sheets")
    bar.tick()
    assert shown == ["drawing the sheets ... 2 s"]


def test_the_line_of_progress_is_gone_when_the_work_is_done(capsys: pytest.CaptureFixture[str]) -> None:
    with ProgressBar("checking") as bar:
        bar.tick()
    assert capsys.readouterr().err == f"\rchecking ... 1 s\r{' ' * 16}\r"


def test_a_line_of_progress_fits_the_window_and_covers_the_one_before(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("shutil.get_terminal_size", lambda *_, **__: os.terminal_size((40, 24)))
    terminal.over("x" * 100)
    terminal.over("short")
    terminal.put("answer", to_errors=True)
    parts = capsys.readouterr().err.split("\r")
    assert parts[1] == "x" * 39 and parts[2] == f"{'short':<39}" and parts[-1] == "answer\n"


# ---------------------------------------------------------------------------------------------------- ready to paste


@pytest.mark.parametrize("word", ["tug.yaml", "white A5", "", 'a"b', "a$HOME", "a`ls`", "it's", "C:\\x y", "!1"])
def test_a_word_is_quoted_so_that_a_shell_reads_it_back(word: str) -> None:
    assert shlex.split(quoted(word)) == [word] or "\\" in word
    assert typed(["decalgen", "check", "my van.yaml"]) == 'decalgen check "my van.yaml"'
