"""What reaches the terminal: nothing of a stranger's that steers it, and no fault where nothing can be shown."""

from __future__ import annotations

import errno
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import FrameType

import click
import pytest

from decalgen.cli import main
from decalgen.cli.patterns import spread
from decalgen.cli.terminal import Screen, ask
from decalgen.core.errors import Interrupted, JobError, OutputError
from tests.helpers.commands import Run, runner

EVIL = "x\x1b]0;owned\x07\x9b31m\u202ey"
"""Sets a window's title (ECMA-48 with the OSC of xterm), colours what follows, and turns the writing round."""
ESCAPED = '"x\\e]0;owned\\a\\x9b31m\\u202Ey"'
"""The same as YAML writes it: what is read from such a file is raw."""
RAW = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")

JOB = """\
job: tug
title: TITLE
body: "#1d2b4a"
film: white
inks: {teal: {colour: "#1f7f86"}}
panels: {door: {width: 22.40 mm, height: 11.60 mm}}
decals:
  band: {panel: door, width: 9 mm, height: 4 mm, artwork: [{field: {ink: teal}}]}
"""


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder that holds the job `tug.yaml`."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    Path("tug.yaml").write_text(JOB.replace("TITLE", "a tug"), encoding="utf-8")
    return runner(capsys)


# -------------------------------------------------------------------------------------------------------- nothing raw


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("TITLE", ESCAPED),
        ("job: tug", f"job: {ESCAPED}"),
        ("teal", ESCAPED),
        ("door", ESCAPED),
        ("band", ESCAPED),
        ("width", ESCAPED),
        ("field", ESCAPED),
        ("9 mm", ESCAPED),
        ("9 mm", EVIL),
        ("# 1d2b4a", EVIL),
        ("body", f"{EVIL}: 3\nbody"),
        ("job: tug", f"include: {ESCAPED}\njob: tug"),
    ],
)
@pytest.mark.parametrize("command", [("check",), ("check", "--json"), ("proof", "--effort", "quick"), ("draw",)])
def test_no_word_of_a_job_steers_the_terminal(run: Run, old: str, new: str, command: tuple[str, ...]) -> None:
    Path("tug.yaml").write_text(JOB.replace(old, new), encoding="utf-8")
    said = run(command[0], "tug.yaml", *command[1:])
    assert not RAW.search(said.text), said.text
    if "--json" in command and said.out:
        json.loads(said.out)


def test_names_of_files_and_words_on_the_command_line_are_shown_escaped(run: Run) -> None:
    for words in (("check", EVIL), (EVIL,), ("check", f"--{EVIL}"), ("draw", "tug.yaml", "--as", EVIL)):
        said = run(*words)
        assert said.code and not RAW.search(said.text) and re.search(r"\\u001b|\\x1b", said.text), (words, said.text)
    if os.name == "posix":
        said = run("draw", "tug.yaml", "-o", "x\x1b]0;owned\x07")
        assert said.code == 0 and ": x\\u001b]0;owned\\u0007" in said.out and not RAW.search(said.text)


def test_a_traceback_is_escaped_too(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def fault(*_: object) -> None:
        raise ZeroDivisionError(EVIL)

    monkeypatch.setattr("decalgen.commands.inputs.load_jobs", fault)
    said = run("check", "tug.yaml")
    assert said.code == 1 and not RAW.search(said.text)
    with pytest.raises(SystemExit):
        main.main(["--debug", "check", "tug.yaml"])


def test_prompts_are_escaped(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    answers = iter(["", "", "", "", ""])

    asked: list[str] = []

    def answer(prompt: str) -> str:
        asked.append(prompt)
        if (typed := next(answers, None)) is None:
            raise EOFError
        return typed

    monkeypatch.setattr("click.termui.visible_prompt_func", answer)
    said = run("new", f"{EVIL}.yaml")
    assert said.code == 130 and len(asked) > 5 and not RAW.search(said.text + "".join(asked))
    answers = iter(["mine"])
    typed = ask(f"What is {EVIL}", EVIL)
    assert typed == "mine" and not RAW.search(asked[-1]) and asked[-1].count("x\\u001b]0;") == 2


def test_colours_are_our_own_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    there = Terminal()
    Screen(there).coloured("a\x1b[32mb", "31")
    assert there.getvalue() == "\x1b[31ma\\u001b[32mb\x1b[0m\n"
    monkeypatch.setenv("NO_COLOR", "1")
    there = Terminal()
    Screen(there).coloured("a", "31")
    assert there.getvalue() == "a\n"


# --------------------------------------------------------------------------------------- where nothing can be shown

START = [sys.executable, "-m", "decalgen"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no such device on this system")
@pytest.mark.parametrize("words", [("schema",), ("--help",), ("check", "tug.yaml"), ("check", "tug.yaml", "--json")])
def test_a_full_disk_is_told(run: Run, words: tuple[str, ...]) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run([*START, *words], stdout=full, stderr=subprocess.PIPE, text=True)
    assert done.returncode == OutputError.exit_code
    assert done.stderr.startswith("what was to be printed here cannot be: no space left on device\nfix: make room")
    assert done.stderr.count("\n") == 2


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no such device on this system")
def test_a_message_that_cannot_be_shown_keeps_its_exit_code(run: Run) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run([*START, "check", "none.yaml"], stdout=subprocess.PIPE, stderr=full)
    assert (done.returncode, done.stdout) == (3, b"")


@pytest.mark.parametrize("words", [("schema",), ("check", "tug.yaml"), ("draw", "tug.yaml")])
def test_a_reader_that_has_seen_enough_is_no_mistake(run: Run, words: tuple[str, ...]) -> None:
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run([*START, *words], stdout=write, stderr=subprocess.PIPE, text=True)
    os.close(write)
    assert (done.returncode, done.stderr) == (0, "")
    assert words[0] != "draw" or [*Path("drawings").iterdir()], "the work is done all the same"


@pytest.mark.skipif(os.name != "posix", reason="shells close streams so on POSIX")
@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&-", ">&- 2>&- <&-"])
def test_streams_that_are_closed(run: Run, closed: str) -> None:
    command = f"exec '{sys.executable}' -m decalgen proof tug.yaml -o p.pdf --film 'white A5' {closed}"
    done = subprocess.run(["sh", "-c", command], capture_output=True, text=True)
    assert done.returncode == 0 and done.stderr == "", done
    assert Path("p.pdf").read_bytes().startswith(b"%PDF-")


def test_a_program_without_a_console(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """As under pythonw, which has no streams at all."""
    for words, code in ((("check", "tug.yaml"), 0), (("schema",), 0), (("check", "none.yaml"), 3), (("--help",), 0)):
        with monkeypatch.context() as patch, pytest.raises(SystemExit) as end:
            patch.setattr(sys, "stdout", None)
            patch.setattr(sys, "stderr", None)
            main.main(words)
        assert end.value.code == code


def test_what_is_lost_is_lost_once() -> None:
    class Full(io.StringIO):
        def flush(self) -> None:
            raise OSError(errno.ENOSPC, "No space left on device")

    screen = Screen(Full())
    screen.write("a")
    screen.flush()
    screen.write("b")
    screen.flush()
    assert screen.fault is not None and screen.fault.errno == errno.ENOSPC and not screen.reader_left


# ------------------------------------------------------------------------------------------------------------ patterns


def test_patterns_that_the_shell_has_left(run: Run) -> None:
    for number, name in enumerate(("b.yaml", "a.yaml", ".hidden.yaml", "c.txt", "[1].yaml", "1.yaml")):
        Path(name).write_text(JOB.replace("job: tug", f"job: job {number}").replace("TITLE", "x"), encoding="utf-8")
    listed = [Path(name) for name in ("1.yaml", "[1].yaml", "a.yaml", "b.yaml", "tug.yaml")]
    assert spread(None, None, (Path("*.yaml"),)) == tuple(listed)
    assert spread(None, None, (Path("[1].yaml"),)) == (Path("[1].yaml"),), "a file of that very name"
    assert spread(None, None, (Path("?.yaml"), Path("b.yaml"))) == (*(listed[i] for i in (0, 2, 3)), Path("b.yaml"))
    assert spread(None, None, (Path("*.none"),)) == (Path("*.none"),)
    assert spread(None, None, (Path.cwd() / "a*",)) == (Path.cwd() / "a.yaml",)
    said = run("check", "*.yaml")
    assert said.code == 0 and "0 errors" in said.out
    assert "there is no file x*.yaml" in run("check", "x*.yaml").err


def test_too_many_matches(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("decalgen.cli.patterns.MOST_MATCHES", 1)
    Path("a.yaml").touch()
    with pytest.raises(click.UsageError, match="matches 2 files, at most 1"):
        spread(None, None, (Path("*.yaml"),))


# -------------------------------------------------------------------------------------------------------------- Ctrl-C


def calls(words: tuple[str, ...]) -> int:
    """How often a command calls something: the moments at which an interrupt can reach it."""
    count = 0

    def counted(frame: FrameType, event: str, argument: object) -> None:
        nonlocal count
        count += 1

    # A function that traces no frame is told of its calls alone, which costs a quarter of being told of every end too.
    sys.settrace(counted)
    try:
        with pytest.raises(SystemExit):
            main.main(words)
    finally:
        sys.settrace(None)
    return count


def interrupted(words: tuple[str, ...], moments: list[int], kind: type[BaseException]) -> Iterator[tuple[str, object]]:
    """Runs a command again and again, an interrupt at another of its calls each time; where it struck, how it ended."""
    for moment in moments:
        count = 0
        place = ""

        def strike(frame: FrameType, event: str, argument: object, moment: int = moment) -> None:
            nonlocal count, place
            count += 1
            if count == moment:
                # With this Python leaves off tracing.
                place = f"{frame.f_code.co_filename}:{frame.f_lineno} {frame.f_code.co_name}"
                raise kind

        sys.settrace(strike)
        try:
            with pytest.raises(SystemExit) as end:
                main.main(words)
        finally:
            sys.settrace(None)
        assert place, "it ended before the moment came"
        yield place, end.value.code


@pytest.mark.parametrize(
    ("kind", "mistakes", "parts"),
    [
        (Interrupted, {}, 150),
        (KeyboardInterrupt, {"9 mm": "9 mn"}, 150),
        # Names that are nearly right are looked for in thousands of calls, most of them alike.
        (Interrupted, {"9 mm": "9 mn", "ink: teal": "ink: teel"}, 70),
    ],
)
def test_an_interrupt_is_never_told_as_a_mistake(
    run: Run,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    kind: type[BaseException],
    mistakes: dict[str, str],
    parts: int,
) -> None:
    text = JOB
    for right, wrong in mistakes.items():
        assert right in text
        text = text.replace(right, wrong)
    Path("tug.yaml").write_text(text, encoding="utf-8")
    words = ("check", "tug.yaml")
    run(*words)  # what is loaded once is loaded now
    every = calls(words)
    # From the reading on: what comes before is the program's own start.
    moments = [every * k // parts for k in range(parts // 18, parts * 17 // 18)]
    capsys.readouterr()
    swallowed: list[object] = []
    monkeypatch.setattr(sys, "unraisablehook", swallowed.append)
    for place, code in interrupted(words, moments, kind):
        out, err = capsys.readouterr()
        if swallowed:  # Python itself lets nothing out of a generator that it closes
            swallowed.clear()
            continue
        assert (code, err.lstrip("\n")) == (Interrupted.exit_code, "stopped; no half-written file is left\n"), (
            place,
            out,
            err,
        )
    assert JobError.exit_code != Interrupted.exit_code and not issubclass(Interrupted, Exception)


@pytest.mark.parametrize("raw", ["\\e", "\\t", "\\x7f", "\\u009b", "\\u202e", "\\u200b"])
def test_a_name_with_a_hidden_character_is_told_for_what_it_is(run: Run, raw: str) -> None:
    Path("tug.yaml").write_text(JOB.replace("door:", f'"do{raw}or":'), encoding="utf-8")
    assert "this name has a character in it that cannot be seen" in run("check", "tug.yaml").err
    Path("tug.yaml").write_text(JOB.replace("door:", f"{'d' * 61}:"), encoding="utf-8")
    assert "a name has 1 to 60 characters" in run("check", "tug.yaml").err
    said = run(
        "film", "add", "white A5", "--note", raw.replace("\\e", "\\x1b").encode("ascii").decode("unicode_escape")
    )
    assert said.code == 1 and "has a character in it that cannot be seen" in said.err
