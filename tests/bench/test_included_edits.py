"""A value of a file that a job includes, changed on the page: in that file, for every job that includes it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from decalgen.bench import included_edits
from decalgen.bench.desk import Desk, StaleError
from decalgen.bench.page_state import do, page_state
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import values
from tests.bench.small_job import JOB

SHARED = (
    "# shared by all tugs\nvalues: {tall: 2 mm}   # of a band\ninks:\n"
    '  teal: {colour: "#1f7f86"}\n'
    "decals:\n  plate:\n    panel: door\n    width: 4 mm\n    height: 2 mm\n    artwork: [{field: {ink: teal}}]\n"
)
MINE = JOB.partition("inks:")[0].replace("    height: 2 mm\n", "    height: tall\n")
MINE = MINE.replace("job: tug\n", "job: tug\ninclude: [parts/shared.yaml]\n")
ENDS = {"plain": SHARED, "from Windows": "\ufeff" + SHARED.replace("\n", "\r\n")}


@pytest.fixture(params=ENDS)
def shared(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    """A file that two jobs include, in a folder of its own."""
    path = tmp_path / "parts" / "shared.yaml"
    path.parent.mkdir()
    path.write_bytes(ENDS[request.param].encode())
    for name in ("tug", "lighter"):
        (tmp_path / f"{name}.yaml").write_text(MINE.replace("job: tug", f"job: {name}"), encoding="utf-8")
    return path


@pytest.fixture
def place(shared: Path) -> Workplace:
    return Workplace(Desk(shared.parents[1] / "tug.yaml"))


def blank(place: Workplace, decal: str, label: str) -> dict[str, Any]:
    shown = page_state(place, "draw", {"panel": "door", "decal": decal})["screen"]
    said = [*shown["sentence"], *(one for row in shown["shapes"] for one in row["blanks"])]
    return next(one for one in said if isinstance(one, dict) and one["label"] == label)


def put(place: Workplace, way: dict[str, Any], to: str, **more: Any) -> None:
    """What the page sends."""
    asked = {"file": way["file"], "at": way["at"], "was": way["raw"], "to": to, "label": "height of band"}
    do(place, "draw", "included", {"base": place.desk.version, **asked, **more})


def high(place: Workplace, name: str = "band") -> float:
    assert place.desk.job is not None
    found = next(one for one in place.desk.job.decals if one.name == name).height
    assert found is not None
    return found.value


def test_a_named_value_is_changed_in_its_file_for_all_and_taken_back(place: Workplace, shared: Path) -> None:
    before = shared.read_bytes()
    home = blank(place, "band", "height")["home"]
    assert home["said"] == (
        "'tall' is in parts/shared.yaml, line 2: `values: {tall: 2 mm}   # of a band`. Also included by lighter.yaml."
    )
    way, here = home["ways"]
    assert (way["words"], here["words"]) == ("In parts/shared.yaml, for every job that includes it", "Only here")
    put(place, way, "2.5 mm")
    assert shared.read_bytes() == before.replace(b"2 mm}", b"2.5 mm}")
    assert high(place) == 2.5 and place.desk.text == MINE and place.desk.kept == place.desk.version
    assert Desk(place.desk.path.with_name("lighter.yaml")).job != Desk(place.desk.path).job
    assert place.desk.history.done[-1].label == "height of band, in parts/shared.yaml"
    assert included_edits.undo(place.desk) == "height of band, in parts/shared.yaml"
    assert shared.read_bytes() == before and high(place) == 2.0
    included_edits.redo(place.desk)
    assert b"2.5 mm" in shared.read_bytes() and high(place) == 2.5


def test_a_decal_of_the_file_is_changed_there_or_in_this_job_alone(place: Workplace, shared: Path) -> None:
    before = shared.read_bytes()
    home = blank(place, "plate", "height")["home"]
    assert home["said"] == "It is in parts/shared.yaml, line 9: `height: 2 mm`. Also included by lighter.yaml."
    assert [one["words"] for one in home["ways"]] == [
        "In parts/shared.yaml, for every job that includes it",
        "Only in this job",
    ]
    put(place, home["ways"][0], "1.5 mm")
    assert high(place, "plate") == 1.5 and place.desk.text == MINE
    here = home["ways"][1]
    edit = {"do": "set", "at": here["at"], "was": here["raw"], "to": "1.2 mm"}
    place.change({"base": place.desk.version, "label": "x", "edits": [edit]})
    assert high(place, "plate") == 1.2 and place.desk.values["decals"]["plate"] == {"height": "1.2 mm"}
    # Steps of both files are taken back in their order.
    place.desk.keep()
    for _ in range(2):
        included_edits.undo(place.desk)
    assert place.desk.text == MINE and shared.read_bytes() == before


def test_what_the_file_leaves_out_is_added_to_it(place: Workplace, shared: Path) -> None:
    home = blank(place, "plate", "spares")["home"]
    assert home["said"].startswith("It is left out in parts/shared.yaml, line 6: `plate:`.")
    put(place, home["ways"][0], "2")
    assert values(shared.read_text(encoding="utf-8-sig"))["decals"]["plate"]["spares"] == "2"
    shape = blank(place, "plate", "ink")["home"]["ways"]
    assert len(shape) == 1 and shape[0]["file"] == "parts/shared.yaml", "a list is replaced as a whole"


def test_a_value_that_was_changed_meanwhile_is_not_written_over(place: Workplace, shared: Path) -> None:
    way = blank(place, "band", "height")["home"]["ways"][0]
    theirs = shared.read_bytes().replace(b"2 mm}", b"3 mm}")
    shared.write_bytes(theirs)
    with pytest.raises(StaleError, match=r"'tall' of 'values' in parts/shared\.yaml is `3 mm` by now") as caught:
        put(place, way, "2.5 mm")
    assert caught.value.fix == "look at it, then enter yours again" and shared.read_bytes() == theirs
    # Another line of it may be another by now.
    shared.write_bytes(theirs.replace(b"3 mm}", b"2 mm}").replace(b"all tugs", b"tugs"))
    put(place, way, "2.5 mm")
    assert b"2.5 mm}" in shared.read_bytes() and b"shared by tugs" in shared.read_bytes()
    with pytest.raises(DecalgenError, match="never had that version"):
        put(place, way, "2.6 mm", base=99)


def test_an_editor_that_is_quicker_is_not_written_over(
    place: Workplace, shared: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    theirs = shared.read_bytes().replace(b"all tugs", b"tugs")

    def check(*_: object) -> None:
        shared.write_bytes(theirs)

    way = blank(place, "band", "height")["home"]["ways"][0]
    monkeypatch.setattr(included_edits, "_check", check)
    with pytest.raises(DecalgenError, match=r"shared\.yaml was changed meanwhile"):
        put(place, way, "2.5 mm")
    assert shared.read_bytes() == theirs and not place.desk.history.done


def test_what_no_job_could_be_read_with_is_refused(place: Workplace, shared: Path) -> None:
    before = shared.read_bytes()
    way = blank(place, "band", "height")["home"]["ways"][0]
    with pytest.raises(DecalgenError, match="mmm"):
        put(place, way, "2 mmm")
    # Fine here, but the other job has no such panel.
    other = place.desk.path.with_name("lighter.yaml")
    other.write_text(other.read_text(encoding="utf-8").replace("door", "gate"), encoding="utf-8")
    shared.write_bytes(before.replace(b"panel: door", b"panel: gate"))
    place.desk.path.write_text(MINE.replace("panels:\n", "panels:\n  gate: {width: 20 mm, height: 8 mm}\n"))
    there = Workplace(Desk(place.desk.path))
    way = blank(there, "band", "height")["home"]["ways"][0]
    with pytest.raises(DecalgenError, match=r"lighter\.yaml could not be read any more: .*door"):
        put(there, way, "panels.door.height / 2")
    assert shared.read_bytes() == before.replace(b"panel: door", b"panel: gate")


def test_a_step_of_a_file_that_was_changed_since_is_let_go_of(place: Workplace, shared: Path) -> None:
    first = blank(place, "band", "height")["home"]["ways"][0]
    put(place, first, "2.5 mm")
    put(place, first | {"raw": "2.5 mm"}, "2.6 mm")
    theirs = shared.read_bytes().replace(b"2.6 mm", b"2.9 mm")
    shared.write_bytes(theirs)
    for _ in range(2):
        with pytest.raises(DecalgenError, match="can no longer be taken back"):
            included_edits.undo(place.desk)
    assert shared.read_bytes() == theirs and included_edits.undo(place.desk) == ""


@pytest.mark.parametrize("why", ["read-only", "elsewhere"])
def test_a_file_that_cannot_be_written_is_told_with_its_line(place: Workplace, shared: Path, why: str) -> None:
    if why == "read-only":
        shared.chmod(0o444)
    else:
        real = shared.parents[2] / "outside.yaml"
        shared.rename(real)
        shared.symlink_to(real)
    place.desk.look_beside()
    if place.desk.problems:
        assert why == "elsewhere", "a link out of the folder is not even read"
        return
    home = blank(place, "plate", "height")["home"]
    assert home["fixed"] and home["said"] == (
        "It is in parts/shared.yaml, line 9: `height: 2 mm`. "
        "The page may not write that file: change that line in an editor."
    )
    home = blank(place, "band", "height")["home"]
    assert home["said"].endswith(", which the page may not write. What you type holds only here.")
    way = {"file": "parts/shared.yaml", "at": ["values", "tall"], "raw": "2 mm"}
    with pytest.raises(DecalgenError, match="cannot be changed from here"):
        put(place, way, "3 mm")


@pytest.mark.parametrize("file", ["../x.yaml", "lighter.yaml", "tug.yaml", "", "parts"])
def test_no_other_file_is_written(place: Workplace, shared: Path, file: str) -> None:
    (shared.parents[2] / "x.yaml").write_text("values: {tall: 2 mm}\n", encoding="utf-8")
    with pytest.raises(DecalgenError, match="cannot be changed from here"):
        put(place, {"file": file, "at": ["values", "tall"], "raw": "2 mm"}, "3 mm")


@pytest.mark.parametrize("names", [["plate"], ["plate", "second"], ["plate", "band"]])
def test_a_decal_of_the_file_is_moved_in_this_job_alone(place: Workplace, shared: Path, names: list[str]) -> None:
    more = SHARED.partition("decals:\n")[2].replace("plate", "second")
    shared.write_text(shared.read_text(encoding="utf-8-sig") + more, encoding="utf-8")
    before = shared.read_bytes()
    place.desk.look_beside()
    do(place, "draw", "move", {"decals": names, "hand": "", "dx": 1, "dy": 0, "was": dict.fromkeys(names)})
    found = place.desk.values["decals"]
    assert {name: found[name]["at"] for name in names} == dict.fromkeys(names, found[names[0]]["at"])
    assert shared.read_bytes() == before and not place.desk.problems
