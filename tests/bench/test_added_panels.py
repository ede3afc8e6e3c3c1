"""Panels and obstacles that come, get another name and go on the page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.panel_acts import kinds_of_obstacle, panel_kinds
from decalgen.job.edits import values
from decalgen.job.loader import load_job
from decalgen.panels.registry import kinds, obstacle_kinds
from tests.bench.first_minute import act, add, begun, state, until_kept


def test_each_kind_of_panel_is_drawn_and_makes_what_the_command_makes(empty: TestClient, folder: Path) -> None:
    """Every kind of the registry; the command's answers are those of `decalgen new`."""
    assert [one["name"] for one in panel_kinds()] == list(kinds())
    job = begun(empty)
    for number, kind in enumerate(panel_kinds()):
        assert kind["drawing"]["items"] and kind["about"]
        full = {"full width": "1.62 m", "full height": "0.9 m"} if kind["full"] else {}
        add(empty, job, "add_panel", name=f"panel {number + 10}", kind=kind["name"], **full)
    found = load_job(folder / job)
    assert [panel.kind for panel in found.panels] == list(kinds())
    assert len(state(empty, "measure", job=job)["screen"]["names"]) == len(kinds())


def test_a_kind_can_be_measured_another_way_and_an_outline_has_its_corners(empty: TestClient, folder: Path) -> None:
    job = begun(empty)
    ways = next(one for one in panel_kinds() if one["name"] == "cylinder")["ways"]
    assert len(ways) > 1
    add(empty, job, "add_panel", name="roof", kind="cylinder", way=ways[-1])
    add(empty, job, "add_panel", name="flank", kind="outline", points="6")
    panels = values((folder / job).read_text(encoding="utf-8"))["panels"]
    assert (
        ", ".join(key for key in panels["roof"] if key != "kind") == ways[-1] and len(panels["flank"]["outline"]) == 6
    )


def test_every_kind_of_obstacle_is_drawn_and_can_be_added(empty: TestClient, folder: Path) -> None:
    assert [one["name"] for one in kinds_of_obstacle()] == list(obstacle_kinds())
    job = begun(empty)
    add(empty, job, "add_panel", name="door", kind="flat")
    for one in kinds_of_obstacle():
        assert one["drawing"]["items"]
        add(empty, job, "add_obstacle", panel="door", name=one["name"], kind=one["name"], clearance="0.4")
    there = values((folder / job).read_text(encoding="utf-8"))["panels"]["door"]["obstacles"]
    assert list(there) == list(obstacle_kinds()) and there["circle"]["clearance"] == "0.4 mm"
    assert [len(there[key][key]) for key in ("line", "outline")] == [2, 4]


def test_a_panel_that_a_decal_lies_on_cannot_be_deleted_and_others_can(filled: TestClient, folder: Path) -> None:
    filled.post("/open", json={"job": "gannet.yaml"})
    refused = act(filled, "gannet.yaml", "remove", at=["panels", "door"])
    assert refused.status_code == 422 and "door band" in refused.json()["message"]
    add(filled, "gannet.yaml", "remove", at=["panels", "door", "obstacles", "handle"])
    assert not load_job(folder / "gannet.yaml").panels[0].obstacles
    add(filled, "gannet.yaml", "add_panel", name="roof", kind="flat")
    add(filled, "gannet.yaml", "remove", at=["panels", "roof"])
    assert "roof" not in (folder / "gannet.yaml").read_text(encoding="utf-8")


def test_panels_and_obstacles_are_renamed_with_their_comments_and_decals(filled: TestClient, folder: Path) -> None:
    filled.post("/open", json={"job": "gannet.yaml"})
    before = (folder / "gannet.yaml").read_text(encoding="utf-8")
    add(filled, "gannet.yaml", "rename", at=["panels", "bonnet"], name="bonnet lid")
    after = (folder / "gannet.yaml").read_text(encoding="utf-8")
    changed = [(a, b) for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b]
    assert [b.split("#")[0].strip() for _, b in changed] == ["bonnet lid:", "panel: bonnet lid"]
    assert load_job(folder / "gannet.yaml").panels[1].name == "bonnet lid"
    add(filled, "gannet.yaml", "rename", at=["panels", "door", "obstacles", "handle"], name="grip")
    assert load_job(folder / "gannet.yaml").panels[0].obstacles[0].name == "grip"


def test_panels_change_places_with_all_their_lines(filled: TestClient, folder: Path) -> None:
    filled.post("/open", json={"job": "gannet.yaml"})
    path = folder / "gannet.yaml"
    before = path.read_text(encoding="utf-8")
    add(filled, "gannet.yaml", "move", at=["panels", "bonnet"], step=-1)
    after = path.read_text(encoding="utf-8")
    assert [panel.name for panel in load_job(path).panels] == ["bonnet", "door", "cargo side", "tailgate"]
    assert sorted(after.splitlines()) == sorted(before.splitlines()) and after != before
    found = state(filled, "measure", job="gannet.yaml")
    assert [one["name"] for one in found["screen"]["panels"]][:2] == ["bonnet", "door"]
    assert found["undo"] == "bonnet earlier"
    add(filled, "gannet.yaml", "move", at=["panels", "bonnet"], step=1)
    assert path.read_text(encoding="utf-8") == before
    for at, step in (["panels", "door"], -1), (["panels", "door"], 2), (["panels", "door", "obstacles", "handle"], 1):
        assert act(filled, "gannet.yaml", "move", at=at, step=step).status_code == 422


def test_a_name_is_changed_in_expressions_too(empty: TestClient, folder: Path) -> None:
    job = folder / "tug.yaml"
    text = (
        "job: tug\nbody: navy\npanels:\n  door: {width: 20 mm, height: 10 mm}\n  roof: {width: 20 mm, height: 10 mm}\n"
        "decals:\n  band: {panel: roof, width: panels.door.width / 2, height: 2 mm, artwork: [{field: {ink: black}}]}\n"
    )
    job.write_text(text, encoding="utf-8")
    assert load_job(job).decals[0].width.value == 10
    add(empty, "tug.yaml", "rename", at=["panels", "door"], name="gate")
    assert job.read_text(encoding="utf-8") == text.replace("door", "gate")


@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("add_panel", {"name": "", "kind": "flat"}),
        ("add_panel", {"name": "door, flat", "kind": "flat"}),
        ("add_panel", {"name": "<b>", "kind": "flat"}),
        ("add_panel", {"name": "door", "kind": "round"}),
        ("add_panel", {"name": "door", "kind": "outline", "points": "1000000"}),
        ("add_panel", {"name": "door", "kind": "cylinder", "way": "luck"}),
        ("add_obstacle", {"panel": "none", "name": "handle"}),
        ("rename", {"at": ["job"], "name": "x"}),
        ("rename", {"at": [["panels"]], "name": "x"}),
        ("remove", {"at": ["panels", "none"]}),
        ("remove", {}),
    ],
)
def test_what_cannot_be_added_is_refused_with_its_fix(
    empty: TestClient, folder: Path, name: str, asked: dict[str, Any]
) -> None:
    job = begun(empty)
    until_kept(empty, job)
    before = (folder / job).read_bytes()
    refused = act(empty, job, name, **asked)
    assert refused.status_code == 422 and refused.json()["message"] and refused.json()["fix"]
    assert (folder / job).read_bytes() == before
