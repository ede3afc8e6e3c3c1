"""Two more readings are asked for where the doubt decides a verdict, and nowhere else."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from decalgen.commands.deciding import deciding, reading_name, with_more
from decalgen.commands.interview import MARK
from decalgen.commands.questions import all_slots
from decalgen.job.edits import values
from decalgen.job.loader import load_job
from tests.helpers.commands import Run

from .test_new import answering, run  # noqa: F401

Answering = Callable[[list[str]], list[str]]
HEAD = "job: van\nbody: grey\nfilm: white\n"


def job(width: str, decal: str = "22.36 mm", more: str = "") -> str:
    """A door with a band of 22.36 mm on it, which fits 22.4 mm by less than ±0.05 mm leaves open."""
    return (
        f"{HEAD}panels:\n  door: {{width: {width}, height: 11 mm ± 0.05{more}}}\n"
        f"decals:\n  band: {{panel: door, width: {decal}, height: 5 mm, artwork: [{{field: {{ink: black}}}}]}}\n"
    )


def verdict(run: Run) -> str:  # noqa: F811
    return run("check", "van.yaml").out


def test_a_reading_that_decides_is_asked_twice_more_at_the_bench(run: Run, answering: Answering) -> None:  # noqa: F811
    Path("van.yaml").write_text(job("?"), encoding="utf-8")
    asked = answering(["22.4 ± 0.05", "22.42 22.38"])
    assert run("measure", "van.yaml").code == 0
    assert asked[1].startswith("(a) door: width, mm again") and "decides whether 'band' fits" in asked[1]
    assert "so far 22.4 mm ± 0.05; two more readings" in asked[1]
    left = job("[22.4 mm ± 0.05, 22.42 mm ± 0.05, 22.38 mm ± 0.05]")
    assert Path("van.yaml").read_text(encoding="utf-8") == left
    # Three are enough: whatever they say, it is not asked again.
    assert not answering([]) and run("measure", "van.yaml").code == 0


@pytest.mark.parametrize(
    ("width", "decal"),
    [
        ("22.4 mm ± 0.05", "21 mm"),
        ("22.4 mm ± 0.05", "23 mm"),
        ("[22.4 mm ± 0.05, 22.4 mm ± 0.05, 22.4 mm ± 0.05]", "22.36 mm"),
    ],
)
def test_what_fits_or_surely_does_not_is_asked_once(
    run: Run,  # noqa: F811
    answering: Answering,  # noqa: F811
    width: str,
    decal: str,
) -> None:
    Path("van.yaml").write_text(job(width, decal), encoding="utf-8")
    asked = answering([])
    assert run("measure", "van.yaml").code == 0 and not asked


def test_a_second_of_two_asks_for_one_more(run: Run, answering: Answering) -> None:  # noqa: F811
    Path("van.yaml").write_text(job("[22.4 mm ± 0.05, 22.41 mm ± 0.05]"), encoding="utf-8")
    asked = answering([""])
    before = Path("van.yaml").read_bytes()
    assert run("measure", "van.yaml").code == 0
    assert "one more reading in one line" in asked[0] and Path("van.yaml").read_bytes() == before


def test_one_reading_more_is_taken_too_and_the_rest_left_for_another_time(run: Run, answering: Answering) -> None:  # noqa: F811
    Path("van.yaml").write_text(job("22.4 mm ± 0.05"), encoding="utf-8")
    asked = answering(["22.41"])
    assert run("measure", "van.yaml").code == 0 and len(asked) == 1
    assert Path("van.yaml").read_text(encoding="utf-8") == job("[22.4 mm ± 0.05, 22.41 mm ± 0.05]")


def test_while_the_decal_waits_for_another_reading_nothing_is_decided(run: Run, answering: Answering) -> None:  # noqa: F811
    Path("van.yaml").write_text(
        job("22.4 mm ± 0.05", more=", obstacles: {vent: {circle: ?, at: [3 mm, 9 mm]}}"), encoding="utf-8"
    )
    asked = answering(["", "1"])
    assert run("measure", "van.yaml").code == 0 and len(asked) == 1
    asked = answering(["1", "22.4 22.4"])
    assert run("measure", "van.yaml").code == 0
    assert [prompt.partition(", mm")[0] for prompt in asked] == ["(c) door, vent: circle", "(a) door: width"]


def test_new_asks_for_it_last_and_once(run: Run, answering: Answering) -> None:  # noqa: F811
    for answer, left in (("", "22.4 mm ± 0.05"), ("22.42 22.38", None)):
        Path("van.yaml").write_text(f"{MARK}lettering\n{job('22.4 mm ± 0.05')}", encoding="utf-8")
        asked = answering(["", answer])
        assert run("new", "van.yaml").code == 0
        assert asked[1].startswith("(a) door: width, mm again")
        whole: Any = values(Path("van.yaml").read_text(encoding="utf-8"))
        width = whole["panels"]["door"]["width"]
        assert width == left or (left is None and len(width) == 3)


def test_a_kill_at_that_question_asks_it_again_and_an_answer_does_not(run: Run, answering: Answering) -> None:  # noqa: F811
    Path("van.yaml").write_text(f"{MARK}lettering\n{job('22.4 mm ± 0.05')}", encoding="utf-8")
    answering([""])
    assert run("new", "van.yaml").code == 130
    asked = answering(["x22"])
    said = run("new", "van.yaml")
    assert said.code == 130 and "fix:" in said.err and asked[0].startswith("(a) door: width, mm again")
    asked = answering(["back", "", "22.4 22.4"])
    assert run("new", "van.yaml").code == 0 and asked[1].startswith("Lettering to match")
    assert MARK not in Path("van.yaml").read_text(encoding="utf-8")


def test_readings_added_take_what_the_first_says_of_itself() -> None:
    text = "a: {b: 1 mm by steel rule, c: [2 mm, 3 mm]}\n"
    assert values(with_more(text, ("a", "b"), ["2 mm", "3 mm ± 0.1"])) == {
        "a": {"b": ["1 mm by steel rule", "2 mm by steel rule", "3 mm ± 0.1"], "c": ["2 mm", "3 mm"]}
    }
    assert values(with_more(text, ("a", "c"), "4 mm"))["a"]["c"] == ["2 mm", "3 mm", "4 mm"]


def test_readings_are_called_as_uncertainties_call_them(tmp_path: Path) -> None:
    """Every uncertain reading of a job is found by the name that its panel gives it."""
    rows = (
        "  door: {width: 22 mm, height: 11 mm, obstacles: {lamp: {circle: 2 mm, at: [4 mm, 5 mm]}, "
        "handle: {rectangle: [3 mm, 1 mm], at: [9 mm, 8 mm]}, "
        "gap: {line: [[15 mm, 1 mm], [15 mm, 10 mm]], width: 1 mm}}}\n"
        "  wing: {outline: [[1 mm, 1 mm], [20 mm, 1 mm], [20 mm, 9 mm]], arcs: [0 mm, 30 mm, 0 mm]}\n"
        "  fin: {outline: [[1 mm, 1 mm], [20 mm, 1 mm], [20 mm, 9 mm]], arc rises: [1 mm, 1 mm, 1 mm]}\n"
        "  roof: {chord: 20 mm, rise: 2 mm, length: 9 mm}\n"
    )
    path = tmp_path / "van.yaml"
    path.write_text(f"{HEAD}panels:\n{rows}", encoding="utf-8")
    named = {reading_name(slot) for slot in all_slots(values(path.read_text(encoding="utf-8")))}
    parts = {
        part for panel in load_job(path).panels for _, size in panel.readings for part, _ in size.parts if "." in part
    }
    assert len(parts) > 20 and parts <= named


def test_a_job_that_cannot_be_read_decides_nothing(tmp_path: Path) -> None:
    assert deciding("job: van\n", tmp_path / "van.yaml") == []
