"""Inks and paint on the page: what the job says of itself, inks that come, change and go."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from decalgen.bench.desk import Desk
from decalgen.bench.page_state import do, page_state
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import EditError, values

JOB = """job: tug
body: navy
panels:
  door:
    width: 40 mm
    height: 30 mm
decals:
  band:
    panel: door
    width: 30 mm
    height: 20 mm
    artwork:
      - field:
          ink: black
"""


@pytest.fixture
def place(job: Path) -> Workplace:
    return Workplace(Desk(job))


@pytest.fixture
def new(tmp_path: Path) -> Workplace:
    path = tmp_path / "tug.yaml"
    path.write_text(JOB, encoding="utf-8")
    return Workplace(Desk(path))


def shown(place: Workplace) -> dict[str, Any]:
    found: dict[str, Any] = page_state(place, "draw", {"names": "open"})["screen"]["paint_job"]
    return found


def ink(place: Workplace, name: str) -> dict[str, Any]:
    return next(one for one in shown(place)["inks"] if one["name"] == name)


def test_the_job_says_of_itself_what_the_file_says(place: Workplace) -> None:
    rows = {one["label"]: one["shown"] for one in shown(place)["rows"]}
    assert rows == {
        "body": "night sea",
        "title": "Pellerby Gannet, harbour stores",
        "scale": "1:43",
        "date": "2026-11-25",
        "film": "white",
    }


@pytest.mark.parametrize(
    ("key", "to", "line"),
    [
        ("date", "2026-03-14", "date: 2026-03-14"),
        ("scale", "1:43", "scale: 1:43"),
        ("title", "A tug", "title: A tug"),
        ("film", "white", "film: white"),
    ],
)
def test_a_new_job_gets_what_it_lacks_above_its_groups(new: Workplace, key: str, to: str, line: str) -> None:
    row = next(one for one in shown(new)["rows"] if one["label"] == key)
    new.change({"base": 1, "label": key, "edits": [{"do": "set", "at": list(row["at"]), "to": to, "was": row["raw"]}]})
    assert new.desk.text == JOB.replace("body: navy\n", f"body: navy\n{line}\n")
    assert new.desk.job is not None and getattr(new.desk.job, key) == to


@pytest.mark.parametrize(
    ("asked", "value"),
    [
        ({"name": "signal", "colour": "#e8641b", "kind": "process"}, "#e8641b"),
        # CSS Color Module Level 4, section 6.1: teal is #008080.
        ({"name": " harbour  teal ", "colour": "teal", "kind": ""}, "teal"),
        ({"name": "brass", "colour": "#b08d57", "kind": "metallic"}, {"kind": "metallic", "colour": "#b08d57"}),
        ({"name": "opaque", "colour": "", "kind": "white"}, {"kind": "white"}),
    ],
)
def test_a_new_ink_is_in_the_file_and_can_be_used(new: Workplace, asked: dict[str, str], value: object) -> None:
    do(new, "draw", "add_ink", asked)
    name = " ".join(asked["name"].split())
    assert values(new.desk.text)["inks"] == {name: value}
    assert list(values(new.desk.text)) == ["job", "body", "inks", "panels", "decals"]
    assert ink(new, name)["colour"] == {"teal": "#008080", "": "#ffffff"}.get(asked["colour"], asked["colour"])
    assert ink(new, name)["said"] == "Not used."
    at = ["decals", "band", "artwork", 0, "field", "ink"]
    edit = {"do": "set", "at": at, "to": name, "was": "black"}
    new.change({"base": new.desk.version, "label": "ink", "edits": [edit]})
    assert ink(new, name)["said"] == "Used by band."
    assert new.desk.undo() == "ink" and new.desk.undo() == f"new ink {name}" and new.desk.text == JOB


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ({"name": "", "colour": "teal", "kind": ""}, "a name has"),
        ({"name": "signal", "colour": "", "kind": "spot"}, "no 'colour'"),
        ({"name": "signal", "colour": "tael", "kind": ""}, "tael"),
        ({"name": "signal", "colour": "teal", "kind": "gold"}, "gold"),
        ({"name": "signal", "colour": 5, "kind": ""}, "cannot be read"),
    ],
)
def test_what_is_no_ink_is_refused_and_costs_nothing(new: Workplace, asked: dict[str, Any], message: str) -> None:
    with pytest.raises(DecalgenError, match=message):
        do(new, "draw", "add_ink", asked)
    assert new.desk.text == JOB


def test_a_name_that_is_there_already_is_refused(place: Workplace) -> None:
    with pytest.raises(DecalgenError, match="there is an ink 'soot' already"):
        do(place, "draw", "add_ink", {"name": "Soot", "colour": "teal", "kind": ""})


def test_an_ink_changes_in_both_its_forms(new: Workplace) -> None:
    do(new, "draw", "add_ink", {"name": "signal", "colour": "teal", "kind": ""})

    def set_(key: str, to: str, was: str | None) -> object:
        do(new, "draw", "set_ink", {"name": "signal", "key": key, "to": to, "was": was})
        return values(new.desk.text)["inks"]["signal"]

    assert set_("colour", "#e8641b", "teal") == "#e8641b"
    assert set_("kind", "spot", None) == {"colour": "#e8641b", "kind": "spot"}
    assert set_("kind", "process", "spot") == {"colour": "#e8641b", "kind": "process"}
    assert set_("compensate", "yes", None) == {"colour": "#e8641b", "kind": "process", "compensate": "yes"}
    with pytest.raises(DecalgenError, match="cannot be mixed"):
        set_("kind", "spot", "process")
    assert set_("compensate", "", "yes") == {"colour": "#e8641b", "kind": "process"}
    with pytest.raises(EditError, match="was changed meanwhile"):
        set_("kind", "spot", "metallic")
    with pytest.raises(DecalgenError, match="no 'colour'"):
        set_("colour", "", "#e8641b")
    with pytest.raises(EditError, match="no ink 'signal' in this file"):
        set_("weight", "1", None)


def test_an_ink_that_is_used_stays_and_says_by_what(new: Workplace) -> None:
    do(new, "draw", "add_ink", {"name": "signal", "colour": "teal", "kind": ""})
    text = new.desk.text + "  flag:\n    panel: door\n    artwork:\n      - field: {ink: signal}\n"
    new.desk.path.write_text(text + "variants:\n  red: {decals: {band: {artwork: [{field: {ink: signal}}]}}}\n")
    place = Workplace(Desk(new.desk.path))
    before = place.desk.text
    with pytest.raises(EditError, match=r"'signal' is used by flag and band\b"):
        do(place, "draw", "delete_ink", {"name": "signal"})
    assert place.desk.text == before


def test_an_ink_that_nothing_uses_goes_and_comes_back(new: Workplace) -> None:
    do(new, "draw", "add_ink", {"name": "signal", "colour": "teal", "kind": ""})
    do(new, "draw", "delete_ink", {"name": "signal"})
    assert new.desk.text == JOB
    assert new.desk.undo() == "ink signal deleted" and "signal" in new.desk.text
    with pytest.raises(EditError, match="no ink 'soot'"):
        do(new, "draw", "delete_ink", {"name": "soot"})


def test_inks_of_another_file_say_so_and_have_no_blanks(place: Workplace) -> None:
    teal = ink(place, "harbour teal")
    assert teal["blanks"] == [] and teal["said"].startswith("From common-inks.yaml. Used by ")
    assert "the value 'accent'" in teal["said"]


def test_nothing_is_offered_while_the_file_cannot_be_read(new: Workplace) -> None:
    new.desk.mend(2, "body: navy", "body: nvay")
    assert "paint_job" not in page_state(new, "draw", {"names": "open"})["screen"]
    with pytest.raises(EditError, match="cannot be read just now"):
        do(new, "draw", "add_ink", {"name": "signal", "colour": "teal", "kind": ""})
