"""The command `format`: files in their folder, exit codes, and what is left untouched."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.core.errors import EXIT_FINDINGS
from tests.helpers.commands import Run, runner
from tests.job.slips import LONG, SHORT

FILM = "film: x\nkind: white\nprocess: inkjet\nsheet: A5\nused: [{at: [0 mm, 0 mm], size: [2 mm, 3 mm]}]\n"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_bytes(SHORT.encode("utf-8"))
    return runner(capsys)


def test_a_job_is_laid_out_long_and_short_and_long_again(run: Run) -> None:
    assert run("format", "tug.yaml").code == 0
    long = Path("tug.yaml").read_bytes()
    assert b"{" not in long and b"\n      - field:\n          ink: harbour teal\n" in long
    assert run("format", "tug.yaml").out.splitlines()[0] == "tug.yaml: laid out evenly already"
    assert run("format", "--short", "tug.yaml").code == 0
    assert b"\n      - field: {ink: harbour teal}\n" in Path("tug.yaml").read_bytes()
    assert run("format", "tug.yaml").code == 0
    assert Path("tug.yaml").read_bytes() == long


def test_check_writes_nothing_and_says_whether_a_file_would_change(run: Run) -> None:
    said = run("format", "--check", "tug.yaml")
    assert (said.code, said.out) == (
        EXIT_FINDINGS,
        "tug.yaml: would be laid out differently\n"
        "looked at 1 file, 1 would be laid out differently: 1 error, 0 warnings; next: decalgen format tug.yaml\n",
    )
    assert Path("tug.yaml").read_bytes() == SHORT.encode("utf-8")
    run("format", "tug.yaml")
    assert run("format", "--check", "tug.yaml").code == 0


def test_byte_order_mark_and_line_ends_stay(run: Run) -> None:
    Path("tug.yaml").write_bytes(b"\xef\xbb\xbf" + SHORT.replace("\n", "\r\n").encode("utf-8"))
    assert run("format", "tug.yaml").code == 0
    data = Path("tug.yaml").read_bytes()
    assert data.startswith(b"\xef\xbb\xbfjob: tug\r\n") and data.count(b"\n") == data.count(b"\r\n") > 30


@pytest.mark.parametrize(
    ("name", "text", "code"),
    [
        ("a.yaml", LONG.replace("film: white", "film:white"), 2),
        ("a.yaml", LONG.replace("    panel: door", "    panel: dor"), 2),
        ("a.yaml", "film: x\nkind: grn\nprocess: inkjet\nsheet: A5\n", 2),
        ("a.yaml", "printer: x\nprocess: steam\n", 2),
        ("a.yaml", "cutter: x\nscale x: 9\n", 2),
        ("a.yaml", "inks: {red: #c8102e\n}\n", 2),
        ("a.yaml", "- a\n", 2),
    ],
)
def test_a_file_with_mistakes_is_refused_with_them_and_no_file_is_touched(
    run: Run, name: str, text: str, code: int
) -> None:
    Path(name).write_text(text, encoding="utf-8")
    said = run("format", "tug.yaml", name)
    assert said.code == code and f"{name}:" in said.err and "fix: " in said.err
    assert Path(name).read_text(encoding="utf-8") == text
    assert Path("tug.yaml").read_bytes() == SHORT.encode("utf-8")


def test_other_files_are_laid_out_too(run: Run) -> None:
    for name, text in (
        (
            "film.yaml",
            "film: x\nkind: white\nprocess: inkjet\nsheet: A5\nused: [{at: [0 mm, 0 mm], size: [2 mm, 3 mm]}]\n",
        ),
        ("printer.yaml", "printer: x\nmargins: [5 mm, 5 mm, 5 mm, 5 mm]\n"),
        ("cutter.yaml", "cutter:   x\nscale x: 1.002\n"),
        ("inks.yaml", 'inks: {red: {colour: "#c8102e"}}\n'),
    ):
        Path(name).write_text(text, encoding="utf-8")
        assert run("format", name).code == 0
        assert "[" not in Path(name).read_text(encoding="utf-8")
        assert run("format", "--check", name).code == 0
    assert run("format", "nowhere.yaml").code == 3
