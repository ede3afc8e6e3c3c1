"""Pictures of one's own that Draw offers from the job's folder: as they would be printed, and as they come in."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

import pytest

from decalgen.bench.desk import Desk
from decalgen.bench.page_state import do, page_state
from decalgen.bench.picture_offers import MOST_OFFERED, picture_names
from decalgen.bench.shown_pixels import SHOWN
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import values
from tests.bench.small_job import JOB
from tests.helpers.pictures import emblem, photograph, saved


@pytest.fixture
def place(tmp_path: Path) -> Workplace:
    path = tmp_path / "tug.yaml"
    path.write_text(JOB, encoding="utf-8")
    (tmp_path / "emblem.png").write_bytes(saved(emblem(200)))
    (tmp_path / "old photo.JPG").write_bytes(saved(photograph(160, 120), "JPEG"))
    return Workplace(Desk(path))


def offered(place: Workplace, wanted: str = "shape") -> dict[str, Any]:
    view = {"panel": "door", "decal": "band", "offers": wanted}
    return {one["name"]: one for one in page_state(place, "draw", view)["screen"]["picture_offers"]}


@pytest.mark.parametrize("wanted", ["shape", "decal"])
def test_pictures_beside_the_job_are_offered_as_they_are_seen(place: Workplace, tmp_path: Path, wanted: str) -> None:
    (tmp_path / "broken.png").write_bytes(b"no picture")
    found = offered(place, wanted)
    assert list(found) == ["emblem.png", "old photo.JPG", "broken.png"]
    assert "is not a PNG, JPEG or TIFF picture" in found["broken.png"]["wrong"]
    # 4 : 3, 10 mm high, in micrometres.
    assert found["old photo.JPG"]["box"] == [0, 0, 13333, 10000]
    for name in ("emblem.png", "old photo.JPG"):
        (ink,) = found[name]["inks"]
        png = SHOWN.png(ink["picture"]["src"].removeprefix("/pixels/").removesuffix(".png"))
        assert png is not None and png.startswith(b"\x89PNG") and ink["d"].startswith("M")
    # A box has four corners, the disc of the emblem many more.
    corners = {
        name: len(re.findall(r"-?\d+", found[name]["inks"][0]["d"])) // 2 for name in ("emblem.png", "old photo.JPG")
    }
    assert corners["old photo.JPG"] == 4 and corners["emblem.png"] > 20


def test_it_comes_in_as_a_decal_cut_along_what_is_seen(place: Workplace) -> None:
    before = place.desk.text
    look = do(place, "draw", "add_decal", {"panel": "door", "file": "emblem.png"})
    assert look["decal"] == "emblem" and not place.desk.problems
    rows = values(place.desk.text)["decals"]["emblem"]
    (shape,) = rows["artwork"]
    assert rows["cut"] == "artwork" and rows["width"] == rows["height"]
    assert shape["picture"]["file"] == "emblem.png" and len(shape["picture"]) == 2
    drawn = {one["name"]: one for one in page_state(place, "draw", look)["screen"]["sides"][0]["decals"]}
    assert drawn["emblem"]["inks"][0]["picture"] and "wrong" not in drawn["emblem"]
    assert place.desk.undo() == "new decal emblem" and place.desk.text == before


def test_it_comes_into_a_decal_as_a_shape(place: Workplace) -> None:
    do(place, "draw", "add_shape", {"decal": "band", "file": "old photo.JPG"})
    assert not place.desk.problems
    # As high as the decal, 2 mm: the width follows.
    assert values(place.desk.text)["decals"]["band"]["artwork"][-1] == {
        "picture": {"file": "old photo.JPG", "height": "2.00 mm"}
    }


@pytest.mark.parametrize("name", ["../emblem.png", "/etc/shadow.png", "link.png", ".hidden.png", "none.png"])
def test_nothing_but_the_pictures_of_the_folder_is_read(place: Workplace, tmp_path: Path, name: str) -> None:
    (tmp_path / "link.png").symlink_to(tmp_path / "emblem.png")
    (tmp_path / ".hidden.png").write_bytes(saved(emblem(50)))
    before = place.desk.text
    for act, asked in (("add_decal", {"panel": "door"}), ("add_shape", {"decal": "band"})):
        with pytest.raises(DecalgenError, match="there is no picture") as refused:
            do(place, "draw", act, {**asked, "file": name})
        assert refused.value.fix
    assert place.desk.text == before


def test_one_that_cannot_be_printed_is_told_and_changes_nothing(place: Workplace, tmp_path: Path) -> None:
    (tmp_path / "broken.png").write_bytes(b"no picture")
    before = place.desk.text
    for act, asked in (("add_decal", {"panel": "door"}), ("add_shape", {"decal": "band"})):
        with pytest.raises(DecalgenError, match="is not a PNG, JPEG or TIFF picture"):
            do(place, "draw", act, {**asked, "file": "broken.png"})
    assert place.desk.text == before


def test_of_very_many_pictures_those_changed_last_are_offered(tmp_path: Path) -> None:
    for number in range(MOST_OFFERED + 5):
        path = tmp_path / f"{number}.png"
        path.write_bytes(b"")
        os.utime(path, (number, number))
    assert picture_names(tmp_path) == sorted(f"{number}.png" for number in range(5, MOST_OFFERED + 5))
