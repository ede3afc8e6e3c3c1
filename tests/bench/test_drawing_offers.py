"""Drawings of one's own that Draw offers from the job's folder: as they would be printed, and as they come in."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from decalgen.bench.desk import Desk
from decalgen.bench.drawing_offers import MOST_OFFERED, drawing_names
from decalgen.bench.page_state import do, page_state
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import values
from tests.bench.small_job import JOB

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 50">'
CREST = f'{HEAD}<path d="M0 0H40V50H0Z" fill="#1f7f86"/><circle cx="20" cy="28" r="8" fill="#e0b020"/></svg>'


@pytest.fixture
def place(tmp_path: Path) -> Workplace:
    path = tmp_path / "tug.yaml"
    path.write_text(JOB, encoding="utf-8")
    (tmp_path / "crest.svg").write_text(CREST, encoding="utf-8")
    return Workplace(Desk(path))


def offered(place: Workplace) -> dict[str, Any]:
    return {
        one["name"]: one
        for one in page_state(place, "draw", {"panel": "door", "offers": "decal"})["screen"]["drawing_offers"]
    }


def test_a_drawing_beside_the_job_is_offered_in_its_own_colours(place: Workplace, tmp_path: Path) -> None:
    (tmp_path / "broken.svg").write_text("<svg", encoding="utf-8")
    found = offered(place)
    # The job has an ink of the ground's colour, and none like the disc's.
    assert found["crest.svg"]["about"] == "in teal and with 1 new ink of its own colours"
    assert {ink["colour"] for ink in found["crest.svg"]["inks"]} == {"#1f7f86", "#e0b020"}
    assert list(found) == ["crest.svg", "broken.svg"] and found["broken.svg"]["wrong"]


def test_it_comes_in_whole_with_the_inks_it_needs_as_one_step(place: Workplace) -> None:
    before = place.desk.text
    look = do(place, "draw", "add_decal", {"panel": "door", "file": "crest.svg"})
    assert look["decal"] == "crest" and not place.desk.problems
    written = values(place.desk.text)
    # 40 : 50, in a quarter of the door's 11.60 mm: half would lie on the band.
    crest = written["decals"]["crest"]
    assert crest["artwork"] == [{"drawing": {"file": "crest.svg", "height": "2.90 mm"}}]
    assert (crest["width"], crest["height"]) == ("2.32 mm", "2.90 mm")
    assert written["inks"] == {"teal": {"colour": "#1f7f86"}, "crest": {"colour": "#e0b020"}}
    (drawn,) = [
        one for one in page_state(place, "draw", look)["screen"]["sides"][0]["decals"] if one["name"] == "crest"
    ]
    assert {ink["ink"] for ink in drawn["inks"]} == {"teal", "crest"}
    assert place.desk.undo() == "new decal crest" and place.desk.text == before


def test_it_comes_into_a_decal_as_a_shape(place: Workplace) -> None:
    do(place, "draw", "add_shape", {"decal": "band", "file": "crest.svg"})
    assert not place.desk.problems
    # As high as the decal, 2 mm: the width follows.
    assert values(place.desk.text)["decals"]["band"]["artwork"][-1] == {
        "drawing": {"file": "crest.svg", "height": "2.00 mm"}
    }


@pytest.mark.parametrize("name", ["../crest.svg", "/etc/passwd", "tug.yaml", "link.svg", ".hidden.svg", "none.svg"])
def test_nothing_but_the_drawings_of_the_folder_is_read(place: Workplace, tmp_path: Path, name: str) -> None:
    (tmp_path / "link.svg").symlink_to(tmp_path / "crest.svg")
    (tmp_path / ".hidden.svg").write_text(CREST, encoding="utf-8")
    before = place.desk.text
    for act, asked in (("add_decal", {"panel": "door"}), ("add_shape", {"decal": "band"})):
        with pytest.raises(DecalgenError, match="there is no drawing"):
            do(place, "draw", act, {**asked, "file": name})
    assert place.desk.text == before


def test_of_very_many_drawings_those_changed_last_are_offered(tmp_path: Path) -> None:
    for number in range(MOST_OFFERED + 5):
        path = tmp_path / f"{number}.svg"
        path.write_text(CREST, encoding="utf-8")
        os.utime(path, (number, number))
    assert drawing_names(tmp_path) == sorted(f"{number}.svg" for number in range(5, MOST_OFFERED + 5))


def test_what_is_offered_and_the_inks_of_a_chosen_drawing_do_not_hide_each_other(place: Workplace) -> None:
    look = do(place, "draw", "add_decal", {"panel": "door", "file": "crest.svg"})
    screen = page_state(place, "draw", {**look, "offers": "shape"})["screen"]
    assert [one["file"] for one in screen["drawings"]] == ["crest.svg"]
    assert [one["name"] for one in screen["drawing_offers"]] == ["crest.svg"]
