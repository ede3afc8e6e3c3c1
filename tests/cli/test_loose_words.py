"""Words without quotation marks on the command line, and commands in another spelling."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from decalgen.cli import main
from decalgen.cli.loose_words import gathered
from decalgen.core.errors import EXIT_USAGE
from decalgen.job.films import load_film, sheet_sizes
from tests.helpers.commands import Run, runner
from tests.job.slips import LONG

COMMANDS = ("check", "calibrate", "colours", "colour", "film", "add")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    Path("tug.yaml").write_text(LONG, encoding="utf-8")
    return runner(capsys)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("check tug.yaml --film white A5", ["check", "tug.yaml", "--film", "white A5"]),
        ("check --film white A5 tug.yaml", ["check", "--film", "white A5", "tug.yaml"]),
        ("check --film=white A5 tug.yaml", ["check", "--film=white A5", "tug.yaml"]),
        ("check --film A5 white --hands left", ["check", "--film", "A5 white", "--hands", "left"]),
        ("check --film white film A5 laser", ["check", "--film", "white film A5 laser"]),
        ("check --film clear 210 x 100 mm t.yaml", ["check", "--film", "clear 210 x 100 mm", "t.yaml"]),
        ("check --film clear 210x100mm t.yaml", ["check", "--film", "clear 210x100mm", "t.yaml"]),
        ("check --film 'white A5' t.yaml", ["check", "--film", "white A5", "t.yaml"]),
        ("check --film drawer t.yaml", ["check", "--film", "drawer", "t.yaml"]),
        ("check --film my.yaml A5.yaml", ["check", "--film", "my.yaml", "A5.yaml"]),
        ("check --film white A5 --film clear A4", ["check", "--film", "white A5", "--film", "clear A4"]),
        ("film add white A5 --count 2", ["film", "add", "white A5", "--count", "2"]),
        ("film add self adhesive white A5", ["film", "add", "self adhesive white A5"]),
        ("check t.yaml --gap 3 mm", ["check", "t.yaml", "--gap", "3 mm"]),
        ("check t.yaml --gap 3 u.yaml", ["check", "t.yaml", "--gap", "3", "u.yaml"]),
        ("calibrate color t.yaml", ["calibrate", "colour", "t.yaml"]),
        ("colors -o a.png", ["colours", "-o", "a.png"]),
        ("check color", ["check", "colour"]),
        ("check a.yaml color", ["check", "a.yaml", "color"]),
        ("check --film", ["check", "--film"]),
    ],
)
def test_words_that_belong_together_are_one(typed, meant):
    assert gathered(typed.split(), COMMANDS) == meant


def test_every_format_may_be_typed_without_quotes():
    for size in sheet_sizes():
        words = ["--film", "white", *size.name.split(), "t.yaml"]
        assert gathered(words, COMMANDS) == ["--film", f"white {size.name}", "t.yaml"]


@pytest.mark.parametrize("words", ["white film A5", "film white A5", "White A5 Film", "white A5 film laser"])
def test_the_word_film_says_nothing(words):
    film = load_film(words)
    assert (film.kind, film.width, film.name) == ("white", 148.0, "white A5")


@pytest.mark.parametrize("film", [("white", "A5"), ("white", "film", "A5"), ("A5", "white")])
@pytest.mark.parametrize("command", ["check", "draw", "proof", "sheet"])
def test_every_command_that_takes_film_takes_it_without_quotes(run: Run, command: str, film: tuple[str, ...]) -> None:
    quoted = run(command, "tug.yaml", "--film", " ".join(film))
    loose = run(command, "tug.yaml", "--film", *film)
    assert loose.code == quoted.code == 0
    assert "A5" not in loose.err


def test_the_other_commands_too(run: Run) -> None:
    assert run("film", "add", "white", "A5").code == 0
    assert "white A5 1" in run("film", "list").out
    assert run("calibrate", "print", "--film", "white", "film", "A5").code == 0
    assert run("calibrate", "color", "tug.yaml", "--film", "white", "A5").code == 0


def test_the_commands_do_it_themselves_however_they_are_called(run: Run) -> None:
    result = CliRunner().invoke(main.cli, ["check", "tug.yaml", "--film", "white", "A5"], standalone_mode=False)
    assert result.exception is None


@pytest.mark.parametrize(
    ("words", "option"),
    [
        (["proof", "passed", "tug-proof.pdf", "--code", "--x", "100", "--y", "100"], "--code"),
        (["proof", "tug.yaml", "-o", "--film", "white A5"], "-o"),
        (["proof", "tug.yaml", "--film", "-o", "tug-proof.pdf"], "--film"),
        (["film", "add", "white A5", "--bought", "--count", "2"], "--bought"),
    ],
)
def test_an_option_without_its_value_is_named(run: Run, words: list[str], option: str) -> None:
    said = run(*words)
    assert said.code == EXIT_USAGE and f"{option} has no value" in said.err
    named = " ".join(words[: 2 if words[1] in ("passed", "add") else 1])
    assert f"fix: `decalgen {named} --help` shows an example" in said.err
    assert sorted(path.name for path in Path().iterdir()) == ["tug.yaml"]
