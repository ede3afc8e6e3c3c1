"""A job that names its printer: a kept profile, which counts unless the command names another."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.commands.run import Run as Stages
from decalgen.core.errors import InputError
from tests.helpers.commands import Run

from .test_profiles import SHEET, WHITE, good, keep, run  # noqa: F401


def with_printer(name: str, file: str = "tug.yaml") -> None:
    """The job, which names that printer."""
    text = WHITE.replace("job: tug", f"job: {Path(file).stem}")
    Path(file).write_text(f"printer: {name}\n{text}", encoding="utf-8")


def test_a_job_is_printed_by_the_profile_that_it_names(run: Run) -> None:  # noqa: F811
    keep(run)
    plain = good(run(*SHEET, "-o", "plain.pdf"))
    with_printer("Kitchen inkjet")
    named = good(run(*SHEET, "-o", "named.pdf"))
    asked = good(run(*SHEET, "--printer", "Kitchen inkjet", "-o", "asked.pdf"))
    # The check bars of a kept profile are to be read; those of no printer are not.
    assert "calibrate bars" in named and "calibrate bars" in asked and "calibrate bars" not in plain
    assert Path("named.pdf").read_bytes() != Path("plain.pdf").read_bytes()


def test_the_printer_of_a_run_is_the_one_its_jobs_name_whatever_is_asked_first(run: Run) -> None:  # noqa: F811
    keep(run)
    with_printer("Kitchen inkjet")
    assert Stages((Path("tug.yaml"),)).printer.name == "Kitchen inkjet"


def test_the_command_goes_before_the_job(run: Run) -> None:  # noqa: F811
    with_printer("attic laser")
    assert good(run("check", "tug.yaml", "--printer", "printer.yaml"))
    said = run("check", "tug.yaml")
    assert said.code == InputError.exit_code and "no profile is kept of a printer 'attic laser'" in said.err


@pytest.mark.parametrize("name", ["printer.yaml", "../printer.yaml", "/etc/passwd", "notes"])
def test_a_job_names_no_file(run: Run, name: str) -> None:  # noqa: F811
    Path("notes").write_text("printer: x\n", encoding="utf-8")
    with_printer(name)
    for command in ("check", "sheet"):
        said = run(command, "tug.yaml")
        assert said.code == InputError.exit_code and "is a file" in said.err and "--printer" in said.err


def test_jobs_that_name_different_printers_are_told(run: Run) -> None:  # noqa: F811
    keep(run)
    with_printer("Kitchen inkjet")
    with_printer("attic laser", "van.yaml")
    said = run("check", "tug.yaml", "van.yaml")
    assert said.code == InputError.exit_code and "'Kitchen inkjet' and 'attic laser'" in said.err
    assert good(run("check", "tug.yaml", "van.yaml", "--printer", "Kitchen inkjet"))
    Path("van.yaml").write_text(WHITE.replace("job: tug", "job: van"), encoding="utf-8")
    assert good(run("check", "tug.yaml", "van.yaml")), "a job that names none goes along"
