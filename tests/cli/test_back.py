"""Going back to a question that was answered, in `decalgen new` and `decalgen measure`, also after a run has ended."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from decalgen.commands.interview import reached
from decalgen.job.edits import values
from decalgen.job.loader import load_job
from tests.helpers.commands import Run

from .test_new import VAN, answering, run  # noqa: F401

Answering = Callable[[list[str]], list[str]]
HEAD = ["Van", "", "", ""]
DOOR = [*HEAD, "door", "", "left", "22", "11"]
HANDLE = ["handle", "", "3", "0.8", "12", "3", ""]


@pytest.fixture
def talk(run: Run, answering: Answering) -> Callable[[list[str]], list[str]]:  # noqa: F811
    """Gives answers, and the beginnings of the questions, up to their units or explanation; one run for each answer, so
    that nothing but the file carries on."""

    def give(answers: list[str]) -> list[str]:
        asked: list[str] = []
        for words in answers:
            some = answering([words])
            said = run("new", "van.yaml")
            assert said.code in (0, 130), said.text
            asked += [prompt.partition(" (")[0].partition(", mm")[0].partition(" [")[0] for prompt in some]
            load_job("van.yaml")
        return asked

    return give


def job() -> Any:
    return values(Path("van.yaml").read_text(encoding="utf-8"))


def test_a_reading_is_put_right_and_the_next_question_is_where_one_was(talk: Answering) -> None:
    asked = talk([*DOOR, "back", "back", "22.5", "handle"])
    assert asked[-4:] == [
        "door: name of an obstacle",
        "(b) door: height",
        "(a) door: width",
        "door: name of an obstacle",
    ]
    assert job()["panels"]["door"]["width"] == "22.5 mm" and job()["panels"]["door"]["height"] == "11 mm"


def test_enter_keeps_what_was_answered_whatever_it_is(talk: Answering) -> None:
    several = ["11.60 11.62 11.58 ± 0.05", "back", ""]
    assert talk([*DOOR[:-1], *several, ""])[-2:] == ["(b) door: height", "door: name of an obstacle"]
    assert job()["panels"]["door"]["height"] == ["11.60 mm ± 0.05", "11.62 mm ± 0.05", "11.58 mm ± 0.05"]


def test_one_can_go_back_to_the_first_question_and_no_further(talk: Answering, run: Run, answering: Answering) -> None:  # noqa: F811
    steps = [*DOOR, *HANDLE, "", *["back"] * (len(DOOR) + len(HANDLE) + 1), "Other van"]
    asked = talk(steps)
    there = asked[: len(DOOR) + len(HANDLE) + 1]
    back = asked[len(there) + 1 :]
    again = {"Name of a panel": "Name of the panel", "door: name of an obstacle": "door: name of the obstacle"}
    # The name of an obstacle was asked twice: for the handle, and to say that there are no more.
    wanted = [there[-1], *(again.get(one, one) for one in reversed(there[:-1]))]
    assert back[: len(wanted)] == wanted
    assert job()["title"] == "Other van"
    answering(["Name"])
    Path("bus.yaml").unlink(missing_ok=True)
    answering(["back", "Bus"])
    said = run("new", "bus.yaml")
    assert said.code == 130 and "this is the first question" in said.err


def test_another_kind_opens_its_own_readings_and_keeps_obstacles(talk: Answering) -> None:
    way = ["back"] * (len(HANDLE) + 5)
    asked = talk([*DOOR, *HANDLE, "", *way, "cylinder", "21", "12", "", "1.5", "roof"])
    assert asked[-6:] == ["door: what kind is it", "(a) door: chord", "(b) door: length", "door: name of an obstacle",
                          "(g) door: rise", "Name of a panel"]  # fmt: skip
    door = job()["panels"]["door"]
    assert (door["kind"], door["hand"], list(door["obstacles"])) == ("cylinder", "left", ["handle"])


def test_the_same_kind_again_keeps_its_readings(talk: Answering) -> None:
    asked = talk([*DOOR, "back", "back", "back", "back", "flat", ""])
    assert asked[-2:] == ["door: what kind is it", "door: name of an obstacle"]
    assert job()["panels"]["door"]["width"] == "22 mm"


def test_a_panel_gets_another_name_everywhere(talk: Answering) -> None:
    talk([*DOOR, "", "", "door-band"])
    before = reached(Path("van.yaml").read_text(encoding="utf-8"))
    asked = talk(["back", "back", "back", "back", "back", "back", "back", "back", "front door", ""])
    assert asked[-2] == "Name of the panel"
    whole = job()
    assert list(whole["panels"]) == ["front door"] and whole["decals"]["door band"]["panel"] == "front door"
    assert before is not None and before.on == ("decals",)


def test_a_panel_renamed_half_way_goes_on_where_it_was(talk: Answering) -> None:
    asked = talk([*HEAD, "door", "", "left", "22", "back", "back", "back", "back", "rear door", "11"])
    assert asked[-2:] == ["Name of the panel", "(b) rear door: height"]
    assert list(job()["panels"]) == ["rear door"] and job()["panels"]["rear door"]["height"] == "11 mm"


def test_what_was_named_can_be_taken_away(talk: Answering) -> None:
    asked = talk([*DOOR, *HANDLE, *["back"] * 7, "-", ""])
    assert asked[-2:] == ["door: name of the obstacle", "door: name of an obstacle"]
    assert "obstacles" not in job()["panels"]["door"]
    talk(["roof, flat", "back", "back", "back", "-"])
    assert list(job()["panels"]) == ["door"]


def test_a_panel_that_a_decal_lies_on_stays(talk: Answering, run: Run, answering: Answering) -> None:  # noqa: F811
    talk([*DOOR, "", "", "door-band", *["back"] * 8])
    answering(["-"])
    said = run("new", "van.yaml")
    assert said.code == 130 and "'door band' lies on 'door'" in said.err and "door" in job()["panels"]


def test_another_layout_takes_the_place_of_the_first(talk: Answering) -> None:
    asked = talk([*DOOR, "", "", "door-band", "back", "sun-strip", "both", "", ""])
    assert "door band: from which layout" in asked and "sun strip: for which sides" in asked
    assert list(job()["decals"]) == ["sun strip"]


def test_an_obstacle_added_after_going_back_is_asked_in_full(talk: Answering) -> None:
    asked = talk([*DOOR, "", "back", "lamp", "circle", "2", "4", "5", "0.2", ""])
    assert asked[-7:] == [
        "door: name of an obstacle", "door, lamp: what shape has it", "(c) door, lamp: circle", "(d) door, lamp: at x",
        "(e) door, lamp: at y", "door, lamp: how far decals keep away from it", "Name of a panel",
    ]  # fmt: skip
    assert job()["panels"]["door"]["obstacles"]["lamp"]["clearance"] == "0.2 mm"


def test_back_and_forth_at_every_question_changes_nothing(run: Run, answering: Answering) -> None:  # noqa: F811
    typed = [words for _, words in VAN]
    answering(typed)
    assert run("new", "van.yaml").code == 0
    back_and_forth = [typed[0]]
    for words in typed[1:]:
        # Enter at the question before takes what stands there, or says again that there are no more.
        back_and_forth += ["back", "", words]
    asked = answering(back_and_forth)
    said = run("new", "bus.yaml")
    assert said.code == 0, (said.err, asked[-3:])
    there = Path("bus.yaml").read_text(encoding="utf-8").replace("job: bus", "job: van")
    assert values(there) == values(Path("van.yaml").read_text(encoding="utf-8"))


def test_measure_goes_back_too(run: Run, answering: Answering) -> None:  # noqa: F811
    text = "job: van\nbody: grey\npanels:\n  door: {width: ?, height: ?}   # mine\n"
    Path("van.yaml").write_text(text, encoding="utf-8")
    asked = answering(["back", "22", "back", "22.4", "11"])
    said = run("measure", "van.yaml")
    assert said.code == 0 and "nothing was asked before this" in said.err
    assert [prompt[:3] for prompt in asked] == ["(a)", "(a)", "(b)", "(a)", "(b)"]
    left = text.replace("width: ?", "width: 22.4 mm").replace("height: ?", "height: 11 mm")
    assert Path("van.yaml").read_text(encoding="utf-8") == left
