"""Open readings taken one by one at the bench: those bytes of the file change, and no others."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from decalgen.core.errors import InputError, JobError, OutputError
from decalgen.job.loader import load_job
from tests.helpers.commands import Run

from .test_new import answering, run  # noqa: F401

JOB = """\ufeff# mine\r
job: van\r
body: grey\r
panels:   # all\r
    door: {width: ?, height: [?, ?],   # twice\r
        obstacles: {vent: {circle: ?, at: [3 mm, ?]}}}\r
    roof:\r
        chord: 24.2 mm ± 0.05     # good\r
        rise: ?       # the hard one\r
        angle: ?\r
        length:   '?'\r
"""

Answering = Callable[[list[str]], list[str]]


@pytest.fixture
def van(run: Run) -> Path:  # noqa: F811
    """A job with open readings in every style, as an editor on Windows keeps it."""
    path = Path("van.yaml")
    path.write_bytes(JOB.encode("utf-8"))
    return path


def test_readings_go_where_they_are_open_and_nowhere_else(run: Run, answering: Answering, van: Path) -> None:  # noqa: F811
    asked = answering(["22,4", "11.6 11.62", "1.5", "2", "7/8 in", "1,1", "30"])
    said = run("measure", "van.yaml")
    assert said.code == 0 and "7 readings to take" in said.out and "all is measured" in said.out
    begins = (
        "(a) door: width",
        "(b) door: height",
        "(c) door, vent: circle",
        "(e) door, vent: at y",
        "(b) roof: length",
    )
    assert all(prompt.startswith(begin) for prompt, begin in zip(asked, begins, strict=False))
    wanted = JOB
    for old, new in (
        ("width: ?", "width: 22.4 mm"),
        ("[?, ?]", "[11.6 mm, 11.62 mm]"),
        ("circle: ?", "circle: 1.5 mm"),
        ("3 mm, ?", "3 mm, 2 mm"),
        ("rise: ?", "rise: 1.1 mm"),
        ("angle: ?", "angle: 30°"),
        ("'?'", "'7/8 in'"),
    ):
        assert wanted.count(old) == 1
        wanted = wanted.replace(old, new)
    assert van.read_bytes().decode("utf-8") == wanted
    assert not any(panel.unmeasured for panel in load_job(van).panels)


def test_enter_passes_over_and_stopping_keeps_what_was_typed(run: Run, answering: Answering, van: Path) -> None:  # noqa: F811
    answering(["", "11.6", "nonsense", "1.5"])
    said = run("measure", "van.yaml")
    assert said.code == 130 and "fix:" in said.err
    assert van.read_bytes().decode("utf-8") == JOB.replace("[?, ?]", "11.6 mm").replace("circle: ?", "circle: 1.5 mm")
    asked = answering(["", "", "", "", ""])
    said = run("measure", "van.yaml")
    assert said.code == 0 and "5 readings are still to be taken" in said.out and len(asked) == 5


def test_a_reading_that_makes_no_panel_is_refused(run: Run, answering: Answering, van: Path) -> None:  # noqa: F811
    van.write_text("job: van\nbody: grey\npanels:\n  roof: {chord: 20 mm, rise: ?, length: 9 mm}\n", encoding="utf-8")
    before = van.read_bytes()
    answering(["15"])
    said = run("measure", "van.yaml")
    assert said.code == 130 and "more than half the chord" in said.err and van.read_bytes() == before


def test_what_is_open_elsewhere_is_told(run: Run, answering: Answering, van: Path) -> None:  # noqa: F811
    text = "job: van\nbody: grey\nvalues: {wide: ?}\npanels:\n  door: {width: <wide>, height: 9 mm}\n"
    van.write_text(text, encoding="utf-8")
    said = run("measure", "van.yaml")
    assert said.code == 0 and "under values" in said.out and not answering([])


@pytest.mark.parametrize(("paper", "size"), [("A4", (210, 297)), ("A5", (148, 210)), ("letter", (215.9, 279.4))])
def test_the_card_of_a_job_is_printed_on_any_paper(run: Run, van: Path, paper: str, size: tuple[float, float]) -> None:  # noqa: F811
    import pypdfium2

    before = van.read_bytes()
    said = run("measure", "van.yaml", "--card", "card.pdf", "--paper", paper)
    assert said.code == 0 and "decalgen measure van.yaml" in said.out and van.read_bytes() == before
    page = pypdfium2.PdfDocument("card.pdf")[0].get_size()
    assert [round(side * 25.4 / 72, 1) for side in page] == list(size)
    assert run("measure", "van.yaml", "--card", "card.svg").code == OutputError.exit_code
    assert run("measure", "no.yaml", "--card", "card.pdf").code == InputError.exit_code


def test_files_that_are_none(run: Run, van: Path) -> None:  # noqa: F811
    assert run("measure", "no.yaml").code == InputError.exit_code
    van.write_text("job: van\n", encoding="utf-8")
    assert run("measure", "van.yaml").code == JobError.exit_code


def test_a_reading_that_looks_wrong_is_doubted_at_once(run: Run, answering: Answering, van: Path) -> None:  # noqa: F811
    answering(["22,4 cm", "116"])
    assert "look again" not in run("measure", "van.yaml").err
    van.write_bytes(JOB.replace("job: van", "job: van\r\nscale: 1:43").encode("utf-8"))
    answering(["22,4 in", "back"])
    said = run("measure", "van.yaml").err
    assert said.count("look again: door") == 1 and "write 22.4 mm" in said
