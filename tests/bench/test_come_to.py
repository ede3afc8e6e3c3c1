"""What stands in millimetres beside an expression on the page, compared with how the readers of job files read it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.desk import Desk
from decalgen.bench.page_state import page_state
from decalgen.bench.workplace import Workplace
from decalgen.job.loader import job_as_written
from tests.bench.test_server import state

JOB = """\
job: tug
body: navy
film: white
paints: {navy: {colour: "#1d2b4a"}}
inks: {teal: {colour: "#1f7f86"}}
values: {edge: 0.8 mm, gap: 0.3 mm, lean: 60}
panels:
  door: {width: 22.40 mm, height: 11.60 mm}
decals:
  band:
    panel: door
    at: bottom + edge
    width: panel.width - 2 * edge
    height: 2 mm
    bleed: gap / 2
    artwork:
      - field: {ink: teal}
      - field: {ink: teal, width: edge * 5, height: 0.05 in, at: left + edge}
      - star: {ink: white, diameter: edge * 2, at: top - 1 mm}
      - stripe: {inks: [white, teal], stripe width: gap * 2, angle: lean / 2}
  hem:
    layout: door-band
    panel: door
    at: {anchor: top, offset: [0 mm, -edge]}
    values:
      side gap: edge / 4 + gap
      letter height: 1.8 mm
      letter gap: gap
"""


def screen(tmp_path: Path, decal: str, **view: str) -> dict[str, Any]:
    """What Draw shows of a decal."""
    path = tmp_path / "tug.yaml"
    path.write_text(JOB, encoding="utf-8")
    place = Workplace(Desk(path))
    assert not place.desk.problems
    found: dict[str, Any] = page_state(place, "draw", {"decal": decal, "panel": "door", **view})["screen"]
    return found


def named(blanks: list[Any]) -> dict[str, dict[str, Any]]:
    return {one["label"]: one for one in blanks if isinstance(one, dict)}


def test_place_and_sizes_of_a_decal(tmp_path: Path) -> None:
    found = named(screen(tmp_path, "band")["sentence"])
    assert {key: found[key].get("default", "") for key in ("at", "width", "height")} == {
        "at": "bottom + 0.80 mm",
        "width": "20.80 mm",
        "height": "",
    }
    # In brackets it reads in millimetres alone.
    assert named(screen(tmp_path, "hem")["sentence"])["at"]["words"] == "top - 0.80 mm"


def test_lengths_of_shapes_and_where_they_lie(tmp_path: Path) -> None:
    rows = screen(tmp_path, "band")["shapes"]
    beside = [{one["label"]: one["default"] for one in row["blanks"] if one.get("default")} for row in rows]
    assert beside[1] == {"width": "4.00 mm", "height": "1.27 mm", "at": "left + 0.80 mm"}
    assert (beside[0], beside[2]) == ({}, {"diameter": "1.60 mm"})
    assert beside[3] == {"stripe width": "0.60 mm", "angle": "30°"}


def test_all_that_a_shape_and_a_decal_may_say(tmp_path: Path) -> None:
    found = screen(tmp_path, "band", says="decals band artwork 2 star")
    every = named(found["shapes"][2]["all"])
    assert every["diameter"]["default"] == "1.60 mm" and "default" not in every["at"]
    assert named(found["more"])["bleed"]["default"] == "0.15 mm"


@pytest.mark.parametrize("label", ["side gap", "letter gap", "band length", "check height", "band height", "word"])
def test_values_of_a_layout_are_as_the_reader_reads_them(tmp_path: Path, label: str) -> None:
    """Said as the width of the decal, the reader has it as a length; what is a figure, or no length, says nothing."""
    blanks = named(screen(tmp_path, "hem")["values"])
    assert not blanks["letter height"].get("comes") and not blanks["foot gap"].get("comes")
    if label == "word":
        assert not blanks[label].get("comes")
        return
    text = JOB.replace("    layout: door-band\n", f"    layout: door-band\n    width: {label}\n")
    read = job_as_written(text, tmp_path / "tug.yaml").decals[1].width.value
    assert blanks[label]["comes"] == f"{read:.2f} mm"


def test_what_names_itself_is_the_job_s_or_nothing(tmp_path: Path) -> None:
    path = tmp_path / "tug.yaml"
    path.write_text(JOB.replace("      letter gap: gap\n", "      letter gap: letter gap\n"), encoding="utf-8")
    place = Workplace(Desk(path))
    place.desk.job = job_as_written(JOB, path)
    found = page_state(place, "draw", {"decal": "hem", "panel": "door"})["screen"]
    assert not named(found["values"])["letter gap"].get("comes")


def test_names_of_an_included_file_count(inside: TestClient, job: Path) -> None:
    """The band of the demo: 0.1 mm + shut line, which is 0.40 mm."""
    every = named(state(inside, "draw", decal="door band", panel="door")["screen"]["values"])
    # A name alone stands for a text: `word: <word>` for the job's own.
    assert (every["word"]["comes"], every["letter ink"]["comes"]) == ("HARBOUR STORES", "rope cream")
    blank = every["side gap"]
    assert blank["shown"] == "0.1 mm + shut line" and blank["comes"] == "0.50 mm"
    text = job.read_text(encoding="utf-8")
    row = next(line for line in text.splitlines() if line.startswith("  shut line:"))
    common = job.with_name("common-inks.yaml")
    common.write_text(f"values:\n{row}\n{common.read_text(encoding='utf-8')}", encoding="utf-8")
    job.write_text(text.replace(f"{row}\n", ""), encoding="utf-8")
    inside.app_state["place"].look()
    assert not inside.app_state["place"].desk.problems
    blank = named(state(inside, "draw", decal="door band", panel="door")["screen"]["values"])["side gap"]
    assert blank["comes"] == "0.50 mm"
