"""Commands as a person meets them: mistakes get one message, the right exit code, and cost nothing."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from decalgen.cli import main
from decalgen.core import files
from decalgen.core.errors import (
    EXIT_FINDINGS,
    EXIT_USAGE,
    FilmError,
    FitError,
    InputError,
    Interrupted,
    JobError,
    OutputError,
)
from tests.helpers.commands import Run, code_on, edited, folder, runner
from tests.helpers.tug import LETTERED as JOB

FILM = ("--film", "white A5", "--effort", "quick")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder that holds the job `tug.yaml`."""
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    return runner(capsys)


# ------------------------------------------------------------------------------------------------------- all is well


def test_the_main_job_from_new_to_sheet(run: Run) -> None:
    made = run("new", "lorry.yaml", "--panel", "door=22.4x11.6", "--bent", "bonnet=24.2/1.1/19.5")
    assert made.code == 0 and "lorry-card.pdf" in made.out
    assert run("check", "lorry.yaml", "tug.yaml").code == 0
    proof = run("proof", "tug.yaml", "lorry.yaml", "-o", "both-proof.pdf", *FILM)
    assert proof.code == 0 and "both.positions.json" in proof.out
    sheet = run("sheet", "tug.yaml", "lorry.yaml", "-o", "both-sheet.pdf", "-o", "both-sheet.svg", *FILM)
    assert sheet.code == 0 and "as on the proof" in sheet.out
    assert Path("both-sheet.pdf").read_bytes().startswith(b"%PDF-")
    assert Path("both-sheet.svg").read_bytes().startswith(b"<?xml")


def test_new_never_overwrites_a_job(run: Run) -> None:
    before = folder()
    said = run("new", "tug.yaml", "--panel", "door=1x1")
    assert said.code == OutputError.exit_code and "already exists" in said.err
    assert folder() == before


# ----------------------------------------------------------------------------------------------- mistakes in a job file

MISTAKES = {
    "missing panel": ("panel: door", "panel: dor", "did you mean 'door'"),
    "unknown face": ("ink: white}", "ink: white, face: Archivio}", "did you mean 'Archivo'"),
    "negative size": ("height: 4 mm", "height: -4 mm", "tug.yaml:12:"),
    "no number": ("height: 4 mm", "height: nan mm", "tug.yaml:12:"),
    "a size of 1e12 mm": ("height: 4 mm", "height: 1000000000000 mm", "tug.yaml:12:"),
    "unknown key": ("at: bottom", "att: bottom", "did you mean 'at'"),
    "a comma": ("height: 4 mm", "height: 4,5 mm", "fix:     height: 4.5 mm"),
    "an undeclared ink": ("ink: lifebuoy orange}", "ink: lifebuoy orang}", "did you mean 'lifebuoy orange'"),
    "control characters": ("text: STORES", 'text: "STO\\u0007RES"', "control character"),
    "a stripe without width": (
        "- field: {ink: lifebuoy orange}", "- stripe: {ink: lifebuoy orange, stripe width: 0 mm}", "tug.yaml:14:",
    ),
    "an empty text": ("text: STORES", 'text: ""', "tug.yaml:15:"),
    "checks without end": (
        "- field: {ink: lifebuoy orange}", "- checks: {rows: 1000000000, columns: 1000000000, inks: [white]}",
        "tug.yaml:14:",
    ),
}  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_in_a_job_is_named_with_place_and_fix(run: Run, mistake: str) -> None:
    old, new, says = MISTAKES[mistake]
    assert run("proof", "tug.yaml", "-o", "tug-proof.pdf", *FILM).code == 0
    before = folder()
    edited(old, new)
    for command in (("check", "tug.yaml"), ("proof", "tug.yaml", "-o", "tug-proof.pdf", *FILM)):
        said = run(*command)
        text = said.out + said.err
        assert said.code in (JobError.exit_code, EXIT_FINDINGS), text
        assert says in text and "fix: " in text and text.lstrip().startswith("tug.yaml:"), text
    assert folder() | {"tug.yaml": b""} == before | {"tug.yaml": b""}


def test_a_missing_glyph_is_never_a_blank_box(run: Run) -> None:
    edited("text: STORES", "text: STO\U0001f6a2RES")
    said = run("check", "tug.yaml")
    text = said.out + said.err
    assert said.code in (JobError.exit_code, EXIT_FINDINGS) and "tug.yaml:" in text and "fix: " in text, text


def test_all_mistakes_of_all_files_come_in_one_run(run: Run) -> None:
    edited("height: 4 mm", "height: -4 mm")
    edited("panel: door", "panel: dor")
    Path("b.yaml").write_text(JOB.replace("job: tug", "job: b").replace("at: bottom", "at: botom"), encoding="utf-8")
    said = run("check", "tug.yaml", "b.yaml")
    assert said.code == JobError.exit_code
    for place in ("tug.yaml:8:", "tug.yaml:12:", "b.yaml:10:"):
        assert place in said.err


# --------------------------------------------------------------------------------------------------- files of all sorts


def test_a_file_that_is_not_yaml(run: Run) -> None:
    Path("x.yaml").write_text("a: [1, 2\nb: }", encoding="utf-8")
    said = run("check", "x.yaml")
    assert said.code == JobError.exit_code and said.err.startswith("x.yaml:")
    Path("x.yaml").write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00")
    assert run("check", "x.yaml").code in (InputError.exit_code, JobError.exit_code)


def test_a_folder_a_device_a_missing_and_a_huge_file(run: Run) -> None:
    Path("folder").mkdir()
    with Path("huge.yaml").open("wb") as file:
        file.truncate(50_000_000)
    cases = {"folder": "is a folder", "none.yaml": "there is no file", "huge.yaml": "large"}
    if Path(os.devnull).exists() and os.name == "posix":
        cases[os.devnull] = "file"
    for name, says in cases.items():
        said = run("check", name)
        assert said.code == InputError.exit_code and says in said.err, (name, said.err)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_named_pipe_is_never_opened(run: Run) -> None:
    os.mkfifo("pipe.yaml")
    assert run("check", "pipe.yaml").code == InputError.exit_code


def test_two_jobs_of_one_name(run: Run) -> None:
    Path("copy.yaml").write_text(JOB, encoding="utf-8")
    said = run("check", "tug.yaml", "copy.yaml")
    assert said.code == 1 and "two jobs are called 'tug'" in said.err


# ---------------------------------------------------------------------------------------------------- words and options


def test_wrong_words_on_the_command_line(run: Run) -> None:
    cases = {
        ("prof", "tug.yaml"): "did you mean 'proof'",
        ("proof", "tug.yaml", "--flim", "white A5"): "--film",
        ("proof", "tug.yaml", "--hands", "lefft"): "left",
        ("proof",): "JOB",
        ("proof", "tug.yaml", "--gap", "2,5 mm"): "--gap",
    }
    for words, says in cases.items():
        said = run(*words)
        assert said.code == EXIT_USAGE and says in said.err, (words, said.err)


def test_films_that_are_none_or_do_not_suit(run: Run) -> None:
    said = run("proof", "tug.yaml", "--film", "white A12")
    assert said.code == InputError.exit_code and "A2" in said.err
    said = run("proof", "tug.yaml", "--film", "clear A5")
    assert said.code == FilmError.exit_code and "no white film is given" in said.err
    said = run("proof", "tug.yaml", "--film", "white A5 laser")
    assert said.code == FilmError.exit_code and "laser film" in said.err
    said = run("proof", "tug.yaml", "--film", "white A5", "--film", "white A5")
    assert said.code == FilmError.exit_code and "twice" in said.err


def test_an_unknown_ending_effort_and_variant(run: Run) -> None:
    before = folder()
    for words in (
        ("sheet", "tug.yaml", "-o", "x.pfd", *FILM),
        ("sheet", "tug.yaml", "-o", "x", *FILM),
        ("proof", "tug.yaml", "--effort", "hard"),
        ("proof", "tug.yaml", "--effort", "0 s"),
        ("proof", "tug.yaml", "--effort", "2 h"),
        ("check", "tug.yaml", "--variant", "pilot"),
    ):
        said = run(*words)
        assert said.code not in (0, EXIT_USAGE) and "fix: " in said.err, words
    assert folder() == before


def test_a_decal_larger_than_the_film(run: Run) -> None:
    edited("width: 22.40 mm ± 0.05", "width: 400 mm ± 0.05")
    said = run("proof", "tug.yaml", *FILM)
    assert said.code == FitError.exit_code and "fits on no white film" in said.err and "398.0" in said.err


def test_white_on_clear_film_stops_the_print(run: Run) -> None:
    edited("film: white", "film: clear")
    said = run("sheet", "tug.yaml", "--film", "clear A5")
    assert said.code == EXIT_FINDINGS and "white-on-clear" in said.err
    assert list(Path().glob("*.pdf")) == []


def test_a_sheet_of_another_geometry_than_its_proof(run: Run) -> None:
    assert run("proof", "tug.yaml", "-o", "tug-proof.pdf", *FILM).code == 0
    edited("height: 4 mm", "height: 4.1 mm")
    said = run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *FILM)
    assert said.code == 1 and "never proven" in said.err and not Path("tug-sheet.pdf").exists()
    assert run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", "--nest-again", *FILM).code == 0


# --------------------------------------------------------------------------------------------------- writing that fails


def test_a_full_disk_costs_nothing(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    assert run("proof", "tug.yaml", "-o", "tug-proof.pdf", *FILM).code == 0
    before = folder()

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    said = run("proof", "tug.yaml", "-o", "tug-proof.pdf", "--seed", "7", *FILM)
    assert said.code == OutputError.exit_code and "no space left" in said.err and "make room" in said.err
    assert folder() == before


def test_output_into_a_file_or_over_a_folder(run: Run) -> None:
    before = folder()
    said = run("proof", "tug.yaml", "-o", "tug.yaml/proof.pdf", *FILM)
    assert said.code == OutputError.exit_code and "fix: " in said.err
    Path("taken.pdf").mkdir()
    said = run("proof", "tug.yaml", "-o", "taken.pdf", *FILM)
    assert said.code == OutputError.exit_code and "is a folder" in said.err
    assert folder() == before


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="as root every folder can be written")
def test_a_read_only_folder(run: Run) -> None:
    Path("locked").mkdir(mode=0o555)
    said = run("proof", "tug.yaml", "-o", "locked/proof.pdf", *FILM)
    assert said.code == OutputError.exit_code and "permission" in said.err.lower()


def test_a_folder_that_refuses_new_files(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same as a read-only folder, for those who run the tests as root."""

    real = os.open

    def refuse(path: object, flags: int, *more: int) -> int:
        if flags & os.O_CREAT:
            raise PermissionError(errno.EACCES, "Permission denied")
        return real(path, flags, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(files.os, "open", refuse)
    before = folder()
    said = run("draw", "tug.yaml", "-o", "pictures")
    assert said.code == OutputError.exit_code and "permission denied" in said.err
    assert folder() == before


@pytest.mark.parametrize("spot", ["decalgen.sheet.nest_request.nest", "decalgen.core.files.os.fsync"])
def test_ctrl_c_leaves_nothing_half_written(run: Run, monkeypatch: pytest.MonkeyPatch, spot: str) -> None:
    assert run("proof", "tug.yaml", "-o", "tug-proof.pdf", *FILM).code == 0
    before = folder()

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(spot, stop)
    said = run("proof", "tug.yaml", "-o", "tug-proof.pdf", "--seed", "7", *FILM)
    assert said.code == Interrupted.exit_code and "no half-written file" in said.err
    assert folder() == before


# ------------------------------------------------------------------------------------------------------- the program


def test_a_fault_of_the_program_is_said_without_a_traceback(
    run: Run, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fault(*_: object) -> None:
        raise ZeroDivisionError("oh")

    monkeypatch.setattr("decalgen.commands.inputs.load_jobs", fault)
    said = run("check", "tug.yaml")
    assert said.code == 1 and "decalgen itself failed" in said.err and "--debug" in said.err
    with pytest.raises(SystemExit) as end:
        main.main(["--debug", "check", "tug.yaml"])
    told = capsys.readouterr().err
    assert end.value.code == 1 and told.startswith("Traceback") and told.endswith("ZeroDivisionError: oh\n")


def test_help_loads_nothing_heavy() -> None:
    """Counted by what is imported, which no slow machine changes."""
    code = "import sys, decalgen.cli.main; print(*sys.modules)"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "click" in found.stdout.split()
    assert {"shapely", "numpy", "reportlab", "pint", "ruamel.yaml", "uharfbuzz"}.isdisjoint(found.stdout.split())


PLACES = ({"TZ": "Asia/Kolkata", "LC_ALL": "C", "PYTHONHASHSEED": "1"}, {"TZ": "UTC", "LC_ALL": "tr_TR.UTF-8"})


def test_the_same_bytes_whatever_the_time_zone_locale_and_hash_seed(tmp_path: Path) -> None:
    made = []
    for number, place in enumerate(PLACES):
        here = tmp_path / str(number)
        here.mkdir()
        (here / "tug.yaml").write_text(JOB, encoding="utf-8")
        environment = {**os.environ, "PYTHONHASHSEED": "77", **place}
        for words in (
            ["proof", "tug.yaml", "-o", "tug-proof.pdf", *FILM],
            ["proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1", "--code"],
            ["sheet", "tug.yaml", "-o", "tug-sheet.pdf", "-o", "tug-sheet.svg", *FILM],
            ["draw", "tug.yaml", "-o", "pictures"],
        ):
            code = [code_on(here / "tug-proof.pdf")] if words[-1] == "--code" else []
            typed = [sys.executable, "-m", "decalgen", *words, *code]
            subprocess.run(typed, cwd=here, env=environment, check=True, capture_output=True)
        made.append({p.relative_to(here).as_posix(): p.read_bytes() for p in here.rglob("*") if p.is_file()})
    assert len(made[0]) == 12
    assert made[0] == made[1]


# ---------------------------------------------------------------------------------------------- files of another kind


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("demo/printer.yaml", "a printer file"),
        ("demo/common-inks.yaml", "a part for jobs to include"),
        ("demo/films/clear-a5.yaml", "a film file"),
        ("layouts/door-band.yaml", "a ready layout"),
        ("layouts/sheets/a4.yaml", "a sheet format"),
    ],
)
def test_a_file_that_is_no_job_is_named_for_what_it_is(run: Run, repository: Path, name: str, says: str) -> None:
    said = run("check", str(repository / name))
    assert said.code == JobError.exit_code
    assert f"this is {says}, not a job" in said.err and said.err.count("fix: ") == 1


def test_results_never_take_the_place_of_what_they_are_made_from(run: Run) -> None:
    Path("tug.pdf").write_text(JOB, encoding="utf-8")
    before = folder()
    for words, says in (
        (("proof", "tug.pdf", "-o", "tug.pdf", *FILM), "is an input here"),
        (("sheet", "tug.pdf", "-o", "./tug.pdf", *FILM), "is an input here"),
        (("sheet", "tug.yaml", "-o", "a.pdf", "-o", "./a.pdf", *FILM), "twice"),
    ):
        said = run(*words)
        assert said.code == OutputError.exit_code and says in said.err and "fix: " in said.err, words
    assert folder() == before


def test_new_with_a_bent_panel_makes_a_job_that_checks(run: Run) -> None:
    words = ("new", "van.yaml", "--panel", "door=22.4x11.6", "--bent", "bonnet=24.2/1.1/19.5")
    assert run(*words).code == 0 and Path("van-card.pdf").is_file()
    said = run("check", "van.yaml")
    assert said.code == 0 and "0 errors" in said.out
    assert "# obstacles:" in Path("van.yaml").read_text(encoding="utf-8")
    old = run("new", "old.yaml", "--panel", "door=22.4x11.6", "--bowed", "bonnet=24.2/1.1/19.5")
    assert old.code == 0 and "note: --bowed is called --bent now" in old.err
    assert Path("old.yaml").read_text(encoding="utf-8").replace("old", "van").replace("Old", "Van") == Path(
        "van.yaml"
    ).read_text(encoding="utf-8")
    assert "--bowed" not in run("new", "--help").out
    for bent, asked in (("bonnet=1.1/24.2/19.5", "chord first"), ("bonnet=24.2", "chord/rise/length")):
        said = run("new", "other.yaml", "--bent", bent)
        assert said.code == 1 and asked in said.err and not Path("other.yaml").exists()
